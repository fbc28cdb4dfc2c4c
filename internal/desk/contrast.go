package desk

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// Sample is cloth to be compared: a colour, or what a photo shows.
type Sample struct {
	Name   string         // as you call it
	Colour *colour.Linear // nil: none is meant
	Photo  string         // where Colour is nil: a file or a folder; empty: none is meant
	Piece  int            // of the photo, from 1; 0: the largest
}

// ContrastRequest asks which prints stand clear of a background.
type ContrastRequest struct {
	Pull  []Sample     // the prints; nil: those of the stash that Which means
	Which stash.Filter // zero: all
	// Pieces are those of Which alone that have these numbers; of none: all.
	Pieces Numbers
	// Background is the one to hold them against, or nil: the best of Among, or of the
	// stash where that is empty. A print of the stash that is called so goes before
	// what else a sample means.
	Background *Sample
	Among      []Sample
	Recipe     *recipe.Recipe // to hold lights and darks against; nil: none
	Blocks     int            // of it, 1 or more
}

// Contrast is a pull of prints against a background, and what it was chosen
// from.
type Contrast struct {
	Background  contrast.Print
	Pull        []contrast.Print
	Backgrounds []contrast.Print // weighed; nil where one was given
	Choices     []contrast.Weighed
	Among       bool   // the backgrounds weighed were named
	Small       bool   // no cloth weighed is large enough for a background
	Unmeasured  int    // pieces meant that have no measured colour
	Recipe      string // that the balance is held against; empty: none
	Balance     contrast.Proportions
}

// Contrast holds prints against a background. Errors: ErrNoPiece, ErrUnmeasured, ErrEmptyBasket,
// ErrNoBackground, ErrNotCloth, ErrNoNumber, those of photos and of package plan.
func (d *Desk) Contrast(ctx context.Context, r ContrastRequest) (Contrast, error) {
	needs, err := r.needs()
	if err != nil {
		return Contrast{}, err
	}
	if r.Pieces.All != nil {
		if _, err := ask(d.readingOne, func(st *stash.Stash) ([]cloth.Holding, error) { return r.Pieces.heldIn(ctx, st) }); err != nil {
			return Contrast{}, err
		}
		r.Which.IDs = r.Pieces.All
	}
	stock, pull, err := d.prints(ctx, r.Which)
	if err != nil {
		return Contrast{}, err
	}
	c := Contrast{Pull: pull.prints, Unmeasured: pull.unmeasured}
	if len(r.Pull) > 0 {
		c.Unmeasured = 0
		if c.Pull, err = d.printsOf(ctx, r.Pull); err != nil {
			return Contrast{}, err
		}
	}
	if len(c.Pull) == 0 {
		return Contrast{}, nothingPulled(pull.unmeasured, r.Which)
	}
	if err := d.choose(ctx, r, &c, stock, needs); err != nil {
		return Contrast{}, err
	}
	c.Pull = contrast.Without(c.Pull, c.Background.Name)
	if len(c.Pull) == 0 {
		return Contrast{}, fault.New(c.Background.Name, "it is the only print, and it cannot be held against itself", "name another background")
	}
	if needs != nil {
		c.Recipe = needs.Recipe.Name
		c.Balance = contrast.Weigh(serving(c.Pull, needs), needs.ByTone())
	}
	return c, nil
}

// needs returns what the recipe's quilt is cut from, nil where no recipe is named.
func (r ContrastRequest) needs() (*plan.Needs, error) {
	if r.Recipe == nil {
		return nil, nil
	}
	shop := plan.Defaults(recipe.Inches())
	shop.OneByOne = true
	needs, err := plan.Need(plan.Order{Recipe: r.Recipe, Blocks: r.Blocks}, shop)
	return needs, err
}

// nothingPulled returns the error that says why a pull is empty.
func nothingPulled(unmeasured int, which stash.Filter) error {
	if unmeasured > 0 {
		return fault.New("", "these pieces were entered by hand, so their colour was never measured", measureRemedy, ErrUnmeasured)
	}
	if which.Basket != "" {
		return fault.New(which.Basket, "there is nothing of this in the basket", "name another basket", ErrEmptyBasket)
	}
	return fault.New("", "there is no print to hold against a background", "name photos or colours, or stow some cloth first")
}

const measureRemedy = "photograph it, or write its colour"

// serving returns a pull whose prints are counted by the pieces that they give the quilt.
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

// choose takes the named background, or the best of those offered. Cloth of the stash that
// is too small for a background is offered only where there is no other.
func (d *Desk) choose(ctx context.Context, r ContrastRequest, c *Contrast, stock stockPrints, needs *plan.Needs) error {
	if r.Background != nil {
		b, err := d.background(ctx, *r.Background, stock)
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
	if len(r.Among) > 0 {
		c.Backgrounds, c.Small, c.Among = nil, false, true
		for _, a := range r.Among {
			b, err := d.background(ctx, a, stock)
			if err != nil {
				return err
			}
			c.Backgrounds = append(c.Backgrounds, b)
		}
	}
	c.Choices = contrast.Rank(c.Backgrounds, c.Pull)
	if len(c.Choices) == 0 {
		return fault.New("", "no background is given, and the stash holds none", "name one", ErrNoBackground, fault.ErrUsage)
	}
	c.Background = c.Backgrounds[c.Choices[0].Background]
	return nil
}

// printsOf returns the prints of samples: the colours, then what the photos show.
func (d *Desk) printsOf(ctx context.Context, samples []Sample) ([]contrast.Print, error) {
	var g printList
	var photos []string
	for _, s := range samples {
		if s.Colour != nil {
			g.add(contrast.Print{Name: s.Name, Colour: *s.Colour, Reads: *s.Colour}, contrast.Cloth{Count: 1})
			continue
		}
		photos = append(photos, s.Photo)
	}
	if len(photos) == 0 {
		return g, nil
	}
	sheets, err := d.lookAtPrints(ctx, photos)
	for _, sheet := range sheets {
		for _, p := range sheet.Pieces {
			g.add(printOnPhoto(p, pieceName(sheet.File, len(sheets), p)), contrast.Cloth{WidthIn: p.WidthIn, LengthIn: p.LengthIn, Count: 1})
		}
	}
	return g, err
}

// lookAtPrints looks at photos; one that cannot be read is an error, since the
// rest would be taken for the whole pull.
func (d *Desk) lookAtPrints(ctx context.Context, names []string) ([]cloth.Sheet, error) {
	files, refused := photo.Walk(names)
	if len(refused) > 0 {
		return nil, refused[0]
	}
	results, err := d.Look(ctx, files, look.Options{})
	if err != nil {
		return nil, err
	}
	var sheets []cloth.Sheet
	for _, r := range results {
		if r.Err != nil {
			return nil, r.Err
		}
		sheets = append(sheets, r.Sheet)
	}
	return sheets, nil
}

// pieceName returns the name of a piece: its print, and its photo where there are several.
func pieceName(file string, photos int, p cloth.Piece) string {
	name := "print " + cloth.ShortPrint(p.Print)
	if p.Print == "" {
		name = "piece " + strconv.Itoa(p.ID)
	}
	if photos > 1 {
		name += " of " + filepath.Base(file)
	}
	return name
}

// background returns what a sample means as a background: a print of the stash, a colour,
// or a piece of a photo.
func (d *Desk) background(ctx context.Context, s Sample, stock stockPrints) (contrast.Print, error) {
	for _, p := range stock.prints {
		if p.Name == s.Name {
			return p, nil
		}
	}
	switch known := held(stock.holdings, s.Name); {
	case known:
		return contrast.Print{}, fault.New(s.Name, "the stash holds this print, but its colour was never measured", measureRemedy, ErrUnmeasured)
	case s.Colour != nil:
		return contrast.Print{Name: s.Name, Colour: *s.Colour, Reads: *s.Colour, Pieces: 1}, nil
	case s.Photo == "":
		return contrast.Print{}, fault.New(s.Name, "this is not a colour, a photo or a print of the stash", "name one of these", ErrNotCloth, fault.ErrUsage)
	}
	sheets, err := d.lookAtPrints(ctx, []string{s.Photo})
	if err != nil {
		return contrast.Print{}, err
	}
	piece, err := pieceOf(sheets, s)
	b := printOnPhoto(piece, filepath.Base(s.Name))
	b.Pieces = 1
	return b, err
}

// printOnPhoto returns a piece of a photo as a print.
func printOnPhoto(p cloth.Piece, name string) contrast.Print {
	return contrast.Print{Name: name, Colour: p.Mean, Reads: p.ReadsAs, Inks: p.Colours, Family: p.Family, Value: p.Value}
}

// pieceOf returns the piece of a photo that a sample means.
func pieceOf(sheets []cloth.Sheet, s Sample) (cloth.Piece, error) {
	if len(sheets) != 1 || len(sheets[0].Pieces) == 0 {
		return cloth.Piece{}, fault.New(s.Photo, "no cloth was found in it", "photograph the background by itself, or write its colour")
	}
	pieces := sheets[0].Pieces
	if s.Piece > 0 {
		i := slices.IndexFunc(pieces, func(p cloth.Piece) bool { return p.ID == s.Piece })
		if i < 0 {
			return cloth.Piece{}, fault.New(s.Photo, fmt.Sprintf("it has no piece %d", s.Piece), "look at the photo for their numbers", ErrNoNumber)
		}
		return pieces[i], nil
	}
	return slices.MaxFunc(pieces, func(a, b cloth.Piece) int { return cmp.Compare(a.Polygon.Area(), b.Polygon.Area()) }), nil
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

// grounds returns the prints that the background of a quilt can be cut from.
func (p stockPrints) grounds(needs *plan.Needs) ([]contrast.Print, error) {
	var out []contrast.Print
	for _, c := range p.prints {
		var of []cloth.Holding
		for _, h := range p.holdings {
			if h.Measured && printOf(h) == c.Name {
				of = append(of, h)
			}
		}
		enough, err := plan.GivesBackground(needs, of)
		if err != nil {
			return nil, err
		}
		if enough {
			out = append(out, c)
		}
	}
	return out, nil
}

// prints returns the measured prints of the stash, all and those that a filter means; none
// where there is no stash.
func (d *Desk) prints(ctx context.Context, which stash.Filter) (all, meant stockPrints, err error) {
	st, err := d.reading()
	if st == nil || err != nil {
		return all, meant, err
	}
	holdings, err := st.Holdings(ctx, stash.Filter{})
	if err != nil {
		return all, meant, err
	}
	some, err := st.Holdings(ctx, which)
	if err != nil {
		return all, meant, err
	}
	return stockOf(holdings), stockOf(some), d.noteUnknown(ctx, st, which)
}

// Prints returns one holding of each print that the stash holds, in the order of
// cloth.CompareNatural by their names; none where there is no stash.
func (d *Desk) Prints(ctx context.Context) ([]cloth.Holding, error) {
	all, err := ask(d.reading, func(st *stash.Stash) ([]cloth.Holding, error) { return st.Holdings(ctx, stash.Filter{}) })
	all = slices.DeleteFunc(all, func(h cloth.Holding) bool { return h.Print == "" })
	slices.SortStableFunc(all, func(a, b cloth.Holding) int { return cloth.CompareNatural(a.Print, b.Print) })
	return slices.CompactFunc(all, func(a, b cloth.Holding) bool { return a.Print == b.Print }), err
}

// printOf returns the key of a holding's print; a holding without a print has a key of its
// own.
func printOf(h cloth.Holding) string {
	if h.Print != "" {
		return h.Print
	}
	return fmt.Sprintf("piece %d", h.ID)
}

// MeasuredPrint is a holding's print as Contrast names it; empty where its colour was
// never measured.
func MeasuredPrint(h cloth.Holding) string {
	if !h.Measured {
		return ""
	}
	return printOf(h)
}

// held reports whether a print is among the holdings.
func held(holdings []cloth.Holding, print string) bool {
	return slices.ContainsFunc(holdings, func(h cloth.Holding) bool { return h.Print == print })
}

// heldPrints gathers measured holdings by print.
func heldPrints(holdings []cloth.Holding) []contrast.Print {
	var g printList
	for _, h := range holdings {
		if h.Measured {
			p := contrast.Print{Name: printOf(h), Colour: h.Mean, Reads: h.ReadsAs, Inks: h.Colours, Family: h.Family, Value: h.Value}
			if h.Basket != "" {
				p.Baskets = []string{h.Basket}
			}
			g.add(p, contrast.Cloth{WidthIn: h.WidthIn, LengthIn: h.LengthIn, Count: h.Count})
		}
	}
	return g
}

// printList is prints in the order they were first met.
type printList []contrast.Print

// add counts pieces of a print; its colour is the mean of all pieces, its inks and
// what it is called those of the first.
func (g *printList) add(more contrast.Print, of contrast.Cloth) {
	n := of.Count
	for i := range *g {
		p := &(*g)[i]
		if p.Name != more.Name {
			continue
		}
		share := float64(n) / float64(n+p.Pieces)
		for k := range p.Colour {
			p.Colour[k] += share * (more.Colour[k] - p.Colour[k])
		}
		p.Pieces += n
		p.Cloth = append(p.Cloth, of)
		for _, b := range more.Baskets {
			if !slices.Contains(p.Baskets, b) {
				p.Baskets = append(p.Baskets, b)
			}
		}
		return
	}
	more.Pieces, more.Cloth = n, []contrast.Cloth{of}
	*g = append(*g, more)
}
