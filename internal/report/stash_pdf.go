package report

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// StashPDF writes s on sheets of a paper, one of Papers. The same stash is the
// same bytes.
func StashPDF(w io.Writer, s Stash, paper string) error {
	return stashDocument(s).PDF(w, paper)
}

// stashDocument is the stash for paper, in the order of its page.
func stashDocument(s Stash) Document {
	t := tonesOf(s.Holdings)
	d := Document{title: s.title(), lead: stashLead(s)}
	if len(s.Stock.Balance.Families) > 0 {
		d.sections = append(d.sections, section{
			heading:  "The whole of it",
			drawings: []drawing{wheelDrawing(s, t), valueDrawing(s, t)},
			caption:  "The more pieces in a wedge, the longer it is; the dark ones lie nearest the middle. Bars: the colours of each value above, its grey below.",
		})
		part := &d.sections[0]
		for _, b := range offBars(s, t) {
			if !b.None {
				part.items = append(part.items, b.Name+": "+b.Held)
			}
		}
		part.items = append(part.items, drawnWords(s, t)...)
	}
	if len(s.Stock.Boxes) > 0 {
		d.sections = append(d.sections, section{heading: "On the shelf", tables: []table{boxTable(s, t)}, paras: []string{"Strips are counted in squares " + trimWords(s.Stock.Trim) + "."}})
	}
	thin := section{heading: "Thin", items: thinLines(s.Stock.Short)}
	missing := section{heading: "Missing altogether", items: missingWords(s.Stock.Missing)}
	for _, x := range []section{thin, missing} {
		if len(x.items) > 0 {
			d.sections = append(d.sections, x)
		}
	}
	if s.Since != "" {
		d.sections = append(d.sections, section{heading: "Changed since " + s.Since, paras: []string{Difference(s.Changes)}, items: Changes(s.Changes)})
	}
	return d
}

// boxTable is the table of the boxes; a bin is named in its first row only.
func boxTable(s Stash, t tones) table {
	out := table{carry: true, heads: []string{"bin", "cut", "pieces", "note", "prints", "gives squares"}, right: []bool{false, false, true, false, true, false}}
	for i, b := range s.Stock.Boxes {
		r := row("", b.Cut.String(), heldWords(b), unsized(b), blankZero(b.Prints), yieldWords(b.Yields))
		if i == 0 || s.Stock.Boxes[i-1].Alike != b.Alike {
			r[0].words = b.Alike.String()
			r[0].colour, r[0].patch = t.colour(b.Alike)
		}
		if _, thin := shortOf(s.Stock.Short, b); thin {
			r[2].words += " thin"
		}
		out.rows = append(out.rows, r)
	}
	return out
}

// arcStep is how finely arcs are drawn in straight lines, radians.
const arcStep = math.Pi / 90

// polygon is the outline of a sector.
func (x sector) polygon() geom.Polygon {
	n := int(math.Ceil((x.to - x.from) / arcStep))
	var out geom.Polygon
	add := func(r, turn float64) {
		px, py := wheelPoint(r, turn)
		out = append(out, geom.Point{X: px, Y: py})
	}
	for i := range n + 1 {
		add(x.s, x.from+(x.to-x.from)*float64(i)/float64(n))
	}
	for i := range n + 1 {
		add(x.r, x.to-(x.to-x.from)*float64(i)/float64(n))
	}
	return out
}

// paperWhite is what a label stands on.
var paperWhite = colour.Linear{1, 1, 1}

// wheelDrawing is the wheel of the stash for paper.
func wheelDrawing(s Stash, t tones) drawing {
	d := drawing{W: wheelSide, H: wheelSide, Title: stashWheel(s, t).Alt}
	for _, x := range append(ringSectors(), stashSectors(t)...) {
		d.Shapes = append(d.Shapes, shape{Points: x.polygon(), Fill: x.fill, Seamless: true})
	}
	held := heldByFamily(s.Stock.Balance)
	for _, f := range ringFamilies {
		x, y := wheelPoint(wheelLabel+9, turnOf(f.hue))
		n := "none"
		if held[f.family] > 0 {
			n = strconv.Itoa(held[f.family])
		}
		d.Shapes = append(d.Shapes,
			shape{Points: rect(x-24, y-14, 48, 14), Fill: paperWhite, Seamless: true, Label: string(f.family), Size: 13},
			shape{Points: rect(x-24, y, 48, 14), Fill: paperWhite, Seamless: true, Label: n, Size: 13})
	}
	return d
}

// valueDrawing is the value chart of the stash for paper, in a box as large as
// the wheel's.
func valueDrawing(s Stash, t tones) drawing {
	d := drawing{W: wheelSide, H: wheelSide, Title: "Value chart, pieces by value"}
	const high = wheelSide / 5
	for v, b := range valueBars(s, t) {
		y := float64(v) * high
		d.Title += fmt.Sprintf(", %s %s", b.Name, b.Held)
		words := b.Name + ": " + b.Held
		d.Shapes = append(d.Shapes, shape{Points: rect(0, y+4, wheelSide, 18), Fill: paperWhite, Seamless: true, Label: words, Size: 15})
		for _, p := range b.Parts {
			d.Shapes = append(d.Shapes, shape{Points: rect(p.x*wheelSide/100, y+26, p.w*wheelSide/100, 28), Fill: p.fill, Seamless: true})
		}
		if b.length > 0 {
			d.Shapes = append(d.Shapes, shape{Points: rect(0, y+54, b.length*wheelSide/100, 14), Fill: greyOf(middleOf(v)), Seamless: true})
		}
		d.Shapes = append(d.Shapes, shape{Points: rect(0, y+26, wheelSide, 42), Hollow: true})
	}
	return d
}
