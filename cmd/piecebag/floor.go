package main

import (
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

func newFloor(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "floor",
		Short: "Say how few pieces make a bin thin",
		Long: `A floor is the fewest pieces wanted in a bin: in one, in every bin of a colour or
of a cut, or in all. A bin holds what is alike in hue family and cut, or as 'piecebag set
bins' says; a floor with --value is of that value alone. --cut means squares of that
size. If several floors apply to a bin, the most particular one
counts. A colour or a value with a floor is held to that floor, and no longer to the
balance of the shelf.`,
		Example: `  piecebag floor set 8
  piecebag floor set 20 --cut 2½
  piecebag floor set 30 --family blue --value dark --cut 2½`,
		Args: noSuchFloor,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newFloorSet(l), newFloorList(l), newFloorClear(l))
	return cmd
}

func noSuchFloor(_ *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return fault.Usage(args[0], "floor does not do this", "write 'piecebag floor set', 'floor list' or 'floor clear'")
}

// floorFlags are those that say which bins a floor is of.
var floorFlags = []string{"family", "value", "bin", "cut"}

func (f *whichFlags) floor(n int) (shelf.Floor, error) {
	which, err := f.filter()
	floor := shelf.Floor{Alike: shelf.Alike{Family: which.Family, Value: which.Value, Own: which.Bin}, Least: n}
	if which.Cut > 0 {
		floor.Cut = shelf.Square(which.Cut)
	}
	return floor, err
}

func newFloorSet(l *ledger) *cobra.Command {
	var f whichFlags
	cmd := &cobra.Command{
		Use:   "set COUNT",
		Short: "Set a floor: for one bin, a colour, a cut or all",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fault.Usage("", "say how many pieces you want", "write their number, like 'piecebag floor set 8'")
			}
			if _, ok := readCount(args[0], 1); !ok || len(args) > 1 {
				return fault.Usage(args[len(args)-1], "this is not a number of pieces", "write a whole number above 0, like 'piecebag floor set 8'; 'piecebag floor clear' takes a floor away")
			}
			return nil
		},
	}
	f.define(cmd, floorFlags...)
	isNew := newFlag(cmd)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		n, _ := readCount(args[0], 1)
		floor, err := f.floor(n)
		if err != nil {
			return err
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.SetFloor(cmd.Context(), floor, *isNew) })
	}
	return cmd
}

func newFloorClear(l *ledger) *cobra.Command {
	var f whichFlags
	cmd := &cobra.Command{
		Use:   "clear",
		Short: "Take a floor away; without flags that of every bin",
		Args:  noArgs("floor clear"),
	}
	f.define(cmd, floorFlags...)
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		floor, err := f.floor(0)
		if err != nil {
			return err
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.ClearFloor(cmd.Context(), floor) })
	}
	return cmd
}

// noArgs refuses what stands after a command that takes only flags.
func noArgs(name string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return fault.Usage(args[0], fmt.Sprintf("%s takes only flags", name), fmt.Sprintf("see 'piecebag %s --help'", name))
		}
		return nil
	}
}

func newFloorList(l *ledger) *cobra.Command {
	cmd := &cobra.Command{Use: "list", Short: "List the floors", Args: noArgs("floor list")}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return l.at("working", func(d *desk.Desk) error {
			all, err := d.Floors(cmd.Context())
			if err != nil {
				return err
			}
			if *asJSON {
				return answerJSON(l.s, report.FloorsJSON(all))
			}
			text := ""
			for _, f := range all {
				text += strconv.Itoa(f.Least) + "  " + plain(f.String()) + "\n"
			}
			if text == "" {
				text = "no floor is set\n"
			}
			_, err = fmt.Fprint(l.s.out, text)
			return answered(err)
		})
	}
	return cmd
}
