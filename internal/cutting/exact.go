package cutting

import (
	"math/bits"
	"slices"
)

// The limits of the exact search: steps to list what cloth can be cut into,
// states of what is covered, and those times what can be done with each cloth.
const (
	exactList   = 300_000
	exactStates = 100_000
	exactSteps  = 3_000_000
)

// job is one copy of a source and what is done with it: taken as it is for a
// want, or cut.
type job struct {
	source int
	want   int // −1: cut
	pattern
	tally
	vain *[]int // wants that no more could be cut of, when the search tried
}

// asItIs returns a piece of the size of a want.
func (p *problem) asItIs(source, want int) job {
	j := job{source: source, want: want, tally: tally{counts: make([]int, len(p.wants)), pieces: 1, area: p.wants[want].area()}}
	j.counts[want] = 1
	return j
}

// roles are the roles that a job has pieces for, as bits.
func (p *problem) rolesOf(counts []int) uint {
	var out uint
	for i, n := range counts {
		if n > 0 && p.roles[i] >= 0 {
			out |= 1 << p.roles[i]
		}
	}
	return out
}

// exact weighs every plan of a small problem: it covers state after state of
// what is wanted, cloth after cloth, and within one print remembers which roles
// that has pieces in. ok is false where the problem is too large.
func (p *problem) exact() (plan *work, ok bool) {
	if len(p.sources) == 0 {
		return p.newWork(), true
	}
	f, ok := p.folded()
	if !ok {
		return nil, false
	}
	return f.plan(), true
}

// folded holds the best way to every state that all of the cloth can cover.
func (p *problem) folded() (f *folding, ok bool) {
	spared, ok := p.sparing()
	if !ok || p.nRoles > 8 {
		return nil, false
	}
	size := 1 << p.nRoles
	for _, n := range p.demand {
		if size *= n + 1; size > exactStates {
			return nil, false
		}
	}
	order := make([]int, len(p.sources)) // print by print
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return p.sources[a].print - p.sources[b].print })
	effort, steps := 0, 0
	fillers := make([]*filler, len(p.sigs))
	all := make([][]option, len(p.sources))
	for _, k := range order {
		sig := p.sources[k].sig
		if fillers[sig] == nil {
			fillers[sig] = &filler{p: p, sig: &p.sigs[sig], known: map[line][]*node{}, effort: &effort}
		}
		all[k] = p.options(k, fillers[sig], spared[k])
		if steps += p.sources[k].copies * size * (len(all[k]) + 1); effort >= exactList || steps > exactSteps {
			return nil, false
		}
	}
	f = &folding{p: p, best: make([]score, size), at: make([]bool, size), aims: orders[p.prefer]}
	f.at[0] = true
	for n, k := range order {
		for range p.sources[k].copies {
			f.fold(all[k])
			if !p.sources[k].known {
				f.wholeSets()
			}
		}
		if n+1 == len(order) || p.sources[order[n+1]].print != p.sources[k].print {
			f.nextPrint()
		}
	}
	return f, true
}

// option is something that can be done with a cloth.
type option struct {
	job
	score
	key   int
	roles uint
}

// options lists what can be done with a copy of a source.
func (p *problem) options(k int, f *filler, spared int64) []option {
	src := &p.sources[k]
	var out []option
	for _, i := range src.ready {
		if p.demand[i] > 0 {
			out = append(out, option{job: p.asItIs(k, i), score: score{unready: -1}})
		}
	}
	at := map[int]int{}
	for _, turned := range []bool{false, true} {
		across, along := src.lie(turned)
		if turned && across == along {
			continue
		}
		for _, n := range f.lines(line{aCloth, along, across}, p.demand) {
			pt, t := p.pattern(src, n, turned)
			j := job{source: k, want: -1, pattern: pt, tally: t}
			key := p.stride(t.counts)
			i, seen := at[key]
			switch {
			case !seen:
				at[key] = len(out)
				out = append(out, option{job: j, score: score{unspared: spared, cloths: 1}})
			case p.cheaper(t, out[i].tally):
				out[i].job = j
			}
		}
	}
	for i := range out {
		o := &out[i]
		o.score[uncovered], o.score[cuts], o.score[wasted] = -int64(o.area), int64(o.tally.cuts()), int64(o.waste)
		o.key, o.roles = p.stride(o.counts), p.rolesOf(o.counts)
	}
	return out
}

// folding holds the best way to every state. A state is which pieces are covered, and
// which roles have pieces of the print in hand.
type folding struct {
	p     *problem
	aims  [nAims]int
	best  []score
	at    []bool // whether there is a way
	steps []stage
}

// pick tells how a state was reached: from which state, by which of the options (−1: by
// none).
type pick struct{ from, option int32 }

type stage struct {
	options []option
	picks   []pick
}

func (f *folding) fold(options []option) {
	p, sets := f.p, 1<<f.p.nRoles
	best, at := slices.Clone(f.best), slices.Clone(f.at)
	picks := make([]pick, len(best))
	left := make([]int, len(p.wants))
	for s := range best {
		picks[s] = pick{int32(s), -1}
	}
	for s := range f.best {
		if !f.at[s] {
			continue
		}
		rest := s / sets
		for i, n := range p.demand {
			left[i], rest = n-rest%(n+1), rest/(n+1)
		}
		set := uint(s % sets)
		for k := range options {
			o := &options[k]
			if !within(o.counts, left) {
				continue
			}
			sc := f.best[s].plus(o.score)
			sc[unmixed] -= int64(bits.OnesCount(o.roles &^ set))
			to := (s/sets+o.key)*sets + int(set|o.roles)
			if !at[to] || sc.better(best[to], &f.aims) {
				best[to], at[to], picks[to] = sc, true, pick{int32(s), int32(k)}
			}
		}
	}
	f.best, f.at = best, at
	f.steps = append(f.steps, stage{options, picks})
}

// wholeSets drops the states in which a set is begun and not whole: what comes next is of
// another print, and a set is of one.
func (f *folding) wholeSets() {
	if f.p.sets == nil {
		return
	}
	counts := make([]int, len(f.p.demand))
	for s := range f.at {
		if !f.at[s] {
			continue
		}
		rest := s >> f.p.nRoles
		for i, n := range f.p.demand {
			counts[i], rest = rest%(n+1), rest/(n+1)
		}
		for _, m := range f.p.sets {
			if _, whole := m.times(counts); !whole {
				f.at[s] = false
			}
		}
	}
}

// nextPrint goes on to the next print: no role has pieces of it yet.
func (f *folding) nextPrint() {
	f.wholeSets()
	sets := 1 << f.p.nRoles
	picks := make([]pick, len(f.best))
	for s := 0; s < len(f.best); s += sets {
		picks[s] = pick{int32(s), -1}
		for set := 1; set < sets; set++ {
			if f.at[s+set] && (!f.at[s] || f.best[s+set].better(f.best[s], &f.aims)) {
				f.best[s], f.at[s], picks[s].from = f.best[s+set], true, int32(s+set)
			}
			f.at[s+set] = false
		}
	}
	f.steps = append(f.steps, stage{nil, picks})
}

// plan reads the best plan back.
func (f *folding) plan() *work {
	state := -1
	for s := range f.best {
		if f.at[s] && (state < 0 || f.best[s].better(f.best[state], &f.aims)) {
			state = s
		}
	}
	return f.back(state)
}

// back reads the best plan to a state back.
func (f *folding) back(state int) *work {
	out := f.p.newWork()
	for k := len(f.steps) - 1; k >= 0; k-- {
		at := f.steps[k].picks[state]
		if at.option >= 0 {
			out.add(f.steps[k].options[at.option].job)
		}
		state = int(at.from)
	}
	return out
}
