package desk

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// asks asks for so many blocks of a recipe to be laid out.
func asks(t *testing.T, name string, width float64, columns, rows int, save string) ArrangeRequest {
	t.Helper()
	r, err := recipe.BuiltIn(name)
	require.NoError(t, err)
	r, err = r.Resize(width)
	require.NoError(t, err)
	return ArrangeRequest{
		PlanRequest: PlanRequest{Order: plan.Order{Recipe: r, Columns: columns, Rows: rows}, Shop: plan.Defaults(recipe.Inches()), Save: save},
		Seed:        1, Effort: 0.02,
	}
}

func squareInches(t *testing.T, d *Desk) (area float64, pieces int) {
	t.Helper()
	p, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	for _, h := range p.Held {
		area += float64(h.Count) * h.WidthIn * h.LengthIn
		pieces += h.Count
	}
	return area, pieces
}

// Cloth that is arranged is no other quilt's; two quilts never take more than there is.
func TestArrangedClothIsKept(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for i, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green} {
		h := squares(5, f, cloth.Dark)
		h.Print = fmt.Sprint("print ", i)
		add(t, d, h)
	}
	one, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 3, 3, "one"))
	require.NoError(t, err)
	require.Zero(t, one.Empty)
	require.Empty(t, one.Laid[0].Touches)
	two, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 3, 3, "two"))
	require.NoError(t, err)
	require.Equal(t, 3, two.Empty, "nine of fifteen are the other's")
	require.Equal(t, []LeftTo{{Quilt: "one", Pieces: 9}}, two.Left)
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Equal(t, []int{9, 6}, []int{all[0].Pulled, all[1].Pulled})
	require.Equal(t, 3, all[1].Lacks)
	// Laid out again it has its own cloth.
	again, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 3, 3, "one"))
	require.NoError(t, err)
	require.Zero(t, again.Empty)
}

// What is cut is taken out, and its pieces and remnants come in: no cloth comes from
// nowhere, and what is lost is the trim of the ends and remnants under an inch and a half.
func TestCutAndSewn(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for _, f := range []cloth.Family{cloth.Yellow, cloth.Purple} {
		add(t, d, cloth.Holding{Form: cloth.Strip, Count: 2, WidthIn: 3.5, LengthIn: 15, Family: f, Value: cloth.Medium, Print: string(f)})
	}
	a, err := d.Arrange(ctx, asks(t, "plain-squares", 3, 3, 2, "mat"))
	require.NoError(t, err)
	require.Zero(t, a.Empty)
	before, _ := squareInches(t, d)
	require.InDelta(t, 4*3.5*15, before, 1e-9)
	m, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "mat", Stage: plan.CutStage, Blocks: []string{"A"}})
	require.NoError(t, err)
	require.Equal(t, 3, m.Pieces)
	require.Equal(t, 2, m.Cloth, "both cloths of the row, all their pieces with them")
	require.Equal(t, 3, m.Others)
	after, _ := squareInches(t, d)
	require.InDelta(t, before-2*3.5*0.5, after, 1e-6, "half an inch squared off the end of each")
	_, err = d.MarkQuilt(ctx, MarkRequest{Quilt: "mat", Stage: plan.SewnStage, Blocks: []string{"a1", "B2"}})
	require.NoError(t, err)
	sewn, _ := squareInches(t, d)
	require.InDelta(t, after-2*3.5*3.5, sewn, 1e-6)
	q, err := d.Quilt(ctx, "mat")
	require.NoError(t, err)
	require.Empty(t, q.Gone, "what is sewn is remembered")
	require.Zero(t, q.Empty)
	last, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "mat", Stage: plan.SewnStage})
	require.NoError(t, err)
	require.True(t, last.Done)
	end, _ := squareInches(t, d)
	require.InDelta(t, after-6*3.5*3.5, end, 1e-6)
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Zero(t, all[0].Pulled, "a quilt that is sewn holds no cloth")
	for range 3 {
		_, err = d.Undo(ctx, 1, nil)
		require.NoError(t, err)
	}
	back, _ := squareInches(t, d)
	require.InDelta(t, before, back, 1e-9)
}

// A swap holds sizes and roles, and is refused with the patch and why; a lock holds
// through another seed.
func TestEditQuilt(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(20, cloth.Blue, cloth.Dark))
	add(t, d, squares(20, cloth.Yellow, cloth.Light))
	ask := asks(t, "four-patch", 4, 2, 2, "runner")
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	var dark, light []string
	for i, p := range a.Top.Patches {
		switch p.Role.Value {
		case recipe.DarkTone:
			dark = append(dark, a.Names[i])
		case recipe.LightTone:
			light = append(light, a.Names[i])
		}
	}
	_, err = d.EditQuilt(ctx, "runner", Edit{Swap: [2]string{dark[0], light[0]}})
	require.ErrorIs(t, err, fault.ErrUsage)
	require.ErrorContains(t, err, "does not suit it")
	_, err = d.EditQuilt(ctx, "runner", Edit{Swap: [2]string{dark[0], "Z9"}})
	require.Equal(t, "Z9", fault.Of(err).About)
	at := func(a Arrangement, patch string) int64 {
		return a.Saved.Laid.Of(patch).Holding
	}
	before, err := d.Quilt(ctx, "runner")
	require.NoError(t, err)
	add(t, d, squares(1, cloth.Green, cloth.Dark))
	swapped, err := d.EditQuilt(ctx, "runner", Edit{Swap: [2]string{dark[0], dark[1]}})
	require.NoError(t, err)
	require.Len(t, swapped.Saved.Laid.Pieces, len(before.Saved.Laid.Pieces))
	for _, p := range before.Saved.Laid.Pieces {
		require.Equal(t, at(before, p.Patch), at(swapped, p.Patch), "two blues change places")
	}
	q, err := d.EditQuilt(ctx, "runner", Edit{Turn: dark[1], By: -1, Lock: []string{dark[2]}})
	require.NoError(t, err)
	require.Equal(t, 3, q.Saved.Laid.Of(dark[1]).Turn)
	require.True(t, q.Saved.Laid.Of(dark[2]).Locked)
	w, err := q.Why(dark[2])
	require.NoError(t, err)
	require.True(t, w.Locked)
	require.NotEmpty(t, w.Beside)
	require.InDelta(t, lab(w.Holding).L, w.Lightness, 1e-9)
	ask.Seed = 9
	r, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.GreaterOrEqual(t, r.Problem.Places[r.placeNamed(dark[2])].Kept, 0)
	require.Equal(t, arrange.Even, r.Problem.Look)
}

// What an edit cannot do is refused, and nothing changes: a layout once said that a patch
// had changed places with itself, that cloth it lacks was turned or locked, that what is
// sewn was turned; and a lock went along with a swap.
func TestEditsThatCannotBe(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for _, f := range []cloth.Family{cloth.Blue, cloth.Red} {
		add(t, d, squares(2, f, cloth.Dark))
	}
	a, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 3, 2, "mat"))
	require.NoError(t, err)
	require.Equal(t, 2, a.Empty)
	before, err := d.Quilt(ctx, "mat")
	require.NoError(t, err)
	var full, empty []string
	for _, p := range before.Saved.Laid.Pieces {
		if p.Holding > 0 {
			full = append(full, p.Patch)
		} else {
			empty = append(empty, p.Patch)
		}
	}
	_, err = d.MarkQuilt(ctx, MarkRequest{Quilt: "mat", Stage: plan.SewnStage, Blocks: full[:1]})
	require.NoError(t, err)
	before, err = d.EditQuilt(ctx, "mat", Edit{Lock: full[1:2]})
	require.NoError(t, err)
	add(t, d, squares(1, cloth.Pink, cloth.Dark))
	fit, err := d.Fitting(ctx, "mat", full[2])
	require.NoError(t, err)
	require.Len(t, fit, 1)
	free := fit[0].ID
	for _, e := range []struct {
		edit       Edit
		about, why string
	}{
		{Edit{Swap: [2]string{full[2], strings.ToLower(full[2])}}, full[2], "cannot change places with itself"},
		{Edit{Swap: [2]string{empty[0], empty[1]}}, empty[0], "neither of the two has cloth yet"},
		{Edit{Swap: [2]string{full[2], full[1]}}, full[1], "its piece is locked there"},
		{Edit{Swap: [2]string{full[1], empty[0]}}, full[1], "its piece is locked there"},
		{Edit{Turn: full[0], By: 1}, full[0], "it is sewn already"},
		{Edit{Turn: empty[0], By: 1}, empty[0], "it has no cloth yet"},
		{Edit{Lock: []string{full[2], empty[0]}}, empty[0], "it has no cloth yet"},
		{Edit{Unlock: empty[:1]}, empty[0], "it has no cloth yet"},
		{Edit{Lock: full[:1]}, full[0], "it is sewn already"},
		{Edit{Unlock: full[:1]}, full[0], "it is sewn already"},
		{Edit{Swap: [2]string{full[2], full[0]}}, full[0], "it is sewn already"},
		{Edit{Turn: full[1], By: 1}, full[1], "its piece is locked there"},
		{Edit{Turn: full[2], By: 4}, full[2], "by 4 quarters its cloth lies as it did"},
		{Edit{Lay: KeptPatch{full[1], free}}, full[1], "its piece is locked there"},
		{Edit{Lay: KeptPatch{full[0], free}}, full[0], "it is sewn already"},
		{Edit{Lay: KeptPatch{full[2], before.Saved.Laid.Of(full[2]).Holding}}, full[2], "lies there already"},
		{Edit{Lay: KeptPatch{full[2], 999}}, full[2], "piece 999 is not in the stash"},
		{Edit{}, "", "no patch is named"},
		{Edit{Turn: "Z9", By: 1}, "Z9", "no print of the stash lies in such a patch"},
	} {
		_, err := d.EditQuilt(ctx, "mat", e.edit)
		require.ErrorIs(t, err, fault.ErrUsage, e.why)
		require.ErrorContains(t, err, e.why)
		require.Equal(t, e.about, fault.Of(err).About)
		after, err := d.Quilt(ctx, "mat")
		require.NoError(t, err)
		require.Equal(t, before.Saved.Laid, after.Saved.Laid, e.why)
	}
	// Cloth may move to a patch that lacks it, and a lock can be taken off.
	_, err = d.EditQuilt(ctx, "mat", Edit{Unlock: full[1:2]})
	require.NoError(t, err)
	q, err := d.EditQuilt(ctx, "mat", Edit{Swap: [2]string{full[1], empty[0]}})
	require.NoError(t, err)
	require.Positive(t, q.Saved.Laid.Of(empty[0]).Holding)
	require.Zero(t, q.Saved.Laid.Of(full[1]).Holding)

	// What the stash holds no more is neither moved nor turned nor locked; other cloth may
	// take its place.
	gone := q.Saved.Laid.Of(full[2]).Holding
	held, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	at := slices.IndexFunc(held.Held, func(h cloth.Holding) bool { return h.ID == gone })
	_, err = d.Use(ctx, stash.Removal{Filter: stash.Filter{IDs: []int64{gone}}, Count: held.Held[at].Count})
	require.NoError(t, err)
	for _, e := range []Edit{{Turn: full[2], By: 1}, {Lock: full[2:3]}, {Swap: [2]string{full[2], empty[1]}}} {
		_, err = d.EditQuilt(ctx, "mat", e)
		require.ErrorContains(t, err, "the stash holds its cloth no more")
	}
	q, err = d.EditQuilt(ctx, "mat", Edit{Lay: KeptPatch{full[2], free}})
	require.NoError(t, err)
	require.Equal(t, free, q.Saved.Laid.Of(full[2]).Holding)
}

// Patches are named by row and place, also on point, where rows stand between rows, and
// in rows that begin with a half.
func TestPatchNames(t *testing.T) {
	for name, want := range map[string][]string{
		"plain-squares": {"A1", "A2", "B1", "B2", "C1", "C2"},
		"bricks":        {"A1", "A2", "B1", "B2", "B3", "C1", "C2"},
	} {
		r, err := recipe.BuiltIn(name)
		require.NoError(t, err)
		assert.ElementsMatch(t, want, patchNames(r.QuiltLayout(2, 3)), name)
	}
	require.Equal(t, []string{"Z", "AA", "AZ", "BA"}, []string{rowLetters(25), rowLetters(26), rowLetters(51), rowLetters(52)})
	for _, name := range recipe.Names() {
		r, err := recipe.BuiltIn(name)
		require.NoError(t, err)
		seen := map[string]bool{}
		for _, n := range patchNames(r.QuiltLayout(3, 3)) {
			require.False(t, seen[n], "%s: two patches %s", name, n)
			seen[n] = true
		}
	}
}

// What is to be kept or kept apart and is not there is named.
func TestKeptThatIsNotThere(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(9, cloth.Blue, cloth.Dark))
	ask := asks(t, "plain-squares", 2, 2, 2, "")
	ask.Apart = [][2]int64{{1, 999}}
	_, err := d.Arrange(ctx, ask)
	require.Equal(t, "piece 999", fault.Of(err).About)
	ask.Apart, ask.Keep = nil, []KeptPatch{{"A1", 1}, {"a1", 1}}
	_, err = d.Arrange(ctx, ask)
	require.ErrorContains(t, err, "two pieces are kept in it")
}

// What is sewn before it was said to be cut is cut and sewn at once.
func TestSewnAtOnce(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 3.5, LengthIn: 15, Family: cloth.Yellow, Value: cloth.Medium})
	_, err := d.Arrange(ctx, asks(t, "plain-squares", 3, 3, 1, "mat"))
	require.NoError(t, err)
	m, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "mat", Stage: plan.SewnStage, Blocks: []string{"A2"}})
	require.NoError(t, err)
	require.Equal(t, []int{1, 2, 1}, []int{m.Pieces, m.Others, m.Cloth})
	area, _ := squareInches(t, d)
	require.InDelta(t, 3.5*(15-0.5-3.5), area, 1e-6)
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Equal(t, 2, all[0].Pulled)
}

// A piece of cloth that is cut is not laid whole as well.
func TestClothIsCutOrWhole(t *testing.T) {
	r, err := recipe.Read("steps", []byte("name = \"steps\"\nabout = \"a large square and two small\"\nwidth = 6\ngrid = [3, 2]\n[[patch]]\nat = [[1, 1]]\nwide = 2\nhigh = 2\nrole = \"any\"\n[[patch]]\nat = [[1, 3], [2, 3]]\nrole = \"any\"\n"))
	require.NoError(t, err)
	d := newDesk(t, t.TempDir())
	for _, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green, cloth.Yellow} {
		add(t, d, cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 4.5, LengthIn: 4.5, Family: f, Value: cloth.Medium, Print: string(f)})
	}
	for seed := range uint64(6) {
		ask := asks(t, "plain-squares", 2, 2, 1, "")
		ask.Order.Recipe, ask.Seed = r, seed
		a, err := d.Arrange(ctx, ask)
		require.NoError(t, err)
		whole, cut := map[int64]bool{}, map[int64]bool{}
		for _, x := range a.Laid[0].At {
			if x >= 0 && a.CutFrom[x] {
				cut[a.Problem.Pieces[x].Holding] = true
			} else if x >= 0 {
				require.False(t, whole[a.Problem.Pieces[x].Holding])
				whole[a.Problem.Pieces[x].Holding] = true
			}
		}
		require.NotEmpty(t, cut)
		for id := range cut {
			require.False(t, whole[id], "piece %d is cut and whole", id)
		}
	}
}

// Cloth that was used up meanwhile is named, not cut.
func TestClothThatIsGone(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for _, f := range []cloth.Family{cloth.Blue, cloth.Red} {
		add(t, d, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 20, Family: f, Value: cloth.Dark})
	}
	_, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 2, 2, "q"))
	require.NoError(t, err)
	_, err = d.Use(ctx, stash.Removal{Filter: stash.Filter{Family: cloth.Blue}, Count: 1})
	require.NoError(t, err)
	q, err := d.Quilt(ctx, "q")
	require.NoError(t, err)
	require.NotEmpty(t, q.Gone)
	_, err = d.MarkQuilt(ctx, MarkRequest{Quilt: "q", Stage: plan.CutStage})
	require.ErrorIs(t, err, ErrNoPiece)
	area, _ := squareInches(t, d)
	require.InDelta(t, 2.5*20, area, 1e-9, "nothing was cut")
}

// A quilt of which a row is sewn is laid out anew but for that row, and asks for no more
// cloth than it still needs; what it still takes of the shelf is told as it is now.
func TestWhatIsSewnStays(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(8, cloth.Blue, cloth.Dark))
	add(t, d, squares(8, cloth.Yellow, cloth.Light))
	ask := asks(t, "plain-squares", 2, 4, 4, "q")
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	_, err = d.MarkQuilt(ctx, MarkRequest{Quilt: "q", Stage: plan.SewnStage, Blocks: []string{"A"}})
	require.NoError(t, err)
	ask.Seed = 5
	again, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Zero(t, again.Empty)
	for i := range 4 {
		require.Equal(t, a.Holdings[a.Laid[0].Cloth[i]].ID, again.Holdings[again.Laid[0].Cloth[i]].ID, "row A")
	}
	q, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Equal(t, 4, q[0].Stages[plan.SewnStage])
	require.Equal(t, 12, q[0].Pulled)
	taken := 0
	for _, x := range again.Saved.Takes {
		taken += x.Count
	}
	require.Equal(t, 12, taken)
}

// Every patch can be named as the layout names it.
func TestSashingIsNamed(t *testing.T) {
	r, err := recipe.Read("gate", []byte("name = \"gate\"\nabout = \"squares with sashing\"\nwidth = 2\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\nrole = \"any\"\n[sashing]\nwidth = 2\nrole = \"dark\"\n"))
	require.NoError(t, err)
	d := newDesk(t, t.TempDir())
	add(t, d, squares(9, cloth.Blue, cloth.Dark))
	add(t, d, squares(9, cloth.Yellow, cloth.Light))
	ask := asks(t, "plain-squares", 2, 2, 1, "q")
	ask.Order.Recipe = r
	_, err = d.Arrange(ctx, ask)
	require.NoError(t, err)
	q, err := d.EditQuilt(ctx, "q", Edit{Lock: []string{"Sash 1"}})
	require.NoError(t, err)
	require.True(t, q.Saved.Laid.Of("sash 1").Locked)
}

// What is beside a background of the stash is held against that print, in a layout that is
// kept as in one that is made: a kept one was once held against the usual cream.
func TestAKeptLayoutKnowsItsBackground(t *testing.T) {
	d := newDesk(t, t.TempDir())
	dark := colour.Linear{0.05, 0.05, 0.05}
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 4, WidthIn: 20, LengthIn: 40, Family: cloth.Grey, Value: cloth.Dark, Print: "slate", Measured: true, Mean: dark, ReadsAs: dark, Trust: 1})
	for _, f := range []cloth.Family{cloth.Blue, cloth.Red} {
		for _, v := range []cloth.Value{cloth.Light, cloth.Dark} {
			add(t, d, cloth.Holding{Form: cloth.Strip, Count: 4, WidthIn: 10, LengthIn: 20, Family: f, Value: v, Trust: 1})
		}
	}
	ask := asks(t, "ohio-star", 6, 2, 2, "stars")
	ask.Background = "slate"
	made, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.False(t, made.Replaced)
	kept, err := d.Quilt(ctx, "stars")
	require.NoError(t, err)
	beside := 0
	for i, p := range kept.Problem.Places {
		require.Equal(t, made.Problem.Places[i].Ground, p.Ground)
		if p.Ground > 0 {
			beside++
			require.InDelta(t, dark.Lab().L, p.Ground, 1)
		}
	}
	require.Positive(t, beside)
	again, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.True(t, again.Replaced)
}

// A quilt that is kept is laid out anew under its name from its own background and by its
// own rules; a command once forgot both.
func TestAQuiltIsLaidAgainAsItWas(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(12, cloth.Blue, cloth.Dark))
	linen := squares(1, cloth.White, cloth.Light)
	linen.Form, linen.WidthIn, linen.LengthIn, linen.Print = cloth.Rectangle, 20, 36, "linen"
	add(t, d, linen)
	ask := asks(t, "nine-patch", 6, 1, 2, "mat")
	ask.Background, ask.Corners, ask.Apart, ask.Look, ask.Seed = "linen", true, [][2]int64{{1, 2}}, arrange.WashDown, 7
	_, err := d.Arrange(ctx, ask)
	require.NoError(t, err)

	r, err := d.LayAgain(ctx, " mat", ArrangeRequest{Seed: 9, Apart: [][2]int64{{2, 1}}})
	require.NoError(t, err)
	require.Equal(t, []any{"mat", "linen", true, arrange.WashDown, uint64(9)}, []any{r.Save, r.Background, r.Corners, r.Look, r.Seed})
	require.Equal(t, [][2]int64{{1, 2}, {2, 1}}, r.Apart)
	require.Equal(t, []int{1, 2}, []int{r.Order.Columns, r.Order.Rows})
	r, err = d.LayAgain(ctx, "mat", ArrangeRequest{PlanRequest: PlanRequest{Save: "other", Background: "muslin"}, Look: arrange.Even})
	require.NoError(t, err)
	require.Equal(t, []any{"other", "muslin", arrange.Even, uint64(7)}, []any{r.Save, r.Background, r.Look, r.Seed})
	require.ErrorIs(t, second(d.LayAgain(ctx, "rug", ArrangeRequest{})), ErrNoPlan)

	// By its name a quilt is meant, where nothing is said of how large it is; else a recipe.
	r, err = d.Asked(ctx, RecipeRequest{Name: "mat"}, ArrangeRequest{})
	require.NoError(t, err)
	require.Equal(t, "mat", r.Save)
	r, err = d.Asked(ctx, RecipeRequest{Name: "ohio-star"}, ArrangeRequest{})
	require.NoError(t, err)
	require.Empty(t, r.Save)
	sized := ArrangeRequest{PlanRequest: PlanRequest{Order: plan.Order{Blocks: 2}}}
	r, err = d.Asked(ctx, RecipeRequest{Name: "ohio-star", BlockIn: 6}, sized)
	require.NoError(t, err)
	require.Equal(t, 6.0, r.Order.Recipe.WidthIn)
	require.ErrorContains(t, second(d.Asked(ctx, RecipeRequest{Name: "mat"}, sized)), "you keep this quilt, and its size is known")
	require.ErrorContains(t, second(d.Asked(ctx, RecipeRequest{Name: "rug"}, sized)), "no recipe of this name")
	require.ErrorIs(t, second(newDesk(t, t.TempDir()+"/none").Asked(ctx, RecipeRequest{Name: "mat"}, ArrangeRequest{})), ErrNoStash)
}

// What only a stash can give is not asked for without one; either door is told so.
func TestNothingOfTheStashIsAskedForWithoutIt(t *testing.T) {
	d := newDesk(t, t.TempDir())
	plain := asks(t, "plain-squares", 2, 2, 2, "").PlanRequest
	plain.NoStash = true
	require.NoError(t, second(d.Plan(ctx, plain)))
	for name, change := range map[string]func(*PlanRequest){
		"save": func(r *PlanRequest) { r.Save = "mat" }, "background": func(r *PlanRequest) { r.Background = "linen" },
		"choose": func(r *PlanRequest) { r.Choose = true }, "between": func(r *PlanRequest) { r.BetweenIn = 2.5 }, "strip sets": func(r *PlanRequest) { r.Shop.StripSets = true },
	} {
		ask := plain
		change(&ask)
		require.ErrorIs(t, second(d.Plan(ctx, ask)), ErrWithout, name)
	}
	plain.NoStash, plain.BetweenIn = false, 0.5
	require.ErrorIs(t, second(d.Plan(ctx, plain)), ErrBetween)
}

// A strip of which squares are cut, and the rest is left for the binding, is pulled for the
// binding also where the layout does without its squares.
func TestAStripIsKeptForItsRest(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, cloth.Holding{Form: cloth.Square, Count: 4, WidthIn: 4.5, LengthIn: 4.5, Family: cloth.Yellow, Value: cloth.Medium, Print: "sand"})
	add(t, d, cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 4.5, LengthIn: 60, Family: cloth.Purple, Value: cloth.Medium, Print: "plum"})
	ask := asks(t, "plain-squares", 4, 2, 2, "mat")
	ask.Shop.BindingFrom, ask.Prefer = plan.Stash, cutting.Variety
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Len(t, a.Pull.Cover.Cuts, 1)
	require.Equal(t, 1, a.Pull.Strips[0].From[0].Cut, "the binding is of what is left")
	strip := a.Pull.Cover.Cuts[0].ID
	besides := func() []plan.Pulled {
		_, q, err := kept(ctx, d.readingOne, "mat")
		require.NoError(t, err)
		require.Contains(t, q.Pulled, plan.Pulled{ID: strip, Count: 1}, "once, however it is used")
		return q.Laid.Besides
	}
	require.Empty(t, besides(), "it is cut into")
	for _, patch := range a.Names {
		ask.Keep = append(ask.Keep, KeptPatch{Patch: patch, Holding: a.Holdings[0].ID})
	}
	_, err = d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, []plan.Pulled{{ID: strip, Count: 1}}, besides())
}
