package main

import (
	"context"
	"errors"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

func newRefill(l *line) *cobra.Command {
	var f documentFlags
	var lengths measures
	var ask desk.RefillRequest
	var r report.Refill
	cmd := &cobra.Command{
		Use:   "refill",
		Short: "Find which strips to cut up for the thin bins",
		Long: `Refill finds which strips and larger pieces to cut for the bins that are below
their floors, or below what planned quilts take. It takes no other bin below its own,
and no piece that a planned quilt has pulled. It does not change the stash. When you
have cut, take out what you cut with 'piecebag use' and put in what it gave with
'piecebag add'.

What is cut is chosen by aims, each before the next:
  1 fill the bins most
  2 take pieces that are the right size as they are
  3 cut into the smallest pieces that serve, short ones before long ones, squares last
  4 cut into the fewest pieces
  5 make the fewest cuts
  6 waste the least
This order is --prefer scraps. --prefer waste takes them in the order 1 2 6 4 3 5.
--prefer variety, after 1, fills each bin from the most prints. No cloth is cut that
the bins do not need.`,
		Example: `  piecebag refill
  piecebag refill --pdf refill.pdf`,
		Args: noArgs,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, _ []string) (a shown, err error) {
			if ask.System, err = desk.ReadSystem("¼", lengths.unit()); err != nil {
				return a, err
			}
			if r.Refill, err = d.Refill(ctx, ask); err == nil && f.pictured() {
				r.Crops, err = l.crops(ctx, d, desk.Pulled(r.Cover))
			}
			return shown{document: r.Document, json: r.JSON}, err
		}),
	}
	preferVar(cmd, &ask.Prefer)
	cmd.Flags().BoolVar(&lengths.metric, "metric", false, "answer in centimetres")
	whyVar(cmd, &r.Why)
	f.define(cmd)
	return cmd
}

func newLeftovers(l *line) *cobra.Command {
	var f documentFlags
	var of whichFlags
	var lengths measures
	var ask desk.LeftoversRequest
	var each cutting.Leftover // what is the same of all
	var c report.CuttingUp
	cmd := &cobra.Command{
		Use:   "leftovers WIDTH x LENGTH…",
		Short: "Find how to cut what a project leaves into your sizes",
		Long: `Leftovers says how to cut what a project leaves into the sizes you keep. Give the
width and length of each leftover; of an odd piece, those of the largest rectangle
in it. Cloth is worth what it measures when it is sewn, so of two ways that use it
all the one with the larger pieces is better. Cloth of a size whose bin of that
colour is thin is worth more, up to twice as much. Strips as long as the cloth, 12
inches or more, are cut where --strips names their widths or their bin is thin. The
trade's words are read too, and what they are counted as is said: 2 fat quarters,
half a yard, 10-inch square.`,
		Example: `  piecebag leftovers 18x22 --family blue --value dark
  piecebag leftovers 2 fat quarters 7½x9
  piecebag leftovers 11x42 7½x9 --cuts 1½,2½,5
  piecebag leftovers 11x42 --strips 2½`,
		Args: atLeastOne("no leftover is given", "write its width and length, e.g. piecebag leftovers 18x22"),
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, args []string) (a shown, err error) {
			ask.Of = shelf.Alike{Own: of.Bin, Family: of.Family, Value: of.Value}
			unit := lengths.unit(args...)
			if ask.System, err = desk.ReadSystem("¼", unit); err != nil {
				return a, err
			}
			text := strings.Join(args, " ")
			sizes, as, err := desk.ReadSizes(text, unit)
			switch {
			case errors.Is(err, cloth.ErrUnit):
				err = fault.Usage(text, noUnit, unitRemedy)
			case err != nil:
				err = fault.Usage(text, fault.Of(err).Why, fault.Of(err).Remedy)
			default:
				err = lengths.read(unit)
			}
			if err != nil {
				return a, err
			}
			for _, s := range sizes {
				each.W, each.L = s[0], s[1]
				ask.Cloths = append(ask.Cloths, each)
			}
			ask.As = as
			if c.Leftovers, err = d.Leftovers(ctx, ask); errors.Is(err, desk.ErrTooLarge) {
				err = fault.Of(err).Named(text)
			}
			return shown{document: c.Document, json: c.JSON}, err
		}),
	}
	fl := cmd.Flags()
	of.define(cmd, "family", "value", "bin")
	lengths.add(fl, "cuts", "", "the `SIZES` of squares you keep, e.g. 1½,2½,5; else those the stash holds", cutsTo(&ask.Cuts))
	lengths.add(fl, "strips", "", "the `WIDTHS` of strips to cut too, e.g. 2½", cutsTo(&ask.Strips))
	lengths.add(fl, "squaring", "0", "the `LENGTH` lost from each side in squaring up", lengthOrNoneTo(&each.Loss))
	fl.BoolVar(&each.OneWay, "one-way", false, "the print has an up and must not be turned")
	lengths.metricFlag(fl)
	whyVar(cmd, &c.Why)
	f.define(cmd)
	return cmd
}

func newBuy(l *line) *cobra.Command {
	var f documentFlags
	var lengths measures
	var ask desk.BuyRequest
	b := report.Buying{Wording: wording}
	cmd := &cobra.Command{
		Use:   "buy",
		Short: "Make a shopping list, the most useful first, and say what not to buy",
		Long: `Buy makes a shopping list of what the plans you saved lack ('piecebag plan --save')
and of the thin bins that strips cannot fill. For each gap it gives a swatch to hold
against cloth, how many different prints to buy, and the least cloth of each. No
print is for two quilts, for a plan you saved keeps all of the cloth it is cut from.
What makes a planned quilt possible comes first, then what fills the shelf. It also
says what not to buy. --html and --pdf write a card to take along.`,
		Example: `  piecebag buy --pdf card.pdf --paper a4
  piecebag buy --html card.html --no-quarters`,
		Args: noArgs,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, _ []string) (a shown, err error) {
			if err := lengths.read(lengths.unit()); err != nil {
				return a, err
			}
			if b.Buying, err = d.Buy(ctx, ask); err == nil && f.pictured() {
				b.Crops, err = l.crops(ctx, d, func(h cloth.Holding) string { return string(h.Value) + " " + string(h.Family) })
			}
			return shown{document: b.Document, json: b.JSON}, err
		}),
	}
	fl := cmd.Flags()
	lengths.shopVars(cmd, &ask.Shop)
	readVar(fl, &ask.EachPrint, "each", "", "cut at most so many `PIECES` of a gap from one print; else what one strip gives",
		count(1, mostPieces, "this is not a number of pieces", "write a whole number, like 12"))
	fl.BoolVar(&ask.NoQuarters, "no-quarters", false, "buy by length alone, no quarters")
	whyVar(cmd, &b.Why)
	f.define(cmd)
	return cmd
}

func newContrast(l *line) *cobra.Command {
	var f documentFlags
	var which whichFlags
	var background, recipe string
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
				if ask.Recipe, err = readRecipe(recipe); err != nil {
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
	fl.StringVar(&background, "background", "", "the `BACKGROUND`: a colour, a photo, or a print of the stash")
	manyVar(fl, &ask.Among, "among", "choose the best of these `BACKGROUNDS`; one each time the flag is given", func(s string) ([]desk.Sample, error) {
		return []desk.Sample{ground(s)}, nil
	})
	notTogether(cmd, "name one background, or those to choose among", "background", "among")
	fl.StringVar(&recipe, "recipe", "", "compare light and dark with what this `RECIPE` needs")
	blocksVar(fl, &ask.Blocks, "1", "for so many `BLOCKS` of it")
	whyVar(cmd, &c.Why)
	which.define(cmd)
	f.define(cmd)
	return cmd
}

// samplesOf returns photos and colours as they were named, each one or the other.
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

// ground returns what a background may be by its name: a colour, or a photo with a number of
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
