package recipe

import (
	"fmt"
	"slices"

	"piecebag/internal/cloth"
)

// StripSets is what strips that are sewn together and cut across are for, in Lot.For.
const StripSets = "strip sets"

// SquaringIn is what is cut off the end of a strip set to square it, inches (common
// practice, no source). Strips as long as cloth is wide are taken to be squared already.
const SquaringIn = 0.5

// Segment is a column of a strip set, which is cut across strips that are sewn together; so
// many are wanted alike. Lengths are inches.
type Segment struct {
	What     string // the block that they are for; several with commas between
	Strips   []SetStrip
	AcrossIn float64 // of a segment as cut, along the strips
	Count    int     // of segments
	Why      []Why   // to Count, then to AcrossIn
}

// SetStrip is a strip of a strip set.
type SetStrip struct {
	Role  Role
	CutIn float64 // width as cut
	why   Why
}

func (x SetStrip) alike(y SetStrip) bool { return x.Role == y.Role && alikeIn(x.CutIn, y.CutIn) }

// alike reports whether two segments are cut from the same strip sets: also where one lies
// on its head.
func (g Segment) alike(c Segment) bool {
	heads := slices.Clone(c.Strips)
	slices.Reverse(heads)
	return alikeIn(g.AcrossIn, c.AcrossIn) && (slices.EqualFunc(g.Strips, c.Strips, SetStrip.alike) || slices.EqualFunc(g.Strips, heads, SetStrip.alike))
}

// segments returns the segments of n units of strip sets, those alike together; cell is the
// finished side of a cell, and why says how many units they are.
func (u Unit) segments(s System, cell float64, n int, why Why) (out []Segment) {
	xs, ys := shares(cell*float64(u.Wide), u.Segments), shares(cell*float64(u.High), u.Strips)
	var each []int
	for i := range u.Segments {
		across, whyAcross := s.Plain(xs[i+1] - xs[i])
		b := Segment{AcrossIn: across, Why: []Why{whyAcross}}
		for k := range u.Strips {
			high, whyHigh := s.Plain(ys[k+1] - ys[k])
			b.Strips = append(b.Strips, SetStrip{u.Roles[i*len(u.Strips)+k], high, whyHigh})
		}
		at := slices.IndexFunc(out, b.alike)
		if at < 0 {
			at, out, each = len(out), append(out, b), append(each, 0)
		}
		each[at]++
	}
	for i := range out {
		b := &out[i]
		b.Count = n * each[i]
		steps := []Why{why}
		if len(u.Segments) > 1 {
			steps = append(steps, Why{Text: fmt.Sprintf("%d × %s like this = %d", n, cloth.Count(each[i], "segment"), b.Count)})
		}
		b.Why = append(steps, b.Why...)
	}
	return out
}

// Segments returns what the blocks of a quilt take of strip sets cut across, those alike
// together; those that match are not there, for each of them is to be of a print of its
// own. Columns and rows as for TopSize.
func (r *Recipe) Segments(columns, rows int, s System) (out []Segment) {
	places := r.Places(columns, rows)
	for i, block := range r.Blocks {
		stands := places.Stands(i)
		for _, a := range block.alike() {
			if a.unit.Make != StripSet || a.unit.Matched != nil || stands == 0 {
				continue
			}
			for _, b := range a.unit.segments(s, block.CellIn(), a.count*stands, blocksWhy(stands, a.count)) {
				b.What = block.Name
				at := slices.IndexFunc(out, b.alike)
				if at < 0 {
					out = append(out, b)
					continue
				}
				o := &out[at]
				o.Count += b.Count
				if o.What != b.What {
					o.What += ", " + b.What
				}
				o.Why = append(o.Why, b.Why...)
			}
		}
	}
	return out
}

// blocksWhy says how many units alike some blocks have.
func blocksWhy(blocks, each int) Why {
	return Why{Text: fmt.Sprintf("%s × %d a block = %d", cloth.Count(blocks, "block"), each, blocks*each)}
}

// cutStrips adds strips that are sewn together and cut across into segments for n units:
// as long as cloth is wide, the last set of a kind as long as its segments are. It does
// nothing and gives false where cloth is too narrow for a segment.
func (p *pile) cutStrips(u Unit, cell float64, n int, why Why, c Method) bool {
	s := c.System
	all := u.segments(s, cell, n, why)
	if slices.ContainsFunc(all, func(b Segment) bool { return b.AcrossIn > c.WOFIn }) {
		return false
	}
	for _, b := range all {
		per := int(c.WOFIn/b.AcrossIn + slack)
		full, rest := b.Count/per, b.Count%per
		short := min(float64(rest)*b.AcrossIn+SquaringIn, c.WOFIn)
		steps := append(slices.Clip(b.Why), Why{Text: "segments a set: " + s.DividedDown(c.WOFIn, b.AcrossIn)})
		whySets := Why{Text: "sets: " + dividedUp(b.Count, per)}
		if rest > 0 {
			whySets.Text = fmt.Sprintf("sets: %d ÷ %d = %s, so %d and one as long as it must be", b.Count, per, decimals(float64(b.Count)/float64(per)), full)
		}
		var kinds []SetStrip
		for _, x := range b.Strips {
			if !slices.ContainsFunc(kinds, x.alike) {
				kinds = append(kinds, x)
			}
		}
		for _, x := range kinds {
			each := 0
			for _, y := range b.Strips {
				if x.alike(y) {
					each++
				}
			}
			strips := func(sets int, length float64, words string, more Why) {
				n := sets * each
				steps := append([]Why{x.why}, append(slices.Clip(steps), more)...)
				if each > 1 {
					steps = append(steps, Why{Text: fmt.Sprintf("%s × %d a set = %d", cloth.Count(sets, "set"), each, n)})
				}
				p.add(Lot{Role: x.Role, WidthIn: x.CutIn, LengthIn: length, Count: n, For: []string{StripSets}, Why: []Why{{
					Text: fmt.Sprintf("%s %s wide%s for strip sets", cloth.Count(n, "strip"), s.Format(x.CutIn), words), Steps: steps,
				}}})
			}
			if full > 0 {
				strips(full, 0, "", whySets)
			}
			if rest > 0 {
				long := s.Up(short)
				strips(1, long, " and "+s.Format(long)+" long", Why{Text: fmt.Sprintf("%s left: %d × %s + %s to square its end = %s", cloth.Count(rest, "segment"), rest, s.Format(b.AcrossIn), s.Format(SquaringIn), s.sum(short, long))})
			}
		}
	}
	return true
}
