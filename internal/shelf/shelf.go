// Package shelf sorts pieces into the bins a quilter keeps them in, says which
// bins are thin and what is missing, and how the photographed pieces become
// stacks in the fewest moves. It takes slices, does no I/O and never sees the
// ledger.
package shelf

import (
	"cmp"
	"slices"

	"piecebag/internal/cloth"
)

// Item is one piece and the photo it lies in.
type Item struct {
	Photo int // counted from 0
	Piece cloth.Piece
}

// Items lists the pieces of all sheets, photo after photo, in the order they
// are numbered.
func Items(sheets []cloth.Sheet) []Item {
	var items []Item
	for i, s := range sheets {
		for _, p := range s.Pieces {
			items = append(items, Item{Photo: i, Piece: p})
		}
	}
	return items
}

// Options are what you want of your shelf.
type Options struct {
	// Floor is the fewest pieces you want in a bin of one hue family and
	// value, all cuts together; 0 asks for none.
	Floor int
}

// Survey sums up a set of pieces. Indices point into Items.
type Survey struct {
	Items   []Item
	Groups  []Group // that hold something, in shelf order
	Thin    []Thin  // colours, then values, then bins, each in shelf order
	Missing []Thin  // colours, then values, of which there is no piece
	Stacks  []Stack // in shelf order
	Balance Balance
	Unnamed []int // without a hue family or a value: in no bin and no stack
}

// Build sorts items onto a shelf.
func Build(items []Item, o Options) Survey {
	s := Survey{Items: items, Groups: bins(items), Stacks: stacks(items), Balance: balance(items)}
	s.Thin, s.Missing = thin(s.Groups, o.Floor), missing(s.Groups)
	for i, it := range items {
		if !named(it) {
			s.Unnamed = append(s.Unnamed, i)
		}
	}
	return s
}

// named reports whether a piece can be sorted.
func named(it Item) bool {
	return familyRank(it.Piece.Family) < len(cloth.Families) && valueRank(it.Piece.Value) >= 0
}

// Group is the pieces of one hue family, value and cut.
type Group struct {
	Family cloth.Family
	Value  cloth.Value
	Cut    string // empty where unknown
	Items  []int  // ascending
}

// bins groups items; shelf order is family, value from light to dark, then cut
// from narrow to wide with unknown cuts last.
func bins(items []Item) []Group {
	type key struct {
		family cloth.Family
		value  cloth.Value
		cut    string
	}
	var g gathered[key, Group]
	for i, it := range items {
		if named(it) {
			p := it.Piece
			b := g.of(key{p.Family, p.Value, p.Cut}, Group{Family: p.Family, Value: p.Value, Cut: p.Cut})
			b.Items = append(b.Items, i)
		}
	}
	slices.SortStableFunc(g.all, func(a, b Group) int {
		if c := cmp.Or(compareCell(a.Family, a.Value, b.Family, b.Value), unknownLast(a.Cut, b.Cut)); c != 0 {
			return c
		}
		p, q := items[a.Items[0]].Piece, items[b.Items[0]].Piece
		return cmp.Or(cmp.Compare(p.WidthIn, q.WidthIn), cmp.Compare(p.LengthIn, q.LengthIn), cmp.Compare(a.Cut, b.Cut))
	})
	return g.all
}

// Sorted returns the indices of items in the order of a well-kept shelf: by hue
// family, then from light to dark; pieces alike keep their order.
func Sorted(items []Item) []int {
	order := make([]int, len(items))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		p, q := items[a].Piece, items[b].Piece
		return cmp.Or(
			cmp.Compare(familyRank(p.Family), familyRank(q.Family)),
			cmp.Compare(q.Lightness, p.Lightness))
	})
	return order
}

// familyRank returns the place of a family in shelf order; no family comes last.
func familyRank(f cloth.Family) int {
	if i := slices.Index(cloth.Families, f); i >= 0 {
		return i
	}
	return len(cloth.Families)
}

func valueRank(v cloth.Value) int { return slices.Index(cloth.Values, v) }

func compareCell(f cloth.Family, v cloth.Value, g cloth.Family, w cloth.Value) int {
	return cmp.Or(cmp.Compare(familyRank(f), familyRank(g)), cmp.Compare(valueRank(v), valueRank(w)))
}

func unknownLast(a, b string) int {
	switch {
	case a == "" && b != "":
		return 1
	case a != "" && b == "":
		return -1
	}
	return 0
}
