package light

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// printedOn is the table with its sheet taken for the printed card: bare paper
// in its middle, and all the rest of it black.
func printedOn(white colour.Linear) (*table, []cloth.Reference) {
	s := lay(400, 300, NoTone, greyMat, cloths(10, 4), even(white))
	r := s.sheet
	r.Kind, r.Trust = cloth.PrintedCard, 0.99
	r.Blank = geom.Polygon(r.Corners[:]).About(0.4)
	ink := func(g geom.Polygon, c float32) {
		g.Fill(s.pic.W, s.pic.H, func(y, x0, x1 int) {
			for k := 3 * (y*s.pic.W + x0); k < 3*(y*s.pic.W+x1); k++ {
				s.pic.Pix[k] *= c
			}
		})
	}
	ink(r.Corners[:], 0.05)
	ink(geom.Polygon(r.Corners[:]).About(0.5), 20)
	return s, []cloth.Reference{r}
}

// White is read off the bare paper of the printed card alone, within ΔE00 2.5 of
// the light, of which cloth sends back a little less than a card: what is usual of
// light weighs a little too.
func TestPrintedCardGivesWhite(t *testing.T) {
	for _, white := range []colour.Linear{{0.7, 0.7, 0.7}, {0.8, 0.72, 0.6}, {0.45, 0.5, 0.56}} {
		s, refs := printedOn(white)
		_, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, refs, Options{Tone: &NoTone})
		require.Equal(t, FromPrint, reading.From, notes)
		require.Empty(t, notes)
		require.Less(t, colour.DeltaE00(white.Lab(), reading.White.Lab()), 2.5)
	}
}

// Overexposed or on coloured paper, it is refused, and said.
func TestSpoiltPrintedCardIsRefused(t *testing.T) {
	s, refs := printedOn(colour.Linear{1.3, 1.2, 1.15})
	for i := range s.pic.Clipped {
		s.pic.Clipped[i] = 255
	}
	_, reading, notes := Estimate(s.pic, s.regions, s.ground, nil, refs, Options{Tone: &NoTone})
	require.NotEqual(t, FromPrint, reading.From)
	require.Equal(t, []string{"the printed card is overexposed and was not used for white"}, notes)

	s, refs = printedOn(colour.Linear{0.7, 0.68, 0.66})
	refs[0].Blank.Fill(s.pic.W, s.pic.H, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			s.pic.Pix[3*(y*s.pic.W+x)] *= 0.5 // green paper
			s.pic.Pix[3*(y*s.pic.W+x)+2] *= 0.5
		}
	})
	_, reading, notes = Estimate(s.pic, s.regions, s.ground, nil, refs, Options{Tone: &NoTone})
	require.NotEqual(t, FromPrint, reading.From)
	require.Len(t, notes, 1)
	require.Contains(t, notes[0], "the printed card is coloured")
}
