package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
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
	c := report.CuttingUp{Why: f.why, Colour: strings.TrimSpace(fmt.Sprintf("%s %s", which.Value, which.Family))}
	if which.Bin != "" {
		c.Colour = which.Bin
	}
	unit := unitOf(f.metric, append(args, f.cuts, f.strips, f.square)...)
	if c.System, err = readSystem("¼", unit); err != nil {
		return err
	}
	if c.Cloths, err = f.cloths(strings.Join(args, " "), unit); err != nil {
		return err
	}
	cuts, err := readCuts("cuts", f.cuts, unit)
	if err != nil {
		return err
	}
	strips, err := readCuts("strips", f.strips, unit)
	if err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	var stock shelf.Stock
	err = l.read(func(st *stash.Stash) error {
		if st == nil {
			return nil
		}
		if err := l.noteUnknown(ctx, st, which); err != nil {
			return err
		}
		v, err := gatherCounts(ctx, st, stockAsk{usualTrim: true})
		stock = v.Stock
		return err
	})
	if err != nil {
		return err
	}
	c.Sizes, c.Reason = sizesFor(stock, cuts, strips, shelf.Alike{Own: which.Bin, Family: which.Family, Value: which.Value})
	if c.Cut, err = cutting.CutUpLeftovers(c.Cloths, c.Sizes, c.System.Seam); err != nil {
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

// usualSizes are the squares kept where the stash holds none: those that most
// savers of scraps keep (common practice, no source).
var usualSizes = []float64{1.5, 2, 2.5, 3.5, 5}

// sizesFor lists the squares to cut, and the strips: those named and those of which
// the bin is thin. Cloth of a size of which the bin of the colour is thin is worth
// more, by the share of its floor that is missing: twice as much where it is empty.
// A colour that is not named is that of every bin, of which the thinnest counts.
func sizesFor(stock shelf.Stock, cuts, strips []float64, a shelf.Alike) ([]cutting.Size, []string) {
	if cuts == nil {
		for _, b := range stock.Boxes {
			if b.Form == cloth.Square && b.Width > 0 && !slices.Contains(cuts, b.Width) {
				cuts = append(cuts, b.Width)
			}
		}
	}
	if cuts == nil {
		cuts = usualSizes
	}
	for _, s := range stock.Short {
		if s.Form == cloth.Strip && s.Width > 0 && speaksOf(a, s.Alike) && !slices.Contains(strips, s.Width) {
			strips = append(strips, s.Width)
		}
	}
	var sizes []cutting.Size
	var reasons []string
	for k, c := range slices.Concat(cuts, strips) {
		size, kept, reason := cutting.Size{W: c, L: c, Weight: 1}, shelf.Square(c), ""
		if k >= len(cuts) {
			size.L, kept = 0, shelf.Cut{Form: cloth.Strip, Width: shelf.Mark(c)}
		}
		for _, s := range stock.Short {
			worth := 1 + float64(s.By())/float64(s.Want)
			if s.Cut == kept && speaksOf(a, s.Alike) && worth > size.Weight {
				size.Weight, size.Lack, reason = worth, s.By(), fmt.Sprintf("%s is thin, %d held of %d wanted", s.Alike, s.Count, s.Want)
				if a == (shelf.Alike{}) {
					reason = "some bins of this size are thin; name the colour of the cloth to go by its own"
				}
			}
		}
		sizes, reasons = append(sizes, size), append(reasons, reason)
	}
	return sizes, reasons
}

// speaksOf says whether a bin is of a colour, as far as that is named.
func speaksOf(a, bin shelf.Alike) bool {
	return (a.Own == "" || a.Own == bin.Own) && (a.Family == "" || a.Family == bin.Family) && (a.Value == "" || a.Value == bin.Value)
}
