package find

import (
	"container/heap"
	_ "embed"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/eye"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// JoinNames name what speaks for two fragments being of one piece, in the order of
// Pair.Signs. Some are products of others, which it learns from few photos only where they are given.
var JoinNames = []string{
	"pull",          // mean of the pulls between them
	"alike",         // 1 where their mean colours are the same but for lightness, 0 from ΔE 18 on
	"nearly",        // the same, 0 from 9 on
	"light",         // difference of their mean CIELAB L
	"common",        // share of their colours in common
	"border",        // their common border, as a share of the shorter edge
	"long",          // the same, in sides of the smaller's square
	"touch",         // 1 where there is any
	"gap",           // between their facing ends, in widths; less than 0 where they overlap
	"smaller",       // ln of the area of the smaller, in usual fragments
	"larger",        // of the larger
	"usual",         // ln of the area of a usual fragment, in cells
	"own",           // share of the ways from one to the other that lie in themselves
	"other",         // in other cloth
	"bare",          // on no cloth
	"cloth_smaller", // mean probability of cloth, less ½
	"cloth_larger",
	"low", "high", // how far their edges are out of line, in widths: the nearer and the farther side
	"overlap",        // share of the width where they face each other
	"in_line",        // 1 where both sides are in line, 0 from a high of 0.3 on
	"side_in_line",   // 1 where one side is, 0 from a low of 0.08 on
	"in_line_common", // products from here on
	"in_line_nearly",
	"side_common",
	"touch_common",
	"other_common",
	"stack", "pile", "board", // probabilities of the kind of photo
	"pile_pull",
	"pile_common",
	"pile_in_line",
	"pile_touch",
}

const (
	// joinEnough is the chance from which two fragments are joined. With 0.3 made piles gain
	// 0.04 of F1 at IoU 0.75 and made stacks lose 0.03, and a real stack of solids in the
	// order of their hues 0.12; with 0.5 that stack gains 0.10.
	joinEnough = 0.4
	// lightBins and hueBins are those of CIELAB L, and of a and b, that colours are
	// counted in.
	lightBins, hueBins = 5, 12
	// atEdge is how much of a cell at a fragment's edge counts among its colours:
	// it is mixed with what lies beside.
	atEdge = 0.1
	// mostCells is how many cells of a fragment, about, stand for it where its sides
	// are held against another's.
	mostCells = 200
	// leastFacing is the least fragment, in cells, and mostHue the most difference in
	// a and b, for which one is joined with another that no pull reaches.
	leastFacing, mostHue = 40, 9.0
)

// looks are how the cells of a fragment look and lie, in cells of the view.
type looks struct {
	edge    int        // sides of cells
	sum     [3]float64 // of CIELAB
	bins    [lightBins * hueBins * hueBins]float64
	counted float64 // in bins
	cloth   int64   // the sum of a field's
	some    []geom.Point
	hull    geom.Polygon
	along   geom.Point // unit vector: a side of the smallest rectangle round the hull
}

// joiner joins fragments by what join.json says of each two.
type joiner struct {
	*view
	*fragments
	looks              []*looks // nil for those that are no more
	usual              float64  // cells
	stack, pile, board float64
	chance             func(signs []float64) float64
	seen               func(a, b int32, signs []float64) // told of all that is weighed, and with no signs of what is joined
}

// newJoiner surveys what the crumbs left of the fragments.
func newJoiner(v *view, g *fragments, odds odds) *joiner {
	j := &joiner{view: v, fragments: g, stack: odds(cloth.Stack), pile: odds(cloth.Pile), board: odds(cloth.Board), chance: joins().chance}
	j.looks = make([]*looks, g.n+1)
	var areas []int
	left := 0
	for k := range j.looks {
		if g.alive(int32(k)) {
			j.looks[k] = &looks{}
			areas = append(areas, g.area[k])
			left += g.area[k]
		}
	}
	slices.Sort(areas)
	for _, a := range areas { // usual is the one that holds the middle one of all cells
		if j.usual = float64(a); left < a {
			break
		}
		left -= 2 * a
	}
	colours := v.colours()
	edges := make([][]geom.Point, g.n+1)
	nth := make([]int, g.n+1)
	for i, k := range g.lab {
		if k == 0 {
			continue
		}
		s, x, y, n := j.looks[k], i%v.w, i/v.w, 0
		for _, out := range [4]bool{x == 0 || g.lab[i-1] != k, x == v.w-1 || g.lab[i+1] != k, y == 0 || g.lab[i-v.w] != k, y == v.h-1 || g.lab[i+v.w] != k} {
			if out {
				n++
			}
		}
		p := geom.Point{X: float64(x), Y: float64(y)}
		if n > 0 {
			s.edge += n
			s.count(colours[i], atEdge)
			edges[k] = append(edges[k], p, geom.Point{X: p.X + 1, Y: p.Y}, geom.Point{X: p.X, Y: p.Y + 1}, geom.Point{X: p.X + 1, Y: p.Y + 1})
		} else {
			s.count(colours[i], 1)
		}
		if nth[k]%(1+g.area[k]/mostCells) == 0 {
			s.some = append(s.some, p)
		}
		nth[k]++
		s.cloth += int64(v.cloth[i])
	}
	for k, s := range j.looks {
		if s != nil {
			s.lie(edges[k])
		}
	}
	return j
}

// count counts a cell's colour, and in its bin and, by nearness, those beside it: a
// twentieth of a shade's difference must not part two halves of one print.
func (s *looks) count(c [3]float64, weight float64) {
	for k, v := range c {
		s.sum[k] += v
	}
	s.counted += weight
	size := [3]int{lightBins, hueBins, hueBins}
	at := [3]float64{c[0] * lightBins / 100, (c[1] + 64) * hueBins / 128, (c[2] + 64) * hueBins / 128}
	var lo [3]int
	var share [3][2]float64
	for k := range at {
		i, f := raster.Between(at[k]-0.5, size[k])
		lo[k], share[k] = i, [2]float64{1 - f, f}
	}
	for i, a := range share[0] {
		for j, b := range share[1] {
			for k, c := range share[2] {
				s.bins[((lo[0]+i)*hueBins+lo[1]+j)*hueBins+lo[2]+k] += weight * a * b * c
			}
		}
	}
}

// lie takes the hull of some points, and how it lies.
func (s *looks) lie(pts []geom.Point) {
	s.hull = geom.ConvexHull(pts)
	r := geom.MinAreaRect(s.hull)
	s.along = r[1].Sub(r[0])
	s.along = s.along.Mul(1 / max(s.along.Len(), 1e-9))
}

// join makes b part of a, and its looks too.
func (j *joiner) join(a, b int32) {
	s, t := j.looks[a], j.looks[b]
	s.edge += t.edge - 2*int(j.bonds[a][b].border)
	s.cloth += t.cloth
	s.counted += t.counted
	for k, v := range t.sum {
		s.sum[k] += v
	}
	for k, v := range t.bins {
		s.bins[k] += v
	}
	s.some = append(s.some, t.some...)
	for len(s.some) > 2*mostCells {
		for i := range len(s.some) / 2 {
			s.some[i] = s.some[2*i]
		}
		s.some = s.some[:len(s.some)/2]
	}
	s.lie(slices.Concat(s.hull, t.hull))
	j.looks[b] = nil
	j.fragments.join(a, b)
}

// run joins the two fragments that are likeliest of one piece, again and again,
// until no two are likely enough.
func (j *joiner) run() {
	var q queue[offer]
	weigh := func(a, b int32) {
		signs := j.signs(a, b)
		if signs == nil {
			return
		}
		if j.seen != nil {
			j.seen(a, b, signs)
		}
		if p := j.chance(signs); p >= joinEnough {
			heap.Push(&q, offer{p, min(a, b), max(a, b), j.area[a] + j.area[b]})
		}
	}
	var left []int32
	for k := int32(1); int(k) <= j.n; k++ {
		if j.alive(k) {
			for _, c := range left {
				weigh(c, k)
			}
			left = append(left, k)
		}
	}
	for len(q) > 0 {
		o := heap.Pop(&q).(offer)
		if !j.alive(o.a) || !j.alive(o.b) || j.area[o.a]+j.area[o.b] != o.sizes {
			continue
		}
		j.join(o.a, o.b)
		if j.seen != nil {
			j.seen(o.a, o.b, nil)
		}
		left = slices.DeleteFunc(left, func(k int32) bool { return k == o.b })
		for _, c := range left {
			if c != o.a {
				weigh(o.a, c)
			}
		}
	}
	j.settle()
}

// signs measures what speaks for two fragments being of one piece; nil where they
// have nothing to do with each other.
func (j *joiner) signs(a, b int32) []float64 {
	if j.area[a] < j.area[b] || j.area[a] == j.area[b] && a > b {
		a, b = b, a
	}
	s, t := j.looks[a], j.looks[b]
	larger, smaller := float64(j.area[a]), float64(j.area[b])
	var apart [3]float64
	for k := range apart {
		apart[k] = s.sum[k]/larger - t.sum[k]/smaller
	}
	hue := math.Hypot(apart[1], apart[2])
	w, bound := j.bonds[a][b]
	if bound && w.n <= 2*leastBond || !bound && (j.stack+j.pile < 0.5 || smaller < leastFacing || hue > mostHue) {
		return nil
	}
	common := 0.0
	for k, v := range s.bins {
		common += min(v/s.counted, t.bins[k]/t.counted)
	}
	touch := 0.0
	if w.border > 0 {
		touch = 1
	}
	pull := float64(w.sum) / float64(w.n+2*leastBond) / unit
	alike, nearly := max(0, 1-hue/18), max(0, 1-hue/9)
	low, high, gap, overlap := facing(s, t)
	line, side := max(0, 1-high/0.3), max(0, 1-low/0.08)
	own, other, bare := j.between(a, b)
	return []float64{
		pull, alike, nearly, math.Abs(apart[0]), common,
		float64(w.border) / float64(min(s.edge, t.edge)), float64(w.border) / math.Sqrt(smaller), touch, gap,
		math.Log(smaller / j.usual), math.Log(larger / j.usual), math.Log(j.usual),
		own, other, bare,
		float64(t.cloth) / smaller / unit, float64(s.cloth) / larger / unit,
		low, high, overlap, line, side,
		line * common, line * nearly, side * common, touch * common, other * common,
		j.stack, j.pile, j.board,
		j.pile * pull, j.pile * common, j.pile * line, j.pile * touch,
	}
}

// facing holds the sides of two fragments against each other, along that side of
// either which runs from one to the other and on which they are the least out of
// line; all in widths of the wider one.
func facing(s, t *looks) (low, high, gap, overlap float64) {
	low, high, gap, overlap = 1, 1, 4, 0 // where no side runs that way
	mid := func(g geom.Polygon) (m geom.Point) {
		for _, p := range g {
			m = m.Add(p)
		}
		return m.Mul(1 / float64(len(g)))
	}
	way, best := mid(t.hull).Sub(mid(s.hull)), math.Inf(1)
	for _, u := range [4]geom.Point{s.along, {X: -s.along.Y, Y: s.along.X}, t.along, {X: -t.along.Y, Y: t.along.X}} {
		if math.Abs(way.Dot(u)) < 0.7*way.Len() { // more than 45° off
			continue
		}
		v := geom.Point{X: -u.Y, Y: u.X}
		a0, a1 := span(s.some, v)
		b0, b1 := span(t.some, v)
		width := max(a1-a0, b1-b0, 1)
		p, q := math.Abs(a0-b0)/width, math.Abs(a1-b1)/width
		if p+q >= best {
			continue
		}
		best = p + q
		near, far := s, t
		if way.Dot(u) < 0 {
			near, far = t, s
		}
		_, u0 := span(near.some, u)
		u1, _ := span(far.some, u)
		low, high, gap, overlap = min(p, q), max(p, q), max(-1, min(4, (u1-u0)/width)), (min(a1, b1)-max(a0, b0))/width
	}
	return low, high, gap, overlap
}

// span returns where all but a fiftieth of the points at either end lie along d.
func span(pts []geom.Point, d geom.Point) (lo, hi float64) {
	v := make([]float64, len(pts))
	for i, p := range pts {
		v[i] = p.Dot(d)
	}
	slices.Sort(v)
	k := len(v) / 50
	return v[k], v[len(v)-1-k]
}

// between walks from cells of a to cells of b, and tells the shares of the ways that
// lie in the two, in other cloth, and on none.
func (j *joiner) between(a, b int32) (own, other, bare float64) {
	const ways, steps = 12, 16
	s, t := j.looks[a].some, j.looks[b].some
	for i := range ways {
		k := i * 5 % ways // so that the ways cross
		p, q := s[(2*i+1)*len(s)/(2*ways)], t[(2*k+1)*len(t)/(2*ways)]
		for k := range steps {
			m := p.Add(q.Sub(p).Mul((float64(k) + 0.5) / steps))
			switch root(j.to, j.lab[int(m.Y)*j.w+int(m.X)]) {
			case a, b:
				own++
			case 0:
				bare++
			default:
				other++
			}
		}
	}
	const n = ways * steps
	return own / n, other / n, bare / n
}

// colours returns the CIELAB of every cell.
func (v *view) colours() [][3]float64 {
	var light [4*255 + 1]float64 // of the sum of four bytes
	for i := range light {
		light[i] = colour.DecodeSRGB(float64(i) / (4 * 255))
	}
	lab := make([][3]float64, v.w*v.h)
	raster.Rows(v.h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			up, down := v.rgb[12*v.w*y:][:6*v.w], v.rgb[12*v.w*y+6*v.w:][:6*v.w]
			for x := range v.w {
				p, q := up[6*x:6*x+6], down[6*x:6*x+6]
				var c colour.Linear
				for j := range c {
					c[j] = light[int(p[j])+int(p[j+3])+int(q[j])+int(q[j+3])]
				}
				o := c.Lab()
				lab[y*v.w+x] = [3]float64{o.L, o.A, o.B}
			}
		}
	})
	return lab
}

func sq(x float64) float64 { return x * x }

// Pair is two fragments of a photo as Find weighs them, and what is true of them.
type Pair struct {
	Signs  []float64 // see JoinNames
	Same   bool      // most of both is of one piece
	Weight float64   // 0..1: what is at stake
}

// atStake is the share of a piece, in IoU, that decides whether it is found.
const atStake = 0.25

// Pairs returns all pairs of fragments that Find weighs in a picture, to fit the join
// on; truth tells the piece at a working pixel, 0 for none.
func Pairs(p *cloth.Picture, truth func(x, y float64) int) []Pair {
	e := eye.Default()
	_, v, kinds := look(e, p)
	if v == nil {
		return nil
	}
	return v.pairs(oddsOf(e.Header.Kinds, kinds, ""), truth)
}

func (v *view) pairs(odds odds, truth func(x, y float64) int) []Pair {
	g, _, _ := v.fragments(odds)
	j := newJoiner(v, g, odds)
	shares, sizes := make([]map[int]int, g.n+1), map[int]int{}
	for i, k := range g.lab {
		id := truth(v.x0+(float64(i%v.w)+0.5)*v.sx, v.y0+(float64(i/v.w)+0.5)*v.sy)
		sizes[id]++
		if shares[k] == nil {
			shares[k] = map[int]int{}
		}
		shares[k][id]++
	}
	most := func(k int32) (id int, share float64) {
		n := 0
		for i, m := range shares[k] {
			if m > n || m == n && i < id {
				id, n = i, m
			}
		}
		return id, float64(n) / float64(j.area[k])
	}
	var out []Pair
	j.seen = func(a, b int32, signs []float64) {
		if signs == nil {
			for i, m := range shares[b] {
				shares[a][i] += m
			}
			return
		}
		ia, pa := most(a)
		ib, pb := most(b)
		if ia == 0 && ib == 0 { // nothing is lost
			return
		}
		small, id := j.area[a], ia
		if j.area[b] < small {
			small, id = j.area[b], ib
		}
		of := sizes[id]
		if id == 0 {
			of = max(j.area[a], j.area[b])
		}
		out = append(out, Pair{signs, ia == ib, pa * pb * max(0.2, min(1, float64(small)/(atStake*float64(of))))})
	}
	j.run()
	return out
}
