package truth

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// plainJudge calls what is redder than blue red, the rest blue.
var plainJudge = Judge{
	Dull:   func(f cloth.Family) bool { return f == cloth.Grey },
	DeltaE: colour.DeltaE00,
	Family: func(c colour.Linear) cloth.Family {
		if c[0] > c[2] {
			return cloth.Red
		}
		return cloth.Blue
	},
}

var (
	red  = colour.Linear{0.5, 0.1, 0.1}
	blue = colour.Linear{0.1, 0.1, 0.5}
)

func box(x0, y0, x1, y1 float64) geom.Polygon {
	return geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// table is a photo of 100 × 60 at 10 px an inch: a red and a blue square of 2½
// cut from one print, a red strip 2½ × 8, and a sliver.
func table() *Case {
	c := &Case{Name: "t", Kind: cloth.Spread, Level: 1, W: 100, H: 60, Mask: make([]uint16, 6000), Scale: Scale{10}}
	put := func(id int, g geom.Polygon, col colour.Linear, print string, w, h float64, ignore bool) {
		g.Fill(c.W, c.H, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				c.Mask[y*c.W+x] = uint16(id)
			}
		})
		c.Pieces = append(c.Pieces, TruePiece{
			ID: id, Print: print, Lab: col.Lab(), Mean: col, Colours: []cloth.Ink{{Colour: col, Share: 1}},
			WidthIn: w, HeightIn: h, Measurable: !ignore, Ignore: ignore,
			Corners: g, CornersVisible: []bool{true, true, true, true},
		})
	}
	put(1, box(0, 0, 25, 25), red, "a", 2.5, 2.5, false)
	put(2, box(30, 0, 55, 25), blue, "a", 2.5, 2.5, false)
	put(3, box(0, 30, 80, 55), red, "b", 2.5, 8, false)
	put(4, box(60, 0, 70, 10), blue, "c", 5, 5, true)
	return c
}

// answer says of every piece of c what is true.
func answer(c *Case) *cloth.Sheet {
	s := &cloth.Sheet{Width: c.W, Height: c.H, Kind: c.Kind}
	for _, p := range c.Pieces {
		if p.Ignore {
			continue
		}
		s.Pieces = append(s.Pieces, cloth.Piece{
			Polygon: p.Corners, Corners: p.Corners, Mean: p.Mean, Family: plainJudge.Family(p.Mean),
			Value: cloth.ValueOf(p.Lab.L), WidthIn: p.WidthIn, LengthIn: p.HeightIn, SizeTrust: 0.9, Print: p.Print,
		})
	}
	return s
}

func TestPerfectAnswersScoreOne(t *testing.T) {
	c := table()
	r := Sum("all", []Result{plainJudge.Score(c, answer(c))})
	for name, v := range map[string]*float64{
		"F75": r.F75, "F50": r.F50, "kind": r.Kind, "value": r.Value, "family": r.Family,
		"cut": r.CutNone, "answered": r.Answered, "print": r.Print, "IoU": r.IoU,
	} {
		require.NotNil(t, v, name)
		require.InDelta(t, 1, *v, 1e-12, name)
	}
	require.InDelta(t, 0, *r.DENone, 1e-9)
	require.InDelta(t, 0, *r.Corner, 1e-9)
	require.Nil(t, r.DERef, "no reference in view, so no figure with one")
	require.Nil(t, r.CutRef)
	require.Equal(t, []int{3, 3, 0, 0}, []int{r.Pieces, r.Said, r.Split, r.Merged})
}

func TestAnswersAtHalfSizeScoreTheSame(t *testing.T) {
	c := table()
	s := answer(c)
	s.Width, s.Height = s.Width/2, s.Height/2
	for i := range s.Pieces {
		s.Pieces[i].Polygon = s.Pieces[i].Polygon.Scale(0.5)
		s.Pieces[i].Corners = s.Pieces[i].Polygon
	}
	require.Equal(t, plainJudge.Score(c, answer(c)), plainJudge.Score(c, s))
}

func TestNoAnswers(t *testing.T) {
	c := table()
	r := Sum("all", []Result{plainJudge.Score(c, &cloth.Sheet{Kind: cloth.Pile})})
	require.Zero(t, *r.F75)
	require.Zero(t, *r.Kind)
	require.Nil(t, r.Value, "nothing found, so nothing named")
	require.Nil(t, r.Print)
}

func TestKnownFaults(t *testing.T) {
	c := table()
	s := answer(c)
	// Piece 1 answered as its upper 60 %: found at 0.5, not at 0.75.
	s.Pieces[0].Polygon = box(0, 0, 25, 15)
	// Piece 2 in two halves; the left is a little larger and wins.
	right := s.Pieces[1]
	s.Pieces[1].Polygon, right.Polygon = box(30, 0, 45, 25), box(45, 0, 55, 25)
	// One answer on the sliver, one on bare ground.
	sliver, ground := cloth.Piece{Polygon: box(60, 0, 70, 10)}, cloth.Piece{Polygon: box(85, 35, 99, 55)}
	s.Pieces = append(s.Pieces, right, sliver, ground)
	s.Pieces[2].Print = "a" // so that 1-3 and 2-3 are wrongly joined
	s.Pieces[0].WidthIn = 3.5
	s.Pieces[1].WidthIn = 0

	r := plainJudge.Score(c, s)
	require.Equal(t, 3, r.Pieces)
	require.Equal(t, 5, r.Said, "the answer on the sliver is left out")
	require.Equal(t, 1, r.Hit75)
	require.Equal(t, 3, r.Hit50)
	require.Equal(t, 1, r.Split)
	require.Equal(t, Pairs{1, 2, 0}, r.Same)
	require.Equal(t, []int{3, 2}, []int{r.Measurable, r.Answered})
	require.Equal(t, []Claim{{0.9, false}, {0.9, true}}, r.Sizes)
	row := Sum("all", []Result{r})
	require.InDelta(t, 2*1/8.0, *row.F75, 1e-12)
	require.InDelta(t, 2*3/8.0, *row.F50, 1e-12)
	require.InDelta(t, (0.6+0.6+1)/3, *row.IoU, 1e-12)
	require.InDelta(t, 2.0/3, *row.Answered, 1e-12)
	require.InDelta(t, 0.5, *row.CutNone, 1e-12)
	require.InDelta(t, 2*1/4.0, *row.Print, 1e-12)
}

func TestMergedAnswer(t *testing.T) {
	c := table()
	r := plainJudge.Score(c, &cloth.Sheet{Kind: cloth.Spread, Pieces: []cloth.Piece{{Polygon: box(0, 0, 55, 25)}}})
	require.Equal(t, 1, r.Merged)
	require.Zero(t, r.Hit50, "each is 625 of 1375 px")
}

func TestCornerDistance(t *testing.T) {
	c := table()
	c.Pieces[0].CornersVisible = []bool{true, true, false, true}
	s := answer(c)
	// Named from another corner and the other way round; one off by 3 px, the
	// hidden one by much more.
	g := c.Pieces[0].Corners
	s.Pieces[0].Corners = []geom.Point{g[2].Add(geom.Point{X: 40}), g[1].Add(geom.Point{Y: 3}), g[0], g[3]}
	r := plainJudge.Score(c, s)
	require.InDelta(t, 3/3.0/10, r.CornerIn[0], 1e-12)
}

func TestValueRight(t *testing.T) {
	// The cuts are cloth.ValueCuts; one L* either side is forgiven.
	cut := cloth.ValueCuts[0]
	right := func(v cloth.Value, lightness float64) bool {
		return (&TruePiece{Lab: colour.Lab{L: lightness}}).valueRight(v)
	}
	require.True(t, right(cloth.Light, 100))
	require.True(t, right(cloth.Light, cut-0.9))
	require.False(t, right(cloth.Light, cut-1.1))
	require.True(t, right(cloth.MediumLight, cut+0.9))
	require.False(t, right(cloth.MediumLight, cut+1.1))
	require.True(t, right(cloth.Dark, 0))
	require.False(t, right(cloth.Dark, 60))
	require.False(t, right("", 50))
}

func TestFamilyRight(t *testing.T) {
	mixed := func(reds, blues float64, mean colour.Linear) *TruePiece {
		return &TruePiece{Mean: mean, Colours: []cloth.Ink{{Colour: red, Share: reds}, {Colour: blue, Share: blues}}}
	}
	even := mixed(0.55, 0.45, red)
	most := mixed(0.7, 0.3, blue)
	none := mixed(0.35, 0.35, red)
	pale := colour.Linear{0.70, 0.70, 0.72}
	gingham := func(reds float64) *TruePiece {
		return &TruePiece{Mean: pale, Colours: []cloth.Ink{{Colour: pale, Share: 1 - reds}, {Colour: red, Share: reds}}}
	}
	for _, c := range []struct {
		name         string
		said         cloth.Family
		of           *TruePiece
		byMean, seen bool
	}{
		{"the mean", cloth.Red, even, true, true},
		{"blue covers 45 %", cloth.Blue, even, true, true},
		{"two cover enough", cloth.Many, even, false, false},
		{"the mean, of which less is there", cloth.Blue, most, true, true},
		{"not there at all", cloth.Green, most, false, false},
		{"none covers 40 %", cloth.Many, none, true, true},
		{"the mean where none covers 40 %", cloth.Red, none, true, true},
		{"the strongest where none covers 40 %", cloth.Blue, none, false, true},
		{"neither the mean nor the strongest", cloth.Blue, mixed(0.35, 0.15, red), false, false},
		{"a red gingham", cloth.Red, gingham(0.25), false, true},
		{"white with red dots", cloth.Red, gingham(0.15), false, false},
		{"its ground", cloth.Blue, gingham(0.25), true, true},
		{"nothing said", "", none, false, false},
	} {
		byMean, seen := plainJudge.familyRight(c.said, c.of)
		require.Equal(t, c.byMean, byMean, c.name)
		require.Equal(t, c.seen, seen, c.name)
	}
}

func TestSizeRight(t *testing.T) {
	for _, c := range []struct {
		w, h, saidW, saidH float64
		want               bool
	}{
		{2.5, 2.5, 2.5, 2.5, true},
		{2.5, 2.5, 2.9, 2.3, true},
		{2.5, 2.5, 2.5, 3.1, false}, // rounds to 3½
		{2.5, 8, 8.5, 2.4, true},    // either order, half an inch
		{2.5, 8, 2.5, 8.6, false},
		{2.5, 20, 2.5, 21.3, true}, // 7 % of 20
		{2.5, 20, 2.5, 21.5, false},
		{12, 12, 12, 12.4, true}, // off the list: within half an inch
		{12, 12, 12, 12.6, false},
		{10, 10, 10, 10.4, true},
		{2, 2, 2.1, 2.2, true},
		{2, 2, 2.1, 2.3, false}, // rounds to 2½
		{3, 3, 2.7, 3, false},
		{5, 5, 4.8, 5.2, true},
		{5, 5, 4.7, 5, false}, // rounds to 4½
	} {
		require.Equal(t, c.want, sizeRight(c.w, c.h, c.saidW, c.saidH), "%v", c)
	}
}

func TestQuantile(t *testing.T) {
	require.Nil(t, quantile(nil, 0.5))
	require.Equal(t, 2.5, *quantile([]float64{4, 1, 3, 2}, 0.5))
	require.InDelta(t, 3.7, *quantile([]float64{1, 2, 3, 4}, 0.9), 1e-12)
	require.Equal(t, 7.0, *quantile([]float64{7}, 0.9))
}

func TestReferenceRowsAreApart(t *testing.T) {
	with := Result{HasReference: true, DeltaE: []float64{1, 3}}
	none := Result{DeltaE: []float64{10}}
	r := Sum("all", []Result{with, none})
	require.Equal(t, 2.0, *r.DERef)
	require.Equal(t, 10.0, *r.DENone)
	require.InDelta(t, 3+0.8*7, *r.DE90, 1e-12)
	require.False(t, math.IsNaN(*r.DE90))
}

// Where people said what a piece is, that goes before what was measured.
func TestWhatPeopleCalledItGoesFirst(t *testing.T) {
	p := &TruePiece{Mean: blue, Lab: blue.Lab(), Called: []cloth.Family{cloth.Teal, cloth.Green}, CalledValue: cloth.Light}
	_, right := plainJudge.familyRight(cloth.Green, p)
	require.True(t, right)
	_, right = plainJudge.familyRight(cloth.Blue, p)
	require.False(t, right)
	require.True(t, p.valueRight(cloth.Light))
	require.False(t, p.valueRight(cloth.ValueOf(p.Lab.L)))
	p.CalledValue = ""
	require.True(t, p.valueRight(cloth.ValueOf(p.Lab.L)))
}
