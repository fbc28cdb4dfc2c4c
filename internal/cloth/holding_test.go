package cloth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWhereYouWouldLook(t *testing.T) {
	h := Holding{Family: Teal, Value: Medium}
	require.Equal(t, "teal medium", h.Alike())
	h.Bin = "sea greens"
	require.Equal(t, "sea greens", h.Alike())
}
