package cutting

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// area is in square ticks; 64 bits hold a hundred million square inches.
type area int64

const in2Area = float64(ticksPerInch) * ticksPerInch

func (a area) in2() float64 { return float64(a) / in2Area }

// problem is wants and stock made ready for the search.
type problem struct {
	wants   []part // one a want, lying straight
	demand  []int
	roles   []int // of each want; −1: its prints do not matter
	nRoles  int
	prefer  Prefer
	sources []source
	sigs    []sig
	sets    []matching
	inSet   []int // of each want, its place in sets; −1: none
	prints  map[string]int
}

// part is a wanted piece lying one way.
type part struct {
	want          int
	across, along tick
	turned        bool
}

func (p part) area() area { return area(p.across) * area(p.along) }

// source is pieces of the stash alike.
type source struct {
	stock  int
	copies int
	width  tick
	length tick // that can be cut from, after trimming
	trim   tick
	unsure bool
	square bool // cut to a size that you keep
	sig    int
	print  int    // 0 and up
	known  bool   // whether print is the name of one, or only a colour
	ready  []int  // wants that it is already the size of
	holds  []bool // by want: whether it can be cut from this, or is this
}

// area returns the area of one copy, with what is trimmed off.
func (s source) area() area { return area(s.width) * area(s.length+s.trim) }

// sig is a set of wants that some stock may answer by its colour: its parts, both
// ways, and their sides, the longest first.
type sig struct {
	wants []int
	parts []part
	sides []tick
	unit  tick // the greatest common measure of the sides
}

// finest is the least difference of two lengths that a search by prices tells
// apart.
const finest = ticksPerInch / 64

// newProblem reads wants and stock; the list says of each stock whether it is of
// unknown length and so left out.
func newProblem(wants []Want, stock []cloth.Holding, o Options) (*problem, []bool, error) {
	p := &problem{prefer: o.Prefer, prints: map[string]int{}}
	roleAt := map[string]int{}
	for i, w := range wants {
		if err := w.check(sizeName); err != nil {
			return nil, nil, err
		}
		role := -1
		if w.Role != "" {
			if _, ok := roleAt[w.Role]; !ok {
				roleAt[w.Role] = len(roleAt)
			}
			role = roleAt[w.Role]
		}
		p.demand, p.roles = append(p.demand, w.Count), append(p.roles, role)
		p.wants = append(p.wants, part{want: i, across: ticks(w.W), along: ticks(w.L)})
	}
	p.nRoles = len(roleAt)
	p.readSets(wants)
	unknown := make([]bool, len(stock))
	sigAt := map[string]int{}
	for i, s := range stock {
		if s.WidthIn > maxLength || s.LengthIn > maxLength || s.WidthIn < 0 || s.LengthIn < 0 || s.Count < 0 {
			return nil, nil, fault.Usage("", fmt.Sprintf("stash entry %d: %d of %v × %v inches cannot be", s.ID, s.Count, s.WidthIn, s.LengthIn), "correct its size and count")
		}
		src := source{stock: i, width: ticks(s.WidthIn), length: ticks(s.LengthIn)}
		switch s.Form {
		case cloth.Strip:
			src.trim = ticks(o.Trim)
			unknown[i] = src.length == 0 && src.width > 0
		case cloth.Irregular:
			src.width, src.length = ticks(s.WidthIn*SureShare), ticks(s.LengthIn*SureShare)
			src.unsure = true
		case cloth.Square:
			src.square = true
		case cloth.Rectangle:
		default:
			continue
		}
		if s.Count == 0 || src.width == 0 || src.length == 0 {
			continue
		}
		src.sig = p.sigOf(wants, s, sigAt)
		p.measureUp(&src, s.Count)
		if src.copies == 0 {
			continue
		}
		src.print, src.known = p.printAt(s), s.Print != ""
		p.sources = append(p.sources, src)
	}
	p.askNoMore()
	p.wholeSets()
	return p, unknown, nil
}

// askNoMore lowers the demand to what the cloth could give at most by its area.
func (p *problem) askNoMore() {
	for i, it := range p.wants {
		most := 0
		for _, s := range p.sources {
			switch {
			case s.large(it) && slices.Contains(p.sigs[s.sig].wants, i):
				most += s.copies * max(1, int(area(s.width)*area(s.length)/it.area()))
			case s.holds[i]:
				most += s.copies
			}
		}
		p.demand[i] = min(p.demand[i], most)
	}
}

// printAt numbers the print of some cloth.
func (p *problem) printAt(s cloth.Holding) int {
	name := printOf(s)
	if _, ok := p.prints[name]; !ok {
		p.prints[name] = len(p.prints)
	}
	return p.prints[name]
}

// printOf names the print of some cloth. Cloth of which none is known counts as one
// print a colour: it is surely no other colour's, and may all be one.
func printOf(s cloth.Holding) string {
	if s.Print != "" {
		return "print " + s.Print
	}
	return "colour " + s.Bin + "/" + string(s.Family) + "/" + string(s.Value)
}

// measureUp takes the trim off a source, says which wants it holds, and counts as
// many copies as could be of use.
func (p *problem) measureUp(src *source, count int) {
	w, l := src.width, src.length
	src.length -= min(src.trim, l)
	src.trim = l - src.length
	src.holds = make([]bool, len(p.wants))
	useful := 0
	for _, i := range p.sigs[src.sig].wants {
		it := p.wants[i]
		if !src.unsure && sameSize(w, l, it.across, it.along) {
			src.ready = append(src.ready, i)
			src.holds[i] = true
		}
		if src.large(it) {
			src.holds[i] = true
		}
		if src.holds[i] {
			useful += p.demand[i]
		}
	}
	src.copies = min(count, useful)
}

// large reports whether a source is large enough for a piece, either way round.
func (s source) large(it part) bool {
	return min(it.across, it.along) <= min(s.width, s.length) && max(it.across, it.along) <= max(s.width, s.length)
}

// sameSize reports whether two sizes are one, either way round.
func sameSize(w, l, v, m tick) bool { return near(w, v) && near(l, m) || near(l, v) && near(w, m) }

// AsItIs reports whether a holding answers a want without being cut: a square or a
// rectangle of its size, and of a family, value and print that the want allows.
func AsItIs(w Want, s cloth.Holding) bool {
	return (s.Form == cloth.Square || s.Form == cloth.Rectangle) && s.Count > 0 && fits(w, s) &&
		sameSize(ticks(s.WidthIn), ticks(s.LengthIn), ticks(w.W), ticks(w.L))
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

// fits reports whether stock may answer a want, by its colour and print.
func fits(w Want, s cloth.Holding) bool {
	return allows(w.Families, s.Family) && allows(w.Values, s.Value) && allows(w.Bins, s.Bin) && allows(w.Prints, s.Print)
}

func allows[T comparable](list []T, v T) bool { return len(list) == 0 || slices.Contains(list, v) }

// sigOf finds or makes the sig of the wants that s may answer.
func (p *problem) sigOf(wants []Want, s cloth.Holding, at map[string]int) int {
	key := make([]byte, len(wants))
	var g sig
	for i, w := range wants {
		if w.Count > 0 && fits(w, s) {
			key[i] = 1
			g.wants = append(g.wants, i)
		}
	}
	if k, ok := at[string(key)]; ok {
		return k
	}
	for _, i := range g.wants {
		it := p.wants[i]
		g.parts = append(g.parts, it)
		if it.across != it.along {
			g.parts = append(g.parts, part{want: i, across: it.along, along: it.across, turned: true})
		}
		g.sides = append(g.sides, it.across, it.along)
		g.unit = gcd(gcd(g.unit, it.across), it.along)
	}
	slices.SortFunc(g.sides, func(a, b tick) int { return cmp.Compare(b, a) })
	g.sides = slices.Compact(g.sides)
	at[string(key)] = len(p.sigs)
	p.sigs = append(p.sigs, g)
	return len(p.sigs) - 1
}

// kept reports whether a remnant is worth putting back.
func kept(a, b tick) bool { return min(a, b) >= keepIn*ticksPerInch }

// goesBack reports whether a remnant of two sides, inches, is worth putting back.
func goesBack(a, b float64) bool { return kept(ticks(a), ticks(b)) }

// lost returns the area of a remnant that is too small to keep.
func lost(a, b tick) area {
	if kept(a, b) {
		return 0
	}
	return area(a) * area(b)
}
