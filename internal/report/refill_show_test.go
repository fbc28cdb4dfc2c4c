package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

func TestRefillGolden(t *testing.T) {
	holdings := someStock()
	r := Refill{Why: true, Refill: desk.Refill{Holdings: holdings, System: recipe.Inches(), Bins: []shelf.Box{
		{Alike: shelf.Alike{Family: cloth.Green, Value: cloth.MediumDark}, Cut: shelf.Square(2.5), Least: 10},
		{Alike: shelf.Alike{Family: cloth.Green, Value: cloth.MediumDark}, Cut: shelf.Cut{Form: cloth.Strip, Width: 2.5}, Least: 1},
		{Alike: shelf.Alike{Family: cloth.Yellow, Value: cloth.Light}, Cut: shelf.Square(2.5), Least: 20},
		{Alike: shelf.Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 4},
	}}}
	var err error
	r.Refill.Refill, err = cutting.RefillBins(r.Bins, holdings, nil, cutting.Options{})
	require.NoError(t, err)
	golden(t, "refill.txt", []byte(textOfDocument(t, r.Document(), 100)))
	var b bytes.Buffer
	require.NoError(t, r.JSON(&b))
	golden(t, "refill.json", b.Bytes())
}

func TestLeftoversGolden(t *testing.T) {
	blue := shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}
	c := CuttingUp{Why: true, Leftovers: desk.Leftovers{
		Cloths: []cutting.Leftover{{W: 18, L: 22}, {W: 1, L: 1}}, Of: blue, System: recipe.Inches(),
		Sizes: []cutting.Size{{W: 5, L: 5, Weight: 2}, {W: 2.5, L: 2.5, Weight: 1}}, Thin: []shelf.Short{{Alike: blue, Count: 1, Want: 4}, {}},
	}}
	var err error
	c.Cut, err = cutting.CutUpLeftovers(c.Cloths, c.Sizes, c.System.Seam)
	require.NoError(t, err)
	golden(t, "leftovers.txt", []byte(textOfDocument(t, c.Document(), 100)))
	golden(t, "leftovers.html", []byte(unstyled(t, c.Document())))
	var b bytes.Buffer
	require.NoError(t, c.JSON(&b))
	golden(t, "leftovers.json", b.Bytes())
}

// Of cloth whose colour was not said no bin is named: it may be of any.
func TestWhyASizeIsWorthMore(t *testing.T) {
	c := CuttingUp{Leftovers: desk.Leftovers{Thin: []shelf.Short{{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Count: 1, Want: 4}, {}}}}
	require.Equal(t, "some bins of this size are thin; name the colour of the cloth to go by its own", c.reason(0))
	require.Empty(t, c.reason(1))
	c.Of.Family = cloth.Blue
	require.Equal(t, "dark blue is thin, 1 held of 4 wanted", c.reason(0))

	c.Sizes, c.Cut = []cutting.Size{{W: 2.5, L: 2.5}}, []cutting.CutUp{{Counts: []int{3}}}
	require.Equal(t, "blue: 3 of 2½.", c.lead(Plan{Plan: desk.Plan{System: recipe.Inches()}}))
}
