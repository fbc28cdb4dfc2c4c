package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

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
weight. A FORM is square, rectangle, strip or odd. Without one, it follows from
the sides: a strip is more than twice as long as wide, and a piece of one side a
square. The weight gives an area: cloth counts as 150 g a square metre unless you
set the weight of yours (see 'piecebag set --help').

The trade's words are read too: fat quarter, fat eighth, long quarter, half a yard,
½ metre, charm square, precut 2½-inch strips, 2½ strip width of fabric. A length in
yards or metres is cloth of the whole width. What a word is counted as is said; where
your cloth is wider or narrower, write its size.`,
		Example: `  piecebag add 12 --family blue --value dark --cut 2½
  piecebag add strip 2½ x 18 --family green
  piecebag add 3 fat quarters --family teal
  piecebag add 40 precut 2½-inch strips
  piecebag add half a yard --family white
  piecebag add 3 rectangles 2½ x 4½ --bin 'sea greens'
  piecebag add --weight 350g --family brown`,
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (c stash.Change, err error) {
			as := ""
			if ask.Holding, as, err = readHolding(args, &f); err != nil {
				return c, err
			}
			if ask.Grams > 0 && (ask.Holding.WidthIn > 0 || len(args) > 0) {
				return c, fault.Usage("", "--weight is for cloth without pieces, and a number or a size is given too", "leave one of them off")
			}
			if c, err = d.Add(ctx, ask); err == nil && as != "" {
				l.note(as)
			}
			return c, err
		}),
	}
	f.define(cmd, "family", "value", "bin", "cut", "as", "basket", "print")
	readVar(cmd.Flags(), &ask.Grams, "weight", "", "add cloth of this `WEIGHT`, e.g. 350g, 1.2kg, 12oz or 2lb", desk.ReadWeight)
	newVar(cmd, &ask.New)
	return cmd
}

const addRemedy = "write it as 'piecebag add 12 --cut 2½', 'piecebag add strip 2½ x 18' or 'piecebag add --weight 350g'"

// readHolding reads the words of add and its flags; as says how a word of the trade is
// counted.
func readHolding(args []string, f *whichFlags) (h cloth.Holding, as string, err error) {
	h = cloth.Holding{Form: f.Form, WidthIn: f.Cut, Family: f.Family, Value: f.Value, Bin: f.Bin, Print: f.Print, Basket: f.Basket}
	if len(args) == 0 {
		return h, "", nil
	}
	text := strings.Join(args, " ") // as many words as the shell made of it
	said, err := desk.ReadSaid(text, cloth.Inches)
	_, first := desk.ReadSaid(args[0], cloth.Inches)
	switch _, number := strconv.Atoi(text); {
	case number == nil && said.Count == 0:
		return h, "", fault.Usage("", text+": this is not a number of pieces", addRemedy)
	case err != nil && first != nil && !errors.Is(err, cloth.ErrCount):
		of := args[0]
		if of == "a" || of == "an" { // it says nothing by itself
			of = text
		}
		return h, "", fault.Usage("", of+": this is not a number of pieces, a form or a size", addRemedy)
	case err != nil:
		return h, "", err
	case h.Form != "" && said.Form != "" && h.Form != said.Form:
		return h, "", fault.Usage(text, "--as says another form", "leave one of them off")
	case f.Cut > 0 && said.WidthIn > 0:
		return h, "", fault.Usage("", "the size is given twice: --cut gives it too", "leave one of them off")
	}
	h.Count, h.Form = said.Count, cmp.Or(h.Form, said.Form)
	if said.WidthIn > 0 {
		h.WidthIn, h.LengthIn = said.WidthIn, said.LengthIn
	}
	return h, said.As, nil
}

func newUse(l *line) *cobra.Command {
	var f whichFlags
	var take stash.Removal
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
	readVar(cmd.Flags(), &take.Grams, "weight", "", "the `WEIGHT` of cloth used, e.g. 100g, where it was added by weight", desk.ReadWeight)
	return cmd
}

// whichFlags say which cloth is meant.
type whichFlags struct {
	stash.Filter
	shade cloth.Value // that the family was written with
	given bool        // any of them
}

// define adds the flags called by name; none given adds them all.
func (f *whichFlags) define(cmd *cobra.Command, names ...string) {
	w := &f.Filter
	name := func(s string) (string, error) { return strings.TrimSpace(s), nil } // as the stash keeps it
	for _, x := range []struct {
		name, usage string
		read        func(string) error
	}{
		{"family", "the hue `FAMILY`, e.g. blue, navy or 'dark blue'", f.readFamily},
		{"value", "the `VALUE`: light, medium-light, medium, medium-dark or dark", into(&w.Value, desk.ReadValue)},
		{"bin", "the `BIN` of your own", into(&w.Bin, name)},
		{"cut", "the `WIDTH` it is cut to, e.g. 2½ or 6cm", into(&w.Cut, desk.ReadCut)},
		{"as", "the `FORM`: squares, rectangles, strips, odd pieces, bands", into(&w.Form, desk.ReadForm)},
		{"basket", "the `BASKET` it is kept in", into(&w.Basket, name)},
		{"print", "the `PRINT` it is cut from", into(&w.Print, name)},
		{"id", "the `NUMBERS` of pieces as 'shelf --pieces' lists them, e.g. 12,15 or 13-60", func(s string) error {
			ids, err := readIDs(s)
			w.IDs, w.Named = ids.All, ids.Said
			return err
		}},
	} {
		if len(names) == 0 || slices.Contains(names, x.name) {
			readTo(cmd.Flags(), x.name, "", x.usage, func(s string) error {
				f.given = true
				return x.read(s)
			})
		}
	}
	// A family may bring its value, and another beside it is refused.
	before(cmd, func(fl *pflag.FlagSet) error {
		if f.shade != "" && f.Value != "" && f.shade != f.Value {
			return fault.Usage("", fmt.Sprintf("--family %s and --value %s say two values", fl.Lookup("family").Value, fl.Lookup("value").Value), "leave one of them off")
		}
		f.Value = cmp.Or(f.Value, f.shade)
		return nil
	})
}

// readFamily reads a hue family, which may be written with a value before it.
func (f *whichFlags) readFamily(s string) error {
	var ok bool
	if f.Family, f.shade, ok = cloth.ReadFamily(s); !ok {
		remedy := "write " + orList(cloth.Families)
		if v, isValue := cloth.ReadValue(s); isValue {
			remedy = "write --value " + string(v)
		}
		return unread("there is no such hue family", remedy)
	}
	return nil
}

const numbersRemedy = "write numbers as 'piecebag shelf --pieces' lists them, like 12 or 12,15 or 13-60"

// readIDs reads numbers of pieces for a flag.
func readIDs(s string) (desk.Numbers, error) {
	out, err := desk.ReadNumbers(s)
	if err != nil || out.All == nil {
		return out, unread("this is not a list of numbers of pieces", numbersRemedy)
	}
	return out, nil
}

// mostParts is the most that a piece is parted into at once.
const mostParts = 100

func newFix(l *line) *cobra.Command {
	var f whichFlags
	var lengths measures
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
	lengths.add(fl, "cut", "", "the `WIDTH` it is cut to, e.g. 2½ or 6cm", cutTo(&c.WidthIn))
	lengths.add(fl, "length", "", "its `LENGTH`, e.g. 18", cutTo(&c.LengthIn))
	readVar(fl, &c.Outline, "outline", "", "its corners in the photo, `X,Y,X,Y,X,Y…`", desk.ReadCorners)
	fl.BoolVar(&c.NotAPiece, "not-a-piece", false, "it is not a piece of cloth")
	readVar(fl, &c.Split, "split", "", "make `COUNT` equal pieces of it, along its length",
		count(2, mostParts, "a piece cannot be split into so many", fmt.Sprintf("write a whole number from 2 to %d", mostParts)))
	readVar(fl, &ask.Merge, "merge", "", "join the pieces of these `NUMBERS` to it, e.g. 13,14", readIDs)
	fl.Bool("no-print", false, "its print is not known")
	fl.Bool("no-bin", false, "it is in no bin of your own")
	notTogether(cmd, "leave one of them off", "print", "no-print")
	notTogether(cmd, "leave one of them off", "bin", "no-bin")
	notTogether(cmd, "say one of them at a time", "not-a-piece", "split", "merge")
	newVar(cmd, &ask.New)
	cmd.RunE = l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (done stash.Change, err error) {
		c.Family, c.Value, c.Form = f.Family, f.Value, f.Form
		bare := cloth.Inches
		if lengths.unit() == cloth.Unsaid { // a unit after one side counts for the other too
			bare = cloth.Centimetres
		}
		if err := lengths.read(bare); err != nil {
			return done, err
		}
		said := len(given(fl, "family", "value", "as", "print", "bin", "basket", "cut", "length", "outline", "split", "merge", "no-print", "no-bin")) > 0
		switch {
		case c.NotAPiece && said:
			return done, fault.Usage("", "--not-a-piece takes the piece out, and another flag says what it is", "leave one of them off")
		case !c.NotAPiece && !said:
			return done, fault.Usage("", "say what to correct", "write it as flags, like --family teal; see 'piecebag fix --help'")
		case len(ask.Pieces.All) > 1 && (c.Outline != nil || ask.Merge.All != nil):
			return done, fault.Usage("", "--outline and --merge are of one piece, and several are named", "correct them one after another")
		}
		name := func(flag, text string) *string {
			if len(given(fl, flag, "no-"+flag)) == 0 {
				return nil
			}
			return &text
		}
		c.Print, c.Bin, c.Basket = name("print", f.Print), name("bin", f.Bin), name("basket", f.Basket)
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
