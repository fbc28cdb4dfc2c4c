package plan

import "piecebag/internal/recipe"

// Order is the quilt that is asked for: a recipe and one of Blocks, a size or a
// bed.
type Order struct {
	Recipe            *recipe.Recipe
	Blocks            int     // all blocks of the setting, alternate ones too
	WidthIn, LengthIn float64 // finished, at least; borders counted in
	Bed               string  // a name of Beds
}

// Shop is how cloth is bought and cut. Lengths are inches.
type Shop struct {
	System     recipe.System
	WOFIn      float64  // usable width of fabric, selvages off
	SquaringIn float64  // lost from each length bought, to square it up
	Shrink     float64  // share of length lost in washing before cutting, 0..0.2
	OneWay     []string // roles whose print has an up: not turned when cut
	BuyStepIn  float64  // lengths bought are rounded up to this
	// BindingExtraIn is added to the way round the quilt, for corners and joins.
	BindingExtraIn float64
}

// Needs is all that a quilt is cut from. Lengths are inches.
type Needs struct {
	Recipe            *recipe.Recipe
	Columns, Rows     int   // of the setting; on point, of the outer lattice
	Places            []int // how many of each of Recipe.Blocks, in order
	PlainSquares      int
	WidthIn, LengthIn float64 // finished
	// Cuts are the pieces of the top by role and size, biggest first in each
	// role; borders, binding and backing are in their own fields.
	Cuts    []recipe.Cut
	Borders []BorderNeed
	Binding BindingNeed
	Backing BackingNeed
	// Yardage is the cloth to buy for each role were it one fabric, in the order
	// roles first appear; background first where there is one.
	Yardage []Yardage
	Notes   []string
	Why     recipe.Why
}

// Yardage is cloth of one role, in one length across the width of fabric.
type Yardage struct {
	Role     recipe.Role
	Pieces   int     // cut pieces
	AreaIn2  float64 // of the cut pieces
	LengthIn float64 // before rounding, squaring up and shrinkage counted in
	BuyIn    float64 // rounded up
	Strips   int     // across the width of fabric
	Why      recipe.Why
}

// BorderNeed is one border: two sides, then top and bottom.
type BorderNeed struct {
	Role          recipe.Role
	CutIn         float64 // width as cut
	SideIn, TopIn float64 // lengths as cut
	Strips        int     // across the width of fabric, joined
	Mitred        bool
	Why           recipe.Why
}

// BindingNeed is the binding, joined from strips.
type BindingNeed struct {
	Role    recipe.Role
	CutIn   float64
	RoundIn float64 // needed, extra counted in
	Strips  int
	Why     recipe.Why
}

// BackingNeed is the backing, the thriftier of two ways to run the seams.
type BackingNeed struct {
	Role              recipe.Role
	WidthIn, LengthIn float64       // of the whole back, as cut
	Ways              [2]BackingWay // seams down the quilt, seams across it
	Best              int
	Why               recipe.Why
}

// BackingWay is one way to run the seams of a backing.
type BackingWay struct {
	Seams    string // "down" or "across"; "none" where one panel does
	Panels   int
	PanelIn  float64 // length of a panel
	LengthIn float64 // before rounding
	BuyIn    float64
	Why      recipe.Why
}
