package main

import (
	"context"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/report"
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
	ask := desk.RefillRequest{Prefer: prefer}
	if ask.System, err = readSystem("¼", unitOf(f.metric)); err != nil {
		return err
	}
	r := report.Refilling{Why: f.why}
	err = l.at("working", func(d *desk.Desk) error {
		r.Refill, err = d.Refill(ctx, ask)
		if err == nil && len(files) > 0 {
			r.Crops, err = l.crops(ctx, d, desk.Pulled(r.Cover), report.ChipSide)
		}
		return err
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, r.Document(), r.JSON)
}
