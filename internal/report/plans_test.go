package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// largeStock is a stash of every form, measured and by hand, with and without a print, a
// basket and a length.
func largeStock() []cloth.Holding {
	out := someStock()
	add := func(h cloth.Holding) {
		h.ID, h.Trust = int64(len(out)+1), 1
		if h.Mean != (colour.Linear{}) {
			h.Measured, h.ReadsAs, h.Lightness = true, h.Mean, h.Mean.Lab().L
			h.Value = cloth.ValueOf(h.Lightness)
		}
		out = append(out, h)
	}
	add(cloth.Holding{Form: cloth.Square, Count: 6, Family: cloth.Blue, Value: cloth.Dark, WidthIn: 5, LengthIn: 5, Print: "anchors", Basket: "blues"})
	add(cloth.Holding{Form: cloth.Square, Count: 3, Family: cloth.Purple, Value: cloth.Dark, WidthIn: 5, LengthIn: 5, Bin: "plums", Basket: "tin"})
	add(cloth.Holding{Form: cloth.Strip, Count: 8, Family: cloth.Brown, Mean: hex(90, 60, 40), WidthIn: 2.5, LengthIn: 42, Print: "bark", Basket: "strips"})
	add(cloth.Holding{Form: cloth.Strip, Count: 4, Family: cloth.White, Mean: hex(240, 236, 225), WidthIn: 2.5, LengthIn: 40, Print: "linen", Basket: "strips"})
	add(cloth.Holding{Form: cloth.Strip, Count: 2, Family: cloth.Teal, Mean: hex(60, 140, 140), WidthIn: 5.25, LengthIn: 40, Basket: "strips"})
	add(cloth.Holding{Form: cloth.Rectangle, Count: 2, Family: cloth.Grey, Mean: hex(130, 130, 130), WidthIn: 9, LengthIn: 21, Print: "print 7"})
	add(cloth.Holding{Form: cloth.Rectangle, Count: 1, Family: cloth.White, Mean: hex(240, 236, 225), WidthIn: 18, LengthIn: 22, Print: "linen", Basket: "shelf"})
	add(cloth.Holding{Form: cloth.Square, Count: 5, Family: cloth.Orange, Mean: hex(210, 120, 40), WidthIn: 2.47, LengthIn: 2.47, Print: "suns"})
	add(cloth.Holding{Form: cloth.Irregular, Count: 30, Family: cloth.Many, Mean: hex(140, 120, 110), WidthIn: 3, LengthIn: 7, Basket: "crumbs"})
	add(cloth.Holding{Form: cloth.Strip, Count: 40, Family: cloth.Green, Mean: hex(80, 150, 80), WidthIn: 1.5, LengthIn: 12, Print: "moss", Basket: "strings"})
	add(cloth.Holding{Form: cloth.Strip, Count: 2, Family: cloth.Black, Value: cloth.Dark, WidthIn: 2.25, Basket: "strips"})
	return out
}

// aPlan is a request as the plans below are made of: what of a shop and of the stash is
// other than usual.
type aPlan struct {
	name       string
	order      plan.Order
	system     recipe.System
	stock      []cloth.Holding // nil: held against none
	own        []plan.Pulled
	background string
	shop       func(*plan.Shop)
	cut        cutting.Options
	choose     bool
	between    float64 // inches; 0: not asked for
	with       func(*Plan)
}

func (a aPlan) made(t *testing.T) Plan {
	t.Helper()
	shop := plan.Defaults(a.system)
	shop.OneByOne = a.stock != nil
	if a.shop != nil {
		a.shop(&shop)
	}
	if a.order.Recipe == nil {
		a.order.Recipe = builtIn(t, a.name)
	}
	n, err := plan.Need(a.order, shop)
	require.NoError(t, err, a.name)
	p := Plan{Wording: typed, Why: true, Plan: desk.Plan{Quilt: a.name, Needs: n, System: a.system, Holdings: a.stock}}
	switch {
	case a.choose:
		c, err := plan.Choose(a.order, shop, false, a.stock, a.own, a.background, a.cut)
		require.NoError(t, err)
		p.Choice, p.Pull, p.Needs = &c, &c.Pull, c.Needs
	case a.stock != nil:
		pull, err := plan.FromStash(n, a.stock, a.own, a.background, a.cut)
		require.NoError(t, err)
		p.Pull, p.Needs = &pull, pull.Needs
	}
	if a.between > 0 {
		b := p.Pull.PairsBetween(a.between, a.stock, a.background, a.cut)
		p.Between = &b
	}
	if a.with != nil {
		a.with(&p)
	}
	return p
}

// somePlans are requests of every sort.
func somePlans() []aPlan {
	in, cm := recipe.Inches(), recipe.Centimetres(7.5/25.4)
	all := largeStock()
	example := func() *recipe.Recipe {
		r, err := recipe.Read("gate.toml", []byte(recipe.Example))
		if err != nil {
			panic(err)
		}
		return r
	}
	return []aPlan{
		{name: "bow-tie", order: plan.Order{Columns: 3, Rows: 2}, system: in, stock: all, with: func(p *Plan) {
			p.Left = []desk.LeftTo{{Quilt: "door quilt", Pieces: 1}, {Quilt: "picnic", Pieces: 12}}
		}},
		{name: "ohio-star", order: plan.Order{Columns: 1, Rows: 2}, system: in, stock: all, background: "linen", with: func(p *Plan) {
			p.Ground = &contrast.Print{Name: "linen", Colour: hex(240, 236, 225)}
		}},
		{name: "nine-patch", order: plan.Order{Columns: 2, Rows: 2}, system: in, stock: all, shop: func(s *plan.Shop) { s.StripSets = true }},
		{name: "rail-fence", order: plan.Order{Columns: 4, Rows: 4}, system: in, stock: all, between: 2.5, shop: func(s *plan.Shop) {
			s.StripSets, s.BindingFrom, s.BorderFrom = true, plan.Stash, plan.Stash
		}},
		{name: "gate", order: plan.Order{Recipe: example(), Columns: 2, Rows: 3}, system: in, stock: all, shop: func(s *plan.Shop) {
			s.BindingFrom, s.BorderFrom, s.OneWay = plan.Stash, plan.Stash, []string{"points"}
		}},
		{name: "strings", order: plan.Order{Columns: 2, Rows: 2}, system: in, stock: all},
		{name: "crumbs", order: plan.Order{Columns: 3, Rows: 2}, system: in, stock: all},
		{name: "quilt-as-you-go", order: plan.Order{Columns: 3, Rows: 2}, system: in},
		{name: "quilt-as-you-go", order: plan.Order{Columns: 1, Rows: 2}, system: cm, stock: all},
		{name: "sawtooth-star", order: plan.Order{Columns: 1, Rows: 1}, system: cm, stock: all, shop: func(s *plan.Shop) { s.Shrink = 0.05 }},
		{name: "medallion", system: in, stock: all},
		{name: "sampler", order: plan.Order{Columns: 2, Rows: 3}, system: in},
		{name: "double-irish-chain", order: plan.Order{Columns: 3, Rows: 3}, system: in, stock: []cloth.Holding{}},
		{name: "flying-geese", order: plan.Order{Bed: "cot", Shrinks: 0.04}, system: in},
		{name: "maple-leaf", order: plan.Order{Columns: 2, Rows: 2}, system: in, stock: all, choose: true},
		{name: "plain-squares", order: plan.Order{WidthIn: 10, LengthIn: 8}, system: in, stock: all, choose: true},
		{name: "snowball", order: plan.Order{Columns: 1, Rows: 1}, system: in, stock: all[:1], cut: cutting.Options{Trim: 0.5}},
	}
}

// withoutPatches is an answer without its patches, which would be most of it: those of
// TestPlanGolden are kept.
func withoutPatches(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	before, _, ok := strings.Cut(b.String(), `,"patches":`)
	require.True(t, ok)
	return before
}

// Plans of every sort are kept whole, with their arithmetic.
func TestPlansAreSaid(t *testing.T) {
	var text, lines bytes.Buffer
	for i, a := range somePlans() {
		p := a.made(t)
		d := p.Document()
		d.sections = slices.DeleteFunc(d.sections, func(s section) bool { return s.Careful })
		if why := d.sections[len(d.sections)-1]; i > 0 { // that of what is needed is the plan's own
			why.Whys[0].Steps = nil
		}
		fmt.Fprintf(&text, "\f%d. ", i+1)
		require.NoError(t, d.Text(&text, TextOptions{Width: 120}))
		text.WriteString(sketched(t, d.sections))
		lines.WriteString(withoutPatches(t, p.JSON) + "\n")
	}
	golden(t, "plans.txt", text.Bytes())
	golden(t, "plans.json", lines.Bytes())
}
