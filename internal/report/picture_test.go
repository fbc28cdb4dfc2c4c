package report

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
	"piecebag/internal/testtable"
)

func pictureOf(t *testing.T, l Looked, p Pictures) (image.Image, []byte) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Picture(&b, l, p))
	m, err := png.Decode(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	return m, b.Bytes()
}

// goldenPicture holds a picture against a file, which -update writes. It may differ by
// rounding where a processor fuses multiply and add: at most 2 of 255 in any pixel of any
// channel.
func goldenPicture(t *testing.T, name string, got image.Image) {
	t.Helper()
	file := filepath.Join(goldenFolder, name)
	if *testtable.Update {
		var b bytes.Buffer
		require.NoError(t, png.Encode(&b, got))
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	}
	f, err := os.Open(file)
	require.NoError(t, err, "run the test with -update once")
	defer f.Close()
	want, err := png.Decode(f)
	require.NoError(t, err)
	require.Equal(t, want.Bounds(), got.Bounds())
	worst := 0
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			a, b := color.RGBAModel.Convert(got.At(x, y)).(color.RGBA), color.RGBAModel.Convert(want.At(x, y)).(color.RGBA)
			worst = max(worst, abs(int(a.R)-int(b.R)), abs(int(a.G)-int(b.G)), abs(int(a.B)-int(b.B)))
		}
	}
	require.LessOrEqual(t, worst, 2)
}

func TestPictureGolden(t *testing.T) {
	l := someLook()
	got, _ := pictureOf(t, l, paint(l.Sheets))
	goldenPicture(t, "contact.png", got)
}

func abs(x int) int { return max(x, -x) }

// Every piece lies in its place in sorted order, in its own colour.
func TestPictureIsInShelfOrder(t *testing.T) {
	l := someLook()
	m, _ := pictureOf(t, l, paint(l.Sheets))
	c := newContact(l)
	require.Len(t, c.places, len(l.Shelf.Items))
	for i, k := range shelf.Sorted(l.Shelf.Items) {
		p := l.Shelf.Items[k].Piece
		require.Equal(t, l.label(l.Shelf.Items[k]), c.places[i].label)
		if len(p.Corners) != 4 {
			continue // a triangle's middle may be paper
		}
		_, w, h, _ := frame(p)
		at := c.places[i].at.Add(geom.Point{X: c.side / 2, Y: c.side - max(3, c.side*h/max(w, h)/2)})
		want := p.Mean.Bytes()
		got := color.RGBAModel.Convert(m.At(int(at.X), int(at.Y))).(color.RGBA)
		require.InDelta(t, want[0], got.R, 2, "piece %s", l.label(l.Shelf.Items[k]))
		require.InDelta(t, want[1], got.G, 2)
		require.InDelta(t, want[2], got.B, 2)
	}
}

func TestPictureOfNoPieces(t *testing.T) {
	bare, _ := pictureOf(t, bareLook(), paint(bareLook().Sheets))
	require.Greater(t, inked(bare), 500, "it says so in words")
	none, _ := pictureOf(t, NewLook(nil, nil, shelf.Options{}), nil)
	require.Greater(t, inked(none), 300)
}

func inked(m image.Image) int {
	n := 0
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			if r, _, _, _ := m.At(x, y).RGBA(); r>>8 < 0x80 {
				n++
			}
		}
	}
	return n
}

func TestPictureWithoutPhotosShowsColours(t *testing.T) {
	l := someLook()
	m, _ := pictureOf(t, l, nil)
	c := newContact(l)
	at := c.places[0].at.Add(geom.Point{X: c.side / 4, Y: 3 * c.side / 4})
	want := c.places[0].ReadsAs.Bytes()
	require.Equal(t, color.RGBA{want[0], want[1], want[2], 255}, color.RGBAModel.Convert(m.At(int(at.X), int(at.Y))))
	l.Sheets = l.Sheets[:1]
	m, _ = pictureOf(t, NewLook(l.Sheets, nil, shelf.Options{}), nil)
	goldenPicture(t, "contact-colours.png", m)
}

// the letters that some fonts lack: a picture must not show boxes for 2½
func TestFontsHoldTheFractions(t *testing.T) {
	for _, ttf := range [][]byte{goregular.TTF, gobold.TTF} {
		f, err := opentype.Parse(ttf)
		require.NoError(t, err)
		var b sfnt.Buffer
		for _, r := range "½¼¾⅛⅜⅝⅞×–…□" {
			g, err := f.GlyphIndex(&b, r)
			require.NoError(t, err)
			require.NotZero(t, g, "%c", r)
		}
	}
}

// Words never run into the next tile, however many pieces there are.
func TestPictureWordsFitTheirTiles(t *testing.T) {
	for _, n := range []int{1, 60, 61, 200, 201, 5000} {
		side := tileSide(n)
		for _, v := range cloth.Values {
			require.LessOrEqual(t, usualType.wide(string(v)), side)
		}
		for _, f := range cloth.Families {
			require.LessOrEqual(t, usualType.wide("AA999 "+string(f)), side)
		}
		long := usualType.fit("2½ × 11½ with a long tale to tell", side)
		require.LessOrEqual(t, usualType.wide(long), side)
		require.Contains(t, long, "…")
		require.Greater(t, usualType.wide(long), side-20, "no more than is needed")
		require.Equal(t, "short", usualType.fit("short", side))
	}
}

// A family that fills several shelves is said to go on on each but the first.
func TestPictureSaysWhatGoesOn(t *testing.T) {
	var s cloth.Sheet
	for i := range 25 {
		s.Pieces = append(s.Pieces, measured(i+1, box(50, 50, 40, 40, 0), cloth.Red, hex(200, 30, 30)))
	}
	c := newContact(NewLook([]cloth.Sheet{s}, nil, shelf.Options{}))
	names := mapped(c.runs(c.places), func(r run) string { return r.name })
	require.Greater(t, len(names), 2)
	require.Equal(t, "red", names[0])
	for _, n := range names[1:] {
		require.Equal(t, "red, more", n)
	}
}

// What was left out lies on a shelf of its own, the last, in dashed frames; what has no
// room there is counted.
func TestPictureShowsWhatWasLeftOut(t *testing.T) {
	l := someLook()
	c := newContact(l)
	require.Len(t, c.left, 2)
	for _, p := range c.places {
		require.Greater(t, c.left[0].at.Y, p.at.Y+c.side)
	}
	require.Regexp(t, `^[A-Z] at \d`, c.left[0].lines[0], "of several photos, which one")
	one := slices.DeleteFunc(slices.Clone(l.Sheets), func(s cloth.Sheet) bool { return s.Left == nil })[:1]
	require.Regexp(t, `^at \d`, newContact(NewLook(one, nil, shelf.Options{})).left[0].lines[0], "of one photo, none")
	m, _ := pictureOf(t, l, paint(l.Sheets))
	require.Equal(t, threadInk, color.RGBAModel.Convert(m.At(int(c.left[1].at.X)+3, int(c.left[1].at.Y)+1)))
	for range 40 {
		l.Sheets[0].Left = append(l.Sheets[0].Left, l.Sheets[0].Left[0])
	}
	c = newContact(l)
	require.Len(t, c.left, c.columns)
	require.LessOrEqual(t, c.left[c.columns-1].at.X+c.side, c.W-contactMargin)
}
