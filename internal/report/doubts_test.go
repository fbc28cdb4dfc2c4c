package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

// The likeliest wrong come first, each with what of it is doubted; what has no answer
// is no doubt, nor is a name that is sure.
func TestDoubtedFirst(t *testing.T) {
	piece := func(id int, outline, family, value, size float64) cloth.Piece {
		p := measured(id, box(100, 100, 60, 60, 0), cloth.Teal, hex(31, 110, 130))
		p.Trust, p.FamilyTrust, p.ValueTrust, p.SizeTrust = outline, family, value, size
		return p
	}
	torn := piece(3, 0.9, 0.6, 0.55, 0.5)
	torn.FamilyOr, torn.ValueOr, torn.WidthIn, torn.LengthIn = cloth.Blue, cloth.Medium, 2.5, 2.5
	both := piece(4, 0.9, 0.6, 0.9, 0)
	both.FamilyOr, both.With = cloth.Blue, cloth.Blue // said anyway
	sheets := []cloth.Sheet{
		{Pieces: []cloth.Piece{piece(1, 0.69, 1, 1, 0), piece(2, 0.7, 0.3, 1, 0)}},
		{Pieces: []cloth.Piece{torn, both, piece(5, 0.55, 0.9, 0.9, 0), piece(6, 0.56, 0.3, 0.3, 0)}},
	}
	got := desk.DoubtedOf(sheets)
	var ids []int
	for _, d := range got {
		ids = append(ids, d.Piece.ID)
	}
	require.Equal(t, []int{3, 5, 6, 1}, ids, "by the trust that is shown first, not by what is not shown")
	require.Equal(t, []desk.Doubt{desk.SizeDoubt, desk.ValueDoubt, desk.FamilyDoubt}, got[0].Of)
	require.Equal(t, "2½ × 2½, 50%; "+string(torn.Value)+" or medium, 55%; teal or blue, 60%", Doubts(got[0]))
	require.Equal(t, 1, got[0].Photo)
	require.InDelta(t, 0.5, got[0].Trust, 1e-12)
	require.Equal(t, "outline 55%", Doubts(got[1]))
}

// A board of doubtful squares, and a floor of scraps left out, fill no more than a
// screen before the table.
func TestFirstIsNoMoreThanAScreen(t *testing.T) {
	s := cloth.Sheet{File: "a.jpg", Width: 800, Height: 600, Kind: cloth.Board}
	for i := range 40 {
		g := box(float64(60+i%8*80), float64(60+i/8*80), 70, 70, 0)
		p := measured(i+1, g, cloth.Red, hex(200, 30, 30))
		p.Trust = 0.5 + float64(40-i)/400
		s.Pieces = append(s.Pieces, p)
		s.Left = append(s.Left, cloth.LeftOut{Polygon: g, Trust: 0.4})
	}
	var b bytes.Buffer
	require.NoError(t, Text(&b, inTyped(NewLook([]cloth.Sheet{s}, nil, shelf.Options{})), TextOptions{Width: 80}))
	head, _, found := bytes.Cut(b.Bytes(), []byte("\nno. "))
	require.True(t, found)
	require.Less(t, bytes.Count(head, []byte("\n")), 25)
	require.Contains(t, string(head), "Look at these first\n  40     outline 50%\n  39     outline 51%\n")
	require.Contains(t, string(head), "\n         and 32 pieces more: --json lists them all\n  mend   an outline: ")
	require.NotContains(t, string(head), "a name:", "a remedy for what is no fault")
	require.Contains(t, string(bytes.Join(bytes.Fields(head), []byte(" "))), " and 32 more places;")
	require.Equal(t, MostFirst, bytes.Count(head, []byte(`{"point":[`)))
}
