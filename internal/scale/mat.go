package scale

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

const (
	// mostRidges of the longest tell the tilt.
	mostRidges = 300
	// ridgeEnd is the error of a ridge's end, working pixels, and ridgeBent that of its
	// direction beside, radians: the lens bends it.
	ridgeEnd, ridgeBent = 0.6, 0.006
	// strayRidges is the share of ridges that are none of the two sheaves of a grid.
	strayRidges = 0.4
	// ridgeVote tempers the ridges beside the pieces: many are of one line.
	ridgeVote = 0.3
)

// wayOf returns the direction of a ridge in the plane.
func wayOf(r *ridge, l *plane) float64 {
	d := l.at(r.b).Sub(l.at(r.a))
	return math.Atan2(d.Y, d.X)
}

// offSquare returns how far a way is from the nearest of two at right angles, -π/4 to π/4.
func offSquare(way, turn float64) float64 {
	d := (way - turn) / (math.Pi / 2)
	return (d - math.Round(d)) * math.Pi / 2
}

// turnOf returns the turn of the two sheaves of lines at right angles to each other that
// the ridges, seen in the plane, are most nearly of.
func turnOf(ridges []ridge, ways []float64) float64 {
	const n, reach = 90, 2
	var bins [n]float64
	for i, w := range ways {
		bins[int((offSquare(w, 0)/(math.Pi/2)+0.5)*n)%n] += ridges[i].length()
	}
	best, at := -1.0, 0
	for k := range n {
		sum := 0.0
		for d := -reach; d <= reach; d++ {
			sum += bins[(k+d+n)%n]
		}
		if sum > best {
			best, at = sum, k
		}
	}
	turn := (float64(at)+0.5)/n*math.Pi/2 - math.Pi/4
	for _, within := range [...]float64{0.05, 0.03, 0.02} {
		sum, all := 0.0, 0.0
		for i, w := range ways {
			if d := offSquare(w, turn); math.Abs(d) < within {
				k := sq(ridges[i].length())
				sum += k * d
				all += k
			}
		}
		if all > 0 {
			turn += sum / all
		}
	}
	return turn
}

// gridSkew returns how far the ridges, seen in the plane, are from two sheaves of lines at
// right angles: a negative log likelihood; blur is added to their errors, radians.
func gridSkew(ridges []ridge, l *plane, blur float64) float64 {
	if len(ridges) == 0 {
		return 0
	}
	ways := make([]float64, len(ridges))
	for i := range ridges {
		ways[i] = wayOf(&ridges[i], l)
	}
	turn := turnOf(ridges, ways)
	sum := 0.0
	for i, w := range ways {
		sd := math.Hypot(math.Hypot(1.4*ridgeEnd/ridges[i].length(), ridgeBent), blur)
		p := (1-strayRidges)*math.Exp(-sq(offSquare(w, turn)/sd)/2)/(sd*math.Sqrt(2*math.Pi)) + strayRidges*2/math.Pi
		sum -= math.Log(p)
	}
	return ridgeVote * sum
}

func longest(ridges []ridge) []ridge {
	out := slices.Clone(ridges)
	slices.SortStableFunc(out, func(a, b ridge) int { return cmp.Compare(b.length(), a.length()) })
	return out[:min(mostRidges, len(out))]
}

// sheaf is a set of parallel lines, along the axis that they cross: in each bin how
// much of ridges lies there (their length times their strength), and how long a line
// is in view there, working pixels.
type sheaf struct {
	lo, bin  float64 // plane units
	line, of []float64
}

// bin is the place of t, in plane units, on the axis.
func (s *sheaf) at(t float64) int { return min(len(s.line)-1, max(0, int((t-s.lo)/s.bin))) }

// sheaves returns the ridges of a grid turned by turn, as they lie in the plane; of where
// ground is given.
func sheaves(ridges []ridge, w, h int, ground []uint8, v view) [2]sheaf {
	l := v.plane
	s, c := math.Sincos(v.turn)
	axis := [2]geom.Point{{X: -s, Y: c}, {X: c, Y: s}}
	bin := sheafBin / l.middle()
	var out [2]sheaf
	for k := range out {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range [4]geom.Point{{}, {X: float64(w)}, {Y: float64(h)}, {X: float64(w), Y: float64(h)}} {
			t := l.at(q).Dot(axis[k])
			lo, hi = min(lo, t), max(hi, t)
		}
		n := min(mostBins, int((hi-lo)/bin)+1)
		out[k] = sheaf{lo: lo, bin: bin, line: make([]float64, n), of: make([]float64, n)}
	}
	const step = 3
	if ground != nil {
		for y := step / 2; y < h; y += step {
			for x := step / 2; x < w; x += step {
				if ground[y*w+x] == 255 {
					q := l.at(geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
					for k := range out {
						out[k].of[out[k].at(q.Dot(axis[k]))] += step * step / sheafBin
					}
				}
			}
		}
	}
	for i := range ridges {
		r := &ridges[i]
		a, b := l.at(r.a), l.at(r.b)
		d := b.Sub(a)
		k := 0
		if math.Abs(d.Dot(axis[0])) > math.Abs(d.Dot(axis[1])) {
			k = 1
		}
		if math.Abs(d.Dot(axis[k])) > d.Len()*math.Hypot(3*ridgeEnd/r.length(), 2*ridgeBent) {
			continue
		}
		o := &out[k]
		o.line[o.at((a.Dot(axis[k])+b.Dot(axis[k]))/2)] += (r.length() + 2) * r.bend
	}
	return out
}

const (
	sheafBin = 0.5  // working pixels in the middle
	mostBins = 8192 // of a sheaf
)

// sharp returns how much of a sheaf's ridges lies on common lines: the mean density of
// ridges within reach bins of a ridge, times the width over which they are spread, so that
// stretching the sheaf changes nothing. And all of them.
func (s *sheaf) sharp(reach int) (dense, all float64) {
	sum := make([]float64, len(s.line)+1)
	first, second := 0.0, 0.0
	for i, v := range s.line {
		sum[i+1] = sum[i] + v
		first += v * float64(i)
		second += v * float64(i) * float64(i)
	}
	all = sum[len(s.line)]
	if all == 0 {
		return 0, 0
	}
	for i, v := range s.line {
		if v > 0 {
			dense += v * (sum[min(len(s.line), i+reach+1)] - sum[max(0, i-reach)]) / float64(2*reach+1)
		}
	}
	return dense / (all * all) * math.Sqrt(second/all-sq(first/all)), all
}

// view is how a grid lies: the plane it is seen in, and its turn in it.
type view struct {
	plane *plane
	turn  float64
}

// sharpen finds the view, near v, in which the ridges lie most on common lines.
func sharpen(ridges []ridge, w, h int, v view) view {
	l := v.plane
	seen := func(x []float64) view { return view{newPlane(w, h, l.f, x[0], x[1], x[2]), x[3]} }
	x := []float64{l.p, l.q, l.barrel, v.turn}
	raster.Search(x, []float64{1, 1, 0.25, 0.2}, 0.02, 0.0005, 6, func(x []float64, step float64) float64 {
		if x[2] < leastBarrel || x[2] > mostBarrel {
			return math.Inf(1)
		}
		s := sheaves(ridges, w, h, nil, seen(x))
		reach := max(lineWidth, int(step*farReach)) // from afar lines are looked for more widely
		d0, a0 := s[0].sharp(reach)
		d1, a1 := s[1].sharp(reach)
		// Ridges left out of both sheaves count against it.
		return -math.Log(d0+1e-9) - math.Log(d1+1e-9) - 2*math.Log(a0+a1+1e-9)
	})
	return seen(x)
}

// farReach is how many bins from its line a ridge may lie for each unit by which the
// tilt is off.
const farReach = 400

// leastBarrel and mostBarrel are the bend of lenses that is looked for.
const leastBarrel, mostBarrel = 0, 0.02

// comb is a row of lines as far from one another: their distance, in bins of the
// sheaf, and the place of the first.
type comb struct{ step, first float64 }

// fold returns the comb of a step whose lines the ridges make up best, and the share of
// them that they make up, times their strength. The folded sheaf has len(line) = len(of)
// bins or fewer.
func (s *sheaf) fold(step float64, line, of []float64) (share float64, c comb) {
	n := int(step)
	line, of = line[:n], of[:n]
	clear(line)
	clear(of)
	at, by := 0.0, float64(n)/step
	for i := range s.line {
		k := int(at)
		line[k] += s.line[i]
		of[k] += s.of[i]
		if at += by; at >= float64(n) {
			at -= float64(n)
		}
	}
	c.step = step
	for k := range n {
		sum, long := 0.0, 0.0
		for d := -lineWidth; d <= lineWidth; d++ {
			j := (k + d + n) % n
			sum += line[j]
			long += of[j] / (2*lineWidth + 1)
		}
		if v := sum / max(1, long); v > share {
			share, c.first = v, (float64(k)+0.5)*step/float64(n)
		}
	}
	return share, c
}

// teeth returns how strong each line of a comb is, and how much of it is in view.
func (s *sheaf) teeth(c comb) (strength, seen []float64) {
	for t := c.first; t < float64(len(s.line)); t += c.step {
		sum, long := 0.0, 0.0
		for d := -lineWidth; d <= lineWidth; d++ {
			if j := int(t) + d; j >= 0 && j < len(s.line) {
				sum += s.line[j]
				long += s.of[j] / (2*lineWidth + 1)
			}
		}
		strength, seen = append(strength, sum/max(1, long)), append(seen, long)
	}
	return strength, seen
}

// bold returns how far the strengths of every nth line of a comb and of the others lie
// apart, in standard deviations of a line; 0 where they are not clearly bolder.
func (s *sheaf) bold(c comb, n int) (apart float64) {
	strength, seen := s.teeth(c)
	least := 0.0
	for _, v := range seen {
		least = max(least, 0.15*v)
	}
	for phase := range n {
		var sum, sq, num [2]float64
		for k, v := range strength {
			if seen[k] < least {
				continue
			}
			j := 0
			if k%n == phase {
				j = 1
			}
			sum[j], sq[j], num[j] = sum[j]+v, sq[j]+v*v, num[j]+1
		}
		if num[0] < 2 || num[1] < 2 {
			continue
		}
		m0, m1 := sum[0]/num[0], sum[1]/num[1]
		v0, v1 := sq[0]/num[0]-m0*m0, sq[1]/num[1]-m1*m1
		if m1 > boldFrom*m0 && m1-m0 > boldClear*math.Sqrt(v0/num[0]+v1/num[1]) {
			apart = max(apart, (m1-m0)/(math.Sqrt(v0+v1)+0.02*m0))
		}
	}
	return apart
}

// whole returns how many of the lines of a comb are in view, and how many of these, by
// what is in view of each, are at least half as strong as the comb is in the mean.
func (s *sheaf) whole(c comb, share float64) (lines int, there float64) {
	strength, seen := s.teeth(c)
	most := slices.Max(seen)
	sum := 0.0
	for k, v := range seen {
		if v < leastSeen*most {
			continue
		}
		lines++
		sum += v
		if strength[k] > share/2 {
			there += v
		}
	}
	return lines, there / sum
}

// leastSeen is what is in view of a line that counts, against the longest.
const leastSeen = 0.15

// grid is what is found of a mat's lines.
type grid struct {
	plane *plane
	pitch float64 // ln of the distance of the finest lines, plane units
	every int     // each so many of them is bolder; 1: none
	clear float64 // how far the comb stands over others of about its pitch, a factor
	lines int     // how many are in view, in the sheaf of fewer
	there float64 // the share of them that are there, in the sheaf of fewer
}

const (
	// lineWidth is how far, bins, a ridge lies off its line at most.
	lineWidth = 2
	// leastPitch and mostPitch are the distances of lines looked for, working pixels.
	leastPitch, mostPitch = 4, 160
	combStep              = 0.002 // of ln pitch, from one looked at to the next
	// asStrong is the share of the strongest comb's lines at which a finer one is the
	// grid's: at a half of a true pitch, or thrice it, a half of the lines are there.
	asStrong = 0.6
	// boldFrom, a factor, and boldClear, standard errors, make every nth line bolder.
	boldFrom, boldClear = 1.25, 3
	// boldBetter is how much farther apart the lines of a longer rhythm must lie than
	// those of a shorter, of which it may be a part.
	boldBetter = 1.5
)

// combs finds the finest comb that both sheaves of a grid are of.
func combs(s [2]sheaf) (g grid, ok bool) {
	n := int(math.Log(mostPitch/leastPitch) / combStep)
	share := make([]float64, n)
	line, of := make([]float64, mostPitch/sheafBin+2), make([]float64, mostPitch/sheafBin+2)
	both := func(ln float64) float64 {
		step := math.Exp(ln) / sheafBin
		a, _ := s[0].fold(step, line, of)
		b, _ := s[1].fold(step, line, of)
		return math.Sqrt(a * b)
	}
	top := 0.0
	for i := range share {
		share[i] = both(math.Log(leastPitch) + float64(i)*combStep)
		top = max(top, share[i])
	}
	if top == 0 {
		return g, false
	}
	const near = 20 // steps: 4 %
	for i, v := range share {
		if v < asStrong*top || v < slices.Max(share[max(0, i-near):min(n, i+near+1)]) {
			continue
		}
		around := slices.Clone(share[max(0, i-170):min(n, i+171)]) // by a factor of 1.4
		slices.Sort(around)
		g.clear = v / around[len(around)/2]
		best := math.Log(leastPitch) + float64(i)*combStep
		for d, mid := -1.5, best; d <= 1.5; d += 0.1 {
			if u := both(mid + d*combStep); u > v {
				v, best = u, mid+d*combStep
			}
		}
		g.pitch, g.every = best, 1
		most := 0.0
		sa, a := s[0].fold(math.Exp(best)/sheafBin, line, of)
		sb, b := s[1].fold(math.Exp(best)/sheafBin, line, of)
		na, ta := s[0].whole(a, sa)
		nb, tb := s[1].whole(b, sb)
		g.lines, g.there = min(na, nb), min(ta, tb)
		for _, k := range rhythms {
			if v := min(s[0].bold(a, k), s[1].bold(b, k)); v > boldBetter*most {
				most, g.every = v, k
			}
		}
		return g, true
	}
	return g, false
}

// rhythms are the lines of a grid of which one is bolder: halves, quarters and eighths
// of an inch, five and ten millimetres or centimetres.
var rhythms = [...]int{2, 4, 5, 8, 10}

// findGrid looks for a mat's lines on the ground; nil where there are none.
func findGrid(p *lit, quads []quad, ground []uint8, f float64) *grid {
	if len(ground) != p.W*p.H || p.W < 64 || p.H < 64 {
		return nil
	}
	ridges := ridgesOf(p.luma(), ground)
	top := longest(ridges)
	if len(top) < fewestRidges {
		return nil
	}
	l := fitPlane(p.W, p.H, f, quads, top, nil)
	ways := make([]float64, len(top))
	for i := range top {
		ways[i] = wayOf(&top[i], l)
	}
	v := sharpen(ridges, p.W, p.H, view{l, turnOf(top, ways)})
	g, ok := combs(sheaves(ridges, p.W, p.H, ground, v))
	if !ok || g.odds() < 0 {
		return nil
	}
	l = v.plane
	g.plane = l
	g.pitch -= math.Log(l.middle())
	return &g
}

const (
	fewestRidges = 40 // that are taken for a grid
	// pitchSD is the error of the ln pitch of a grid.
	pitchSD = 0.008
)

// odds returns the log odds that the comb is of a grid and not of grain, weave or shadows
// (limits from made grounds of wood, felt, flannel, carpet and mats; no source).
func (g *grid) odds() float64 {
	return min(7, 12*(math.Log(g.clear)/math.Log(3)+g.there-1.4))
}

// rulings are what the finest lines of a mat may be apart, inches, each how many of
// them is bolder, and how often that is met among grids (common practice, no source).
var rulings = []struct {
	inches float64
	every  int
	share  float64
}{
	{1, 1, 0.5}, {0.5, 2, 0.12}, {0.25, 4, 0.06}, {0.125, 8, 0.06},
	{1 / cmPerInch, 1, 0.15}, {1 / cmPerInch, 5, 0.03}, {1 / cmPerInch, 10, 0.03},
	{0.5 / cmPerInch, 2, 0.02}, {1 / mmPerInch, 10, 0.01},
}

// How likely the rhythm of a ruling is seen as it is, and bolder lines are not seen as
// such; the rest is spread over the other rhythms.
const rhythmSeen, rhythmMissed = 0.7, 0.25

// tells returns what the grid says of the scale.
func (g *grid) tells() *told {
	t := &told{}
	for _, r := range rulings {
		as := (1 - rhythmSeen - rhythmMissed) / float64(len(rhythms))
		switch {
		case g.every == r.every:
			as = rhythmSeen
		case g.every == 1:
			as = rhythmMissed
		}
		t.parts = append(t.parts, tellsScale{from: FromMat, s: g.pitch - math.Log(r.inches), sd: pitchSD, odds: math.Exp(g.odds()) * r.share * as})
	}
	return t
}
