package cutting

import (
	"cmp"
	"math/bits"
	"slices"
)

// The limits of packing sets into prints: states of how many sets are covered, and the
// sets of one kind of a print for which a way to cut them is sought one by one, where not
// all ways can be listed.
const (
	packStates = 20_000
	packEach   = 6
)

// packed makes a plan of a problem with sets that is too large to weigh every one. The
// cloth of each print gives so many sets, in one way or another, found by weighing every
// plan of its cloth or, where that is too much, by a search; which prints give how many is
// then weighed whole (a knapsack over the prints). What is no set is planned from the
// rest, or before the sets, whichever covers more.
func (p *problem) packed() *work {
	first := p.packInto(p.newWork())
	p.planLoose(first)
	if sum(first.left) == 0 {
		return first
	}
	last := p.newWork()
	p.planLoose(last)
	last = p.packInto(last)
	if last.better(first) {
		return last
	}
	return first
}

// planLoose plans what is in no set from the copies that are free, then from what the
// cloth of sets leaves.
func (p *problem) planLoose(w *work) {
	sub := *p
	sub.sets, sub.demand, sub.sources = nil, slices.Clone(w.left), slices.Clone(p.sources)
	for i, k := range p.inSet {
		if k >= 0 {
			sub.demand[i] = 0
		}
	}
	for k := range sub.sources {
		sub.sources[k].copies = w.free[k]
	}
	sub.inSet = slices.Repeat([]int{-1}, len(p.inSet))
	plan, ok := sub.exact()
	if !ok {
		plan = sub.search()
	}
	for _, j := range plan.jobs {
		w.add(j)
	}
	s := p.newSearch()
	s.setPrices(s.firstPrices(p.newWork().free))
	left := slices.Clone(w.left)
	for i, k := range p.inSet {
		if k >= 0 {
			w.left[i] = 0 // no more of a set
		}
	}
	for k, j := range w.jobs {
		if j.want < 0 && p.ofSets(j.counts) {
			s.more(w, k)
		}
	}
	for i, k := range p.inSet {
		if k >= 0 {
			w.left[i] = left[i]
		}
	}
}

// ofSets reports whether some of counted pieces are of sets.
func (p *problem) ofSets(counts []int) bool {
	for i, n := range counts {
		if n > 0 && p.inSet[i] >= 0 {
			return true
		}
	}
	return false
}

// sameSets reports whether two counts agree in the pieces of sets.
func (p *problem) sameSets(a, b []int) bool {
	for i, k := range p.inSet {
		if k >= 0 && a[i] != b[i] {
			return false
		}
	}
	return true
}

// yields is one way to cut sets from a print: how many of each kind, and what is done.
type yields struct {
	sets []int // of each of problem.sets
	jobs []job
	cost score
}

// packInto adds the sets to a plan, from the copies that it leaves free. Where all kinds
// at once would be too much, one kind is packed after another, the largest sets first.
func (p *problem) packInto(w *work) *work {
	kinds := make([]int, len(p.sets))
	states := 1
	for k, m := range p.sets {
		kinds[k] = k
		n, _ := m.times(w.left)
		states = min(states*(n+1), packStates+1)
	}
	if states <= packStates {
		p.pack(w, kinds)
		return w
	}
	slices.SortStableFunc(kinds, func(a, b int) int { return cmp.Compare(p.areaOfSet(p.sets[b]), p.areaOfSet(p.sets[a])) })
	for _, k := range kinds {
		p.pack(w, []int{k})
	}
	return w
}

// pack adds sets of some kinds to a plan: the most area, then by the aims.
func (p *problem) pack(w *work, kinds []int) {
	size := 1
	stride := make([]int, len(kinds))
	wanted := make([]int, len(kinds))
	for n, k := range kinds {
		wanted[n], _ = p.sets[k].times(w.left)
		stride[n] = size
		size *= wanted[n] + 1
	}
	best, at := make([]score, size), make([]bool, size)
	at[0] = true
	aims := orders[p.prefer]
	type step struct {
		ways  []yields
		picks []pick
	}
	var steps []step
	free := slices.Clone(w.free) // several of byPrint's may be of one source
	for _, b := range p.byPrint() {
		for n, k := range b.sources {
			b.copies[n] = min(b.copies[n], free[k])
			free[k] -= b.copies[n]
		}
		ways := p.waysOf(b, kinds, w)
		if ways == nil {
			continue
		}
		next, reached := slices.Clone(best), slices.Clone(at)
		picks := make([]pick, size)
		for s := range picks {
			picks[s] = pick{int32(s), -1}
		}
		for s := range best {
			for o := range ways {
				to, fits := s, at[s]
				for n, k := range kinds {
					fits = fits && s/stride[n]%(wanted[n]+1)+ways[o].sets[k] <= wanted[n]
					to += stride[n] * ways[o].sets[k]
				}
				if !fits {
					continue
				}
				if sc := best[s].plus(ways[o].cost); !reached[to] || sc.better(next[to], &aims) {
					next[to], reached[to], picks[to] = sc, true, pick{int32(s), int32(o)}
				}
			}
		}
		best, at = next, reached
		steps = append(steps, step{ways, picks})
	}
	state := 0
	for s := range best {
		if at[s] && best[s].better(best[state], &aims) {
			state = s
		}
	}
	for n := len(steps) - 1; n >= 0; n-- {
		got := steps[n].picks[state]
		if got.option >= 0 {
			for _, j := range steps[n].ways[got.option].jobs {
				w.add(j)
			}
		}
		state = int(got.from)
	}
}

// waysOf lists how sets of some kinds can be cut from the cloth of one print.
func (p *problem) waysOf(b ofPrint, kinds []int, w *work) []yields {
	sub := *p
	sub.sources, sub.roles, sub.nRoles = nil, slices.Repeat([]int{-1}, len(p.roles)), 0
	sub.demand = make([]int, len(p.demand))
	var from []int // of each source of sub, its place in p
	for n, k := range b.sources {
		if b.copies[n] > 0 {
			s := p.sources[k]
			s.copies = b.copies[n]
			sub.sources, from = append(sub.sources, s), append(from, k)
		}
	}
	for _, k := range kinds {
		m := p.sets[k]
		n, _ := m.times(w.left)
		for j, i := range m.wants {
			sub.demand[i] = n * m.each[j]
		}
	}
	if len(from) == 0 {
		return nil
	}
	sub.askNoMore()
	sub.wholeSets()
	if sum(sub.demand) == 0 {
		return nil
	}
	var out []yields
	add := func(jobs []job) {
		y := yields{sets: make([]int, len(p.sets))}
		counts := make([]int, len(p.wants))
		for _, j := range jobs {
			for i, n := range j.counts {
				counts[i] += n
			}
			y.cost = y.cost.plus(p.costOf(j, from[j.source]))
			j.source, j.vain = from[j.source], new([]int)
			y.jobs = append(y.jobs, j)
		}
		y.cost[unmixed] = -int64(bits.OnesCount(p.rolesOf(counts)))
		for _, k := range kinds {
			y.sets[k], _ = p.sets[k].times(counts)
			y.cost[uncovered] -= int64(y.sets[k]) * int64(p.areaOfSet(p.sets[k]))
		}
		out = append(out, y)
	}
	if f, ok := sub.folded(); ok {
		for s := range f.best {
			if s > 0 && f.at[s] {
				add(f.back(s).jobs)
			}
		}
		return out
	}
	whole := slices.Clone(sub.demand)
	search := func(sets map[int]int) bool {
		for i := range sub.demand {
			sub.demand[i] = 0
		}
		for k, n := range sets {
			for j, i := range p.sets[k].wants {
				sub.demand[i] = n * p.sets[k].each[j]
			}
		}
		plan := sub.search()
		if sum(plan.left) > 0 {
			return false
		}
		add(plan.jobs)
		return true
	}
	all := map[int]int{}
	for _, k := range kinds {
		most, _ := p.sets[k].times(whole)
		low, high := 0, most+1
		for high-low > 1 {
			if mid := (low + high) / 2; search(map[int]int{k: mid}) {
				low = mid
			} else {
				high = mid
			}
		}
		for n := 1; n <= min(low, packEach); n++ {
			search(map[int]int{k: n})
		}
		for n := low; n > 0; n-- { // as many more of this kind as the others leave room for
			all[k] = n
			if search(all) {
				break
			}
			delete(all, k)
		}
	}
	return out
}

// costOf returns what a job counts for by the aims, but for what it covers.
func (p *problem) costOf(j job, source int) (s score) {
	if j.want >= 0 {
		s[unready] = -1
		return s
	}
	s[unspared], s[cloths], s[cuts], s[wasted] = int64(p.sources[source].area()>>16), 1, int64(j.cuts()), int64(j.waste)
	return s
}
