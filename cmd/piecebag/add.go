package main

import (
	"context"
	"errors"
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
	which, err := f.filter()
	if err != nil {
		return cloth.Holding{}, err
	}
	h := cloth.Holding{
		Form: which.Form, WidthIn: which.Cut, Family: which.Family, Value: which.Value,
		Bin: which.Bin, Print: which.Print, Basket: which.Basket,
	}
	rest := args
	if len(rest) > 0 {
		// A lone number that no form follows is a count where the size is a flag.
		if n, ok := readCount(rest[0], 1); ok && (len(rest) == 1 || !sizeBegins(rest[1])) {
			h.Count, rest = n, rest[1:]
		}
	}
	if len(rest) > 0 {
		if form, ok := forms[strings.ToLower(rest[0])]; ok {
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
	case err != nil || len(sides) > 2 || slices.Min(sides) < leastCut || slices.Max(sides) > farthest:
		return h, fault.Usage(text, "this is not a size", "write it as 2½, 2½ x 18 or 6 x 45cm")
	case which.Cut > 0:
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
	return err == nil && in >= leastCut
}

// sizeBegins says whether a word goes on with the size that the one before it
// began: the x between two lengths, or the fraction of 2 1/2.
func sizeBegins(s string) bool {
	return s == "x" || s == "×" || strings.Contains(s, "/")
}

// weightVar defines a flag that takes a weight, in grams.
func weightVar(cmd *cobra.Command, to *float64, name, usage string) {
	readVar(cmd.Flags(), to, name, "", usage, readWeight)
	spacedFlags(cmd.Flags(), name)
}

func readWeight(s string) (float64, error) {
	grams, err := cloth.ParseWeight(s)
	switch {
	case errors.Is(err, cloth.ErrThousands):
		return 0, unread(err.Error(), "write the number without a comma")
	case err != nil:
		return 0, unread(err.Error(), "write it with its unit, like 350g, 1.2kg, 12oz or 2lb")
	}
	return grams, nil
}
