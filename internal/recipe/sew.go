package recipe

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Sewn is a piece of a block as it is sewn: a unit, or pieces sewn together. Its place
// and size are in cells of the block.
type Sewn struct {
	Cells
	Unit int    // of Block.Units; -1: it is sewn of Of
	Of   []Sewn // in the order they lie; the middle last where Partial is set
	Down bool   // they lie one below another, not side by side
	// Press says of each seam between two of Of to which side it is pressed.
	Press []Press
	// Partial says that Of are four pieces round a middle, each beside the end of the next:
	// the first seam is sewn half way and finished last. Top, right, bottom, left, middle.
	Partial bool
	// Like numbers pieces that are alike, from 1, one turned on another too, and are sewn
	// and pressed as the first of them, by Turned quarters clockwise; 0: it is like no other.
	Like, Turned int
	// Same says that seams that meet where Of are joined are pressed to the same side: one
	// of them is to be pressed over.
	Same bool
}

// Press is the side to which a seam is pressed.
type Press int

// The sides.
const (
	Open   Press = 0  // to both
	Before Press = -1 // to the left, or upwards
	After  Press = 1
)

// bulky is the number of patches meeting in one point from which a seam is pressed open:
// eight, as in the middle of a pinwheel (common practice, no source).
const bulky = 8

// Sewing returns the order in which a person sews a block: its units, which are made first,
// then rows or columns of them, those into larger ones and at last into the block. Every
// seam joins two pieces along the whole of a side of both; where there is no such order,
// four pieces may be sewn round a middle by a partial seam. Without either it is not ok:
// the block has seams that must be set in.
func (b Block) Sewing() (s Sewn, ok bool) {
	whole := atom{Cells{0, 0, b.Columns, b.Rows}, -1}
	var units, parts []atom
	for i, u := range b.Units {
		units = append(units, atom{u.place(), i})
	}
	for _, p := range b.Parts {
		parts = append(parts, atom{p, -1})
	}
	for _, u := range units {
		if !slices.ContainsFunc(parts, func(p atom) bool { return p.unit < 0 && p.holds(u.Cells) }) {
			parts = append(parts, u)
		}
	}
	c := &sewer{Block: b, units: units}
	if s, ok = c.sew(whole, parts); !ok && len(b.Parts) > 0 {
		c = &sewer{Block: b, units: units}
		s, ok = c.sew(whole, units)
	}
	if ok {
		b.press(&s)
	}
	return s, ok
}

// place returns where a unit lies, turned as it is.
func (u Unit) place() Cells {
	w, h := u.Covers()
	return Cells{u.Column, u.Row, w, h}
}

// atom is a rectangle of cells that is sewn before it is joined: a unit, or a part.
type atom struct {
	Cells
	unit int // -1: a part, or pieces of several
}

func (a Cells) holds(o Cells) bool {
	return o.Column >= a.Column && o.Row >= a.Row && o.Column+o.Wide <= a.Column+a.Wide && o.Row+o.High <= a.Row+a.High
}

func (a Cells) meets(o Cells) bool {
	return o.Column < a.Column+a.Wide && a.Column < o.Column+o.Wide && o.Row < a.Row+a.High && a.Row < o.Row+o.High
}

// span returns the extent of a box down or across.
func (a Cells) span(down bool) (from, to int) {
	if down {
		return a.Row, a.Row + a.High
	}
	return a.Column, a.Column + a.Wide
}

// between returns the part of an atom from one line to another, down or across.
func (a atom) between(down bool, from, to int) atom {
	a.unit = -1
	if down {
		a.Row, a.High = from, to-from
	} else {
		a.Column, a.Wide = from, to-from
	}
	return a
}

type sewer struct {
	Block
	units []atom
	known []known
}

// known is a piece that was worked out already, with which later ones are compared.
type known struct {
	as   [4]string // its pattern, turned by so many quarters clockwise
	sewn Sewn
	used int // how many are like it
}

// in returns the atoms within another; ok is false where one lies across its edge.
func in(a atom, all []atom) (out []atom, ok bool) {
	for _, o := range all {
		switch {
		case a.holds(o.Cells):
			out = append(out, o)
		case a.meets(o.Cells):
			return nil, false
		}
	}
	return out, true
}

// sew finds how the atoms that tile a rectangle are sewn: like an earlier rectangle of the
// same pattern, turned as this one is, where there is one.
func (c *sewer) sew(a atom, atoms []atom) (Sewn, bool) {
	if len(atoms) == 1 {
		if atoms[0].unit >= 0 {
			return Sewn{Cells: a.Cells, Unit: atoms[0].unit}, true
		}
		within, _ := in(a, c.units)
		return c.sew(a, within)
	}
	as := c.patterns(a)
	for i := range c.known {
		k := &c.known[i]
		q := slices.Index(k.as[:], as[0])
		if q < 0 {
			continue
		}
		if k.used++; q == 0 && k.as[2] == as[0] && k.used%2 == 1 { // every second one is turned by half: its seams then nest
			q = 2
		}
		return c.turned(k.sewn, a, q, i+1), true
	}
	out, ok := c.anew(a, atoms)
	if ok {
		c.known = append(c.known, known{as: as, sewn: out})
		out.Like = len(c.known)
	}
	return out, ok
}

// turned returns a piece turned by quarters, where it lies as a.
func (c *sewer) turned(s Sewn, a atom, quarters, like int) Sewn {
	var turn func(p Sewn) Sewn
	turn = func(p Sewn) Sewn {
		out := p
		out.Cells = Unit{Column: p.Column, Row: p.Row, Wide: p.Wide, High: p.High}.moved(-s.Column, -s.Row).turned(quarters, s.Wide, s.High).moved(a.Column, a.Row).place()
		out.Turned = (p.Turned + quarters) % 4
		if p.Unit >= 0 {
			out.Unit = slices.IndexFunc(c.Units, func(u Unit) bool { return u.Column == out.Column && u.Row == out.Row })
			out.Turned = 0
			return out
		}
		out.Of = nil
		for _, q := range p.Of {
			out.Of = append(out.Of, turn(q))
		}
		out.Down = p.Down != (quarters%2 == 1)
		switch {
		case p.Partial: // from the top again, the middle last
			n := len(out.Of) - 1
			out.Of = slices.Concat(out.Of[(n-quarters)%n:n], out.Of[:(n-quarters)%n], out.Of[n:])
			out.Down = false
		case reversed(p.Down, quarters):
			slices.Reverse(out.Of)
		}
		return out
	}
	out := turn(s)
	out.Like = like
	return out
}

// reversed reports whether what lies one below another, or side by side, lies in the other
// order when it is turned by quarters.
func reversed(down bool, quarters int) bool {
	return quarters == 2 || down && quarters == 1 || !down && quarters == 3
}

// anew finds how the atoms that tile a rectangle are sewn.
func (c *sewer) anew(a atom, atoms []atom) (Sewn, bool) {
	out := Sewn{Cells: a.Cells, Unit: -1}
	if rows, ok := c.repeats(a, atoms); ok {
		out.Down, out.Of = true, rows
		return out, true
	}
	rows, columns := c.cut(a, atoms, true), c.cut(a, atoms, false)
	parts, down := rows, true
	if len(rows) == 0 || len(columns) > 0 && alikeSpans(columns, false) && !alikeSpans(rows, true) {
		parts, down = columns, false
	}
	if len(parts) == 0 {
		return c.round(a, atoms)
	}
	out.Down = down
	for _, p := range parts {
		within, _ := in(p, atoms)
		s, ok := c.sew(p, within)
		if !ok {
			return out, false
		}
		out.Of = append(out.Of, s)
	}
	return out, true
}

// alikeSpans reports whether pieces are all as wide, or as high, as one another.
func alikeSpans(all []atom, down bool) bool {
	size := func(a atom) int { from, to := a.span(down); return to - from }
	return !slices.ContainsFunc(all, func(a atom) bool { return size(a) != size(all[0]) })
}

// cut divides a rectangle along every line, down or across, that no atom lies across; it
// returns nothing where there is no such line. Parts of several atoms beside a part of one
// atom stay together: they are sewn the other way first.
func (c *sewer) cut(a atom, atoms []atom, down bool) (out []atom) {
	from, to := a.span(down)
	last := from
	for at := from + 1; at <= to; at++ {
		if at < to && slices.ContainsFunc(atoms, func(o atom) bool { f, t := o.span(down); return f < at && at < t }) {
			continue
		}
		out = append(out, a.between(down, last, at))
		last = at
	}
	if len(out) == 1 {
		return nil
	}
	single := func(p atom) bool { within, _ := in(p, atoms); return len(within) == 1 }
	if !slices.ContainsFunc(out, single) {
		return out
	}
	var merged []atom
	for _, p := range out {
		if n := len(merged) - 1; n >= 0 && !single(p) && !single(merged[n]) {
			f, _ := merged[n].span(down)
			_, t := p.span(down)
			merged[n] = a.between(down, f, t)
			continue
		}
		merged = append(merged, p)
	}
	if len(merged) == 1 {
		return out
	}
	return merged
}

// repeats finds squares that a rectangle is made of, two or three each way, of which some
// are alike and of several atoms: they are made first, as units are.
func (c *sewer) repeats(a atom, atoms []atom) (rows []Sewn, ok bool) {
	for n := 2; n <= 3; n++ {
		if a.Wide%n != 0 || a.High%n != 0 || a.Wide != a.High {
			continue
		}
		w, h := a.Wide/n, a.High/n
		seen := map[string]int{}
		alike, fits := false, true
		for k := 0; k < n*n && fits; k++ {
			q := atom{Cells{a.Column + k%n*w, a.Row + k/n*h, w, h}, -1}
			var within []atom
			if within, fits = in(q, atoms); len(within) >= 4 {
				all := c.patterns(q)
				key := slices.Min(all[:])
				seen[key]++
				alike = alike || seen[key] > 1
			}
		}
		if !fits || !alike {
			continue
		}
		for r := range n {
			row := Sewn{Cells: Cells{a.Column, a.Row + r*h, a.Wide, h}, Unit: -1}
			for k := range n {
				q := atom{Cells{a.Column + k*w, a.Row + r*h, w, h}, -1}
				within, _ := in(q, atoms)
				s, ok := c.sew(q, within)
				if !ok {
					return nil, false
				}
				row.Of = append(row.Of, s)
			}
			c.known = append(c.known, known{sewn: row}) // by a number of its own
			row.Like = len(c.known)
			rows = append(rows, row)
		}
		return rows, true
	}
	return nil, false
}

// patterns returns a text for what lies in a rectangle, as it is and turned by one, two and
// three quarters, to compare rectangles by.
func (c *sewer) patterns(a atom) (out [4]string) {
	for q := range out {
		lines := []string{fmt.Sprint(a.Wide, a.High)}
		if q%2 == 1 {
			lines[0] = fmt.Sprint(a.High, a.Wide)
		}
		for _, u := range c.Units {
			if !a.holds(u.place()) {
				continue
			}
			u = u.moved(-a.Column, -a.Row).turned(q, a.Wide, a.High)
			if u.Make == Plain { // it looks the same turned
				u.Wide, u.High = u.Covers()
				u.Turn = 0
			}
			lines = append(lines, fmt.Sprint(u.Make, u.Column, u.Row, u.Wide, u.High, u.Turn, u.Roles, u.Corners, u.LeansLeft, u.Strips, u.Segments))
		}
		slices.Sort(lines[1:])
		out[q] = strings.Join(lines, "\n")
	}
	return out
}

// round finds four pieces round a middle, each beside the end of the next. A grid may be
// much finer than what lies on it: only where atoms begin can one of these end.
func (c *sewer) round(a atom, atoms []atom) (Sewn, bool) {
	out := Sewn{Cells: a.Cells, Unit: -1, Partial: true}
	x0, x3, y0, y3 := a.Column, a.Column+a.Wide, a.Row, a.Row+a.High
	box := func(x, y, x2, y2 int) atom { return atom{Cells{x, y, x2 - x, y2 - y}, -1} }
	sewn := func(arms ...atom) (of []Sewn, ok bool) {
		for _, arm := range arms {
			within, ok := in(arm, atoms)
			if !ok {
				return nil, false
			}
			s, ok := c.sew(arm, within)
			if !ok {
				return nil, false
			}
			of = append(of, s)
		}
		return of, true
	}
	fits := func(a atom) bool { _, ok := in(a, atoms); return ok }
	xs, ys := starts(atoms, false)[1:], starts(atoms, true)[1:]
	for i, x1 := range xs {
		for _, x2 := range xs[i+1:] {
			for k, y1 := range ys {
				if !fits(box(x0, y0, x2, y1)) && !fits(box(x1, y0, x3, y1)) { // the piece at the top
					continue
				}
				for _, y2 := range ys[k+1:] {
					of, ok := sewn(box(x0, y0, x2, y1), box(x2, y0, x3, y2), box(x1, y2, x3, y3), box(x0, y1, x1, y3), box(x1, y1, x2, y2))
					if !ok {
						of, ok = sewn(box(x1, y0, x3, y1), box(x2, y1, x3, y3), box(x0, y2, x2, y3), box(x0, y0, x1, y2), box(x1, y1, x2, y2))
					}
					if ok {
						out.Of = of
						return out, true
					}
				}
			}
		}
	}
	return out, false
}

// starts returns the lines on which atoms begin, down or across, the first of all included.
func starts(atoms []atom, down bool) (out []int) {
	for _, a := range atoms {
		from, _ := a.span(down)
		out = append(out, from)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// seam is one that is to be pressed.
type seam struct {
	to      *Press
	wish    float64 // below 0 before, above 0 after
	against []int   // seams that it meets end to end: pressed the other way they nest
	open    bool
}

// press chooses to which side every seam is pressed: those that meet end to end to opposite
// sides, so that they nest; then toward a patch that has no seams, toward the darker patch,
// toward the piece with fewer seams at it; open where many patches meet.
func (b Block) press(s *Sewn) {
	p := presser{Block: b}
	p.gather(s)
	done := make([]bool, len(p.seams))
	for i := range p.seams {
		if done[i] {
			continue
		}
		way := map[int]Press{i: After}
		order := []int{i}
		wish := 0.0
		for k := 0; k < len(order); k++ {
			x := order[k]
			done[x] = true
			wish += float64(way[x]) * p.seams[x].wish
			for _, y := range p.seams[x].against {
				if _, seen := way[y]; !seen {
					way[y] = -way[x]
					order = append(order, y)
				}
			}
		}
		turn := Press(1)
		if wish < 0 {
			turn = -1
		}
		for _, x := range order {
			if *p.seams[x].to = turn * way[x]; p.seams[x].open {
				*p.seams[x].to = Open
			}
		}
	}
	p.alike(s, map[int]*Sewn{})
	for _, m := range p.meets {
		if p.same(m.a, m.b) {
			m.at.Same = true
		}
	}
}

// alike presses pieces that are alike as the first of them.
func (p *presser) alike(s *Sewn, first map[int]*Sewn) {
	if s.Unit >= 0 {
		return
	}
	if like := first[s.Like]; like != nil {
		follow(s, like)
		return
	}
	first[s.Like] = s
	for i := range s.Of {
		p.alike(&s.Of[i], first)
	}
}

// same reports whether two seams are pressed to one side, and neither open.
func (p *presser) same(a, b int) bool {
	return *p.seams[a].to == *p.seams[b].to && *p.seams[a].to != Open
}

// follow presses the seams of a piece as those of one that it is like.
func follow(s, like *Sewn) {
	turned := (s.Turned - like.Turned + 4) % 4
	back := s.Unit < 0 && !s.Partial && reversed(like.Down, turned)
	last := len(s.Of) - 1
	for i := range s.Of {
		k := i
		switch {
		case back:
			k = last - i
		case s.Partial && i < last: // the middle stays
			k = (i - turned + last) % last
		}
		follow(&s.Of[i], &like.Of[k])
	}
	for i := range s.Press {
		if s.Press[i] = like.Press[i]; back {
			s.Press[i] = -like.Press[len(s.Press)-1-i]
		}
	}
}

type presser struct {
	Block
	seams []seam
	meets []meet
}

// meet is where two seams come to lie end to end.
type meet struct {
	at   *Sewn // that is sewn there
	a, b int
}

// end is where a seam meets the edge of a piece, in cells along that edge.
type end struct{ at, seam int }

// edges are the seams that end at each side of a piece: top, right, bottom, left.
type edges [4][]end

// gather lists the seams of a piece and those of its parts, and gives those that end at
// its edges.
func (p *presser) gather(s *Sewn) (out edges) {
	if s.Unit >= 0 || s.Partial {
		for i := range s.Of {
			p.gather(&s.Of[i])
		}
		return out
	}
	first, last, along := 3, 1, []int{0, 2} // side by side: the seams end at top and bottom
	if s.Down {
		first, last, along = 0, 2, []int{3, 1}
	}
	var of []edges
	for i := range s.Of {
		of = append(of, p.gather(&s.Of[i]))
	}
	s.Press = make([]Press, len(s.Of)-1)
	for i := range s.Press {
		n := len(p.seams)
		x := seam{to: &s.Press[i], wish: p.wish(s.Of[i], s.Of[i+1], len(of[i][last]), len(of[i+1][first])), open: p.bulk(s.Of[i], s.Of[i+1], s.Down) >= bulky}
		for _, a := range of[i][last] {
			for _, b := range of[i+1][first] {
				if a.at == b.at {
					p.seams[a.seam].against = append(p.seams[a.seam].against, b.seam)
					p.seams[b.seam].against = append(p.seams[b.seam].against, a.seam)
					p.meets = append(p.meets, meet{s, a.seam, b.seam})
				}
			}
		}
		p.seams = append(p.seams, x)
		at, _ := s.Of[i+1].span(s.Down)
		for _, side := range along {
			out[side] = append(out[side], end{at, n})
		}
	}
	for i := range of {
		for _, side := range along {
			out[side] = append(out[side], of[i][side]...)
		}
	}
	out[first], out[last] = of[0][first], of[len(of)-1][last]
	return out
}

// wish returns to which of two pieces a seam between them is better pressed, below 0 to a
// and above 0 to b, and how much better.
func (p *presser) wish(a, b Sewn, endsA, endsB int) float64 {
	plainA, plainB := p.plain(a), p.plain(b)
	switch {
	case plainA != plainB && plainB:
		return 2
	case plainA != plainB:
		return -2
	case plainA:
		return float64(cmp.Compare(p.darkness(b), p.darkness(a)))
	}
	return 0.5 * float64(cmp.Compare(endsA, endsB))
}

func (p *presser) plain(s Sewn) bool { return s.Unit >= 0 && p.Units[s.Unit].Make == Plain }

// darkness returns how dark the recipe wants the one patch of a unit.
func (p *presser) darkness(s Sewn) int { return p.Units[s.Unit].Roles[0].darkness() }

func (r Role) darkness() int {
	switch {
	case r.Background, r.Value == LightTone:
		return 0
	case r.Value == DarkTone:
		return 2
	}
	return 1
}

// Darker tells which of two roles is the darker: below 0 a, above 0 b; 0 where it is not
// said.
func Darker(a, b Role) int { return cmp.Compare(b.darkness(), a.darkness()) }

// bulk returns the most patches that meet in one point of the seam between two pieces, its
// ends left out.
func (p *presser) bulk(a, b Sewn, down bool) (most int) {
	line, from, to := float64(b.Row), float64(max(a.Column, b.Column)), float64(min(a.Column+a.Wide, b.Column+b.Wide))
	if !down {
		line, from, to = float64(b.Column), float64(max(a.Row, b.Row)), float64(min(a.Row+a.High, b.Row+b.High))
	}
	met := map[int]int{}
	for _, u := range p.Units {
		for _, s := range u.shapes() {
			for _, q := range s.polygon {
				at, across := q.X, q.Y
				if !down {
					at, across = q.Y, q.X
				}
				if math.Abs(across-line) < slack && at > from+slack && at < to-slack {
					met[int(math.Round(at*1e3))]++
				}
			}
		}
	}
	for _, n := range met {
		most = max(most, n)
	}
	return most
}
