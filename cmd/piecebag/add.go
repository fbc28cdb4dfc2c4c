package main

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

func newAdd(l *line) *cobra.Command {
	var f whichFlags
	var ask desk.AddRequest
	cmd := &cobra.Command{
		Use:   "add [COUNT] [FORM] [WIDTH [x LENGTH]]",
		Short: "Add to the stash by hand",
		Long: `Add puts into the stash what no photo shows: a number of equal pieces, or cloth by
weight. A FORM is square, rectangle, strip or odd. Without one, a piece with a length
is a strip and any other a square. The weight gives an area: cloth counts as 150 g a
square metre unless you set the weight of yours (see 'piecebag set --help').`,
		Example: `  piecebag add 12 --family blue --value dark --cut 2½
  piecebag add strip 2½ x 18 --family green
  piecebag add 3 rectangles 2½ x 4½ --bin 'sea greens'
  piecebag add --weight 350g --family brown`,
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (c stash.Change, err error) {
			if ask.Holding, err = readHolding(args, &f); err != nil {
				return c, err
			}
			if ask.Grams > 0 && (ask.Holding.WidthIn > 0 || len(args) > 0) {
				return c, fault.Usage("", "--weight is for cloth without pieces, and a number or a size is given too", "leave one of them off")
			}
			return d.Add(ctx, ask)
		}),
	}
	f.define(cmd, "family", "value", "bin", "cut", "as", "basket", "print")
	weightVar(cmd, &ask.Grams, "weight", "add cloth of this `WEIGHT`, e.g. 350g, 1.2kg, 12oz or 2lb")
	newVar(cmd, &ask.New)
	return cmd
}

const addRemedy = "write it as 'piecebag add 12 --cut 2½', 'piecebag add strip 2½ x 18' or 'piecebag add --weight 350g'"

// readHolding reads [COUNT] [FORM] [WIDTH [x LENGTH]] and the flags.
func readHolding(args []string, f *whichFlags) (cloth.Holding, error) {
	h := cloth.Holding{Form: f.Form, WidthIn: f.Cut, Family: f.Family, Value: f.Value, Bin: f.Bin, Print: f.Print, Basket: f.Basket}
	rest := args
	if len(rest) > 0 {
		// A lone number that no form follows is a count where the size is a flag.
		if n, ok := readCount(rest[0], 1); ok && (len(rest) == 1 || !sizeBegins(rest[1])) {
			h.Count, rest = n, rest[1:]
		}
	}
	if len(rest) > 0 {
		if form, err := desk.ReadForm(rest[0]); err == nil {
			if h.Form != "" && h.Form != form {
				return h, fault.Usage(rest[0], "--as says another form", "leave one of them off")
			}
			h.Form, rest = form, rest[1:]
		}
	}
	if len(rest) > 0 && len(rest) == len(args) && !startsSize(rest[0]) {
		reason := rest[0] + ": this is not a number of pieces, a form or a size"
		if _, err := strconv.Atoi(rest[0]); err == nil {
			reason = rest[0] + ": this is not a number of pieces"
		}
		return h, fault.Usage("", reason, addRemedy)
	}
	if len(rest) == 0 {
		return h, nil
	}
	text := strings.Join(rest, " ") // as many words as the shell made of it
	sides, err := cloth.ParseSides(text, cloth.Inches)
	switch {
	case err != nil || len(sides) > 2 || slices.Min(sides) < desk.LeastCut || slices.Max(sides) > farthest:
		return h, fault.Usage(text, "this is not a size", "write it as 2½, 2½ x 18 or 6 x 45cm")
	case f.Cut > 0:
		return h, fault.Usage("", "the size is given twice: --cut gives it too", "leave one of them off")
	case len(sides) == 2:
		h.LengthIn = sides[1]
	}
	h.WidthIn = sides[0]
	return h, nil
}

// startsSize says whether a size may begin with a word.
func startsSize(s string) bool {
	first, _, _ := strings.Cut(strings.ReplaceAll(strings.ToLower(s), "×", "x"), "x")
	in, err := cloth.ParseLength(first)
	return err == nil && in >= desk.LeastCut
}

// sizeBegins says whether a word goes on with the size that the one before it
// began: the x between two lengths, or the fraction of 2 1/2.
func sizeBegins(s string) bool {
	return s == "x" || s == "×" || strings.Contains(s, "/")
}

// weightVar defines a flag that takes a weight, in grams.
func weightVar(cmd *cobra.Command, to *float64, name, usage string) {
	readVar(cmd.Flags(), to, name, "", usage, desk.ReadWeight)
	spacedFlags(cmd.Flags(), name)
}

func newUse(l *line) *cobra.Command {
	var f whichFlags
	var take stash.Take
	number := oneNumber(&take.Count, mostPieces,
		fault.Usage("", "say how many you used", "write their number, like 'piecebag use 8 --family blue --cut 2½'"),
		fault.Usage("", "this is not a number of pieces", "write a whole number, and what they are by flags: 'piecebag use 8 --family blue --cut 2½'"))
	cmd := &cobra.Command{
		Use:   "use COUNT | --weight WEIGHT",
		Short: "Take pieces out of the stash, or cloth by its weight",
		Long: `Use takes a number of pieces out of the stash. The flags say which; the oldest go
first. Cloth that was added by weight is taken out by weight. If the stash holds
less than you name, nothing is taken. 'piecebag undo' puts back what was taken.`,
		Example: `  piecebag use 8 --family blue --value dark --cut 2½
  piecebag use 1 --id 12
  piecebag use --weight 100g --family brown`,
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case take.Grams == 0:
				return number(cmd, args)
			case len(args) > 0:
				return fault.Usage("", "a count and --weight cannot be given together", "say how many, or how much by weight")
			}
			return nil
		},
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (c stash.Change, err error) {
			if !f.given {
				return c, fault.Usage("", "say which pieces you used", "name them by their colour, cut, basket or number, like --family blue --cut 2½")
			}
			take.Filter = f.Filter
			return d.Use(ctx, take)
		}),
	}
	f.define(cmd)
	weightVar(cmd, &take.Grams, "weight", "the `WEIGHT` of cloth used, e.g. 100g, where it was added by weight")
	return cmd
}
