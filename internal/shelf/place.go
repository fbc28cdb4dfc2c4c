package shelf

import (
	"cmp"

	"piecebag/internal/cloth"
)

// place is where on the shelf pieces lie: the key of a box.
type place struct {
	Alike
	Cut
}

// compare returns the order of a shelf.
func (p place) compare(q place) int {
	return cmp.Or(p.Alike.compare(q.Alike), p.Cut.compare(q.Cut))
}

// Compare returns the order in which holdings lie on the shelf.
func Compare(a, b cloth.Holding) int {
	return place{AlikeOf(a), CutOf(a)}.compare(place{AlikeOf(b), CutOf(b)})
}

// gathered holds values by their keys, in the order in which the keys came.
type gathered[K comparable, V any] struct {
	at  map[K]int
	all []V
}

// of returns the value of a key: fresh, where the key is new.
func (g *gathered[K, V]) of(k K, fresh V) *V {
	i, known := g.at[k]
	if !known {
		if g.at == nil {
			g.at = map[K]int{}
		}
		i = len(g.all)
		g.at[k], g.all = i, append(g.all, fresh)
	}
	return &g.all[i]
}
