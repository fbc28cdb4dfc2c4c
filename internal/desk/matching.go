package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/arrange"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// Part is one cut piece of a place.
type Part struct {
	Patches []int // of the top
	key     classKey
	inSet   bool
}

// kindOf returns a key that is the same for sets with the same parts; empty for a piece
// that is in no set.
func kindOf(parts []Part) string {
	if !parts[0].inSet {
		return ""
	}
	parts = slices.Clone(parts)
	slices.SortStableFunc(parts, func(a, b Part) int { return a.key.compare(b.key) })
	var keys []classKey
	for _, p := range parts {
		keys = append(keys, p.key)
	}
	return fmt.Sprint(keys)
}

// partsOf returns the parts of a set that is wanted.
func partsOf(s recipe.Set) (out []Part) {
	for _, p := range s.Pieces {
		out = append(out, slices.Repeat([]Part{{key: classKey{s.Role, p.WidthIn, p.LengthIn, ""}, inSet: true}}, p.Count)...)
	}
	return out
}

// setPiece is cloth that lies in a part of a set; a holding of 0 is none.
type setPiece struct {
	holding int64
	cut     bool // from it; false: it is that size
}

// lies returns the holding that fills a part of the place where a piece lies, 0 for none,
// and whether the part is cut from it.
func (a *Arrangement) lies(piece, part int) (holding int64, cut bool) {
	if piece < 0 {
		return 0, false
	}
	if set := a.sets[piece]; set != nil {
		return set[part].holding, set[part].cut
	}
	return a.Problem.Pieces[piece].Holding, a.CutFrom[piece]
}

// of reports whether a piece is of a holding, or is a set with a part of it.
func (a *Arrangement) of(piece int, holding int64) bool {
	return a.Problem.Pieces[piece].Holding == holding || slices.ContainsFunc(a.sets[piece], func(s setPiece) bool { return s.holding == holding })
}

// nameOf returns the name of a part, which is that of its first patch.
func (a *Arrangement) nameOf(p Part) string { return a.Names[p.Patches[0]] }

// placeNamed returns the place of a patch, -1 for none.
func (a *Arrangement) placeNamed(name string) int {
	patch := slices.IndexFunc(a.Names, func(n string) bool { return strings.EqualFold(n, name) })
	return slices.IndexFunc(a.Problem.Places, func(p arrange.Place) bool { return slices.Contains(p.Patches, patch) })
}

// firstName returns the name of a place, which is that of its first patch.
func (a *Arrangement) firstName(place int) string {
	return a.Names[a.Problem.Places[place].Patches[0]]
}

func noSuchPatch(name string) error {
	return fault.Usage(name, "no print of the stash lies in such a patch", "patches are called as the layout names them, like A5")
}

// partNamed returns the part to which the patch of a name belongs, nil for none.
func (a *Arrangement) partNamed(name string) *Part {
	i := a.placeNamed(name)
	if i < 0 {
		return nil
	}
	k := slices.IndexFunc(a.Parts[i], func(p Part) bool {
		return slices.ContainsFunc(p.Patches, func(patch int) bool { return strings.EqualFold(a.Names[patch], name) })
	})
	return &a.Parts[i][k]
}

// Pieces counts the cut pieces of prints that a quilt has.
func (a *Arrangement) Pieces() (n int) {
	for _, parts := range a.Parts {
		n += len(parts)
	}
	return n
}

// classOf returns the class of a place with these parts, which it sorts: all sets with the
// same parts have one class.
func (b *builder) classOf(parts []Part) int {
	if len(parts) == 1 {
		k := parts[0].key
		if _, ok := b.classes[k]; !ok {
			b.classes[k] = b.newClass(k.want())
			b.ofScraps[b.classes[k]] = k.scraps != ""
		}
		return b.classes[k]
	}
	slices.SortStableFunc(parts, func(a, b Part) int { return a.key.compare(b.key) })
	name := kindOf(parts)
	if _, ok := b.setClasses[name]; !ok {
		b.setClasses[name] = b.newClass(cutting.Want{})
	}
	return b.setClasses[name]
}

func (k classKey) compare(o classKey) int {
	return cmp.Or(cmp.Compare(o.length, k.length), cmp.Compare(o.width, k.width), cmp.Compare(k.role.Name, o.role.Name))
}

func (b *builder) newClass(w cutting.Want) int {
	b.wants = append(b.wants, w)
	b.a.Problem.Suits = append(b.a.Problem.Suits, nil)
	return len(b.wants) - 1
}

// matched offers the sets that a plan gives, each as a whole, and no longer offers their
// pieces one by one.
func (b *builder) matched(pull plan.Pull) {
	p := &b.a.Problem
	for _, s := range pull.Cover.Sets {
		type piece struct {
			setPiece
			key classKey
		}
		var all []piece
		for _, q := range s.Pieces {
			all = append(all, piece{setPiece{q.ID, q.Cut}, keyOf(pull, q.Want)})
			for i := range p.Pieces {
				if !q.Cut && p.Pieces[i].Holding == q.ID && p.Pieces[i].Count > 0 && b.a.sets[i] == nil && !b.a.CutFrom[i] {
					p.Pieces[i].Count--
				}
			}
		}
		slices.SortStableFunc(all, func(a, b piece) int { return a.key.compare(b.key) })
		parts, set := make([]Part, len(all)), make([]setPiece, len(all))
		for i, q := range all {
			parts[i].key, parts[i].inSet, set[i] = q.key, true, q.setPiece
		}
		b.offerSet(set, b.classOf(parts))
	}
}

// offerSet adds a set, to lie in places of a class, and returns its index; it looks like
// the first of its holdings.
func (b *builder) offerSet(set []setPiece, class int) int {
	i := slices.IndexFunc(set, func(s setPiece) bool { return s.holding != 0 })
	n := len(b.a.Problem.Pieces)
	b.offer(set[i].holding, 1, class)
	if len(set) > 1 {
		b.a.sets[n] = set
	} else {
		b.a.CutFrom[n] = set[0].cut
	}
	return n
}

// laidSet offers the set that lies in a place of a kept layout, and returns its index, -1
// for none.
func (b *builder) laidSet(laid *plan.Laid, place int) int {
	a := b.a
	set := make([]setPiece, len(a.Parts[place]))
	some := false
	for k, part := range a.Parts[place] {
		one := laid.Of(a.nameOf(part))
		if one == nil || one.Holding == 0 {
			continue
		}
		if !b.there(one) {
			a.Gone = append(a.Gone, a.nameOf(part))
			continue
		}
		set[k], some = setPiece{one.Holding, one.Cut}, true
	}
	if !some {
		return -1
	}
	return b.offerSet(set, a.Problem.Places[place].Class)
}

// staySets leaves in place the sets of which a piece is locked or its work was begun.
func (b *builder) staySets(laid *plan.Laid) {
	a := b.a
	if laid == nil {
		return
	}
	a.before = laid
	for i, parts := range a.Parts {
		var ones []*plan.LaidPiece
		stays := false
		for _, part := range parts {
			one := laid.Of(a.nameOf(part))
			if one == nil || one.Holding == 0 {
				continue
			}
			ones = append(ones, one)
			stays = stays || one.Locked || one.Stage != ""
		}
		if len(parts) < 2 || !stays {
			continue
		}
		gone := len(a.Gone)
		x := b.laidSet(laid, i)
		if a.Gone = a.Gone[:gone]; x < 0 {
			continue
		}
		a.Problem.Places[i].Kept = x
		for _, one := range ones {
			a.stays[one.Patch] = one
			if one.Stage != plan.SewnStage && (!one.Cut || !slices.ContainsFunc(b.staying, func(p plan.Pulled) bool { return p.ID == one.Holding })) {
				b.staying = append(b.staying, plan.Pulled{ID: one.Holding, Count: 1})
			}
		}
	}
}
