package main

import (
	"context"
	"slices"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// buyFlags are those of buy, as written.
type buyFlags struct {
	documentFlags
	shop       shopFlags
	each       string
	noQuarters bool
	why        bool
}

func newBuy(l *ledger) *cobra.Command {
	var f buyFlags
	cmd := &cobra.Command{
		Use:   "buy",
		Short: "Make a shopping list, the most useful first, and say what not to buy",
		Long: `Buy makes a shopping list of what the plans you saved lack ('piecebag plan --save')
and of the thin bins that strips cannot fill. For each gap it gives a swatch to hold
against cloth, how many different prints to buy, and the least cloth of each. No
print is for two quilts, for a plan you saved keeps all of the cloth it is cut from.
What makes a planned quilt possible comes first, then what fills the shelf. It also
says what not to buy. --html and --pdf write a card to take along.`,
		Example: `  piecebag buy --pdf card.pdf --paper a4
  piecebag buy --html card.html --no-quarters`,
		Args: noArgs("buy"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runBuy(cmd.Context(), l, &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	f.shop.define(cmd)
	fl.StringVar(&f.each, "each", "", "cut at most so many `PIECES` of a gap from one print; else what one strip gives")
	fl.BoolVar(&f.noQuarters, "no-quarters", false, "buy by length alone, no quarters")
	fl.BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.documentFlags.define(cmd)
	return cmd
}

func runBuy(ctx context.Context, l *ledger, f *buyFlags) error {
	habits := plan.Habits{NoQuarters: f.noQuarters}
	var err error
	if habits.Shop, err = f.shop.read(f.shop.unit()); err != nil {
		return err
	}
	var ok bool
	if habits.EachPrint, ok = readCount(f.each, 1); !ok && f.each != "" {
		return wrong("each", f.each, "this is not a number of pieces", "write a whole number, like 12")
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	b := report.Buying{System: habits.Shop.System, Why: f.why}
	err = l.readOne(func(st *stash.Stash) error {
		w, err := wantsOf(ctx, st, b.System.Metric, "")
		if err != nil {
			return err
		}
		if b.Shopping, err = plan.Buy(gapsOf(w), heldOf(w), habits); err != nil {
			return err
		}
		if b.Holdings = w.Holdings; len(files) > 0 {
			if b.Crops, err = l.crops(ctx, st, func(h cloth.Holding) string { return string(h.Value) + " " + string(h.Family) }); err != nil {
				return err
			}
		}
		b.Planned = slices.ContainsFunc(b.Buy, func(p plan.Purchase) bool { return len(p.Helps) > 0 })
		for _, m := range w.Stock.Missing {
			if !slices.ContainsFunc(b.Buy, func(p plan.Purchase) bool { return brings(p, m) }) {
				b.Missing = append(b.Missing, m)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, b.Document(), b.JSON)
}

// brings reports whether a purchase brings of a colour or a value that is missing.
func brings(p plan.Purchase, m shelf.Thin) bool {
	return m.Family != "" && p.Family == m.Family || m.Value != "" && p.Value == m.Value
}

// gapsOf lists what the planned quilts lack, then what is thin though all is cut up
// that refill cuts.
func gapsOf(w wants) []plan.Gap {
	var out []plan.Gap
	for _, q := range w.quilts {
		for _, l := range w.Stock.Lacks {
			if l.Quilt == q.quilt {
				g := plan.Gap{Sought: plan.Sought{Family: l.Family, Tone: recipe.Tone(l.Tone)}, Quilt: l.Quilt, Pieces: l.Count}
				g.WidthIn, g.LengthIn = sidesOf(l.Cut)
				out = append(out, g)
			}
		}
		for _, g := range q.Gaps {
			if !g.InAnyPrint() {
				out = append(out, g)
			}
		}
	}
	usual := usualCut(w.Stock)
	for _, s := range w.Stock.Short {
		if s.Reason == shelf.Lacking { // its quilts' gaps already
			continue
		}
		g := plan.Gap{Sought: plan.Sought{Bin: s.Own, Family: s.Family, Value: s.Value}, Pieces: w.bought(s)}
		g.WidthIn, g.LengthIn = sidesOf(s.Cut)
		if s.Form == "" {
			g.Pieces -= stripsOf(w, s.Alike, usual)
			g.WidthIn, g.LengthIn = usual, usual
		}
		if g.Pieces > 0 && g.WidthIn > 0 {
			out = append(out, g)
		}
	}
	return out
}

// sidesOf are the sides of a piece of a cut as it is bought, inches.
func sidesOf(c shelf.Cut) (width, length float64) {
	switch c.Form {
	case cloth.Strip:
		return c.Width, stripLength
	case cloth.Square:
		return c.Width, c.Width
	}
	return c.Width, c.Length
}

// stripsOf is how many squares of a size the strips of a colour, or of a value,
// give, beside what thin bins take of them.
func stripsOf(w wants, a shelf.Alike, size float64) int {
	of := func(family cloth.Family, value cloth.Value) bool {
		return (a.Family == "" || a.Family == family) && (a.Value == "" || a.Value == value)
	}
	n := 0
	for _, a := range w.Stock.Alikes() {
		if of(a.Family, a.Value) {
			n += w.Stock.FromStrips(a, size)
		}
	}
	for k, i := range w.refill.Thin {
		if of(w.bins[i].Family, w.bins[i].Value) {
			n -= w.refill.Covered[k]
		}
	}
	return max(0, n)
}

// stripLength is how long a strip to be bought for a bin is, inches: half the
// width of fabric, as a quarter gives it; common practice, no source.
const stripLength = 20

// defaultCut is the square that a colour is bought in where none are held; the
// commonest of kept sizes: common practice, no source.
const defaultCut = 2.5

// usualCut is the square that the stash holds most of, inches.
func usualCut(stock shelf.Stock) float64 {
	best, most := defaultCut, 0
	counts := map[float64]int{}
	for _, b := range stock.Boxes {
		if b.Form == cloth.Square && b.Width > 0 {
			counts[b.Width] += b.Count
			if counts[b.Width] > most {
				best, most = b.Width, counts[b.Width]
			}
		}
	}
	return best
}

// heldOf lists the boxes, with what planned quilts take of each and whether more of
// it would fill what is short.
func heldOf(w wants) []plan.Held {
	type place struct {
		shelf.Alike
		shelf.Cut
	}
	wanted := map[place]bool{}
	for _, h := range w.Holdings {
		p := place{shelf.AlikeOf(h), shelf.CutOf(h)}
		wanted[p] = wanted[p] || slices.ContainsFunc(w.Stock.Short, func(s shelf.Short) bool { return s.FilledBy(h) })
	}
	needed := map[place]int{}
	for _, n := range shelfNeeds(w.quilts) {
		needed[place{n.Alike, n.Cut}] += n.Count
	}
	var out []plan.Held
	for _, b := range w.Stock.Boxes {
		if b.Count == 0 && b.AreaIn == 0 || b.Alike == (shelf.Alike{}) {
			continue
		}
		p := place{b.Alike, b.Cut}
		out = append(out, plan.Held{
			Name: b.Alike.String() + ", " + b.Cut.String(), Sought: plan.Sought{Bin: b.Own, Family: b.Family, Value: b.Value},
			Count: b.Count - b.Seen, WeighedIn2: b.AreaIn, Needed: needed[p], Least: b.Least, Wanted: wanted[p],
		})
	}
	return out
}
