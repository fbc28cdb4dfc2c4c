package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// usualWidth is that of quilting cotton off the roll, inches: McCloskey, "How to
// figure yardage for a quilt" (featheredstar.wordpress.com) counts 40 usable.
const usualWidth = 40

func newSet(l *ledger) *cobra.Command {
	var trim, yard, width string
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
		Args: noArgs("set"),
	}
	cmd.AddCommand(newSetBins(l))
	measureVar(cmd.Flags(), &trim, "trim", "", "the `LENGTH` squared off a strip, e.g. ½ or 1cm; 0 for none")
	measureVar(cmd.Flags(), &yard, "yard", "", "the `WEIGHT` of one yard of your cloth, e.g. 140g")
	measureVar(cmd.Flags(), &width, "width", "", "the `WIDTH` of that yard, e.g. 42; "+strconv.Itoa(usualWidth)+" without it")
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		var want desk.SetRequest
		if trim != "" {
			in, err := readTrim(trim)
			if err != nil {
				return err
			}
			want.TrimIn = &in
		}
		if width != "" && yard == "" {
			return fault.Usage("", "--width is the width of the yard you weighed, and --yard is missing", "write --yard 140g --width 42")
		}
		if yard != "" {
			var err error
			if want.GSM, err = readYard(yard, width); err != nil {
				return err
			}
		}
		if want == (desk.SetRequest{}) {
			return l.settings(cmd.Context(), *asJSON)
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.Set(cmd.Context(), want) })
	}
	return cmd
}

func newSetBins(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bins family|value|both",
		Short: "Say by what the shelf is sorted into bins",
		Args:  cobra.ArbitraryArgs,
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if at := slices.Index(shelf.Sortings, strings.Join(args, " ")); at >= 0 {
			by := shelf.Sorting(at)
			return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.Set(cmd.Context(), desk.SetRequest{Bins: &by}) })
		}
		return fault.Usage(strings.Join(args, " "), "the shelf is not sorted so", "write 'piecebag set bins family', 'value' or 'both'")
	}
	return cmd
}

// readTrim reads what is squared off a strip; 0 is nothing.
func readTrim(s string) (float64, error) {
	if s == "0" {
		return 0, nil
	}
	in, err := cloth.ParseLength(s)
	if err != nil || in > mostCut {
		return 0, wrong("trim", s, "this is not a length", "write what you square off a strip, like ½ or 1cm, or 0")
	}
	return in, nil
}

// readYard is the weight of cloth in grams a square metre, from that of a yard.
func readYard(yard, width string) (float64, error) {
	grams, err := readWeight(yard)
	if err != nil {
		return 0, wrong("yard", yard, "this is not a weight", "write it with its unit, like 140g or 5oz")
	}
	in := float64(usualWidth)
	if width != "" {
		if in, err = readCut("width", width); err != nil {
			return 0, err
		}
	}
	gsm, ok := desk.YardWeight(grams, in)
	if !ok {
		return 0, wrong("yard", yard, fmt.Sprintf("cloth of %.0f g a square metre is too light or too heavy to sew with", gsm), "weigh one yard of one thickness, and say its width by --width")
	}
	return gsm, nil
}

func (l *ledger) settings(ctx context.Context, asJSON bool) error {
	return l.at("working", func(d *desk.Desk) error {
		now, err := d.Settings(ctx)
		if err != nil {
			return err
		}
		if asJSON {
			return answerJSON(l.s, report.SettingsJSON(now))
		}
		var b strings.Builder
		fmt.Fprintf(&b, "bins by: %s\n", now.Bins)
		fmt.Fprintf(&b, "squared off the end of a strip: %s\n", shelf.Length(now.TrimIn))
		fmt.Fprintf(&b, "weight of cloth: %.0f g a square metre\n", now.GSM)
		_, err = fmt.Fprint(l.s.out, b.String())
		return answered(err)
	})
}
