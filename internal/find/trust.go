package find

import (
	"cmp"
	_ "embed"
	"encoding/json"
	"math"
	"slices"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// SignNames name what speaks for a piece, in the order of Result.Signs.
var SignNames = []string{
	"cloth",    // mean probability of cloth within
	"within",   // mean pull between its own cells
	"across",   // mean pull over its edge; 0 where nothing touches it
	"size",     // ln of its area as a share of the picture's
	"solidity", // its area as a share of its convex hull's
	// Of the photo, known only when all pieces are:
	"usual",  // median of cloth over its pieces
	"beside", // size less the median of sizes
	"many",   // ln of how many pieces there are
	"heap",   // probability that it shows a stack or a pile
}

const signCloth, signSize, ofPhoto = 0, 3, 5 // places among the signs

// signs measures what speaks for a piece of a picture of w × h working pixels.
func (l *labelled) signs(s *piece, g geom.Polygon, w, h int) []float64 {
	mean := func(b bond) float64 {
		if b.n == 0 {
			return 0
		}
		return b.mean() + 0.5
	}
	area := g.Area()
	out := make([]float64, len(SignNames))
	copy(out, []float64{
		(float64(s.cloth)/float64(s.area) + half) / unit,
		mean(s.inner),
		mean(s.outer),
		math.Log(area / float64(w*h)),
		area / max(geom.ConvexHull(g).Area(), 1e-9),
	})
	return out
}

// The first was written by internal/eye/train/calibrate.py, the second by join.py there.
var (
	//go:embed trust.json
	trustFile []byte
	//go:embed join.json
	joinFile []byte
)

// logistic is a logistic regression on signs, centred and scaled. For trust their
// squares and products were tried: better on made photos, worse on real ones.
type logistic struct {
	Mean    []float64   `json:"mean"`
	SD      []float64   `json:"sd"`
	LogOdds []float64   `json:"log_odds"` // of the constant, then of the signs
	Hidden  [][]float64 `json:"hidden"`   // of each hidden unit, the same
	Out     []float64   `json:"out"`      // what each adds where it is above 0
	Reach   float64     `json:"reach"`    // deviations from the mean beyond which a sign says no more
}

func read(file []byte) func() *logistic {
	return sync.OnceValue(func() *logistic {
		c := new(logistic)
		if err := json.Unmarshal(file, c); err != nil {
			panic(err) // a test reads it
		}
		return c
	})
}

var trusts, joins = read(trustFile), read(joinFile)

// chance returns the probability that signs speak for.
func (c *logistic) chance(signs []float64) float64 {
	z := make([]float64, len(signs))
	for i, v := range signs {
		z[i] = max(-c.Reach, min(c.Reach, (v-c.Mean[i])/c.SD[i]))
	}
	sum := func(w []float64) float64 {
		s := w[0]
		for i, v := range z {
			s += w[i+1] * v
		}
		return s
	}
	odds := sum(c.LogOdds)
	for k, w := range c.Hidden {
		odds += c.Out[k] * max(0, sum(w))
	}
	return 1 / (1 + math.Exp(-odds))
}

// leastTrust is the trust below which an outline is not said: what is likelier wrong
// than right. Of 6,110 outlines of made and real photos, each photo held out of the
// fit, it drops 1,311 of 1,740 wrong ones and 160 of 4,370 right ones. At 0.4 the
// renders gain 0.007 of F1 at IoU 0.75 and real photos 0.6 false pieces each; at 0.6
// renders and composites lose 0.006 and real photos have 0.7 false pieces fewer.
const leastTrust = 0.5

// leastLeft is the least trust of what is shown as left out: at one in ten it is worth
// a look.
const leastLeft = 0.1

// judge fills in the trust of all regions that have signs, and leaves out those of
// too little unless all are wanted. An outline is right only if the photo shows
// cloth at all, which has the probability shown; heap is that of a stack or a pile.
func (r *Result) judge(shown, heap float64, all bool) {
	var cloths, sizes []float64
	for _, s := range r.Signs {
		if s != nil {
			cloths, sizes = append(cloths, s[signCloth]), append(sizes, s[signSize])
		}
	}
	if len(sizes) == 0 {
		return
	}
	usual, size, many := raster.Median(cloths), raster.Median(sizes), math.Log(float64(len(sizes)))
	n := 0
	for i, s := range r.Signs {
		if s != nil {
			copy(s[ofPhoto:], []float64{usual, s[signSize] - size, many, heap})
			r.Regions[i].Trust = shown * trusts().chance(s)
		}
		if s == nil || all || r.Regions[i].Trust >= leastTrust {
			r.Regions[n], r.Signs[n] = r.Regions[i], s
			n++
		} else if r.Regions[i].Trust >= leastLeft {
			r.Left = append(r.Left, r.Regions[i])
		}
	}
	r.Regions, r.Signs = r.Regions[:n], r.Signs[:n]
	slices.SortStableFunc(r.Left, func(a, b cloth.Region) int { return cmp.Compare(b.Trust, a.Trust) })
}
