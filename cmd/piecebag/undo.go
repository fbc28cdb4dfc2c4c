package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newUndo(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "undo [COUNT]",
		Short: "Take back the last change of the stash, or the last few",
		Long: fmt.Sprintf(`Undo takes back the last change of the stash, photos included. With a number it
takes back that many changes, the latest first. The last %d can be taken back.`, stash.Undoable),
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			if n, ok := readCount(args[0], 1); !ok || n > stash.Undoable || len(args) > 1 {
				return fault.Usage(args[len(args)-1], "this is not a number of changes", fmt.Sprintf("write a number from 1 to %d", stash.Undoable))
			}
			return nil
		},
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		n := 1
		if len(args) > 0 {
			n, _ = readCount(args[0], 1)
		}
		return l.at("working", func(d *desk.Desk) error { return l.undo(cmd.Context(), d, n, *asJSON) })
	}
	return cmd
}

func (l *ledger) undo(ctx context.Context, d *desk.Desk, n int, asJSON bool) error {
	undone, failed := d.Undo(ctx, n, func(c stash.Change) error {
		if asJSON {
			return nil
		}
		_, err := fmt.Fprint(l.s.out, "undone: "+c.Verb+" "+changeText(c))
		return answered(err)
	})
	if asJSON && (failed == nil || len(undone) > 0) {
		if err := answerJSON(l.s, report.ChangesMadeJSON("undone", undone)); err != nil {
			return err
		}
	}
	return failed
}
