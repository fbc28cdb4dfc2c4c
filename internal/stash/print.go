package stash

import (
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Two photos show one print only where everything measured agrees about as
// closely as two looks at one cloth do: the aim for a mean colour is ΔE00 2.5 of
// the truth, so half of all pairs of one print differ by less than that. The
// limits are our choice, on the side of a new name: two names for one print are
// mended by a correction, one name for two prints is believed.
const (
	sameMean  = 2.5  // ΔE00 of the means
	sameInk   = 5.0  // ΔE00 of an ink and its fellow
	sameShare = 0.12 // of a piece's area, that an ink's share may differ
	leastInk  = 0.08 // share below which an ink may be missed
)

// printID finds a print by name, or notes it without colours; nil for no name.
func (t *tx) printID(name string) (any, error) {
	if name == "" {
		return nil, nil
	}
	var id int64
	err := t.one(`SELECT id FROM print WHERE name = ?`, []any{name}, &id)
	if errors.Is(err, sql.ErrNoRows) {
		id, err = t.insert(`INSERT INTO print (name, inks) VALUES (?, '[]')`, name)
	}
	return id, err
}

// look is a print as it was measured.
type look struct {
	name string
	mean colour.Lab
	inks []cloth.Swatch
}

// apart is how far two looks lie apart, ΔE00 of the means; ok says whether they
// can be one print.
func (a look) apart(b look) (d float64, ok bool) {
	d = colour.DeltaE00(a.mean, b.mean)
	return d, d <= sameMean && a.inksIn(b) && b.inksIn(a)
}

// inksIn says whether each ink of a that cannot be missed is in b.
func (a look) inksIn(b look) bool {
	for _, s := range a.inks {
		if s.Share < leastInk {
			continue
		}
		found := false
		for _, r := range b.inks {
			found = found || math.Abs(s.Share-r.Share) <= sameShare &&
				colour.DeltaE00(s.Colour.Lab(), r.Colour.Lab()) <= sameInk
		}
		if !found {
			return false
		}
	}
	return true
}

// lookOf is the look of the pieces of one print: the mean of their means, and
// the inks of the most trusted.
func lookOf(pieces []row) look {
	var mean colour.Linear
	best := 0
	for i, p := range pieces {
		for k := range mean {
			mean[k] += p.Mean[k] / float64(len(pieces))
		}
		if p.Trust > pieces[best].Trust {
			best = i
		}
	}
	return look{mean: mean.Lab(), inks: pieces[best].Colours}
}

// labelMark begins a print's label that holds in one photo alone. No name has
// it: cleanName sees to that.
const labelMark = "\x00"

// namePrints gives the pieces of one photo whose Print is still a label of that
// photo the stash's own name: that of the nearest print known that no label
// before it took, else a new one.
func (t *tx) namePrints(rows []row) error {
	var labels []string
	groups := map[string][]row{}
	for _, h := range rows {
		if !strings.HasPrefix(h.Print, labelMark) {
			continue
		}
		if groups[h.Print] == nil {
			labels = append(labels, h.Print)
		}
		groups[h.Print] = append(groups[h.Print], h)
	}
	names := map[string]string{}
	taken := map[string]bool{}
	for _, label := range labels {
		l := lookOf(groups[label])
		known, err := t.looksNear(l.mean)
		if err != nil {
			return err
		}
		nearest := math.Inf(1)
		for _, k := range known {
			// Two labels of one photo were told apart side by side.
			if d, ok := l.apart(k); ok && d < nearest && !taken[k.name] {
				nearest, l.name = d, k.name
			}
		}
		if l.name == "" {
			if l.name, err = t.newPrint(l); err != nil {
				return err
			}
		}
		names[label], taken[l.name] = l.name, true
	}
	for i := range rows {
		if name, ok := names[rows[i].Print]; ok {
			rows[i].Print = name
		}
	}
	return nil
}

// looksNear reads the prints whose mean lies within sameMean. The box they are
// sought in is wider than ΔE00 can reach: a step of lightness counts at least
// 1/1.75 of itself, one of a* or b* at least 1/(1 + 0.045 C'), where C' is at
// most 1.5 C (Sharma, Wu & Dalal 2005, eq. 5, 15 and 16), and the rotation term
// (eq. 21) takes less than half off.
func (t *tx) looksNear(mean colour.Lab) ([]look, error) {
	const lightness = 1.75 * sameMean
	reach := 1.5 * sameMean * (1 + 0.045*1.5*(math.Hypot(mean.A, mean.B)+10))
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
	var near []int64
	for rows.Next() {
		var id int64
		var lab colour.Lab
		if err := rows.Scan(&id, &lab.L, &lab.A, &lab.B); err != nil {
			return nil, err
		}
		if colour.DeltaE00(mean, lab) <= sameMean {
			near = append(near, id)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	slices.Sort(near)
	out := make([]look, len(near))
	for i, id := range near {
		l := &out[i]
		var inks string
		if err := t.one(`SELECT name, l, a, b, inks FROM print WHERE id = ?`, []any{id}, &l.name, &l.mean.L, &l.mean.A, &l.mean.B, &inks); err != nil {
			return nil, err
		}
		if l.inks, err = readSwatches(inks); err != nil {
			return nil, err
		}
	}
	return out, nil
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
func (t *tx) newPrint(l look) (name string, err error) {
	id, err := t.insert(`INSERT INTO print (name, l, a, b, inks) VALUES ('', ?, ?, ?, ?)`, l.mean.L, l.mean.A, l.mean.B, writeSwatches(l.inks))
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
