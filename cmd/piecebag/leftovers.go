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
			which, err := of.filter()
			if err != nil {
				return a, err
			}
			ask.Of = shelf.Alike{Own: which.Bin, Family: which.Family, Value: which.Value}
			unit := lengths.unit(args...)
			if ask.System, err = readSystem("¼", unit); err != nil {
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
