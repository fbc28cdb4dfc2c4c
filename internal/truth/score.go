package truth

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Judge holds the colour rules that scoring leans on.
type Judge struct {
	DeltaE func(a, b colour.Lab) float64 // CIEDE2000
	Family func(c colour.Linear) cloth.Family
	Dull   func(f cloth.Family) bool // see family.Dull
	// Estimate is what a sheet says of light that was found with nothing white in view.
	Estimate string
}

// Result is how one photo was answered: counts, and lists over its found
// pieces.
type Result struct {
	Name         string
	Kind         cloth.Kind
	Level        int
	HasReference bool

	Pieces  int // asked for
	Said    int // answered, those that lie on slivers left out
	Hit75   int // found at IoU ≥ 0.75
	Hit50   int
	IoU     []float64 // of those found, at over 0.5, which all below is about
	Split   int       // pieces answered in several parts
	Merged  int       // answers that swallow several pieces
	KindOK  bool
	DeltaE  []float64 // of the mean colour
	ValueOK int
	FamOK   int
	// FamMeanOK counts those whose family is right by the mean and by area alone.
	FamMeanOK int
	// Families and Values are what was said of each, and whether the truth allows it.
	Families, Values []NameClaim

	Measurable int // found pieces whose size was asked for
	Answered   int // of them answered
	// Sizes are all that were said of pieces that are there, asked for or not: what is
	// said of a piece half hidden must be right too.
	Sizes []Claim
	// Scale is what was said of the scale; nil where nothing was.
	Scale *Claim

	Same Pairs // of found pieces, by their prints

	CornerIn []float64 // mean distance of a piece's seen corners, inches
}

// Claim is an answer and how sure it was said to be.
type Claim struct {
	Trust float64 // 0..1
	Right bool
}

// scaleRight is how far off, relatively, a scale may be.
const scaleRight = 0.03

// Score compares one photo's answers with its truth.
func (j Judge) Score(c *Case, s *cloth.Sheet) Result {
	r := Result{Name: c.Name, Kind: c.Kind, Level: c.Level, HasReference: c.HasReference, KindOK: s.Kind == c.Kind}
	o := newOverlap(c, s)
	pairs := o.match(c)
	r.count(c, o, pairs)
	if sx, sy := scaleTo(c, s); s.Scale.PxPerInch > 0 && c.PxPerInch > 0 {
		off := s.Scale.PxPerInch * math.Sqrt(sx*sy) / c.PxPerInch
		r.Scale = &Claim{s.Scale.Trust, math.Abs(math.Log(off)) < scaleRight}
	}
	guessed := j.Estimate != "" && s.Light.From == j.Estimate
	for _, p := range pairs {
		r.Hit50++
		r.IoU = append(r.IoU, p.iou)
		if p.iou >= 0.75 {
			r.Hit75++
		}
		t, q := &c.Pieces[p.truth], &s.Pieces[p.said]
		r.DeltaE = append(r.DeltaE, j.DeltaE(clamped(q.Mean).Lab(), t.Lab))
		if t.valueRight(q.Value) {
			r.ValueOK++
		}
		byMean, seen := j.familyRight(q.Family, t)
		if byMean {
			r.FamMeanOK++
		}
		if seen {
			r.FamOK++
		}
		_, or := j.familyRight(q.FamilyOr, t)
		r.Families = append(r.Families, NameClaim{Claim{q.FamilyTrust, seen}, q.FamilyOr != "", or, j.Dull(q.Family)})
		r.Values = append(r.Values, NameClaim{Claim{q.ValueTrust, t.valueRight(q.Value)}, q.ValueOr != "", t.valueRight(q.ValueOr), guessed})
		r.size(t, q)
		r.corners(c, s, t, q)
	}
	for i := range pairs {
		for k := range i {
			a, b := &s.Pieces[pairs[i].said], &s.Pieces[pairs[k].said]
			said := a.Print != "" && a.Print == b.Print
			r.Same.Add(said, c.Pieces[pairs[i].truth].Print == c.Pieces[pairs[k].truth].Print)
		}
	}
	return r
}

func clamped(c colour.Linear) colour.Linear {
	for i := range c {
		c[i] = min(1, max(0, c[i]))
	}
	return c
}

// overlap holds the shared areas, pixels, of answers and true pieces.
type overlap struct {
	said   []float64   // area of each answer
	truth  []float64   // area of each true piece, by index
	shared [][]float64 // [answer][piece]
}

func newOverlap(c *Case, s *cloth.Sheet) *overlap {
	top := 0
	for _, p := range c.Pieces {
		top = max(top, p.ID)
	}
	index := make([]int, top+1) // ID to index + 1
	for i, p := range c.Pieces {
		index[p.ID] = i + 1
	}
	at := func(id uint16) int {
		if int(id) > top {
			return 0
		}
		return index[id]
	}
	o := &overlap{said: make([]float64, len(s.Pieces)), truth: make([]float64, len(c.Pieces)), shared: make([][]float64, len(s.Pieces))}
	for _, id := range c.Mask {
		if k := at(id); k > 0 {
			o.truth[k-1]++
		}
	}
	sx, sy := scaleTo(c, s)
	for i := range s.Pieces {
		o.shared[i] = make([]float64, len(c.Pieces))
		s.Pieces[i].Polygon.Map(func(p geom.Point) geom.Point {
			return geom.Point{X: p.X * sx, Y: p.Y * sy}
		}).Fill(c.W, c.H, func(y, x0, x1 int) {
			o.said[i] += float64(x1 - x0)
			for _, id := range c.Mask[y*c.W+x0 : y*c.W+x1] {
				if k := at(id); k > 0 {
					o.shared[i][k-1]++
				}
			}
		})
	}
	return o
}

// scaleTo returns the factor from the sheet's coordinates to the photo's.
func scaleTo(c *Case, s *cloth.Sheet) (sx, sy float64) {
	sx, sy = 1, 1
	if s.Width > 0 && s.Height > 0 {
		sx, sy = float64(c.W)/float64(s.Width), float64(c.H)/float64(s.Height)
	}
	return sx, sy
}

func (o *overlap) iou(said, truth int) float64 {
	i := o.shared[said][truth]
	if i == 0 {
		return 0
	}
	return i / (o.said[said] + o.truth[truth] - i)
}

// Overlaps returns the best overlap (IoU) of each answer with a piece that was asked
// for; -1 for answers that lie mostly on slivers and find none.
func Overlaps(c *Case, s *cloth.Sheet) []float64 {
	o := newOverlap(c, s)
	out := make([]float64, len(o.said))
	for i := range out {
		sliver := 0.0
		for k := range c.Pieces {
			if c.Pieces[k].Ignore {
				sliver += o.shared[i][k]
			} else {
				out[i] = max(out[i], o.iou(i, k))
			}
		}
		if out[i] < 0.5 && sliver > 0.5*o.said[i] {
			out[i] = -1
		}
	}
	return out
}

// pair is a true piece and the answer that found it.
type pair struct {
	truth, said int
	iou         float64
}

// match pairs each piece asked for with the answer that overlaps it the most, at an IoU
// over ½, in the order of the answers. No answer lies so on two pieces: of what a pair
// covers together more than half is shared, so more than half of the answer
// lies on that piece.
func (o *overlap) match(c *Case) []pair {
	best := map[int]pair{} // by piece
	for i := range o.said {
		for t := range c.Pieces {
			if v := o.iou(i, t); v > 0.5 && v > best[t].iou && !c.Pieces[t].Ignore {
				best[t] = pair{truth: t, said: i, iou: v}
			}
		}
	}
	return slices.SortedFunc(maps.Values(best), func(a, b pair) int { return cmp.Compare(a.said, b.said) })
}

// count fills in how many were asked for, answered, split and merged.
func (r *Result) count(c *Case, o *overlap, pairs []pair) {
	used := make([]bool, len(o.said))
	for _, p := range pairs {
		used[p.said] = true
	}
	parts := make([]int, len(c.Pieces)) // answers lying mostly in a piece
	for i := range o.said {
		sliver, swallowed := 0.0, 0
		for k := range c.Pieces {
			s := o.shared[i][k]
			if c.Pieces[k].Ignore {
				sliver += s
				continue
			}
			if s >= 0.6*o.truth[k] && s >= 0.1*o.said[i] && s > 0 {
				swallowed++
			}
			if s >= 0.6*o.said[i] && s >= 0.1*o.truth[k] && s > 0 {
				parts[k]++
			}
		}
		if swallowed > 1 {
			r.Merged++
		}
		if used[i] || sliver <= 0.5*o.said[i] || o.said[i] == 0 {
			r.Said++
		}
	}
	for k, p := range c.Pieces {
		if p.Ignore {
			continue
		}
		r.Pieces++
		if parts[k] > 1 {
			r.Split++
		}
	}
}

// valueRight reports whether the truth allows a value: what people call it, or that of
// its lightness or of one up to 1 beside it.
func (t *TruePiece) valueRight(v cloth.Value) bool {
	if t.CalledValue != "" {
		return v == t.CalledValue
	}
	return v == cloth.ValueOf(t.Lab.L) || v == cloth.ValueOf(t.Lab.L-1) || v == cloth.ValueOf(t.Lab.L+1)
}

// speaks is the least share of a piece whose strongest colour may name it.
const speaks = 0.2

// familyRight reports whether the truth allows a family. By the mean: that of the mean,
// or any that holds at least 40 % of the piece; many where none does. As it is seen:
// that of the colour strongest by area × chroma as well, where its family holds a
// fifth. A gingham blurs to pink and is red to people: of the swatches in
// testdata/names 160 of 200 could be named as people name them by the first rule, 167
// by both.
func (j Judge) familyRight(said cloth.Family, t *TruePiece) (byMean, seen bool) {
	if said == "" {
		return false, false
	}
	if len(t.Called) > 0 {
		ok := slices.Contains(t.Called, said)
		return ok, ok
	}
	share := make(map[cloth.Family]float64)
	most, strong := 0.0, cloth.Family("")
	for _, w := range t.Colours {
		f := j.Family(w.Colour)
		share[f] += w.Share
		if lab := w.Colour.OKLab(); w.Share*math.Hypot(lab.A, lab.B) > most {
			most, strong = w.Share*math.Hypot(lab.A, lab.B), f
		}
	}
	if said != cloth.Many {
		byMean = said == j.Family(t.Mean) || share[said] >= 0.4
		return byMean, byMean || said == strong && share[said] >= speaks
	}
	for _, n := range share {
		if n >= 0.4 {
			return false, false
		}
	}
	return true, true
}

// usualCuts are the widths, inches, that a size is rounded to when judged.
var usualCuts = [...]float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5, 7, 8.5, 10}

// roundsTo reports whether a side said to be x is the true side t: within ½ in,
// and no usual cut is nearer to x.
func roundsTo(x, t float64) bool {
	d := math.Abs(x - t)
	for _, c := range usualCuts {
		if math.Abs(c-x) < d {
			return false
		}
	}
	return d <= 0.5
}

// sizeRight judges sizes in inches, sides in any order: the short side must
// round to the true cut and lie within ½ in; so must the long side of a square;
// any other long side must lie within ½ in or 7 %.
func sizeRight(w, h, saidW, saidH float64) bool {
	short, long := min(w, h), max(w, h)
	a, b := min(saidW, saidH), max(saidW, saidH)
	if !roundsTo(a, short) {
		return false
	}
	if short == long {
		return roundsTo(b, short)
	}
	return math.Abs(b-long) <= max(0.5, 0.07*long)
}

func (r *Result) size(t *TruePiece, q *cloth.Piece) {
	said := q.WidthIn > 0 && q.LengthIn > 0
	if t.Measurable {
		r.Measurable++
		if said {
			r.Answered++
		}
	}
	if said {
		r.Sizes = append(r.Sizes, Claim{q.SizeTrust, sizeRight(t.WidthIn, t.HeightIn, q.WidthIn, q.LengthIn)})
	}
}

// corners adds the mean distance of the seen corners, over the best of the
// eight ways to pair two rings of four.
func (r *Result) corners(c *Case, s *cloth.Sheet, t *TruePiece, q *cloth.Piece) {
	if len(t.Corners) != 4 || len(t.CornersVisible) != 4 || len(q.Corners) != 4 || c.PxPerInch <= 0 {
		return
	}
	seen := 0
	for _, v := range t.CornersVisible {
		if v {
			seen++
		}
	}
	if seen == 0 {
		return
	}
	sx, sy := scaleTo(c, s)
	best := math.Inf(1)
	for turn := range 4 {
		for _, way := range [2]int{1, 3} {
			sum := 0.0
			for k, p := range t.Corners {
				if t.CornersVisible[k] {
					v := q.Corners[(turn+way*k)%4]
					sum += p.Dist(geom.Point{X: v.X * sx, Y: v.Y * sy})
				}
			}
			best = min(best, sum)
		}
	}
	r.CornerIn = append(r.CornerIn, best/float64(seen)/c.PxPerInch)
}
