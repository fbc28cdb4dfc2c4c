package main

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/photo"
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
			if err := againOfOne(cmd.Flags(), ask, len(args) == 0); err != nil {
				return err
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
	if names := given(fl, ofOnePhoto...); len(names) > 0 {
		return fault.Usage("", "--"+names[0]+" is of one photo, and --again would look so at "+many, "name the one photo that it is of, or leave it off")
	}
	return nil
}

// noteUnapplied says that what the flags say of the pieces was not said of photos
// that the stash knew before.
func (s streams) noteUnapplied(all []desk.Stowed, fl *pflag.FlagSet) {
	flags := given(fl, "as", "cut", "basket")
	for _, p := range all {
		if p.Known && len(flags) > 0 {
			s.note(p.File + ": already known, so --" + strings.Join(flags, " and --") + " changed nothing; write 'piecebag recount' to count it anew, or 'piecebag fix' to correct its pieces")
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
