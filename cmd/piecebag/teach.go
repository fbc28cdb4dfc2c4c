package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newTeach(l *line) *cobra.Command {
	return group(&cobra.Command{
		Use:   "teach",
		Short: "Teach bins of your own, from photos of your baskets or from pieces",
		Long: `Teach learns how you sort. Show it photos of what is in one bin, or name pieces of
the stash that belong there; five examples of a bin are a good beginning. From
then on new pieces are sorted as you sort, and your bins go before the hue
families. Where the sorter is not sure of a piece, it asks you.`,
		Example: `  piecebag teach basket 'sea greens' seagreens.jpg
  piecebag teach piece 'sea greens' 12 15
  piecebag teach sort`,
	}, "write 'piecebag teach basket', 'teach piece', 'teach sort', 'teach list' or 'teach forget'",
		newTeachBasket(l), newTeachPiece(l), newTeachSort(l), newTeachList(l), newTeachForget(l))
}

// binAnd wants the name of a bin and something more.
func binAnd(what, like string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		few := fault.Usage("", "name the bin and "+what, "write it as "+like)
		return cmp.Or(takes(2, mostPieces, few, nil)(cmd, args), noBlank(args))
	}
}

func noBlank(args []string) error {
	if len(args) > 0 && strings.TrimSpace(args[0]) == "" {
		return fault.Usage("", "a bin needs a name", "write one, like 'sea greens'")
	}
	return nil
}

func newTeachBasket(l *line) *cobra.Command {
	var f photoFlags
	var ask desk.TeachRequest
	cmd := &cobra.Command{
		Use:   "basket BIN PHOTO… [FOLDER…]",
		Short: "Learn a bin from photos of what is in it",
		Args:  binAnd("a photo of what is in it", "piecebag teach basket 'sea greens' seagreens.jpg"),
	}
	f.define(cmd)
	newVar(cmd, &ask.New)
	cmd.RunE = func(cmd *cobra.Command, args []string) (err error) {
		files, refused := photo.Walk(args[1:])
		ask.Bin, ask.Files = args[0], files
		if ask.Look, err = f.options(files); err != nil {
			return err
		}
		var done desk.Taught
		err = l.at("working", func(d *desk.Desk) (err error) {
			done, err = d.Teach(cmd.Context(), ask)
			return err
		})
		refused = append(refused, done.Refused...)
		switch {
		case errors.Is(err, desk.ErrNothingSeen) && len(refused) > 0:
			err = nil // that they were refused says why
		case err == nil:
			err = l.answer(report.ChangeJSON(done.Change), report.ChangeText(done.Change)+taughtFirst(desk.Doubts(done.Seen)))
		}
		return l.refused(refused, err)
	}
	return cmd
}

// taughtFirst returns what to look at first of what a bin was learnt from: of it the
// outlines matter, not the names.
func taughtFirst(all []desk.DoubtedIn) string {
	all = slices.DeleteFunc(all, func(d desk.DoubtedIn) bool { return !slices.Contains(d.Of, desk.OutlineDoubt) })
	for i := range all {
		all[i].Of = []desk.Doubt{desk.OutlineDoubt}
	}
	slices.SortStableFunc(all, func(a, b desk.DoubtedIn) int { return cmp.Compare(a.Piece.Trust, b.Piece.Trust) })
	text := firstText("look at these first: the bin was learnt from them too", all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d of %s: %s", d.Piece.ID, plain(d.File), report.Doubts(d.Doubted))
	})
	if text != "" {
		text += "if one is wrong, write 'piecebag undo', and teach it again with --pieces or --crop\n"
	}
	return text
}

func newTeachPiece(l *line) *cobra.Command {
	var isNew bool
	cmd := &cobra.Command{
		Use:   "piece BIN NUMBER…",
		Short: "Learn a bin from pieces of the stash",
		Args:  binAnd("the number of a piece", "piecebag teach piece 'sea greens' 12 15"),
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (c stash.Change, err error) {
			pieces, err := somePieceNumbers(args[1:])
			if err != nil {
				return c, err
			}
			return d.TeachPieces(ctx, args[0], isNew, pieces)
		}),
	}
	newVar(cmd, &isNew)
	return cmd
}

func newTeachSort(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "sort",
		Short: "Sort the pieces that are in none of your bins",
		Long: `Sort goes through all pieces that are in none of your bins, puts those that belong
into them, as one change, and says why. It lists the pieces that it is not sure of:
sort those yourself with 'piecebag fix NUMBERS --bin BIN' or '--no-bin'.`,
		Args: noArgs,
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
			done, err := d.Sort(ctx)
			return report.SortingJSON(done), report.SortedText(done) + asksText("", done.Unsure), err
		}),
	}
}

func newTeachList(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List your bins and how many examples each has",
		Args:  noArgs,
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
			all, err := d.TaughtBins(ctx)
			text := ""
			for _, b := range all {
				text += plain(b.Bin) + ": " + cloth.Count(b.Examples, "example") + "\n"
			}
			return map[string]any{"bins": all}, cmp.Or(text, "you have taught no bin yet\n"), err
		}),
	}
}

func newTeachForget(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "forget BIN",
		Short: "Forget what a bin was taught; the pieces in it stay there",
		Args: func(cmd *cobra.Command, args []string) error {
			return cmp.Or(wants(1, 1, "say which bin to forget", "write one name, as 'piecebag teach list' has it")(cmd, args), noBlank(args))
		},
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (stash.Change, error) {
			return d.Unteach(ctx, args[0])
		}),
	}
}
