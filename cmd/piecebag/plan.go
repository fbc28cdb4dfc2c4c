package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// planFlags are those of plan, as written.
type planFlags struct {
	documentFlags
	shop shopFlags

	blocks, layout, size, bed, wash string
	block                           string
	background, save, forget        string
	prefer                          preferFlag
	noStash, why                    bool
}

func newPlan(l *ledger) *cobra.Command {
	var f planFlags
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
  piecebag plan reading-corner --size 48x64 --html quilt.html --pdf quilt.pdf
  piecebag plan nine-patch --bed twin --seam 7.5mm --block 15cm --why
  piecebag plan log-cabin --blocks 24 --save "winter quilt"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.forget != "" {
				return forgetPlan(cmd, l, args, &f)
			}
			if err := onePlan(args); err != nil {
				return err
			}
			return runPlan(cmd.Context(), l, args[0], &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	f.sizeVars(cmd)
	fl.StringVar(&f.background, "background", "", "cut the background from this `PRINT` of the stash")
	f.prefer.define(cmd)
	f.shop.define(cmd)
	fl.BoolVar(&f.noStash, "no-stash", false, "do not look into the stash")
	fl.StringVar(&f.save, "save", "", "keep the plan under this `NAME`")
	fl.StringVar(&f.forget, "forget", "", "take away the plan kept under this `NAME`")
	fl.BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.documentFlags.define(cmd)
	return cmd
}

// sizeVars defines the flags that say how large the quilt is.
func (f *planFlags) sizeVars(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.blocks, "blocks", "", "how many `BLOCKS`, laid out as near to square as they go")
	measureVar(fl, &f.layout, "layout", "", "so many blocks across and down, `COLUMNSxROWS`, e.g. 4x5")
	measureVar(fl, &f.size, "size", "", "at least this large when finished: `WIDTHxLENGTH`, e.g. 60x72 or 150x200cm")
	wordVar(fl, &f.bed, "bed", "", "for this `BED`: "+strings.Join(bedNames(), ", "))
	measureVar(fl, &f.block, "block", "", "make the block another finished `WIDTH`, e.g. 9 or 15cm")
	fl.StringVar(&f.wash, "wash", "0", "make it larger, by the `PERCENTAGE` that it will shrink in the wash")
}

func onePlan(args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return fault.Usage("", "no recipe is given", "name one, e.g. piecebag plan ohio-star --layout 4x5; 'piecebag recipe list' lists them")
	}
	return fault.Usage(args[1], "one recipe at a time", "plan the next quilt by itself")
}

// forgetPlan takes a saved plan away.
func forgetPlan(cmd *cobra.Command, l *ledger, args []string, f *planFlags) error {
	if len(args) > 0 || f.save != "" {
		return fault.Usage("", "--forget takes a plan away; it does not make one", "write it alone, like piecebag plan --forget \"winter quilt\"")
	}
	return l.make(f.json, func(d *desk.Desk) (stash.Change, error) { return d.ForgetPlan(cmd.Context(), f.forget) })
}

func bedNames() []string {
	names := make([]string, len(plan.Beds))
	for i, b := range plan.Beds {
		names[i] = b.Name
	}
	return names
}

func runPlan(ctx context.Context, l *ledger, name string, f *planFlags) error {
	if f.noStash && (f.save != "" || f.background != "") {
		return fault.Usage("", "with --no-stash there is no stash to save to or to take a background from", "leave it off")
	}
	prefer, err := f.prefer.read()
	if err != nil {
		return err
	}
	r, _, err := readRecipe(name)
	if err != nil {
		return err
	}
	unit := f.shop.unit(f.size, f.block)
	if r, err = resized(r, f.block, unit); err != nil {
		return err
	}
	order, err := f.order(r, unit)
	if err != nil {
		return err
	}
	shop, err := f.shop.read(unit)
	if err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	p := report.Plan{Why: f.why}
	err = l.at("working", func(d *desk.Desk) error {
		p.Plan, err = d.Plan(ctx, desk.PlanRequest{
			Order: order, Shop: shop, NoStash: f.noStash, Background: f.background, Prefer: prefer, Save: f.save,
		})
		if err == nil && p.Pull != nil && len(files) > 0 {
			p.Crops, err = l.crops(ctx, d, desk.Pulled(p.Pull.Cover), report.ChipSide)
		}
		return err
	})
	if err != nil {
		return err
	}
	if f.save != "" {
		words := fmt.Sprintf("the plan is kept as %q", f.save)
		if p.Replaced {
			words += ", in place of the one kept under this name"
		}
		l.s.note(words)
	}
	return f.answer(l.s, files, p.Document(), p.JSON)
}

// order reads how large the quilt is.
func (f *planFlags) order(r *recipe.Recipe, bare cloth.Unit) (plan.Order, error) {
	o := plan.Order{Recipe: r, Bed: f.bed}
	given := 0
	for _, s := range []string{f.blocks, f.layout, f.size, f.bed} {
		if s != "" {
			given++
		}
	}
	if given != 1 {
		reason := "say how large the quilt is"
		if given > 1 {
			reason = "the quilt's size is given more than once"
		}
		return o, fault.Usage("", reason, "give one of --blocks 24, --layout 4x6, --size 60x72 or --bed twin")
	}
	var err error
	if o.Shrinks, err = percentage("wash", f.wash, plan.MostWash); err != nil {
		return o, err
	}
	if o.Shrinks > 0 && f.size == "" && f.bed == "" {
		return o, fault.Usage("", "--wash makes a size or a bed larger, and neither is given", "leave it off, or write --size 60x72")
	}
	switch {
	case f.blocks != "":
		n, err := strconv.Atoi(f.blocks)
		if err != nil || n < 1 {
			return o, wrong("blocks", f.blocks, "this is not a number of blocks", "write a whole number, like 24")
		}
		o.Blocks = n
	case f.layout != "":
		across, down, _ := strings.Cut(crossed(f.layout), "x")
		var wide, high error
		o.Columns, wide = strconv.Atoi(strings.TrimSpace(across))
		o.Rows, high = strconv.Atoi(strings.TrimSpace(down))
		if wide != nil || high != nil || o.Columns < 1 || o.Rows < 1 {
			return o, wrong("layout", f.layout, "this is not a number of blocks across and down", "write it like 4x5")
		}
	case f.size != "":
		sides, err := cloth.ParseSides(f.size, bare)
		if err != nil || len(sides) != 2 {
			return o, wrongLength("size", f.size, err, "this is not a size", "write the width, x and the length, like 60x72 or 150x200cm")
		}
		o.WidthIn, o.LengthIn = sides[0], sides[1]
	}
	return o, nil
}

func crossed(s string) string { return strings.ReplaceAll(strings.ToLower(s), "×", "x") }

// shopFlags say how you sew, cut and buy.
type shopFlags struct {
	seam, wof, backWOF, squaring, shrink, trim, oneWay string
	metric                                             bool
}

func (f *shopFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	measureVar(fl, &f.seam, "seam", "¼", "the `SEAM` allowance: ¼, scant, 6.5mm, 7.5mm")
	fl.BoolVar(&f.metric, "metric", false, "read and write centimetres; lengths in cm or mm have them written too")
	measureVar(fl, &f.wof, "wof", "40in", "the usable `WIDTH` of fabric, selvages off")
	measureVar(fl, &f.backWOF, "back-wof", "", "the usable `WIDTH` of the backing, if it is another")
	measureVar(fl, &f.squaring, "squaring", "0", "the `LENGTH` lost from each cut of cloth when it is squared up")
	fl.StringVar(&f.shrink, "shrink", "0", "buy this `PERCENTAGE` more, for shrinkage, e.g. 6")
	measureVar(fl, &f.trim, "trim", "0", "cut squares for triangles this `LENGTH` larger, to trim later, e.g. ⅛")
	fl.StringVar(&f.oneWay, "one-way", "", "`ROLES` whose print has an up and must not be turned, with commas between")
}

// unit is what lengths that name none are in, of these and of others beside them.
func (f *shopFlags) unit(others ...string) cloth.Unit {
	return unitOf(f.metric, append(others, f.seam, f.wof, f.backWOF, f.squaring, f.trim)...)
}

func (f *shopFlags) read(bare cloth.Unit) (plan.Shop, error) {
	system, err := readSystem(f.seam, bare)
	if err != nil {
		return plan.Shop{}, err
	}
	if system.Trim, err = lengthOrNone("trim", f.trim, bare); err != nil {
		return plan.Shop{}, err
	}
	s := plan.Defaults(system)
	if s.WOFIn, err = fabricWidth("wof", f.wof, bare); err != nil {
		return s, err
	}
	if s.SquaringIn, err = lengthOrNone("squaring", f.squaring, bare); err != nil {
		return s, err
	}
	if s.Shrink, err = percentage("shrink", f.shrink, plan.MostShrink); err != nil {
		return s, err
	}
	if f.backWOF != "" {
		if s.BackWOFIn, err = fabricWidth("back-wof", f.backWOF, bare); err != nil {
			return s, err
		}
	}
	for _, role := range strings.Split(f.oneWay, ",") {
		if role = strings.TrimSpace(role); role != "" {
			s.OneWay = append(s.OneWay, role)
		}
	}
	return s, nil
}

// percentage reads a percentage, with its sign or without, as a share of at most
// so much.
func percentage(flag, s string, most float64) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(s), "%"), 64)
	if err != nil || !(v >= 0 && v <= 100*most) {
		reason := "this is not a percentage"
		if v > 0 {
			reason = "cloth does not shrink by so much"
		}
		return 0, wrong(flag, s, reason, fmt.Sprintf("write a percentage from 0 to %g, like 5", 100*most))
	}
	return v / 100, nil
}

func fabricWidth(flag, s string, bare cloth.Unit) (float64, error) {
	in, err := cloth.ParseLengths([]string{s}, bare)
	if err != nil {
		return 0, wrongLength(flag, s, err, "this is not a width of fabric", "write its usable width, like 40 or 106cm")
	}
	return in[0], nil
}
