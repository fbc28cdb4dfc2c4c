package page

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/look"
)

var (
	outlined = regexp.MustCompile(`data-piece="(\d+)" [^>]*aria-label="piece \d+: ([^"]*)"><polygon class="under" points="([^"]*)"`)
)

// shownPiece is a piece as the page outlines it.
type shownPiece struct {
	n, words string
	outline  geom.Polygon
}

func shownOn(t *testing.T, page string) []shownPiece {
	t.Helper()
	var out []shownPiece
	for _, m := range outlined.FindAllStringSubmatch(page, -1) {
		g, err := readPoints(m[3])
		require.NoError(t, err)
		out = append(out, shownPiece{m[1], m[2], g})
	}
	return out
}

func (v *visitor) again() {
	v.t.Helper()
	require.NoError(v.t, v.server.Close())
	fresh, err := New(v.desk)
	require.NoError(v.t, err)
	fresh.slow = v.server.slow
	fresh.key, fresh.session, fresh.root = v.server.key, v.server.session, v.server.root
	*v.server = *fresh
}

// What you say of a photo is seen at once, outlives the server, goes into the stash, and
// stays when the photo is looked at again.
func TestMendingAPhoto(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, at := v.send([]string{"table.jpg"}, table(t))
	found := shownOn(t, page)
	require.Greater(t, len(found), 4)
	say := func(pairs ...string) []shownPiece {
		t.Helper()
		code, page, to := v.post(at+"/say", pairs...)
		require.Equal(t, 200, code, page)
		require.Equal(t, at, to)
		return shownOn(t, page)
	}
	refused := func(words string, pairs ...string) {
		t.Helper()
		code, page, _ := v.post(at+"/say", pairs...)
		require.GreaterOrEqual(t, code, 400)
		require.Less(t, code, 500)
		require.Contains(t, page, words)
	}
	one, two, three := found[0], found[1], found[2]

	now := say("do", "fix", "pieces", one.n, "family", "teal", "value", "dark")
	require.Regexp(t, "^teal, dark", now[0].words)
	shape := func() string {
		_, page, _ := v.get(at)
		return regexp.MustCompile(`shape=\d+`).FindString(page)
	}
	before := shape()
	say("do", "fix", "pieces", one.n, "value", "light")
	now = say("do", "back")
	require.Regexp(t, "^teal, dark", now[0].words)
	require.Equal(t, before, shape(), "a name that is taken back moves no piece")
	code, page, _ := v.post(at+"/say", "do", "right", "pieces", two.n+","+three.n)
	require.Equal(t, 200, code)
	require.Contains(t, page, "noted of 2 pieces: right")
	now = say("do", "none", "pieces", two.n)
	require.Len(t, now, len(found)-1)
	now = say("do", "cloth", "none", two.n)
	require.Len(t, now, len(found), "it is cloth after all")
	say("do", "none", "pieces", two.n)

	say("do", "fix", "pieces", three.n, "family", "purple", "cut", "3")
	c := three.outline.Centroid()
	lo, hi := three.outline.Bounds()
	line := fmt.Sprintf("%.0f,%.0f %.0f,%.0f", lo.X-9, c.Y, hi.X+9, c.Y+1)
	_, page, _ = v.post(at+"/say", "do", "split", "pieces", three.n, "points", line)
	require.Contains(t, page, "two pieces now; no more said of it: cut 3")
	now = shownOn(t, page)
	require.Len(t, now, len(found), "one is no cloth, one is two")
	halves := slices.DeleteFunc(slices.Clone(now), func(p shownPiece) bool { return geom.IoU(p.outline, three.outline) < 0.3 })
	require.Len(t, halves, 2)
	for _, p := range halves {
		require.Regexp(t, "^purple", p.words, "what was said of the whole")
	}
	now = say("do", "merge", "pieces", halves[0].n+","+halves[1].n)
	require.Len(t, now, len(found)-1)
	now = say("do", "back")
	require.Len(t, now, len(found), "the merger is taken back")
	require.NotEqual(t, before, shape())
	require.Regexp(t, "^teal, dark", now[0].words, "what was said before stays")

	code, page, _ = v.post(at+"/say?shape=0", "do", "right", "pieces", now[0].n)
	require.Equal(t, http.StatusBadRequest, code, "a page that shows the pieces as they lay before")
	require.Contains(t, page, "lie otherwise by now")
	refused("does not cross", "do", "split", "pieces", now[0].n, "points", "1,1 2,1")
	refused("no piece is chosen", "do", "right")
	refused("none of this number", "do", "right", "pieces", "999")
	refused("crosses itself", "do", "shape", "pieces", now[0].n, "points", "10,10 60,60 60,10 10,60")
	refused("outside the photo", "do", "draw", "points", "-5,10 60,60 60,10")
	refused("not a place", "do", "draw", "points", "here")
	refused("no cloth shows there; tap the corners of the piece", "do", "draw", "points", "3,3")
	refused("takes cloth that is of another piece already; tap the corners", "do", "draw", "points", points(now[0].outline))
	refused("it lies outside the photo", "do", "photo", "white", "99999,3")
	refused("lie apart", "do", "merge", "pieces", now[0].n+" "+now[len(now)-1].n)
	refused("not a length", "do", "fix", "pieces", now[0].n, "cut", "wide")
	refused("nothing is said", "do", "fix", "pieces", now[0].n)
	refused("no such colour", "do", "fix", "pieces", now[0].n, "family", "octarine")
	refused("not a number of rows and columns", "do", "photo", "grid", "6")
	refused("how far apart", "do", "length", "points", "10,10 60,10")
	_, page, _ = v.get(at)
	require.Len(t, shownOn(t, page), len(found), "what was refused changed nothing")

	now = say("do", "length", "points", "10,10 60,10", "apart", "5")
	require.Len(t, now, len(found), "what was drawn stays")
	_, page, _ = v.get(at)
	require.Contains(t, page, "10.0 pixels an inch")

	v.again()
	_, page, _ = v.get(at)
	require.Contains(t, page, "10.0 pixels an inch", "it outlives the server")
	require.Equal(t, now, shownOn(t, page))

	code, page, _ = v.post(batchAt(at)+"/stow", "basket", "sea chest")
	require.Equal(t, 200, code, page)
	require.Contains(t, page, strconv.Itoa(len(found))+" pieces stowed")
	check := func() {
		t.Helper()
		held, err := v.desk.Pieces(context.Background(), desk.PiecesRequest{Outlines: true})
		require.NoError(t, err)
		require.Len(t, held.Held, len(found))
		teal, half := 0, 0
		for _, p := range held.Photos[0].Pieces {
			require.Less(t, geom.IoU(p.Outline, two.outline), 0.5, "what is no cloth is not counted")
			if geom.IoU(p.Outline, one.outline) > 0.9 {
				require.Equal(t, []string{"teal", "dark"}, []string{string(p.Family), string(p.Value)})
				teal++
			}
			if geom.IoU(p.Outline, three.outline) > 0.3 {
				half++
			}
		}
		require.Equal(t, []int{1, 2}, []int{teal, half})
	}
	check()
	out, err := v.desk.Stow(context.Background(), desk.StowRequest{Again: true, Yes: true})
	require.NoError(t, err)
	require.Empty(t, out.Refused)
	check()
}

// A part of a photo alone is looked at, or a board by its corners, with the widths that
// you cut; and all of it again.
func TestAPartOfAPhoto(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, at := v.send([]string{"table.jpg"}, table(t))
	found := shownOn(t, page)
	say := func(pairs ...string) (int, string) {
		t.Helper()
		code, page, _ := v.post(at+"/say", pairs...)
		return code, page
	}
	code, page := say("do", "part", "points", "500,1 1,180")
	require.Equal(t, 200, code, page)
	part := shownOn(t, page)
	require.NotEmpty(t, part)
	require.Less(t, len(part), len(found))
	for _, p := range part {
		_, hi := p.outline.Bounds()
		require.LessOrEqual(t, hi.Y, 181.)
	}
	require.Contains(t, page, "look at all of the photo")
	_, page = say("do", "photo", "whole", "1", "cuts", "1½,2.5")
	require.Len(t, shownOn(t, page), len(found))
	require.Contains(t, page, `name="cuts" placeholder="1½, 2½, 5" value="1½, 2½"`)
	for points, words := range map[string]string{
		"1,1": "1 corner", "5,5 5,90": "no width", "1,1 9,9 20,20 40,40": "do not enclose a board",
	} {
		code, page := say("do", "part", "points", points)
		require.Equal(t, http.StatusBadRequest, code)
		require.Contains(t, page, words)
	}
	code, page = say("do", "photo", "cuts", "wide")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "not cut to")

	m := &desk.Mend{Drawn: []geom.Polygon{found[0].outline}, Crop: &look.Window{W: 9, H: 9}}
	require.Nil(t, m.Options().Crop, "what is drawn needs no part")
	require.NoError(t, sayPart(m, geom.Polygon{{X: 90, Y: 5}, {X: 90, Y: 80}, {X: 4, Y: 3}, {X: 5, Y: 70}}))
	require.Equal(t, geom.Polygon{{X: 4, Y: 3}, {X: 90, Y: 5}, {X: 90, Y: 80}, {X: 5, Y: 70}}, m.Options().Outline, "the upper left corner first")
	require.Nil(t, m.Drawn, "pieces are found there anew")
	require.Nil(t, m.Crop, "a board goes before a part")
	m.Drawn = []geom.Polygon{found[0].outline}
	require.Nil(t, m.Options().Outline, "what is drawn needs no board")
}

// What is doubted is asked first, and a tap answers it.
func TestWhatIsDoubtedIsAsked(t *testing.T) {
	doubted := cloth.Piece{
		ID: 7, Trust: 0.4, Family: cloth.Blue, FamilyOr: cloth.Teal, FamilyTrust: 0.5, Value: cloth.Dark, ValueOr: cloth.MediumDark, ValueTrust: 0.6,
		WidthIn: 2.5, LengthIn: 2.5, Cut: "2½ square", SizeTrust: 0.3,
		Polygon: geom.Polygon{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 60}, {X: 10, Y: 60}},
	}
	sheet := cloth.Sheet{Width: 100, Height: 100, Pieces: []cloth.Piece{doubted}}
	p := &sent{Mends: []*desk.Mend{{}}, seen: true}
	p.looked.Sheet = sheet
	for step, want := range []struct{ asked, name, value string }{
		{"Is it cut to this size?", "cut", "2.5"},
		{"Is this one piece", "do", "right"},
	} {
		shown, _ := p.mend().Apply(sheet)
		all := desk.DoubtedOf([]cloth.Sheet{shown})
		require.Len(t, all, 1, "step %d", step)
		first := asks(all[0], shown)[0]
		require.Contains(t, first.Says, want.asked)
		require.Equal(t, want.name, first.Choices[0].Name)
		require.Equal(t, want.value, first.Choices[0].Value)
		r, err := http.NewRequest("POST", "/say", strings.NewReader("pieces=7&"+want.name+"="+want.value))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		relook, err := sayOf(p.mend(), p, r)
		require.NoError(t, err)
		require.False(t, relook, "a name needs no other look")
	}
	shown, _ := p.mend().Apply(sheet)
	require.Empty(t, desk.DoubtedOf([]cloth.Sheet{shown}), "right is right altogether")
	require.Equal(t, cloth.Blue, shown.Pieces[0].Family)
}

// What was found may be kept as a file, as it is mended, and nothing is stowed.
func TestOnlyToLook(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, at := v.send([]string{"one.jpg", "torn.jpg"}, table(t), []byte("no photo"))
	v.post(at+"/say", "do", "fix", "pieces", "1", "print", "stripes")
	for _, as := range []string{"html", "png", "csv"} {
		require.Contains(t, page, `href="`+batchAt(at)+`/report?as=`+as+`" download`)
		code, file, _ := v.get(batchAt(at) + "/report?as=" + as)
		require.Equal(t, 200, code)
		if as == "png" {
			require.True(t, strings.HasPrefix(file, "\x89PNG"))
			continue
		}
		require.Contains(t, file, "stripes")
		require.Contains(t, file, "torn.jpg")
		require.Equal(t, as == "html", strings.Contains(file, "data:image/jpeg"))
	}
	code, _, _ := v.get(batchAt(at) + "/report?as=exe")
	require.Equal(t, http.StatusBadRequest, code)
	latest, err := v.desk.Latest(t.Context())
	require.NoError(t, err)
	require.Zero(t, latest)
}

// What is found leads in one line, with the kind of photo where one is known.
func TestWhatIsFoundLeads(t *testing.T) {
	two := make([]cloth.Piece, 2)
	for want, s := range map[string]cloth.Sheet{
		"2 pieces found, as a pile; none is in doubt.":                 {Kind: cloth.Pile, Pieces: two},
		"2 pieces found; none is in doubt.":                            {Pieces: two},
		"No pieces found. Draw them, or say what kind of photo it is.": {Kind: cloth.Board},
	} {
		require.Equal(t, want, foundLead(s, 0, false))
	}
	require.Equal(t, "1 piece found, as a spread; 1 to look at first.", foundLead(cloth.Sheet{Kind: cloth.Spread, Pieces: two[:1]}, 1, false))
	require.Equal(t, "2 pieces found; none is in doubt. No size could be measured.", foundLead(cloth.Sheet{Pieces: two}, 0, true))
}

// Of one print that is in doubt alike it is asked once, and the one answer goes to all that
// stay ticked. That no size is known is said beside the field for it.
func TestOneAnswerForAPrint(t *testing.T) {
	piece := func(n int, print string, size float64) cloth.Piece {
		x := 100 * float64(n)
		return cloth.Piece{ID: n, Polygon: geom.Polygon{{X: x, Y: 0}, {X: x + 90, Y: 0}, {X: x + 90, Y: 90}, {X: x, Y: 90}}, Print: print, WidthIn: size,
			Family: cloth.Grey, FamilyOr: cloth.White, FamilyTrust: 0.5, Trust: 0.9}
	}
	view := func(size float64) mendView {
		s := cloth.Sheet{Width: 900, Height: 600, Pieces: []cloth.Piece{piece(1, "h", size), piece(2, "k", 0), piece(3, "h", 0), piece(4, "h", 0)}}
		v := mendView{Made: &desk.Mend{}, At: "/look/b/1", Batch: "/look/b", Say: "/look/b/1/say", Stow: "all 4"}
		v.show(s, nil)
		return v
	}
	v := view(0)
	require.Len(t, v.Doubts, 2)
	require.Equal(t, "3,4", v.Doubts[0].Numbers)
	require.Empty(t, v.Doubts[1].Others)
	r := httptest.NewRequest(http.MethodGet, "/look/b/1", nil)
	var server Server
	server.forms = server.formsFor(r)
	html := fmt.Sprint(server.form(r, "mend.html", v))
	require.Contains(t, html, `<input type="hidden" name="pieces" value="1"/>`)
	require.Contains(t, html, `<input type="checkbox" name="pieces" value="3,4" checked/> and 3, 4, read as the same print`)
	require.Equal(t, 1, strings.Count(html, `value="3,4"`))
	require.Contains(t, html, "No size could be measured.")
	require.Less(t, strings.LastIndex(html, `name="cut" inputmode="decimal" placeholder="2½"`), strings.Index(html, "Say more of them all"))
	require.NotContains(t, fmt.Sprint(server.form(r, "mend.html", view(2.5))), "No size could be measured.")
}
