package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newStow(l *line) *cobra.Command {
	var f photoFlags
	var as whichFlags
	var ask desk.StowRequest
	cmd := &cobra.Command{
		Use:   "stow PHOTO… [FOLDER…]",
		Short: "Find the pieces in photos and add them to the stash",
		Long: `Stow looks at photos as look does and adds the pieces to the stash, each photo
as one change that 'piecebag undo' takes back. A photo that the stash knows is
not added twice, nor is a copy of it, saved again, turned or made smaller, unless
you say so; a part cut out of it is not known again. --as and --cut say what the
pieces are where you know it: a stack of folded strips, a tin of squares cut 2½.
Folders are searched for photos.

--again looks again at photos that the stash knows, at all it keeps where none is
named: a later piecebag may read them better. It says what would change, photo by
photo, and changes it only when you say yes, or add --yes. What you corrected stays,
and so do the numbers of pieces, their bins, baskets and prints. All of it is one
change that 'piecebag undo' takes back.`,
		Example: `  piecebag stow table.jpg --basket blues
  piecebag stow tin.jpg --as squares --cut 2½
  piecebag stow photos
  piecebag stow --again`,
		Args: func(cmd *cobra.Command, args []string) error {
			if ask.Again {
				return nil
			}
			return atLeastOne("no photo is given", "name photos or folders, e.g. piecebag stow basket.jpg")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			which, err := as.filter()
			if err != nil {
				return err
			}
			if ask.Yes && !ask.Again {
				return fault.Usage("", "--yes goes with --again, and that is not given", "leave it off; without --again nothing is asked that it could answer")
			}
			if len(args) == 0 && as.given {
				return fault.Usage("", "--as, --cut and --basket are of new photos, and none is named", "leave them off, or name photos")
			}
			var refused []*fault.Error
			ask.Files, refused = photo.Walk(args)
			if err := againOfOne(cmd.Flags(), ask, len(args) == 0); err != nil {
				return err
			}
			if ask.Look, err = f.options(ask.Files); err != nil {
				return err
			}
			ask.As, ask.CutIn, ask.Basket = which.Form, which.Cut, which.Basket
			if !l.json {
				ask.Told = l.tellStowed
			}
			var done desk.Stowing
			err = l.at("working", func(d *desk.Desk) (err error) {
				done, err = d.Stow(cmd.Context(), ask)
				return err
			})
			done.Refused = append(refused, done.Refused...)
			if errors.Is(err, context.Canceled) {
				l.note("interrupted: " + cloth.Count(done.Sum().Fresh, "photo") + " kept")
			}
			if err != nil && len(done.Photos) == 0 {
				return err
			}
			said := l.stowed(done, err == nil) // also what went in before it failed
			l.noteUnapplied(done.Photos, cmd.Flags())
			files, left := make([]string, len(done.Photos)), make([]stash.Left, len(done.Photos))
			for i, p := range done.Photos {
				files[i], left[i] = p.File, p.Left
			}
			l.noteLeft(files, left)
			if err != nil {
				return err
			}
			return said
		},
	}
	as.define(cmd, "as", "cut", "basket")
	newVar(cmd, &ask.New)
	cmd.Flags().BoolVar(&ask.Again, "again", false, "look again at photos that the stash knows, and say what would change")
	cmd.Flags().BoolVar(&ask.Yes, "yes", false, "change what --again finds to change")
	alikeVar(cmd, &ask.Alike)
	f.define(cmd)
	return cmd
}

// alikeVar defines the flag that has copies count.
func alikeVar(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "alike", false, "count photos too that look the same as one counted already")
}

// againOfOne refuses to look again at several photos as a flag says of one; all is that
// none is named, which means all of the stash.
func againOfOne(fl *pflag.FlagSet, ask desk.StowRequest, all bool) error {
	if !ask.Again || len(ask.Files) == 1 {
		return nil
	}
	many := cloth.Count(len(ask.Files), "photo")
	if all {
		many = "all that the stash keeps"
	}
	for _, name := range ofOnePhoto {
		if fl.Changed(name) {
			return fault.Usage("", "--"+name+" is of one photo, and --again would look so at "+many, "name the one photo that it is of, or leave it off")
		}
	}
	return nil
}

// noteUnapplied says that what the flags say of the pieces was not said of photos
// that the stash knew before.
func (s streams) noteUnapplied(all []desk.Stowed, fl *pflag.FlagSet) {
	var flags []string
	for _, name := range []string{"as", "cut", "basket"} {
		if fl.Changed(name) {
			flags = append(flags, "--"+name)
		}
	}
	for _, p := range all {
		if p.Known && flags != nil {
			s.note(p.File + ": already known, so " + strings.Join(flags, " and ") + " changed nothing; write 'piecebag recount' to count it anew, or 'piecebag fix' to correct its pieces")
		}
	}
}

// noteLeft says what became of what cameras wrote into the photos that were kept.
func (s streams) noteLeft(files []string, left []stash.Left) {
	out := 0
	for i, what := range left {
		switch what {
		case stash.LeftOut:
			out++
		case stash.LeftIn:
			s.note(files[i] + ": what the camera wrote into it, such as place and time, could not be taken out of the copy kept; to have it without, take this back with 'piecebag undo' and stow the photo exported as JPEG")
		}
	}
	if out > 0 {
		s.note("what the camera wrote into " + cloth.Count(out, "photo") + ", such as place and time, is left out of the copies kept; the pictures are untouched, and your own files too")
	}
}

// tellStowed says what became of a photo as soon as it is done: a folder takes
// minutes.
func (s streams) tellStowed(p desk.Stowed) error {
	name := plain(p.File)
	const again = "the photo was lost, and is kept again"
	text := name + ": " + piecesIn(p)
	switch {
	case p.Again != nil:
		text = name + ": " + rereadText(*p.Again)
		if p.Kept {
			text = name + ": " + again + "\n" + text
		}
	case p.Like != "":
		text = name + ": left out, as a copy of " + plain(p.Like)
	case p.Known:
		text = name + ": already known"
		if p.Kept {
			text += "; " + again
		}
	}
	if p.LeftOut > 0 {
		text += "\n  " + cloth.Count(p.LeftOut, "thing") + " that may be cloth left out as too doubtful; 'piecebag look' says where"
	}
	if len(p.MayBe) > 0 {
		text += "\n  prints that you may have: " + mayBeText(p.MayBe)
	}
	_, err := fmt.Fprint(s.out, text+"\n"+sortedText(p.Into, p.Unsure))
	if why := look.WhyNone(p.Notes); why != "" {
		s.note(name + ": " + why)
	}
	return answered(err)
}

// mayBeText says which prints may be ones that the stash knew.
func mayBeText(all []stash.MayBe) string {
	parts := make([]string, len(all))
	for i, m := range all {
		pieces := make([]string, len(m.Pieces))
		for k, n := range m.Pieces {
			pieces[k] = strconv.Itoa(n)
		}
		parts[i] = fmt.Sprintf("%s may be %s: %s", plain(m.Print), plain(m.Known), strings.Join(pieces, ", "))
	}
	return strings.Join(parts, "; ")
}

// stowed answers with the sum, or with all of it in JSON; photos that were
// refused are named after the answer. Where not all was done there is no sum.
func (l *line) stowed(done desk.Stowing, whole bool) error {
	text := ""
	if whole {
		text = stowingText(done)
	}
	return l.refused(done.Refused, l.answer(report.StowingJSON(done), text))
}

// stowingText sums up what became of photos, with what to look at first.
func stowingText(done desk.Stowing) string {
	sum := done.Sum()
	var words []string
	if sum.Fresh > 0 || sum.Again == 0 {
		words = append(words, strconv.Itoa(sum.Fresh)+" stowed")
	}
	if sum.Known > 0 {
		words = append(words, strconv.Itoa(sum.Known)+" already known")
	}
	if sum.Again > 0 {
		words = append(words, strconv.Itoa(sum.Again)+" looked at again")
	}
	if n := len(done.Refused); n > 0 {
		words = append(words, strconv.Itoa(n)+" refused")
	}
	out := stowedFirst(done.Doubts()) + strings.Join(words, ", ") + "\n"
	switch {
	case done.Change != nil:
		out += cloth.Count(sum.Other, "photo") + " changed; 'piecebag undo' takes it back\n"
	case sum.Other > 0:
		out += cloth.Count(sum.Other, "photo") + " would change; nothing is changed yet\n"
	}
	return out
}

func piecesIn(s desk.Stowed) string {
	if s.Added == 0 {
		return "no pieces found"
	}
	return cloth.Count(s.Added, "piece") + ": " + differenceWords(s.Sum)
}

func differenceWords(c stash.Change) string { return report.Difference(c.Difference) }

// binNames names bins to choose between.
func binNames(bins []string) []string {
	out := make([]string, len(bins))
	for i, b := range bins {
		out[i] = b
		if b == "" {
			out[i] = "none of your bins"
		}
	}
	return out
}

// sortedText says what went where and why, and asks about the rest.
func sortedText(into []desk.Placed, asks []desk.Unsure) string {
	var b strings.Builder
	for _, p := range into {
		fmt.Fprintf(&b, "  piece %d: %s (%s)\n", p.ID, plain(p.Bin), plain(p.Reason))
	}
	return b.String() + asksText("  ", asks)
}

// asksText asks of pieces in which bin they belong, then writes the commands that say of
// all of them that their likeliest bin is the right one, a command a bin, to be changed
// where it is not, and the command for those that belong in none.
func asksText(indent string, asks []desk.Unsure) string {
	var b strings.Builder
	var bins, all []string
	ids := map[string][]string{}
	for _, a := range asks {
		fmt.Fprintf(&b, "%spiece %d: %s? (%s)\n", indent, a.ID, plain(strings.Join(binNames(a.Likely), " or ")), plain(a.Reason))
		if len(a.Likely) == 0 {
			continue
		}
		bin := a.Likely[0]
		if ids[bin] == nil {
			bins = append(bins, bin)
		}
		id := strconv.FormatInt(a.ID, 10)
		all, ids[bin] = append(all, id), append(ids[bin], id)
	}
	for _, bin := range bins {
		fmt.Fprintf(&b, "if so, say: piecebag fix %s --bin %s\n", strings.Join(ids[bin], ","), plain(quoted(bin)))
	}
	if all != nil {
		fmt.Fprintf(&b, "if neither, say: piecebag fix %s --no-bin\n", strings.Join(all, ","))
	}
	return b.String()
}

// quoted is a word as a shell takes it whole.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }
