package plan

import (
	"cmp"
	"slices"
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
}

// ShortIn2 returns what the stash does not give, square inches.
func (s Scraps) ShortIn2() float64 { return max(0, s.WantedIn2-s.GivenIn2) }

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
func (p *Pull) scraps(stock []cloth.Holding, own []Pulled, background string) {
	before := counts(own)
	for _, c := range p.Needs.Cuts {
		if c.AnyIn2 == 0 || c.Role.Background {
			continue
		}
		need := Scraps{Role: c.Role, For: strings.Join(c.For, " and "), WantedIn2: c.AnyIn2}
		left, _ := Leave(stock, p.Pulled())
		strung := slices.Equal(c.For, []string{string(recipe.Strings)})
		suits := func(h cloth.Holding) bool {
			narrow, long := min(h.WidthIn, h.LengthIn), max(h.WidthIn, h.LengthIn)
			usual := h.Form == cloth.Strip || narrow <= widestScrap && (!strung || long >= 2*narrow)
			return narrow >= recipe.LeastString && (background == "" || h.Print != background) && h.Form != cloth.Weighed && usual && c.Role.Suits(h.Family, h.Value)
		}
		left = slices.DeleteFunc(left, func(h cloth.Holding) bool { return !suits(h) })
		slices.SortStableFunc(left, func(a, b cloth.Holding) int {
			return cmp.Or(
				-cmp.Compare(min(1, before[a.ID]), min(1, before[b.ID])),
				cmp.Compare(min(a.WidthIn, a.LengthIn), min(b.WidthIn, b.LengthIn)),
				cmp.Compare(a.WidthIn*a.LengthIn, b.WidthIn*b.LengthIn),
			)
		})
		for _, h := range left {
			area := h.WidthIn * h.LengthIn
			n := 0
			for ; n < h.Count && need.ShortIn2() > 0; n++ {
				need.GivenIn2 += area
			}
			if n == 0 {
				continue
			}
			need.Pulled = append(need.Pulled, Pulled{h.ID, n})
			p.hold(h, n)
		}
		p.Scraps = append(p.Scraps, need)
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
