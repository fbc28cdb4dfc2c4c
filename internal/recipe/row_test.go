package recipe

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNoRowIsLostToALayout(t *testing.T) {
	text := "name = \"x\"\n[[row]]\nblocks = [\"pinwheel\"]\n[[row]]\nblocks = [\"four-patch\"]\n[[row]]\nblocks = [\"pinwheel\"]\n[setting]\nlayout = [4, %d]\n"
	r, err := Read("mine", fmt.Appendf(nil, text, 2))
	require.NoError(t, err, "one that was kept so is read")
	require.ErrorContains(t, r.LosesRows(), "its layout has 2 rows, and 3 rows are written")
	for _, rows := range []int{3, 4, 6} {
		r, err := Read("mine", fmt.Appendf(nil, text, rows))
		require.NoError(t, err)
		require.NoError(t, r.LosesRows())
	}
}
