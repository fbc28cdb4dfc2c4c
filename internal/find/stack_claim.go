package find

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Claiming works on cells of claimU columns and claimV rows of the rack.
const (
	claimU = 2
	claimV = grainRows
)

// What it costs a strip to take in one more cell. At a cost of 1 it stops.
const (
	claimStep   = 0.6 // the longest bundle's rows over this, in colours of its own, is as far as it may grow
	claimOdd    = 7.5 // more for every nat a cell looks less like the strip than like anything
	claimSlack  = 0.3 // nats
	claimEdge   = 1.2 // for a change of colour of 1 (OKLab) from cell to cell
	claimSurely = 0.4 // nats: a cell that looks more like the backdrop by this is backdrop
	claimShade  = 0.22
	claimDeep   = 8    // lightness cells a face may be darker than its ridge
	claimSide   = 0.15 // of the length of the bands: how far to its sides a strip may grow
	claimEnd    = 0.3  // and how far beyond its tier
)

// claims says whose each cell is: strip k is k+1, the backdrop 0, none -1.
type claims struct {
	W, H  int
	owner []int16
	odd   [][]float32 // by owner and bin: how much less a colour looks like it than like anything, nats
	mean  []float32   // mean L, a, b of each cell
}

// claim grows every strip, and the backdrop, from what is surely its own over
// the cells that look like it, cheapest first (seeded region growing, Adams &
// Bischof 1994), so that end and side faces come to their strip.
func claim(r *rack, sw *swatches, strips []strip, around []float32) *claims {
	c := &claims{W: r.W / claimU, H: r.H / claimV}
	n := c.W * c.H
	c.owner = make([]int16, n)
	for i := range c.owner {
		c.owner[i] = -1
	}
	c.average(r)
	c.compare(sw, strips, around)
	long := 1
	for i := range strips {
		long = max(long, strips[i].t.rows())
	}
	var q frontier
	c.seed(&q, r, sw, strips)
	unit := 1 / float32(long)
	within := make([]func(u, v int) bool, len(strips)+1)
	for k := range strips {
		within[k+1] = strips[k].scope()
	}
	for len(q) > 0 {
		f := q.pop()
		if f.cost > 0 {
			if c.owner[f.cell] >= 0 {
				continue
			}
			c.owner[f.cell] = f.owner
		}
		x, y := int(f.cell)%c.W, int(f.cell)/c.W
		for _, d := range [4]struct {
			u, v int
			far  float32 // claimV rows
		}{{-1, 0, 0.5}, {1, 0, 0.5}, {0, -1, 1}, {0, 1, 1}} {
			u, v := x+d.u, y+d.v
			if u < 0 || v < 0 || u >= c.W || v >= c.H || c.owner[v*c.W+u] >= 0 {
				continue
			}
			if f.owner > 0 && !within[f.owner](u, v) {
				continue
			}
			j := int32(v*c.W + u)
			o := c.oddity(r, sw, j, f.owner)
			// An edge counts less the more what lies behind it looks like one's
			// own: prints are full of edges.
			cost := f.cost + d.far*(unit*(claimStep+claimOdd*max(0, claimSlack+o))+
				claimEdge*c.edge(f.cell, j)*clamp32(0.6+o/2, 0.05, 1))
			if cost < 1 || f.owner == 0 {
				q.push(front{cost, j, f.owner})
			}
		}
	}
	return c
}

// average fills mean.
func (c *claims) average(r *rack) {
	c.mean = make([]float32, 3*c.W*c.H)
	parallel(c.H, func(y0, y1 int) {
		for i := y0 * c.W; i < y1*c.W; i++ {
			x, y := i%c.W*claimU, i/c.W*claimV
			for p, v := range [3][]float32{r.L, r.A, r.B} {
				var s float32
				for j := y * r.W; j < (y+claimV)*r.W; j += r.W {
					for _, e := range v[j+x : j+x+claimU] {
						s += e
					}
				}
				c.mean[3*i+p] = s / (claimU * claimV)
			}
		}
	})
}

// edge is how far the colours of two cells lie apart, chroma counting double.
func (c *claims) edge(i, j int32) float32 {
	a, b := c.mean[3*i:3*i+3], c.mean[3*j:3*j+3]
	l, p, q := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return sqrt32(l*l + 4*p*p + 4*q*q)
}

// compare fills odd. A strip's faces may be darker than its ridge.
func (c *claims) compare(sw *swatches, strips []strip, around []float32) {
	count := make([]float32, sw.n)
	for _, b := range sw.bin {
		count[b]++
	}
	all := sw.soften(count)
	var dim [claimDeep + 1]float32
	for s := range dim {
		dim[s] = float32(math.Exp(-claimShade * float64(s)))
	}
	c.odd = make([][]float32, len(strips)+1)
	parallel(len(c.odd), func(k0, k1 int) {
		for k := k0; k < k1; k++ {
			c.odd[k] = make([]float32, sw.n)
			for i := range c.odd[k] {
				p := around[i]
				if k > 0 {
					own := strips[k-1].own[i : i/lightCells*lightCells+lightCells]
					p = 0
					for s, v := range own[:min(len(own), len(dim))] {
						p = max(p, v*dim[s])
					}
				}
				c.odd[k][i] = logf((all[i] + reachFaint) / (0.9*p + 0.1*all[i] + reachFaint))
			}
		}
	})
}

// oddity is the mean of odd over a cell.
func (c *claims) oddity(r *rack, sw *swatches, cell int32, owner int16) float32 {
	x, y := int(cell)%c.W*claimU, int(cell)/c.W*claimV
	odd := c.odd[owner]
	var s float32
	for j := y*r.W + x; j < (y+claimV)*r.W; j += r.W {
		s += odd[sw.bin[j]] + odd[sw.bin[j+1]]
	}
	return s / (claimU * claimV)
}

// seed gives out what is surely somebody's: the middle of each strip, and to
// the backdrop the ground, the frame, and what looks like it rather than like
// any strip nearby.
func (c *claims) seed(q *frontier, r *rack, sw *swatches, strips []strip) {
	take := func(cell int, owner int16) {
		if c.owner[cell] < 0 {
			c.owner[cell] = owner
			q.push(front{0, int32(cell), owner})
		}
	}
	for i := range c.owner {
		x, y := i%c.W, i/c.W
		if x == 0 || y == 0 || x == c.W-1 || y == c.H-1 {
			take(i, 0)
		}
	}
	for k := range strips {
		s := &strips[k]
		n := s.t.rows()
		for y := max(s.y0+2, s.t.y0+n/6); y < min(s.y1-2, s.t.y1-n/6); y++ {
			x0, x1 := s.columns(r, y)
			for x := (x0 + 1) / claimU; x*claimU+claimU/2 < x1-1; x++ {
				if x < c.W {
					take(y*c.W+x, int16(k+1))
				}
			}
		}
	}
	lead := make([]float32, len(c.owner))
	parallel(c.H, func(y0, y1 int) {
		var near []int
		for y := y0; y < y1; y++ {
			near = near[:0]
			for k := range strips {
				if n := strips[k].t.rows(); y >= strips[k].t.y0-n/3 && y <= strips[k].t.y1+n/3 {
					near = append(near, k)
				}
			}
			for x := range c.W {
				i := y*c.W + x
				if c.owner[i] >= 0 {
					continue
				}
				best := float32(3)
				for _, k := range near {
					s := &strips[k]
					n := s.t.rows()
					row := clamp(y-s.t.y0, 0, n-1)
					u := float32(x * claimU)
					if max(s.left.x[row]-u, u-s.right.x[row]) < float32(n) {
						best = min(best, c.oddity(r, sw, int32(i), int16(k+1)))
					}
				}
				lead[i] = best - c.oddity(r, sw, int32(i), 0)
			}
		}
	})
	for i, v := range blur(lead, c.W, c.H, 2) {
		if v > claimSurely {
			take(i, 0)
		}
	}
}

// regions is the largest connected part of what each strip owns, in the photo.
func (c *claims) regions(r *rack, strips []strip) []cloth.Region {
	mask := make([]uint8, len(c.owner))
	var out []cloth.Region
	for k := range strips {
		for i, o := range c.owner {
			mask[i] = 0
			if int(o) == k+1 {
				mask[i] = 255
			}
		}
		if ring := c.ring(r, mask); len(ring) > 2 {
			out = append(out, cloth.Region{Polygon: ring, Trust: 0.7})
		}
	}
	return out
}

// ring goes round the largest connected part of mask, in the photo.
func (c *claims) ring(r *rack, mask []uint8) geom.Polygon {
	lab, blobs := labelBlobs(mask, c.W, c.H)
	if len(blobs) == 0 {
		return nil
	}
	best := 0
	for i, b := range blobs {
		if b.area > blobs[best].area {
			best = i
		}
	}
	ring := traceBlob(lab, c.W, c.H, blobs[best])
	for i, p := range ring {
		ring[i] = r.place(p.X*claimU-0.5, p.Y*claimV-0.5).Add(geom.Point{X: 0.5, Y: 0.5})
	}
	return simplify(ring, 1)
}

// front is a cell that an owner can have at a cost.
type front struct {
	cost  float32
	cell  int32
	owner int16
}

func (f front) before(g front) bool {
	if f.cost != g.cost {
		return f.cost < g.cost
	}
	if f.cell != g.cell {
		return f.cell < g.cell
	}
	return f.owner < g.owner
}

// frontier is a binary heap of fronts, cheapest first.
type frontier []front

func (q *frontier) push(f front) {
	h := append(*q, f)
	i := len(h) - 1
	for i > 0 && f.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = f
	*q = h
}

func (q *frontier) pop() front {
	h := *q
	top, f := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for {
		k := 2*i + 1
		if k >= len(h) {
			break
		}
		if k+1 < len(h) && h[k+1].before(h[k]) {
			k++
		}
		if !h[k].before(f) {
			break
		}
		h[i] = h[k]
		i = k
	}
	if len(h) > 0 {
		h[i] = f
	}
	*q = h
	return top
}

// scope says which cells a strip may grow to.
func (s *strip) scope() func(u, v int) bool {
	n := float32(s.t.rows())
	side := claimSide * n * grainRows
	y0, y1 := float32(s.t.y0)-claimEnd*n, float32(s.t.y1)+claimEnd*n
	return func(u, v int) bool {
		if float32(v) < y0 || float32(v) > y1 {
			return false
		}
		x := float32(u * claimU)
		return x > s.left.at(v-s.t.y0)-side && x < s.right.at(v-s.t.y0)+side
	}
}
