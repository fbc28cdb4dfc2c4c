package scale

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// The tilt comes back from the corners of rectangles seen at a slant, and with
// it every size, but for the pull of the usual tilt.
func TestPlaneFromRectangles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tilt := rapid.Float64Range(-0.5, 0.5)
		widths := rapid.SliceOfN(rapid.SampledFrom([]float64{2.5, 3.5, 5}), 9, 16).Draw(t, "widths")
		s := &shot{things: squares(widths, 7, rapid.Uint64().Draw(t, "seed"))}
		s.plane = newPlane(1000, 750, usualFocal/filmDiagonal*1250, tilt.Draw(t, "p"), 0.7*tilt.Draw(t, "q"), 0)
		s.perIn = 25 / s.plane.middle()
		quads := quadsOf(s.regions(0, 1))
		l := fitPlane(1000, 750, s.plane.f, quads, nil, nil)
		require.InDelta(t, s.plane.p, l.p, 0.02)
		require.InDelta(t, s.plane.q, l.q, 0.02)
		for _, q := range quads {
			got, _ := rectify(q.c, l)
			require.InEpsilon(t, s.things[q.region].w, got.short/s.perIn, 0.03)
		}
	})
}

func TestPlaneFromAbove(t *testing.T) {
	l := newPlane(400, 300, 300, 0, 0, 0)
	require.InDelta(t, 0.5, l.at(geom.Point{X: 100, Y: 70}).Dist(l.at(geom.Point{X: 250, Y: 70})), 1e-12)
	require.InDelta(t, 300, l.middle(), 1e-12)
}

// With the true scale given, sizes are exact at any slant.
func TestGivenScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.Float64Range(15, 40).Draw(t, "scale")
		s := &shot{things: squares([]float64{1.5, 2.5, 3.5, 5, 6.5, 2.5, 3.5, 5, 1.5}, 8, 3)}
		s.plane = newPlane(1000, 750, usualFocal/filmDiagonal*1250, rapid.Float64Range(-0.4, 0.4).Draw(t, "p"), rapid.Float64Range(-0.4, 0.4).Draw(t, "q"), 0)
		s.perIn = scale / s.plane.middle()
		p := &cloth.Picture{W: 1000, H: 750, FullW: 1000, FullH: 750, Shrink: 1, Pix: make([]float32, 3*1000*750)}
		res := Measure(p, s.regions(0, 1), nil, Options{PxPerInch: scale})
		require.InDelta(t, scale, res.Reading.PxPerInch, 1e-9)
		require.Equal(t, FromGiven, res.Reading.From)
		for i, th := range s.things {
			require.Equal(t, th.w, res.Sizes[i].Width)
			require.Equal(t, cloth.FormatInches(th.w)+" square", res.Sizes[i].Cut)
		}
	})
}

// Widths alone: over many tables of random squares and strips, what is
// answered is right; how often it is silent depends on the widths met.
func TestScaleFromWidths(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	cuts := []float64{1.5, 2.5, 3.5, 4.5, 5, 6.5}
	answered, wrong := 0, 0
	const runs = 60
	for range runs {
		var things []lying
		for i := range 16 {
			w := cuts[r.IntN(len(cuts))]
			h := w
			if i%3 == 0 {
				h = w + 0.5*float64(2+r.IntN(12))
			}
			things = append(things, lying{x: 9 * (float64(i%4) - 1.5), y: 9 * (float64(i/4) - 1.5), w: h, h: w, turn: r.NormFloat64()})
		}
		s := &shot{things: things, plane: newPlane(1344, 1008, usualFocal/filmDiagonal*1680, 0.2*r.NormFloat64(), 0.2*r.NormFloat64(), 0)}
		scale := 22 * math.Exp(0.2*r.NormFloat64())
		s.perIn = scale / s.plane.middle()
		p := &cloth.Picture{W: 1344, H: 1008, FullW: 1344, FullH: 1008, Shrink: 1}
		p.Pix = make([]float32, 3*p.W*p.H)
		res := Measure(p, s.regions(0.7, r.Uint64()), nil, Options{Kind: cloth.Spread})
		if res.Reading.PxPerInch == 0 {
			require.NotEmpty(t, res.Notes)
			continue
		}
		answered++
		require.Equal(t, FromWidths, res.Reading.From)
		if math.Abs(math.Log(res.Reading.PxPerInch/scale)) > 0.03 {
			wrong++
		}
	}
	require.Greater(t, answered, runs*8/10)
	require.LessOrEqual(t, wrong, answered/50)
}

// Squares of one size fit every cut on the list, and nothing is said.
func TestOneWidthIsSilent(t *testing.T) {
	s := &shot{things: squares([]float64{3.5, 3.5, 3.5, 3.5, 3.5, 3.5, 3.5, 3.5, 3.5}, 5, 2), plane: newPlane(1000, 750, 900, 0, 0, 0)}
	s.perIn = 40 / s.plane.middle()
	p := &cloth.Picture{W: 1000, H: 750, FullW: 1000, FullH: 750, Shrink: 1, Pix: make([]float32, 3*1000*750)}
	res := Measure(p, s.regions(0.5, 1), nil, Options{Kind: cloth.Board})
	require.Zero(t, res.Reading)
	for _, z := range res.Sizes {
		require.Zero(t, z)
	}
}

func TestStackHasNoSizes(t *testing.T) {
	s := &shot{things: squares([]float64{1.5, 2.5, 3.5, 5, 6.5, 2.5}, 8, 3), plane: newPlane(1000, 750, 900, 0, 0, 0)}
	s.perIn = 20 / s.plane.middle()
	p := &cloth.Picture{W: 1000, H: 750, FullW: 1000, FullH: 750, Shrink: 1, Pix: make([]float32, 3*1000*750)}
	for _, px := range []float64{0, 20} {
		res := Measure(p, s.regions(0, 1), nil, Options{Kind: cloth.Stack, PxPerInch: px})
		for _, z := range res.Sizes {
			require.Zero(t, z)
		}
	}
}

func TestNothingToMeasure(t *testing.T) {
	line := geom.Polygon{{X: 1, Y: 1}, {X: 5, Y: 5}, {X: 9, Y: 9}, {X: 12, Y: 12}}
	same := geom.Polygon{{X: 3, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: 3}}
	away := geom.Polygon{{X: -90, Y: -90}, {X: -20, Y: -90}, {X: -20, Y: -20}, {X: -90, Y: -20}}
	for _, size := range [][2]int{{1, 1}, {40, 30}} {
		p := &cloth.Picture{W: size[0], H: size[1], FullW: size[0], FullH: size[1], Shrink: 1, Pix: make([]float32, 3*size[0]*size[1])}
		for i := range p.Pix {
			p.Pix[i] = 0.8
		}
		require.Zero(t, Measure(p, nil, nil, Options{}).Reading)
		for _, o := range []Options{{}, {PxPerInch: 10}, {PxPerInch: 10, Kind: cloth.Pile}} {
			res := Measure(p, []cloth.Region{{}, {Polygon: line, Corners: line}, {Polygon: same, Corners: same}, {Polygon: away, Corners: away, Trust: 1}}, nil, o)
			require.Len(t, res.Sizes, 4)
			require.Empty(t, res.References)
			require.Zero(t, res.Sizes[0])
			for _, z := range res.Sizes {
				require.False(t, math.IsNaN(z.Width+z.Length+z.Trust) || math.IsInf(z.Width+z.Length, 0))
			}
		}
	}
}

// An irregular piece of a spread is measured by its box, and says so; in a
// pile, where it is half hidden, it is not.
func TestIrregular(t *testing.T) {
	p := &cloth.Picture{W: 400, H: 300, FullW: 400, FullH: 300, Shrink: 1, Pix: make([]float32, 3*400*300)}
	lopped := []cloth.Region{{Polygon: geom.Polygon{{X: 160, Y: 120}, {X: 240, Y: 120}, {X: 240, Y: 150}, {X: 200, Y: 180}, {X: 160, Y: 180}}, Trust: 0.8}}
	z := Measure(p, lopped, nil, Options{PxPerInch: 20, Kind: cloth.Spread}).Sizes[0]
	require.Equal(t, 3.0, z.Width)
	require.Equal(t, 4.0, z.Length)
	require.Empty(t, z.Cut)
	require.Len(t, z.Notes, 1)
	require.Zero(t, Measure(p, lopped, nil, Options{PxPerInch: 20, Kind: cloth.Pile}).Sizes[0])
}

func TestNames(t *testing.T) {
	at := func(w, l float64, cuts []float64) string {
		p := &cloth.Picture{W: 1344, H: 1008, FullW: 1344, FullH: 1008, Shrink: 1, Pix: make([]float32, 3*1344*1008)}
		x, y := 672-20*l/2, 504-20*w/2
		g := geom.Polygon{{X: x, Y: y}, {X: x + 20*l, Y: y}, {X: x + 20*l, Y: y + 20*w}, {X: x, Y: y + 20*w}}
		return Measure(p, []cloth.Region{{Polygon: g, Corners: g, Trust: 1}}, nil, Options{PxPerInch: 20, Cuts: cuts}).Sizes[0].Cut
	}
	for _, c := range []struct {
		w, l float64
		want string
	}{
		{2.5, 2.5, "2½ square"},
		{2.45, 2.56, "2½ square"},
		{3, 3, "3 square"}, // on no list: as measured
		{1.5, 11.5, "1½ strip"},
		{3.5, 6.5, "3½ × 6½ rectangle"},
		{4.55, 6, "4½ × 6 rectangle"},
		{9.8, 9.9, "10 square"},
	} {
		require.Equal(t, c.want, at(c.w, c.l, nil))
	}
	cm := func(v float64) float64 { return v / 2.54 }
	metric := []float64{cm(6), cm(6.5), cm(9), cm(12.5)}
	require.Equal(t, "6 cm square", at(cm(6), cm(6), metric))
	require.Equal(t, "12.5 cm square", at(cm(12.4), cm(12.6), metric))
	require.Regexp(t, `^9 × 15\.[2-4] cm rectangle$`, at(cm(9), cm(15.3), metric))
}

// readBy is a ruler of some cuts, at so many working pixels an inch, that has seen
// squares of some widths.
func readBy(cuts []float64, px float64, seen ...float64) ruler {
	var squares []shape
	for _, w := range seen {
		squares = append(squares, piece(w, w, px))
	}
	return newScaleFitter(cuts, 50).ruler(squares, 1)
}

// piece is a shape of w × l inches, seen whole at px working pixels an inch.
func piece(w, l, px float64) shape {
	return shape{short: w, long: l, shortPx: w * px, longPx: l * px, whole: 1, weight: 1, shortOwn: 1, longOwn: 1}
}

// Of two cuts that a width lies between, the one that the rest of the photo
// shows is meant.
func TestCommonCutWins(t *testing.T) {
	cuts := []float64{6.5, 7}
	ruler := readBy(cuts, 15)
	require.Equal(t, 7.0, ruler.size(piece(6.76, 6.76, 15)).Width)
	ruler = readBy(cuts, 15, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5, 6.5)
	require.Equal(t, 6.5, ruler.size(piece(6.76, 6.76, 15)).Width)
}

// A piece that is one cut both ways is a square, though it measures 1.4 × 1.52: it
// was once a 1½ × 1½ rectangle.
func TestOneCutBothWaysIsASquare(t *testing.T) {
	ruler := readBy(nil, 20)
	got := ruler.size(piece(1.4, 1.52, 20))
	require.Equal(t, "1½ square", got.Cut)
	require.Equal(t, got.Width, got.Length)
	require.Equal(t, "1½ × 2 rectangle", ruler.size(piece(1.5, 2, 20)).Cut)
}

// A size's trust is a probability: near a cut it is sure, between two it is not, and
// a piece of which a side is hidden has none unless both its lengths are those of
// cuts.
func TestSizeTrust(t *testing.T) {
	ruler := readBy(nil, 25, 2.5, 2.5, 3.5, 5)
	sure := ruler.size(piece(3.51, 3.49, 25))
	require.Equal(t, "3½ square", sure.Cut)
	require.Greater(t, sure.Trust, 0.98)
	between := ruler.size(piece(6.75, 6.75, 15))
	require.Less(t, between.Trust, 0.8)
	hidden := piece(2.1, 4.3, 25)
	hidden.longOwn = 0.05
	require.Less(t, ruler.size(hidden).Trust, 0.1)
	whole := piece(2.5, 5, 25)
	whole.longOwn = 0.5
	require.Greater(t, ruler.size(whole).Trust, 0.8)
}

// Inches takes a place in the picture, in working pixels, to inches on the
// table; false where the scale is unknown. Only distances mean anything.
func (r *Result) Inches(p geom.Point) (geom.Point, bool) {
	if r.table == nil {
		return geom.Point{}, false
	}
	return r.table.at(p).Mul(1 / r.ruler.unit), true
}

// However much the pieces look like trapezoids, the horizon stays out of the picture.
func TestHorizonStaysOut(t *testing.T) {
	const side, f = 500, 500
	var quads []quad
	for range 20 {
		quads = append(quads, quad{c: [4]geom.Point{{X: 225, Y: 60}, {X: 275, Y: 60}, {X: 480, Y: 440}, {X: 20, Y: 440}}, square: 1})
	}
	l := fitPlane(side, side, f, quads, nil, nil)
	require.InDelta(t, 0.9, math.Hypot(l.p, l.q)*math.Hypot(side, side)/2/f, 0.05)
}

// A plain dark rectangle is weighed as no card, a white one as one.
func TestDarkIsNoPaper(t *testing.T) {
	for _, grey := range []float64{0.3, 0.84} {
		dark, pale := white(5, 3, 0), white(3, 3, 0)
		dark.x, dark.y, dark.turn, dark.grey = 0, 2, 0, grey
		pale.x, pale.y = -6, -5
		s := shoot(600, 450, 0, 0, 25, plainTable, []lying{dark, pale}, 0.004, 2)
		p := newLit(s.pic)
		e, ok := p.luma().trace([4]geom.Point(s.regions(0, 1)[0].Corners), traceReach)
		require.True(t, ok)
		_, ok = sight(p, candidate{edges: e}, s.plane)
		require.Equal(t, grey > 0.5, ok)
	}
}
