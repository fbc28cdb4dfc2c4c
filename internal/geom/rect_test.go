package geom

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRect(t *testing.T) {
	r := Rect{X: 1, Y: 2, W: 6, H: 4}
	require.Equal(t, [4]Point{{1, 2}, {7, 2}, {7, 6}, {1, 6}}, r.Corners())
	require.Equal(t, Rect{X: 1.5, Y: 2.5, W: 5, H: 3}, r.Inset(0.5))
}
