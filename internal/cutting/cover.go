package cutting

import (
	"cmp"
	"slices"

	"piecebag/internal/cloth"
)

// defaultSizes are the cuts most savers of scraps keep; metricSizes those nearest
// to them that metric rulers mark (common practice, no source).
var (
	defaultSizes = []float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5, 7, 8.5, 10}
	metricSizes  = centimetres(4, 5, 6, 6.5, 9, 11.5, 12.5, 16.5, 18, 22, 25)
)

func centimetres(lengths ...float64) []float64 {
	for i := range lengths {
		lengths[i] *= 10 / cloth.MMPerInch
	}
	return lengths
}

func (o Options) filled() Options {
	o.Trim = cmp.Or(o.Trim, 0.5)
	o.Trim = max(o.Trim, 0)
	o.Keep = cmp.Or(o.Keep, 1.5)
	o.Sure = cmp.Or(o.Sure, 0.5)
	switch {
	case len(o.Sizes) > 0:
	case o.Metric:
		o.Sizes = metricSizes
	default:
		o.Sizes = defaultSizes
	}
	return o
}

// FromStash finds which pieces of the stash answer the wants, and how to cut
// them. Of all plans it seeks one that, each before the next,
//
//  1. covers the greatest area of wanted pieces, by size and role;
//  2. cuts the fewest of them, taking pieces of the right size as they are;
//  3. cuts down the least area of squares, which are cut to a size already: none
//     where strips and rectangles serve;
//  4. wastes the least cloth: trimmed ends and remnants with a side under
//     Options.Keep, of the pieces of cloth that are cut;
//  5. makes the fewest cuts of the knife, and of these slits the fewest lengths.
//     Each cut makes one piece or remnant more, so that nothing is slit that is
//     not used, and what is left of a large piece is left in few;
//  6. among pieces of the stash that are alike but for their print, takes the
//     prints as evenly as can be.
//
// So cutting the least is first to cut as few pieces as can be, then to cut into
// nothing that is ready, and among ways that waste alike to cut the fewest times.
//
// One piece of cloth is parted across, slit, and cut across again: see Cut.
// Segments are of two widths of row at most, and all but one as long as some
// wanted piece; neighbours slit alike are then slit as one. Within such cuts
// small problems are solved for certain (Optimal) in 1 to 5; of large ones Bound
// says how far from it the waste can be, and plans from one kind of cloth before
// the others are among those tried, so that cloth added does not spoil a plan. The same input always gives the same plan. An error names a size or a
// count that cannot be.
func FromStash(wants []Want, stock []Stock, o Options) (Cover, error) {
	o = o.filled()
	p, unknown, err := newProblem(wants, stock, o)
	if err != nil {
		return Cover{}, err
	}
	used, w, optimal := p.exact()
	bound := 0.0
	if optimal {
		bound = w.waste.in2()
	} else {
		copies, left := p.copies(), slices.Clone(p.demand)
		used = p.ready(copies, left)
		w, bound = p.search(copies, left)
	}
	used = p.spread(used, w, stock)
	out := Cover{Covered: make([]int, len(wants)), Short: make([]int, len(wants)), Waste: w.waste.in2(), Bound: bound, Optimal: optimal}
	for _, u := range used {
		out.Covered[u.want] += u.n
		s := p.sources[u.source]
		out.Ready = append(out.Ready, Ready{Stock: s.stock, ID: stock[s.stock].ID, Want: u.want, Count: u.n, Short: shortBy(wants[u.want], stock[s.stock])})
	}
	for _, j := range w.jobs {
		out.Cuts = append(out.Cuts, p.cut(j, stock, o))
		out.CutCount += j.cuts
		for i, n := range j.counts {
			out.Covered[i] += n
		}
	}
	out.Ready = merged(out.Ready)
	slices.SortStableFunc(out.Cuts, func(a, b Cut) int {
		return cmp.Or(cmp.Compare(b.Trim+b.Length, a.Trim+a.Length), cmp.Compare(b.Width, a.Width), a.Stock-b.Stock)
	})
	for i, want := range wants {
		out.Short[i] = want.Count - out.Covered[i]
	}
	for k, s := range stock {
		if unknown[k] && wouldHelp(s, wants, out.Short) {
			out.Measure = append(out.Measure, k)
		}
	}
	out.Pulls = pulls(out, stock)
	return out, nil
}

// shortBy is how much a piece that is taken as it is falls short of a want on the
// worse side, inches.
func shortBy(w Want, s Stock) float64 {
	short := max(min(w.W, w.L)-min(s.WidthIn, s.LengthIn), max(w.W, w.L)-max(s.WidthIn, s.LengthIn))
	if ticks(short) <= 0 {
		return 0
	}
	return short
}

// wouldHelp says whether a strip is wide enough for a want that is short.
func wouldHelp(s Stock, wants []Want, short []int) bool {
	for i, w := range wants {
		if short[i] > 0 && fits(w, s) && min(w.W, w.L) <= s.WidthIn {
			return true
		}
	}
	return false
}

// merged adds up what one holding gives to one want, in stock order.
func merged(list []Ready) []Ready {
	slices.SortStableFunc(list, func(a, b Ready) int { return cmp.Or(a.Stock-b.Stock, a.Want-b.Want) })
	var out []Ready
	for _, r := range list {
		if n := len(out); n > 0 && out[n-1].Stock == r.Stock && out[n-1].Want == r.Want {
			out[n-1].Count += r.Count
			continue
		}
		out = append(out, r)
	}
	return out
}

// pulls lists what to fetch, baskets in the order of their names and cloth
// without a basket last.
func pulls(c Cover, stock []Stock) []Pull {
	count := make([]int, len(stock))
	for _, r := range c.Ready {
		count[r.Stock] += r.Count
	}
	for _, cut := range c.Cuts {
		count[cut.Stock]++
	}
	var out []Pull
	for i, n := range count {
		if n == 0 {
			continue
		}
		k := slices.IndexFunc(out, func(p Pull) bool { return p.Basket == stock[i].Basket })
		if k < 0 {
			k = len(out)
			out = append(out, Pull{Basket: stock[i].Basket})
		}
		out[k].Lines = append(out[k].Lines, PullLine{Stock: i, ID: stock[i].ID, Count: n})
	}
	slices.SortStableFunc(out, func(a, b Pull) int {
		switch {
		case a.Basket == "":
			return 1
		case b.Basket == "":
			return -1
		}
		return cmp.Compare(a.Basket, b.Basket)
	})
	return out
}

// alikeKey tells apart stock that cannot stand in for one another.
type alikeKey struct {
	w, l, trim tick
	sig        int
	unsure     bool
	form       cloth.Form
}

// spread exchanges stock that is alike but for its print, so that the prints
// are used as evenly as can be: each use, those of most pieces first, goes to
// the print used least. Cloth of unknown print counts as a print of its own. It
// returns the pieces taken as they are, one by one.
func (p *problem) spread(used []taken, w *work, stock []Stock) []taken {
	key := func(k int) alikeKey {
		s := p.sources[k]
		from := stock[s.stock]
		return alikeKey{ticks(from.WidthIn), ticks(from.LengthIn), s.trim, s.sig, s.unsure, from.Form}
	}
	pool := map[alikeKey][]int{}
	for k := range p.sources {
		pool[key(k)] = append(pool[key(k)], k)
	}
	type print struct {
		name string
		own  int
	}
	printOf := func(k int) print {
		if name := stock[p.sources[k].stock].Print; name != "" {
			return print{name: name}
		}
		return print{own: k + 1}
	}
	copies, times := p.copies(), map[print]int{}
	pick := func(like, pieces int) int {
		best := -1
		for _, k := range pool[key(like)] {
			if copies[k] > 0 && (best < 0 || times[printOf(k)] < times[printOf(best)]) {
				best = k
			}
		}
		copies[best]--
		times[printOf(best)] += pieces
		return best
	}
	order := make([]int, len(w.jobs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return w.jobs[b].pieces - w.jobs[a].pieces })
	for _, i := range order {
		w.jobs[i].source = pick(w.jobs[i].source, w.jobs[i].pieces)
	}
	var singly []taken
	for _, u := range used {
		for range u.n {
			singly = append(singly, taken{pick(u.source, 1), u.want, 1})
		}
	}
	return singly
}
