package stash

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }

func countsOf(ctx context.Context, q queryer, query string, args ...any) ([]shelf.Count, error) {
	out, err := rowsOf(ctx, q, func(c *shelf.Count) []any {
		return []any{&c.Family, &c.Value, &c.Own, &c.Form, &c.Width, &c.Length, &c.Count, &c.AreaIn, &c.Prints}
	}, query, args...)
	for i, c := range out {
		out[i].Alike = shelf.AlikeOf(cloth.Holding{Bin: c.Own, Family: c.Family, Value: c.Value})
	}
	return shelf.Merge(out), err
}

// Counts returns how much each box of the shelf holds, in shelf order. It does not read
// the pieces.
func (s *Stash) Counts(ctx context.Context) ([]shelf.Count, error) {
	out, err := countsOf(ctx, s.r, `SELECT family, value, bin, form, cut_width_in, cut_length_in, n, area / 1000.0, prints FROM tally_cut`)
	return out, Explain(s.file, err)
}

// Stock returns what the stash holds, pieces alike to the length counted together:
// all that the shelf counts, strips with their lengths among it, without
// reading the pieces. Of each holding the form, count, lengths, area, family,
// value and bin are given. For prints, colours and baskets see Holdings; for how
// many prints, Counts.
func (s *Stash) Stock(ctx context.Context) ([]cloth.Holding, error) {
	out, err := rowsOf(ctx, s.r, func(h *cloth.Holding) []any {
		return []any{&h.Family, &h.Value, &h.Bin, &h.Form, &h.WidthIn, &h.LengthIn, &h.Count, &h.AreaIn2}
	}, `SELECT family, value, bin, form, width_in, length_in, n, area / 1000.0 FROM tally
		ORDER BY family, value, bin, form, width_in, length_in`)
	return out, Explain(s.file, err)
}

// ChangedSince returns by how much the counts changed from t on, in shelf order. Changes
// that were undone do not count.
func (s *Stash) ChangedSince(ctx context.Context, t time.Time) ([]shelf.Count, error) {
	out, err := differences(ctx, s.r, `change IN (SELECT id FROM change WHERE at >= ?)`, t.UnixMilli())
	return out, Explain(s.file, err)
}

func differences(ctx context.Context, q queryer, cond string, args ...any) ([]shelf.Count, error) {
	const key = `family, value, bin, form, cut_width_in, cut_length_in`
	return countsOf(ctx, q, `SELECT `+key+`, sum(n), sum(area) / 1000.0, 0 FROM delta WHERE `+cond+` GROUP BY `+key, args...)
}
