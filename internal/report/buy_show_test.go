package report

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

func someBuying(t *testing.T) Buying {
	gap := func(f cloth.Family, v cloth.Value, quilt string, n int) plan.Gap {
		return plan.Gap{Sought: plan.Sought{Family: f, Value: v}, Quilt: quilt, WidthIn: 2.5, LengthIn: 2.5, Pieces: n}
	}
	s, err := plan.Buy([]plan.Gap{
		gap(cloth.Teal, cloth.Medium, "", 10), gap(cloth.Red, cloth.Dark, "library quilt", 25),
		{Sought: plan.Sought{One: "background of library quilt"}, Quilt: "library quilt", ClothIn: 60},
		{Sought: plan.Sought{Tone: recipe.DarkTone}, Quilt: "stars", WidthIn: 5.25, LengthIn: 5.25, Pieces: 8},
	}, []plan.Held{{Name: "dark blue, 2½ square", Sought: plan.Sought{Family: cloth.Blue, Value: cloth.Dark}, Count: 60}, {Name: "light pink, 2½ square", Count: 8}, {Name: "light red, 2½ square", Count: 9}},
		plan.Habits{Shop: plan.Defaults(recipe.Inches())})
	require.NoError(t, err)
	return Buying{Buying: desk.Buying{Shopping: s, System: recipe.Inches()}, Why: true}
}

func TestBuyingGolden(t *testing.T) {
	b := someBuying(t)
	golden(t, "buy.txt", []byte(textOfDocument(t, b.Document(), 100)))
	golden(t, "buy.html", []byte(unstyled(t, b.Document())))
	var w bytes.Buffer
	require.NoError(t, b.JSON(&w))
	golden(t, "buy.json", w.Bytes())
	w.Reset()
	b.Why = false
	require.NoError(t, b.Document().PDF(&w, "a4"))
	keep(t, "buy.pdf", w.Bytes())
	require.Equal(t, 1, bytes.Count(w.Bytes(), []byte("/Type /Page\n")), "the card is one sheet")
	w.Reset()
	require.NoError(t, b.Document().HTML(&w))
	keep(t, "buy.html", w.Bytes())
}

// The chip is of the cloth that is most like the swatch, not of the first of the family:
// a bottle green once stood for sage. Where none is near it is the swatch itself.
func TestBuyIsShownByTheNearestCloth(t *testing.T) {
	p := plan.Purchase{Sought: plan.Sought{Family: cloth.Green}}
	p.Swatch, p.HasSwatch = plan.SwatchOf(p.Sought)
	require.True(t, p.HasSwatch)
	sought := p.Swatch.Linear().Lab()
	held := func(id int64, lighter float64) cloth.Holding {
		lab := sought
		lab.L += lighter
		return cloth.Holding{ID: id, Count: 1, Family: cloth.Green, Measured: true, ReadsAs: lab.Linear()}
	}
	far, near, nearest := held(1, -35), held(2, 6), held(3, 2)
	b := Buying{Crops: Crops{}}
	for id := range int64(4) {
		b.Crops[id] = &Crop{}
	}
	b.Holdings = []cloth.Holding{far, near, nearest, near}
	require.Same(t, b.Crops[3], b.chip(p).Crop)
	b.Holdings = []cloth.Holding{far}
	require.Nil(t, b.chip(p).Crop)
	require.Equal(t, p.Swatch.Linear(), b.chip(p).Reads)
	p.Sought, p.HasSwatch = plan.Sought{Family: cloth.Many}, false
	b.Holdings[0].Family = cloth.Many
	require.Same(t, b.Crops[1], b.chip(p).Crop, "many colours have no swatch")
}

// One colour for several quilts, bought in other amounts for each, was several lines; the list
// did not say why some of it has no swatch.
func TestBuySaysAColourOnce(t *testing.T) {
	dark := plan.Sought{Tone: recipe.DarkTone}
	gap := func(s plan.Sought, quilt string, side float64, n int) plan.Gap {
		return plan.Gap{Sought: s, Quilt: quilt, WidthIn: side, LengthIn: side, Pieces: n}
	}
	gaps := []plan.Gap{
		gap(dark, "porch", 2.5, 30), gap(dark, "stars", 6.5, 8), gap(plan.Sought{Value: cloth.Dark}, "", 2.5, 20),
		gap(plan.Sought{Family: cloth.Blue}, "porch", 2.5, 4), gap(plan.Sought{Family: cloth.Many}, "", 3.5, 2),
	}
	s, err := plan.Buy(gaps, nil, plan.Habits{Shop: plan.Defaults(recipe.Inches()), NoQuarters: true})
	require.NoError(t, err)
	b := Buying{Buying: desk.Buying{Shopping: s, System: recipe.Inches()}}
	lines := b.lines()
	require.Len(t, lines, 3, "of %d purchases", len(s.Buy))
	i := slices.IndexFunc(lines, func(l bought) bool { return l.Family == "" })
	prints, each := lines[i].amounts()
	want, pieces := 0, 0
	for _, p := range s.Buy {
		if p.Family == "" {
			want, pieces = want+p.Prints, pieces+p.Pieces
		}
	}
	require.Equal(t, want, prints)
	require.Equal(t, 58, pieces)
	require.Equal(t, "¼ yd of 2, ⅛ yd of 4", each)
	words := b.boughtFor(lines[i])
	for _, part := range []string{"30 pieces of 2½: porch", "8 pieces of 6½: stars", "20 pieces of 2½: 1 thin bin"} {
		require.Contains(t, words, part)
	}
	text := textOfDocument(t, b.Document(), 200)
	require.Equal(t, 1, strings.Count(text, "dark, any colour"))
	require.Contains(t, text, "3 things to buy")
	require.Contains(t, unstyled(t, b.Document()), fmt.Sprintf("No swatch for %d (dark, any colour), 3 (multicoloured, any value): there is no one colour to match.", i+1))
}

// Any colour has no figures: a dark print was once given those of black.
func TestAnyColourHasNoFigures(t *testing.T) {
	p := plan.Purchase{Sought: plan.Sought{Tone: recipe.DarkTone}}
	p.Swatch, p.HasSwatch = plan.SwatchOf(p.Sought)
	text := func() string {
		var w bytes.Buffer
		require.NoError(t, encode(&w, Buying{}.purchaseJSON(p)))
		return w.String()
	}
	require.NotContains(t, text(), "munsell")
	require.NotContains(t, text(), "hex")
	p.Family = cloth.Black
	require.Contains(t, text(), `"munsell"`)
}

// Of bins that are full enough the fullest are named, and the rest is folded away.
func TestBuyingFoldsWhatIsEnough(t *testing.T) {
	b := someBuying(t)
	b.Enough = nil
	for i := range 9 {
		b.Enough = append(b.Enough, plan.Enough{Name: fmt.Sprintf("bin %d", i), Count: 90 - i, Reason: "enough"})
	}
	text := textOfDocument(t, b.Document(), 100)
	require.Contains(t, text, "bin 4: you have 86")
	require.NotContains(t, text, "bin 5")
	require.Contains(t, text, "and 4 bins more, of which you have fewer")
	require.Contains(t, unstyled(t, b.Document()), "<summary>and 4 more</summary>")
}

func TestNothingToBuy(t *testing.T) {
	require.Contains(t, textOfDocument(t, Buying{}.Document(), 0), "There is nothing to buy")
}

// The card for a phone has a row for each purchase, filled with its swatch, and no more
// than fit on it.
func TestTheShoppingCardAsAPicture(t *testing.T) {
	b := someBuying(t)
	picture := func() image.Image {
		var w bytes.Buffer
		require.NoError(t, b.Picture(&w))
		m, err := png.Decode(&w)
		require.NoError(t, err)
		return m
	}
	m := picture()
	row := func(i int) image.Point {
		return image.Pt(buyMargin+buySide/2, buyMargin+3*buyLine+i*(buySide+buyGap)+buySide/2)
	}
	for i, p := range b.Buy {
		at := m.At(row(i).X, row(i).Y)
		if p.HasSwatch && p.Family != "" {
			require.Equal(t, color.NRGBAModel.Convert(colourOf(p.Swatch.Linear())), color.NRGBAModel.Convert(at), p.Sought.String())
		} else {
			require.Equal(t, color.NRGBAModel.Convert(contactPaper), color.NRGBAModel.Convert(at), "any colour: nothing but an edge")
		}
	}
	high := m.Bounds().Dy()
	require.Greater(t, high, row(len(b.Buy)-1).Y)
	for len(b.Buy) < 3*mostBought {
		b.Buy = append(b.Buy, plan.Purchase{Sought: plan.Sought{Bin: fmt.Sprintf("bin %d", len(b.Buy))}, Prints: 1, Buy: "⅛ yd"})
	}
	require.Equal(t, high+(2*mostBought-4)*(buySide+buyGap), picture().Bounds().Dy())
	b.Buy = nil
	require.Equal(t, high-3*(buySide+buyGap), picture().Bounds().Dy())
}

func TestSizesOfWhatIsBought(t *testing.T) {
	gap := func(w, l float64, n int) plan.Gap { return plan.Gap{WidthIn: w, LengthIn: l, Pieces: n} }
	b := Buying{Buying: desk.Buying{System: recipe.Inches()}}
	for want, gaps := range map[string][]plan.Gap{
		"7 pieces of 2½":         {gap(2.5, 2.5, 4), gap(2.5, 2.5, 3)},
		"1 piece of 2½ × 4½":     {gap(2.5, 4.5, 1)},
		"6 of 2½, 2 of 3½":       {gap(2.5, 2.5, 4), gap(3.5, 3.5, 2), gap(2.5, 2.5, 2), {ClothIn: 9}},
		"1 of 1, 2 of 2, 3 of 3": {gap(1, 1, 1), gap(2, 2, 2), gap(3, 3, 3)},
		"10 pieces of 4 sizes":   {gap(1, 1, 1), gap(2, 2, 2), gap(3, 3, 3), gap(4, 4, 4)},
	} {
		p := plan.Purchase{Gaps: gaps}
		for _, g := range gaps {
			p.Pieces += g.Pieces
		}
		require.Equal(t, want, b.pieces(p))
	}
}
