package palette

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func source(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 7)) }

// ruspini is the data set of E. Ruspini, "Numerical methods for fuzzy
// clustering", Information Sciences 2, 1970: 75 points x, y.
var ruspini = [...][2]float32{
	{4, 53}, {5, 63}, {10, 59}, {9, 77}, {13, 49}, {13, 69}, {12, 88}, {15, 75}, {18, 61}, {19, 65},
	{22, 74}, {27, 72}, {28, 76}, {24, 58}, {27, 55}, {28, 60}, {30, 52}, {31, 60}, {32, 61}, {36, 72},
	{28, 147}, {32, 149}, {35, 153}, {33, 154}, {38, 151}, {41, 150}, {38, 145}, {38, 143}, {32, 143}, {34, 141},
	{44, 156}, {44, 149}, {44, 143}, {46, 142}, {47, 149}, {49, 152}, {50, 142}, {53, 144}, {52, 152}, {55, 155},
	{54, 124}, {60, 136}, {63, 139}, {86, 132}, {85, 115}, {85, 96}, {78, 94}, {74, 96}, {97, 122}, {98, 116},
	{98, 124}, {99, 119}, {99, 128}, {101, 115}, {108, 111}, {110, 111}, {108, 116}, {111, 126}, {115, 117}, {117, 115},
	{70, 4}, {77, 12}, {83, 21}, {61, 15}, {69, 15}, {78, 16}, {66, 18}, {58, 13}, {64, 20}, {69, 21},
	{66, 23}, {61, 25}, {76, 27}, {72, 31}, {64, 30},
}

// bestOf is the clustering with the least distortion of n seeds.
func bestOf(n uint64, obs Observations, k int) Clusters {
	var best Clusters
	for seed := range n {
		if c := Partition(obs, k, source(seed)); best == nil || distortion(c, obs) < distortion(best, obs) {
			best = c
		}
	}
	return best
}

// The least sums of squares that exist for the Ruspini data, as proved by du
// Merle, Hansen, Jaumard & Mladenović, "An interior point algorithm for minimum
// sum-of-squares clustering", SIAM J. Sci. Comput. 21, 1999 (quoted from
// memory).
func TestPartitionReachesThePublishedOptimum(t *testing.T) {
	var obs Observations
	for _, p := range ruspini {
		obs.Coords = append(obs.Coords, p[0], p[1], 0)
		obs.Weights = append(obs.Weights, 1)
	}
	for k, want := range map[int]float64{2: 89337.83, 3: 51063.48, 4: 12881.05, 5: 10126.72} {
		require.InDelta(t, want, distortion(bestOf(40, obs, k), obs), 0.05, "k = %d", k)
	}
}

func TestPartitionDegenerate(t *testing.T) {
	twice := Observations{Coords: []float32{1, 2, 3, 1, 2, 3, 4, 5, 6}, Weights: []float32{1, 2, 5}}
	nan := float32(math.NaN())
	for name, c := range map[string]struct {
		obs  Observations
		k    int
		want Clusters
	}{
		"no points":   {Observations{}, 3, nil},
		"no clusters": {twice, 0, nil},
		"no weight":   {Observations{Coords: twice.Coords, Weights: []float32{0, -1, nan}}, 2, nil},
		"one cluster": {twice, 1, Clusters{{Centre: [3]float32{2.875, 3.875, 4.875}, Weight: 8, Members: []int{0, 1, 2}}}},
		"weightless points have no part": {
			Observations{Coords: twice.Coords, Weights: []float32{1, 0, 5}}, 1,
			Clusters{{Centre: [3]float32{3.5, 4.5, 5.5}, Weight: 6, Members: []int{0, 2}}},
		},
	} {
		require.Equal(t, c.want, Partition(c.obs, c.k, source(1)), name)
	}
	many := Partition(twice, 9, source(1))
	require.Len(t, many, 2, "more clusters than distinct points")
	require.Zero(t, distortion(many, twice))
}

// A centre that none is nearest to gives no cluster.
func TestAnEmptyClusterIsNone(t *testing.T) {
	obs := Observations{Coords: []float32{0, 0, 0, 1, 0, 0, 10, 0, 0}, Weights: []float32{1, 1, 1}}
	centres := [][3]float32{{0.5, 0, 0}, {500, 0, 0}}
	labels := make([]int32, 3)
	lloyd(obs, centres, labels)
	require.Equal(t, []int32{0, 0, 0}, labels)
	require.Len(t, collect(obs, centres, labels), 1)
}

func TestNearestTakesTheFirstOfEquals(t *testing.T) {
	c := Clusters{{Centre: [3]float32{2, 0, 0}}, {Centre: [3]float32{-1, 0, 0}}, {Centre: [3]float32{1, 0, 0}}}
	require.Equal(t, 1, nearest(c, [3]float32{0, 0, 0}))
	require.Equal(t, 0, nearest(c, [3]float32{3, 0, 0}))
	require.Equal(t, -1, nearest(nil, [3]float32{}))
}

func drawObservations(t *rapid.T, most int) Observations {
	n := rapid.IntRange(1, most).Draw(t, "n")
	var obs Observations
	for range n {
		for range 3 {
			obs.Coords = append(obs.Coords, float32(rapid.IntRange(0, 6).Draw(t, "x")))
		}
		obs.Weights = append(obs.Weights, float32(rapid.IntRange(0, 4).Draw(t, "w")))
	}
	return obs
}

// optimum tries every way to split obs into at most k groups.
func optimum(obs Observations, k int) float64 {
	n := len(obs.Weights)
	labels := make([]int32, n)
	best := math.Inf(1)
	var try func(i, used int)
	try = func(i, used int) {
		if i == n {
			c := collect(obs, make([][3]float32, k), labels)
			for j := range c {
				var sum [3]float64
				for _, m := range c[j].Members {
					for a := range 3 {
						sum[a] += float64(obs.Weights[m]) * float64(obs.Coords[3*m+a])
					}
				}
				for a := range 3 {
					c[j].Centre[a] = float32(sum[a] / max(1e-9, c[j].Weight))
				}
			}
			best = min(best, distortion(c, obs))
			return
		}
		for l := range min(k, used+1) {
			labels[i] = int32(l)
			try(i+1, max(used, l+1))
		}
	}
	try(0, 0)
	return best
}

func TestPartitionAgainstEveryPartition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		obs := drawObservations(t, 7)
		k := rapid.IntRange(1, 3).Draw(t, "k")
		want := optimum(obs, k)
		got := distortion(bestOf(40, obs, k), obs)
		require.GreaterOrEqual(t, got, want-1e-4)
		// Lloyd's iteration may rest short of the optimum from every seed; on
		// so few points it comes near.
		require.LessOrEqual(t, got, 1.3*want+1e-4)
	})
}

func TestPartitionIsALocalOptimum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		obs := drawObservations(t, 60)
		k := rapid.IntRange(1, 8).Draw(t, "k")
		seed := rapid.Uint64().Draw(t, "seed")
		c := Partition(obs, k, source(seed))
		require.LessOrEqual(t, len(c), k)
		require.Equal(t, c, Partition(obs, k, source(seed)), "the same again")

		owners := make([]int, len(obs.Weights))
		for _, cl := range c {
			weight, sum := 0.0, [3]float64{}
			for _, i := range cl.Members {
				owners[i]++
				w := float64(obs.Weights[i])
				weight += w
				for a := range 3 {
					sum[a] += w * float64(obs.Coords[3*i+a])
				}
				require.InDelta(t, squaredDistance(obs.at(i), c[nearest(c, obs.at(i))].Centre),
					squaredDistance(obs.at(i), cl.Centre), 1e-4, "a member's nearest centre is its own")
			}
			require.InDelta(t, weight, cl.Weight, 1e-6)
			for a := range 3 {
				require.InDelta(t, sum[a]/weight, cl.Centre[a], 1e-4, "a centre is the mean of its members")
			}
		}
		for i, w := range obs.Weights {
			require.Equal(t, w > 0, owners[i] == 1, "each weighted point has one cluster")
		}
	})
}

// A weight of n counts like n points.
func TestWeightsCountLikeCopies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		obs := drawObservations(t, 6)
		var copies Observations
		for i, w := range obs.Weights {
			for range int(w) {
				copies.Coords = append(copies.Coords, obs.Coords[3*i:3*i+3]...)
				copies.Weights = append(copies.Weights, 1)
			}
		}
		require.InDelta(t, distortion(bestOf(30, obs, 2), obs), distortion(bestOf(30, copies, 2), copies), 1e-3)
	})
}

// nearest is the index of the cluster whose centre lies nearest to p, the
// lowest of equals; -1 where there is no cluster.
func nearest(c Clusters, p [3]float32) int {
	best, at := float32(math.Inf(1)), -1
	for i := range c {
		if d := squaredDistance(p, c[i].Centre); d < best {
			best, at = d, i
		}
	}
	return at
}

// distortion is the weighted sum of the squared distances of the members from
// their centres, the quantity that Partition lowers.
func distortion(c Clusters, obs Observations) float64 {
	sum := 0.0
	for _, cl := range c {
		for _, i := range cl.Members {
			sum += float64(obs.Weights[i]) * float64(squaredDistance(obs.at(i), cl.Centre))
		}
	}
	return sum
}
