package stash

import (
	"cmp"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/palette"
)

// Two photos show one print where that is likelier than all else. Which prints are
// compared at all goes by their mean colour, whose error is that of the light of two
// photos: the nearest few, each as the last photos showed it.
const (
	farMean       = 15.0 // ΔE00 of the means
	mostPrints    = 24
	mostSightings = 6
)

// printID finds a print by name, or notes it without colours; nil for no name.
func (t *tx) printID(name string) (any, error) {
	if name == "" {
		return nil, nil
	}
	var id int64
	err := t.one(`SELECT id FROM print WHERE name = ?`, []any{name}, &id)
	if errors.Is(err, sql.ErrNoRows) {
		id, err = t.insert(`INSERT INTO print (name) VALUES (?)`, name)
	}
	return id, err
}

// measurePrint notes the mean colour of a print that was known by its name alone.
func (t *tx) measurePrint(id any, mean colour.Lab) error {
	return t.exec(`UPDATE print SET l = ?, a = ?, b = ? WHERE id = ? AND l IS NULL`, mean.L, mean.A, mean.B, id)
}

// labelMark begins a print's label that holds in one photo alone. No name has
// it: cleanName sees to that.
const labelMark = "\x00"

// group is the pieces of one label.
type group struct {
	label string
	rows  []row
	mean  colour.Lab // of their means
}

// groupsOf are the pieces whose Print is still a label, by labels in the order in which
// they come.
func groupsOf(rows []row) []group {
	var out []group
	at := map[string]int{}
	for _, h := range rows {
		if !strings.HasPrefix(h.Print, labelMark) {
			continue
		}
		i, ok := at[h.Print]
		if !ok {
			i = len(out)
			at[h.Print] = i
			out = append(out, group{label: h.Print})
		}
		out[i].rows = append(out[i].rows, h)
	}
	for i := range out {
		var mean colour.Linear
		for _, h := range out[i].rows {
			for c := range mean {
				mean[c] += h.Mean[c] / float64(len(out[i].rows))
			}
		}
		out[i].mean = mean.Lab()
	}
	return out
}

// signatureOf is what the marks of pieces of one print say; ok is false where none
// can be read.
func signatureOf(marks []string) (s palette.Signature, ok bool) {
	var all []palette.Signature
	for _, m := range marks {
		if s, err := palette.ReadMark(m); err == nil {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return palette.Signature{}, false
	}
	return palette.Merge(all), true
}

// namePrints gives the pieces of one photo whose Print is still a label of that
// photo the stash's own name: that of the print they most likely are, where that is
// likelier than not and no label took it, else a new one.
func (t *tx) namePrints(rows []row) error {
	groups := groupsOf(rows)
	names, err := t.known(groups)
	if err != nil {
		return err
	}
	for _, g := range groups {
		if names[g.label] == "" {
			if names[g.label], err = t.newPrint(g.mean); err != nil {
				return err
			}
		}
	}
	for i := range rows {
		if name, ok := names[rows[i].Print]; ok {
			rows[i].Print = name
		}
		if err := t.agree(&rows[i]); err != nil {
			return err
		}
	}
	return nil
}

// agree calls a piece that lies between two names what most other pieces of its print
// are called, where that is one of them: one cloth has one name, in whatever photos.
func (t *tx) agree(h *row) error {
	if h.or == "" || h.corrected || h.Print == "" {
		return nil
	}
	var most cloth.Family
	err := t.one(`SELECT family FROM holding JOIN print ON print.id = holding.print
		WHERE print.name = ? AND measured AND photo <> ?
		GROUP BY family ORDER BY SUM(count) DESC, family LIMIT 1`, []any{h.Print, h.photo}, &most)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err == nil && most == h.or {
		h.Family, h.ReadsAs = most, family.Drawn(h.Colours, h.Mean, most)
	}
	return err
}

// known names the groups that show a print of the stash.
func (t *tx) known(groups []group) (names map[string]string, err error) {
	names = map[string]string{}
	var fresh []palette.Signature
	var of []string // label of each
	var seen []palette.Sighting
	asked := map[int64]bool{}
	for _, g := range groups {
		var marks []string
		for _, h := range g.rows {
			marks = append(marks, h.Mark)
		}
		s, ok := signatureOf(marks)
		if !ok {
			continue
		}
		fresh, of = append(fresh, s), append(of, g.label)
		near, err := t.printsNear(g.mean)
		if err != nil {
			return nil, err
		}
		for _, print := range near {
			if asked[print] {
				continue
			}
			asked[print] = true
			sightings, err := t.sightings(print)
			if err != nil {
				return nil, err
			}
			seen = append(seen, sightings...)
		}
	}
	for i, print := range palette.Known(fresh, seen) {
		if print == 0 {
			continue
		}
		var name string
		if err := t.one(`SELECT name FROM print WHERE id = ?`, []any{print}, &name); err != nil {
			return nil, err
		}
		names[of[i]] = name
	}
	return names, nil
}

// sightings are how the last photos that showed a print showed it.
func (t *tx) sightings(print int64) ([]palette.Sighting, error) {
	type piece struct {
		photo int64
		mark  string
	}
	pieces, err := rowsOf(t.ctx, t, func(r *sql.Rows) (p piece, err error) {
		err = r.Scan(&p.photo, &p.mark)
		return p, err
	}, `SELECT photo, mark FROM holding WHERE print = ?1 AND mark <> '' AND photo IN
			(SELECT DISTINCT photo FROM holding WHERE print = ?1 AND mark <> '' ORDER BY photo DESC LIMIT ?2)
		ORDER BY photo DESC, id`, print, mostSightings)
	if err != nil {
		return nil, err
	}
	var out []palette.Sighting
	for len(pieces) > 0 {
		photo := pieces[0].photo
		var marks []string
		for len(pieces) > 0 && pieces[0].photo == photo {
			marks = append(marks, pieces[0].mark)
			pieces = pieces[1:]
		}
		if s, ok := signatureOf(marks); ok {
			out = append(out, palette.Sighting{Print: print, Photo: photo, Signature: s})
		}
	}
	return out, nil
}

// printsNear lists the prints whose mean is nearest, at most mostPrints of those that
// lie within farMean. The box they are
// sought in is wider than ΔE00 can reach: a step of lightness counts at least
// 1/1.75 of itself, one of a* or b* at least 1/(1 + 0.045 C'), where C' is at
// most 1.5 C (Sharma, Wu & Dalal 2005, eq. 5, 15 and 16), and the rotation term
// (eq. 21) takes less than half off.
func (t *tx) printsNear(mean colour.Lab) ([]int64, error) {
	const lightness = 1.75 * farMean
	reach := 1.5 * farMean * (1 + 0.045*1.5*(math.Hypot(mean.A, mean.B)+10))
	// The index has all that this asks for; hardly any print is near in the end.
	st, err := t.statement(`SELECT id, l, a, b FROM print
		WHERE CAST(l / 5 AS INTEGER) IN (SELECT value FROM json_each(?))
		AND CAST(a / 10 AS INTEGER) IN (SELECT value FROM json_each(?)) AND b BETWEEN ? AND ?
		AND l BETWEEN ? AND ? AND a BETWEEN ? AND ?`)
	if err != nil {
		return nil, err
	}
	rows, err := st.QueryContext(t.ctx, cells(mean.L, lightness, 5), cells(mean.A, reach, 10), mean.B-reach, mean.B+reach,
		mean.L-lightness, mean.L+lightness, mean.A-reach, mean.A+reach)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	type print struct {
		id   int64
		away float64
	}
	var near []print
	for rows.Next() {
		var p print
		var lab colour.Lab
		if err := rows.Scan(&p.id, &lab.L, &lab.A, &lab.B); err != nil {
			return nil, err
		}
		if p.away = colour.DeltaE00(mean, lab); p.away <= farMean {
			near = append(near, p)
		}
	}
	slices.SortFunc(near, func(a, b print) int { return cmp.Or(cmp.Compare(a.away, b.away), cmp.Compare(a.id, b.id)) })
	out := make([]int64, min(len(near), mostPrints))
	for i := range out {
		out[i] = near[i].id
	}
	return out, rows.Err()
}

// cells lists, as JSON, the cells of the index print_cell that hold v ± reach.
func cells(v, reach, width float64) string {
	var out []int
	for c := int((v - reach) / width); c <= int((v+reach)/width); c++ {
		out = append(out, c)
	}
	return asJSON(out)
}

// newPrint notes a print under the next free number.
func (t *tx) newPrint(mean colour.Lab) (name string, err error) {
	id, err := t.insert(`INSERT INTO print (name, l, a, b) VALUES ('', ?, ?, ?)`, mean.L, mean.A, mean.B)
	if err != nil {
		return "", err
	}
	for n := id; ; n++ {
		name = fmt.Sprintf("print %d", n)
		var taken int
		if err := t.one(`SELECT count(*) FROM print WHERE name = ?`, []any{name}, &taken); err != nil {
			return "", err
		}
		if taken == 0 {
			return name, t.exec(`UPDATE print SET name = ? WHERE id = ?`, name, id)
		}
	}
}
