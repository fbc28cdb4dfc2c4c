package cutting

import (
	"cmp"
	"slices"
)

// The limits of the exact search: patterns looked at, states of what is left (of
// which each takes some hundred bytes), those times patterns, and pieces of cloth.
const (
	exactPatterns = 60_000
	exactStates   = 500_000
	exactSteps    = 6_000_000
	exactCloths   = 400
)

// choice is one way of using one piece of cloth: as it is for a want, or cut.
type choice struct {
	want int // −1: cut
	pattern
	tally
}

// score is the objective without prints: greater area, then fewer pieces cut,
// then fewer squares cut down, by area, then less waste, then fewer cuts, then
// fewer lengths to slit.
type score struct {
	area   area
	made   int
	spoilt area
	waste  area
	cuts   int
	slit   int
}

func (s score) plus(c choice) score {
	s.area += c.area
	s.waste += c.waste
	s.spoilt += c.spoilt
	s.cuts += c.cuts
	s.slit += c.slit
	if c.want < 0 {
		s.made += c.pieces
	}
	return s
}

func (s score) better(than score) bool {
	return cmp.Or(cmp.Compare(than.area, s.area), s.made-than.made, cmp.Compare(s.spoilt, than.spoilt), cmp.Compare(s.waste, than.waste), s.cuts-than.cuts, s.slit-than.slit) < 0
}

// exact solves a small problem by dynamic programming over what is left of each
// want, cloth after cloth; ok is false where it is too large.
func (p *problem) exact() (used []taken, w *work, ok bool) {
	cloths, states := 0, 1
	for _, s := range p.sources {
		cloths += s.copies
	}
	switch {
	case cloths == 0:
		return nil, newWork(nil, p.demand), true
	case cloths > exactCloths:
		return nil, nil, false
	}
	for _, n := range p.demand {
		if states *= n + 1; states > exactStates {
			return nil, nil, false
		}
	}
	var order []int
	var choices [][]choice
	budget, effort := exactPatterns, 0
	for k := range p.sources {
		list, spent := p.choices(&p.sources[k], p.demand, budget)
		if budget -= spent; budget < 0 {
			return nil, nil, false
		}
		for range p.sources[k].copies {
			order, choices = append(order, k), append(choices, list)
			if effort += states * (len(list) + 1); effort > exactSteps {
				return nil, nil, false
			}
		}
	}
	picks := p.fold(choices, states)
	used, w = nil, newWork(p.copies(), p.demand)
	state := states - 1
	for c := len(order) - 1; c >= 0; c-- {
		at := picks[c][state]
		if at < 0 {
			continue
		}
		ch := choices[c][at]
		state -= p.stride(ch.counts)
		if ch.want < 0 {
			g := &p.groups[p.sources[order[c]].lies[ch.lie].group]
			pt, tl := p.joined(&p.sources[order[c]], p.tidy(g, ch.pattern), ch.tally)
			w.add(job{order[c], pt, tl})
		} else {
			used = append(used, taken{order[c], ch.want, 1})
			w.copies[order[c]]--
			w.left[ch.want]--
		}
	}
	slices.Reverse(used)
	slices.Reverse(w.jobs)
	return used, w, true
}

// stride is the state of a count of each want, in mixed radix.
func (p *problem) stride(counts []int) int {
	n, step := 0, 1
	for i, c := range counts {
		n += c * step
		step *= p.demand[i] + 1
	}
	return n
}

// fold gives, for each cloth and state, the choice that with the cloths before
// it covers the state's pieces or some of them best; −1 leaves the cloth whole.
func (p *problem) fold(choices [][]choice, states int) [][]int32 {
	before := make([]score, states)
	digits := make([][]int, states)
	for s := range digits {
		rest := s
		for _, n := range p.demand {
			digits[s] = append(digits[s], rest%(n+1))
			rest /= n + 1
		}
	}
	picks := make([][]int32, len(choices))
	for c, list := range choices {
		picks[c] = make([]int32, states)
		after := make([]score, states)
		strides := make([]int, len(list))
		for k := range list {
			strides[k] = p.stride(list[k].counts)
		}
		for s := range states {
			best, pick := before[s], int32(-1)
			for k := range list {
				if !within(list[k].counts, digits[s]) {
					continue
				}
				if sc := before[s-strides[k]].plus(list[k]); sc.better(best) {
					best, pick = sc, int32(k)
				}
			}
			after[s], picks[c][s] = best, pick
		}
		before = after
	}
	return picks
}

func within(counts, most []int) bool {
	for i, n := range counts {
		if n > most[i] {
			return false
		}
	}
	return true
}

func (p *problem) copies() []int {
	out := make([]int, len(p.sources))
	for k, s := range p.sources {
		out[k] = s.copies
	}
	return out
}
