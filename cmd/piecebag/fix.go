package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/stash"
)

// fixFlags are those of fix, as written.
type fixFlags struct {
	which           whichFlags
	length, outline string
	notAPiece       bool
	split, merge    string
	noPrint, noBin  bool
}

func newFix(l *ledger) *cobra.Command {
	var f fixFlags
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
		Args: somePieces,
	}
	f.which.define(cmd, "family", "value", "cut", "as", "print", "bin", "basket")
	fl := cmd.Flags()
	measureVar(fl, &f.length, "length", "", "its `LENGTH`, e.g. 18")
	fl.StringVar(&f.outline, "outline", "", "its corners in the photo, `X,Y,X,Y,X,Y…`")
	fl.BoolVar(&f.notAPiece, "not-a-piece", false, "it is not a piece of cloth")
	fl.StringVar(&f.split, "split", "", "make `COUNT` equal pieces of it, along its length")
	fl.StringVar(&f.merge, "merge", "", "join the pieces of these `NUMBERS` to it, e.g. 13,14")
	fl.BoolVar(&f.noPrint, "no-print", false, "its print is not known")
	fl.BoolVar(&f.noBin, "no-bin", false, "it is in no bin of your own")
	isNew := newFlag(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		ids, _ := somePieceNumbers(args)
		merge, err := readIDs("merge", f.merge)
		if err != nil {
			return err
		}
		c, err := f.correction(merge.All)
		if err != nil {
			return err
		}
		if len(ids.All) > 1 && (c.Outline != nil || c.Merge != nil) {
			return fault.Usage("", "--outline and --merge are of one piece, and several are named", "correct them one after another")
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) {
			return d.Fix(cmd.Context(), desk.FixRequest{Pieces: ids, Correction: c, Merge: merge, New: *isNew})
		})
	}
	return cmd
}

func somePieces(_ *cobra.Command, args []string) error {
	_, err := somePieceNumbers(args)
	return err
}

// somePieceNumbers reads numbers of pieces that stand as words, one at least.
func somePieceNumbers(args []string) (desk.Numbers, error) {
	out, err := readNumbers(strings.Join(args, " "))
	if err == nil && out.All == nil {
		err = fault.Usage("", "no piece is given", "write its number, as 'piecebag shelf --pieces' lists it")
	}
	return out, err
}

func (f *fixFlags) correction(merge []int64) (stash.Correction, error) {
	which, err := f.which.filter()
	if err != nil {
		return stash.Correction{}, err
	}
	sides, err := readSides([]string{"cut", "length"}, []string{f.which.cut, f.length})
	if err != nil {
		return stash.Correction{}, err
	}
	c := stash.Correction{Family: which.Family, Value: which.Value, Form: which.Form, WidthIn: sides[0], LengthIn: sides[1], NotAPiece: f.notAPiece}
	text := func(given string, none bool, flag string) (*string, error) {
		switch {
		case given != "" && none:
			return nil, fault.Usage("", fmt.Sprintf("--%s and --no-%s cannot be given together", flag, flag), "leave one of them off")
		case given != "":
			return &given, nil
		case none:
			return new(string), nil
		}
		return nil, nil
	}
	if c.Print, err = text(f.which.print, f.noPrint, "print"); err != nil {
		return c, err
	}
	if c.Bin, err = text(f.which.bin, f.noBin, "bin"); err != nil {
		return c, err
	}
	if f.which.basket != "" {
		c.Basket = &f.which.basket
	}
	if c.Outline, err = readPolygon(f.outline); err != nil {
		return c, err
	}
	if f.split != "" {
		n, ok := readCount(f.split, 2)
		if !ok || n > mostParts {
			return c, wrong("split", f.split, "a piece cannot be split into so many", fmt.Sprintf("write a whole number from 2 to %d", mostParts))
		}
		c.Split = n
	}
	c.Merge = merge
	return c, f.complete(c)
}

// mostParts is the most that a piece is parted into at once.
const mostParts = 100

// complete refuses a correction that says nothing, or two things at once.
func (f *fixFlags) complete(c stash.Correction) error {
	shapes := 0
	for _, set := range []bool{c.NotAPiece, c.Split > 0, c.Merge != nil} {
		if set {
			shapes++
		}
	}
	switch {
	case shapes > 1:
		return fault.Usage("", "--not-a-piece, --split and --merge cannot be given together", "say one of them at a time")
	case c.NotAPiece && *f != fixFlags{notAPiece: true}:
		return fault.Usage("", "--not-a-piece takes the piece out, and another flag says what it is", "leave one of them off")
	case *f == fixFlags{}:
		return fault.Usage("", "say what to correct", "write it as flags, like --family teal; see 'piecebag fix --help'")
	}
	return nil
}

// readPolygon reads corners with commas between; nil where there are none.
func readPolygon(s string) (geom.Polygon, error) {
	if s == "" {
		return nil, nil
	}
	v, _ := numbers(s, 0)
	if len(v) < 6 || len(v)%2 == 1 {
		return nil, wrong("outline", s, "this is not an outline", "write three corners or more in pixels of the photo: X,Y,X,Y,X,Y")
	}
	var out geom.Polygon
	for i := 0; i < len(v); i += 2 {
		out = append(out, geom.Point{X: v[i], Y: v[i+1]})
	}
	if !(out.Area() > 0) {
		return nil, wrong("outline", s, "these corners enclose nothing", "write them in order round the piece: X,Y,X,Y,X,Y")
	}
	return out, nil
}
