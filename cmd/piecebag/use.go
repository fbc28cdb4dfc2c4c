package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"piecebag/internal/stash"
)

func newUse(l *ledger) *cobra.Command {
	var f whichFlags
	cmd := &cobra.Command{
		Use:   "use COUNT",
		Short: "Take pieces out of the stash",
		Long: `Use takes a number of pieces out of the stash: of those that the flags speak of,
those entered first go first. Where there are fewer, nothing is taken. 'piecebag
undo' puts them back.`,
		Example: `  piecebag use 8 --family blue --value dark --cut 2½
  piecebag use 1 --id 12`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return &usageError{"say how many were used", "write their number, like 'piecebag use 8 --family blue --cut 2½'"}
			}
			if _, ok := readCount(args[0], 1); !ok || len(args) > 1 {
				return &usageError{fmt.Sprintf("%s: this is no number of pieces", args[len(args)-1]), "write a whole number, and what they are by flags: 'piecebag use 8 --family blue --cut 2½'"}
			}
			return nil
		},
	}
	f.define(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := noneEmpty(cmd.Flags()); err != nil {
			return err
		}
		if f.empty() {
			return &usageError{"say which pieces were used", "name them by their colour, cut, basket or number, like --family blue --cut 2½"}
		}
		which, err := f.filter()
		if err != nil {
			return err
		}
		n, _ := readCount(args[0], 1)
		return l.remake(cmd, *asJSON, func(ctx context.Context, st *stash.Stash) (stash.Change, error) {
			return st.Use(ctx, stash.Take{Filter: which, Count: n})
		})
	}
	return cmd
}
