package main

import (
	"fmt"
	"strconv"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// usualHistory is how many changes history lists unasked.
const usualHistory = 20

func newHistory(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "history [COUNT]",
		Short: "List the last changes of the stash",
		Long:  fmt.Sprintf("History lists the last changes of the stash, the last first: %d unless a number is\ngiven. A star marks those that can still be undone.", usualHistory),
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			if _, ok := readCount(args[0], 1); !ok || len(args) > 1 {
				return fault.Usage(args[len(args)-1], "this is not a number of changes", "write a whole number, like 'piecebag history 50'")
			}
			return nil
		},
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		n := usualHistory
		if len(args) > 0 {
			n, _ = readCount(args[0], 1)
		}
		return l.at("working", func(d *desk.Desk) error {
			all, err := d.History(cmd.Context(), n)
			if err != nil {
				return err
			}
			return l.history(all, *asJSON)
		})
	}
	return cmd
}

func (l *ledger) history(all []stash.Change, asJSON bool) error {
	if asJSON {
		return answerJSON(l.s, report.ChangesMadeJSON("changes", all))
	}
	if len(all) == 0 {
		_, err := fmt.Fprintln(l.s.out, "no change yet")
		return answered(err)
	}
	w := tabwriter.NewWriter(l.s.out, 0, 0, 2, ' ', 0)
	for _, c := range all {
		star := " "
		if c.Undoable {
			star = "*"
		}
		difference := ""
		if len(c.Difference) > 0 {
			difference = report.Difference(c.Difference)
		}
		fmt.Fprintf(w, "%s %s\t%s\t%s\t%s\t%s\n", star, strconv.FormatInt(c.ID, 10), c.At.Local().Format(time.DateOnly+" 15:04"), c.Verb, plain(c.What), difference)
	}
	return answered(w.Flush())
}
