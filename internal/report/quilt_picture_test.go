package report

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// laidOut is two by two squares of 4 inches: a photographed print, one of words, one of
// inks, and a place with nothing; the first two touch and should not.
func laidOut(t *testing.T) Arrangement {
	text, err := recipe.Text("plain-squares")
	require.NoError(t, err)
	r, err := recipe.Read("plain-squares", text)
	require.NoError(t, err)
	if r, err = r.Resize(4); err != nil {
		t.Fatal(err)
	}
	a := Arrangement{Crops: Crops{}}
	a.Quilt, a.System, a.GroundAt = "four", recipe.Inches(), -1
	a.Needs, err = plan.Need(plan.Order{Recipe: r, Columns: 2, Rows: 2}, plan.Defaults(recipe.Inches()))
	require.NoError(t, err)
	a.Top, a.Names = r.QuiltLayout(2, 2), []string{"A1", "A2", "B1", "B2"}
	red, blue := colour.Munsell{Hue: 5, Value: 4, Chroma: 10}.Linear(), colour.Munsell{Hue: 70, Value: 7, Chroma: 4}.Linear()
	a.Holdings = []cloth.Holding{
		{ID: 1, Family: cloth.Red, Value: cloth.MediumDark, Measured: true, Mean: red, ReadsAs: red, Print: "a"},
		{ID: 2, Family: cloth.Red, Value: cloth.Dark},
		{ID: 3, Family: cloth.Blue, Value: cloth.MediumLight, Measured: true, Mean: blue, ReadsAs: blue, Colours: []cloth.Ink{{Colour: blue, Share: 0.8}, {Colour: red, Share: 0.2}}},
	}
	for i := range 4 {
		a.Problem.Places = append(a.Problem.Places, arrange.Place{Patches: []int{i}, Kept: -1})
		a.Parts = append(a.Parts, []desk.Part{{Patches: []int{i}}})
	}
	for i, h := range a.Holdings {
		a.Problem.Pieces = append(a.Problem.Pieces, arrange.Piece{Holding: h.ID, Count: 1, Family: h.Family, Lightness: 30 + float64(10*i)})
	}
	a.Laid = []desk.Variant{{Cloth: []int{0, 1, 2, -1}, Layout: arrange.Layout{At: []int{0, 1, 2, -1}, Touches: []arrange.Touch{{A: 0, B: 1, Why: arrange.SameFamily}}}}}
	// A photo in yellow light, in which the print looks orange: stripes of two darks.
	m := image.NewRGBA(image.Rect(0, 0, 100, 100))
	for y := range 100 {
		for x := range 100 {
			m.SetRGBA(x, y, color.RGBA{uint8(150 + 60*(y/10%2)), uint8(60 + 20*(y/10%2)), 40, 255})
		}
	}
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, nil))
	a.Crops[1] = &Crop{W: 100, H: 100, PerInch: 25, JPEG: b.Bytes()}
	return a
}

// A quilt is drawn at true proportions, each print in its own cloth and its own
// measured colour, whatever the light of its photo; what is empty stays paper.
func TestQuiltPicture(t *testing.T) {
	a := laidOut(t)
	var b bytes.Buffer
	require.NoError(t, a.Picture(&b))
	m, err := png.Decode(&b)
	require.NoError(t, err)
	require.Equal(t, image.Pt(quiltSide, quiltSide+quiltSide/40+(quiltSide-quiltSide/40)/2), m.Bounds().Size(), "two more below it, half as large")
	perInch := quiltSide / (8 + 2*marginWide)
	mean := func(x0, y0, x1, y1 float64) colour.Lab { // of a part of the quilt, inches
		var sum colour.Linear
		n := 0.0
		for y := int((y0 + marginWide) * perInch); y < int((y1+marginWide)*perInch); y += 3 {
			for x := int((x0 + marginWide) * perInch); x < int((x1+marginWide)*perInch); x += 3 {
				r, g, bl, _ := m.At(x, y).RGBA()
				for i, v := range [3]uint32{r, g, bl} {
					sum[i] += float64(linearOf[v>>8])
				}
				n++
			}
		}
		for i := range sum {
			sum[i] /= n
		}
		return sum.Lab()
	}
	near := func(want colour.Linear, got colour.Lab, what string) {
		assert.Less(t, colour.DeltaE00(want.Lab(), got), 3.0, what)
	}
	near(a.Holdings[0].Mean, mean(0.3, 0.3, 2.3, 3.7), "the photographed print")
	words, _ := standIn(cloth.Red, cloth.Dark)
	near(words, mean(5.7, 0.3, 7.7, 3.7), "cloth of words alone")
	near(colour.Linear{float64(linearOf[quiltPaper.R]), float64(linearOf[quiltPaper.G]), float64(linearOf[quiltPaper.B])}, mean(4.3, 4.3, 7.7, 7.7), "nothing")
	inks := mean(0.3, 4.3, 3.7, 7.7)
	assert.Greater(t, colour.DeltaE00(a.Holdings[2].Mean.Lab(), inks), 3.0, "its second ink is seen")
	stripes := map[color.Color]bool{}
	for y := 0.3; y < 3.7; y += 0.05 {
		stripes[m.At(int((1+marginWide)*perInch), int((y+marginWide)*perInch))] = true
	}
	assert.Greater(t, len(stripes), 1, "the print is seen")
	r, g, _, _ := m.At(int((4+marginWide)*perInch), int((2+marginWide)*perInch)).RGBA()
	assert.Greater(t, r, 3*g, "the touch is marked in red")
}

// The picture of a quilt is kept, small: straight and on point, with cloth that you turned
// and a background of the stash, in grey and from afar.
func TestQuiltPictureGolden(t *testing.T) {
	a := laidOut(t)
	out := blank(4*130, 150, contactPaper)
	x := 0
	paste := func(m image.Image) {
		draw.Draw(out, m.Bounds().Add(image.Pt(x-m.Bounds().Min.X, -m.Bounds().Min.Y)), m, m.Bounds().Min, draw.Src)
		x += 130
	}
	straight := a.picture(a.Laid[0], 128)
	paste(straight)
	paste(a.seen(straight, InGrey))
	paste(a.seen(straight, FromAfar))
	onPoint := *a.Needs.Recipe
	onPoint.Setting.Kind = recipe.OnPoint
	a.Needs.Recipe, a.Top, a.Names = &onPoint, onPoint.QuiltLayout(1, 2), nil
	cloths := make([]int, len(a.Top.Patches))
	a.Problem.Places = a.Problem.Places[:1]
	for i := range cloths {
		a.Names = append(a.Names, "A"+string(rune('1'+i)))
		cloths[i] = []int{0, 0, 1, 2}[i%4]
		a.Top.Patches[i].Role.Background = i == 1
	}
	cloths[0], cloths[len(cloths)-1], a.GroundAt = 0, -1, 2
	a.Saved = &plan.Saved{Laid: &plan.Laid{Pieces: []plan.LaidPiece{{Patch: "A1", Turn: 1}}}}
	a.Crops[1].PerInch = 0
	l := desk.Variant{Cloth: cloths}
	paste(a.picture(l, 150))
	goldenPicture(t, "quilt.png", out)
	golden(t, "quilt.rows.html", []byte(unstyled(t, Document{sections: []section{a.labels(l)}})))

	// A dark of the quilt binds it; one of no cloth is bound in the background's colour.
	many := Arrangement{}
	for i := range 16 {
		many.Holdings = append(many.Holdings, cloth.Holding{Measured: true, ReadsAs: colour.Lab{L: 96 - 6*float64(i)}.Linear()})
		l.Cloth = append(l.Cloth[:i:i], i)
	}
	require.InDelta(t, 18, many.bindingColour(l).Lab().L, 1e-6, "the third darkest of sixteen")
	require.Equal(t, backgroundInk.Linear(), many.bindingColour(desk.Variant{Cloth: []int{-1}}))
}

// Crops are as large as half a foot of cloth in the picture, within what is worth keeping.
func TestCropsAreAsLargeAsThePicture(t *testing.T) {
	for side, want := range map[float64]int{40: 300, 100: ChipSide, 10: 3 * ChipSide} {
		require.Equal(t, want, Arrangement{Arrangement: desk.Arrangement{Top: recipe.Top{WidthIn: 8, HeightIn: side}}}.CropSide())
	}
}

// Cloth that ends within a patch goes on mirrored.
func TestMirrored(t *testing.T) {
	for v, want := range map[float64]int{0: 0, 9.5: 9, 10.5: 9, 19.5: 0, 20.5: 0, 25: 5, -0.5: 0, -10.5: 9} {
		assert.Equal(t, want, mirrored(v, 10), "%v", v)
	}
}

func BenchmarkQuiltPicture(b *testing.B) {
	a := laidOut(&testing.T{})
	r, _ := a.Needs.Recipe.Resize(2)
	a.Top = r.QuiltLayout(40, 50)
	a.Problem.Places, a.Laid[0].Cloth, a.Laid[0].Touches = nil, nil, nil
	for i := range a.Top.Patches {
		a.Problem.Places = append(a.Problem.Places, arrange.Place{Patches: []int{i}})
		a.Laid[0].Cloth = append(a.Laid[0].Cloth, i%3)
	}
	for b.Loop() {
		a.picture(a.Laid[0], quiltSide)
	}
}

// On a page the quilt is drawn in three views and row by row, with the name of each
// patch; in text the patches are listed. Touches are named, with what no layout can do without.
func TestQuiltDocument(t *testing.T) {
	a := laidOut(t)
	a.Laid[0].Least = arrange.Least{Touches: 1, Because: "2 of 3 patches are red: at most 1 can lie apart"}
	a.Empty = 1
	var text, page, paper bytes.Buffer
	require.NoError(t, a.Document().Text(&text, TextOptions{Width: 200}))
	require.Contains(t, text.String(), "1 touch, and no layout has fewer: 2 of 3 patches are red: at most 1 can lie apart.")
	require.Contains(t, text.String(), "The stash has no cloth for 1 patch: they are drawn hollow.")
	require.Contains(t, text.String(), "A1 touches A2: one hue family")
	require.Regexp(t, `(?m)^ +A2 +red dark +2$`, text.String())
	require.NotContains(t, text.String(), "B2 ")
	a.Drawn = true
	require.NoError(t, a.Document().HTML(&page))
	require.NoError(t, a.Document().PDF(&paper, "a4"))
	require.Equal(t, 3, bytes.Count(page.Bytes(), []byte(`<svg class="drawing"`))-2, "three views beside two rows")
	for _, want := range []string{"Row A", "Row B", "A1: red", ">1</text>", "the quilt from across the room"} {
		require.Contains(t, page.String(), want)
	}
}

// Cloth lies either way up, the background one way all over.
func TestBackgroundLiesOneWay(t *testing.T) {
	turned := 0
	for i := range 8 {
		require.Zero(t, partOf(i, recipe.Role{Background: true})%2)
		turned += int(partOf(i, recipe.Role{}) % 2)
	}
	require.Equal(t, 4, turned)
}

// As SVG the quilt is drawn in its cloth too, each patch with its name over it.
func TestQuiltSVG(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, laidOut(t).SVG(&b))
	require.Equal(t, 1, bytes.Count(b.Bytes(), []byte(`href="data:image/jpeg;base64,`)))
	require.Contains(t, b.String(), "<title>A1: red medium-dark, print a (piece 1)</title>")
	golden(t, "quilt.svg", []byte(withoutPictures(b.String())))
}

// A piece without a photo of its own is shown in the cloth of another.
func TestCropsAreLent(t *testing.T) {
	c := Crops{1: {W: 8}}
	c.Show(map[int64]int64{1: 1, 2: 1, 3: 4})
	require.Same(t, c[1], c[2])
	require.Len(t, c, 2)
}
