package cutting

import (
	"slices"

	"github.com/stretchr/testify/require"

	"piecebag/internal/geom"
)

// eps is a tenth of a thousandth of an inch, far below a tick's rounding.
const eps = 1e-4

// requireCuttable fails unless the rectangles lie inside w × h, apart from one
// another, and can be parted by cuts from edge to edge.
func requireCuttable(t require.TestingT, w, h float64, rects []geom.Rect) {
	for i, a := range rects {
		require.True(t, a.W > 0 && a.H > 0, "%v has no area", a)
		require.True(t, a.X >= -eps && a.Y >= -eps && a.X+a.W <= w+eps && a.Y+a.H <= h+eps, "%v is outside %v × %v", a, w, h)
		for _, b := range rects[:i] {
			apart := a.X+a.W <= b.X+eps || b.X+b.W <= a.X+eps || a.Y+a.H <= b.Y+eps || b.Y+b.H <= a.Y+eps
			require.True(t, apart, "%v and %v overlap", a, b)
		}
	}
	require.True(t, parted(rects), "no cuts from edge to edge part %v", rects)
}

// parted reports whether cuts from edge to edge part the rectangles: all the cuts
// that cross none are made one way, then the other way in each part. Making
// every free cut at once loses nothing: it only makes later cuts shorter.
func parted(rects []geom.Rect) bool {
	if len(rects) < 2 {
		return true
	}
	for _, along := range []bool{true, false} {
		groups := split(rects, along)
		if len(groups) < 2 {
			continue
		}
		for _, g := range groups {
			if !parted(g) {
				return false
			}
		}
		return true
	}
	return false
}

func split(rects []geom.Rect, along bool) [][]geom.Rect {
	span := func(r geom.Rect) (float64, float64) {
		if along {
			return r.Y, r.Y + r.H
		}
		return r.X, r.X + r.W
	}
	sorted := slices.Clone(rects)
	slices.SortFunc(sorted, func(a, b geom.Rect) int {
		p, _ := span(a)
		q, _ := span(b)
		if p < q {
			return -1
		}
		return 1
	})
	var out [][]geom.Rect
	end := 0.0
	for _, r := range sorted {
		from, to := span(r)
		if len(out) == 0 || from >= end-eps {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], r)
		end = max(end, to)
	}
	return out
}

func rectsOf(ps []Placement) []geom.Rect {
	var out []geom.Rect
	for _, p := range ps {
		out = append(out, p.Rect)
	}
	return out
}
