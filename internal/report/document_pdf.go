package report

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Lengths on paper are in inches, sizes of type in points.
const (
	paperMargin  = 0.7
	pointsPerIn  = 72.0
	bodySize     = 10
	smallSize    = 8.5
	headingSize  = 14
	titleSize    = 21
	leading      = 1.35 // of the size of the type
	cellGap      = 0.16
	tallestInch  = 3.6 // of drawings side by side
	drawingsGap  = 0.25
	labelLeastPt = 4.5
	factIndent   = 1.0
	chipInch     = 0.3
	barInch      = 0.9
	barHigh      = 0.13 // with the gap to the words below it
)

// The colours of the page: --ink, --soft, --line and --thread in document.css.
var (
	inkInk    = [3]int{0x2a, 0x25, 0x20}
	softInk   = [3]int{0x5b, 0x52, 0x47}
	lineInk   = [3]int{0xd9, 0xcf, 0xbe}
	edgeInk   = [3]int{0x85, 0x7a, 0x6a}
	threadInk = [3]int{0x7c, 0x33, 0x29}
)

// paper is a PDF being written from top to bottom.
type paper struct {
	pdf  *fpdf.Fpdf
	w, h float64 // of a sheet
	y    float64 // where the next line goes
}

// PDF writes the document on sheets of the given paper, one of Papers. The same
// document is the same bytes.
func (d Document) PDF(w io.Writer, sheet string) error {
	pw, ph, ok := paperSize(sheet)
	if !ok {
		return fmt.Errorf("no paper %q", sheet)
	}
	p := &paper{pdf: fpdf.NewCustom(&fpdf.InitType{UnitStr: "in", Size: fpdf.SizeType{Wd: pw, Ht: ph}}), w: pw, h: ph}
	p.pdf.SetCreationDate(printed)
	p.pdf.SetModificationDate(printed)
	p.pdf.SetCatalogSort(true)
	p.pdf.SetProducer(maker, false)
	p.pdf.SetTitle("Piecebag: "+printable(d.title), true)
	p.pdf.SetLang("en-GB")
	p.pdf.SetMargins(0, 0, 0)
	p.pdf.SetCellMargin(0)
	p.pdf.SetAutoPageBreak(false, 0)
	p.pdf.SetLineJoinStyle("round")
	p.pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	p.pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
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
		if !s.said {
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
	p.font("", size, inkInk)
	lines := 0
	for _, s := range all[i:] {
		lines += len(p.pdf.SplitText(printable(s), p.width()-0.3))
	}
	p.need(min(float64(lines)*size*leading/pointsPerIn+0.08, p.h/3))
}

func (p *paper) font(style string, size float64, ink [3]int) {
	p.pdf.SetFont("go", style, size)
	p.pdf.SetTextColor(ink[0], ink[1], ink[2])
}

// words writes a paragraph set in by indent.
func (p *paper) words(s, style string, size float64, ink [3]int, indent float64) {
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
	p.y += 0.04
}

func (p *paper) stitches() {
	p.pdf.SetDrawColor(threadInk[0], threadInk[1], threadInk[2])
	p.pdf.SetLineWidth(1.2 / pointsPerIn)
	p.pdf.SetDashPattern([]float64{0.1, 0.055}, 0)
	p.pdf.Line(paperMargin, p.y+0.06, p.w-paperMargin, p.y+0.06)
	p.pdf.SetDashPattern(nil, 0)
	p.y += 0.12
}

func (p *paper) section(s section) {
	p.y += 0.2
	high := 0.6 // a heading does not stand at the foot of a sheet
	switch {
	case s.scaled && len(s.drawings) > 0:
		high += s.drawings[0].H * s.scale() * p.width()
	case len(s.drawings) > 0:
		high += p.tall(s.drawings)
	case len(s.tables) > 0:
		high += 0.6 // its head and two rows
	}
	if len(s.drawings)+len(s.tables) > 0 { // it goes over with what it speaks of
		p.font("", bodySize, inkInk)
		for _, para := range s.paras {
			high += float64(len(p.pdf.SplitText(printable(para), p.width()))) * bodySize * leading / pointsPerIn
		}
	}
	p.need(min(high, p.h-2*paperMargin))
	ink := inkInk
	if s.careful {
		ink = threadInk
	}
	if s.heading != "" {
		p.words(s.heading, "B", headingSize, ink, 0)
	}
	for _, para := range s.paras {
		p.words(printable(para), "", bodySize, inkInk, 0)
	}
	indent := factIndent
	for _, f := range s.facts {
		p.font("B", bodySize, softInk)
		indent = max(indent, min(p.width()/3, p.pdf.GetStringWidth(printable(f.what))+cellGap))
	}
	for _, f := range s.facts {
		p.need(2 * bodySize * leading / pointsPerIn)
		p.font("B", bodySize, softInk)
		p.pdf.Text(paperMargin, p.y+0.78*bodySize*leading/pointsPerIn, printable(f.what))
		p.words(printable(f.words), "", bodySize, inkInk, indent)
	}
	if len(s.drawings) > 0 {
		if s.scaled {
			p.scaledDrawings(s)
		} else {
			p.drawings(s.drawings)
		}
		if s.caption != "" {
			p.words(printable(s.caption), "", smallSize, softInk, 0)
		}
	}
	for _, t := range s.tables {
		p.table(t)
	}
	items, behind := folded(s.items, max(0, s.fold))
	if behind != nil {
		items = append(slices.Clone(items), s.more)
	}
	for i, item := range items {
		p.keep(i, items, bodySize)
		p.need(2 * bodySize * leading / pointsPerIn)
		mark := "–"
		if s.numbered {
			mark = strconv.Itoa(i+1) + "."
		}
		p.font("", bodySize, threadInk)
		p.pdf.Text(paperMargin, p.y+0.78*bodySize*leading/pointsPerIn, mark)
		p.words(printable(item), "", bodySize, inkInk, 0.3)
	}
	flatWhys(s.whys, 0, func(depth int, words string) {
		style, ink := "", softInk
		if depth == 0 {
			style, ink = "B", inkInk
			p.y += 0.05
		}
		p.words(printable(words), style, smallSize, ink, 0.2*float64(min(depth, 5)))
	})
}

// table writes a table; columns too wide together are narrowed, the widest
// first, and their cells broken over several lines.
func (p *paper) table(t table) {
	t = t.answered()
	open, behind := folded(t.rows, max(0, t.fold))
	t.rows = slices.Clone(open)
	told := map[string]bool{}
	for i, r := range t.rows { // below a bar the short form is enough
		t.rows[i] = slices.Clone(r)
		for k, c := range r {
			if c.bar != nil && c.narrow != "" {
				if k < len(t.notes) {
					told[t.notes[k]] = true
				}
				t.rows[i][k].words = strings.ReplaceAll(strings.ReplaceAll(c.narrow, " ", "\u00a0"), ",\u00a0", ", ")
			}
		}
	}
	widths := p.columns(t)
	line := bodySize * leading / pointsPerIn
	high := func(r []cell) float64 {
		lines := 1
		for i, c := range r {
			lines = max(lines, len(p.pdf.SplitText(printable(c.words), widths[i]-chipWide(c)+0.02)))
		}
		return max(barsHigh(r)+float64(lines)*line, chipHigh(r)) + 0.05
	}
	cells := func(r []cell, style string, ink [3]int) {
		broken := make([][]string, len(r))
		lines := 1
		p.font(style, bodySize, ink)
		for i, c := range r {
			broken[i] = p.pdf.SplitText(printable(c.words), widths[i]-chipWide(c)+0.02)
			lines = max(lines, len(broken[i]))
		}
		x := paperMargin
		for i, c := range r {
			if c.chip.some || c.chip.any {
				p.chip(c.chip, rect(x, p.y+0.02, chipInch, chipInch))
			}
			at := x
			for _, b := range c.bar {
				p.fill(b.fill)
				p.pdf.Rect(at, p.y+0.03, b.long*barInch, barHigh-0.04, "F")
				at += b.long * barInch
			}
			drop := max(0, (chipHigh(r)-float64(len(broken[i]))*line)/2)
			if c.bar != nil {
				drop = barHigh
			}
			for k, words := range broken[i] {
				at := x + chipWide(c)
				if t.figures(i) {
					at = x + widths[i] - p.pdf.GetStringWidth(words)
				}
				p.pdf.Text(at, p.y+(float64(k)+0.78)*line+drop, words)
			}
			x += widths[i] + cellGap
		}
		p.y += max(barsHigh(r)+float64(lines)*line, chipHigh(r)) + 0.02
		p.pen(lineInk, 0.5)
		p.pdf.Line(paperMargin, p.y, x-cellGap, p.y)
		p.y += 0.03
	}
	head := func() { cells(row(t.heads...), "B", softInk) }
	p.need(3 * line)
	head()
	var first cell
	for i, r := range t.rows {
		if r[0].words != "" {
			first = r[0]
		}
		p.font("", bodySize, inkInk)
		room := high(r)
		if i == len(t.rows)-2 { // the last row does not go over alone
			room += high(t.rows[i+1])
		}
		if p.y+room > p.h-paperMargin {
			p.turn()
			head()
			if t.carry && r[0].words == "" {
				r = append([]cell{first}, r[1:]...)
			}
		}
		cells(r, "", inkInk)
	}
	if behind != nil {
		p.words(printable(t.more), "", smallSize, softInk, 0)
	}
	for _, note := range slices.Sorted(maps.Keys(told)) {
		p.words(note, "", smallSize, softInk, 0)
	}
	p.y += 0.1
}

// chipWide is the width that a chip takes before the words of a cell.
func chipWide(c cell) float64 {
	if c.chip.some || c.chip.any {
		return chipInch + 0.08
	}
	return 0
}

// barsHigh is the height that a bar of a row takes above its words; 0 without one.
func barsHigh(r []cell) float64 {
	if slices.ContainsFunc(r, func(c cell) bool { return c.bar != nil }) {
		return barHigh
	}
	return 0
}

// chipHigh is the height that the chips of a row take; 0 without one.
func chipHigh(r []cell) float64 {
	if slices.ContainsFunc(r, func(c cell) bool { return c.chip.some || c.chip.any }) {
		return chipInch + 0.04
	}
	return 0
}

// chip draws cloth within an outline, in inches on the sheet.
func (p *paper) chip(c chip, g geom.Polygon) {
	points := pointsOf(g)
	lo, hi := g.Bounds()
	p.pdf.ClipPolygon(points, false)
	switch {
	case c.any:
	case c.crop != nil:
		o := fpdf.ImageOptions{ImageType: "JPEG"}
		p.pdf.RegisterImageOptionsReader(c.key(), o, bytes.NewReader(c.crop.JPEG))
		// The crop covers the box as cloth would: its shorter side fills it.
		k := max((hi.X-lo.X)/float64(c.crop.W), (hi.Y-lo.Y)/float64(c.crop.H))
		w, h := k*float64(c.crop.W), k*float64(c.crop.H)
		p.pdf.ImageOptions(c.key(), (lo.X+hi.X-w)/2, (lo.Y+hi.Y-h)/2, w, h, false, o, 0, "")
	default:
		y := lo.Y
		for _, s := range c.parts() {
			p.fill(s.Colour)
			p.pdf.Rect(lo.X, y, hi.X-lo.X, s.Share*(hi.Y-lo.Y), "F")
			y += s.Share * (hi.Y - lo.Y)
		}
	}
	p.pdf.ClipEnd()
	p.pen(edgeInk, 0.4)
	if c.any {
		p.pdf.SetDashPattern([]float64{0.03, 0.02}, 0)
	}
	p.pdf.Polygon(points, "D")
	p.pdf.SetDashPattern(nil, 0)
}

// columns are the widths of a table's columns, in all no wider than the sheet.
func (p *paper) columns(t table) []float64 {
	widths, least := make([]float64, len(t.heads)), make([]float64, len(t.heads))
	total := -cellGap
	for i, h := range t.heads {
		p.font("B", bodySize, inkInk)
		widths[i] = p.pdf.GetStringWidth(h)
		p.font("", bodySize, inkInk)
		for _, r := range t.rows {
			widths[i] = max(widths[i], p.pdf.GetStringWidth(printable(r[i].words))+chipWide(r[i]), barsHigh(r[i:i+1])/barHigh*barInch)
			for _, word := range strings.Split(printable(r[i].words), " ") {
				least[i] = max(least[i], p.pdf.GetStringWidth(word)+chipWide(r[i])+0.04)
			}
		}
		widths[i] += 0.02
		total += widths[i] + cellGap
	}
	for over := total - p.width(); over > 1e-9; {
		widest, next := -1, 0.0
		for i, w := range widths {
			if w > least[i] && (widest < 0 || w > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 { // no word is broken
			break
		}
		for i, w := range widths {
			if i != widest {
				next = max(next, w)
			}
		}
		off := min(over, max(widths[widest]-next, 0.05), max(widths[widest]-least[widest], 0.01))
		widths[widest] -= off
		over -= off
	}
	return widths
}

func (p *paper) fill(c colour.Linear) {
	b := c.Bytes()
	p.pdf.SetFillColor(int(b[0]), int(b[1]), int(b[2]))
}

func (p *paper) pen(ink [3]int, points float64) {
	p.pdf.SetDrawColor(ink[0], ink[1], ink[2])
	p.pdf.SetLineWidth(points / pointsPerIn)
}

// rowsOf puts drawings in rows of at most two where they are many and three where
// they are three.
func rowsOf(all []drawing) [][]drawing {
	n := 2
	if len(all) == 3 {
		n = 3
	}
	var out [][]drawing
	for len(all) > n {
		out, all = append(out, all[:n]), all[n:]
	}
	return append(out, all)
}

// rowHigh is how high the drawings of a row are, all alike, so that they fit
// side by side.
func (p *paper) rowHigh(all []drawing) float64 {
	aspect := 0.0
	for _, d := range all {
		aspect += d.W / d.H
	}
	tallest := tallestInch
	if len(all) == 1 { // it may have much to show
		tallest = p.h * 0.62
	}
	return math.Min(tallest, (p.width()-drawingsGap*float64(len(all)-1))/aspect)
}

// tall is how much of a sheet the first row of drawings takes.
func (p *paper) tall(all []drawing) float64 { return p.rowHigh(rowsOf(all)[0]) }

func (p *paper) drawings(all []drawing) {
	for _, r := range rowsOf(all) {
		high := p.rowHigh(r)
		p.need(high + 0.3)
		x, lines := paperMargin, 0
		for _, d := range r {
			wide := d.W * high / d.H
			p.drawing(d, x, p.y, high/d.H)
			lines = max(lines, p.name(d.Name, x, p.y+high, wide))
			x += wide + drawingsGap
		}
		p.y += high + 0.12 + float64(lines)*nameLine
	}
}

// leastName is the least width of a drawing's name, for words to stand in.
const leastName = 1.5

// scaledDrawings draws all in one scale, as many side by side as fit.
func (p *paper) scaledDrawings(s section) {
	scale := s.scale() * p.width()
	x, high, lines := paperMargin, 0.0, 0
	next := func() {
		p.y += high + 0.12 + float64(lines)*nameLine
		x, high, lines = paperMargin, 0, 0
	}
	for _, d := range s.drawings {
		wide := max(d.W*scale, leastName)
		if x > paperMargin && x+wide > p.w-paperMargin+1e-9 {
			next()
		}
		if x == paperMargin {
			p.need(d.H*scale + 0.12 + 3*nameLine)
		}
		p.drawing(d, x, p.y, scale)
		lines = max(lines, p.name(d.Name, x, p.y+d.H*scale, wide))
		high = max(high, d.H*scale)
		x += wide + drawingsGap
	}
	next()
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

// drawing draws d with its corner at (x, y), scale inches a unit.
func (p *paper) drawing(d drawing, x, y, scale float64) {
	line := math.Max(0.3, d.line()*scale*pointsPerIn)
	outline := func(s shape, ink [3]int, wide float64, how string) {
		p.pen(ink, wide)
		if s.Dashed {
			p.pdf.SetDashPattern([]float64{0.04, 0.03}, 0)
		}
		points := pointsOf(s.Points)
		if len(points) == 2 {
			p.pdf.Line(points[0].X, points[0].Y, points[1].X, points[1].Y)
		} else {
			p.pdf.Polygon(points, how)
		}
		p.pdf.SetDashPattern(nil, 0)
	}
	var marked []shape
	var labelled []shape
	for _, s := range d.Shapes {
		s.Points = s.Points.Map(func(q geom.Point) geom.Point { return geom.Point{X: x + q.X*scale, Y: y + q.Y*scale} })
		s.Size *= scale * pointsPerIn
		if s.Label != "" && s.Size >= labelLeastPt {
			labelled = append(labelled, s)
		}
		switch {
		case s.Marked:
			dark := s
			dark.Dashed = false
			outline(dark, [3]int{}, underShare*line, "D")
			marked = append(marked, s)
		case s.Hollow && s.Seamless: // a place for a label
		case s.Cloth.patterned():
			p.chip(s.Cloth, s.Points)
		case s.Hollow:
			outline(s, edgeInk, line, "D")
		default:
			p.fill(s.Fill)
			outline(s, edgeInk, line, map[bool]string{true: "F", false: "FD"}[s.Seamless])
		}
	}
	for _, s := range marked {
		outline(s, [3]int{255, 255, 255}, line, "D")
	}
	for _, s := range labelled {
		p.label(s)
	}
}

func pointsOf(g geom.Polygon) []fpdf.PointType {
	out := make([]fpdf.PointType, len(g))
	for i, q := range g {
		out[i] = fpdf.PointType{X: q.X, Y: q.Y}
	}
	return out
}

// label writes the label of a shape that lies in inches on the sheet, its size in points.
func (p *paper) label(s shape) {
	ink := [3]int{}
	switch {
	case s.haloed():
		ink = [3]int{255, 255, 255}
	case !s.Hollow:
		b := inkOn(s.Fill).Bytes()
		ink = [3]int{int(b[0]), int(b[1]), int(b[2])}
	}
	p.font("", s.Size, ink)
	at := s.middle()
	x, y := at.X-p.pdf.GetStringWidth(s.Label)/2, at.Y+0.35*s.Size/pointsPerIn
	p.pdf.TransformBegin()
	if s.Upward {
		p.pdf.TransformRotate(90, at.X, at.Y)
	}
	if s.haloed() { // a dark edge below the letters
		p.pen([3]int{}, 0.16*s.Size)
		p.pdf.SetTextRenderingMode(1)
		p.pdf.Text(x, y, s.Label)
		p.pdf.SetTextRenderingMode(0)
	}
	p.pdf.Text(x, y, s.Label)
	p.pdf.TransformEnd()
}
