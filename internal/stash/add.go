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
		return some(eachAs(rows, func(h row) string { return describe(h.Holding) })), err
	})
}

// add brings in holdings that no photo shows.
func (t *tx) add(holdings []cloth.Holding) ([]row, error) {
	rows := make([]row, len(holdings))
	for i, h := range holdings {
		h.ID, h.Photo, h.Piece = 0, "", 0
		rows[i] = row{Holding: h}
	}
	return rows, t.putAll(rows)
}

// some joins the first few of a list.
func some(list []string) string {
	const few = 3
	if len(list) > few {
		return fmt.Sprintf("%s and %d more", strings.Join(list[:few], "; "), len(list)-few)
	}
	return strings.Join(list, "; ")
}

// Use takes pieces out in one change, those that came in first before the others: all that
// is asked for, or an error that names what is short. Bands and weighed cloth do not count
// as pieces: they are taken only where a Removal names their form or numbers.
func (s *Stash) Use(ctx context.Context, takes ...Removal) (Change, error) {
	if len(takes) == 0 {
		return Change{}, refuse("use", "it does not say what is used", "say how many, and of what")
	}
	return s.change(ctx, "use", func(t *tx) (string, error) {
		return some(eachAs(takes, Removal.String)), t.use(takes)
	})
}

// use takes out all that is asked for.
func (t *tx) use(takes []Removal) error {
	for _, k := range takes {
		take := t.takePieces
		if k.Grams != 0 {
			take = t.takeWeight
		}
		if err := take(k, k.String()); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) takePieces(k Removal, what string) error {
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
	short, err := t.take(rows, float64(k.Count), false)
	if short > 0 {
		return fault.New(what, fmt.Sprintf("the stash holds %.0f, which is %.0f too few; nothing was taken out", float64(k.Count)-short, short), "take fewer, or count the basket again with recount", ErrShort)
	}
	return err
}

// leastLeft is the amount below which nothing counts as left: less than any piece, and far
// less than the weight of a thread in grams.
const leastLeft = 1e-6

// take takes pieces, or grams, out of rows in their order. Where they do not hold enough it
// takes none and returns how much is missing.
func (t *tx) take(rows []row, amount float64, weight bool) (short float64, err error) {
	of := func(h row) float64 {
		if weight {
			return h.Grams
		}
		return float64(h.Count)
	}
	short = amount
	for _, h := range rows {
		short -= of(h)
	}
	if short >= leastLeft {
		return short, nil
	}
	for _, h := range rows {
		took := min(amount, of(h))
		if of(h)-took < leastLeft {
			err = t.remove(h, goneUsed)
		} else {
			rest := (of(h) - took) / of(h)
			if !weight {
				h.Count -= int(took)
			}
			err = t.exec(`UPDATE holding SET count = ?, area_in2 = ?, grams = ? WHERE id = ?`, h.Count, h.AreaIn2*rest, h.Grams*rest, h.ID)
		}
		if amount -= took; err != nil || amount < leastLeft {
			return 0, err
		}
	}
	return 0, nil
}

// String says what is taken.
func (k Removal) String() string {
	if k.Grams != 0 {
		k.Form = cloth.Weighed
		return grams(k.Grams) + " of " + k.Filter.of(1)
	}
	return fmt.Sprintf("%d %s", k.Count, k.Filter.of(k.Count))
}

func (t *tx) takeWeight(k Removal, what string) error {
	if k.Count != 0 || !(k.Grams > 0 && k.Grams <= maxArea) || k.Form != "" && k.Form != cloth.Weighed {
		return refuse(what, "it is not a weight of cloth", "give a weight alone, such as 100g; only weighed cloth is taken by weight")
	}
	k.Form = cloth.Weighed
	rows, err := t.find(k.Filter)
	if err != nil {
		return err
	}
	short, err := t.take(rows, k.Grams, true)
	if short > 0 {
		return fault.New(what, fmt.Sprintf("the stash holds %s, which is %s too little; nothing was taken out", grams(k.Grams-short), grams(short)), "take less, or weigh the cloth again", ErrShort)
	}
	return err
}

// Sort puts holdings into your own bins, in one change: bins gives the bin of
// each number, "" for none.
func (s *Stash) Sort(ctx context.Context, bins map[int64]string) (Change, error) {
	return s.change(ctx, "sort", func(t *tx) (string, error) {
		for _, id := range sortedKeys(bins) {
			bin, err := tidyName(bins[id])
			if err != nil {
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
