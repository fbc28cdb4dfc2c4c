package find

import (
	_ "embed"
	"encoding/json"
	"math"
	"slices"
	"sync"

	"piecebag/internal/geom"
)

// SignNames name what speaks for a piece, in the order of Result.Signs.
var SignNames = []string{
	"cloth",    // mean probability of cloth within
	"usual",    // median of cloth over the photo's pieces
	"within",   // mean pull between its own cells
	"across",   // mean pull over its edge; 0 where nothing touches it
	"size",     // ln of its area as a share of the picture's
	"solidity", // its area as a share of its convex hull's
	"cells",    // ln of its cells
	"edge",     // share of its outline that lies on the picture's edge
	"thin",     // its area as a share of its perimeter squared, of a square's
}

// signUsual is the place of the one sign that is known only when all pieces are.
const signUsual = 1

// signs measures what speaks for a piece of a picture of w × h working pixels.
func (l *labelled) signs(s *piece, g geom.Polygon, w, h int) []float64 {
	sum := 0
	for y := s.box.Min.Y; y < s.box.Max.Y; y++ {
		for x := s.box.Min.X; x < s.box.Max.X; x++ {
			if i := y*l.w + x; l.lab[i] == s.label {
				sum += int(l.cloth[i]) + half
			}
		}
	}
	mean := func(b bond) float64 {
		if b.n == 0 {
			return 0
		}
		return b.mean() + 0.5
	}
	const near = 3 // working pixels from the picture's edge
	at := 0.0
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if max(a.X, b.X) < near || max(a.Y, b.Y) < near || min(a.X, b.X) > float64(w)-near || min(a.Y, b.Y) > float64(h)-near {
			at += a.Dist(b)
		}
	}
	area, around := g.Area(), g.Perimeter()
	return []float64{
		float64(sum) / float64(s.area) / unit,
		0,
		mean(s.inner),
		mean(s.outer),
		math.Log(area / float64(w*h)),
		area / max(geom.ConvexHull(g).Area(), 1e-9),
		math.Log(float64(s.area)),
		at / max(around, 1e-9),
		16 * area / max(around*around, 1e-9),
	}
}

// fitted holds the trust's calibration, which train/calibrate.py wrote.
//
//go:embed trust.json
var fitted []byte

// calibration is a logistic regression on the signs, centred and scaled. Their
// squares and products were tried: better on made photos, worse on real ones.
type calibration struct {
	Mean    []float64 `json:"mean"`
	SD      []float64 `json:"sd"`
	LogOdds []float64 `json:"log_odds"` // of the constant, then of the signs
}

var calibrated = sync.OnceValue(func() *calibration {
	c := new(calibration)
	if err := json.Unmarshal(fitted, c); err != nil {
		panic(err) // a test reads it
	}
	return c
})

// trust is the probability that a piece's outline overlaps the truth by 0.75 or
// more.
func trust(signs []float64) float64 {
	c := calibrated()
	odds := c.LogOdds[0]
	for i, v := range signs {
		// Beyond three deviations the training has seen too little.
		odds += c.LogOdds[i+1] * max(-3, min(3, (v-c.Mean[i])/c.SD[i]))
	}
	return 1 / (1 + math.Exp(-odds))
}

// leastTrust is the trust below which an outline is not said. Of 4,283 outlines
// of made and real photos, each photo held out of the fit, it drops 386 of 892
// wrong ones and 81 of 3,391 right ones.
const leastTrust = 0.3

// judge fills in the trust of all regions that have signs, and drops those of
// too little unless all are wanted; it gives how many it dropped. An outline is
// right only if the photo shows cloth at all, which has the probability shown.
func (r *Result) judge(shown float64, all bool) int {
	var sure []float64
	for _, s := range r.Signs {
		if s != nil {
			sure = append(sure, s[0])
		}
	}
	if len(sure) == 0 {
		return 0
	}
	slices.Sort(sure)
	n := 0
	for i, s := range r.Signs {
		if s != nil {
			s[signUsual] = sure[len(sure)/2]
			r.Regions[i].Trust = shown * trust(s)
		}
		if s == nil || all || r.Regions[i].Trust >= leastTrust {
			r.Regions[n], r.Signs[n] = r.Regions[i], s
			n++
		}
	}
	dropped := len(r.Regions) - n
	r.Regions, r.Signs = r.Regions[:n], r.Signs[:n]
	return dropped
}
