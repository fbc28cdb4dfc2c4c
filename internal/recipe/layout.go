package recipe

import "piecebag/internal/geom"

// Kind says what a patch of a quilt is part of.
type Kind string

// The kinds of patch.
const (
	InBlock     Kind = "block"
	PlainSquare Kind = "plain square" // an alternate plain block, or half of one
	Triangle    Kind = "setting triangle"
	InSashing   Kind = "sashing"
	Cornerstone Kind = "cornerstone"
	InBorder    Kind = "border"
)

// Patch is one patch as it lies in the sewn top.
type Patch struct {
	Polygon geom.Polygon // finished inches, x right and y down from the top left
	Role    Role
	Kind    Kind
	// Row and Column are the block's place in the setting, from 0; -1 for what is
	// in no block. On point, the blocks between rows come after the others.
	Row, Column int
	// Unit numbers the units of a block; patches of one unit are sewn together.
	Unit int
}

// Layout is where every patch lies.
type Layout struct {
	WidthIn, HeightIn float64 // finished
	Patches           []Patch
}
