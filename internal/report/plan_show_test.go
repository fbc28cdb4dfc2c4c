package report

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// someStock is a small stash: squares, strips to cut and a strip of unknown
// length.
func someStock() []cloth.Holding {
	var out []cloth.Holding
	add := func(form cloth.Form, n int, f cloth.Family, v cloth.Value, w, l float64, print, basket string, c colour.Linear) {
		out = append(out, cloth.Holding{ID: int64(len(out) + 1), Form: form, Count: n, Family: f, Value: v, WidthIn: w, LengthIn: l,
			Print: print, Basket: basket, Measured: true, Mean: c, ReadsAs: c, Lightness: c.Lab().L, Trust: 1})
	}
	add(cloth.Square, 30, cloth.Red, cloth.Dark, 2.5, 2.5, "a", "reds", hex(120, 20, 30))
	add(cloth.Square, 24, cloth.Blue, cloth.Medium, 2.5, 2.5, "b", "blues", hex(80, 110, 170))
	add(cloth.Strip, 3, cloth.Green, cloth.MediumDark, 2.5, 18, "c", "", hex(60, 100, 60))
	add(cloth.Strip, 1, cloth.Yellow, cloth.Light, 5, 12, "d", "blues", hex(230, 220, 110))
	add(cloth.Strip, 2, cloth.Pink, cloth.Light, 2.5, 0, "e", "", hex(240, 200, 205))
	return out
}

func somePlan(t *testing.T, name string, order plan.Order, holdings []cloth.Holding, s recipe.System) Plan {
	shop := plan.Defaults(s)
	shop.OneByOne = holdings != nil
	order.Recipe = builtIn(t, name)
	n, err := plan.Need(order, shop)
	require.NoError(t, err)
	p := Plan{Wording: typed, Plan: desk.Plan{Quilt: "library quilt", Needs: n, System: s, Holdings: holdings}}
	if holdings != nil {
		pull, err := plan.FromStash(n, holdings, nil, "", cutting.Options{})
		require.NoError(t, err)
		p.Pull = &pull
	}
	return p
}

// What is to be fetched from many baskets opens one by one: it was ten screens of a phone.
func TestAPlanOfManyLinesOpensByBasket(t *testing.T) {
	p := somePlan(t, "reading-corner", plan.Order{Columns: 2, Rows: 2}, someStock(), recipe.Inches())
	require.NotContains(t, unstyled(t, p.Document()), "<details><summary>blues")
	pulls := p.Pull.Cover.Pulls
	for len(p.Pull.Cover.Pulls) <= mostPulled {
		p.Pull.Cover.Pulls = append(p.Pull.Cover.Pulls, pulls...)
	}
	require.Contains(t, unstyled(t, p.Document()), "<details><summary>blues: 2 kinds</summary>")
}

func TestPlanGolden(t *testing.T) {
	p := somePlan(t, "reading-corner", plan.Order{Columns: 2, Rows: 2}, someStock(), recipe.Inches())
	golden(t, "plan.txt", []byte(textOfDocument(t, p.Document(), 100)))
	golden(t, "plan.html", []byte(unstyled(t, p.Document())))
	var b bytes.Buffer
	require.NoError(t, p.JSON(&b))
	golden(t, "plan.json", b.Bytes())
	b.Reset()
	require.NoError(t, p.Document().PDF(&b, "letter"))
	keep(t, "plan.pdf", b.Bytes())
	b.Reset()
	require.NoError(t, p.Document().HTML(&b))
	keep(t, "plan.html", b.Bytes())
}

// Cloth of one size that is cut in one way is one line, whatever its print and
// wherever it lies.
func TestCutsAlikeAreOneLine(t *testing.T) {
	var holdings []cloth.Holding
	for i, basket := range []string{"tin", "tin", "table"} {
		holdings = append(holdings, cloth.Holding{ID: int64(i + 1), Form: cloth.Square, Count: 1, WidthIn: 5, LengthIn: 5,
			Family: []cloth.Family{cloth.Red, cloth.Blue, cloth.Pink}[i], Value: cloth.Dark, Basket: basket})
	}
	p := somePlan(t, "reading-corner", plan.Order{Columns: 1, Rows: 1}, holdings, recipe.Inches())
	list := p.cuttingList()
	require.Len(t, list.Items, 1)
	require.Contains(t, list.Items[0], "3 squares of 5, each cut alike (2 from tin, 1 from table): slit lengthwise into rows of 2½ and 2½; cut 2 of 2½ from each row")
}

// A square that is only trimmed was once "cut off 2½; slit to 2½ wide; that is one
// of 2½".
func TestAPieceThatIsTrimmed(t *testing.T) {
	holdings := []cloth.Holding{{ID: 1, Form: cloth.Square, Count: 2, WidthIn: 3.5, LengthIn: 3.5, Family: cloth.Red, Value: cloth.Dark, Basket: "tin"}}
	list := somePlan(t, "four-patch", plan.Order{Columns: 1, Rows: 1}, holdings, recipe.Inches()).cuttingList()
	require.Len(t, list.Items, 1)
	require.Equal(t, "dark red 3½ square (tin), 2 alike: trim to 2½", list.Items[0])
}

// Pulled cloth that does not stand clear of the background is named.
func TestPlanNamesWhatSinks(t *testing.T) {
	p := somePlan(t, "reading-corner", plan.Order{Columns: 2, Rows: 2}, someStock(), recipe.Inches())
	require.NotContains(t, textOfDocument(t, p.Document(), 0), "on the background")
	p.Ground = &contrast.Print{Name: "linen", Colour: hex(235, 228, 190)}
	text := textOfDocument(t, p.Document(), 0)
	require.Contains(t, text, "sinking on the background: light yellow 5 × 12 strip, print d\n")
	require.NotContains(t, text, "soft on the background")
}

// All of the cloth that is cut is accounted for: 18 × 2½ is 45 square inches.
func TestPlanSaysWhereTheClothGoes(t *testing.T) {
	p := somePlan(t, "reading-corner", plan.Order{Columns: 2, Rows: 2}, someStock(), recipe.Inches())
	p.Why = true
	text := textOfDocument(t, p.Document(), 0)
	require.Contains(t, text, "cut 1: 2½ × 18 = 45 sq in\n")
	require.Contains(t, text, "7 of 2½\n")
	require.Contains(t, text, "pieces 43.75 sq in + squared off the end 1.25 sq in + back to the bins 0 sq in + too small to keep 0 sq in = 45 sq in\n")
}

// A plan in centimetres speaks of nothing else.
func TestPlanInCentimetres(t *testing.T) {
	p := somePlan(t, "ohio-star", plan.Order{Columns: 3, Rows: 4}, nil, recipe.Centimetres(7.5/25.4))
	p.Why = true
	text := textOfDocument(t, p.Document(), 0)
	for _, mark := range []string{"½", "¼", "⅛", "⅜", " yd"} {
		require.NotContains(t, text, mark)
	}
	require.Contains(t, text, " cm")
	require.Contains(t, text, "\nWhy\n")
}

// The cautions stand before anything is cut, and leave the last word to others.
func TestPlanCarriesTheCautions(t *testing.T) {
	text := textOfDocument(t, somePlan(t, "four-patch", plan.Order{Blocks: 4}, nil, recipe.Inches()).Document(), 0)
	require.Contains(t, text, "blade after every cut")
	require.Contains(t, text, "iron")
	require.Contains(t, text, "class or guild")

	// Where no cloth of the stash is cut, they stand before what new cloth is cut to.
	bare := somePlan(t, "four-patch", plan.Order{Blocks: 4}, []cloth.Holding{}, recipe.Inches())
	text = textOfDocument(t, bare.Document(), 0)
	require.Less(t, strings.Index(text, "No cloth of the stash needs cutting."), strings.Index(text, "blade after every cut"))
	require.Less(t, strings.Index(text, "blade after every cut"), strings.Index(text, "\nPieces\n"))
}

// Everything that is drawn lies inside its drawing.
func TestDrawingsHoldWhatTheyShow(t *testing.T) {
	for _, name := range recipe.Names() {
		order := plan.Order{Columns: 3, Rows: 3}
		if builtIn(t, name).Setting.Columns > 0 {
			order = plan.Order{}
		}
		p := somePlan(t, name, order, someStock(), recipe.Inches())
		for _, s := range p.Document().sections {
			for _, d := range s.Drawings {
				require.Positive(t, d.W, name)
				require.Positive(t, d.H, name)
				for _, s := range d.Shapes {
					lo, hi := s.Points.Bounds()
					require.GreaterOrEqual(t, lo.X, -1e-6, "%s: %s", name, d.Title)
					require.GreaterOrEqual(t, lo.Y, -1e-6, "%s: %s", name, d.Title)
					require.LessOrEqual(t, hi.X, d.W+1e-6, "%s: %s", name, d.Title)
					require.LessOrEqual(t, hi.Y, d.H+1e-6, "%s: %s", name, d.Title)
				}
			}
		}
	}
}

// Cloth entered by hand is drawn in a colour of its family and value, and a
// border in one colour.
func TestWhatIsDrawnIsTheCloth(t *testing.T) {
	r, err := recipe.Read("b.toml", []byte("name = \"b\"\nwidth = 4\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"any\"\n[[border]]\nwidth = 2\n"))
	require.NoError(t, err)
	needs, err := plan.Need(plan.Order{Recipe: r, Columns: 1, Rows: 1}, plan.Defaults(recipe.Inches()))
	require.NoError(t, err)
	holdings := []cloth.Holding{{ID: 1, Form: cloth.Square, Count: 4, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark}}
	pull, err := plan.FromStash(needs, holdings, nil, "", cutting.Options{})
	require.NoError(t, err)
	p := Plan{Plan: desk.Plan{Needs: needs, System: recipe.Inches(), Pull: &pull, Holdings: holdings}}
	blue, ok := plan.SwatchOf(plan.Sought{Family: cloth.Blue, Value: cloth.Dark})
	require.True(t, ok)
	l := r.QuiltLayout(1, 1)
	d := quiltDrawing("q", l, p.inks())
	borders := map[string]bool{}
	for i, patch := range l.Patches {
		if patch.Kind == recipe.InBorder {
			borders[d.Shapes[i].Fill.Hex()] = true
			continue
		}
		require.Equal(t, blue.Linear().Hex(), d.Shapes[i].Fill.Hex())
	}
	require.Len(t, borders, 1)
}

// The block is drawn in the cloth that lies in one block of the quilt, what is still to be
// had hollow.
func TestAPlanIsDrawnInItsCloth(t *testing.T) {
	stock := someStock()
	p := somePlan(t, "nine-patch", plan.Order{Columns: 1, Rows: 2}, stock, recipe.Inches())
	a := desk.Arrangement{Plan: p.Plan, Top: p.Needs.Recipe.QuiltLayout(1, 2), Names: make([]string, 18), GroundAt: -1}
	cloths := make([]int, 18)
	for i := range cloths {
		cloths[i] = -1
	}
	cloths[3], cloths[9], cloths[10] = 0, 1, 3 // the second block lacks less
	for i := range cloths {
		a.Problem.Places = append(a.Problem.Places, arrange.Place{Patches: []int{i}})
	}
	a.Laid = []desk.Variant{{Cloth: cloths}}
	p.Drawn = &a
	drawn := p.Document().sections[0].Drawings
	require.Len(t, drawn, 3, "block, quilt, grey")
	block := drawn[0].Shapes
	require.Equal(t, []bool{false, false, true}, []bool{block[0].Hollow, block[1].Hollow, block[2].Hollow})
	require.Equal(t, []colour.Linear{stock[1].Mean, stock[3].Mean}, []colour.Linear{block[0].Fill, block[1].Fill})
	require.Contains(t, p.Document().sections[0].Caption, "pulled for it")
}

func TestAShareIsNeverAllButWhereItIs(t *testing.T) {
	require.Equal(t, []string{"all", "99 %", "90 %", "0 %"}, []string{share(plan.Use{Wanted: 1000, Covered: 1000}), share(plan.Use{Wanted: 1000, Covered: 999, Cover: 0.999}), share(plan.Use{Wanted: 100, Covered: 90, Cover: 0.9}), share(plan.Use{Wanted: 100})})
}

// What rises to the right as a rectangle lies falls where it stands: the cloth's length
// runs to the right, so that a piece longer along the cloth lies.
func TestRectanglesAreCutAlongTheirDiagonal(t *testing.T) {
	rises := func(r geom.Rect, s recipe.Split) bool {
		lines := diagonals(r, s)
		require.Len(t, lines, 1)
		a, b := lines[0].Points[0], lines[0].Points[1]
		return (b.Y-a.Y)*(b.X-a.X) < 0 // y runs down
	}
	lies, stands := geom.Rect{X: 1, Y: 2, W: 2.75, H: 5.375}, geom.Rect{X: 1, Y: 2, W: 5.375, H: 2.75}
	require.Equal(t, []bool{true, false, false, true}, []bool{rises(lies, recipe.Rising), rises(lies, recipe.Falling), rises(stands, recipe.Rising), rises(stands, recipe.Falling)})
	require.Len(t, diagonals(lies, recipe.Twice), 2)
	require.Empty(t, diagonals(lies, recipe.Whole))
}

// What was chosen for the stash is said with what it saves, and reckoned where why is asked;
// what takes no cloth has no share.
func TestWhatWasChosenIsSaid(t *testing.T) {
	nine, six := &recipe.Recipe{WidthIn: 9}, &recipe.Recipe{WidthIn: 6}
	best := plan.Use{Recipe: six, WidthIn: 60, LengthIn: 72, Wanted: 100, Covered: 100, Cover: 1, ClothIn2: 800, In2: 640}
	asIs := plan.Use{Recipe: nine, WidthIn: 63, LengthIn: 72, Wanted: 100, Covered: 90, Cover: 0.9, ClothIn2: 1000, In2: 600}
	p := Plan{Wording: typed, Plan: desk.Plan{System: recipe.Inches(), Choice: &plan.Choice{Needs: &plan.Needs{Recipe: six, Columns: 10, Rows: 12}, Best: []plan.Use{best}, AsIs: asIs}}}
	said := "Blocks of 6 in place of 9: the stash covers all of what scraps can give, by area, in place of 90 %. Of the cloth used up 80 % is in the patches, with their seams, in place of 60 %: 267 sq in less is cut off for as much in patches."
	require.Equal(t, said, p.chosenWords(p.Choice))
	of := func(why recipe.Why) []string { return mapped(why.Steps, func(s recipe.Why) string { return s.Text }) }
	require.Equal(t, []string{
		"blocks of 6: 800 sq in pulled, less what goes back; 640 sq in in patches with their seams ÷ 800 sq in = 80 %",
		"blocks of 9: 1000 sq in pulled, less what goes back; 600 sq in in patches with their seams ÷ 1000 sq in = 60 %",
		"as the recipe stands as much in patches would take 640 sq in ÷ 60 % = 1066.67 sq in: 266.67 sq in more",
	}, of(p.choiceWhy()))
	text := textOfDocument(t, Document{sections: p.chosen()}, 200)
	require.Regexp(t, `6 \(chosen\) +60 × 72 +100 of 100`, text)
	require.Regexp(t, `9 \(as the recipe has it\) +63 × 72 +90 of 100`, text)
	require.Contains(t, text, "--layout 10x12 --block 6")

	p.Choice.AsIs = plan.Use{Recipe: nine, Wanted: 100}
	require.Len(t, p.choiceWhy().Steps, 1, "the recipe as it stands takes no cloth")
	p.Choice.Best[0] = plan.Use{Recipe: nine, Wanted: 100, Covered: 40, Cover: 0.4, ClothIn2: 100, In2: 75}
	require.Contains(t, p.chosenWords(p.Choice), "The recipe as it stands, blocks of 9, serves your stash best: 75 %")
	require.NotContains(t, textOfDocument(t, Document{sections: p.chosen()}, 200), "--block")
	p.Choice.Best[0].Covered = 0
	require.Contains(t, p.chosenWords(p.Choice), "The recipe stands: no width or way")
}
