package arrange

import (
	"cmp"
	"context"
	"math"
	"slices"

	"piecebag/internal/geom"
)

// The weights of the parts of a layout's cost. Each part is 1 for the mean of random
// layouts, and 0 at best.
const (
	brightsWeight = 0.5
	repeatsWeight = 0.6
	blocksWeight  = 0.4
	groundWeight  = 0.4
	washRepeats   = 0.1
)

// The length of the search, in exchanges tried, at an effort of 1.
const (
	triesAPlace           = 1000
	leastTries, mostTries = 300_000, 1_300_000
)

// settle improves the look of a layout without one more touch, by annealing (Kirkpatrick,
// Gelatt & Vecchi 1983, Science 220). It reports whether ctx ended first.
func (s *search) settle(ctx context.Context) (stopped bool) {
	c := newCost(s)
	var loose []int32
	for i := range s.at {
		if s.start[i] < 0 && s.at[i] >= 0 {
			loose = append(loose, int32(i))
		}
	}
	if len(loose) < 2 || len(c) == 0 {
		return false
	}
	tries := int(s.Effort * float64(min(mostTries, max(leastTries, triesAPlace*len(loose)))))
	hot, cold := 3/float64(len(loose)), 0.002/float64(len(loose))
	now := c.sum()
	best, bestAt := now, slices.Clone(s.at)
	for k := range tries {
		if k%2048 == 0 {
			if ctx.Err() != nil {
				stopped = true
				break
			}
			if s.Progress != nil && k%65536 == 0 {
				s.Progress(float64(k) / float64(tries))
			}
		}
		i, j := loose[s.rng.IntN(len(loose))], loose[s.rng.IntN(len(loose))]
		if !s.barter(i, j) || s.gain(i, j) < 0 {
			continue
		}
		x, y := s.at[i], s.at[j]
		c.put(i, x, y)
		c.put(j, y, x)
		heat := hot * math.Pow(cold/hot, float64(k)/float64(tries))
		if will := c.sum(); will <= now || s.rng.Float64() < math.Exp((now-will)/heat) {
			now = will
			s.put(i, -1)
			s.put(j, x)
			s.put(i, y)
			if now < best-1e-12 {
				best = now
				copy(bestAt, s.at)
			}
			continue
		}
		c.put(j, x, y)
		c.put(i, y, x)
	}
	s.restore(bestAt)
	if s.Progress != nil {
		s.Progress(1)
	}
	return stopped
}

// term is a part of a layout's cost that follows from which piece lies where.
type term interface {
	// put notes that piece y has taken the place of x. The layout itself may not be changed
	// yet.
	put(place, x, y int32)
	// cost returns 1 for the mean of random layouts, and 0 at best. It means something only
	// where layouts differ in it.
	cost() float64
	tells() bool
}

// against is a sum relative to its mean over random layouts.
type against struct{ sum, atRandom float64 }

func (a *against) cost() float64 { return max(0, a.sum) / a.atRandom }
func (a *against) tells() bool   { return a.atRandom > 1e-9 }

// cost is what a look asks for: terms, each by its weight.
type cost []struct {
	term
	weight float64
}

func (c cost) put(place, x, y int32) {
	for _, t := range c {
		t.put(place, x, y)
	}
}

func (c cost) sum() (sum float64) {
	for _, t := range c {
		sum += t.weight * t.cost()
	}
	return sum
}

func newCost(s *search) (c cost) {
	add := func(weight float64, t term) {
		if t.tells() {
			c = append(c, struct {
				term
				weight float64
			}{t, weight})
		}
	}
	repeats := repeatsWeight
	switch s.Look {
	case Random:
		repeats = 1
	case Even, "":
		w := s.windows()
		add(1, newSpread(s, w, lightness))
		add(brightsWeight, newSpread(s, w, chroma))
		add(blocksWeight, newContrasts(s))
		add(groundWeight, newLost(s))
	default:
		repeats = washRepeats
		add(1, newWash(s))
	}
	add(repeats, newRepeats(s))
	return c
}

// each returns a measure of every piece.
func (p *Problem) each(of func(*Piece) float64) []float64 {
	out := make([]float64, len(p.Pieces))
	for x := range p.Pieces {
		out[x] = of(&p.Pieces[x])
	}
	return out
}

func lightness(p *Piece) float64 { return p.Lightness }
func chroma(p *Piece) float64    { return p.Chroma }

// laid returns the measures of the pieces that lie somewhere, in order.
func (s *search) laid(measure []float64) (out []float64) {
	for _, x := range s.at {
		if x >= 0 {
			out = append(out, measure[x])
		}
	}
	slices.Sort(out)
	return out
}

// share is a place's part of a window's mean.
type share struct {
	window int32
	part   float64
}

// spread is the variance of the means of a measure of the pieces over windows of
// about three by three patches, over that of layouts at random.
type spread struct {
	of      [][]share // of each place
	measure []float64 // of each piece
	mean    []float64 // of each window, of those that are laid
	sq      float64   // the sum of their squares; that of themselves is sum
	against
}

func newSpread(s *search, windows [][]int, measured func(*Piece) float64) *spread {
	measure := s.each(measured)
	t := &spread{of: make([][]share, len(s.at)), measure: measure, mean: make([]float64, len(windows))}
	place := s.placeOf()
	for w, patches := range windows {
		parts := map[int]float64{}
		n := 0.0
		for _, patch := range patches {
			if at := place[patch]; s.at[at] >= 0 {
				parts[at]++
				n++
			}
		}
		for _, patch := range patches {
			if at := place[patch]; parts[at] > 0 {
				t.of[at] = append(t.of[at], share{int32(w), parts[at] / n})
				t.mean[w] += parts[at] / n * measure[s.at[at]]
				delete(parts, at)
			}
		}
	}
	for _, m := range t.mean {
		t.sum += m
		t.sq += m * m
	}
	t.atRandom = s.expected(t.of, len(windows), measure)
	return t
}

func (t *spread) put(place, x, y int32) {
	d := t.measure[y] - t.measure[x]
	for _, w := range t.of[place] {
		m := t.mean[w.window]
		by := w.part * d
		t.mean[w.window] = m + by
		t.sum += by
		t.sq += by * (2*m + by)
	}
}

func (t *spread) cost() float64 {
	n := float64(len(t.mean))
	return max(0, t.sq/n-t.sum*t.sum/(n*n)) / t.atRandom
}

// expected returns the mean of that variance over all layouts of the same pieces, each in
// a place of its own class. A mean of the pieces of a class drawn without return, of
// which place i weighs c_i, has the variance s²·(Σ c_i² − (Σ c_i)²/n), s² the
// variance of the n pieces over n − 1 (Cochran, Sampling Techniques, 3rd ed. 1977,
// chapter 2).
func (s *search) expected(of [][]share, windows int, measure []float64) float64 {
	classes := len(s.Suits)
	n, mean, sq := make([]float64, classes), make([]float64, classes), make([]float64, classes)
	for i, x := range s.at {
		if c := s.Places[i].Class; x >= 0 {
			n[c]++
			mean[c] += measure[x]
			sq[c] += measure[x] * measure[x]
		}
	}
	for c := range n {
		mean[c] /= max(1, n[c])
		sq[c] = max(0, sq[c]-n[c]*mean[c]*mean[c]) / max(1, n[c]-1)
	}
	w := float64(windows)
	// Of each window less the mean of all: Σ over windows of Σ c_i² and of (Σ c_i)²
	// a class, worked out from the shares and the mean share of each place.
	total := 0.0
	fixed := make([]float64, windows)           // the mean by class means alone
	inClass := make([]float64, windows*classes) // Σ shares of a class in a window
	averages := make([]float64, classes)        // Σ mean shares of a class
	squares, averageSquares := make([]float64, classes), make([]float64, classes)
	for i := range of {
		c := s.Places[i].Class
		avg := 0.0
		for _, sh := range of[i] {
			fixed[sh.window] += sh.part * mean[c]
			inClass[int(sh.window)*classes+c] += sh.part
			squares[c] += sh.part * sh.part
			avg += sh.part / w
		}
		averages[c] += avg
		averageSquares[c] += avg * avg
	}
	m := 0.0
	for _, f := range fixed {
		m += f / w
	}
	for _, f := range fixed {
		total += (f - m) * (f - m) / w
	}
	for c := range n {
		between := 0.0 // Σ over windows of (Σ c_i)²
		for k := range windows {
			d := inClass[k*classes+c] - averages[c]
			between += d * d
		}
		total += sq[c] * (squares[c]/w - averageSquares[c] - between/(w*max(1, n[c])))
	}
	return total
}

// windows returns sets of patches that lie together, each round one that has as many
// about it as any or nine: on a grid all windows of three by three.
func (p *Problem) windows() [][]int {
	var patches []int
	for _, at := range p.Places {
		patches = append(patches, at.Patches...)
	}
	slices.Sort(patches)
	middle := make([]geom.Point, len(p.Polygons))
	for _, i := range patches {
		middle[i] = p.Polygons[i].Centroid()
	}
	pitch := p.pitch()
	near := newCells(middle, patches, 1.25*pitch)
	all := make([][]int, 0, len(patches))
	var sizes []int
	for _, i := range patches {
		var w []int
		near.each(middle[i], 1.25*pitch, func(j int) {
			if d := middle[j].Sub(middle[i]); max(math.Abs(d.X), math.Abs(d.Y)) <= 1.25*pitch {
				w = append(w, j)
			}
		})
		slices.Sort(w)
		all = append(all, w)
		sizes = append(sizes, len(w))
	}
	slices.Sort(sizes)
	least := 9
	if len(sizes) > 0 {
		least = min(9, sizes[len(sizes)*3/4])
	}
	return slices.DeleteFunc(all, func(w []int) bool { return len(w) < least })
}

// pitch returns about how far apart patches lie: the median of the square roots of their
// areas, inches.
func (p *Problem) pitch() float64 {
	var side []float64
	for _, at := range p.Places {
		for _, i := range at.Patches {
			side = append(side, math.Sqrt(p.Polygons[i].Area()))
		}
	}
	if len(side) == 0 {
		return 1
	}
	slices.Sort(side)
	return side[len(side)/2]
}

// cells sorts points into squares, to find those near a point.
type cells struct {
	side float64
	in   map[[2]int][]int
	at   []geom.Point
}

func newCells(at []geom.Point, which []int, side float64) cells {
	c := cells{side, map[[2]int][]int{}, at}
	for _, i := range which {
		k := c.cell(at[i])
		c.in[k] = append(c.in[k], i)
	}
	return c
}

func (c cells) cell(p geom.Point) [2]int {
	return [2]int{int(math.Floor(p.X / c.side)), int(math.Floor(p.Y / c.side))}
}

// each visits the points of all cells that come within reach of p.
func (c cells) each(p geom.Point, reach float64, visit func(i int)) {
	lo, hi := c.cell(geom.Point{X: p.X - reach, Y: p.Y - reach}), c.cell(geom.Point{X: p.X + reach, Y: p.Y + reach})
	for y := lo[1]; y <= hi[1]; y++ {
		for x := lo[0]; x <= hi[0]; x++ {
			for _, i := range c.in[[2]int{x, y}] {
				visit(i)
			}
		}
	}
}

// repeats weighs how near pieces of one print lie to one another: each pair by the
// square of pitch over distance, up to three pitches.
type repeats struct {
	near  [][]near // of each place
	print []int32
	at    []int32
	against
}

type near struct {
	to     int32
	weight float64
}

const farRepeats = 3

func newRepeats(s *search) *repeats {
	t := &repeats{near: make([][]near, len(s.at)), print: s.print, at: slices.Clone(s.at)}
	pitch := s.pitch()
	var places []int
	middle := make([]geom.Point, len(s.at))
	for i := range s.at {
		middle[i] = s.middle(i)
		if s.at[i] >= 0 {
			places = append(places, i)
		}
	}
	reach := (farRepeats + 0.01) * pitch
	c := newCells(middle, places, reach)
	all := 0.0
	for _, i := range places {
		c.each(middle[i], reach, func(j int) {
			if d := middle[i].Dist(middle[j]); i != j && d <= reach {
				w := min(1, pitch*pitch/(d*d))
				t.near[i] = append(t.near[i], near{int32(j), w})
				all += w
				if i < j && t.print[t.at[i]] == t.print[t.at[j]] {
					t.sum += w
				}
			}
		})
		slices.SortFunc(t.near[i], func(a, b near) int { return cmp.Compare(a.to, b.to) })
	}
	count := make([]float64, len(s.Pieces))
	for _, i := range places {
		count[t.print[t.at[i]]]++
	}
	n := float64(len(places))
	for _, k := range count {
		t.atRandom += k * (k - 1) / max(1, n*(n-1)) * all / 2
	}
	return t
}

func (t *repeats) put(place, x, y int32) {
	old, now := t.print[x], t.print[y]
	for _, n := range t.near[place] {
		switch t.print[t.at[n.to]] {
		case old:
			t.sum -= n.weight
		case now:
			t.sum += n.weight
		}
	}
	t.at[place] = y
}

// contrasts counts the blocks without a dark patch and those without a bright one.
type contrasts struct {
	block []int32    // of each place; -1 for none that has three patches or more
	is    [2][]bool  // of each piece: whether it is dark, and bright
	in    [2][]int32 // of each block: how many are
	against
}

func newContrasts(s *search) *contrasts {
	t := &contrasts{block: make([]int32, len(s.at))}
	size := map[int]int{} // of each block
	most := 0
	for i, p := range s.Places {
		t.block[i] = -1
		if s.at[i] >= 0 && p.Block >= 0 {
			size[p.Block]++
			most = max(most, p.Block+1)
		}
	}
	light, bright := s.each(lightness), s.each(chroma)
	dark, shines := s.laid(light), s.laid(bright)
	for k := range t.is {
		t.is[k], t.in[k] = make([]bool, len(s.Pieces)), make([]int32, most)
	}
	for x := range s.Pieces {
		t.is[0][x] = len(dark) > 0 && light[x] <= dark[len(dark)/3]
		t.is[1][x] = len(dark) > 0 && bright[x] >= shines[len(shines)*2/3]
	}
	for _, n := range size {
		if n >= 3 {
			t.atRandom += 2
		}
	}
	t.sum = t.atRandom // every block lacks both, until its patches are laid
	for i, p := range s.Places {
		if s.at[i] >= 0 && size[p.Block] >= 3 {
			t.block[i] = int32(p.Block)
			t.count(int32(i), s.at[i], 1)
		}
	}
	return t
}

// count adds by, 1 or -1, to what the block of a place has of a piece's kind.
func (t *contrasts) count(place, x, by int32) {
	b := t.block[place]
	for k := range t.is {
		if b < 0 || !t.is[k][x] {
			continue
		}
		was := t.in[k][b]
		t.in[k][b] += by
		switch {
		case was == 0:
			t.sum--
		case t.in[k][b] == 0:
			t.sum++
		}
	}
}

func (t *contrasts) put(place, x, y int32) {
	t.count(place, x, -1)
	t.count(place, y, 1)
}

// lost is how much of the cloth beside the background is as light as it, so that its
// patches are not seen from across the room.
type lost struct {
	ground []float64 // of each place
	light  []float64 // of each piece
	against
}

// standsOut is the difference of L* from which cloth stands out against a background:
// two and a half steps of Munsell value (common practice takes two or three, no source).
const standsOut = 25

func newLost(s *search) *lost {
	t := &lost{light: s.each(lightness)}
	count := make([]float64, len(s.Pieces)) // of each piece how often it is placed
	all, beside := 0.0, 0.0
	for i, p := range s.Places {
		t.ground = append(t.ground, p.Ground)
		if x := s.at[i]; x >= 0 {
			count[x]++
			all++
			t.sum += t.of(int32(i), x)
			if p.Ground > 0 {
				beside++
			}
		}
	}
	if beside == all {
		return t // wherever a piece lies it is beside the background
	}
	atRandom := map[float64]float64{} // of each ground, for a piece drawn at random
	for i, g := range t.ground {
		if g == 0 || s.at[i] < 0 {
			continue
		}
		if _, ok := atRandom[g]; !ok {
			for x, n := range count {
				atRandom[g] += t.of(int32(i), int32(x)) * n / all
			}
		}
		t.atRandom += atRandom[g]
	}
	return t
}

func (t *lost) of(place, x int32) float64 {
	if t.ground[place] == 0 {
		return 0
	}
	d := max(0, 1-math.Abs(t.light[x]-t.ground[place])/standsOut)
	return d * d
}

func (t *lost) put(place, x, y int32) { t.sum += t.of(place, y) - t.of(place, x) }

// wash measures how far the order of the pieces is from the order of their places.
type wash struct {
	place []float64 // of each place where it stands in the order, 0..1
	piece []float64 // of each piece
	round bool      // 1 comes before 0
	against
}

func newWash(s *search) *wash {
	t := &wash{round: s.Look == HueRound}
	centre := geom.Point{X: s.WidthIn / 2, Y: s.HeightIn / 2}
	where := make([]float64, len(s.at))
	for i := range s.at {
		m := s.middle(i)
		switch s.Look {
		case WashDown:
			where[i] = m.Y
		case WashOut:
			where[i] = math.Hypot((m.X-centre.X)/s.WidthIn, (m.Y-centre.Y)/s.HeightIn)
		case HueRound:
			where[i] = math.Mod(math.Atan2(m.X-centre.X, centre.Y-m.Y)+2*math.Pi, 2*math.Pi)
		default:
			where[i] = m.X
		}
	}
	measure := s.each(func(p *Piece) float64 {
		if t.round {
			return p.Hue
		}
		return -p.Lightness
	})
	var places []float64
	for i, x := range s.at {
		if x >= 0 {
			places = append(places, where[i])
		}
	}
	slices.Sort(places)
	t.place, t.piece = ranks(where, places), ranks(measure, s.laid(measure))
	n := 0.0
	for i, x := range s.at {
		if x >= 0 {
			n++
			t.sum += t.off(int32(i), x)
		}
	}
	// Two that are uniform and independent differ by 1/6 in the mean square, round a
	// circle by 1/12.
	if t.atRandom = n / 6; t.round {
		t.atRandom = n / 12
	}
	return t
}

// ranks returns the rank of each value among others, 0..1; equal values have their mean
// rank.
func ranks(values, among []float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		lo, _ := slices.BinarySearch(among, v)
		hi, _ := slices.BinarySearchFunc(among, v, func(a, b float64) int {
			if a <= b {
				return -1
			}
			return 1
		})
		out[i] = float64(lo+hi) / 2 / float64(max(1, len(among)))
	}
	return out
}

func (t *wash) off(place, x int32) float64 {
	d := math.Abs(t.place[place] - t.piece[x])
	if t.round {
		d = min(d, 1-d)
	}
	return d * d
}

func (t *wash) put(place, x, y int32) { t.sum += t.off(place, y) - t.off(place, x) }
