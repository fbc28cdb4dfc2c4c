package report

import (
	"bytes"
	"cmp"
	"encoding/gob"
	"errors"
	"image/color"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Lengths on paper are in inches, sizes of type in points.
const (
	paperMargin  = 0.6
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
	labelLeastPt = 4.5 // smaller labels are left out
	labelReadPt  = 6.5 // the smallest that is read with ease, by eye
	factIndent   = 1.0
	chipInch     = 0.26
	chipClose    = 0.2 // where rows stand close
	columnsGap   = 0.4 // between the two columns of a sheet
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

// paper is a PDF being written sheet by sheet.
type paper struct {
	pdf  lettered
	w, h float64 // of a sheet
	left float64 // left edge of the block that is being written, inches

	packing  float64 // the one of packings that drawings are put side by side for; 0: 1
	close    bool    // rows and sections stand close, which saves a sheet
	pictures int     // embedded so far
}

// lettered is a PDF in the Go fonts. It replaces letters that they lack, such as 🧵, before
// anything is measured or written: the library uses a letter's number as an index of a table
// that ends at U+FFFF, and fails above it.
type lettered struct{ *fpdf.Fpdf }

func (f lettered) Text(x, y float64, s string) { f.Fpdf.Text(x, y, inLetters(s)) }

func (f lettered) GetStringWidth(s string) float64 { return f.Fpdf.GetStringWidth(inLetters(s)) }

// SplitText breaks a text at spaces into lines no wider than wide, inches. A single word that is
// wider is broken too.
func (f lettered) SplitText(s string, wide float64) []string {
	var lines []string
	for _, part := range strings.Split(inLetters(s), "\n") {
		line := ""
		for _, word := range strings.FieldsFunc(part, breaks) {
			if next := strings.TrimPrefix(line+" "+word, " "); line == "" || f.Fpdf.GetStringWidth(next) <= wide {
				line = next
			} else {
				lines, line = append(lines, line), word
			}
			if f.Fpdf.GetStringWidth(line) > wide { // one word
				parts := f.Fpdf.SplitText(line, wide)
				lines, line = append(lines, parts[:len(parts)-1]...), parts[len(parts)-1]
			}
		}
		lines = append(lines, line)
	}
	return lines
}

func (f lettered) SetTitle(s string, utf8 bool) { f.Fpdf.SetTitle(inLetters(s), utf8) }

// inLetters returns a text with a □ for each letter that the fonts lack, and without marks
// on letters and joins between them that they lack.
func inLetters(s string) string {
	var b sfnt.Buffer
	return strings.Map(func(r rune) rune {
		has := r <= 0xffff
		for _, f := range []*opentype.Font{regularFont(), boldFont()} {
			at, err := f.GlyphIndex(&b, r)
			has = has && err == nil && at != 0
		}
		switch {
		case has || unicode.IsSpace(r):
			return r
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf, unicode.Sk):
			return -1
		}
		return '□'
	}, s)
}

// PDF writes the document on sheets of the given paper, one of Papers. The same
// document is the same bytes.
func (d Document) PDF(w io.Writer, format string) error {
	pdf, pw, ph, err := newPDF(format, "Piecebag: "+printable(d.title))
	if err != nil {
		return err
	}
	p := &paper{pdf: pdf, w: pw, h: ph}
	p.pdf.SetFooterFunc(func() {
		p.font("", smallSize, softInk)
		words := "Piecebag: " + printable(d.title) + ", page " + strconv.Itoa(p.pdf.PageNo())
		p.pdf.Text(pw-paperMargin-p.pdf.GetStringWidth(words), ph-0.33, words)
	})
	sheet := -1
	for _, b := range p.laid(d) {
		for ; sheet < b.sheet; sheet++ {
			p.pdf.AddPage()
		}
		p.left = paperMargin
		if b.right {
			p.left += p.column() + columnsGap
		}
		b.write(b.y, b.size)
	}
	return p.pdf.Output(w)
}

func (p *paper) width() float64 { return p.w - 2*paperMargin }

func (p *paper) font(style string, size float64, ink color.RGBA) {
	p.pdf.SetFont("go", style, size)
	p.pdf.SetTextColor(int(ink.R), int(ink.G), int(ink.B))
}

// lines returns a block for each line of a paragraph, indented by some inches, with a mark before
// the first. At least two lines stand together at the foot and at the top of a sheet, and a
// paragraph of up to fewLines lines is not split.
func (p *paper) lines(mark, s string, of face, indent float64) []block {
	return p.linesIn(p.width(), mark, s, of, indent)
}

// linesIn returns the same for a column of some width, inches.
func (p *paper) linesIn(room float64, mark, s string, of face, indent float64) []block {
	p.font(of.style, of.size, of.ink)
	high := of.size * leading / pointsPerIn
	words := p.pdf.SplitText(printable(s), room-indent)
	out := mapped(words, func(l string) block {
		return block{high: high, tied: true, write: func(y, _ float64) {
			p.font(of.style, of.size, of.ink)
			p.pdf.Text(p.left+indent, y+0.78*high, l)
		}}
	})
	if len(out) == 0 {
		return nil
	}
	if mark != "" {
		first := out[0].write
		out[0].write = func(y, size float64) {
			style := of.mark
			p.font(style.style, style.size, style.ink)
			p.pdf.Text(p.left, y+0.78*high, printable(mark))
			first(y, size)
		}
	}
	for i := range out {
		out[i].tied = i < len(out)-1 && (len(out) <= fewLines || i == 0 || i == len(out)-2)
	}
	out[len(out)-1].high += paragraphGap
	return out
}

// fewLines is the number of lines up to which a paragraph is not split over two sheets.
const fewLines = 6

// face is a typeface with its ink; mark is that of a mark before the words.
type face struct {
	style string
	size  float64 // points
	ink   color.RGBA
	mark  *face
}

func plain(size float64, ink color.RGBA) face { return face{size: size, ink: ink} }

// blocks returns the blocks of a document from top to bottom.
func (p *paper) blocks(d Document) []block {
	out := p.lines("", d.title, face{style: "B", size: titleSize, ink: inkInk}, 0)
	if d.lead != "" {
		out = append(out, p.lines("", d.lead, plain(bodySize+1, softInk), 0)...)
	}
	out = append(out, block{high: 0.12, write: func(y, _ float64) {
		p.pen(threadInk, 1.2)
		p.pdf.SetDashPattern([]float64{0.1, 0.055}, 0)
		p.pdf.Line(paperMargin, y+0.06, p.w-paperMargin, y+0.06)
		p.pdf.SetDashPattern(nil, 0)
	}})
	tie(out)
	gap := 0.2
	if p.close {
		gap = 0.12
	}
	for _, s := range d.sections {
		if !s.Said {
			out = append(out, spaced(gap, p.section(s))...)
		}
	}
	var fine []block
	for _, f := range d.fine {
		fine = append(fine, p.lines("", f, plain(smallSize, softInk), 0)...)
	}
	return append(out, spaced(0.15, together(fine))...)
}

// section returns the blocks of a section. A heading stays on one sheet with what follows it,
// and drawings with the caption, tables and items that explain them.
func (p *paper) section(s section) []block {
	ink := inkInk
	if s.Careful {
		ink = threadInk
	}
	var out []block
	if s.Heading != "" {
		out = tie(p.lines("", s.Heading, face{style: "B", size: headingSize, ink: ink}, 0))
	}
	var paras []block
	for _, para := range s.Paras {
		paras = append(paras, p.lines("", para, plain(bodySize, inkInk), 0)...)
	}
	if paras = p.together(paras); len(s.Drawings)+len(s.Tables) > 0 {
		paras = tie(paras)
	}
	out = append(out, paras...)
	indent := factIndent
	for _, f := range s.Facts {
		p.font("B", bodySize, softInk)
		indent = max(indent, min(p.width()/3, p.pdf.GetStringWidth(printable(f.What))+cellGap))
	}
	for _, f := range s.Facts {
		out = append(out, p.lines(f.What, f.Words, face{size: bodySize, ink: inkInk, mark: &face{style: "B", size: bodySize, ink: softInk}}, indent)...)
	}
	var drawn, told []block // drawings, and what tells of them
	if len(s.Drawings) > 0 {
		drawn = p.drawings(s)
	}
	if s.Caption != "" {
		told = p.lines("", s.Caption, plain(smallSize, softInk), 0)
	}
	half := p.halves(s.Tables)
	for _, t := range s.Tables {
		told = append(told, p.table(t, half)...)
	}
	told = append(told, p.items(s)...)
	if drawn != nil && told != nil {
		drawn[len(drawn)-1].tied = true
		if tall(slices.Concat(drawn, told), leastDrawn, leastDrawn) < 0.9*p.high() {
			told = together(told)
		}
	}
	out = slices.Concat(out, drawn, told)
	for _, w := range s.Steps() {
		style, above := plain(smallSize, softInk), 0.0
		if w.Depth == 0 {
			style, above = face{style: "B", size: smallSize, ink: inkInk}, 0.05
		}
		lines := spaced(above, p.lines("", w.Words, style, 0.2*float64(min(w.Depth, 5))))
		if w.Depth == 0 {
			tie(lines)
		}
		out = append(out, lines...)
	}
	return p.together(out)
}

// items returns the blocks of a section's items. The last two stay on one sheet.
func (p *paper) items(s section) []block {
	items := open(s.Items, max(0, s.Fold))
	if len(items) < len(s.Items) {
		items = append(slices.Clone(items), s.More)
	}
	var out []block
	for i, item := range items {
		mark := "–"
		if s.Numbered {
			mark = strconv.Itoa(i+1) + "."
		}
		lines := p.lines(mark, item, face{size: bodySize, ink: inkInk, mark: &face{size: bodySize, ink: threadInk}}, 0.3)
		if i == len(items)-2 {
			tie(lines)
		}
		out = append(out, lines...)
	}
	return out
}

// table returns the blocks of a table: its head, which is repeated at the top of each further
// sheet or column, and its rows. Columns that are too wide together are made narrower where that
// adds the fewest lines. Below a bar the short form of the words is written, and above the table
// what the short form means. half says that it stands in one of two columns of the sheet.
func (p *paper) table(t table, half bool) []block {
	t = t.answered()
	folded := len(t.onPaper()) < len(t.Rows)
	var told []string
	t.Rows = mapped(t.onPaper(), func(r []cell) []cell { // those of answered are its own
		for k, c := range r {
			if c.Bar == nil || c.Narrow == "" {
				continue
			}
			r[k].Words = strings.ReplaceAll(strings.ReplaceAll(c.Narrow, " ", noBreak), ","+noBreak, ", ")
			if note := t.Columns[k].note; note != "" && !slices.Contains(told, note) {
				told = append(told, note)
			}
		}
		return r
	})
	var out []block
	room := p.width()
	if half {
		room = p.column()
	}
	small := func(words string) []block { return p.linesIn(room, "", words, plain(smallSize, softInk), 0) }
	for _, words := range told {
		out = append(out, tie(small(words))...)
	}
	widths := p.columns(t, room)
	head := p.row(t, t.head(), widths, "B", softInk)
	out = append(out, block{high: head.high, tied: true, write: head.write})
	var first cell
	for i, r := range t.Rows {
		if r[0].Words != "" {
			first = r[0]
		}
		x := p.row(t, r, widths, "", inkInk)
		top := x
		if t.Carry && r[0].Words == "" {
			top = p.row(t, append([]cell{first}, r[1:]...), widths, "", inkInk)
		}
		out = append(out, block{high: x.high, write: x.write, tied: i == 0 && len(t.Rows) > 1 || i == len(t.Rows)-2, top: &block{high: head.high + top.high, write: func(y, size float64) {
			head.write(y, size)
			top.write(y+head.high, size)
		}}})
	}
	if folded {
		tie(out[len(out)-1:])
		out = append(out, small(t.More)...)
	}
	out[len(out)-1].high += 0.1
	for i := range out {
		out[i].half = half
		if out[i].top != nil {
			out[i].top.half = half
		}
	}
	return p.together(out)
}

// column returns the width of one of two columns, inches.
func (p *paper) column() float64 { return (p.width() - columnsGap) / 2 }

// mostWhole is the number of rows up to which the tables of a section are never set in two
// columns.
const mostWhole = 10

// halves reports whether the tables of a section are set in two columns: they have more than
// mostWhole rows, and are narrow enough that this takes less than two thirds of the height.
func (p *paper) halves(all []table) bool {
	high := func(t table, room float64) (rows int, wide, high float64) {
		t = t.answered()
		t.Rows = t.onPaper()
		widths := p.columns(t, room)
		wide = -cellGap
		for _, w := range widths {
			wide += w + cellGap
		}
		for _, r := range t.Rows {
			high += p.row(t, r, widths, "", inkInk).high
		}
		return len(t.Rows), wide, high
	}
	rows, whole, half := 0, 0.0, 0.0
	for _, t := range all {
		n, _, now := high(t, p.width())
		_, wide, narrow := high(t, p.column())
		if wide > p.column()+1e-9 {
			return false
		}
		rows, whole, half = rows+n, whole+now, half+narrow/2
	}
	return rows > mostWhole && half < whole*2/3
}

// paperRow is a row of a table on paper, its words broken into lines of the widths of the columns.
type paperRow struct {
	paper  *paper
	table  table
	cells  []cell
	widths []float64
	style  string
	ink    color.RGBA
	lines  [][]string // of each cell
	high   float64    // inches, with the rule below it
}

func (p *paper) row(t table, cells []cell, widths []float64, style string, ink color.RGBA) paperRow {
	out := paperRow{paper: p, table: t, cells: cells, widths: widths, style: style, ink: ink}
	p.font(style, bodySize, ink)
	for i, c := range cells {
		out.lines = append(out.lines, p.split(c, widths[i]))
		out.high = max(out.high, p.cellHigh(c, len(out.lines[i])))
	}
	return out
}

// split breaks the words of a cell into lines of a width, inches, in the current typeface.
func (p *paper) split(c cell, width float64) []string {
	return p.pdf.SplitText(printable(c.Words), width-p.chipWide(c)+0.02)
}

// cellHigh returns the height of a cell of so many lines with the rule below it, inches.
func (p *paper) cellHigh(c cell, lines int) float64 {
	high := bodyLine * float64(lines)
	switch {
	case c.Bar != nil:
		high += barHigh
	case c.Pictured():
		high = max(high, p.chipSide()+0.03)
	}
	return high + 0.05
}

func (r paperRow) write(y, _ float64) {
	p := r.paper
	p.font(r.style, bodySize, r.ink)
	pictured := slices.ContainsFunc(r.cells, cell.Pictured)
	x := p.left
	for i, c := range r.cells {
		if c.Pictured() {
			p.chip(c.Chip, rect(x, y+0.02, p.chipSide(), p.chipSide()))
		}
		at, top := x, y
		for _, b := range c.Bar {
			p.fill(b.Colour)
			p.pdf.Rect(at, y+0.03, b.Share*barInch, barHigh-0.04, "F")
			at += b.Share * barInch
		}
		switch {
		case c.Bar != nil:
			top += barHigh
		case pictured: // words stand in the middle of the row
			top += max(0, (p.chipSide()+0.03-float64(len(r.lines[i]))*bodyLine)/2)
		}
		for k, words := range r.lines[i] {
			at := x + p.chipWide(c)
			if r.table.Columns[i].Figure {
				at = x + r.widths[i] - p.pdf.GetStringWidth(words)
			}
			p.pdf.Text(at, top+(float64(k)+0.78)*bodyLine, words)
		}
		x += r.widths[i] + cellGap
	}
	p.pen(lineInk, 0.5)
	p.pdf.Line(p.left, y+r.high-0.03, x-cellGap, y+r.high-0.03)
}

// chipWide returns the width that a chip takes before the words of a cell, inches.
func (p *paper) chipWide(c cell) float64 {
	if c.Pictured() {
		return p.chipSide() + 0.08
	}
	return 0
}

// chipSide returns the side of a chip, inches.
func (p *paper) chipSide() float64 {
	if p.close {
		return chipClose
	}
	return chipInch
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

// columns returns the widths of a table's columns, in all no wider than the room for it unless
// a word would have to be broken.
func (p *paper) columns(t table, room float64) []float64 {
	widths, least := make([]float64, len(t.Columns)), make([]float64, len(t.Columns))
	over := -cellGap - room
	for i, c := range t.Columns {
		p.font("B", bodySize, inkInk)
		widths[i] = p.pdf.GetStringWidth(c.Head)
		for _, word := range strings.Split(c.Head, " ") {
			least[i] = max(least[i], p.pdf.GetStringWidth(word)+0.04)
		}
		p.font("", bodySize, inkInk)
		for _, r := range t.Rows {
			widths[i] = max(widths[i], p.pdf.GetStringWidth(printable(r[i].Words))+p.chipWide(r[i]))
			if r[i].Bar != nil {
				widths[i] = max(widths[i], barInch)
			}
			for _, word := range strings.Split(printable(r[i].Words), " ") {
				least[i] = max(least[i], p.pdf.GetStringWidth(word)+p.chipWide(r[i])+0.04)
			}
		}
		widths[i] += 0.02
		over += widths[i] + cellGap
	}
	p.font("", bodySize, inkInk)
	high := func(column int, width float64) []float64 { // of its cells
		return mapped(t.Rows, func(r []cell) float64 { return p.cellHigh(r[column], len(p.split(r[column], width))) })
	}
	highs := make([][]float64, len(t.Columns))
	for i, w := range widths {
		highs[i] = high(i, w)
	}
	// costs is by how much the table gets higher where a column's cells have other heights.
	costs := func(column int, now []float64) (more float64) {
		for r := range t.Rows {
			rest := 0.0
			for i := range highs {
				if i != column {
					rest = max(rest, highs[i][r])
				}
			}
			more += max(rest, now[r]) - max(rest, highs[column][r])
		}
		return more
	}
	for over > 1e-9 {
		best, off, cost := -1, 0.0, 0.0
		var now []float64
		for i, w := range widths {
			o := min(over, 0.1, w-least[i])
			if o <= 1e-9 {
				continue
			}
			h := high(i, w-o)
			if c := costs(i, h); best < 0 || c < cost-1e-9 || c < cost+1e-9 && w > widths[best] {
				best, off, cost, now = i, o, c, h
			}
		}
		if best < 0 {
			break
		}
		widths[best] -= off
		highs[best] = now
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

// placed is a drawing with its scale at full size, inches a unit.
type placed struct {
	drawing
	scale float64
}

// wide returns the width that a drawing takes of a row, inches, at least leastName where it has a
// name below it.
func (d placed) wide(named bool) float64 {
	if named {
		return max(d.W*d.scale, leastName)
	}
	return d.W * d.scale
}

// legible returns the share of its full size at which the smallest label of a drawing is
// labelReadPt points high: 0 without labels, above 1 where even at full size it is smaller.
func (d placed) legible() float64 {
	smallest := math.Inf(1)
	for _, s := range d.Shapes {
		if s.Label != "" {
			smallest = min(smallest, s.Size)
		}
	}
	return labelReadPt / (smallest * d.scale * pointsPerIn)
}

// leastName is the least width of the lines of a drawing's name, inches.
const leastName = 1.5

// rows divides the drawings of a section into rows. Of drawings of one scale as many stand side
// by side as fit. Of wide ones each takes the whole width, or half of it where their labels can
// still be read. Of others there are two in a row, or three where there are three in all or two
// would be too high, and no row is higher than the one before it. A single drawing may be larger,
// since it may show a whole quilt.
func (p *paper) rows(s section) [][]placed {
	var out [][]placed
	if s.Scaled {
		x, packed := p.width()+1, cmp.Or(p.packing, 1)
		for _, d := range s.Drawings {
			at := placed{d, s.scale() * p.width() * packed}
			if x += at.wide(true); x > p.width()+1e-9 {
				out = append(out, nil)
				x = at.wide(true)
			}
			x += drawingsGap
			at.scale /= packed
			out[len(out)-1] = append(out[len(out)-1], at)
		}
		return out
	}
	if s.Wide {
		n, wide := 1, p.width()
		if half := (wide - drawingsGap) / 2; s.Lettered && !slices.ContainsFunc(s.Drawings, func(d drawing) bool { return placed{d, half / d.W}.legible() > 1 }) {
			n, wide = 2, half
		}
		for all := range slices.Chunk(s.Drawings, n) {
			out = append(out, mapped(all, func(d drawing) placed { return placed{d, wide / d.W} }))
		}
		return out
	}
	// high is how high drawings side by side are that take the width of the sheet.
	high := func(all []drawing) float64 {
		aspect := 0.0
		for _, d := range all {
			aspect += d.W / d.H
		}
		return (p.width() - drawingsGap*float64(len(all)-1)) / aspect
	}
	n := 2
	if len(s.Drawings) == 3 || len(s.Drawings) > 3 && high(s.Drawings[:2]) > tallestInch {
		n = 3
	}
	most := tallestInch
	if len(s.Drawings) == 1 {
		most = p.h * 0.62
	}
	for all := range slices.Chunk(s.Drawings, n) {
		most = min(most, high(all))
		out = append(out, mapped(all, func(d drawing) placed { return placed{d, most / d.H} }))
	}
	return out
}

// tallest returns the height of a row of drawings without their names, inches.
func tallest(row []placed) float64 {
	high := 0.0
	for _, d := range row {
		high = max(high, d.H*d.scale)
	}
	return high
}

// drawings returns the blocks of a section's drawings, one for each row.
func (p *paper) drawings(s section) []block {
	return mapped(p.rows(s), func(row []placed) block {
		high := func(size float64) float64 {
			lines := 0
			for _, d := range row {
				lines = max(lines, len(p.nameLines(d.Name, d.W*d.scale*size)))
			}
			return tallest(row)*size + 0.12 + float64(lines)*nameLine
		}
		least := 0.0
		for _, d := range row {
			if s.Lettered {
				least = max(least, min(1, d.legible()))
			}
		}
		return block{drawn: high, byItself: !s.Scaled, least: least, write: func(y, size float64) {
			x := paperMargin
			for _, d := range row {
				d.scale *= size
				d.on(p, geom.Point{X: x, Y: y}, d.scale)
				p.name(d.Name, x, y+d.H*d.scale, d.W*d.scale)
				x += d.wide(s.Scaled) + drawingsGap
			}
		}}
	})
}

// nameLine is the height of a line of a drawing's name.
const nameLine = smallSize * leading / pointsPerIn

// nameLines is the name of a drawing that is so wide, as it is broken below it: no wider
// than the drawing where that leaves room for words.
func (p *paper) nameLines(s string, wide float64) []string {
	if s == "" {
		return nil
	}
	p.font("", smallSize, softInk)
	return p.pdf.SplitText(printable(s), max(wide, leastName))
}

// name writes the name of a drawing below it.
func (p *paper) name(s string, x, y, wide float64) {
	lines := p.nameLines(s, wide)
	x = min(x, p.w-paperMargin-max(wide, leastName))
	for i, l := range lines {
		p.pdf.Text(x, y+(float64(i)+0.95)*nameLine, l)
	}
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
