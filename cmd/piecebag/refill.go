package main

import (
	"context"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// refillFlags are those of refill, as written.
type refillFlags struct {
	documentFlags
	metric, why bool
}

func newRefill(l *ledger) *cobra.Command {
	var f refillFlags
	cmd := &cobra.Command{
		Use:   "refill",
		Short: "Which strips to sub-cut to bring the thin bins up",
		Long: `Refill finds which strips and larger pieces to cut for the bins that are below
their floors or below what planned quilts take, without taking other bins below
theirs. It changes nothing: when the cutting is done, take out with 'piecebag use'
what was cut and put in what it gave with 'piecebag add'.`,
		Example: `  piecebag refill
  piecebag refill --pdf refill.pdf`,
		Args: noArgs("refill"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noneEmpty(cmd.Flags()); err != nil {
				return err
			}
			return runRefill(cmd.Context(), l, &f)
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().BoolVar(&f.metric, "metric", false, "write centimetres")
	cmd.Flags().BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.documentFlags.define(cmd)
	return cmd
}

func runRefill(ctx context.Context, l *ledger, f *refillFlags) error {
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	r := report.Refilling{Why: f.why}
	if r.System, err = readSystem("¼", f.metric); err != nil {
		return err
	}
	err = l.readOne(func(st *stash.Stash) error {
		v, quilts, err := planningStock(ctx, st)
		if err != nil {
			return err
		}
		floors, err := st.Floors(ctx)
		if err != nil {
			return err
		}
		settings, err := st.Settings(ctx)
		if err != nil {
			return err
		}
		r.Holdings, r.Stock = v.Holdings, cutting.StockOf(v.Holdings)
		r.Bins = binsOf(v.Stock, floors, shelfNeeds(quilts))
		r.Refill, err = cutting.RefillBins(r.Bins, r.Stock, cuttingOptions(settings, r.System.Metric))
		return err
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, r.Document(), r.JSON)
}

// binsOf lists the thin boxes and those that hold something, each with the fewest
// pieces wanted in it.
func binsOf(stock shelf.Stock, floors []stash.Floor, needs []shelf.Need) []cutting.Bin {
	var asked []shelf.Floor
	for _, f := range floors {
		asked = append(asked, shelfFloor(f))
	}
	type place struct {
		shelf.Alike
		shelf.Cut
	}
	var places []place
	for _, s := range stock.Short {
		if s.Form != "" && s.Reason != shelf.Lacking {
			places = append(places, place{s.Alike, s.Cut})
		}
	}
	for _, b := range stock.Boxes {
		places = append(places, place{b.Alike, b.Cut})
	}
	seen := map[place]bool{}
	var out []cutting.Bin
	for _, p := range places {
		b, ok := cuttingBin(p.Alike, p.Cut)
		if !ok || seen[p] {
			continue
		}
		seen[p] = true
		b.Floor = shelf.Least(asked, needs, p.Alike, p.Cut)
		out = append(out, b)
	}
	return out
}

// cuttingBin is a box as cutting has it; what has no size or no colour is none.
func cuttingBin(a shelf.Alike, c shelf.Cut) (cutting.Bin, bool) {
	b := cutting.Bin{Family: a.Family, Value: a.Value, Own: a.Own, W: c.Width, L: c.Length}
	if c.Form == cloth.Square {
		b.L = c.Width
	}
	return b, c.Width > 0 && a != (shelf.Alike{})
}
