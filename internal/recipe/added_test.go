package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWhatIsAddedIsReadAsItWasAsked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SampledFrom([]string{"pinwheel", `my "best"`, `back\slash`, "tab\tand\x07bell", "'''", "crête \U0001F9F5", "# no remark", ""})
		wide := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(1, 80).Draw(t, "eighths")) / 8 })
		asked := Added{Blocks: []AddedBlock{{words.Draw(t, "block")}}}
		if rapid.Bool().Draw(t, "sashed") {
			asked.Sashing = &AddedSashing{wide.Draw(t, "sashing"), words.Draw(t, "role"), rapid.Bool().Draw(t, "edge"), words.Draw(t, "stone")}
		}
		if rapid.Bool().Draw(t, "bordered") {
			asked.Borders = []AddedBorder{{wide.Draw(t, "border"), words.Draw(t, "role"), rapid.Bool().Draw(t, "mitred"), wide.Draw(t, "keys"), words.Draw(t, "of"), words.Draw(t, "corner")}}
		}
		own, err := Text("nine-patch")
		require.NoError(t, err)
		text, err := asked.With(own)
		require.NoError(t, err)
		got, err := decode(text)
		require.NoError(t, err)
		require.Equal(t, asked.Blocks[0].Recipe, got.Block[0].Recipe)
		if s := asked.Sashing; s != nil {
			require.Equal(t, sashingText{Width: s.WidthIn, Role: s.Role, Cornerstone: s.Cornerstone, Edge: s.Edge}, got.Sashing)
		}
		for i, b := range asked.Borders {
			require.Equal(t, borderText{Width: b.WidthIn, Role: b.Role, Mitred: b.Mitred, Corner: b.Corner, Block: b.Block, Keys: b.KeysIn}, got.Border[i])
		}
	})
}
