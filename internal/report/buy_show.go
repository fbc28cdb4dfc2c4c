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
	s := cloth.Count(len(b.Buy), "thing") + " to buy, the most useful first."
	if len(unlocked) > 0 {
		s += " One of them is all that this lacks: " + strings.Join(unlocked, ", ") + "."
	}
	return s
}

// mostBought is how many purchases stand first: with what is said of them they fit on
// the screen of a phone.
const mostBought = 8

// mostEnough is how many bins that are full are named before the rest is folded away.
const mostEnough = 5

// lists returns a row a purchase: the first few, those that planned quilts want apart from
// those that thin bins alone do, then the rest, folded.
func (b Buying) lists() []section {
	n := min(len(b.Buy), mostBought)
	quilts := 0
	for quilts < n && len(b.Buy[quilts].Helps) > 0 {
		quilts++
	}
	rest := b.list(n, len(b.Buy))
	rest.Fold, rest.More = -1, strings.Join(mapped(b.Buy[n:], func(p plan.Purchase) string {
		return fmt.Sprintf("%s (%s of %s)", p.Sought, cloth.Count(p.Prints, "print"), p.Buy)
	}), "; ")
	return []section{
		{Heading: "Buy", Tables: []table{b.list(0, quilts)}},
		{Heading: "Buy for thin bins", Tables: []table{b.list(quilts, n)}},
		{Heading: "And after that", Tables: []table{rest}},
	}
}

// list returns the purchases from one to before another.
func (b Buying) list(from, to int) table {
	t := table{Columns: columns(">", "what", ">prints", "of each", "for"), Lead: 2}
	for i, p := range b.Buy[from:to] {
		what := b.chip(p).with(p.Sought.String())
		if what.Chip.Some && p.HasSwatch {
			what.Words += ", " + p.Swatch.String()
			what.Chip.Reads, what.Exact = p.Swatch.Linear(), true
		}
		t.add(from+i+1, what, p.Prints, p.Buy, b.buyFor(p))
	}
	return t
}

// mostUnlike is how far your own cloth may be from a swatch to stand for it, ΔE00: an
// assumption, no source.
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

// buyFor says what a purchase is for: quilts, then thin bins.
func (b Buying) buyFor(p plan.Purchase) string {
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
	if bins > 0 && len(words) > 0 {
		words = append(words, cloth.Count(bins, "thin bin"))
	}
	s := strings.Join(words, ", ")
	if p.Pieces > 0 {
		s = strings.TrimSuffix(b.pieces(p)+": "+s, ": ")
	}
	if p.WeighedIn2 > 0 {
		s += "; first look through the cloth you have by weight"
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

// swatches draws the first of what has a colour, large enough to hold against cloth.
func (b Buying) swatches() section {
	const wide, high, gap, across = 10.0, 5.0, 0.5, 2
	d := drawing{Title: "swatches of what to buy"}
	n := 0
	for i, p := range b.Buy[:min(len(b.Buy), mostBought)] {
		if !p.HasSwatch || p.Family == "" {
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
	return section{Heading: "Hold against the cloth", Shown: true, Drawings: []drawing{d}}
}
