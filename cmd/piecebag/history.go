package main

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// usualHistory is how many changes history lists unasked.
const usualHistory = 20

func newHistory(l *line) *cobra.Command {
	n := usualHistory
	return &cobra.Command{
		Use:   "history [COUNT]",
		Short: "List the last changes of the stash",
		Long:  fmt.Sprintf("History lists the last changes of the stash, the last first: %d unless a number is\ngiven. A star marks those that can still be undone.", usualHistory),
		Args:  oneNumber(&n, mostPieces, nil, fault.Usage("", "this is not a number of changes", "write a whole number, like 'piecebag history 50'")),
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
			all, err := d.History(ctx, n)
			return report.ChangesMadeJSON("changes", all), cmp.Or(historyText(all), "no change yet\n"), err
		}),
	}
}

func historyText(all []stash.Change) string {
	rows := make([]string, len(all))
	for i, c := range all {
		star, difference := " ", ""
		if c.Undoable {
			star = "*"
		}
		if len(c.Difference) > 0 {
			difference = differenceWords(c)
		}
		rows[i] = fmt.Sprintf("%s %d\t%s\t%s\t%s\t%s", star, c.ID, c.At.Local().Format(time.DateOnly+" 15:04"), c.Verb, plain(c.What), difference)
	}
	return columns(rows...)
}

func newUndo(l *line) *cobra.Command {
	return l.stepping("undo", "undone", (*desk.Desk).Undo, "Take back the last change of the stash, or the last few",
		fmt.Sprintf(`Undo takes back the last change of the stash, photos included. With a number it
takes back that many changes, the latest first. The last %d can be taken back.`, stash.Undoable))
}

func newRedo(l *line) *cobra.Command {
	return l.stepping("redo", "redone", (*desk.Desk).Redo, "Do again what undo took back last",
		`Redo does again what undo took back last, or with a number that many. Any other change
of the stash in between ends it, and so does a photo that left with what was taken
back: stow it again.`)
}

// steps goes so many changes back or forth, and tells of each as soon as it is done.
type steps func(d *desk.Desk, ctx context.Context, n int, told func(stash.Change) error) ([]stash.Change, error)

// stepping is a command that goes back or forth.
func (l *line) stepping(use, done string, take steps, short, long string) *cobra.Command {
	n := 1
	return &cobra.Command{
		Use: use + " [COUNT]", Short: short, Long: long,
		Args: oneNumber(&n, stash.Undoable, nil, fault.Usage("", "this is not a number of changes", fmt.Sprintf("write a number from 1 to %d", stash.Undoable))),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return l.at("working", func(d *desk.Desk) error {
				all, failed := take(d, cmd.Context(), n, func(c stash.Change) error {
					if l.json {
						return nil
					}
					return l.answer(nil, done+": "+c.Verb+" "+changeText(c))
				})
				if l.json && (failed == nil || len(all) > 0) {
					if err := l.answer(report.ChangesMadeJSON(done, all), ""); err != nil {
						return err
					}
				}
				return failed
			})
		},
	}
}
