package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// Buying shows a shopping list.
type Buying struct {
	desk.Buying
	Wording Wording
	Crops   Crops // of Holdings, where photos of them are kept
	Why     bool  // write the arithmetic out
}

// Document returns the list as a card for the phone and for print: swatches to hold
// against cloth, what to buy, and what not to.
func (b Buying) Document() Document {
	d := Document{title: "Shopping list", lead: b.lead()}
	d.add(b.lists()...)
	d.add(b.swatches())
	if len(b.Missing) > 0 {
		d.add(section{
			Heading: "Missing altogether", Items: missingWords(b.Missing), Paras: []string{"Buy a print or two of each where you see them."},
		})
	}
	d.add(section{Heading: "Do not buy", Fold: mostEnough, Items: mapped(b.Enough, func(e plan.Enough) string {
		return fmt.Sprintf("%s: you have %d; %s", e.Name, e.Count, e.Reason)
	}), More: fmt.Sprintf("and %s more, of which you have fewer", cloth.Count(len(b.Enough)-mostEnough, "bin"))})
	if b.Why {
		d.add(section{Heading: "Why", Whys: mapped(b.Buy, func(p plan.Purchase) recipe.Why { return p.Why })})
	}
	d.fine = []string{
		"Swatches on a screen or on paper only come near the colour, and the Munsell notation is as true as your photos: hold the cloth itself against yours. A fat quarter is counted as " + cloth.TradeOf("fat quarter", b.System.Metric).Size() + "; lengths are across the width of the fabric.",
		"The number of different prints is common practice; no source.",
	}
	if b.Planned {
		d.fine = append(d.fine, "Of a planned quilt, pieces that came in since cut to its sizes are taken off this list."+b.Wording.PlanAgain)
	}
	return d
}

func (b Buying) lead() string {
	if len(b.Buy) == 0 {
		return "There is nothing to buy."
	}
	var unlocked []string
	for _, p := range b.Buy {
		unlocked = append(unlocked, p.Unlocks...)
	}
	s := cloth.Count(len(b.lines()), "thing") + " to buy, the most useful first."
	if len(unlocked) > 0 {
		s += " One of them is all that this lacks: " + strings.Join(unlocked, ", ") + "."
	}
	return s
}

// mostBought is how many lines are seen at once; so many fit the screen of a phone.
const mostBought = 8

// mostEnough is how many full bins are named; the rest are hidden until the list is opened.
const mostEnough = 5

// bought is a line of the list: all that is bought of one colour and value, of which planned
// quilts may want different amounts.
type bought struct {
	plan.Purchase // whose swatch stands for all
	all           []plan.Purchase
}

// lines groups the purchases by what is looked for, in the order of the first of each: one colour
// is one line, though quilts may want different amounts of it.
func (b Buying) lines() []bought {
	return mapped(grouped(b.Buy, func(p plan.Purchase) string { return p.Sought.String() }), func(g group[string, plan.Purchase]) bought {
		out := bought{g.all[0], g.all}
		for _, p := range g.all {
			if p.Value != "" { // a bin takes one value, a role of a quilt several: cloth for the bin serves both
				out.Purchase = p
				break
			}
		}
		return out
	})
}

// helps reports whether a planned quilt wants some of it.
func (l bought) helps() bool {
	return slices.ContainsFunc(l.all, func(p plan.Purchase) bool { return len(p.Helps) > 0 })
}

// amounts returns how many prints are bought, and how much of each: "⅛ yd", or "⅛ yd of 4, ¼ yd
// of 2" where that differs.
func (l bought) amounts() (prints int, each string) {
	all := grouped(l.all, func(p plan.Purchase) string { return p.Buy })
	words := mapped(all, func(g group[string, plan.Purchase]) string {
		n := 0
		for _, p := range g.all {
			n += p.Prints
		}
		prints += n
		return fmt.Sprintf("%s of %d", g.key, n)
	})
	if len(all) == 1 {
		return prints, all[0].key
	}
	return prints, strings.Join(words, ", ")
}

// lists returns three tables of the list: the first lines that planned quilts want, the first
// that thin bins alone want, and the rest, hidden until it is opened.
func (b Buying) lists() []section {
	lines := b.lines()
	n := min(len(lines), mostBought)
	quilts := 0
	for quilts < n && lines[quilts].helps() {
		quilts++
	}
	rest := b.list(lines, n, len(lines))
	rest.Fold, rest.More = -1, strings.Join(mapped(lines[n:], func(l bought) string {
		prints, each := l.amounts()
		return fmt.Sprintf("%s (%s: %s)", l.Sought, cloth.Count(prints, "print"), each)
	}), "; ")
	return []section{
		{Heading: "Buy", Tables: []table{b.list(lines, 0, quilts)}},
		{Heading: "Buy for thin bins", Tables: []table{b.list(lines, quilts, n)}},
		{Heading: "And after that", Tables: []table{rest}},
	}
}

// list returns a table of the lines from index from up to, and without, index to.
func (b Buying) list(lines []bought, from, to int) table {
	t := table{Columns: columns(">", "what", ">prints", "of each", "for"), Lead: 2}
	for i, l := range lines[from:to] {
		what := b.chip(l.Purchase).with(l.Sought.String())
		if what.Chip.Some && l.HasSwatch {
			what.Words += ", " + l.Swatch.String()
			what.Chip.Reads, what.Exact = l.Swatch.Linear(), true
		}
		prints, each := l.amounts()
		t.add(from+i+1, what, prints, each, b.boughtFor(l))
	}
	return t
}

// mostUnlike is the largest colour difference, ΔE00, at which your own cloth is shown in place of
// a swatch: an assumption, no source.
const mostUnlike = 10

// chip shows what to buy by your own cloth that is most like its swatch, or by the
// swatch where none is near. Of many colours there is no swatch: any cloth of them.
func (b Buying) chip(p plan.Purchase) chip {
	if p.Family == "" {
		return anyChip()
	}
	var out chip
	if p.HasSwatch {
		out = plainChip(p.Swatch.Linear())
	}
	nearest := math.Inf(1)
	for _, h := range b.Holdings {
		if b.Crops[h.ID] == nil || h.Family != p.Family || p.Value != "" && h.Value != p.Value {
			continue
		}
		c, ok := chipOf(h, b.Crops)
		apart := 0.0
		if p.HasSwatch {
			apart = colour.DeltaE00(c.Reads.Lab(), p.Swatch.Linear().Lab())
		}
		if ok && apart <= mostUnlike && apart < nearest {
			out, nearest = c, apart
		}
	}
	return out
}

// boughtFor says what a line is for: pieces of quilts, then of thin bins.
func (b Buying) boughtFor(l bought) string {
	words := strings.Join(mapped(l.all, func(p plan.Purchase) string { return b.buyFor(p, l.helps()) }), "; ")
	if l.WeighedIn2 > 0 {
		words += "; first look through the cloth you have by weight"
	}
	return words
}

// buyFor says what a purchase is for: the pieces, then the quilts. beside says that a quilt is
// named in the same line, so that thin bins are named too.
func (b Buying) buyFor(p plan.Purchase, beside bool) string {
	words := slices.Clone(p.Helps)
	for i, q := range words {
		if slices.Contains(p.Unlocks, q) {
			words[i] += " (all that it lacks)"
		}
	}
	bins := 0
	for _, g := range p.Gaps {
		if g.Quilt == "" {
			bins++
		}
	}
	if bins > 0 && beside {
		words = append(words, cloth.Count(bins, "thin bin"))
	}
	s := strings.Join(words, ", ")
	if p.Pieces > 0 {
		s = strings.TrimSuffix(b.pieces(p)+": "+s, ": ")
	}
	return s
}

// pieces says how many pieces of which sizes are cut from a purchase: "24 pieces of 2½", "24
// of 2½, 6 of 4½".
func (b Buying) pieces(p plan.Purchase) string {
	const most = 3 // sizes that are named
	size := Plan{Plan: desk.Plan{System: b.System}}.size
	sizes := grouped(slices.DeleteFunc(slices.Clone(p.Gaps), func(g plan.Gap) bool { return g.Pieces == 0 }), func(g plan.Gap) string { return size(g.WidthIn, g.LengthIn) })
	switch {
	case len(sizes) == 1:
		return cloth.Count(p.Pieces, "piece") + " of " + sizes[0].key
	case len(sizes) > most:
		return fmt.Sprintf("%d pieces of %d sizes", p.Pieces, len(sizes))
	}
	return strings.Join(mapped(sizes, func(g group[string, plan.Gap]) string {
		n := 0
		for _, x := range g.all {
			n += x.Pieces
		}
		return fmt.Sprintf("%d of %s", n, g.key)
	}), ", ")
}

// swatches draws the colours of the first mostBought lines, large enough to hold against cloth,
// and says which lines have no swatch and why.
func (b Buying) swatches() section {
	const wide, high, gap, across = 10.0, 5.0, 0.5, 2
	d := drawing{Title: "swatches of what to buy"}
	n := 0
	var none, never []string // lines without one colour; lines whose colour does not exist at their value
	lines := b.lines()
	for i, p := range lines[:min(len(lines), mostBought)] {
		if !p.HasSwatch || p.Family == "" {
			if words := fmt.Sprintf("%d (%s)", i+1, p.Sought); p.Family == "" || p.Family == cloth.Many {
				none = append(none, words)
			} else {
				never = append(never, words)
			}
			continue
		}
		x, y := float64(n%across)*(wide+gap), float64(n/across)*(high+gap)
		c := p.Swatch.Linear()
		d.Shapes = append(d.Shapes, shape{Points: rect(x, y, wide, high), Fill: c})
		for k, words := range []string{fmt.Sprintf("%d  %s", i+1, p.Sought), p.Swatch.String()} {
			size, _ := fitLabel(words, wide*0.92, high, 0, 0.9)
			d.Shapes = append(d.Shapes, shape{Points: rect(x, y+high*(0.6+0.18*float64(k)), wide, high*0.18), Fill: c, Seamless: true, Label: words, Size: size})
		}
		n++
	}
	if n == 0 {
		return section{}
	}
	columns := min(n, across)
	d.W = float64(columns)*(wide+gap) - gap
	d.H = float64((n+across-1)/across)*(high+gap) - gap
	s := section{Heading: "Hold against the cloth", Shown: true, Drawings: []drawing{d}}
	var said []string
	if none != nil {
		said = append(said, "No swatch for "+strings.Join(none, ", ")+": there is no one colour to match.")
	}
	if never != nil {
		said = append(said, "No swatch for "+strings.Join(never, ", ")+": cloth as light or dark as that goes by the name of another colour.")
	}
	if len(lines) > mostBought {
		said = append(said, fmt.Sprintf("Swatches are of the first %d of the list.", mostBought))
	}
	s.Caption = strings.Join(said, " ")
	return s
}
