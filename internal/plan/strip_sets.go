package plan

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// StripSet is strips of the stash that are sewn together along their length, squared and cut
// across. Lengths are inches.
type StripSet struct {
	Of       int         // of Pull.Segments: what is cut across it
	Strips   []SewnStrip // from the top
	Segments int         // that it gives
	LengthIn float64     // that each strip is at least, what is squared off counted in
}

// SewnStrip is one strip of a set.
type SewnStrip struct {
	ID  int64 // of the holding; 0: cut from new cloth
	Cut int   // of the cuts that are settled, from 1, as cutting.Diagram has it; 0: new cloth
	Row int   // of that cut, from 0
}

// leastSegments is the fewest segments for which strips are sewn together: a single one
// saves no seam.
const leastSegments = 2

// setCloth is one piece of the stash that strips for strip sets may come from.
type setCloth struct {
	cloth.Holding
	stock   int
	own     bool
	free    float64 // width that is not slit off yet
	usable  float64 // length, its end squared off
	settled int     // place in the cuts that are settled, from 1; 0: none yet
}

// The tiers of cloth: each is taken only where those before it do not give as much.
const (
	ofWidth    = iota // strips of the width
	wider             // strips that are slit
	otherCloth        // what strips are cut from
)

// AtWidth is how far a strip may be from the width that a strip set wants, inches.
const AtWidth = 1.0 / 16

func (c setCloth) tierFor(width float64) int {
	switch {
	case c.Form != cloth.Strip:
		return otherCloth
	case c.WidthIn > width+AtWidth:
		return wider
	}
	return ofWidth
}

// sewing is the work of planning strip sets.
type sewing struct {
	p          *Pull
	background string
	trim       float64
	newIn      float64 // how long a strip of new cloth can be cut from
	cloths     []setCloth
	room       []int // of each want, what is not settled yet
	sets       []StripSet
	settled    []cutting.Settled
}

func (s sewing) clone() sewing {
	s.cloths, s.room, s.sets = slices.Clone(s.cloths), slices.Clone(s.room), slices.Clone(s.sets)
	s.settled = slices.Clone(s.settled)
	for i := range s.settled {
		s.settled[i].Rows = slices.Clone(s.settled[i].Rows)
	}
	return s
}

// newSewing begins with a stash that nothing is cut from yet.
func (p *Pull) newSewing(stock []cloth.Holding, own []Pulled, background string, o cutting.Options) sewing {
	s := sewing{p: p, background: background, newIn: o.Usable(p.Needs.Shop.usableIn())}
	s.trim = p.Needs.Shop.usableIn() - s.newIn
	mine := counts(own)
	for i, h := range stock {
		if h.Form != cloth.Strip && h.Form != cloth.Rectangle {
			continue
		}
		for copy := range h.Count {
			s.cloths = append(s.cloths, setCloth{Holding: h, stock: i, own: copy < mine[h.ID], free: h.WidthIn, usable: o.Usable(h.LengthIn)})
		}
	}
	for _, w := range p.Wants {
		s.room = append(s.room, w.Count)
	}
	return s
}

// bought reports whether strips of a role come from new cloth.
func (s *sewing) bought(r recipe.Role) bool { return r.Background && s.background == "" }

// suits reports whether some cloth may be of a role.
func (s *sewing) suits(r recipe.Role, h cloth.Holding) bool {
	if r.Background {
		return h.Print == s.background
	}
	return (s.background == "" || h.Print != s.background) && r.Suits(h.Family, h.Value)
}

// wantOf returns the want of the patches that a strip gives; below 0: none.
func (s *sewing) wantOf(g recipe.Segment, x recipe.SetStrip) int {
	for i, w := range s.p.Wants {
		if w.Set == 0 && s.p.Roles[i] == x.Role && near(w.W, min(x.CutIn, g.AcrossIn)) && near(w.L, max(x.CutIn, g.AcrossIn)) {
			return i
		}
	}
	return -1
}

// all plans as many segments of every kind as the strips give, and takes no more tiers of
// cloth than needed for that.
func (s *sewing) all() {
	for k, g := range s.p.Segments {
		most, each := g.Count, map[int]int{}
		for _, x := range g.Strips {
			if !s.bought(x.Role) {
				each[s.wantOf(g, x)]++
			}
		}
		for want, n := range each {
			if want < 0 {
				most = 0
				continue
			}
			most = min(most, s.room[want]/n)
		}
		if len(each) == 0 { // all of it is bought
			continue
		}
		best, sewn := *s, 0
		for tier := otherCloth; tier >= ofWidth; tier-- {
			try := s.clone()
			if n := try.kind(k, most, tier); n >= sewn {
				best, sewn = try, n
			}
		}
		*s = best
	}
}

// kind sews sets for so many segments of a kind at most, from cloth up to a tier: the
// longest strips first, of every row, so that the sets are few. It gives how many segments
// they come to.
func (s *sewing) kind(k, most, tier int) (sewn int) {
	g := s.p.Segments[k]
	order := make([]int, len(g.Strips)) // the strip for which the least cloth is suitable chooses first
	for i := range order {
		order[i] = i
	}
	wish := func(i int) int {
		r := g.Strips[i].Role
		return btoi(r.Family != "") + btoi(r.Value != "")
	}
	slices.SortStableFunc(order, func(a, b int) int { return wish(b) - wish(a) })
	for sewn < most {
		longest, n := s.set(g, order, tier, 0, most-sewn)
		if longest == nil || n < min(leastSegments, most) {
			break
		}
		chosen, _ := s.set(g, order, tier, n, n)
		s.take(k, g, chosen, n)
		sewn += n
	}
	return sewn
}

// set chooses cloth for the strips of a set, by their place, -1 for new cloth: the longest
// where least is 0, else the shortest that gives so many segments; n is how many they give,
// most at most. nil: there is none.
func (s *sewing) set(g recipe.Segment, order []int, tier, least, most int) (chosen []int, n int) {
	n = most
	chosen = make([]int, len(g.Strips))
	slit := map[int]float64{} // of each cloth, in this set
	prints := map[string]bool{}
	for _, row := range order {
		x := g.Strips[row]
		if s.bought(x.Role) {
			chosen[row] = -1
			n = min(n, segmentsOf(s.newIn, g))
			continue
		}
		at := -1
		better := func(a, b setCloth) int {
			give := cmp.Compare(segmentsOf(b.usable, g), segmentsOf(a.usable, g))
			if least > 0 {
				give = cmp.Compare(a.usable, b.usable)
			}
			return cmp.Or(-cmp.Compare(btoi(a.own), btoi(b.own)), give, cmp.Compare(btoi(prints[a.Print]), btoi(prints[b.Print])),
				cmp.Compare(a.free, b.free), cmp.Compare(a.usable, b.usable))
		}
		for i, c := range s.cloths {
			switch {
			case c.tierFor(x.CutIn) > tier, c.free-slit[i] < x.CutIn-onMark, segmentsOf(c.usable, g) < max(1, least), !s.suits(x.Role, c.Holding):
			case at < 0 || better(c, s.cloths[at]) < 0:
				at = i
			}
		}
		if at < 0 {
			return nil, 0
		}
		c := s.cloths[at]
		chosen[row] = at
		slit[at] += x.CutIn
		if c.Print != "" {
			prints[c.Print] = true
		}
		n = min(n, segmentsOf(c.usable, g))
	}
	return chosen, n
}

// segmentsOf returns how many segments a length gives.
func segmentsOf(in float64, g recipe.Segment) int { return int((in + onMark) / g.AcrossIn) }

// take sews a set of so many segments from the cloth chosen.
func (s *sewing) take(k int, g recipe.Segment, chosen []int, n int) {
	set := StripSet{Of: k, Segments: n, LengthIn: float64(n)*g.AcrossIn + s.trim}
	for row, at := range chosen {
		x := g.Strips[row]
		if at < 0 {
			set.Strips = append(set.Strips, SewnStrip{})
			continue
		}
		c := &s.cloths[at]
		c.free -= x.CutIn
		if c.settled == 0 {
			s.settled = append(s.settled, cutting.Settled{Stock: c.stock})
			c.settled = len(s.settled)
		}
		want, cut := s.wantOf(g, x), &s.settled[c.settled-1]
		set.Strips = append(set.Strips, SewnStrip{ID: c.ID, Cut: c.settled, Row: len(cut.Rows)})
		cut.Rows = append(cut.Rows, cutting.SettledRow{Want: want, Count: n, Turned: x.CutIn > g.AcrossIn})
		s.room[want] -= n
	}
	s.sets = append(s.sets, set)
}

// sewn plans a quilt with strip sets of strips that the stash has, where that leaves no more
// to be bought than patch by patch; the rest is cut patch by patch. It falls back to fewer
// sets, and to none.
func (p *Pull) sewn(stock []cloth.Holding, own []Pulled, background string, o cutting.Options) error {
	s := p.newSewing(stock, own, background, o)
	s.all()
	if s.sets == nil {
		if p.Segments != nil {
			p.Unsewn = "no strips of the stash give a strip set of two segments or more"
		}
		return nil
	}
	all, why := len(s.sets), ""
	for len(s.sets) > 0 {
		other, err := p.sewnAs(s, stock, own, background, o)
		if err != nil {
			return err
		}
		more := other.dearerThan(*p)
		if more == "" {
			other.Unsewn = why
			*p = other
			return nil
		}
		s = s.fewer(len(s.sets) / 2)
		planned := "none of them is planned"
		if n := len(s.sets); n > 0 {
			planned = fmt.Sprintf("of them %d are planned: more", n)
		}
		why = fmt.Sprintf("your strips give %s; %s would leave more to buy than patch by patch, %s", cloth.Count(all, "strip set"), planned, more)
	}
	p.Unsewn = why
	return nil
}

// fewer returns the sewing with at most so many sets.
func (s sewing) fewer(n int) sewing {
	out := s.clone()
	out.sets, out.settled = out.sets[:n], nil
	number := map[int]int{}
	for i := range out.sets {
		strips := slices.Clone(out.sets[i].Strips)
		for k := range strips {
			x := &strips[k]
			if x.Cut == 0 {
				continue
			}
			from := s.settled[x.Cut-1]
			if number[x.Cut] == 0 {
				out.settled = append(out.settled, cutting.Settled{Stock: from.Stock})
				number[x.Cut] = len(out.settled)
			}
			x.Cut = number[x.Cut]
			to := &out.settled[x.Cut-1]
			to.Rows = append(to.Rows, from.Rows[x.Row])
			x.Row = len(to.Rows) - 1
		}
		out.sets[i].Strips = strips
	}
	return out
}

// sewnAs returns the plan with some strip sets.
func (p *Pull) sewnAs(s sewing, stock []cloth.Holding, own []Pulled, background string, o cutting.Options) (Pull, error) {
	out := Pull{Needs: p.Needs, Wants: p.Wants, Roles: p.Roles, Segments: p.Segments, StripSets: s.sets}
	var used []Pulled
	rest := slices.Clone(p.Wants)
	for _, c := range s.settled {
		used = append(used, Pulled{stock[c.Stock].ID, 1})
		for _, r := range c.Rows {
			rest[r.Want].Count -= r.Count
		}
	}
	left, _ := Leave(stock, used)
	left, err := ownFirst(rest, left, less(own, used), o)
	if err != nil {
		return out, err
	}
	use := counts(used)
	for _, h := range left {
		use[h.ID] += h.Count
	}
	out.Stock = only(stock, use)
	settled := slices.Clone(s.settled)
	for i := range settled {
		id := stock[settled[i].Stock].ID
		settled[i].Stock = slices.IndexFunc(out.Stock, func(h cloth.Holding) bool { return h.ID == id })
	}
	if out.Cover, err = cutting.FromStashAfter(settled, out.Wants, out.Stock, o); err != nil {
		return out, err
	}
	for _, set := range s.sets {
		out.Cover.CutCount += 1 + set.Segments // its end, and each segment
	}
	for _, c := range out.Cover.Cuts {
		if c.Settled > 0 {
			rows, wide := s.settled[c.Settled-1].Rows, 0.0
			for _, r := range rows {
				wide += acrossOf(rest[r.Want], r.Turned)
			}
			out.Cover.CutCount += len(rows) - 1 + btoi(wide < c.Width-onMark)
		}
	}
	if out.Needs, err = p.Needs.withStrips(s.p.Segments, s.sets); err != nil {
		return out, err
	}
	out.stripsOf(stock, own, background, o)
	out.scraps(stock, own, background)
	return out, nil
}

// acrossOf returns how wide the row of a want is.
func acrossOf(w cutting.Want, turned bool) float64 {
	if turned {
		return w.L
	}
	return w.W
}

// less returns what is left of some pulled cloth.
func less(pulled, used []Pulled) (out []Pulled) {
	of := counts(used)
	for _, p := range pulled {
		n := min(p.Count, of[p.ID])
		of[p.ID] -= n
		if p.Count -= n; p.Count > 0 {
			out = append(out, p)
		}
	}
	return out
}

// withStrips returns the needs where the strips of new cloth in some sets are cut as
// strips, and their patches no more.
func (n *Needs) withStrips(segments []recipe.Segment, sets []StripSet) (*Needs, error) {
	out := *n
	y := n.Shop.System
	var strips []recipe.Lot
	for _, s := range sets {
		g := segments[s.Of]
		for i, x := range s.Strips {
			if x.Cut > 0 {
				continue
			}
			is := g.Strips[i]
			long := y.Up(s.LengthIn)
			strips = append(strips, recipe.Lot{Role: is.Role, WidthIn: min(is.CutIn, long), LengthIn: max(is.CutIn, long), Count: 1, For: []string{recipe.StripSets}, Why: []recipe.Why{{
				Text: fmt.Sprintf("1 strip of %s × %s for a strip set of %s", y.Format(is.CutIn), y.Format(long), cloth.Count(s.Segments, "segment")),
			}}})
			out.Cuts = slices.Clone(out.Cuts)
			for k, left := 0, s.Segments; k < len(out.Cuts); k++ {
				c := &out.Cuts[k]
				if c.Role == is.Role && c.Split == recipe.Whole && near(c.WidthIn, min(is.CutIn, g.AcrossIn)) && near(c.LengthIn, max(is.CutIn, g.AcrossIn)) {
					take := min(c.Count, left)
					c.Count, c.Across, left = c.Count-take, min(c.Across, c.Count-take), left-take
				}
			}
		}
	}
	if strips == nil {
		return n, nil
	}
	out.Cuts = recipe.AddCuts(out.Cuts, strips)
	var err error
	out.Yardage, err = yardages(&out, n.Shop)
	return &out, err
}

func near(a, b float64) bool { return max(a-b, b-a) < onMark }

// dearerThan says what more has to be bought by this plan than by another, of which it is a
// variant; empty: nothing.
func (p Pull) dearerThan(than Pull) string {
	y := p.Needs.Shop.System
	if more := p.shortIn2() - than.shortIn2(); more > onMark {
		return y.Area(more) + " of patches"
	}
	if more := p.shortStrips() - than.shortStrips(); more > onMark {
		return y.Format(y.Up(more)) + " of strips to join"
	}
	for i, s := range p.Scraps {
		if more := s.ShortIn2() - than.Scraps[i].ShortIn2(); more > onMark {
			return y.Area(more) + " of " + s.For
		}
	}
	for i, c := range p.Needs.Yardage {
		if old := than.Needs.Yardage[i]; c.BuyIn > old.BuyIn+onMark {
			return fmt.Sprintf("%s of %s in place of %s", c.Buy, c.Role.Name, old.Buy)
		}
	}
	return ""
}

// CouldSew says how many strip sets the strips of a stash would give, where none are
// planned and they would be enough for the whole quilt. Empty: they would not.
func (p *Pull) CouldSew(stock []cloth.Holding, own []Pulled, background string, o cutting.Options) string {
	if p.Segments == nil || p.Needs.Shop.StripSets {
		return ""
	}
	s := p.newSewing(stock, own, background, o)
	s.all()
	all, sewn := 0, 0
	for _, g := range p.Segments {
		all += g.Count
	}
	for _, set := range s.sets {
		sewn += set.Segments
	}
	if sewn < all {
		return ""
	}
	return fmt.Sprintf("your strips suffice to sew strip sets and cut them across, in place of patch by patch: all %s from %s; ask for strip sets to have them planned", cloth.Count(all, "segment"), cloth.Count(len(s.sets), "set"))
}

// Sewn returns how many segments of a kind the strip sets give.
func (p Pull) Sewn(of int) (n int) {
	for _, s := range p.StripSets {
		if s.Of == of {
			n += s.Segments
		}
	}
	return n
}
