package cutting

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// Lot is cloth of a stash that is alike in form, colour and size.
type Lot struct {
	cloth.Holding          // the first of it
	Of            []int64  // holdings, each as often as it has pieces
	LossIn        float64  // squared off the end of each, inches
	prints        []string // of each of Of
}

// LotsOf gathers a stash, the smallest cloth first, without what has no size.
func LotsOf(stock []cloth.Holding, o Options) []Lot { return lotsOf(stock, o, false) }

// lotsOf gathers a stash; apart keeps prints and bins in lots of their own.
func lotsOf(stock []cloth.Holding, o Options, apart bool) []Lot {
	type key struct {
		form         cloth.Form
		alike        shelf.Alike
		print, bin   string
		wide, length float64
	}
	at := map[key]int{}
	var out []Lot
	for _, h := range stock {
		if !(h.WidthIn > 0 && h.LengthIn > 0) || h.Form == cloth.Weighed {
			continue
		}
		k := key{h.Form, shelf.Alike{Family: h.Family, Value: h.Value}, "", "", h.WidthIn, h.LengthIn}
		if apart {
			k.print, k.bin = h.Print, h.Bin
		}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			x := Lot{Holding: h}
			switch h.Form {
			case cloth.Strip:
				x.LossIn = max(0, cmp.Or(o.Trim, shelf.DefaultTrim))
			case cloth.Irregular:
				x.WidthIn, x.LengthIn = SureShare*h.WidthIn, SureShare*h.LengthIn
			}
			out = append(out, x)
		}
		out[i].Of = append(out[i].Of, slices.Repeat([]int64{h.ID}, h.Count)...)
		out[i].prints = append(out[i].prints, slices.Repeat([]string{h.Print}, h.Count)...)
	}
	slices.SortStableFunc(out, func(a, b Lot) int { return cmp.Compare(a.WidthIn*a.LengthIn, b.WidthIn*b.LengthIn) })
	return out
}

// Yield is how many pieces of a size one piece of the lot gives.
func (l Lot) Yield(w, h float64) int {
	return max(shelf.Yield(l.WidthIn, l.LengthIn, w, h, l.LossIn), shelf.Yield(l.WidthIn, l.LengthIn, h, w, l.LossIn))
}

// UsedUp is how much of one piece of the lot is gone once it is cut into pieces of a
// size, square inches: all but what is large enough to go back.
func (l Lot) UsedUp(w, h float64) float64 {
	if shelf.Yield(l.WidthIn, l.LengthIn, h, w, l.LossIn) > shelf.Yield(l.WidthIn, l.LengthIn, w, h, l.LossIn) {
		w, h = h, w
	}
	const slack = 1e-6 // inches, of lengths converted from millimetres
	long := l.LengthIn - l.LossIn
	across, along := math.Floor((l.WidthIn+slack)/w)*w, math.Floor((long+slack)/h)*h
	used := l.WidthIn * l.LengthIn
	if goesBack(l.WidthIn-across, long) {
		used -= (l.WidthIn - across) * long
	}
	if goesBack(long-along, across) {
		used -= (long - along) * across
	}
	return used
}

// Simply cuts a stash in a simple way: each piece of cloth into pieces of one size. It is
// quick, for what one setting of a quilt asks is mostly what the next asks, in other counts.
type Simply struct {
	Lots   []Lot
	all    []member           // each lot whole
	prints [][]member         // the same parted by print; cloth of which none is known piece by piece
	gives  map[string][]gift  // by what is asked of cloth: what each lot gives of it
	kinds  map[string][]batch // by what several wants ask: the kinds of cloth for them
	most   map[string][]int   // by what sets ask: how many each print gives at most, untouched
}

// member is some pieces of cloth of one lot.
type member struct {
	lot int
	ids []int64
}

// gift is what one piece of cloth gives of one want.
type gift struct {
	pieces int
	asItIs bool
}

// batch is cloth that gives the same of every want.
type batch struct {
	members []member // the smallest first
	count   int      // pieces of cloth
	each    []gift   // by want
}

// NewSimply gathers a stash to cut it simply.
func NewSimply(stock []cloth.Holding, o Options) *Simply { return newSimply(lotsOf(stock, o, false)) }

func newSimply(lots []Lot) *Simply {
	s := &Simply{Lots: lots}
	s.forget()
	at := map[string]int{}
	for k, l := range lots {
		s.all = append(s.all, member{k, l.Of})
		for n, id := range l.Of {
			i, ok := at[l.prints[n]]
			if l.prints[n] == "" || !ok {
				i = len(s.prints)
				at[l.prints[n]] = i
				s.prints = append(s.prints, nil)
			}
			if last := len(s.prints[i]) - 1; last >= 0 && s.prints[i][last].lot == k {
				s.prints[i][last].ids = append(s.prints[i][last].ids, id)
			} else {
				s.prints[i] = append(s.prints[i], member{k, []int64{id}})
			}
		}
	}
	return s
}

func (s *Simply) forget() {
	s.gives, s.kinds, s.most = map[string][]gift{}, map[string][]batch{}, map[string][]int{}
}

// Give is cloth of a lot that is cut into pieces of one want.
type Give struct {
	Want   int
	Lot    int
	IDs    []int64 // holdings, each as often as pieces of it are cut
	Pieces int     // of the want, together
}

// Simple is how a stash is cut simply.
type Simple struct {
	Gives []Give
	Short []int // of each want
}

// Covers reports whether nothing is short.
func (s Simple) Covers() bool { return sum(s.Short) == 0 }

// Cut cuts the stash for wants: sets first, each from one print and whole, then the rest.
// Of the rest those that there is cloth for the fewest times over come first, each from what
// is that size, then from the smallest cloth; what comes out short takes cloth of wants that
// find other cloth.
func (s *Simply) Cut(wants []Want) Simple {
	const mostKnown = 200 // of the cloth's answers to wants, for memory's sake
	if len(s.gives) > mostKnown {
		s.forget()
	}
	out := Simple{Short: make([]int, len(wants))}
	var sets, loose []int
	for i, w := range wants {
		switch {
		case w.Set == 0:
			loose = append(loose, i)
		case !slices.ContainsFunc(sets, func(k int) bool { return wants[k].Set == w.Set }):
			sets = append(sets, i)
		}
	}
	taken := map[int64]int{}
	for _, first := range sets {
		s.cutSets(&out, taken, wants, wants[first].Set)
	}
	if len(loose) == 0 {
		return out
	}
	key, kinds := keyOf(wants, loose), []batch(nil)
	if len(taken) > 0 {
		kinds = s.kindsOf(without(s.all, taken), wants, loose)
	} else if known, ok := s.kinds[key]; ok {
		kinds = known
	} else {
		kinds = s.kindsOf(s.all, wants, loose)
		s.kinds[key] = kinds
	}
	need := make([]int, len(loose))
	for n, i := range loose {
		need[n] = wants[i].Count
	}
	d := dealOf(kinds, need)
	d.gives(&out, loose)
	return out
}

// keyOf writes what wants ask of cloth, but for their counts.
func keyOf(wants []Want, of []int) string {
	var key []byte
	for _, i := range of {
		w := wants[i]
		key = fmt.Appendf(key, "%g %g %q %q %q %q;", w.W, w.L, w.Families, w.Values, w.Bins, w.Prints)
	}
	return string(key)
}

// without is members less so many pieces of some holdings.
func without(members []member, taken map[int64]int) []member {
	gone := map[int64]int{}
	out := make([]member, 0, len(members))
	for _, m := range members {
		if !slices.ContainsFunc(m.ids, func(id int64) bool { return taken[id] > 0 }) {
			out = append(out, m)
			continue
		}
		left := m
		left.ids = make([]int64, 0, len(m.ids))
		for _, id := range m.ids {
			if gone[id] < taken[id] {
				gone[id]++
				continue
			}
			left.ids = append(left.ids, id)
		}
		out = append(out, left)
	}
	return out
}

// givesOf is what one piece of each lot gives of a want.
func (s *Simply) givesOf(wants []Want, i int) []gift {
	key := keyOf(wants, []int{i})
	if known, ok := s.gives[key]; ok {
		return known
	}
	w := wants[i]
	out := make([]gift, len(s.Lots))
	for k, l := range s.Lots {
		if fits(w, l.Holding) {
			out[k] = gift{l.Yield(w.W, w.L), AsItIs(w, l.Holding)}
		}
	}
	s.gives[key] = out
	return out
}

// kindsOf parts cloth by what it gives of some wants; what gives none is left out.
func (s *Simply) kindsOf(members []member, wants []Want, of []int) (out []batch) {
	gives := make([][]gift, len(of))
	for n, i := range of {
		gives[n] = s.givesOf(wants, i)
	}
	at := map[string]int{}
	var key []byte
	for _, m := range members {
		if len(m.ids) == 0 {
			continue
		}
		key = key[:0]
		some := false
		for _, g := range gives {
			y := g[m.lot]
			some = some || y.pieces > 0
			as := uint64(0)
			if y.asItIs {
				as = 1
			}
			key = binary.AppendUvarint(key, 2*uint64(y.pieces)+as)
		}
		if !some {
			continue
		}
		k, ok := at[string(key)]
		if !ok {
			k = len(out)
			at[string(key)] = k
			each := make([]gift, len(of))
			for n, g := range gives {
				each[n] = g[m.lot]
			}
			out = append(out, batch{each: each})
		}
		out[k].members = append(out[k].members, m)
		out[k].count += len(m.ids)
	}
	return out
}

// cutSets cuts the sets of a number, as many of each print as it gives.
func (s *Simply) cutSets(out *Simple, taken map[int64]int, wants []Want, number int) {
	var of []int
	left := 0 // sets
	for i, w := range wants {
		if w.Set == number {
			if n := w.Count / w.Each; of == nil || n < left {
				left = n
			}
			of = append(of, i)
		}
	}
	gives := make([][]gift, len(of))
	for n, i := range of {
		gives[n] = s.givesOf(wants, i)
	}
	asked := left
	key := keyOf(wants, of)
	for _, i := range of {
		key += fmt.Sprint(wants[i].Each, " ")
	}
	known := s.most[key]
	if known == nil {
		known = slices.Repeat([]int{math.MaxInt}, len(s.prints))
		s.most[key] = known
	}
	for at, print := range s.prints {
		if left == 0 {
			break
		}
		if known[at] == 0 {
			continue // nor does it where some of it is taken
		}
		pool, touched := print, false
		for _, m := range print {
			touched = touched || len(taken) > 0 && slices.ContainsFunc(m.ids, func(id int64) bool { return taken[id] > 0 })
		}
		if touched {
			pool = without(print, taken)
		}
		most := math.MaxInt
		for n, i := range of {
			could := 0
			for _, m := range pool {
				could += len(m.ids) * gives[n][m.lot].pieces
			}
			most = min(most, could/wants[i].Each)
		}
		most = min(most, known[at])
		if most == 0 {
			if !touched {
				known[at] = 0
			}
			continue
		}
		kinds := s.kindsOf(pool, wants, of)
		try := func(n int) (deal, bool) {
			need := make([]int, len(of))
			for k, i := range of {
				need[k] = n * wants[i].Each
			}
			d := dealOf(kinds, need)
			return d, d.covers()
		}
		n := min(most, left)
		best, ok := try(n)
		if low, high := 0, n; !ok {
			for high-low > 1 {
				mid := (low + high) / 2
				if d, fits := try(mid); fits {
					low, best = mid, d
				} else {
					high = mid
				}
			}
			n = low
			if !touched {
				known[at] = n
			}
		}
		if n == 0 {
			continue
		}
		left -= n
		before := len(out.Gives)
		best.gives(out, of)
		for _, g := range out.Gives[before:] {
			for _, id := range g.IDs {
				taken[id]++
			}
		}
	}
	for _, i := range of {
		out.Short[i] = wants[i].Count - (asked-left)*wants[i].Each
	}
}

// deal is how kinds of cloth are dealt out to wants.
type deal struct {
	kinds     []batch
	need, got []int   // pieces, by want
	free      []int   // pieces of cloth, by kind
	dealt     [][]int // pieces of cloth, by want and kind
	done      []moved
	effort    int
}

// moved is a piece of cloth of a kind that was given to a want; −1: to none.
type moved struct{ kind, from, to int }

// mostDealt is how many kinds of cloth are looked at for what is short, in one deal.
const mostDealt = 100_000

// dealOf deals cloth out to wants.
func dealOf(kinds []batch, need []int) deal {
	d := deal{kinds: kinds, need: need, got: make([]int, len(need)), free: make([]int, len(kinds)), dealt: make([][]int, len(need))}
	could := make([]float64, len(need))
	order := make([]int, len(need))
	for i := range need {
		order[i] = i
		d.dealt[i] = make([]int, len(kinds))
		for _, k := range kinds {
			could[i] += float64(k.count*k.each[i].pieces) / float64(max(1, need[i]))
		}
	}
	for k := range kinds {
		d.free[k] = kinds[k].count
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(could[a], could[b]) })
	for _, i := range order {
		for _, asItIs := range []bool{true, false} {
			for k := range kinds {
				y := kinds[k].each[i]
				if y.pieces == 0 || y.asItIs != asItIs || d.got[i] >= need[i] {
					continue
				}
				n := min(d.free[k], (need[i]-d.got[i]+y.pieces-1)/y.pieces)
				d.free[k] -= n
				d.dealt[i][k] += n
				d.got[i] += n * y.pieces
			}
		}
	}
	d.liftAll(order)
	if !d.covers() && len(need) > 1 {
		if other, ok := d.byWorth(order); ok {
			d = other
		}
	}
	d.spare()
	return d
}

// liftAll gives wants that are short more cloth, as far as lifts do.
func (d *deal) liftAll(order []int) {
	barred := make([]bool, len(d.need))
	for _, i := range order {
		for d.got[i] < d.need[i] && d.lift(i, barred) {
		}
	}
}

// byWorth deals anew where cloth that is dealt want by want is short: a piece of each want is
// worth so much, each kind of cloth goes to the want of which it gives the most worth, and what
// is short after lifts is worth more the next time (multipliers of a Lagrangian relaxation:
// Everett 1963). It ends where the worth of all cloth is less than that of all wants: then no
// way of dealing covers them.
func (d *deal) byWorth(order []int) (deal, bool) {
	const rounds = 24
	worth := make([]float64, len(d.need))
	for i, n := range d.need {
		worth[i] = 1 / float64(max(1, n))
	}
	for round := range rounds {
		out := deal{kinds: d.kinds, need: d.need, got: make([]int, len(d.need)), free: make([]int, len(d.kinds)), dealt: make([][]int, len(d.need)), effort: d.effort}
		for i := range out.dealt {
			out.dealt[i] = make([]int, len(d.kinds))
		}
		asked, given := 0.0, 0.0
		for i, n := range d.need {
			asked += worth[i] * float64(n)
		}
		for k, c := range d.kinds {
			best, most := -1, 0.0
			for i, y := range c.each {
				if w := worth[i] * float64(y.pieces); w > most {
					best, most = i, w
				}
			}
			given += most * float64(c.count)
			out.dealt[best][k] = c.count
			out.got[best] += c.count * c.each[best].pieces
		}
		if given < asked*(1-1e-9) {
			return out, false
		}
		short := slices.Clone(out.got)
		out.spare()
		out.liftAll(order)
		if out.covers() {
			return out, true
		}
		d.effort = out.effort
		step := 1 / math.Sqrt(float64(round+1))
		for i, n := range d.need {
			lacks := float64(n-short[i]) / float64(max(1, n))
			worth[i] *= math.Exp(step * min(1, max(-1, lacks)))
		}
	}
	return deal{}, false
}

// move gives a piece of cloth of a kind that one want has, or −1 none, to another.
func (d *deal) move(m moved) {
	for _, side := range []struct{ want, sign int }{{m.from, -1}, {m.to, 1}} {
		if side.want < 0 {
			d.free[m.kind] += side.sign
			continue
		}
		d.dealt[side.want][m.kind] += side.sign
		d.got[side.want] += side.sign * d.kinds[m.kind].each[side.want].pieces
	}
	d.done = append(d.done, m)
}

// lift gives a want one more piece of cloth: a free one, or one of another want that has
// enough without it or is lifted itself (augmenting paths, as for matchings: Berge 1957).
// Wants that are barred keep theirs.
func (d *deal) lift(i int, barred []bool) bool {
	for _, asItIs := range []bool{true, false} {
		for k, y := range d.each(i) {
			if y.asItIs == asItIs && d.free[k] > 0 {
				d.move(moved{k, -1, i})
				return true
			}
		}
	}
	barred[i] = true
	defer func() { barred[i] = false }()
	best := make([]int, len(d.need)) // by want: the kind of which it loses the least for what is gained
	for j := range d.need {
		best[j] = -1
		if barred[j] {
			continue
		}
		share := 0.0
		for k, y := range d.each(i) {
			if d.dealt[j][k] == 0 {
				continue
			}
			lost := d.kinds[k].each[j].pieces
			if d.got[j]-lost >= d.need[j] {
				d.move(moved{k, j, i})
				return true
			}
			if s := float64(y.pieces) / float64(lost); s > share {
				best[j], share = k, s
			}
		}
	}
	for j, k := range best {
		if k < 0 || d.effort > mostDealt {
			continue
		}
		at, enough := len(d.done), min(d.need[j], d.got[j])
		d.move(moved{k, j, i})
		lifted := true
		for lifted && d.got[j] < enough {
			lifted = d.lift(j, barred)
		}
		if lifted {
			return true
		}
		for n := len(d.done) - 1; n >= at; n-- {
			m := d.done[n]
			d.move(moved{m.kind, m.to, m.from})
		}
		d.done = d.done[:at]
	}
	return false
}

// each goes through the kinds that give something of a want.
func (d *deal) each(i int) func(yield func(int, gift) bool) {
	return func(yield func(int, gift) bool) {
		d.effort += len(d.kinds)
		for k := range d.kinds {
			if y := d.kinds[k].each[i]; y.pieces > 0 && !yield(k, y) {
				return
			}
		}
	}
}

// spare leaves whole what a want has enough without.
func (d *deal) spare() {
	for i, list := range d.dealt {
		for k := len(list) - 1; k >= 0; k-- {
			if y := d.kinds[k].each[i].pieces; list[k] > 0 && d.got[i]-y >= d.need[i] {
				n := min(list[k], (d.got[i]-d.need[i])/y)
				list[k] -= n
				d.free[k] += n
				d.got[i] -= n * y
			}
		}
	}
}

func (d *deal) covers() bool {
	for i, n := range d.need {
		if d.got[i] < n {
			return false
		}
	}
	return true
}

// gives writes down what is dealt; of says which wants these are.
func (d *deal) gives(out *Simple, of []int) {
	left := slices.Clone(d.need)
	for k, c := range d.kinds {
		members := c.members
		used := 0 // of the first of them
		for n, i := range of {
			for want := d.dealt[n][k]; want > 0; {
				m := members[0]
				take := min(want, len(m.ids)-used)
				g := Give{Want: i, Lot: m.lot, IDs: m.ids[used : used+take], Pieces: min(left[n], take*c.each[n].pieces)}
				out.Gives = append(out.Gives, g)
				left[n] -= g.Pieces
				want -= take
				if used += take; used == len(m.ids) {
					members, used = members[1:], 0
				}
			}
		}
	}
	for n, i := range of {
		out.Short[i] = left[n]
	}
}

// simply makes a plan by the simple way, and cuts what that leaves for what is short.
func (p *problem) simply(wants []Want, stock []cloth.Holding, o Options) *work {
	apart := slices.ContainsFunc(wants, func(w Want) bool { return w.Prints != nil || w.Bins != nil })
	asked := slices.Clone(wants)
	for i := range asked {
		asked[i].Count = p.demand[i]
	}
	of := map[int64]int{} // sources
	for k, s := range p.sources {
		of[stock[s.stock].ID] = k
	}
	w, s := p.newWork(), p.newSearch()
	s.setPrices(s.firstPrices(w.free))
	for _, g := range newSimply(lotsOf(stock, o, apart)).Cut(asked).Gives {
		one := make([]int, len(wants))
		one[g.Want] = g.Pieces
		for _, id := range g.IDs {
			k, ok := of[id]
			if !ok || w.free[k] == 0 || one[g.Want] == 0 {
				continue
			}
			j := p.asItIs(k, g.Want)
			if !slices.Contains(p.sources[k].ready, g.Want) {
				if j, ok = s.best(k, one, 0); !ok {
					continue
				}
			}
			one[g.Want] -= j.counts[g.Want]
			w.add(j)
		}
	}
	left := slices.Clone(w.left)
	for i, k := range p.inSet {
		if k >= 0 {
			w.left[i] = 0 // no part of a set
		}
	}
	s.cover(w, func(int) bool { return true }, false)
	for i, k := range p.inSet {
		if k >= 0 {
			w.left[i] = left[i]
		}
	}
	return w
}
