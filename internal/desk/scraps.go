package desk

import (
	"cmp"
	"slices"

	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// besides takes from what is offered whole the pieces that a plan pulls for no patch of its
// own; see plan.Pull.Besides.
func (b *builder) besides(pull plan.Pull) {
	p := &b.a.Problem
	for _, x := range pull.Besides() {
		for i := range p.Pieces {
			if p.Pieces[i].Holding == x.ID && b.a.sets[i] == nil && !b.a.CutFrom[i] {
				p.Pieces[i].Count = max(0, p.Pieces[i].Count-x.Count)
			}
		}
	}
}

// scraps offers what a plan pulls for strings and crumbs to the patches that are drawn for
// them: of each holding as many as its area gives, as the plan counts, and strings where a
// piece is long enough. The patches are dealt the longest first, to the holding of which
// the largest share is left, so that every cloth comes in all lengths. What is locked in a
// kept layout, or begun, is dealt before all else.
func (b *builder) scraps(pull plan.Pull, laid *plan.Laid) {
	type dealt struct {
		id    int64
		class int
	}
	given := map[dealt]int{}
	var order []dealt
	for _, s := range pull.Scraps {
		var open []int
		var drawn float64
		for i, parts := range b.a.Parts {
			if k := parts[0].key; k.scraps != "" && k.role == s.Role {
				open = append(open, i)
				drawn += k.width * k.length
			}
		}
		slices.SortStableFunc(open, func(i, j int) int { return -cmp.Compare(b.a.Parts[i][0].key.length, b.a.Parts[j][0].key.length) })
		wanted := s.WantedIn2
		if s.ShortIn2() == 0 {
			wanted = min(wanted, s.GivenIn2)
		}
		whole, left := make([]float64, len(s.Pulled)), make([]float64, len(s.Pulled))
		for k, x := range s.Pulled {
			h := b.a.Holdings[b.at[x.ID]]
			whole[k] = float64(x.Count) * h.WidthIn * h.LengthIn
			left[k] = whole[k]
		}
		deal := func(place, k int) {
			key := b.a.Parts[place][0].key
			left[k] -= key.width * key.length * wanted / drawn
			d := dealt{s.Pulled[k].ID, b.a.Problem.Places[place].Class}
			if given[d]++; given[d] == 1 {
				order = append(order, d)
			}
		}
		open = slices.DeleteFunc(open, func(i int) bool {
			if laid == nil {
				return false
			}
			one := laid.Of(b.a.firstName(i))
			if one == nil || !one.Scrap || !one.Locked && one.Stage == "" {
				return false
			}
			k := slices.IndexFunc(s.Pulled, func(x plan.Pulled) bool { return x.ID == one.Holding })
			if k >= 0 {
				deal(i, k)
			}
			return k >= 0
		})
		for _, i := range open {
			key, best := b.a.Parts[i][0].key, -1
			least := key.width * key.length * wanted / drawn
			if s.ShortIn2() == 0 { // it suffices, so the last is sewn of what is over
				least = nothing
			}
			for k, x := range s.Pulled {
				h := b.a.Holdings[b.at[x.ID]]
				if left[k] < least || key.scraps == recipe.Strings && max(h.WidthIn, h.LengthIn) < key.length {
					continue
				}
				if best < 0 || left[k]/whole[k] > left[best]/whole[best] {
					best = k
				}
			}
			if best >= 0 {
				deal(i, best)
			}
		}
	}
	for _, d := range order {
		b.offer(d.id, given[d], d.class)
	}
}

// nothing is an area that counts as none, square inches.
const nothing = 1e-6
