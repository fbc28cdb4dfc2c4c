package report

import (
	"bytes"
	"encoding/gob"
	"errors"
	"image/color"
	"io"
	"slices"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Lengths on paper are in inches, sizes of type in points.
const (
	paperMargin  = 0.7
	pointsPerIn  = 72.0
	bodySize     = 10
	bodyLine     = bodySize * leading / pointsPerIn
	smallSize    = 8.5
	headingSize  = 14
	titleSize    = 21
	leading      = 1.35 // of the size of the type
	paragraphGap = 0.04
	cellGap      = 0.16
	tallestInch  = 3.6 // of drawings side by side
	drawingsGap  = 0.25
	labelLeastPt = 4.5
	factIndent   = 1.0
	chipInch     = 0.3
	barInch      = 0.9
	barHigh      = 0.13 // with the gap to the words below it
)

// The colours of the page: --ink, --soft, --line, --edge, --thread, --card and --paper in
// document.css.
var (
	inkInk       = color.RGBA{0x2a, 0x25, 0x20, 0xff}
	softInk      = color.RGBA{0x5b, 0x52, 0x47, 0xff}
	lineInk      = color.RGBA{0xd9, 0xcf, 0xbe, 0xff}
	edgeInk      = color.RGBA{0x85, 0x7a, 0x6a, 0xff}
	whiteInk     = color.RGBA{0xff, 0xff, 0xff, 0xff}
	blackInk     = color.RGBA{0, 0, 0, 0xff}
	threadInk    = color.RGBA{0x7c, 0x33, 0x29, 0xff}
	cardPaper    = color.RGBA{0xff, 0xfd, 0xf8, 0xff} // round a piece that is no rectangle
	contactPaper = color.RGBA{0xf5, 0xf0, 0xe6, 0xff}
)

// paper is a PDF being written from top to bottom.
type paper struct {
	pdf  *fpdf.Fpdf
	w, h float64 // of a sheet
	y    float64 // where the next line goes

	pictures int // embedded so far
}

// PDF writes the document on sheets of the given paper, one of Papers. The same
// document is the same bytes.
func (d Document) PDF(w io.Writer, sheet string) error {
	pdf, pw, ph, err := newPDF(sheet, "Piecebag: "+printable(d.title))
	if err != nil {
		return err
	}
	p := &paper{pdf: pdf, w: pw, h: ph}
	p.pdf.SetFooterFunc(func() {
		p.font("", smallSize, softInk)
		words := "Piecebag: " + printable(d.title) + ", page " + strconv.Itoa(p.pdf.PageNo())
		p.pdf.Text(pw-paperMargin-p.pdf.GetStringWidth(words), ph-0.4, words)
	})
	p.turn()
	p.words(printable(d.title), "B", titleSize, inkInk, 0)
	if d.lead != "" {
		p.words(printable(d.lead), "", bodySize+1, softInk, 0)
	}
	p.stitches()
	for _, s := range d.sections {
		if !s.Said {
			p.section(s)
		}
	}
	p.y += 0.15
	for i, f := range d.fine {
		p.keep(i, d.fine, smallSize)
		p.words(printable(f), "", smallSize, softInk, 0)
	}
	return p.pdf.Output(w)
}

func (p *paper) width() float64 { return p.w - 2*paperMargin }

// turn begins a new sheet.
func (p *paper) turn() {
	p.pdf.AddPage()
	p.y = paperMargin
}

// need turns the sheet where less than h is left of it.
func (p *paper) need(h float64) {
	if p.y+h > p.h-paperMargin {
		p.turn()
	}
}

// keep turns the sheet before the last paragraph but one where the last would go
// over alone. Each is taken to be as many lines as its words need.
func (p *paper) keep(i int, all []string, size float64) {
	if i != len(all)-2 {
		return
	}
	p.need(min(p.tall(all[i:], size, 0.3), p.h/3))
}

// tall is how much of a sheet paragraphs set in by indent take.
func (p *paper) tall(all []string, size, indent float64) float64 {
	p.font("", size, inkInk)
	high := 0.0
	for _, s := range all {
		high += float64(len(p.pdf.SplitText(printable(s), p.width()-indent)))*size*leading/pointsPerIn + paragraphGap
	}
	return high
}

func (p *paper) font(style string, size float64, ink color.RGBA) {
	p.pdf.SetFont("go", style, size)
	p.pdf.SetTextColor(int(ink.R), int(ink.G), int(ink.B))
}

// words writes a paragraph set in by indent.
func (p *paper) words(s, style string, size float64, ink color.RGBA, indent float64) {
	p.font(style, size, ink)
	high := size * leading / pointsPerIn
	lines := p.pdf.SplitText(s, p.width()-indent)
	for i, l := range lines {
		if i == 0 || i == len(lines)-2 {
			p.need(float64(min(2, len(lines)-i)) * high) // no line alone at the foot of a sheet, or at the head of one
		}
		p.need(high)
		p.font(style, size, ink) // a new sheet's foot has set another
		p.pdf.Text(paperMargin+indent, p.y+0.78*high, l)
		p.y += high
	}
	p.y += paragraphGap
}

// marked writes a paragraph set in by indent, with a mark before it.
func (p *paper) marked(mark, s, style string, ink color.RGBA, indent float64) {
	p.need(2 * bodyLine)
	p.font(style, bodySize, ink)
	p.pdf.Text(paperMargin, p.y+0.78*bodyLine, printable(mark))
	p.words(printable(s), "", bodySize, inkInk, indent)
}

func (p *paper) stitches() {
	p.pen(threadInk, 1.2)
	p.pdf.SetDashPattern([]float64{0.1, 0.055}, 0)
	p.pdf.Line(paperMargin, p.y+0.06, p.w-paperMargin, p.y+0.06)
	p.pdf.SetDashPattern(nil, 0)
	p.y += 0.12
}

func (p *paper) section(s section) {
	p.y += 0.2
	high := 0.75                           // a heading does not stand at the foot of a sheet
	if len(s.Drawings)+len(s.Tables) > 0 { // it goes over with what it speaks of
		high += p.tall(s.Paras, bodySize, 0)
	}
	var rows [][]placed
	switch {
	case len(s.Drawings) > 0:
		steps := float64(min(len(s.Items), 10)) * 1.2 * bodyLine // to be read beside it
		rows = p.rows(s, p.h-paperMargin-p.y-high-steps)
		high += tallest(rows[0])
	case len(s.Tables) > 0:
		high += 0.45 // its head and two rows
	}
	p.need(min(high, p.h-2*paperMargin))
	ink := inkInk
	if s.Careful {
		ink = threadInk
	}
	if s.Heading != "" {
		p.words(s.Heading, "B", headingSize, ink, 0)
	}
	for _, para := range s.Paras {
		p.words(printable(para), "", bodySize, inkInk, 0)
	}
	indent := factIndent
	for _, f := range s.Facts {
		p.font("B", bodySize, softInk)
		indent = max(indent, min(p.width()/3, p.pdf.GetStringWidth(printable(f.What))+cellGap))
	}
	for _, f := range s.Facts {
		p.marked(f.What, f.Words, "B", softInk, indent)
	}
	if len(s.Drawings) > 0 {
		p.drawings(rows, s.Scaled)
		if s.Caption != "" {
			p.words(printable(s.Caption), "", smallSize, softInk, 0)
		}
	}
	for _, t := range s.Tables {
		p.table(t)
	}
	items := open(s.Items, max(0, s.Fold))
	if len(items) < len(s.Items) {
		items = append(slices.Clone(items), s.More)
	}
	for i, item := range items {
		p.keep(i, items, bodySize)
		mark := "–"
		if s.Numbered {
			mark = strconv.Itoa(i+1) + "."
		}
		p.marked(mark, item, "", threadInk, 0.3)
	}
	for _, w := range s.Steps() {
		style, ink := "", softInk
		if w.Depth == 0 {
			style, ink = "B", inkInk
			p.y += 0.05
		}
		p.words(printable(w.Words), style, smallSize, ink, 0.2*float64(min(w.Depth, 5)))
	}
}

// table writes a table; columns too wide together are narrowed, the widest
// first, and their cells broken over several lines. Below a bar the short form of its
// words is enough, and what that means is told below the table.
func (p *paper) table(t table) {
	t = t.answered()
	folded := len(behind(t.Rows, max(0, t.Fold))) > 0
	var told []string
	t.Rows = mapped(open(t.Rows, max(0, t.Fold)), func(r []cell) []cell {
		r = slices.Clone(r)
		for k, c := range r {
			if c.Bar == nil || c.Narrow == "" {
				continue
			}
			r[k].Words = strings.ReplaceAll(strings.ReplaceAll(c.Narrow, " ", "\u00a0"), ",\u00a0", ", ")
			if note := t.Columns[k].note; !slices.Contains(told, note) {
				told = append(told, note)
			}
		}
		return r
	})
	widths := p.columns(t)
	head := p.row(t, t.head(), widths, "B", softInk)
	p.need(3 * bodyLine)
	head.write(p)
	var first cell
	for i, r := range t.Rows {
		if r[0].Words != "" {
			first = r[0]
		}
		x := p.row(t, r, widths, "", inkInk)
		room := x.high
		if i == len(t.Rows)-2 { // the last row does not go over alone
			room += p.row(t, t.Rows[i+1], widths, "", inkInk).high
		}
		if p.y+room > p.h-paperMargin {
			p.turn()
			head.write(p)
			if t.Carry && r[0].Words == "" {
				x = p.row(t, append([]cell{first}, r[1:]...), widths, "", inkInk)
			}
		}
		x.write(p)
	}
	if folded {
		told = append([]string{t.More}, told...)
	}
	for _, words := range told {
		p.words(printable(words), "", smallSize, softInk, 0)
	}
	p.y += 0.1
}

// paperRow is a row of a table, its words broken to the widths of the columns.
type paperRow struct {
	table  table
	cells  []cell
	widths []float64
	style  string
	ink    color.RGBA
	lines  [][]string // of each cell
	high   float64    // inches, with the rule below it
}

func (p *paper) row(t table, cells []cell, widths []float64, style string, ink color.RGBA) paperRow {
	out := paperRow{table: t, cells: cells, widths: widths, style: style, ink: ink}
	p.font(style, bodySize, ink)
	for i, c := range cells {
		out.lines = append(out.lines, p.pdf.SplitText(printable(c.Words), widths[i]-chipWide(c)+0.02))
		high := bodyLine * float64(len(out.lines[i]))
		switch {
		case c.Bar != nil:
			high += barHigh
		case c.Pictured():
			high = max(high, chipInch+0.04)
		}
		out.high = max(out.high, high+0.05)
	}
	return out
}

func (r paperRow) write(p *paper) {
	p.font(r.style, bodySize, r.ink)
	pictured := slices.ContainsFunc(r.cells, cell.Pictured)
	x := paperMargin
	for i, c := range r.cells {
		if c.Pictured() {
			p.chip(c.Chip, rect(x, p.y+0.02, chipInch, chipInch))
		}
		at, top := x, p.y
		for _, b := range c.Bar {
			p.fill(b.Colour)
			p.pdf.Rect(at, p.y+0.03, b.Share*barInch, barHigh-0.04, "F")
			at += b.Share * barInch
		}
		switch {
		case c.Bar != nil:
			top += barHigh
		case pictured: // words stand in the middle of the row
			top += max(0, (chipInch+0.04-float64(len(r.lines[i]))*bodyLine)/2)
		}
		for k, words := range r.lines[i] {
			at := x + chipWide(c)
			if r.table.Columns[i].Figure {
				at = x + r.widths[i] - p.pdf.GetStringWidth(words)
			}
			p.pdf.Text(at, top+(float64(k)+0.78)*bodyLine, words)
		}
		x += r.widths[i] + cellGap
	}
	p.y += r.high
	p.pen(lineInk, 0.5)
	p.pdf.Line(paperMargin, p.y-0.03, x-cellGap, p.y-0.03)
}

// chipWide is the width that a chip takes before the words of a cell.
func chipWide(c cell) float64 {
	if c.Pictured() {
		return chipInch + 0.08
	}
	return 0
}

// chip draws cloth of any kind within an outline.
func (p *paper) chip(c chip, g geom.Polygon) {
	if !c.Any {
		p.show(g, c)
	}
	p.paint(g, nil, &pen{edgeInk, 0.4 / pointsPerIn, c.Any})
}

func (p *paper) show(g geom.Polygon, c chip) {
	lo, hi := g.Bounds()
	p.pdf.ClipPolygon(pointsOf(g), false)
	if c.Crop != nil {
		o := fpdf.ImageOptions{ImageType: "JPEG"}
		p.embed(c.key(), o, c.Crop.JPEG)
		// The crop covers the box as cloth would: its shorter side fills it.
		k := max((hi.X-lo.X)/float64(c.Crop.W), (hi.Y-lo.Y)/float64(c.Crop.H))
		w, h := k*float64(c.Crop.W), k*float64(c.Crop.H)
		p.pdf.ImageOptions(c.key(), (lo.X+hi.X-w)/2, (lo.Y+hi.Y-h)/2, w, h, false, o, 0, "")
	} else {
		for _, b := range c.bands(lo, hi) {
			p.paint(b.Points, &b.Fill, nil)
		}
	}
	p.pdf.ClipEnd()
}

// embed has a picture ready under a name. The library writes pictures by their widths,
// and those of one width in an order that changes from run to run; so each is made a
// little wider than the one before, by less than the whole pixels that are written.
func (p *paper) embed(name string, o fpdf.ImageOptions, picture []byte) {
	if p.pdf.GetImageInfo(name) != nil {
		return
	}
	info := p.pdf.RegisterImageOptionsReader(name, o, bytes.NewReader(picture))
	was, err := info.GobEncode() // its fields one after another, the only way to them
	if err != nil {
		p.pdf.SetError(err)
		return
	}
	var (
		data, mask, palette    []byte
		number, bits           int
		wide, high, scale, dpi float64
		space, filter, decode  string
		transparent            []int
	)
	p.pictures++
	var now bytes.Buffer
	in, out := gob.NewDecoder(bytes.NewReader(was)), gob.NewEncoder(&now)
	for _, field := range []any{&data, &mask, &number, &wide, &high, &space, &palette, &bits, &filter, &decode, &transparent, &scale, &dpi} {
		err = errors.Join(err, in.Decode(field))
		if field == any(&wide) {
			wide += 1e-6 * float64(p.pictures)
		}
		err = errors.Join(err, out.Encode(field))
	}
	p.pdf.SetError(errors.Join(err, info.GobDecode(now.Bytes())))
}

// columns are the widths of a table's columns, in all no wider than the sheet unless a
// word would have to be broken.
func (p *paper) columns(t table) []float64 {
	widths, least := make([]float64, len(t.Columns)), make([]float64, len(t.Columns))
	over := -cellGap - p.width()
	for i, c := range t.Columns {
		p.font("B", bodySize, inkInk)
		widths[i] = p.pdf.GetStringWidth(c.Head)
		p.font("", bodySize, inkInk)
		for _, r := range t.Rows {
			widths[i] = max(widths[i], p.pdf.GetStringWidth(printable(r[i].Words))+chipWide(r[i]))
			if r[i].Bar != nil {
				widths[i] = max(widths[i], barInch)
			}
			for _, word := range strings.Split(printable(r[i].Words), " ") {
				least[i] = max(least[i], p.pdf.GetStringWidth(word)+chipWide(r[i])+0.04)
			}
		}
		widths[i] += 0.02
		over += widths[i] + cellGap
	}
	for over > 1e-9 {
		widest := -1
		for i, w := range widths {
			if w > least[i]+1e-9 && (widest < 0 || w > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		off := min(over, 0.05, widths[widest]-least[widest])
		widths[widest] -= off
		over -= off
	}
	return widths
}

func (p *paper) fill(c colour.Linear) {
	b := colourOf(c)
	p.pdf.SetFillColor(int(b.R), int(b.G), int(b.B))
}

func (p *paper) pen(ink color.RGBA, points float64) {
	p.pdf.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	p.pdf.SetLineWidth(points / pointsPerIn)
}

// placed is a drawing in a scale, inches a unit.
type placed struct {
	drawing
	scale float64
}

// wide is what a drawing takes of a row: its name wants some room.
func (d placed) wide(named bool) float64 {
	if named {
		return max(d.W*d.scale, leastName)
	}
	return d.W * d.scale
}

// leastName is the least width of a drawing's name, for words to stand in.
const leastName = 1.5

// rows puts the drawings of a section side by side: all of one scale as many as fit;
// else two, or three where they are three, of one height. One alone may have much to
// show; it is as high as the room on this sheet, where that is no small part of one.
func (p *paper) rows(s section, room float64) [][]placed {
	var out [][]placed
	if s.Scaled {
		x := p.width() + 1
		for _, d := range s.Drawings {
			at := placed{d, s.scale() * p.width()}
			if x += at.wide(true); x > p.width()+1e-9 {
				out = append(out, nil)
				x = at.wide(true)
			}
			x += drawingsGap
			out[len(out)-1] = append(out[len(out)-1], at)
		}
		return out
	}
	if s.Wide {
		return mapped(s.Drawings, func(d drawing) []placed { return []placed{{d, p.width() / d.W}} })
	}
	n := 2
	if len(s.Drawings) == 3 {
		n = 3
	}
	for all := range slices.Chunk(s.Drawings, n) {
		aspect := 0.0
		for _, d := range all {
			aspect += d.W / d.H
		}
		most := tallestInch
		if len(all) == 1 {
			most = p.h * 0.62
			if room > p.h*0.28 {
				most = min(most, room)
			}
		}
		high := min(most, (p.width()-drawingsGap*float64(len(all)-1))/aspect)
		out = append(out, mapped(all, func(d drawing) placed { return placed{d, high / d.H} }))
	}
	return out
}

// tallest is how much of a sheet a row of drawings takes, without their names.
func tallest(row []placed) float64 {
	high := 0.0
	for _, d := range row {
		high = max(high, d.H*d.scale)
	}
	return high
}

func (p *paper) drawings(rows [][]placed, scaled bool) {
	for _, r := range rows {
		p.need(tallest(r) + 0.12 + 2*nameLine)
		x, lines := paperMargin, 0
		for _, d := range r {
			d.on(p, geom.Point{X: x, Y: p.y}, d.scale)
			lines = max(lines, p.name(d.Name, x, p.y+d.H*d.scale, d.W*d.scale))
			x += d.wide(scaled) + drawingsGap
		}
		p.y += tallest(r) + 0.12 + float64(lines)*nameLine
	}
}

// nameLine is the height of a line of a drawing's name.
const nameLine = smallSize * leading / pointsPerIn

// name writes the name of a drawing below it, no wider than the drawing where that
// leaves room for words; it says how many lines that took.
func (p *paper) name(s string, x, y, wide float64) int {
	if s == "" {
		return 0
	}
	p.font("", smallSize, softInk)
	wide = max(wide, leastName)
	x = min(x, p.w-paperMargin-wide)
	lines := p.pdf.SplitText(printable(s), wide)
	for i, l := range lines {
		p.pdf.Text(x, y+(float64(i)+0.95)*nameLine, l)
	}
	return len(lines)
}

// paint, show and label make a sheet a canvas in inches.
func (p *paper) paint(g geom.Polygon, fill *colour.Linear, edge *pen) {
	how := ""
	if fill != nil {
		p.fill(*fill)
		how = "F"
	}
	if edge != nil {
		p.pen(edge.ink, max(0.3, edge.wide*pointsPerIn))
		if edge.dashed {
			p.pdf.SetDashPattern([]float64{0.04, 0.03}, 0)
		}
		how += "D"
	}
	if points := pointsOf(g); len(points) == 2 {
		p.pdf.Line(points[0].X, points[0].Y, points[1].X, points[1].Y)
	} else if how != "" {
		p.pdf.Polygon(points, how)
	}
	p.pdf.SetDashPattern(nil, 0)
}

func pointsOf(g geom.Polygon) []fpdf.PointType {
	return mapped(g, func(q geom.Point) fpdf.PointType { return fpdf.PointType{X: q.X, Y: q.Y} })
}

func (p *paper) label(s shape) {
	size, style := s.Size*pointsPerIn, ""
	if size < labelLeastPt {
		return
	}
	if s.Bold {
		style = "B"
	}
	p.font(style, size, s.ink())
	at := s.middle()
	x, y := at.X, at.Y+baseline*s.Size
	if !s.Left {
		x -= p.pdf.GetStringWidth(s.Label) / 2
	}
	p.pdf.TransformBegin()
	if s.Upward {
		p.pdf.TransformRotate(90, at.X, at.Y)
	}
	if s.haloed() { // a dark edge below the letters
		p.pen(blackInk, 0.16*size)
		p.pdf.SetTextRenderingMode(1)
		p.pdf.Text(x, y, s.Label)
		p.pdf.SetTextRenderingMode(0)
	}
	p.pdf.Text(x, y, s.Label)
	p.pdf.TransformEnd()
}
