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

// stripSets says which strips are sewn together and what is cut across them.
func (p Plan) stripSets() section {
	s := section{Heading: "Sew strip sets", Numbered: true}
	for k, g := range p.Pull.Segments {
		sewn, sets := p.Pull.Sewn(k), 0
		for _, x := range p.Pull.StripSets {
			sets += btoi(x.Of == k)
		}
		give := cloth.Count(sets, "set") + " of your strips give"
		if sets == 1 {
			give += "s"
		}
		words := fmt.Sprintf("%s, segments of %s across %s: ", g.What, p.format(g.AcrossIn), p.stripWidths(g))
		switch {
		case sewn == 0:
			words += fmt.Sprintf("no strip set of your strips; all %d are sewn patch by patch", g.Count)
		case sewn < g.Count:
			words += fmt.Sprintf("%s %d of %d; the rest are sewn patch by patch", give, sewn, g.Count)
		default:
			words += fmt.Sprintf("%s all %d", give, g.Count)
		}
		s.Paras = append(s.Paras, words+".")
	}
	s.Paras = append(s.Paras, "Sew the strips of a set together along their length, all level at one end, and press. Square off that end, then cut the segments across.")
	for _, x := range p.Pull.StripSets {
		var strips []string
		for i, f := range x.Strips {
			strips = append(strips, p.setStripWords(p.Pull.Segments[x.Of].Strips[i], f))
		}
		s.Items = append(s.Items, fmt.Sprintf("%s of %s, each strip %s long or more; from the top: %s", cloth.Count(x.Segments, "segment"), p.format(p.Pull.Segments[x.Of].AcrossIn), p.up(x.LengthIn), strings.Join(strips, "; ")))
	}
	s.Drawings = []drawing{p.setsDrawing()}
	s.Caption = "A drawing for each set, by its number, cut across into its segments."
	return s
}

// stripWidths says what the strips of a set are: "strips of dark 2½ and light 2½".
func (p Plan) stripWidths(g recipe.Segment) string {
	return "strips of " + strings.Join(mapped(g.Strips, func(x recipe.SetStrip) string { return x.Role.Name + " " + p.format(x.CutIn) }), " and ")
}

// setStripWords returns one strip of a set.
func (p Plan) setStripWords(x recipe.SetStrip, f plan.SewnStrip) string {
	if f.Cut == 0 {
		return x.Role.Name + ", cut from new cloth"
	}
	words := p.stockWords(*p.holding(f.ID))
	if c := p.settled(f.Cut); len(p.rowsOf(c)) > 1 {
		words += fmt.Sprintf(", row %d", f.Row+1)
	}
	return words
}

// settled returns a cut that the strip sets settle, by its number.
func (p Plan) settled(number int) cutting.Diagram {
	cuts := p.Pull.Cover.Cuts
	return cuts[slices.IndexFunc(cuts, func(c cutting.Diagram) bool { return c.Settled == number })]
}

// rowsOf returns the numbers of the strip sets that the rows of a cut are for, from its left edge.
func (p Plan) rowsOf(c cutting.Diagram) (sets []int) {
	for row := 0; ; row++ {
		at := slices.IndexFunc(p.Pull.StripSets, func(s plan.StripSet) bool {
			return slices.ContainsFunc(s.Strips, func(f plan.SewnStrip) bool { return f.Cut == c.Settled && f.Row == row })
		})
		if at < 0 {
			return sets
		}
		sets = append(sets, at+1)
	}
}

// setSteps returns what is done with cloth of which strips for strip sets are made, before they
// are sewn.
func (p Plan) setSteps(c cutting.Diagram) []string {
	sets := p.rowsOf(c)
	long := 0.0
	var widths []float64
	for _, q := range c.Pieces {
		long = max(long, q.Y+q.H)
		if q.Y == 0 {
			widths = append(widths, q.W)
		}
	}
	var out []string
	wide := 0.0
	for _, w := range widths {
		wide += w
	}
	words := strings.Join(mapped(widths, p.format), " and ")
	switch {
	case len(widths) > 1:
		out = append(out, "slit lengthwise into rows of "+words)
	case wide < c.Width-plan.AtWidth:
		out = append(out, "slit to "+words+" wide")
	}
	if spare := c.Length - long; spare > recipe.SquaringIn {
		out = append(out, "cut off "+p.format(c.Trim+long))
	}
	numbers := mapped(slices.Compact(slices.Clone(sets)), strconv.Itoa)
	return append(out, "sew into "+cloth.Plural(len(numbers), "strip set")+" "+strings.Join(numbers, " and "))
}

// setsWhys returns the arithmetic of the strip sets.
func (p Plan) setsWhys() (out []recipe.Why) {
	y := p.System
	for k, g := range p.Pull.Segments {
		if p.Pull.Sewn(k) == 0 {
			continue
		}
		why := recipe.Why{Text: fmt.Sprintf("%s of %s across %s: %d from strip sets", cloth.Count(g.Count, "segment"), y.Format(g.AcrossIn), p.stripWidths(g), p.Pull.Sewn(k)), Steps: g.Why}
		for i, x := range p.Pull.StripSets {
			if x.Of != k {
				continue
			}
			short := p.Pull.Needs.Shop.WOFIn
			for _, f := range x.Strips {
				if f.Cut > 0 {
					short = min(short, p.settled(f.Cut).Trim+p.settled(f.Cut).Length)
				}
			}
			trim := x.LengthIn - float64(x.Segments)*g.AcrossIn
			text := fmt.Sprintf("set %d: its shortest strip %s − %s squared off = %s; %s", i+1, y.Format(short), y.Format(trim), y.Format(short-trim), y.DividedDown(short-trim, g.AcrossIn))
			if fits := int((short-trim)/g.AcrossIn + 1e-6); fits > x.Segments {
				text += fmt.Sprintf(", of which %d are wanted", x.Segments)
			}
			why.Steps = append(slices.Clip(why.Steps), recipe.Why{Text: text})
		}
		out = append(out, why)
	}
	return out
}

// setsDrawing draws the strip sets under one another, with the cuts across them.
func (p Plan) setsDrawing() drawing {
	const gap, margin = 1.0, 3.0
	d := drawing{Title: "the strip sets, cut across"}
	k := p.inks()
	y := 0.0
	for n, x := range p.Pull.StripSets {
		if n == mostDrawn {
			break
		}
		g := p.Pull.Segments[x.Of]
		high := 0.0
		for _, is := range g.Strips {
			high += is.CutIn
		}
		d.Shapes = append(d.Shapes, shape{Points: rect(0, y, margin, high), Hollow: true, Seamless: true, Label: strconv.Itoa(n + 1), Size: 1.6})
		for i, is := range g.Strips {
			ink := p.chipOf(x.Strips[i].ID)
			if !ink.Some {
				ink = k.of(is.Role)[0]
			}
			for s := range x.Segments {
				d.Shapes = append(d.Shapes, ink.fill(rect(margin+float64(s)*g.AcrossIn, y, g.AcrossIn, is.CutIn)))
			}
			y += is.CutIn
		}
		d.W = max(d.W, margin+float64(x.Segments)*g.AcrossIn)
		y += gap
	}
	d.H = max(0, y-gap)
	return d
}

// stripSetsJSON returns the strip sets; cut is which of the cuts a strip is, by their
// order, and row which of its rows from the left edge.
func (p Plan) stripSetsJSON() []object {
	return mapped(p.Pull.StripSets, func(x plan.StripSet) object {
		g := p.Pull.Segments[x.Of]
		strips := []object{}
		for i, f := range x.Strips {
			one := object{{"role", g.Strips[i].Role.Name}, {"width_in", inchesJSON(g.Strips[i].CutIn)}}
			if f.Cut > 0 {
				at := slices.IndexFunc(p.Pull.Cover.Cuts, func(c cutting.Diagram) bool { return c.Settled == f.Cut })
				one = append(one, object{{"id", f.ID}, {"cut", at}, {"row", f.Row}}...)
			}
			strips = append(strips, one)
		}
		return object{{"for", g.What}, {"segments", x.Segments}, {"segment_in", inchesJSON(g.AcrossIn)}, {"length_in", inchesJSON(x.LengthIn)}, {"strips", strips}}
	})
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
