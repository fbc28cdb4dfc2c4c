package plan

import (
	"cmp"
	"maps"
	"slices"
	"sort"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

// Scraps is cloth that a quilt uses as it comes, in pieces of any width: strings and
// crumbs.
type Scraps struct {
	Role      recipe.Role
	For       string
	WantedIn2 float64
	GivenIn2  float64 // by the stash; may be more than wanted
	Pulled    []Pulled
	// Lacking is the share that the stash does not give, 0..1: of the area of crumbs, and of
	// the foundations that no string reaches across.
	Lacking float64
	Lengths []StringLength // that strings are cut at; nil of crumbs
}

// ShortIn2 returns what the stash does not give, square inches.
func (s Scraps) ShortIn2() float64 { return s.WantedIn2 * s.Lacking }

// AnyShort is an area of strings or crumbs that the stash does not give.
type AnyShort struct {
	For string  `json:"for"` // "strings"
	In2 float64 `json:"in2"`
}

// String returns "2 handfuls of strings".
func (s AnyShort) String() string {
	return cloth.Count(recipe.Handfuls(s.In2), "handful") + " of " + s.For
}

// anyShort returns what lacks of strings and crumbs, of all roles together.
func (p Pull) anyShort() (out []AnyShort) {
	for _, s := range p.Scraps {
		if s.ShortIn2() <= 0 {
			continue
		}
		i := slices.IndexFunc(out, func(x AnyShort) bool { return x.For == s.For })
		if i < 0 {
			i, out = len(out), append(out, AnyShort{For: s.For})
		}
		out[i].In2 += s.ShortIn2()
	}
	return out
}

// CountOf returns how many pieces are pulled in all.
func CountOf(pulled []Pulled) (n int) {
	for _, p := range pulled {
		n += p.Count
	}
	return n
}

// widestScrap is the shorter side, inches, up to which a piece that is no strip is used for
// strings or crumbs instead of being kept for patches; for strings it must also be twice as
// long as wide (common practice, no source).
const widestScrap = 3.0

// scraps takes what strings and crumbs are sewn from out of the cloth that the quilt
// leaves: its own first, then the narrowest, which is of least use otherwise. Only whole
// pieces are taken. Background is one fabric, which is bought; its print is kept for it.
//
// Crumbs are taken by area, and strings until they reach across every foundation: cut up and
// sewn from the diagonal outwards, each as long as the foundation is at its place.
func (p *Pull) scraps(stock []cloth.Holding, own []Pulled, background string) {
	before := counts(own)
	n := p.Needs
	foundations := n.Recipe.Strung(n.Columns, n.Rows, n.Shop.System)
	pools := map[recipe.Role][]stringPiece{}
	for _, c := range n.Cuts {
		if c.AnyIn2 == 0 || c.Role.Background {
			continue
		}
		need := Scraps{Role: c.Role, For: strings.Join(c.For, " and "), WantedIn2: c.AnyIn2}
		left, _ := Leave(stock, p.Pulled())
		strung := slices.Equal(c.For, []string{string(recipe.Strings)})
		suits := func(h cloth.Holding) bool {
			return isScrap(h, strung) && (background == "" || h.Print != background) && c.Role.Suits(h.Family, h.Value)
		}
		left = slices.DeleteFunc(left, func(h cloth.Holding) bool { return !suits(h) })
		slices.SortStableFunc(left, func(a, b cloth.Holding) int {
			return cmp.Or(-cmp.Compare(min(1, before[a.ID]), min(1, before[b.ID])), compareScraps(a, b))
		})
		if strung {
			need.string(left, foundations, n.Shop.System.Seam, pools, len(p.Stock) > 0)
		} else {
			need.take(left)
		}
		if len(p.Stock) > 0 { // a quilt that is only reckoned holds none
			for _, x := range need.Pulled {
				p.hold(left[slices.IndexFunc(left, func(h cloth.Holding) bool { return h.ID == x.ID })], x.Count)
			}
		}
		p.Scraps = append(p.Scraps, need)
	}
}

// isScrap reports whether cloth is used for crumbs, or for strings.
func isScrap(h cloth.Holding, strings bool) bool {
	narrow, long := min(h.WidthIn, h.LengthIn), max(h.WidthIn, h.LengthIn)
	usual := h.Form == cloth.Strip || narrow <= widestScrap && (!strings || long >= 2*narrow)
	return narrow >= recipe.LeastString && h.Form != cloth.Weighed && usual
}

// compareScraps puts the narrowest first, of those as narrow the smallest.
func compareScraps(a, b cloth.Holding) int {
	return cmp.Or(cmp.Compare(min(a.WidthIn, a.LengthIn), min(b.WidthIn, b.LengthIn)), cmp.Compare(a.WidthIn*a.LengthIn, b.WidthIn*b.LengthIn))
}

// take takes pieces until their area is enough.
func (s *Scraps) take(from []cloth.Holding) {
	for _, h := range from {
		n := 0
		for ; n < h.Count && s.GivenIn2 < s.WantedIn2; n++ {
			s.GivenIn2 += h.WidthIn * h.LengthIn
		}
		if n > 0 {
			s.Pulled = append(s.Pulled, Pulled{h.ID, n})
		}
	}
	s.Lacking = max(0, 1-s.GivenIn2/s.WantedIn2)
}

// string takes pieces until strings of them reach across all foundations, and of those the
// ones that are cut into; of the narrowest, or, which is quicker, of all. pools are those of
// the roles before, and gain its own.
func (s *Scraps) string(from []cloth.Holding, foundations []recipe.Strung, seam float64, pools map[recipe.Role][]stringPiece, narrowest bool) {
	var all []stringPiece
	for _, h := range from {
		for range h.Count {
			all = append(all, stringPiece{ID: h.ID, wide: min(h.WidthIn, h.LengthIn), left: max(h.WidthIn, h.LengthIn)})
		}
	}
	try := func(n int) *strung {
		pools[s.Role] = all[:n]
		return deal(foundations, seam, maps.Clone(pools))[s.Role]
	}
	got := try(len(all))
	if got == nil { // more roles than strings
		s.take(from)
		return
	}
	if narrowest && got.covers() {
		least := sort.Search(len(all), func(n int) bool { return try(n).covers() })
		got = try(least)
	}
	s.Lengths, s.Lacking = got.sorted(), 1-got.covered/got.all
	if s.Lacking < onMark {
		s.Lacking = 0
	}
	for _, h := range from {
		if n := got.used[h.ID]; n > 0 {
			s.Pulled = append(s.Pulled, Pulled{h.ID, n})
			s.GivenIn2 += float64(n) * h.WidthIn * h.LengthIn
		}
	}
}

// hold makes Stock contain n pieces of a holding in addition to what is pulled of it.
func (p *Pull) hold(h cloth.Holding, n int) {
	pulled := counts(p.Pulled())[h.ID]
	i := slices.IndexFunc(p.Stock, func(s cloth.Holding) bool { return s.ID == h.ID })
	if i < 0 {
		i = len(p.Stock)
		p.Stock = append(slices.Clip(p.Stock), h)
		p.Stock[i].Count = 0
	} else {
		p.Stock = slices.Clone(p.Stock)
	}
	p.Stock[i].Count = max(p.Stock[i].Count, pulled+n)
}
