package report

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

//go:embed template
var templates embed.FS

var page = template.Must(template.ParseFS(templates, "template/report.html", "template/parts.html", "template/drawing.svg"))

const (
	photoSide    = 1500 // longest side of an embedded photo, pixels
	greySide     = 1000
	cropSide     = 200
	photoQuality = 80 // of JPEG, 1..100
	cropQuality  = 84
)

// cardPaper is what shows round a piece that is no rectangle: the colour of
// --card in report.css.
var cardPaper = color.RGBA{0xff, 0xfd, 0xf8, 0xff}

type (
	pageView struct {
		Title  string
		Lead   string
		Style  template.CSS
		Crops  []cropView
		First  []firstView // the likeliest wrong
		More   string      // how many besides; empty with none
		Mend   []string
		Whole  []svgDrawing // the wheel and the charts
		Drawn  []string     // what they do not show
		Photos []photoView
		Grid   gridView
		Thin   []thinGroup
		// Missing holds "colours: …" and "values: …".
		Missing     []string
		ValueLegend string
		HowMoved    string
		Stacks      []stackView
		Unnamed     []pieceView
		Refused     []Refused
	}
	firstView struct {
		pieceView
		Doubts string
	}
	// cropView is a straightened piece, embedded once and used wherever the
	// piece is shown.
	cropView struct {
		ID   string
		W, H int
		Data template.URL
	}
	photoView struct {
		Letter, File, Found, Kind, Light, Scale string
		Notes                                   []string
		W, H                                    int
		Data, Grey                              template.URL // empty with no picture
		Marks                                   []markView
		Left                                    []string // points of the outlines of what was left out
		LeftPlaces, LeftPoints, LeftRemedy      string
		LineWidth, UnderWidth                   string
		Pieces                                  []pieceView
	}
	markView struct {
		Points, X, Y, Label, Font string
	}
	pieceView struct {
		Label                                               string
		Crop                                                *cropView
		Family, Value, Lightness, Munsell, Size, Cut, Print string
		Trust                                               string
		Doubt                                               bool // worth a look by eye
		ReadsAs, ReadsInk                                   string
		Colours                                             []swatchView
		Notes                                               string
		Alt                                                 string
		Brought                                             bool // has to be moved to its stack
	}
	swatchView struct {
		Hex, Share string
		X, W       string // of its part of the bar, 0..100
	}
	gridView struct {
		Values []struct{ Full, Short string }
		Rows   []gridRowView
		Sums   []string
		All    string
	}
	gridRowView struct {
		Family, Swatch, Held string
		Thin, None           bool
		Cells                []gridCellView
	}
	gridCellView struct {
		Held, Swatch string
		Thin, None   bool
	}
	stackView struct {
		Name string
		Held string
		// BringAll says that no piece of the stack stays where it lies.
		BringAll bool
		Pieces   []pieceView
	}
)

// HTML writes l as one self-contained page to look at and print: it asks for
// nothing from anywhere and runs no script. Photos are shrunk to photoSide and
// embedded; with no pictures the outlines stand on plain paper.
func HTML(w io.Writer, l Look, pictures Pictures) error {
	style, err := pageStyle()
	if err != nil {
		return err
	}
	v := pageView{
		Drawn: drawnWords(l.Shelf.Balance, tones{}),
		Title: "Piecebag: " + cloth.Count(len(l.Shelf.Items), "piece"),
		Lead:  lead(l),
		Style: style,
		Whole: l.whole(),
		Grid:  gridViewOf(l), Thin: thinGroups(l.Shelf.Thin), Missing: missingWords(l.Shelf.Missing),
		ValueLegend: valueLegend, HowMoved: stackWords(l.Shelf.Stacks),
	}
	for _, r := range l.Refused {
		v.Refused = append(v.Refused, Refused{File: base(r.File), Error: printable(r.Error)})
	}
	var pieces []pieceView
	for i, s := range l.Sheets {
		p, err := photoViewOf(l, i, s, pictures)
		if err != nil {
			return fmt.Errorf("%s: %w", s.File, err)
		}
		for _, q := range p.Pieces {
			if q.Crop != nil {
				v.Crops = append(v.Crops, *q.Crop)
			}
		}
		pieces = append(pieces, p.Pieces...)
		v.Photos = append(v.Photos, p)
	}
	listed, more, remedies := first(l.Sheets)
	for _, d := range listed {
		v.First = append(v.First, firstView{v.Photos[d.Photo].Pieces[d.Piece.ID-1], Doubts(d)})
	}
	if v.Mend = remedies; more > 0 {
		v.More = moreWords(more)
	}
	for _, s := range l.Shelf.Stacks {
		sv := stackView{Name: string(s.Family) + ", " + string(s.Value), Held: cloth.Count(s.Len(), "piece"), BringAll: len(s.Stay) == 0}
		for _, k := range s.Stay {
			sv.Pieces = append(sv.Pieces, pieces[k])
		}
		for _, k := range s.Bring {
			p := pieces[k]
			p.Brought = len(s.Stay) > 0
			sv.Pieces = append(sv.Pieces, p)
		}
		v.Stacks = append(v.Stacks, sv)
	}
	for _, k := range l.Shelf.Unnamed {
		v.Unnamed = append(v.Unnamed, pieces[k])
	}
	return fill(w, page, v)
}

// pageStyle is the style sheet of every page.
func pageStyle() (template.CSS, error) {
	var out template.CSS
	for _, name := range []string{"template/report.css", "template/document.css"} {
		style, err := templates.ReadFile(name)
		if err != nil {
			return "", err
		}
		out += template.CSS(style) //nolint:gosec // our own file
	}
	return out, nil
}

// lead is the first sentence of the page.
func lead(l Look) string {
	s := "No pieces found"
	if n := len(l.Shelf.Items); n > 0 {
		colours := 0
		for _, f := range l.Shelf.Balance.Families {
			if f.Family != cloth.Many {
				colours++
			}
		}
		s = fmt.Sprintf("%s of cloth in %s", cloth.Count(n, "piece"), cloth.Count(colours, "colour"))
	}
	if len(l.Sheets) > 0 {
		s += ", from " + cloth.Count(len(l.Sheets), "photo")
	}
	return s + "."
}

// sizedWords says what the shares by area rest on; empty with no known sizes.
func sizedWords(b shelf.Balance) string {
	if b.Sized == 0 {
		return ""
	}
	return fmt.Sprintf("Areas are of the %s of known size, %.0f square inches in all.", cloth.Count(b.Sized, "piece"), b.Area)
}

// whole draws all pieces by hue and by value.
func (l Look) whole() []svgDrawing {
	var all []cloth.Holding
	for _, it := range l.Shelf.Items {
		p := it.Piece
		all = append(all, cloth.Holding{Form: cloth.Square, Count: 1, Family: p.Family, Value: p.Value, Measured: true, ReadsAs: p.ReadsAs})
	}
	t, b := tonesOf(all), l.Shelf.Balance
	return []svgDrawing{
		wheelDrawing(b, t).svg(nil), barsDrawing("Value", valueBars(b, t)).svg(nil), barsDrawing("Off the wheel", offBars(b, t)).svg(nil),
	}
}

// middleOf is the L* in the middle of value i, 0 the lightest.
func middleOf(i int) float64 {
	hi, lo := 100.0, 0.0
	if i > 0 {
		hi = cloth.ValueCuts[i-1]
	}
	if i < len(cloth.ValueCuts) {
		lo = cloth.ValueCuts[i]
	}
	return (hi + lo) / 2
}

func gridViewOf(l Look) gridView {
	g := gridOf(l.Shelf)
	var v gridView
	for _, x := range cloth.Values {
		v.Values = append(v.Values, struct{ Full, Short string }{string(x), shortValues[x]})
	}
	for _, r := range g.rows {
		row := gridRowView{Family: string(r.family), Held: dashOrCount(r.count), Thin: r.thin, None: r.count == 0}
		var all []int
		for _, c := range r.cells {
			all = append(all, c.items...)
			row.Cells = append(row.Cells, gridCellView{Held: dashOrCount(c.count), Swatch: meanOf(l.Shelf.Items, c.items), Thin: c.thin, None: c.count == 0})
		}
		row.Swatch = meanOf(l.Shelf.Items, all)
		v.Rows = append(v.Rows, row)
	}
	for _, n := range g.values {
		v.Sums = append(v.Sums, dashOrCount(n))
	}
	v.All = strconv.Itoa(g.all)
	return v
}

// meanOf is the mean of what the items read as, taken in OKLab so that it looks
// like the middle of them; empty with none.
func meanOf(items []shelf.Item, of []int) string {
	if len(of) == 0 {
		return ""
	}
	var sum colour.OKLab
	k := 1 / float64(len(of))
	for _, i := range of {
		c := items[i].Piece.ReadsAs.OKLab()
		sum.L, sum.A, sum.B = sum.L+k*c.L, sum.A+k*c.A, sum.B+k*c.B
	}
	return sum.Linear().Hex()
}

func photoViewOf(l Look, i int, s cloth.Sheet, pictures Pictures) (photoView, error) {
	v := photoView{
		File: base(s.File), Found: foundWords(s), Kind: string(s.Kind), Light: lightWords(s.Light),
		W: s.Width, H: s.Height,
	}
	for _, n := range s.Notes {
		v.Notes = append(v.Notes, printable(n))
	}
	if len(l.Sheets) > 1 {
		v.Letter = letter(i)
	}
	if len(s.Pieces) > 0 {
		v.Scale = scaleWords(s.Scale)
	}
	long := float64(max(s.Width, s.Height))
	v.LineWidth, v.UnderWidth = fmt.Sprintf("%.1f", long/500), fmt.Sprintf("%.1f", long/190)
	picture, err := pictures.at(i)
	if err != nil {
		return v, err
	}
	var ph *photo
	if picture != nil {
		full := newPhoto(picture, s, photoSide)
		ph = &full
		if v.Data, err = jpegURL(full.pix, photoQuality); err != nil {
			return v, err
		}
		if v.Grey, err = jpegURL(newPhoto(full.pix, s, greySide).grey(), photoQuality); err != nil {
			return v, err
		}
	}
	for _, p := range s.Pieces {
		it := shelf.Item{Photo: i, Piece: p}
		pv := l.pieceViewOf(it)
		if ph != nil {
			if pv.Crop, err = ph.cropViewOf(p, fmt.Sprintf("c%d-%d", i, p.ID)); err != nil {
				return v, err
			}
		}
		v.Pieces = append(v.Pieces, pv)
	}
	v.Marks = marksOf(v.Pieces, s)
	for _, g := range s.Left {
		v.Left = append(v.Left, svgPoints(g.Polygon))
	}
	if s.Left != nil {
		v.LeftPlaces, v.LeftPoints = leftWords(s)
		v.LeftRemedy = leftRemedy
	}
	return v, nil
}

// marksOf are the outlines of a sheet's pieces and their numbers. Numbers are
// of one size, which three pieces in four have room for, between a readable
// least and a most that hides no print; on the narrower ones they are smaller.
func marksOf(pieces []pieceView, s cloth.Sheet) []markView {
	long := float64(max(s.Width, s.Height))
	least, most := long/62, long/36
	fonts := make([]float64, len(pieces))
	out := make([]markView, len(pieces))
	for i, p := range s.Pieces {
		at, room := labelSpot(p.Polygon)
		digits := float64(len(pieces[i].Label))
		// A label of bold digits is about 0.7 em a digit wide and 0.8 em high;
		// this is the em at which its half diagonal is the room there is.
		fonts[i] = min(most, max(least, 2*room/math.Hypot(0.7*digits, 0.8)))
		out[i] = markView{Points: svgPoints(p.Polygon), Label: pieces[i].Label, X: fmt.Sprintf("%.1f", at.X), Y: fmt.Sprintf("%.1f", at.Y)}
	}
	if len(fonts) == 0 {
		return nil
	}
	usual := slices.Sorted(slices.Values(fonts))[len(fonts)/4]
	for i := range out {
		out[i].Font = fmt.Sprintf("%.1f", min(usual, fonts[i]))
	}
	return out
}

func svgPoints(g geom.Polygon) string {
	var b strings.Builder
	for i, p := range g {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%.1f,%.1f", p.X, p.Y)
	}
	return b.String()
}

func (ph photo) cropViewOf(p cloth.Piece, id string) (*cropView, error) {
	m := ph.crop(p, cropSide, cardPaper)
	if m == nil {
		return nil, nil
	}
	data, err := jpegURL(m, cropQuality)
	return &cropView{ID: id, W: m.Rect.Dx(), H: m.Rect.Dy(), Data: data}, err
}

func jpegURL(m image.Image, quality int) (template.URL, error) {
	file, err := jpegOf(m, quality)
	return jpegData(file), err
}

func jpegOf(m image.Image, quality int) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality})
	return b.Bytes(), err
}

// jpegData is a JPEG file written into a page.
func jpegData(file []byte) template.URL {
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(file)) //nolint:gosec // our own bytes
}

func (l Look) pieceViewOf(it shelf.Item) pieceView {
	p := it.Piece
	v := pieceView{
		Label: l.label(it), Family: familyWords(p), Value: valueWords(p), Lightness: fmt.Sprintf("%.0f", p.Lightness),
		Munsell: p.Munsell, Size: size(p), Cut: p.Cut, Print: p.Print,
		Trust: sure(p.Trust) + ", " + percent(p.Trust), Doubt: p.Trust < desk.Doubtful,
		ReadsAs: p.ReadsAs.Hex(), ReadsInk: inkOn(p.ReadsAs).Hex(), Notes: printable(strings.Join(p.Notes, "; ")),
	}
	x := 0.0
	for _, c := range p.Colours {
		v.Colours = append(v.Colours, swatchView{
			Hex: c.Colour.Hex(), Share: percent(c.Share),
			X: fmt.Sprintf("%.1f", 100*x), W: fmt.Sprintf("%.1f", 100*c.Share),
		})
		x += c.Share
	}
	v.Alt = "piece " + l.label(it) + ": no colour"
	if p.Family != "" {
		v.Alt = "piece " + l.label(it) + ": " + familyWords(p) + ", " + valueWords(p)
	}
	if p.Cut != "" {
		v.Alt += ", " + p.Cut
	}
	return v
}
