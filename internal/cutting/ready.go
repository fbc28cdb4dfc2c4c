package cutting

import (
	"cmp"
	"slices"
)

// readyPrints takes one piece as it is of each print for each role.
func (w *work) readyPrints() {
	for k := range w.p.sources {
		for _, i := range w.p.sources[k].ready {
			if r := w.p.roles[i]; r >= 0 && w.left[i] > 0 && w.free[k] > 0 && !w.mixes(r, w.p.sources[k].print) {
				w.add(w.p.asItIs(k, i))
			}
		}
	}
}

// ready returns as many pieces as can be to wants of their own size, prints as
// evenly as can be. Wants that little other cloth could answer come first; each
// piece found may push others along (augmenting paths, Berge 1957), so the number
// is the greatest there is.
func (w *work) ready() {
	for _, want := range w.scarcest() {
		for w.left[want] > 0 && w.augment(want) {
		}
	}
}

// augment finds one more piece for a want, if need be by giving a want that holds
// a fitting one another instead: a breadth-first search over the wants.
func (w *work) augment(want int) bool {
	type asked struct{ by, job int } // the want that asked and the job it would take over
	from := map[int]asked{want: {-1, -1}}
	for queue := []int{want}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if k := w.freeReady(at); k >= 0 {
			for {
				w.add(w.p.asItIs(k, at))
				back := from[at]
				if back.by < 0 {
					return true
				}
				k, at = w.jobs[back.job].source, back.by
				w.count(w.jobs[back.job], -1)
				w.jobs[back.job] = w.jobs[len(w.jobs)-1] // the one just added
				w.jobs = w.jobs[:len(w.jobs)-1]
			}
		}
		for n, j := range w.jobs {
			if _, seen := from[j.want]; j.want >= 0 && !seen && slices.Contains(w.p.sources[j.source].ready, at) {
				from[j.want] = asked{at, n}
				queue = append(queue, j.want)
			}
		}
	}
	return false
}

// even exchanges pieces taken as they are for whole ones of a print that the same
// want has fewer of.
func (w *work) even() {
	for n, j := range w.jobs {
		if j.want < 0 || w.p.inSet[j.want] >= 0 {
			continue
		}
		k := w.freeReady(j.want)
		if of := w.prints[j.want]; k >= 0 && of[w.p.sources[k].print]+1 < of[w.p.sources[j.source].print] {
			w.count(j, -1)
			w.jobs[n] = w.p.asItIs(k, j.want)
			w.count(w.jobs[n], 1)
		}
	}
}

// freeReady returns a whole piece of the size of a want, of the print that it has least of; −1 for none.
func (w *work) freeReady(want int) int {
	best, least := -1, 0
	for k := range w.p.sources {
		if w.free[k] == 0 || !slices.Contains(w.p.sources[k].ready, want) {
			continue
		}
		if n := w.prints[want][w.p.sources[k].print]; best < 0 || n < least {
			best, least = k, n
		}
	}
	return best
}

// scarcest orders the wants by the area of the cloth that could answer them,
// least first.
func (w *work) scarcest() []int {
	order := make([]int, len(w.p.wants))
	could := make([]float64, len(w.p.wants))
	for i := range order {
		order[i] = i
		for k, s := range w.p.sources {
			if s.holds[i] {
				could[i] += float64(float64(w.free[k]) * s.area().in2())
			}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(could[a], could[b]) })
	return order
}
