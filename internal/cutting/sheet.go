package cutting

import (
	"math"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
)

// cut writes a job out: where the pieces lie, the cuts in order, what remains.
func (p *problem) cut(j job, stock []Stock, o Options) Cut {
	src := &p.sources[j.source]
	l := src.lies[j.lie]
	g := &p.groups[l.group]
	from := stock[src.stock]
	c := Cut{
		Stock: src.stock, ID: from.ID, Width: l.across.inches(), Length: l.along.inches(),
		Trim: src.trim.inches(), Unsure: src.unsure,
	}
	remain := func(x, y, w, h tick) {
		if w <= 0 || h <= 0 {
			return
		}
		r := Remnant{Rect: rect(x, y, w, h), Kept: p.kept(w, h)}
		if r.Kept {
			r.Bin = from.alike() + " " + o.cutName(min(r.W, r.H), max(r.W, r.H))
		}
		c.Remains = append(c.Remains, r)
	}
	y := tick(0)
	for _, s := range j.segments {
		long := tick(s.length) * p.grid
		sl := g.slits[s.slit]
		whole := sl.whole()
		var widths []float64
		for k := range sl.rows() {
			widths = append(widths, p.sigs[g.sig].rows[sl.row(k)].across.inches())
		}
		if !whole {
			if y+long < l.along {
				c.add(Step{Length: long.inches(), Times: 1, Row: -1, Rows: 1, Want: -1})
			}
			c.add(Step{Slit: widths, Length: long.inches(), Times: 1, Row: -1, Rows: 1, Want: -1})
		}
		x := tick(0)
		for k, parts := range s.rows {
			r := &p.sigs[g.sig].rows[sl.row(k)]
			at := y
			for _, i := range parts {
				it := r.parts[i]
				c.Pieces = append(c.Pieces, Placement{Rect: rect(x, at, it.across, it.along), Want: it.want, Turned: it.turned})
				at += tick(it.steps) * p.grid
			}
			c.cross(p.rowSteps(s, sl, g.sig, k))
			remain(x, at, r.across, y+long-at)
			x += r.across
		}
		remain(x, y, sl.left, long)
		y += long
	}
	remain(0, y, l.across, l.along-y)
	return c
}

// rowSteps are the cuts across the k-th row of a segment.
func (p *problem) rowSteps(s segment, sl slit, sig, k int) []Step {
	var out []Step
	r := &p.sigs[sig].rows[sl.row(k)]
	at := 0
	for _, i := range s.rows[k] {
		it := r.parts[i]
		at += it.steps
		step := Step{Length: it.along.inches(), Times: 1, Row: k, Rows: 1, Want: it.want}
		if sl.whole() {
			step.Row = -1
		}
		if n := len(out) - 1; n >= 0 && out[n].Length == step.Length && out[n].Want == step.Want {
			out[n].Times++
			continue
		}
		out = append(out, step)
	}
	if len(s.rows[k]) == 1 && at == s.length && !sl.whole() {
		out[0].Ready = true
	}
	return out
}

// add appends a step.
func (c *Cut) add(s Step) { c.Steps = append(c.Steps, s) }

// cross appends the cuts across a row, or makes the last ones in one row more, or
// once more across the whole width, where they are the same.
func (c *Cut) cross(steps []Step) {
	n := len(c.Steps) - len(steps)
	if len(steps) == 0 {
		return
	}
	if n >= 0 {
		same := func(a, b Step) bool {
			return a.Slit == nil && a.Length == b.Length && a.Times == b.Times && a.Want == b.Want && a.Ready == b.Ready && a.Row >= 0 && a.Row+a.Rows == b.Row
		}
		if slices.EqualFunc(c.Steps[n:], steps, same) {
			for k := range c.Steps[n:] {
				c.Steps[n+k].Rows++
			}
			return
		}
	}
	if k := len(c.Steps) - 1; k >= 0 && steps[0].Row < 0 {
		if last := &c.Steps[k]; last.Slit == nil && last.Row < 0 && last.Want == steps[0].Want && last.Length == steps[0].Length {
			last.Times += steps[0].Times
			return
		}
	}
	c.Steps = append(c.Steps, steps...)
}

func rect(x, y, w, h tick) Rect { return Rect{x.inches(), y.inches(), w.inches(), h.inches()} }

// alike is the bin you would look in.
func (s Stock) alike() string {
	return cloth.Holding{Bin: s.Bin, Family: s.Family, Value: s.Value}.Alike()
}

// stripLength is from how long a piece is a strip and not a rectangle, inches (common
// practice, no source).
const stripLength = 12

// cutName is where cloth of two sides, the shorter first, is put away: by the
// largest of your sizes that it holds, as a strip, a square or a rectangle, and
// whether it is to be trimmed to that.
func (o Options) cutName(short, long float64) string {
	best, other := 0.0, 0.0
	for _, s := range o.Sizes {
		if s <= short+1e-6 {
			best = max(best, s)
		}
		if s <= long+1e-6 {
			other = max(other, s)
		}
	}
	switch {
	case best == 0:
		return "scrap"
	case long+1e-6 >= stripLength:
		if short-best > 1e-3 {
			return o.say(best) + " strip, once trimmed from " + o.say(short)
		}
		return o.say(best) + " strip"
	case other > best:
		return o.say(short) + " × " + o.say(long) + " rectangle"
	case long-best > 1e-3:
		return o.say(best) + " square, once trimmed"
	}
	return o.say(best) + " square"
}

func (o Options) say(in float64) string {
	if o.Metric {
		return strconv.FormatFloat(math.Round(in*cloth.MMPerInch)/10, 'f', -1, 64) + " cm"
	}
	return cloth.FormatInches(in)
}
