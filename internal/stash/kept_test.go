package stash

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
	"piecebag/internal/testtable"
)

// lived is a stash whose every change is written down.
type lived struct {
	t     *testing.T
	s     *Stash
	lines []string
}

func (l *lived) add(format string, args ...any) {
	l.lines = append(l.lines, fmt.Sprintf(format, args...))
}

// after writes down a change and what the stash holds since; an error with its remedy.
func (l *lived) after(what string, c Change, err error) {
	l.t.Helper()
	if err != nil {
		f := fault.Of(err)
		require.NotNil(l.t, f, what)
		l.add("%s: refused: %s → %s", what, f.Error(), f.Remedy)
		return
	}
	l.add("%s: %d %s: %s, undoable %v", what, c.ID, c.Verb, c.What, c.Undoable)
	for _, d := range c.Difference {
		l.add(" %+d of %s %s, %.3f weighed", d.Count, d.Alike, d.Cut, d.AreaIn)
	}
	for _, h := range holdings(l.t, l.s, Filter{}) {
		l.add(" - %d: %d %s %s %s %.4g × %.4g, %.4g in², %.4g g, bin %q print %q basket %q, photo %v piece %d trust %.4g, measured %v %.4f motif %.4g", h.ID, h.Count, h.Value, h.Family, h.Form, h.WidthIn, h.LengthIn, h.AreaIn2, h.Grams, h.Bin, h.Print, h.Basket, h.Photo != "", h.Piece, h.Trust, h.Measured, h.ReadsAs, h.Motif)
	}
}

// The whole life of a stash: what each change is called, what it changes and what is held then,
// as it was read over when it was kept. Whatever is taken back is as it was.
func TestALifeIsAsKept(t *testing.T) {
	s := open(t, t.TempDir())
	l := &lived{t: t, s: s}
	name := func(s string) *string { return &s }
	do := func(what string) func(Change, error) {
		return func(c Change, err error) { l.after(what, c, err) }
	}
	do("by hand")(s.Add(ctx, byHand(12, cloth.Blue, cloth.Dark, 2.5), cloth.Holding{Form: cloth.Strip, Count: 3, WidthIn: 18, LengthIn: 2.5, Family: cloth.Red, Basket: " tin\t", Print: "anchors"}, cloth.Holding{Form: cloth.Weighed, Count: 1, Grams: 350, Family: cloth.Brown}, cloth.Holding{Form: cloth.Irregular, Count: 2, Value: cloth.Light, Bin: "odds"}))
	stowed := func(p Photo) Stowed {
		out, err := s.Stow(ctx, p)
		l.after("stow "+p.Name, out.Sum, err)
		l.add(" known %v added %d may be %v", out.Known, out.Added, out.MayBe)
		return out
	}
	a := photo("a.jpg", squares(5)...)
	a.Basket, a.Bins = "tin", []string{"", "sea", "", "", ""}
	one := stowed(a)
	stowed(a)
	b := photo("b.jpg", square(7), square(8))
	b.As, b.Cut = cloth.Strip, 3
	b.Said = []Said{{Outline: b.Sheet.Pieces[1].Polygon, Correction: Correction{Family: cloth.Teal, Print: name("mine")}}, {Outline: b.Sheet.Pieces[0].Polygon, Correction: Correction{NotAPiece: true}}}
	two := stowed(b)
	board := photo("c.jpg", square(10), square(11))
	board.Sheet.Kind, board.Sheet.Pieces[1].Cut, board.Sheet.Pieces[1].WidthIn, board.Sheet.Pieces[1].LengthIn = cloth.Board, "", 0, 0
	stowed(board)
	stack := photo("d.jpg", square(12))
	stack.Sheet.Kind = cloth.Stack
	stowed(stack)
	do("use")(s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue}, Count: 5}))
	do("use by weight")(s.Use(ctx, Removal{Filter: Filter{Family: cloth.Brown}, Grams: 100}))
	do("use a strip")(s.Use(ctx, Removal{Filter: Filter{Print: "anchors"}, Count: 1}, Removal{Filter: Filter{Basket: "tin", Value: cloth.Light}, Count: 1}))
	ids := func(f Filter) (out []int64) {
		for _, h := range holdings(t, s, f) {
			out = append(out, h.ID)
		}
		return out
	}
	of := ids(Filter{Photo: one.Hash})
	do("correct")(s.Correct(ctx, of[0], Correction{Family: cloth.Purple, Value: cloth.Medium, WidthIn: 3}))
	do("correct a size")(s.Correct(ctx, of[1], Correction{WidthIn: 2, LengthIn: 12}))
	do("correct a form")(s.Correct(ctx, of[1], Correction{Form: cloth.Square}))
	do("correct names")(s.Correct(ctx, of[2], Correction{Print: name(""), Bin: name("sea"), Basket: name(" box ")}))
	do("correct an outline")(s.Correct(ctx, of[2], Correction{Outline: geom.Polygon{{X: 360, Y: 0}, {X: 560, Y: 0}, {X: 560, Y: 150}, {X: 360, Y: 150}}}))
	do("split")(s.Correct(ctx, of[3], Correction{Split: 2}))
	do("no piece")(s.CorrectAll(ctx, map[int64]Correction{of[2]: {NotAPiece: true}}))
	do("correct a strip")(s.Correct(ctx, 2, Correction{LengthIn: 10}))
	do("sort")(s.Sort(ctx, map[int64]string{1: "sea", of[1]: ""}))
	do("teach")(s.Teach(ctx, "sea", []byte(`{"n":1}`)))
	do("teach pieces")(s.TeachPieces(ctx, "reds", map[int64][]byte{2: []byte(`2`), 1: []byte(`1`)}))
	do("unteach")(s.Unteach(ctx, "sea"))
	do("set")(s.SetSettings(ctx, Settings{TrimIn: 0.25, GSM: 120, Bins: shelf.ByBoth}))
	for _, f := range []shelf.Floor{{Least: 4}, {Alike: shelf.Alike{Family: cloth.Blue}, Least: 9}, {Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 20}, {Alike: shelf.Alike{Own: "sea"}, Cut: shelf.Square(2.5), Least: 2}, {Cut: shelf.Square(5), Least: 3}, {Alike: shelf.Alike{Family: cloth.Blue}}} {
		do("floor")(s.SetFloor(ctx, f))
	}
	do("plan")(s.SavePlan(ctx, " quilt ", []byte(`{"a":1}`)))
	do("plan away")(s.SavePlan(ctx, "quilt", nil))
	later := LaterLook{Hash: two.Hash, Sheet: sheet(square(7), square(8), square(9))}
	for _, try := range []bool{true, false} {
		c, found, err := s.Relook(ctx, try, later)
		l.after(fmt.Sprint("look again, tried ", try), c, err)
		for _, f := range found {
			l.add(" %s: %d before, %d after", f.Name, len(f.Before), len(f.After))
		}
	}
	c, left, err := s.Recount(ctx, "tin", 0, photo("e.jpg", square(20), square(21)))
	l.after("recount a basket", c, err)
	require.Len(t, left, 1)
	c, _, err = s.Recount(ctx, "", 2.5, photo("f.jpg", square(22)), photo("f.jpg", square(22)))
	l.after("recount a cut", c, err)
	for i := 0; ; i++ {
		c, err := s.Undo(ctx)
		if err != nil {
			l.after("undo", c, err)
			break
		}
		l.add("undo %d %s: %s", c.ID, c.Verb, c.What)
	}
	require.Empty(t, holdings(t, s, Filter{}))
	for {
		c, err := s.Redo(ctx)
		if err != nil {
			l.after("redo", c, err)
			break
		}
		l.add("redo %d %s: %s", c.ID, c.Verb, c.What)
	}
	l.after("in the end", Change{}, nil)
	names, err := s.Names(ctx)
	require.NoError(t, err)
	l.add("names %v", names)
	history, err := s.History(ctx, 4)
	require.NoError(t, err)
	for _, c := range history {
		l.add("history %d at %d: %s %s %v", c.ID, c.At.Unix(), c.Verb, c.What, c.Undoable)
	}
	counts, err := s.Counts(ctx)
	require.NoError(t, err)
	for _, c := range counts {
		l.add("count %s %s: %d, %.3f, %d prints", c.Alike, c.Cut, c.Count, c.AreaIn, c.Prints)
	}
	plans, err := s.Plans(ctx)
	require.NoError(t, err)
	taught, err := s.Taught(ctx)
	require.NoError(t, err)
	l.add("%d plans, %d taught", len(plans), len(taught))
	healthy(t, s)
	content, err := s.Content(ctx)
	require.NoError(t, err)
	text, err := json.Marshal(content)
	require.NoError(t, err)
	l.add("content of %d holdings, %d photos, %d prints, %d corrections, %d floors, %v", len(content.Holdings), len(content.Photos), len(content.Prints), len(content.Corrections), len(content.Floors), content.Settings)
	other := open(t, t.TempDir())
	loaded, err := other.Load(ctx, "all.json", Hash(text), content)
	require.NoError(t, err)
	l.add("loaded %d photos, %d prints", loaded.Photos, loaded.Prints)
	require.Equal(t, len(holdings(t, s, Filter{})), len(holdings(t, other, Filter{})))
	testtable.Kept(t, "life", l.lines, 1e-6)
}

// A filter means what its parts mean one by one.
func TestAFilterHoldsAgainstItsParts(t *testing.T) {
	s := open(t, t.TempDir())
	first := stow(t, s, photo("a.jpg", squares(9)...))
	for i := range 12 {
		h := cloth.Holding{Form: cloth.Forms[i%5], Count: 1 + i, WidthIn: []float64{2.5, 3, 0}[i%3], LengthIn: []float64{12, 12.05, 12.07, 0}[i%4], Family: cloth.Families[i%3], Value: cloth.Values[i%2], Basket: []string{"tin", "box"}[i%2], Bin: []string{"", "sea"}[i%2], Print: []string{"a", "", "b"}[i%3], Trust: 1}
		if h.Form == cloth.Square {
			h.LengthIn = h.WidthIn
		}
		_, err := s.Add(ctx, h)
		require.NoError(t, err)
	}
	all := holdings(t, s, Filter{})
	for name, f := range map[string]Filter{
		"ids": {IDs: []int64{1, 3, 999}}, "no ids": {IDs: []int64{}}, "form": {Form: cloth.Strip}, "family": {Family: cloth.Pink}, "value": {Value: cloth.MediumLight}, "bin": {Bin: "sea"}, "basket": {Basket: "tin"}, "print": {Print: "a"}, "photo": {Photo: first.Hash}, "cut": {Cut: 2.5}, "length": {Length: 12}, "sized": {Sized: true},
		"several": {Basket: "box", Value: cloth.MediumLight, Sized: true}, "cut and length": {Cut: 3, Length: 12},
	} {
		var want []int64
		for _, h := range all {
			yes := (f.IDs == nil || slices.Contains(f.IDs, h.ID)) && (f.Form == "" || h.Form == f.Form) && (f.Family == "" || h.Family == f.Family) && (f.Value == "" || h.Value == f.Value) && (f.Bin == "" || h.Bin == f.Bin) &&
				(f.Basket == "" || h.Basket == f.Basket) && (f.Print == "" || h.Print == f.Print) && (f.Photo == "" || h.Photo == f.Photo)
			if f.Cut > 0 {
				yes = yes && shelf.CutOf(h).Width == f.Cut
			}
			if f.Length > 0 {
				yes = yes && math.Abs(h.LengthIn-f.Length) < 0.0626
			}
			if f.Sized {
				yes = yes && h.WidthIn > 0 && h.LengthIn > 0 && h.Form != cloth.Band
			}
			if yes {
				want = append(want, h.ID)
			}
		}
		var got []int64
		for _, h := range holdings(t, s, f) {
			got = append(got, h.ID)
		}
		require.Equal(t, want, got, name)
	}
}

// What no stash can hold is refused, at its limits.
func TestLimitsOfWhatIsKept(t *testing.T) {
	s := open(t, t.TempDir())
	long := strings.Repeat("½", 200)
	good := byHand(1, cloth.Blue, cloth.Dark, 2.5)
	with := func(change func(*cloth.Holding)) cloth.Holding {
		h := good
		change(&h)
		return h
	}
	for _, c := range []struct {
		what string
		h    cloth.Holding
		why  string
	}{
		{"many", with(func(h *cloth.Holding) { h.Count = 1_000_000 }), ""}, {"too many", with(func(h *cloth.Holding) { h.Count = 1_000_001 }), "count 1000001: it is not a number of pieces"}, {"none", with(func(h *cloth.Holding) { h.Count = 0 }), "count 0: it is not a number of pieces"},
		{"wide", with(func(h *cloth.Holding) { h.WidthIn = 10_000 }), ""}, {"too wide", with(func(h *cloth.Holding) { h.WidthIn = 10_001 }), "no cloth has this size"}, {"long", with(func(h *cloth.Holding) { h.Form, h.LengthIn = cloth.Strip, 10_001 }), "no cloth has this size"}, {"below", with(func(h *cloth.Holding) { h.WidthIn = -1 }), "no cloth has this size"},
		{"no number", with(func(h *cloth.Holding) { h.WidthIn = math.NaN() }), "one of its figures is not a number"}, {"infinite", with(func(h *cloth.Holding) { h.Mean[1] = math.Inf(1) }), "one of its figures is not a number"}, {"an ink", with(func(h *cloth.Holding) { h.Colours = []cloth.Ink{{Share: math.NaN()}} }), "one of its figures is not a number"},
		{"no form", with(func(h *cloth.Holding) { h.Form = "round" }), `form "round": there is no such form`}, {"no family", with(func(h *cloth.Holding) { h.Family = "sea" }), `family "sea": there is no such hue family`}, {"no value", with(func(h *cloth.Holding) { h.Value = "pale" }), `value "pale": there is no such value`},
		{"no weight", with(func(h *cloth.Holding) { h.Form = cloth.Weighed }), "weighed cloth: it has no weight"}, {"weighed", cloth.Holding{Form: cloth.Weighed, Count: 1, Grams: 100_000_000}, ""}, {"heavy", cloth.Holding{Form: cloth.Weighed, Count: 1, Grams: 100_000_001}, "no cloth has this size"},
		{"both", with(func(h *cloth.Holding) { h.Grams = 5 }), "only weighed cloth has a weight and an area of its own"}, {"area", with(func(h *cloth.Holding) { h.AreaIn2 = 5 }), "only weighed cloth has a weight and an area of its own"},
		{"long name", with(func(h *cloth.Holding) { h.Bin, h.Print, h.Basket = long, long, long }), ""}, {"longer bin", with(func(h *cloth.Holding) { h.Bin = long + "x" }), "this name is 201 characters long"}, {"longer print", with(func(h *cloth.Holding) { h.Print = long + "x" }), "this name is 201 characters long"}, {"longer basket", with(func(h *cloth.Holding) { h.Basket = long + "x" }), "this name is 201 characters long"},
	} {
		_, err := s.Add(ctx, c.h)
		if c.why == "" {
			require.NoError(t, err, c.what)
			_, err = s.Undo(ctx)
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, c.why, c.what)
	}
	require.Empty(t, holdings(t, s, Filter{}))
	// Colours and outlines are rounded as they are kept, and sides put in order.
	h := cloth.Holding{Form: cloth.Rectangle, Count: 1, WidthIn: 5, LengthIn: 3, Colours: []cloth.Ink{{Colour: colour.Linear{0.1234567, 0.5, 1}, Share: 0.3333333}}, Measured: true}
	_, err := s.Add(ctx, h)
	require.NoError(t, err)
	got := holdings(t, s, Filter{})[0]
	require.Equal(t, []float64{3, 5}, []float64{got.WidthIn, got.LengthIn})
	require.InDeltaSlice(t, []float64{0.12346, 0.33333}, []float64{got.Colours[0].Colour[0], got.Colours[0].Share}, 1e-9)
	for _, c := range []struct {
		v  Settings
		ok bool
	}{
		{Settings{TrimIn: 0, GSM: 20}, true}, {Settings{TrimIn: 6, GSM: 2000}, true}, {Settings{TrimIn: 6.01, GSM: 150}, false}, {Settings{TrimIn: -0.1, GSM: 150}, false}, {Settings{GSM: 19.9}, false}, {Settings{GSM: 2001}, false}, {Settings{GSM: 150, Bins: 3}, false}, {Settings{GSM: math.NaN()}, false},
	} {
		_, err := s.SetSettings(ctx, c.v)
		require.Equal(t, c.ok, err == nil, "%+v", c.v)
	}
	for _, c := range []struct {
		f  shelf.Floor
		ok bool
	}{
		{shelf.Floor{Least: 1_000_000}, true}, {shelf.Floor{Least: 1_000_001}, false}, {shelf.Floor{Least: -1}, false}, {shelf.Floor{Cut: shelf.Cut{Width: 10_000}, Least: 1}, true}, {shelf.Floor{Cut: shelf.Cut{Width: 10_001}, Least: 1}, false}, {shelf.Floor{Cut: shelf.Cut{Width: -1}, Least: 1}, false}, {shelf.Floor{Alike: shelf.Alike{Family: "sea"}, Least: 1}, false}, {shelf.Floor{Alike: shelf.Alike{Own: long + "x"}, Least: 1}, false},
	} {
		_, err := s.SetFloor(ctx, c.f)
		require.Equal(t, c.ok, err == nil, "%+v", c.f)
	}
	var lines []string
	say := func(what string, err error) {
		if f := fault.Of(err); f != nil {
			lines = append(lines, what+": "+f.Error()+" → "+f.Remedy)
		} else {
			lines = append(lines, what+": "+fmt.Sprint(err))
		}
	}
	second := func(_ Change, err error) error {
		if err == nil { // each is said of the same stash
			_, undone := s.Undo(ctx)
			require.NoError(t, undone)
		}
		return err
	}
	say("add nothing", second(s.Add(ctx)))
	say("use nothing", second(s.Use(ctx)))
	removals := map[string]Removal{"none": {}, "below": {Count: -1}, "more than there are": {Count: 5}, "more cloth than there is": {Grams: 5}, "both": {Count: 1, Grams: 5}, "weight below": {Grams: -5}, "weight of squares": {Grams: 5, Filter: Filter{Form: cloth.Square}}, "heavy": {Grams: 200_000_000}}
	for _, what := range sortedKeys(removals) {
		say("use "+what, second(s.Use(ctx, removals[what])))
	}
	say("recount nothing", func() error { _, _, err := s.Recount(ctx, " ", 0); return err }())
	say("plan without a name", second(s.SavePlan(ctx, " ", []byte(`{}`))))
	say("plan that is none", second(s.SavePlan(ctx, "x", []byte(`{`))))
	say("plan of a long name", second(s.SavePlan(ctx, long+"x", []byte(`{}`))))
	say("teach none", second(s.Teach(ctx, "", []byte(`1`))))
	say("teach what is none", second(s.Teach(ctx, "sea", []byte(`{`))))
	say("teach of no pieces", second(s.TeachPieces(ctx, "sea", nil)))
	say("teach a piece that is not", second(s.TeachPieces(ctx, "sea", map[int64][]byte{99: []byte(`1`)})))
	say("unteach", second(s.Unteach(ctx, "sea")))
	say("sort what is not", second(s.Sort(ctx, map[int64]string{99: "sea"})))
	say("sort into a long name", second(s.Sort(ctx, map[int64]string{1: long + "x"})))
	id := got.ID
	shown := stow(t, s, photo("a.jpg", squares(4)...))
	at := holdings(t, s, Filter{Photo: shown.Hash})
	bad := "x" + long
	byHand := map[string]Correction{
		"nothing": {}, "family": {Family: "sea"}, "value": {Value: "pale"}, "form": {Form: "round"}, "weighed": {Form: cloth.Weighed}, "width": {WidthIn: -1}, "wide": {WidthIn: 10_001}, "length": {LengthIn: -1}, "split": {Split: 1}, "split much": {Split: 1000}, "split below": {Split: -2}, "two": {Split: 2, NotAPiece: true}, "none and more": {NotAPiece: true, Family: cloth.Red}, "outline": {Outline: geom.Polygon{{X: 1, Y: 1}}}, "empty outline": {Outline: geom.Polygon{{X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 3}}}, "outline by hand": {Outline: geom.Polygon{{X: 1, Y: 1}, {X: 9, Y: 1}, {X: 9, Y: 9}}}, "name": {Bin: &bad}, "example": {Example: []byte(`1`)}, "merge": {Merge: []int64{id}}, "merge what is not": {Merge: []int64{99}}, "merge others": {Merge: []int64{at[0].ID}},
	}
	for _, what := range sortedKeys(byHand) {
		say("correct by hand: "+what, second(s.Correct(ctx, id, byHand[what])))
	}
	shownOnes := map[string]Correction{
		"itself": {Merge: []int64{at[0].ID}}, "apart": {Merge: []int64{at[3].ID}}, "outside": {Outline: geom.Polygon{{X: 1, Y: 1}, {X: 2401, Y: 1}, {X: 9, Y: 9}}}, "below": {Outline: geom.Polygon{{X: 1, Y: -1}, {X: 240, Y: 1}, {X: 9, Y: 9}}}, "over": {Outline: geom.Polygon{{X: 1, Y: 1}, {X: 240, Y: 1}, {X: 9, Y: 2400.5}}}, "not": {Merge: []int64{9999}},
	}
	for _, what := range sortedKeys(shownOnes) {
		say("correct: "+what, second(s.Correct(ctx, at[0].ID, shownOnes[what])))
	}
	say("correct what is not", second(s.Correct(ctx, 9999, Correction{Family: cloth.Red})))
	slices.Sort(lines)
	testtable.Kept(t, "refused", lines, 0)
}

func TestWordsOfAStash(t *testing.T) {
	for want, f := range map[string]Filter{
		"pieces": {}, "dark blue 2½ squares": {Family: cloth.Blue, Value: cloth.Dark, Cut: 2.5, Form: cloth.Square}, "sea 2½ × 4½ rectangles": {Bin: "sea", Cut: 2.5, Length: 4.5, Form: cloth.Rectangle}, "red odd pieces": {Family: cloth.Red, Form: cloth.Irregular},
		"weighed brown cloth in tin": {Form: cloth.Weighed, Family: cloth.Brown, Basket: "tin"}, "pieces of anchors numbered 1, 3, 4, 7 to 9": {Print: "anchors", IDs: []int64{9, 1, 3, 4, 8, 7, 7}}, "pieces numbered 5": {IDs: []int64{5}}, "light strips": {Value: cloth.Light, Form: cloth.Strip},
	} {
		require.Equal(t, want, f.String())
	}
	for want, h := range map[string]cloth.Holding{
		"12 dark blue 2½ squares": {Form: cloth.Square, Count: 12, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark}, "1 red odd piece": {Form: cloth.Irregular, Count: 1, Family: cloth.Red}, "350 g of weighed brown cloth": {Form: cloth.Weighed, Count: 1, Grams: 350, Family: cloth.Brown}, "weighed cloth": {Form: cloth.Weighed, Count: 1, AreaIn2: 4},
	} {
		require.Equal(t, want, describe(h))
	}
	name, none := " stripes ", ""
	for want, c := range map[string]Correction{
		"": {}, "red, dark, a strip, 2½ wide, 18 long": {Family: cloth.Red, Value: cloth.Dark, Form: cloth.Strip, WidthIn: 2.5, LengthIn: 18}, "an odd piece, its outline": {Form: cloth.Irregular, Outline: geom.Polygon{{}}}, `print "stripes", no bin, basket "stripes"`: {Print: &name, Bin: &none, Basket: &name},
		"not a piece": {NotAPiece: true}, "split into 3": {Split: 3}, "merged with 4 5": {Merge: []int64{4, 5}},
	} {
		require.Equal(t, want, c.words())
	}
	for want, bins := range map[string]map[int64]string{"2 pieces into sea": {1: "sea", 2: " sea"}, "1 piece out of bins": {1: " "}, "2 pieces into bins of your own": {1: "sea", 2: ""}} {
		require.Equal(t, want, sorted(bins))
	}
	require.Equal(t, "a; b; c", some([]string{"a", "b", "c"}))
	require.Equal(t, "a; b; c and 2 more", some([]string{"a", "b", "c", "d", "e"}))
	require.Equal(t, "5 g of weighed blue cloth", Removal{Grams: 5, Filter: Filter{Family: cloth.Blue}}.String())
	require.Equal(t, "1 blue piece", Removal{Count: 1, Filter: Filter{Family: cloth.Blue}}.String())
	require.Equal(t, "a b", CleanName("\ta\x00b \u2028"))
	for _, c := range []struct {
		width, length float64
		was, want     cloth.Form
	}{{2, 2, cloth.Strip, cloth.Square}, {2, 2.06, "", cloth.Square}, {2, 2.0625, "", cloth.Rectangle}, {2, 9, cloth.Irregular, cloth.Irregular}, {2, 2, cloth.Band, cloth.Band}, {2, 2 * cloth.StripFrom, cloth.Square, cloth.Strip}, {2, 2*cloth.StripFrom - 0.1, cloth.Strip, cloth.Rectangle}} {
		require.Equal(t, c.want, FormOfSize(c.width, c.length, c.was), "%+v", c)
	}
	for _, c := range []struct {
		p    Photo
		cut  string
		want cloth.Form
	}{{Photo{}, "2½ square", cloth.Square}, {Photo{}, "", cloth.Irregular}, {Photo{As: cloth.Strip}, "2½ square", cloth.Strip}, {Photo{As: cloth.Weighed}, "2½ square", cloth.Square}, {Photo{Sheet: cloth.Sheet{Kind: cloth.Stack}}, "2½ strip", cloth.Band}, {Photo{Sheet: cloth.Sheet{Kind: cloth.Board}}, "", cloth.Square}, {Photo{Sheet: cloth.Sheet{Kind: cloth.Board}}, "2½ strip", cloth.Strip}} {
		require.Equal(t, c.want, formOf(cloth.Piece{Cut: c.cut}, c.p))
	}
	require.Equal(t, []cloth.Form{"", cloth.Strip, "", cloth.Strip}, []cloth.Form{commonForm(nil), commonForm([]Photo{{As: cloth.Strip}}), commonForm([]Photo{{As: cloth.Strip}, {As: cloth.Square}}), commonForm([]Photo{{As: cloth.Strip}, {As: cloth.Strip}})})
	// By the exact inch: 150 g a square metre is 150 · 0.00064516 g a square inch.
	require.InDelta(t, 100/(150*0.00064516), DefaultSettings.AreaIn2(100), 1e-9)
	require.InDelta(t, 100, DefaultSettings.Grams(DefaultSettings.AreaIn2(100)), 1e-9)
	require.InDelta(t, 150, GSMOfYard(150*36*44*0.00064516, 44), 1e-9)
}
