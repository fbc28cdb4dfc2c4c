package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// Strips is a binding or a border that is joined from strips of the stash. Lengths are
// inches.
type Strips struct {
	What     string // "binding", "border 1"
	Role     recipe.Role
	CutIn    float64        // width as cut
	NeedIn   float64        // length, joined
	JoinIn   float64        // what a join takes
	Diagonal bool           // joined on the diagonal; else straight
	From     []PulledStrips // in the order they were chosen
	lot      string         // what its strips are for where they are bought, as in recipe.Lot.For
	strips   int            // how many they would be
	buyIn    float64        // cloth to buy, across the width of fabric
}

// PulledStrips is strips alike of one holding, or what cuts leave of a strip.
type PulledStrips struct {
	Pulled
	Cut      int     // what Pull.Cover.Cuts leaves of a strip, from 1, of which then none is pulled more; 0: of whole strips
	Lengths  int     // that are taken, slit side by side from a wide one
	WidthIn  float64 // of the cloth
	LengthIn float64 // of each length, its end squared off
	TrimIn   float64 // squared off
}

// Joins returns how many joins its lengths have.
func (s Strips) Joins() int {
	n := -1
	for _, x := range s.From {
		n += x.Lengths
	}
	return max(0, n)
}

// HaveIn returns how long the lengths are when they are joined.
func (s Strips) HaveIn() float64 {
	have := -s.JoinIn * float64(s.Joins())
	for _, x := range s.From {
		have += float64(x.Lengths) * x.LengthIn
	}
	return have
}

// ShortIn returns what is to be joined to them from new cloth.
func (s Strips) ShortIn() float64 {
	short := s.NeedIn - s.HaveIn()
	switch {
	case short < onMark:
		return 0
	case len(s.From) > 0:
		short += s.JoinIn
	}
	return short
}

// BuyIn returns the cloth to buy for what is short, across the width of fabric.
func (s Strips) BuyIn() float64 { return s.buyIn }

// leastStrip is the least length of a strip that is joined, in multiples of its width: a
// diagonal join would take more than a quarter of a shorter one (common practice, no
// source).
const leastStrip = 4

// stripsOf joins strips of some stock for borders and binding, with which the rest is
// pulled already, and from what is left of the strips that are cut for it: those of the width first, of them the longest, for the fewest joins; the
// last is the shortest that is enough. Wider strips are slit. own goes before all others.
func (p *Pull) stripsOf(stock []cloth.Holding, own []Pulled, background string, o cutting.Options) {
	n, y := p.Needs, p.Needs.Shop.System
	wide := n.Shop.usableIn()
	for _, b := range n.Borders {
		if b.FromStash {
			s := Strips{What: b.What, Role: b.Role, CutIn: b.CutIn, NeedIn: 2*b.SideIn + 2*b.TopIn, JoinIn: 2 * y.Seam, lot: b.What, strips: b.Strips}
			p.join(s, stock, own, background, o)
		}
	}
	if b := n.Binding; b.FromStash {
		s := Strips{What: "binding", Role: b.Role, CutIn: b.CutIn, NeedIn: b.RoundIn, JoinIn: b.CutIn, Diagonal: true, lot: "binding", strips: b.Strips}
		p.join(s, stock, own, background, o)
	}
	for i := range p.Strips {
		s := &p.Strips[i]
		if short := s.ShortIn(); short > 0 {
			k, _ := y.Joined(short, wide)
			if s.Diagonal {
				k, _ = y.JoinedAslant(short, s.CutIn, wide)
			}
			s.buyIn = float64(k) * s.CutIn
		}
	}
}

// stripLength is one length of a strip.
type stripLength struct {
	cloth.Holding
	copy   int // of the holding
	exact  bool
	usable float64
	cut    int // of which it is left, from 1; 0: a whole strip
	rest   int // the index among its remnants
}

func (p *Pull) join(s Strips, stock []cloth.Holding, own []Pulled, background string, o cutting.Options) {
	const mark = 0.02 // inches: half a millimetre, as cuts are out by
	before := counts(own)
	trim := max(0, cmp.Or(o.Trim, shelf.DefaultTrim))
	left, _ := Leave(stock, p.Pulled())
	var all []stripLength
	for _, h := range left {
		usable := h.LengthIn - trim
		if h.Form != cloth.Strip || h.WidthIn < s.CutIn-mark || usable < leastStrip*s.CutIn || background != "" && h.Print == background ||
			!s.Role.Suits(h.Family, h.Value) {
			continue
		}
		for copy := range h.Count {
			for range int((h.WidthIn + mark) / s.CutIn) {
				all = append(all, stripLength{h, copy, h.WidthIn < s.CutIn+mark, usable, 0, 0})
			}
		}
	}
	for k, c := range p.Cover.Cuts {
		h := p.Stock[c.Stock]
		for i, r := range c.Remains {
			wide, long := min(r.W, r.H), max(r.W, r.H)
			if h.Form != cloth.Strip || r.For != "" || wide < s.CutIn-mark || long < leastStrip*s.CutIn || background != "" && h.Print == background || !s.Role.Suits(h.Family, h.Value) {
				continue
			}
			h.WidthIn, h.LengthIn = wide, long
			for range int((wide + mark) / s.CutIn) {
				all = append(all, stripLength{h, 0, wide < s.CutIn+mark, long, k + 1, i})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b stripLength) int {
		return cmp.Or(
			-cmp.Compare(min(1, before[a.ID]), min(1, before[b.ID])),
			cmp.Compare(a.WidthIn, b.WidthIn)*btoi(a.exact != b.exact),
			-cmp.Compare(a.usable, b.usable), cmp.Compare(a.WidthIn, b.WidthIn),
			cmp.Compare(a.ID, b.ID), cmp.Compare(a.copy, b.copy),
		)
	})
	have, used := s.JoinIn, 0 // the first takes no join
	for used < len(all) && have-s.NeedIn < -onMark {
		have += all[used].usable - s.JoinIn
		used++
	}
	chosen := all[:used]
	if used > 0 && have-s.NeedIn >= -onMark {
		last := &chosen[used-1]
		without := have - last.usable
		for _, x := range all[used:] { // a shorter one that is enough
			if without+x.usable-s.NeedIn >= -onMark && x.usable < last.usable && x.exact == last.exact && before[x.ID] == before[last.ID] {
				*last = x
			}
		}
	}
	type key struct {
		id        int64
		copy      int
		cut, rest int
	}
	cloths := map[key]bool{}
	for _, x := range chosen {
		i := slices.IndexFunc(s.From, func(f PulledStrips) bool { return f.ID == x.ID && f.Cut == x.cut && f.LengthIn == x.usable })
		if i < 0 {
			i = len(s.From)
			s.From = append(s.From, PulledStrips{Pulled: Pulled{ID: x.ID}, Cut: x.cut, WidthIn: x.WidthIn, LengthIn: x.usable, TrimIn: x.LengthIn - x.usable})
		}
		s.From[i].Lengths++
		if k := (key{x.ID, x.copy, x.cut, x.rest}); !cloths[k] {
			cloths[k] = true
			if x.cut == 0 {
				s.From[i].Count++
				continue
			}
			r := &p.Cover.Cuts[x.cut-1].Remains[x.rest]
			if !r.Kept {
				p.Cover.Waste -= r.W * r.H
			}
			r.Kept, r.For = false, s.What
		}
	}
	for _, f := range s.From {
		if f.Count == 0 {
			continue
		}
		at := slices.IndexFunc(left, func(h cloth.Holding) bool { return h.ID == f.ID })
		p.hold(left[at], f.Count)
	}
	p.Strips = append(p.Strips, s)
}

// Besides reports whether a quilt takes cloth of the stash that is for no patch of its own.
func (n *Needs) Besides() bool {
	return n.Binding.FromStash || slices.ContainsFunc(n.Borders, func(b BorderNeed) bool { return b.FromStash }) ||
		slices.ContainsFunc(n.Cuts, func(c recipe.Lot) bool { return c.AnyIn2 > 0 })
}

// bindable reports whether strips that an idea leaves of a stash bind it.
func (i *Idea) bindable(stock []cloth.Holding, o cutting.Options) bool {
	n := *i.Needs
	if n.Binding.FromStash, n.Borders = !n.Binding.Role.Background, nil; !n.Binding.FromStash {
		return false
	}
	var taken []Pulled
	for _, ids := range i.Cloth {
		for _, id := range ids {
			taken = append(taken, Pulled{id, 1})
		}
	}
	left, _ := Leave(stock, taken)
	p := Pull{Needs: &n, Stock: left}
	p.stripsOf(left, nil, "", o)
	return p.shortStrips() == 0
}

// shortStrips returns how much is to be joined from new cloth in all.
func (p Pull) shortStrips() (in float64) {
	for _, s := range p.Strips {
		in += s.ShortIn()
	}
	return in
}

// Why returns the arithmetic of what is joined. Two ends that are joined on the diagonal are
// laid across each other at right angles and sewn from corner to corner of the square that
// they share: each keeps half of it, so a join takes the width of the strip (exact
// geometry; see recipe.System.JoinedAslant).
func (s Strips) Why(y recipe.System) recipe.Why {
	join := "straight join"
	if s.Diagonal {
		join = "diagonal join"
	}
	why := recipe.Why{Text: fmt.Sprintf("%s from strips of the stash: %s wanted, %s joined", s.What, y.Format(s.NeedIn), y.Format(y.Up(max(0, s.HaveIn()))))}
	var sum []string
	for _, f := range s.From {
		one := y.Format(f.LengthIn)
		if f.Lengths > 1 {
			one = fmt.Sprintf("%d × %s", f.Lengths, one)
		}
		sum = append(sum, one)
	}
	if sum != nil {
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("%s, less %s of %s = %s", strings.Join(sum, " + "), cloth.Count(s.Joins(), join), y.Format(s.JoinIn), y.Format(s.HaveIn()))})
	}
	if short := s.ShortIn(); short > 0 {
		words := fmt.Sprintf("%s − %s", y.Format(s.NeedIn), y.Format(s.HaveIn()))
		if len(s.From) > 0 {
			words += " + " + y.Format(s.JoinIn) + " for the join to new cloth"
		}
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("short: %s = %s, cut %s wide from %s of new cloth", words, y.Format(short), y.Format(s.CutIn), y.Format(s.buyIn))})
	}
	return why
}
