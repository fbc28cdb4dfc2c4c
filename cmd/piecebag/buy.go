package main

import (
	"context"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/report"
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
	b := report.Buying{Why: f.why}
	err = l.at("working", func(d *desk.Desk) error {
		b.Buying, err = d.Buy(ctx, desk.BuyRequest{Habits: habits})
		if err == nil && len(files) > 0 {
			b.Crops, err = l.crops(ctx, d, func(h cloth.Holding) string { return string(h.Value) + " " + string(h.Family) }, report.ChipSide)
		}
		return err
	})
	if err != nil {
		return err
	}
	return f.answer(l.s, files, b.Document(), b.JSON)
}
