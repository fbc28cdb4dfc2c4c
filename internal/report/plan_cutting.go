package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// cuttingList returns the cuts in working order: the longest cloth first, cloth that
// is cut alike in one line.
func (p Plan) cuttingList() section {
	groups := p.groups()
	s := section{Heading: "Cut", Numbered: true}
	if len(groups) == 0 {
		s.Paras = []string{"No cloth of the stash needs cutting."}
		if len(p.Pull.Scraps) > 0 {
			s.Paras = []string{"Of the stash only strings and crumbs are cut, as you sew them: see From the stash."}
		}
		return s
	}
	for _, g := range groups {
		s.Items = append(s.Items, p.line(g))
	}
	s.Paras = []string{"Cut the longest cloth first."}
	s.Drawings = []drawing{p.cutDrawing(groups)}
	s.Caption = "A drawing for each line below, by its number. Dashed parts go back to the stash."
	if len(groups) > mostDrawn {
		s.Caption = fmt.Sprintf("A drawing for each of the first %d lines below, by its number. Dashed parts go back to the stash.", mostDrawn)
	}
	return s
}

// alikeCuts are cuts made in one way, a line of the list, by its number there.
type alikeCuts struct {
	cuts   []cutting.Diagram
	number int
}

// groups gathers cuts next to one another that are made in the same way on cloth
// of one form and size, whatever its print.
func (p Plan) groups() []alikeCuts {
	var out []alikeCuts
	for _, c := range p.Pull.Cover.Cuts {
		if n := len(out) - 1; n >= 0 && p.alike(out[n].cuts[0], c) {
			out[n].cuts = append(out[n].cuts, c)
			continue
		}
		out = append(out, alikeCuts{[]cutting.Diagram{c}, len(out) + 1})
	}
	return out
}

// mixed reports whether the cuts are of more than one holding.
func (g alikeCuts) mixed() bool {
	return slices.ContainsFunc(g.cuts, func(d cutting.Diagram) bool { return d.Stock != g.cuts[0].Stock })
}

// alike reports whether two pieces of cloth are cut in the same way.
func (p Plan) alike(a, b cutting.Diagram) bool {
	s, t := p.Pull.Stock[a.Stock], p.Pull.Stock[b.Stock]
	return s.Form == t.Form && s.WidthIn == t.WidthIn && s.LengthIn == t.LengthIn && slices.Equal(p.steps(a, true), p.steps(b, true))
}

// line returns one line of the cutting list.
func (p Plan) line(g alikeCuts) string {
	c := g.cuts[0]
	if !g.mixed() {
		stock := p.Pull.Stock[c.Stock]
		head := p.stockWords(stock)
		if stock.Basket != "" {
			head += " (" + stock.Basket + ")"
		}
		if n := len(g.cuts); n > 1 {
			head += fmt.Sprintf(", %d alike", n)
		}
		return head + ": " + strings.Join(p.steps(c, false), "; ")
	}
	s := p.Pull.Stock[c.Stock]
	return fmt.Sprintf("%s of %s, each cut alike (%s): %s", cloth.Count(len(g.cuts), string(s.Form)), p.size(s.WidthIn, cmp.Or(s.LengthIn, s.WidthIn)), p.baskets(g.cuts), strings.Join(p.steps(c, true), "; "))
}

// baskets says how many of some cuts are of cloth from each basket.
func (p Plan) baskets(cuts []cutting.Diagram) string {
	of := grouped(cuts, func(c cutting.Diagram) string { return cmp.Or(p.Pull.Stock[c.Stock].Basket, "no basket") })
	if len(of) == 1 {
		return "from " + of[0].key
	}
	return strings.Join(mapped(of, func(g group[string, cutting.Diagram]) string { return fmt.Sprintf("%d from %s", len(g.all), g.key) }), ", ")
}

// steps returns the cuts of one piece of cloth in order, and where the rest goes: to
// which bin, or for several colours at once to which cut of its own.
func (p Plan) steps(c cutting.Diagram, several bool) []string {
	var out []string
	if c.Unsure {
		out = append(out, "measure it first")
	}
	if c.Trim > 0 && c.Settled == 0 {
		out = append(out, "square off the end, "+p.format(c.Trim))
	}
	if c.Settled > 0 {
		return append(p.setSteps(c), p.rest(c, several)...)
	}
	if p.trims(c) {
		return append(out, "trim to "+p.wantSize(c.Pieces[0].Want))
	}
	rows := 0
	for _, s := range c.Steps {
		switch {
		case s.Slit != nil:
			rows = len(s.Slit)
			words := mapped(s.Slit, p.format)
			if rows == 1 {
				out = append(out, "slit to "+words[0]+" wide")
				continue
			}
			out = append(out, "slit lengthwise into rows of "+strings.Join(words, " and "))
		case s.Want < 0:
			out = append(out, "cut off "+p.format(s.Length)+fromRows(s, rows))
		case s.Rest:
			out = append(out, fmt.Sprintf("slit %d of %s off that", s.Times, p.wantSize(s.Want)))
		default:
			out = append(out, rowWords(s, rows, p.wantSize(s.Want)))
		}
	}
	return append(out, p.rest(c, several)...)
}

// trims reports whether a cut does no more than trim cloth to one piece.
func (p Plan) trims(c cutting.Diagram) bool {
	kept := slices.ContainsFunc(c.Remains, func(r cutting.Remnant) bool { return r.Kept })
	return len(c.Pieces) == 1 && !kept && !slices.ContainsFunc(c.Remains, func(r cutting.Remnant) bool { return r.For != "" })
}

// wantSize returns the size of a piece that is wanted, by its number.
func (p Plan) wantSize(i int) string { return p.size(p.Pull.Wants[i].W, p.Pull.Wants[i].L) }

// whichRows names the rows of a slit that a step is made in; empty for all of the
// cloth.
func whichRows(s cutting.Step, rows int) string {
	switch {
	case rows < 2 || s.Row < 0:
		return ""
	case s.Rows == 1:
		return "row " + strconv.Itoa(s.Row+1)
	case s.Rows == rows:
		return "each row"
	case s.Rows == 2:
		return fmt.Sprintf("each of rows %d and %d", s.Row+1, s.Row+2)
	}
	return fmt.Sprintf("each of rows %d to %d", s.Row+1, s.Row+s.Rows)
}

func fromRows(s cutting.Step, rows int) string {
	if which := whichRows(s, rows); which != "" {
		return " from " + which
	}
	return ""
}

// rowWords says what is cut across some of the rows of a slit, or that they are
// pieces as they are.
func rowWords(s cutting.Step, rows int, size string) string {
	if s.Ready {
		return cmp.Or(whichRows(s, rows), "this") + " gives 1 of " + size
	}
	return fmt.Sprintf("cut %d of %s%s", s.Times, size, fromRows(s, rows))
}

// rest says where what is left goes.
func (p Plan) rest(c cutting.Diagram, several bool) []string {
	var out []string
	for _, r := range c.Remains {
		if r.For != "" {
			out = append(out, fmt.Sprintf("%s × %s is left for the %s", p.format(min(r.W, r.H)), p.format(max(r.W, r.H)), r.For))
		}
		if r.Kept {
			out = append(out, fmt.Sprintf("%s × %s is left for %s", p.format(min(r.W, r.H)), p.format(max(r.W, r.H)), p.bin(c, r, several)))
		}
	}
	if out == nil && len(c.Remains) > 0 {
		out = append(out, "the rest is too small to keep")
	}
	return out
}

// bin names the box of a remnant as the shelf does, value before family, without the
// size that was said; for several colours it names the cut alone.
func (p Plan) bin(c cutting.Diagram, r cutting.Remnant, several bool) string {
	cut := r.Cut
	if r.Form != "" {
		cut = string(r.Form) + "s"
	}
	if several {
		return "the bin of its colour, " + cut
	}
	return boxWords(p.Pull.Stock[c.Stock]) + " " + cut
}

// cutWhys returns the arithmetic of each line of the cutting list: where all of the
// cloth goes.
func (p Plan) cutWhys() []recipe.Why {
	var out []recipe.Why
	for _, g := range p.groups() {
		c := g.cuts[0]
		all := c.Width * (c.Trim + c.Length)
		why := recipe.Why{Text: fmt.Sprintf("cut %d: %s × %s = %s", g.number, p.format(c.Width), p.format(c.Trim+c.Length), p.System.Area(all))}
		pieces, kept := 0.0, 0.0
		for _, q := range c.Pieces {
			pieces += q.W * q.H
		}
		for _, g := range grouped(c.Pieces, func(q cutting.Placement) string { return p.size(min(q.W, q.H), max(q.W, q.H)) }) {
			why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("%d of %s", len(g.all), g.key)})
		}
		joined, words := 0.0, ""
		for _, r := range c.Remains {
			switch {
			case r.Kept:
				kept += r.W * r.H
			case r.For != "":
				joined += r.W * r.H
				words += fmt.Sprintf(" + for the %s %s", r.For, p.System.Area(r.W*r.H))
			}
		}
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("pieces %s + squared off the end %s%s + back to the bins %s + too small to keep %s = %s",
			p.System.Area(pieces), p.System.Area(c.Width*c.Trim), words, p.System.Area(kept), p.System.Area(all-pieces-kept-joined-c.Width*c.Trim), p.System.Area(all))})
		out = append(out, why)
	}
	return out
}

// setWhys say from which print each set comes that matches.
func (p Plan) setWhys() []recipe.Why {
	var out []recipe.Why
	for k, m := range p.Pull.Sets() {
		why := recipe.Why{Text: fmt.Sprintf("%s of %s: %s from one print for each, %d covered", cloth.Count(m.Count, "set"), m.Role.Name, p.setWords(m.Set), m.Covered)}
		n := 0
		for _, s := range p.Pull.Cover.Sets {
			if s.Set != k+1 {
				continue
			}
			n++
			one := recipe.Why{Text: fmt.Sprintf("set %d: %s", n, p.printWords(p.Pull.Stock[s.Pieces[0].Stock]))}
			for _, g := range grouped(s.Pieces, func(q cutting.SetPiece) string {
				from := " cut from the " + p.kindWords(p.Pull.Stock[q.Stock])
				if !q.Cut {
					from = " as it is"
				}
				return p.wantSize(q.Want) + from
			}) {
				one.Steps = append(one.Steps, recipe.Why{Text: fmt.Sprintf("%d of %s", len(g.all), g.key)})
			}
			why.Steps = append(why.Steps, one)
		}
		out = append(out, why)
	}
	return out
}

// printWords returns the print of some cloth, or that it is not known.
func (p Plan) printWords(s cloth.Holding) string {
	if s.Print == "" {
		return fmt.Sprintf("one piece of %s, whose print is not known", p.kindWords(s))
	}
	return printNamed(s.Print)
}

// mostDrawn is how many pieces of cloth a drawing of cuts shows.
const mostDrawn = 16

// cutDrawing lays the pieces of cloth to cut one under another, lengthwise.
func (p Plan) cutDrawing(groups []alikeCuts) drawing {
	const gap, margin = 1.0, 3.0
	d := drawing{Title: "how the first pieces of the stash are cut"}
	k := p.inks()
	y := 0.0
	for i, g := range groups {
		if i == mostDrawn {
			break
		}
		c := g.cuts[0]
		long := c.Trim + c.Length
		d.W = max(d.W, margin+long)
		d.Shapes = append(d.Shapes,
			shape{Points: rect(0, y, margin, c.Width), Hollow: true, Seamless: true, Label: strconv.Itoa(g.number), Size: min(1.6, c.Width)},
			shape{Points: rect(margin, y, long, c.Width), Hollow: true})
		ink := p.chipOf(c.ID)
		for _, r := range c.Remains {
			if at := rect(margin+c.Trim+r.Y, y+r.X, r.H, r.W); r.Kept {
				d.Shapes = append(d.Shapes, shape{Points: at, Hollow: true, Dashed: true})
			} else if r.For != "" {
				d.Shapes = append(d.Shapes, shape{Points: at, Hollow: true}.labelled(r.For, 0.3, 1.2))
			}
		}
		for _, piece := range c.Pieces {
			if !ink.Some {
				ink = k.of(p.Pull.Roles[piece.Want])[0]
			}
			s := ink.fill(rect(margin+c.Trim+piece.Y, y+piece.X, piece.H, piece.W))
			d.Shapes = append(d.Shapes, s.labelled(p.wantSize(piece.Want), 0.3, 1.2))
		}
		y += c.Width + gap
	}
	d.H = max(0, y-gap)
	return d
}

// layouts draws how each role lies on yardage; nothing where the stash gives all that would
// be cut from it.
func (p Plan) layouts() section {
	s := section{Heading: "How the cloth is cut, if each role is one fabric", Scaled: true}
	if p.Pull != nil && len(p.Pull.Gaps(p.Quilt)) == 0 {
		if in, err := p.Pull.BackgroundIn(); err == nil && in == 0 {
			return section{}
		}
	}
	for _, y := range p.Needs.Yardage {
		if len(y.Layout.Strips) > 0 {
			s.Drawings = append(s.Drawings, p.layoutDrawing(y))
		}
	}
	s.Caption = "Each role's cloth, its length running to the right: strips are cut across the width, then pieces from the strips. All are drawn to one scale."
	return s
}

// layoutDrawing draws the strips of one cloth, its length running right.
func (p Plan) layoutDrawing(y plan.Yardage) drawing {
	d := drawing{W: y.Layout.Inches, H: y.Layout.Width, Title: "the cloth for " + y.Role.Name, Name: fmt.Sprintf("%s: %s of the width of %s", y.Role.Name, y.Buy, p.format(y.Layout.Width))}
	d.Shapes = append(d.Shapes, shape{Points: rect(0, 0, d.W, d.H), Hollow: true})
	ink := p.inks().of(y.Role)[0]
	for _, strip := range y.Layout.Strips {
		for _, piece := range strip.Pieces {
			s := ink.fill(rect(piece.Y, piece.X, piece.H, piece.W))
			d.Shapes = append(d.Shapes, s.labelled(p.size(min(piece.W, piece.H), max(piece.W, piece.H)), 0.3, 1.5))
			d.Shapes = append(d.Shapes, diagonals(piece.Rect, y.Cuts[y.Of[piece.Want]].Split)...)
		}
	}
	return d
}

// diagonals returns the lines along which a square or a rectangle is cut into triangles.
func diagonals(r geom.Rect, s recipe.Split) []shape {
	x, y := r.Y, r.X // the cloth's length runs right
	line := func(x0, y0, x1, y1 float64) shape {
		return shape{Points: geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y1}}, Hollow: true}
	}
	down, up := line(x, y, x+r.H, y+r.W), line(x, y+r.W, x+r.H, y)
	if r.W > r.H && s != recipe.Once { // it stands, and is spoken of as it lies
		down, up = up, down
	}
	switch s {
	case recipe.Once, recipe.Rising:
		return []shape{up}
	case recipe.Falling:
		return []shape{down}
	case recipe.Twice:
		return []shape{down, up}
	}
	return nil
}
