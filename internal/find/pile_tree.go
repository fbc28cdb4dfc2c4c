package find

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// pairScore gives the log odds that two patches are of different pieces.
type pairScore func(f *[numPair]float32) float32

// patchTree merges patches pairwise and remembers every patch on the way.
type patchTree struct {
	m     *clusterMap
	book  *wordBook
	score pairScore
	nodes []*patch
	slot  []int // live patches: node numbers by slot, -1 where merged away
	edge  [][]*border
	cost  []pairCost
	best  []int // cheapest later slot of each slot, -1 for none
}

type pairCost struct {
	f   [numPair]float32
	key float32
	ok  bool
}

// newPatchTree starts from the live regions of g.
func newPatchTree(c *cluster, g *regions, basin []int32, score pairScore) *patchTree {
	num, k := g.labels()
	// Number 0 is the ground and what was found to be part of it.
	k--
	label := make([]int32, len(basin))
	for i, b := range basin {
		label[i] = -1
		if b >= 0 {
			label[i] = num[b] - 1
		}
	}
	t := &patchTree{m: newClusterMap(c, label), book: g.book, score: score}
	lo, hi := make([]geom.Point, k), make([]geom.Point, k)
	for i := range lo {
		lo[i] = geom.Point{X: math.Inf(1), Y: math.Inf(1)}
	}
	for i, l := range label {
		if l >= 0 {
			x, y := float64(i%c.w), float64(i/c.w)
			lo[l] = geom.Point{X: math.Min(lo[l].X, x), Y: math.Min(lo[l].Y, y)}
			hi[l] = geom.Point{X: math.Max(hi[l].X, x+1), Y: math.Max(hi[l].Y, y+1)}
		}
	}
	t.nodes = make([]*patch, k)
	t.slot = make([]int, k)
	for b := range num {
		if n := num[b] - 1; g.parent[b] == int32(b) && n >= 0 {
			p := &patch{region: g.reg[b], ids: []int32{n}, kids: [2]int{-1, -1}, made: -9, worst: -9}
			t.nodes[n] = p
			t.slot[n] = int(n)
		}
	}
	for n, p := range t.nodes {
		t.m.shape(p, int32(n), lo[n], hi[n])
	}
	t.edge = make([][]*border, k)
	for i := range t.edge {
		t.edge[i] = make([]*border, k)
	}
	for i := range g.edges {
		e := &g.edges[i]
		if !e.dead {
			a, b := num[g.root(e.a)]-1, num[g.root(e.b)]-1
			switch {
			case a < 0:
				t.nodes[b].shore, t.nodes[b].shoreN = e.sum, e.n
			case b < 0:
				t.nodes[a].shore, t.nodes[a].shoreN = e.sum, e.n
			default:
				t.edge[a][b], t.edge[b][a] = e, e
			}
		}
	}
	t.cost = make([]pairCost, k*k)
	return t
}

func (t *patchTree) pair(i, j int) *pairCost {
	if i > j {
		i, j = j, i
	}
	return &t.cost[i*len(t.slot)+j]
}

// weigh sets what joining slots i and j would cost. Patches that do not touch
// are only looked at where they are of like colours, near, and worth it.
func (t *patchTree) weigh(i, j int) {
	c := t.pair(i, j)
	c.ok = false
	a, b := t.nodes[t.slot[i]], t.nodes[t.slot[j]]
	e := t.edge[i][j]
	if e == nil {
		if min(a.area, b.area) < 150 || chiFar(&a.region, &b.region, t.book.n) > 0.3 {
			return
		}
		reach := 3 * math.Sqrt(float64(max(a.area, b.area)))
		if a.lo.X > b.hi.X+reach || b.lo.X > a.hi.X+reach || a.lo.Y > b.hi.Y+reach || b.lo.Y > a.hi.Y+reach {
			return
		}
	}
	c.f = t.m.pairing(a, b, e, t.book)
	if e == nil && c.f[8] > 0.3 {
		return
	}
	c.ok = true
	c.key = t.score(&c.f)
}

func chiFar(s, l *region, n int) float32 {
	var chi float32
	for k := range n {
		p, q := s.hist[k]/s.area, l.hist[k]/l.area
		if d := p + q; d > 1e-6 {
			chi += (p - q) * (p - q) / d
		}
	}
	return chi / 2
}

// grow merges, likeliest first, until the best pair's log odds against pass
// limit.
func (t *patchTree) grow(limit float32) {
	k := len(t.slot)
	for i := range k {
		for j := i + 1; j < k; j++ {
			t.weigh(i, j)
		}
	}
	for i := range k {
		t.look(i)
	}
	t.best = make([]int, k)
	for i := range k {
		t.seek(i)
	}
	for {
		i := -1
		least := limit
		for r, j := range t.best {
			if t.slot[r] >= 0 && j >= 0 {
				if c := t.pair(r, j); c.key < least {
					least, i = c.key, r
				}
			}
		}
		if i < 0 {
			return
		}
		j := t.best[i]
		t.merge(i, j, least)
		for r := range k {
			if t.slot[r] < 0 {
				continue
			}
			if b := t.best[r]; r <= i || b == i || b == j {
				t.seek(r)
			}
		}
	}
}

// seek finds the cheapest pair of slot i with a later slot.
func (t *patchTree) seek(i int) {
	t.best[i] = -1
	if t.slot[i] < 0 {
		return
	}
	var least float32
	for j := i + 1; j < len(t.slot); j++ {
		if t.slot[j] < 0 {
			continue
		}
		if c := &t.cost[i*len(t.slot)+j]; c.ok && (t.best[i] < 0 || c.key < least) {
			least, t.best[i] = c.key, j
		}
	}
}

func (t *patchTree) merge(i, j int, key float32) {
	a, b := t.nodes[t.slot[i]], t.nodes[t.slot[j]]
	p := &patch{region: a.region, kids: [2]int{t.slot[i], t.slot[j]}, made: key}
	p.region.absorb(&b.region)
	if e := t.edge[i][j]; e != nil {
		p.rim -= 2 * e.n
	}
	p.ids = append(slices.Clone(a.ids), b.ids...)
	for y := int(b.lo.Y); y < int(b.hi.Y); y++ {
		for x := int(b.lo.X); x < int(b.hi.X); x++ {
			if q := &t.m.label[y*t.m.c.w+x]; *q == int32(j) {
				*q = int32(i)
			}
		}
	}
	lo := geom.Point{X: math.Min(a.lo.X, b.lo.X), Y: math.Min(a.lo.Y, b.lo.Y)}
	hi := geom.Point{X: math.Max(a.hi.X, b.hi.X), Y: math.Max(a.hi.Y, b.hi.Y)}
	t.m.shape(p, int32(i), lo, hi)
	t.nodes = append(t.nodes, p)
	t.slot[i], t.slot[j] = len(t.nodes)-1, -1
	for o := range t.slot {
		if o == i || t.slot[o] < 0 {
			continue
		}
		ea, eb := t.edge[i][o], t.edge[j][o]
		switch {
		case ea == nil:
			ea = eb
		case eb != nil:
			s := *ea
			s.absorb(eb)
			ea = &s
		}
		t.edge[i][o], t.edge[o][i] = ea, ea
		t.weigh(i, o)
	}
	p.worst = max(key, a.worst, b.worst)
	p.shore, p.shoreN = a.shore+b.shore, a.shoreN+b.shoreN
	p.inner = a.inner + b.inner + softplus(key)
	t.look(i)
}

// look notes how a new patch stands to its neighbours.
func (t *patchTree) look(i int) {
	p := t.nodes[t.slot[i]]
	p.next = 9
	for o := range t.slot {
		if o == i || t.slot[o] < 0 {
			continue
		}
		if e := t.edge[i][o]; e != nil {
			p.rimSum += e.sum
			p.rimN += e.n
		}
		if c := t.pair(i, o); c.ok {
			p.next = min(p.next, c.key)
			p.outer += softplus(-c.key)
		}
	}
}

const numNode = 29

// describe gives the features of a node by which it is judged a piece or not.
func (t *patchTree) describe(n int, parentKey float32) (f [numNode]float32) {
	p := t.nodes[n]
	f[0] = log32(p.area)
	f[1] = boxiness(p.area, p.x, p.y, p.xx, p.xy, p.yy)
	f[2] = float32(float64(p.area) / max(1, p.hull.Area()))
	f[3] = float32(p.bare)
	f[4] = float32(p.spare)
	f[5] = p.open / p.rim
	f[6] = p.made
	f[7] = parentKey
	s := p.short()
	f[8] = log32(float32(s))
	f[9] = log32(p.area / float32(s*s))
	sum, long := 0.0, 0.0
	for _, s := range p.sides {
		sum += s.len
		long = max(long, s.len)
	}
	f[10] = float32(sum / max(1, p.ringLen))
	f[11] = float32(len(p.sides))
	f[12] = float32(squareCorners(p.sides))
	h := float32(0)
	for k := range t.book.n {
		if v := p.hist[k] / p.area; v > 1e-6 {
			h -= v * log32(v)
		}
	}
	f[13] = h
	f[14] = log32(p.basins)
	f[15] = p.rim / sqrt32(p.area)
	f[16] = float32(long / math.Sqrt(float64(p.area)))
	f[17] = float32(len(p.ids))
	f[22], f[23] = p.tint/p.area, p.shade/p.area
	f[28] = p.shore / max(1, p.shoreN)
	f[24], f[25] = p.inner, p.outer
	f[26] = softplus(-parentKey)
	f[27] = p.inner + p.outer
	f[18] = p.worst
	f[19] = p.rimSum / max(1, p.rimN)
	f[20] = p.next
	f[21] = p.rimN / p.rim
	return f
}

// squareCorners counts the right-angled corners, convex, between successive
// straight sides.
func squareCorners(s []side) int {
	n := 0
	for i := range s {
		a, b := &s[i], &s[(i+1)%len(s)]
		if a.p.Add(a.d.Mul(a.len)).Dist(b.p) < 6 && a.d.Cross(b.d) > 0.96 {
			n++
		}
	}
	return n
}

// softplus is log(1 + exp x).
func softplus(x float32) float32 { return float32(math.Log1p(math.Exp(float64(x)))) }
