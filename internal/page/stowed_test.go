package page

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/stash"
)

// lookAgain is where photos wait, by the page of what was done.
var lookAgain = regexp.MustCompile(`<a class="way" href="(/look/[0-9a-f]+)">([^<]*)</a>`)

// A stow that is taken back loses neither the photo nor what was said of it; photos of
// one press come back together, also after the server was started anew.
func TestWhatIsTakenBackWaitsAgain(t *testing.T) {
	v := visit(t)
	v.enter()
	code, page, at := v.send([]string{"one.jpg", "two.jpg"}, table(t), spread(t, 9))
	require.Equal(t, 200, code, page)
	found := shownOn(t, page)
	v.post(at+"/say", "do", "fix", "pieces", found[0].n, "family", "teal", "value", "dark")
	_, page, _ = v.post(at+"/say", "do", "none", "pieces", found[1].n)
	mended := shownOn(t, page)
	require.Len(t, mended, len(found)-1)
	code, page, _ = v.post(batchAt(at) + "/stow")
	require.Equal(t, 200, code, page)
	require.NoDirExists(t, v.server.waiting.folder)

	_, page, _ = v.get("/history")
	require.Regexp(t, `Take back: stowed \d+ pieces from one.jpg; stowed \d+ pieces from two.jpg<`, page)
	require.NotContains(t, page, "Do again")
	require.NotRegexp(t, lookAgain, page)
	v.again()
	_, page, _ = v.post("/undo")
	require.Regexp(t, `taken back: stowed \d+ pieces from one.jpg; stowed \d+ pieces from two.jpg; one.jpg; two.jpg wait again, mended as they were`, page)
	require.Contains(t, page, "There is nothing to take back")
	waits := lookAgain.FindAllStringSubmatch(page, -1)
	require.Len(t, waits, 1, "both are in one batch")
	require.Equal(t, "one.jpg; two.jpg", waits[0][2])

	_, page, _ = v.get(waits[0][1] + "/1")
	now := shownOn(t, page)
	require.Equal(t, mended[0].words, now[0].words)
	require.Len(t, now, len(mended))
	code, page, _ = v.post(waits[0][1] + "/stow")
	require.Equal(t, 200, code, page)
	p, err := v.desk.Pieces(t.Context(), desk.PiecesRequest{})
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(p.Held, func(h cloth.Holding) bool { return h.Family == cloth.Teal && h.Value == cloth.Dark }))

	// What cannot be taken back keeps nothing waiting; what was taken back elsewhere and is
	// sent again is mended as it was.
	_, err = v.desk.Undo(t.Context(), 2, nil)
	require.NoError(t, err)
	_, page, _ = v.send([]string{"one.jpg"}, table(t))
	require.Len(t, shownOn(t, page), len(mended))
	code, page, _ = v.post("/undo")
	require.Equal(t, http.StatusUnprocessableEntity, code)
	require.Contains(t, page, "there is no change left to take back")
	all, err := os.ReadDir(v.server.waiting.folder)
	require.NoError(t, err)
	require.Len(t, all, 1)
}

// A number is given to one photo of a batch alone: a browser keeps the picture that it had
// under it, and a page of the photo that is gone says its words to no other.
func TestANumberIsOfOnePhoto(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"torn.jpg", "one.jpg", "two.jpg"}, []byte("no photo"), table(t), spread(t, 9))
	at = batchAt(at)
	_, one, _ := v.get(at + "/2/picture")
	code, page, _ := v.post(at + "/stow")
	require.Equal(t, 200, code, page)
	v.restart()
	v.enter()
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "one.jpg; two.jpg wait again")
	code, page, _ = v.get(at + "/2")
	require.Equal(t, http.StatusBadRequest, code, page)
	for number, same := range map[string]bool{"4": true, "5": false} {
		code, picture, _ := v.get(at + "/" + number + "/picture")
		require.Equal(t, 200, code)
		require.Equal(t, same, picture == one, number)
	}

	v.post(at+"/drop", "photo", "5")
	code, page, _ = v.get(at + "/5")
	require.Equal(t, http.StatusBadRequest, code, page)

	// What was kept before numbers were counted is kept still.
	b := &batch{}
	require.NoError(t, b.read([]byte(`[{"number":7,"name":"old.jpg"}]`)))
	require.Equal(t, "old.jpg", b.photos[0].Name)
	require.Equal(t, 8, b.number())
	require.Error(t, b.read([]byte(`{"photos":`)))
}

// What you say of a photo that the stash has already is not thrown away with the photo.
func TestWhatIsSaidOfAKnownPhotoIsKept(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"one.jpg"}, table(t))
	v.post(at+"/say", "do", "fix", "pieces", "1", "family", "teal")
	v.post(batchAt(at) + "/stow")
	_, _, at = v.send([]string{"one.jpg"}, table(t))
	code, page, _ := v.post(batchAt(at) + "/stow")
	require.Equal(t, 200, code, page)
	require.Contains(t, page, "1 photo known already", "what was stowed with it is said again, and known")

	_, page, at = v.send([]string{"one.jpg"}, table(t))
	require.Contains(t, page, "The stash has this photo already")
	require.NotContains(t, page, "is in the stash yet")
	_, err := v.desk.Use(t.Context(), stash.Removal{Filter: stash.Filter{IDs: []int64{2}}, Count: 1})
	require.NoError(t, err)
	v.post(at+"/say", "do", "fix", "pieces", "1", "print", "stripes")
	v.post(at+"/say", "do", "fix", "pieces", "2", "value", "dark")
	_, page, _ = v.post(at+"/say", "do", "none", "pieces", "3")
	mended := shownOn(t, page)
	code, page, _ = v.post(batchAt(at) + "/stow")
	require.Equal(t, 200, code, page)
	require.Contains(t, page, "one.jpg: put onto its pieces in the stash: teal, print stripes of piece 1, no cloth of piece 3 of the photo; not put, since the stash counts such a piece no more: dark of piece 2 of the photo; 1 piece fewer<")
	one, err := v.desk.Pieces(t.Context(), desk.PiecesRequest{})
	require.NoError(t, err)
	require.Equal(t, []any{cloth.Teal, "stripes"}, []any{one.Held[0].Family, one.Held[0].Print})

	_, page, _ = v.post("/undo")
	require.Contains(t, page, "one.jpg waits again, mended as it was")
	_, page, _ = v.get(lookAgain.FindStringSubmatch(page)[1])
	require.Equal(t, mended, shownOn(t, page))
	one, err = v.desk.Pieces(t.Context(), desk.PiecesRequest{})
	require.NoError(t, err)
	require.NotEqual(t, "stripes", one.Held[0].Print)
}

// Only what one press made, and nothing since, is taken back at once; what cannot be
// remembered is stowed all the same, and said.
func TestAPressIsTakenBack(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"one.jpg"}, table(t))
	v.post(batchAt(at) + "/stow")
	_, _, at = v.send([]string{"two.jpg"}, spread(t, 9))
	v.post(batchAt(at) + "/stow")
	_, page, _ := v.post("/undo")
	require.Contains(t, page, "two.jpg waits again")
	require.Regexp(t, `Take back: stowed \d+ pieces from one.jpg`, page)
	v.post("/add", "count", "2", "cut", "2½", "family", "blue")
	_, page, _ = v.post("/undo")
	require.NotContains(t, page, "again, mended")
	require.Regexp(t, `Take back: stowed \d+ pieces from one.jpg`, page)

	require.NoError(t, os.Remove(v.server.waiting.stowed.file))
	require.NoError(t, os.Mkdir(v.server.waiting.stowed.file, 0o700))
	for _, more := range [][]string{nil, {"basket", "chest", "recount", "1"}} {
		_, _, at = v.send([]string{"three.jpg"}, spread(t, uint64(11+len(more))))
		code, page, _ := v.post(batchAt(at)+"/stow", more...)
		require.Equal(t, 200, code, page)
		require.Contains(t, page, "what you said of three.jpg could not be remembered: taken back it does not wait again")
		_, page, _ = v.post("/undo")
		require.NotContains(t, page, "waits again")
	}

	// What was remembered before presses were is taken back one by one.
	s := openStowed(filepath.Join(t.TempDir(), "stowed"), nowhere)
	for i := range 2 {
		require.NoError(t, s.stowedBy(int64(i+1), ""))
	}
	require.Equal(t, 1, s.made([]stash.Change{{ID: 2}, {ID: 1}}))
	require.Zero(t, s.made([]stash.Change{{ID: 3}, {ID: 2}}))
}

// nowhere is a step that no test waits for.
func nowhere(string) {}

// stowedBy remembers a photo that a change stowed.
func (s *stowed) stowedBy(change int64, hash string) error {
	w := &wasStowed{Hash: hash, Mend: &desk.Mend{}}
	return errors.Join(s.begin(change-1, w), s.settle(change, w))
}

// What can be taken back no more is forgotten.
func TestWhatIsForgottenOfStows(t *testing.T) {
	s := openStowed(filepath.Join(t.TempDir(), "stowed"), nowhere)
	require.NoError(t, s.stowedBy(1, "a"))
	require.NoError(t, s.stowedBy(stash.Undoable, "b"))
	require.Len(t, s.by(1), 1)
	require.NoError(t, s.stowedBy(stash.Undoable+1, "c"))
	require.Empty(t, s.by(1))
	require.Len(t, openStowed(s.file, nowhere).by(stash.Undoable), 1)
}

// A server that is killed between two photos of a stow once came back with photos that
// waited, and whose files were gone.
func TestWhatIsReleasedWaitsNoMore(t *testing.T) {
	v := visit(t)
	v.enter()
	code, page, _ := v.send([]string{"one.jpg", "two.jpg"}, table(t), spread(t, 9))
	require.Equal(t, 200, code, page)
	b := v.server.waiting.batches[0]
	one := b.file(0)
	require.NoError(t, b.release(b.photos[0]))
	require.NoFileExists(t, one)
	v.again()
	b = v.server.waiting.batches[0]
	require.Equal(t, []string{"two.jpg"}, b.now.Load().names)
	require.FileExists(t, b.file(0))
}

// What was stowed before a press failed is told, waits no more, and can be taken back
// mended.
func TestAStowThatFailsHalfway(t *testing.T) {
	v := visit(t)
	v.enter()
	code, page, at := v.send([]string{"one.jpg", "two.jpg"}, table(t), spread(t, 9))
	require.Equal(t, 200, code, page)
	v.post(at+"/say", "do", "fix", "pieces", shownOn(t, page)[0].n, "family", "teal")
	require.NoError(t, os.Remove(v.server.waiting.batches[0].file(1)))
	_, page, _ = v.post(batchAt(at) + "/stow")
	require.Regexp(t, `\d+ pieces stowed of the photos before it`, page)
	v.again()
	require.Len(t, v.server.waiting.batches, 1)
	require.Equal(t, []string{"two.jpg"}, v.server.waiting.batches[0].now.Load().names)
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "one.jpg waits again, mended as it was")
}

// A recount that is taken back has its photos wait again too, also one that was of the
// stash before.
func TestARecountTakenBack(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"one.jpg"}, table(t))
	v.post(batchAt(at)+"/stow", "basket", "chest")
	_, _, at = v.send([]string{"two.jpg"}, spread(t, 9))
	code, page, _ := v.post(batchAt(at)+"/stow", "basket", "chest", "recount", "1")
	require.Equal(t, 200, code, page)
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "two.jpg waits again")
	require.NotContains(t, page, "Do again", "its photo is not in the stash any more")
	waits := lookAgain.FindStringSubmatch(page)
	require.Equal(t, "two.jpg", waits[2])
	v.post(waits[1] + "/drop")

	_, _, at = v.send([]string{"one.jpg"}, table(t))
	code, page, _ = v.post(batchAt(at)+"/stow", "basket", "chest", "recount", "1")
	require.Equal(t, 200, code, page)
	v.takenBackAndForth("one.jpg", func() any { return v.history() })
}

// history lists what was done.
func (v *visitor) history() (out []string) {
	all, err := v.desk.History(v.t.Context(), 0)
	require.NoError(v.t, err)
	for _, c := range all {
		out = append(out, c.Verb+" "+c.What)
	}
	return out
}

// takenBackAndForth takes back what was done last, does it again, and so on: while it is
// taken back the photo waits, once, and after it does not. state is what must come back.
func (v *visitor) takenBackAndForth(photo string, state func() any) {
	v.t.Helper()
	done := state()
	var undone any
	for i := range 3 {
		if i == 1 { // what is remembered outlives the server
			v.again()
		}
		_, page, _ := v.post("/undo")
		require.Regexp(v.t, photo+" waits? again, mended as ", page)
		require.Equal(v.t, photo, lookAgain.FindStringSubmatch(page)[2])
		require.Len(v.t, v.server.waiting.all(), 1)
		if i == 1 {
			v.again()
		}
		if i > 0 {
			require.Equal(v.t, undone, state())
		}
		undone = state()
		require.NotEqual(v.t, done, undone)
		_, page, _ = v.post("/redo")
		require.Contains(v.t, page, "done again: ")
		require.NotContains(v.t, page, "Not stowed")
		require.NoDirExists(v.t, v.server.waiting.folder)
		require.Equal(v.t, done, state())
	}
}

// What was said of a known photo and is taken back, and done again, waits and waits no more;
// what one press did is taken back and done again at once; and where more was said
// meanwhile, nothing of that is thrown away.
func TestWhatIsToldAgain(t *testing.T) {
	v := visit(t)
	v.enter()
	photos := func() string {
		_, _, at := v.send([]string{"one.jpg", "two.jpg"}, table(t), spread(t, 9))
		return batchAt(at)
	}
	v.post(photos() + "/stow")
	at := photos()
	v.post(at+"/1/say", "do", "fix", "pieces", "1", "print", "stripes")
	v.post(at+"/2/say", "do", "fix", "pieces", "1", "print", "dots")
	_, page, _ := v.post(at + "/stow")
	require.Contains(t, page, "2 photos known already")
	state := func() any {
		all, err := v.desk.Pieces(t.Context(), desk.PiecesRequest{})
		require.NoError(t, err)
		return append(v.history(), fmt.Sprintf("%+v", all.Held))
	}
	v.takenBackAndForth("one.jpg; two.jpg", state)

	_, page, _ = v.post("/undo")
	at = lookAgain.FindStringSubmatch(page)[1]
	b := v.server.waiting.find(strings.TrimPrefix(at, "/look/"))
	v.post(b.photoAt(1)+"/say", "do", "fix", "pieces", "1", "value", "dark")
	_, page, _ = v.post("/redo")
	require.Contains(t, page, "more was said of two.jpg since, and it waits still")
	require.Equal(t, "two.jpg", lookAgain.FindStringSubmatch(page)[2])
	v.again()
	require.Len(t, v.server.waiting.all(), 1)
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "one.jpg waits again")
	require.Len(t, v.server.waiting.all()[0].photos, 2, "each waits once")
}

// With nothing done, nothing is offered to be taken back or done again.
func TestNothingToTakeBack(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/history")
	require.Contains(t, page, "There is nothing to take back")
	require.NotContains(t, page, "<button")
	v.post("/add", "count", "2", "cut", "2½", "family", "blue")
	_, page, _ = v.get("/history")
	require.Contains(t, page, "Take back: added 2 blue")
	require.NotContains(t, page, "Do again")
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "Do again: added 2 blue")
	require.NotContains(t, page, "Take back:")
	for range stash.Undoable + 1 { // the first can be taken back no more
		_, err := v.desk.Add(t.Context(), desk.AddRequest{Holding: cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue}})
		require.NoError(t, err)
	}
	_, err := v.desk.Undo(t.Context(), stash.Undoable, nil)
	require.NoError(t, err)
	_, page, _ = v.get("/history")
	require.Contains(t, page, "add")
	require.Contains(t, page, "There is nothing to take back")
}

// All photos of the stash are looked at again, and what that changes is shown first.
func TestLookingAgainAtAll(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"one.jpg"}, table(t))
	v.post(batchAt(at) + "/stow")
	_, page, _ := v.get("/data")
	require.Contains(t, page, `action="/data/again"`)
	_, page, _ = v.post("/data/again")
	require.Contains(t, page, "1 photo looked at; 0 would be read otherwise")
	require.NotContains(t, page, "Change the stash so")

	// What was said of the scale in the look before is not said now.
	b := spread(t, 9)
	_, _, at = v.send([]string{"two.jpg"}, b)
	v.post(at+"/say", "do", "photo", "kind", "spread", "scale", "20")
	v.post(batchAt(at) + "/stow")
	before, err := v.desk.Latest(t.Context())
	require.NoError(t, err)
	_, page, _ = v.post("/data/again")
	require.Contains(t, page, "2 photos looked at; 1 would be read otherwise. Nothing is changed yet")
	require.Regexp(t, `<b>two.jpg</b>: \d+ pieces? `, page)
	after, err := v.desk.Latest(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after)
	_, page, at = v.post("/data/again", "yes", "1")
	require.Equal(t, "/shelf", at)
	require.Contains(t, page, "looked again: 2 photos")
	_, page, _ = v.post("/undo")
	require.Contains(t, page, "taken back: looked again at 2 photos")
}
