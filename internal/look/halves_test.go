package look

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// A square of a board that was cut in two was said as two pieces, both sure.
func TestHalvesOfOnePrintAreDoubted(t *testing.T) {
	board := func(left, right, beside float64, print string) []cloth.Piece {
		var out []cloth.Piece
		add := func(x, w float64, print string) {
			g := geom.Polygon{{X: x, Y: 0}, {X: x + w, Y: 0}, {X: x + w, Y: 100}, {X: x, Y: 100}}
			out = append(out, cloth.Piece{ID: len(out) + 1, Polygon: g, Corners: g, Print: print, Trust: 0.95})
		}
		for i := range 6 {
			add(float64(i)*110, 100, "a")
		}
		add(660, left, "b")
		add(660+left+beside, right, print)
		return out
	}
	doubted := func(p []cloth.Piece, kind cloth.Kind) (n int) {
		doubtHalves(p, kind)
		for _, q := range p {
			if q.Trust < 0.95 {
				require.NotEmpty(t, q.Notes)
				n++
			}
		}
		return n
	}
	halves := board(52, 45, 2, "b")
	require.Equal(t, 2, doubted(halves, cloth.Board))
	require.Equal(t, []string{"may be one piece with 8: they are of one print, and together as large as the others"}, halves[6].Notes)
	require.Equal(t, halvesTrust, halves[7].Trust)
	require.Zero(t, doubted(board(52, 45, 2, "c"), cloth.Board), "of two prints")
	require.Zero(t, doubted(board(52, 45, 40, "b"), cloth.Board), "apart")
	require.Zero(t, doubted(board(100, 100, 5, "b"), cloth.Board), "two squares")
	require.Zero(t, doubted(board(57, 57, 12, "b"), cloth.Board), "larger together than the others are")
	require.Zero(t, doubted(board(52, 45, 2, "b"), cloth.Pile))
	strips := board(52, 45, 2, "b")[6:]
	require.Zero(t, doubted(append(strips, strips...), cloth.Board), "none is twice as large")
}
