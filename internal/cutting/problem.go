package cutting

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
)

// area is in square ticks; 64 bits hold a hundred million square inches.
type area int64

const in2Area = float64(ticksPerInch) * ticksPerInch

func (a area) in2() float64 { return float64(a) / in2Area }

// problem is wants and stock made ready for the search. Lengths across a piece
// of cloth are ticks; lengths along it are counted in grid steps, sizes rounded
// up and cloth down.
type problem struct {
	wants   []part // one a want, lying straight
	demand  []int
	grid    tick
	keep    tick
	sources []source
	sigs    []sig
	groups  []group
}

// part is a wanted piece lying one way.
type part struct {
	want          int
	across, along tick
	steps         int // along, in grid steps
	turned        bool
}

func (p part) area() area { return area(p.across) * area(p.along) }

// source is pieces of the stash alike.
type source struct {
	stock  int
	copies int
	trim   tick
	unsure bool
	square bool // cut to a size that you keep
	lies   []lie
	sig    int
	ready  []int // wants that it is already the size of
}

// area is of what can be cut from.
func (s source) area() area { return area(s.lies[0].across) * area(s.lies[0].along) }

// lie is one way of laying a source: along is what can be cut from, after
// trimming.
type lie struct {
	across, along tick
	group         int
	turned        bool
}

// sig is a set of wants that some stock may answer by its colour, and the rows
// that may be slit for them, widest first.
type sig struct {
	wants []int
	rows  []row
	steps []int // distinct lengths along, in grid steps, longest first
}

// row is all parts of one width.
type row struct {
	across tick
	parts  []part
}

// group is the cloth of one width and sig, with the ways it can be slit.
type group struct {
	sig     int
	across  tick
	longest int // in grid steps
	slits   []slit
}

// slit is first rows of one width, then rows of a second (none: m 0), and what
// is left over beside them.
type slit struct {
	i, n int // index into the rows of the sig, times
	j, m int
	left tick
}

func (s slit) rows() int { return s.n + s.m }

// whole says that nothing is slit: the one row is as wide as the cloth.
func (s slit) whole() bool { return s.rows() == 1 && s.left == 0 }

// row gives the index of the k-th row.
func (s slit) row(k int) int {
	if k < s.n {
		return s.i
	}
	return s.j
}

// finest is the finest grid, 1/64 inch; sizes that share no coarser one are
// rounded up to it.
const finest = ticksPerInch / 64

// coarsest is an eighth of an inch, the mark on a ruler: cloth is cut at marks.
const coarsest = ticksPerInch / 8

// gridFor divides the greatest common measure of the sizes down to a mark.
func gridFor(common tick) tick {
	k := max((common+coarsest-1)/coarsest, 1)
	for common%k != 0 {
		k++
	}
	return max(common/k, finest)
}

// newProblem reads wants and stock; the list says of each stock whether it is of
// unknown length and so left out.
func newProblem(wants []Want, stock []Stock, o Options) (*problem, []bool, error) {
	p := &problem{keep: ticks(o.Keep)}
	for _, w := range wants {
		for _, side := range []float64{w.W, w.L} {
			if err := checkLength("a piece with a side", side); err != nil {
				return nil, nil, err
			}
			p.grid = gcd(p.grid, ticks(side))
		}
		if w.Count < 0 || w.Count > maxPieces {
			return nil, nil, fmt.Errorf("%d pieces of %s: give a count from 0 to %d", w.Count, sizeName(w.W, w.L), maxPieces)
		}
		p.demand = append(p.demand, w.Count)
	}
	p.grid = gridFor(p.grid)
	for i, w := range wants {
		p.wants = append(p.wants, p.part(i, ticks(w.W), ticks(w.L), false))
	}
	unknown := make([]bool, len(stock))
	sigAt, groupAt := map[string]int{}, map[[2]int64]int{}
	for i, s := range stock {
		if s.WidthIn > maxLength || s.LengthIn > maxLength || s.WidthIn < 0 || s.LengthIn < 0 || s.Count < 0 {
			return nil, nil, fmt.Errorf("stash entry %d: %d of %v × %v inches cannot be: correct its size and count", s.ID, s.Count, s.WidthIn, s.LengthIn)
		}
		src := source{stock: i, copies: s.Count}
		w, l := ticks(s.WidthIn), ticks(s.LengthIn)
		switch s.Form {
		case cloth.Strip:
			src.trim = ticks(o.Trim)
			if l == 0 && w > 0 {
				l = ticks(o.AssumeLength)
				src.unsure = true
				unknown[i] = l == 0
			}
		case cloth.Irregular:
			w, l = ticks(s.WidthIn*o.Sure), ticks(s.LengthIn*o.Sure)
			src.unsure = true
		case cloth.Square:
			src.square = true
		case cloth.Rectangle:
		default:
			continue
		}
		if s.Count == 0 || w == 0 || l == 0 {
			continue
		}
		src.sig = p.sigOf(wants, s, sigAt)
		for _, i := range p.sigs[src.sig].wants {
			if it := p.wants[i]; !src.unsure && (near(w, it.across) && near(l, it.along) || near(l, it.across) && near(w, it.along)) {
				src.ready = append(src.ready, i)
			}
		}
		if l > src.trim {
			src.lies = append(src.lies, lie{across: w, along: l - src.trim})
		}
		if w != l && s.Form != cloth.Strip {
			src.lies = append(src.lies, lie{across: l, along: w, turned: true})
		}
		for k := range src.lies {
			p.join(&src.lies[k], src.sig, groupAt)
		}
		if len(p.sigs[src.sig].wants) > 0 {
			p.sources = append(p.sources, src)
		}
	}
	for k := range p.groups {
		p.groups[k].slits = p.slits(&p.groups[k])
	}
	p.sources = slices.DeleteFunc(p.sources, func(s source) bool { return !p.useful(s) })
	return p, unknown, nil
}

// useful says whether a source is as large as some piece that it may answer.
func (p *problem) useful(s source) bool {
	for _, l := range s.lies {
		g := &p.groups[l.group]
		for _, r := range p.sigs[g.sig].rows {
			if slices.ContainsFunc(r.parts, func(it part) bool { return it.across <= l.across && it.steps <= int(l.along/p.grid) }) {
				return true
			}
		}
	}
	return len(s.ready) > 0
}

// near allows half a millimetre between a size in one system and what passes for
// it in the other (2½ inches for 6.4 cm), far less than cutting is out by.
func near(a, b tick) bool { return max(a-b, b-a) <= halfMM }

const halfMM = 5000

func gcd(a, b tick) tick {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (p *problem) part(want int, across, along tick, turned bool) part {
	return part{want: want, across: across, along: along, steps: int((along + p.grid - 1) / p.grid), turned: turned}
}

// fits says whether stock may answer a want, by its colour and print.
func fits(w Want, s Stock) bool {
	return allows(w.Families, s.Family) && allows(w.Values, s.Value) && allows(w.Bins, s.Bin) && allows(w.Prints, s.Print)
}

func allows[T comparable](list []T, v T) bool { return len(list) == 0 || slices.Contains(list, v) }

// sigOf finds or makes the sig of the wants that s may answer.
func (p *problem) sigOf(wants []Want, s Stock, at map[string]int) int {
	key := make([]byte, len(wants))
	var set []int
	for i, w := range wants {
		if w.Count > 0 && fits(w, s) {
			key[i] = 1
			set = append(set, i)
		}
	}
	if k, ok := at[string(key)]; ok {
		return k
	}
	k := len(p.sigs)
	at[string(key)] = k
	p.sigs = append(p.sigs, sig{wants: set})
	g := &p.sigs[k]
	add := func(it part) {
		i := slices.IndexFunc(g.rows, func(r row) bool { return r.across == it.across })
		if i < 0 {
			i = len(g.rows)
			g.rows = append(g.rows, row{across: it.across})
		}
		g.rows[i].parts = append(g.rows[i].parts, it)
		if !slices.Contains(g.steps, it.steps) {
			g.steps = append(g.steps, it.steps)
		}
	}
	for _, i := range set {
		it := p.wants[i]
		add(it)
		if it.across != it.along {
			add(p.part(i, it.along, it.across, true))
		}
	}
	slices.SortFunc(g.rows, func(a, b row) int { return cmp.Compare(b.across, a.across) })
	slices.SortFunc(g.steps, func(a, b int) int { return b - a })
	return k
}

// join puts a lie into the group of its width and sig.
func (p *problem) join(l *lie, sig int, at map[[2]int64]int) {
	key := [2]int64{int64(sig), int64(l.across)}
	k, ok := at[key]
	if !ok {
		k = len(p.groups)
		at[key] = k
		p.groups = append(p.groups, group{sig: sig, across: l.across})
	}
	l.group = k
	p.groups[k].longest = max(p.groups[k].longest, int(l.along/p.grid))
}

// slits lists the ways of slitting: rows of one width, or of two.
func (p *problem) slits(g *group) []slit {
	var out []slit
	rows := p.sigs[g.sig].rows
	for i := range rows {
		for n := 1; tick(n)*rows[i].across <= g.across; n++ {
			left := g.across - tick(n)*rows[i].across
			out = append(out, slit{i: i, n: n, left: left})
			for j := i + 1; j < len(rows); j++ {
				for m := 1; tick(m)*rows[j].across <= left; m++ {
					out = append(out, slit{i: i, n: n, j: j, m: m, left: left - tick(m)*rows[j].across})
				}
			}
		}
	}
	return out
}

// kept says whether a remnant is worth putting back.
func (p *problem) kept(a, b tick) bool { return a >= p.keep && b >= p.keep && a > 0 && b > 0 }
