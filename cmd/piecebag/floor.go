package main

import (
	"cmp"
	"context"
	"strconv"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

func newFloor(l *line) *cobra.Command {
	return group(&cobra.Command{
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
	}, "write 'piecebag floor set', 'floor list' or 'floor clear'", newFloorSet(l), newFloorList(l), newFloorClear(l))
}

// define adds the flags that say which bins a floor is of.
func (f *whichFlags) defineFloor(cmd *cobra.Command) { f.define(cmd, "family", "value", "bin", "cut") }

func (f *whichFlags) floor(n int) (shelf.Floor, error) {
	which, err := f.filter()
	floor := shelf.Floor{Alike: shelf.Alike{Family: which.Family, Value: which.Value, Own: which.Bin}, Least: n}
	if which.Cut > 0 {
		floor.Cut = shelf.Square(which.Cut)
	}
	return floor, err
}

func newFloorSet(l *line) *cobra.Command {
	var f whichFlags
	var n int
	var isNew bool
	cmd := &cobra.Command{
		Use:   "set COUNT",
		Short: "Set a floor: for one bin, a colour, a cut or all",
		Args: oneNumber(&n, mostPieces,
			fault.Usage("", "say how many pieces you want", "write their number, like 'piecebag floor set 8'"),
			fault.Usage("", "this is not a number of pieces", "write a whole number above 0, like 'piecebag floor set 8'; 'piecebag floor clear' takes a floor away")),
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (c stash.Change, err error) {
			floor, err := f.floor(n)
			if err != nil {
				return c, err
			}
			return d.SetFloor(ctx, floor, isNew)
		}),
	}
	f.defineFloor(cmd)
	newVar(cmd, &isNew)
	return cmd
}

func newFloorClear(l *line) *cobra.Command {
	var f whichFlags
	cmd := &cobra.Command{
		Use:   "clear",
		Short: "Take a floor away; without flags that of every bin",
		Args:  noArgs,
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (c stash.Change, err error) {
			floor, err := f.floor(0)
			if err != nil {
				return c, err
			}
			return d.ClearFloor(ctx, floor)
		}),
	}
	f.defineFloor(cmd)
	return cmd
}

func newFloorList(l *line) *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "List the floors", Args: noArgs,
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
			all, err := d.Floors(ctx)
			text := ""
			for _, f := range all {
				text += strconv.Itoa(f.Least) + "  " + plain(f.String()) + "\n"
			}
			return report.FloorsJSON(all), cmp.Or(text, "no floor is set\n"), err
		}),
	}
}
