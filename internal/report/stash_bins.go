package report

import (
	"fmt"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/shelf"
)

// Bin is a bin of the shelf in words and colours, for a page that lays the shelf out by
// itself.
type Bin struct {
	shelf.Bin
	Held   string // how much lies in it
	Note   string // of how much of it the size is not known; may be empty
	Thin   string // how many it wants and why; empty where it is not thin
	Within []Stretch
	Yields string // the squares that its strips give; may be empty
}

// Stretch is so many pieces of a bin: of one value, or of one hue family where the shelf
// is sorted by value.
type Stretch struct {
	Words string
	Count int
	Fill  *colour.Linear // their middle colour; nil where it is not known
	short string         // Words where there is little room
	at    int            // its place in the order of all
}

// Bins returns the bins of the shelf in its order.
func (s Shelf) Bins() []Bin {
	t := tonesOf(s.Holdings)
	out := make([]Bin, len(s.Stock.Bins))
	for i, b := range s.Stock.Bins {
		out[i] = Bin{Bin: b, Held: heldWords(b.Box), Note: unsized(b.Box), Yields: yieldWords(b.Yields), Within: within(t, b)}
		if x, thin := shortOf(s.Stock.Short, b.Box); thin {
			out[i].Thin = fmt.Sprintf("wants %d more (%s)", x.By(), printable(x.Why()))
		}
	}
	return out
}

// Together returns what lies in bins that are alike in all but their cut, stretch by stretch.
func Together(bins []Bin) (out []Stretch) {
	for _, b := range bins {
		for _, x := range b.Within {
			if i := slices.IndexFunc(out, func(o Stretch) bool { return o.Words == x.Words }); i >= 0 {
				out[i].Count += x.Count
			} else {
				out = append(out, x)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Stretch) int { return a.at - b.at })
	return out
}

// Around returns the document without the shelf itself and what is thin, for a page that has
// them already.
func (s Shelf) Around() Document {
	d := s.Document()
	d.sections = slices.DeleteFunc(d.sections, func(x section) bool { return slices.Contains([]string{onTheShelf, nothingYet, onlyThin}, x.Heading) })
	return d
}
