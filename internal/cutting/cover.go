package cutting

import (
	"cmp"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

func (o Options) filled() Options {
	o.Trim = max(cmp.Or(o.Trim, shelf.DefaultTrim), 0)
	o.Prefer = cmp.Or(o.Prefer, Scraps)
	return o
}

// FromStash finds which pieces of the stash answer the wants, and how to cut
// them. Plans are compared by these aims, an earlier one before all later ones: the
// better plan
//
//  1. covers the greatest area of wanted pieces, by size and role, sets whole or not at
//     all;
//  2. takes the most pieces that are the right size as they are;
//  3. has the most prints, summed over the roles;
//  4. cuts into smaller cloth: the largest cloths that the two plans cut into are
//     compared first, then the next largest, and so on; none counts as smaller than
//     any. So short strips go before long ones, and nothing is cut into that the rest
//     can do without. Squares, which are cut to a size already, count as larger than
//     all other cloth;
//  5. cuts into the fewest cloths;
//  6. makes the fewest cuts of the knife;
//  7. wastes the least cloth: trimmed ends and remnants with a side under 1½
//     inches, of the cloths that are cut.
//
// With Options.Prefer the order of aims is another: for Variety 1, 3, 2, 4, 5, 6, 7;
// for Waste 1, 2, 7, 5, 4, 6, 3.
//
// A cloth is parted into bands, across it or along it, each band into rows and each
// row into pieces as wide as it; bands that are parted alike are cut as one. All
// cuts of two stages, either way first, are among these. Small problems are solved
// by weighing every plan of such cuts (Optimal); a longer band might yet turn some
// waste into a remnant, so no claim is made for the least waste. For large problems the
// only claim is that no plan covers less than the simple way does, in which each piece of
// cloth is cut into pieces of one size (Simply). The same input always gives the same
// plan. An error names a size or a count that cannot be.
func FromStash(wants []Want, stock []cloth.Holding, o Options) (Cover, error) {
	return FromStashAfter(nil, wants, stock, o)
}

// FromStashAfter is FromStash where some cuts are settled beforehand: the rest of the stash
// is cut for what these do not give. Such a plan is never said to be Optimal, and its
// CutCount leaves the settled cuts out.
func FromStashAfter(settled []Settled, wants []Want, stock []cloth.Holding, o Options) (Cover, error) {
	given := o
	o = o.filled()
	rest, left := unsettled(settled, wants, stock)
	p, unknown, err := newProblem(rest, left, o)
	if err != nil {
		return Cover{}, err
	}
	w, optimal := p.exact()
	switch {
	case optimal:
	case p.sets != nil:
		w = p.packed()
	default:
		w = p.search()
	}
	if !optimal && sum(w.left) > 0 {
		w = p.noLess(w, p.simply(rest, left, given))
	}
	w.even()
	before := p.settle(settled, stock, o)
	jobs := slices.Concat(before, w.jobs)
	out := Cover{Covered: make([]int, len(wants)), Short: make([]int, len(wants)), Prints: p.printsOf(jobs), Optimal: optimal && o.Prefer != Waste && settled == nil}
	waste := area(0)
	for k, j := range jobs {
		for i, n := range j.counts {
			out.Covered[i] += n
		}
		s := p.sources[j.source].stock
		if j.want >= 0 {
			out.Ready = append(out.Ready, Ready{Stock: s, ID: stock[s].ID, Want: j.want, Count: 1, Short: shortBy(wants[j.want], stock[s])})
			continue
		}
		out.Cuts = append(out.Cuts, p.cut(j, stock, o))
		if k < len(before) {
			out.Cuts[len(out.Cuts)-1].Settled = k + 1
		} else {
			out.CutCount += j.cuts()
		}
		waste += j.waste
	}
	out.Waste = waste.in2()
	out.Sets = p.matchedSets(w.jobs, stock)
	out.Ready = merged(out.Ready)
	slices.SortStableFunc(out.Cuts, func(a, b Diagram) int {
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

// printsOf counts the prints that each want has pieces of.
func (p *problem) printsOf(jobs []job) []int {
	seen := map[[2]int]bool{}
	out := make([]int, len(p.wants))
	for _, j := range jobs {
		for i, n := range j.counts {
			at := [2]int{i, p.sources[j.source].print}
			if n > 0 && !seen[at] {
				seen[at] = true
				out[i]++
			}
		}
	}
	return out
}

// shortBy returns how much a piece that is taken as it is falls short of a want on the
// worse side, inches.
func shortBy(w Want, s cloth.Holding) float64 {
	short := max(min(w.W, w.L)-min(s.WidthIn, s.LengthIn), max(w.W, w.L)-max(s.WidthIn, s.LengthIn))
	if ticks(short) <= 0 {
		return 0
	}
	return short
}

// wouldHelp reports whether a strip is wide enough for a want that is short.
func wouldHelp(s cloth.Holding, wants []Want, short []int) bool {
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
func pulls(c Cover, stock []cloth.Holding) []PullList {
	count := make([]int, len(stock))
	for _, r := range c.Ready {
		count[r.Stock] += r.Count
	}
	for _, cut := range c.Cuts {
		count[cut.Stock]++
	}
	var out []PullList
	for i, n := range count {
		if n == 0 {
			continue
		}
		k := slices.IndexFunc(out, func(p PullList) bool { return p.Basket == stock[i].Basket })
		if k < 0 {
			k = len(out)
			out = append(out, PullList{Basket: stock[i].Basket})
		}
		out[k].Lines = append(out[k].Lines, PullLine{Stock: i, ID: stock[i].ID, Count: n})
	}
	slices.SortStableFunc(out, func(a, b PullList) int {
		switch {
		case a.Basket == "":
			return 1
		case b.Basket == "":
			return -1
		}
		return cloth.CompareNatural(a.Basket, b.Basket)
	})
	for _, p := range out {
		slices.SortStableFunc(p.Lines, func(a, b PullLine) int {
			x, y := stock[a.Stock], stock[b.Stock]
			return cmp.Or(shelf.Compare(x, y), cloth.CompareNatural(x.Print, y.Print))
		})
	}
	return out
}
