package main

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/arrange"
	"piecebag/internal/desk"
)

// arrangeFlags are those of arrange, as written.
type arrangeFlags struct {
	planFlags
	quiltFlags
	look    string
	seed    uint64
	corners bool
	keep    []string
	apart   []string
	again   int
}

func newArrange(l *ledger) *cobra.Command {
	var f arrangeFlags
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
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := onePlan(args); err != nil {
				return err
			}
			return runArrange(cmd.Context(), l, args[0], &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	f.sizeVars(cmd)
	wordVar(fl, &f.look, "look", string(arrange.Even), "how it is to look: "+orList(lookNames()))
	fl.Uint64Var(&f.seed, "seed", 1, "the `NUMBER` that chance begins with")
	fl.BoolVar(&f.corners, "corners", false, "patches that meet at a corner touch too")
	fl.StringArrayVar(&f.keep, "keep", nil, "keep a piece of the stash in a patch, `PATCH=NUMBER`, e.g. A5=12")
	fl.StringArrayVar(&f.apart, "apart", nil, "two pieces of the stash that never touch, `NUMBER,NUMBER`")
	fl.IntVar(&f.again, "again", 1, "make `N` layouts, clearly different")
	fl.StringVar(&f.background, "background", "", "the background is this `PRINT` of the stash")
	f.prefer.define(cmd)
	f.shop.define(cmd)
	fl.StringVar(&f.save, "save", "", "keep the quilt and its layout under this `NAME`")
	f.quiltFlags.define(cmd)
	return cmd
}

func lookNames() []string {
	out := make([]string, len(arrange.Looks))
	for i, l := range arrange.Looks {
		out[i] = string(l)
	}
	return out
}

func runArrange(ctx context.Context, l *ledger, name string, f *arrangeFlags) error {
	var err error
	ask := desk.ArrangeRequest{Look: arrange.Look(f.look), Seed: f.seed, Corners: f.corners, Again: f.again}
	ask.Background, ask.Save = f.background, f.save
	if ask.Prefer, err = f.prefer.read(); err != nil {
		return err
	}
	if f.again < 1 || f.again > mostAgain {
		return wrong("again", strconv.Itoa(f.again), "this is not a number of layouts", "write one from 1 to "+strconv.Itoa(mostAgain))
	}
	if ask.Keep, err = keptPatches(f.keep); err != nil {
		return err
	}
	if ask.Apart, err = keptApart(f.apart); err != nil {
		return err
	}
	kept := f.blocks == "" && f.layout == "" && f.size == "" && f.bed == ""
	if !kept {
		if err := f.read(name, &ask.PlanRequest); err != nil {
			return err
		}
	}
	return f.quiltFlags.show(ctx, l, func(ctx context.Context, d *desk.Desk) (desk.Arrangement, error) {
		if kept { // a quilt by its name
			if ask.Order, ask.Shop, err = d.Order(ctx, name); err != nil {
				if errors.Is(err, desk.ErrNoPlan) {
					return desk.Arrangement{}, f.read(name, &ask.PlanRequest) // which says what is missing
				}
				return desk.Arrangement{}, err
			}
			if ask.Save == "" {
				ask.Save = name
			}
		}
		return d.Arrange(ctx, ask)
	})
}

// read reads a recipe, how large the quilt is and how it is cut.
func (f *planFlags) read(name string, ask *desk.PlanRequest) error {
	r, _, err := readRecipe(name)
	if err != nil {
		return err
	}
	unit := f.shop.unit(f.size, f.block)
	if r, err = resized(r, f.block, unit); err != nil {
		return err
	}
	if ask.Order, err = f.order(r, unit); err != nil {
		return err
	}
	ask.Shop, err = f.shop.read(unit)
	return err
}

// mostAgain is how many layouts are made at once.
const mostAgain = 24

// keptPatches reads what is to lie where, like A5=12.
func keptPatches(all []string) (out []desk.KeptPatch, err error) {
	for _, s := range all {
		patch, piece, ok := strings.Cut(s, "=")
		id, err := strconv.ParseInt(strings.TrimSpace(piece), 10, 64)
		if !ok || err != nil {
			return nil, wrong("keep", s, "this is not a patch and a piece", "write it like A5=12; 'piecebag shelf --pieces' lists the numbers")
		}
		out = append(out, desk.KeptPatch{Patch: strings.ToUpper(strings.TrimSpace(patch)), Holding: id})
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
