package main

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
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
		Short: "What to shop for, first things first, and what not to",
		Long: `Buy makes a shopping list from the plans saved with 'piecebag plan --save' and from
the thin bins that strips cannot fill: for each gap a swatch to hold against
cloth, how many different prints, and the least cloth of each. What makes a
planned quilt possible comes first, then what evens out the shelf. It also says
what not to buy. --html and --pdf write it as a card to take along.`,
		Example: `  piecebag buy --pdf card.pdf --paper a4
  piecebag buy --html card.html --no-quarters`,
		Args: noArgs("buy"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noneEmpty(cmd.Flags()); err != nil {
				return err
			}
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
	if habits.Shop, err = f.shop.read(); err != nil {
		return err
	}
	var ok bool
	if habits.EachPrint, ok = readCount(f.each, 1); !ok && f.each != "" {
		return wrong("each", f.each, "this is no number of pieces", "write a whole number, like 12")
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	b := report.Buying{System: habits.Shop.System, Why: f.why}
	err = l.readOne(func(st *stash.Stash) error {
		v, quilts, err := planningStock(ctx, st)
		if err != nil {
			return err
		}
		b.Missing = missingOf(v.Stock)
		b.Shopping, err = plan.Buy(gapsOf(v.Stock, quilts), heldOf(v.Stock, quilts), habits)
		return err
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, b.Document(), b.JSON)
}

// planningStock takes stock of the whole stash with its floors and the saved
// plans.
func planningStock(ctx context.Context, st *stash.Stash) (report.Stash, []planned, error) {
	quilts, err := plannedQuilts(ctx, st)
	if err != nil {
		return report.Stash{}, nil, err
	}
	v, err := gather(ctx, st, stash.Filter{}, shelf.StockOptions{}, true, time.Time{})
	return v, quilts, err
}

// gapsOf lists what the planned quilts lack, then the bins that are thin though
// all strips of their colour were cut up.
func gapsOf(stock shelf.Stock, quilts []planned) []plan.Gap {
	var out []plan.Gap
	for _, q := range quilts {
		out = append(out, q.Gaps...)
	}
	usual := usualCut(stock)
	for _, s := range stock.Short {
		if s.Reason == shelf.Lacking { // a gap of its quilt already
			continue
		}
		g := plan.Gap{
			Sought: plan.Sought{Bin: s.Own, Family: s.Family, Value: s.Value}, Pieces: s.By() - s.FromStrips,
			WidthIn: s.Width, LengthIn: s.Length,
		}
		if s.Form == "" {
			g.Pieces = s.By() - stripsOf(stock, s.Alike, usual)
		}
		switch s.Form {
		case cloth.Strip:
			g.LengthIn = stripLength
		case cloth.Square, "":
			if g.WidthIn == 0 {
				g.WidthIn = usual
			}
			g.LengthIn = g.WidthIn
		}
		if g.Pieces > 0 && g.WidthIn > 0 && g.LengthIn > 0 {
			out = append(out, g)
		}
	}
	return out
}

// missingOf lists the colours of which a stash that holds some has nothing.
func missingOf(stock shelf.Stock) []cloth.Family {
	held := map[cloth.Family]bool{}
	for _, b := range stock.Boxes {
		held[b.Family] = true
	}
	var out []cloth.Family
	for _, f := range cloth.Families {
		if f != cloth.Many && !held[f] {
			out = append(out, f)
		}
	}
	return out
}

// stripsOf is how many squares of a size the strips of a colour, or of a value,
// give.
func stripsOf(stock shelf.Stock, a shelf.Alike, size float64) int {
	n := 0
	for _, b := range stock.Boxes {
		if a.Own != b.Own || a.Family != "" && a.Family != b.Family || a.Value != "" && a.Value != b.Value {
			continue
		}
		for _, y := range b.Yields {
			if y.Size == size {
				n += y.Count
			}
		}
	}
	return n
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

// heldOf lists the boxes with the most that one planned quilt takes of each.
func heldOf(stock shelf.Stock, quilts []planned) []plan.Held {
	needed := map[shelf.Need]int{} // keyed with no quilt and no count
	for _, q := range quilts {
		of := map[shelf.Need]int{}
		for _, n := range shelfNeeds([]planned{q}) {
			key := shelf.Need{Alike: n.Alike, Cut: n.Cut}
			of[key] += n.Count
			needed[key] = max(needed[key], of[key])
		}
	}
	var out []plan.Held
	for _, b := range stock.Boxes {
		if b.Count == 0 && b.AreaIn == 0 || b.Alike == (shelf.Alike{}) {
			continue
		}
		out = append(out, plan.Held{
			Name: b.Alike.String() + ", " + b.Cut.String(), Sought: plan.Sought{Bin: b.Own, Family: b.Family, Value: b.Value},
			Count: b.Count, WeighedIn2: b.AreaIn, Needed: needed[shelf.Need{Alike: b.Alike, Cut: b.Cut}],
		})
	}
	return out
}
