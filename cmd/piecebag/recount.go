package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
)

func newRecount(l *line) *cobra.Command {
	var f photoFlags
	var of whichFlags
	var ask desk.RecountRequest
	cmd := &cobra.Command{
		Use:   "recount PHOTO… [FOLDER…]",
		Short: "Replace what the stash holds of a basket or a cut by what photos show",
		Long: `Recount looks at photos of all that is in a basket, or of all that is of one cut,
and makes the stash hold just that. It says of what there is more now, and of what
less. If a photo cannot be read, or is a copy of another that was saved again, turned
or made smaller, nothing is changed. 'piecebag undo' takes a recount back.`,
		Example: `  piecebag recount basket.jpg --basket blues
  piecebag recount tin.jpg --cut 2½ --as squares`,
		Args: atLeastOne("no photo is given", "name photos, e.g. piecebag recount basket.jpg --basket blues"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if of.Basket == "" && of.Cut == 0 {
				return fault.Usage("", "say what is to be recounted", "name the basket or the cut: --basket blues or --cut 2½")
			}
			ask.Files, ask.Refused = photo.Walk(args)
			if ask.Look, err = f.options(ask.Files); err != nil {
				return err
			}
			ask.Basket, ask.CutIn, ask.As = of.Basket, of.Cut, of.Form
			var done desk.Recounted
			err = l.at("working", func(d *desk.Desk) (err error) {
				done, err = d.Recount(cmd.Context(), ask)
				return err
			})
			for _, p := range done.Seen {
				if why := look.WhyNone(p.Notes); why != "" {
					l.note(plain(p.File) + ": " + why)
				}
			}
			if err != nil {
				return err
			}
			if len(done.Refused) > 0 {
				l.faults(done.Refused)
				l.note("nothing was recounted: the photos must show all there is, and each piece once")
				return errRefused
			}
			l.noteLeft(ask.Files, done.Left)
			return l.answer(report.RecountedJSON(done), recountedText(done))
		},
	}
	of.define(cmd, "basket", "cut", "as")
	newVar(cmd, &ask.New)
	alikeVar(cmd, &ask.Alike)
	f.define(cmd)
	return cmd
}

// recountedText says what a recount changed.
func recountedText(done desk.Recounted) string {
	text := stowedFirst(desk.Doubts(done.Seen)) + movedText(done.Moved) + changeText(done.Change)
	if len(done.Change.Difference) == 0 {
		text += "no change\n"
	}
	for _, line := range report.Changes(done.Change.Difference) {
		text += "  " + line + "\n"
	}
	return text
}

// movedText says where pieces of known photos were.
func movedText(all []desk.Moved) string {
	var b strings.Builder
	for _, m := range all {
		where := "from no basket"
		if m.Basket != "" {
			where = "from basket " + m.Basket
		}
		fmt.Fprintf(&b, "%s: %s %s\n", plain(m.Photo), cloth.Count(m.Pieces, "piece"), plain(where))
	}
	return b.String()
}
