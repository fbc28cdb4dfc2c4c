package page

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// pieceRoutes show the stash piece by piece, to correct it.
var pieceRoutes = []route{
	{"GET /pieces", asking(piecesPage)}, {"GET /pieces/{piece}", piecePage}, {"POST /fix", shownBy(back("/pieces"), fix)},
	{"GET /photos", photosPage}, {"GET /photos/{hash}", photoPage},
}

// mostTiles is how many pieces one page shows.
const mostTiles = 500

// tile is a piece of the stash as it is shown among others.
type tile struct {
	ID        int64
	At        string // of its crop; empty where there is none
	Large     bool   // it is looked at by itself, and its crop comes with the page, which then lies still
	Fill      string // the colour that it is drawn in without one
	Name, Cut string // its colour and its cut in words
	Count     int
	Where     string // print and basket
	Doubt     string // what may be wrong; empty where nothing is
}

// Says is a tile in words.
func (t tile) Says() string {
	words := t.Name + ", " + t.Cut
	if t.Count > 1 {
		words = strconv.Itoa(t.Count) + " " + words
	}
	return words
}

func tileOf(x desk.OutlinedPiece) tile {
	t := tile{ID: x.ID, At: clothAt(x, report.ChipSide), Name: shelf.AlikeOf(x.Holding).String(), Cut: shelf.CutOf(x.Holding).String(), Count: x.Count}
	if c, ok := report.Fill(x.Holding); ok {
		t.Fill = c.Hex()
	}
	t.Where = strings.Join(slices.DeleteFunc([]string{x.Print, x.Basket}, func(s string) bool { return s == "" }), ", ")
	if d, ok := desk.DoubtOf(x.Holding); ok {
		t.Doubt = report.Doubts(d)
	}
	return t
}

// wall is a group of pieces that are alike, under a heading.
type wall struct {
	Heading string
	Pieces  int
	Tiles   []tile
	Closed  bool // it opens by its heading
}

// First are the pieces shown beside the heading.
func (w wall) First() []tile { return w.Tiles[:min(len(w.Tiles), mostSwatches)] }

// openTiles is how many pieces stand open at once: more are opened family by family.
const openTiles = 60

// wallsOf parts pieces in shelf order by a bin of the shelf.
func wallsOf(all []desk.OutlinedPiece, by shelf.Sorting) []wall {
	var out []wall
	for _, x := range all {
		name := by.Of(shelf.AlikeOf(x.Holding)).String()
		if len(out) == 0 || out[len(out)-1].Heading != name {
			out = append(out, wall{Heading: name})
		}
		w := &out[len(out)-1]
		w.Tiles, w.Pieces = append(w.Tiles, tileOf(x)), w.Pieces+x.Count
	}
	return out
}

// filtering is the form that takes a part of the stash.
type filtering struct {
	Action                  string
	Is                      url.Values
	Families, Values, Forms []string
	Names                   stash.Names
	Part                    string // what is shown now, in words; empty: all
}

func (s *Server) filtering(ctx context.Context, action string, which stash.Filter) (filtering, error) {
	names, err := s.desk.Names(ctx)
	f := filtering{Action: action, Is: asQuery(which), Families: words(cloth.Families), Values: words(cloth.Values), Forms: words(cloth.Forms), Names: names}
	if len(f.Is) > 0 {
		f.Part = which.String()
	}
	return f, err
}

// piecesPage is cloth: a crop a piece, to look through, to open and to choose.
func piecesPage(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	which := f.filter()
	from := read(f, "from", number(0, mostPieces))
	if f.err != nil {
		return answer{}, f.err
	}
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: which, Outlines: true})
	if err != nil {
		return answer{}, err
	}
	form1, err := s.filtering(r.Context(), "/pieces", which)
	if err != nil {
		return answer{}, err
	}
	all := p.InOrder()
	if f.ticked("doubted") {
		all = slices.DeleteFunc(all, func(x desk.OutlinedPiece) bool {
			_, in := desk.DoubtOf(x.Holding)
			return !in
		})
	}
	n := 0
	for _, x := range all {
		n += x.Count
	}
	lead := cloth.Count(n, "piece") + "."
	if form1.Part != "" {
		lead = cloth.Count(n, "piece") + ": " + form1.Part + "."
	}
	v := map[string]any{"Filter": form1, "Doubted": f.ticked("doubted"), "Count": n, "Fix": s.fixing(form1, nil), "Back": withoutDone(r.URL), "All": len(all)}
	from = min(from, len(all)/mostTiles*mostTiles)
	q := asQuery(which)
	if from > 0 {
		q.Set("from", strconv.Itoa(from-mostTiles))
		v["Before"] = withQuery("/pieces", q)
	}
	if from+mostTiles < len(all) {
		q.Set("from", strconv.Itoa(from+mostTiles))
		v["After"] = withQuery("/pieces", q)
		all = all[:from+mostTiles]
	}
	walls := wallsOf(all[from:], shelf.ByFamily)
	if len(all[from:]) > openTiles && len(walls) > 1 && f.text("open") != allFamilies {
		for i := range walls {
			walls[i].Closed = true
		}
		v["OpenAll"] = withQuery(withoutDone(r.URL), url.Values{"open": {allFamilies}})
	}
	v["Walls"] = walls
	return answer{document: report.Titled("Pieces", lead), Frame: report.Frame{Before: s.form(r, "pieces.html", v), Scripts: []string{"choose.js"}}}, nil
}

// withoutDone returns the address of a page without the words on what was done before.
func withoutDone(u *url.URL) string {
	q := u.Query()
	q.Del("done")
	if len(q) == 0 {
		return u.Path
	}
	return u.Path + "?" + q.Encode()
}

// fixing is what a form to correct pieces with needs; of no one piece where it is nil.
func (s *Server) fixing(f filtering, is *cloth.Holding) map[string]any {
	out := map[string]any{"Families": f.Families, "Values": f.Values, "Forms": f.Forms, "One": is != nil, "Is": cloth.Holding{}}
	if is != nil {
		out["Is"] = *is
	}
	return out
}

// onPhoto is a piece where it lies in its photo.
type onPhoto struct {
	tile
	Points string // as SVG has them
	Here   bool
	X, Y   float64 // of its number
}

// photoView is a photo of the stash with outlines on it.
type photoView struct {
	Name, Hash, Picture string
	Width, Height       int
	Box                 string  // of it that is shown, as SVG has it
	Line, Thick, Letter float64 // widths of lines and height of letters, pixels of the photo
	Pieces              []onPhoto
	Numbered            bool
}

// viewOf shows a photo; around one of its pieces where id is not 0.
func viewOf(p desk.PhotoPieces, id int64) (v photoView, ok bool) {
	v = photoView{Name: p.Name, Hash: p.Hash, Picture: "/photo/" + p.Hash, Width: p.Width, Height: p.Height}
	if p.Path == "" || p.Width == 0 || p.Height == 0 {
		return v, false
	}
	box := geom.Polygon{{}, {X: float64(p.Width), Y: float64(p.Height)}}
	for _, x := range p.Pieces {
		if len(x.Outline) < 3 {
			continue
		}
		at := x.Outline.Centroid()
		v.Pieces = append(v.Pieces, onPhoto{tile: tileOf(x), Points: points(x.Outline), Here: x.ID == id, X: at.X, Y: at.Y})
		if x.ID == id {
			box = around(x.Outline, box[1])
		}
	}
	w, h := box[1].X-box[0].X, box[1].Y-box[0].Y
	v.Box = fmt.Sprintf("%.0f %.0f %.0f %.0f", box[0].X, box[0].Y, w, h)
	long := max(w, h)
	v.Line, v.Thick, v.Letter, v.Numbered = long/400, long/120, long/45, id == 0
	return v, true
}

// around returns a box round an outline, with a margin on every side as wide as the outline
// itself.
func around(g geom.Polygon, most geom.Point) geom.Polygon {
	lo, hi := g.Bounds()
	room := max(hi.X-lo.X, hi.Y-lo.Y)
	return geom.Polygon{
		{X: max(0, lo.X-room), Y: max(0, lo.Y-room)},
		{X: min(most.X, hi.X+room), Y: min(most.Y, hi.Y+room)},
	}
}

// piecePage shows one piece, and corrects it.
func piecePage(s *Server, r *http.Request) (answer, error) {
	n, err := desk.ReadNumbers(r.PathValue("piece"))
	if err != nil {
		return answer{}, err
	}
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{IDs: n.All}, Outlines: true})
	if err != nil {
		return answer{}, err
	}
	all := p.InOrder()
	if len(all) != 1 {
		return answer{}, fault.Usage("piece "+r.PathValue("piece"), "the stash does not hold it", "choose one on the page of pieces")
	}
	x := all[0]
	f, err := s.filtering(r.Context(), "", stash.Filter{})
	if err != nil {
		return answer{}, err
	}
	t := tileOf(x)
	t.At, t.Large = clothAt(x, largeSide), true
	v := map[string]any{"Tile": t, "Facts": factsOf(x), "Fix": s.fixing(f, &x.Holding), "Names": f.Names, "Back": withoutDone(r.URL), "Corners": cornersOf(x.Outline)}
	if len(p.Photos) == 1 {
		whole, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{Photo: x.Photo}, Outlines: true})
		if err != nil {
			return answer{}, err
		}
		if view, ok := viewOf(whole.Photos[0], x.ID); ok {
			v["Photo"] = view
		}
	}
	return answer{document: report.Titled("Piece "+strconv.FormatInt(x.ID, 10), t.Says()+"."), Frame: report.Frame{Before: s.form(r, "piece.html", v), Scripts: []string{"corners.js"}}}, nil
}

// said is a fact about a piece; it may lead to all pieces of which it is true.
type said struct{ What, Words, To string }

// factsOf is what the stash knows of a piece.
func factsOf(x desk.OutlinedPiece) []said {
	leads := func(name, v string) string { return withQuery("/pieces", url.Values{name: {v}}) }
	var out []said
	add := func(what, words, to string) {
		if words != "" {
			out = append(out, said{what, words, to})
		}
	}
	add("colour", string(x.Family), leads("family", string(x.Family)))
	if value := string(x.Value); x.Measured {
		n := desk.NameOf(x.Mean)
		add("value", fmt.Sprintf("%s, L* %.0f", value, x.Lightness), leads("value", value))
		add("Munsell", n.Munsell, "")
		add("reads as", x.ReadsAs.Hex(), "")
	} else {
		add("value", value, leads("value", value))
	}
	add("cut", shelf.CutOf(x.Holding).String(), "")
	if x.WidthIn > 0 && x.LengthIn > 0 {
		add("size", shelf.Size(x.WidthIn, x.LengthIn), "")
	}
	add("your bin", x.Bin, leads("bin", x.Bin))
	add("print", x.Print, leads("print", x.Print))
	add("basket", x.Basket, leads("basket", x.Basket))
	if x.Photo == "" {
		add("from", "entered by hand", "")
	}
	return out
}

// cornersOf writes an outline a corner a line.
func cornersOf(g geom.Polygon) string {
	lines := make([]string, len(g))
	for i, p := range g {
		lines[i] = fmt.Sprintf("%.0f,%.0f", p.X, p.Y)
	}
	return strings.Join(lines, "\n")
}

// fix corrects the pieces that were chosen.
func fix(s *Server, r *http.Request) (answer, error) {
	f := &fields{r: r}
	ask := desk.FixRequest{Pieces: f.numbers(), New: f.ticked("new")}
	c := &ask.Correction
	c.Family, c.Value = f.colour()
	c.Form = read(f, "form", desk.ReadForm)
	c.WidthIn, c.LengthIn = f.sides("cut", "length")
	c.Outline = read(f, "outline", desk.ReadCorners)
	c.Split = read(f, "split", number(2, 100))
	ask.Merge = read(f, "merge", desk.ReadNumbers)
	c.NotAPiece = f.ticked("none")
	for name, to := range map[string]**string{"basket": &c.Basket, "print": &c.Print, "bin": &c.Bin} {
		if v := f.text(name); v != "" || f.ticked("no-"+name) {
			*to = &v
		}
	}
	if f.err != nil {
		return answer{}, f.err
	}
	change, err := s.desk.Fix(r.Context(), ask)
	if errors.Is(err, desk.ErrNoPiece) {
		err = inField{"pieces", err}
	}
	to := f.back("/pieces")
	if c.NotAPiece || c.Split > 0 || ask.Merge.All != nil { // its own page may be gone
		to = "/pieces"
	}
	return after(to, changed(change)), err
}

// photosPage lists the photos that pieces of the stash lie in.
func photosPage(s *Server, r *http.Request) (answer, error) {
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Outlines: true})
	if err != nil {
		return answer{}, err
	}
	type listed struct {
		To, At, Name, Pieces string
	}
	var all []listed
	for _, x := range p.Photos {
		l := listed{To: "/photos/" + x.Hash, Name: x.Name, Pieces: cloth.Count(len(x.Pieces), "piece")}
		if x.Path != "" {
			l.At = "/photo/" + x.Hash
		}
		all = append(all, l)
	}
	return answer{document: report.Titled("Photos of the stash", cloth.Count(len(all), "photo")+", each piece with its number."), Frame: report.Frame{Before: s.form(r, "photos.html", all)}}, nil
}

// photoPage is a photo of the stash, its pieces outlined and numbered.
func photoPage(s *Server, r *http.Request) (answer, error) {
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{Photo: r.PathValue("hash")}, Outlines: true})
	if err != nil {
		return answer{}, err
	}
	if len(p.Photos) != 1 {
		return answer{}, errNoPage(r)
	}
	v := map[string]any{"Walls": wallsOf(p.InOrder(), shelf.ByFamily)}
	if view, ok := viewOf(p.Photos[0], 0); ok {
		v["Photo"] = view
	}
	return answer{document: report.Titled(p.Photos[0].Name, cloth.Count(len(p.Held), "piece")+". Choose one to look at it and to correct it."), Frame: report.Frame{Before: s.form(r, "photo.html", v)}}, nil
}
