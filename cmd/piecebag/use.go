package main

import (
	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

func newUse(l *ledger) *cobra.Command {
	var f whichFlags
	var weight string
	cmd := &cobra.Command{
		Use:   "use COUNT | --weight WEIGHT",
		Short: "Take pieces out of the stash, or cloth by its weight",
		Long: `Use takes a number of pieces out of the stash. The flags say which; the oldest go
first. Cloth that was added by weight is taken out by weight. If the stash holds
less than you name, nothing is taken. 'piecebag undo' puts back what was taken.`,
		Example: `  piecebag use 8 --family blue --value dark --cut 2½
  piecebag use 1 --id 12
  piecebag use --weight 100g --family brown`,
		Args: func(_ *cobra.Command, args []string) error {
			if weight != "" {
				if len(args) > 0 {
					return fault.Usage("", "a count and --weight cannot be given together", "say how many, or how much by weight")
				}
				return nil
			}
			if len(args) == 0 {
				return fault.Usage("", "say how many you used", "write their number, like 'piecebag use 8 --family blue --cut 2½'")
			}
			if _, ok := readCount(args[0], 1); !ok || len(args) > 1 {
				return fault.Usage(args[len(args)-1], "this is not a number of pieces", "write a whole number, and what they are by flags: 'piecebag use 8 --family blue --cut 2½'")
			}
			return nil
		},
	}
	f.define(cmd)
	measureVar(cmd.Flags(), &weight, "weight", "", "the `WEIGHT` of cloth used, e.g. 100g, where it was added by weight")
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if f.empty() {
			return fault.Usage("", "say which pieces you used", "name them by their colour, cut, basket or number, like --family blue --cut 2½")
		}
		which, err := f.filter()
		if err != nil {
			return err
		}
		take := stash.Take{Filter: which}
		if weight != "" {
			take.Grams, err = readWeight(weight)
		} else {
			take.Count, _ = readCount(args[0], 1)
		}
		if err != nil {
			return err
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.Use(cmd.Context(), take) })
	}
	return cmd
}
