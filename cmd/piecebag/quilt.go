package main

import (
	"context"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newQuilt(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
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
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return listQuilts(cmd.Context(), l, false) },
	}
	list := &cobra.Command{Use: "list", Short: "List the quilts you keep", Args: cobra.NoArgs}
	asJSON := wantsJSON(list)
	list.RunE = func(cmd *cobra.Command, _ []string) error { return listQuilts(cmd.Context(), l, *asJSON) }
	cmd.AddCommand(list, showQuilt(l), copyQuilt(l), forgetQuilt(l))
	for _, e := range []struct {
		use, short, example string
		least, most         int
		edit                func(patches []string, quarters int) desk.Edit
	}{
		{"swap QUILT PATCH PATCH", "Let two pieces change places", "swap \"winter quilt\" A5 C7", 2, 2,
			func(p []string, _ int) desk.Edit { return desk.Edit{Swap: [2]string{p[0], p[1]}} }},
		{"turn QUILT PATCH", "Turn the cloth of a patch", "turn \"winter quilt\" A5 --quarters 2", 1, 1,
			func(p []string, q int) desk.Edit { return desk.Edit{Turn: p[0], By: q} }},
		{"lock QUILT PATCH…", "Keep pieces where they lie when the quilt is laid out again", "lock \"winter quilt\" A1 A2", 1, 0,
			func(p []string, _ int) desk.Edit { return desk.Edit{Lock: p} }},
		{"unlock QUILT PATCH…", "Let pieces go again", "unlock \"winter quilt\" A1 A2", 1, 0,
			func(p []string, _ int) desk.Edit { return desk.Edit{Unlock: p} }},
	} {
		var f quiltFlags
		quarters := 1
		sub := &cobra.Command{Use: e.use, Short: e.short, Example: "  piecebag quilt " + e.example}
		sub.RunE = func(cmd *cobra.Command, args []string) error {
			if n := len(args) - 1; n < e.least || e.most > 0 && n > e.most {
				return fault.Usage("", "name the quilt, and its patches", "write it like piecebag quilt "+e.example)
			}
			return f.show(cmd.Context(), l, func(ctx context.Context, d *desk.Desk) (desk.Arrangement, error) {
				return d.EditQuilt(ctx, args[0], e.edit(args[1:], quarters))
			})
		}
		if sub.Name() == "turn" {
			sub.Flags().IntVar(&quarters, "quarters", 1, "by so many `QUARTERS` clockwise")
		}
		f.define(sub)
		cmd.AddCommand(sub)
	}
	for _, m := range []struct {
		stage plan.Stage
		short string
	}{
		{plan.PulledStage, "Mark pieces as pulled from their baskets"},
		{plan.CutStage, "Mark pieces as cut: the stash holds them so, and the remnants"},
		{plan.SewnStage, "Mark pieces as sewn: the stash holds them no more"},
	} {
		sub := &cobra.Command{
			Use: string(m.stage) + " QUILT [ROW|BLOCK|PATCH…]", Short: m.short,
			Example: fmt.Sprintf("  piecebag quilt %s \"winter quilt\"\n  piecebag quilt %s \"winter quilt\" A B3", m.stage, m.stage),
		}
		asJSON := wantsJSON(sub)
		sub.RunE = func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fault.Usage("", "no quilt is named", "write it like piecebag quilt sewn \"winter quilt\"")
			}
			return markQuilt(cmd.Context(), l, desk.MarkRequest{Quilt: args[0], Stage: m.stage, Blocks: args[1:]}, *asJSON)
		}
		cmd.AddCommand(sub)
	}
	return cmd
}

// quiltFlags say where a layout goes.
type quiltFlags struct {
	documentFlags
	svg, picture string
}

func (f *quiltFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.picture, "picture", "", "write a picture of the quilt in your own cloth, in grey and from across the room, to `FILE` (PNG)")
	fl.StringVar(&f.svg, "svg", "", "write the drawing alone to `FILE`")
	f.documentFlags.define(cmd)
}

// show answers with a layout, however it comes about.
func (f *quiltFlags) show(ctx context.Context, l *ledger, get func(context.Context, *desk.Desk) (desk.Arrangement, error)) error {
	var a report.Arrangement
	files, err := f.files(
		wantedFile[report.Document]{"svg", f.svg, svgFile, func(w io.Writer, _ report.Document) error { return a.SVG(w) }},
		wantedFile[report.Document]{"picture", f.picture, pngFile, func(w io.Writer, _ report.Document) error { return a.Picture(w) }})
	if err != nil {
		return err
	}
	defer files.drop()
	err = l.at("working", func(d *desk.Desk) error {
		a.Arrangement, err = get(ctx, d)
		if err == nil && len(files) > 0 {
			side := report.ChipSide
			if f.picture != "" {
				side = report.PictureSide
			}
			a.Crops, err = l.crops(context.WithoutCancel(ctx), d, a.Used(), side)
			a.Crops.Lend(a.Holdings)
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := f.answer(l.s, files, a.Document(), a.JSON); err != nil {
		return err
	}
	return ctx.Err() // broken off: the best until then was given
}

func showQuilt(l *ledger) *cobra.Command {
	var f quiltFlags
	var why string
	cmd := &cobra.Command{
		Use: "show QUILT", Short: "Show a quilt as it was laid out",
		Example: `  piecebag quilt show "winter quilt" --picture quilt.png
  piecebag quilt show "winter quilt" --why A5`,
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return fault.Usage("", "name one quilt", "'piecebag quilt list' lists them")
		}
		if why == "" {
			return f.show(cmd.Context(), l, func(ctx context.Context, d *desk.Desk) (desk.Arrangement, error) { return d.Quilt(ctx, args[0]) })
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
			return answered(report.WhyHere(w).Text(l.s.out, l.s.textOptions()))
		})
	}
	cmd.Flags().StringVar(&why, "why", "", "say why the piece of this `PATCH` lies there")
	f.define(cmd)
	return cmd
}

func copyQuilt(l *ledger) *cobra.Command {
	var f quiltFlags
	cmd := &cobra.Command{
		Use: "copy QUILT NAME", Short: "Keep a quilt under another name too, from what is left of the stash",
		Example: `  piecebag quilt copy "winter quilt" "winter quilt again"`,
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) != 2 {
			return fault.Usage("", "name the quilt and its copy", `write it like piecebag quilt copy "winter quilt" "another"`)
		}
		return f.show(cmd.Context(), l, func(ctx context.Context, d *desk.Desk) (desk.Arrangement, error) {
			return d.CopyQuilt(ctx, args[0], args[1])
		})
	}
	f.define(cmd)
	return cmd
}

func forgetQuilt(l *ledger) *cobra.Command {
	cmd := &cobra.Command{Use: "forget QUILT", Short: "Keep a quilt no more; its cloth is free again", Example: `  piecebag quilt forget "winter quilt"`}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return fault.Usage("", "name one quilt", "'piecebag quilt list' lists them")
		}
		return l.make(*asJSON, func(d *desk.Desk) (stash.Change, error) { return d.ForgetPlan(cmd.Context(), args[0]) })
	}
	return cmd
}

func markQuilt(ctx context.Context, l *ledger, r desk.MarkRequest, asJSON bool) error {
	return l.at("working", func(d *desk.Desk) error {
		m, err := d.MarkQuilt(ctx, r)
		if err != nil {
			return err
		}
		if asJSON {
			return answerJSON(l.s, map[string]any{"pieces": m.Pieces, "cloth_cut": m.Cloth, "remnants_back": m.Back, "done": m.Done})
		}
		words := fmt.Sprintf("%s %s", cloth.Count(m.Pieces, "piece"), r.Stage)
		if m.Cloth > 0 {
			words += fmt.Sprintf("; %s of cloth cut, %s back in the stash", cloth.Count(m.Cloth, "piece"), cloth.Count(m.Back, "remnant"))
		}
		if m.Done {
			words += "; the quilt is sewn"
		}
		_, err = fmt.Fprintln(l.s.out, words)
		return answered(err)
	})
}

func listQuilts(ctx context.Context, l *ledger, asJSON bool) error {
	return l.at("working", func(d *desk.Desk) error {
		all, err := d.Quilts(ctx)
		if err != nil {
			return err
		}
		if asJSON {
			return answered(report.QuiltsJSON(l.s.out, all))
		}
		if len(all) == 0 {
			_, err := fmt.Fprintln(l.s.out, "no quilt is kept yet: plan or arrange one with --save NAME")
			return answered(err)
		}
		w := tabwriter.NewWriter(l.s.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(w, "quilt\trecipe\tfinished\tfrom the stash\tlacks\tlaid out\tsewn")
		for _, q := range all {
			fmt.Fprintf(w, "%s\t%s\t%s × %s\t%d\t%d\t%s\t%s\n", q.Name, q.Recipe, cloth.FormatInches(q.WidthIn), cloth.FormatInches(q.LengthIn), q.Pulled, q.Lacks, none(q.Laid), none(q.Stages[plan.SewnStage]))
		}
		return answered(w.Flush())
	})
}

// none writes a number, and nothing for 0.
func none(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}
