package recipe

import (
	"fmt"

	"piecebag/internal/fault"
)

// cover counts what lies on the cells of a block.
type cover struct {
	block Block
	by    []string // what covers a cell; empty for nothing
}

func newCover(b Block) *cover {
	return &cover{block: b, by: make([]string, b.Columns*b.Rows)}
}

// lay covers the cells of one unit, refusing what runs off or lies on another.
func (c *cover) lay(what string, column, row, wide, high int) error {
	b := c.block
	if column < 0 || row < 0 || column > b.Columns-wide || row > b.Rows-high {
		return fault.New("", fmt.Sprintf("%s, at row %d, column %d and %d by %d, runs off the grid of %d by %d", what, row+1, column+1, wide, high, b.Columns, b.Rows), "rows and columns count from 1, at the top left of the patch as it lies after turning")
	}
	for y := row; y < row+high; y++ {
		for x := column; x < column+wide; x++ {
			if by := c.by[y*b.Columns+x]; by != "" {
				return fault.New("", fmt.Sprintf("overlap at row %d, column %d: %s lies on %s", y+1, x+1, what, by), "move or shrink one of them; at gives the top left of a patch as it lies after turning")
			}
			c.by[y*b.Columns+x] = what
		}
	}
	return nil
}

// whole refuses a block with cells that no patch covers, naming the first.
func (c *cover) whole() error {
	bare, first := 0, 0
	for i, by := range c.by {
		if by == "" {
			if bare == 0 {
				first = i
			}
			bare++
		}
	}
	if bare == 0 {
		return nil
	}
	b := c.block
	more := ""
	switch {
	case bare == 2:
		more = ", and 1 more cell is bare"
	case bare > 2:
		more = fmt.Sprintf(", and %d more cells are bare", bare-1)
	}
	return fault.New("", fmt.Sprintf("gap in %s at row %d, column %d%s", b.Name, first/b.Columns+1, first%b.Columns+1, more), "lay a patch there, or make the grid smaller")
}
