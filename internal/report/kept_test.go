package report

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"image"
	"image/jpeg"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

// said is a document as text without the cautions, which are kept with a plan.
func said(t *testing.T, d Document, width int, environ ...string) string {
	t.Helper()
	d.sections = slices.DeleteFunc(slices.Clone(d.sections), func(s section) bool { return s.Careful })
	var b bytes.Buffer
	require.NoError(t, d.Text(&b, TextOptions{Width: width, Environ: environ}))
	return b.String() + "\f\n"
}

// sketched says of each drawing of some sections what it shows, how large it is and of how
// many shapes, and sums up all of its SVG.
func sketched(t *testing.T, all []section) string {
	var out strings.Builder
	for _, s := range all {
		for _, d := range s.Drawings {
			var b bytes.Buffer
			require.NoError(t, Document{sections: []section{{Drawings: []drawing{d}}}}.HTML(&b))
			_, svg, _ := strings.Cut(b.String(), `<svg class="drawing"`)
			svg, _, _ = strings.Cut(svg, "</svg>")
			fmt.Fprintf(&out, "drawn: %s; %s: %s × %s, %d shapes, %08x\n", d.Title, d.Name, short(d.W), short(d.H), len(d.Shapes), crc32.ChecksumIEEE([]byte(withoutPictures(svg))))
		}
	}
	return out.String()
}

// The shelf is kept whole by each way of sorting, as wide and as narrow as it is read.
func TestShelvesAreSaid(t *testing.T) {
	var text, lines bytes.Buffer
	all := someStash().Holdings
	for i := range all {
		all[i].ID = int64(i + 1)
	}
	all = append(all, cloth.Holding{Form: cloth.Square, Count: 4, Family: cloth.Red, WidthIn: 2.5, LengthIn: 2.5}, cloth.Holding{Form: cloth.Square, Count: 3, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5},
		cloth.Holding{Form: cloth.Strip, Count: 2, Family: cloth.Blue, Value: cloth.Dark, Measured: true, ReadsAs: hex(44, 60, 110), WidthIn: 2.5, Bin: "=sums"})
	for i, f := range []cloth.Family{cloth.Green, cloth.Green, cloth.Red, cloth.Red} {
		all = append(all, cloth.Holding{Form: cloth.Square, Count: 1 + 9*i, Family: f, Value: cloth.Values[i], WidthIn: 2.5, LengthIn: 2.5})
	}
	for i, sorting := range []shelf.Sorting{shelf.ByBoth, shelf.ByFamily, shelf.ByValue} {
		o := shelf.StockOptions{Bins: sorting, Trim: 0.5 * float64(i), Floors: []shelf.Floor{
			{Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(2.5), Least: 20}, {Alike: shelf.Alike{Own: "sea greens"}, Least: 8},
			{Cut: shelf.Square(2.5), Least: 6}, {Alike: shelf.Alike{Family: cloth.Many}, Least: 4}, {Alike: shelf.Alike{Value: cloth.Medium}, Least: 30},
		}}
		if i == 1 {
			o.Needs = []shelf.Need{{Quilt: "stars", Alike: shelf.Alike{Family: cloth.Pink, Value: cloth.Medium}, Cut: shelf.Square(2.5), Count: 12, Hue: cloth.Pink, Shade: cloth.Medium}}
			o.Lacks = []shelf.Lack{{Quilt: "stars", Tone: "dark", Values: []cloth.Value{cloth.Dark, cloth.MediumDark}, Cut: shelf.Square(5.25), Count: 8}}
		}
		s := Shelf{Wording: typed, Shelf: desk.Shelf{Holdings: all, Stock: shelf.TakeStock(all, o)}}
		if i == 2 {
			s.Part, s.Since = "what is blue", "2026-11-30"
		}
		for _, width := range []int{0, 64, 40} {
			text.WriteString(said(t, s.Document(), width))
		}
		text.WriteString(said(t, s.Document(), 90, colourful...) + sketched(t, s.Document().sections))
		require.NoError(t, StashJSON(&lines, s))
		require.NoError(t, StashCSV(&lines, s))
		for _, b := range s.Bins() {
			fmt.Fprintf(&lines, "%s, %s: %s; %s; %s; %s;", b.Alike, b.Cut, b.Held, b.Note, b.Thin, b.Yields)
			for _, x := range b.Within {
				fmt.Fprintf(&lines, " %d %s", x.Count, x.Words)
				if x.Fill != nil {
					lines.WriteString(" " + x.Fill.Hex())
				}
			}
			lines.WriteString("\n")
		}
	}
	golden(t, "shelves.txt", text.Bytes())
	golden(t, "shelves.data.txt", lines.Bytes())
}

// Difference words what changed in one line; a box of weighed cloth by its area.
func TestDifferences(t *testing.T) {
	blue, green := shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, shelf.Alike{Family: cloth.Green, Value: cloth.Light}
	square := shelf.Square(2.5)
	require.Equal(t, "no change", Difference(nil))
	require.Equal(t, "+3 blue, −5 green", Difference([]shelf.Count{{Alike: blue, Cut: square, Count: 3}, {Alike: green, Cut: square, Count: -5}}))
	require.Equal(t, "no colour more or less, but other values or cuts", Difference([]shelf.Count{{Alike: blue, Cut: square, Count: 3}, {Alike: blue, Cut: shelf.Square(5), Count: -3}}))
	require.Equal(t, []string{"+2.79 sq yd brown", "−0.5 sq yd brown", "+1 dark blue, 2½ square", "−1 dark blue"}, Changes([]shelf.Count{
		{Alike: shelf.Alike{Family: cloth.Brown}, AreaIn: 3617}, {Alike: shelf.Alike{Family: cloth.Brown}, AreaIn: -648}, {Alike: blue, Cut: square, Count: 1}, {Alike: blue, Count: -1},
	}))
}

func somePrints() []contrast.Print {
	var out []contrast.Print
	for i := range 24 {
		l := 96 - 3.9*float64(i)
		c := colour.Lab{L: l, A: float64(i%5) - 2, B: 4}.Linear()
		p := contrast.Print{Name: fmt.Sprintf("print %d", i+1), Pieces: 1 + (i*7)%11, Colour: c, Reads: c, Value: cloth.ValueOf(l), Family: cloth.Families[i%len(cloth.Families)]}
		switch i % 4 {
		case 1:
			p.Inks = []cloth.Ink{{Colour: colour.Lab{L: 95}.Linear(), Share: 0.5}, {Colour: colour.Lab{L: max(0, 2*l-95)}.Linear(), Share: 0.5}}
			p.Baskets = []string{"tin", "table", "shelf"}
		case 2:
			p.Baskets = []string{"tin"}
			p.Cloth = []contrast.Cloth{{WidthIn: 18, LengthIn: 22}}
		case 3:
			p.Name = fmt.Sprintf("%s %s no. %d", p.Value, p.Family, i)
		}
		out = append(out, p)
	}
	out[5].Family, out[6].Name = "", ""
	return out
}

// What is said of prints against a background, by how that was come by.
func TestContrastsAreSaid(t *testing.T) {
	var text, lines bytes.Buffer
	all := somePrints()
	for i, c := range []Contrast{
		{Contrast: desk.Contrast{Background: all[0], Pull: all[1:]}, Why: true},
		{Contrast: desk.Contrast{Background: all[9], Pull: all[6:9], Unmeasured: 1}},
		{Contrast: desk.Contrast{Backgrounds: all[:3], Pull: all[3:9], Among: true, Unmeasured: 12, Recipe: "ohio star"}},
		{Contrast: desk.Contrast{Backgrounds: all, Pull: all[:14], Small: true, Recipe: "stars"}},
		{Contrast: desk.Contrast{Backgrounds: all[10:], Pull: all[:20]}},
		{Contrast: desk.Contrast{Background: all[5]}},
	} {
		if c.Backgrounds != nil {
			c.Choices = contrast.Rank(c.Backgrounds, c.Pull)
			c.Background = c.Backgrounds[c.Choices[0].Background]
		}
		if c.Recipe != "" {
			c.Balance = contrast.Weigh(c.Pull, contrast.Wanted{Light: 30, Medium: 4, Dark: 2 + 40*i})
			c.Balance.Any = i - 2
		}
		text.WriteString(said(t, c.Document(), 100))
		text.WriteString(said(t, c.Document(), 56) + sketched(t, c.Document().sections))
		require.NoError(t, c.JSON(&lines))
	}
	golden(t, "contrasts.txt", text.Bytes())
	golden(t, "contrasts.json", lines.Bytes())
}

// What can be made of a stash now, of a small one, and in centimetres.
func TestIdeasAreSaid(t *testing.T) {
	var text, lines bytes.Buffer
	recipes := mapped([]string{"plain-squares", "bow-tie", "ohio-star", "rail-fence", "strings", "medallion", "coins", "sampler", "pinwheel", "four-patch", "shoofly"}, func(n string) *recipe.Recipe { return builtIn(t, n) })
	stock := largeStock()
	for i, x := range []struct {
		of    []*recipe.Recipe
		stock []cloth.Holding
		in    recipe.System
		most  int
	}{
		{recipes[:5], stock, recipe.Inches(), 2},
		{recipes, stock[:1], recipe.Centimetres(7.5 / 25.4), 0},
		{recipes, stock[4:5], recipe.Inches(), 0},
		{recipes[5:6], stock[:0], recipe.Inches(), 0},
		{recipes[:1], stock, recipe.Inches(), 0},
	} {
		shop := plan.Defaults(x.in)
		shop.BindingFrom = plan.Stash
		found, err := plan.Ideas(x.of, x.stock, shop, cutting.Options{}, x.most)
		require.NoError(t, err)
		d := Ideas{Wording: typed, Ideas: desk.Ideas{Found: found, Holdings: x.stock, System: x.in}}
		d.Wording.Most, d.Wording.Bind = "; --most tells of them", "to bind one: --binding-from stash"
		d.Wording.Lacks = func(recipe string) string { return "plan " + recipe }
		d.Wording.Plan = func(o Ordered) string {
			return fmt.Sprintf("plan %s --block %s --layout %dx%d", o.Recipe, o.Block, o.Columns, o.Rows)
		}
		if i == 0 {
			d.Left = []desk.LeftTo{{Quilt: "door quilt", Pieces: 1}, {Quilt: "picnic", Pieces: 30}}
			d.Ideas.Ideas[0].Bound = true
			d.Ideas.Ideas[1].Bound = true
			drawn := d.Document().sections[0]
			drawn.Drawings = drawn.Drawings[:1]
			golden(t, "ideas.html", []byte(unstyled(t, Document{sections: []section{drawn}})))
		}
		text.WriteString(said(t, d.Document(), 0) + said(t, d.Document(), 90) + said(t, d.Document(), 70))
		require.NoError(t, d.JSON(&lines))
	}
	golden(t, "ideas.txt", text.Bytes())
	golden(t, "ideas.json", lines.Bytes())
}

// wideLayout is a layout of three by four squares with more touches than are written out,
// laid out three times, of cloth that is measured, named, of no colour, and gone.
func wideLayout(t *testing.T) Arrangement {
	a := laidOut(t)
	var err error
	a.Needs, err = plan.Need(plan.Order{Recipe: a.Needs.Recipe, Columns: 3, Rows: 4}, plan.Defaults(recipe.Inches()))
	require.NoError(t, err)
	a.Top, a.Names, a.Parts, a.Problem.Places = a.Needs.Recipe.QuiltLayout(3, 4), nil, nil, nil
	a.Holdings = append(a.Holdings, cloth.Holding{ID: 14}, cloth.Holding{ID: 5, Family: cloth.Green, Value: cloth.Light, Print: "print 7"})
	var cloths []int
	for i := range 12 {
		a.Names = append(a.Names, fmt.Sprintf("%c%d", 'A'+i/3, i%3+1))
		a.Problem.Places = append(a.Problem.Places, arrange.Place{Patches: []int{i}, Kept: -1})
		a.Parts = append(a.Parts, []desk.Part{{Patches: []int{i}}})
		cloths = append(cloths, []int{0, 1, 2, 3, 4, 0, 0, 4, -1, 2, 1, 0}[i])
	}
	var touches []arrange.Touch
	for i := range 11 {
		touches = append(touches, arrange.Touch{A: i, B: i + 1, Why: []arrange.Cause{arrange.SameFamily, arrange.SamePrint, arrange.KeptApart}[i%3], Corner: i%2 == 1})
	}
	measures := func(e, b, w float64) arrange.Measures { return arrange.Measures{Evenness: e, Brightness: b, Wash: w} }
	a.Laid = []desk.Variant{
		{Cloth: cloths, Seed: 7, Layout: arrange.Layout{At: cloths, Touches: touches, Least: arrange.Least{Touches: 4, Because: "most are red"}, Measures: measures(0.71234, -0.0041, 0.2)}},
		{Cloth: slices.Repeat([]int{1}, 12), Seed: 8, Same: 0.25, Layout: arrange.Layout{Touches: touches[:1], Measures: measures(0.5, 0.25, 0)}},
		{Cloth: slices.Repeat([]int{-1}, 12), Seed: 9, Layout: arrange.Layout{Interrupted: true}},
	}
	a.Wording, a.Empty, a.Gone = typed, 2, []string{"A1", "B2"}
	a.Wording.Drawn = "; --html has them all"
	return a
}

// What is said of layouts: how they came out, where each piece lies, what was used most.
func TestLayoutsAreSaid(t *testing.T) {
	var text, lines bytes.Buffer
	a := wideLayout(t)
	tell := func() {
		text.WriteString(said(t, a.Document(), 100) + sketched(t, []section{a.labels(a.Laid[0])}))
		require.NoError(t, a.JSON(&lines))
	}
	tell()
	a.Quilt, a.Empty, a.Gone = a.Needs.Recipe.Name, 0, nil
	a.Laid[0].Least.Touches = 11
	a.Choice = &plan.Choice{Best: []plan.Use{{}}}
	tell()
	a.Laid, a.Choice = a.Laid[1:2], nil
	tell()
	a.Laid[0].Touches = nil
	tell()
	require.Equal(t, "no cloth is left for it", wideLayout(t).PatchWords(wideLayout(t).Laid[0], 8))
	require.Equal(t, "green light, print 7 (piece 5)", unbroken(a.PatchWords(wideLayout(t).Laid[0], 4)))
	golden(t, "layouts.txt", text.Bytes())
	golden(t, "layouts.json", lines.Bytes())
}

// In the order of their places: letters as of columns of a sheet, then numbers as numbers.
func TestNamesOfPatchesAreInOrder(t *testing.T) {
	ordered := []string{"A", "A2", "A2.1", "A2.2", "A2.10", "A10", "B1", "Z3", "AA1", "AB1", "BA"}
	for i, a := range ordered {
		for j, b := range ordered {
			require.Equal(t, i-j > 0, CompareNames(a, b) > 0, "%s %s", a, b)
			require.Equal(t, i-j < 0, CompareNames(a, b) < 0, "%s %s", a, b)
		}
	}
}

func TestWhyAPieceLiesThere(t *testing.T) {
	h := cloth.Holding{ID: 4, Family: cloth.Red, Value: cloth.Dark, Print: "print 7"}
	why := WhyHere{Patch: "B2", Holding: h, Lightness: 31.6, About: 44.4, All: 50, Others: 12,
		Beside: []desk.Beside{{Patch: "B1", Holding: h, Alike: arrange.SamePrint}, {Patch: "A2", Holding: cloth.Holding{ID: 5, Family: cloth.Blue, Value: cloth.Light}}}}
	require.Equal(t, []string{
		"beside it B1: red dark, print 7 (piece 4), one print: too much alike", "beside it A2: blue light (piece 5)",
		"it is L* 32; with those about it the mean is 44, that of the quilt 50", "it is the only one of its print",
		"none of the 12 places it could change with, without a touch more, makes the quilt more even",
	}, mapped(why.Lines(), unbroken))
	why.Nearest, why.Away, why.Better, why.Locked, why.Matches = "D4", 12.34, 1, true, []string{"B3", "B4"}
	require.Equal(t, []string{
		"the nearest of the same print is D4, 12.3 inches away", "1 place of 12 places it could change with would make the quilt more even; another seed may",
		"of one print with it, as the recipe has it: B3, B4; they move together", "it is locked here",
	}, why.Lines()[3:])
	why.Nearest, why.Holding.Print = "", ""
	require.Len(t, why.Lines(), 6, "no print, none nearest")
	var b bytes.Buffer
	require.NoError(t, why.Text(&b, TextOptions{}))
	require.True(t, strings.HasPrefix(b.String(), "B2: red dark (piece 4)\n\nWhy it lies here\n  - beside it"), b.String())
}

func unbroken(s string) string { return strings.ReplaceAll(s, noBreak, " ") }

// What is cut for bins and out of leftovers, of all that can come out.
func TestCuttingIsSaid(t *testing.T) {
	var text, lines bytes.Buffer
	stock := largeStock()
	red := shelf.Alike{Family: cloth.Red, Value: cloth.Dark}
	var many []shelf.Box
	for _, f := range cloth.Families {
		many = append(many, shelf.Box{Alike: shelf.Alike{Family: f, Value: cloth.Light}, Cut: shelf.Square(2.5), Least: 3})
	}
	for i, bins := range [][]shelf.Box{
		nil, {{Alike: red, Cut: shelf.Square(2.5), Least: 4}}, many,
		append(many[:8:8], shelf.Box{Alike: shelf.Alike{Own: "plums"}, Cut: shelf.Square(2.5), Least: 6}, shelf.Box{Alike: shelf.Alike{Family: cloth.Green, Value: cloth.MediumDark}, Cut: shelf.Square(2.5), Least: 7}),
	} {
		r := Refill{Why: i == 3, Refill: desk.Refill{Holdings: stock, System: recipe.Inches(), Bins: bins}}
		if i < 2 {
			r.LeftOut = []shelf.Short{{Alike: shelf.Alike{Family: cloth.Blue}, Count: 2, Want: 9, Reason: shelf.BelowFloor, Rule: "blue"}, {Alike: shelf.Alike{Family: cloth.Teal}, Count: 2, Want: 3, Reason: shelf.BelowFloor, Rule: "teal"}}
			r.Sets = []shelf.Lack{{Quilt: "bows", Count: 8, Set: 1, Each: 4}, {Quilt: "ties", Count: 1}}
		}
		var err error
		r.Refill.Refill, err = cutting.RefillBins(r.Bins, stock, nil, cutting.Options{})
		require.NoError(t, err)
		text.WriteString(said(t, r.Document(), 100))
		require.NoError(t, r.JSON(&lines))
	}
	for i, c := range []CuttingUp{
		{Leftovers: desk.Leftovers{Cloths: []cutting.Leftover{{W: 12.5, L: 41, Loss: 0.5}, {W: 7.5, L: 5.25}, {W: 1, L: 9}}, System: recipe.Inches(), Of: red, As: []string{"a fat eighth is 9 × 22"},
			Sizes: []cutting.Size{{W: 5, L: 5, Weight: 2, Lack: 3}, {W: 2.5, L: 4.5, Weight: 1}, {W: 1.5, Weight: 1}}, Thin: []shelf.Short{{Alike: red, Count: 1, Want: 4}, {}, {}}}},
		{Leftovers: desk.Leftovers{Cloths: []cutting.Leftover{{W: 45 / 2.54, L: 50 / 2.54}}, System: recipe.Centimetres(0.75 / 2.54),
			Sizes: []cutting.Size{{W: 6 / 2.54, Weight: 1}, {W: 10 / 2.54, L: 10 / 2.54, Weight: 1}}, Thin: []shelf.Short{{}, {Alike: red, Count: 0, Want: 4}}}},
		{Leftovers: desk.Leftovers{Cloths: []cutting.Leftover{{W: 10, L: 10}}, System: recipe.Inches(), Sizes: []cutting.Size{{W: 2.5, L: 2.5, Weight: 1}}, Thin: make([]shelf.Short, 1)}},
		{Leftovers: desk.Leftovers{Cloths: []cutting.Leftover{{W: 2, L: 2}}, System: recipe.Inches(), Sizes: []cutting.Size{{W: 2.5, L: 2.5, Weight: 1}}, Thin: make([]shelf.Short, 1)}},
	} {
		c.Why = true
		var err error
		c.Cut, err = cutting.CutUpLeftovers(c.Cloths, c.Sizes, c.System.Seam)
		require.NoError(t, err)
		text.WriteString(said(t, c.Document(), 100) + sketched(t, c.Document().sections))
		require.NoError(t, c.JSON(&lines))
		if i == 0 {
			golden(t, "cuttings.html", []byte(unstyled(t, c.Document())))
		}
	}
	golden(t, "cuttings.txt", text.Bytes())
	golden(t, "cuttings.json", lines.Bytes())
}

// What is to be bought for quilts, for thin bins, and for both.
func TestBuyingIsSaid(t *testing.T) {
	var text, lines bytes.Buffer
	gap := func(f cloth.Family, v cloth.Value, quilt string, w, l float64, n int) plan.Gap {
		return plan.Gap{Sought: plan.Sought{Family: f, Value: v}, Quilt: quilt, WidthIn: w, LengthIn: l, Pieces: n}
	}
	var many []plan.Gap
	for i, f := range cloth.Families {
		many = append(many, gap(f, cloth.Values[i%5], map[bool]string{true: "stars"}[i < 5], 2.5, 2.5, 30-i))
	}
	for i, x := range []struct {
		gaps []plan.Gap
		held []plan.Held
	}{
		{nil, nil},
		{[]plan.Gap{gap(cloth.Teal, cloth.Medium, "", 2.5, 2.5, 10), gap(cloth.Teal, cloth.Medium, "stars", 2.5, 4.5, 3), gap(cloth.Teal, cloth.Medium, "stars", 5, 5, 2)}, []plan.Held{{Name: "teal", Sought: plan.Sought{Family: cloth.Teal}, WeighedIn2: 900}}},
		{many, nil},
		{[]plan.Gap{{Sought: plan.Sought{Bin: "plums"}, WidthIn: 2.5, LengthIn: 2.5, Pieces: 9}, {Sought: plan.Sought{One: "background of stars"}, Quilt: "stars", ClothIn: 31},
			{Sought: plan.Sought{Tone: recipe.DarkTone}, Quilt: "bows", WidthIn: 3.5, LengthIn: 3.5, Pieces: 8, Set: 1, Each: 2}, {Sought: plan.Sought{Tone: recipe.DarkTone}, Quilt: "bows", WidthIn: 2, LengthIn: 2, Pieces: 8, Set: 1, Each: 2}}, nil},
	} {
		in := recipe.Inches()
		if i == 2 {
			in = recipe.Centimetres(0.75 / 2.54)
		}
		s, err := plan.Buy(x.gaps, x.held, plan.Habits{Shop: plan.Defaults(in), NoQuarters: i == 3})
		require.NoError(t, err)
		b := Buying{Wording: typed, Why: i == 3, Buying: desk.Buying{Shopping: s, System: in, Planned: i == 3}}
		b.Wording.PlanAgain = " Plan it again."
		if i == 2 {
			b.Missing = []shelf.Thin{{Family: cloth.Red}, {Family: cloth.Many}, {Value: cloth.Dark}}
		}
		text.WriteString(said(t, b.Document(), 100) + sketched(t, b.Document().sections))
		require.NoError(t, b.JSON(&lines))
		if i == 2 {
			golden(t, "buying.html", []byte(unstyled(t, b.Document())))
		}
	}
	golden(t, "buying.txt", text.Bytes())
	golden(t, "buying.json", lines.Bytes())
}

// Every answer that commands give as JSON, with and without what may be missing.
func TestAnswers(t *testing.T) {
	at := time.Date(2026, 11, 3, 12, 30, 0, 0, time.FixedZone("", 3600))
	red := shelf.Alike{Family: cloth.Red, Value: cloth.Dark}
	change := stash.Change{ID: 7, At: at, Verb: "stow", What: "a.jpg: 2 pieces", Undoable: true, Difference: []shelf.Count{
		{Alike: red, Cut: shelf.Square(2.5), Count: 3}, {Alike: shelf.Alike{Own: "sea"}, AreaIn: -12.34},
	}}
	held := []cloth.Holding{
		{ID: 1, Form: cloth.Square, Count: 2, Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5004, LengthIn: 2.5, Measured: true, Mean: hex(120, 20, 30), Print: "a", Basket: "tin", Photo: "ab12", Piece: 3, Trust: 0.876},
		{ID: 2, Form: cloth.Weighed, Count: 1, AreaIn2: 361.77, Bin: "sea", Mean: hex(1, 2, 3)},
	}
	moved := slices.Clone(held)
	moved[0].Family = cloth.Orange
	torn := fault.New("torn.jpg", "it ends", "copy it again")
	piece := cloth.Piece{ID: 2, Family: cloth.Teal, FamilyOr: cloth.Blue, Value: cloth.Medium, Trust: 0.9, FamilyTrust: 0.6, ValueTrust: 0.95}
	values := cloth.Piece{ID: 3, Family: cloth.Teal, Value: cloth.Medium, ValueOr: cloth.Light, Trust: 0.9, FamilyTrust: 0.95, ValueTrust: 0.5}
	stowing := desk.Stowing{
		Photos: []desk.Stowed{
			{Seen: desk.Seen{File: "a.jpg", Found: []cloth.Piece{piece, values}, IDs: map[int]int64{2: 9, 3: 10}}, Stowed: stash.Stowed{Hash: "ab12", Added: 2, Sum: change}, Kept: true},
			{Seen: desk.Seen{File: "b.jpg"}, Stowed: stash.Stowed{Hash: "cd34", Known: true}, Again: &stash.Reread{Hash: "cd34", Before: held, After: append(moved[:1:1], cloth.Holding{ID: 5, Form: cloth.Square, Count: 1, WidthIn: 5, LengthIn: 5})}},
			{Seen: desk.Seen{File: "c.jpg"}, Stowed: stash.Stowed{Hash: "ef56", Known: true}},
		},
		Refused: []*fault.Error{torn}, Change: &change,
	}
	health := stash.Health{NotKept: []string{"a.jpg"}, Telling: []string{"b.jpg"}, Leftover: []string{"x.part"}, Faults: []*fault.Error{torn}, Repaired: []string{"made anew: x"}}
	quilts := []desk.Quilt{
		{Name: "stars", Recipe: "ohio star", WidthIn: 36, LengthIn: 48.12345, Pulled: 4, Lacks: 2, LacksAny: []plan.AnyShort{{For: "strings", In2: 12.345}}, Laid: 3, Stages: map[plan.Stage]int{plan.SewnStage: 1}},
		{Name: "bows", Recipe: "bow tie"},
	}
	var lines bytes.Buffer
	for _, answer := range []any{
		ChangeJSON(change), ChangeJSON(stash.Change{}), ChangesMadeJSON("undone", []stash.Change{change}), StowingJSON(stowing, typed),
		RecountedJSON(desk.Recounted{Change: change, Moved: []desk.Moved{{Photo: "a.jpg", Basket: "tin", Pieces: 2}}, NewBasket: true, Seen: []desk.Seen{{File: "a.jpg", Found: []cloth.Piece{piece}, IDs: map[int]int64{2: 9}}}}, typed),
		SortingJSON(desk.Sorted{Change: change}), ImportedJSON(archive.Imported{Notes: []string{"one"}}), HealthJSON(health, typed),
		FloorsJSON([]shelf.Floor{{Alike: red, Cut: shelf.Square(2.5), Least: 4}}), SettingsJSON(stash.DefaultSettings), QuiltsJSON(quilts),
	} {
		require.NoError(t, AnswerJSON(&lines, answer))
	}
	require.NoError(t, HoldingsJSON(&lines, held, map[string]string{"ab12": "bag/a.jpg"}))
	known := archive.Imported{}
	known.Known = true
	require.NoError(t, AnswerJSON(&lines, ImportedJSON(known)))
	golden(t, "answers.json", bytes.ReplaceAll(lines.Bytes(), []byte(look.Reader()), []byte("reader")))
}

// What is said of a light and of a scale, by where they are from and how sure they are.
func TestReadingsInWords(t *testing.T) {
	for want, l := range map[string]cloth.LightReading{
		"": {},
		"white from the printed card in the photo (sure, 90%)":                                                 {From: "printed card", Trust: 0.9},
		"white from the card in the photo (fairly sure, 89%)":                                                  {From: "card", Trust: 0.89},
		"white from the paper in the photo (fairly sure, 70%)":                                                 {From: "sheet", Trust: 0.7},
		"white from the white ground (unsure, 69%)":                                                            {From: "ground", Trust: 0.69},
		"white from the spot you picked (unsure, 40%)":                                                         {From: "pick", Trust: 0.4},
		"white estimated, with no white thing in view (a guess, 39%); L* may be off by 4 for all pieces alike": {From: "estimate", Trust: 0.39, LightnessSD: 4},
		"white from a moonbeam (a guess, 10%)":                                                                 {From: "a moonbeam", Trust: 0.1, LightnessSD: 3.99},
	} {
		require.Equal(t, want, lightWords(l))
	}
	for want, s := range map[string]cloth.ScaleReading{
		"not known, so no sizes": {},
		"41.1 pixels an inch, from the printed card in the photo (sure, 95%)":                        {PxPerInch: 41.123, From: "printed card", Trust: 0.95},
		"41.1 pixels an inch, from the card in the photo (sure, 95%)":                                {PxPerInch: 41.123, From: "card", Trust: 0.95},
		"41.1 pixels an inch, from the paper in the photo (sure, 95%)":                               {PxPerInch: 41.123, From: "sheet", Trust: 0.95},
		"41.1 pixels an inch, as given":                                                              {PxPerInch: 41.123, From: "given", Trust: 1},
		"41.1 pixels an inch, from an unknown source (a guess, 0%)":                                  {PxPerInch: 41.123},
		"41.1 pixels an inch, from a fathom (a guess, 0%)":                                           {PxPerInch: 41.123, From: "a fathom"},
		"0.5 pixels an inch, from the widths of the pieces themselves (a guess, under 1%; else 0.2)": {PxPerInch: 0.5, From: "widths", Trust: 0.001, Or: 0.25},
	} {
		require.Equal(t, want, scaleWords(s))
	}
}

// A colour or a value that is thin is told with what it was held against; a bin of a
// colour that is thin for the same reason is told with that.
func TestWhatIsThinInWords(t *testing.T) {
	thin := func(f cloth.Family, v cloth.Value, n int, r shelf.Reason, against float64) shelf.Thin {
		return shelf.Thin{Family: f, Value: v, Count: n, Reason: r, Against: against}
	}
	require.Equal(t, []string{
		"bins below the floor of 4: dark red (1), light blue (2)", "colours below the floor of 6: teal (3)",
		"values with less than half as many pieces as the middle value, which has 7½: dark (2)",
		"bins with less than half as many pieces as the middle bin, which has 8: dark teal (1)",
	}, thinWords([]shelf.Thin{
		thin(cloth.Red, cloth.Dark, 1, shelf.BelowFloor, 4), thin(cloth.Blue, cloth.Light, 2, shelf.BelowFloor, 4), thin(cloth.Teal, "", 3, shelf.BelowFloor, 6),
		thin(cloth.Teal, cloth.Light, 1, shelf.BelowFloor, 6), thin("", cloth.Dark, 2, shelf.SmallShare, 7.5), thin(cloth.Teal, cloth.Dark, 1, shelf.SmallShare, 8),
	}))
	require.Equal(t, []string{"colours: red, many", "values: dark"}, missingWords([]shelf.Thin{{Family: cloth.Red}, {Value: cloth.Dark}, {Family: cloth.Many}}))
	require.Empty(t, missingWords(nil))
}

// What a stash comes to, told apart by what is known of it.
func TestTotalsInWords(t *testing.T) {
	for want, x := range map[string]shelf.Totals{
		"nothing yet":                                {Prints: 3},
		"1 piece of known size, 1 print":             {Sized: 1, Prints: 1},
		"1 piece of no known size":                   {Seen: 1},
		"2 pieces of known size, 3 of no known size": {Sized: 2, Seen: 3},
		"5 bands seen on edge":                       {Seen: 5, Bands: 5},
		"2 pieces of no known size, 1 band seen on edge, 1 sq yd weighed": {Seen: 3, Bands: 1, Weighed: 1296},
		"0.01 sq yd weighed": {Weighed: 13},
	} {
		require.Equal(t, want, stashWords(x))
	}
	box := func(f cloth.Form, width float64, count, seen int) shelf.Box {
		return shelf.Box{Cut: shelf.Cut{Form: f, Width: width}, Count: count, Seen: seen}
	}
	require.Equal(t, []string{"", "seen on edge", "no length known", "1 of no known length", "no size known", "2 of no known size"}, mapped([]shelf.Box{
		box(cloth.Square, 2.5, 3, 0), box(cloth.Band, 0, 2, 2), box(cloth.Strip, 2.5, 2, 2), box(cloth.Strip, 2.5, 2, 1), box(cloth.Strip, 0, 2, 2), box(cloth.Square, 0, 3, 2),
	}, unsized))
	require.Equal(t, []string{"½ inch", "1 inch", "1⅛ inches", "6 cm"}, mapped([]float64{0.5, 1, 1.125, 6 / 2.54}, inches))
	require.Equal(t, "with nothing squared off the ends", trimWords(0))
	require.Equal(t, "after ½ inch squared off the end of each", trimWords(0.5))
}

// The photos of a stash with its numbers; of a photo that is not kept only outlines, of
// pieces without an outline only the list.
func TestPhotosOfTheStash(t *testing.T) {
	h := func(id int64, n int) cloth.Holding {
		return cloth.Holding{ID: id, Count: n, Form: cloth.Square, Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5}
	}
	printed := h(3, 4)
	printed.Print, printed.Basket = "print 7", "tin"
	photos := []desk.PhotoPieces{
		{PhotoInfo: stash.PhotoInfo{Name: "bag/lost.jpg"}, Pieces: []desk.OutlinedPiece{{Holding: h(1, 1), Outline: box(60, 50, 40, 40, 20)}, {Holding: h(2, 1), Outline: box(160, 50, 80, 30, 0)}, {Holding: printed}}},
		{PhotoInfo: stash.PhotoInfo{Name: "bare.jpg"}, Pieces: []desk.OutlinedPiece{{Holding: h(4, 1), Outline: geom.Polygon{{X: 1}, {X: 2}}}}},
		{PhotoInfo: stash.PhotoInfo{Name: "empty.jpg"}},
	}
	var b bytes.Buffer
	require.NoError(t, StashPhotosHTML(&b, photos, []cloth.Holding{h(5, 2)}, nil))
	page := b.String()
	before, rest, _ := strings.Cut(page, "<style>")
	_, after, _ := strings.Cut(rest, "</style>")
	golden(t, "photos.html", []byte(before+after))
}

// A column that may go stays for a picture, a bar or codes as it does for words.
func TestColumnsThatSayAnything(t *testing.T) {
	for name, c := range map[string]cell{"words": {Words: "a"}, "cloth": {Chip: plainChip(hex(1, 2, 3))}, "any cloth": {Chip: anyChip()}, "a bar": {Bar: []cloth.Ink{}}, "codes": {Codes: []cloth.Ink{}}} {
		tab := table{Columns: columns("a", "b", "c")}
		tab.Columns[1].mayGo, tab.Columns[2].mayGo = true, true
		tab.add("x", c, "")
		require.Equal(t, []string{"a", "b"}, mapped(tab.answered().Columns, func(c column) string { return c.Head }), name)
		require.Len(t, tab.answered().Rows[0], 2, name)
	}
}

// A paragraph of few lines stays on one sheet; of a longer one the first two do, and the
// last two.
func TestLinesOfAParagraphStayTogether(t *testing.T) {
	p := somePaper(t)
	for n := 2; n < 9; n++ {
		lines := p.lines("", strings.TrimSpace(strings.Repeat(strings.Repeat("m", 50)+" ", n)), plain(bodySize, inkInk), 0)
		require.Len(t, lines, n)
		for i, l := range lines {
			require.Equal(t, i < n-1 && (n <= 6 || i == 0 || i == n-2), l.tied, "line %d of %d", i, n)
		}
	}
}

// The other views of a quilt are half as wide, and as high for that as the quilt is.
func TestViewsOfAQuilt(t *testing.T) {
	a := laidOut(t)
	a.Top.HeightIn = 12
	all := a.views(a.Laid[0], InColour, InGrey, FromAfar)
	require.Equal(t, [][3]any{{"the quilt four in its cloth", viewSide * 96 / 136, viewSide}, {"the quilt in grey", viewSide * 48 / 136, viewSide / 2}, {"the quilt from across the room", viewSide * 48 / 136, viewSide / 2}},
		mapped(all, func(d drawing) [3]any {
			crop := d.Shapes[0].Cloth.Crop
			return [3]any{d.Title, crop.W, crop.H}
		}))
}

// A size is both sides; where one is not known there is none.
func TestSizeOfAPiece(t *testing.T) {
	for want, p := range map[string]cloth.Piece{"2½ × 4½": {WidthIn: 2.5, LengthIn: 4.5}, "": {WidthIn: 2.5}} {
		require.Equal(t, want, size(p))
	}
	require.Empty(t, size(cloth.Piece{LengthIn: 2}))
}

// One pair between other seams makes no block.
func TestPairsBetweenMakeBlocks(t *testing.T) {
	p := Plan{Plan: desk.Plan{System: recipe.Inches(), Between: &plan.Between{SideIn: 2.5, Pairs: 1, Light: 1, Dark: 1}}}
	require.Len(t, p.between().Paras, 1)
	p.Between.Pairs, p.Between.Blocks, p.Between.Columns, p.Between.Rows, p.Between.WidthIn, p.Between.LengthIn = 2, 1, 1, 1, 4, 4
	require.Equal(t, "Sew one at the end of each chain in place of a scrap. Two pairs make a four-patch: 1 four-patch, 1 by 1 of them 4 finished.", p.between().Paras[1])
}

// A block is drawn in letters, of a grid that is finer than what is on it in fewer.
func TestABlockInLetters(t *testing.T) {
	r := builtIn(t, "four-patch")
	l := r.BlockLayout(0)
	for rows, high := range map[int]int{1: 4, 2: 8, 4: 16, 5: 15, 8: 16, 16: 32, 20: 40} {
		lines := sketch(recipe.Block{Columns: rows, Rows: rows}, l, lettersOf(r))
		require.Len(t, lines, high, "%d rows", rows)
		require.Len(t, lines[0], 2*high)
		framed := sketch(recipe.Block{Columns: rows, Rows: rows, FramedIn: 1}, l, lettersOf(r))
		require.Len(t, framed, min(high, 32))
	}
	require.Equal(t, []string{"AAAABBBB", "AAAABBBB", "BBBBAAAA", "BBBBAAAA"}, sketch(recipe.Block{Columns: 1, Rows: 1}, l, lettersOf(r)))
}

// What commands and the page say of changes, pieces and quilts, line by line.
func TestTextsOfTheStash(t *testing.T) {
	at := time.Date(2026, 11, 3, 12, 30, 0, 0, time.Local)
	more := []shelf.Count{{Alike: shelf.Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: shelf.Square(2.5), Count: 3}}
	all := []stash.Change{{ID: 12, At: at, Verb: "add", What: "3 red", Difference: more, Undoable: true}, {ID: 3, At: at, Verb: "set", What: "bins"}}
	require.Equal(t, "* 12  2026-11-03 12:30  add  3 red  +3 red\n  3   2026-11-03 12:30  set  bins   \n", HistoryText(all))
	require.Equal(t, "3 red\n+3 red\n", ChangeText(all[0]))
	require.Equal(t, "bins\n", ChangeText(all[1]))
	require.Equal(t, "a.jpg: 2 pieces from basket tin\nb.jpg: 1 piece from no basket\n3 red\n+3 red\n  +3 dark red, 2½ square\n",
		RecountedText(desk.Recounted{Change: all[0], Moved: []desk.Moved{{Photo: "a.jpg", Basket: "tin", Pieces: 2}, {Photo: "b.jpg", Pieces: 1}}}))
	require.Equal(t, "bins\nno change\n", RecountedText(desk.Recounted{Change: all[1]}))
	require.Equal(t, "1 piece sewn", Marked(desk.Marked{Pieces: 1}, plan.SewnStage))
	require.Equal(t, "2 pieces cut, and 1 more of the same cloth cut; 1 piece of cloth cut, 2 remnants back in the stash; the quilt is sewn", Marked(desk.Marked{Pieces: 2, Others: 1, Cloth: 1, Back: 2, Done: true}, plan.CutStage))

	square := cloth.Holding{ID: 7, Form: cloth.Square, Count: 4, Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5, Print: "dots", Basket: "tin", Photo: "ab", Piece: 3}
	strip := cloth.Holding{ID: 12, Form: cloth.Strip, Count: 1, Bin: "sea", WidthIn: 2.5}
	pieces := desk.Pieces{Held: []cloth.Holding{square, strip}, Names: map[string]string{"ab": "a.jpg"}}
	columns := func(text string) string { return regexp.MustCompile(` {2,}`).ReplaceAllString(text, "  ") }
	require.Equal(t, "number  count  colour  cut  size  print  basket  from\n7  4  dark red  2½ square  2½ × 2½  dots  tin  a.jpg, piece 3\n12  1  sea  2½ strip  by hand\n", columns(PiecesText(pieces)))
	require.Equal(t, "quilt  recipe  finished  from the stash  lacks  laid out  sewn\nstars  star  36 × 48  4  2  3  1\nbows  bow tie  9 × 9  0  0  \n", columns(QuiltsText([]desk.Quilt{
		{Name: "stars", Recipe: "star", WidthIn: 36, LengthIn: 48, Pulled: 4, Lacks: 2, Laid: 3, Stages: map[plan.Stage]int{plan.SewnStage: 1}}, {Name: "bows", Recipe: "bow tie", WidthIn: 9, LengthIn: 9},
	})))

	require.Equal(t, "<b>a  x\nb     y\n", Columns("<b>a\tx", "b\ty"), "a name is no markup")

	blue := square
	blue.Family, blue.Print = cloth.Blue, ""
	require.Equal(t, "nothing would change", RereadText(stash.Reread{Before: []cloth.Holding{square}, After: []cloth.Holding{square}}))
	text := RereadText(stash.Reread{Before: []cloth.Holding{square, strip}, After: []cloth.Holding{blue, {ID: 99, Form: cloth.Square, Family: cloth.Teal, Value: cloth.Light, WidthIn: 5, LengthIn: 5}}})
	require.Contains(t, text, "would change\n  1 piece more: light teal 5 square\n  1 piece fewer: piece 12, sea 2½ strip\n")
	require.Contains(t, text, "piece 7 is blue, was red")

	require.Equal(t, "nothing to sort in\n", SortedText(desk.Sorted{Bins: []string{"sea"}}))
	sorted := desk.Sorted{Bins: []string{"sea", "sky", "sun"}}
	for i, bin := range []string{"sun", "sea", "sun"} {
		x := desk.SortedPiece{}
		x.ID, x.Bin, x.Reason = int64(i+1), bin, "like it"
		sorted.Sorted = append(sorted.Sorted, x)
	}
	require.Equal(t, "sea: 1 sorted in\n  piece 2 (like it)\nsun: 2 sorted in\n  piece 1 (like it)\n  piece 3 (like it)\n", SortedText(sorted))
}

// What pages and commands take of a report by parts.
func TestPartsOfReports(t *testing.T) {
	s := cloth.Sheet{Light: cloth.LightReading{From: "card", Trust: 0.95}, Scale: cloth.ScaleReading{PxPerInch: 40, From: "card", Trust: 0.95}, Notes: []string{"one", "two"}}
	require.Equal(t, []Fact{{"light", "white from the card in the photo (sure, 95%)"}, {"scale", "40.0 pixels an inch, from the card in the photo (sure, 95%)"}, {"note", "one"}, {"note", "two"}}, LookFacts(s))
	require.Equal(t, []Fact{{"scale", "not known, so no sizes"}}, LookFacts(cloth.Sheet{}))

	p := cloth.Piece{Family: cloth.Red, Value: cloth.Dark}
	require.Equal(t, "red, dark", PieceWords(p))
	p.WidthIn, p.LengthIn = 2.5, 4
	require.Equal(t, "red, dark, 2½ × 4", PieceWords(p))
	p.Cut, p.Print, p.With, p.ValueOr = "2½ strip", "print 7", cloth.White, cloth.Medium
	require.Equal(t, "red with white, dark or medium, 2½ strip, print 7", PieceWords(p))

	for f, v := range map[cloth.Family]cloth.Value{cloth.Red: cloth.Medium, cloth.White: cloth.Light, cloth.Yellow: cloth.Light, cloth.Black: cloth.Dark, cloth.Grey: cloth.Medium} {
		want, _ := standIn(f, v)
		require.Equal(t, want.Hex(), StandIn(f), f)
	}

	require.Equal(t, "A heading\nand more\n", textOfDocument(t, Titled("A heading", "and more"), 0))

	red := cloth.Holding{Measured: true, ReadsAs: hex(200, 30, 30)}
	c, ok := Fill(red)
	require.Equal(t, red.ReadsAs, c)
	require.True(t, ok)
	_, ok = Fill(cloth.Holding{})
	require.False(t, ok)

	require.Equal(t, "dots, dark red", PrintWords(cloth.Holding{Print: "dots", Family: cloth.Red, Value: cloth.Dark}))
	require.Equal(t, "dots", PrintWords(cloth.Holding{Print: "dots"}))
	crop := &Crop{W: 8}
	photos := []desk.PhotoPieces{{Pieces: []desk.OutlinedPiece{{Holding: cloth.Holding{ID: 1, Print: "dots", Measured: true}}, {Holding: cloth.Holding{ID: 2, Print: "stripes", Measured: true}}}}}
	require.Equal(t, map[string]*Crop{desk.MeasuredPrint(photos[0].Pieces[0].Holding): crop}, Crops{1: crop}.ByPrint(photos))

	around := Shelf{Shelf: desk.Shelf{Stock: shelf.TakeStock([]cloth.Holding{{Form: cloth.Square, Count: 1, Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5}}, shelf.StockOptions{})}}
	heads := mapped(around.Around().sections, func(s section) string { return s.Heading })
	for _, h := range []string{onTheShelf, nothingYet, onlyThin} {
		require.NotContains(t, heads, h)
	}
	require.Contains(t, heads, "Balance")

	a := laidOut(t)
	for how, side := range map[Viewing]int{InColour: viewSide, InGrey: viewSide} {
		var b bytes.Buffer
		require.NoError(t, a.View(&b, a.Laid[0], how))
		m, err := jpeg.Decode(&b)
		require.NoError(t, err)
		require.Equal(t, image.Pt(side, side), m.Bounds().Size())
	}
	var b bytes.Buffer
	require.NoError(t, a.Small(&b, a.Laid[0]))
	m, err := jpeg.Decode(&b)
	require.NoError(t, err)
	require.Equal(t, image.Pt(otherSide, otherSide), m.Bounds().Size())

	var lines bytes.Buffer
	require.NoError(t, RecipeJSON(&lines, builtIn(t, "double-irish-chain"), recipe.Inches()))
	require.NoError(t, RecipeJSON(&lines, builtIn(t, "ohio-star"), recipe.Centimetres(0.75/2.54)))
	require.NoError(t, SettingDrawing(&lines, builtIn(t, "four-patch")))
	golden(t, "recipes.json", lines.Bytes())
}

// Of a quilt that lacks nothing nothing is wanted; cloth that stands clear is not warned of.
func TestNothingIsWanted(t *testing.T) {
	p := somePlan(t, "plain-squares", plan.Order{Columns: 1, Rows: 1}, someStock(), recipe.Inches())
	p.Pull = &plan.Pull{Needs: &plan.Needs{Recipe: p.Needs.Recipe}}
	p.Pull.Needs.Shop = p.Needs.Shop
	require.Equal(t, []string{"Nothing."}, p.shortage().Paras)
	require.Equal(t, section{}, p.layouts(), "no cloth is bought, so none is drawn")

	p = somePlan(t, "reading-corner", plan.Order{Columns: 2, Rows: 2}, someStock(), recipe.Inches())
	p.Ground = &contrast.Print{Name: "linen", Colour: colour.Lab{L: 72}.Linear()}
	for _, line := range p.sinking() {
		require.NotContains(t, line, "standing clear")
	}
	before := p.sinking()
	require.NotEmpty(t, before)
	for i := range p.Holdings {
		p.Holdings[i].Measured = false
	}
	require.Empty(t, p.sinking(), "of cloth by hand no colour was measured")
}

// Pieces to read exactly: four triangles, a quilt of one border, a row of bins of one piece.
func TestSewnAndShownExactly(t *testing.T) {
	w := sewer{System: recipe.Inches()}
	var roles []recipe.Role
	for _, name := range []string{"north", "east", "south", "west"} {
		roles = append(roles, recipe.Role{Name: name})
	}
	steps := w.steps(recipe.Batch{Unit: recipe.Unit{Make: recipe.QuarterSquare, Roles: roles, Wide: 1, High: 1}, Set: 1}, 4)
	require.Contains(t, steps, "Lay out four triangles: north above, east right, south below, west left.")

	r := *builtIn(t, "four-patch")
	r.Borders = make([]recipe.Border, 1)
	require.Contains(t, strings.Join(w.topSteps(&r, nil), "\n"), "\nSew the sides of the border on first, then its top and bottom.")
	r.Borders = make([]recipe.Border, 2)
	require.Contains(t, strings.Join(w.topSteps(&r, nil), "\n"), "\nBorder 1: sew its sides on first, then its top and bottom. Measure through the middle of the top, not along its edge. Press toward the border.\nBorder 2: sew")

	one := []cloth.Holding{{Form: cloth.Square, Count: 1, Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5}}
	s := Shelf{Shelf: desk.Shelf{Holdings: one, Stock: shelf.TakeStock(one, shelf.StockOptions{Bins: shelf.ByFamily})}}
	require.InDelta(t, 1, s.baskets(tonesOf(one)).Rows[0][4].Bar[0].Share, 1e-12, "the fullest bin's bar is full")

	for n, want := range map[int]string{1: "a", 5: "a, a, a, a, a", 6: "a, a, a, a and 2 others"} {
		require.Equal(t, want, few(slices.Repeat([]string{"a"}, n)))
	}
	for _, x := range []struct {
		order, want int
	}{{4, 3}, {9, 3}, {10, 3}, {16, 4}} {
		n, _ := sampleSetting(&recipe.Recipe{WidthIn: 12, HeightIn: 12, Setting: recipe.Setting{Kind: recipe.Straight, Order: make([]int, x.order)}})
		require.Equal(t, x.want, n)
	}
}

// A sheet of many pieces has more of them side by side, and is no wider.
func TestColumnsOfTheContactSheet(t *testing.T) {
	for n, columns := range map[int]int{1: 8, 60: 8, 61: 10, 200: 10, 201: 11} {
		var s cloth.Sheet
		for i := range n {
			s.Pieces = append(s.Pieces, measured(i+1, box(50, 50, 40, 40, 0), cloth.Red, hex(200, 30, 30)))
		}
		c := newContact(NewLook([]cloth.Sheet{s}, nil, shelf.Options{}))
		require.Equal(t, columns, c.columns, "%d pieces", n)
		require.LessOrEqual(t, c.W, float64(contactWide))
	}
}

// How many pixels of a crop are an inch is known of squares, rectangles and strips of a known
// size alone.
func TestScaleOfACrop(t *testing.T) {
	quad := []geom.Point{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}
	of := func(f cloth.Form, w, l float64) float64 {
		return cropScale(desk.OutlinedPiece{Holding: cloth.Holding{Form: f, WidthIn: w, LengthIn: l}, Outline: quad}, quad, 2500)
	}
	for _, f := range []cloth.Form{cloth.Square, cloth.Rectangle, cloth.Strip} {
		require.InDelta(t, 20, of(f, 2.5, 2.5), 1e-9, f)
		require.Zero(t, of(f, 0, 2.5))
		require.Zero(t, of(f, 2.5, 0))
	}
	for _, f := range []cloth.Form{cloth.Irregular, cloth.Band, cloth.Weighed} {
		require.Zero(t, of(f, 2.5, 2.5), f)
	}
	require.Zero(t, cropScale(desk.OutlinedPiece{Holding: cloth.Holding{Form: cloth.Square, WidthIn: 2, LengthIn: 2}, Outline: quad}, nil, 2500))
}
