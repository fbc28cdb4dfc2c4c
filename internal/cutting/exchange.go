package cutting

import (
	"cmp"
	"slices"
)

// The effort of the exchanges: rounds of prices whose patterns are gathered,
// pieces left out of a pattern one after another, and the alternatives that are
// tried as the second of three.
const (
	poolPrices  = 12
	poolFewer   = 3
	tripleSeeds = 400
	tripleWidth = 800
	tripleTimes = 6
)

// exchange improves a plan by changing how two or three pieces of cloth are cut
// at once, so that together they still make the same pieces (or more). Every
// source has a pool of patterns that are good at prices near the best ones.
type exchange struct {
	p      *problem
	prices []float64
	code   []uint64 // of each want: counts become one number that adds up as they do
	pool   [][]job  // by source
	slots  []slot
	w      *work // its jobs are held by the slots
	loose  []bool
}

// slot is one copy of a source: how it is cut now, as an index into the pool;
// −1 whole.
type slot struct{ source, now int }

// change is one slot cut otherwise.
type change struct {
	slot, to int
	key      uint64
	rise     float64
}

// mix is a fixed bijection of 64 bits that leaves no pattern behind (the
// finaliser of splitmix64, Steele, Lea & Flood 2014).
func mix(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// improve exchanges until nothing is won and returns the plan.
func (t *tables) improve(w *work, prices []float64) *work {
	e := &exchange{p: t.p, prices: slices.Clone(prices), w: w.clone()}
	for i := range prices {
		e.code = append(e.code, mix(uint64(i+1)*0x9e3779b97f4a7c15))
		e.loose = append(e.loose, w.left[i] >= looseFrom)
		if e.loose[i] {
			e.prices[i] = dear * float64(t.p.wants[i].area())
		}
	}
	e.gather(t)
	e.settle()
	e.w.jobs = nil
	for range tripleTimes {
		for e.pairs() {
		}
		if !e.triples() {
			break
		}
	}
	for _, s := range e.slots {
		if s.now >= 0 {
			e.w.jobs = append(e.w.jobs, e.pool[s.source][s.now])
		}
	}
	return e.w
}

// looseFrom is how far a want must be from covered for an exchange not to have
// to make the same number of it.
const looseFrom = 40

// gather fills the pools: the best patterns at the prices, at prices near them
// and with each want barred, and each of those with its last pieces left out.
func (e *exchange) gather(t *tables) {
	e.pool = make([][]job, len(e.p.sources))
	seen := make([]map[uint64]int, len(e.p.sources))
	for k := range seen {
		seen[k] = map[uint64]int{}
	}
	put := func(j job) {
		key := e.key(j.counts)
		at, ok := seen[j.source][key]
		if !ok {
			seen[j.source][key] = len(e.pool[j.source])
			e.pool[j.source] = append(e.pool[j.source], j)
		} else if old := e.pool[j.source][at]; cmp.Or(cmp.Compare(j.waste, old.waste), cmp.Compare(j.cuts, old.cuts)) < 0 {
			e.pool[j.source][at] = j
		}
	}
	for _, j := range e.w.jobs {
		put(j)
	}
	for n := range poolPrices + len(e.prices) {
		at := slices.Clone(e.prices)
		for i, it := range e.p.wants {
			if n > 0 && n < poolPrices {
				at[i] += (float64(mix(uint64(n*len(at)+i))>>11)/(1<<53) - 0.5) * 0.1 * float64(it.area())
			}
		}
		if n >= poolPrices {
			at[n-poolPrices] = barred
		}
		t.solve(at)
		for k := range e.p.sources {
			src := &e.p.sources[k]
			if e.w.copies[k] == 0 && len(e.pool[k]) == 0 {
				continue
			}
			_, way, length := t.best(src)
			if way < 0 {
				continue
			}
			pt := t.pattern(src, way, length)
			pt, tl := e.p.shorten(src, pt, e.p.measure(src, pt))
			for fewer := 0; tl.pieces > 0 && fewer <= poolFewer; fewer++ {
				put(job{k, pt, tl})
				pt, tl = e.p.without(src, pt)
			}
		}
	}
}

// without leaves the last piece of a pattern out.
func (p *problem) without(src *source, pt pattern) (pattern, tally) {
	g := &p.groups[src.lies[pt.lie].group]
	out := pattern{lie: pt.lie}
	for _, s := range pt.segments {
		s.rows = slices.Clone(s.rows)
		out.segments = append(out.segments, s)
	}
	last := &out.segments[len(out.segments)-1]
	longest, most := -1, -1
	for k, parts := range last.rows {
		n := 0
		for _, i := range parts {
			n += p.sigs[g.sig].rows[g.slits[last.slit].row(k)].parts[i].steps
		}
		if len(parts) > 0 && n >= most {
			longest, most = k, n
		}
	}
	last.rows[longest] = last.rows[longest][:len(last.rows[longest])-1]
	out = p.tidy(g, out)
	return p.shorten(src, out, p.measure(src, out))
}

// settle gives each copy a slot.
func (e *exchange) settle() {
	uses := make([][]int, len(e.p.sources))
	for _, j := range e.w.jobs {
		key := e.key(j.counts)
		at := slices.IndexFunc(e.pool[j.source], func(o job) bool { return e.key(o.counts) == key })
		better := e.pool[j.source][at]
		e.w.waste += better.waste - j.waste
		e.w.cuts += better.cuts - j.cuts
		uses[j.source] = append(uses[j.source], at)
	}
	for k := range e.p.sources {
		for _, at := range uses[k] {
			e.slots = append(e.slots, slot{k, at})
		}
		for range e.w.copies[k] {
			e.slots = append(e.slots, slot{k, -1})
		}
	}
}

// key is the code of counts.
func (e *exchange) key(counts []int) uint64 {
	var k uint64
	for i, n := range counts {
		k += uint64(n) * e.code[i]
	}
	return k
}

// tight is the code of the counts that an exchange has to keep.
func (e *exchange) tight(counts []int) uint64 {
	var k uint64
	for i, n := range counts {
		if !e.loose[i] {
			k += uint64(n) * e.code[i]
		}
	}
	return k
}

var nothing = job{}

// job gives how a slot would be cut.
func (e *exchange) job(s slot, now int) *job {
	if now < 0 {
		return &nothing
	}
	return &e.pool[s.source][now]
}

// rise is what a change costs: waste, less the area it covers where more can
// be, at the prices, so that what pieces of cloth exchange cancels.
func (e *exchange) rise(from, to *job) float64 {
	v := float64(to.waste - from.waste)
	for i, price := range e.prices {
		n := 0
		if to.counts != nil {
			n += to.counts[i]
		}
		if from.counts != nil {
			n -= from.counts[i]
		}
		v -= float64(n) * price
	}
	return v
}

// aLittle is what an exchange must win in waste to be one, square ticks.
const aLittle = 1e6

// wholeAlike is how many whole copies of one source are looked at.
const wholeAlike = 3

// changes lists what every slot could do instead.
func (e *exchange) changes() []change {
	var out []change
	whole, of := 0, -1
	for i, s := range e.slots {
		if s.source != of {
			whole, of = 0, s.source
		}
		if s.now < 0 {
			if whole++; whole > wholeAlike {
				continue
			}
		}
		from := e.job(s, s.now)
		for to := -1; to < len(e.pool[s.source]); to++ {
			if to == s.now {
				continue
			}
			j := e.job(s, to)
			out = append(out, change{i, to, e.tight(j.counts) - e.tight(from.counts), e.rise(from, j)})
		}
	}
	return out
}

// nearest holds the two changes of least rise of one key, of different slots;
// −1 for none.
type nearest [2]int32

func byKey(list []change) map[uint64]nearest {
	at := make(map[uint64]nearest, len(list))
	for i, c := range list {
		n, ok := at[c.key]
		switch {
		case !ok:
			n = nearest{int32(i), -1}
		case c.slot == list[n[0]].slot:
			if c.rise < list[n[0]].rise {
				n[0] = int32(i)
			}
		case c.rise < list[n[0]].rise:
			n = nearest{int32(i), n[0]}
		case n[1] < 0 || c.rise < list[n[1]].rise:
			n[1] = int32(i)
		}
		at[c.key] = n
	}
	return at
}

// offer is changes that together win something.
type offer struct {
	changes []change
	rise    float64
}

// pairs makes every change by itself and every two changes at once that win,
// the best first.
func (e *exchange) pairs() bool {
	list := e.changes()
	at := byKey(list)
	var offers []offer
	for _, a := range list {
		if a.rise < -aLittle {
			offers = append(offers, offer{[]change{a}, a.rise})
		}
		n, ok := at[-a.key]
		if !ok {
			continue
		}
		for _, i := range n {
			if i >= 0 && list[i].slot != a.slot {
				if rise := a.rise + list[i].rise; rise < -aLittle {
					offers = append(offers, offer{[]change{a, list[i]}, rise})
				}
				break
			}
		}
	}
	return e.take(offers)
}

// triples does the same with three changes, of which two are among the most
// promising.
func (e *exchange) triples() bool {
	list := e.changes()
	at := byKey(list)
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b change) int { return cmp.Compare(a.rise, b.rise) })
	sorted = sorted[:min(tripleWidth, len(sorted))]
	var offers []offer
	for i, a := range sorted[:min(tripleSeeds, len(sorted))] {
		for _, b := range sorted[i+1:] {
			if b.slot == a.slot {
				continue
			}
			n, ok := at[-(a.key + b.key)]
			if !ok {
				continue
			}
			for _, k := range n {
				if k >= 0 && list[k].slot != a.slot && list[k].slot != b.slot {
					if rise := a.rise + b.rise + list[k].rise; rise < -aLittle {
						offers = append(offers, offer{[]change{a, b, list[k]}, rise})
					}
					break
				}
			}
		}
	}
	return e.take(offers)
}

// take makes the offers that still hold, best first, and says whether any did.
func (e *exchange) take(offers []offer) bool {
	slices.SortStableFunc(offers, func(a, b offer) int { return cmp.Compare(a.rise, b.rise) })
	touched := make([]bool, len(e.slots))
	any := false
	for _, o := range offers {
		if slices.ContainsFunc(o.changes, func(c change) bool { return touched[c.slot] }) || !e.apply(o.changes) {
			continue
		}
		any = true
		for _, c := range o.changes {
			touched[c.slot] = true
		}
	}
	return any
}

// apply makes changes if what comes of them can be and is better.
func (e *exchange) apply(changes []change) bool {
	w := e.w.clone()
	for _, c := range changes {
		s := e.slots[c.slot]
		if s.now >= 0 {
			w.apply(e.pool[s.source][s.now], -1)
		}
		if c.to >= 0 {
			w.apply(e.pool[s.source][c.to], 1)
		}
	}
	if slices.Min(w.left) < 0 || !w.better(e.w) {
		return false
	}
	e.w = w
	for _, c := range changes {
		e.slots[c.slot].now = c.to
	}
	return true
}
