package plan

import (
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// The most that a quilt shrinks in the wash, and that cloth does before it is
// sewn, as shares: several times what cotton does (common practice, no source).
const (
	MostWash   = 0.2
	MostShrink = 0.5
)

// Order is the quilt that is asked for: a recipe and one of a number of blocks,
// columns and rows, a size or a bed; none of them where the recipe has only one layout.
type Order struct {
	Recipe            *recipe.Recipe
	Blocks            int // all blocks of the setting, alternate ones too
	Columns, Rows     int
	WidthIn, LengthIn float64 // finished, at least; borders counted in
	Bed               string  // a name of Beds
	// Shrinks is the share by which the quilt will shrink when it is washed, 0 to
	// MostWash; a size or a bed is meant after that.
	Shrinks float64
	metric  bool // speak of centimetres
}

// Shop is how cloth is bought and cut. Lengths are inches.
type Shop struct {
	System           recipe.System
	WOFIn            float64  // usable width of fabric, selvages off
	BackWOFIn        float64  // the same of the backing; 0: WOFIn
	SquaringAcrossIn float64  // lost from the width in squaring up
	SquaringIn       float64  // lost from each length bought in squaring up
	Shrink           float64  // bought over and above for shrinkage, a share, 0..MostShrink
	OneWay           []string // names of roles whose print has an up: never turned
	OneByOne         bool     // strip sets are cut patch by patch, as scraps must be
	// BindingExtraIn is how much longer than the way round the quilt the joined
	// binding is at least, for its corners and for joining its ends.
	BindingExtraIn float64
	// BindingFrom and BorderFrom say where the binding and plain borders come from, not of
	// the background: empty, as the recipe has it.
	BindingFrom, BorderFrom Source
	// StripSets sews strips of the stash together and cuts them across, where blocks have
	// strip sets.
	StripSets bool
}

// Source is where strips come from.
type Source string

// The sources.
const (
	Stash  Source = "stash" // joined from strips that the stash holds
	Bought Source = "buy"   // cut from new cloth
)

// Sources lists them.
var Sources = []Source{Stash, Bought}

// stash reports whether strips come from the stash; own is what the recipe says.
func (s Source) stash(own bool) bool { return s == Stash || s == "" && own }

// roll returns the cloth of a roll as it is bought.
func (s Shop) roll() cutting.Bolt {
	return cutting.Bolt{Width: s.WOFIn, LossAcross: s.SquaringAcrossIn, LossAlong: s.SquaringIn, Shrink: s.Shrink, Metric: s.System.Metric}
}

// usableIn returns how long a strip across the width of fabric is, squared up.
func (s Shop) usableIn() float64 { return s.WOFIn - s.SquaringAcrossIn }

// Defaults returns shopping in a system: 40 inches of width, as most shopping rules
// take; binding 10 inches longer than the way round;
// nothing for squaring up or shrinkage, which are yours to set.
func Defaults(s recipe.System) Shop {
	return Shop{System: s, WOFIn: cutting.DefaultWidth, BindingExtraIn: 10}
}

// Needs is all that a quilt is cut from. Lengths are inches.
type Needs struct {
	Recipe            *recipe.Recipe
	Shop              Shop // that they were worked out for
	Columns, Rows     int  // as recipe.TopSize takes them
	Places            recipe.Places
	WidthIn, LengthIn float64 // finished
	// Cuts are the pieces of the top by role and size, the biggest first in each
	// role, those of pieced borders too; plain borders, binding and backing are in their
	// own fields.
	Cuts    []recipe.Lot
	Sets    []recipe.Set // of them, those that come from one print
	Borders []BorderNeed
	Binding BindingNeed
	Backing BackingNeed
	// Yardage is the cloth for each role were it one fabric, borders and binding
	// counted in, background first.
	Yardage []Yardage
	Turned  []recipe.Turned // what a print with an up shows
	Notes   []string
	Tight   []string   // notes on cloth that leaves next to nothing to spare where it is bought
	Why     recipe.Why // the whole arithmetic, a branch for each of the above
}

// Yardage is cloth of one role, in one length across the width of fabric.
type Yardage struct {
	Role     recipe.Role
	Pieces   int     // cut pieces, strips counted as one each
	AreaIn2  float64 // of the cut pieces
	LengthIn float64 // before shrinkage and rounding
	AskedIn  float64 // with shrinkage, before rounding
	BuyIn    float64 // rounded up to ⅛ yard or 10 cm
	Buy      string  // BuyIn as it is asked for
	Cuts     []recipe.Lot
	Layout   cutting.LayPlan // its placements number Wants
	Wants    []cutting.Want
	Of       []int // of each of Wants, its index in Cuts
	Why      recipe.Why
}

// BorderNeed is the plain strips of a border, or of the spacer before a pieced one: two
// sides, then top and bottom.
type BorderNeed struct {
	What          string // "border 1"
	Role          recipe.Role
	CutIn         float64 // width as cut
	SideIn, TopIn float64 // lengths as cut; 0: it has none there
	Strips        int     // across the width of fabric, joined by straight seams
	Aslant        int     // the same, joined on the diagonal; 0: too wide for it
	Mitred        bool
	// TrimIn is the width and length, seams counted in, to which a top with a spacer on is
	// trimmed, so that the pieced border fits; 0 where it comes out so as it is cut.
	TrimIn    [2]float64
	FromStash bool // joined from strips of the stash
	Why       recipe.Why
	number    int // of its border, from 0
}

// BindingNeed is the binding, joined from strips on the diagonal.
type BindingNeed struct {
	Role     recipe.Role
	CutIn    float64
	AroundIn float64 // the way round the quilt
	RoundIn  float64 // needed, extra counted in
	Strips   int
	// FromStash has it joined from strips of the stash.
	FromStash bool
	Why       recipe.Why
}

// BackingNeed is the backing, with the thriftier of two ways to run its seams.
type BackingNeed struct {
	Role              recipe.Role
	WidthIn, LengthIn float64       // of the whole back, as cut
	Ways              [2]BackingWay // seams down the quilt, seams across it
	Best              int           // of Ways; the first of equals
	AsYouGo           *AsYouGo      // of blocks that are quilted one by one: both Ways are that; else nil
	Why               recipe.Why
}

// BackingWay is one way to run the seams of a backing.
type BackingWay struct {
	Seams    string // "down" or "across"
	Panels   int    // across the whole width of fabric each; 1 has no seam
	PanelIn  float64
	LengthIn float64 // of all panels, before shrinkage and rounding
	AskedIn  float64 // with shrinkage, before rounding
	BuyIn    float64
	Buy      string
	Why      recipe.Why
}
