package desk

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

var ctx = context.Background()

func newDesk(t *testing.T, dir string) *Desk {
	d := New(dir, Options{Now: time.Now})
	t.Cleanup(func() { require.NoError(t, d.Close()) })
	return d
}

func squares(n int, f cloth.Family, v cloth.Value) cloth.Holding {
	return cloth.Holding{Form: cloth.Square, Count: n, WidthIn: 2.5, LengthIn: 2.5, Family: f, Value: v, Trust: 1}
}

func add(t *testing.T, d *Desk, h cloth.Holding) {
	t.Helper()
	_, err := d.Add(ctx, AddRequest{Holding: h})
	require.NoError(t, err)
}

// Looking into a stash that is not there makes none, and is an error only where you
// named the folder.
func TestReadingMakesNoStash(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stash")
	d := newDesk(t, dir)
	v, err := d.Shelf(ctx, ShelfRequest{Colours: true})
	require.NoError(t, err)
	require.Empty(t, v.Stock.Boxes)
	for name, err := range map[string]error{
		"refill": second(d.Refill(ctx, RefillRequest{})), "use": second(d.Use(ctx, stash.Removal{Count: 1})),
		"undo": second(d.Undo(ctx, 1, nil)), "stow again": second(d.Stow(ctx, StowRequest{Again: true})), "there": d.There(),
	} {
		require.ErrorIs(t, err, ErrNoStash, name)
	}
	require.NoDirExists(t, dir)
	named := New(dir, Options{Now: time.Now, Named: true})
	_, err = named.History(ctx, 1)
	require.ErrorIs(t, err, ErrNoStash)
	require.Equal(t, dir, fault.Of(err).About)
}

// A folder in which nothing of a stash lies is no stash yet either: it was an error that
// no door knew, in one that was just made for it.
func TestAFolderOfNoStashIsNoStashYet(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.txt"), nil, 0o600))
	d := newDesk(t, dir)
	v, err := d.Shelf(ctx, ShelfRequest{})
	require.NoError(t, err)
	require.Empty(t, v.Stock.Boxes)
	require.ErrorIs(t, second(d.Refill(ctx, RefillRequest{})), ErrNoStash)
	require.ErrorIs(t, second(d.Use(ctx, stash.Removal{Count: 1})), ErrNoStash)
	require.ErrorIs(t, second(New(dir, Options{Now: time.Now, Named: true}).History(ctx, 1)), ErrNoStash)
	require.NoFileExists(t, filepath.Join(dir, stash.LedgerName), "looking makes none")
	add(t, d, squares(3, cloth.Blue, cloth.Dark))
	v, err = d.Shelf(ctx, ShelfRequest{})
	require.NoError(t, err)
	require.NotEmpty(t, v.Stock.Boxes)
}

func second[T any](_ T, err error) error { return err }

// One desk serves a page for days: what it changed is what it then reads, though it had
// opened the stash to read it only; a desk of another door has the same stash.
func TestADeskReadsWhatItChanged(t *testing.T) {
	dir := t.TempDir()
	add(t, newDesk(t, dir), squares(3, cloth.Blue, cloth.Dark))
	d := newDesk(t, dir)
	count := func(d *Desk) int {
		v, err := d.Shelf(ctx, ShelfRequest{})
		require.NoError(t, err)
		return v.Stock.Totals.Sized
	}
	require.Equal(t, 3, count(d))
	add(t, d.At(Door{}), squares(2, cloth.Red, cloth.Dark))
	require.Equal(t, 5, count(d))
	undone, err := d.Undo(ctx, 1, nil)
	require.NoError(t, err)
	require.Equal(t, -2, undone[0].Difference[0].Count, "what taking it back made less")
	require.False(t, undone[0].Undoable)
	require.Equal(t, 3, count(d))
}

// A new name is announced. One that may be a slip is asked about, and refused where
// nobody answers, with what was asked as a cause.
func TestNamesThatMayBeSlips(t *testing.T) {
	dir := t.TempDir()
	var notes []Note
	answer, asked := false, false
	var questions []Question
	d := newDesk(t, dir).At(Door{
		Note: func(n Note) { notes = append(notes, n) },
		Ask: func(_ context.Context, q Question) (bool, bool, error) {
			questions = append(questions, q)
			return answer, asked, nil
		},
	})
	in := func(basket string, isNew bool) error {
		h := squares(1, cloth.Blue, cloth.Dark)
		h.Basket = basket
		return second(d.Add(ctx, AddRequest{Holding: h, New: isNew}))
	}
	require.NoError(t, in("sewing room", false))
	require.NoError(t, in("sewing room", false))
	require.Equal(t, []Note{NewName{BasketName, "sewing room"}}, notes, "once")
	require.Empty(t, questions)

	err := in("sewing roon", false)
	var near NearName
	require.ErrorAs(t, err, &near)
	require.Equal(t, NearName{BasketName, "sewing roon", "sewing room"}, near)
	require.ErrorIs(t, err, fault.ErrUsage)
	require.Equal(t, []Question{near}, questions)
	asked = true
	require.ErrorContains(t, in("sewing roon", false), "nothing was changed")
	answer = true
	require.NoError(t, in("sewing roon", false))
	require.NoError(t, in("sewing rooms", true))
	require.Len(t, questions, 3, "not asked where it is meant as written")
	require.Equal(t, NewName{BasketName, "sewing rooms"}, notes[len(notes)-1])

	_, err = d.Use(ctx, stash.Removal{Count: 1, Filter: stash.Filter{Basket: "sewing rum"}})
	var unknown UnknownName
	require.ErrorAs(t, err, &unknown)
	require.Contains(t, []string{"sewing room", "sewing roon"}, unknown.Near)
}

// A print of the stash goes before the colour of the same word; a print that was never
// measured is no colour by accident.
func TestContrastTakesABackgroundByItsName(t *testing.T) {
	d := newDesk(t, t.TempDir())
	cream, navy := colour.Linear{0.8, 0.78, 0.7}, colour.Linear{0.01, 0.01, 0.05}
	measured := squares(4, cloth.White, cloth.Light)
	measured.Print, measured.Measured, measured.Mean, measured.ReadsAs = "cream", true, colour.Linear{0.5, 0.5, 0.5}, colour.Linear{0.5, 0.5, 0.5}
	byHand := squares(2, cloth.Blue, cloth.Dark)
	byHand.Print = "navy"
	add(t, d, measured)
	add(t, d, byHand)
	pull := []Sample{{Name: "red", Colour: &colour.Linear{0.3, 0, 0}}, {Name: "red", Colour: &colour.Linear{0.1, 0, 0}}}
	against := func(s Sample) (Contrast, error) {
		return d.Contrast(ctx, ContrastRequest{Pull: pull, Background: &s})
	}
	c, err := against(Sample{Name: "cream", Colour: &cream})
	require.NoError(t, err)
	require.InDelta(t, 0.5, c.Background.Colour[0], 0.01, "the print")
	require.Len(t, c.Pull, 1, "one print by its name")
	require.Equal(t, 2, c.Pull[0].Pieces)
	require.InDelta(t, 0.2, c.Pull[0].Colour[0], 1e-12, "the mean of its pieces")
	c, err = against(Sample{Name: "ecru", Colour: &cream})
	require.NoError(t, err)
	require.Equal(t, cream, c.Background.Colour)
	require.ErrorIs(t, second(against(Sample{Name: "navy", Colour: &navy})), ErrUnmeasured)
	require.ErrorIs(t, second(against(Sample{Name: "nothing"})), ErrNotCloth)
	require.ErrorIs(t, second(d.Contrast(ctx, ContrastRequest{Which: stash.Filter{Print: "navy"}})), ErrUnmeasured)
	require.ErrorIs(t, second(d.Contrast(ctx, ContrastRequest{Which: stash.Filter{Basket: "attic"}})), ErrEmptyBasket)
}

// A plan is kept under its name, and its pieces are left to it by others; planned again
// it keeps them itself.
func TestPlansLeaveEachOtherTheirPieces(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(8, cloth.Blue, cloth.Dark))
	r, err := recipe.BuiltIn("four-patch")
	require.NoError(t, err)
	ask := PlanRequest{Order: plan.Order{Recipe: r, Blocks: 2}, Shop: plan.Defaults(recipe.Inches()), Save: "first"}
	taken := func(p Plan) int {
		_, covered, _ := p.Pull.Totals()
		return covered
	}
	p, err := d.Plan(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, "first", p.Quilt)
	require.False(t, p.Replaced)
	require.Positive(t, taken(p))
	again, err := d.Plan(ctx, ask)
	require.NoError(t, err)
	require.True(t, again.Replaced)
	require.Empty(t, again.Left)
	require.Equal(t, taken(p), taken(again))
	ask.Save = ""
	other, err := d.Plan(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, r.Name, other.Quilt)
	require.Equal(t, []LeftTo{{"first", taken(p)}}, other.Left)

	_, err = d.ForgetPlan(ctx, "second")
	require.ErrorIs(t, err, ErrNoPlan)
	require.Equal(t, "those kept are first", fault.Of(err).Remedy)
	_, err = d.ForgetPlan(ctx, "first")
	require.NoError(t, err)
	other, err = d.Plan(ctx, ask)
	require.NoError(t, err)
	require.Empty(t, other.Left)
	ask.Background = "linen"
	require.ErrorIs(t, second(d.Plan(ctx, ask)), ErrNoPrint)
}

// However a name is written, by either door, it is one name: spaces round it kept a plan
// that its own name did not find.
func TestPlansAreNamedOneWay(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(18, cloth.Blue, cloth.Dark))
	ask := asks(t, "plain-squares", 2, 2, 2, "  winter\tquilt ").PlanRequest
	p, err := d.Plan(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, "winter quilt", p.Kept)
	p, err = d.Plan(ctx, ask)
	require.NoError(t, err)
	require.True(t, p.Replaced)
	require.Empty(t, p.Left, "it left its own pieces to itself")
	a, err := d.Arrange(ctx, asks(t, "plain-squares", 2, 2, 2, " winter quilt"))
	require.NoError(t, err)
	require.Equal(t, "winter quilt", a.Kept)
	require.Empty(t, a.Left)
	a, err = d.Quilt(ctx, "winter quilt ")
	require.NoError(t, err)
	require.Equal(t, "winter quilt", a.Quilt)
	a, err = d.CopyQuilt(ctx, " winter quilt", " spring ")
	require.NoError(t, err)
	require.Equal(t, "spring", a.Kept)
	require.ErrorContains(t, second(d.CopyQuilt(ctx, "winter quilt", "spring ")), "kept already")
	require.NoError(t, second(d.ForgetPlan(ctx, "winter quilt\n")))
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.Equal(t, "spring", all[0].Name)
	ask.Save = "  "
	require.ErrorIs(t, second(d.Plan(ctx, ask)), fault.ErrUsage)
	require.ErrorIs(t, second(d.Arrange(ctx, asks(t, "plain-squares", 2, 2, 2, "\t"))), fault.ErrUsage)
}

// Numbers written one by one must be there; of a range what there is of it.
func TestFixTakesTheNumbersThereAre(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(1, cloth.Blue, cloth.Dark))
	add(t, d, squares(1, cloth.Blue, cloth.Dark))
	teal := stash.Correction{Family: cloth.Teal}
	_, err := d.Fix(ctx, FixRequest{Pieces: Numbers{All: []int64{1, 9}, Said: []int64{1, 9}}, Correction: teal})
	require.ErrorIs(t, err, ErrNoPiece)
	require.EqualError(t, err, "piece 9: the stash holds no such piece")
	require.ErrorIs(t, second(d.Fix(ctx, FixRequest{Pieces: Numbers{All: []int64{7, 8, 9}}, Correction: teal})), ErrNoPiece)
	c, err := d.Fix(ctx, FixRequest{Pieces: Numbers{All: []int64{2, 3, 4}}, Correction: teal})
	require.NoError(t, err)
	require.Len(t, c.Difference, 2, "one blue less, one teal more")
	_, err = d.Fix(ctx, FixRequest{Pieces: Numbers{All: []int64{1}}, Correction: stash.Correction{NotAPiece: false}, Merge: Numbers{All: []int64{9}, Said: []int64{9}}})
	require.ErrorIs(t, err, ErrNoPiece)
}

// What is not said stays as it is set.
func TestSetKeepsTheRest(t *testing.T) {
	d := newDesk(t, t.TempDir())
	trim, by := 0.25, shelf.ByBoth
	for _, r := range []SetRequest{{TrimIn: &trim}, {YardGrams: 140}, {Bins: &by}} {
		require.NoError(t, second(d.Set(ctx, r)))
	}
	got, err := d.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, stash.Settings{TrimIn: 0.25, GSM: stash.GSMOfYard(140, 40), Bins: shelf.ByBoth}, got)
	require.InDelta(t, 151, got.GSM, 1)
	require.ErrorIs(t, second(d.Set(ctx, SetRequest{YardGrams: 10})), ErrYardWeight)
	require.ErrorIs(t, second(d.Set(ctx, SetRequest{YardWidthIn: 42})), ErrYardWeight)
	require.ErrorIs(t, second(d.ClearFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}})), ErrNoFloor)
	require.NoError(t, second(d.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}, Least: 4}, false)))
	require.NoError(t, second(d.ClearFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}})))
	floors, err := d.Floors(ctx)
	require.NoError(t, err)
	require.Empty(t, floors)
}

// A photo goes in once; what is only refused leaves what was done before in the answer.
func TestStowTellsOfEachPhoto(t *testing.T) {
	if testing.Short() {
		t.Skip("looks at a photo")
	}
	dir := t.TempDir()
	torn := filepath.Join(dir, "torn.jpg")
	require.NoError(t, os.WriteFile(torn, nil, 0o600))
	tin := filepath.Join("..", "..", "samples", "tin-of-squares.jpg")
	var told []string
	steps, ends := 0, 0
	d := newDesk(t, filepath.Join(dir, "stash")).At(Door{
		Begin: func(w Work, n int) { require.Equal(t, StowingWork, w); steps += n },
		Step:  func() { steps-- },
		End:   func() { ends++ },
	})
	ask := StowRequest{Files: []string{torn, tin}, As: cloth.Square, CutIn: 3.5, Told: func(s Stowed) error {
		told = append(told, s.File)
		return nil
	}}
	done, err := d.Stow(ctx, ask)
	require.NoError(t, err)
	require.Equal(t, []string{tin}, told)
	require.Len(t, done.Refused, 1)
	require.Equal(t, torn, done.Refused[0].About)
	require.Zero(t, steps, "a step a photo")
	require.Equal(t, 1, ends)
	require.False(t, done.Photos[0].Known)
	n := done.Photos[0].Added
	require.Greater(t, n, 5)
	require.Len(t, done.Photos[0].IDs, n)

	p, err := d.Pieces(ctx, PiecesRequest{Outlines: true})
	require.NoError(t, err)
	require.Len(t, p.Photos[0].Pieces, n)
	require.NotEmpty(t, p.Photos[0].Pieces[0].Outline)
	one, err := d.OneOfEach(ctx, func(h cloth.Holding) string { return string(h.Form) })
	require.NoError(t, err)
	require.Len(t, one[0].Pieces, 1)

	ask.Files = []string{tin}
	done, err = d.Stow(ctx, ask)
	require.NoError(t, err)
	require.True(t, done.Photos[0].Known)
	require.Empty(t, done.Doubts())
}

// A plan's picture shows every piece that is pulled, each once, in a patch that it is cut
// for, and no other; two of a print lie apart where they can.
func TestAPlanIsDrawnInWhatItPulls(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for i, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green} {
		h := squares(3, f, cloth.Dark)
		h.Print = fmt.Sprint("print ", i)
		add(t, d, h)
	}
	strip := cloth.Holding{Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 13, Family: cloth.Yellow, Value: cloth.Light, Trust: 1}
	add(t, d, strip)
	r, err := recipe.BuiltIn("nine-patch")
	require.NoError(t, err)
	ask := PlanRequest{Order: plan.Order{Recipe: r, Columns: 2, Rows: 1}, Shop: plan.Defaults(recipe.Inches()), Picture: true}
	p, err := d.Plan(ctx, ask)
	require.NoError(t, err)
	_, covered, short := p.Pull.Totals()
	require.Equal(t, []int{14, 4}, []int{covered, short}, "9 dark of 10, 5 light of 8 from the strip")
	used := map[string]int{}
	filled := 0
	laid := p.Drawn.Laid[0]
	for i, k := range laid.Cloth {
		if k < 0 {
			continue
		}
		filled++
		h := p.Drawn.Holdings[k]
		used[string(h.Family)]++
		require.True(t, p.Drawn.Top.Patches[i].Role.Suits(h.Family, h.Value))
	}
	require.Equal(t, covered, filled)
	require.Equal(t, map[string]int{"blue": 3, "red": 3, "green": 3, "yellow": 5}, used)
	judged, err := p.Drawn.Problem.Judge(laid.At)
	require.NoError(t, err)
	require.Empty(t, judged.Touches)
	ask.Picture = false
	p, err = d.Plan(ctx, ask)
	require.NoError(t, err)
	require.Nil(t, p.Drawn)
	one := newDesk(t, t.TempDir())
	add(t, one, squares(10, cloth.Blue, cloth.Dark))
	ask.Picture = true
	p, err = one.Plan(ctx, ask)
	require.NoError(t, err)
	require.Empty(t, p.Drawn.Laid[0].Touches, "all are alike, and nobody asked")
	ask.Picture, ask.Order.Recipe = true, asks(t, "plain-squares", 9, 1, 1, "").Order.Recipe
	p, err = d.Plan(ctx, ask)
	require.NoError(t, err)
	require.Nil(t, p.Drawn, "nothing is pulled")
}

// A number that is no piece is said, where prints are meant by numbers: it was passed over.
func TestContrastKnowsItsPieces(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(3, cloth.Blue, cloth.Dark))
	_, err := d.Contrast(ctx, ContrastRequest{Pieces: Numbers{All: []int64{1, 9999}, Said: []int64{1, 9999}}})
	require.ErrorIs(t, err, ErrNoPiece)
	require.Equal(t, "piece 9999", fault.Of(err).About)
}

// A stash has one folder beside it for each thing, whichever way it is reached.
func TestWhatLiesBesideALinkedStash(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	at, link := filepath.Join(dir, "stash"), filepath.Join(dir, "link")
	require.NoError(t, os.Mkdir(at, 0o700))
	if err := os.Symlink(at, link); err != nil {
		t.Skip("no links here: ", err)
	}
	require.Equal(t, at+".serving", newDesk(t, at).BesideItself("serving"))
	require.Equal(t, at+".serving", newDesk(t, link).BesideItself("serving"))
	require.Equal(t, filepath.Join(dir, "none.serving"), newDesk(t, filepath.Join(dir, "none")).BesideItself("serving"))
}

// Numbers said one by one are in the stash, or it is said which is not; a slip of the finger
// adds no million.
func TestNumbersAndCountsThatAreSlips(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, squares(3, cloth.Blue, cloth.Dark))
	one := stash.Filter{IDs: []int64{1, 7}}
	_, err := d.Shelf(ctx, ShelfRequest{Which: one})
	require.NoError(t, err, "of a range")
	one.Named = one.IDs
	for what, err := range map[string]error{
		"shelf":  second(d.Shelf(ctx, ShelfRequest{Which: one})),
		"pieces": second(d.Pieces(ctx, PiecesRequest{Which: one})),
		"use":    second(d.Use(ctx, stash.Removal{Filter: one, Count: 1})),
	} {
		require.ErrorIs(t, err, ErrNoPiece, what)
		require.ErrorContains(t, err, "piece 7", what)
	}
	many := squares(10_001, cloth.Blue, cloth.Dark)
	require.ErrorIs(t, second(d.Add(ctx, AddRequest{Holding: many})), fault.ErrUsage)
	many.Count = 10_000
	require.NoError(t, second(d.Add(ctx, AddRequest{Holding: many})))
}
