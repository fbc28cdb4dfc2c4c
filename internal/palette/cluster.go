package palette

import (
	"math"
	"math/rand/v2"
)

// Observations are n weighted points of a three-dimensional space, flat: point
// i is Coords[3*i : 3*i+3] and counts Weights[i] times. A point whose weight is
// not above 0 is left out.
type Observations struct {
	Coords  []float32 // len 3n
	Weights []float32 // len n
}

// Cluster is a group of observations round its weighted mean.
type Cluster struct {
	Centre  [3]float32
	Weight  float64 // the sum of its members' weights
	Members []int   // indices of observations, ascending
}

// Clusters is one partition.
type Clusters []Cluster

// Partition splits obs into at most k clusters by weighted k-means: seeds drawn
// from rng by k-means++ (Arthur & Vassilvitskii 2007), then Lloyd's iteration
// (Lloyd 1982) until nothing moves. It returns fewer than k clusters where
// there are fewer distinct points, and none where no point has weight. The
// same obs, k and state of rng give the same clusters.
func Partition(obs Observations, k int, rng *rand.Rand) Clusters {
	centres := seedCentres(obs, k, rng)
	if len(centres) == 0 {
		return nil
	}
	labels := make([]int32, len(obs.Weights))
	lloyd(obs, centres, labels)
	return collect(obs, centres, labels)
}

func (o Observations) at(i int) [3]float32 {
	return [3]float32{o.Coords[3*i], o.Coords[3*i+1], o.Coords[3*i+2]}
}

func squaredDistance(a, b [3]float32) float32 {
	x, y, z := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return x*x + y*y + z*z
}

// seedCentres draws up to k distinct points, each with a chance in proportion
// to its weight times its squared distance from those drawn before.
func seedCentres(obs Observations, k int, rng *rand.Rand) [][3]float32 {
	n := len(obs.Weights)
	pull := make([]float64, n) // weight, then weight times squared distance
	total := 0.0
	for i, w := range obs.Weights {
		if w > 0 {
			pull[i] = float64(w)
			total += pull[i]
		}
	}
	var centres [][3]float32
	for len(centres) < k && total > 0 {
		c := obs.at(draw(pull, total, rng))
		first := len(centres) == 0
		centres = append(centres, c)
		total = 0
		for i, w := range obs.Weights {
			if !(w > 0) {
				continue
			}
			d := float64(w) * float64(squaredDistance(obs.at(i), c))
			if first || d < pull[i] {
				pull[i] = d
			}
			total += pull[i]
		}
	}
	return centres
}

// draw picks an index with a chance in proportion to pull, which sums to total.
func draw(pull []float64, total float64, rng *rand.Rand) int {
	r := rng.Float64() * total
	last := 0
	for i, p := range pull {
		if p <= 0 {
			continue
		}
		last = i
		if r -= p; r < 0 {
			break
		}
	}
	return last
}

// maxRounds bounds Lloyd's iteration; histograms of cloth settle in 5 to 20.
const maxRounds = 100

// lloyd moves centres and sets labels (-1 for a point without weight) until no
// label changes. A centre that loses all its points stays where it is.
func lloyd(obs Observations, centres [][3]float32, labels []int32) {
	for i := range labels {
		labels[i] = -1
	}
	sums := make([][4]float64, len(centres))
	for range maxRounds {
		moved := assign(obs, centres, labels)
		clear(sums)
		for i, l := range labels {
			if l < 0 {
				continue
			}
			w := float64(obs.Weights[i])
			s := &sums[l]
			s[0] += w * float64(obs.Coords[3*i])
			s[1] += w * float64(obs.Coords[3*i+1])
			s[2] += w * float64(obs.Coords[3*i+2])
			s[3] += w
		}
		for j := range sums {
			if s := sums[j]; s[3] > 0 {
				centres[j] = [3]float32{float32(s[0] / s[3]), float32(s[1] / s[3]), float32(s[2] / s[3])}
			}
		}
		if !moved {
			return
		}
	}
}

// assign labels every weighted point with its nearest centre, the lowest of
// equals, and reports whether a label changed.
func assign(obs Observations, centres [][3]float32, labels []int32) bool {
	moved := false
	for i, w := range obs.Weights {
		if !(w > 0) {
			continue
		}
		p := obs.at(i)
		best, at := float32(math.Inf(1)), int32(0)
		for j, c := range centres {
			if d := squaredDistance(p, c); d < best {
				best, at = d, int32(j)
			}
		}
		if labels[i] != at {
			labels[i] = at
			moved = true
		}
	}
	return moved
}

// collect lists the members of each cluster; a cluster without any is left out.
func collect(obs Observations, centres [][3]float32, labels []int32) Clusters {
	all := make(Clusters, len(centres))
	for j, c := range centres {
		all[j].Centre = c
	}
	for i, l := range labels {
		if l >= 0 {
			all[l].Members = append(all[l].Members, i)
			all[l].Weight += float64(obs.Weights[i])
		}
	}
	out := all[:0]
	for _, c := range all {
		if len(c.Members) > 0 {
			out = append(out, c)
		}
	}
	return out
}
