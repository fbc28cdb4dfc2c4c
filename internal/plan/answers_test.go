package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/testtable"
)

// lines of reasons, those under another one indented.
func reasons(all []recipe.Why, indent string) (out []string) {
	for _, w := range all {
		out = append(append(out, indent+w.Text), reasons(w.Steps, indent+" ")...)
	}
	return out
}

// saidOf is what is said of what a quilt is cut from.
func saidOf(n *Needs) map[string][]string {
	out := map[string][]string{"why": reasons([]recipe.Why{n.Why}, ""), "notes": append(slices.Clone(n.Notes), n.Tight...)}
	add := func(format string, args ...any) { out["needs"] = append(out["needs"], fmt.Sprintf(format, args...)) }
	add("%d × %d, %s, %.4f × %.4f, %+v, tones %+v", n.Columns, n.Rows, n.Set(), n.WidthIn, n.LengthIn, n.Places, n.ByTone())
	for _, y := range n.Yardage {
		add("%s: %d pieces of %.3f, %.4f asked %.4f buy %.4f: %s", y.Role.Name, y.Pieces, y.AreaIn2, y.LengthIn, y.AskedIn, y.BuyIn, y.Buy)
	}
	for _, b := range n.Borders {
		add("%s %s: %.4f wide, %.4f %.4f long, %d strips, %d aslant, mitred %v, stash %v", b.What, b.Role.Name, b.CutIn, b.SideIn, b.TopIn, b.Strips, b.Aslant, b.Mitred, b.FromStash)
		out["needs"] = append(out["needs"], reasons([]recipe.Why{b.Why}, " ")...)
	}
	b := n.Binding
	add("binding %s: %.4f wide, %.4f round, %.4f, %d strips, stash %v", b.Role.Name, b.CutIn, b.AroundIn, b.RoundIn, b.Strips, b.FromStash)
	out["needs"] = append(out["needs"], reasons([]recipe.Why{b.Why}, " ")...)
	k := n.Backing
	add("backing %s: %.4f × %.4f, best %d, as you go %+v", k.Role.Name, k.WidthIn, k.LengthIn, k.Best, k.AsYouGo)
	for _, w := range k.Ways {
		add("%s: %d of %.4f, %.4f asked %.4f buy %.4f: %s", w.Seams, w.Panels, w.PanelIn, w.LengthIn, w.AskedIn, w.BuyIn, w.Buy)
	}
	for _, t := range n.Turned {
		add("turned %s %s %d", t.Role.Name, t.What, t.Patches)
	}
	return out
}

func gapLines(gaps []Gap) (out []string) {
	for _, g := range gaps {
		out = append(out, fmt.Sprintf("gap %s of %q: %.4g × %.4g, %d pieces, set %d of %d, cloth %.4f", g.Sought, g.Quilt, g.WidthIn, g.LengthIn, g.Pieces, g.Set, g.Each, g.ClothIn))
	}
	return out
}

// pulledOf is what is said of what a stash gives a quilt.
func pulledOf(p Pull) (out []string) {
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	wanted, covered, short := p.Totals()
	add("%d wanted, %d covered, %d short, short of each %v", wanted, covered, short, p.Cover.Short)
	out = append(out, gapLines(p.Gaps("mine"))...)
	add("takes %v", p.Takes())
	add("pulled %v, besides %v", p.Pulled(), p.Besides())
	for _, s := range p.Sets() {
		add("set %s %v: %d, %d covered", s.Role.Name, s.Pieces, s.Count, s.Covered)
	}
	for _, s := range p.Scraps {
		add("%s of %s: %.3f wanted, %.3f given, %.4f lacking, short %.3f, %v, %v", s.For, s.Role.Name, s.WantedIn2, s.GivenIn2, s.Lacking, s.ShortIn2(), s.Pulled, s.Lengths)
	}
	for _, s := range p.Strips {
		add("strips: %.4f wide, need %.4f, join %.4f, have %.4f, short %.4f, %d joins, buy %.4f, %v", s.CutIn, s.NeedIn, s.JoinIn, s.HaveIn(), s.ShortIn(), s.Joins(), s.BuyIn(), s.From)
		out = append(out, reasons([]recipe.Why{s.Why(p.Needs.Shop.System)}, " ")...)
	}
	for i, g := range p.Segments {
		add("segment %s: %d of %.4f, %d sewn", g.What, g.Count, g.AcrossIn, p.Sewn(i))
	}
	for _, s := range p.StripSets {
		add("strip set of %d: %v, %d segments, %.4f long", s.Of, s.Strips, s.Segments, s.LengthIn)
	}
	in, err := p.BackgroundIn()
	add("background %.4f %v, unsewn %q", in, err, p.Unsewn)
	for _, side := range []float64{2, 2.5, 5} {
		b := p.PairsBetween(side, p.Stock, "", cutting.Options{})
		add("between %.4g: %d light, %d medium, %d dark: %d pairs, %d blocks, %d × %d, %.4f × %.4f", b.SideIn, b.Light, b.Medium, b.Dark, b.Pairs, b.Blocks, b.Columns, b.Rows, b.WidthIn, b.LengthIn)
		out = append(out, reasons([]recipe.Why{b.Why}, " ")...)
	}
	return out
}

func boughtOf(s Shopping) (out []string) {
	for _, p := range s.Buy {
		fat := ""
		if p.Fat != nil {
			fat = p.Fat.Name
		}
		out = append(out, fmt.Sprintf("%s, swatch %s %v: %d pieces in %d prints, %s × %d (%d quarters), %.4f buy %.4f %s, weighed %.1f, unlocks %v helps %v", p.Sought, p.Swatch, p.HasSwatch, p.Pieces, p.Prints, fat, p.FatCount, p.FatCountOf("fat quarter"), p.LengthIn, p.BuyIn, p.Buy, p.WeighedIn2, p.Unlocks, p.Helps))
		out = append(append(out, gapLines(p.Gaps)...), reasons([]recipe.Why{p.Why}, " ")...)
	}
	for _, e := range s.Enough {
		out = append(out, fmt.Sprintf("enough of %s: %d, %s", e.Name, e.Count, e.Reason))
	}
	return out
}

// aStash is squares, strips, rectangles and odd pieces of a dozen colours.
func aStash() (out []cloth.Holding) {
	forms := []cloth.Form{cloth.Square, cloth.Strip, cloth.Rectangle, cloth.Irregular, cloth.Square, cloth.Strip}
	for i := range 18 {
		h := cloth.Holding{ID: int64(i + 1), Form: forms[i%6], Count: 1 + i%4, WidthIn: []float64{2.5, 1.5, 5, 8, 3.5}[i%5], LengthIn: float64(12 + 7*(i%5)),
			Family: cloth.Families[i%11], Value: cloth.Values[i%5], Print: fmt.Sprint("print ", i%13), Trust: 1}
		if h.Form == cloth.Square {
			h.LengthIn = h.WidthIn
		}
		if i%7 == 3 {
			h.Bin = "sea greens"
		}
		if i == 16 {
			h.Form, h.WidthIn, h.LengthIn, h.AreaIn2 = cloth.Weighed, 0, 0, 400
		}
		out = append(out, h)
	}
	return out
}

// What quilts of all kinds are cut from and why, and what a stash gives for them, as it was
// read over when it was kept.
func TestQuiltsArePlannedAsKept(t *testing.T) {
	metric := Defaults(recipe.Centimetres(0.75 / 2.54))
	metric.SquaringIn, metric.SquaringAcrossIn, metric.Shrink, metric.BackWOFIn = 0.5, 1, 0.05, 60
	sewn, stash := inInches(), inInches()
	sewn.StripSets, sewn.OneByOne = true, true
	stash.BindingFrom, stash.BorderFrom, stash.OneByOne = Stash, Stash, true
	stock := aStash()
	all, lists := map[string]any{}, map[string]any{}
	for _, c := range []struct {
		name string
		shop Shop
		o    Order
		of   string // patches that match
	}{
		{"nine-patch", inInches(), Order{Columns: 2, Rows: 2}, ""},
		{"nine-patch-in-piano-keys", stash, Order{Columns: 1, Rows: 1}, ""},
		{"medallion", stash, Order{}, ""},
		{"sampler", metric, Order{Columns: 3, Rows: 3}, ""},
		{"ohio-star", stash, Order{Columns: 1, Rows: 2}, recipe.UsualMatching},
		{"strings", stash, Order{Columns: 2, Rows: 2}, ""},
		{"crumbs", inInches(), Order{Columns: 3, Rows: 3}, ""},
		{"rail-fence", sewn, Order{Columns: 3, Rows: 2}, ""},
		{"bricks", metric, Order{WidthIn: 15, LengthIn: 12, Shrinks: 0.04}, ""},
		{"quilt-as-you-go", inInches(), Order{Columns: 2, Rows: 2}, ""},
		{"row-quilt", inInches(), Order{Columns: 5, Rows: 10}, ""},
		{"single-irish-chain", inInches(), Order{Bed: "queen"}, ""},
		{"double-irish-chain", metric, Order{Bed: "single"}, ""},
		{"flying-geese", inInches(), Order{Blocks: 3}, ""},
	} {
		r, err := recipe.BuiltIn(c.name)
		if err != nil {
			continue
		}
		if c.of != "" {
			r, err = r.Match(c.of)
			require.NoError(t, err)
		}
		c.o.Recipe = r
		if c.o.WidthIn > 0 {
			c.shop.OneWay = []string{r.Blocks[0].Units[0].Roles[0].Name}
		}
		n, err := Need(c.o, c.shop)
		require.NoError(t, err, c.name)
		kept := saidOf(n)
		all[c.name] = kept
		if c.o.Bed != "" || c.name == "sampler" || c.name == "medallion" || c.name == "row-quilt" { // what a stash gives of so large a quilt takes seconds to find
			continue
		}
		for _, ground := range []string{"", "print 3"} {
			p, err := FromStash(n, stock, nil, ground, cutting.Options{Trim: 0.25, Metric: c.shop.System.Metric})
			require.NoError(t, err)
			kept["pulled "+ground] = pulledOf(p)
			kept["pulled "+ground] = append(kept["pulled "+ground], p.CouldSew(stock, nil, ground, cutting.Options{}))
			if ground != "" {
				continue
			}
			again, err := FromStash(n, stock, p.Pulled()[:len(p.Pulled())/2], "", cutting.Options{Trim: 0.25})
			require.NoError(t, err)
			kept["with half of its own"] = pulledOf(again)[:2]
			saved := p.Saved("mine")
			kept["saved"] = []string{fmt.Sprintf("%s %.4f × %.4f, %d × %d of %.4f matching %q", saved.Recipe, saved.WidthIn, saved.LengthIn, saved.Top.Columns, saved.Top.Rows, saved.Top.BlockIn, saved.Top.Matching)}
			for _, a := range saved.AnyShort {
				kept["saved"] = append(kept["saved"], a.String())
			}
			order, err := saved.Top.Order("mine")
			require.NoError(t, err)
			require.Equal(t, []any{n.Columns, n.Rows, r.WidthIn}, []any{order.Columns, order.Rows, order.Recipe.WidthIn})
			for _, h := range []Habits{{Shop: c.shop}, {Shop: c.shop, EachPrint: 6, NoQuarters: true}} {
				held := []Held{{Name: "dark blue", Sought: Sought{Family: cloth.Blue, Value: cloth.Dark}, Count: 40, Needed: 3, Least: 4}, {Name: "greens", Sought: Sought{Bin: "sea greens"}, Count: 9, WeighedIn2: 300}, {Name: "red", Sought: Sought{Family: cloth.Red, Value: cloth.Medium}, Count: 2, Wanted: true}}
				thin := []Gap{{Sought: Sought{Family: cloth.Teal, Value: cloth.Light}, WidthIn: 2.5, LengthIn: 2.5, Pieces: 12}, {Sought: Sought{Bin: "sea greens"}, WidthIn: 5, LengthIn: 5, Pieces: 3}}
				list, err := Buy(append(p.Gaps("mine"), thin...), held, h)
				require.NoError(t, err)
				lists[fmt.Sprint(c.name, " ", h.EachPrint)] = boughtOf(list)
			}
		}
	}
	testtable.Kept(t, "quilts", all, 1e-6)
	testtable.Kept(t, "bought", lists, 1e-6)
}

// What cannot be planned is refused with what can be asked instead.
func TestOrdersAreRefusedAsKept(t *testing.T) {
	all := map[string]string{}
	say := func(what string, n *Needs, err error) {
		if f := fault.Of(err); f != nil {
			all[what] = f.Error() + " → " + f.Remedy
		} else if err == nil {
			all[what] = fmt.Sprintf("%d × %d: %.4f × %.4f %s", n.Columns, n.Rows, n.WidthIn, n.LengthIn, strings.Join(append(reasons(n.Why.Steps[1:2], ""), n.Notes...), "; "))
		} else {
			all[what] = err.Error()
		}
	}
	nine, chain, medallion, rows := builtIn(t, "nine-patch"), builtIn(t, "single-irish-chain"), builtIn(t, "medallion"), builtIn(t, "row-quilt")
	for what, o := range map[string]Order{
		"nothing": {Recipe: nine}, "blocks": {Recipe: nine, Blocks: 1}, "no blocks": {Recipe: nine, Blocks: -1}, "prime": {Recipe: nine, Blocks: 17}, "as many": {Recipe: nine, Blocks: 10_000}, "too many": {Recipe: nine, Blocks: 10_001},
		"columns alone": {Recipe: nine, Columns: 3}, "rows alone": {Recipe: nine, Rows: 3}, "1 × 1": {Recipe: nine, Columns: 1, Rows: 1}, "wide": {Recipe: nine, Columns: 101, Rows: 100}, "even": {Recipe: chain, Columns: 4, Rows: 5}, "even blocks": {Recipe: chain, Blocks: 12}, "odd": {Recipe: chain, Columns: 5, Rows: 5},
		"width alone": {Recipe: nine, WidthIn: 40}, "length alone": {Recipe: nine, LengthIn: 40}, "small": {Recipe: nine, WidthIn: 0.1, LengthIn: 0.1}, "large": {Recipe: nine, WidthIn: 400, LengthIn: 400}, "huge": {Recipe: nine, WidthIn: 2000, LengthIn: 20}, "shrinks": {Recipe: nine, WidthIn: 40, LengthIn: 50, Shrinks: 0.2}, "shrinks much": {Recipe: nine, WidthIn: 40, LengthIn: 50, Shrinks: 0.21}, "grows": {Recipe: nine, WidthIn: 40, LengthIn: 50, Shrinks: -0.1},
		"bed": {Recipe: nine, Bed: "twin"}, "bed with shrinkage": {Recipe: nine, Bed: "twin", Shrinks: 0.05}, "no bed": {Recipe: nine, Bed: "sofa"}, "by its mattress": {Recipe: nine, Bed: "90x190"}, "two sizes": {Recipe: nine, Bed: "twin", Blocks: 4}, "two more": {Recipe: nine, Columns: 3, Rows: 3, WidthIn: 40, LengthIn: 40},
		"only layout": {Recipe: medallion}, "another layout": {Recipe: medallion, Columns: 9, Rows: 9}, "layout by size": {Recipe: medallion, WidthIn: 60, LengthIn: 60}, "fewer rows": {Recipe: rows, Columns: 5, Rows: 8}, "one row less": {Recipe: rows, Columns: 5, Rows: 11},
	} {
		n, err := Need(o, inInches())
		say(what, n, err)
		o.WidthIn, o.LengthIn = o.WidthIn*2, o.LengthIn*2
		n, err = Need(o, Defaults(recipe.Centimetres(0.75/2.54)))
		say(what+", cm", n, err)
	}
	for what, change := range map[string]func(*Shop){
		"narrow": func(s *Shop) { s.WOFIn = 9.9 }, "10 wide": func(s *Shop) { s.WOFIn = 10 }, "wide": func(s *Shop) { s.WOFIn = 121 }, "back": func(s *Shop) { s.BackWOFIn = 5 }, "shrink": func(s *Shop) { s.Shrink = 0.51 }, "shrink less": func(s *Shop) { s.Shrink = -0.1 }, "half": func(s *Shop) { s.Shrink = 0.5 },
		"squaring": func(s *Shop) { s.SquaringIn = -1 }, "squaring across": func(s *Shop) { s.SquaringAcrossIn = 39 }, "squaring below": func(s *Shop) { s.SquaringAcrossIn = -1 }, "no seam": func(s *Shop) { s.System.Seam = 0 }, "wide seam": func(s *Shop) { s.System.Seam = 1.1 }, "no marks": func(s *Shop) { s.System.Step = 0 }, "trim": func(s *Shop) { s.System.Trim = 3 }, "trim below": func(s *Shop) { s.System.Trim = -0.1 },
		"way up": func(s *Shop) { s.OneWay = []string{"nobody"} }, "binding": func(s *Shop) { s.BindingExtraIn = -1 }, "binding much": func(s *Shop) { s.BindingExtraIn = 500 },
	} {
		s := inInches()
		change(&s)
		n, err := Need(Order{Recipe: nine, Columns: 3, Rows: 3}, s)
		say("shop: "+what, n, err)
	}
	for _, b := range Beds {
		all["bed "+b.Name] = b.Mattress() + ", " + b.Quilt()
	}
	testtable.Kept(t, "orders", all, 0)
}

// What the best widths of a block are for a stash, and which quilts it covers.
func TestChoicesAreAsKept(t *testing.T) {
	all := map[string][]string{}
	stock := aStash()
	for _, name := range []string{"four-patch"} {
		r := builtIn(t, name)
		for _, o := range []Order{{Recipe: r, Columns: 1, Rows: 2}} {
			c, err := Choose(o, inInches(), o.Columns > 0, stock, nil, "", cutting.Options{})
			require.NoError(t, err)
			key := fmt.Sprint(name, o.Columns)
			all[key] = append(all[key], fmt.Sprintf("reckoned %d weighed %d saved %.3f", c.Reckoned, c.Weighed, c.SavedIn2()))
			for _, u := range append(slices.Clone(c.Best), c.AsIs) {
				all[key] = append(all[key], fmt.Sprintf("%.4f wide, %.4f × %.4f, %d of %d, %d as they are, %.3f of %.3f, yield %.4f cover %.4f: %s; %s", u.Recipe.WidthIn, u.WidthIn, u.LengthIn, u.Covered, u.Wanted, u.AsTheyAre, u.In2, u.ClothIn2, u.Yield(), u.Cover, u.Words(recipe.Inches()), u.Differs(c.AsIs, recipe.Inches())))
			}
		}
	}
	found, err := Ideas([]*recipe.Recipe{builtIn(t, "four-patch"), builtIn(t, "plain-squares"), builtIn(t, "hourglass"), builtIn(t, "strings"), builtIn(t, "crumbs")}, append(stock, scraps(60, 7)...), inInches(), cutting.Options{}, 3)
	require.NoError(t, err)
	for _, i := range found.Ideas {
		next := ""
		if i.Next != nil {
			next = i.Next.Name
		}
		all["ideas"] = append(all["ideas"], fmt.Sprintf("%s %.4f: %d × %d, taken %d, full %d, bound %v, next %s", i.Needs.Recipe.Name, i.Needs.Recipe.WidthIn, i.Needs.Columns, i.Needs.Rows, i.Taken, i.Full, i.Bound, next))
		all["ideas"] = append(all["ideas"], gapLines(i.Lacking)...)
		for role, ids := range i.Cloth {
			all["ideas of "+i.Needs.Recipe.Name] = append(all["ideas of "+i.Needs.Recipe.Name], fmt.Sprint(role, " ", len(ids), " ", ids[:min(8, len(ids))]))
		}
		slices.Sort(all["ideas of "+i.Needs.Recipe.Name])
	}
	for _, u := range found.None {
		all["none"] = append(all["none"], fmt.Sprint(u.Recipe.Name, " ", u.Columns, u.Rows))
		all["none"] = append(all["none"], gapLines(u.Lacking)...)
	}
	all["more"] = []string{fmt.Sprint(found.More)}
	testtable.Kept(t, "choices", all, 1e-6)
}

// Every swatch that there is, by family, tone and value.
func TestSwatchesAreAsKept(t *testing.T) {
	all := map[string]string{}
	for _, f := range append([]cloth.Family{""}, cloth.Families...) {
		for _, v := range append([]cloth.Value{""}, cloth.Values...) {
			if m, ok := SwatchOf(Sought{Family: f, Value: v}); ok {
				all[fmt.Sprint(f, " ", v)] = m.String()
			}
		}
		for _, tone := range []recipe.Tone{recipe.LightTone, recipe.MediumTone, recipe.DarkTone} {
			if m, ok := SwatchOf(Sought{Family: f, Tone: tone}); ok {
				all[fmt.Sprint(f, " of tone ", tone)] = m.String()
			}
			families, values := Allowed(f, tone)
			all[fmt.Sprint("allowed ", f, tone)] = fmt.Sprint(families, values)
			all[fmt.Sprint("said ", f, tone)] = Sought{Family: f, Tone: tone}.String() + "; " + Sought{Family: f, Value: cloth.Dark}.String()
		}
	}
	testtable.Kept(t, "swatches", all, 0)
}
