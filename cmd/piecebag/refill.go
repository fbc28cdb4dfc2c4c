package main

import (
	"context"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/report"
)

func newRefill(l *line) *cobra.Command {
	var f documentFlags
	var lengths measures
	var ask desk.RefillRequest
	var r report.Refilling
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
		Args: noArgs,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, _ []string) (a shown, err error) {
			if ask.System, err = readSystem("¼", lengths.unit()); err != nil {
				return a, err
			}
			if r.Refill, err = d.Refill(ctx, ask); err == nil && f.pictured() {
				r.Crops, err = l.crops(ctx, d, desk.Pulled(r.Cover), report.ChipSide)
			}
			return shown{document: r.Document, json: r.JSON}, err
		}),
	}
	cmd.Flags().SortFlags = false
	preferVar(cmd, &ask.Prefer)
	cmd.Flags().BoolVar(&lengths.metric, "metric", false, "answer in centimetres")
	whyVar(cmd, &r.Why)
	f.define(cmd)
	return cmd
}
