package find

import (
	"math"
	"slices"
)

// bundle is a run of layers of one fabric: layers i ≤ k < j.
type bundle struct{ i, j int }

// What it costs to part a tier into bundles, in nats; fitted to drawn and
// rendered scenes. Widths are in units of the length of the bands.
const (
	bundleMost   = 16   // layers in a bundle
	misfitPrice  = 60   // for a width that is quite unlike the rest of its bundle
	borderPrice  = 5.6  // for a border, less:
	borderUnlike = 5.7  // for how different its two sides are
	borderAgain  = 0.35 // the share in that of what comes again
	borderGroove = 1.7  // for a groove as deep as black,
	borderDeeper = 4.2  // and again for what it is deeper than is usual in the tier
	borderThin   = 3.6  // for the width of the thinner of its two layers
	borderThick  = 9.4  // and of the thicker; and
	borderLevel  = 0.3  // more, where the ends of both lie level
	borderLoose  = 0.1  // less, where they lie far apart
	levelRows    = 3    // grain rows: nearer ends lie level
	looseRows    = 8    // grain rows: farther ends do not
	narrowLayer  = 8    // columns: the ends of narrower ones are not trusted
	widthPrice   = 0.25 // for a bundle e^bundleSpread times as wide as usual, or so much narrower
	bundleWide   = 0.08 // usual width of a bundle seen from above
	bundleSpread = 0.45 // of natural logarithm
)

// group cuts the layers of a tier, whose bands are long columns long, into
// bundles, by dynamic programming: a border is dear but for what speaks for it,
// a layer costs how unlike it is to the one that stands for its bundle, and a
// bundle of unusual width costs too. Tiers seen at a slant show more of the
// sides of their bundles, so the usual width is tried at three scales.
func group(ls []layer, long float32) []bundle {
	n := len(ls)
	width := make([]float32, n+1) // running
	var grooves []float32
	for i := range ls {
		width[i+1] = width[i] + max(0, ls[i].width)/long
		if i > 0 {
			grooves = append(grooves, ls[i].groove)
		}
	}
	slices.Sort(grooves)
	border := make([]float32, n)
	for i := 1; i < n; i++ {
		border[i] = ls[i].border(&ls[i-1], difference(ls, i), grooves[len(grooves)*2/5], long)
	}
	misfit := misfits(ls, width)
	var out []bundle
	least := float32(math.MaxFloat32)
	for _, scale := range [...]float64{1, 1.5, 2.2} {
		cost := make([]float32, n+1)
		from := make([]int, n+1)
		for j := 1; j <= n; j++ {
			cost[j] = math.MaxFloat32
			for i := max(0, j-bundleMost); i < j; i++ {
				z := math.Log(float64(max(width[j]-width[i], 0.002))/bundleWide/scale) / bundleSpread
				if c := cost[i] + misfitPrice*misfit[i][j-i] + border[i] + widthPrice*float32(z*z); c < cost[j] {
					cost[j], from[j] = c, i
				}
			}
		}
		if cost[n] < least {
			least, out = cost[n], nil
			for j := n; j > 0; j = from[j] {
				out = append(out, bundle{from[j], j})
			}
		}
	}
	slices.Reverse(out)
	return out
}

// difference is how different (0..1 and a little over) the layers on the two
// sides of border i are: the root of how unlike they are, and in part the least
// of that and how unlike each is to the layer beyond the other, as the stripes
// of one print come again.
func difference(ls []layer, i int) float32 {
	next := ls[i-1].hues.unlike(ls[i].hues)
	least := next
	if i > 1 {
		least = min(least, ls[i-2].hues.unlike(ls[i].hues))
	}
	if i+1 < len(ls) {
		least = min(least, ls[i-1].hues.unlike(ls[i+1].hues))
	}
	return (1-borderAgain)*sqrt32(max(0, next)) + borderAgain*sqrt32(max(0, least))
}

// border is what a border between l and the layer before it costs, that are so
// different, where grooves are usually so deep and the bands so long.
func (l *layer) border(before *layer, different, usual, long float32) float32 {
	deep := min(l.groove, 0.8)
	thin, thick := min(l.width, before.width), max(l.width, before.width)
	c := borderPrice - borderUnlike*different -
		borderGroove*deep - borderDeeper*(deep-usual) - (borderThin*thin+borderThick*thick)/long
	if thin > narrowLayer {
		switch {
		case l.offset < levelRows:
			c += borderLevel
		case l.offset > looseRows:
			c -= borderLoose
		}
	}
	return c
}

// misfits is, at [i][k], what layers i … i+k-1 cost as one bundle: the least
// over the layer that stands for it. width is the running width.
func misfits(ls []layer, width []float32) [][]float32 {
	n := len(ls)
	d := make([]float32, n*n)
	parallel(n, func(i0, i1 int) {
		for i := i0; i < i1; i++ {
			for j := i + 1; j < min(n, i+bundleMost); j++ {
				d[i*n+j] = ls[i].hues.unlike(ls[j].hues)
			}
		}
	})
	for i := range n {
		for j := range i {
			d[i*n+j] = d[j*n+i]
		}
	}
	out := make([][]float32, n)
	for i := range out {
		out[i] = make([]float32, min(bundleMost, n-i)+1)
		sum := make([]float32, min(bundleMost, n-i)) // by standing layer
		for k := 1; k < len(out[i]); k++ {
			// Layer i+k-1 joins, and may itself stand for all.
			j := i + k - 1
			best := float32(math.MaxFloat32)
			for m := range k {
				if m == k-1 {
					for q := i; q < j; q++ {
						sum[m] += (width[q+1] - width[q]) * d[q*n+j]
					}
				} else {
					sum[m] += (width[j+1] - width[j]) * d[j*n+i+m]
				}
				best = min(best, sum[m])
			}
			out[i][k] = best
		}
	}
	return out
}
