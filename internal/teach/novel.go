package teach

import (
	"math"

	"piecebag/internal/colour"
)

// likeness tells a piece that is unlike all examples of a bin, whatever you sort
// by: yellow, where only sea greens and brick reds were taught. A bin of pieces
// that differ much among themselves finds little unlike it.
type likeness struct {
	views  [3]view      // of one axis each
	limits [3][]float64 // by view and bin: where a piece is as likely in no bin at all
	held   float64      // the share of all colours that the bins hold, by the narrowest limits
}

const (
	// A piece is strange that lies so many times farther off a bin, on some axis,
	// than any example of it lies off the rest: strangeFrom where your bins hold
	// few of all colours, and by up to strangeMore more where they hold them all.
	strangeFrom, strangeMore = 1.0, 4.0
	// leastLimit is the limit of a bin of examples all alike, or of one, and
	// moreLimit what is added where your bins hold all colours.
	leastLimit, moreLimit = 0.35, 0.85
	// partTo is the share of all colours up to which bins are taken to be for part
	// of them, and wholeFrom that from which they are for them all.
	partTo, wholeFrom = 0.3, 0.6
)

func likenessOf(pts []point, bins [][]int) likeness {
	var l likeness
	var reach [3][]float64
	odds, near := make([]float64, len(bins)), make([]float64, len(bins))
	for k, x := range []axis{hue, lightness, chroma} {
		w := view{axes: []axis{x}}
		w.join(pts, bins)
		reach[k], l.limits[k] = make([]float64, len(bins)), make([]float64, len(bins))
		for b, members := range bins {
			for _, i := range members[max(0, len(members)-spanCrowd):] {
				w.weigh(&pts[i].place, pts, i, odds, near)
				if d := math.Sqrt(near[b]); !math.IsInf(d, 1) {
					reach[k][b] = max(reach[k][b], d)
				}
			}
		}
		l.views[k] = w
	}
	limit := func(coverage float64) {
		for k := range l.limits {
			for b, r := range reach[k] {
				l.limits[k][b] = max(leastLimit+coverage*moreLimit, (strangeFrom+coverage*strangeMore)*r)
			}
		}
	}
	limit(0)
	held, all := 0., 0.
	for _, p := range everyColour() {
		l.strange(&p, pts, odds, near)
		all++
		for _, o := range odds {
			if o < 0.5 {
				held++
				break
			}
		}
	}
	l.held = held / all
	limit(min(1, max(0, (l.held-partTo)/(wholeFrom-partTo))))
	return l
}

// everyColour returns the places of colours spread over what cloth is dyed in.
func everyColour() []place {
	var out []place
	for _, l := range []float64{0.35, 0.5, 0.65, 0.8} {
		for _, c := range []float64{0.06, 0.11} {
			for h := 0.; h < 360; h += 30 {
				lin := colour.OKLCh{L: l, C: c, H: h}.OKLab().Linear()
				if lin.InGamut(0) {
					out = append(out, placeOf(Features{Mean: lin, ReadsAs: lin}))
				}
			}
		}
	}
	return out
}

// strange fills odds with the probability that p lies in no bin, though the bin
// be the likeliest of all.
func (l *likeness) strange(p *place, pts []point, odds, near []float64) {
	clear(odds)
	for k := range l.views {
		l.views[k].weigh(p, pts, -1, make([]float64, len(odds)), near)
		for b, limit := range l.limits[k] {
			odds[b] = max(odds[b], min(1, max(0, 0.5+2*(math.Sqrt(near[b])/limit-1))))
		}
	}
}
