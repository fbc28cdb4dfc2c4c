package palette

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// The number of inks is found by merging. Weighted k-means first splits the
// histogram into more clusters than a print has inks; then the pair whose union
// raises the distortion (the mean squared distance from the nearest centre)
// least is joined (Ward 1963), for as long as that costs less than an ink is
// worth. A pair with no valley between its two centres is one ink under uneven
// light or noise, and may cost more.
const (
	firstClusters = 16
	inkWorth      = 1.5e-4 // OKLab squared; a tenth of the area 0.04 away, about ΔE00 4
	noValleyWorth = 7e-4
	valleyDepth   = 0.6 // a valley holds less than this share of the lower hill
	// Light falls unevenly on cloth, so a difference in lightness counts less.
	lightnessScale = 0.8
	// Bins with less than this share of the weight wait for the inks to be
	// found: they are fringe and noise, and many.
	strayShare = 2e-4
	// An ink that covers less is left out.
	leastShare = 0.012
)

// ink is one colour of a print, by its flat pixels: by all of them the inks come nearer
// to those that k-means finds in a picture (family by those .87 rather than .82 of 937
// pieces), but 164 rather than 171 of 200 swatches go by the name that people gave, and of
// 690 pieces .81 rather than .85.
type ink struct {
	lab   [3]float32 // OKLab of pure
	pure  [3]float64 // mean cone responses of its flat pixels
	share float64    // of the pixels
	count float64
	lms   [3]float64 // sum of cone responses over all its pixels
	depth float64    // mean depth
}

// findInks finds the inks of a print, most area first, from its histogram.
func findInks(bins []bin, rng *rand.Rand) []ink {
	obs := Observations{Coords: make([]float32, 3*len(bins)), Weights: make([]float32, len(bins))}
	total := 0.0
	for i := range bins {
		total += bins[i].weight
		c := bins[i].colour()
		obs.Coords[3*i], obs.Coords[3*i+1], obs.Coords[3*i+2] = lightnessScale*c[0], c[1], c[2]
	}
	for i := range bins {
		if w := bins[i].weight; w >= strayShare*total {
			obs.Weights[i] = float32(w / total)
		}
	}
	clusters := mergeClusters(obs, Partition(obs, firstClusters, rng))
	centres := make([][3]float32, len(clusters))
	for i, c := range clusters {
		centres[i] = c.Centre
	}
	lloyd(obs, centres, make([]int32, len(bins)))
	for i := range bins {
		obs.Weights[i] = float32(bins[i].weight / total)
	}
	labels := make([]int32, len(bins))
	assign(obs, centres, labels)
	inks := poolInks(bins, labels, len(centres))
	slices.SortStableFunc(inks, func(a, b ink) int { return cmp.Compare(b.count, a.count) })
	return inks
}

// mergeClusters joins clusters, cheapest pair first, until every union would
// cost an ink.
func mergeClusters(obs Observations, c Clusters) Clusters {
	type pair struct {
		cost float64
		i, j int
	}
	total := 0.0
	for i := range c {
		total += c[i].Weight
	}
	for len(c) > 1 {
		var pairs []pair
		for j := range c {
			for i := range j {
				d := float64(squaredDistance(c[i].Centre, c[j].Centre))
				cost := c[i].Weight * c[j].Weight / (c[i].Weight + c[j].Weight) / total * d
				if cost < noValleyWorth {
					pairs = append(pairs, pair{cost, i, j})
				}
			}
		}
		slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.cost, b.cost) })
		k := slices.IndexFunc(pairs, func(p pair) bool {
			return p.cost < inkWorth || !valleyBetween(obs, &c[p.i], &c[p.j])
		})
		if k < 0 {
			break
		}
		i, j := pairs[k].i, pairs[k].j
		c[i] = joinClusters(c[i], c[j])
		c = slices.Delete(c, j, j+1)
	}
	return c
}

func joinClusters(a, b Cluster) Cluster {
	w := a.Weight + b.Weight
	for k := range 3 {
		a.Centre[k] = float32((float64(a.Centre[k])*a.Weight + float64(b.Centre[k])*b.Weight) / w)
	}
	a.Weight = w
	a.Members = append(a.Members, b.Members...)
	return a
}

// valleyBetween reports whether the members of a and b, laid out along the line
// from one centre to the other in slots a quarter of it wide, thin out half-way.
func valleyBetween(obs Observations, a, b *Cluster) bool {
	p, q := a.Centre, b.Centre
	d := [3]float32{q[0] - p[0], q[1] - p[1], q[2] - p[2]}
	n := d[0]*d[0] + d[1]*d[1] + d[2]*d[2]
	if n == 0 {
		return false
	}
	var slots [5]float64
	for _, members := range [2][]int{a.Members, b.Members} {
		for _, i := range members {
			x := obs.at(i)
			t := ((x[0]-p[0])*d[0] + (x[1]-p[1])*d[1] + (x[2]-p[2])*d[2]) / n
			if k := int(math.Floor(float64(4*t) + 0.5)); k >= 0 && k < len(slots) {
				slots[k] += float64(obs.Weights[i])
			}
		}
	}
	return slots[2] < valleyDepth*min(slots[0], slots[4])
}

// poolInks adds up the bins of each label; a label without bins gives no ink.
func poolInks(bins []bin, labels []int32, n int) []ink {
	inks := make([]ink, n)
	weight := make([]float64, n)
	total := 0.0
	for i := range bins {
		b, k := &bins[i], &inks[labels[i]]
		for c := range 3 {
			k.lms[c] += b.lms[c]
			k.pure[c] += b.pure[c]
		}
		k.count += b.count
		k.depth += b.depth
		weight[labels[i]] += b.weight
		total += b.count
	}
	found := inks[:0]
	for i, k := range inks {
		if k.count == 0 {
			continue
		}
		k.share = k.count / total
		k.depth /= k.count
		for c := range 3 {
			k.pure[c] /= weight[i]
		}
		oklab(&k.lab, float32(k.pure[0]), float32(k.pure[1]), float32(k.pure[2]))
		found = append(found, k)
	}
	return found
}
