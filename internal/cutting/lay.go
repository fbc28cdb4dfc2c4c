package cutting

import (
	"cmp"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

const halfInch = ticksPerInch / 2

// lot is pieces of one want, all lying one way: w across, h along the cloth.
type lot struct {
	want   int
	w, h   tick
	turned bool
	fixed  bool // spans the cloth: never turned, and never too tight
	left   int
}

// Lay finds how wants lie on yardage: the cloth is cut across its width into
// strips, each as tall as the pieces it is for, and the end of a strip that
// those do not fill is cut up for smaller ones. Every want is tried lying both
// ways, one want alone also with some strips each way; the layout that covers
// the most area wins, then the one that takes the least length, then the fewest
// strips.
//
// Of a given length as many pieces as there is room for are laid and the rest
// listed as missing. With any length it is an error if a piece is wider than
// the cloth whichever way it lies. It is also an error if a size is not a
// length, a count is negative or there are more than 200,000 pieces.
func Lay(y Bolt, wants []Want) (LayPlan, error) {
	if y.Width == 0 {
		y.Width = DefaultWidth
	}
	if err := y.check(wants); err != nil {
		return LayPlan{}, err
	}
	var best *laid
	for _, lots := range y.ways(wants) {
		l := y.layLots(lots, wants)
		if best == nil || l.better(best) {
			best = l
		}
	}
	if len(wants) > 1 { // each want turned by itself, as long as that helps
		best = y.turnEach(best, wants)
	}
	return y.layout(best, wants), nil
}

func (y Bolt) check(wants []Want) error {
	if err := checkLength("cloth of a width", y.Width); err != nil {
		return err
	}
	if y.LossAcross < 0 || y.LossAlong < 0 || y.Shrink < 0 || y.Length < 0 || y.Length > maxLength {
		return fault.Usage("", "the length of cloth, its squaring-up loss and its shrinkage cannot be below 0", "give 0 or more")
	}
	if y.LossAcross >= y.Width || y.Length > 0 && y.LossAlong >= y.Length {
		return fault.Usage("", "squaring up takes all of the cloth", fmt.Sprintf("give a loss less than its %s", y.saySize(y.Width, y.Length)))
	}
	total := 0
	for _, n := range wants {
		if err := n.check(y.saySize); err != nil {
			return err
		}
		total += n.Count
		if y.Length == 0 && n.Count > 0 && len(y.lies(n, 0)) == 0 {
			return fault.Usage("", fmt.Sprintf("a piece of %s does not fit across cloth %s wide", y.saySize(n.W, n.L), y.say(y.usable().inches())), "join widths, or take wider cloth")
		}
	}
	if total > maxPieces {
		return fault.Usage("", fmt.Sprintf("%d pieces in all", total), fmt.Sprintf("lay out at most %d at once", maxPieces))
	}
	return nil
}

// usable returns the width that can be cut from.
func (y Bolt) usable() tick { return ticks(y.Width) - ticks(y.LossAcross) }

// room returns the length that can be cut from; with any length, more than is ever
// needed.
func (y Bolt) room() tick {
	if y.Length == 0 {
		return 1 << 60
	}
	return ticks(y.Length) - ticks(y.LossAlong)
}

// lies returns the ways in which a piece of n fits across the cloth.
func (y Bolt) lies(n Want, want int) []lot {
	straight := lot{want: want, w: ticks(n.W), h: ticks(n.L), fixed: n.Fixed, left: n.Count}
	out := []lot{straight}
	if !y.OneWay && !n.Fixed && n.W != n.L {
		out = append(out, lot{want: want, w: straight.h, h: straight.w, turned: true, left: n.Count})
	}
	return slices.DeleteFunc(out, func(l lot) bool { return l.w > y.usable() || l.h > y.room() })
}

// ways lists the first arrangements to try: of one want, every division of its
// strips between the two ways of lying; of several, each its own best way.
func (y Bolt) ways(wants []Want) [][]lot {
	var mixed []lot
	for i, n := range wants {
		ways := y.lies(n, i)
		if n.Count == 0 || len(ways) == 0 {
			continue
		}
		if len(wants) == 1 {
			return y.divide(ways, n.Count)
		}
		mixed = append(mixed, slices.MinFunc(ways, func(a, b lot) int { return cmp.Compare(y.alone(a), y.alone(b)) }))
	}
	return [][]lot{mixed}
}

// divide returns each way of lying alone and the best mix of strips of the first
// way with strips of the other: that holding the most pieces, then the
// shortest. The end of a strip is narrower than the piece either way, so the
// strips are all there is to count.
func (y Bolt) divide(ways []lot, count int) [][]lot {
	all := [][]lot{}
	for _, l := range ways {
		all = append(all, []lot{l})
	}
	if len(ways) < 2 {
		return all
	}
	a, b := ways[0], ways[1]
	pa, pb := int(y.usable()/a.w), int(y.usable()/b.w)
	most, length := 0, tick(0)
	for n := 1; n*pa < count && tick(n)*a.h <= y.room(); n++ {
		rest := count - n*pa
		m := min((rest+pb-1)/pb, int((y.room()-tick(n)*a.h)/b.h))
		held, long := min(count, n*pa+m*pb), tick(n)*a.h+tick(m)*b.h
		if held > most || held == most && long < length {
			most, length = held, long
			a.left, b.left = n*pa, min(rest, m*pb)
		}
	}
	if most > 0 {
		all = append(all, []lot{a, b})
	}
	return all
}

// alone returns the length that a lot takes by itself.
func (y Bolt) alone(l lot) tick {
	per := int(y.usable() / l.w)
	return tick((l.left+per-1)/per) * l.h
}

func (y Bolt) turnEach(best *laid, wants []Want) *laid {
	for again := true; again; {
		again = false
		for i := range best.lots {
			lots := slices.Clone(best.lots)
			for _, other := range y.lies(wants[lots[i].want], lots[i].want) {
				if other.turned != best.lots[i].turned {
					lots[i] = other
				}
			}
			if l := y.layLots(lots, wants); l.better(best) {
				best, again = l, true
			}
		}
	}
	return best
}

// laid is one arrangement, measured.
type laid struct {
	lots    []lot // as asked for
	strips  []Strip
	missing []int
	per     map[int]int // of each want, in a strip of its own
	area    float64     // laid, square inches
	used    tick        // along the cloth, squaring up left out
	tight   bool
}

func (l *laid) better(than *laid) bool {
	return cmp.Or(cmp.Compare(than.area, l.area), cmp.Compare(l.used, than.used), cmp.Compare(len(l.strips), len(than.strips))) < 0
}

// layLots cuts strips for the lots, tallest first. Their ends are filled with the tallest
// pieces first, or with the longest, whichever takes less.
func (y Bolt) layLots(lots []lot, wants []Want) *laid {
	tallest := func(a, b *lot) int { return cmp.Or(cmp.Compare(b.h, a.h), cmp.Compare(b.w, a.w)) }
	longest := func(a, b *lot) int { return cmp.Compare(max(b.w, b.h), max(a.w, a.h)) }
	best := y.layBy(lots, wants, tallest, tallest)
	if len(lots) < 2 { // there is nothing to put in order
		return best
	}
	if l := y.layBy(lots, wants, tallest, longest); l.better(best) {
		best = l
	}
	return best
}

// layBy cuts strips in one order of lots and fills their ends in another.
func (y Bolt) layBy(lots []lot, wants []Want, strips, ends func(a, b *lot) int) *laid {
	l := &laid{lots: lots, missing: make([]int, len(wants)), per: map[int]int{}}
	var work []*lot
	for _, it := range slices.Clone(lots) {
		work = append(work, &it)
	}
	slices.SortStableFunc(work, strips)
	fill := slices.Clone(work)
	slices.SortStableFunc(fill, ends)
	width := y.usable()
	for _, it := range work {
		per := int(width / it.w)
		l.per[it.want] = max(l.per[it.want], per)
		for it.left > 0 && l.used+it.h <= y.room() {
			s := &Strip{Y: l.used.inches(), Height: it.h.inches()}
			n := min(per, it.left)
			l.tight = l.tight || n == per && !it.fixed && width-tick(per)*it.w < halfInch
			f := stripEnds{strip: s, y: l.used, lots: fill, oneWay: y.OneWay}
			f.block(it, 0, 0, n, 1)
			f.fill(tick(n)*it.w, 0, width-tick(n)*it.w, it.h)
			l.strips = append(l.strips, *s)
			l.used += it.h
		}
	}
	for i, n := range wants {
		l.missing[i] = n.Count
	}
	for _, s := range l.strips {
		for _, p := range s.Pieces {
			l.missing[p.Want]--
		}
	}
	// Summed want by want, so that layouts of the same pieces cover the same to
	// the last bit and the length decides between them.
	for i, n := range wants {
		l.area += float64(n.Count-l.missing[i]) * n.W * n.L
	}
	return l
}

// stripEnds cuts up the ends of one strip. Places are within the strip until they
// are put on it.
type stripEnds struct {
	strip  *Strip
	y      tick
	lots   []*lot // in the order in which they are tried
	oneWay bool
}

// block lays n pieces in columns of rows, row after row of a column first.
func (f *stripEnds) block(l *lot, x, y tick, n, rows int) {
	for k := range n {
		f.strip.Pieces = append(f.strip.Pieces, Placement{
			Rect: geom.Rect{
				X: (x + tick(k/rows)*l.w).inches(), Y: (f.y + y + tick(k%rows)*l.h).inches(),
				W: l.w.inches(), H: l.h.inches(),
			},
			Want: l.want, Turned: l.turned,
		})
	}
	l.left -= n
}

// fill lays the largest pieces that fit into w × h at (x, y) as columns, then
// goes on with the cloth beside them and, within the columns, above them.
func (f *stripEnds) fill(x, y, w, h tick) {
	for _, l := range f.lots {
		if l.left == 0 {
			continue
		}
		lie := *l
		if lie.w > w || lie.h > h {
			lie.w, lie.h, lie.turned = l.h, l.w, !l.turned
			if f.oneWay || l.fixed || lie.w > w || lie.h > h {
				continue
			}
		}
		rows := int(h / lie.h)
		cols := min(int(w/lie.w), (l.left+rows-1)/rows)
		if cols == 1 {
			rows = min(rows, l.left)
		}
		n := min(l.left, rows*cols)
		f.block(&lie, x, y, n, rows)
		l.left = lie.left
		f.fill(x+tick(cols)*lie.w, y, w-tick(cols)*lie.w, h)
		f.fill(x, y+tick(rows)*lie.h, tick(cols)*lie.w, h-tick(rows)*lie.h)
		return
	}
}

// Bought rounds a length of cloth in inches up to ⅛ yard, or to 10 cm, and
// writes it as it is asked for.
func Bought(inches float64, metric bool) (up float64, words string) {
	t, words := bought(ticks(inches), metric)
	return t.inches(), words
}

func bought(asked tick, metric bool) (up tick, words string) {
	unit := ticks(36) / 8
	if metric {
		unit = 1_000_000
	}
	n := (asked + unit - 1) / unit
	if metric {
		return n * unit, fmt.Sprintf("%d cm", 10*n)
	}
	return n * unit, cloth.FormatInches(float64(n)/8) + " yd"
}

// layout writes an arrangement out.
func (y Bolt) layout(l *laid, wants []Want) LayPlan {
	loss := ticks(y.LossAlong)
	if l.used == 0 {
		loss = 0
	}
	out := LayPlan{Width: y.usable().inches(), Strips: l.strips, Missing: l.missing, Inches: (l.used + loss).inches()}
	if len(wants) > 0 {
		out.PerStrip = l.per[0]
	}
	asked := ticks(out.Inches * (1 + y.Shrink))
	buy, words := bought(asked, y.Metric)
	out.BuyInches, out.Buy = buy.inches(), words
	spare := buy - asked
	if y.Length > 0 {
		spare = ticks(y.Length) - l.used - loss
	}
	out.ExactFit = l.used > 0 && (l.tight || spare < halfInch)
	out.Steps = y.steps(l, out, wants)
	return out
}
