package main

import (
	"cmp"
	"context"
	"errors"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/arrange"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
)

// mostAgain is how many layouts are made at once.
const mostAgain = 24

func newArrange(l *line) *cobra.Command {
	var f documentFlags
	var order orderFlags
	var keep, apart []string
	ask := desk.ArrangeRequest{Look: arrange.Even, Again: 1}
	cmd := &cobra.Command{
		Use:   "arrange RECIPE|QUILT",
		Short: "Lay a quilt out with your own prints, so that nothing alike touches",
		Long: `Arrange gives every patch of a quilt that is a print a piece of the stash: what has
the right size as it is, and where that is not enough what the plan of cuts gives. No
two that touch are of one hue family or of one print, those of many colours only not
of one print. Where that cannot be, it says how few touches there must be and why.

Then it makes the layout look as you ask with --look:
  even         darks, lights and brights all over the quilt, repeats far apart
  wash-across  light to dark from left to right; wash-down, from the top;
               wash-out, from the middle
  hue-round    by hue, once round the quilt
  random       as it falls, but for what touches

--save NAME keeps the quilt with its layout, and its cloth for it: see 'piecebag help
quilt'. A quilt that is kept is laid out anew by its name, but for what is locked.

Rows have letters from the top and patches numbers from the left: A5. The same seed
gives the same layout. Ctrl-C ends the search and gives the best so far.`,
		Example: `  piecebag arrange plain-squares --block 2 --layout 20x20
  piecebag arrange reading-corner --size 48x64 --html quilt.html
  piecebag arrange nine-patch --layout 4x5 --again 4 --pdf layouts.pdf
  piecebag arrange plain-squares --layout 8x10 --keep A5=12 --apart 12,30
  piecebag arrange nine-patch --layout 4x5 --save "winter quilt" --picture quilt.png
  piecebag arrange "winter quilt" --seed 7`,
		Args: oneOrder("piecebag arrange ohio-star --layout 4x5"),
	}
	cmd.RunE = l.layouts(&f, func(ctx context.Context, d *desk.Desk, args []string) (_ desk.Arrangement, err error) {
		if ask.Keep, err = keptPatches(keep); err != nil {
			return desk.Arrangement{}, err
		}
		if ask.Apart, err = keptApart(apart); err != nil {
			return desk.Arrangement{}, err
		}
		sized := len(sizesGiven(cmd.Flags())) > 0
		if !sized { // a quilt by its name
			order.ask.Order, order.ask.Shop, err = d.Order(ctx, args[0])
			order.ask.Save = cmp.Or(order.ask.Save, args[0])
		}
		if sized || errors.Is(err, desk.ErrNoPlan) {
			err = order.read(args[0], cmd.Flags()) // which says what is missing
			if _, _, kept := d.Order(ctx, args[0]); sized && err != nil && kept == nil {
				err = fault.Usage(args[0], "you keep this quilt, and its size is known", "leave out how large it is, or name a recipe")
			}
		}
		if err != nil {
			return desk.Arrangement{}, err
		}
		ask.PlanRequest = order.ask
		return d.Arrange(ctx, ask)
	})
	order.sizeVars(cmd)
	fl := cmd.Flags()
	readVar(fl, &ask.Look, "look", string(ask.Look), "how it is to look: "+orList(arrange.Looks), oneOf(arrange.Looks, "there is no such look"))
	fl.Uint64Var(&ask.Seed, "seed", 1, "the `NUMBER` that chance begins with")
	fl.BoolVar(&ask.Corners, "corners", false, "patches that meet at a corner touch too")
	fl.StringArrayVar(&keep, "keep", nil, "keep a piece of the stash in a patch, `PATCH=NUMBER`, e.g. A5=12")
	fl.StringArrayVar(&apart, "apart", nil, "two pieces of the stash that never touch, `NUMBER,NUMBER`")
	readVar(fl, &ask.Again, "again", "1", "make `N` layouts, clearly different",
		count(1, mostAgain, "this is not a number of layouts", "write one from 1 to "+strconv.Itoa(mostAgain)))
	order.cutVars(cmd, "the background is this `PRINT` of the stash")
	fl.StringVar(&order.ask.Save, "save", "", "keep the quilt and its layout under this `NAME`")
	f.defineLayout(cmd)
	return cmd
}

// keptPatches reads what is to lie where, like A5=12.
func keptPatches(all []string) (out []desk.KeptPatch, err error) {
	for _, s := range all {
		patch, piece, ok := strings.Cut(s, "=")
		id, err := strconv.ParseInt(strings.TrimSpace(piece), 10, 64)
		if !ok || err != nil {
			return nil, wrong("keep", s, "this is not a patch and a piece", "write it like A5=12; 'piecebag shelf --pieces' lists the numbers")
		}
		out = append(out, desk.KeptPatch{Patch: strings.TrimSpace(patch), Holding: id})
	}
	return out, nil
}

// keptApart reads pairs of pieces, like 12,30.
func keptApart(all []string) (out [][2]int64, err error) {
	for _, s := range all {
		a, b, _ := strings.Cut(s, ",")
		x, e1 := strconv.ParseInt(strings.TrimSpace(a), 10, 64)
		y, e2 := strconv.ParseInt(strings.TrimSpace(b), 10, 64)
		if e1 != nil || e2 != nil {
			return nil, wrong("apart", s, "these are not two pieces", "write their numbers like 12,30")
		}
		out = append(out, [2]int64{x, y})
	}
	return out, nil
}
