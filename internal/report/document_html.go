package report

import (
	"bytes"
	"html/template"
	"io"

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
	}
	sectionView struct {
		Heading  string
		Paras    []string
		Drawings []svgDrawing
		Scaled   bool
		Caption  string
		Tables   []tableView
		Items    []string
		Numbered bool
		Whys     []whyView
		Careful  bool
	}
	tableView struct {
		Heads []headView
		Rows  [][]cellView
	}
	headView struct {
		Words  string
		Figure bool
	}
	cellView struct {
		Words, Swatch string
		Figure        bool
	}
	whyView struct {
		Words string
		Depth int
	}
)

// HTML writes the document as one self-contained page to look at and print: it
// asks for nothing from anywhere and runs no script.
func (d Document) HTML(w io.Writer) error {
	v := documentView{Title: d.title, Lead: d.lead, Fine: d.fine}
	for _, name := range []string{"template/report.css", "template/document.css"} {
		style, err := templates.ReadFile(name)
		if err != nil {
			return err
		}
		v.Style += template.CSS(style) //nolint:gosec // our own file
	}
	for _, s := range d.sections {
		v.Sections = append(v.Sections, s.view())
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

func (s section) view() sectionView {
	v := sectionView{Heading: s.heading, Paras: s.paras, Caption: s.caption, Items: s.items, Numbered: s.numbered, Careful: s.careful, Scaled: s.scaled}
	scale := s.scale()
	for _, d := range s.drawings {
		v.Drawings = append(v.Drawings, d.svg())
		if s.scaled {
			v.Drawings[len(v.Drawings)-1].Share = template.CSS("calc(" + short(d.W*scale) + " * min(46rem, 92vw))") //nolint:gosec // a number of our own
		}
	}
	for _, t := range s.tables {
		v.Tables = append(v.Tables, t.view())
	}
	flatWhys(s.whys, 0, func(depth int, words string) { v.Whys = append(v.Whys, whyView{words, depth}) })
	return v
}

func (t table) view() tableView {
	v := tableView{}
	for i, h := range t.heads {
		v.Heads = append(v.Heads, headView{h, t.figures(i)})
	}
	for _, r := range t.rows {
		cells := make([]cellView, len(r))
		for i, c := range r {
			cells[i] = cellView{Words: c.words, Figure: t.figures(i)}
			if c.patch {
				cells[i].Swatch = c.colour.Hex()
			}
		}
		v.Rows = append(v.Rows, cells)
	}
	return v
}

// writeSVG writes a drawing as a file of its own, its longer side svgSide pixels
// at first sight.
func (d drawing) writeSVG(w io.Writer) error {
	return fill(w, drawingFile, d.svg())
}
