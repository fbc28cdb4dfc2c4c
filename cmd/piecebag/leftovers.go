package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// leftoversFlags are those of leftovers, as written.
type leftoversFlags struct {
	documentFlags
	which                whichFlags
	cuts, strips, square string
	metric               bool
	oneWay, why          bool
}

func newLeftovers(l *ledger) *cobra.Command {
	var f leftoversFlags
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
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fault.Usage("", "no leftover is given", "write its width and length, e.g. piecebag leftovers 18x22")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return runLeftovers(cmd.Context(), l, args, &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	f.which.define(cmd, "family", "value", "bin")
	measureVar(fl, &f.cuts, "cuts", "", "the `SIZES` of squares you keep, e.g. 1½,2½,5; else those the stash holds")
	measureVar(fl, &f.strips, "strips", "", "the `WIDTHS` of strips to cut too, e.g. 2½")
	measureVar(fl, &f.square, "squaring", "0", "the `LENGTH` lost from each side in squaring up")
	fl.BoolVar(&f.oneWay, "one-way", false, "the print has an up and must not be turned")
	fl.BoolVar(&f.metric, "metric", false, "read and write centimetres; lengths in cm or mm have them written too")
	fl.BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.documentFlags.define(cmd)
	return cmd
}

func runLeftovers(ctx context.Context, l *ledger, args []string, f *leftoversFlags) error {
	which, err := f.which.filter()
	if err != nil {
		return err
	}
	r := desk.LeftoversRequest{Of: shelf.Alike{Own: which.Bin, Family: which.Family, Value: which.Value}}
	unit := unitOf(f.metric, append(args, f.cuts, f.strips, f.square)...)
	if r.System, err = readSystem("¼", unit); err != nil {
		return err
	}
	if r.Cloths, err = f.cloths(strings.Join(args, " "), unit); err != nil {
		return err
	}
	if r.Cuts, err = readCuts("cuts", f.cuts, unit); err != nil {
		return err
	}
	if r.Strips, err = readCuts("strips", f.strips, unit); err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	c := report.CuttingUp{Why: f.why}
	err = l.at("working", func(d *desk.Desk) error {
		c.Leftovers, err = d.Leftovers(ctx, r)
		return err
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, c.Document(), c.JSON)
}

// mostLeft is how long a leftover may be, inches: a bolt's. What is cut from a
// larger one is searched for minutes.
const mostLeft = 400

// cloths reads the leftovers, all in one text.
func (f *leftoversFlags) cloths(text string, bare cloth.Unit) ([]cutting.Leftover, error) {
	loss, err := lengthOrNone("squaring", f.square, bare)
	if err != nil {
		return nil, err
	}
	sizes, err := cloth.ParseSizes(text, bare)
	switch {
	case errors.Is(err, cloth.ErrUnit):
		return nil, fault.Usage(text, noUnit, unitRemedy)
	case err != nil:
		return nil, fault.Usage(text, "this is not a list of widths and lengths", "write each width, x and its length, like 18x22 or 30x50cm")
	}
	var out []cutting.Leftover
	for _, s := range sizes {
		if min(s[0], s[1]) > mostCut || max(s[0], s[1]) > mostLeft {
			return nil, fault.Usage(text, fmt.Sprintf("a leftover is at most %s wide and %s long", cloth.FormatInches(mostCut), cloth.FormatInches(mostLeft)), "cut it in two first")
		}
		out = append(out, cutting.Leftover{W: s[0], L: s[1], Loss: loss, OneWay: f.oneWay})
	}
	return out, nil
}
