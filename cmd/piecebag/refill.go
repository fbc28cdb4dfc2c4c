package main

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
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
			if ask.System, err = desk.ReadSystem("¼", lengths.unit()); err != nil {
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

func newLeftovers(l *line) *cobra.Command {
	var f documentFlags
	var of whichFlags
	var lengths measures
	var ask desk.LeftoversRequest
	var each cutting.Leftover // what is the same of all
	var c report.CuttingUp
	cmd := &cobra.Command{
		Use:   "leftovers WIDTH x LENGTH…",
		Short: "Find how to cut what a project leaves into your sizes",
		Long: `Leftovers says how to cut what a project leaves into the sizes you keep. Give the
width and length of each leftover; of an odd piece, those of the largest rectangle
in it. Cloth is worth what it measures when it is sewn, so of two ways that use it
all the one with the larger pieces is better. Cloth of a size whose bin of that
colour is thin is worth more, up to twice as much. Strips as long as the cloth, 12
inches or more, are cut where --strips names their widths or their bin is thin.`,
		Example: `  piecebag leftovers 18x22 --family blue --value dark
  piecebag leftovers 11x42 7½x9 --cuts 1½,2½,5
  piecebag leftovers 11x42 --strips 2½`,
		Args: atLeastOne("no leftover is given", "write its width and length, e.g. piecebag leftovers 18x22"),
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, args []string) (a shown, err error) {
			ask.Of = shelf.Alike{Own: of.Bin, Family: of.Family, Value: of.Value}
			unit := lengths.unit(args...)
			if ask.System, err = desk.ReadSystem("¼", unit); err != nil {
				return a, err
			}
			sizes, err := readLeftovers(strings.Join(args, " "), unit)
			if err == nil {
				err = lengths.read(unit)
			}
			if err != nil {
				return a, err
			}
			for _, s := range sizes {
				each.W, each.L = s[0], s[1]
				ask.Cloths = append(ask.Cloths, each)
			}
			if c.Leftovers, err = d.Leftovers(ctx, ask); errors.Is(err, desk.ErrTooLarge) {
				err = fault.Of(err).Named(strings.Join(args, " "))
			}
			return shown{document: c.Document, json: c.JSON}, err
		}),
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	of.define(cmd, "family", "value", "bin")
	lengths.add(fl, "cuts", "", "the `SIZES` of squares you keep, e.g. 1½,2½,5; else those the stash holds", cutsTo(&ask.Cuts))
	lengths.add(fl, "strips", "", "the `WIDTHS` of strips to cut too, e.g. 2½", cutsTo(&ask.Strips))
	lengths.add(fl, "squaring", "0", "the `LENGTH` lost from each side in squaring up", lengthOrNoneTo(&each.Loss))
	fl.BoolVar(&each.OneWay, "one-way", false, "the print has an up and must not be turned")
	lengths.metricFlag(fl)
	whyVar(cmd, &c.Why)
	f.define(cmd)
	return cmd
}

// readLeftovers reads the sizes of leftovers, all in one text.
func readLeftovers(text string, bare cloth.Unit) ([][2]float64, error) {
	sizes, err := cloth.ParseSizes(text, bare)
	switch {
	case errors.Is(err, cloth.ErrUnit):
		return nil, fault.Usage(text, noUnit, unitRemedy)
	case err != nil:
		return nil, fault.Usage(text, "this is not a list of widths and lengths", "write each width, x and its length, like 18x22 or 30x50cm")
	}
	return sizes, nil
}

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
