package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/plan"
	"piecebag/internal/stash"
)

// stockPrints are prints of the stash, and what else it holds of them.
type stockPrints struct {
	prints     []contrast.Print
	holdings   []cloth.Holding
	unmeasured int // pieces of no measured colour
}

func stockOf(holdings []cloth.Holding) stockPrints {
	out := stockPrints{prints: heldPrints(holdings), holdings: holdings}
	for _, h := range holdings {
		if !h.Measured {
			out.unmeasured += h.Count
		}
	}
	return out
}

// grounds are the prints that the background of a quilt can be cut from.
func (p stockPrints) grounds(needs *plan.Needs) ([]contrast.Print, error) {
	var out []contrast.Print
	for _, c := range p.prints {
		var of []cloth.Holding
		for _, h := range p.holdings {
			if h.Measured && printOf(h) == c.Name {
				of = append(of, h)
			}
		}
		enough, err := plan.GivesBackground(needs, of)
		if err != nil {
			return nil, err
		}
		if enough {
			out = append(out, c)
		}
	}
	return out, nil
}

// prints are the measured prints of the stash, all and those of a filter; none where
// there is no stash.
func (d *Desk) prints(ctx context.Context, which stash.Filter) (all, meant stockPrints, err error) {
	st, err := d.reading()
	if st == nil || err != nil {
		return all, meant, err
	}
	holdings, err := st.Holdings(ctx, stash.Filter{})
	if err != nil {
		return all, meant, err
	}
	some, err := st.Holdings(ctx, which)
	if err != nil {
		return all, meant, err
	}
	return stockOf(holdings), stockOf(some), d.noteUnknown(ctx, st, which)
}

// printOf is a holding's print; what has none stands alone.
func printOf(h cloth.Holding) string {
	if h.Print != "" {
		return h.Print
	}
	return strings.TrimSpace(fmt.Sprintf("%s %s, %d", h.Value, h.Family, h.ID))
}

// MeasuredPrint is a holding's print as Contrast names it; empty where its colour was
// never measured.
func MeasuredPrint(h cloth.Holding) string {
	if !h.Measured {
		return ""
	}
	return printOf(h)
}

// held reports whether a print is among the holdings.
func held(holdings []cloth.Holding, print string) bool {
	return slices.ContainsFunc(holdings, func(h cloth.Holding) bool { return h.Print == print })
}

// heldPrints gathers measured holdings by print.
func heldPrints(holdings []cloth.Holding) []contrast.Print {
	var g printList
	for _, h := range holdings {
		if h.Measured {
			g.add(printOf(h), h.Mean, h.ReadsAs, h.Colours, contrast.Cloth{WidthIn: h.WidthIn, LengthIn: h.LengthIn, Count: h.Count})
		}
	}
	return g
}

// printList is prints in the order they were first met.
type printList []contrast.Print

// add counts pieces of a print; its colours are the mean of all pieces, its inks and
// what it reads as those of the first.
func (g *printList) add(name string, mean, reads colour.Linear, inks []cloth.Swatch, of contrast.Cloth) {
	n := of.Count
	for i := range *g {
		p := &(*g)[i]
		if p.Name != name {
			continue
		}
		share := float64(n) / float64(n+p.Pieces)
		for k := range p.Colour {
			p.Colour[k] += share * (mean[k] - p.Colour[k])
		}
		p.Pieces += n
		p.Cloth = append(p.Cloth, of)
		return
	}
	*g = append(*g, contrast.Print{Name: name, Colour: mean, Reads: reads, Inks: inks, Pieces: n, Cloth: []contrast.Cloth{of}})
}
