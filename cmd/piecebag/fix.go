package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"piecebag/internal/geom"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
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
		Use:     "fix NUMBER",
		Aliases: []string{"correct"},
		Short:   "Correct what the stash says of a piece",
		Long: `Fix corrects one piece, by the number that 'piecebag shelf --pieces' lists. What
you say stays, also when the photo is looked at again. --not-a-piece takes out
what is no cloth; --split parts a piece into so many alike; --merge joins to it
pieces that are parts of it. --outline is in pixels of the upright photo. A bin
that you correct is learnt from: see 'piecebag teach --help'.`,
		Example: `  piecebag fix 12 --family teal --value dark
  piecebag fix 12 --cut 2½ --length 18 --as strips
  piecebag fix 12 --bin 'sea greens'
  piecebag fix 12 --merge 13,14`,
		Args: onePiece,
	}
	f.which.define(cmd, "family", "value", "cut", "as", "print", "bin", "basket")
	fl := cmd.Flags()
	fl.StringVar(&f.length, "length", "", "its `LENGTH`, e.g. 18")
	fl.StringVar(&f.outline, "outline", "", "its corners in the photo, `X,Y,X,Y,X,Y…`")
	fl.BoolVar(&f.notAPiece, "not-a-piece", false, "it is no piece of cloth")
	fl.StringVar(&f.split, "split", "", "part it into `COUNT` alike, along its length")
	fl.StringVar(&f.merge, "merge", "", "join the pieces of these `NUMBERS` to it, e.g. 13,14")
	fl.BoolVar(&f.noPrint, "no-print", false, "its print is not known")
	fl.BoolVar(&f.noBin, "no-bin", false, "it is in no bin of your own")
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := noneEmpty(cmd.Flags()); err != nil {
			return err
		}
		id, _ := readID(args[0])
		c, err := f.correction()
		if err != nil {
			return err
		}
		return l.remake(cmd, *asJSON, func(ctx context.Context, st *stash.Stash) (stash.Change, error) {
			return correct(ctx, st, id, c)
		})
	}
	return cmd
}

func onePiece(_ *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"which piece is meant is missing", "write its number, as 'piecebag shelf --pieces' lists it"}
	}
	if _, err := readID(args[0]); err != nil || len(args) > 1 {
		return &usageError{fmt.Sprintf("%s: this is no number of a piece", args[len(args)-1]), "write one number, as 'piecebag shelf --pieces' lists it"}
	}
	return nil
}

// correct corrects a piece. One that is put in a bin of hers is an example to
// learn from; that is kept first, so that undo takes the correction back before
// it.
func correct(ctx context.Context, st *stash.Stash, id int64, c stash.Correction) (stash.Change, error) {
	if c.Bin == nil || *c.Bin == "" {
		return st.Correct(ctx, id, c)
	}
	held, err := st.Holdings(ctx, stash.Filter{IDs: []int64{id}})
	if err != nil {
		return stash.Change{}, err
	}
	learnt := false
	if len(held) == 1 {
		if f, ok := teach.FeaturesOfHolding(held[0]); ok {
			example, err := exampleOf(f)
			if err != nil {
				return stash.Change{}, err
			}
			if _, err := st.Teach(ctx, *c.Bin, example); err != nil {
				return stash.Change{}, err
			}
			learnt = true
		}
	}
	done, err := st.Correct(ctx, id, c)
	if err != nil && learnt {
		_, undone := st.Undo(ctx)
		err = errors.Join(err, undone)
	}
	return done, err
}

func (f *fixFlags) correction() (stash.Correction, error) {
	which, err := f.which.filter()
	if err != nil {
		return stash.Correction{}, err
	}
	c := stash.Correction{Family: which.Family, Value: which.Value, Form: which.Form, WidthIn: which.Cut, NotAPiece: f.notAPiece}
	if c.LengthIn, err = readCut("length", f.length); err != nil {
		return c, err
	}
	text := func(given string, none bool, flag string) (*string, error) {
		switch {
		case given != "" && none:
			return nil, &usageError{fmt.Sprintf("--%s and --no-%s exclude each other", flag, flag), "leave one of them off"}
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
		if !ok {
			return c, wrong("split", f.split, "a piece cannot be parted into so many", "write a whole number from 2 up")
		}
		c.Split = n
	}
	if c.Merge, err = readIDs("merge", f.merge); err != nil {
		return c, err
	}
	return c, f.complete(c)
}

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
		return &usageError{"--not-a-piece, --split and --merge exclude each other", "say one of them at a time"}
	case *f == fixFlags{}:
		return &usageError{"what is to be corrected is missing", "say it by flags, like --family teal; see 'piecebag fix --help'"}
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
		return nil, wrong("outline", s, "this is no outline", "write three corners or more in pixels of the photo: X,Y,X,Y,X,Y")
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
