package desk

import (
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// What a photo showed comes with the answer: its pieces, and how much was left out of it.
func TestWhatWasStowedIsTold(t *testing.T) {
	d := newDesk(t, t.TempDir())
	s := sheetOf(tinted(1, 0, cloth.Red, cloth.Dark, redCloth), tinted(2, 1, cloth.Blue, cloth.Dark, blueCloth))
	s.Left, s.Notes = []cloth.LeftOut{{Trust: 0.1}, {Trust: 0.2}, {Trust: 0.3}}, []string{"dark"}
	in, err := d.StowLooked(ctx, fileOf(t, "a.jpg", []byte("a")), Looked{Sheet: s}, StowRequest{})
	require.NoError(t, err)
	require.Equal(t, s.Pieces, in.Found)
	require.Equal(t, 3, in.LeftOut)
	require.Equal(t, []string{"dark"}, in.Notes)
	require.False(t, in.Kept)
}

// A layout with too little cloth is read again with the same places empty.
func TestEmptyPlacesStayEmpty(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for i, f := range []cloth.Family{cloth.Blue, cloth.Red} {
		h := squares(2, f, cloth.Dark)
		h.Print = []string{"a", "b"}[i]
		add(t, d, h)
	}
	a, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 3, 3, "small"))
	require.NoError(t, err)
	require.Equal(t, 5, a.Empty)
	again, err := d.Quilt(ctx, "small")
	require.NoError(t, err)
	require.Equal(t, 5, again.Empty)
	require.Equal(t, a.Laid[0].Cloth, again.Laid[0].Cloth)
	for i := range again.Problem.Places {
		require.Equal(t, a.Laid[0].At[i] < 0, again.Laid[0].At[i] < 0)
	}
}

// Colours have no cloth to be cut from: they count as they are, and so does what comes after them.
func TestPrintsServeAQuilt(t *testing.T) {
	r, err := recipe.BuiltIn("four-patch")
	require.NoError(t, err)
	needs, err := ContrastRequest{Recipe: r, Blocks: 4}.needs()
	require.NoError(t, err)
	pull := serving([]contrast.Print{{Name: "red", Pieces: 3}, {Name: "navy", Pieces: 9, Cloth: []contrast.Cloth{{WidthIn: 10, LengthIn: 10, Count: 2}, {WidthIn: 8, LengthIn: 8, Count: 1}}}}, needs)
	require.Equal(t, []int{3, 2*needs.Gives(10, 10) + needs.Gives(8, 8)}, []int{pull[0].Pieces, pull[1].Pieces})

	// A photo may be the background, by its largest piece.
	d := New("", Options{})
	photo := picture(t, "ground.png", png.BestSpeed, red, red, red)
	sheets, err := d.lookAtPrints(ctx, []string{photo})
	require.NoError(t, err)
	piece, errOf := pieceOf(sheets, Sample{Name: photo, Photo: photo})
	got, err := d.background(ctx, Sample{Name: photo, Photo: photo}, stockPrints{})
	require.Equal(t, errOf == nil, err == nil)
	if err == nil {
		require.Equal(t, contrast.Print{Name: "ground.png", Colour: piece.Mean, Reads: piece.ReadsAs, Inks: piece.Colours, Family: piece.Family, Value: piece.Value, Pieces: 1}, got)
	}
	got, err = d.background(ctx, Sample{Name: "mine", Colour: &colour.Linear{0.1, 0.2, 0.3}}, stockPrints{})
	require.NoError(t, err)
	require.Equal(t, contrast.Print{Name: "mine", Colour: colour.Linear{0.1, 0.2, 0.3}, Reads: colour.Linear{0.1, 0.2, 0.3}, Pieces: 1}, got)
}

// Narrow cuts have filters too, and what is thin of them is told.
func TestNarrowCutsAreFiltered(t *testing.T) {
	d := newDesk(t, t.TempDir())
	h := squares(1, cloth.Blue, cloth.Dark)
	h.WidthIn, h.LengthIn = 0.75, 0.75
	add(t, d, h)
	add(t, d, squares(1, cloth.Blue, cloth.Dark))
	for _, cut := range []float64{0.75, 2.5} {
		v, err := d.Shelf(ctx, ShelfRequest{Which: stash.Filter{Cut: cut}})
		require.NoError(t, err)
		require.Len(t, v.Holdings, 1)
		for _, s := range v.Stock.Short {
			require.Equal(t, cut, s.Width)
		}
	}
}

// Places and boxes of a photo: every number of numbers, and numbers that are none.
func TestPlacesOfAPhotoAreRead(t *testing.T) {
	at, err := ReadPlace("12,34.5")
	require.NoError(t, err)
	require.Equal(t, geom.Point{X: 12, Y: 34.5}, *at)
	for _, text := range []string{"", "1", "1,2,3", "1,x"} {
		_, err := ReadPlace(text)
		saying(t, err, "this is not a place", "write it in pixels from the left and from the top: X,Y")
	}
	box, err := ReadWindow("1,2,1,1")
	require.NoError(t, err)
	require.Equal(t, look.Window{X: 1, Y: 2, W: 1, H: 1}, *box)
	for _, text := range []string{"", "1,2,3", "1,2,3,4,5", "1,2,0,4", "1,2,3,0.5"} {
		_, err := ReadWindow(text)
		saying(t, err, "this is not a box", "write its left, top, width and height in pixels: X,Y,WIDTH,HEIGHT")
	}
}
