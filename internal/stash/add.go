package stash

import (
	"context"
	"fmt"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// Add brings in holdings by hand, in one change: counts, strips, weighed cloth
// (its Grams, or its area from Settings.AreaIn2). ID, Photo and Piece are not read; a Print
// not yet known is noted.
func (s *Stash) Add(ctx context.Context, holdings ...cloth.Holding) (Change, error) {
	if len(holdings) == 0 {
		return Change{}, refuse("add", "there is nothing to add", "say what: a count, and a colour or a cut")
	}
	return s.change(ctx, "add", func(t *tx) (string, error) {
		rows, err := t.add(holdings)
		what := make([]string, len(rows))
		for i, h := range rows {
			what[i] = describe(h.Holding)
		}
		return some(what), err
	})
}

// add brings in holdings that no photo shows.
func (t *tx) add(holdings []cloth.Holding) ([]row, error) {
	rows := make([]row, len(holdings))
	for i, h := range holdings {
		h.ID, h.Photo, h.Piece = 0, "", 0
		rows[i] = row{Holding: h}
		if err := tidy(&rows[i]); err != nil {
			return nil, err
		}
		if err := t.put(&rows[i]); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// some joins the first few of a list.
func some(list []string) string {
	const few = 3
	if len(list) > few {
		return fmt.Sprintf("%s and %d more", strings.Join(list[:few], "; "), len(list)-few)
	}
	return strings.Join(list, "; ")
}

// Use takes pieces out, those that came in first first, in one change: all that
// is asked for, or an error that names what is short. Bands and weighed cloth
// are no pieces: they are taken only where a Take names their form or numbers.
func (s *Stash) Use(ctx context.Context, takes ...Take) (Change, error) {
	if len(takes) == 0 {
		return Change{}, refuse("use", "it does not say what is used", "say how many, and of what")
	}
	return s.change(ctx, "use", func(t *tx) (string, error) {
		what := make([]string, len(takes))
		for i, k := range takes {
			what[i] = k.String()
		}
		return some(what), t.use(takes)
	})
}

// use takes out all that is asked for.
func (t *tx) use(takes []Take) error {
	for _, k := range takes {
		take := t.take
		if k.Grams != 0 {
			take = t.takeWeight
		}
		if err := take(k, k.String()); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) take(k Take, what string) error {
	if k.Count < 1 {
		return refuse(what, "it is not a number of pieces", "give a number of 1 or more")
	}
	cond, args := k.where()
	if k.Form == "" && k.IDs == nil {
		cond += ` AND h.form NOT IN ('band', 'weighed')`
	}
	// Each row is a piece or more, so no more rows can be wanted than pieces.
	rows, err := rowsOf(t.ctx, t, (*row).columns, selectRows+`WHERE `+cond+` ORDER BY h.id LIMIT ?`, append(args, k.Count)...)
	if err != nil {
		return err
	}
	have := 0
	for _, h := range rows {
		have += h.Count
	}
	if have < k.Count {
		return fault.New(what, fmt.Sprintf("the stash holds %d, which is %d too few; nothing was taken out", have, k.Count-have), "take fewer, or count the basket again with recount", ErrShort)
	}
	left := k.Count
	for _, h := range rows {
		n := min(left, h.Count)
		if left -= n; n == h.Count {
			err = t.remove(h, goneUsed)
		} else {
			rest := float64(h.Count-n) / float64(h.Count)
			err = t.exec(`UPDATE holding SET count = ?, area_in2 = ?, grams = ? WHERE id = ?`, h.Count-n, h.AreaIn2*rest, h.Grams*rest, h.ID)
		}
		if err != nil || left == 0 {
			return err
		}
	}
	return nil
}

// String says what is taken.
func (k Take) String() string {
	if k.Grams != 0 {
		k.Form = cloth.Weighed
		return grams(k.Grams) + " of " + k.Filter.of(1)
	}
	return fmt.Sprintf("%d %s", k.Count, k.Filter.of(k.Count))
}

// leastGrams is a weight below which nothing is left, far under any thread.
const leastGrams = 1e-6

func (t *tx) takeWeight(k Take, what string) error {
	if k.Count != 0 || !(k.Grams > 0 && k.Grams <= maxArea) || k.Form != "" && k.Form != cloth.Weighed {
		return refuse(what, "it is not a weight of cloth", "give a weight alone, such as 100g; only weighed cloth is taken by weight")
	}
	k.Form = cloth.Weighed
	rows, err := t.find(k.Filter)
	if err != nil {
		return err
	}
	have := 0.0
	for _, h := range rows {
		have += h.Grams
	}
	if have < k.Grams-leastGrams {
		return fault.New(what, fmt.Sprintf("the stash holds %s, which is %s too little; nothing was taken out", grams(have), grams(k.Grams-have)), "take less, or weigh the cloth again", ErrShort)
	}
	left := k.Grams
	for _, h := range rows {
		took := min(left, h.Grams)
		if h.Grams-took < leastGrams {
			err = t.remove(h, goneUsed)
		} else {
			rest := (h.Grams - took) / h.Grams
			err = t.exec(`UPDATE holding SET area_in2 = ?, grams = ? WHERE id = ?`, h.AreaIn2*rest, h.Grams*rest, h.ID)
		}
		if left -= took; err != nil || left < leastGrams {
			return err
		}
	}
	return nil
}

// Sort puts holdings into your own bins, in one change: bins gives the bin of
// each number, "" for none.
func (s *Stash) Sort(ctx context.Context, bins map[int64]string) (Change, error) {
	return s.change(ctx, "sort", func(t *tx) (string, error) {
		for _, id := range sortedKeys(bins) {
			bin := CleanName(bins[id])
			if err := shortNames(bin); err != nil {
				return "", err
			}
			h, err := t.holding(id)
			if err != nil {
				return "", err
			}
			if h.Bin == bin {
				continue
			}
			if err := t.exec(`UPDATE holding SET bin = ? WHERE id = ?`, bin, id); err != nil {
				return "", err
			}
		}
		return sorted(bins), nil
	})
}
