package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
	"piecebag/internal/testtable"
)

// lived writes down what a desk answers.
type lived struct {
	t     *testing.T
	d     *Desk
	lines []string
}

func (l *lived) add(format string, args ...any) {
	l.lines = append(l.lines, fmt.Sprintf(format, args...))
}

func (l *lived) json(what string, v any) {
	text, err := json.Marshal(v)
	require.NoError(l.t, err)
	l.add("%s %s", what, text)
}

func (l *lived) refused(what string, err error) {
	l.t.Helper()
	require.Error(l.t, err, what)
	f := fault.Of(err)
	require.NotNil(l.t, f, what)
	l.add("%s: refused: %s → %s", what, f.Error(), f.Remedy)
}

// laid writes down a layout: what lies where and why, what is pulled and what is lacking.
func (l *lived) laid(what string, a Arrangement, err error) {
	l.t.Helper()
	require.NoError(l.t, err, what)
	l.add("%s: %d empty, %d pieces, left %v, gone %v", what, a.Empty, a.Pieces(), a.Left, a.Gone)
	for k, v := range a.Laid {
		l.add(" layout %d of seed %d: %v of cloth %v, %d touch, least %d, same %.3f, interrupted %v", k, v.Seed, v.At, v.Cloth, len(v.Touches), v.Least.Touches, v.Same, v.Interrupted)
	}
	if s := a.Saved; s != nil {
		l.json(" laid", s.Laid)
		l.json(" pulled", s.Pulled)
		l.json(" takes", s.Takes)
		l.json(" gaps", s.Gaps)
	}
	for i, p := range a.Problem.Places {
		l.add(" place %d %s: class %d, block %d, kept %d, ground %.1f", i, a.firstName(i), p.Class, p.Block, p.Kept, p.Ground)
	}
	l.json(" suits", a.Problem.Suits)
	for i := range a.Problem.Places {
		w, err := a.Why(a.firstName(i))
		if err != nil {
			l.refused(" why "+a.firstName(i), err)
			continue
		}
		beside := ""
		for _, b := range w.Beside {
			beside += fmt.Sprintf(" %s %d %s;", b.Patch, b.Holding.ID, b.Alike)
		}
		l.add(" why %s: %d, L* %.2f about %.2f all %.2f, nearest %s %.3f, %d others %d better, locked %v matches %v, beside%s", w.Patch, w.Holding.ID, w.Lightness, w.About, w.All, w.Nearest, w.Away, w.Others, w.Better, w.Locked, w.Matches, beside)
	}
}

func (l *lived) quilts() {
	l.t.Helper()
	all, err := l.d.Quilts(ctx)
	require.NoError(l.t, err)
	for _, q := range all {
		l.add("quilt %s of %s, %.2f × %.2f: %d pulled, lacks %q %v, %d laid, %v", q.Name, q.Recipe, q.WidthIn, q.LengthIn, q.Pulled, q.Lacking(), q.LacksAny, q.Laid, q.Stages)
	}
	p, err := l.d.Pieces(ctx, PiecesRequest{})
	require.NoError(l.t, err)
	held := ""
	for _, h := range p.Held {
		held += fmt.Sprintf(" %d: %d of %s %.4g × %.4g;", h.ID, h.Count, h.Form, h.WidthIn, h.LengthIn)
	}
	l.add("held%s", held)
}

// From the first layout to the last seam: what lies where, what is pulled, cut and left, what is
// bought and refilled for it, as it was read over when it was kept.
func TestAQuiltsLifeIsAsKept(t *testing.T) {
	d := newDesk(t, t.TempDir())
	l := &lived{t: t, d: d}
	in, err := d.StowLooked(ctx, fileOf(t, "a.jpg", []byte("a")), Looked{Sheet: twenty()}, StowRequest{Basket: "tin"})
	require.NoError(t, err)
	require.Equal(t, 20, in.Added)
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 2, WidthIn: 2.5, LengthIn: 12, Family: cloth.Green, Value: cloth.Light, Print: "moss"})
	add(t, d, cloth.Holding{Form: cloth.Rectangle, Count: 1, WidthIn: 6, LengthIn: 8, Family: cloth.Yellow, Value: cloth.Light, Print: "butter"})
	ground := cloth.Holding{Form: cloth.Rectangle, Count: 1, WidthIn: 18, LengthIn: 21, Family: cloth.White, Value: cloth.Light, Print: "linen", Measured: true, Mean: colour.Linear{0.8, 0.78, 0.7}, ReadsAs: colour.Linear{0.8, 0.78, 0.7}}
	add(t, d, ground)

	ask := asks(t, "four-patch", 4, 2, 2, "mat")
	ask.Corners, ask.Again, ask.Apart = true, 2, [][2]int64{{1, 2}}
	a, err := d.Arrange(ctx, ask)
	l.laid("mat", a, err)
	l.quilts()
	shoo := asks(t, "friendship-star", 6, 2, 1, "flies")
	shoo.Background, shoo.Look = "linen", arrange.WashAcross
	a, err = d.Arrange(ctx, shoo)
	l.laid("flies", a, err)
	l.quilts()
	photos, by, err := d.ClothOf(ctx, &a)
	require.NoError(t, err)
	for _, p := range photos {
		l.add("photo %s shows %d", p.Name, len(p.Pieces))
		for _, x := range p.Pieces {
			l.add(" %d %v", x.ID, x.Outline)
		}
	}
	l.json("by", by)

	edit := func(what string, e Edit) {
		a, err := d.EditQuilt(ctx, "mat", e)
		if err != nil {
			l.refused(what, err)
			return
		}
		l.json(what, a.Saved.Laid.Pieces)
	}
	var first []string
	kept, err := d.Quilt(ctx, "mat")
	l.laid("mat again", kept, err)

	for i := range kept.Problem.Places {
		first = append(first, kept.firstName(i))
	}
	second, third := first[1], first[len(first)-1]
	edit("swap", Edit{Swap: [2]string{first[0], second}})
	edit("swap with itself", Edit{Swap: [2]string{second, second}})
	edit("swap with none", Edit{Swap: [2]string{second, "Z9.9"}})
	edit("lock", Edit{Lock: []string{first[0]}})
	edit("swap a locked one", Edit{Swap: [2]string{second, first[0]}})
	edit("turn", Edit{Turn: second, By: 3})
	edit("turn back", Edit{Turn: second, By: -2})
	edit("turn by none", Edit{Turn: second, By: 4})
	edit("turn none", Edit{Turn: "Z9.9", By: 1})
	edit("lock none", Edit{Lock: []string{"Z9.9"}})
	edit("unlock", Edit{Unlock: []string{first[0]}})
	fit, err := d.Fitting(ctx, "mat", second)
	require.NoError(t, err)
	for _, h := range fit {
		l.add("fits %s: %d", second, h.ID)
	}
	if len(fit) > 0 {
		edit("lay", Edit{Lay: KeptPatch{second, fit[len(fit)-1].ID}})
		edit("lay again", Edit{Lay: KeptPatch{second, fit[len(fit)-1].ID}})
	}
	edit("lay what is not", Edit{Lay: KeptPatch{second, 999}})
	edit("lay what does not suit", Edit{Lay: KeptPatch{second, 22}})
	_, err = d.Fitting(ctx, "mat", "Z9.9")
	l.refused("fits none", err)
	_, err = d.Fitting(ctx, "nobody", second)
	l.refused("fits of none", err)

	for _, m := range []MarkRequest{{Quilt: "mat", Stage: plan.PulledStage, Blocks: []string{"A"}}, {Quilt: "mat", Stage: plan.CutStage, Blocks: []string{first[0], third}}, {Quilt: "mat", Stage: plan.SewnStage, Blocks: []string{"A1"}}, {Quilt: "mat", Stage: plan.SewnStage, Blocks: []string{"A1"}}, {Quilt: "mat", Stage: plan.CutStage, Blocks: []string{"Z"}}} {
		got, err := d.MarkQuilt(ctx, m)
		what := fmt.Sprint("mark ", m.Stage, " ", m.Blocks)
		if err != nil {
			l.refused(what, err)
			continue
		}
		l.add("%s: %d pieces, %d cloth, %d back, %d others, done %v: %s", what, got.Pieces, got.Cloth, got.Back, got.Others, got.Done, got.Change.What)
		l.quilts()
	}
	edit("swap a sewn one", Edit{Swap: [2]string{first[0], third}})
	kept, err = d.Quilt(ctx, "mat")
	l.laid("mat, partly sewn", kept, err)
	again, err := d.LayAgain(ctx, "mat", ArrangeRequest{})
	require.NoError(t, err)
	l.add("again: %d × %d, look %s seed %d save %s corners %v apart %v", again.Order.Columns, again.Order.Rows, again.Look, again.Seed, again.Save, again.Corners, again.Apart)
	again.Effort, again.Seed = 0.02, 9
	kept, err = d.Arrange(ctx, again)
	l.laid("mat, laid out again", kept, err) // though one of two that were to be apart is sewn
	again.Apart = append(again.Apart, [2]int64{1, 999})
	_, err = d.Arrange(ctx, again)
	l.refused("apart from what is not", err)
	copied, err := d.CopyQuilt(ctx, "flies", "more flies")
	l.laid("copied", copied, err)
	_, err = d.CopyQuilt(ctx, "flies", "mat")
	l.refused("copied onto another", err)
	l.quilts()

	require.NoError(t, second1(d.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Green}, Cut: shelf.Square(2.5), Least: 12}, false)))
	for _, prefer := range cutting.Prefers {
		r, err := d.Refill(ctx, RefillRequest{Prefer: prefer, System: recipe.Inches()})
		require.NoError(t, err)
		l.add("refill by %s: thin %v, covered %v, short %v, %d boxes, left out %d, sets %d", prefer, r.Thin, r.Covered, r.Short, len(r.Bins), len(r.LeftOut), len(r.Sets))
		for _, b := range r.Bins {
			l.add(" %s, %s: least %d", b.Alike, b.Cut, b.Least)
		}
	}
	buy, err := d.Buy(ctx, BuyRequest{plan.Habits{Shop: plan.Defaults(recipe.Inches())}})
	require.NoError(t, err)
	for _, p := range buy.Shopping.Buy {
		l.add("buy %s: %d in %d prints, %s, unlocks %v, helps %v", p.Sought, p.Pieces, p.Prints, p.Buy, p.Unlocks, p.Helps)
	}
	for _, e := range buy.Enough {
		l.add("enough %s: %d %s", e.Name, e.Count, e.Reason)
	}
	for _, m := range buy.Missing {
		l.add("missing %s%s", m.Family, m.Value)
	}
	held := heldOf(mustWants(t, d))
	for _, h := range held {
		l.add("held %s: %d, %.1f weighed, %d needed, least %d, wanted %v", h.Name, h.Count, h.WeighedIn2, h.Needed, h.Least, h.Wanted)
	}
	m, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "mat", Stage: plan.SewnStage})
	require.NoError(t, err)
	l.add("all sewn: %d, done %v", m.Pieces, m.Done)
	l.quilts()
	_, err = d.ForgetPlan(ctx, "mat")
	require.NoError(t, err)
	_, err = d.Quilt(ctx, "mat")
	l.refused("forgotten", err)
	testtable.Kept(t, "quilt", l.lines, 1e-6)
}

func second1(_ stash.Change, err error) error { return err }

func mustWants(t *testing.T, d *Desk) wants {
	t.Helper()
	w, err := d.wants(ctx, false, "")
	require.NoError(t, err)
	return w
}

// Plans of all kinds, and what is refused of them.
func TestPlansAreAsKept(t *testing.T) {
	d := newDesk(t, t.TempDir())
	l := &lived{t: t, d: d}
	for i := range 12 {
		add(t, d, cloth.Holding{Form: []cloth.Form{cloth.Square, cloth.Strip}[i%2], Count: 2 + i%3, WidthIn: []float64{2.5, 3.5, 5}[i%3], LengthIn: []float64{2.5, 3.5, 5}[i%3] + float64(i%2*12), Family: cloth.Families[i%5], Value: cloth.Values[i%5], Print: fmt.Sprint("print ", i%4)})
	}
	for _, c := range []struct {
		what   string
		change func(*PlanRequest)
	}{
		{"plain", func(*PlanRequest) {}}, {"pictured", func(r *PlanRequest) { r.Picture = true }}, {"on a print", func(r *PlanRequest) { r.Background = "print 1" }}, {"kept", func(r *PlanRequest) { r.Save = "one" }}, {"kept again", func(r *PlanRequest) { r.Save = "one" }}, {"beside it", func(r *PlanRequest) { r.Picture = true }},
		{"without the stash", func(r *PlanRequest) { r.NoStash = true }}, {"without it, kept", func(r *PlanRequest) { r.NoStash, r.Save = true, "x" }}, {"without it, chosen", func(r *PlanRequest) { r.NoStash, r.Choose = true, true }}, {"without it, on a print", func(r *PlanRequest) { r.NoStash, r.Background = true, "print 1" }}, {"without it, strip sets", func(r *PlanRequest) { r.NoStash, r.Shop.StripSets = true, true }},
		{"without it, between", func(r *PlanRequest) { r.NoStash, r.BetweenIn = true, 2.5 }}, {"without it, between 1", func(r *PlanRequest) { r.NoStash, r.BetweenIn = true, 1 }}, {"between", func(r *PlanRequest) { r.BetweenIn = 2.5 }}, {"between least", func(r *PlanRequest) { r.BetweenIn = 1 }}, {"between less", func(r *PlanRequest) { r.BetweenIn = 0.9 }}, {"between most", func(r *PlanRequest) { r.BetweenIn = 12 }}, {"between more", func(r *PlanRequest) { r.BetweenIn = 12.5 }},
		{"chosen", func(r *PlanRequest) { r.Choose = true }}, {"of a blank name", func(r *PlanRequest) { r.Save = " " }}, {"on no print", func(r *PlanRequest) { r.Background = "linen" }}, {"larger", func(r *PlanRequest) { r.Order.Columns, r.Save = 3, "two" }},
	} {
		ask := asks(t, "four-patch", 4, 2, 2, "").PlanRequest
		c.change(&ask)
		p, err := d.Plan(ctx, ask)
		if err != nil {
			l.refused(c.what, err)
			continue
		}
		wanted, covered, short := 0, 0, 0
		if p.Pull != nil {
			wanted, covered, short = p.Pull.Totals()
		}
		l.add("%s: %s kept %q replaced %v, %d of %d, %d short, left %v, drawn %v, between %v", c.what, p.Quilt, p.Kept, p.Replaced, covered, wanted, short, p.Left, p.Drawn != nil, p.Between != nil)
		if p.Between != nil {
			l.add(" %d pairs of %.2f", p.Between.Pairs, p.Between.SideIn)
		}
		if p.Drawn != nil {
			l.add(" %v", p.Drawn.Laid[0].Cloth)
		}
	}
	l.quilts()
	for what, r := range map[string]ArrangeRequest{"a look that is none": func() ArrangeRequest { r := asks(t, "four-patch", 4, 2, 2, ""); r.Look = "round"; return r }(), "kept twice": func() ArrangeRequest {
		r := asks(t, "four-patch", 4, 2, 2, "")
		r.Keep = []KeptPatch{{"A1.1", 1}, {"A1.1", 2}}
		return r
	}(), "kept nowhere": func() ArrangeRequest {
		r := asks(t, "four-patch", 4, 2, 2, "")
		r.Keep = []KeptPatch{{"Z9.1", 1}}
		return r
	}(), "kept what is not": func() ArrangeRequest {
		r := asks(t, "four-patch", 4, 2, 2, "")
		r.Keep = []KeptPatch{{"A1.1", 99}}
		return r
	}()} {
		_, err := d.Arrange(ctx, r)
		require.NotNil(t, fault.Of(err), what)
		l.lines = append(l.lines, what+": "+err.Error()+" → "+fault.Of(err).Remedy)
	}
	slices.Sort(l.lines[len(l.lines)-4:])
	testtable.Kept(t, "plans", l.lines, 1e-6)
}

// A quilt whose search is ended tells the best until then; wanted whole it is none.
func TestALayoutThatIsStopped(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(20, cloth.Blue, cloth.Dark))
	over, stop := context.WithCancel(context.Background())
	stop()
	ask := asks(t, "plain-squares", 2, 3, 3, "")
	ask.Again = 3
	a, err := d.Arrange(over, ask)
	if err == nil {
		require.Len(t, a.Laid, 1, "no further one is sought")
		require.True(t, a.Laid[0].Interrupted)
	} else {
		require.ErrorIs(t, err, context.Canceled)
	}
	ask.Whole = true
	_, err = d.Arrange(over, ask)
	require.ErrorIs(t, err, context.Canceled)
}

// The prints that a background is cut from must suffice for it.
func TestWhichPrintsSufficeForABackground(t *testing.T) {
	large := cloth.Holding{ID: 1, Form: cloth.Rectangle, Count: 1, WidthIn: 18, LengthIn: 21, Print: "cream", Measured: true, Mean: colour.Linear{0.7, 0.7, 0.7}, ReadsAs: colour.Linear{0.7, 0.7, 0.7}}
	small, unmeasured := large, large
	small.ID, small.Print, small.WidthIn, small.LengthIn = 2, "dots", 2, 2
	unmeasured.ID, unmeasured.Measured = 3, false
	r, err := recipe.BuiltIn("friendship-star")
	require.NoError(t, err)
	needs, err := ContrastRequest{Recipe: r, Blocks: 1}.needs()
	require.NoError(t, err)
	stock := stockOf([]cloth.Holding{small, large, unmeasured})
	require.Equal(t, 1, stock.unmeasured)
	grounds, err := stock.grounds(needs)
	require.NoError(t, err)
	require.Len(t, grounds, 1)
	require.Equal(t, "cream", grounds[0].Name)
	many, err := ContrastRequest{Recipe: r, Blocks: 30}.needs()
	require.NoError(t, err)
	grounds, err = stock.grounds(many)
	require.NoError(t, err)
	require.Empty(t, grounds)
	none, err := ContrastRequest{}.needs()
	require.NoError(t, err)
	require.Nil(t, none)
	pull := serving(heldPrints([]cloth.Holding{large, small}), needs)
	require.Equal(t, needs.Gives(18, 21), pull[0].Pieces)
	require.Equal(t, needs.Gives(2, 2), pull[1].Pieces)
	require.Positive(t, pull[0].Pieces)

	// Photos of cloth are prints too; one that cannot be read is an error.
	d := New("", Options{})
	a := picture(t, "a.png", png.BestSpeed, red, red, red)
	torn := fileOf(t, "torn.png", []byte("x"))
	_, err = d.printsOf(ctx, []Sample{{Name: "red", Colour: &redCloth}, {Name: "torn", Photo: torn}})
	require.Error(t, err)
	_, err = d.printsOf(ctx, []Sample{{Name: "gone", Photo: torn + ".gone"}})
	require.Error(t, err)
	got, err := d.printsOf(ctx, []Sample{{Name: "red", Colour: &redCloth}, {Name: "red", Colour: &redCloth}, {Name: "a", Photo: a}})
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(got), 1)
	require.Equal(t, []any{"red", 2, redCloth}, []any{got[0].Name, got[0].Pieces, got[0].Colour})
}
