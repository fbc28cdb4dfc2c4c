package scale

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// table is a blank picture of a table seen from above at px working pixels an inch.
func table(things []lying, px float64) *shot {
	s := &shot{things: things, plane: newPlane(1344, 1008, usualFocal/filmDiagonal*1680, 0, 0, 0)}
	s.perIn = px / s.plane.middle()
	s.pic = &cloth.Picture{W: 1344, H: 1008, FullW: 2688, FullH: 2016, Shrink: 2, Pix: make([]float32, 3*1344*1008)}
	return s
}

// Squares of one size and squares of half as much again and more are as likely others
// from farther off: which scales they fit is said, and no size.
func TestTossUpIsSilent(t *testing.T) {
	s := table(squares([]float64{2.5, 3.5, 2.5, 3.5, 2.5, 3.5}, 4, 3), 96)
	res := Measure(s.pic, s.regions(0.7, 2), nil, Options{Kind: cloth.Spread})
	require.Zero(t, res.Reading)
	for _, z := range res.Sizes {
		require.Zero(t, z)
	}
	require.Len(t, res.Notes, 1)
	// Full-size pixels: 2½ and 3½ are 5 and 7 at half the scale, 3½ and 5 at .7 of it.
	require.Regexp(t, `^the widths of the pieces fit several scales, (19\d|9\d|13\d)\.\d pixels an inch and (19\d|9\d|13\d)\.\d among them, `+
		`so no sizes are given; .*say how long something in the photo is$`, res.Notes[0])
}

// What the finder saw of a made heap at 33.4 pixels an inch, the outlines with four
// corners: most are what other pieces leave of a piece. They were taken for whole, and
// squares of 3½ were "7 square" with a trust of .92.
func TestHeapIsNotMisread(t *testing.T) {
	var regions []cloth.Region
	for _, c := range []struct {
		trust float64
		at    [8]float64
	}{
		{0.97, [8]float64{537, 300, 482, 201, 581, 148, 632, 248}},
		{0.96, [8]float64{587, 608, 40, 353, 91, 245, 635, 504}},
		{0.91, [8]float64{211, 587, 212, 433, 282, 466, 215, 587}},
		{0.97, [8]float64{366, 544, 527, 565, 504, 724, 346, 708}},
		{0.94, [8]float64{8, 761, 178, 643, 176, 654, 70, 847}},
		{0.93, [8]float64{459, 774, 432, 786, 422, 757, 443, 741}},
		{0.92, [8]float64{146, 953, 91, 877, 94, 875, 189, 923}},
	} {
		var g geom.Polygon
		for i := 0; i < 8; i += 2 {
			g = append(g, geom.Point{X: c.at[i], Y: c.at[i+1]})
		}
		regions = append(regions, cloth.Region{Polygon: g, Corners: g, Trust: c.trust})
	}
	p := &cloth.Picture{W: 768, H: 1024, FullW: 1536, FullH: 2048, Shrink: 2, Pix: make([]float32, 3*768*1024)}
	res := Measure(p, regions, nil, Options{Kind: cloth.Pile})
	if res.Reading.PxPerInch > 0 {
		require.InEpsilon(t, 33.4, res.Reading.PxPerInch, 0.03)
	}
}

// A second scale that is likely enough is named beside the first, and no other.
func TestSecondScaleIsNamed(t *testing.T) {
	sure := posterior{p: make([]float64, 1000)}
	sure.p[500] = 1
	_, mass := sure.second()
	require.Zero(t, mass)
	two := posterior{p: make([]float64, 1000)}
	two.p[500], two.p[503], two.p[700] = 0.5, 0.35, 0.15
	first, most := two.mode()
	second, mass := two.second()
	require.InDelta(t, 0.85, most, 1e-9)
	require.InDelta(t, 0.15, mass, 1e-9)
	require.InDelta(t, 700*logStep, math.Log(second), 1e-9)
	require.InDelta(t, (500*0.5+503*0.35)/0.85*logStep, math.Log(first), 1e-9)
}

// The trust of a scale is a probability: over many tables, of readings of like
// trust so many are right, within three standard deviations of chance. Cuts are drawn
// as often as they are usual; the outlines of a photo are off together, and each by
// itself.
func TestTrustOfScaleIsAProbability(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	var p, n, right [2]float64 // of doubtful and of sure readings
	for range 150 {
		fitter := newScaleFitter(nil, 50)
		var seen []shape
		scale := math.Log(50/usualInches) + usualSD*r.NormFloat64()
		creep := creepSD * r.NormFloat64()
		var cuts []float64
		for range 2 + r.IntN(3) {
			v, k := r.Float64(), 0
			for ; v > inches.usual[k] && k < len(inches.cuts)-1; k++ {
				v -= inches.usual[k]
			}
			cuts = append(cuts, inches.cuts[k])
		}
		for range 4 + r.IntN(16) {
			w := cuts[r.IntN(len(cuts))] + ruling*r.NormFloat64()
			px := w * math.Exp(scale) * 1680 / 50
			px += creep + math.Hypot(widthSD*px, edgeSD)/math.Sqrt2*r.NormFloat64()
			side := px * 50 / 1680
			seen = append(seen, shape{short: side, long: side, shortPx: px, longPx: px, weight: 0.97, shortOwn: 1, longOwn: 1})
		}
		s, trust := fitter.fit(seen).mode()
		k := 0
		if trust > 0.8 {
			k = 1
		}
		n[k]++
		p[k] += trust
		if math.Abs(math.Log(s)-scale) < modeSpan {
			right[k]++
		}
	}
	for k := range n {
		require.Greater(t, n[k], 15.0)
		mean := p[k] / n[k]
		require.InDelta(t, mean, right[k]/n[k], 3*math.Sqrt(mean*(1-mean)/n[k])+0.01, "of %v", n[k])
	}
}

// Of a piece that lies under others the sides that are seen are no cuts: in a heap of
// strips, each hidden in part by the next, such sides made the scale half of what it
// is. Only a side that ends at another's straight edge is hidden.
func TestHiddenSides(t *testing.T) {
	below := cloth.Region{Polygon: geom.Polygon{{X: 100, Y: 100}, {X: 200, Y: 100}, {X: 200, Y: 180}, {X: 100, Y: 180}}, Trust: 1}
	over := cloth.Region{Polygon: geom.Polygon{{X: 40, Y: 180}, {X: 300, Y: 180}, {X: 300, Y: 240}, {X: 40, Y: 240}}, Trust: 1}
	on := cloth.Region{Polygon: geom.Polygon{{X: 60, Y: 190}, {X: 100, Y: 190}, {X: 100, Y: 230}, {X: 60, Y: 230}}, Trust: 1}
	regions := []cloth.Region{below, over, on}
	for i := range regions {
		regions[i].Corners = regions[i].Polygon
	}
	o := ownersOf(400, 300, regions, nil)
	quads := quadsOf(regions)
	ownSides(quads, o, cloth.Pile)
	require.Equal(t, [4]float64{heapSide, heapSide, cutAtBoth, heapSide}, quads[0].own, "it lies under the second")
	require.Equal(t, [4]float64{heapSide, heapSide, heapSide, heapSide}, quads[1].own, "it lies over the first")
	require.Equal(t, [4]float64{heapSide, heapSide, heapSide, heapSide}, quads[2].own, "it lies on the second")
	ownSides(quads, o, cloth.Board)
	require.Equal(t, [4]float64{apartSide, apartSide, apartSide, apartSide}, quads[0].own, "on a board they lie side by side")
	l := newPlane(400, 300, 500, 0, 0, 0)
	ownSides(quads, o, cloth.Pile)
	s := rectified(quads, l, func(*quad) bool { return true })[0]
	require.Equal(t, heapSide*heapSide, s.longOwn, "its length, between the free ends")
	require.Equal(t, heapSide*cutAtBoth, s.shortOwn)
}

// Pieces cut in centimetres are known for such, and named so, where a scale is known.
func TestCentimetres(t *testing.T) {
	cm := 1 / cmPerInch
	s := table(squares([]float64{6 * cm, 6 * cm, 9 * cm, 9 * cm, 12 * cm, 12 * cm, 9 * cm, 6 * cm, 8 * cm}, 7, 3), 40)
	res := Measure(s.pic, s.regions(0.2, 2), nil, Options{Kind: cloth.Spread, PxPerInch: 40})
	require.Equal(t, "6 cm square", res.Sizes[0].Cut)
	require.Equal(t, "12 cm square", res.Sizes[4].Cut)
	require.Equal(t, "8 cm square", res.Sizes[8].Cut)
}
