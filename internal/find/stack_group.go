package find

import (
	"math"
	"slices"
)

// bundle is a run of layers of one fabric: layers i ≤ k < j.
type bundle struct{ i, j int }

// What parts a tier into bundles, in units of the length of its bands.
const (
	bundleMost   = 16    // layers in a bundle
	bundlePrice  = 0.010 // for every bundle
	bundleWide   = 0.10  // usual width of a bundle seen from above
	bundleSpread = 0.45  // its spread, of natural logarithm
	widthPrice   = 0.0027
	groovePrice  = 1.5 // of bundlePrice: how far a deep groove invites a border
	grooveUsual  = 0.3
	flushPrice   = 0.3 // of bundlePrice: how far ends that lie level speak against one
	flushRows    = 3   // grain rows: nearer ends lie level
	looseRows    = 8   // grain rows: farther ends do not
	narrowLayer  = 8   // columns: the ends of narrower ones are not trusted
)

// group cuts the layers of a tier into bundles, by dynamic programming. Each
// layer costs its width times how unlike it is to the one that stands for its
// bundle; each bundle costs a price, more where its width is unusual, where no
// groove parts it from the last, and where the ends of both lie level. Tiers
// seen at a slant show more of the sides of their bundles, so the usual width
// is tried at three scales.
func (t *tier) group(r *rack, ls []layer) []bundle {
	n := len(ls)
	long := float32(t.rows() * grainRows)
	border := make([]float32, n)
	width := make([]float32, n+1) // running
	for i := range ls {
		width[i+1] = width[i] + max(0, ls[i].width)/long
		if i > 0 {
			border[i] = t.border(r, i, &ls[i-1], &ls[i])
		}
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
				if c := cost[i] + misfit[i][j-i] + border[i] + bundlePrice + widthPrice*float32(z*z/2); c < cost[j] {
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

// border is what a border at line i of the tier costs beyond bundlePrice.
func (t *tier) border(r *rack, i int, a, b *layer) float32 {
	c := -groovePrice * (min(t.groove(r, i, a, b), 2*grooveUsual) - grooveUsual)
	if min(a.width, b.width) > narrowLayer {
		switch far := offset(a, b); {
		case far < flushRows:
			c += flushPrice
		case far > looseRows:
			c -= flushPrice / 2
		}
	}
	return c * bundlePrice
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
