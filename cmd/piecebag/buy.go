package main

import (
	"context"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/report"
)

func newBuy(l *line) *cobra.Command {
	var f documentFlags
	var shop shopFlags
	var ask desk.BuyRequest
	var b report.Buying
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
		Args: noArgs,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, _ []string) (a shown, err error) {
			if ask.Shop, err = shop.read(); err != nil {
				return a, err
			}
			if b.Buying, err = d.Buy(ctx, ask); err == nil && f.pictured() {
				b.Crops, err = l.crops(ctx, d, func(h cloth.Holding) string { return string(h.Value) + " " + string(h.Family) }, report.ChipSide)
			}
			return shown{document: b.Document, json: b.JSON}, err
		}),
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	shop.define(cmd)
	readVar(fl, &ask.EachPrint, "each", "", "cut at most so many `PIECES` of a gap from one print; else what one strip gives",
		count(1, mostPieces, "this is not a number of pieces", "write a whole number, like 12"))
	fl.BoolVar(&ask.NoQuarters, "no-quarters", false, "buy by length alone, no quarters")
	whyVar(cmd, &b.Why)
	f.define(cmd)
	return cmd
}
