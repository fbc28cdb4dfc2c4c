package page

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

type (
	// mendView is what the page to mend a photo shows.
	mendView struct {
		At, Picture, Batch string
		Number             int        // of the photo in its batch
		Say                string     // where what is said of the photo goes
		Photos             []sentView // of the batch, where there are several
		Wide, High         int
		Line               float64 // width of an outline, pixels of the photo
		Pieces, None       []pieceView
		Left               []leftView
		Doubts, Later      []doubtView // the likeliest wrong first
		Made               *desk.Mend
		Grid, Cuts         string
		Kind               cloth.Kind
		Families           []familyView
		Kinds              []string
		Values, Forms      []string
		Facts              []report.Fact
		Stow               string // what is to be stowed; empty: there is nothing
		NoSize             bool   // none of the pieces has one
		Files              []report.Way
		Back               bool
		Refused            bool
		Known              bool // the stash has the photo
		NoneKnown          bool // it has none of the batch
	}
	sentView struct {
		N          int
		Name, At   string
		Pieces     int
		Doubts     int
		Here, Lost bool
		Unseen     bool // not looked at since the program began
	}
	pieceView struct {
		N            int
		Points       string
		X, Y, Size   string // of its number
		Box          string // of its picture
		Words, Reads string
		Family       cloth.Family
		Value        cloth.Value
		Doubted      bool
		Said         bool
	}
	leftView struct {
		Points, Box, At string
		N               int
	}
	doubtView struct {
		pieceView
		Asks         []askView
		Others       []pieceView // for which the same answer does
		Numbers, Too string      // of the others; what a tick says of them
	}
	familyView struct {
		Name  cloth.Family
		Fills []string // of its dot, side by side
	}
	askView struct {
		Says    string
		Choices []choiceView
	}
	choiceView struct{ Name, Value, Words string }
)

// kinds are the kinds of photo, by how the cloth lies.
var kinds = []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}

// lookedPhoto is the photo of a batch that a path names, looked at, the batch locked
// until done.
func (s *Server) lookedPhoto(r *http.Request) (b *batch, i int, done func(), err error) {
	if b, done, err = s.batchOf(r); err != nil {
		return nil, 0, nil, err
	}
	if i, err = b.photoOf(r); err == nil {
		err = s.lookAt(r, b, i)
	}
	if err != nil {
		done()
	}
	return b, i, done, err
}

// mendPage shows a photo with what was found in it, what is doubted first.
func mendPage(s *Server, r *http.Request) (answer, error) {
	b, i, done, err := s.lookedPhoto(r)
	if err != nil {
		return answer{}, err
	}
	defer done()
	p := b.photos[i]
	v := mendView{Number: p.Number, At: b.photoAt(i), Say: b.photoAt(i) + "/say?shape=" + strconv.Itoa(p.Shape), Batch: b.at(), Made: p.mend(), Back: len(p.Mends) > 1}
	v.NoneKnown = true
	for _, w := range lookFiles {
		v.Files = append(v.Files, report.Way{Words: w.Words, To: withQuery(b.at()+"/report", url.Values{"as": {w.To}})})
	}
	total, unseen := 0, false
	for k, o := range b.photos {
		hash, err := s.desk.Knows(r.Context(), b.hash(k))
		if err != nil {
			return answer{}, err
		}
		v.Known, v.NoneKnown = v.Known || k == i && hash != "", v.NoneKnown && hash == ""
		shown, _ := o.mend().Apply(o.looked.Sheet)
		x := sentView{N: o.Number, Name: o.Name, At: b.photoAt(k), Pieces: len(shown.Pieces), Here: k == i, Lost: o.looked.Err != nil}
		x.Doubts = len(desk.DoubtedOf([]cloth.Sheet{shown}))
		x.Unseen = !o.seen
		unseen = unseen || x.Unseen
		total += x.Pieces
		v.Photos = append(v.Photos, x)
	}
	switch {
	case unseen:
		v.Stow = "them all"
	case total == 1:
		v.Stow = "it"
	case total > 0:
		v.Stow = "all " + strconv.Itoa(total)
	}
	a := answer{Frame: report.Frame{Scripts: []string{"mend.js"}, Done: told(r)}}
	if f := p.looked.Err; f != nil {
		v.Refused = true
		a.document = report.Titled(p.Name, "")
		a.Wrong, a.Remedy = f.Why, remedies.Worded(f).Remedy
		a.Before = s.form(r, "mend.html", v)
		return a, nil
	}
	shown, none := p.mend().Apply(p.looked.Sheet)
	doubts := v.show(shown, none)
	a.document = report.Titled(p.Name, foundLead(shown, doubts, v.NoSize))
	a.Before = s.form(r, "mend.html", v)
	return a, nil
}

func foundLead(s cloth.Sheet, doubts int, noSize bool) string {
	if len(s.Pieces) == 0 {
		return "No pieces found. Draw them, or say what kind of photo it is."
	}
	lead := cloth.Count(len(s.Pieces), "piece") + " found"
	if s.Kind != "" {
		lead += ", as a " + string(s.Kind)
	}
	if doubts > 0 {
		lead += "; " + strconv.Itoa(doubts) + " to look at first."
	} else {
		lead += "; none is in doubt."
	}
	if noSize {
		lead += " No size could be measured."
	}
	return lead
}

// show fills a view from a look as it is mended, and returns how many pieces are in doubt.
func (v *mendView) show(s cloth.Sheet, none []cloth.Piece) (doubts int) {
	v.Picture, v.Wide, v.High, v.Kind = v.At+"/picture", s.Width, s.Height, s.Kind
	v.Line = float64(max(s.Width, s.Height)) / 400
	v.Kinds = words(kinds)
	v.Values, v.Forms = words(cloth.Values), words(cloth.Forms)
	for _, f := range cloth.Families {
		fills := []string{report.StandIn(f)}
		if f == cloth.Many {
			fills = nil
			for _, one := range cloth.Families[:9] {
				fills = append(fills, report.StandIn(one))
			}
		}
		v.Families = append(v.Families, familyView{f, fills})
	}
	v.Facts = report.LookFacts(s)
	if m := v.Made; m.Rows > 0 {
		v.Grid = fmt.Sprintf("%dx%d", m.Rows, m.Cols)
	}
	v.Cuts = cutsWords(v.Made.Cuts)
	doubted := map[int]desk.Doubted{}
	all := desk.DoubtedOf([]cloth.Sheet{s})
	for _, d := range all {
		doubted[d.Piece.ID] = d
	}
	views := map[int]pieceView{}
	v.NoSize = true
	for _, p := range s.Pieces {
		v.NoSize = v.NoSize && p.WidthIn == 0
		x := v.piece(p)
		_, x.Doubted = doubted[p.ID]
		views[p.ID] = x
		v.Pieces = append(v.Pieces, x)
	}
	for _, p := range none {
		v.None = append(v.None, v.piece(p))
	}
	for i, g := range s.Left {
		c := inside(g.Polygon)
		v.Left = append(v.Left, leftView{points(g.Polygon), v.box(g.Polygon), fmt.Sprintf("%.0f,%.0f", c.X, c.Y), i + 1})
	}
	for _, together := range desk.DoubtedAlike(all) {
		d := doubtView{pieceView: views[together[0].Piece.ID], Asks: asks(together[0], s)}
		var numbers []string
		for _, o := range together[1:] {
			d.Others = append(d.Others, views[o.Piece.ID])
			numbers = append(numbers, strconv.Itoa(o.Piece.ID))
		}
		d.Numbers = strings.Join(numbers, ",")
		d.Too = "and " + strings.Join(numbers, ", ") + ", read as the same print"
		v.Doubts = append(v.Doubts, d)
	}
	if len(v.Doubts) > mostAsked {
		v.Doubts, v.Later = v.Doubts[:mostAsked], v.Doubts[mostAsked:]
	}
	return len(all)
}

// cutsWords writes lengths as they are read.
func cutsWords(all []float64) string {
	out := make([]string, len(all))
	for i, in := range all {
		out[i] = shelf.Length(in)
	}
	return strings.Join(out, ", ")
}

// mostAsked are asked in view; the rest are folded behind.
const mostAsked = 12

// asks returns the questions about a doubted piece, each with its possible answers.
func asks(d desk.Doubted, s cloth.Sheet) []askView {
	p := d.Piece
	var out []askView
	for _, of := range d.Of {
		switch of {
		case desk.OutlineDoubt:
			a := askView{"Is this one piece, outlined rightly?", []choiceView{{"do", "right", "yes"}, {"do", "none", "no cloth"}}}
			for _, n := range desk.MayJoin(s, p) {
				a.Choices = append(a.Choices, choiceView{"join", strconv.Itoa(n), "one piece with " + strconv.Itoa(n)})
			}
			out = append(out, a)
		case desk.FamilyDoubt:
			out = append(out, askView{"Which hue family?", []choiceView{{"family", string(p.Family), string(p.Family)}, {"family", string(p.FamilyOr), string(p.FamilyOr)}}})
		case desk.ValueDoubt:
			out = append(out, askView{"Which value?", []choiceView{{"value", string(p.Value), string(p.Value)}, {"value", string(p.ValueOr), string(p.ValueOr)}}})
		case desk.SizeDoubt:
			c := choiceView{"cut", strconv.FormatFloat(p.WidthIn, 'f', -1, 64), cmp.Or(p.Cut, shelf.Size(p.WidthIn, p.LengthIn))}
			out = append(out, askView{"Is it cut to this size?", []choiceView{c}})
		}
	}
	return out
}

func (v *mendView) piece(p cloth.Piece) pieceView {
	c := inside(p.Polygon)
	x := pieceView{N: p.ID, Points: points(p.Polygon), Box: v.box(p.Polygon), Words: report.PieceWords(p), Reads: p.ReadsAs.Hex(), Family: p.Family, Value: p.Value}
	x.Said = slices.ContainsFunc(v.Made.Said, func(s desk.SaidOfLook) bool { return geom.IoU(s.Outline, p.Polygon) > 0.9 })
	lo, hi := p.Polygon.Bounds()
	long := float64(max(v.Wide, v.High))
	room := min((hi.X-lo.X)/float64(len(strconv.Itoa(p.ID))), hi.Y-lo.Y) // a digit is some .6 em wide
	size := min(long/36, max(long/120, 0.75*room))
	x.X, x.Y, x.Size = fmt.Sprintf("%.0f", c.X), fmt.Sprintf("%.0f", c.Y), fmt.Sprintf("%.0f", size)
	return x
}

// inside returns a point inside an outline.
func inside(g geom.Polygon) geom.Point {
	c := g.Centroid()
	if g.Contains(c) {
		return c
	}
	for i, p := range g { // the middle of three corners in a row
		q := p.Add(g[(i+1)%len(g)]).Add(g[(i+len(g)-1)%len(g)]).Mul(1. / 3)
		if g.Contains(q) {
			return q
		}
	}
	return c
}

// box returns the view box, for SVG, of an outline and a margin round it.
func (v *mendView) box(g geom.Polygon) string {
	lo, hi := g.Bounds()
	side := 1.15 * max(hi.X-lo.X, hi.Y-lo.Y)
	c := lo.Add(hi).Mul(0.5)
	return fmt.Sprintf("%.0f %.0f %.0f %.0f", c.X-side/2, c.Y-side/2, side, side)
}

func points(g geom.Polygon) string {
	out := make([]string, len(g))
	for i, p := range g {
		out[i] = fmt.Sprintf("%.1f,%.1f", p.X, p.Y)
	}
	return strings.Join(out, " ")
}

// readPoints reads places as points writes them.
func readPoints(text string) (geom.Polygon, error) {
	var out geom.Polygon
	for _, f := range strings.Fields(text) {
		x, y, ok := strings.Cut(f, ",")
		px, err1 := strconv.ParseFloat(x, 64)
		py, err2 := strconv.ParseFloat(y, 64)
		if !ok || err1 != nil || err2 != nil || !(math.Abs(px) <= desk.Farthest && math.Abs(py) <= desk.Farthest) {
			return nil, fault.Usage(f, "this is not a place", "write pixels from the left and from the top, like 400,300")
		}
		out = append(out, geom.Point{X: px, Y: py})
	}
	return out, nil
}

// say takes what you say of a photo, and looks at it again where that changes what is
// seen.
func say(s *Server, r *http.Request) (answer, error) {
	b, i, done, err := s.lookedPhoto(r)
	if err != nil {
		return answer{}, err
	}
	defer done()
	p := b.photos[i]
	if seen := r.URL.Query().Get("shape"); seen != "" && seen != strconv.Itoa(p.Shape) {
		return answer{}, fault.Usage(p.Name, "its pieces lie otherwise by now: it was mended in another place", "open it again, and say it of the pieces as they lie now")
	}
	if r.FormValue("do") == "back" {
		if len(p.Mends) > 1 {
			was := p.mend().Options()
			p.Mends = p.Mends[:len(p.Mends)-1]
			if !reflect.DeepEqual(was, p.mend().Options()) {
				p.seen = false
				p.Shape++
			}
		}
		return after(b.photoAt(i), "taken back"), b.keep()
	}
	before := p.mend()
	m := before.Clone()
	relook, err := sayOf(m, p, r)
	if err != nil {
		return answer{}, err
	}
	was := p.looked
	p.Mends = append(p.Mends, m)
	if relook {
		p.seen = false
		err := s.lookOne(r, b, i)
		if err == nil && p.looked.Err != nil && was.Err == nil {
			err = p.looked.Err
		}
		if err != nil { // what the photo cannot be looked at with is not kept
			p.Mends, p.looked, p.seen = p.Mends[:len(p.Mends)-1], was, true
			return answer{}, ofDrawing(err)
		}
	}
	if relook {
		p.Shape++
	}
	if len(p.Mends) > mostMends {
		p.Mends = slices.Delete(p.Mends, 0, len(p.Mends)-mostMends)
	}
	said := noted(r, len(numbers(r, "pieces")))
	if do := r.FormValue("do"); do == "split" || do == "merge" {
		if lost := m.Forgot(*before); len(lost) > 0 {
			said += "; no more said of it: " + strings.Join(lost, ", ")
		}
	}
	return after(b.photoAt(i), said), b.keep()
}

// ofDrawing words a fault of what was drawn last: which of all that is drawn it is, and in
// which file, need not be said to who drew it just now.
func ofDrawing(err error) error {
	for _, x := range []struct {
		kind        error
		why, remedy string
	}{
		{find.ErrNoCloth, "no cloth shows there", "tap the corners of the piece, one round of it"},
		{find.ErrTaken, "it takes cloth that is of another piece already", "tap the corners of what is not outlined yet, or say of the other that it is no cloth"},
		{find.ErrNoSeam, "no seam shows between it and a piece beside it", "tap the corners of the piece, one round of it"},
	} {
		if errors.Is(err, x.kind) {
			return fault.New("", x.why, x.remedy, err)
		}
	}
	return err
}

// noted returns a sentence that says what was noted.
func noted(r *http.Request, pieces int) string {
	of := "noted: "
	if pieces > 1 {
		of = fmt.Sprintf("noted of %d pieces: ", pieces)
	}
	switch do := r.FormValue("do"); do {
	case "fix", "":
		for _, name := range []string{"family", "value", "cut", "print"} {
			if v := r.FormValue(name); v != "" {
				return of + v
			}
		}
	case "none":
		return of + "no cloth"
	case "right":
		return of + "right"
	case "draw", "take":
		return "a piece is drawn"
	case "shape":
		return "its corners lie otherwise"
	case "split":
		return "two pieces now"
	case "merge":
		return "one piece now"
	case "cloth":
		return "it is cloth after all"
	}
	return "looked at again"
}

// numbers returns the numbers in the fields of a name, as they are written.
func numbers(r *http.Request, name string) []string {
	return strings.FieldsFunc(strings.Join(r.Form[name], ","), func(c rune) bool { return c == ',' || c == ' ' })
}

// sayOf notes what the form says of a photo. Where relook is true the photo has to be
// looked at again.
func sayOf(m *desk.Mend, p *sent, r *http.Request) (relook bool, err error) {
	shown, none := m.Apply(p.looked.Sheet)
	at := func(list []cloth.Piece, name string) ([]int, error) {
		var out []int
		for _, f := range numbers(r, name) {
			n, err := strconv.Atoi(f)
			k := slices.IndexFunc(list, func(p cloth.Piece) bool { return p.ID == n })
			if err != nil || k < 0 {
				return nil, inField{name, fault.Usage("piece "+f, "there is none of this number in the photo", "choose one that is outlined")}
			}
			out = append(out, k)
		}
		if out == nil {
			return nil, inField{name, fault.Usage("", "no piece is chosen", "choose one or more in the photo or in the list")}
		}
		return out, nil
	}
	if err := r.ParseForm(); err != nil {
		return false, err
	}
	drawn, err := readPoints(r.FormValue("points"))
	if err != nil {
		return false, inField{"points", err}
	}
	if with := r.Form.Get("join"); with != "" {
		r.Form.Set("do", "merge")
		r.Form.Add("pieces", with)
	}
	switch r.FormValue("do") {
	case "photo":
		return true, sayOfPhoto(m, p.looked.Sheet, r)
	case "white":
		if len(drawn) != 1 {
			return false, fault.Usage("", "no white place is given", "tap one place that is white")
		}
		m.White = &drawn[0]
		return true, nil
	case "length":
		return true, sayLength(m, drawn, &fields{r: r})
	case "part":
		return true, sayPart(m, drawn)
	case "draw":
		return true, m.Draw(shown, drawn)
	case "take":
		k, err := strconv.Atoi(r.FormValue("left"))
		if err != nil || k < 1 || k > len(shown.Left) {
			return false, fault.Usage("", "there is nothing left out of this number", "choose one that is dashed in the photo")
		}
		return true, m.Draw(shown, shown.Left[k-1].Polygon)
	case "cloth":
		which, err := at(none, "none")
		if err != nil {
			return false, err
		}
		for _, k := range which {
			relook = m.Restore(p.looked.Sheet, none[k].Polygon) || relook
		}
		return relook, nil
	}
	which, err := at(shown.Pieces, "pieces")
	if err != nil {
		return false, err
	}
	outlines := make([]geom.Polygon, len(which))
	for i, k := range which {
		outlines[i] = shown.Pieces[k].Polygon
	}
	switch r.FormValue("do") {
	case "shape":
		return true, m.Reshape(shown, which[0], drawn)
	case "split":
		if len(drawn) != 2 {
			return false, fault.Usage("", "no line is given", "tap two places, one on each side of the piece")
		}
		return true, m.Split(shown, which[0], drawn[0], drawn[1])
	case "merge":
		return true, m.Merge(shown, which)
	case "none":
		m.Say(stash.Correction{NotAPiece: true}, false, outlines...)
		return false, nil
	case "right":
		m.Say(stash.Correction{}, true, outlines...)
		return false, nil
	}
	c := stash.Correction{Family: cloth.Family(r.FormValue("family")), Value: cloth.Value(r.FormValue("value"))}
	f := &fields{r: r}
	if c.WidthIn = f.cut("cut"); f.err != nil {
		return false, f.err
	}
	if v := r.FormValue("print"); v != "" {
		c.Print = &v
	}
	if !(stash.Said{Correction: c}).Says() {
		return false, fault.Usage("", "nothing is said of it", "choose a hue family, a value, a cut or a print")
	}
	if c.Family != "" && !slices.Contains(cloth.Families, c.Family) || c.Value != "" && !slices.Contains(cloth.Values, c.Value) {
		return false, fault.Usage("", "there is no such colour or value", "choose one of the list")
	}
	m.Say(c, false, outlines...)
	return false, nil
}

func sayOfPhoto(m *desk.Mend, s cloth.Sheet, r *http.Request) error {
	if m.Kind = cloth.Kind(r.FormValue("kind")); m.Kind != "" && !slices.Contains(kinds, m.Kind) {
		return inField{"kind", fault.Usage("", "there is no such kind of photo", "choose one of the list")}
	}
	m.Rows, m.Cols = 0, 0
	if g := r.FormValue("grid"); g != "" {
		grid, err := desk.ReadGrid(g)
		if err != nil {
			return inField{"grid", fault.Of(err).Named(g)}
		}
		m.Rows, m.Cols = grid[0], grid[1]
	}
	if r.FormValue("found") != "" {
		m.Drawn, m.Found = nil, nil
	}
	if r.FormValue("whole") != "" {
		m.Crop, m.Board = nil, nil
	}
	f := &fields{r: r}
	m.Cuts = read(f, "cuts", func(s string) ([]float64, error) { return desk.ReadCuts(s, unitOf(s)) })
	m.White = read(f, "white", func(text string) (*geom.Point, error) {
		at, err := desk.ReadPlace(text)
		if err == nil && (at.X < 0 || at.Y < 0 || at.X >= float64(s.Width) || at.Y >= float64(s.Height)) {
			err = fault.Usage("", "it lies outside the photo", fmt.Sprintf("give a place within %d × %d pixels", s.Width, s.Height))
		}
		return at, err
	})
	m.PxPerInch = read(f, "scale", desk.ReadScale)
	return f.err
}

// sayPart has a part of a photo looked at: a box by two of its corners, or a board by its
// four. What was drawn is found anew there.
func sayPart(m *desk.Mend, drawn geom.Polygon) (err error) {
	switch len(drawn) {
	case 2:
		lo, hi := drawn.Bounds()
		m.Board, m.Crop = nil, &look.Window{X: int(lo.X), Y: int(lo.Y), W: int(hi.X - lo.X), H: int(hi.Y - lo.Y)}
		if m.Crop.W < 1 || m.Crop.H < 1 {
			err = fault.Usage("the part", "it has no width or no height", "tap two corners that lie across from one another")
		}
	case 4:
		m.Crop = nil
		m.Board, err = desk.Board(drawn)
	default:
		err = fault.Usage("the part", "it has "+cloth.Count(len(drawn), "corner"), "tap two corners that lie across from one another, or the four corners of a board")
	}
	m.Drawn, m.Found = nil, nil
	return err
}

// sayLength takes the scale from two places a known length apart.
func sayLength(m *desk.Mend, drawn geom.Polygon, f *fields) error {
	if len(drawn) != 2 || drawn[0] == drawn[1] {
		return fault.Usage("", "no length is given", "tap two places, and say how far apart they are")
	}
	in := f.length("apart")
	if f.err == nil && in == 0 {
		f.err = inField{"apart", fault.Usage("", "it is not said how far apart they are", "write it like 2½ or 6cm")}
	}
	if f.err == nil {
		m.PxPerInch = drawn[0].Dist(drawn[1]) / in
	}
	return f.err
}
