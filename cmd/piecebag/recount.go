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

func newRecount(l *ledger) *cobra.Command {
	var f stowFlags
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
	}
	f.which.define(cmd, "basket", "cut", "as")
	f.isNew = newFlag(cmd)
	f.alikeFlag(cmd)
	f.look.defineHelp(cmd)
	f.json = wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		o, which, err := f.options()
		if err != nil {
			return err
		}
		if which.Basket == "" && which.Cut == 0 {
			return fault.Usage("", "say what is to be recounted", "name the basket or the cut: --basket blues or --cut 2½")
		}
		files, refused := photo.Walk(args)
		if err := f.look.readPieces(&o, files); err != nil {
			return err
		}
		r := desk.RecountRequest{
			Files: files, Refused: refused, Look: o, Basket: which.Basket, CutIn: which.Cut, As: which.Form,
			New: *f.isNew, Alike: f.alike,
		}
		var done desk.Recounted
		err = l.at("working", func(d *desk.Desk) error {
			done, err = d.Recount(cmd.Context(), r)
			return err
		})
		for _, p := range done.Seen {
			if why := look.WhyNone(p.Notes); why != "" {
				l.s.note(plain(p.File) + ": " + why)
			}
		}
		if err != nil {
			return err
		}
		if len(done.Refused) > 0 {
			l.s.faults(done.Refused)
			l.s.note("nothing was recounted: the photos must show all there is, and each piece once")
			return errRefused
		}
		l.s.noteLeft(files, done.Left)
		return l.s.recounted(done, *f.json)
	}
	return cmd
}

// recounted answers with what a recount changed.
func (s streams) recounted(done desk.Recounted, asJSON bool) error {
	if asJSON {
		return answerJSON(s, report.RecountedJSON(done))
	}
	text := stowedFirst(desk.Doubts(done.Seen)) + movedText(done.Moved) + changeText(done.Change)
	if len(done.Change.Difference) == 0 {
		text += "no change\n"
	}
	for _, line := range report.Changes(done.Change.Difference) {
		text += "  " + line + "\n"
	}
	_, err := fmt.Fprint(s.out, text)
	return answered(err)
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
