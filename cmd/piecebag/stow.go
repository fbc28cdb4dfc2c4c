package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

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
			if ask.Yes && !ask.Again {
				return fault.Usage("", "--yes goes with --again, and that is not given", "leave it off; without --again nothing is asked that it could answer")
			}
			if len(args) == 0 && as.given {
				return fault.Usage("", "--as, --cut and --basket are of new photos, and none is named", "leave them off, or name photos")
			}
			var refused []*fault.Error
			ask.Files, refused = photo.Walk(args)
			if one := given(cmd.Flags(), ofOnePhoto...); ask.Again && len(ask.Files) != 1 && len(one) > 0 {
				many := "all that the stash keeps"
				if len(args) > 0 {
					many = cloth.Count(len(ask.Files), "photo")
				}
				return fault.Usage("", "--"+one[0]+" is of one photo, and --again would look so at "+many, "name the one photo that it is of, or leave it off")
			}
			if ask.Look, err = f.options(ask.Files); err != nil {
				return err
			}
			ask.As, ask.CutIn, ask.Basket = as.Form, as.Cut, as.Basket
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
			text := "" // where not all was done there is no sum
			if err == nil {
				text = stowingText(done)
			}
			said := l.refused(done.Refused, l.answer(report.StowingJSON(done, wording), text)) // also what went in before it failed
			flags := strings.Join(given(cmd.Flags(), "as", "cut", "basket"), " and --")
			files, left := make([]string, len(done.Photos)), make([]stash.Left, len(done.Photos))
			for i, p := range done.Photos {
				files[i], left[i] = p.File, p.Left
				if p.Known && flags != "" {
					l.note(p.File + ": already known, so --" + flags + " changed nothing; write 'piecebag recount' to count it anew, or 'piecebag fix' to correct its pieces")
				}
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
				l.noteNone(p)
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
			return l.answer(report.RecountedJSON(done, wording), firstText("look at these first", desk.Doubts(done.Seen), fixLine)+report.RecountedText(done))
		},
	}
	of.define(cmd, "basket", "cut", "as")
	newVar(cmd, &ask.New)
	alikeVar(cmd, &ask.Alike)
	f.define(cmd)
	return cmd
}

// tellStowed says what became of a photo as soon as it is done: a folder takes
// minutes.
func (s streams) tellStowed(p desk.Stowed) error {
	const again = "the photo was lost, and is kept again"
	name := plain(p.File)
	text := "no pieces found"
	switch {
	case p.Again != nil:
		text = report.RereadText(*p.Again)
		if p.Kept {
			text = again + "\n" + name + ": " + text
		}
	case p.Like != "":
		text = "left out, as a copy of " + plain(p.Like)
	case p.Known && p.Kept:
		text = "already known; " + again
	case p.Known:
		text = "already known"
	case p.Added > 0:
		text = cloth.Count(p.Added, "piece") + ": " + report.Difference(p.Sum.Difference)
	}
	if p.LeftOut > 0 {
		text += "\n  " + cloth.Count(p.LeftOut, "thing") + " that may be cloth left out as too doubtful; 'piecebag look' says where"
	}
	for i, m := range p.MayBe {
		head := "; "
		if i == 0 {
			head = "\n  prints that you may have: "
		}
		text += fmt.Sprintf("%s%s may be %s: %s", head, plain(m.Print), plain(m.Known), joined(m.Pieces, ", "))
	}
	_, err := fmt.Fprint(s.out, name+": "+text+"\n"+sortedText(p.Into, p.Unsure))
	s.noteNone(p.Seen)
	return answered(err)
}

// noteNone says why a photo shows no pieces, where it shows none.
func (s streams) noteNone(p desk.Seen) {
	if why := look.WhyNone(p.Notes); why != "" {
		s.note(plain(p.File) + ": " + why)
	}
}

// joined writes numbers with something between.
func joined[T int | int64](all []T, between string) string {
	return strings.ReplaceAll(strings.Trim(fmt.Sprint(all), "[]"), " ", between)
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
	out := firstText("look at these first", done.Doubts(), fixLine) + strings.Join(words, ", ") + "\n"
	switch {
	case done.Change != nil:
		out += cloth.Count(sum.Other, "photo") + " changed; 'piecebag undo' takes it back\n"
	case sum.Other > 0:
		out += cloth.Count(sum.Other, "photo") + " would change; nothing is changed yet\n"
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
	var bins []string
	var all []int64
	ids := map[string][]int64{}
	for _, a := range asks {
		likely := slices.Clone(a.Likely)
		for i, bin := range likely {
			likely[i] = cmp.Or(bin, "none of your bins")
		}
		fmt.Fprintf(&b, "%spiece %d: %s? (%s)\n", indent, a.ID, plain(strings.Join(likely, " or ")), plain(a.Reason))
		if len(a.Likely) == 0 {
			continue
		}
		bin := a.Likely[0]
		if ids[bin] == nil {
			bins = append(bins, bin)
		}
		all, ids[bin] = append(all, a.ID), append(ids[bin], a.ID)
	}
	for _, bin := range bins {
		fmt.Fprintf(&b, "if so, say: piecebag fix %s --bin %s\n", joined(ids[bin], ","), plain(quoted(bin)))
	}
	if all != nil {
		fmt.Fprintf(&b, "if neither, say: piecebag fix %s --no-bin\n", joined(all, ","))
	}
	return b.String()
}

// quoted returns a word as a shell takes it whole.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// firstText lists the first of what may be wrong below a head, a line a piece, and counts
// the rest; nothing where nothing may be.
func firstText(head string, all []desk.DoubtedIn, line func(desk.DoubtedIn) string) string {
	if len(all) == 0 {
		return ""
	}
	text := head + "\n"
	for _, d := range all[:min(len(all), report.MostFirst)] {
		text += "  " + line(d) + "\n"
	}
	if n := len(all) - report.MostFirst; n > 0 {
		text += fmt.Sprintf("  and %s more, all of them listed by 'piecebag look PHOTO --json'\n", cloth.Count(n, "piece"))
	}
	return text
}

// fixLine says what may be wrong of a piece that went in, and what mends it.
func fixLine(d desk.DoubtedIn) string {
	return fmt.Sprintf("piece %d, %s: %s; if that is wrong: piecebag fix %d %s", d.ID, plain(d.File), report.Doubts(d.Doubted), d.ID, strings.Join(fixes(d), ", or "))
}
