package page

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/stash"
)

// someSheet is what was found in a photo: pieces sure and in doubt, and things left out.
func someSheet() cloth.Sheet {
	square := func(x, y, side float64) geom.Polygon {
		return geom.Polygon{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}
	}
	s := cloth.Sheet{File: "a.jpg", Width: 800, Height: 600, Kind: cloth.Spread, Scale: cloth.ScaleReading{PxPerInch: 40, From: "card", Trust: 0.9}, Light: cloth.LightReading{From: "card", Trust: 0.95}, Notes: []string{"one sheet lies in view"}}
	for i := range 16 {
		s.Pieces = append(s.Pieces, cloth.Piece{
			ID: i + 1, Polygon: square(20+150*float64(i%5), 20+140*float64(i/5), 100), Family: cloth.Red, Value: cloth.Dark, Trust: 0.95, FamilyTrust: 0.95, ValueTrust: 0.95, WidthIn: 2.5, LengthIn: 2.5, SizeTrust: 0.95, Cut: "2½ square",
		})
	}
	for i := range s.Pieces[:14] {
		s.Pieces[i].Trust = 0.5 + 0.01*float64(i)
	}
	p := s.Pieces
	p[0].FamilyOr, p[0].FamilyTrust, p[0].Print = cloth.Pink, 0.55, "a"
	p[1].ValueOr, p[1].ValueTrust, p[1].Trust = cloth.MediumDark, 0.5, 0.97
	p[2].SizeTrust, p[2].Trust, p[2].Cut = 0.4, 0.97, ""
	p[3].FamilyOr, p[3].FamilyTrust, p[3].Print, p[3].Trust = cloth.Pink, 0.56, "a", 0.97
	p[0].Trust = 0.97
	p[15].Polygon = geom.Polygon{{X: 20, Y: 440}, {X: 120, Y: 440}, {X: 120, Y: 450}, {X: 30, Y: 450}, {X: 30, Y: 590}, {X: 20, Y: 590}}
	s.Left = []cloth.LeftOut{{Polygon: square(300, 450, 80), Trust: 0.4}, {Polygon: square(500, 450, 60), Trust: 0.3}}
	return s
}

// What is said of a photo is noted, or refused in the words of its field; what may change
// what is seen has the photo looked at again.
func TestWhatIsSaidOfAPhoto(t *testing.T) {
	drawn := "&points=300,300 390,300 390,390 300,390"
	var out strings.Builder
	for _, form := range []string{
		"do=photo&kind=board&grid=3x4&cuts=2½, 6cm&white=40,50&scale=41.1", "do=photo&found=1&whole=1", "do=photo&kind=heap", "do=photo&grid=3", "do=photo&cuts=x",
		"do=photo&white=4", "do=photo&white=1,1 2,2", "do=photo&scale=0", "do=photo&scale=x", "do=photo&scale=1e9",
		"do=white&points=4,5", "do=white", "do=white&points=4,5 6,7", "do=white&points=4;5", "do=white&points=1e9,5",
		"do=length&points=0,0 30,40&apart=2", "do=length&points=0,0 30,40&apart=5cm", "do=length&points=0,0 30,40", "do=length&points=0,0", "do=length&points=1,1 1,1&apart=2", "do=length&points=0,0 30,40&apart=x",
		"do=part&points=300,200 100,50", "do=part&points=100,50 100,90", "do=part&points=100,50 190,50", "do=part&points=0,0 100,0 100,100 0,100", "do=part&points=0,0 100,0 100,100", "do=part&points=0,0",
		"do=draw" + drawn, "do=draw&points=1,1 2,2", "do=take&left=1", "do=take&left=2", "do=take&left=0", "do=take&left=3", "do=take",
		"do=cloth&none=3", "do=cloth&none=9", "do=cloth",
		"do=shape&pieces=5" + drawn, "do=shape&pieces=99" + drawn, "do=shape" + drawn, "do=split&pieces=6&points=200,300 400,300", "do=split&pieces=6&points=200,300",
		"do=merge&pieces=5,6", "pieces=5&join=6", "do=merge&pieces=5", "do=none&pieces=5 6", "do=right&pieces=5,6",
		"do=fix&pieces=5&family=blue&value=light&cut=2½&print=dots", "pieces=5&value=light", "pieces=5&cut=x", "pieces=5&family=plaid", "pieces=5&value=shiny", "pieces=5", "family=blue",
	} {
		q, err := url.ParseQuery(strings.NewReplacer(" ", "+", ";", "%3B").Replace(form))
		require.NoError(t, err)
		r := httptest.NewRequest("POST", "/", strings.NewReader(q.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		p := &sent{Name: "a.jpg"}
		p.looked.Sheet = someSheet()
		m := &desk.Mend{Kind: cloth.Board, Rows: 2, Cols: 2, White: &geom.Point{X: 1, Y: 1}, PxPerInch: 9, Cuts: []float64{1}}
		m.Say(stash.Correction{NotAPiece: true}, false, p.looked.Sheet.Pieces[2].Polygon)
		relook, err := sayOf(m, p, r)
		fmt.Fprintf(&out, "%s\n", form)
		if err != nil {
			f := fault.Of(err)
			require.NotNil(t, f, "%s: %v", form, err)
			fmt.Fprintf(&out, "  in %q: %s; %s\n", fieldOf(err), f.Error(), f.Remedy)
			continue
		}
		text, err := json.Marshal(m)
		require.NoError(t, err)
		fmt.Fprintf(&out, "  %s; again: %v\n  %s\n", noted(r, len(numbers(r, "pieces"))), relook, text)
	}
	keptAs(t, "said.txt", out.String())
}

// What the page of a photo shows of it, and what it asks.
func TestWhatIsShownOfAPhoto(t *testing.T) {
	s := someSheet()
	v := mendView{At: "/look/1/1", Made: &desk.Mend{Rows: 2, Cols: 3, Cuts: []float64{2.5, 6 / 2.54}, Said: []desk.SaidOfLook{{Said: stash.Said{Outline: s.Pieces[4].Polygon}}}}}
	v.show(s, s.Pieces[14:15])
	text, err := json.MarshalIndent(v, "", " ")
	require.NoError(t, err)
	keptAs(t, "shown.json", string(text)+"\n")
	bare := cloth.Sheet{Width: 10, Height: 30, Pieces: []cloth.Piece{{ID: 1, Polygon: geom.Polygon{{}, {X: 9}, {X: 9, Y: 9}}}}}
	v = mendView{Made: &desk.Mend{}}
	v.show(bare, nil)
	require.True(t, v.NoSize)
	require.Empty(t, v.Grid)
	require.InDelta(t, 30.0/400, v.Line, 1e-12)

	require.Equal(t, "No pieces found. Draw them, or say what kind of photo it is.", foundLead(cloth.Sheet{}, 3, true))
	require.Equal(t, "16 pieces found, as a spread; 3 to look at first.", foundLead(s, 3, false))
	require.Equal(t, "1 piece found; none is in doubt. No size could be measured.", foundLead(bare, 0, true))
}

func TestAPointInsideAnOutline(t *testing.T) {
	require.Equal(t, geom.Point{X: 5, Y: 5}, inside(geom.Polygon{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}}))
	hook := someSheet().Pieces[15].Polygon
	require.False(t, hook.Contains(hook.Centroid()))
	require.True(t, hook.Contains(inside(hook)))
}

// A name that was sent is no path, and has no letter that a file system refuses.
func TestNamesOfPhotosThatWereSent(t *testing.T) {
	for sent, want := range map[string]string{
		"../../etc/passwd": "passwd", `C:\bag\a.jpg`: "a.jpg", "a<b>:\"c|d?e*.jpg": "a_b___c_d_e_.jpg", "": "photo", ".": "photo", "..": "photo", " .. ": "photo", "a\x1b[31m.jpg": "a_[31m.jpg", " a.jpg ": "a.jpg",
		strings.Repeat("x", 200) + ".jpg": strings.Repeat("x", mostNamed-4) + ".jpg", strings.Repeat("½", 100) + ".jpg": strings.Repeat("½", 48) + ".jpg", "a." + strings.Repeat("x", 200): "photo", "\xff.jpg": "_.jpg",
	} {
		require.Equal(t, want, calledBase(sent), "%q", sent)
	}
	for name, want := range map[string]string{"mat / 1": "mat - 1", "a:b*c?.": "a-b-c-", " . ": "quilt", "": "quilt", "a\nb": "a-b", `<x>"y"|z\w`: "-x--y--z-w"} {
		require.Equal(t, want, fileName(name))
	}
}

// What became of corrections of a photo that the stash had already.
func TestWhatWasToldAgain(t *testing.T) {
	require.Equal(t, "the stash said so already", retold(desk.Retold{}))
	told := desk.Retold{Put: []desk.Told{{Words: "blue", ID: 7}, {Words: "dark", ID: 8}}, Not: []desk.Told{{Words: "red", Piece: 3}, {Words: "the scale"}}}
	require.Equal(t, "put onto its pieces in the stash: blue of piece 7, dark of piece 8; not put, since the stash counts such a piece no more: red of piece 3 of the photo, the scale", retold(told))
	is := func(id int64, n int) cloth.Holding { return cloth.Holding{ID: id, Count: n, Family: cloth.Families[n]} }
	d := desk.Compare(stash.Reread{Before: []cloth.Holding{is(7, 1), is(8, 1), is(9, 1)}, After: []cloth.Holding{is(7, 2), is(8, 2), is(10, 1), is(11, 1)}})
	require.Equal(t, []string{"2 pieces more", "1 piece fewer", "1 piece otherwise by this look"}, differenceWords(d, func(id int64) bool { return id == 7 }))
	require.Nil(t, differenceWords(desk.Difference{}, nil))
	w := stowing{}
	require.Empty(t, w.done())
	w.pieces = 1
	require.Equal(t, "1 piece stowed", w.done())
	w.known = 2
	require.Equal(t, "1 piece stowed; 2 photos known already", w.done())
}
