package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// sheetCuts is a plan's cuts with the words for them.
type sheetCuts struct {
	wants  []cutting.Want
	stock  []cutting.Stock
	format func(float64) string
	words  func(cutting.Stock) string
}

// cuttingList is the cuts in working order: the longest cloth first, cloth that
// is cut alike in one line.
func (p Plan) cuttingList() section {
	w := sheetCuts{p.Pull.Wants, p.Pull.Stock, p.format, func(s cutting.Stock) string {
		words := p.stockWords(s)
		if s.Basket != "" {
			words += " (" + s.Basket + ")"
		}
		return words
	}}
	s := section{heading: "Cut", numbered: true, items: w.list(p.Pull.Cover.Cuts)}
	if s.items == nil {
		s.paras = []string{"Nothing needs cutting."}
		return s
	}
	s.paras = []string{"Longest cloth first."}
	s.drawings = []drawing{p.cutDrawing()}
	s.caption = fmt.Sprintf("The first %s to cut, numbered as below; what is dashed goes back.", count(min(len(p.groups()), mostDrawn), "piece"))
	return s
}

// list writes cuts as lines, those alike and next to one another in one.
func (w sheetCuts) list(cuts []cutting.Cut) []string {
	var out []string
	for i := 0; i < len(cuts); {
		n := 1
		for i+n < len(cuts) && w.alike(cuts[i], cuts[i+n]) {
			n++
		}
		line := w.words(w.stock[cuts[i].Stock])
		if n > 1 {
			line += fmt.Sprintf(", %d alike", n)
		}
		out = append(out, line+": "+strings.Join(w.steps(cuts[i]), "; "))
		i += n
	}
	return out
}

// alike says whether two pieces of one holding are cut in the same way.
func (w sheetCuts) alike(a, b cutting.Cut) bool {
	return a.Stock == b.Stock && strings.Join(w.steps(a), ";") == strings.Join(w.steps(b), ";")
}

// steps are the cuts of one piece of cloth in order, and where the rest goes.
func (w sheetCuts) steps(c cutting.Cut) []string {
	var out []string
	if c.Unsure {
		out = append(out, "measure it first")
	}
	if c.Trim > 0 {
		out = append(out, "square off the end, "+w.format(c.Trim))
	}
	rows := 0
	for _, s := range c.Steps {
		switch {
		case s.Slit != nil:
			rows = len(s.Slit)
			words := make([]string, len(s.Slit))
			for i, x := range s.Slit {
				words[i] = w.format(x)
			}
			if rows == 1 {
				out = append(out, "slit to "+words[0]+" wide")
				continue
			}
			out = append(out, "slit lengthwise into rows of "+strings.Join(words, " and "))
		case s.Want < 0:
			out = append(out, "cut off "+w.format(s.Length))
		default:
			want := w.wants[s.Want]
			size := w.format(want.W)
			if want.W != want.L {
				size += " × " + w.format(want.L)
			}
			line := fmt.Sprintf("cut %d of %s", s.Times, size)
			if rows > 1 && s.Row >= 0 {
				line += " from row " + strconv.Itoa(s.Row+1)
			}
			out = append(out, line)
		}
	}
	return append(out, w.rest(c)...)
}

// rest says where what is left goes.
func (w sheetCuts) rest(c cutting.Cut) []string {
	var out []string
	for _, r := range c.Remains {
		if r.Kept {
			out = append(out, fmt.Sprintf("%s × %s is left for %s", w.format(min(r.W, r.H)), w.format(max(r.W, r.H)), w.bin(c, r)))
		}
	}
	if out == nil && len(c.Remains) > 0 {
		out = append(out, "the rest is too small to keep")
	}
	return out
}

// bin names the box of a remnant as the shelf does: value before family.
func (w sheetCuts) bin(c cutting.Cut, r cutting.Remnant) string {
	s := w.stock[c.Stock]
	alike := cloth.Holding{Bin: s.Bin, Family: s.Family, Value: s.Value}.Alike()
	return boxWords(s) + strings.TrimPrefix(r.Bin, alike)
}

// cutWhys is the arithmetic of each line of the cutting list: where all of the
// cloth goes.
func (p Plan) cutWhys() []recipe.Why {
	var out []recipe.Why
	for _, g := range p.groups() {
		c := g.cut
		all := c.Width * (c.Trim + c.Length)
		why := recipe.Why{Text: fmt.Sprintf("cut %d: %s × %s = %s", g.first, p.format(c.Width), p.format(c.Trim+c.Length), p.area(all))}
		var counts []int
		var sizes []string
		pieces, kept := 0.0, 0.0
		for _, q := range c.Pieces {
			size := p.size(min(q.W, q.H), max(q.W, q.H))
			if i := slices.Index(sizes, size); i >= 0 {
				counts[i]++
			} else {
				sizes, counts = append(sizes, size), append(counts, 1)
			}
			pieces += q.W * q.H
		}
		for i, size := range sizes {
			why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("%d of %s", counts[i], size)})
		}
		for _, r := range c.Remains {
			if r.Kept {
				kept += r.W * r.H
			}
		}
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("pieces %s + squared off the end %s + back to the bins %s + too small to keep %s = %s",
			p.area(pieces), p.area(c.Width*c.Trim), p.area(kept), p.area(all-pieces-kept-c.Width*c.Trim), p.area(all))})
		out = append(out, why)
	}
	return out
}

// mostDrawn is how many pieces of cloth a drawing of cuts shows.
const mostDrawn = 16

// group is cuts alike, drawn once.
type group struct {
	cut   cutting.Cut
	first int // number in the list
}

// groups are the first of each line of the cutting list.
func (p Plan) groups() []group {
	w := sheetCuts{wants: p.Pull.Wants, stock: p.Pull.Stock, format: p.format}
	var out []group
	cuts := p.Pull.Cover.Cuts
	for i := range cuts {
		if i == 0 || !w.alike(cuts[i-1], cuts[i]) {
			out = append(out, group{cuts[i], len(out) + 1})
		}
	}
	return out
}

// cutDrawing lays the pieces of cloth to cut one under another, lengthwise.
func (p Plan) cutDrawing() drawing {
	const gap, margin = 1.0, 3.0
	d := drawing{Title: "how the first pieces of the stash are cut"}
	inks := p.inks()
	y := 0.0
	for i, g := range p.groups() {
		if i == mostDrawn {
			break
		}
		c := g.cut
		long := c.Trim + c.Length
		d.W = max(d.W, margin+long)
		d.Shapes = append(d.Shapes,
			shape{Points: rect(0, y, margin, c.Width), Hollow: true, Seamless: true, Label: strconv.Itoa(g.first), Size: min(1.6, c.Width)},
			shape{Points: rect(margin, y, long, c.Width), Hollow: true})
		ink, ok := p.colourOf(c.ID)
		for _, r := range c.Remains {
			if r.Kept {
				d.Shapes = append(d.Shapes, shape{Points: rect(margin+c.Trim+r.Y, y+r.X, r.H, r.W), Hollow: true, Dashed: true})
			}
		}
		for _, piece := range c.Pieces {
			if !ok {
				ink = inks.of(p.Pull.Roles[piece.Want])[0]
			}
			s := shape{Points: rect(margin+c.Trim+piece.Y, y+piece.X, piece.H, piece.W), Fill: ink}
			s.Label = p.size(p.Pull.Wants[piece.Want].W, p.Pull.Wants[piece.Want].L)
			s.Size, s.Upward = fitLabel(s.Label, piece.H*0.75, piece.W*0.75, 0.3, 1.2)
			d.Shapes = append(d.Shapes, s)
		}
		y += c.Width + gap
	}
	d.H = max(0, y-gap)
	return d
}

// layouts draws how each role lies on yardage.
func (p Plan) layouts() section {
	s := section{heading: "How the cloth is cut"}
	for _, y := range p.Needs.Yardage {
		if len(y.Layout.Strips) > 0 {
			s.drawings = append(s.drawings, p.layoutDrawing(y))
		}
	}
	s.caption = "Each role's cloth, its length running to the right: strips are cut across the width, then pieces from the strips."
	return s
}

// layoutDrawing draws the strips of one cloth, its length running right.
func (p Plan) layoutDrawing(y plan.Yardage) drawing {
	d := drawing{W: y.Layout.Inches, H: y.Layout.Width, Title: "the cloth for " + y.Role.Name, Name: fmt.Sprintf("%s: %s of the width of %s", y.Role.Name, y.Buy, p.format(y.Layout.Width))}
	d.Shapes = append(d.Shapes, shape{Points: rect(0, 0, d.W, d.H), Hollow: true})
	ink := p.inks().of(y.Role)[0]
	for _, strip := range y.Layout.Strips {
		for _, piece := range strip.Pieces {
			s := shape{Points: rect(piece.Y, piece.X, piece.H, piece.W), Fill: ink}
			s.Label = p.size(min(piece.W, piece.H), max(piece.W, piece.H))
			s.Size, s.Upward = fitLabel(s.Label, piece.H*0.75, piece.W*0.75, 0.3, 1.5)
			d.Shapes = append(d.Shapes, s)
		}
	}
	return d
}
