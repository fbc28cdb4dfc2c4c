package report

import (
	"bytes"
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

func TestNothingToBuy(t *testing.T) {
	require.Contains(t, textOfDocument(t, Buying{}.Document(), 0), "There is nothing to buy")
}
