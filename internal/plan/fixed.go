package plan

import (
	"fmt"

	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// onlyLayout is the layout of a recipe that has only one, where it meets an order; given
// is how many of its ways to say a size that uses.
func (o Order) onlyLayout(given int) (columns, rows int, why recipe.Why, notes []string, err error) {
	r := o.Recipe
	columns, rows = r.Setting.Columns, r.Setting.Rows
	w, l := r.QuiltSize(columns, rows)
	only := fmt.Sprintf("%s is %d by %d, and no other", r.Name, columns, rows)
	why.Text = only
	width, length, short := o.WidthIn, o.LengthIn, 0.0
	switch {
	case given > 1:
		err = fault.Usage("", "say once how large the quilt is", "give --size or --bed, or neither: this quilt has one layout")
	case o.Columns != 0 && (o.Columns != columns || o.Rows != rows), o.Blocks != 0 && o.Blocks != r.BlockCount(columns, rows):
		err = fault.Usage("", only, "leave out --layout and --blocks, or take layout out of the recipe")
	case o.Bed != "":
		var b Bed
		if b, err = o.bedOf(); err == nil {
			width, length, short = b.Width, b.Length, bedShort
		}
	}
	if width == 0 || err != nil {
		return columns, rows, why, nil, err
	}
	width, length = width/(1-o.Shrinks)-short, length/(1-o.Shrinks)-short
	if w >= width-1e-6 && l >= length-1e-6 {
		return columns, rows, why, nil, nil
	}
	remedy := "choose a recipe that has any layout"
	for block := r.WidthIn + step; block <= maxSide; block += step { // so large a block that it reaches
		larger, e := r.Resize(block)
		if e != nil {
			break
		}
		if w, l := larger.QuiltSize(columns, rows); w >= width-1e-6 && l >= length-1e-6 {
			remedy = fmt.Sprintf("give --block %s, which makes it %s by %s", recipe.Inches().Format(block), o.long(w), o.long(l))
			break
		}
	}
	return columns, rows, why, nil, fault.Usage("", fmt.Sprintf("%s: it measures %s by %s", only, o.long(w), o.long(l)), remedy)
}

// step is by how much a block is made larger in looking for one that is large enough,
// inches.
const step = 0.5
