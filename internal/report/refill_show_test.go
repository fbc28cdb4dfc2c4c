package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

func TestRefillGolden(t *testing.T) {
	holdings := someStock()
	r := Refilling{Why: true, Holdings: holdings, Stock: cutting.StockOf(holdings), System: recipe.Inches(), Bins: []cutting.Bin{
		{Family: cloth.Green, Value: cloth.MediumDark, W: 2.5, L: 2.5, Floor: 10},
		{Family: cloth.Green, Value: cloth.MediumDark, W: 2.5, Floor: 1},
		{Family: cloth.Yellow, Value: cloth.Light, W: 2.5, L: 2.5, Floor: 20},
		{Family: cloth.Red, Value: cloth.Dark, W: 2.5, L: 2.5, Floor: 4},
	}}
	var err error
	r.Refill, err = cutting.RefillBins(r.Bins, r.Stock, cutting.Options{})
	require.NoError(t, err)
	golden(t, "refill.txt", []byte(textOfDocument(t, r.Document(), 100)))
	var b bytes.Buffer
	require.NoError(t, r.JSON(&b))
	golden(t, "refill.json", b.Bytes())
}

func TestLeftoversGolden(t *testing.T) {
	c := CuttingUp{
		Cloths: []cutting.Leftover{{W: 18, L: 22}, {W: 1, L: 1}}, Colour: "dark blue", System: recipe.Inches(), Why: true,
		Sizes: []cutting.Size{{W: 5, L: 5, Weight: 2}, {W: 2.5, L: 2.5, Weight: 1}}, Reason: []string{"dark blue is thin", ""},
	}
	var err error
	c.Cut, err = cutting.CutUpLeftovers(c.Cloths, c.Sizes, c.System.Seam)
	require.NoError(t, err)
	golden(t, "leftovers.txt", []byte(textOfDocument(t, c.Document(), 100)))
	golden(t, "leftovers.html", []byte(unstyled(t, c.Document())))
	var b bytes.Buffer
	require.NoError(t, c.JSON(&b))
	golden(t, "leftovers.json", b.Bytes())
}
