package recipe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A block whose patches nobody can sew is refused, as it is written and as it is resized; one
// at the least width is not, and a block of strings is measured by no patch.
func TestTooSmallToSew(t *testing.T) {
	four := func(width string) error {
		_, err := Read("mine.toml", []byte("name = \"x\"\nwidth = "+width+"\ngrid = [2, 2]\n[[patch]]\nat=[[1,1],[1,2],[2,1],[2,2]]"))
		return err
	}
	require.EqualError(t, four("0.3"), "mine.toml: patches finish at 0.15 inches: too small to sew")
	require.NoError(t, four("0.5"))
	_, err := builtIn(t, "nine-patch").Resize(0.1)
	require.EqualError(t, err, "nine-patch: patches finish at 0.033 inches: too small to sew")
	small, err := builtIn(t, "nine-patch").Resize(0.75)
	require.NoError(t, err)
	require.InDelta(t, 0.25, small.NarrowestIn(), 1e-9)
	require.InDelta(t, 3, builtIn(t, "pinwheel").NarrowestIn(), 1e-9)
	require.Equal(t, math.Inf(1), builtIn(t, "strings").NarrowestIn())
	for _, name := range Names() {
		require.GreaterOrEqual(t, builtIn(t, name).NarrowestIn(), 0.5, name)
	}
}
