package palette

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// layAll lays pieces of the prints, three of each, of three sizes and turns,
// under light that falls off across the table, and returns their signatures and
// the true print of each.
func layAll(t require.TestingT, prints []print, slope float64, seed uint64) (items []Signature, truth []int) {
	tab := newTable(1000, 160*len(prints), "#9a9a98", seed)
	var polys []geom.Polygon
	for i, p := range prints {
		y := 80 + 160*float64(i)
		polys = append(polys,
			tab.lay(p, 120, y, 130, 120, 0.1),
			tab.lay(p, 400, y, 200, 60, 0.25),
			tab.lay(p, 800, y, 80, 80, math.Pi*tab.rng.Float64()))
		truth = append(truth, i, i, i)
	}
	tab.light([3]float64{1, 1, 1}, slope)
	tab.noise(2)
	for _, g := range polys {
		m, err := new(Meter).Measure(tab.pic, g, 1)
		require.NoError(t, err)
		items = append(items, m.Signature)
	}
	return items, truth
}

// errorsIn counts the pairs wrongly joined and wrongly parted.
func errorsIn(labels []string, truth []int) (joined, parted int) {
	for i := range labels {
		for j := range i {
			said, is := labels[i] == labels[j], truth[i] == truth[j]
			if said && !is {
				joined++
			} else if is && !said {
				parted++
			}
		}
	}
	return joined, parted
}

var shop = []print{
	solid("#c73836"),
	solid("#ececeb"),
	solid("#3157ab"),
	dots("#ecebea", "#cb3232", 15, 3),
	dots("#ecebea", "#cb3232", 34, 10),
	dots("#cb3232", "#ecebea", 15, 3),
	dots("#ecebea", "#c6c7c9", 18, 3),
	stripes([]string{"#ecebea", "#cb3232"}, []float64{8, 8}),
	stripes([]string{"#ecebea", "#cb3232"}, []float64{20, 5}),
	checks("#ecebea", "#cb3232", 11),
	checks("#313131", "#ececea", 6),
	stripes([]string{"#ececeb", "#ecbccd", "#49bcc0", "#e04e78"}, []float64{10, 8, 6, 4}),
}

func TestPrintsAreToldApart(t *testing.T) {
	for seed := range uint64(3) {
		items, truth := layAll(t, shop, 0.1, seed)
		joined, parted := errorsIn(Prints(items, cloth.Spread), truth)
		require.Zero(t, joined, "seed %d", seed)
		require.LessOrEqual(t, parted, 2, "seed %d, of %d pairs", seed, len(truth))
	}
}

// Solids of near colours (ΔE00 6 to 10) are two.
func TestNearSolids(t *testing.T) {
	items, truth := layAll(t, []print{solid("#c73836"), solid("#c74a52"), solid("#7fbde5"), solid("#8aa9e8")}, 0.05, 1)
	joined, parted := errorsIn(Prints(items, cloth.Spread), truth)
	require.Zero(t, joined)
	require.Zero(t, parted)
}

func TestLabelsCountInOrderOfFirstAppearance(t *testing.T) {
	require.Empty(t, Prints(nil, cloth.Spread))
	require.Equal(t, []string{"a", "b", "a", "c", "b"}, label([]int{3, 1, 3, 0, 1}))
	for n, want := range map[int]string{0: "a", 25: "z", 26: "aa", 27: "ab", 51: "az", 52: "ba", 701: "zz", 702: "aaa"} {
		require.Equal(t, want, letters(n))
	}
}

// Whatever the order of the pieces, the same pieces go together.
func TestPrintsDoNotDependOnOrder(t *testing.T) {
	items, _ := layAll(t, shop[:6], 0.05, 2)
	want := Prints(items, cloth.Spread)
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.Permutation(indices(len(items))).Draw(t, "order")
		var mixed []Signature
		for _, i := range order {
			mixed = append(mixed, items[i])
		}
		got := Prints(mixed, cloth.Spread)
		for a := range order {
			for b := range a {
				require.Equal(t, want[order[a]] == want[order[b]], got[a] == got[b])
			}
		}
	})
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Average linkage by hand: 0 and 1 join at 4; then 2 stands at (3 − 1) / 2 = 1
// from them and joins; 3 stands at (−1 − 1 + 1) / 3 and stays out.
func TestLinkByHand(t *testing.T) {
	odds := []float64{
		0, 4, 3, -1,
		4, 0, -1, -1,
		3, -1, 0, 1,
		-1, -1, 1, 0,
	}
	require.Equal(t, []int{0, 0, 0, 3}, link(odds, 4))
}

func TestEvidenceIsSymmetricAndNoneAgainstItself(t *testing.T) {
	items, _ := layAll(t, shop, 0.1, 3)
	for i := range items {
		require.Equal(t, evidence{}, compare(&items[i], &items[i], &flat, inOnePhoto))
		for j := range i {
			require.Equal(t, compare(&items[i], &items[j], &flat, inOnePhoto), compare(&items[j], &items[i], &flat, inOnePhoto))
			require.Equal(t, compare(&items[i], &items[j], &across, scales{0.5, textureShifts[:1]}), compare(&items[j], &items[i], &across, scales{-0.5, textureShifts[:1]}),
				"what is half an octave larger is half an octave smaller the other way round")
			for k, e := range compare(&items[i], &items[j], &folded, inOnePhoto) {
				require.GreaterOrEqual(t, e, 0.0, "kind %d", k)
			}
		}
	}
}

// A photo of one piece, and pieces too small to have a texture, are labelled
// too.
func TestPrintsOfSlivers(t *testing.T) {
	tab := newTable(60, 60, "#808080", 1)
	var items []Signature
	for i, ink := range []string{"#c73836", "#3157ab", "#c73836"} {
		g := tab.lay(solid(ink), 10+20*float64(i), 10, 4, 3, 0)
		m, err := new(Meter).Measure(tab.pic, g, 1)
		require.NoError(t, err)
		items = append(items, m.Signature)
	}
	require.Equal(t, []string{"a", "b", "a"}, Prints(items, cloth.Pile))
}

// An enlargement that leaves less to compare fits none the better for it: a band that
// lies beyond what both show counts as the others do.
func TestWhatIsNotComparedSpeaksForNothing(t *testing.T) {
	var a, b [offsetCount]stat
	for o := range a {
		a[o] = stat{-6, 0.01, true}
		b[o] = stat{-4, 0.01, true}
	}
	var e [3]float64
	finer, coarser := stepsAt(-1.25), stepsAt(1.25)
	for _, at := range []*[offsetCount]step{&finer, &coarser} {
		compareBands(e[:], a[:], b[:], at, 0.1)
		require.Greater(t, e[0], 1.0)
		require.InDelta(t, e[0], e[1], 1e-9)
		require.InDelta(t, e[0], e[2], 1e-9)
	}
	same := stepsAt(0)
	for o := range 2 {
		b[o].mean = -6
	}
	compareBands(e[:], a[:], b[:], &same, 0.1)
	require.Zero(t, e[0], "each band by itself where it can be")
	b[0].mean, b[1].mean = -4, -4
	for o := 2; o < offsetCount; o++ {
		a[o].known = false
	}
	compareBands(e[:], a[:], b[:], &same, 0.1)
	require.InDelta(t, math.Log(surprise(&a[0], &b[0], 0.1)), e[2], 1e-9, "a band that is not known has the mean of what is")
	for o := 2; o < offsetCount; o++ {
		a[o].known = true
	}
	b[0].mean, b[1].mean = -6, -6
	compareBands(e[:], a[:], b[:], &same, 0.1)
	require.Greater(t, e[1], 1.0)
}

// The light slopes across a photo, and what prints with a pattern tell of it joins plain
// ones that lie far apart.
func TestPlainPiecesInSlopingLight(t *testing.T) {
	tab := newTable(1000, 760, "#9a9a98", 5)
	var polys []geom.Polygon
	var truth []int
	for i, p := range []print{shop[3], shop[7], shop[9], shop[11], solid("#3157ab"), solid("#8a8c8d")} {
		y := 70 + 120*float64(i)
		for _, x := range []float64{90, 350, 640, 910} {
			polys, truth = append(polys, tab.lay(p, x, y, 110, 90, 0.1)), append(truth, i)
		}
	}
	tab.light([3]float64{1, 1, 1}, 0.5)
	tab.noise(1.5)
	var items []Signature
	for _, g := range polys {
		m, err := new(Meter).Measure(tab.pic, g, 1)
		require.NoError(t, err)
		items = append(items, m.Signature)
	}
	joined, parted := errorsIn(Prints(items, cloth.Spread), truth)
	require.Zero(t, joined)
	require.Zero(t, parted)
}
