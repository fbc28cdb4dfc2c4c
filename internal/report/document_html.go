package report

import (
	"bytes"
	"embed"
	"encoding/base64"
	"html/template"
	"image"
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

// forms are what templates make of answers. cloth, which tells by which name a chip is
// embedded, and cloths are those of one page: see Framed.
var forms = template.FuncMap{
	"ink": inkOn, "percent": percent, "jpeg": jpegData, "stripes": stripes,
	"cloth": func(chip) string { return "" }, "cloths": func() []clothView { return nil }, "drawn": func(drawing) svgDrawing { return svgDrawing{} },
}

var documentPage = template.Must(template.New("document.html").Funcs(forms).ParseFS(templates, "template/document.html", "template/drawing.svg"))

// drawingFile is a drawing alone.
var drawingFile = template.Must(template.ParseFS(templates, "template/drawing.svg"))

type (
	documentView struct {
		Frame
		Title, Lead string
		Style       template.CSS
		Sections    []section
		Fine        []string
	}
	// clothView is a crop, or a print by its inks, embedded once and used wherever it is
	// shown: as a symbol and as a pattern to fill shapes with.
	clothView struct {
		ID string
		chip
	}
	// stripe is a part of a bar or a chip, from X to X + W in hundredths.
	stripe struct{ X, W, Fill string }
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
	// Version names what the page shows as it was when the page was made; empty: it is not
	// told of later changes.
	Version string
	Swap    string // what the main part is called where a script puts another in its place
}

// Way leads to another page.
type Way struct {
	Words, To string
	Here      bool // it is this page
	More      bool // on a phone it stands behind a word that opens it, with the others that do
}

// HTML writes the document as one self-contained page to look at and print: it
// asks for nothing from anywhere and runs no script.
func (d Document) HTML(w io.Writer) error { return d.Framed(w, Frame{}) }

// Titled returns a document of words alone.
func Titled(title, lead string) Document { return Document{title: title, lead: lead} }

// Framed writes the document as HTML does, within a frame.
func (d Document) Framed(w io.Writer, f Frame) error {
	v := documentView{Frame: f, Title: d.title, Lead: d.lead, Fine: d.fine, Style: pageStyle}
	var cloths []clothView
	of := map[string]string{} // the names of cloths, by their keys
	id := func(c chip) string {
		k := c.key()
		if of[k] == "" {
			of[k] = "c" + strconv.Itoa(len(cloths))
			cloths = append(cloths, clothView{of[k], c})
		}
		return of[k]
	}
	for _, s := range d.sections {
		if !s.Said {
			s.Tables = mapped(s.Tables, table.onPage)
			v.Sections = append(v.Sections, s)
		}
	}
	page, err := documentPage.Clone()
	if err != nil {
		return err
	}
	return fill(w, page.Funcs(template.FuncMap{"cloth": id, "cloths": func() []clothView { return cloths }, "drawn": func(d drawing) svgDrawing { return d.svg(id) }}), v)
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

// stripes lay colours one after another, each as long as its share.
func stripes(all []cloth.Ink) []stripe {
	var out []stripe
	x := 0.0
	for _, s := range all {
		out = append(out, stripe{short(100 * x), short(100 * s.Share), s.Colour.Hex()})
		x += s.Share
	}
	return out
}

// Share returns how wide a drawing is where all of the section are of one scale; empty: as fits.
func (s section) Share(d svgDrawing) template.CSS {
	if !s.Scaled {
		return ""
	}
	return template.CSS("calc(" + short(d.Across*s.scale()) + " * min(46rem, 92vw))") //nolint:gosec // a number of our own
}

// Open and Behind are the items that stand open, and those folded behind them.
func (s section) Open() []string   { return open(s.Items, s.Fold) }
func (s section) Behind() []string { return behind(s.Items, s.Fold) }

// Carded returns the facts that have a card, or those that have none.
func (s section) Carded(has bool) []fact {
	return slices.DeleteFunc(slices.Clone(s.Facts), func(f fact) bool { return (f.Card != nil) != has })
}

// plainTile is the side of a tile that has no crop, pixels.
const plainTile = 60

// Size returns how large a chip is drawn as a tile, pixels.
func (c chip) Size() image.Point {
	if c.Crop == nil {
		return image.Pt(plainTile, plainTile)
	}
	return image.Pt(c.Crop.W, c.Crop.H)
}

// Parts returns the colours of a card's cloth.
func (c pieceCard) Parts() []cloth.Ink { return chip{Inks: c.Colours, Reads: *c.Reads}.Parts() }

// onPage returns a table whose cells know of their columns.
func (t table) onPage() table {
	t = t.answered()
	t.Rows = mapped(t.Rows, func(r []cell) []cell { // those of answered are its own
		for k, c := range t.Columns {
			r[k].Figure = c.Figure
			if k >= max(1, t.Lead) {
				r[k].Head = c.Head
			}
		}
		return r
	})
	return t
}

// Open and Behind are the rows that stand open, and those folded behind them.
func (t table) Open() [][]cell   { return open(t.Rows, t.Fold) }
func (t table) Behind() [][]cell { return behind(t.Rows, t.Fold) }

// Chipped reports whether there are pictures in the table.
func (t table) Chipped() bool {
	return slices.ContainsFunc(t.Rows, func(r []cell) bool { return slices.ContainsFunc(r, cell.Pictured) })
}

// jpegData returns a JPEG as an address that holds it.
func jpegData(data []byte) template.URL {
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(data)) //nolint:gosec // our own bytes
}

// writeSVG writes a drawing as a file of its own, its longer side svgSide pixels
// at first sight.
func (d drawing) writeSVG(w io.Writer) error {
	return fill(w, drawingFile, d.svg(nil))
}
