package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newTeach(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "teach",
		Short: "Teach bins of your own, from photos of your baskets or from pieces",
		Long: `Teach learns how you sort. Show it photos of what is in one bin, or name pieces of
the stash that belong there; five examples of a bin are a good beginning. From
then on new pieces are sorted as you sort, and your bins go before the hue
families. Where the sorter is not sure of a piece, it asks you.`,
		Example: `  piecebag teach basket 'sea greens' seagreens.jpg
  piecebag teach piece 'sea greens' 12 15
  piecebag teach sort`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return fault.Usage(args[0], "teach does not do this", "write 'piecebag teach basket', 'teach piece', 'teach sort', 'teach list' or 'teach forget'")
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newTeachBasket(l), newTeachPiece(l), newTeachSort(l), newTeachList(l), newTeachForget(l))
	return cmd
}

// binAnd wants the name of a bin and something more.
func binAnd(what, like string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < 2 {
			return fault.Usage("", "name the bin and "+what, "write it as "+like)
		}
		return noBlank(args[0])
	}
}

func noBlank(bin string) error {
	if strings.TrimSpace(bin) == "" {
		return fault.Usage("", "a bin needs a name", "write one, like 'sea greens'")
	}
	return nil
}

func newTeachBasket(l *ledger) *cobra.Command {
	var f lookFlags
	cmd := &cobra.Command{
		Use:   "basket BIN PHOTO… [FOLDER…]",
		Short: "Learn a bin from photos of what is in it",
		Args:  binAnd("a photo of what is in it", "piecebag teach basket 'sea greens' seagreens.jpg"),
	}
	f.defineHelp(cmd)
	isNew := newFlag(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		o, err := f.options()
		if err != nil {
			return err
		}
		files, refused := photo.Walk(args[1:])
		if err := f.readPieces(&o, files); err != nil {
			return err
		}
		var done desk.Taught
		err = l.at("working", func(d *desk.Desk) error {
			done, err = d.Teach(cmd.Context(), desk.TeachRequest{Bin: args[0], New: *isNew, Files: files, Look: o})
			return err
		})
		refused = append(refused, done.Refused...)
		defer func() { l.s.faults(refused) }() // after the answer, as look names them
		switch {
		case errors.Is(err, desk.ErrNothingSeen) && len(refused) > 0:
			return errRefused
		case err != nil:
			return err
		}
		if err := l.changed(done.Change, *asJSON); err != nil {
			return err
		}
		if !*asJSON {
			if _, err := fmt.Fprint(l.s.out, taughtFirst(desk.Doubts(done.Seen))); err != nil {
				return answered(err)
			}
		}
		if len(refused) > 0 {
			return errRefused
		}
		return nil
	}
	return cmd
}

func newTeachPiece(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "piece BIN NUMBER…",
		Short: "Learn a bin from pieces of the stash",
		Args:  binAnd("the number of a piece", "piecebag teach piece 'sea greens' 12 15"),
	}
	isNew := newFlag(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		ids, err := somePieceNumbers(args[1:])
		if err != nil {
			return err
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) {
			return d.TeachPieces(cmd.Context(), args[0], *isNew, ids)
		})
	}
	return cmd
}

func newTeachSort(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "sort",
		Short: "Sort the pieces that are in none of your bins",
		Long: `Sort goes through all pieces that are in none of your bins, puts those that belong
into them, as one change, and says why. It lists the pieces that it is not sure of:
sort those yourself with 'piecebag fix NUMBERS --bin BIN' or '--no-bin'.`,
		Args: noArgs("teach sort"),
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return l.at("working", func(d *desk.Desk) error {
			done, err := d.Sort(cmd.Context())
			if err != nil {
				return err
			}
			if *asJSON {
				return answerJSON(l.s, report.SortingJSON(done))
			}
			_, err = fmt.Fprint(l.s.out, sortText(done))
			return answered(err)
		})
	}
	return cmd
}

// sortText says bin by bin what went in and why, then asks about the rest, with
// the command that answers for all of one likeliest bin.
func sortText(done desk.Sorting) string {
	var b strings.Builder
	for _, bin := range done.Bins {
		var lines []string
		for _, x := range done.Sorted {
			if x.Bin == bin {
				lines = append(lines, fmt.Sprintf("  piece %d (%s)\n", x.ID, plain(x.Reason)))
			}
		}
		if lines != nil {
			fmt.Fprintf(&b, "%s: %d sorted in\n%s", plain(bin), len(lines), strings.Join(lines, ""))
		}
	}
	if len(done.Sorted) == 0 {
		b.WriteString("nothing to sort in\n")
	}
	for _, u := range done.Unsure {
		fmt.Fprintf(&b, "piece %d: %s? (%s)\n", u.ID, plain(strings.Join(binNames(u.Likely), " or ")), plain(u.Reason))
	}
	b.WriteString(answersText(done.Unsure))
	return b.String()
}

func newTeachList(l *ledger) *cobra.Command {
	cmd := &cobra.Command{Use: "list", Short: "List your bins and how many examples each has", Args: noArgs("teach list")}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return l.at("working", func(d *desk.Desk) error {
			all, err := d.TaughtBins(cmd.Context())
			if err != nil {
				return err
			}
			if *asJSON {
				return answerJSON(l.s, map[string]any{"bins": all})
			}
			text := ""
			for _, b := range all {
				text += plain(b.Bin) + ": " + cloth.Count(b.Examples, "example") + "\n"
			}
			if text == "" {
				text = "you have taught no bin yet\n"
			}
			_, err = fmt.Fprint(l.s.out, text)
			return answered(err)
		})
	}
	return cmd
}

func newTeachForget(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "forget BIN",
		Short: "Forget what a bin was taught; the pieces in it stay there",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fault.Usage("", "say which bin to forget", "write one name, as 'piecebag teach list' has it")
			}
			return noBlank(args[0])
		},
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.Unteach(cmd.Context(), args[0]) })
	}
	return cmd
}
