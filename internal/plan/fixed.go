package plan

import (
	"fmt"
	"math"

	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// onlyLayout returns the layout of a recipe that has only one, or an error where it does
// not meet the order.
func (o Order) onlyLayout() (columns, rows int, why recipe.Why, notes []string, err error) {
	r := o.Recipe
	columns, rows = r.Setting.Columns, r.Setting.Rows
	only := fmt.Sprintf("%s is %d by %d, and no other", r.Name, columns, rows)
	why.Text = only
	switch {
	case o.Columns+o.Rows != 0 && (o.Columns != columns || o.Rows != rows), o.Blocks != 0 && o.Blocks != r.BlockCount(columns, rows):
		err = fault.Usage("", only, "leave out how many blocks there are, or take layout out of the recipe", ErrLayoutFixed)
	case !o.reached(r):
		w, l := r.QuiltSize(columns, rows)
		err = fault.Usage("", fmt.Sprintf("%s: it measures %s by %s", only, o.long(w), o.long(l)), "make the block larger", ErrBlockSmall)
	}
	return columns, rows, why, nil, err
}

// reached reports whether the only layout of a recipe is as large as an order wants it.
func (o Order) reached(r *recipe.Recipe) bool {
	width, length, short := o.WidthIn, o.LengthIn, 0.0
	if b, err := o.bedOf(); o.Bed != "" && err == nil {
		width, length, short = b.Width, b.Length, bedShort
	}
	w, l := r.QuiltSize(r.Setting.Columns, r.Setting.Rows)
	return w >= width/(1-o.Shrinks)-short-1e-6 && l >= length/(1-o.Shrinks)-short-1e-6
}

// grown returns an order of a recipe that has only one layout with so large a block that it
// reaches the size that is wanted, and what is to be said of that.
func (o Order) grown() (_ Order, notes []string) {
	const step = 0.5 // inches
	if o.Recipe.Setting.Columns == 0 || o.reached(o.Recipe) {
		return o, nil
	}
	for wide := math.Floor(o.Recipe.WidthIn/step+1) * step; wide <= maxSide; wide += step {
		larger, err := o.Recipe.Resize(wide)
		if err != nil {
			break
		}
		if o.reached(larger) {
			notes = []string{fmt.Sprintf("the block is %s wide instead of %s, so that the quilt is as large as asked", o.long(wide), o.long(o.Recipe.WidthIn))}
			o.Recipe = larger
			break
		}
	}
	return o, notes
}
