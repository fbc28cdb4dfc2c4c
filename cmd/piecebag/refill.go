package main

import (
	"context"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/plan"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// refillFlags are those of refill, as written.
type refillFlags struct {
	documentFlags
	prefer      preferFlag
	metric, why bool
}

func newRefill(l *ledger) *cobra.Command {
	var f refillFlags
	cmd := &cobra.Command{
		Use:   "refill",
		Short: "Find which strips to cut up for the thin bins",
		Long: `Refill finds which strips and larger pieces to cut for the bins that are below
their floors, or below what planned quilts take. It takes no other bin below its own,
and no piece that a planned quilt has pulled. It does not change the stash. When you
have cut, take out what you cut with 'piecebag use' and put in what it gave with
'piecebag add'.

What is cut is chosen by aims, each before the next:
  1 fill the bins most
  2 take pieces that are the right size as they are
  3 cut into the smallest pieces that serve, short ones before long ones, squares last
  4 cut into the fewest pieces
  5 make the fewest cuts
  6 waste the least
This order is --prefer scraps. --prefer waste takes them in the order 1 2 6 4 3 5.
--prefer variety, after 1, fills each bin from the most prints. No cloth is cut that
the bins do not need.`,
		Example: `  piecebag refill
  piecebag refill --pdf refill.pdf`,
		Args: noArgs("refill"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runRefill(cmd.Context(), l, &f)
		},
	}
	cmd.Flags().SortFlags = false
	f.prefer.define(cmd)
	cmd.Flags().BoolVar(&f.metric, "metric", false, "answer in centimetres")
	cmd.Flags().BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.documentFlags.define(cmd)
	return cmd
}

func runRefill(ctx context.Context, l *ledger, f *refillFlags) error {
	prefer, err := f.prefer.read()
	if err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	r := report.Refilling{Why: f.why}
	if r.System, err = readSystem("¼", unitOf(f.metric)); err != nil {
		return err
	}
	err = l.readOne(func(st *stash.Stash) error {
		w, err := wantsOf(ctx, st, r.System.Metric, prefer)
		if err != nil {
			return err
		}
		r.Holdings, r.Stock, r.Bins, r.Refill = w.Holdings, w.cloth, w.bins, w.refill
		if len(files) > 0 {
			r.Crops, err = l.crops(ctx, st, pulled(r.Refill.Cover))
		}
		return err
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, r.Document(), r.JSON)
}

// pulled names the pieces that are taken as they are or cut, each by its number.
func pulled(c cutting.Cover) func(cloth.Holding) string {
	in := map[int64]bool{}
	for _, p := range c.Pulls {
		for _, l := range p.Lines {
			in[l.ID] = true
		}
	}
	return func(h cloth.Holding) string {
		if !in[h.ID] {
			return ""
		}
		return strconv.FormatInt(h.ID, 10)
	}
}

// wants is what the whole stash is short of, by its floors and the saved plans, and
// what of it sub-cutting gives.
type wants struct {
	report.Stash
	quilts []planned
	cloth  []cutting.Stock
	bins   []cutting.Bin
	refill cutting.Refill
}

func wantsOf(ctx context.Context, st *stash.Stash, metric bool, prefer cutting.Prefer) (wants, error) {
	quilts, err := plannedQuilts(ctx, st)
	if err != nil {
		return wants{}, err
	}
	settings, err := st.Settings(ctx)
	if err != nil {
		return wants{}, err
	}
	v, err := gather(ctx, st, stash.Filter{}, shelf.StockOptions{}, true, time.Time{})
	if err != nil {
		return wants{}, err
	}
	o := cuttingOptions(settings, metric)
	o.Prefer = prefer
	return subCut(v, quilts, o)
}

func subCut(v report.Stash, quilts []planned, o cutting.Options) (wants, error) {
	w := wants{Stash: v, quilts: quilts, cloth: plan.Keep(cutting.StockOf(v.Holdings), savedPlans(quilts)), bins: binsOf(v.Stock)}
	var err error
	w.refill, err = cutting.RefillBins(w.bins, w.cloth, o)
	return w, err
}

// bought is how many of what is short are wanted when the sub-cutting is done.
func (w wants) bought(s shelf.Short) int {
	bin, ok := cuttingBin(s.Sorting, s.Alike, s.Cut)
	for k, i := range w.refill.Thin {
		b := w.bins[i]
		if bin.Floor = b.Floor; ok && b == bin {
			return w.refill.Short[k]
		}
	}
	return s.By()
}

// binsOf lists the thin boxes, empty ones too, and those that hold something, each
// with the fewest pieces wanted in it.
func binsOf(stock shelf.Stock) []cutting.Bin {
	seen := map[cutting.Bin]bool{}
	var out []cutting.Bin
	add := func(by shelf.Sorting, a shelf.Alike, c shelf.Cut, least int) {
		if b, ok := cuttingBin(by, a, c); ok && !seen[b] {
			seen[b] = true
			b.Floor = least
			out = append(out, b)
		}
	}
	for _, s := range stock.Short {
		if s.Form != "" && s.Reason != shelf.Lacking {
			add(s.Sorting, s.Alike, s.Cut, s.Want-s.InBins)
		}
	}
	for _, b := range stock.Baskets {
		add(b.Sorting, b.Alike, b.Cut, b.Least)
		for _, x := range b.In {
			add(x.Sorting, x.Alike, x.Cut, x.Least)
		}
	}
	return out
}

// cuttingBin is a box as cutting has it; what has no size or no colour is none.
func cuttingBin(by shelf.Sorting, a shelf.Alike, c shelf.Cut) (cutting.Bin, bool) {
	b := cutting.Bin{Sorting: by, Family: a.Family, Value: a.Value, Own: a.Own, W: c.Width, L: c.Length}
	if c.Form == cloth.Square {
		b.L = c.Width
	}
	return b, c.Width > 0 && a != (shelf.Alike{})
}
