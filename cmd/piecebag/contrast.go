package main

import (
	"context"
	"errors"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

func newContrast(l *line) *cobra.Command {
	var f documentFlags
	var which whichFlags
	var background, recipe string
	var among []string
	ask := desk.ContrastRequest{Blocks: 1}
	var c report.Contrast
	cmd := &cobra.Command{
		Use:   "contrast [PHOTO or COLOUR…]",
		Short: "See which prints stand clear of a background and which sink into it",
		Long: `Contrast holds the prints that you pull for a quilt against a background. For each
it gives the gap in lightness, in steps of the Munsell value scale, the difference
in colour, and a ratio borrowed from signs on screens. The prints are those of the
photos or the colours that you name. If you name none, they are those of the stash;
flags such as --basket and --family take a part of it.

A background is a colour ('#f2ede0', cream), a photo of the cloth (FILE:3 for its
piece 3), or a print of the stash. Without --background the best one in the stash is
found, or the best of those that --among names. With --recipe the lights, mediums and
darks of the pull are compared with what the recipe needs; cloth too small for its
pieces is not counted.`,
		Example: `  piecebag contrast pull.jpg --background '#f2ede0'
  piecebag contrast pull.jpg --among linen.jpg --among muslin.jpg --html pull.html
  piecebag contrast --basket blues --recipe ohio-star --blocks 12`,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, args []string) (a shown, err error) {
			ask.Which = which.Filter
			if recipe != "" {
				if ask.Recipe, _, err = readRecipe(recipe); err != nil {
					return a, err
				}
			}
			if ask.Pull, err = samplesOf(args); err != nil {
				return a, err
			}
			if background != "" {
				b := ground(background)
				ask.Background = &b
			}
			for _, a := range among {
				ask.Among = append(ask.Among, ground(a))
			}
			if c.Contrast, err = d.Contrast(ctx, ask); err == nil && f.pictured() && len(args) == 0 {
				c.Crops, err = l.printCrops(ctx, d)
			}
			if errors.Is(err, desk.ErrNotCloth) {
				no := fault.Of(err)
				err = wrong("background", no.About, no.Why, "write a colour like '#f2ede0' or cream, the name of a photo, or a print as 'piecebag shelf --pieces' lists it")
			}
			return shown{document: c.Document, json: c.JSON}, err
		}),
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&background, "background", "", "the `BACKGROUND`: a colour, a photo, or a print of the stash")
	fl.StringArrayVar(&among, "among", nil, "choose the best of these `BACKGROUNDS`; one each time the flag is given")
	notTogether(cmd, "name one background, or those to choose among", "background", "among")
	fl.StringVar(&recipe, "recipe", "", "compare light and dark with what this `RECIPE` needs")
	blocksVar(fl, &ask.Blocks, "1", "for so many `BLOCKS` of it")
	whyVar(cmd, &c.Why)
	which.define(cmd)
	f.define(cmd)
	return cmd
}

// samplesOf are photos and colours as they were named, each one or the other.
func samplesOf(args []string) ([]desk.Sample, error) {
	var out []desk.Sample
	for _, a := range args {
		c, err := fileOrColour(a)
		switch {
		case err == nil:
			out = append(out, desk.Sample{Name: a, Colour: &c})
		case errors.Is(err, errFile) || strings.ContainsAny(a, "./\\"):
			out = append(out, desk.Sample{Name: a, Photo: a})
		default:
			return nil, err
		}
	}
	return out, nil
}

// ground is what a background may be by its name: a colour, or a photo with a number of
// its pieces; a print of the stash it may be in any case.
func ground(text string) desk.Sample {
	out := desk.Sample{Name: text}
	if c, err := fileOrColour(text); err == nil {
		out.Colour = &c
		return out
	}
	file, number := text, 0
	if i := strings.LastIndex(text, ":"); i >= 0 {
		if n, err := strconv.Atoi(text[i+1:]); err == nil && n > 0 {
			file, number = text[:i], n
		}
	}
	if _, err := os.Stat(file); err == nil {
		out.Photo, out.Piece = file, number
	}
	return out
}

// errFile is that a text is the name of a file, not a colour.
var errFile = errors.New("this is a file")

// fileOrColour reads a colour where a file may be meant too: a file goes before a word.
func fileOrColour(text string) (colour.Linear, error) {
	c, err := colour.ParseColour(text)
	if err == nil {
		return c, nil
	}
	if _, missing := os.Stat(text); missing == nil {
		return c, errFile
	}
	return desk.ReadColour(text)
}
