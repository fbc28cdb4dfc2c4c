package recipe

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every patch that a quilt's cuts give has its piece, and no other: counted by size
// and role they are the cuts that the arithmetic of TopCuts, which is held to
// published tables, asks for.
func TestPiecesAreTheCuts(t *testing.T) {
	all := quilts(t)
	text, err := os.ReadFile("example.toml") // flying geese four at a time
	require.NoError(t, err)
	all["example"], err = Read("example.toml", text)
	require.NoError(t, err)
	for name, r := range all {
		for _, size := range [][2]int{{1, 1}, {3, 4}, {4, 5}} {
			requirePiecesAreTheCuts(t, name, r, size)
		}
	}
}

// requirePiecesAreTheCuts checks that the pieces of a top are its cuts, that each patch
// has one and fits what it is cut to.
func requirePiecesAreTheCuts(t require.TestingT, name string, r *Recipe, size [2]int) {
	c := Method{System: Inches(), WOFIn: 40, OneByOne: true}
	want, got := map[string]int{}, map[string]int{}
	for _, cut := range r.TopCuts(size[0], size[1], c) {
		if cut.LengthIn > 0 {
			want[fmt.Sprintf("%s %.3f × %.3f", cut.Role.Name, cut.WidthIn, cut.LengthIn)] += cut.Count
		}
	}
	l := r.QuiltLayout(size[0], size[1])
	seen := make([]bool, len(l.Patches))
	for _, p := range r.Pieces(l, c) {
		if !l.ofScraps(r, p.Patches[0]) {
			got[fmt.Sprintf("%s %.3f × %.3f", p.Role.Name, p.WidthIn, p.LengthIn)]++
		}
		assert.NotEmpty(t, p.Patches)
		area := 0.0
		for _, i := range p.Patches {
			assert.False(t, seen[i], "%s: patch %d has two pieces", name, i)
			seen[i] = true
			assert.Equal(t, l.Patches[i].Role, p.Role, name)
			area += l.Patches[i].Polygon.Area()
		}
		assert.Less(t, area, p.WidthIn*p.LengthIn, "%s: patches %v are larger than what they are cut from", name, p.Patches)
	}
	for i, p := range l.Patches {
		if p.Kind != InBorder && p.Kind != InSashing && p.Kind != Spacer {
			assert.True(t, seen[i], "%s: patch %d has no piece", name, i)
		}
	}
	assert.Equal(t, want, got, "%s, %v", name, size)
}

// ofScraps reports whether a patch is a string or a crumb.
func (l Top) ofScraps(r *Recipe, i int) bool {
	p := l.Patches[i]
	return p.Of >= 0 && r.Blocks[p.Of].Units[p.Unit].ofScraps()
}

// What is made several at a time lies far apart: half the quilt between two.
func TestSetsAreSpread(t *testing.T) {
	at := []int{0, 1, 2, 3, 4, 5, 6, 7, 8}
	require.Equal(t, [][]int{{0, 5}, {1, 6}, {2, 7}, {3, 8}, {4}}, sets(at, 2))
	require.Len(t, sets(at, 8), 2)
	require.Empty(t, sets([]int(nil), 2))
}
