package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/stash"
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
	needs, err := f.needs()
	if err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	defer files.drop()
	stock, pull, err := l.prints(ctx, which)
	if err != nil {
		return err
	}
	c := report.Contrast{Pull: pull.prints, Unmeasured: pull.unmeasured, Why: f.why}
	if len(args) > 0 {
		c.Unmeasured = 0
		if c.Pull, err = printsOf(ctx, l.s, args); err != nil {
			return err
		}
	}
	if len(c.Pull) == 0 {
		return nothingPulled(pull.unmeasured, which)
	}
	if err := f.choose(ctx, l.s, &c, stock, needs); err != nil {
		return err
	}
	c.Pull = contrast.Without(c.Pull, c.Background.Name)
	if len(c.Pull) == 0 {
		return fault.New(c.Background.Name, "it is the only print, and it cannot be held against itself", "name another background")
	}
	if needs != nil {
		c.Recipe = needs.Recipe.Name
		c.Balance = contrast.Weigh(serving(c.Pull, needs), needs.ByTone())
	}
	if len(files) > 0 && len(args) == 0 {
		if err := l.printCrops(ctx, &c); err != nil {
			return err
		}
	}
	return f.answer(l.s, files, c.Document(), c.JSON)
}

// printCrops cuts a piece of each print of the stash out of its photo.
func (l *ledger) printCrops(ctx context.Context, c *report.Contrast) error {
	return l.read(func(st *stash.Stash) error {
		if st == nil {
			return nil
		}
		name := func(h cloth.Holding) string {
			if !h.Measured {
				return ""
			}
			return printOf(h)
		}
		crops, err := l.crops(ctx, st, name)
		if err != nil {
			return err
		}
		held, err := st.Holdings(ctx, stash.Filter{})
		c.Crops = map[string]*report.Crop{}
		for _, h := range held {
			if x := crops[h.ID]; x != nil {
				c.Crops[name(h)] = x
			}
		}
		return err
	})
}

// nothingPulled says why a pull is empty.
func nothingPulled(unmeasured int, which stash.Filter) error {
	if unmeasured > 0 {
		return fault.New("", "these pieces were entered by hand, so their colour was never measured", measureRemedy)
	}
	if which.Basket != "" {
		return fault.New(which.Basket, "there is nothing of this in the basket", "see 'piecebag shelf --pieces' for the baskets")
	}
	return fault.New("", "there is no print to hold against a background", "name photos or colours, or stow some cloth first")
}

const measureRemedy = "photograph it and 'piecebag recount' the photo, or write its colour, like '#f2ede0'"

// serving is a pull by the pieces that its cloth gives a quilt.
func serving(pull []contrast.Print, needs *plan.Needs) []contrast.Print {
	out := slices.Clone(pull)
	for i, p := range out {
		if len(p.Cloth) == 0 {
			continue
		}
		out[i].Pieces = 0
		for _, c := range p.Cloth {
			out[i].Pieces += c.Count * needs.Gives(c.WidthIn, c.LengthIn)
		}
	}
	return out
}

// choose takes the background named, or the best of those offered. Of the stash,
// cloth too small for the purpose is offered only where there is no other.
func (f *contrastFlags) choose(ctx context.Context, s streams, c *report.Contrast, stock stockPrints, needs *plan.Needs) error {
	if f.background != "" {
		b, err := backgroundOf(ctx, s, f.background, stock)
		c.Background = b
		return err
	}
	c.Backgrounds = slices.DeleteFunc(slices.Clone(stock.prints), func(p contrast.Print) bool { return !p.Large() })
	if needs != nil {
		var err error
		if c.Backgrounds, err = stock.grounds(needs); err != nil {
			return err
		}
	}
	if len(c.Backgrounds) == 0 {
		c.Backgrounds, c.Small = stock.prints, true
	}
	if len(f.among) > 0 {
		c.Backgrounds, c.Small = nil, false
		for _, a := range f.among {
			b, err := backgroundOf(ctx, s, a, stock)
			if err != nil {
				return err
			}
			c.Backgrounds = append(c.Backgrounds, b)
		}
	}
	c.Choices = contrast.Rank(c.Backgrounds, c.Pull)
	if len(c.Choices) == 0 {
		return fault.Usage("", "no background is given, and the stash holds none", "name one with --background, like --background '#f2ede0'")
	}
	c.Background = c.Backgrounds[c.Choices[0].Background]
	return nil
}

// needs is what the recipe's quilt is cut from; nil where none is named.
func (f *contrastFlags) needs() (*plan.Needs, error) {
	if f.recipe == "" {
		return nil, nil
	}
	n, ok := readCount(f.blocks, 1)
	if !ok {
		return nil, wrong("blocks", f.blocks, "this is not a number of blocks", "write a whole number, like 12")
	}
	r, _, err := readRecipe(f.recipe)
	if err != nil {
		return nil, err
	}
	shop := plan.Defaults(recipe.Inches())
	shop.OneByOne = true
	needs, err := plan.Need(plan.Order{Recipe: r, Blocks: n}, shop)
	if err != nil {
		return nil, err
	}
	return needs, nil
}

// stockPrints are prints of the stash, and what else it holds of them.
type stockPrints struct {
	prints     []contrast.Print
	holdings   []cloth.Holding
	unmeasured int // pieces of no measured colour
}

func stockOf(holdings []cloth.Holding) stockPrints {
	out := stockPrints{prints: heldPrints(holdings), holdings: holdings}
	for _, h := range holdings {
		if !h.Measured {
			out.unmeasured += h.Count
		}
	}
	return out
}

// grounds are the prints that the background of a quilt can be cut from.
func (p stockPrints) grounds(needs *plan.Needs) ([]contrast.Print, error) {
	var out []contrast.Print
	for _, c := range p.prints {
		var of []cloth.Holding
		for _, h := range p.holdings {
			if h.Measured && printOf(h) == c.Name {
				of = append(of, h)
			}
		}
		enough, err := plan.GivesBackground(needs, cutting.StockOf(of))
		if err != nil {
			return nil, err
		}
		if enough {
			out = append(out, c)
		}
	}
	return out, nil
}

// prints are the measured prints of the stash, all and those of a filter.
func (l *ledger) prints(ctx context.Context, which stash.Filter) (all, meant stockPrints, err error) {
	err = l.read(func(st *stash.Stash) error {
		if st == nil {
			return nil
		}
		holdings, err := st.Holdings(ctx, stash.Filter{})
		if err != nil {
			return err
		}
		some, err := st.Holdings(ctx, which)
		if err != nil {
			return err
		}
		all, meant = stockOf(holdings), stockOf(some)
		return l.noteUnknown(ctx, st, which)
	})
	return all, meant, err
}

// printOf is a holding's print; what has none stands alone.
func printOf(h cloth.Holding) string {
	if h.Print != "" {
		return h.Print
	}
	return strings.TrimSpace(fmt.Sprintf("%s %s, %d", h.Value, h.Family, h.ID))
}

// heldPrints gathers measured holdings by print.
func heldPrints(holdings []cloth.Holding) []contrast.Print {
	var g printList
	for _, h := range holdings {
		if h.Measured {
			g.add(printOf(h), h.Mean, h.ReadsAs, h.Colours, contrast.Cloth{WidthIn: h.WidthIn, LengthIn: h.LengthIn, Count: h.Count})
		}
	}
	return g
}

// printList is prints in the order they were first met.
type printList []contrast.Print

// add counts pieces of a print; its colours are the mean of all pieces, its inks and
// what it reads as those of the first.
func (g *printList) add(name string, mean, reads colour.Linear, inks []cloth.Swatch, of contrast.Cloth) {
	n := of.Count
	for i := range *g {
		p := &(*g)[i]
		if p.Name != name {
			continue
		}
		share := float64(n) / float64(n+p.Pieces)
		for k := range p.Colour {
			p.Colour[k] += share * (mean[k] - p.Colour[k])
		}
		p.Pieces += n
		p.Cloth = append(p.Cloth, of)
		return
	}
	*g = append(*g, contrast.Print{Name: name, Colour: mean, Reads: reads, Inks: inks, Pieces: n, Cloth: []contrast.Cloth{of}})
}

// printsOf reads photos and colours, each argument one or the other.
func printsOf(ctx context.Context, s streams, args []string) ([]contrast.Print, error) {
	var g printList
	var photos []string
	for _, a := range args {
		c, err := fileOrColour(a)
		if err == nil {
			g.add(a, c, c, nil, contrast.Cloth{Count: 1})
			continue
		}
		if !errors.Is(err, errFile) && !strings.ContainsAny(a, "./\\") {
			return nil, err
		}
		photos = append(photos, a)
	}
	if len(photos) == 0 {
		return g, nil
	}
	sheets, err := lookAtPrints(ctx, s, photos)
	for i, sheet := range sheets {
		for _, p := range sheet.Pieces {
			g.add(pieceName(sheet.File, i, len(sheets), p), p.Mean, p.ReadsAs, p.Colours, contrast.Cloth{WidthIn: p.WidthIn, LengthIn: p.LengthIn, Count: 1})
		}
	}
	return g, err
}

// lookAtPrints looks at photos; one that cannot be read is an error, since the
// rest would be taken for the whole pull.
func lookAtPrints(ctx context.Context, s streams, args []string) ([]cloth.Sheet, error) {
	files, refused := photo.Walk(args)
	if len(refused) > 0 {
		return nil, refused[0]
	}
	results, err := s.lookAll(ctx, files, look.Options{Seed: seed})
	if err != nil {
		return nil, err
	}
	var sheets []cloth.Sheet
	for _, r := range results {
		if r.err != nil {
			return nil, r.err
		}
		sheets = append(sheets, r.sheet)
	}
	return sheets, nil
}

// pieceName calls a piece by its print, with its photo where there are several.
func pieceName(file string, i, photos int, p cloth.Piece) string {
	name := "print " + p.Print
	if p.Print == "" {
		name = "piece " + strconv.Itoa(p.ID)
	}
	if photos > 1 {
		name += " of " + filepath.Base(file)
	}
	return name
}

// backgroundOf reads a background: a print of the stash, a colour, or a photo
// with a piece of it.
func backgroundOf(ctx context.Context, s streams, text string, stock stockPrints) (contrast.Print, error) {
	for _, p := range stock.prints {
		if p.Name == text {
			return p, nil
		}
	}
	if c, err := fileOrColour(text); err == nil && !held(stock.holdings, text) {
		return contrast.Print{Name: text, Colour: c, Reads: c, Pieces: 1}, nil
	}
	if held(stock.holdings, text) {
		return contrast.Print{}, fault.New(text, "the stash holds this print, but its colour was never measured", measureRemedy)
	}
	file, number := text, 0
	if head, tail, ok := cutLast(text, ":"); ok {
		if n, err := strconv.Atoi(tail); err == nil && n > 0 {
			file, number = head, n
		}
	}
	if _, err := os.Stat(file); err != nil {
		return contrast.Print{}, wrong("background", text, "this is not a colour, a photo or a print of the stash",
			"write a colour like '#f2ede0' or cream, the name of a photo, or a print as 'piecebag shelf --pieces' lists it")
	}
	sheets, err := lookAtPrints(ctx, s, []string{file})
	if err != nil {
		return contrast.Print{}, err
	}
	piece, err := pieceOf(sheets, file, number)
	return contrast.Print{Name: filepath.Base(text), Colour: piece.Mean, Reads: piece.ReadsAs, Inks: piece.Colours, Pieces: 1}, err
}

// pieceOf is the numbered piece of a photo, or the largest.
func pieceOf(sheets []cloth.Sheet, file string, number int) (cloth.Piece, error) {
	none := fault.New(file, "no cloth was found in it", "photograph the background by itself, or write its colour")
	if len(sheets) != 1 || len(sheets[0].Pieces) == 0 {
		return cloth.Piece{}, none
	}
	pieces := sheets[0].Pieces
	if number > 0 {
		i := slices.IndexFunc(pieces, func(p cloth.Piece) bool { return p.ID == number })
		if i < 0 {
			return cloth.Piece{}, fault.New(file, fmt.Sprintf("it has no piece %d", number), "see 'piecebag look "+file+"' for their numbers")
		}
		return pieces[i], nil
	}
	return slices.MaxFunc(pieces, func(a, b cloth.Piece) int { return cmp.Compare(a.Polygon.Area(), b.Polygon.Area()) }), nil
}

func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}
