package geom

import (
	"cmp"
	"slices"
)

func sortPoints(p []Point) {
	slices.SortFunc(p, func(a, b Point) int {
		if c := cmp.Compare(a.X, b.X); c != 0 {
			return c
		}
		return cmp.Compare(a.Y, b.Y)
	})
}
