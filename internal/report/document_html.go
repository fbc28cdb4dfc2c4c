package report

import (
	"bytes"
	"embed"
	"encoding/base64"
	"html/template"
	"io"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
)

//go:embed template
var templates embed.FS

// pageStyle is the style sheet of every page.
//
//go:embed template/document.css
var pageStyle template.CSS

var documentPage = template.Must(template.ParseFS(templates, "template/document.html", "template/drawing.svg"))

// drawingFile is a drawing alone.
var drawingFile = template.Must(template.ParseFS(templates, "template/drawing.svg"))

type (
	documentView struct {
		Frame
		Title, Lead string
		Style       template.CSS
		Sections    []sectionView
		Fine        []string
		Cloths      []clothView
	}
	// clothView is a crop, or a print by its inks, embedded once and used wherever it is
	// shown: as a symbol and as a pattern to fill shapes with.
	clothView struct {
		ID         string
		Data       template.URL
		Wide, High int // of its box
		Parts      []partView
	}
	// partView is a stretch of a bar, or an ink of a chip, from X to X + W.
	partView    struct{ X, W, Fill string }
	sectionView struct {
		Heading  string
		Paras    []string
		Cards    []cardView
		Facts    []factView
		Many     bool // facts in columns
		Drawings []svgDrawing
		Scaled   bool
		Caption  string
		Tables   []tableView
		Items    []string
		More     []string // folded behind
		Numbered bool
		Whys     []whyView
		Careful  bool
	}
	factView struct{ What, Words string }
	cardView struct {
		Name, Title string // of a stack
		Tiles       []tileView
		Lines       []factView // style and words
		Reads, Ink  string
		Parts       []partView
		Colours     []factView // hex and share
	}
	tileView struct {
		ID, Fill, Words, Says string
		Wide, High            int
		Marked                bool
	}
	tableView struct {
		Heads   []headView
		Rows    [][]cellView
		More    [][]cellView // folded behind
		Chipped bool
	}
	headView struct {
		Words  string
		Figure bool
	}
	cellView struct {
		Words  string
		Head   string // of its column, where the words need it
		Figure bool
		Chip   *clothView // no ID: drawn by its parts; no parts: cloth of any colour
		Bar    []partView
	}
	whyView struct {
		Words string
		Depth int
	}
)

// Frame is what stands round a document that is served: ways to other pages, words about
// what was done, and forms before and after it.
type Frame struct {
	Ways          []Way
	Done, Wrong   string // what was done; what went wrong
	Remedy        string // of what went wrong
	Before, After template.HTML
	Sheet         string   // address of a style sheet beside that of every page; may be empty
	Scripts       []string // addresses of modules that make it pleasant
}

// Way leads to another page.
type Way struct {
	Words, To string
	Here      bool // it is this page
}

// HTML writes the document as one self-contained page to look at and print: it
// asks for nothing from anywhere and runs no script.
func (d Document) HTML(w io.Writer) error { return d.Framed(w, Frame{}) }

// Titled is a document of words alone.
func Titled(title, lead string) Document { return Document{title: title, lead: lead} }

// Framed writes the document as HTML does, within a frame.
func (d Document) Framed(w io.Writer, f Frame) error {
	v := documentView{Frame: f, Title: d.title, Lead: d.lead, Fine: d.fine, Style: pageStyle}
	ids := map[string]string{}
	for i, c := range d.chips() {
		x := clothView{ID: "c" + strconv.Itoa(i), Parts: partsOf(c)}
		if c.Crop != nil {
			x.Data = jpegData(c.Crop.JPEG)
			x.Wide, x.High = c.Crop.W, c.Crop.H
		}
		ids[c.key()] = x.ID
		v.Cloths = append(v.Cloths, x)
	}
	for _, s := range d.sections {
		if !s.Said {
			v.Sections = append(v.Sections, s.view(ids))
		}
	}
	return fill(w, documentPage, v)
}

// fill writes a page or a drawing, whole or not at all, without anything in the
// names on it that is to be obeyed and not shown.
func fill(w io.Writer, t *template.Template, v any) error {
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return err
	}
	_, err := w.Write(cloth.PrintableLines(b.Bytes()))
	return err
}

// partsOf is a chip as stripes across a box of 100.
func partsOf(c chip) []partView {
	var out []partView
	x := 0.0
	for _, s := range c.parts() {
		out = append(out, partView{short(100 * x), short(100 * s.Share), s.Colour.Hex()})
		x += s.Share
	}
	return out
}

func (s section) view(ids map[string]string) sectionView {
	v := sectionView{Heading: s.Heading, Paras: s.Paras, Caption: s.Caption, Numbered: s.Numbered, Careful: s.Careful, Many: s.Dense, Scaled: s.Scaled}
	v.Items, v.More = folded(s.Items, s.Fold)
	scale := s.scale()
	for _, d := range s.Drawings {
		v.Drawings = append(v.Drawings, d.svg(ids))
		if s.Scaled {
			v.Drawings[len(v.Drawings)-1].Share = template.CSS("calc(" + short(d.W*scale) + " * min(46rem, 92vw))") //nolint:gosec // a number of our own
		}
	}
	for _, f := range s.Facts {
		if f.Card != nil {
			v.Cards = append(v.Cards, f.Card.view(f.What, ids))
			continue
		}
		v.Facts = append(v.Facts, factView{f.What, f.Words})
	}
	for _, t := range s.Tables {
		v.Tables = append(v.Tables, t.view(ids))
	}
	flatWhys(s.Whys, 0, func(depth int, words string) { v.Whys = append(v.Whys, whyView{words, depth}) })
	return v
}

// plainTile is the side of a tile that has no crop, pixels.
const plainTile = 60

func (c pieceCard) view(name string, ids map[string]string) cardView {
	v := cardView{Name: name, Title: c.Title}
	for _, t := range c.Tiles {
		x := tileView{Fill: t.Chip.Reads.Hex(), Words: t.Words, Says: t.Says, Wide: plainTile, High: plainTile, Marked: t.Marked}
		if t.Chip.Crop != nil {
			x.ID, x.Wide, x.High = ids[t.Chip.key()], t.Chip.Crop.W, t.Chip.Crop.H
		}
		v.Tiles = append(v.Tiles, x)
	}
	for _, l := range c.Lines {
		v.Lines = append(v.Lines, factView{l.Style, l.Words})
	}
	if c.Reads != nil {
		v.Reads, v.Ink, v.Parts = c.Reads.Hex(), inkOn(*c.Reads).Hex(), partsOf(chip{Inks: c.Colours, Reads: *c.Reads})
	}
	for _, s := range c.Colours {
		v.Colours = append(v.Colours, factView{s.Colour.Hex(), percent(s.Share)})
	}
	return v
}

func (t table) view(ids map[string]string) tableView {
	t = t.answered()
	v := tableView{}
	for i, h := range t.Heads {
		v.Heads = append(v.Heads, headView{h, t.figures(i)})
	}
	open, behind := folded(t.Rows, t.Fold)
	v.Rows, v.More = t.cellViews(open, ids), t.cellViews(behind, ids)
	v.Chipped = slices.ContainsFunc(t.Rows, func(r []cell) bool { return slices.ContainsFunc(r, cell.pictured) })
	return v
}

func (t table) cellViews(rows [][]cell, ids map[string]string) [][]cellView {
	out := make([][]cellView, len(rows))
	for i, r := range rows {
		for k, c := range r {
			v := cellView{Words: c.Words, Figure: t.figures(k)}
			if k >= max(1, t.Lead) {
				v.Head = t.Heads[k]
			}
			if id := ids[c.Chip.key()]; c.Chip.Some && id != "" {
				v.Chip = &clothView{ID: id}
			} else if c.Chip.Some {
				v.Chip = &clothView{Parts: partsOf(c.Chip)}
			} else if c.Chip.Any {
				v.Chip = &clothView{}
			}
			x := 0.0
			for _, b := range c.Bar {
				v.Bar = append(v.Bar, partView{short(100 * x), short(100 * b.long), b.fill.Hex()})
				x += b.long
			}
			out[i] = append(out[i], v)
		}
	}
	return out
}

// jpegData is a JPEG as an address that holds it.
func jpegData(data []byte) template.URL {
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(data)) //nolint:gosec // our own bytes
}

// writeSVG writes a drawing as a file of its own, its longer side svgSide pixels
// at first sight.
func (d drawing) writeSVG(w io.Writer) error {
	return fill(w, drawingFile, d.svg(nil))
}
