package recipe

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNoRowIsLostToALayout(t *testing.T) {
	text := "name = \"x\"\n[[row]]\nblocks = [\"pinwheel\"]\n[[row]]\nblocks = [\"four-patch\"]\n[[row]]\nblocks = [\"pinwheel\"]\n[setting]\nlayout = [4, %d]\n"
	_, err := Read("mine", fmt.Appendf(nil, text, 2))
	require.ErrorContains(t, err, "its layout has 2 rows, and 3 rows are written")
	for _, rows := range []int{3, 4, 6} {
		_, err := Read("mine", fmt.Appendf(nil, text, rows))
		require.NoError(t, err)
	}
}
