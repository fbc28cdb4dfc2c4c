package teach_test

import (
	"encoding/json"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/teach"
)

// solid is a plain piece of one colour.
func solid(l, c, h float64) teach.Features {
	lin := colour.OKLCh{L: l, C: c, H: h}.OKLab().Linear()
	return teach.Features{Mean: lin, ReadsAs: lin, Colours: []cloth.Ink{{Colour: lin, Share: 1}}, Value: cloth.ValueOf(lin.Lab().L)}
}

// greensAndReds are a few sea greens and brick reds.
func greensAndReds() []teach.Example {
	var out []teach.Example
	for i := range 5 {
		d := float64(i)
		out = append(out,
			teach.Example{Bin: "sea greens", Features: solid(0.55+0.02*d, 0.08, 175+5*d)},
			teach.Example{Bin: "brick reds", Features: solid(0.5+0.02*d, 0.11, 30+4*d)})
	}
	return out
}

func TestNothingTaughtIsNoBin(t *testing.T) {
	require.Equal(t, teach.Answer{}, teach.Learn(nil).Sort(solid(0.5, 0.1, 20)))
	require.Equal(t, teach.Answer{}, new(teach.Sorter).Sort(solid(0.5, 0.1, 20)))
}

func TestNearestIsNamedAsTheReason(t *testing.T) {
	s := teach.Learn(greensAndReds())
	require.Equal(t, []string{"sea greens", "brick reds"}, s.Bins())
	a := s.Sort(solid(0.58, 0.08, 184))
	require.Equal(t, "sea greens", a.Bin)
	require.False(t, a.Ask)
	require.Contains(t, a.Reason, "nearest: 3 pieces of sea greens")
}

// A yellow is neither a sea green nor a brick red, and not between them.
func TestUnlikeAnyBinIsNone(t *testing.T) {
	a := teach.Learn(greensAndReds()).Sort(solid(0.85, 0.16, 100))
	require.Empty(t, a.Bin)
	require.False(t, a.Ask)
}

func TestOneBinTakesOnlyItsOwn(t *testing.T) {
	for _, n := range []int{1, 5} {
		var examples []teach.Example
		for _, e := range greensAndReds() {
			if e.Bin == "sea greens" && len(examples) < n {
				examples = append(examples, e)
			}
		}
		s := teach.Learn(examples)
		require.Equal(t, "sea greens", s.Sort(examples[0].Features).Bin)
		require.Empty(t, s.Sort(solid(0.5, 0.11, 30)).Bin)
	}
}

// The same piece in two bins: what you said last is what you mean.
func TestALaterCorrectionWins(t *testing.T) {
	examples := greensAndReds()
	moved := examples[0].Features
	s := teach.Learn(append(examples, teach.Example{Bin: "brick reds", Features: moved}))
	require.NotEqual(t, "sea greens", s.Sort(moved).Bin)
	require.Equal(t, teach.Learn(examples).Sort(moved), teach.Learn(append(examples, examples[0], examples[0])).Sort(moved), "said twice is said once")
}

func TestNoneOfYoursCanBeTaught(t *testing.T) {
	var examples []teach.Example
	for _, e := range greensAndReds() {
		if e.Bin == "brick reds" {
			e.Bin = ""
		}
		examples = append(examples, e)
	}
	s := teach.Learn(examples)
	require.Equal(t, []string{"sea greens"}, s.Bins())
	a := s.Sort(solid(0.55, 0.11, 38))
	require.Empty(t, a.Bin)
	require.False(t, a.Ask)
}

// Greys have no hue: two of them are told apart by value alone.
func TestGreysAreSortedByValue(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	var examples []teach.Example
	for range 5 {
		examples = append(examples,
			teach.Example{Bin: "shirtings", Features: solid(0.88+0.05*rng.Float64(), 0.008*rng.Float64(), 360*rng.Float64())},
			teach.Example{Bin: "charcoals", Features: solid(0.3+0.05*rng.Float64(), 0.008*rng.Float64(), 360*rng.Float64())})
	}
	s := teach.Learn(examples)
	for range 20 {
		require.Equal(t, "charcoals", s.Sort(solid(0.31+0.03*rng.Float64(), 0.008*rng.Float64(), 360*rng.Float64())).Bin)
	}
}

func TestExamplesKeepTheirFormInJSON(t *testing.T) {
	e := teach.Example{Bin: "sea greens", Features: teach.Features{
		Mean: colour.Linear{0.1, 0.2, 0.3}, ReadsAs: colour.Linear{0.1, 0.25, 0.3},
		Colours: []cloth.Ink{{Colour: colour.Linear{0.1, 0.2, 0.3}, Share: 1}}, Family: cloth.Teal, Value: cloth.Medium, Motif: 0.5}}
	b, err := json.Marshal(e)
	require.NoError(t, err)
	require.Equal(t, `{"bin":"sea greens","mean":[0.1,0.2,0.3],"reads_as":[0.1,0.25,0.3],"colours":[{"colour":[0.1,0.2,0.3],"share":1}],"family":"teal","value":"medium","motif":0.5}`, string(b))
	var back teach.Example
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, e, back)
}

func TestOnlyMeasuredHoldingsTeach(t *testing.T) {
	_, ok := teach.FeaturesOfHolding(cloth.Holding{Family: cloth.Blue})
	require.False(t, ok)
	p := cloth.Piece{Mean: colour.Linear{0.1, 0.2, 0.3}, Family: cloth.Blue, Motif: 0.5}
	f, ok := teach.FeaturesOfHolding(cloth.Holding{Mean: p.Mean, Family: p.Family, Motif: p.Motif, Measured: true})
	require.True(t, ok)
	require.Equal(t, teach.FeaturesOf(p), f)
}

// Whatever was taught, in whatever muddle, an answer is one of the three, of bins
// that were taught, and the same each time.
func TestAnswersAreWellFormed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		bins := []string{"a", "b", "c", ""}[:rapid.IntRange(1, 4).Draw(t, "bins")]
		var examples []teach.Example
		for range rapid.IntRange(1, 12).Draw(t, "examples") {
			s := scrapOf(rng)
			examples = append(examples, teach.Example{Bin: bins[rng.IntN(len(bins))], Features: s.Features})
		}
		s := teach.Learn(examples)
		piece := scrapOf(rng)
		a := s.Sort(piece.Features)
		require.Equal(t, a, teach.Learn(examples).Sort(piece.Features))
		require.True(t, a.Trust >= 0 && a.Trust <= 1+1e-9, "%v", a.Trust)
		require.NotEmpty(t, a.Reason)
		known := append(s.Bins(), "")
		require.Contains(t, known, a.Bin)
		if !a.Ask {
			require.Empty(t, a.Others)
			return
		}
		require.Empty(t, a.Bin)
		require.Len(t, a.Others, 2)
		require.GreaterOrEqual(t, a.Others[0].Trust, a.Others[1].Trust)
		require.Equal(t, a.Trust, a.Others[0].Trust)
		for _, o := range a.Others {
			require.Contains(t, known, o.Bin)
		}
	})
}
