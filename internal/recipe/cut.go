package recipe

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
)

// Why is one line of arithmetic and the lines that led to it, as done on paper.
type Why struct {
	Text  string `json:"text"`
	Steps []Why  `json:"steps,omitempty"`
}

// Split says how a cut square is divided into triangles.
type Split string

// The splits.
const (
	Whole Split = ""                 // used as it is cut, or sewn before it is divided
	Once  Split = "once diagonally"  // into 2 triangles
	Twice Split = "twice diagonally" // into 4 triangles
	// Of rectangles, right side up and their long side across: the triangles of one are
	// the mirror image of the other's.
	Rising  Split = "once diagonally, rising to the right"
	Falling Split = "once diagonally, falling to the right"
)

// Lot is pieces to cut, all of one size and role.
type Lot struct {
	Role Role
	// WidthIn ≤ LengthIn as cut, seam allowances included, inches; LengthIn 0
	// means a strip as long as the cloth is wide, and Count counts strips.
	WidthIn, LengthIn float64
	Count             int
	// AnyIn2 above 0 is cloth that is used as it comes, in pieces LeastString wide and
	// up, square inches in all: the strips that Count counts are what it takes where it
	// is bought.
	AnyIn2 float64
	Across int // of Count, how many lie in the top with their long side across
	Split  Split
	For    []string // what they are for, each once
	Why    []Why    // one for each thing they are for
}

// Method is how a quilt's pieces are cut.
type Method struct {
	System System
	WOFIn  float64 // usable width of fabric, inches
	// OneByOne cuts the patches of strip sets singly, as from scraps, and not from
	// full strips sewn together.
	OneByOne bool
}

// Stand is how many of a block stand in a setting, and how many of those lie on
// their side.
type Stand struct{ Count, OnSide int }

// Cuts returns the pieces for r.Blocks, of which blocks[i] says how often block i stands:
// by role, in the order that roles first appear, and the biggest first. Like units are
// counted over the whole quilt before they are made several at a time.
func (r *Recipe) Cuts(blocks []Stand, c Method) []Lot {
	var p pile
	for i, b := range r.Blocks {
		if i >= len(blocks) || blocks[i].Count == 0 {
			continue
		}
		for _, a := range together(b.alike()) {
			p.cutUnits(a, b.CellIn(), blocks[i], c)
		}
	}
	return p.sorted()
}

// alike counts the units of a block that differ only in where they lie and how
// they are turned.
func (b Block) alike() []alike {
	var out []alike
	for _, u := range b.Units {
		u, onSide := u.anywhere()
		i := slices.IndexFunc(out, func(a alike) bool { return a.unit.same(u) })
		if i < 0 {
			i = len(out)
			out = append(out, alike{unit: u})
		}
		out[i].count++
		out[i].onSide += onSide
	}
	return out
}

// anywhere returns a unit without its place and its turn, a plain one on its short side,
// and 1 where the unit lies on its side compared with that, else 0.
func (u Unit) anywhere() (_ Unit, onSide int) {
	onSide = u.Turn % 2
	u.Column, u.Row, u.Turn = 0, 0, 0
	if u.Make == Plain && u.Wide > u.High {
		u.Wide, u.High = u.High, u.Wide
		onSide = 1 - onSide
	}
	return u, onSide
}

// alike is so many units of one kind in a block, some of them on their side.
type alike struct {
	unit          Unit
	count, onSide int
	apart         int // matching sets that they are in, as many in each; 0: none
}

// together puts units alike of several matching sets together, where as many are in
// each.
func together(all []alike) (out []alike) {
	for _, a := range all {
		if a.unit.Matched != nil {
			a.apart = 1
		}
		i := slices.IndexFunc(out, func(o alike) bool {
			o.unit.Matched = a.unit.Matched
			return a.apart > 0 && o.apart > 0 && o.count == o.apart*a.count && o.unit.same(a.unit)
		})
		if i < 0 {
			out = append(out, a)
			continue
		}
		out[i].count, out[i].onSide, out[i].apart = out[i].count+a.count, out[i].onSide+a.onSide, out[i].apart+1
	}
	return out
}

func (u Unit) same(v Unit) bool {
	return u.Make == v.Make && u.Wide == v.Wide && u.High == v.High && u.AtATime == v.AtATime &&
		u.LeansLeft == v.LeansLeft && slices.Equal(u.Strips, v.Strips) && slices.Equal(u.Segments, v.Segments) &&
		u.Corners == v.Corners && u.Centre == v.Centre && u.Log == v.Log && u.Rounds == v.Rounds &&
		slices.Equal(u.Roles, v.Roles) && slices.Equal(u.Matched, v.Matched)
}

// pile gathers cuts, those alike together.
type pile struct {
	cuts  []Lot
	roles []Role // in the order they first appear
}

// AddCuts puts cuts alike together and sorts them as Cuts does.
func AddCuts(lists ...[]Lot) []Lot {
	var p pile
	for _, list := range lists {
		for _, c := range list {
			p.add(c)
		}
	}
	return p.sorted()
}

// put adds cuts that are for one thing, with the steps to them.
func (p *pile) put(s System, c Lot, what string, steps ...Why) {
	c.For = []string{what}
	c.Why = []Why{{Text: fmt.Sprintf("%s for %s", s.pieces(c.Count, c.WidthIn, c.LengthIn), what), Steps: steps}}
	p.add(c)
}

func (p *pile) add(c Lot) {
	if c.Count == 0 {
		return
	}
	if c.LengthIn > 0 && c.WidthIn > c.LengthIn {
		c.WidthIn, c.LengthIn = c.LengthIn, c.WidthIn
	}
	if !slices.Contains(p.roles, c.Role) {
		p.roles = append(p.roles, c.Role)
	}
	for i := range p.cuts {
		if d := &p.cuts[i]; d.Role == c.Role && alikeIn(d.WidthIn, c.WidthIn) && alikeIn(d.LengthIn, c.LengthIn) && d.Split == c.Split && (d.AnyIn2 > 0) == (c.AnyIn2 > 0) {
			d.Count += c.Count
			d.Across += c.Across
			d.AnyIn2 += c.AnyIn2
			for _, f := range c.For {
				if !slices.Contains(d.For, f) {
					d.For = append(slices.Clip(d.For), f)
				}
			}
			d.Why = append(slices.Clip(d.Why), c.Why...)
			return
		}
	}
	p.cuts = append(p.cuts, c)
}

// alikeIn reports whether two lengths, as cut or finished, are the same.
func alikeIn(a, b float64) bool { return math.Abs(a-b) < touch }

func (p *pile) sorted() []Lot {
	out := slices.Clone(p.cuts)
	long := func(c Lot) float64 { // full-width strips are the longest
		if c.LengthIn == 0 {
			return math.Inf(1)
		}
		return c.LengthIn
	}
	slices.SortStableFunc(out, func(a, b Lot) int {
		return cmp.Or(
			cmp.Compare(slices.Index(p.roles, a.Role), slices.Index(p.roles, b.Role)),
			cmp.Compare(long(b), long(a)), cmp.Compare(b.WidthIn, a.WidthIn),
		)
	})
	return out
}

// pieces writes a number of cut pieces.
func (s System) pieces(n int, width, length float64) string {
	if !alikeIn(width, length) {
		return fmt.Sprintf("%d of %s × %s", n, s.Format(min(width, length)), s.Format(max(width, length)))
	}
	return fmt.Sprintf("%s of %s", cloth.Count(n, "square"), s.Format(width))
}

func ceilDiv(n, by int) int { return (n + by - 1) / by }

// dividedUp writes a division and its result rounded up.
func dividedUp(n, by int) string {
	if n%by == 0 {
		return fmt.Sprintf("%d ÷ %d = %d", n, by, n/by)
	}
	return fmt.Sprintf("%d ÷ %d = %s, so %d", n, by, decimals(float64(n)/float64(by)), ceilDiv(n, by))
}

// DividedDown writes a division and its result rounded down: how many whole parts a length
// holds.
func (s System) DividedDown(whole, part float64) string {
	n := int(whole/part + slack)
	exact := decimals(whole / part)
	if exact == fmt.Sprint(n) {
		return fmt.Sprintf("%s ÷ %s = %d", s.Format(whole), s.Format(part), n)
	}
	return fmt.Sprintf("%s ÷ %s = %s, so %d", s.Format(whole), s.Format(part), exact, n)
}
