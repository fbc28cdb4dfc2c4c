package recipe

// Why is one line of arithmetic and the lines that led to it, as done on paper.
type Why struct {
	Text  string `json:"text"`
	Steps []Why  `json:"steps,omitempty"`
}

// System is the lengths a quilter works in. All fields are inches.
type System struct {
	Metric bool    // write centimetres, not inches and fractions
	Seam   float64 // sewn seam allowance with its fold, above 0
	Step   float64 // cuts are rounded up to this mark of her ruler
	Trim   float64 // added to squares for triangles, to trim units down from
}

// Split says how a cut square is divided into triangles.
type Split string

// The splits.
const (
	Whole Split = ""                // used as it is cut
	Once  Split = "once diagonally" // 2 triangles
	Twice Split = "twice diagonally"
)

// Cut is pieces to cut, all of one size and role.
type Cut struct {
	Role Role
	// WidthIn ≤ LengthIn, as cut, seam allowances included; LengthIn 0 means a
	// strip as long as the cloth is wide, and Count counts strips.
	WidthIn, LengthIn float64
	Count             int
	Split             Split
	For               []string // what they are for, each once
	Why               Why
}
