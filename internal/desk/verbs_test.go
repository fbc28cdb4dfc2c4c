package desk

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

// fileOf puts bytes into a file of a folder of their own.
func fileOf(t *testing.T, name string, data []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(file, data, 0o600))
	return file
}

// tinted is a piece of a colour, of 40 × 40 pixels at a place in a row.
func tinted(id, at int, f cloth.Family, v cloth.Value, c colour.Linear) cloth.Piece {
	return cloth.Piece{
		ID: id, Polygon: box(float64(50*at), 10, 40, 40), Mean: c, ReadsAs: c, Colours: []cloth.Ink{{Colour: c, Share: 1}}, Lightness: c.Lab().L,
		Family: f, Value: v, WidthIn: 2.5, LengthIn: 2.5, Cut: "2½ square", Trust: 0.9, FamilyTrust: 0.9, ValueTrust: 0.9, SizeTrust: 0.9,
	}
}

var (
	redCloth  = colour.Linear{0.4, 0.02, 0.03}
	blueCloth = colour.Linear{0.02, 0.05, 0.3}
	sheetOf   = func(pieces ...cloth.Piece) cloth.Sheet {
		return cloth.Sheet{Width: 800, Height: 200, Kind: cloth.Spread, Pieces: pieces}
	}
)

// twenty is a photo of ten red pieces and ten blue ones.
func twenty() cloth.Sheet {
	s := sheetOf()
	for i := range 20 {
		c, f, v := redCloth, cloth.Red, cloth.MediumDark
		if i%2 == 1 {
			c, f, v = blueCloth, cloth.Blue, cloth.Dark
		}
		c[0] += 0.0005 * float64(i)
		s.Pieces = append(s.Pieces, tinted(i+1, i, f, v, c))
	}
	return s
}

// Bins are learnt from pieces of the stash, and new photos and what lies in no bin are sorted by that.
func TestBinsAreTaughtAndSorted(t *testing.T) {
	d := newDesk(t, t.TempDir())
	bins, err := d.TaughtBins(ctx)
	require.NoError(t, err)
	require.Equal(t, []TaughtBin{}, bins)
	in, err := d.StowLooked(ctx, fileOf(t, "a.jpg", []byte("a")), Looked{Sheet: twenty()}, StowRequest{})
	require.NoError(t, err)
	require.Equal(t, 20, in.Added)
	require.Empty(t, in.Into)
	saying(t, second(d.Sort(ctx)), "you have taught no bin yet", "teach one")
	require.ErrorIs(t, second(d.TrySort(ctx)), ErrNothingTaught)

	add(t, d, squares(1, cloth.Red, cloth.Dark))
	p, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	byHand := p.Held[len(p.Held)-1].ID
	err = second(d.TeachPieces(ctx, "reds", false, Numbers{All: []int64{byHand}, Said: []int64{byHand}}))
	saying(t, err, fmt.Sprintf("piece %d: its colours were never measured, so nothing can be learnt from it", byHand), "teach from pieces that came from a photo")
	require.ErrorIs(t, second(d.TeachPieces(ctx, "reds", false, Numbers{All: []int64{999}, Said: []int64{999}})), ErrNoPiece)
	of := func(first, n int) (ids Numbers) {
		for i := range n {
			id := in.IDs[first+2*i]
			ids.All, ids.Said = append(ids.All, id), append(ids.Said, id)
		}
		return ids
	}
	require.NoError(t, second(d.TeachPieces(ctx, "reds", false, of(1, 5))))
	require.NoError(t, second(d.TeachPieces(ctx, "blues", false, of(2, 4))))
	bins, err = d.TaughtBins(ctx)
	require.NoError(t, err)
	require.Equal(t, []TaughtBin{{"reds", 5}, {"blues", 4}}, bins)

	try, err := d.TrySort(ctx)
	require.NoError(t, err)
	require.Zero(t, try.Change.ID)
	require.Equal(t, 11, len(try.Sorted)+len(try.Unsure), "what lies in no bin and was measured")
	sorted, err := d.Sort(ctx)
	require.NoError(t, err)
	require.Equal(t, try.Sorted, sorted.Sorted)
	require.ElementsMatch(t, []string{"blues", "reds"}, sorted.Bins)
	require.NotZero(t, sorted.Change.ID)
	p, err = d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	at := map[int64]string{}
	for _, h := range p.Held {
		at[h.ID] = h.Bin
	}
	for _, s := range sorted.Sorted {
		require.Equal(t, s.Bin, at[s.ID])
		require.NotEmpty(t, s.Reason)
		want := "blues"
		for n, id := range in.IDs {
			if id == s.ID && n%2 == 1 {
				want = "reds"
			}
		}
		require.Equal(t, want, s.Bin)
	}
	require.NotEmpty(t, sorted.Sorted)
	require.Empty(t, at[byHand])

	// A piece of the next photo goes where its like lies, and the answer names it by both numbers.
	next, err := d.StowLooked(ctx, fileOf(t, "b.jpg", []byte("b")), Looked{Sheet: sheetOf(tinted(1, 0, cloth.Red, cloth.MediumDark, redCloth), tinted(2, 1, cloth.Green, cloth.Light, colour.Linear{0.3, 0.6, 0.2}))}, StowRequest{})
	require.NoError(t, err)
	told := map[int]int64{}
	for _, x := range next.Into {
		require.Equal(t, "reds", x.Bin)
		require.NotEmpty(t, x.Reason)
		told[x.Piece] = x.ID
	}
	for _, x := range next.Unsure {
		require.NotEmpty(t, x.Likely)
		require.NotEmpty(t, x.Reason)
		told[x.Piece] = x.ID
	}
	require.Equal(t, next.IDs[1], told[1])
	for n, id := range told {
		require.Equal(t, next.IDs[n], id)
	}

	require.NoError(t, second(d.Unteach(ctx, "reds")))
	bins, err = d.TaughtBins(ctx)
	require.NoError(t, err)
	require.Equal(t, []TaughtBin{{"blues", 4}}, bins)
	// A piece that is put in a bin teaches it; one that is put in none is an example of none.
	none, blue := "", "blues"
	require.NoError(t, second(d.Fix(ctx, FixRequest{Pieces: of(2, 1), Correction: stash.Correction{Bin: &none}})))
	require.NoError(t, second(d.Fix(ctx, FixRequest{Pieces: Numbers{All: []int64{next.IDs[2]}}, Correction: stash.Correction{Bin: &blue}})))
	bins, err = d.TaughtBins(ctx)
	require.NoError(t, err)
	require.Len(t, bins, 1)
	require.Equal(t, "blues", bins[0].Bin)
}

// picture writes a PNG of so many columns of colours, wide enough that it has a look of its own.
func picture(t *testing.T, name string, level png.CompressionLevel, columns ...color.RGBA) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 240, 160))
	for y := range 160 {
		for x := range 240 {
			c := color.RGBA{120, 118, 110, 255}
			for i, column := range columns {
				if x > 20+60*i && x < 65+60*i && y > 30+10*i && y < 110 {
					c = column
				}
			}
			img.Set(x, y, c)
		}
	}
	var b bytes.Buffer
	require.NoError(t, (&png.Encoder{CompressionLevel: level}).Encode(&b, img))
	return fileOf(t, name, b.Bytes())
}

// lookedAt is the look of a file with the pieces said.
func lookedAt(t *testing.T, file string, pieces ...cloth.Piece) Looked {
	t.Helper()
	pic, _, err := photo.Open(file, photo.Options{})
	require.NoError(t, err)
	return Looked{Sheet: sheetOf(pieces...), Hashes: look.Hashes(pic)}
}

var red, blue = color.RGBA{170, 30, 40, 255}, color.RGBA{30, 50, 140, 255}

// A photo saved again is a copy; another photo, and one without pieces, is none.
func TestCopiesAreTold(t *testing.T) {
	a, again, other := picture(t, "a.png", png.BestSpeed, red, blue, red), picture(t, "again.png", png.BestCompression, red, blue, red), picture(t, "other.png", png.BestSpeed, blue)
	pieces := []cloth.Piece{tinted(1, 0, cloth.Red, cloth.Dark, redCloth)}
	pieces[0].Polygon = box(21, 31, 40, 78)
	look := func(file string) Looked { return lookedAt(t, file, pieces...) }
	refused, err := copies([]string{a, other, again}, []Looked{look(a), look(other), look(again)})
	require.NoError(t, err)
	require.Len(t, refused, 1)
	require.EqualError(t, refused[0], again+": it looks the same as "+a+", so its pieces would count twice")
	require.Equal(t, "leave one of them out", refused[0].Remedy)
	require.ErrorIs(t, refused[0], ErrAlikeHere)
	refused, err = copies([]string{a, again}, []Looked{look(a), lookedAt(t, again)})
	require.NoError(t, err)
	require.Empty(t, refused, "nothing of it counts")
	data, err := os.ReadFile(a)
	require.NoError(t, err)
	same := fileOf(t, "same.png", data)
	refused, err = copies([]string{a, same}, []Looked{look(a), look(same)})
	require.NoError(t, err)
	require.Empty(t, refused, "the same bytes count once anyway")
	kept, err := keptTheSame(a, same)
	require.NoError(t, err)
	require.True(t, kept)
	kept, err = keptTheSame(a, other)
	require.NoError(t, err)
	require.False(t, kept)
	_, err = keptTheSame(a, filepath.Join(t.TempDir(), "gone.png"))
	require.Error(t, err)

	// Stowed, a copy is asked about: refused where nobody answers, left out, or counted.
	var questions []Question
	yes, asked := false, false
	d := newDesk(t, t.TempDir()).At(Door{Ask: func(_ context.Context, q Question) (bool, bool, error) {
		questions = append(questions, q)
		return yes, asked, nil
	}})
	first, err := d.StowLooked(ctx, a, look(a), StowRequest{Basket: "tin"})
	require.NoError(t, err)
	require.Empty(t, questions)
	_, err = d.StowLooked(ctx, again, look(again), StowRequest{})
	require.ErrorIs(t, err, ErrAlike)
	require.ErrorContains(t, err, "it looks the same as a.png, stowed on "+time.Now().Format("2 January 2006"))
	require.Equal(t, "leave it out", fault.Of(err).Remedy)
	require.Len(t, questions, 1)
	require.Equal(t, []any{again, "a.png", 1}, []any{questions[0].(Copy).File, questions[0].(Copy).Of.Name, questions[0].(Copy).Pieces})
	asked = true
	out, err := d.StowLooked(ctx, again, look(again), StowRequest{})
	require.NoError(t, err)
	require.Equal(t, []any{"a.png", first.Hash, true, 0}, []any{out.Like, out.Hash, out.Known, out.Added})
	failed := errors.New("no answer")
	_, err = d.At(Door{Ask: func(context.Context, Question) (bool, bool, error) { return true, true, failed }}).StowLooked(ctx, again, look(again), StowRequest{})
	require.ErrorIs(t, err, failed)
	out, err = d.StowLooked(ctx, other, look(other), StowRequest{})
	require.NoError(t, err)
	require.Equal(t, 1, out.Added)
	require.Len(t, questions, 2, "another photo is not asked about")

	// A recount of a basket by a copy leaves what lies elsewhere, and says so.
	count := func(file, basket string, alike bool) (Recounted, error) {
		return d.RecountLooked(ctx, RecountRequest{Files: []string{file}, Basket: basket, Alike: alike}, []Looked{look(file)})
	}
	got, err := count(again, "attic", false)
	require.NoError(t, err)
	require.Len(t, got.Refused, 1)
	require.ErrorIs(t, got.Refused[0], ErrAlikeKept)
	require.EqualError(t, got.Refused[0], again+": it looks the same as a.png, some of whose pieces this recount leaves in the stash, so its pieces would count twice")
	require.Equal(t, "recount with a.png itself", got.Refused[0].Remedy)
	require.Zero(t, got.Change.ID)
	got, err = count(again, "tin", false)
	require.NoError(t, err)
	require.Empty(t, got.Refused, "all of its pieces are counted anew")
	require.NotZero(t, got.Change.ID)
	yes = true
	out, err = d.StowLooked(ctx, a, look(a), StowRequest{})
	require.NoError(t, err)
	require.Empty(t, out.Like)
	got, err = count(again, "loft", true)
	require.NoError(t, err)
	require.Empty(t, got.Refused)
	got, err = d.RecountLooked(ctx, RecountRequest{Files: []string{a, again}, Basket: "tin"}, []Looked{look(a), look(again)})
	require.NoError(t, err)
	require.Len(t, got.Refused, 1)
	require.ErrorIs(t, got.Refused[0], ErrAlikeHere)
}

// What a basket holds is counted anew: what its photos do not show leaves it, and what they show comes from elsewhere.
func TestABasketIsRecounted(t *testing.T) {
	d := newDesk(t, t.TempDir())
	one, two := fileOf(t, "one.jpg", []byte("one")), fileOf(t, "two.jpg", []byte("two"))
	first, second := Looked{Sheet: sheetOf(tinted(1, 0, cloth.Red, cloth.Dark, redCloth), tinted(2, 1, cloth.Red, cloth.Dark, redCloth))}, Looked{Sheet: sheetOf(tinted(1, 0, cloth.Blue, cloth.Dark, blueCloth))}
	in, err := d.StowLooked(ctx, one, first, StowRequest{Basket: "tin"})
	require.NoError(t, err)
	hand := squares(4, cloth.Green, cloth.Light)
	hand.Basket = "shelf"
	add(t, d, hand)

	torn := fault.New("torn.jpg", "it ends early", "copy it again")
	first.Sheet.Notes = []string{"dark"}
	got, err := d.RecountLooked(ctx, RecountRequest{Files: []string{one, two, "x"}, Basket: "shelf", Refused: []*fault.Error{torn}}, []Looked{first, second, {Err: torn}})
	require.NoError(t, err)
	require.Equal(t, []*fault.Error{torn, torn}, got.Refused)
	require.Equal(t, []Seen{{File: one, Found: first.Sheet.Pieces, Notes: []string{"dark"}}, {File: two, Found: second.Sheet.Pieces}, {File: "x"}}, got.Seen)
	require.Equal(t, []Moved{}, got.Moved)
	require.Zero(t, got.Change.ID, "nothing is recounted where a photo is refused")

	got, err = d.RecountLooked(ctx, RecountRequest{Files: []string{one, two}, Basket: "shelf"}, []Looked{first, second})
	require.NoError(t, err)
	require.False(t, got.NewBasket)
	require.Equal(t, []Moved{{"one.jpg", "tin", 2}}, got.Moved)
	require.Len(t, got.Seen[0].IDs, len(in.IDs))
	require.Len(t, got.Seen[1].IDs, 1)
	require.Len(t, got.Left, 2)
	p, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	require.Len(t, p.Held, 3, "the greens are no longer there")
	for _, h := range p.Held {
		require.Equal(t, "shelf", h.Basket)
	}
	got, err = d.RecountLooked(ctx, RecountRequest{Files: []string{two}, Basket: "box", As: cloth.Square, CutIn: 3.5}, []Looked{second})
	require.NoError(t, err)
	require.True(t, got.NewBasket)
	got, err = d.RecountLooked(ctx, RecountRequest{Files: []string{two}, CutIn: 3.5}, []Looked{second})
	require.NoError(t, err)
	require.False(t, got.NewBasket)
	require.Empty(t, got.Moved, "of a cut pieces may lie anywhere")
}

// What a photo shows is learnt from; one that cannot be read is told of.
func TestABinIsTaughtByPhotos(t *testing.T) {
	d := newDesk(t, t.TempDir())
	torn := fileOf(t, "torn.png", []byte("x"))
	a := picture(t, "a.png", png.BestSpeed, red, red, red)
	bin, err := d.Teach(ctx, TeachRequest{Bin: "reds", Files: []string{torn}})
	require.ErrorIs(t, err, ErrNothingSeen)
	require.Equal(t, "help the finder", fault.Of(err).Remedy)
	require.Len(t, bin.Refused, 1)
	require.Empty(t, bin.Seen)
	by := look.Options{Pieces: []geom.Polygon{box(22, 32, 40, 75), box(82, 42, 40, 65)}, PiecesFrom: "by hand", PxPerInch: 20}
	bin, err = d.Teach(ctx, TeachRequest{Bin: "reds", Files: []string{torn, a}, Look: by})
	require.NoError(t, err)
	require.Equal(t, 2, bin.Learnt)
	require.Len(t, bin.Refused, 1)
	require.Equal(t, torn, bin.Refused[0].About)
	require.Len(t, bin.Seen, 1)
	require.Equal(t, a, bin.Seen[0].File)
	require.Len(t, bin.Seen[0].Found, 2)
	require.NotZero(t, bin.Change.ID)
	all, err := d.TaughtBins(ctx)
	require.NoError(t, err)
	require.Equal(t, []TaughtBin{{"reds", 2}}, all)

	// What is given by hand and cannot be is refused with its place.
	looked, err := d.Look(ctx, []string{a, a, a}, look.Options{Pieces: []geom.Polygon{box(22, 32, 40, 75), box(400, 42, 40, 65)}, PiecesFrom: "by hand"})
	require.NoError(t, err)
	saying(t, looked[0].Err, a+": by hand: entry 2, the outline from 400,42: it lies outside the photo of 240 × 160 pixels", "give places in pixels of the upright photo at full size")
	often := look.Options{}
	for range mostCover {
		often.Pieces = append(often.Pieces, box(0, 0, 240, 160))
	}
	often.Pieces = append(often.Pieces, box(0, 0, 240, 16))
	looked, err = d.Look(ctx, []string{a}, often)
	require.NoError(t, err)
	saying(t, looked[0].Err, a+": the outlines given cover it 4 times over", "give each piece one outline, in pixels of the upright photo at full size")
	looked, err = d.Look(ctx, []string{a}, look.Options{Crop: &look.Window{X: 500, Y: 500, W: 50, H: 50}})
	require.NoError(t, err)
	require.NotNil(t, looked[0].Err)
	require.Equal(t, a, looked[0].Err.About)

	// What reaches beyond the photo is said after all else, and known photos are looked at again.
	beyond := look.Options{Pieces: []geom.Polygon{box(22, 32, 40, 75), box(202, 42, 60, 65)}, PiecesFrom: "by hand", PxPerInch: 20}
	done, err := d.Stow(ctx, StowRequest{Files: []string{a}, Look: beyond, Basket: "tin"})
	require.NoError(t, err)
	notes := done.Photos[0].Notes
	require.Equal(t, "by hand: what reaches beyond the photo was cut off at its edge: entry 2", notes[len(notes)-1])
	require.Equal(t, 2, done.Photos[0].Added)
	require.Equal(t, Sum{Fresh: 1}, done.Sum())
	done, err = d.Stow(ctx, StowRequest{Files: []string{a}})
	require.NoError(t, err)
	require.Equal(t, Sum{Known: 1}, done.Sum())
	require.False(t, done.Photos[0].Kept)

	var questions []Question
	yes := false
	d = d.At(Door{Ask: func(_ context.Context, q Question) (bool, bool, error) {
		questions = append(questions, q)
		return yes, true, nil
	}})
	held := func() int {
		p, err := d.Pieces(ctx, PiecesRequest{Which: stash.Filter{Basket: "tin"}})
		require.NoError(t, err)
		return len(p.Held)
	}
	more := look.Options{Pieces: []geom.Polygon{box(22, 32, 40, 75), box(202, 42, 38, 65), box(82, 42, 40, 65)}, PiecesFrom: "by hand", PxPerInch: 20}
	again := StowRequest{Files: []string{a, a}, Again: true, Look: more}
	done, err = d.Stow(ctx, again)
	require.NoError(t, err)
	require.Equal(t, []Question{Relook{}}, questions)
	require.Len(t, done.Photos, 1, "once, though it was named twice")
	require.Equal(t, Sum{Again: 1, Other: 1}, done.Sum())
	require.Nil(t, done.Change)
	require.Equal(t, 2, held())
	yes = true
	done, err = d.Stow(ctx, again)
	require.NoError(t, err)
	require.NotNil(t, done.Change)
	require.Equal(t, 3, held())
	done, err = d.Stow(ctx, again)
	require.NoError(t, err)
	require.Nil(t, done.Change, "nothing would change")
	require.Len(t, questions, 2)
	again.Yes, again.Files = true, nil
	done, err = d.Stow(ctx, again)
	require.NoError(t, err)
	require.Len(t, done.Photos, 1)
	require.Equal(t, "a.png", done.Photos[0].File, "by the name that the stash has it under")
	require.NotNil(t, done.Change)
	require.Len(t, questions, 2, "not asked where it is said beforehand")
}

func TestAPullIsHeldAgainstABackground(t *testing.T) {
	d := newDesk(t, t.TempDir())
	measured := func(n int, print, basket string, c colour.Linear, side float64) {
		h := cloth.Holding{Form: cloth.Square, Count: n, WidthIn: side, LengthIn: side, Family: cloth.Blue, Value: cloth.Medium, Print: print, Basket: basket, Measured: true, Mean: c, ReadsAs: c}
		add(t, d, h)
	}
	_, err := d.Contrast(ctx, ContrastRequest{})
	saying(t, err, "there is no print to hold against a background", "name photos or colours, or stow some cloth first")
	pull := []Sample{{Name: "red", Colour: &redCloth}}
	_, err = d.Contrast(ctx, ContrastRequest{Pull: pull})
	saying(t, err, "no background is given, and the stash holds none", "name one")
	require.ErrorIs(t, err, ErrNoBackground)

	light, dark, grey := colour.Linear{0.7, 0.7, 0.7}, colour.Linear{0.02, 0.02, 0.02}, colour.Linear{0.2, 0.2, 0.2}
	measured(3, "cream", "tin", light, 20)
	measured(2, "navy", "tin", dark, 2.5)
	measured(2, "navy", "box", colour.Linear{0.04, 0.02, 0.02}, 3)
	measured(1, "", "", grey, 2.5)
	add(t, d, squares(5, cloth.Red, cloth.Dark))

	c, err := d.Contrast(ctx, ContrastRequest{})
	require.NoError(t, err)
	require.Equal(t, 5, c.Unmeasured)
	require.Equal(t, "cream", c.Background.Name, "all there is that is large enough")
	require.Len(t, c.Backgrounds, 1)
	require.False(t, c.Small)
	require.False(t, c.Among)
	require.Len(t, c.Pull, 2)
	navy := c.Pull[0]
	require.Equal(t, []any{"navy", 4, []string{"tin", "box"}}, []any{navy.Name, navy.Pieces, navy.Baskets})
	require.InDeltaSlice(t, []float64{0.03, 0.02, 0.02}, navy.Colour[:], 1e-6)
	require.Equal(t, "piece 4", c.Pull[1].Name, "a print of its own")
	require.Empty(t, c.Recipe)

	c, err = d.Contrast(ctx, ContrastRequest{Which: stash.Filter{Basket: "box"}})
	require.NoError(t, err)
	require.Len(t, c.Pull, 1)
	require.Equal(t, 2, c.Pull[0].Pieces)
	require.Zero(t, c.Unmeasured)
	c, err = d.Contrast(ctx, ContrastRequest{Pieces: Numbers{All: []int64{4, 5}, Said: []int64{4}}})
	require.NoError(t, err)
	require.Equal(t, []any{"piece 4", 5}, []any{c.Pull[0].Name, c.Unmeasured})
	require.ErrorIs(t, second(d.Contrast(ctx, ContrastRequest{Pieces: Numbers{All: []int64{44}, Said: []int64{44}}})), ErrNoPiece)
	_, err = d.Contrast(ctx, ContrastRequest{Pieces: Numbers{All: []int64{5}}})
	saying(t, err, "these pieces were entered by hand, so their colour was never measured", "photograph it, or write its colour")
	_, err = d.Contrast(ctx, ContrastRequest{Which: stash.Filter{Basket: "attic"}})
	saying(t, err, "attic: there is nothing of this in the basket", "name another basket")

	c, err = d.Contrast(ctx, ContrastRequest{Pull: pull, Among: []Sample{{Name: "grey", Colour: &grey}, {Name: "cream"}, {Name: "black", Colour: &dark}}})
	require.NoError(t, err)
	require.True(t, c.Among)
	require.Zero(t, c.Unmeasured, "of what is named nothing is unmeasured")
	require.Len(t, c.Backgrounds, 3)
	require.Len(t, c.Choices, 3)
	require.Equal(t, c.Backgrounds[c.Choices[0].Background], c.Background)
	require.Equal(t, "cream", c.Background.Name)
	require.ErrorIs(t, second(d.Contrast(ctx, ContrastRequest{Pull: pull, Among: []Sample{{Name: "nothing"}}})), ErrNotCloth)
	_, err = d.Contrast(ctx, ContrastRequest{Which: stash.Filter{Print: "navy"}, Background: &Sample{Name: "navy"}})
	saying(t, err, "navy: it is the only print, and it cannot be held against itself", "name another background")

	// Where all is small the small are offered, and said to be.
	small := newDesk(t, t.TempDir())
	h := squares(3, cloth.White, cloth.Light)
	h.Print, h.Measured, h.Mean, h.ReadsAs = "dots", true, light, light
	add(t, small, h)
	c, err = small.Contrast(ctx, ContrastRequest{Pull: pull})
	require.NoError(t, err)
	require.True(t, c.Small)
	require.Equal(t, "dots", c.Background.Name)

	// Against a recipe pieces count by the patches that they give, and a ground must suffice.
	four, err := recipe.BuiltIn("four-patch")
	require.NoError(t, err)
	c, err = d.Contrast(ctx, ContrastRequest{Recipe: four, Blocks: 2})
	require.NoError(t, err)
	require.Equal(t, four.Name, c.Recipe)
	require.Positive(t, c.Balance.Total)
	require.ErrorIs(t, second(d.Contrast(ctx, ContrastRequest{Recipe: four, Blocks: -1})), fault.ErrUsage)

	prints, err := d.Prints(ctx)
	require.NoError(t, err)
	require.Len(t, prints, 2)
	require.Equal(t, []string{"cream", "navy"}, []string{prints[0].Print, prints[1].Print})
	require.Empty(t, MeasuredPrint(cloth.Holding{ID: 3, Print: "a"}))
	require.Equal(t, "a", MeasuredPrint(cloth.Holding{ID: 3, Print: "a", Measured: true}))
	require.Equal(t, "piece 3", MeasuredPrint(cloth.Holding{ID: 3, Measured: true}))
}

func TestAPieceOfAPhotoIsMeant(t *testing.T) {
	large, small := cloth.Piece{ID: 4, Print: "print 2", Polygon: box(0, 0, 30, 30)}, cloth.Piece{ID: 2, Polygon: box(50, 0, 10, 10)}
	sheets := []cloth.Sheet{{File: "photos/a.jpg", Pieces: []cloth.Piece{small, large}}}
	got, err := pieceOf(sheets, Sample{Photo: "a.jpg"})
	require.NoError(t, err)
	require.Equal(t, large, got)
	got, err = pieceOf(sheets, Sample{Photo: "a.jpg", Piece: 2})
	require.NoError(t, err)
	require.Equal(t, small, got)
	_, err = pieceOf(sheets, Sample{Photo: "a.jpg", Piece: 3})
	saying(t, err, "a.jpg: it has no piece 3", "look at the photo for their numbers")
	require.ErrorIs(t, err, ErrNoNumber)
	for _, s := range [][]cloth.Sheet{nil, {{}}, {sheets[0], sheets[0]}} {
		_, err = pieceOf(s, Sample{Photo: "a.jpg"})
		saying(t, err, "a.jpg: no cloth was found in it", "photograph the background by itself, or write its colour")
	}
	require.Equal(t, "print 2", pieceName("photos/a.jpg", 1, large))
	require.Equal(t, "piece 2", pieceName("photos/a.jpg", 1, small))
	require.Equal(t, "piece 2 of a.jpg", pieceName("photos/a.jpg", 2, small))
	require.Equal(t, "print anchors of a.jpg", pieceName("photos/a.jpg", 2, cloth.Piece{ID: 1, Print: "anchors"}))
}

// All that a stash holds goes out and comes in again; a backup is put in its place.
func TestAStashGoesOutAndComesBack(t *testing.T) {
	d := newDesk(t, filepath.Join(t.TempDir(), "stash"))
	var out bytes.Buffer
	require.ErrorIs(t, d.Export(ctx, &out, false), ErrNoStash)
	require.ErrorIs(t, d.Backup(ctx, filepath.Join(t.TempDir(), "b.zip")), ErrNoStash)
	require.ErrorIs(t, second(d.Check(ctx, true)), ErrNoStash)
	require.ErrorIs(t, second(d.Check(ctx, false)), ErrNoStash)
	names, err := d.Names(ctx)
	require.NoError(t, err)
	require.Zero(t, names)
	h := squares(3, cloth.Blue, cloth.Dark)
	h.Basket, h.Print, h.Bin = "tin", "anchors", "sea"
	add(t, d, h)
	require.NoError(t, d.There())
	names, err = d.Names(ctx)
	require.NoError(t, err)
	require.Equal(t, stash.Names{Bins: []string{"sea"}, Baskets: []string{"tin"}, Prints: []string{"anchors"}}, names)
	require.NoError(t, d.Export(ctx, &out, true))
	require.True(t, strings.Contains(out.String(), "anchors") && !strings.HasPrefix(out.String(), "{"))
	out.Reset()
	require.NoError(t, d.Export(ctx, &out, false))
	require.Equal(t, byte('{'), out.Bytes()[0])
	health, err := d.Check(ctx, false)
	require.NoError(t, err)
	again, err := d.Check(ctx, true)
	require.NoError(t, err)
	require.Equal(t, health, again, "nothing is to be mended")

	other := newDesk(t, filepath.Join(t.TempDir(), "other"))
	in, err := other.Import(ctx, "all.json", out.Bytes())
	require.NoError(t, err)
	require.NotEqual(t, archive.Imported{}, in)
	was, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	is, err := other.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	require.Equal(t, was.Held, is.Held)

	file := filepath.Join(t.TempDir(), "backup.zip")
	require.NoError(t, d.Backup(ctx, file))
	add(t, other, squares(1, cloth.Red, cloth.Dark))
	readsOn := newDesk(t, other.Dir())
	_, err = readsOn.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	one, err := readsOn.reading()
	require.NoError(t, err)
	same, err := readsOn.reading()
	require.NoError(t, err)
	require.Same(t, one, same, "it is closed under nobody's hands")
	changesOn := newDesk(t, other.Dir())
	add(t, changesOn, squares(1, cloth.Pink, cloth.Dark))
	require.NoError(t, other.Close())
	kept, err := other.Restore(ctx, file)
	require.NoError(t, err)
	require.DirExists(t, kept)
	for _, d := range []*Desk{other, readsOn, changesOn} { // also one that had it open
		is, err = d.Pieces(ctx, PiecesRequest{})
		require.NoError(t, err)
		require.Equal(t, was.Held, is.Held)
	}
	add(t, changesOn, squares(1, cloth.Pink, cloth.Dark))
	is, err = readsOn.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	require.Len(t, is.Held, len(was.Held)+1)

	require.Equal(t, other.Dir()+".x", other.Beside("x"))
	link := filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(other.Dir(), link))
	require.Equal(t, link+".x", New(link, Options{}).Beside("x"))
	real, err := filepath.EvalSymlinks(other.Dir())
	require.NoError(t, err)
	require.Equal(t, real+".x", New(link, Options{}).BesideItself("x"))
	gone := filepath.Join(t.TempDir(), "gone")
	require.Equal(t, gone+".x", New(gone, Options{}).BesideItself("x"))
	named := New(gone, Options{Now: time.Now, Named: true})
	require.ErrorIs(t, second(named.Names(ctx)), ErrNoStash)
	named.MayBegin()
	require.NoError(t, second(named.Names(ctx)))
}

func TestChangesAreTakenBackOneByOne(t *testing.T) {
	d := newDesk(t, t.TempDir())
	last, err := d.Latest(ctx)
	require.NoError(t, err)
	require.Zero(t, last)
	none, err := d.Undone(ctx)
	require.NoError(t, err)
	require.Nil(t, none)
	for i := range 3 {
		require.NoError(t, second(d.Add(ctx, AddRequest{Grams: float64(100 * (i + 1)), Holding: cloth.Holding{Family: cloth.Blue}})))
	}
	none, err = d.Undone(ctx)
	require.NoError(t, err)
	require.Nil(t, none, "nothing was taken back")
	var told []int
	tell := func(c stash.Change) error {
		told = append(told, int(math.Round(c.Difference[0].AreaIn*150/1550.0031)))
		return nil
	}
	done, err := d.Undo(ctx, 2, tell)
	require.NoError(t, err)
	require.Len(t, done, 2)
	require.Equal(t, []int{-300, -200}, told, "grams of 150 a square metre")
	require.Equal(t, -1, done[0].Difference[0].Count)
	was, err := d.Undone(ctx)
	require.NoError(t, err)
	require.Len(t, was, 2)
	require.Equal(t, done[1].What, was[0].What, "the last that was taken back is the first done again")
	require.Equal(t, done[0].What, was[1].What)
	stop := errors.New("stop")
	done, err = d.Redo(ctx, 2, func(stash.Change) error { return stop })
	require.ErrorIs(t, err, stop)
	require.Len(t, done, 1)
	require.Equal(t, 1, done[0].Difference[0].Count)
	done, err = d.Undo(ctx, 5, nil)
	require.Error(t, err)
	require.Len(t, done, 2, "what was taken back before the error")
	all, err := d.History(ctx, 9)
	require.NoError(t, err)
	require.Empty(t, all, "all was taken back")
	_, err = d.Redo(ctx, 2, nil)
	require.NoError(t, err)
	all, err = d.History(ctx, 9)
	require.NoError(t, err)
	require.Len(t, all, 2)
	last, err = d.Latest(ctx)
	require.NoError(t, err)
	require.Positive(t, last)
}

// A part of the stash is told with what is thin in it, counted over the whole.
func TestAPartOfTheShelf(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for _, h := range []cloth.Holding{squares(3, cloth.Blue, cloth.Dark), squares(2, cloth.Blue, cloth.Light), squares(1, cloth.Red, cloth.Dark), strip(2, 2.5, 20, cloth.Blue)} {
		h.Basket = string(h.Family)
		add(t, d, h)
	}
	five := squares(1, cloth.Blue, cloth.Dark)
	five.WidthIn, five.LengthIn, five.Bin = 5, 5, "sea"
	add(t, d, five)
	require.NoError(t, second(d.SetFloor(ctx, shelf.Floor{Least: 9}, false)))
	whole, err := d.Shelf(ctx, ShelfRequest{})
	require.NoError(t, err)
	require.Empty(t, whole.Part)
	require.Nil(t, whole.Holdings)
	require.NotEmpty(t, whole.Stock.Missing)
	coloured, err := d.Shelf(ctx, ShelfRequest{Colours: true})
	require.NoError(t, err)
	require.Len(t, coloured.Holdings, 5)
	require.Equal(t, whole.Stock.Short, coloured.Stock.Short)
	for _, c := range []struct {
		which stash.Filter
		part  func(shelf.Short) bool
	}{
		{stash.Filter{Family: cloth.Blue}, func(s shelf.Short) bool { return s.Family == cloth.Blue }},
		{stash.Filter{Value: cloth.Dark}, func(s shelf.Short) bool { return s.Value == cloth.Dark }},
		{stash.Filter{Family: cloth.Blue, Value: cloth.Dark}, func(s shelf.Short) bool { return s.Family == cloth.Blue && s.Value == cloth.Dark }},
		{stash.Filter{Bin: "sea"}, func(s shelf.Short) bool { return s.Own == "sea" }},
		{stash.Filter{Form: cloth.Strip}, func(s shelf.Short) bool { return s.Form == cloth.Strip }},
		{stash.Filter{Cut: 2.5}, func(s shelf.Short) bool { return s.Width == 2.5 }},
		{stash.Filter{Cut: 5}, func(s shelf.Short) bool { return s.Width == 5 }},
		{stash.Filter{Basket: "blue"}, func(shelf.Short) bool { return false }},
		{stash.Filter{Family: cloth.Blue, Basket: "blue"}, func(shelf.Short) bool { return false }},
	} {
		var want []shelf.Short
		for _, s := range whole.Stock.Short {
			if c.part(s) {
				want = append(want, s)
			}
		}
		part, err := d.Shelf(ctx, ShelfRequest{Which: c.which})
		require.NoError(t, err)
		require.Equal(t, c.which.String(), part.Part)
		require.Nil(t, part.Stock.Missing)
		require.ElementsMatch(t, want, part.Stock.Short, "%+v", c.which)
		held, err := d.Pieces(ctx, PiecesRequest{Which: c.which})
		require.NoError(t, err)
		require.Equal(t, held.Held, part.Holdings)
	}
	require.NotEmpty(t, whole.Stock.Short)

	now, err := d.Shelf(ctx, ShelfRequest{Since: time.Now().Add(time.Hour)})
	require.NoError(t, err)
	require.Empty(t, now.Changes)
	require.Equal(t, time.Now().Add(time.Hour).Format(time.DateOnly), now.Since)
	since, err := d.Shelf(ctx, ShelfRequest{Since: time.Now().Add(-time.Hour), Which: stash.Filter{}})
	require.NoError(t, err)
	n := 0
	for _, c := range since.Changes {
		n += c.Count
	}
	require.Equal(t, 9, n, "all that came in")
}

// Strips give fewer squares where more is squared off.
func TestWhatIsSquaredOffStrips(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, strip(2, 2.5, 20, cloth.Blue))
	yields := func(trim *float64) (n int) {
		v, err := d.Shelf(ctx, ShelfRequest{Trim: trim, Sizes: []float64{2.5}})
		require.NoError(t, err)
		for _, a := range v.Stock.Alikes() {
			n += v.Stock.FromStrips(a, 2.5)
		}
		return n
	}
	none, much := 0.0, 3.0
	require.Equal(t, []int{16, 14, 12}, []int{yields(&none), yields(nil), yields(&much)}, "of 20 inches: none, ½ and 3 squared off")
	require.NoError(t, second(d.Set(ctx, SetRequest{TrimIn: &much})))
	require.Equal(t, 12, yields(nil))
}

// Photos, and what no photo shows, are told apart; in order they stand as on a shelf.
func TestPiecesPhotoByPhoto(t *testing.T) {
	d := newDesk(t, t.TempDir())
	in, err := d.StowLooked(ctx, fileOf(t, "a.jpg", []byte("a")), Looked{Sheet: sheetOf(tinted(1, 0, cloth.Red, cloth.Dark, redCloth), tinted(2, 1, cloth.Blue, cloth.Dark, blueCloth))}, StowRequest{})
	require.NoError(t, err)
	second, err := d.StowLooked(ctx, fileOf(t, "b.jpg", []byte("b")), Looked{Sheet: sheetOf(tinted(1, 3, cloth.Red, cloth.Dark, redCloth))}, StowRequest{})
	require.NoError(t, err)
	add(t, d, squares(2, cloth.Red, cloth.Dark))
	p, err := d.Pieces(ctx, PiecesRequest{Outlines: true})
	require.NoError(t, err)
	require.Len(t, p.Photos, 2)
	require.Equal(t, map[string]string{in.Hash: "a.jpg", second.Hash: "b.jpg"}, p.Names)
	require.Equal(t, box(0, 10, 40, 40), p.Photos[0].Pieces[0].Outline)
	require.Len(t, p.Photos[0].Pieces, 2)
	require.Len(t, p.ByHand, 1)
	require.Equal(t, 2, p.ByHand[0].Count)
	order := p.InOrder()
	require.Len(t, order, 4)
	require.Equal(t, []int64{in.IDs[1], second.IDs[1], p.ByHand[0].ID, in.IDs[2]}, []int64{order[0].ID, order[1].ID, order[2].ID, order[3].ID}, "reds before blues, the oldest first")
	part, err := d.Pieces(ctx, PiecesRequest{Which: stash.Filter{Family: cloth.Blue}, Outlines: true})
	require.NoError(t, err)
	require.Len(t, part.Photos, 1, "a photo of which nothing is meant is left out")
	require.Empty(t, part.ByHand)
	photos, err := d.Photos(ctx)
	require.NoError(t, err)
	require.Len(t, photos, 2)
	plainly, err := d.Pieces(ctx, PiecesRequest{})
	require.NoError(t, err)
	require.Nil(t, plainly.Photos)
	require.Nil(t, plainly.ByHand)

	// One of each name; a fold of a stack only where nothing else has it.
	fold := tinted(1, 0, cloth.Green, cloth.Dark, redCloth)
	fold.WidthIn, fold.LengthIn, fold.Cut = 0, 0, ""
	s := sheetOf(fold, tinted(2, 1, cloth.Green, cloth.Dark, redCloth))
	_, err = d.StowLooked(ctx, fileOf(t, "c.jpg", []byte("c")), Looked{Sheet: s}, StowRequest{})
	require.NoError(t, err)
	one, err := d.OneOfEach(ctx, func(h cloth.Holding) string {
		if h.Family == cloth.Blue {
			return ""
		}
		return string(h.Family)
	})
	require.NoError(t, err)
	var ids []int64
	for _, x := range one {
		for _, p := range x.Pieces {
			ids = append(ids, p.ID)
		}
	}
	require.Len(t, ids, 2, "a red and a green")
	require.Equal(t, in.IDs[1], ids[0])
}

// Ideas are told of the recipes asked for alone, and name the cloth that they are drawn in.
func TestIdeasOfWhatIsHeld(t *testing.T) {
	d := newDesk(t, t.TempDir())
	shop := plan.Defaults(recipe.Inches())
	_, err := d.Ideas(ctx, IdeasRequest{Only: true, Shop: shop})
	saying(t, err, "only recipes that you name are asked for, and none is named", "name a recipe, or ask for all")
	require.ErrorIs(t, err, ErrNoneNamed)
	require.ErrorIs(t, second(d.Ideas(ctx, IdeasRequest{Shop: shop})), ErrNoStash)
	add(t, d, squares(200, cloth.Blue, cloth.Dark))
	mine, err := recipe.BuiltIn("plain-squares")
	require.NoError(t, err)
	mine, err = mine.Resize(2)
	require.NoError(t, err)
	got, err := d.Ideas(ctx, IdeasRequest{Only: true, Recipes: []*recipe.Recipe{mine}, Shop: shop})
	require.NoError(t, err)
	require.Len(t, got.Ideas, 1)
	require.Len(t, got.Holdings, 1)
	require.Empty(t, got.Left)
	used := got.Used()
	require.Equal(t, "piece 1", used(got.Holdings[0]))
	require.Empty(t, used(cloth.Holding{ID: 2}))
	all, err := d.Ideas(ctx, IdeasRequest{Recipes: []*recipe.Recipe{mine}, Shop: shop, Most: 2})
	require.NoError(t, err)
	require.LessOrEqual(t, len(all.Ideas), 2)
	_, err = d.Ideas(ctx, IdeasRequest{Only: true, Recipes: []*recipe.Recipe{mine}, Shop: shop, Matching: "no such"})
	require.NotNil(t, fault.Of(err))

	// Of a role 24 pieces are drawn at most, spread evenly over those there are.
	var many []int64
	for i := range 48 {
		many = append(many, int64(i+1))
	}
	n := 0
	drawn := Ideas{Found: plan.Found{Ideas: []plan.Idea{{Cloth: map[string][]int64{"dark": many}}}}}.Used()
	for _, id := range many {
		if name := drawn(cloth.Holding{ID: id}); name != "" {
			require.Equal(t, int64(1), id%2)
			n++
		}
	}
	require.Equal(t, 24, n)
}

// Sets of a planned quilt are told once each, and what is thin in no one bin beside.
func TestWhatRefillLeavesOut(t *testing.T) {
	d := newDesk(t, t.TempDir())
	addStars(t, d)
	_, err := d.Arrange(ctx, stars(t, 2, 3, "stars"))
	require.NoError(t, err)
	require.NoError(t, second(d.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Red}, Least: 40}, false)))
	r, err := d.Refill(ctx, RefillRequest{System: recipe.Inches()})
	require.NoError(t, err)
	var sets []string
	for _, s := range r.Sets {
		sets = append(sets, fmt.Sprint(s.Quilt, s.Set))
	}
	w, err := d.wants(ctx, false, "")
	require.NoError(t, err)
	want := map[string]bool{}
	for _, l := range w.Stock.Lacks {
		if l.Set > 0 {
			want[fmt.Sprint(l.Quilt, l.Set)] = true
		}
	}
	require.Len(t, sets, len(want))
	require.NotEmpty(t, sets)
	for _, s := range sets {
		require.True(t, want[s])
	}
	for _, s := range r.LeftOut {
		for _, b := range r.Bins {
			require.False(t, s.Of(b))
		}
	}
	require.Len(t, r.Holdings, len(w.Holdings))
	pulled := Pulled(w.refill.Cover)
	n := 0
	for _, h := range w.Holdings {
		if name := pulled(h); name != "" {
			require.Equal(t, fmt.Sprint(h.ID), name)
			n++
		}
	}
	lines := map[int64]bool{}
	for _, p := range w.refill.Pulls {
		for _, l := range p.Lines {
			lines[l.ID] = true
		}
	}
	require.Len(t, lines, n)
}

// Leftovers are cut to the sizes kept where none are said: those of the stash, else the usual.
func TestLeftoversWithoutAStash(t *testing.T) {
	sizes, thin := sizesFor(shelf.Stock{}, nil, []float64{2}, shelf.Alike{})
	require.Len(t, thin, 6)
	var sides []float64
	for _, s := range sizes {
		sides = append(sides, s.W)
		require.Equal(t, 1.0, s.Weight)
	}
	require.Equal(t, []float64{1.5, 2, 2.5, 3.5, 5, 2}, sides)
	require.Equal(t, []float64{5, 0}, []float64{sizes[4].L, sizes[5].L}, "a strip has no length of its own")
	sizes, _ = sizesFor(shelf.Stock{Boxes: []shelf.Box{{Cut: shelf.Square(4)}, {Cut: shelf.Square(4)}, {Cut: shelf.Cut{Form: cloth.Square}}, {Cut: shelf.Cut{Form: cloth.Rectangle, Width: 3, Length: 5}}}}, nil, nil, shelf.Alike{})
	require.Len(t, sizes, 1)
	require.Equal(t, 4.0, sizes[0].W)
	counts := shelf.Stock{Boxes: []shelf.Box{{Cut: shelf.Square(3), Count: 4}, {Cut: shelf.Square(5), Count: 3}, {Cut: shelf.Square(5), Count: 2}, {Cut: shelf.Cut{Form: cloth.Strip, Width: 2}, Count: 90}, {Cut: shelf.Cut{Form: cloth.Square}, Count: 50}}}
	require.Equal(t, 5.0, usualCut(counts), "five of 5 against four of 3; strips and what has no size count for nothing")
	require.Equal(t, 2.5, usualCut(shelf.Stock{}))
	for c, want := range map[shelf.Cut][2]float64{
		{Form: cloth.Strip, Width: 2.5}: {2.5, 20}, shelf.Square(3): {3, 3}, {Form: cloth.Rectangle, Width: 3, Length: 5}: {3, 5},
	} {
		w, l := sidesOf(c)
		require.Equal(t, want, [2]float64{w, l})
	}
}
