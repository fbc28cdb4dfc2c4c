package cutting

// Bolt is cloth off a roll, or a given length of it. The zero value of a
// field takes the default beside it.
type Bolt struct {
	Width      float64 // usable width between the selvages, inches; 40, what most shopping rules take
	Length     float64 // inches; 0: as much as is needed
	LossAcross float64 // lost in squaring up, off the width, inches; 0
	LossAlong  float64 // lost in squaring up, off the length, inches; 0
	Shrink     float64 // bought over and above for shrinkage, a share of the length; 0
	OneWay     bool    // a directional print: no piece may be turned
	Metric     bool    // round up to 10 cm rather than to ⅛ yard
}

// DefaultWidth is the usable width of quilting cotton for shopping, inches.
const DefaultWidth = 40

// Strip is one length cut across the whole width of the cloth.
type Strip struct {
	Y, Height float64 // inches from the first squared edge; Height is along the cloth
	Pieces    []Placement
}

// LayPlan is how pieces lie on yardage. Places are measured from the squared-up
// corner: LossAcross and LossAlong lie outside.
type LayPlan struct {
	Width     float64 // that can be cut from, LossAcross taken off
	Strips    []Strip // in the order they are cut, tallest first
	PerStrip  int     // of the first want, in a full strip; 0 where it does not fit
	Inches    float64 // along the cloth, LossAlong included, before shrinkage and rounding
	BuyInches float64 // with shrinkage, rounded up
	Buy       string  // BuyInches as it is asked for: "1⅜ yd", "40 cm"
	Missing   []int   // of each want, how many the given length has no room for
	// ExactFit says that less than ½ inch is to spare, across a strip or in the
	// length bought: squaring up once more would cost pieces.
	ExactFit bool
	Steps    []string // the arithmetic, a line a step
}
