package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
)

// Arrangement shows a quilt laid out with what the stash holds.
type Arrangement struct {
	desk.Arrangement
	Wording Wording
	Crops   Crops // of Holdings, where photos of them are kept
	Drawn   bool  // the document is for a page or for paper: draw the quilt
	// Apart is that the page has its picture and Said by itself: the document is what to
	// sew by alone.
	Apart bool
}

// Document says how the layout came out, draws it in your cloth, in grey and as it is
// sewn row by row, and lists what to take.
func (a Arrangement) Document() Document {
	first := a.Laid[0]
	d := Document{title: a.Quilt, lead: fmt.Sprintf("%s × %s finished, %s of prints laid out.", a.format(a.Top.WidthIn), a.format(a.Top.HeightIn), cloth.Count(a.Pieces()-a.Empty, "piece"))}
	if a.Quilt != a.Needs.Recipe.Name {
		d.lead = a.Needs.Recipe.Name + ", " + d.lead
	}
	head := section{Heading: "The layout"}
	var verdict string
	verdict, head.Items = a.Said(first)
	head.Paras = []string{verdict}
	if a.Choice != nil {
		head.Items = append(head.Items, Plan{Plan: a.Plan}.chosenWords(a.Choice))
	}
	switch {
	case a.Apart:
	case a.Drawn:
		views := a.views(first, InColour, InGrey, FromAfar)
		head.Drawings = views[:1]
		d.sections = append(d.sections, head, section{
			Heading: "Lights and darks", Drawings: views[1:],
			Caption: "In grey, which shows its lights and darks, and as it is seen from across the room.",
		})
	default:
		d.sections = append(d.sections, head)
	}
	if len(a.Laid) > 1 {
		d.sections = append(d.sections, a.others())
	}
	if a.Drawn {
		d.sections = append(d.sections, a.labels(first))
	}
	d.sections = append(d.sections, a.rows(first), a.counts(first))
	return d
}

// Said returns what a layout came to, and its measures and touches, a line each.
func (a Arrangement) Said(l desk.Variant) (verdict string, lines []string) {
	lines = a.measures(l)
	for _, t := range l.Touches[:min(len(l.Touches), mostTouches)] {
		lines = append(lines, fmt.Sprintf("%s touches %s: %s", a.Names[t.A], a.Names[t.B], touchWords[t.Why]))
	}
	if n := len(l.Touches) - mostTouches; n > 0 {
		lines = append(lines, "and "+cloth.Count(n, "touch")+" more, marked in the drawing")
	}
	return a.verdict(l), lines
}

// PatchWords says what lies in a patch of a layout.
func (a Arrangement) PatchWords(l desk.Variant, patch int) string {
	if k := l.Cloth[patch]; k >= 0 {
		return HoldingWords(a.Holdings[k])
	}
	return "no cloth is left for it"
}

// labels draws every row of blocks by itself, each patch with its name, to lay the
// pieces out and to sew by.
func (a Arrangement) labels(l desk.Variant) section {
	s := section{Heading: rowByRow, Shown: true, Paras: []string{rowNames}, Wide: true, Lettered: true}
	whole := a.drawing(l)
	var sewn []int // patches of blocks
	for i, p := range a.Top.Patches {
		if p.Block >= 0 {
			sewn = append(sewn, i)
		}
	}
	rows := grouped(sewn, func(i int) string { return desk.RowOf(a.Names[i]) })
	slices.SortStableFunc(rows, func(x, y group[string, int]) int { return CompareNames(x.key, y.key) })
	for _, row := range rows {
		var all geom.Polygon
		for _, i := range row.all {
			all = append(all, a.Top.Patches[i].Polygon...)
		}
		lo, hi := all.Bounds()
		d := drawing{W: hi.X - lo.X, H: hi.Y - lo.Y, Title: "row " + row.key, Name: "Row " + row.key}
		if row.key == desk.BorderRow {
			d.Name = "The blocks of the borders"
		}
		for _, i := range row.all {
			x := whole.Shapes[i]
			x.Cloth = chip{}
			x.Points = x.Points.Map(func(p geom.Point) geom.Point { return p.Sub(lo) })
			if l.Cloth[i] >= 0 {
				a, b := x.Points.Bounds()
				x.Label = strings.TrimPrefix(whole.Shapes[i].Name, row.key)
				w, h := 0.8*(b.X-a.X), 0.5*(b.Y-a.Y)
				if len(x.Points) == 3 {
					_, room := labelSpot(x.Points)
					w, h = 1.7*room, room
				}
				x.Size, x.Upward = fitLabel(x.Label, w, h, 0, d.H/8)
			}
			d.Shapes = append(d.Shapes, x)
		}
		s.Drawings = append(s.Drawings, d)
	}
	return s
}

// How a layout is told row by row.
const rowByRow, rowNames = "Row by row", "Rows have letters from the top, patches numbers from the left."

// counts says how many pieces of each print are used, the most first.
func (a Arrangement) counts(l desk.Variant) section {
	var used []cloth.Holding
	for _, part := range slices.Concat(a.Parts...) {
		if k := l.Cloth[part.Patches[0]]; k >= 0 {
			used = append(used, a.Holdings[k])
		}
	}
	prints := grouped(used, printWords)
	slices.SortStableFunc(prints, func(x, y group[string, cloth.Holding]) int { return len(y.all) - len(x.all) })
	t := table{Columns: columns("cloth", ">pieces"), Fold: 12, Whole: true}
	for _, g := range prints {
		c, _ := chipOf(g.all[0], a.Crops)
		t.add(c.with(g.key), len(g.all))
	}
	if n := len(t.Rows) - t.Fold; n > 0 {
		t.More = fmt.Sprintf("and %s more", cloth.Count(n, "print"))
	}
	return section{Heading: "Cloth", Tables: []table{t}}
}

// printWords names the cloth of a holding, alike for all of its print.
func printWords(h cloth.Holding) string {
	words := h.Alike()
	if h.Print != "" {
		words += ", " + h.Print
	}
	return words
}

// mostTouches is how many touches are written out.
const mostTouches = 8

var touchWords = map[arrange.Cause]string{
	arrange.SameFamily: "one hue family", arrange.SamePrint: "one print", arrange.KeptApart: "to be kept apart",
}

// format writes a length, to the nearest mark where it lies on none.
func (a Arrangement) format(in float64) string { return a.System.Format(a.System.Nearest(in)) }

// verdict returns what a layout came to.
func (a Arrangement) verdict(l desk.Variant) string {
	var out []string
	switch n := len(l.Touches); {
	case a.Pieces() == a.Empty:
		out = append(out, "Nothing is laid out.")
	case n == 0:
		out = append(out, "No two prints of one hue family or one print touch.")
	case l.Proved():
		out = append(out, fmt.Sprintf("%s, and no layout has fewer: %s.", cloth.Count(n, "touch"), l.Least.Because))
	case l.Least.Touches > 0:
		out = append(out, fmt.Sprintf("%s. There must be at least %d: %s.", cloth.Count(n, "touch"), l.Least.Touches, l.Least.Because))
	default:
		out = append(out, fmt.Sprintf("%s. Whether there is a layout without is not known.", cloth.Count(n, "touch")))
	}
	if a.Empty > 0 {
		out = append(out, fmt.Sprintf("The stash has no cloth for %s: they are drawn hollow.", cloth.Count(a.Empty, "patch")))
	}
	if len(a.Gone) > 0 {
		out = append(out, fmt.Sprintf("The stash holds the cloth of %s no more: lay the quilt out again.", cloth.Few(a.Gone)))
	}
	if l.Interrupted {
		out = append(out, "The search was stopped: this is the best until then.")
	}
	return strings.Join(out, " ")
}

func (a Arrangement) measures(l desk.Variant) []string {
	if a.Pieces() == a.Empty {
		return nil
	}
	out := []string{
		fmt.Sprintf("lights and darks: %s even (0 is as chance has it, 100 %% without a patch of dark or light)", percentWords(l.Evenness)),
		fmt.Sprintf("brights: %s even", percentWords(l.Brightness)),
	}
	if l.Wash > 0 {
		out = append(out, fmt.Sprintf("order of the wash: %s kept", percentWords(1-l.Wash)))
	}
	return append(out, fmt.Sprintf("seed %d", l.Seed))
}

// percentWords returns a share in words; none is less than nothing of it by rounding alone.
func percentWords(share float64) string { return fmt.Sprintf("%.0f %%", math.Round(100*share)+0) }

// lightness returns the L* of what lies in a patch.
func (a Arrangement) lightness(l desk.Variant, patch int) float64 {
	return round(desk.LightnessOf(a.Holdings[l.Cloth[patch]]), 100)
}

// drawing returns a layout in your cloth; where two touch that should not, a line lies
// across their seam.
func (a Arrangement) drawing(l desk.Variant) drawing {
	d := drawing{W: a.Top.WidthIn, H: a.Top.HeightIn, Title: "the quilt " + a.Quilt}
	prints := a.prints()
	for i, p := range a.Top.Patches {
		k := l.Cloth[i]
		switch {
		case k >= 0:
			c, ok := chipOf(a.Holdings[k], a.Crops)
			if !ok {
				c = plainChip(greyOf(a.lightness(l, i)))
			}
			s := c.fill(p.Polygon)
			s.Name, s.Title = a.Names[i], a.Names[i]+": "+HoldingWords(a.Holdings[k])
			d.Shapes = append(d.Shapes, s)
		case prints[i]:
			d.Shapes = append(d.Shapes, shape{Points: p.Polygon, Hollow: true, Dashed: true, Title: a.Names[i]})
		default:
			d.Shapes = append(d.Shapes, inksOf(p.Role)[0].fill(p.Polygon))
		}
	}
	for _, t := range l.Touches {
		d.Shapes = append(d.Shapes, mark(a.Top.Patches[t.A].Polygon, a.Top.Patches[t.B].Polygon))
	}
	return d
}

// clothe fills the drawing of a recipe's block with the cloth of the one in the layout, drawn
// whole, that lacks the least.
func (a Arrangement) clothe(d *drawing, of int, whole drawing) {
	var patches []int
	for i, p := range a.Top.Patches {
		if p.Of == of {
			patches = append(patches, i)
		}
	}
	var best []int // patches of one block
	most := -1
	for _, block := range grouped(patches, func(i int) int { return a.Top.Patches[i].Block }) {
		has := 0
		for _, i := range block.all {
			if a.Laid[0].Cloth[i] >= 0 {
				has++
			}
		}
		if has > most {
			best, most = block.all, has
		}
	}
	for k, i := range best {
		d.Shapes[k].Fill, d.Shapes[k].Cloth = whole.Shapes[i].Fill, whole.Shapes[i].Cloth
		d.Shapes[k].Hollow, d.Shapes[k].Dashed = whole.Shapes[i].Hollow, whole.Shapes[i].Dashed
	}
}

// prints tells of each patch whether a print of the stash is to lie there.
func (a Arrangement) prints() []bool {
	out := make([]bool, len(a.Top.Patches))
	for _, p := range a.Problem.Places {
		for _, i := range p.Patches {
			out[i] = true
		}
	}
	return out
}

// SVG writes the drawing alone: the quilt in its cloth, and over it every patch as an
// outline with its name.
func (a Arrangement) SVG(w io.Writer) error {
	d := a.drawing(a.Laid[0])
	for i := range a.Top.Patches {
		d.Shapes[i].Hollow, d.Shapes[i].Cloth = true, chip{}
	}
	v := d.svg(nil)
	v.Photo = svgPhoto{X: short(-marginWide), Wide: short(d.W + 2*marginWide), High: short(d.H + 2*marginWide), Data: jpegData(jpegOf(a.picture(a.Laid[0], viewSide), chipQuality))}
	return fill(w, drawingFile, v)
}

// mark returns a bar across where two patches meet.
func mark(a, b geom.Polygon) shape {
	p, q := a.Centroid(), b.Centroid()
	along := q.Sub(p).Mul(0.25)
	wide := geom.Point{X: -along.Y, Y: along.X}.Mul(0.15)
	m := p.Add(q).Mul(0.5)
	return shape{Fill: colour.Linear{}, Points: geom.Polygon{
		m.Sub(along).Sub(wide), m.Add(along).Sub(wide), m.Add(along).Add(wide), m.Sub(along).Add(wide),
	}}
}

// HoldingWords names the cloth of a holding, and its number.
func HoldingWords(h cloth.Holding) string {
	words := h.Alike()
	if h.Print != "" {
		words += ", " + printNamed(h.Print)
	}
	return fmt.Sprintf("%s (piece %d)", words, h.ID)
}

// others returns the layouts beside the first.
func (a Arrangement) others() section {
	t := table{Columns: columns(">seed", ">touches", ">lights and darks", ">brights", ">as before")}
	for _, l := range a.Laid {
		same := ""
		if l.Same > 0 {
			same = percentWords(l.Same)
		}
		t.add(l.Seed, len(l.Touches), percentWords(l.Evenness), percentWords(l.Brightness), same)
	}
	s := section{Heading: "Others", Tables: []table{t}, Caption: "As before is the share of places that show the print that they show in a layout above."}
	for _, l := range a.Laid[1:] {
		if a.Drawn {
			d := a.view(a.picture(l, otherSide), fmt.Sprintf("the quilt laid out by seed %d", l.Seed))
			d.Name = fmt.Sprintf("seed %d", l.Seed)
			s.Drawings = append(s.Drawings, d)
		}
	}
	return s
}

// rows lists the patches row by row, as they are sewn.
func (a Arrangement) rows(l desk.Variant) section {
	t := table{Columns: columns("place", "print", ">piece"), Fold: 12}
	order := make([]int, 0, len(a.Top.Patches))
	for i := range a.Top.Patches {
		if l.Cloth[i] >= 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(x, y int) int { return CompareNames(a.Names[x], a.Names[y]) })
	for _, i := range order {
		h := a.Holdings[l.Cloth[i]]
		t.add(a.Names[i], printWords(h), h.ID)
	}
	if n := len(t.Rows) - t.Fold; n > 0 {
		t.More = "and " + cloth.Count(n, "place") + " more" + a.Wording.Drawn
	}
	return section{Heading: rowByRow, Said: true, Tables: []table{t}, Paras: []string{rowNames}}
}

// CompareNames puts the names of patches in order: A2 before A10, and Z before AA.
func CompareNames(a, b string) int {
	letters := func(s string) (string, string) {
		k := strings.IndexAny(s, "0123456789")
		if k < 0 {
			return s, ""
		}
		return s[:k], s[k:]
	}
	la, na := letters(a)
	lb, nb := letters(b)
	if c := len(la) - len(lb); c != 0 {
		return c
	}
	if c := strings.Compare(la, lb); c != 0 {
		return c
	}
	var x, y [2]int
	fmt.Sscanf(na, "%d.%d", &x[0], &x[1])
	fmt.Sscanf(nb, "%d.%d", &y[0], &y[1])
	return slices.Compare(x[:], y[:])
}

// WhyHere shows why a piece lies in its place.
type WhyHere desk.WhyHere

// Title names the patch and its cloth.
func (h WhyHere) Title() string { return h.Patch + ": " + HoldingWords(h.Holding) }

// Text says it in a few lines.
func (h WhyHere) Text(w io.Writer, o TextOptions) error {
	return Document{title: h.Title(), sections: []section{{Heading: "Why it lies here", Items: h.Lines()}}}.Text(w, o)
}

// Lines returns the reasons, one a line.
func (h WhyHere) Lines() (out []string) {
	for _, n := range h.Beside {
		words := n.Patch + ": " + HoldingWords(n.Holding)
		if n.Alike != "" {
			words += ", " + touchWords[n.Alike] + ": too much alike"
		}
		out = append(out, "beside it "+words)
	}
	out = append(out, fmt.Sprintf("it is L* %.0f; with those about it the mean is %.0f, that of the quilt %.0f", h.Lightness, h.About, h.All))
	if h.Nearest != "" {
		out = append(out, fmt.Sprintf("the nearest of the same print is %s, %.1f inches away", h.Nearest, h.Away))
	} else if h.Holding.Print != "" {
		out = append(out, "it is the only one of its print")
	}
	if h.Better > 0 {
		out = append(out, fmt.Sprintf("%s of %d places it could change with would make the quilt more even; another seed may", cloth.Count(h.Better, "place"), h.Others))
	} else {
		out = append(out, fmt.Sprintf("none of the %d places it could change with, without a touch more, makes the quilt more even", h.Others))
	}
	if len(h.Matches) > 0 {
		out = append(out, "of one print with it, as the recipe has it: "+strings.Join(h.Matches, ", ")+"; they move together")
	}
	if h.Locked {
		out = append(out, "it is locked here")
	}
	return out
}
