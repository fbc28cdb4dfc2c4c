package cutting

import (
	"cmp"
	"slices"
)

// The effort of the exchanges.
const (
	poolPrices  = 12   // prices, the best and some near them, whose patterns are gathered
	poolFewer   = 3    // pieces left out of each pattern, one after another
	tripleSeeds = 400  // alternatives tried as the first of three
	tripleWidth = 800  // and as the second
	tripleTimes = 6    // searches for three in one descent
	offersMost  = 4000 // exchanges of three gathered at a time
	shakes      = 90   // times that a plan is shaken
	patience    = 30   // shakes without gain before giving up
	shaken      = 4    // pieces of cloth cut anew at a time
	worst       = 12   // half of them from so many that lose the most
)

// exchange improves a plan by changing how two or three pieces of cloth are cut
// at once, so that together they still make the same pieces (or more). Every
// source has a pool of patterns that are good at prices near the best ones.
type exchange struct {
	p      *problem
	prices []float64
	code   []uint64         // of each want: counts become one number that adds up as they do
	pool   [][]option       // by source
	at     []map[uint64]int // the option of a source by the code of its counts
	slots  []slot
	w      *work // its jobs are held by the slots
	loose  []bool
	best   []float64 // the worth of each source at the prices
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

// improve exchanges until nothing is won, shakes the plan for as long as that
// helps and the bound is not near, and returns the best.
func (t *tables) improve(w *work, prices []float64, bound float64) *work {
	e := &exchange{
		p: t.p, prices: slices.Clone(prices), w: w.clone(),
		pool: make([][]option, len(t.p.sources)), at: make([]map[uint64]int, len(t.p.sources)),
		best: make([]float64, len(t.p.sources)),
	}
	for k := range e.at {
		e.at[k] = map[uint64]int{}
	}
	for i := range prices {
		e.code = append(e.code, mix(uint64(i+1)*0x9e3779b97f4a7c15))
		e.loose = append(e.loose, w.left[i] >= looseFrom)
		if e.loose[i] {
			e.prices[i] = dear * float64(t.p.wants[i].area())
		}
	}
	e.settle()
	e.gather(t)
	e.descend()
	idle := 0
	for n := 0; n < shakes && idle < patience && !e.close(bound); n++ {
		idle++
		before, slots := e.w.clone(), slices.Clone(e.slots)
		e.shake(t, n)
		e.descend()
		if e.w.better(before) {
			idle = 0
		} else {
			e.w, e.slots = before, slots
		}
	}
	return e.plan()
}

// close says that little is left to win: all is covered, and what is lost within
// four thousandths of its bound.
func (e *exchange) close(bound float64) bool {
	return sum(e.w.left) == 0 && float64(e.w.lost()) <= 1.004*bound
}

// descend exchanges until nothing is won.
func (e *exchange) descend() {
	for range tripleTimes {
		for e.pairs() {
		}
		if !e.triples() {
			return
		}
	}
}

// shake cuts a few pieces of cloth anew, as they come, at prices a little off:
// half of them from among those that could be cut the most better.
func (e *exchange) shake(t *tables, n int) {
	w := e.plan()
	loss := func(j job) float64 { return e.best[j.source] - j.worth(e.prices) }
	slices.SortStableFunc(w.jobs, func(a, b job) int { return cmp.Compare(loss(b), loss(a)) })
	for k := range min(shaken, len(w.jobs)) {
		among := len(w.jobs)
		if k%2 == 0 {
			among = min(among, worst)
		}
		w.remove(int(mix(uint64(n*shaken+k)) % uint64(among)))
	}
	t.cutAt(w, e.near(n))
	t.complete(w)
	e.w = w
	e.settle()
}

// looseFrom is how far a want must be from covered for an exchange not to have
// to make the same number of it.
const looseFrom = 40

// option is a pattern in a pool, with the code of the counts that an exchange
// has to keep and its cost: waste, less the pieces at the prices. What pieces of
// cloth exchange cancels, so that costs add up to the waste that is won.
type option struct {
	job
	tight uint64
	cost  float64
}

// put adds a pattern to its source's pool, or puts it in the place of a worse
// one for the same pieces, and gives its index. It never replaces what a slot
// holds: that would change the plan unseen.
func (e *exchange) put(j job) int {
	var code, tight uint64
	for i, n := range j.counts {
		code += uint64(n) * e.code[i]
		if !e.loose[i] {
			tight += uint64(n) * e.code[i]
		}
	}
	at, ok := e.at[j.source][code]
	if ok {
		if !j.cheaper(e.pool[j.source][at].tally) {
			return at
		}
	}
	at = len(e.pool[j.source])
	e.at[j.source][code] = at
	e.pool[j.source] = append(e.pool[j.source], option{j, tight, -j.worth(e.prices)})
	return at
}

// gather fills the pools: the best patterns at the prices, at prices near them
// and with each want barred, and each of those with its last pieces left out.
func (e *exchange) gather(t *tables) {
	for n := range poolPrices + len(e.prices) {
		at := e.near(n)
		if n >= poolPrices {
			at = slices.Clone(e.prices)
			at[n-poolPrices] = barred
		}
		t.solve(at, knife)
		for k := range e.p.sources {
			src := &e.p.sources[k]
			if e.w.copies[k] == 0 && len(e.pool[k]) == 0 {
				continue
			}
			worth, way, length := t.best(src)
			if n == 0 {
				e.best[k] = worth
			}
			if way < 0 {
				continue
			}
			pt := t.pattern(src, way, length)
			pt, tl := e.p.neat(src, pt)
			for fewer := 0; tl.pieces > 0 && fewer <= poolFewer; fewer++ {
				e.put(job{k, pt, tl})
				pt, tl = e.p.without(src, pt)
			}
		}
	}
}

// near gives prices near the best ones: the 0-th are those.
func (e *exchange) near(n int) []float64 {
	at := slices.Clone(e.prices)
	if n == 0 {
		return at
	}
	for i, it := range e.p.wants {
		off := float64(mix(uint64(n*len(at)+i))>>11)/(1<<53) - 0.5
		at[i] += float64(0.2 / float64(int(1)<<(n%6)) * off * float64(it.area()))
	}
	return at
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
	return p.neat(src, out)
}

// settle gives each copy a slot, and its jobs the best options for their
// pieces.
func (e *exchange) settle() {
	uses := make([][]int, len(e.p.sources))
	for _, j := range e.w.jobs {
		at := e.put(j)
		e.w.apply(j, -1)
		e.w.apply(e.pool[j.source][at].job, 1)
		uses[j.source] = append(uses[j.source], at)
	}
	e.w.jobs = nil
	e.slots = nil
	for k := range e.p.sources {
		for _, at := range uses[k] {
			e.slots = append(e.slots, slot{k, at})
		}
		for range e.w.copies[k] {
			e.slots = append(e.slots, slot{k, -1})
		}
	}
}

// plan is the work with its jobs.
func (e *exchange) plan() *work {
	w := e.w.clone()
	for _, s := range e.slots {
		if s.now >= 0 {
			w.jobs = append(w.jobs, e.pool[s.source][s.now].job)
		}
	}
	return w
}

var whole = option{}

// option gives how a slot would be cut.
func (e *exchange) option(s slot, now int) *option {
	if now < 0 {
		return &whole
	}
	return &e.pool[s.source][now]
}

// aLittle is what an exchange must win in waste to be one, square ticks.
const aLittle = 1e6

// wholeAlike is how many whole copies of one source are looked at.
const wholeAlike = 3

// changes lists what every slot could do instead, as long as it may be one of
// some changes that together win: the others can win at most others times as
// much as the best of all.
func (e *exchange) changes(others int) []change {
	var out []change
	least := 0.0
	for _, first := range []bool{true, false} {
		alike, of := 0, -1
		for i, s := range e.slots {
			if s.source != of {
				alike, of = 0, s.source
			}
			if s.now < 0 {
				if alike++; alike > wholeAlike {
					continue
				}
			}
			from := e.option(s, s.now)
			for to := -1; to < len(e.pool[s.source]); to++ {
				o := e.option(s, to)
				rise := o.cost - from.cost
				if first {
					least = min(least, rise)
				} else if to != s.now && rise+float64(float64(others)*least) < 0 {
					out = append(out, change{i, to, o.tight - from.tight, rise})
				}
			}
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
	list := e.changes(1)
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
	list := e.changes(2)
	at := byKey(list)
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b change) int { return cmp.Compare(a.rise, b.rise) })
	sorted = sorted[:min(tripleWidth, len(sorted))]
	var there filter
	for _, c := range list {
		there.add(c.key)
	}
	var offers []offer
	for i, a := range sorted[:min(tripleSeeds, len(sorted))] {
		if len(offers) > offersMost {
			break
		}
		for _, b := range sorted[i+1:] {
			if a.rise+b.rise+sorted[0].rise >= 0 {
				break
			}
			third := -(a.key + b.key)
			if b.slot == a.slot || !there.has(third) {
				continue
			}
			n, ok := at[third]
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

// filter says of a key that it was surely not added, or may have been: most
// keys that are looked up were not, and a map is slow to say so.
type filter [1 << 12]uint64

func (f *filter) add(key uint64)      { f[key>>52] |= 1 << (key >> 46 & 63) }
func (f *filter) has(key uint64) bool { return f[key>>52]>>(key>>46&63)&1 != 0 }

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
	before := *e.w
	e.turn(changes)
	if slices.Min(e.w.left) < 0 || !e.w.better(&before) {
		e.turn(changes)
		return false
	}
	return true
}

// turn cuts each slot as its change says and writes into the change how it was
// cut before, so that a second turn takes the first back.
func (e *exchange) turn(changes []change) {
	for i := range changes {
		c := &changes[i]
		s := &e.slots[c.slot]
		if s.now >= 0 {
			e.w.apply(e.pool[s.source][s.now].job, -1)
		}
		if c.to >= 0 {
			e.w.apply(e.pool[s.source][c.to].job, 1)
		}
		s.now, c.to = c.to, s.now
	}
}
