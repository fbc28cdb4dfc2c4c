package find

import "math"

// regions is a graph of regions that merge pairwise.
type regions struct {
	book   *wordBook
	parent []int32
	adj    [][]int32 // edge numbers of a live region
	reg    []region
	edges  []border
	heap   []heapItem
	mark   []int32
	live   int
}

// region is what is known of a region: sums that add up when two merge.
type region struct {
	hist             [words]float32 // pixels by word, blurred by likeness
	area             float32
	basins           float32
	rim              float32 // length of the whole outline
	open             float32 // of it, against ground
	x, y, xx, xy, yy float64 // sums of centred coordinates
	l                float32
	tint, shade      float32
}

// border is what is known of the common border of two regions.
type border struct {
	a, b             int32
	n                float32 // length, pixels
	sum              float32 // summed log odds of being an edge of cloth
	sum2             float32
	v                [numCarry]float32 // summed along the border: what fragments measured, see carried
	x, y, xx, xy, yy float32
	version          int32
	dead             bool
}

type heapItem struct {
	key     float32
	edge    int32
	version int32
}

func (g *regions) less(i, j int) bool {
	p, q := g.heap[i], g.heap[j]
	if p.key != q.key {
		return p.key < q.key
	}
	return p.edge < q.edge
}

func (g *regions) push(it heapItem) {
	g.heap = append(g.heap, it)
	i := len(g.heap) - 1
	for i > 0 {
		p := (i - 1) / 2
		if !g.less(i, p) {
			break
		}
		g.heap[i], g.heap[p] = g.heap[p], g.heap[i]
		i = p
	}
}

func (g *regions) pop() heapItem {
	top := g.heap[0]
	n := len(g.heap) - 1
	g.heap[0] = g.heap[n]
	g.heap = g.heap[:n]
	i := 0
	for {
		l := 2*i + 1
		if l >= n {
			break
		}
		if r := l + 1; r < n && g.less(r, l) {
			l = r
		}
		if !g.less(l, i) {
			break
		}
		g.heap[i], g.heap[l] = g.heap[l], g.heap[i]
		i = l
	}
	return top
}

func (g *regions) root(i int32) int32 {
	for g.parent[i] != i {
		g.parent[i] = g.parent[g.parent[i]]
		i = g.parent[i]
	}
	return i
}

func newRegions(c *cluster, book *wordBook, label []int32, n int, fr []fragment, logit func(f *fragment) float32) *regions {
	g := &regions{book: book, parent: make([]int32, n), adj: make([][]int32, n), edges: make([]border, len(fr)), reg: make([]region, n), mark: make([]int32, n), live: n}
	raw := make([][words]float32, n)
	for i, l := range label {
		if l < 0 {
			continue
		}
		raw[l][c.word[i]]++
		g.reg[l].area++
		x, y := i%c.w, i/c.w
		fx, fy := float64(x-c.w/2), float64(y-c.h/2)
		q := &g.reg[l]
		q.x += fx
		q.y += fy
		q.xx += fx * fx
		q.xy += fx * fy
		q.yy += fy * fy
		q.l += c.l[i]
		q.tint += c.tint[i]
		q.shade += c.shade[i]
		if x+1 >= c.w || label[i+1] != l {
			g.reg[l].rim++
		}
		if x == 0 || label[i-1] != l {
			g.reg[l].rim++
		}
		if y+1 >= c.h || label[i+c.w] != l {
			g.reg[l].rim++
		}
		if y == 0 || label[i-c.w] != l {
			g.reg[l].rim++
		}
	}
	for l := range raw {
		g.reg[l].basins = 1
		g.parent[l] = int32(l)
		for k, v := range raw[l] {
			if v > 0 {
				for _, j := range book.like[k] {
					g.reg[l].hist[j] += v * book.kernel[k][j]
				}
			}
		}
	}
	for i := range fr {
		f := &fr[i]
		v := logit(f)
		m := float32(f.n)
		g.edges[i] = border{a: f.a, b: f.b, n: m, sum: v * m, sum2: v * v * m, v: carried(f, v),
			x: f.mx * m, y: f.my * m, xx: f.mxx, xy: f.mxy, yy: f.myy}
		if f.a == 0 {
			g.reg[f.b].open = m
		}
		g.adj[f.a] = append(g.adj[f.a], int32(i))
		g.adj[f.b] = append(g.adj[f.b], int32(i))
	}
	return g
}

const numCarry = 7

// carried is what a border remembers of its fragments, times their length.
func carried(f *fragment, logit float32) (v [numCarry]float32) {
	v = [numCarry]float32{max(0, f.f[14]), max(0, f.f[11]), logistic(logit), f.f[19], f.f[20], f.f[21], f.f[22]}
	for k := range v {
		v[k] *= float32(f.n)
	}
	return v
}

// numPhi is how many features a border has.
const numPhi = 35

func (g *regions) features(e *border) (f [numPhi]float32) {
	s, l := &g.reg[e.a], &g.reg[e.b]
	if s.area > l.area {
		s, l = l, s
	}
	var chi, cont, cont2 float32
	for k := range g.book.n {
		p, q := s.hist[k]/s.area, l.hist[k]/l.area
		if d := p + q; d > 1e-6 {
			chi += (p - q) * (p - q) / d
		}
		cont += min(p, 3*q)
		cont2 += min(q, 3*p)
	}
	f[0] = e.sum / e.n
	f[1] = log32(e.n)
	f[2] = log32(s.basins)
	f[3] = log32(l.basins)
	f[4] = sqrt32(chi / 2)
	f[5] = cont
	f[6] = cont2
	f[7] = e.n / s.rim
	f[8] = e.n / l.rim
	f[9] = sqrt32(e.v[0] / e.n)
	lo, hi := e.spread()
	f[10] = log32(0.3 + sqrt32(lo))
	f[11] = log32(0.3 + sqrt32(hi))
	f[12] = log32(s.area)
	f[13] = log32(l.area)
	f[14] = sqrt32(max(0, e.sum2/e.n-f[0]*f[0]))
	f[15] = sqrt32(e.v[1] / e.n)
	f[16] = e.n / (1 + sqrt32(12*hi)) // crookedness
	f[17] = log32(s.rim * s.rim / s.area)
	f[18] = boxiness(s.area, s.x, s.y, s.xx, s.xy, s.yy)
	f[19] = boxiness(l.area, l.x, l.y, l.xx, l.xy, l.yy)
	f[20] = boxiness(s.area+l.area, s.x+l.x, s.y+l.y, s.xx+l.xx, s.xy+l.xy, s.yy+l.yy)
	f[21] = s.open / s.rim
	f[22] = l.open / l.rim
	f[23] = s.l/s.area - l.l/l.area
	for k := range 5 {
		f[25+k] = e.v[2+k] / e.n
	}
	f[30], f[31] = s.tint/s.area, l.tint/l.area
	f[32], f[33] = s.shade/s.area, l.shade/l.area
	if e.a == 0 || e.b == 0 {
		f[34] = 1
	}
	f[24] = (s.rim + l.rim - 2*e.n) / sqrt32(s.area+l.area)
	return f
}

// spread is the smaller and the larger variance of the border's course, px².
func (e *border) spread() (lo, hi float32) {
	mx, my := e.x/e.n, e.y/e.n
	vxx, vxy, vyy := e.xx/e.n-mx*mx, e.xy/e.n-mx*my, e.yy/e.n-my*my
	d := sqrt32((vxx-vyy)*(vxx-vyy) + 4*vxy*vxy)
	return max(0, (vxx+vyy-d)/2), max(0, (vxx+vyy+d)/2)
}

// boxiness is 1 for a filled parallelogram, less for a ragged or bent shape:
// its area over 12 times the root of the determinant of its second moments.
func boxiness(area float32, x, y, xx, xy, yy float64) float32 {
	n := float64(area)
	mx, my := x/n, y/n
	vxx, vxy, vyy := xx/n-mx*mx+1.0/12, xy/n-mx*my, yy/n-my*my+1.0/12
	return float32(n / (12 * math.Sqrt(max(1e-6, vxx*vyy-vxy*vxy))))
}

// absorb adds the sums of another region.
func (r *region) absorb(o *region) {
	for k := range r.hist {
		r.hist[k] += o.hist[k]
	}
	r.area += o.area
	r.basins += o.basins
	r.rim += o.rim
	r.open += o.open
	r.x += o.x
	r.y += o.y
	r.xx += o.xx
	r.xy += o.xy
	r.yy += o.yy
	r.l += o.l
	r.tint += o.tint
	r.shade += o.shade
}

// absorb adds the sums of another border.
func (e *border) absorb(o *border) {
	e.n += o.n
	e.sum += o.sum
	e.sum2 += o.sum2
	for k := range e.v {
		e.v[k] += o.v[k]
	}
	e.x += o.x
	e.y += o.y
	e.xx += o.xx
	e.xy += o.xy
	e.yy += o.yy
}

// run merges the pair of lowest key first. veto may forbid a merge for good.
func (g *regions) run(key func(e *border) float32, veto func(e *border, key float32) bool) {
	g.heap = g.heap[:0]
	for i := range g.edges {
		if !g.edges[i].dead {
			g.edges[i].version++
			g.push(heapItem{key(&g.edges[i]), int32(i), g.edges[i].version})
		}
	}
	for len(g.heap) > 0 {
		it := g.pop()
		e := &g.edges[it.edge]
		if e.dead || e.version != it.version {
			continue
		}
		if veto(e, it.key) {
			continue
		}
		a, b := e.a, e.b
		if b == 0 || a != 0 && len(g.adj[a]) < len(g.adj[b]) {
			a, b = b, a
		}
		e.dead = true
		g.live--
		g.parent[b] = a
		g.reg[a].absorb(&g.reg[b])
		g.reg[a].rim -= 2 * e.n
		live := g.adj[a][:0]
		for _, k := range g.adj[a] {
			f := &g.edges[k]
			if f.dead {
				continue
			}
			live = append(live, k)
			g.mark[f.a+f.b-a] = k + 1
		}
		for _, k := range g.adj[b] {
			f := &g.edges[k]
			if f.dead {
				continue
			}
			o := f.a + f.b - b
			if a == 0 {
				g.reg[o].open += f.n
			}
			if m := g.mark[o]; m > 0 {
				t := &g.edges[m-1]
				t.absorb(f)
				f.dead = true
			} else {
				f.a, f.b = a, o
				live = append(live, k)
			}
		}
		g.adj[a], g.adj[b] = live, nil
		for _, k := range live {
			f := &g.edges[k]
			g.mark[f.a+f.b-a] = 0
			f.version++
			g.push(heapItem{key(f), k, f.version})
		}
	}
}

// labels renumbers roots 0..m-1 in order of first basin.
func (g *regions) labels() ([]int32, int) {
	out := make([]int32, len(g.parent))
	num := make([]int32, len(g.parent))
	n := 0
	for i := range out {
		r := g.root(int32(i))
		if num[r] == 0 {
			n++
			num[r] = int32(n)
		}
		out[i] = num[r] - 1
	}
	return out, n
}
