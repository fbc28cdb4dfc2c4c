package contrast

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

func pieces(t require.TestingT, text string, n int) Print {
	p := plain(t, text)
	p.Pieces = n
	return p
}

// Three tones of five values: common practice, no source.
func TestToneOf(t *testing.T) {
	want := []recipe.Tone{recipe.LightTone, recipe.LightTone, recipe.MediumTone, recipe.DarkTone, recipe.DarkTone}
	for i, v := range cloth.Values {
		require.Equal(t, want[i], ToneOf(v), v)
	}
}

func TestWeighSaysWhatToSwap(t *testing.T) {
	pull := []Print{pieces(t, "N 8/", 10), pieces(t, "N 6/", 3), pieces(t, "N 5/", 5), pieces(t, "N 3/", 2)}
	b := Weigh(pull, Wanted{Light: 10, Medium: 4, Dark: 6})
	require.Equal(t, []Proportion{{recipe.LightTone, 10, 10}, {recipe.MediumTone, 8, 4}, {recipe.DarkTone, 2, 6}}, b.Rows)
	require.Equal(t, 20, b.Total)
	// The darkest mediums go first, and lie near enough to the darks to stand in.
	require.Equal(t, []Swap{{Print: 2, Pieces: 4, From: recipe.MediumTone, To: recipe.DarkTone, StandIn: true}}, b.Swaps)
}

func TestWeighLeavesWhatAnyPatchTakes(t *testing.T) {
	pull := []Print{pieces(t, "N 8/", 6)}
	require.Empty(t, Weigh(pull, Wanted{Light: 2, Dark: 4, Any: 4}).Swaps)
	require.Equal(t, []Swap{{Print: 0, Pieces: 1, From: recipe.LightTone, To: recipe.DarkTone}}, Weigh(pull, Wanted{Light: 2, Dark: 4, Any: 3}).Swaps)
	require.Len(t, Weigh(nil, Wanted{Light: 3}).Rows, 3)
}

// drawnPull draws greys in some pieces each, and what is wanted of them.
func drawnPull(t *rapid.T) (pull []Print, w Wanted) {
	for range rapid.IntRange(0, 6).Draw(t, "prints") {
		p := grey(rapid.Float64Range(5, 95).Draw(t, "L"))
		p.Pieces = rapid.IntRange(1, 8).Draw(t, "pieces")
		pull = append(pull, p)
	}
	n := rapid.IntRange(0, 12)
	w = Wanted{n.Draw(t, "light"), n.Draw(t, "medium"), n.Draw(t, "dark"), n.Draw(t, "any")}
	return pull, w
}

func TestSwapsBringThePullTowardsWhatIsWanted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pull, w := drawnPull(t)
		b := Weigh(pull, w)
		held := map[recipe.Tone]int{}
		for _, r := range b.Rows {
			held[r.Tone] = r.Held
		}
		taken := make([]int, len(pull))
		for _, s := range b.Swaps {
			require.Positive(t, s.Pieces)
			held[s.From] -= s.Pieces
			held[s.To] += s.Pieces
			taken[s.Print] += s.Pieces
			require.Equal(t, s.From, toneOf(pull[s.Print]))
			require.LessOrEqual(t, taken[s.Print], pull[s.Print].Pieces)
		}
		for _, r := range b.Rows {
			if r.Held > r.Wanted {
				require.GreaterOrEqual(t, held[r.Tone], r.Wanted, "too many taken from %s", r.Tone)
			} else {
				require.LessOrEqual(t, held[r.Tone], r.Wanted, "too many given to %s", r.Tone)
			}
		}
	})
}
