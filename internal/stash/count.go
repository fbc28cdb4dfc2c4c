package stash

import (
	"cmp"
	"context"
	"database/sql"
	"maps"
	"slices"
	"time"

	"piecebag/internal/cloth"
)

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }

// compareCounts is the order of a shelf: your own bins by name, then the
// families and values in their order, forms, sizes; what is not known first.
func compareCounts(a, b Count) int {
	return cmp.Or(
		cmp.Compare(a.Bin, b.Bin),
		cmp.Compare(slices.Index(cloth.Families, a.Family), slices.Index(cloth.Families, b.Family)),
		cmp.Compare(slices.Index(cloth.Values, a.Value), slices.Index(cloth.Values, b.Value)),
		cmp.Compare(slices.Index(cloth.Forms, a.Form), slices.Index(cloth.Forms, b.Form)),
		cmp.Compare(a.WidthIn, b.WidthIn), cmp.Compare(a.LengthIn, b.LengthIn))
}

func scanCount(r *sql.Rows) (c Count, err error) {
	var area int64
	err = r.Scan(&c.Family, &c.Value, &c.Bin, &c.Form, &c.WidthIn, &c.LengthIn, &c.Count, &area, &c.Prints)
	c.AreaIn2 = float64(area) / 1000
	return c, err
}

// Counts is how much the stash holds of each family, value, own bin, form and
// cut, in the order of a shelf. It does not read the pieces.
func (s *Stash) Counts(ctx context.Context) ([]Count, error) {
	out, err := rowsOf(ctx, s.r, scanCount, `SELECT family, value, bin, form, cut_width_in, cut_length_in, n, area, prints FROM tally_cut`)
	slices.SortFunc(out, compareCounts)
	return out, explain(s.file, err)
}

// Stock is what the stash holds, pieces alike to the length counted together:
// all that the shelf counts, strips with their lengths among it, without
// reading the pieces. Of each holding the form, count, lengths, area, family,
// value and bin are given. For prints, colours and baskets see Holdings; for how
// many prints, Counts.
func (s *Stash) Stock(ctx context.Context) ([]cloth.Holding, error) {
	out, err := rowsOf(ctx, s.r, func(r *sql.Rows) (h cloth.Holding, err error) {
		var area int64
		err = r.Scan(&h.Family, &h.Value, &h.Bin, &h.Form, &h.WidthIn, &h.LengthIn, &h.Count, &area)
		h.AreaIn2 = float64(area) / 1000
		return h, err
	}, `SELECT family, value, bin, form, width_in, length_in, n, area FROM tally
		ORDER BY family, value, bin, form, width_in, length_in`)
	return out, explain(s.file, err)
}

// ChangedSince is by how much the counts changed from t on, over all changes
// that stand, in the order of a shelf. A change that was undone never was.
func (s *Stash) ChangedSince(ctx context.Context, t time.Time) ([]Count, error) {
	out, err := differences(ctx, s.r, `change IN (SELECT id FROM change WHERE at >= ?)`, t.UnixMilli())
	return out, explain(s.file, err)
}

func differences(ctx context.Context, q queryer, cond string, args ...any) ([]Count, error) {
	const key = `family, value, bin, form, cut_width_in, cut_length_in`
	out, err := rowsOf(ctx, q, scanCount, `SELECT `+key+`, sum(n), sum(area), 0 FROM delta
		WHERE `+cond+` GROUP BY `+key+` HAVING sum(n) <> 0 OR sum(area) <> 0`, args...)
	slices.SortFunc(out, compareCounts)
	return out, err
}
