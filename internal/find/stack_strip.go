package find

import "math"

// strip is one bundle as found in its tier: the cloth between two fences, from
// grain row y0 to y1.
type strip struct {
	t           *tier
	left, right *fence
	own         []float32 // its colours, a softened histogram
	rank        int       // strips between it and the nearer side of its tier
	y0, y1      int
}

// strips cuts the tier into bundles.
func (t *tier) strips(r *rack, sw *swatches) []strip {
	ls := t.layers(r, sw)
	return t.stripsOf(sw, ls, group(ls, float32(t.rows()*grainRows)))
}

func (t *tier) stripsOf(sw *swatches, ls []layer, bs []bundle) []strip {
	out := make([]strip, len(bs))
	for k, b := range bs {
		count := make([]float32, sw.n)
		for _, l := range ls[b.i:b.j] {
			for c, v := range l.count {
				count[c] += v
			}
		}
		out[k] = strip{
			t: t, left: &t.lines[b.i], right: &t.lines[b.j], own: sw.soften(count),
			rank: min(k, len(bs)-1-k), y0: t.y0, y1: t.y1,
		}
	}
	return out
}

// columns is the run of columns x0 ≤ x < x1 of the strip on a grain row.
func (s *strip) columns(r *rack, y int) (x0, x1 int) {
	return max(0, ceil(s.left.at(y-s.t.y0))), min(r.W, int(s.right.at(y-s.t.y0))+1)
}

// colours counts the colours between the strip's fences over a run of grain
// rows.
func (s *strip) colours(r *rack, sw *swatches, rows span) []float32 {
	count := make([]float32, sw.n)
	for y := max(0, rows.a); y < min(rows.b, r.H/grainRows); y++ {
		x0, x1 := s.columns(r, y)
		for v := y * grainRows; v < (y+1)*grainRows; v++ {
			for x := x0; x < x1; x++ {
				count[sw.bin[v*r.W+x]]++
			}
		}
	}
	return count
}

// keepCloth drops the strips that show the container, and finds how far the
// others go on. around is the colours of all that is not cloth.
func keepCloth(r *rack, sw *swatches, tiers []tier, strips []strip) (kept []strip, around []float32) {
	// First guess: all between the outermost lines of a tier is cloth.
	whole := make([]strip, len(tiers))
	for i := range tiers {
		t := &tiers[i]
		whole[i] = strip{t: t, left: &t.lines[0], right: &t.lines[len(t.lines)-1], y0: t.y0, y1: t.y1}
	}
	around = backdrop(r, sw, whole)
	for _, s := range strips {
		if s.isCloth(r, sw) {
			s.reach(r, sw, around)
			kept = append(kept, s)
		}
	}
	around = backdrop(r, sw, kept)
	for i := range kept {
		kept[i].reach(r, sw, around)
	}
	return kept, around
}

// backdrop is the colours of what lies round and between the strips.
func backdrop(r *rack, sw *swatches, strips []strip) []float32 {
	taken := make([]bool, r.W*r.H)
	x0, y0, x1, y1 := r.W, r.H, 0, 0
	for i := range strips {
		s := &strips[i]
		for y := s.y0; y < s.y1; y++ {
			a, b := s.columns(r, y)
			x0, x1 = min(x0, a), max(x1, b)
			for v := y * grainRows; v < (y+1)*grainRows && a < b; v++ {
				for x := a; x < b; x++ {
					taken[v*r.W+x] = true
				}
			}
		}
		y0, y1 = min(y0, s.y0*grainRows), max(y1, s.y1*grainRows)
	}
	px, py := (x1-x0)/6, (y1-y0)/6
	count := make([]float32, sw.n)
	for y := max(0, y0-py); y < min(r.H, y1+py); y++ {
		for x := max(0, x0-px); x < min(r.W, x1+px); x++ {
			if i := y*r.W + x; !taken[i] {
				count[sw.bin[i]]++
			}
		}
	}
	return sw.soften(count)
}

// isCloth says whether a strip is cloth rather than the inside of the
// container: cloth differs from what lies beyond its own two ends, and the
// container shows in the shade and at the sides of a tier. The weights are of a
// logistic regression over the strips of drawn and rendered scenes.
func (s *strip) isCloth(r *rack, sw *swatches) bool {
	own := huesOf(s.own)
	n := s.t.rows()
	ends := float32(1)
	for _, e := range [2]span{{s.t.y0 - n/5, s.t.y0 - n/20}, {s.t.y1 + n/20, s.t.y1 + n/5}} {
		ends = min(ends, own.unlike(huesOf(sw.soften(s.colours(r, sw, e)))))
	}
	light, _ := s.t.tone(r, s.left, s.right)
	return 13.8*sqrt32(max(0, ends))+1.9*float32(min(s.rank, 4))+3.3*logf(max(light, 0.05)) > 6.5
}

// The states along a strip, in order.
const (
	beyondTop = iota
	topFace   // the end of the bundle, in other light
	ridge
	bottomFace
	beyondBottom
	reachStates
)

const (
	reachTurn  = 1    // nats a change of state costs
	reachFaint = 2e-5 // of a histogram: any colour may turn up
)

// reach finds from which grain row to which the cloth of a strip goes on, by the
// likeliest run of states along it (Viterbi 1967).
func (s *strip) reach(r *rack, sw *swatches, around []float32) {
	n := s.t.rows()
	a, b := max(0, s.t.y0-n/4), min(r.H/grainRows, s.t.y1+n/4)
	var logs [5][]float32 // beyond, ridge, face in three depths of shade
	for k := range logs {
		logs[k] = make([]float32, sw.n)
	}
	for i := range around {
		logs[0][i] = logf(around[i] + reachFaint)
		for k := 1; k < len(logs); k++ {
			shift := 3 * (k - 1)
			v := float32(0)
			if i%lightCells+shift < lightCells {
				v = s.own[i+shift]
			}
			logs[k][i] = logf(0.95*v+0.05*around[i]+reachFaint) - 0.1*float32(k-1)
		}
	}
	cost := [reachStates]float32{0, -reachTurn, -reachTurn, -math.MaxFloat32, -math.MaxFloat32}
	back := make([][reachStates]int8, b-a)
	for y := a; y < b; y++ {
		var e [len(logs)]float32
		x0, x1 := s.columns(r, y)
		x0, x1 = x0+1, x1-1
		for v := y * grainRows; v < (y+1)*grainRows; v += 2 {
			for x := x0; x < x1; x++ {
				k := sw.bin[v*r.W+x]
				for i := range e {
					e[i] += logs[i][k]
				}
			}
		}
		if x1 > x0 {
			for i := range e {
				e[i] /= float32((x1 - x0) * grainRows / 2)
			}
		}
		face := max(e[2], e[3], e[4])
		emit := [reachStates]float32{e[0], face, e[1], face, e[0]}
		var next [reachStates]float32
		for k := range next {
			best, at := cost[k], k
			for _, j := range reachFrom[k] {
				if v := cost[j] - reachTurn; v > best {
					best, at = v, j
				}
			}
			next[k], back[y-a][k] = best+emit[k], int8(at)
		}
		cost = next
	}
	k := beyondBottom
	for _, j := range [...]int{bottomFace, ridge} {
		if cost[j] > cost[k] {
			k = j
		}
	}
	s.y0, s.y1 = b, a
	for y := b - 1; y >= a; y-- {
		if k != beyondTop && k != beyondBottom {
			s.y0, s.y1 = y, max(s.y1, y+1)
		}
		k = int(back[y-a][k])
	}
}

// reachFrom lists the states each state may follow.
var reachFrom = [reachStates][]int{
	topFace: {beyondTop}, ridge: {beyondTop, topFace}, bottomFace: {ridge}, beyondBottom: {ridge, bottomFace},
}

func logf(v float32) float32 { return float32(math.Log(float64(v))) }
