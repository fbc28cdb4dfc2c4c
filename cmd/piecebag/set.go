package main

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// usualWidth is that of quilting cotton off the roll, inches: McCloskey, "How to
// figure yardage for a quilt" (featheredstar.wordpress.com) counts 40 usable.
const usualWidth = 40

func newSet(l *line) *cobra.Command {
	var want desk.SetRequest
	var yard string
	var width float64
	show := l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
		now, err := d.Settings(ctx)
		return report.SettingsJSON(now), fmt.Sprintf("bins by: %s\nsquared off the end of a strip: %s\nweight of cloth: %.0f g a square metre\n",
			now.Bins, shelf.Length(now.TrimIn), now.GSM), err
	})
	change := l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) { return d.Set(ctx, want) })
	cmd := &cobra.Command{
		Use:   "set",
		Short: "Show or change how the stash counts",
		Long: `Set shows or changes what the stash counts with. 'set bins family' sorts the shelf
by hue family, with the values told within each bin; 'set bins value' sorts it by
value, and 'set bins both' by family and value. --trim is what you square off the end
of a strip. --yard is what one yard of your cloth weighs, and
--width how wide that yard is: they turn the weight of cloth into its area.`,
		Example: `  piecebag set bins both
  piecebag set --trim ½
  piecebag set --yard 140g --width 42`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			switch {
			case width > 0 && yard == "":
				return fault.Usage("", "--width is the width of the yard you weighed, and --yard is missing", "write --yard 140g --width 42")
			case yard != "":
				if want.GSM, err = readYard(yard, width); err != nil {
					return err
				}
			case want == (desk.SetRequest{}):
				return show(cmd, args)
			}
			return change(cmd, args)
		},
	}
	fl := cmd.Flags()
	readVar(fl, &want.TrimIn, "trim", "", "the `LENGTH` squared off a strip, e.g. ½ or 1cm; 0 for none", desk.ReadTrim)
	fl.StringVar(&yard, "yard", "", "the `WEIGHT` of one yard of your cloth, e.g. 140g")
	readVar(fl, &width, "width", "", "the `WIDTH` of that yard, e.g. 42; "+strconv.Itoa(usualWidth)+" without it", desk.ReadCut)
	spacedFlags(fl, "trim", "yard", "width")
	cmd.AddCommand(newSetBins(l))
	return cmd
}

func newSetBins(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "bins family|value|both",
		Short: "Say by what the shelf is sorted into bins",
		Args:  cobra.ArbitraryArgs,
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (stash.Change, error) {
			by := shelf.Sorting(slices.Index(shelf.Sortings, strings.Join(args, " ")))
			if by < 0 {
				return stash.Change{}, fault.Usage(strings.Join(args, " "), "the shelf is not sorted so", "write 'piecebag set bins family', 'value' or 'both'")
			}
			return d.Set(ctx, desk.SetRequest{Bins: &by})
		}),
	}
}

// readYard is the weight of cloth in grams a square metre, from that of a yard of a
// width in inches; 0: the usual.
func readYard(yard string, width float64) (float64, error) {
	grams, err := desk.ReadWeight(yard)
	if err != nil {
		return 0, wrong("yard", yard, "this is not a weight", "write it with its unit, like 140g or 5oz")
	}
	gsm, ok := desk.YardWeight(grams, cmp.Or(width, usualWidth))
	if !ok {
		return 0, wrong("yard", yard, fmt.Sprintf("cloth of %.0f g a square metre is too light or too heavy to sew with", gsm), "weigh one yard of one thickness, and say its width by --width")
	}
	return gsm, nil
}

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

func (f *whichFlags) floor(n int) shelf.Floor {
	floor := shelf.Floor{Alike: shelf.Alike{Family: f.Family, Value: f.Value, Own: f.Bin}, Least: n}
	if f.Cut > 0 {
		floor.Cut = shelf.Square(f.Cut)
	}
	return floor
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
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) {
			return d.SetFloor(ctx, f.floor(n), isNew)
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
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) {
			return d.ClearFloor(ctx, f.floor(0))
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
