package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// mostParts is the most that a piece is parted into at once.
const mostParts = 100

func newFix(l *line) *cobra.Command {
	var f whichFlags
	var cut, length string
	var noPrint, noBin bool
	var ask desk.FixRequest
	cmd := &cobra.Command{
		Use:     "fix NUMBER…",
		Aliases: []string{"correct"},
		Short:   "Correct what the stash says of pieces",
		Long: `Fix corrects a piece, by the number that 'piecebag shelf --pieces' lists, or many
at once: 12,15 or a range such as 13-60. What you say stays, also when the photo is
looked at again. --cut is the width; of a square it is both sides. --not-a-piece
takes out what is not cloth; --split makes several equal pieces of one; --merge joins
pieces that are parts of one. --outline is in pixels of the upright photo. When you
correct a bin, the sorter learns from it: see 'piecebag teach --help'.`,
		Example: `  piecebag fix 12 --family teal --value dark
  piecebag fix 12 --cut 2½ --length 18 --as strips
  piecebag fix 12,15,18 --bin 'sea greens'
  piecebag fix 13-60 --cut 3½
  piecebag fix 12 --merge 13,14`,
		Args: func(_ *cobra.Command, args []string) (err error) {
			ask.Pieces, err = somePieceNumbers(args)
			return err
		},
	}
	f.define(cmd, "family", "value", "as", "print", "bin", "basket")
	fl, c := cmd.Flags(), &ask.Correction
	fl.StringVar(&cut, "cut", "", "the `WIDTH` it is cut to, e.g. 2½ or 6cm")
	fl.StringVar(&length, "length", "", "its `LENGTH`, e.g. 18")
	spacedFlags(fl, "cut", "length")
	readVar(fl, &c.Outline, "outline", "", "its corners in the photo, `X,Y,X,Y,X,Y…`", desk.ReadCorners)
	fl.BoolVar(&c.NotAPiece, "not-a-piece", false, "it is not a piece of cloth")
	readVar(fl, &c.Split, "split", "", "make `COUNT` equal pieces of it, along its length",
		count(2, mostParts, "a piece cannot be split into so many", fmt.Sprintf("write a whole number from 2 to %d", mostParts)))
	readVar(fl, &ask.Merge, "merge", "", "join the pieces of these `NUMBERS` to it, e.g. 13,14", readIDs)
	fl.BoolVar(&noPrint, "no-print", false, "its print is not known")
	fl.BoolVar(&noBin, "no-bin", false, "it is in no bin of your own")
	notTogether(cmd, "leave one of them off", "print", "no-print")
	notTogether(cmd, "leave one of them off", "bin", "no-bin")
	notTogether(cmd, "say one of them at a time", "not-a-piece", "split", "merge")
	newVar(cmd, &ask.New)
	cmd.RunE = l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (done stash.Change, err error) {
		c.Family, c.Value, c.Form = f.Family, f.Value, f.Form
		if err := readSides(cut, length, c); err != nil {
			return done, err
		}
		said := f.given || cut+length != "" || c.Outline != nil || c.Split > 0 || ask.Merge.All != nil || noPrint || noBin
		switch {
		case c.NotAPiece && said:
			return done, fault.Usage("", "--not-a-piece takes the piece out, and another flag says what it is", "leave one of them off")
		case !c.NotAPiece && !said:
			return done, fault.Usage("", "say what to correct", "write it as flags, like --family teal; see 'piecebag fix --help'")
		case len(ask.Pieces.All) > 1 && (c.Outline != nil || ask.Merge.All != nil):
			return done, fault.Usage("", "--outline and --merge are of one piece, and several are named", "correct them one after another")
		}
		for _, x := range []struct {
			to   **string
			name string
			none bool
		}{{&c.Print, f.Print, noPrint}, {&c.Bin, f.Bin, noBin}, {&c.Basket, f.Basket, false}} {
			if x.name != "" || x.none {
				*x.to = &x.name
			}
		}
		return d.Fix(ctx, ask)
	})
	return cmd
}

// somePieceNumbers reads numbers of pieces that stand as words, one at least.
func somePieceNumbers(args []string) (desk.Numbers, error) {
	out, err := desk.ReadNumbers(strings.Join(args, " "))
	if err == nil && out.All == nil {
		err = fault.Usage("", "no piece is given", "write its number, as 'piecebag shelf --pieces' lists it")
	}
	return out, err
}

// readSides reads the sides of a piece, of which one or both may not be given. A unit
// after one side counts for the other too.
func readSides(cut, length string, c *stash.Correction) error {
	type side struct {
		flag, text string
		to         *float64
	}
	var given []side
	var texts []string
	for _, s := range []side{{"cut", cut, &c.WidthIn}, {"length", length, &c.LengthIn}} {
		if s.text == "" {
			continue
		}
		if _, err := desk.ReadLength(s.text); err != nil {
			return aboutFlag(s.flag, s.text, err)
		}
		given, texts = append(given, s), append(texts, s.text)
	}
	all, err := cloth.ParseLengths(texts, cloth.Inches)
	if err != nil {
		return err
	}
	for i, s := range given {
		if err := desk.IsCut(all[i]); err != nil {
			return aboutFlag(s.flag, s.text, err)
		}
		*s.to = all[i]
	}
	return nil
}
