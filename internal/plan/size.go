package plan

import (
	"errors"
	"fmt"
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

const (
	maxBlocks = 10_000
	maxSide   = 400 // inches, of a quilt
)

// Kinds of faults of how large a quilt is to be, for which each door has its own remedy.
var (
	ErrExtents      = errors.New("no size of the quilt, or several")
	ErrExtentsFixed = errors.New("several sizes of a quilt of one layout")
	ErrLayoutFixed  = errors.New("another layout than the recipe's only one")
	ErrBlockSmall   = errors.New("blocks too small for the recipe's only layout")
	ErrBlockCount   = errors.New("a number of blocks that makes no quilt's shape")
	ErrBed          = errors.New("no such bed") // its remedy ends in naming a size
	ErrShrinks      = errors.New("a quilt that shrinks, of blocks that are counted")
)

// sizes returns in how many ways an order says how large the quilt is.
func (o Order) sizes() (n int) {
	for _, is := range []bool{o.Blocks != 0, o.Columns != 0 || o.Rows != 0, o.WidthIn != 0 || o.LengthIn != 0, o.Bed != ""} {
		if is {
			n++
		}
	}
	return n
}

// Sized reports whether an order says how large the quilt is.
func (o Order) Sized() bool { return o.sizes() > 0 }

// check refuses an order that does not say exactly once how large the quilt is, or that
// allows for shrinking in the wash where it counts blocks.
func (o Order) check() error {
	fixed := o.Recipe.Setting.Columns > 0 // by its recipe
	switch n := o.sizes(); {
	case n > 1 && fixed:
		return fault.Usage("", "the quilt's size is given more than once", "say its size or its bed, or neither: this quilt has one layout", ErrExtentsFixed)
	case n > 1:
		return fault.Usage("", "the quilt's size is given more than once", "say the number of blocks, the size or the bed", ErrExtents)
	case n == 0 && !fixed:
		return fault.Usage("", "say how large the quilt is", "say the number of blocks, the size or the bed", ErrExtents)
	case o.Shrinks > 0 && o.WidthIn == 0 && o.LengthIn == 0 && o.Bed == "":
		return fault.Usage("", "what a quilt shrinks in the wash makes a size or a bed larger, and neither is given", "leave it off, or say its size", ErrShrinks)
	}
	return nil
}

// fit chooses columns and rows for an order, with the arithmetic.
func (o Order) fit() (columns, rows int, why recipe.Why, notes []string, err error) {
	if err := o.check(); err != nil {
		return 0, 0, why, nil, err
	}
	switch {
	case o.Recipe.Setting.Columns > 0:
		return o.onlyLayout()
	case o.Blocks != 0:
		return o.byBlocks()
	case o.Bed != "":
		return o.byBed()
	case o.Columns != 0 || o.Rows != 0:
		columns, rows = o.Columns, o.Rows
		if columns < 1 || rows < 1 || columns > maxBlocks/rows {
			err = fault.Usage("", fmt.Sprintf("%d by %d blocks cannot be laid out", columns, rows), fmt.Sprintf("give each 1 or more, %d blocks in all at most", maxBlocks))
		}
		why.Text = fmt.Sprintf("%d by %d blocks, as asked", columns, rows)
		if n := len(o.Recipe.Rows); rows < n {
			left := fmt.Sprintf("rows %d to %d of the recipe are left out", rows+1, n)
			if rows+1 == n {
				left = fmt.Sprintf("row %d of the recipe is left out", n)
			}
			notes = append(notes, left)
		}
		if columns != o.odd(columns) || rows != o.odd(rows) {
			notes = append(notes, fmt.Sprintf("with an even number of blocks opposite sides end in different blocks: %d by %d end alike", o.odd(columns), o.odd(rows)))
		}
	default:
		columns, rows, why, err = o.bySize(o.WidthIn, o.LengthIn, 0)
	}
	return columns, rows, why, notes, err
}

func (o Order) odd(n int) int {
	if o.Recipe.Setting.Odd && n%2 == 0 {
		return n + 1
	}
	return n
}

// bySize returns the fewest columns and rows that reach a finished size. Where it may fall
// short by some inches, they are those nearest to the size.
func (o Order) bySize(width, length, short float64) (columns, rows int, why recipe.Why, err error) {
	if !(width > 0 && length > 0 && width <= maxSide && length <= maxSide) {
		return 0, 0, why, fault.Usage("", fmt.Sprintf("a quilt of %s by %s cannot be planned", o.long(width), o.long(length)), fmt.Sprintf("give each side, up to %s", o.long(maxSide)))
	}
	if !(o.Shrinks >= 0 && o.Shrinks <= MostWash) {
		return 0, 0, why, fault.Usage("", fmt.Sprintf("a quilt that shrinks by %s cannot be planned", percent(o.Shrinks)), fmt.Sprintf("give 0 to %s", percent(MostWash)))
	}
	if o.Shrinks > 0 {
		w, l := width/(1-o.Shrinks), length/(1-o.Shrinks)
		why.Steps = []recipe.Why{{Text: fmt.Sprintf("before it shrinks by %s: %s ÷ %g = %s, %s ÷ %g = %s", percent(o.Shrinks),
			o.long(width), 1-o.Shrinks, o.long(w), o.long(length), 1-o.Shrinks, o.long(l))}}
		width, length = w, l
	}
	r := o.Recipe
	fewest := func(wanted float64, size func(n int) float64) int {
		n := 1
		for size(o.odd(n)) < wanted-short-1e-6 && n < maxBlocks {
			n++
		}
		n = o.odd(n)
		for more := o.odd(n + 1); n < maxBlocks && size(more)-wanted < wanted-size(n)-1e-6; more = o.odd(n + 1) {
			n = more
		}
		return n
	}
	columns = fewest(width, func(n int) float64 { w, _ := r.QuiltSize(n, 1); return w })
	rows = fewest(length, func(n int) float64 { _, h := r.QuiltSize(1, n); return h })
	// A border that must come out even may have another width round a larger top.
	for w, l := r.QuiltSize(columns, rows); (w < width-short-1e-6 || l < length-short-1e-6) && columns*rows <= maxBlocks; w, l = r.QuiltSize(columns, rows) {
		if w < width-short-1e-6 {
			columns = o.odd(columns + 1)
		} else {
			rows = o.odd(rows + 1)
		}
	}
	if columns*rows > maxBlocks {
		return 0, 0, why, fault.Usage("", fmt.Sprintf("a quilt of %s by %s would take %d blocks", o.long(width), o.long(length), columns*rows), "use a larger block")
	}
	why.Text = fmt.Sprintf("the fewest columns and rows that reach %s by %s: %d by %d", o.long(width), o.long(length), columns, rows)
	if short > 0 {
		why.Text = fmt.Sprintf("the columns and rows nearest to %s by %s, at most %s under: %d by %d", o.long(width), o.long(length), o.long(short), columns, rows)
	}
	return columns, rows, why, nil
}

func inches(in float64) string { return recipe.Inches().Format(in) + " in" }

// percent writes a share.
func percent(share float64) string { return fmt.Sprintf("%g %%", math.Round(1000*share)/10) }

// long writes a length of a quilt or a bed with its unit.
func (o Order) long(in float64) string {
	if o.metric {
		m := recipe.System{Metric: true}
		return m.Format(m.Nearest(in))
	}
	return inches(recipe.Inches().Nearest(in))
}

// byBlocks returns the setting of a quilt's shape, its sides no more than 1 to 2, that
// holds a number of blocks, or the next more where none does; of several, the one
// nearest 4 to 5.
func (o Order) byBlocks() (columns, rows int, why recipe.Why, notes []string, err error) {
	if o.Blocks < 1 || o.Blocks > maxBlocks {
		return 0, 0, why, nil, fault.Usage("", fmt.Sprintf("%d blocks cannot be laid out", o.Blocks), fmt.Sprintf("give 1 to %d", maxBlocks))
	}
	most, off := 0, 0.0
	for c := 1; c <= o.Blocks+1; c++ {
		if c != o.odd(c) {
			continue
		}
		r := 1
		w, l := o.Recipe.QuiltSize(c, r)
		for l <= 2*w && (o.Recipe.BlockCount(c, r) < o.Blocks || r != o.odd(r) || l < w/2) {
			r++
			w, l = o.Recipe.QuiltSize(c, r)
		}
		n := o.Recipe.BlockCount(c, r)
		if l > 2*w {
			continue
		}
		d := math.Abs(math.Log(l / w * 4 / 5))
		if most == 0 || n < most || n == most && d < off-1e-9 {
			most, off, columns, rows = n, d, c, r
		}
	}
	if most == 0 {
		return 0, 0, why, nil, fault.Usage("", fmt.Sprintf("%d blocks make no quilt whose sides are within 1 to 2", o.Blocks), "say its size", ErrBlockCount)
	}
	why.Text = fmt.Sprintf("%s: %d by %d", cloth.Count(most, "block"), columns, rows)
	if most != o.Blocks {
		notes = append(notes, fmt.Sprintf("%d blocks fill no setting of a quilt's shape; planned for %d, %d by %d", o.Blocks, most, columns, rows))
	}
	return columns, rows, why, notes, nil
}
