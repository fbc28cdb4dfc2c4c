package scale

import (
	"math"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Size is a piece's size along the cloth. A zero length is no answer.
type Size struct {
	Width, Length float64 // inches, the shorter first
	Cut           string  // such as 2½ square; empty where it is not a rectangle
	Trust         float64 // 0..1
	Notes         []string
}

const (
	// A length may be taken for a cut that it lies within a share of, or
	// within inches of.
	snapShare, snapInches = 0.04, 0.14
	// snapCommon is how much farther off a cut may be that most pieces have,
	// and leastPopular the share granted to a cut that none has.
	snapCommon, leastPopular = 1.4, 0.03
	// squareWithin is the aspect up to which a piece is a square.
	squareWithin = 1.07
	// stripFrom is the aspect from which a rectangle is called a strip.
	stripFrom = 2.2
)

// sizes measures regions in the plane of the table: between opposite sides
// where they have four corners, else by the smallest rectangle round them where
// loose says that they lie whole and apart.
func (r *Result) sizes(regions []cloth.Region, skip []bool, cuts []float64, trust float64, loose bool) []Size {
	out := make([]Size, len(regions))
	shapes := make([]shape, len(regions))
	for i, g := range regions {
		if skip[i] || len(g.Corners) != 4 && !loose {
			continue
		}
		shapes[i] = r.measured(g)
	}
	common := popularity(regions, shapes, cuts)
	for i, g := range regions {
		if s := shapes[i]; s.short > 0 && !math.IsInf(s.long, 0) {
			out[i] = sizeOf(s, len(g.Corners) == 4, cuts, common)
			out[i].Trust *= trust * g.Trust
		}
	}
	return out
}

// measured is a region's shape in inches.
func (r *Result) measured(g cloth.Region) (s shape) {
	if len(g.Corners) == 4 {
		s, _ = rectify([4]geom.Point(g.Corners), r.table)
	} else if len(g.Polygon) > 2 {
		pts := make([]geom.Point, len(g.Polygon))
		for i, q := range g.Polygon {
			pts[i] = r.table.at(q)
		}
		a, b := sides(geom.MinAreaRect(pts))
		s.short, s.long = min(a, b), max(a, b)
	}
	s.short, s.long = s.short/r.unit, s.long/r.unit
	return s
}

// popularity is the share of the rectangles that have each cut nearest to their
// width.
func popularity(regions []cloth.Region, shapes []shape, cuts []float64) []float64 {
	share := make([]float64, len(cuts))
	n := 0.0
	for i, s := range shapes {
		if s.short > 0 && len(regions[i].Corners) == 4 {
			n++
			if k := nearest(s.short, cuts, nil); k >= 0 {
				share[k]++
			}
		}
	}
	for i := range share {
		share[i] /= max(1, n)
	}
	return share
}

// nearest is the index of the cut that a length may be taken for, or -1. Of two
// that it may, the one that more of the photo's pieces have is likelier, and
// one that most have may be farther off.
func nearest(v float64, cuts, share []float64) int {
	best, top := -1, math.Inf(-1)
	for i, c := range cuts {
		tol := max(snapShare*c, snapInches)
		d := math.Abs(v - c)
		score := -sq(2*d/tol) / 2
		if share != nil {
			score += math.Log(share[i] + leastPopular)
			if share[i] > 0.5 {
				tol *= snapCommon
			}
		}
		if d <= tol && score > top {
			best, top = i, score
		}
	}
	return best
}

func sizeOf(s shape, rectangle bool, cuts, common []float64) Size {
	unit := unitOf(cuts)
	if !rectangle {
		return Size{Width: unit.round(s.short), Length: unit.round(s.long), Trust: 0.5,
			Notes: []string{"not a rectangle: its size is that of the smallest rectangle round it"}}
	}
	square := s.long < squareWithin*s.short
	if square {
		s.short = math.Sqrt(s.short * s.long)
		s.long = s.short
	}
	out := Size{Width: unit.round(s.short), Length: unit.round(s.long), Trust: 1}
	if k := nearest(s.short, cuts, common); k >= 0 {
		out.Width = cuts[k]
	} else {
		out.Trust = 0.7
	}
	if square {
		out.Length = out.Width
	} else if k := nearest(s.long, cuts, nil); k >= 0 {
		out.Length = cuts[k]
	}
	square = square || out.Length == out.Width // of one cut either way
	out.Cut = unit.name(out.Width, out.Length, square)
	return out
}

// unit is what a quilter cuts by: eighths of an inch, or millimetres.
type unit struct {
	step   float64 // inches
	number func(in float64) string
	suffix string
}

var (
	byInch       = unit{1. / 8, cloth.FormatInches, ""}
	byCentimetre = unit{1 / mmPerInch, centimetres, " cm"}
)

// unitOf tells metric cuts, whole millimetres that are no eighths of an inch,
// from others.
func unitOf(cuts []float64) unit {
	whole := func(v float64) bool { return math.Abs(v-math.Round(v)) < 1e-3 }
	for _, c := range cuts {
		if whole(8*c) || !whole(mmPerInch*c) {
			return byInch
		}
	}
	return byCentimetre
}

func (u unit) round(in float64) float64 { return math.Round(in/u.step) * u.step }

// name is the cut as quilters say it: 2½ square, 1½ strip, 3½ × 6½ rectangle,
// 6 cm square.
func (u unit) name(width, length float64, square bool) string {
	switch {
	case square:
		return u.number(width) + u.suffix + " square"
	case length >= stripFrom*width:
		return u.number(width) + u.suffix + " strip"
	}
	return u.number(width) + " × " + u.number(length) + u.suffix + " rectangle"
}

// centimetres writes a length of inches in centimetres, to the millimetre.
func centimetres(in float64) string {
	return strconv.FormatFloat(math.Round(in*mmPerInch)/10, 'f', -1, 64)
}
