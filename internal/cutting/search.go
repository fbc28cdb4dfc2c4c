package cutting

import (
	"cmp"
	"slices"
)

// search makes a plan of a problem that is too large to weigh every one.
//
// The cloth is gone through in the order in which it is best cut into. Each is
// filled at prices of the pieces, which are their areas, dearer where little
// cloth could answer them. Where something is left uncovered its price is raised
// and the plan made anew. Then, from the other end, each cloth is put back where
// the rest, and cloth that is better cut into, does without it.
type search struct {
	p      *problem
	order  []int // sources, the best to cut into first; a source for each copy
	fill   []*filler
	effort int // steps of filling lines taken so far
}

func (p *problem) search() *work {
	s := p.newSearch()
	all := p.newWork().free
	w := s.spare(s.prune(s.plans(all, s.firstPrices(all))))
	s.swap(w)
	return w
}

// noLess returns the plan w, or the other where that covers more; of the other, cloth that
// it can do without is put back first.
func (p *problem) noLess(w, other *work) *work {
	if other.score()[uncovered] >= w.score()[uncovered] {
		return w
	}
	if p.sets == nil {
		s := p.newSearch()
		s.setPrices(s.firstPrices(p.newWork().free))
		other = s.spare(s.prune(other))
		s.swap(other)
	}
	return other
}

func (p *problem) newSearch() *search {
	s := &search{p: p}
	for k := range p.sigs {
		s.fill = append(s.fill, &filler{p: p, sig: &p.sigs[k], effort: &s.effort})
	}
	s.sort()
	return s
}

// The effort of planning: how many times prices are changed; the steps of filling
// lines after which no more plans are begun; and as how many such steps looking at one
// cloth counts.
const (
	rounds        = 8
	mostEffort    = 8_000_000
	stepsPerCloth = 200
)

// manner is how a plan is made.
type manner int

const (
	readyFirst  manner = iota // pieces as they are, then one of each print, then the rest
	printsFirst               // one of each print, as it is or cut, then the rest
	plain                     // pieces as they are, then the rest
	sparing                   // pieces as they are, then the rest by what it wastes
)

// manners lists them for each preference, the likeliest first: any of them may give
// the best plan, whatever is preferred.
var manners = map[Prefer][]manner{
	Scraps:  {readyFirst, plain, sparing, printsFirst},
	Variety: {printsFirst, readyFirst, plain, sparing},
	Waste:   {sparing, plain, readyFirst, printsFirst},
}

// plans returns the best of some plans of the copies that are free, made in every
// manner. Where they leave something uncovered the prices of what is short rise, the
// others fall, and it is planned anew.
func (s *search) plans(free []int, prices []float64) *work {
	prices = slices.Clone(prices)
	var best *work
	for range rounds {
		s.setPrices(prices)
		var now *work // the best at these prices
		for _, how := range manners[s.p.prefer] {
			if best != nil && s.effort > mostEffort {
				return best
			}
			w := s.plan(free, how)
			if now == nil || w.better(now) {
				now = w
			}
			if best == nil || w.better(best) {
				best = w
			}
		}
		if sum(now.left) == 0 {
			break
		}
		for i, n := range now.left {
			if full := s.p.wants[i].area().in2(); n > 0 {
				prices[i] = min(full, prices[i]*1.1)
			} else {
				prices[i] *= 0.9
			}
		}
	}
	return best
}

// firstPrices returns half the areas of the wants, up to all of it where as much is
// wanted as there is cloth for.
func (s *search) firstPrices(free []int) []float64 {
	prices := make([]float64, len(s.p.wants))
	for i, it := range s.p.wants {
		var cloth float64
		for k, src := range s.p.sources {
			if src.holds[i] {
				cloth += float64(float64(free[k]) * src.area().in2())
			}
		}
		wanted := float64(s.p.demand[i]) * it.area().in2()
		prices[i] = it.area().in2()
		if cloth > 0 {
			prices[i] *= (1 + min(1, wanted/cloth)) / 2
		}
	}
	return prices
}

// setPrices takes prices in square inches.
func (s *search) setPrices(prices []float64) {
	whole := make([]int64, len(prices))
	for i, v := range prices {
		whole[i] = int64(v * 1e6)
	}
	for _, f := range s.fill {
		if slices.Equal(f.prices, whole) {
			continue
		}
		f.prices, f.known = whole, map[line][]*node{}
	}
}

// sort puts the cloth in order, the smallest first; of cloths alike one of each
// source in turn.
func (s *search) sort() {
	type copyOf struct{ source, n int }
	var list []copyOf
	for k, src := range s.p.sources {
		for n := range src.copies {
			list = append(list, copyOf{k, n})
		}
	}
	slices.SortStableFunc(list, func(a, b copyOf) int {
		return cmp.Or(s.p.sources[a.source].smaller(s.p.sources[b.source]), a.n-b.n)
	})
	for _, c := range list {
		s.order = append(s.order, c.source)
	}
}

// best cuts a source for what is left; ok is false where that gives no more area
// of pieces than least.
func (s *search) best(k int, left []int, least area) (out job, ok bool) {
	src := &s.p.sources[k]
	f := s.fill[src.sig]
	worth := int64(0)
	for _, turned := range []bool{false, true} {
		across, along := src.lie(turned)
		if turned && across == along {
			continue
		}
		ways := f.lines(line{aCloth, along, across}, left)
		if ways == nil || ways[0].worth < worth || s.p.areaOf(ways[0].counts) <= least {
			continue
		}
		n := ways[0]
		pt, t := s.p.pattern(src, n, turned)
		if n.worth > worth || s.p.cheaper(t, out.tally) {
			out, worth, ok = job{source: k, want: -1, pattern: pt, tally: t, vain: new([]int)}, n.worth, true
		}
	}
	return out, ok
}

// plan makes one plan of the copies that are free.
func (s *search) plan(free []int, how manner) *work {
	w := s.p.newWork()
	w.free = slices.Clone(free)
	s.effort += stepsPerCloth * len(s.order)
	any := func(int) bool { return true }
	if how == printsFirst {
		w.readyPrints()
		s.seed(w, any)
	}
	w.ready()
	if how == readyFirst {
		s.seed(w, any)
	}
	s.cover(w, any, how == sparing)
	return w
}

// seed cuts one piece of each print for each role that has none of it yet, each
// from the first cloth that gives one and may be cut into.
func (s *search) seed(w *work, may func(source int) bool) {
	for _, k := range s.order {
		if w.free[k] == 0 || !may(k) {
			continue
		}
		src := &s.p.sources[k]
		one := make([]int, len(w.left))
		seen := uint(0)
		for _, i := range s.p.sigs[src.sig].wants {
			r := s.p.roles[i]
			if r < 0 || w.left[i] == 0 || !src.holds[i] || seen>>r&1 != 0 || w.mixes(r, src.print) {
				continue
			}
			one[i] = 1
			seen |= 1 << r
		}
		if seen == 0 {
			continue
		}
		if j, ok := s.best(k, one, 0); ok {
			w.add(j)
		}
	}
}

// cover cuts what is left: more from cloths that are cut already, then from whole
// ones that may be cut into, in order or, thrifty, by what they waste.
func (s *search) cover(w *work, may func(source int) bool, thrifty bool) {
	for k, j := range w.jobs {
		if j.want < 0 {
			s.more(w, k)
		}
	}
	if thrifty {
		s.thrifty(w, may)
		return
	}
	for _, k := range s.order {
		if sum(w.left) == 0 {
			return
		}
		if w.free[k] == 0 || !may(k) || !w.holdsSome(k) {
			continue
		}
		if j, ok := s.best(k, w.left, 0); ok {
			w.add(j)
		}
	}
}

// thrifty cuts, again and again, the cloth that wastes the least for what it gives
// of what is left.
func (s *search) thrifty(w *work, may func(source int) bool) {
	type bid struct {
		share  float64 // of what it gives
		source int
	}
	byShare := func(a, b bid) int { return cmp.Compare(a.share, b.share) }
	var bids []bid // those of a source stand for all its copies; shares are as they once were, and only rise
	for k := range s.p.sources {
		if may(k) {
			bids = append(bids, bid{0, k})
		}
	}
	for len(bids) > 0 && sum(w.left) > 0 {
		k := bids[0].source
		bids = bids[1:]
		if w.free[k] == 0 || !w.holdsSome(k) {
			continue
		}
		j, ok := s.best(k, w.left, 0)
		if !ok {
			continue
		}
		now := bid{float64(j.waste) / float64(j.area), k}
		if len(bids) == 0 || byShare(now, bids[0]) <= 0 {
			w.add(j)
		}
		at, _ := slices.BinarySearchFunc(bids, now, byShare)
		bids = slices.Insert(bids, at, now)
	}
}

// more cuts the cloth of a job anew where that covers more and no role loses its
// print. What was once tried in vain for some wants is not tried again.
func (s *search) more(w *work, k int) {
	j := w.jobs[k]
	src := &s.p.sources[j.source]
	room, hope := area(src.width)*area(src.length)-j.area, false
	for i, n := range w.left {
		hope = hope || n > 0 && src.holds[i] && s.p.wants[i].area() <= room && !slices.Contains(*j.vain, i)
	}
	if !hope {
		return
	}
	w.count(j, -1)
	if to, ok := s.best(j.source, w.left, j.area); ok && s.p.rolesOf(j.counts)&^s.p.rolesOf(to.counts) == 0 && s.p.sameSets(j.counts, to.counts) {
		w.jobs[k], j = to, to
	}
	w.count(j, 1)
	for i, n := range w.left {
		if n > 0 {
			*j.vain = append(*j.vain, i)
		}
	}
}
