package palette

import (
	"bytes"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// pieceOf is a piece of a print, cut w × h and turned, in a light of its own.
func pieceOf(t require.TestingT, p print, w, h, turn float64, light [3]float64, seed uint64) Signature {
	side := int(1.5*math.Max(w, h)) + 20
	tab := newTable(side, side, "#9a9a98", seed)
	g := tab.lay(p, float64(side)/2, float64(side)/2, w, h, turn)
	tab.light(light, 0)
	tab.noise(1.5)
	m, err := new(Meter).Measure(tab.pic, g, 1)
	require.NoError(t, err)
	m.Signature.SeenIn(50, 3)
	return m.Signature
}

// However pieces are cut and turned, and whatever light falls on the photo, their prints
// are known. White cloth is left out: by itself, in an unknown light, it may be any that
// is nearly white.
func TestAPrintIsRecognisedHoweverItLies(t *testing.T) {
	var known []print
	for _, i := range []int{0, 2, 3, 5, 7, 9, 10, 11} {
		known = append(known, shop[i])
	}
	var seen []Sighting
	for i, p := range known {
		seen = append(seen, Sighting{int64(i + 1), 1, pieceOf(t, p, 150, 150, 0, [3]float64{1, 1, 1}, uint64(i))})
	}
	r := rand.New(rand.NewPCG(1, 0))
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	right, rounds := 0, 40
	for range rounds {
		turn, side, level, warm := between(0, math.Pi), between(100, 150), between(0.7, 1.05), between(0.9, 1)
		light := [3]float64{level, level * (1 + warm) / 2, level * warm}
		from := r.IntN(len(known) - 3)
		var fresh []Signature
		for i := from; i < from+4; i++ {
			fresh = append(fresh, pieceOf(t, known[i], side, 0.8*side, turn, light, r.Uint64()))
		}
		for i, all := range recognise(fresh, seen, len(seen)) {
			if int(all[0].Print) == from+i+1 {
				right++
			}
			sum := 0.0
			for _, l := range all {
				sum += l.Trust
			}
			require.LessOrEqual(t, sum, 1+1e-9)
		}
	}
	t.Log(right, "of", 4*rounds)
	require.GreaterOrEqual(t, right, 4*rounds*98/100)
}

// By itself, in an unknown light, a print that was never seen is hardly taken for one of
// the same two inks; one that was seen is known all the same.
func TestAPrintOfTheSameInksIsNotTakenForAnother(t *testing.T) {
	same := []int{3, 4, 5, 7, 8, 9} // of cream and red
	var seen []Sighting
	for k, i := range same {
		seen = append(seen, Sighting{int64(k + 1), 1, pieceOf(t, shop[i], 150, 150, 0, [3]float64{1, 1, 1}, uint64(i))})
	}
	taken, known := 0, 0
	for round, light := range [][3]float64{{1, 1, 1}, {0.8, 0.74, 0.66}} {
		for at, i := range same {
			fresh := []Signature{pieceOf(t, shop[i], 140, 110, 0.3+float64(round), light, uint64(100*round+i))}
			if g := Known(fresh, slices.Delete(slices.Clone(seen), at, at+1), len(seen)-1)[0]; g.Print != 0 {
				taken++
			}
			if g := Known(fresh, seen, len(seen))[0]; int(g.Print) == at+1 {
				known++
			}
		}
	}
	require.LessOrEqual(t, taken, 2)
	require.GreaterOrEqual(t, known, 11)
}

// The more prints are known, the likelier one looks alike that is another; each photo that
// shows a print tells more, but not as much as the first; and no print is named twice.
func TestHowMuchAPrintIsSeenTells(t *testing.T) {
	a, b := pieceOf(t, shop[4], 110, 110, 0, [3]float64{1, 1, 1}, 1), pieceOf(t, shop[4], 110, 110, 0.5, [3]float64{0.9, 0.9, 0.8}, 2)
	once := []Sighting{{7, 1, a}}
	odds := func(seen []Sighting, prints int) float64 {
		trust := recognise([]Signature{b}, seen, prints)[0][0].Trust
		return trust / (1 - trust)
	}
	require.InEpsilon(t, odds(once, 28), odds(once, 1), 1e-6)
	require.InEpsilon(t, odds(once, 28), 100*odds(once, 2800), 1e-6)
	require.InEpsilon(t, math.Sqrt2*odds(once, 1), odds([]Sighting{{7, 1, a}, {7, 2, a}}, 1), 1e-6)
	require.ElementsMatch(t, []Guess{{Print: 7}, {}}, Known([]Signature{b, b}, once, 1))
}

func TestNothingIsRecognisedByNothing(t *testing.T) {
	require.Empty(t, Known(nil, nil, 0))
	require.Equal(t, []Guess{{}}, Known(make([]Signature, 1), nil, 0))
}

// realCloth is 130 printed cottons (testdata/names/SOURCES.md), each cut in two: the
// signatures of their left halves and of their right halves in another light.
func realCloth(t *testing.T, light [3]float64) (left, right []Signature) {
	t.Helper()
	b, err := os.ReadFile("../../testdata/names/prints.jpg")
	require.NoError(t, err)
	img, err := jpeg.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	const w, h, row, n = 256, 128, 10, 130
	size := img.Bounds().Size()
	p := &cloth.Picture{W: size.X, H: size.Y, Shrink: 1, FullW: size.X, FullH: size.Y, Pix: make([]float32, 3*size.X*size.Y)}
	for y := range p.H {
		for x := range p.W {
			r, g, bl, _ := img.At(x, y).RGBA()
			for c, v := range [3]uint32{r, g, bl} {
				p.Pix[3*(y*p.W+x)+c] = float32(linearByte(float64(v) / 65535))
			}
		}
	}
	dimmed := *p
	dimmed.Pix = make([]float32, len(p.Pix))
	for i, v := range p.Pix {
		dimmed.Pix[i] = v * float32(light[i%3])
	}
	half := func(pic *cloth.Picture, k, at int) Signature {
		x, y := float64(k%row*w+at), float64(k/row*h)
		m, err := new(Meter).Measure(pic, geom.Polygon{{X: x + 4, Y: y + 4}, {X: x + w/2 - 4, Y: y + 4}, {X: x + w/2 - 4, Y: y + h - 4}, {X: x + 4, Y: y + h - 4}}, 1)
		require.NoError(t, err)
		m.Signature.SeenIn(25, 3)
		return m.Signature
	}
	for k := range n {
		left = append(left, half(p, k, 0))
		right = append(right, half(&dimmed, k, w/2))
	}
	return left, right
}

func linearByte(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// Real cloth: the other half of each of 130 prints, all the rest beside it.
func TestHalvesOfRealCloth(t *testing.T) {
	left, right := realCloth(t, [3]float64{0.85, 0.8, 0.72})
	var seen []Sighting
	for i, s := range left {
		seen = append(seen, Sighting{int64(i + 1), 1, s})
	}
	hit, wrong := 0, 0
	for i, g := range Known(right, seen, len(seen)) {
		switch int(g.Print) {
		case i + 1:
			hit++
		case 0:
		default:
			wrong++
		}
	}
	require.GreaterOrEqual(t, hit, 126)
	require.LessOrEqual(t, wrong, 1)

	// Of those never seen few are taken for another.
	taken := 0
	for _, g := range Known(right, seen[26:], len(seen)-26)[:26] {
		if g.Print != 0 {
			taken++
		}
	}
	require.LessOrEqual(t, taken, 1)

	left, right = realCloth(t, [3]float64{1, 1, 1})
	var same [3]int
	labels := Prints(append(left, right...), cloth.Spread)
	for i := range labels {
		for j := range i {
			said, is := labels[i] == labels[j], i-j == len(left)
			switch {
			case said && is:
				same[0]++
			case said:
				same[1]++
			case is:
				same[2]++
			}
		}
	}
	require.GreaterOrEqual(t, same[0], 128)
	require.LessOrEqual(t, same[1], 20) // most of two of one design, dyed alike
}

// Two pieces that say the same say it twice as surely.
func TestMergedPiecesAreSurer(t *testing.T) {
	a := pieceOf(t, shop[4], 110, 110, 0, [3]float64{1, 1, 1}, 1)
	s := Merge([]Signature{a, a})
	for k := range a.stats {
		require.Equal(t, a.stats[k].known, s.stats[k].known)
		require.InDelta(t, a.stats[k].mean, s.stats[k].mean, 1e-9)
		require.InDelta(t, a.stats[k].variance/2, s.stats[k].variance, 1e-9+1e-6*a.stats[k].variance)
	}
}
