package find

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// heap draws four pieces, the later over the earlier, and gives what is seen of
// the last two, which nothing covers.
func heap(c *canvas) []geom.Polygon {
	under := []geom.Polygon{rect(300, 300, 240, 150, 20), rect(420, 340, 150, 220, -15)}
	over := []geom.Polygon{rect(360, 250, 180, 90, 40), rect(470, 420, 110, 110, 10)}
	c.lay(under[0], solid(teal))
	c.lay(under[1], solid(lemon))
	c.lay(over[0], solid(red))
	c.lay(over[1], solid(navy))
	return over
}

func TestPileFindsThePiecesOnTop(t *testing.T) {
	c := newCanvas(800, 640, dye{0.18, 0.19, 0.20})
	over := heap(c)
	res := Find(c.p, Options{})
	require.Equal(t, cloth.Pile, res.Kind)
	for i, g := range over {
		best := 0.0
		for _, r := range res.Regions {
			best = max(best, overlap(g, r.Polygon))
		}
		require.Greater(t, best, 0.75, "piece %d", i)
	}
	require.Equal(t, res, Find(c.p, Options{}), "the same on every run")
}

func TestPileByName(t *testing.T) {
	c := newCanvas(800, 640, dye{0.18, 0.19, 0.20})
	c.lay(rect(300, 300, 200, 120, 10), solid(red))
	require.Equal(t, cloth.Pile, Find(c.p, Options{Kind: cloth.Pile}).Kind)
}

func TestPileOfNothing(t *testing.T) {
	for _, ground := range []dye{wood, {0, 0, 0}, {1, 1, 1}} {
		require.Empty(t, Find(newCanvas(300, 200, ground).p, Options{Kind: cloth.Pile}).Regions)
	}
	// Everything foreground: the frame itself is patched.
	c := newCanvas(300, 200, wood)
	for i := range 6 {
		c.lay(rect(50*float64(i)+25, 100, 50, 200, 0), []func(int, int) dye{solid(red), solid(navy), solid(lemon)}[i%3])
	}
	require.NotPanics(t, func() { Find(c.p, Options{Kind: cloth.Pile}) })
}

func BenchmarkFindPile(b *testing.B) {
	c := newCanvas(1344, 1008, dye{0.18, 0.19, 0.20})
	heap(c)
	g := gridOf(c.p)
	r := findGround(g)
	b.ReportAllocs()
	for b.Loop() {
		findPile(g, r)
	}
}
