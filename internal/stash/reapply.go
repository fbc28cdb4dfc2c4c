package stash

import (
	"encoding/json"
	"strings"

	"piecebag/internal/geom"
)

// reapply applies to the pieces of a photo that was looked at again the corrections that
// you made before.
func (t *tx) reapply(rows []row, photo int64) ([]row, error) {
	type kept struct {
		outline geom.Polygon
		said
	}
	all, err := rowsOf(t.ctx, t, func(k *kept) []any {
		return []any{intoRead(&k.outline, readOutline), intoRead(&k.said, func(what string) (s said, err error) {
			return s, json.Unmarshal([]byte(what), &s)
		})}
	}, `SELECT outline, what FROM correction WHERE photo = ? ORDER BY id`, photo)
	if err != nil {
		return nil, err
	}
	for i, k := range all {
		var parts []geom.Polygon // that you drew of its piece afterwards
		for _, later := range all[i+1:] {
			if g := later.Outline; g != nil && !later.Merged && inside(g, k.outline) {
				parts = append(parts, g)
			}
		}
		if len(parts) > 1 && !k.NotAPiece && !k.Merged && k.Split == 0 {
			k.reapplyTo(rows, parts)
		} else {
			rows = k.reapply(rows, k.outline)
		}
	}
	for i := range rows {
		if err := tidyKeepingLabel(&rows[i]); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// tidyKeepingLabel returns tidy for a row whose print may be a label.
func tidyKeepingLabel(h *row) error {
	print := h.Print
	err := tidy(h)
	if strings.HasPrefix(print, labelMark) {
		h.Print = print
	}
	return err
}

// reapply finds the piece that k corrects, by its outline, and corrects it again.
func (k said) reapply(rows []row, outline geom.Polygon) []row {
	best := k.find(rows, outline)
	if best < 0 {
		return rows
	}
	var out []row
	for i, h := range rows {
		switch {
		case i == best && k.NotAPiece:
		case i == best:
			out = append(out, k.apply(h)...)
		case k.Merged && k.partOf(h):
		default:
			out = append(out, h)
		}
	}
	return out
}

// reapplyTo says of the parts of a piece what k says of its cloth. Its size was of the whole.
func (k said) reapplyTo(rows []row, parts []geom.Polygon) {
	k.Correction = Correction{Family: k.Family, Value: k.Value, Print: k.Print, Bin: k.Bin, Basket: k.Basket}
	for _, g := range parts {
		if i := best(rows, g, geom.IoU); i >= 0 {
			rows[i] = k.apply(rows[i])[0]
		}
	}
}

// find returns the index of the piece that k corrects, -1 where there is none. It lies
// where the piece lay then, or where k says it lies; failing that, a part of a merged piece
// will do, and for what is said of a piece as a whole, one that overlaps it.
func (k said) find(rows []row, outline geom.Polygon) int {
	shapes := []geom.Polygon{outline}
	if k.Outline != nil {
		shapes = append(shapes, k.Outline)
	}
	for _, g := range append(shapes, k.Parts...) {
		if i := best(rows, g, geom.IoU); i >= 0 {
			return i
		}
	}
	if k.NotAPiece || k.Split > 0 {
		return -1
	}
	return best(rows, outline, nested)
}

// partOf reports whether a piece is one of those that k joins.
func (k said) partOf(h row) bool {
	for _, g := range append([]geom.Polygon{k.Outline}, k.Parts...) {
		if geom.IoU(h.outline, g) >= samePiece {
			return true
		}
	}
	for _, g := range k.Parts { // found in smaller parts still
		if inside(h.outline, g) {
			return true
		}
	}
	return false
}

// best returns the index of the row most like an outline, -1 where none is the same
// piece.
func best(rows []row, g geom.Polygon, like func(a, b geom.Polygon) float64) int {
	at, most := -1, 0.0
	for i, h := range rows {
		if v := like(h.outline, g); v >= samePiece && v > most {
			at, most = i, v
		}
	}
	return at
}

// inside reports whether most of outline a lies in whole.
func inside(a, whole geom.Polygon) bool {
	shared, _, own := geom.Overlap(a, whole)
	return own > 0 && shared/own >= samePiece
}
