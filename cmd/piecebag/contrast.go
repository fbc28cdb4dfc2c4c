package main

import (
	"context"
	"errors"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
)

// contrastFlags are those of contrast, as written.
type contrastFlags struct {
	documentFlags
	background, recipe, blocks string
	among                      []string
	why                        bool
	which                      whichFlags
}

func newContrast(l *ledger) *cobra.Command {
	var f contrastFlags
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
		RunE: func(cmd *cobra.Command, args []string) error {
			return runContrast(cmd.Context(), l, args, &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&f.background, "background", "", "the `BACKGROUND`: a colour, a photo, or a print of the stash")
	fl.StringArrayVar(&f.among, "among", nil, "choose the best of these `BACKGROUNDS`; one each time the flag is given")
	fl.StringVar(&f.recipe, "recipe", "", "compare light and dark with what this `RECIPE` needs")
	fl.StringVar(&f.blocks, "blocks", "1", "for so many `BLOCKS` of it")
	fl.BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.which.define(cmd)
	f.documentFlags.define(cmd)
	return cmd
}

func runContrast(ctx context.Context, l *ledger, args []string, f *contrastFlags) error {
	if f.background != "" && len(f.among) > 0 {
		return fault.Usage("", "--background and --among cannot be given together", "name one background, or those to choose among")
	}
	which, err := f.which.filter()
	if err != nil {
		return err
	}
	against, blocks, err := f.against()
	if err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	r := desk.ContrastRequest{Which: which, Blocks: blocks, Recipe: against}
	if r.Pull, err = samplesOf(args); err != nil {
		return err
	}
	if f.background != "" {
		b := ground(f.background)
		r.Background = &b
	}
	for _, a := range f.among {
		r.Among = append(r.Among, ground(a))
	}
	c := report.Contrast{Why: f.why}
	err = l.at("working", func(d *desk.Desk) error {
		c.Contrast, err = d.Contrast(ctx, r)
		if err == nil && len(files) > 0 && len(args) == 0 {
			c.Crops, err = l.printCrops(ctx, d)
		}
		return err
	})
	if errors.Is(err, desk.ErrNotCloth) {
		no := fault.Of(err)
		return wrong("background", no.About, no.Why, "write a colour like '#f2ede0' or cream, the name of a photo, or a print as 'piecebag shelf --pieces' lists it")
	}
	if err != nil {
		return err
	}
	return f.answer(l.s, files, c.Document(), c.JSON)
}

// printCrops cuts a piece of each print of the stash out of its photo, by the print's
// name.
func (l *ledger) printCrops(ctx context.Context, d *desk.Desk) (map[string]*report.Crop, error) {
	photos, err := d.OneOfEach(ctx, desk.MeasuredPrint)
	if err != nil {
		return nil, err
	}
	bar := l.s.progress("cutting out", len(photos))
	defer bar.done()
	crops, err := report.CropsOf(photos, stashPictures(ctx, photos, bar.step), report.ChipSide)
	out := map[string]*report.Crop{}
	for _, p := range photos {
		for _, x := range p.Pieces {
			if crop := crops[x.ID]; crop != nil {
				out[desk.MeasuredPrint(x.Holding)] = crop
			}
		}
	}
	return out, err
}

// against is the recipe to hold lights and darks against, nil where none is named, and
// how many blocks of it.
func (f *contrastFlags) against() (*recipe.Recipe, int, error) {
	if f.recipe == "" {
		return nil, 0, nil
	}
	n, ok := readCount(f.blocks, 1)
	if !ok {
		return nil, 0, wrong("blocks", f.blocks, "this is not a number of blocks", "write a whole number, like 12")
	}
	r, _, err := readRecipe(f.recipe)
	return r, n, err
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
	if head, tail, ok := cutLast(text, ":"); ok {
		if n, err := strconv.Atoi(tail); err == nil && n > 0 {
			file, number = head, n
		}
	}
	if _, err := os.Stat(file); err == nil {
		out.Photo, out.Piece = file, number
	}
	return out
}

func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}
