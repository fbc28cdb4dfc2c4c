package cutting

import (
	"cmp"
	"slices"
)

// pruneEffort is how many jobs are looked at to put cloths back.
const pruneEffort = 5_000_000

// prune puts cloths back that the rest can do without, those best left alone
// first.
func (s *search) prune(w *work) *work {
	rank := make([]int, len(s.p.sources))
	for at, k := range s.order {
		rank[k] = at
	}
	effort := 0
	for _, k := range slices.Backward(w.cutInto(func(a, b int) int { return rank[a] - rank[b] })) {
		if effort += len(w.jobs); effort > pruneEffort {
			return w
		}
		at := slices.IndexFunc(w.jobs, func(j job) bool { return j.source == k && j.want < 0 })
		if at < 0 {
			continue
		}
		without := w.clone()
		without.count(w.jobs[at], -1)
		without.jobs = slices.Delete(without.jobs, at, at+1)
		may := func(other int) bool { return rank[other] < rank[k] }
		if s.p.prefer != Waste {
			s.seed(without, may)
		}
		s.cover(without, may, s.p.prefer == Waste)
		if without.better(w) {
			w = without
		}
	}
	return w
}

// swap cuts the first cloth that can be cut in the same way in the place of each,
// where no print is lost by it.
func (s *search) swap(w *work) {
	for n, j := range w.jobs {
		if j.want >= 0 {
			continue
		}
		across, along := j.reach()
		for _, k := range s.order {
			src := &s.p.sources[k]
			wide, long := src.lie(j.turned)
			if s.p.sources[j.source].smaller(*src) <= 0 {
				break
			}
			if w.free[k] == 0 || wide < across || long < along || !s.p.allows(k, j.counts) {
				continue
			}
			to := j
			to.source, to.tally = k, s.p.measure(src, j.pattern)
			if s.p.prefer == Waste && to.waste > j.waste {
				continue
			}
			a, b := s.p.sources[j.source].print, src.print
			before := w.mixing(a) + w.mixing(b)
			w.count(j, -1)
			w.count(to, 1)
			if w.mixing(a)+w.mixing(b) >= before {
				w.jobs[n] = to
				break
			}
			w.count(to, -1)
			w.count(j, 1)
		}
	}
}

// allows reports whether a source may answer all the wants of which there are counts.
func (p *problem) allows(source int, counts []int) bool {
	for i, n := range counts {
		if n > 0 && !slices.Contains(p.sigs[p.sources[source].sig].wants, i) {
			return false
		}
	}
	return true
}

// spare tries to do without one cloth after another by planning the same pieces
// anew from all others that a plan uses, what gives the least first.
func (s *search) spare(w *work) *work {
	p := *s.p
	p.demand = less(p.demand, w.left)
	again := p.newSearch()
	prices := again.firstPrices(w.uses())
	for spared := true; spared; {
		spared = false
		var cut []job
		for _, j := range w.jobs {
			if j.want < 0 {
				cut = append(cut, j)
			}
		}
		slices.SortStableFunc(cut, func(a, b job) int { return cmp.Compare(a.area, b.area) })
		for _, j := range cut {
			free := w.uses()
			if again.effort > mostEffort {
				return w
			}
			if free[j.source] == 0 {
				continue
			}
			free[j.source]--
			other := s.p.newWork()
			for _, j := range again.plans(free, prices).jobs {
				other.add(j)
			}
			if other.better(w) {
				w, spared = other, true
			}
		}
	}
	return w
}
