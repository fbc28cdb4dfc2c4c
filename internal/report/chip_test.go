package report

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/shelf"
)

// A crop shows nothing but cloth, also of a piece that is no rectangle; no photo is
// asked for that has no outline.
func TestCropsAreOfClothAlone(t *testing.T) {
	asked := 0
	crops, err := CropsOf([]desk.PhotoPieces{
		{Pieces: []desk.OutlinedPiece{{Holding: cloth.Holding{ID: 1}}}},
		{Pieces: []desk.OutlinedPiece{{Holding: cloth.Holding{ID: 2}, Outline: geom.Polygon{{X: 50, Y: 50}, {X: 250, Y: 50}, {X: 50, Y: 250}}}}},
	}, func(i int) (image.Image, error) {
		asked++
		require.Equal(t, 1, i)
		m := image.NewRGBA(image.Rect(0, 0, 300, 300))
		draw.Draw(m, m.Rect, image.NewUniform(color.RGBA{255, 255, 255, 255}), image.Point{}, draw.Src)
		for y := 50; y < 250; y++ {
			draw.Draw(m, image.Rect(50, y, 300-y, y+1), image.NewUniform(color.RGBA{20, 40, 120, 255}), image.Point{}, draw.Src)
		}
		return m, nil
	}, ChipSide)
	require.NoError(t, err)
	require.Equal(t, 1, asked)
	require.Len(t, crops, 1)
	m, err := jpeg.Decode(bytes.NewReader(crops[2].JPEG))
	require.NoError(t, err)
	require.Greater(t, m.Bounds().Dx(), 60)
	grey, err := jpeg.Decode(bytes.NewReader(crops[2].Grey))
	require.NoError(t, err)
	require.IsType(t, &image.Gray{}, grey)
	dark := hex(20, 40, 120).Lab().L
	v := grey.(*image.Gray).GrayAt(30, 30).Y
	require.InDelta(t, dark, hex(v, v, v).Lab().L, 2, "as light as it is")
	b := m.Bounds()
	for _, at := range []image.Point{{4, 4}, {b.Dx() - 5, 4}, {4, b.Dy() - 5}, {b.Dx() - 5, b.Dy() - 5}} {
		r, _, blue, _ := m.At(at.X, at.Y).RGBA()
		require.Less(t, r>>8, uint32(60), "%v is cloth", at)
		require.Greater(t, blue>>8, uint32(90), "%v is cloth", at)
	}
}

// Chips were flat colour. One of a piece whose photo is kept shows it, on the page and
// on paper; else a print shows its inks; what may be of any colour shows none.
func TestChipsShowCloth(t *testing.T) {
	s := someStash()
	for i := range s.Holdings {
		s.Holdings[i].ID = int64(i + 1)
	}
	plain, paper := stashHTML(t, s), &bytes.Buffer{}
	require.NoError(t, s.Document().PDF(paper, "a4"))
	require.NotContains(t, plain, "data:image/jpeg")
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, image.NewGray(image.Rect(0, 0, 8, 8)), nil))
	s.Crops = Crops{1: {W: 8, H: 8, JPEG: file.Bytes()}}
	page, printed := stashHTML(t, s), &bytes.Buffer{}
	require.Equal(t, 1, strings.Count(page, "data:image/jpeg"), "embedded once")
	require.Contains(t, page, `<use href="#c0"`)
	require.NoError(t, s.Document().PDF(printed, "a4"))
	require.Equal(t, bytes.Count(paper.Bytes(), []byte("/Subtype /Image"))+1, bytes.Count(printed.Bytes(), []byte("/Subtype /Image")))

	two := chip{Reads: hex(9, 9, 9), Some: true, Inks: []cloth.Ink{{Colour: hex(255, 0, 0), Share: 0.6}, {Colour: hex(0, 0, 255), Share: 0.2}}}
	d := Document{sections: []section{{Heading: "x", Tables: []table{{Columns: columns("a", "b"), Rows: [][]cell{{{Chip: two}, {Chip: anyChip()}}}}},
		Drawings: []drawing{{W: 1, H: 1, Title: "t", Shapes: []shape{two.fill(rect(0, 0, 1, 1))}}}}}}
	out := unstyled(t, d)
	require.Contains(t, out, `<rect y="0" width="100" height="75" fill="#ff0000"/><rect y="75" width="100" height="25" fill="#0000ff"/>`)
	require.Contains(t, out, `fill="url(#pc0)"`)
	require.Contains(t, out, `<path class="any"`)
}

// The quilt in grey showed prints as stripes of their inks, and sizes stood on prints
// unread. A crop is shown in grey, and a label on it has a dark edge.
func TestGreyDrawingsShowTheCloth(t *testing.T) {
	c := chip{Reads: hex(200, 30, 30), Some: true, Crop: &Crop{W: 8, H: 8, JPEG: []byte("colour"), Grey: []byte("grey")}}
	s := c.fill(rect(0, 0, 1, 1))
	s.Label, s.Size = "2½", 0.2
	d := drawing{W: 1, H: 1, Title: "t", Shapes: []shape{s}}
	require.Equal(t, []byte("grey"), d.grey().Shapes[0].Cloth.Crop.JPEG)
	require.Contains(t, unstyled(t, Document{sections: []section{{Drawings: []drawing{d}}}}), `fill="#ffffff" font-weight="700" stroke="#000000"`)
	plain := plainChip(hex(255, 255, 0)).fill(rect(0, 0, 1, 1))
	plain.Label, plain.Size = "2½", 0.2
	require.NotContains(t, unstyled(t, Document{sections: []section{{Drawings: []drawing{{W: 1, H: 1, Shapes: []shape{plain}}}}}}), `paint-order`)
}

// The lines of what is thin, bin by bin, are folded behind the sentence that says it of
// colours; on a terminal there are no more than a few.
func TestThinBinsAreFolded(t *testing.T) {
	s := Shelf{Shelf: desk.Shelf{Stock: shelf.Stock{}}}
	for i, f := range cloth.Families[:9] {
		s.Stock.Short = append(s.Stock.Short, shelf.Short{Alike: shelf.Alike{Family: f}, Cut: shelf.Square(2.5), Count: i, Want: 20, Reason: shelf.BelowFloor, Rule: "2½ square"})
	}
	page := stashHTML(t, s)
	require.Contains(t, page, "<summary>and 3 more</summary>")
	seen := page[:strings.Index(page, "<details>")]
	require.Contains(t, seen, "wants 20 more", "what wants most is seen first")
	require.Equal(t, mostThinLines, strings.Count(seen, "(floor 20 for 2½ square)"))
	text := stashText(t, s, 0)
	require.Contains(t, text, "and 3 lines more")
	require.Equal(t, mostNamed, strings.Count(text, "(floor 20 for 2½ square)"))
}

// The list was 42 lines. It begins with eight; the rest are behind them, and said
// shortly in text.
func TestAListBeginsWithEightLines(t *testing.T) {
	var b Buying
	for i := range 12 {
		b.Buying.Buy = append(b.Buying.Buy, plan.Purchase{Sought: plan.Sought{Bin: fmt.Sprintf("reds %d", i+1)}, Prints: 2, Buy: "⅛ yd", Pieces: 5})
	}
	text := textOfDocument(t, b.Document(), 0)
	require.Regexp(t, `(?m)^  8  reds 8`, text)
	require.NotRegexp(t, `(?m)^ +9  reds 9`, text)
	require.Contains(t, text, "And after that\n  reds 9 (2 prints: ⅛ yd); reds 10 (2 prints: ⅛ yd);")
	before, after, ok := strings.Cut(unstyled(t, b.Document()), "<details>")
	require.True(t, ok)
	require.Equal(t, 8, strings.Count(before, `data-head="of each"`))
	require.Equal(t, 4, strings.Count(after, `data-head="of each"`))
}

// Thin is said of a colour first, the thinnest first, and which of its values.
func TestThinIsSaidOfAFamilyFirst(t *testing.T) {
	square := func(n int, f cloth.Family, v cloth.Value) cloth.Holding {
		return cloth.Holding{Form: cloth.Square, Count: n, Family: f, Value: v, WidthIn: 2.5, LengthIn: 2.5}
	}
	all := []cloth.Holding{square(9, cloth.Blue, cloth.Dark), square(3, cloth.Red, cloth.Medium)}
	for _, v := range cloth.Values[:4] {
		all = append(all, square(1, cloth.Green, v))
	}
	s := Shelf{Shelf: desk.Shelf{Holdings: all, Stock: shelf.TakeStock(all, shelf.StockOptions{Bins: shelf.ByFamily, Floors: []shelf.Floor{{Cut: shelf.Square(2.5), Least: 9}}})}}
	require.Equal(t, []string{"Above all reds, first the darks; greens, first the darks."}, s.thinFamilies())
	require.Contains(t, stashText(t, s, 0), "\nThin\n  Above all reds,")
	require.NotContains(t, stashText(t, s, 0), "dark green, 2½ square: 0")
}
