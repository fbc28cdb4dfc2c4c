package recipe

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// A print with an up came out on its head in turned blocks and triangles, and
// nothing said so.
func TestWhatTurnsAPrint(t *testing.T) {
	turned := func(r *Recipe, columns, rows int, oneByOne bool) []string {
		var out []string
		for _, x := range r.Turned(columns, rows, oneByOne) {
			out = append(out, fmt.Sprintf("%s: %d in %s", x.Role.Name, x.Patches, x.What))
		}
		return out
	}
	// Three strips a block, every second block turned by a quarter: four of eight.
	fence := builtIn(t, "rail-fence")
	require.Equal(t, []string{"light: 4 in strip sets", "medium: 4 in strip sets", "dark: 4 in strip sets"}, turned(fence, 2, 4, false))
	require.Equal(t, []string{"light: 4 in turned blocks", "medium: 4 in turned blocks", "dark: 4 in turned blocks"}, turned(fence, 2, 4, true))
	// Four half-square triangles a block, whichever way they lie.
	require.Equal(t, []string{"background: 24 in half-square triangles", "dark: 24 in half-square triangles"}, turned(builtIn(t, "pinwheel"), 2, 3, false))
	// Squares that lie as they are cut are turned by nothing.
	require.Empty(t, turned(builtIn(t, "nine-patch"), 3, 3, true))
	// Two side triangles on each side and four corners; of a border its two sides.
	r, err := Read("mine", []byte(`name = "x"
width = 6
grid = [2, 1]
[[patch]]
at = [[1, 1], [1, 2, 180]]
role = "dark"
[[border]]
width = 2
role = "medium"`))
	require.NoError(t, err)
	require.Equal(t, []string{"medium: 2 in side borders"}, turned(r, 3, 3, true), "a plain patch is laid as it should lie")
	// Round 12 × 13 blocks of 3 need a spacer at top and bottom alone: 13 ÷ 3 is no whole number.
	r, err = Read("mine", []byte(`name = "x"
width = 12
grid = [12, 13]
[[patch]]
at = [[1, 1]]
wide = 12
high = 13
[[border]]
width = 3
block = "pinwheel"
spacer = "red"`))
	require.NoError(t, err)
	for _, x := range r.Turned(1, 1, true) {
		require.NotEqual(t, "red", x.Role.Name, "%s: no strip of the spacer lies at a side", x.What)
	}
	r, err = Read("mine", []byte(`name = "x"
width = 6
grid = [2, 2]
[[patch]]
at = [[1, 1], [2, 2, 90]]
make = "hourglass"
roles = ["dark", "light"]
[[patch]]
at = [[1, 2]]
make = "flip-corners"
roles = ["medium", "dark"]
corners = ["top-left", "bottom-right"]
corner = 1
[[patch]]
at = [[2, 1]]
role = "medium"
[setting]
kind = "on-point"
turns = [[0, 180]]
fill = "light"`))
	require.NoError(t, err)
	// Two by three blocks on point, and two between; the three of the second column
	// are turned, each with two patches that have corners flipped over them.
	require.Equal(t, []string{
		"dark: 32 in quarter-square triangles", "dark: 16 in flipped corners",
		"light: 32 in quarter-square triangles", "light: 10 in setting triangles",
		"medium: 6 in turned blocks",
	}, turned(r, 2, 3, true))
	r = builtIn(t, "nine-patch")
	r.Setting = Setting{Kind: OnPoint, Fill: Role{Name: "background", Background: true}}
	r.Sashing = Sashing{WidthIn: 1, Role: Role{Name: "sashing"}, Cornerstones: true, Cornerstone: Role{Name: "stones"}}
	require.Equal(t, []string{"background: 10 in setting triangles", "stones: 10 in half cornerstones"}, turned(r, 2, 3, true))
}
