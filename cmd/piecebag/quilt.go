package main

import (
	"context"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"piecebag/internal/arrange"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newQuilt(l *line) *cobra.Command {
	cmd := group(&cobra.Command{
		Use:   "quilt",
		Short: "The quilts you keep: show, change, copy them; mark what is cut and sewn",
		Long: `Quilt works on the plans that you keep with --save. Patches are named as the layout
names them: A5 is the fifth of the first row; a row by its letter, a block by its
name without the number after the point. What is marked cut is taken out of the
stash, and its pieces and remnants are put in with their sizes; what is marked sewn
is taken out. 'piecebag undo' takes back each of these.`,
		Example: `  piecebag arrange nine-patch --layout 4x5 --save "winter quilt"
  piecebag quilt swap "winter quilt" A5 C7
  piecebag quilt lock "winter quilt" A1 A2
  piecebag quilt sewn "winter quilt" A B`,
	}, "see 'piecebag quilt --help'", newQuiltList(l), newQuiltShow(l))
	quarters := 1
	edit := func(of func(patches []string) desk.Edit) layingOut {
		return func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error) {
			return d.EditQuilt(ctx, args[0], of(args[1:]))
		}
	}
	for _, e := range []struct {
		use, short, example, names string
		least, most                int // words
		get                        layingOut
	}{
		{"swap QUILT PATCH PATCH", "Let two pieces change places", `swap "winter quilt" A5 C7`, "patches", 3, 3,
			edit(func(p []string) desk.Edit { return desk.Edit{Swap: [2]string(p)} })},
		{"turn QUILT PATCH", "Turn the cloth of a patch", `turn "winter quilt" A5`, "patch", 2, 2,
			edit(func(p []string) desk.Edit { return desk.Edit{Turn: p[0], By: quarters} })},
		{"lock QUILT PATCH…", "Keep pieces where they lie when the quilt is laid out again", `lock "winter quilt" A1 A2`, "patches", 2, mostPieces,
			edit(func(p []string) desk.Edit { return desk.Edit{Lock: p} })},
		{"unlock QUILT PATCH…", "Let pieces go again", `unlock "winter quilt" A1 A2`, "patches", 2, mostPieces,
			edit(func(p []string) desk.Edit { return desk.Edit{Unlock: p} })},
		{"copy QUILT NAME", "Keep a quilt under another name too, from what is left of the stash", `copy "winter quilt" "winter quilt again"`, "copy", 2, 2,
			func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error) {
				return d.CopyQuilt(ctx, args[0], args[1])
			}},
	} {
		var f documentFlags
		like := "piecebag quilt " + e.example
		one := &cobra.Command{
			Use: e.use, Short: e.short, Example: "  " + like,
			Args: wants(e.least, e.most, "name the quilt, and its "+e.names, "write it like "+like),
			RunE: l.layouts(&f, e.get),
		}
		if one.Name() == "turn" {
			one.Flags().IntVar(&quarters, "quarters", quarters, "by so many `QUARTERS` clockwise")
		}
		f.defineLayout(one)
		cmd.AddCommand(one)
	}
	for _, m := range []struct {
		stage plan.Stage
		short string
	}{
		{plan.PulledStage, "Mark pieces as pulled from their baskets"},
		{plan.CutStage, "Mark pieces as cut: the stash holds them so, and the remnants"},
		{plan.SewnStage, "Mark pieces as sewn: the stash holds them no more"},
	} {
		cmd.AddCommand(newQuiltMark(l, m.stage, m.short))
	}
	cmd.AddCommand(newQuiltForget(l))
	cmd.RunE = l.answersQuilts()
	return cmd
}

// wants returns the rule of a command of quilt, which works on so many words.
func wants(least, most int, reason, remedy string) cobra.PositionalArgs {
	no := fault.Usage("", reason, remedy)
	return takes(least, most, no, no)
}

const listsQuilts = "'piecebag quilt list' lists them"

// defineLayout adds the flags of a command that answers with a quilt's layout.
func (f *documentFlags) defineLayout(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.picture, "picture", "", "write a picture of the quilt in your own cloth, in grey and from across the room, to `FILE` (PNG)")
	fl.StringVar(&f.svg, "svg", "", "write the drawing alone to `FILE`")
	f.define(cmd)
}

// layingOut is a verb that answers with a quilt's layout.
type layingOut = func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error)

// layouts runs a verb that answers with a quilt's layout. One that is broken off gives
// the best until then.
func (l *line) layouts(f *documentFlags, get layingOut) runE {
	return l.shows(f, func(ctx context.Context, d *desk.Desk, args []string) (_ shown, err error) {
		a := report.Arrangement{Wording: wording, Drawn: f.pictured()}
		if a.Arrangement, err = get(ctx, d, args); err == nil && f.pictured() {
			side := report.ChipSide
			if f.picture != "" {
				side = a.CropSide()
			}
			err = l.dress(context.WithoutCancel(ctx), d, &a, side)
		}
		return shown{document: a.Document, json: a.JSON, svg: a.SVG, picture: a.Picture}, err
	})
}

// dress gives a layout the crops of its cloth, so many pixels long.
func (l *line) dress(ctx context.Context, d *desk.Desk, a *report.Arrangement, side int) error {
	photos, by, err := d.ClothOf(ctx, &a.Arrangement)
	if err == nil {
		a.Crops, err = l.cut(ctx, photos, side)
	}
	a.Crops.Show(by)
	return err
}

func newQuiltShow(l *line) *cobra.Command {
	var f documentFlags
	var why string
	show := l.layouts(&f, func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error) {
		return d.Quilt(ctx, args[0])
	})
	cmd := &cobra.Command{
		Use: "show QUILT", Short: "Show a quilt as it was laid out",
		Example: `  piecebag quilt show "winter quilt" --picture quilt.png
  piecebag quilt show "winter quilt" --why A5`,
		Args: wants(1, 1, "name one quilt", listsQuilts),
		RunE: func(cmd *cobra.Command, args []string) error {
			if why == "" {
				return show(cmd, args)
			}
			return l.at("working", func(d *desk.Desk) error {
				a, err := d.Quilt(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				w, err := a.Why(why)
				if err != nil {
					return err
				}
				return answered(report.WhyHere(w).Text(l.out, l.textOptions()))
			})
		},
	}
	cmd.Flags().StringVar(&why, "why", "", "say why the piece of this `PATCH` lies there")
	f.defineLayout(cmd)
	return cmd
}

func newQuiltForget(l *line) *cobra.Command {
	return &cobra.Command{
		Use: "forget QUILT", Short: "Keep a quilt no more; its cloth is free again",
		Example: `  piecebag quilt forget "winter quilt"`,
		Args:    wants(1, 1, "name one quilt", listsQuilts),
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (stash.Change, error) {
			return d.ForgetPlan(ctx, args[0])
		}),
	}
}

func newQuiltMark(l *line, stage plan.Stage, short string) *cobra.Command {
	return &cobra.Command{
		Use: string(stage) + " QUILT [ROW|BLOCK|PATCH…]", Short: short,
		Example: fmt.Sprintf("  piecebag quilt %[1]s \"winter quilt\"\n  piecebag quilt %[1]s \"winter quilt\" A B3", stage),
		Args:    atLeastOne("no quilt is named", "write it like piecebag quilt sewn \"winter quilt\""),
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, args []string) (any, string, error) {
			m, err := d.MarkQuilt(ctx, desk.MarkRequest{Quilt: args[0], Stage: stage, Blocks: args[1:]})
			return map[string]any{"pieces": m.Pieces, "cut_beside": m.Others, "cloth_cut": m.Cloth, "remnants_back": m.Back, "done": m.Done}, report.Marked(m, stage) + "\n", err
		}),
	}
}

func newQuiltList(l *line) *cobra.Command {
	return &cobra.Command{Use: "list", Short: "List the quilts you keep", Args: noArgs, RunE: l.answersQuilts()}
}

// answersQuilts lists the quilts that are kept.
func (l *line) answersQuilts() runE {
	return l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
		all, err := d.Quilts(ctx)
		text := report.QuiltsText(all)
		if len(all) == 0 {
			text = "no quilt is kept yet: plan or arrange one with --save NAME\n"
		}
		return report.QuiltsJSON(all), text, err
	})
}

// mostAgain is how many layouts are made at once.
const mostAgain = 24

func newArrange(l *line) *cobra.Command {
	var f documentFlags
	var order orderFlags
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
		if err := order.read(args[0]); err != nil {
			return desk.Arrangement{}, err
		}
		ask.PlanRequest = order.ask
		if ask, err = d.Asked(ctx, order.recipe, ask); err != nil {
			return desk.Arrangement{}, err
		}
		return d.Arrange(ctx, ask)
	})
	order.sizeVars(cmd)
	fl := cmd.Flags()
	readVar(fl, &ask.Look, "look", string(ask.Look), "how it is to look: "+orList(arrange.Looks), oneOf(arrange.Looks, "there is no such look"))
	fl.Uint64Var(&ask.Seed, "seed", 1, "the `NUMBER` that chance begins with")
	fl.BoolVar(&ask.Corners, "corners", false, "patches that meet at a corner touch too")
	manyVar(fl, &ask.Keep, "keep", "keep a piece of the stash in a patch, `PATCH=NUMBER`, e.g. A5=12", desk.ReadKept)
	manyVar(fl, &ask.Apart, "apart", "two pieces of the stash that never touch, `NUMBER,NUMBER`", desk.ReadApart)
	readVar(fl, &ask.Again, "again", "1", "make `N` layouts, clearly different",
		count(1, mostAgain, "this is not a number of layouts", "write one from 1 to "+strconv.Itoa(mostAgain)))
	order.cutVars(cmd, "the background is this `PRINT` of the stash")
	fl.BoolVar(&order.ask.Choose, "choose", false, "choose the block width and how units are made so that your cloth is used best")
	fl.StringVar(&order.ask.Save, "save", "", "keep the quilt and its layout under this `NAME`")
	f.defineLayout(cmd)
	return cmd
}
