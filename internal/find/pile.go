package find

import (
	"embed"
	"slices"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

const (
	// startLimit is the log odds against a merge at which basins stop merging
	// by their borders alone; mostPatches keeps them merging a little longer
	// where very many are left.
	startLimit  = -2
	mostPatches = 200
	// treeLimit is the log odds against a merge at which the tree stops.
	treeLimit = 2.5
	// pieceLeast is the chance from which on a patch is worth giving: the
	// expected F1 gains by guesses at less than even odds.
	pieceLeast = 0.35
)

// findPile finds the visible area of every piece in a photo of loose,
// overlapping pieces: it cuts the cloth into basins of like colour, merges them
// into patches by what their common borders and their colours say, then merges
// patches, touching or not, that lie as one piece would, and at last takes from
// the tree of merges the patches that look most like pieces.
func findPile(g *grid, r *ground) []cloth.Region {
	in := clothOf(r)
	if !slices.Contains(in, true) {
		return nil
	}
	c, book, basin, n, fr := oversegment(g, r, in)
	if n < 2 {
		return nil
	}
	m := learned()
	graph := newRegions(c, book, basin, n, fr, func(f *fragment) float32 { return m.fragment.logOdds(f.f[:]) })
	graph.run(func(e *border) float32 {
		f := graph.features(e)
		return m.border.logOdds(f[:])
	}, func(e *border, key float32) bool {
		// Region 0 is the ground, which no cloth is part of.
		return e.a == 0 || e.b == 0 || key > startLimit && (graph.live <= mostPatches || key > 0)
	})
	t := newPatchTree(c, graph, basin, func(f *[numPair]float32) float32 { return m.pair.logOdds(f[:]) })
	first := append([]int32(nil), t.m.label...)
	t.grow(treeLimit)
	var out []cloth.Region
	for _, k := range t.choose(&m.piece) {
		if reg, ok := t.region(k, first); ok {
			out = append(out, reg)
		}
	}
	readingOrder(out)
	return out
}

// choose takes the patches, none within another, whose chances of being pieces
// add up to most, each counted for what it has above pieceLeast.
func (t *patchTree) choose(piece *forest) []int {
	n := len(t.nodes)
	parent := make([]float32, n)
	root := make([]bool, n)
	for i := range parent {
		parent[i], root[i] = 6, true
	}
	for _, p := range t.nodes {
		for _, k := range p.kids {
			if k >= 0 {
				parent[k], root[k] = p.made, false
			}
		}
	}
	worth := make([]float32, n)
	take := make([]bool, n)
	for i, p := range t.nodes { // a patch comes after those it was made of
		for _, k := range p.kids {
			if k >= 0 {
				worth[i] += worth[k]
			}
		}
		f := t.describe(i, parent[i])
		if w := logistic(piece.logOdds(f[:])) - pieceLeast; w > worth[i] {
			worth[i], take[i] = w, true
		}
	}
	var out []int
	var walk func(i int)
	walk = func(i int) {
		if take[i] {
			out = append(out, i)
			return
		}
		for _, k := range t.nodes[i].kids {
			if k >= 0 {
				walk(k)
			}
		}
	}
	for i := range root {
		if root[i] {
			walk(i)
		}
	}
	return out
}

// region gives node n as a region of the picture; first is the label picture
// before anything was merged.
func (t *patchTree) region(n int, first []int32) (cloth.Region, bool) {
	c := t.m.c
	in := make([]int32, len(first))
	ids := make([]bool, len(t.slot))
	for _, k := range t.nodes[n].ids {
		ids[k] = true
	}
	for i, l := range first {
		in[i] = -1
		if l >= 0 && ids[l] {
			in[i] = 0
		}
	}
	rings := outlines(in, c.w, c.h, 1)[0]
	for i, r := range rings {
		rings[i] = simplify(r, 0.75)
	}
	ring := joinRings(rings, 30)
	if len(ring) < 3 {
		return cloth.Region{}, false
	}
	ring = shiftBy(ring, geom.Point{X: float64(c.x0), Y: float64(c.y0)})
	reg := cloth.Region{Polygon: ring, Trust: 0.6}
	if q, fit := fitQuad(geom.ConvexHull(ring)); fit > quadEnough && overlap(ring, q[:]) > quadEnough {
		reg.Corners, reg.Trust = q[:], 0.8
	}
	return reg, true
}

// forests are four sums of decision trees, fitted to photos made up by package
// scene: whether a stretch of border between two basins is an edge of cloth,
// whether a whole border is, whether two patches belong to different pieces,
// and whether a patch is a piece.
//
//go:embed forests/*.txt
var forests embed.FS

type learnt struct{ fragment, border, pair, piece forest }

var learned = sync.OnceValue(func() *learnt {
	m := new(learnt)
	for _, f := range []struct {
		name     string
		features int
		into     *forest
	}{
		{"fragment", numFeat, &m.fragment},
		{"border", numPhi, &m.border},
		{"pair", numPair, &m.pair},
		{"piece", numNode, &m.piece},
	} {
		b, err := forests.ReadFile("forests/" + f.name + ".txt")
		if err != nil {
			panic(err) // embedded
		}
		parsed, err := parseForest(b, f.features)
		if err != nil {
			panic(err)
		}
		*f.into = *parsed
	}
	return m
})
