package main

import (
	"cmp"
	"context"
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
	"piecebag/internal/look"
	"piecebag/internal/photo"
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
		Short: "Hold prints against a background: what stands clear, what sinks",
		Long: `Contrast holds every print of a pull against a background: the gap in lightness,
in steps of the Munsell value scale, the colour difference, and the ratio that
signs on screens are held to, which is borrowed. The pull is what the photos show
or the colours named; without any, the prints of the stash, all or those that
--basket, --family and their like mean.

A background is a colour, a photo of the cloth (FILE:3 for its piece 3), or a
print of the stash. Without --background the best of the stash is found, or of
those that --among names. With --recipe the pull's lights, mediums and darks are
held against what the recipe takes.`,
		Example: `  piecebag contrast pull.jpg --background '#f2ede0'
  piecebag contrast pull.jpg --among linen.jpg --among muslin.jpg --html pull.html
  piecebag contrast --basket blues --recipe ohio-star --blocks 12`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noneEmpty(cmd.Flags()); err != nil {
				return err
			}
			return runContrast(cmd.Context(), l, args, &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&f.background, "background", "", "the `BACKGROUND`: a colour, a photo, or a print of the stash")
	fl.StringArrayVar(&f.among, "among", nil, "choose the best of these `BACKGROUNDS`; one each time the flag is given")
	fl.StringVar(&f.recipe, "recipe", "", "hold light and dark against this `RECIPE`")
	fl.StringVar(&f.blocks, "blocks", "1", "for so many `BLOCKS` of it")
	fl.BoolVar(&f.why, "why", false, "write the arithmetic out")
	f.which.define(cmd)
	f.documentFlags.define(cmd)
	return cmd
}

func runContrast(ctx context.Context, l *ledger, args []string, f *contrastFlags) error {
	if f.background != "" && len(f.among) > 0 {
		return &usageError{"--background and --among exclude each other", "name one background, or those to choose among"}
	}
	which, err := f.which.filter()
	if err != nil {
		return err
	}
	wanted, name, err := f.wanted()
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
	if len(args) > 0 {
		if pull, err = printsOf(ctx, l.s, args); err != nil {
			return err
		}
	}
	if len(pull) == 0 {
		return &remedyError{"there is nothing to hold against a background", "name photos or colours, or stow some cloth first", nil}
	}
	c := report.Contrast{Pull: pull, Recipe: name, Why: f.why}
	if err := f.choose(ctx, l.s, &c, stock); err != nil {
		return err
	}
	if name != "" {
		c.Balance = contrast.Weigh(pull, wanted)
	}
	return f.answer(l.s, files, c.Document(), c.JSON)
}

// choose takes the background named, or the best of those offered.
func (f *contrastFlags) choose(ctx context.Context, s streams, c *report.Contrast, stock []contrast.Print) error {
	if f.background != "" {
		b, err := backgroundOf(ctx, s, f.background, stock)
		c.Background = b
		return err
	}
	c.Backgrounds = stock
	if len(f.among) > 0 {
		c.Backgrounds = nil
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
		return &usageError{"no background given, and the stash holds none", "name one with --background, like --background '#f2ede0'"}
	}
	c.Background = c.Backgrounds[c.Choices[0].Background]
	return nil
}

// wanted counts the pieces of a recipe by tone.
func (f *contrastFlags) wanted() (contrast.Wanted, string, error) {
	var w contrast.Wanted
	if f.recipe == "" {
		return w, "", nil
	}
	n, ok := readCount(f.blocks, 1)
	if !ok {
		return w, "", wrong("blocks", f.blocks, "this is no number of blocks", "write a whole number, like 12")
	}
	r, _, err := readRecipe(f.recipe)
	if err != nil {
		return w, "", err
	}
	for _, p := range r.BlockLayout(0).Patches {
		switch {
		case p.Role.Background:
		case p.Role.Value == recipe.LightTone:
			w.Light += n
		case p.Role.Value == recipe.MediumTone:
			w.Medium += n
		case p.Role.Value == recipe.DarkTone:
			w.Dark += n
		default:
			w.Any += n
		}
	}
	return w, r.Name, nil
}

// prints are the measured prints of the stash, all and those of a filter.
func (l *ledger) prints(ctx context.Context, which stash.Filter) (all, meant []contrast.Print, err error) {
	err = l.read(func(st *stash.Stash) error {
		if st == nil {
			return nil
		}
		holdings, err := st.Holdings(ctx, stash.Filter{})
		if err != nil {
			return err
		}
		some, err := st.Holdings(ctx, which)
		all, meant = heldPrints(holdings), heldPrints(some)
		return err
	})
	return all, meant, err
}

// heldPrints gathers measured holdings by print; what has no print stands alone.
func heldPrints(holdings []cloth.Holding) []contrast.Print {
	var g printList
	for _, h := range holdings {
		if !h.Measured {
			continue
		}
		name := h.Print
		if name == "" {
			name = strings.TrimSpace(fmt.Sprintf("%s %s, %d", h.Value, h.Family, h.ID))
		}
		g.add(name, h.Mean, h.Colours, h.Count)
	}
	return g
}

// printList is prints in the order they were first met.
type printList []contrast.Print

// add counts pieces of a print; its colours are the mean of all pieces, its inks
// those of the first.
func (g *printList) add(name string, mean colour.Linear, inks []cloth.Swatch, n int) {
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
		return
	}
	*g = append(*g, contrast.Print{Name: name, Colour: mean, Inks: inks, Pieces: n})
}

// printsOf reads photos and colours, each argument one or the other.
func printsOf(ctx context.Context, s streams, args []string) ([]contrast.Print, error) {
	var g printList
	var photos []string
	for _, a := range args {
		if c, err := colour.ParseColour(a); err == nil {
			g.add(a, c, nil, 1)
			continue
		} else if _, missing := os.Stat(a); missing != nil && !strings.ContainsAny(a, "./\\") {
			return nil, colourError(err)
		}
		photos = append(photos, a)
	}
	if len(photos) == 0 {
		return g, nil
	}
	sheets, err := lookAtPrints(ctx, s, photos)
	for i, sheet := range sheets {
		for _, p := range sheet.Pieces {
			g.add(pieceName(sheet.File, i, len(sheets), p), p.Mean, p.Colours, 1)
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
	bar := s.progress("looking", len(files))
	results, err := lookAll(ctx, files, look.Options{Seed: seed}, bar.step)
	bar.done()
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
func backgroundOf(ctx context.Context, s streams, text string, stock []contrast.Print) (contrast.Print, error) {
	for _, p := range stock {
		if p.Name == text {
			return p, nil
		}
	}
	c, notColour := colour.ParseColour(text)
	if notColour == nil {
		return contrast.Print{Name: text, Colour: c, Pieces: 1}, nil
	}
	file, number := text, 0
	if head, tail, ok := cutLast(text, ":"); ok {
		if n, err := strconv.Atoi(tail); err == nil && n > 0 {
			file, number = head, n
		}
	}
	if _, err := os.Stat(file); err != nil {
		return contrast.Print{}, wrong("background", text, "this is no colour, no photo and no print of the stash",
			"write a colour like '#f2ede0', the name of a photo, or a print as 'piecebag shelf --pieces' lists it")
	}
	sheets, err := lookAtPrints(ctx, s, []string{file})
	if err != nil {
		return contrast.Print{}, err
	}
	piece, err := pieceOf(sheets, file, number)
	return contrast.Print{Name: filepath.Base(text), Colour: piece.Mean, Inks: piece.Colours, Pieces: 1}, err
}

// pieceOf is the numbered piece of a photo, or the largest.
func pieceOf(sheets []cloth.Sheet, file string, number int) (cloth.Piece, error) {
	none := &remedyError{file + ": no cloth was found in it", "photograph the background by itself, or write its colour", nil}
	if len(sheets) != 1 || len(sheets[0].Pieces) == 0 {
		return cloth.Piece{}, none
	}
	pieces := sheets[0].Pieces
	if number > 0 {
		i := slices.IndexFunc(pieces, func(p cloth.Piece) bool { return p.ID == number })
		if i < 0 {
			return cloth.Piece{}, &remedyError{fmt.Sprintf("%s: it has no piece %d", file, number), "see 'piecebag look " + file + "' for their numbers", nil}
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
