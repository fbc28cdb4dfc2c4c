package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
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
	}, "see 'piecebag quilt --help'", newQuiltList(l), newQuiltShow(l), newQuiltCopy(l), newQuiltForget(l))
	for _, e := range []struct {
		use, short, example string
		least, most         int // patches
		edit                func(patches []string, quarters int) desk.Edit
	}{
		{"swap QUILT PATCH PATCH", "Let two pieces change places", "swap \"winter quilt\" A5 C7", 2, 2,
			func(p []string, _ int) desk.Edit { return desk.Edit{Swap: [2]string{p[0], p[1]}} }},
		{"turn QUILT PATCH", "Turn the cloth of a patch", "turn \"winter quilt\" A5 --quarters 2", 1, 1,
			func(p []string, q int) desk.Edit { return desk.Edit{Turn: p[0], By: q} }},
		{"lock QUILT PATCH…", "Keep pieces where they lie when the quilt is laid out again", "lock \"winter quilt\" A1 A2", 1, mostPieces,
			func(p []string, _ int) desk.Edit { return desk.Edit{Lock: p} }},
		{"unlock QUILT PATCH…", "Let pieces go again", "unlock \"winter quilt\" A1 A2", 1, mostPieces,
			func(p []string, _ int) desk.Edit { return desk.Edit{Unlock: p} }},
	} {
		cmd.AddCommand(newQuiltEdit(l, e.use, e.short, e.example, e.least, e.most, e.edit))
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
	cmd.RunE = l.answersQuilts()
	return cmd
}

// wants is the rule of a command of quilt, which works on so many words.
func wants(least, most int, reason, remedy string) cobra.PositionalArgs {
	no := fault.Usage("", reason, remedy)
	return takes(least, most, no, no)
}

const listsQuilts = "'piecebag quilt list' lists them"

// defineLayout adds the flags of a command that answers with a quilt's layout.
func (f *documentFlags) defineLayout(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&f.picture, "picture", "", "write a picture of the quilt in your own cloth, in grey and from across the room, to `FILE` (PNG)")
	fl.StringVar(&f.svg, "svg", "", "write the drawing alone to `FILE`")
	f.define(cmd)
}

// layouts runs a verb that answers with a quilt's layout. One that is broken off gives
// the best until then.
func (l *line) layouts(f *documentFlags, get func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error)) runE {
	return l.shows(f, func(ctx context.Context, d *desk.Desk, args []string) (_ shown, err error) {
		a := report.Arrangement{Drawn: f.pictured()}
		if a.Arrangement, err = get(ctx, d, args); err == nil && f.pictured() {
			side := report.ChipSide
			if f.picture != "" {
				side = a.CropSide()
			}
			a.Crops, err = l.crops(context.WithoutCancel(ctx), d, a.Used(), side)
			a.Crops.Lend(a.Holdings)
		}
		return shown{document: a.Document, json: a.JSON, svg: a.SVG, picture: a.Picture}, err
	})
}

func newQuiltEdit(l *line, use, short, example string, least, most int, edit func(patches []string, quarters int) desk.Edit) *cobra.Command {
	var f documentFlags
	quarters := 1
	cmd := &cobra.Command{
		Use: use, Short: short, Example: "  piecebag quilt " + example,
		Args: wants(1+least, 1+most, "name the quilt, and its patches", "write it like piecebag quilt "+example),
		RunE: l.layouts(&f, func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error) {
			return d.EditQuilt(ctx, args[0], edit(args[1:], quarters))
		}),
	}
	if cmd.Name() == "turn" {
		cmd.Flags().IntVar(&quarters, "quarters", quarters, "by so many `QUARTERS` clockwise")
	}
	f.defineLayout(cmd)
	return cmd
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

func newQuiltCopy(l *line) *cobra.Command {
	var f documentFlags
	cmd := &cobra.Command{
		Use: "copy QUILT NAME", Short: "Keep a quilt under another name too, from what is left of the stash",
		Example: `  piecebag quilt copy "winter quilt" "winter quilt again"`,
		Args:    wants(2, 2, "name the quilt and its copy", `write it like piecebag quilt copy "winter quilt" "another"`),
		RunE: l.layouts(&f, func(ctx context.Context, d *desk.Desk, args []string) (desk.Arrangement, error) {
			return d.CopyQuilt(ctx, args[0], args[1])
		}),
	}
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
			words := fmt.Sprintf("%s %s", cloth.Count(m.Pieces, "piece"), stage)
			if m.Others > 0 {
				words += fmt.Sprintf(", and %d more of the same cloth cut", m.Others)
			}
			if m.Cloth > 0 {
				words += fmt.Sprintf("; %s of cloth cut, %s back in the stash", cloth.Count(m.Cloth, "piece"), cloth.Count(m.Back, "remnant"))
			}
			if m.Done {
				words += "; the quilt is sewn"
			}
			return map[string]any{"pieces": m.Pieces, "cut_beside": m.Others, "cloth_cut": m.Cloth, "remnants_back": m.Back, "done": m.Done}, words + "\n", err
		}),
	}
}

func newQuiltList(l *line) *cobra.Command {
	return &cobra.Command{Use: "list", Short: "List the quilts you keep", Args: noArgs, RunE: l.answersQuilts()}
}

// answersQuilts lists the quilts that are kept.
func (l *line) answersQuilts() runE {
	none := func(n int) string {
		if n == 0 {
			return ""
		}
		return fmt.Sprint(n)
	}
	return l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
		all, err := d.Quilts(ctx)
		if len(all) == 0 {
			return report.QuiltsJSON(all), "no quilt is kept yet: plan or arrange one with --save NAME\n", err
		}
		rows := []string{"quilt\trecipe\tfinished\tfrom the stash\tlacks\tlaid out\tsewn"}
		for _, q := range all {
			rows = append(rows, fmt.Sprintf("%s\t%s\t%s × %s\t%d\t%d\t%s\t%s", plain(q.Name), plain(q.Recipe), cloth.FormatInches(q.WidthIn), cloth.FormatInches(q.LengthIn), q.Pulled, q.Lacks, none(q.Laid), none(q.Stages[plan.SewnStage])))
		}
		return report.QuiltsJSON(all), columns(rows...), err
	})
}
