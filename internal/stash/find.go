package stash

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// where writes a filter as a condition on holding h, print f and photo p.
func (f Filter) where() (cond string, args []any) {
	parts := []string{"h.count > 0"}
	add := func(c string, a ...any) {
		parts, args = append(parts, c), append(args, a...)
	}
	text := func(column, v string) {
		if v != "" {
			add(column+" = ?", v)
		}
	}
	if f.IDs != nil {
		add("h.id IN (SELECT value FROM json_each(?))", asJSON(f.IDs))
	}
	text("h.form", string(f.Form))
	text("h.family", string(f.Family))
	text("h.value", string(f.Value))
	text("h.bin", f.Bin)
	text("h.basket", f.Basket)
	text("f.name", f.Print)
	text("p.hash", f.Photo)
	if f.Cut > 0 {
		add("h.cut_width_in = ?", mark(f.Cut))
	}
	if f.Length > 0 {
		// A strip's length was measured, so it may be off by half a mark either way.
		add("abs(h.length_in - ?) < 0.0626", mark(f.Length))
	}
	if f.Sized {
		add("h.width_in > 0 AND h.length_in > 0 AND h.form NOT IN ('band', 'weighed')")
	}
	return strings.Join(parts, " AND "), args
}

// mark returns a length to a ruler's mark, as shelf counts cuts.
func mark(in float64) float64 { return shelf.Square(in).Width }

// Names are the bins, baskets and prints of a stash by name, each in order, those
// too that hold nothing any more.
type Names struct{ Bins, Baskets, Prints []string }

// Names lists what the stash has names for, in the order of cloth.CompareNatural.
func (s *Stash) Names(ctx context.Context) (Names, error) {
	var out Names
	for _, x := range []struct {
		to    *[]string
		query string
	}{
		{&out.Bins, `SELECT bin FROM holding UNION SELECT bin FROM taught UNION SELECT bin FROM floor`},
		{&out.Baskets, `SELECT basket FROM holding UNION SELECT basket FROM photo`},
		{&out.Prints, `SELECT name FROM print`},
	} {
		names, err := rowsOf(ctx, s.r, itself[string], x.query)
		if err != nil {
			return out, Explain(s.file, err)
		}
		slices.SortFunc(names, cloth.CompareNatural)
		*x.to = slices.DeleteFunc(names, func(n string) bool { return n == "" })
	}
	return out, nil
}

func find(ctx context.Context, q queryer, f Filter) ([]row, error) {
	cond, args := f.where()
	return rowsOf(ctx, q, (*row).columns, selectRows+`WHERE `+cond+` ORDER BY h.id`, args...)
}

func (t *tx) find(f Filter) ([]row, error) { return find(t.ctx, t.Tx, f) }

// holding reads a holding that is still in the stash.
func (t *tx) holding(id int64) (row, error) {
	rows, err := t.find(Filter{IDs: []int64{id}})
	if err == nil && len(rows) == 0 {
		err = fault.New(fmt.Sprintf("piece %d", id), "the stash holds no such piece", "look its number up", ErrUnknown, ErrNoPiece)
	}
	if err != nil {
		return row{}, err
	}
	return rows[0], nil
}

// Holdings lists what the stash holds of what f means, in the order it came in.
func (s *Stash) Holdings(ctx context.Context, f Filter) ([]cloth.Holding, error) {
	rows, err := find(ctx, s.r, f)
	if err != nil {
		return nil, Explain(s.file, err)
	}
	return holdingsOf(rows), nil
}

// Outlines returns the outlines of the pieces in the stash by their number, full-size
// pixels of their photos; nil for pieces entered by hand.
func (s *Stash) Outlines(ctx context.Context) (map[int64]geom.Polygon, error) {
	type outlined struct {
		id      int64
		outline geom.Polygon
	}
	all, err := rowsOf(ctx, s.r, func(o *outlined) []any { return []any{&o.id, intoRead(&o.outline, readOutline)} },
		`SELECT id, outline FROM holding WHERE count > 0`)
	out := make(map[int64]geom.Polygon, len(all))
	for _, o := range all {
		out[o.id] = o.outline
	}
	return out, Explain(s.file, err)
}

// Shown is a piece with where it lies in its photo, full-size pixels.
type Shown struct {
	cloth.Holding // Count is 0 where it was used since
	Outline       geom.Polygon
}

// Shown lists the pieces that photos show of these numbers and of these prints, in the
// order they came in, those too that were used since.
func (s *Stash) Shown(ctx context.Context, ids []int64, prints []string) ([]Shown, error) {
	rows, err := rowsOf(ctx, s.r, (*row).columns, selectRows+`WHERE h.photo IS NOT NULL AND (h.count > 0 OR h.gone IN (?, ?))
		AND (h.id IN (SELECT value FROM json_each(?)) OR f.name IN (SELECT value FROM json_each(?))) ORDER BY h.id`,
		goneUsed, goneRecounted, asJSON(ids), asJSON(prints))
	return eachAs(rows, func(h row) Shown { return Shown{h.Holding, h.outline} }), Explain(s.file, err)
}

func holdingsOf(rows []row) []cloth.Holding {
	return eachAs(rows, func(h row) cloth.Holding { return h.Holding })
}
