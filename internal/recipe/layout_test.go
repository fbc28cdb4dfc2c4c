package recipe

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/geom"
)

func area(l Top) float64 {
	a := 0.0
	for _, p := range l.Patches {
		a += p.Polygon.Area()
	}
	return a
}

// requireTiled checks that the patches cover a layout once: by area, and at
// places all over it that lie on no seam.
func requireTiled(t require.TestingT, l Top) {
	require.InDelta(t, 1, area(l)/(l.WidthIn*l.HeightIn), 1e-9)
	const n = 17
	for i := range n {
		for j := range n {
			at := geom.Point{X: l.WidthIn * (float64(i) + math.Sqrt2/2) / n, Y: l.HeightIn * (float64(j) + math.Pi/5) / n}
			over := 0
			for _, p := range l.Patches {
				if p.Polygon.Contains(at) {
					over++
				}
			}
			require.Equal(t, 1, over, "at %v", at)
		}
	}
}

func TestBlocksAreTiled(t *testing.T) {
	for _, name := range Names() {
		r := builtIn(t, name)
		for i := range r.Blocks {
			requireTiled(t, r.BlockLayout(i))
		}
	}
}

// quilts are built-in blocks in every setting, with what goes round them.
func quilts(t *testing.T) map[string]*Recipe {
	out := map[string]*Recipe{}
	for _, name := range Names() {
		out[name] = builtIn(t, name)
	}
	change := func(key, name, more string) {
		text, err := Text(name)
		require.NoError(t, err)
		whole, _, _ := strings.Cut(string(text), "[setting]")
		out[key] = read(t, whole+more)
	}
	change("on point", "ohio-star", "[setting]\nkind = \"on-point\"")
	change("on point with plain", "nine-patch", "[setting]\nkind = \"on-point\"\nalternate = \"plain\"")
	change("on point, sashed", "pinwheel", "[setting]\nkind = \"on-point\"\n[sashing]\nwidth = 1.5\ncornerstone = \"dark\"\n[[border]]\nwidth = 2")
	change("sashed", "pinwheel", "[sashing]\nwidth = 1")
	change("sashed all round", "pinwheel", "[sashing]\nwidth = 1.5\nedge = true\ncornerstone = \"dark\"")
	change("sashed with cornerstones", "log-cabin", "[sashing]\nwidth = 1.5\ncornerstone = \"red\"\n[[border]]\nwidth = 2\n[[border]]\nwidth = 4\nmitred = true")
	change("on point, sashed without stones", "pinwheel", "[setting]\nkind = \"on-point\"\n[sashing]\nwidth = 1.5\n[[border]]\nwidth = 2\ncorner = \"dark\"")
	change("three in turn", "pinwheel", "[setting]\nalternate = [\"ohio-star\", \"plain\"]\n[sashing]\nwidth = 1")
	change("three in turn on point", "pinwheel", "[setting]\nkind = \"on-point\"\nalternate = [\"ohio-star\", \"plain\"]")
	change("by a plan", "pinwheel", "[setting]\nplan = [[\"pinwheel\", \"plain\", \"nine-patch\"], [\"ohio-star\"]]")
	change("border of blocks", "ohio-star", "[[border]]\nwidth = 2\nblock = \"pinwheel\"\n[[border]]\nwidth = 3\nblock = \"rail\"\nspacer = \"dark\"\n[part.rail]\ngrid = [2, 1]\n[[part.rail.patch]]\nat = [[1, 1], [1, 2]]\nrole = \"light\"")
	change("border of keys", "pinwheel", "[[border]]\nwidth = 1\n[[border]]\nwidth = 4\nkeys = 2.3\nroles = [\"light\", \"dark\"]\n[[border]]\nwidth = 3\nkeys = [1, 1.5, 2.25]\ncorner = \"red\"\n[[border]]\nwidth = 1.3\n[[border]]\nwidth = 3\nkeys = 7\n")
	out["sampler"] = read(t, "name = \"s\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[block]]\nrecipe = \"nine-patch\"\nwidth = 9\nframe = \"dark\"\n[[block]]\nrecipe = \"bricks\"\n[[block]]\nrecipe = \"log-cabin\"\n[sashing]\nwidth = 2\ncornerstone = \"dark\"")
	out["rows"] = read(t, "name = \"r\"\nwidth = 7\n[[row]]\nblocks = [\"ohio-star\", \"bricks\"]\nheight = 6\nturns = [180, 0]\n[[row]]\nheight = 1.5\nrole = \"dark\"\n[[row]]\nblock = \"pinwheel\"\nheight = 4\n[[border]]\nwidth = 2\nblock = \"pinwheel\"")
	change("turned", "log-cabin", "[setting]\nturns = [[0, 90, 180], [270, 0, 90]]")
	return out
}

func TestQuiltsAreTiled(t *testing.T) {
	for name, r := range quilts(t) {
		for _, size := range [][2]int{{1, 1}, {2, 3}, {3, 2}, {5, 4}} {
			l := r.QuiltLayout(size[0], size[1])
			requireTiled(t, l)
			in := 0
			for _, p := range l.Patches {
				if p.Kind == PlainSquare {
					in++
				}
			}
			inBorders := 0
			p := r.Places(size[0], size[1])
			require.Equal(t, p.PlainSquares+p.Halves, in, name)
			require.Equal(t, r.BlockCount(size[0], size[1]), p.Count(), name)
			blocks := map[int]bool{}
			for _, q := range l.Patches {
				inBorder := q.Of >= 0 && r.Blocks[q.Of].InBorder
				require.Equal(t, q.Block < 0 || inBorder, q.Row < 0 && q.Column < 0, name)
				if q.Block >= 0 {
					blocks[q.Block] = true
				}
			}
			for _, b := range p.InBorders {
				inBorders += b.Count
			}
			require.Len(t, blocks, p.Count()+p.Halves+inBorders, name)
		}
	}
}

// Common practice, no source: six-inch blocks three by four with two inches of
// sashing between measure 22 by 30; a border of 3 adds 6 each way.
func TestQuiltSize(t *testing.T) {
	r := builtIn(t, "pinwheel")
	r.Sashing = Sashing{WidthIn: 2}
	w, h := r.TopSize(3, 4)
	require.Equal(t, []float64{22, 30}, []float64{w, h})
	r.Borders = []Border{{WidthIn: 3}}
	w, h = r.QuiltSize(3, 4)
	require.Equal(t, []float64{28, 36}, []float64{w, h})
}

// On point, 4 by 5 blocks hold 12 between them, 14 sides and 4 corners (common
// practice, no source), and a 10-inch block stands 14.14 wide.
func TestOnPoint(t *testing.T) {
	r := builtIn(t, "log-cabin")
	r.Setting.Kind = OnPoint
	p := r.Places(4, 5)
	require.Equal(t, []int{32, 14, 4}, []int{p.Count(), p.Sides, p.Corners})
	w, h := r.TopSize(4, 5)
	require.InDelta(t, 56.57, w, 0.005)
	require.InDelta(t, 70.71, h, 0.005)
}

// Sashing on point goes round every block; the edges of the top run through the
// outer cornerstones, so that the setting triangles are those of the block alone
// (geometry: a triangle of half a block and its sashing, less half of the sashing
// on both legs).
func TestOnPointSashed(t *testing.T) {
	r := quilts(t)["on point, sashed"]
	plain := *r
	plain.Sashing = Sashing{}
	w, h := r.TopSize(3, 4)
	require.InDelta(t, 3*(r.WidthIn+1.5)*math.Sqrt2, w, 1e-9)
	require.InDelta(t, 4*(r.WidthIn+1.5)*math.Sqrt2, h, 1e-9)
	count := func(cuts []Lot, what string) (n int, cut Lot) {
		for _, c := range cuts {
			if slices.Contains(c.For, what) {
				n, cut = n+c.Count, c
			}
		}
		return n, cut
	}
	c := Method{System: Inches(), WOFIn: 40}
	cuts := r.TopCuts(3, 4, c)
	whole, halves, sashes := 0, 0, 0
	for _, p := range r.QuiltLayout(3, 4).Patches {
		switch {
		case p.Kind == InSashing:
			sashes++
		case p.Kind == Cornerstone && len(p.Polygon) == 3:
			halves++
		case p.Kind == Cornerstone:
			whole++
		}
	}
	n, strip := count(cuts, "sashing")
	require.Equal(t, sashes, n)
	require.Equal(t, []float64{2, r.WidthIn + 0.5}, []float64{strip.WidthIn, strip.LengthIn})
	n, _ = count(cuts, "cornerstones")
	require.Equal(t, whole, n)
	n, square := count(cuts, "half cornerstones, at the edges")
	require.Equal(t, []int{14, 4}, []int{halves, n})
	require.Equal(t, 3.375, square.WidthIn, "1½ × 1.414 + 1¼, up")
	for _, what := range []string{"side triangles", "corner triangles"} {
		n, sashed := count(cuts, what)
		m, bare := count(plain.TopCuts(3, 4, c), what)
		require.Equal(t, []float64{float64(m), bare.WidthIn}, []float64{float64(n), sashed.WidthIn}, what)
	}
}

// Quilts that are kept call stones by their number: they are counted row by row, whole and
// half ones alike.
func TestStonesAreCountedRowByRow(t *testing.T) {
	r := quilts(t)["on point, sashed"]
	step := r.diagonal() / 2
	var rows []int
	var xs []float64
	for _, p := range r.QuiltLayout(2, 3).Patches {
		if p.Kind == Cornerstone {
			at := p.Polygon.Centroid()
			rows, xs = append(rows, int(math.Round((at.Y-2)/step))), append(xs, at.X)
		}
	}
	require.Len(t, rows, 2*2+1*3+2*(2+3))
	for i := 1; i < len(rows); i++ {
		require.True(t, rows[i] > rows[i-1] || rows[i] == rows[i-1] && xs[i] > xs[i-1], "stone %d", i+1)
	}
}

func TestTurnedQuarters(t *testing.T) {
	l := builtIn(t, "reading-corner").BlockLayout(0)
	require.Len(t, l.Patches, 4*(2*4+2*3))
	// A quarter turned about the middle of the block gives the next.
	seen := map[string]int{}
	key := func(p Patch, turn int) string {
		g := make([]string, len(p.Polygon))
		for i, q := range p.Polygon {
			for range turn {
				q = geom.Point{X: 16 - q.Y, Y: q.X}
			}
			g[i] = fmt.Sprintf("%.3f %.3f", q.X, q.Y)
		}
		least := 0
		for i := range g {
			if g[i] < g[least] {
				least = i
			}
		}
		return p.Role.Name + strings.Join(append(g[least:], g[:least]...), ";")
	}
	for _, p := range l.Patches {
		seen[key(p, 0)]++
	}
	for _, p := range l.Patches {
		require.Equal(t, 1, seen[key(p, 1)])
	}
}

// What touches is found pair by pair, by walking along each side.
func TestNeighbours(t *testing.T) {
	for name, r := range quilts(t) {
		l := r.QuiltLayout(2, 2)
		got := l.Neighbours()
		for i, p := range l.Patches {
			var want []int
			for j, q := range l.Patches {
				if i != j && shareSeam(p.Polygon, q.Polygon) {
					want = append(want, j)
				}
			}
			require.Equal(t, want, got[i], "%s patch %d", name, i)
		}
	}
}

// shareSeam looks a hair to the other side of many places on the sides of a.
func shareSeam(a, b geom.Polygon) bool {
	const n = 40
	for i, p := range a {
		q := a[(i+1)%len(a)]
		out := geom.Point{X: q.Y - p.Y, Y: p.X - q.X}.Mul(1e-6 / p.Dist(q)) // the rings run clockwise
		for k := range n {
			at := p.Add(q.Sub(p).Mul((float64(k) + math.Sqrt2/3) / n)).Add(out) // at no corner of a patch
			if b.Contains(at) {
				return true
			}
		}
	}
	return false
}

func TestPolygonsRunClockwise(t *testing.T) {
	for name, r := range quilts(t) {
		for i, p := range r.QuiltLayout(3, 3).Patches {
			require.Positive(t, p.Polygon.SignedArea(), "%s patch %d", name, i)
		}
	}
}

// rect is a part of a grid.
type rect struct{ x, y, w, h int }

// split cuts a rectangle by straight lines at random.
func split(t *rapid.T, r rect) []rect {
	if r.w*r.h == 1 || rapid.IntRange(0, 3).Draw(t, "stop") == 0 {
		return []rect{r}
	}
	if r.w >= r.h {
		k := rapid.IntRange(1, r.w-1).Draw(t, "x")
		return append(split(t, rect{r.x, r.y, k, r.h}), split(t, rect{r.x + k, r.y, r.w - k, r.h})...)
	}
	k := rapid.IntRange(1, r.h-1).Draw(t, "y")
	return append(split(t, rect{r.x, r.y, r.w, k}), split(t, rect{r.x, r.y + k, r.w, r.h - k})...)
}

// patchText writes a patch for a rectangle, by any technique that suits it.
func writePatch(t *rapid.T, r rect) string {
	turn := rapid.IntRange(0, 3).Draw(t, "turn")
	w, h := r.w, r.h
	if turn%2 == 1 {
		w, h = h, w
	}
	kinds := []string{
		"role = \"any\"",
		"make = \"strip-set\"\nroles = [\"light\", \"dark\", \"red\"]",
		"make = \"strip-set\"\nwidths = [1, 3]\nroles = [\"light\", \"dark\"]",
		"make = \"strip-set\"\nsegment_widths = [2, 1]\nsegments = [[\"light\", \"dark\", \"any\"], [\"dark\", \"light\", \"dark\"]]",
		"make = \"strings\"\nroles = [\"light\", \"dark\"]",
		"make = \"crumbs\"\nrole = \"any\"",
		"make = \"half-rectangle\"\nroles = [\"light\", \"dark\"]",
		"make = \"half-rectangle\"\nlean = \"left\"\nroles = [\"light\", \"dark\"]",
	}
	if w == h {
		kinds = append(kinds,
			"make = \"half-square\"\nat_a_time = 8\nroles = [\"light\", \"dark\"]",
			"make = \"hourglass\"\nroles = [\"light\", \"dark\"]",
			"make = \"quarter-square\"\nroles = [\"light\", \"dark\", \"light\", \"background\"]")
		if w%2 == 1 && w > 1 {
			kinds = append(kinds,
				fmt.Sprintf("make = \"log-cabin\"\ncentre = 1\nlog = 1\nrounds = %d\nroles = [\"red\", \"light\", \"dark\"]", w/2),
				fmt.Sprintf("make = \"courthouse-steps\"\ncentre = 1\nlog = 1\nrounds = %d\nroles = [\"red\", \"light\", \"dark\"]", w/2))
		}
	}
	if w == 2*h {
		kinds = append(kinds, "make = \"flying-geese\"\nat_a_time = 4\nroles = [\"background\", \"dark\"]")
	}
	if min(w, h) > 1 {
		kinds = append(kinds, fmt.Sprintf("make = \"flip-corners\"\ncorner = %d\ncorners = [\"top-left\", \"bottom-right\", \"bottom-left\"]\nroles = [\"background\", \"dark\"]", min(w, h)/2))
	}
	return fmt.Sprintf("[[patch]]\nat = [[%d, %d, %d]]\nwide = %d\nhigh = %d\n%s\n", r.y+1, r.x+1, 90*turn, w, h, rapid.SampledFrom(kinds).Draw(t, "kind"))
}

func TestRandomRecipesAreTiled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rect{0, 0, rapid.IntRange(1, 9).Draw(t, "w"), rapid.IntRange(1, 9).Draw(t, "h")}
		text := fmt.Sprintf("name = \"random\"\nwidth = 12\ngrid = [%d, %d]\n", whole.w, whole.h)
		for _, r := range split(t, whole) {
			text += writePatch(t, r)
		}
		r, err := Read("random", []byte(text))
		require.NoError(t, err, text)
		requireTiled(t, r.BlockLayout(0))
		requireTiled(t, r.QuiltLayout(2, 2))
	})
}

func TestRandomBrokenRecipesAreRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rect{0, 0, rapid.IntRange(2, 9).Draw(t, "w"), rapid.IntRange(2, 9).Draw(t, "h")}
		parts := split(t, whole)
		head := fmt.Sprintf("name = \"random\"\nwidth = 12\ngrid = [%d, %d]\n", whole.w, whole.h)
		broken := rapid.IntRange(0, len(parts)-1).Draw(t, "broken")
		gone := parts[broken]
		gap, overlap, off := head, head, head
		for i, r := range parts {
			p := writePatch(t, r)
			overlap += p
			if i != broken {
				gap += p
				off += p
			}
		}
		overlap += fmt.Sprintf("[[patch]]\nat = [[%d, %d]]", gone.y+gone.h, gone.x+gone.w)
		off += fmt.Sprintf("[[patch]]\nat = [[%d, %d]]\nwide = %d\nhigh = %d", gone.y+1, gone.x+1, whole.w+1, gone.h)
		_, err := Read("random", []byte(gap))
		require.ErrorContains(t, err, fmt.Sprintf("gap in random at row %d, column %d", gone.y+1, gone.x+1))
		_, err = Read("random", []byte(overlap))
		require.ErrorContains(t, err, fmt.Sprintf("overlap at row %d, column %d", gone.y+gone.h, gone.x+gone.w))
		_, err = Read("random", []byte(off))
		require.ErrorContains(t, err, "runs off")
	})
}

func BenchmarkNeighbours(b *testing.B) {
	r, err := BuiltIn("reading-corner")
	require.NoError(b, err)
	l := r.QuiltLayout(10, 12)
	for b.Loop() {
		l.Neighbours()
	}
	b.ReportMetric(float64(len(l.Patches)), "patches")
}

// The blades of a pinwheel all meet in its middle; the points of a star lie on
// the sides of its centre (McKim, 101 Patchwork Patterns, 1931).
func TestBlocksLookAsTheyAreNamed(t *testing.T) {
	meet := 0
	for _, p := range builtIn(t, "pinwheel").BlockLayout(0).Patches {
		for _, q := range p.Polygon {
			if q == (geom.Point{X: 3, Y: 3}) {
				meet++
			}
		}
	}
	require.Equal(t, 8, meet)
	star := builtIn(t, "sawtooth-star").BlockLayout(0)
	at := func(x, y float64) string {
		for _, p := range star.Patches {
			if p.Polygon.Contains(geom.Point{X: x, Y: y}) {
				return p.Role.Name
			}
		}
		return ""
	}
	require.Equal(t, []string{"background", "background", "points", "points", "centre"}, []string{at(1, 1), at(6.1, 0.5), at(3.2, 2.5), at(8.8, 2.5), at(6.1, 3.1)})
	rails := builtIn(t, "rail-fence").QuiltLayout(2, 1)
	require.Equal(t, Tone("dark"), rails.Patches[2].Role.Value)
	_, low := rails.Patches[2].Polygon.Bounds()
	require.Equal(t, 6.0, low.Y) // lying, the dark rail is the lowest
	right, _ := rails.Patches[3].Polygon.Bounds()
	require.InDelta(t, 10, right.X, 1e-9) // turned clockwise, the top rail stands at the right
}

// Patches that share a seam meet at its ends too, and are no corners.
func TestCornersAreOfPatchesWithoutASeam(t *testing.T) {
	r, err := BuiltIn("four-patch")
	require.NoError(t, err)
	l := r.BlockLayout(0)
	corners := l.Corners()
	require.NotEmpty(t, corners)
	beside := l.Neighbours()
	for _, c := range corners {
		require.Less(t, c[0], c[1])
		require.NotContains(t, beside[c[0]], c[1])
	}
	require.Len(t, corners, 2)
}
