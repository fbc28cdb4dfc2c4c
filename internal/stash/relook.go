package stash

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// LaterLook is what a later look found in a photo of the stash.
type LaterLook struct {
	Hash  string // of the photo
	Sheet cloth.Sheet
	Said  []Said // what you say of its pieces now, as that of Photo
}

// Reread is what the stash counted of a photo before a later look, and after it.
type Reread struct {
	Hash, Name    string
	Before, After []cloth.Holding // by ID; where the look was only tried, new pieces have none that holds
}

// Relook takes what later looks found in photos of the stash, in one change, or only
// tries what would become of them where try is set. A piece is known again by its outline; it keeps its number, bin, basket and print,
// what you corrected of it, and whether it was used. Pieces found for the first
// time come in; pieces not found again leave, unless you corrected them.
func (s *Stash) Relook(ctx context.Context, try bool, all ...LaterLook) (c Change, out []Reread, err error) {
	c, err = s.change(ctx, "relook", func(t *tx) (string, error) {
		if out, err = t.relook(all); err != nil {
			return "", err
		}
		if try {
			return "", errOnlyTried
		}
		if len(out) == 1 {
			return fmt.Sprintf("%s: %s", out[0].Name, pieces(len(out[0].After))), nil
		}
		return cloth.Count(len(out), "photo"), nil
	})
	if errors.Is(err, errOnlyTried) {
		err = nil
	}
	return c, out, err
}

// errOnlyTried ends a change that was only tried, so that nothing of it is kept.
var errOnlyTried = errors.New("only tried")

func (t *tx) relook(all []LaterLook) ([]Reread, error) {
	out := make([]Reread, len(all))
	for i, r := range all {
		p := Photo{Sheet: r.Sheet, Said: r.Said}
		var id int64
		err := t.QueryRowContext(t.ctx, `SELECT id, name, form, basket, cut_in FROM photo WHERE hash = ?`, r.Hash).
			Scan(&id, &p.Name, &p.As, &p.Basket, &p.Cut)
		if errors.Is(err, sql.ErrNoRows) {
			err = fault.New(r.Hash, "the stash holds no such photo", "stow it", ErrUnknown)
		}
		if err != nil {
			return nil, err
		}
		out[i] = Reread{Hash: r.Hash, Name: p.Name}
		if out[i].Before, err = t.counted(r.Hash); err != nil {
			return nil, err
		}
		if err := t.looked(id, p); err != nil {
			return nil, err
		}
		if err := t.say(id, r.Said); err != nil {
			return nil, err
		}
		rows, err := t.read(p, id)
		if err != nil {
			return nil, err
		}
		old, err := rowsOf(t.ctx, t, (*row).columns, selectRows+`WHERE h.photo = ? ORDER BY h.count = 0, h.id`, id)
		if err != nil {
			return nil, err
		}
		if err := t.reconcile(old, rows, r.Said); err != nil {
			return nil, err
		}
		if out[i].After, err = t.counted(r.Hash); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// counted lists what the stash counts of a photo.
func (t *tx) counted(hash string) ([]cloth.Holding, error) {
	rows, err := t.find(Filter{Photo: hash})
	return holdingsOf(rows), err
}

// reconcile changes the rows of a photo to what a later look found and what you say with
// it.
func (t *tx) reconcile(old, rows []row, now []Said) error {
	to := match(outlines(rows), outlines(old))
	matchCorrected(to, rows, old)
	of := wholes(to, rows, old)
	// A label stands for the print that its pieces had before.
	names := map[string]string{}
	for i, j := range to {
		if j = max(j, of[i]); j >= 0 && old[j].Print != "" && names[rows[i].Print] == "" {
			names[rows[i].Print] = old[j].Print
		}
	}
	found := make([]bool, len(old))
	maps.DeleteFunc(names, func(label, _ string) bool { return label == "" || label[:1] != labelMark })
	for i, j := range to {
		h := &rows[i]
		named := h.Print != "" && !strings.HasPrefix(h.Print, labelMark) // by you
		if name, ok := names[h.Print]; ok {
			h.Print = name
		}
		if j >= 0 {
			found[j] = true
			h.ID = old[j].ID
		} else if j = of[i]; j < 0 {
			continue
		}
		was := old[j]
		if was.gone != "" && was.gone != goneNotFound {
			h.Count, h.gone = 0, was.gone
		}
		h.Bin, h.Basket = was.Bin, was.Basket
		if was.Print != "" && !named {
			h.Print = was.Print
		}
		h.corrected = h.corrected || was.corrected
	}
	if _, err := t.namePrints(rows); err != nil {
		return err
	}
	for j, h := range old {
		switch {
		case found[j] || h.Count == 0:
		case denied(h, now):
			if err := errors.Join(t.learn(Correction{NotAPiece: true}, h, nil), t.remove(h, goneNotPiece)); err != nil {
				return err
			}
			old[j].Count = 0
		case !h.corrected || redrawn(h, now):
			if err := t.remove(h, goneNotFound); err != nil {
				return err
			}
			old[j].Count = 0
		}
	}
	// A new piece that is a part of one whose outline you gave is counted with that one.
	var given []geom.Polygon
	for _, h := range rows {
		if h.corrected {
			given = append(given, h.outline)
		}
	}
	for j, h := range old {
		if !found[j] && h.Count > 0 {
			given = append(given, h.outline)
		}
	}
	for i := range rows {
		h := &rows[i]
		if to[i] < 0 && !h.corrected && slices.ContainsFunc(given, func(g geom.Polygon) bool { return inside(h.outline, g) }) {
			continue
		}
		if err := t.put(h); err != nil {
			return err
		}
	}
	return nil
}

// wholes returns for each piece that you drew, and that is none of the former ones, the index
// of the one that it is a part of, -1 where it is of none. The parts of one that was used
// are used.
func wholes(to []int, rows, old []row) []int {
	of := make([]int, len(rows))
	for i, h := range rows {
		of[i] = -1
		if to[i] >= 0 || !h.corrected {
			continue
		}
		of[i] = slices.IndexFunc(old, func(o row) bool { // those that count come first
			return (o.Count > 0 || o.gone == goneUsed) && inside(h.outline, o.outline)
		})
	}
	return of
}

// denied reports whether you said that a piece is no piece.
func denied(h row, now []Said) bool {
	return slices.ContainsFunc(now, func(s Said) bool { return s.NotAPiece && geom.IoU(s.Outline, h.outline) >= samePiece })
}

// redrawn reports whether a piece is a part of one that you draw.
func redrawn(h row, now []Said) bool {
	return slices.ContainsFunc(now, func(s Said) bool { return s.Correction.Outline != nil && inside(h.outline, s.Correction.Outline) })
}

// matchCorrected pairs what you corrected and what was found again of another
// size or a little elsewhere, so that it is not counted twice.
func matchCorrected(to []int, rows, old []row) {
	for j, h := range old {
		if slices.Contains(to, j) || !h.corrected || h.Count == 0 {
			continue
		}
		at, most := -1, 0.0
		for i := range rows {
			if v := nested(rows[i].outline, h.outline); to[i] < 0 && v >= samePiece && v > most {
				at, most = i, v
			}
		}
		if at >= 0 {
			to[at] = j
		}
	}
}

func outlines(rows []row) []geom.Polygon {
	return eachAs(rows, func(h row) geom.Polygon { return h.outline })
}
