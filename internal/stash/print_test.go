package stash

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/geom"
	"piecebag/internal/palette"
)

// of is a piece of a print, 3 inches square, as a photo in another light shows it: dots
// of an ink on a ground, so many to an inch.
func of(t testing.TB, label string, ground, ink colour.Lab, dots float64, light colour.Linear, seed uint64) cloth.Piece {
	t.Helper()
	const side, ppi = 150, 50
	rng := rand.New(rand.NewPCG(seed, 1))
	p := &cloth.Picture{W: side + 20, H: side + 20, Shrink: 1, FullW: side + 20, FullH: side + 20}
	p.Pix = make([]float32, 3*p.W*p.H)
	g, k := ground.Linear(), ink.Linear()
	x0, y0 := rng.Float64(), rng.Float64()
	for y := range p.H {
		for x := range p.W {
			u, v := float64(x)/ppi*dots+x0, float64(y)/ppi*dots+y0
			du, dv := u-float64(int(u))-0.5, v-float64(int(v))-0.5
			c := g
			if du*du+dv*dv < 0.1 {
				c = k
			}
			weave := 1 + 0.02*rng.NormFloat64()
			for i := range 3 {
				p.Pix[3*(y*p.W+x)+i] = float32(c[i] * light[i] * weave)
			}
		}
	}
	square := geom.Polygon{{X: 10, Y: 10}, {X: side + 10, Y: 10}, {X: side + 10, Y: side + 10}, {X: 10, Y: side + 10}}
	m, err := new(palette.Meter).Measure(p, square, 1)
	require.NoError(t, err)
	m.Signature.SeenIn(ppi, 3)
	return cloth.Piece{Polygon: square, Mean: m.Mean, ReadsAs: m.Mean, Colours: m.Colours, WidthIn: 3, LengthIn: 3, Print: label, Mark: m.Signature.Mark(), Trust: 0.9}
}

// printsIn are the names of the prints of what the stash holds, in order.
func printsIn(t testing.TB, s *Stash) (names []string) {
	t.Helper()
	for _, h := range holdings(t, s, Filter{}) {
		names = append(names, h.Print)
	}
	return names
}

var (
	cream, navy, rust, sage = colour.Lab{L: 92, A: 1, B: 7}, colour.Lab{L: 25, A: 5, B: -25}, colour.Lab{L: 45, A: 38, B: 35}, colour.Lab{L: 62, A: -12, B: 14}
	day, dusk               = colour.Linear{1, 1, 1}, colour.Linear{0.82, 0.75, 0.66}
)

func TestOnePrintHasOneNameInEveryPhoto(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", of(t, "a", cream, navy, 3, day, 1), of(t, "a", cream, navy, 3, day, 2), of(t, "b", navy, rust, 5, day, 3), of(t, "c", cream, sage, 6, day, 4)))
	require.Equal(t, []string{"print 1", "print 1", "print 2", "print 3"}, printsIn(t, s))
	// Another light, that falls on all alike; and prints of the same inks that are others.
	stow(t, s, photo("b.jpg", of(t, "a", navy, rust, 5, dusk, 5), of(t, "b", cream, navy, 3, dusk, 6), of(t, "c", cream, sage, 6, dusk, 7), of(t, "d", navy, cream, 3, dusk, 8)))
	require.Equal(t, []string{"print 2", "print 1", "print 3", "print 4"}, printsIn(t, s)[4:])
	// Two labels of one photo are two prints, however alike.
	stow(t, s, photo("c.jpg", of(t, "a", cream, navy, 3, day, 9), of(t, "b", cream, navy, 3, day, 10)))
	require.ElementsMatch(t, []string{"print 1", "print 5"}, printsIn(t, s)[8:])
	healthy(t, s)
}

// A print that may be one of two, or one or none, is not decided in silence: it gets a
// name of its own, and is said to be possibly another's.
func TestATieIsShown(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", of(t, "a", cream, navy, 3, day, 1), of(t, "b", cream, navy, 3, day, 2), of(t, "c", navy, rust, 5, day, 3)))
	got := stow(t, s, photo("b.jpg", of(t, "a", navy, rust, 5, dusk, 4), of(t, "b", cream, navy, 3, dusk, 5), of(t, "b", cream, navy, 3, dusk, 6)))
	require.Equal(t, []string{"print 3", "print 4", "print 4"}, printsIn(t, s)[3:])
	require.Len(t, got.MayBe, 1)
	may := got.MayBe[0]
	require.Equal(t, "print 4", may.Print)
	require.Contains(t, []string{"print 1", "print 2"}, may.Known)
	require.InDelta(t, 0.5, may.Trust, 0.2)
	require.Equal(t, []int{2, 3}, may.Pieces)
	require.Empty(t, stow(t, s, photo("c.jpg", of(t, "a", sage, cream, 8, day, 7))).MayBe)
}

// What you say of a print is believed: it is known again by the pieces that you say are
// of it, and not by those that you say are not.
func TestAPrintIsKnownByItsPieces(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", of(t, "a", cream, navy, 3, day, 1)))
	correct(t, s, 1, Correction{Print: word("anchors")})
	stow(t, s, photo("b.jpg", of(t, "a", cream, navy, 3, dusk, 2)))
	require.Equal(t, []string{"anchors", "anchors"}, printsIn(t, s))
	correct(t, s, 1, Correction{Print: word("")})
	correct(t, s, 2, Correction{Print: word("")})
	stow(t, s, photo("c.jpg", of(t, "a", cream, navy, 3, day, 3)))
	require.Equal(t, "print 3", printsIn(t, s)[2])
}

// Of many prints those are compared that light tells least from what a photo shows.
func TestTheNearestPrintsAreCompared(t *testing.T) {
	mean := colour.Lab{L: 50, A: 20, B: 10}
	var prints []lit
	for i := range int64(3 * mostPrints) {
		prints = append(prints, lit{print: i, light: palette.LightOf(colour.Lab{L: 50 - float64(i)/5, A: 20, B: 10}.Linear())})
	}
	prints = append(prints, lit{print: 1000, light: palette.LightOf(colour.Lab{L: 50, A: 20, B: 40}.Linear())}) // out of reach
	near := nearest(mean, prints)
	require.Len(t, near, mostPrints)
	for i, print := range near {
		require.EqualValues(t, i, print)
	}
	require.Empty(t, nearest(mean, prints[len(prints)-1:]))
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", of(t, "a", cream, navy, 3, day, 1)))
	_, err := s.change(ctx, "test", func(tx *tx) (string, error) {
		prints, err := tx.litPrints()
		require.Len(t, prints, 1)
		require.Less(t, prints[0].light.Apart(palette.LightOf(holdings(t, s, Filter{})[0].Mean)), 0.05)
		return "", err
	})
	require.NoError(t, err)
}

// A print is known by its last pieces, those of one photo together.
func TestSightingsAreOfTheLastPieces(t *testing.T) {
	s := open(t, t.TempDir())
	for k, name := range []string{"a.jpg", "b.jpg", "c.jpg"} {
		var pieces []cloth.Piece
		for i := range 2 {
			p := of(t, "a", cream, navy, 3, day, uint64(10*k+i))
			pieces = append(pieces, p)
		}
		stow(t, s, photo(name, pieces...))
	}
	_, err := s.change(ctx, "test", func(tx *tx) (string, error) {
		seen, err := tx.sightings([]int64{1})
		var photos []int64
		for _, s := range seen {
			require.EqualValues(t, 1, s.Print)
			photos = append(photos, s.Photo)
		}
		require.Equal(t, []int64{2, 3}, photos)
		return "", err
	})
	require.NoError(t, err)
}

// A piece without a mark, or with one that cannot be read, is of a print of its own.
func TestNoMarkNoKnownPrint(t *testing.T) {
	s := open(t, t.TempDir())
	for i, mark := range []string{"", "", "no mark"} {
		p := square(1)
		p.Mark = mark
		stow(t, s, photo(fmt.Sprint(i, ".jpg"), p))
	}
	require.Equal(t, []string{"print 1", "print 2", "print 3"}, printsIn(t, s))
}

// One cloth has one name in whatever photos: a piece that lies between two names takes
// that of the other pieces of its print, one that does not keeps its own.
func TestPiecesOfAKnownPrintAgree(t *testing.T) {
	s := open(t, t.TempDir())
	called := func(seed uint64, f, or cloth.Family) cloth.Piece {
		p := of(t, "a", cream, sage, 6, day, seed)
		p.Family, p.FamilyOr = f, or
		return p
	}
	stow(t, s, photo("a.jpg", called(1, cloth.Green, cloth.Brown)))
	stow(t, s, photo("b.jpg", called(2, cloth.Brown, cloth.Green)))
	stow(t, s, photo("c.jpg", called(3, cloth.Brown, "")))
	stow(t, s, photo("d.jpg", called(4, cloth.Grey, cloth.Brown)))
	var names []cloth.Family
	for _, h := range holdings(t, s, Filter{}) {
		require.Equal(t, "print 1", h.Print)
		names = append(names, h.Family)
		if len(names) == 2 {
			require.Equal(t, cloth.Green, family.Of(h.ReadsAs), "what is drawn goes with the name")
		}
	}
	require.Equal(t, []cloth.Family{cloth.Green, cloth.Green, cloth.Brown, cloth.Grey}, names)
}
