package report

import (
	"bytes"
	"html/template"
	"io"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
)

var documentPage = template.Must(template.ParseFS(templates, "template/document.html", "template/drawing.svg", "template/parts.html"))

// drawingFile is a drawing alone.
var drawingFile = template.Must(template.ParseFS(templates, "template/drawing.svg"))

type (
	documentView struct {
		Title, Lead string
		Style       template.CSS
		Sections    []sectionView
		Fine        []string
		Cloths      []clothView
	}
	// clothView is a crop, or a print by its inks, embedded once and used wherever it is
	// shown: as a symbol and as a pattern to fill shapes with.
	clothView struct {
		ID    string
		Data  template.URL
		Parts []partView
	}
	// partView is a stretch of a bar, or an ink of a chip, from X to X + W.
	partView    struct{ X, W, Fill string }
	sectionView struct {
		Heading  string
		Paras    []string
		Facts    []factView
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
	factView  struct{ What, Words string }
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

// HTML writes the document as one self-contained page to look at and print: it
// asks for nothing from anywhere and runs no script.
func (d Document) HTML(w io.Writer) error {
	style, err := pageStyle()
	if err != nil {
		return err
	}
	v := documentView{Title: d.title, Lead: d.lead, Fine: d.fine, Style: style}
	ids := map[string]string{}
	for i, c := range d.chips() {
		x := clothView{ID: "c" + strconv.Itoa(i), Parts: partsOf(c)}
		if c.crop != nil {
			x.Data = jpegData(c.crop.JPEG)
		}
		ids[c.key()] = x.ID
		v.Cloths = append(v.Cloths, x)
	}
	for _, s := range d.sections {
		if !s.said {
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
	v := sectionView{Heading: s.heading, Paras: s.paras, Caption: s.caption, Numbered: s.numbered, Careful: s.careful, Scaled: s.scaled}
	v.Items, v.More = folded(s.items, s.fold)
	scale := s.scale()
	for _, d := range s.drawings {
		v.Drawings = append(v.Drawings, d.svg(ids))
		if s.scaled {
			v.Drawings[len(v.Drawings)-1].Share = template.CSS("calc(" + short(d.W*scale) + " * min(46rem, 92vw))") //nolint:gosec // a number of our own
		}
	}
	for _, f := range s.facts {
		v.Facts = append(v.Facts, factView{f.what, f.words})
	}
	for _, t := range s.tables {
		v.Tables = append(v.Tables, t.view(ids))
	}
	flatWhys(s.whys, 0, func(depth int, words string) { v.Whys = append(v.Whys, whyView{words, depth}) })
	return v
}

func (t table) view(ids map[string]string) tableView {
	t = t.answered()
	v := tableView{}
	for i, h := range t.heads {
		v.Heads = append(v.Heads, headView{h, t.figures(i)})
	}
	open, behind := folded(t.rows, t.fold)
	v.Rows, v.More = t.cellViews(open, ids), t.cellViews(behind, ids)
	v.Chipped = slices.ContainsFunc(t.rows, func(r []cell) bool { return chipHigh(r) > 0 })
	return v
}

func (t table) cellViews(rows [][]cell, ids map[string]string) [][]cellView {
	out := make([][]cellView, len(rows))
	for i, r := range rows {
		for k, c := range r {
			v := cellView{Words: c.words, Figure: t.figures(k)}
			if k >= max(1, t.lead) {
				v.Head = t.heads[k]
			}
			if id := ids[c.chip.key()]; c.chip.some && id != "" {
				v.Chip = &clothView{ID: id}
			} else if c.chip.some {
				v.Chip = &clothView{Parts: partsOf(c.chip)}
			} else if c.chip.any {
				v.Chip = &clothView{}
			}
			x := 0.0
			for _, b := range c.bar {
				v.Bar = append(v.Bar, partView{short(100 * x), short(100 * b.long), b.fill.Hex()})
				x += b.long
			}
			out[i] = append(out[i], v)
		}
	}
	return out
}

// writeSVG writes a drawing as a file of its own, its longer side svgSide pixels
// at first sight.
func (d drawing) writeSVG(w io.Writer) error {
	return fill(w, drawingFile, d.svg(nil))
}
