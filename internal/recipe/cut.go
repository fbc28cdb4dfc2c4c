package recipe

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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
)

// Cut is pieces to cut, all of one size and role.
type Cut struct {
	Role Role
	// WidthIn ≤ LengthIn as cut, seam allowances included, inches; LengthIn 0
	// means a strip as long as the cloth is wide, and Count counts strips.
	WidthIn, LengthIn float64
	Count             int
	Across            int // of Count, how many lie in the top with their long side across
	Split             Split
	For               []string // what they are for, each once
	Why               []Why    // one for each thing they are for
}

// Cutting is how a quilt's pieces are cut.
type Cutting struct {
	System System
	WOFIn  float64 // usable width of fabric, inches
	// OneByOne cuts the patches of strip sets singly, as from scraps, and not from
	// full strips sewn together.
	OneByOne bool
}

// Stand is how many of a block stand in a setting, and how many of those lie on
// their side.
type Stand struct{ Count, OnSide int }

// Cuts are the pieces for r.Blocks, stood as given in their order, by role in the
// order roles first appear, the biggest first. Units alike are counted over the
// whole quilt before they are made by several at a time.
func (r *Recipe) Cuts(blocks []Stand, c Cutting) []Cut {
	var p pile
	for i, b := range r.Blocks {
		if i >= len(blocks) || blocks[i].Count == 0 {
			continue
		}
		j := job{pile: &p, cell: r.WidthIn / float64(b.Columns), stand: blocks[i], cutting: c}
		for _, a := range b.alike() {
			j.cut(a)
		}
	}
	return p.sorted()
}

// alike counts the units of a block that differ only in where they lie and how
// they are turned.
func (b Block) alike() []alike {
	var out []alike
next:
	for _, u := range b.Units {
		onSide := u.Turn % 2
		u.Column, u.Row, u.Turn = 0, 0, 0
		if u.Make == Plain && u.Wide > u.High {
			u.Wide, u.High = u.High, u.Wide
			onSide = 1 - onSide
		}
		for i, a := range out {
			if a.unit.same(u) {
				out[i].count++
				out[i].onSide += onSide
				continue next
			}
		}
		out = append(out, alike{u, 1, onSide})
	}
	return out
}

// alike is so many units of one kind in a block, some of them on their side.
type alike struct {
	unit          Unit
	count, onSide int
}

func (u Unit) same(v Unit) bool {
	return u.Make == v.Make && u.Wide == v.Wide && u.High == v.High && u.AtATime == v.AtATime &&
		u.Corners == v.Corners && u.Centre == v.Centre && u.Log == v.Log && u.Rounds == v.Rounds &&
		slices.Equal(u.Roles, v.Roles)
}

// pile gathers cuts, those alike together.
type pile struct {
	cuts  []Cut
	roles []Role // in the order they first appear
}

// AddCuts puts cuts alike together and sorts them as Cuts does.
func AddCuts(lists ...[]Cut) []Cut {
	var p pile
	for _, list := range lists {
		for _, c := range list {
			p.add(c)
		}
	}
	return p.sorted()
}

func (p *pile) add(c Cut) {
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
		if d := &p.cuts[i]; d.Role == c.Role && alikeIn(d.WidthIn, c.WidthIn) && alikeIn(d.LengthIn, c.LengthIn) && d.Split == c.Split {
			d.Count += c.Count
			d.Across += c.Across
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

// alikeIn says whether two cut lengths, both on marks of a ruler, are the same.
func alikeIn(a, b float64) bool { return math.Abs(a-b) < 1e-4 }

func (p *pile) sorted() []Cut {
	out := slices.Clone(p.cuts)
	long := func(c Cut) float64 { // full-width strips are the longest
		if c.LengthIn == 0 {
			return math.Inf(1)
		}
		return c.LengthIn
	}
	slices.SortStableFunc(out, func(a, b Cut) int {
		return cmp.Or(
			cmp.Compare(slices.Index(p.roles, a.Role), slices.Index(p.roles, b.Role)),
			cmp.Compare(long(b), long(a)), cmp.Compare(b.WidthIn, a.WidthIn),
		)
	})
	return out
}

// job cuts the units of one block.
type job struct {
	pile    *pile
	cell    float64 // finished, inches
	stand   Stand
	cutting Cutting
}

// cut adds what units alike are cut from, over the whole quilt.
func (j job) cut(a alike) {
	u, s := a.unit, j.cutting.System
	w, h := j.cell*float64(u.Wide), j.cell*float64(u.High)
	n := a.count * j.stand.Count
	onSide := a.onSide*(j.stand.Count-j.stand.OnSide) + (a.count-a.onSide)*j.stand.OnSide
	count := Why{Text: fmt.Sprintf("%s × %d a block = %d", many(j.stand.Count, "block"), a.count, n)}
	put := func(role Role, width, length float64, k int, split Split, what string, steps ...Why) {
		across := 0
		if k == n && !alikeIn(width, length) { // one a unit
			across = onSide
			if width > length {
				across = n - onSide
			}
		}
		j.pile.add(Cut{
			Role: role, WidthIn: width, LengthIn: length, Count: k, Across: across, Split: split, For: []string{what},
			Why: []Why{{
				Text:  fmt.Sprintf("%s for %s", s.pieces(k, width, length), what),
				Steps: append([]Why{count}, steps...),
			}},
		})
	}
	// sets counts the sets of pieces, each of which makes several units.
	sets := func(each int) (int, Why) {
		k := ceilDiv(n, each)
		return k, Why{Text: fmt.Sprintf("%d ÷ %d at a time = %s", n, each, many(k, "set"))}
	}
	pw, whyW := s.Plain(w)
	ph, whyH := s.Plain(h)
	size := []Why{whyW}
	if w != h {
		size = append(size, whyH)
	}
	switch u.Make {
	case Plain:
		what := "patches"
		put(u.Roles[0], pw, ph, n, Whole, what, size...)
	case HalfSquare:
		k, whySets := sets(u.AtATime)
		cut, why := s.Half(w)
		what := "half-square triangles, two at a time"
		if u.AtATime == 8 {
			cut, why = s.eightHalves(w)
			what = "half-square triangles, eight at a time"
		}
		for _, role := range u.Roles {
			put(role, cut, cut, k, Whole, what, whySets, why)
		}
	case Hourglass:
		k, whySets := sets(2)
		cut, why := s.Quarter(w)
		for _, role := range u.Roles {
			put(role, cut, cut, k, Whole, "hourglasses, two at a time", whySets, why)
		}
	case QuarterSquare:
		cut, why := s.Quarter(w)
		for i, role := range u.Roles {
			if slices.Index(u.Roles, role) != i {
				continue
			}
			each := 0
			for _, other := range u.Roles {
				if other == role {
					each++
				}
			}
			k := ceilDiv(n*each, 4)
			put(role, cut, cut, k, Twice, "quarter-square triangles",
				Why{Text: fmt.Sprintf("%d × %d triangles ÷ 4 a square = %d", n, each, k)}, why)
		}
	case FlyingGeese:
		u.geese(put, sets, s, w, h, n)
	case FlipCorners:
		put(u.Roles[0], pw, ph, n, Whole, "patches with flipped corners", size...)
		for i, corner := range u.Corners {
			if corner.Side == 0 || slices.Index(u.Corners[:], corner) != i {
				continue
			}
			each := 0
			for _, other := range u.Corners {
				if other == corner {
					each++
				}
			}
			cut, why := s.Plain(j.cell * float64(corner.Side))
			put(corner.Role, cut, cut, n*each, Whole, FlippedCorners, Why{Text: fmt.Sprintf("%d × %s = %d", n, many(each, "corner"), n*each)}, why)
		}
	case StripSet:
		j.strips(put, u, w, h, n)
	case LogCabin, CourthouseSteps:
		for i, shape := range u.upright() {
			lo, hi := shape.polygon.Bounds()
			lw, whyL := s.Plain(j.cell * (hi.X - lo.X))
			lh, whyR := s.Plain(j.cell * (hi.Y - lo.Y))
			what, why := "logs", []Why{whyL, whyR}
			if i == 0 {
				what, why = "centres", []Why{whyL}
			}
			put(shape.role, lw, lh, n, Whole, what, why...)
		}
	}
}

// FlippedCorners is what squares of flipped corners are for, in Cut.For.
const FlippedCorners = "flipped corners"

type putter func(role Role, width, length float64, n int, split Split, what string, steps ...Why)

// geese adds flying geese: four at a time from a large square and four small, or
// one at a time with flipped corners.
func (u Unit) geese(put putter, sets func(int) (int, Why), s System, w, h float64, n int) {
	if u.AtATime == 4 {
		k, whySets := sets(4)
		large, whyLarge := s.Quarter(w)
		small, whySmall := s.Half(h)
		put(u.Roles[0], large, large, k, Whole, "flying geese, four at a time", whySets, whyLarge)
		put(u.Roles[1], small, small, 4*k, Whole, "flying geese, four at a time", whySets,
			Why{Text: fmt.Sprintf("%d × 4 small squares = %d", k, 4*k)}, whySmall)
		return
	}
	cw, whyW := s.Plain(w)
	ch, whyH := s.Plain(h)
	put(u.Roles[0], cw, ch, n, Whole, "flying geese, one at a time", whyW, whyH)
	put(u.Roles[1], ch, ch, 2*n, Whole, "flying geese, one at a time",
		Why{Text: fmt.Sprintf("%d × 2 corners = %d", n, 2*n)}, whyH)
}

// strips adds strip sets: full strips, or patch by patch.
func (j job) strips(put putter, u Unit, w, h float64, n int) {
	c, s := j.cutting, j.cutting.System
	high, whyHigh := s.Plain(h / float64(len(u.Roles)))
	segment, whySegment := s.Plain(w)
	per := int(c.WOFIn/segment + slack)
	if per == 0 || c.OneByOne {
		for _, role := range u.Roles {
			put(role, segment, high, n, Whole, "strips of a strip set, one by one", whyHigh, whySegment)
		}
		return
	}
	k := ceilDiv(n, per)
	for _, role := range u.Roles {
		j.pile.add(Cut{
			Role: role, WidthIn: high, Count: k, For: []string{"strip sets"},
			Why: []Why{{
				Text: fmt.Sprintf("%s %s wide for strip sets", many(k, "strip"), s.Format(high)),
				Steps: []Why{
					whyHigh, whySegment,
					{Text: fmt.Sprintf("%s ÷ %s = %s a set", s.Format(c.WOFIn), s.Format(segment), many(per, "segment"))},
					{Text: fmt.Sprintf("%d segments ÷ %d = %s", n, per, many(k, "set"))},
				},
			}},
		})
	}
}

// eightHalves is the square for eight half-square triangles: two triangles'
// squares wide.
func (s System) eightHalves(finished float64) (float64, Why) {
	one, why := s.Half(finished)
	return 2 * one, Why{Text: fmt.Sprintf("2 × %s = %s", s.Format(one), s.Format(2*one)), Steps: []Why{why}}
}

// pieces writes a number of cut pieces.
func (s System) pieces(n int, width, length float64) string {
	if !alikeIn(width, length) {
		return fmt.Sprintf("%d of %s × %s", n, s.Format(min(width, length)), s.Format(max(width, length)))
	}
	return fmt.Sprintf("%s of %s", many(n, "square"), s.Format(width))
}

func ceilDiv(n, by int) int { return (n + by - 1) / by }

// many writes a number of things.
func many(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
