package report

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

func TestWheelHoldsEveryColourOnce(t *testing.T) {
	l := someLook()
	w := wheelOf(l)
	off := 0
	for _, o := range w.Off {
		require.Len(t, o.Tiles, o.Count)
		off += o.Count
	}
	require.Equal(t, len(l.Shelf.Items)-len(l.Shelf.Unnamed), len(w.Blades)+off)
	require.Equal(t, "Hue wheel, pieces by colour: red none, orange none, yellow none, green 1, teal none, blue 3, purple none, pink 1", w.Alt)
}

// A patch lies in the direction in which its family is named.
func TestWheelPatchesPointToTheirNames(t *testing.T) {
	for _, f := range ringFamilies {
		h := f.hue * math.Pi / 180
		c := colour.OKLab{L: 0.6, A: 0.1 * math.Cos(h), B: 0.1 * math.Sin(h)}.Linear()
		p := measured(1, box(50, 50, 40, 40, 0), f.family, c)
		w := wheelOf(NewLook([]cloth.Sheet{{Pieces: []cloth.Piece{p}}}, nil, shelf.Options{}))
		require.Len(t, w.Blades, 1)
		x, y := wheelPoint(1, turnOf(f.hue))
		label := geom.Point{X: x - wheelSide/2, Y: y - wheelSide/2}
		var a geom.Point
		_, err := fmt.Sscanf(w.Blades[0].Path, "M%f %f", &a.X, &a.Y)
		require.NoError(t, err)
		a = a.Sub(geom.Point{X: wheelSide / 2, Y: wheelSide / 2})
		require.Greater(t, a.Dot(label)/a.Len(), math.Cos(2*math.Pi/wedges), "%s: within one wedge", f.family)
	}
}

// However many pieces share a hue, they stay inside the ring.
func TestWheelNeverOverflows(t *testing.T) {
	var s cloth.Sheet
	for i := range 300 {
		s.Pieces = append(s.Pieces, measured(i+1, box(50, 50, 40, 40, 0), cloth.Red, hex(200, 30, 40)))
	}
	for _, b := range wheelOf(NewLook([]cloth.Sheet{s}, nil, shelf.Options{})).Blades {
		var a geom.Point
		_, err := fmt.Sscanf(b.Path, "M%f %f", &a.X, &a.Y)
		require.NoError(t, err)
		require.LessOrEqual(t, a.Dist(geom.Point{X: wheelSide / 2, Y: wheelSide / 2}), wheelRim+0.1)
	}
}

// A gingham's mean is pale and greyish; it is drawn in what it reads as, in the wedge
// of that.
func TestWheelDrawsWhatAPieceReadsAs(t *testing.T) {
	teal, mean := hex(31, 122, 122), hex(190, 180, 190)
	p := measured(1, box(50, 50, 40, 40, 0), cloth.Teal, mean)
	p.ReadsAs, p.With, p.ValueOr = teal, cloth.White, cloth.Light
	w := wheelOf(NewLook([]cloth.Sheet{{Pieces: []cloth.Piece{p}}}, nil, shelf.Options{}))
	require.Len(t, w.Blades, 1)
	require.Equal(t, teal.Hex(), w.Blades[0].Fill)
	require.Equal(t, "piece 1: teal with white, medium-light or light", w.Blades[0].Title)
	p.ReadsAs = mean
	other := wheelOf(NewLook([]cloth.Sheet{{Pieces: []cloth.Piece{p}}}, nil, shelf.Options{}))
	require.NotEqual(t, w.Blades[0].Path, other.Blades[0].Path)
}
