package main

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// orderFlags say which quilt is meant, and how it is sewn and cut.
type orderFlags struct {
	shop   shopFlags
	layout [2]int // columns and rows
	block  float64
	ask    desk.PlanRequest
}

// sizeVars defines the flags that say how large the quilt is.
func (f *orderFlags) sizeVars(cmd *cobra.Command) {
	fl, o, lengths := cmd.Flags(), &f.ask.Order, &f.shop.lengths
	fl.SortFlags = false
	blocksVar(fl, &o.Blocks, "", "how many `BLOCKS`, laid out as near to square as they go")
	readVar(fl, &f.layout, "layout", "", "so many blocks across and down, `COLUMNSxROWS`, e.g. 4x5",
		crossedCounts(math.MaxInt, "this is not a number of blocks across and down", "write it like 4x5"))
	spacedFlags(fl, "layout")
	lengths.add(fl, "size", "", "at least this large when finished: `WIDTHxLENGTH`, e.g. 60x72 or 150x200cm", sizeTo(o))
	readVar(fl, &o.Bed, "bed", "", "for this `BED`: "+strings.Join(bedNames(), ", "), lower)
	lengths.blockTo(fl, &f.block)
	readVar(fl, &o.Shrinks, "wash", "0", "make it larger, by the `PERCENTAGE` that it will shrink in the wash", percentage(plan.MostWash))
}

// cutVars defines the flags that say how it is sewn and cut, and from what; background
// says what the background is.
func (f *orderFlags) cutVars(cmd *cobra.Command, background string) {
	cmd.Flags().StringVar(&f.ask.Background, "background", "", background)
	preferVar(cmd, &f.ask.Prefer)
	f.shop.define(cmd)
}

// oneOrder wants one recipe; example is a command with one.
func oneOrder(example string) cobra.PositionalArgs {
	return takes(1, 1,
		fault.Usage("", "no recipe is given", "name one, e.g. "+example+"; 'piecebag recipe list' lists them"),
		fault.Usage("", "one recipe at a time", "plan the next quilt by itself"))
}

// read reads the recipe, and the flags where they belong together.
func (f *orderFlags) read(name string, fl *pflag.FlagSet) (err error) {
	o := &f.ask.Order
	if o.Recipe, _, err = readRecipe(name); err != nil {
		return err
	}
	if f.ask.Shop, err = f.shop.read(); err != nil {
		return err
	}
	o.Columns, o.Rows = f.layout[0], f.layout[1]
	if err := sizeGiven(fl, o.Shrinks); err != nil || f.block == 0 {
		return err
	}
	o.Recipe, err = o.Recipe.Resize(f.block)
	return err
}

func newPlan(l *line) *cobra.Command {
	var f documentFlags
	var order orderFlags
	var forget string
	var p report.Plan
	ask := &order.ask
	cmd := &cobra.Command{
		Use:   "plan RECIPE",
		Short: "Work out a quilt: patches, cuts, cloth, and what the stash covers of it",
		Long: `Plan works out what a quilt is cut from, looks for it in the stash, and says what to
pull, what to cut and in which order, and what is still wanted. RECIPE is built in
('piecebag recipe list') or a file. Say how large the quilt is by one of --blocks,
--layout, --size and --bed. A plan you saved before keeps what it pulled from the
stash, and cloth that has come since and fills its gaps. Save a plan again under its
name, and it keeps its own pieces first.

The background is one fabric. Name its print with --background to cut it from the
stash; otherwise it is on the list of what to buy. --save NAME keeps the plan: the
bins it takes from then count as thin, and 'piecebag buy' lists what it lacks.
--forget NAME takes the plan away again.

Which pieces are taken and cut is chosen by aims, each before the next:
  1 cover most
  2 take pieces that are the right size as they are
  3 spread each role over the most prints
  4 cut into the smallest pieces that serve, short ones before long ones, squares last
  5 cut into the fewest pieces
  6 make the fewest cuts
  7 waste the least
This order is --prefer scraps. --prefer waste takes them in the order 1 2 7 5 4 6 3,
and --prefer variety in the order 1 3 2 4 5 6 7. No cloth is cut unless cover or
variety needs it.`,
		Example: `  piecebag plan ohio-star --layout 4x5
  piecebag plan reading-corner --size 48x64 --html order.html --pdf order.pdf
  piecebag plan nine-patch --bed twin --seam 7.5mm --block 15cm --why
  piecebag plan log-cabin --blocks 24 --save "winter quilt"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if forget == "" {
				return oneOrder("piecebag plan ohio-star --layout 4x5")(cmd, args)
			}
			if len(args) > 0 || ask.Save != "" {
				return fault.Usage("", "--forget takes a plan away; it does not make one", "write it alone, like piecebag plan --forget \"winter quilt\"")
			}
			return nil
		},
	}
	work := l.shows(&f, func(ctx context.Context, d *desk.Desk, args []string) (a shown, err error) {
		if ask.NoStash && (ask.Save != "" || ask.Background != "") {
			return a, fault.Usage("", "with --no-stash there is no stash to save to or to take a background from", "leave it off")
		}
		if err := order.read(args[0], cmd.Flags()); err != nil {
			return a, err
		}
		if p.Plan, err = d.Plan(ctx, *ask); err == nil && p.Pull != nil && f.pictured() {
			p.Crops, err = l.crops(ctx, d, desk.Pulled(p.Pull.Cover), report.ChipSide)
		}
		if err == nil && ask.Save != "" {
			words := fmt.Sprintf("the plan is kept as %q", ask.Save)
			if p.Replaced {
				words += ", in place of the one kept under this name"
			}
			l.note(words)
		}
		return shown{document: p.Document, json: p.JSON}, err
	})
	remove := l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) {
		return d.ForgetPlan(ctx, forget)
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if forget != "" {
			return remove(cmd, args)
		}
		return work(cmd, args)
	}
	order.sizeVars(cmd)
	order.cutVars(cmd, "cut the background from this `PRINT` of the stash")
	fl := cmd.Flags()
	fl.BoolVar(&ask.NoStash, "no-stash", false, "do not look into the stash")
	fl.StringVar(&ask.Save, "save", "", "keep the plan under this `NAME`")
	fl.StringVar(&forget, "forget", "", "take away the plan kept under this `NAME`")
	whyVar(cmd, &p.Why)
	f.define(cmd)
	return cmd
}

func bedNames() []string {
	names := make([]string, len(plan.Beds))
	for i, b := range plan.Beds {
		names[i] = b.Name
	}
	return names
}

// sizeGiven refuses a quilt whose size is not said, or more than once, and one whose
// size does not shrink though it is to be washed.
func sizeGiven(fl *pflag.FlagSet, shrinks float64) error {
	if n := len(sizesGiven(fl)); n != 1 {
		reason := "say how large the quilt is"
		if n > 1 {
			reason = "the quilt's size is given more than once"
		}
		return fault.Usage("", reason, "give one of --blocks 24, --layout 4x6, --size 60x72 or --bed twin")
	}
	if shrinks > 0 && !fl.Changed("size") && !fl.Changed("bed") {
		return fault.Usage("", "--wash makes a size or a bed larger, and neither is given", "leave it off, or write --size 60x72")
	}
	return nil
}

// sizesGiven are those flags of a quilt's size that are given.
func sizesGiven(fl *pflag.FlagSet) []string { return given(fl, "blocks", "layout", "size", "bed") }

// sizeTo reads the finished size of a order.
func sizeTo(o *plan.Order) func(string, cloth.Unit) error {
	return func(s string, bare cloth.Unit) error {
		sides, err := cloth.ParseSides(s, bare)
		if err != nil || len(sides) != 2 {
			return fault.New("", "this is not a size", "write the width, x and the length, like 60x72 or 150x200cm", err)
		}
		o.WidthIn, o.LengthIn = sides[0], sides[1]
		return nil
	}
}

// blocksVar defines a flag for a number of blocks; how many are too many, package plan
// says.
func blocksVar(fl *pflag.FlagSet, to *int, value, usage string) {
	readVar(fl, to, "blocks", value, usage, count(1, math.MaxInt, "this is not a number of blocks", "write a whole number, like 24"))
}

// preferVar defines the flag that says which of two cutting plans is better.
func preferVar(cmd *cobra.Command, to *cutting.Prefer) {
	*to = cutting.Scraps
	readVar(cmd.Flags(), to, "prefer", string(*to), "the `AIM` to cut by: scraps, waste or variety, in the orders above",
		oneOf([]cutting.Prefer{cutting.Scraps, cutting.Waste, cutting.Variety}, "there is no such aim"))
}

// whyVar defines the flag that has the arithmetic of an answer written out.
func whyVar(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "why", false, "write the arithmetic out")
}

// shopFlags say how you sew, cut and buy.
type shopFlags struct {
	lengths measures
	system  recipe.System
	trim    float64
	shop    plan.Shop // but for the system
}

func (f *shopFlags) define(cmd *cobra.Command) {
	fl, m, s := cmd.Flags(), &f.lengths, &f.shop
	width := func(to *float64) func(string, cloth.Unit) error {
		return lengthTo(to, "this is not a width of fabric", "write its usable width, like 40 or 106cm")
	}
	*s = plan.Defaults(recipe.Inches())
	m.seamTo(fl, &f.system)
	m.metricFlag(fl)
	m.add(fl, "wof", "40in", "the usable `WIDTH` of fabric, selvages off", width(&s.WOFIn))
	m.add(fl, "back-wof", "", "the usable `WIDTH` of the backing, if it is another", width(&s.BackWOFIn))
	m.add(fl, "squaring", "0", "the `LENGTH` lost from each cut of cloth when it is squared up", lengthOrNoneTo(&s.SquaringIn))
	readVar(fl, &s.Shrink, "shrink", "0", "buy this `PERCENTAGE` more, for shrinkage, e.g. 6", percentage(plan.MostShrink))
	m.add(fl, "trim", "0", "cut squares for triangles this `LENGTH` larger, to trim later, e.g. ⅛", lengthOrNoneTo(&f.trim))
	readVar(fl, &s.OneWay, "one-way", "", "`ROLES` whose print has an up and must not be turned, with commas between", readRoles)
}

// read is how you sew, cut and buy.
func (f *shopFlags) read() (plan.Shop, error) {
	if err := f.lengths.read(f.lengths.unit()); err != nil {
		return plan.Shop{}, err
	}
	f.system.Trim = f.trim
	f.shop.System = f.system
	return f.shop, nil
}

func readRoles(s string) (roles []string, err error) {
	for role := range strings.SplitSeq(s, ",") {
		if role = strings.TrimSpace(role); role != "" {
			roles = append(roles, role)
		}
	}
	return roles, nil
}

// percentage reads a percentage, with its sign or without, as a share of at most
// so much.
func percentage(most float64) func(string) (float64, error) {
	return func(s string) (float64, error) {
		v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(s), "%"), 64)
		if err != nil || !(v >= 0 && v <= 100*most) {
			reason := "this is not a percentage"
			if v > 0 {
				reason = "cloth does not shrink by so much"
			}
			return 0, unread(reason, fmt.Sprintf("write a percentage from 0 to %g, like 5", 100*most))
		}
		return v / 100, nil
	}
}
