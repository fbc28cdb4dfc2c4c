// Package recipe reads quilt blocks written as text, checks that their patches
// tile the block, and says where every patch of a quilt lies and what is cut for
// it. It does no I/O.
//
// A recipe is a TOML file. A block is a grid of square cells, and every patch
// says which cells it covers:
//
//	name = "sawtooth star"
//	about = "A square with eight points."
//	width = 12      # of the finished block: inches, or "30 cm"
//	grid = [4, 4]   # columns, rows
//
//	[roles]         # names for cloths; background, any, light, medium, dark
//	points = "dark" # and the hue families need none
//
//	[[patch]]
//	at = [[2, 2]]   # row and column of its top left cell, from 1
//	wide = 2        # cells, before it is turned; 1 where left out
//	high = 2
//	role = "medium"
//
//	[[patch]]       # a third number turns it, in degrees clockwise
//	at = [[1, 2, 180], [2, 4, 270], [4, 2, 0], [2, 1, 90]]
//	wide = 2
//	make = "flying-geese"
//	at_a_time = 4
//	roles = ["background", "points"]
//
// matching = ["points"], above the tables or in a [part.NAME], says that all patches of
// a role come from one print: those in one block, or in one part where it is placed.
// may_match names roles of which they do where that is asked for (Match).
//
// make is one of the techniques below; without it a patch is plain. A half-rectangle
// takes lean ("right" or "left"); a strip-set widths, the share of each strip, and in
// place of roles segments, lists of roles, with segment_widths. A [part.NAME]
// has a grid and patches of its own and is placed by part = "NAME", turned or
// not. [[block]] takes a block from elsewhere: recipe (by the name of one built in or
// a file) or part, width and frame; such blocks stand in turn. [[row]] is a row of its
// own height: height, block or blocks, turns, role, and spacers (ends, between, all). [setting] takes kind (straight,
// on-point, shifted), alternate ("plain" or other blocks by name), plan (names by row
// and column), layout (the only one), turns (degrees, by row and column, repeated),
// fill and odd; [sashing] takes width, role, cornerstone and edge; each [[border]]
// width, role, mitred, corner, and where it is pieced block or blocks and corner_block, or
// keys and roles, and spacer; [binding] cut, role and from; [backing] over, role
// and as_you_go.
package recipe

import (
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// Recipe is a quilt block as data, read and checked: its patches tile the block.
type Recipe struct {
	File  string // as named in errors
	Text  []byte // that it was read from
	Name  string
	About string
	// WidthIn and HeightIn are the finished size of a block, inches.
	WidthIn, HeightIn float64
	// Blocks holds the block, and after it all others that the quilt has. Those of a
	// setting are of one size, but for row quilts; those of borders have sizes of
	// their own.
	Blocks []Block
	// AtATime is how many units of a technique are made at a time where that is not as
	// the text says it: see Made.
	AtATime map[Make]int
	Setting Setting
	Rows    []Row    // of a row quilt, in turn
	Sashing Sashing  // WidthIn 0: none
	Borders []Border // innermost first
	Binding Binding
	Backing Backing
	// MayMatch are the roles of which the patches in a block come from one print where
	// that is asked for; those that always do are in Blocks.
	MayMatch []Role
	// MatchedBy is what Match was asked for; empty: the recipe matches as it is written.
	MatchedBy string
}

// Resize returns the recipe with a block of another finished width, inches; sashing and
// borders stay as they are.
func (r *Recipe) Resize(width float64) (*Recipe, error) {
	height := r.HeightIn * width / r.WidthIn
	if !(width > 0 && width <= maxInches && height <= maxInches) {
		return nil, fault.New(r.File, fmt.Sprintf("a block of %v by %v inches is not between 0 and %d", width, height, maxInches), "give the width of the finished block in inches")
	}
	out := *r
	times := width / r.WidthIn
	out.WidthIn, out.HeightIn = width, height
	out.Blocks, out.Rows = slices.Clone(r.Blocks), slices.Clone(r.Rows)
	for i := range out.Blocks {
		if b := &out.Blocks[i]; !b.InBorder {
			b.WidthIn, b.HeightIn, b.FramedIn, b.FramedHighIn = times*b.WidthIn, times*b.HeightIn, times*b.FramedIn, times*b.FramedHighIn
		}
	}
	for i := range out.Rows {
		out.Rows[i].HeightIn *= times
	}
	if err := out.sewable(); err != nil {
		return nil, err
	}
	return &out, nil
}

// Cells is where something lies in a block, in cells.
type Cells struct{ Column, Row, Wide, High int }

// Block is a grid of cells, tiled by units without gap or overlap.
type Block struct {
	Name              string
	WidthIn, HeightIn float64 // finished, inches
	Columns, Rows     int
	Units             []Unit
	Parts             []Cells // where parts of its recipe lie in it
	// InBorder says that it is of a pieced border: it stays as large as it is when the
	// recipe is resized.
	InBorder bool
	// From is what the recipe that it is taken from is called by: the name of one built in,
	// as files are called, or of a file; OwnIn is its width there; FramedIn and
	// FramedHighIn are its sides within the strips that frame it here; 0: it is not framed.
	From                          string
	OwnIn, FramedIn, FramedHighIn float64
}

// CellIn returns the finished side of a cell, inches.
func (b Block) CellIn() float64 { return b.WidthIn / float64(b.Columns) }

// Unit is one sewn piece of a block: a plain patch, or a few patches made by one
// technique. It covers a rectangle of cells.
type Unit struct {
	Make        Make
	Column, Row int // of its top left cell, from 0
	Wide, High  int // in cells, before it is turned
	Turn        int // quarter turns clockwise, 0..3
	// Roles are the unit's roles in the order its Make lists them.
	Roles []Role
	// AtATime is how many units one set of cut pieces makes.
	AtATime int
	// LeansLeft has the seam of HalfRectangle run from top left to bottom right.
	LeansLeft bool
	// Strips and Segments are the shares that the strips of a StripSet have of its
	// height, and its segments of its width, from the top left.
	Strips, Segments []int
	// Corners are the flipped corners of FlipCorners, north-west first and on
	// clockwise, before the unit is turned; a zero Side is none.
	Corners [4]Corner
	// Centre, Log and Rounds size a log cabin or courthouse steps, in cells.
	Centre, Log, Rounds int
	// Matched are the sets that its patches belong to, by role.
	Matched []Matched
}

// Corner is a square sewn across a corner of a patch and flipped over it.
type Corner struct {
	Side int // in cells
	Role Role
}

// Make is a technique.
type Make string

// The techniques, with the order of their roles and the way they lie before they
// are turned.
const (
	// Plain is one patch. Roles: the patch.
	Plain Make = "plain"
	// HalfSquare is two triangles, the seam from bottom left to top right; two or
	// eight at a time. Roles: upper left, lower right.
	HalfSquare Make = "half-square"
	// HalfRectangle is two triangles of a rectangle, two at a time from two rectangles
	// cut along one diagonal. Roles: upper left, lower right, the seam from bottom left
	// to top right; where it leans left, upper right, lower left.
	HalfRectangle Make = "half-rectangle"
	// Hourglass is four triangles from two squares, two at a time. Roles: top and
	// bottom, left and right.
	Hourglass Make = "hourglass"
	// QuarterSquare is four triangles, each from a square cut twice diagonally.
	// Roles: top, right, bottom, left.
	QuarterSquare Make = "quarter-square"
	// FlyingGeese is twice as wide as high, pointing up; one at a time (flipped
	// corners) or four at a time. Roles: goose, sky.
	FlyingGeese Make = "flying-geese"
	// FlipCorners is a patch with squares flipped over some of its corners. Roles:
	// the patch; the corners carry their own.
	FlipCorners Make = "flip-corners"
	// StripSet is strips lying across, the first on top, cut as segments from strips
	// sewn together; or several such segments side by side. Roles: one a strip, segment
	// by segment from the left.
	StripSet Make = "strip-set"
	// LogCabin is a centre with logs sewn round it in a spiral: left, top, right,
	// bottom. Roles: centre, first two sides, last two sides.
	LogCabin Make = "log-cabin"
	// Strings is strips as they come, sewn onto a foundation along its diagonal from
	// bottom left to top right. Roles: one or more; the middle strip, then those on
	// either side in turn.
	Strings Make = "strings"
	// Crumbs is scraps of any shape, sewn onto a foundation. Roles: one or more, in turn.
	Crumbs Make = "crumbs"
	// CourthouseSteps is a centre with logs sewn on in opposite pairs: left and
	// right, then top and bottom. Roles: centre, left and right, top and bottom.
	CourthouseSteps Make = "courthouse-steps"
)

// Role says which cloth a patch is cut from.
type Role struct {
	Name       string       // as the recipe calls it
	Background bool         // the quilt's one background fabric
	Value      Tone         // of a print; empty: any
	Family     cloth.Family // of a print; empty: any
}

// Tone is the value of a print as recipes sort it: three steps, of which the
// outer two take in the stash's outer two each.
type Tone string

// The tones.
const (
	LightTone  Tone = "light"  // light, medium-light
	MediumTone Tone = "medium" // medium-light to medium-dark
	DarkTone   Tone = "dark"   // medium-dark, dark
)

// Suits reports whether a print of a family and value can play the role.
// Background is one fabric, chosen for the quilt: no print suits it by family or
// value alone.
func (r Role) Suits(f cloth.Family, v cloth.Value) bool {
	if r.Background || r.Family != "" && r.Family != f {
		return false
	}
	switch r.Value {
	case LightTone:
		return v == cloth.Light || v == cloth.MediumLight
	case MediumTone:
		return v == cloth.MediumLight || v == cloth.Medium || v == cloth.MediumDark
	case DarkTone:
		return v == cloth.MediumDark || v == cloth.Dark
	}
	return true
}

// Setting says how blocks are joined.
type Setting struct {
	Kind SettingKind
	// Order is the blocks that stand in turn, row by row, as Recipe.Blocks numbers them;
	// -1 is a plain square of the Fill role. Nil: the first block alone.
	Order []int
	// Plan is the same, by row, on point those between counted too, and column, repeated
	// over the quilt; nil: Order holds.
	Plan [][]int
	// Turns are quarter turns clockwise of the blocks, by row and column,
	// repeated over the quilt; empty: none is turned.
	Turns [][]int
	// Fill is the role of plain squares and setting triangles.
	Fill Role
	// Odd asks for odd numbers of columns and rows, so that all sides end alike.
	Odd bool
	// Columns and Rows are the one layout that the quilt has; 0: it has any.
	Columns, Rows int
}

// Several reports whether a recipe is a quilt of several blocks, rows or rounds more than a
// block that is repeated.
func (r *Recipe) Several() bool {
	s := r.Setting
	return s.Kind == InRows || len(s.Order) > 2 || len(s.Plan) > 0 || s.Columns > 0 || slices.ContainsFunc(r.Borders, Border.Pieced)
}

// Plain reports whether some blocks are plain squares.
func (s Setting) Plain() bool {
	return slices.Contains(s.Order, -1) || slices.ContainsFunc(s.Plan, func(row []int) bool { return slices.Contains(row, -1) })
}

// SettingKind is one of the ways to join blocks.
type SettingKind string

// The settings.
const (
	Straight SettingKind = "straight" // rows and columns
	OnPoint  SettingKind = "on-point" // stood on a corner, with setting triangles
	// Shifted sets every second row half a block over, as bricks lie, with half
	// blocks at its ends; only for a block of one plain patch.
	Shifted SettingKind = "shifted"
	// InRows sets rows of their own heights under each other, as Recipe.Rows has them.
	InRows SettingKind = "rows"
)

// Row is a row of a row quilt: blocks in turn, or a plain strip.
type Row struct {
	HeightIn float64 // finished, inches
	Blocks   []int   // of Recipe.Blocks; nil: a strip
	Turns    []int   // quarter turns clockwise of its blocks, in turn
	Role     Role    // of the strip, or of the spacers
	Spacers  Spacers // where these are
}

// Spacers says where in a row lies what its blocks leave of the width, shared out alike.
type Spacers string

// Where spacers are.
const (
	AtEnds     Spacers = "ends"
	Between    Spacers = "between" // two blocks; of one block alone at its ends
	Throughout Spacers = "all"     // at the ends and between
)

// Sashing is strips between blocks; Edge adds them round the outside.
type Sashing struct {
	WidthIn      float64 // finished, inches
	Role         Role
	Cornerstones bool // squares where strips cross
	Cornerstone  Role
	Edge         bool
}

// Border goes round the quilt: plain strips, or pieces that come out even.
type Border struct {
	WidthIn float64 // finished, inches
	Role    Role
	Mitred  bool
	// Cornered has squares of the role Corner at its corners; CornerBlock has blocks
	// there, as Recipe.Blocks numbers them; 0: none.
	Cornered    bool
	Corner      Role
	CornerBlock int
	// Blocks go round the quilt, their tops outwards, as Recipe.Blocks numbers them; on each
	// side in turn from the first, clockwise. Nil: none.
	Blocks []int
	// Keys are the finished widths of piano keys, inches: one, which is changed a little
	// where that makes them come out even; or several, which follow one another as
	// they fall. Roles are theirs, in turn.
	Keys  []float64
	Roles []Role
	// Spacer is the role of the plain border that makes a pieced one come out even.
	Spacer Role
	// FromStrips has a plain border joined from strips of the stash.
	FromStrips bool
}

// Pieced reports whether a border is pieced.
func (b Border) Pieced() bool { return len(b.Blocks) > 0 || len(b.Keys) > 0 }

// Binding is the strip sewn round the edge.
type Binding struct {
	CutIn      float64 // width as cut, inches
	Role       Role
	FromStrips bool // joined from strips of the stash
}

// Backing is the cloth of the back.
type Backing struct {
	OverIn float64 // wanted beyond the top on each side, inches; of AsYouGo beyond each block as cut
	// AsYouGo has each block quilted with a back of its own, and joined by the sashing in
	// front and folded strips behind.
	AsYouGo bool
	Role    Role
}
