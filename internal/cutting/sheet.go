package cutting

import (
	"math"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// cut writes a job out: where the pieces lie, the cuts in order, what remains.
func (p *problem) cut(j job, stock []cloth.Holding, o Options) Diagram {
	src := &p.sources[j.source]
	from := stock[src.stock]
	c := Diagram{
		Stock: src.stock, ID: from.ID, Width: src.width.inches(), Length: src.length.inches(),
		Trim: src.trim.inches(), Unsure: src.unsure,
	}
	place := func(x, y, w, h tick) geom.Rect {
		if j.turned {
			return rect(y, x, h, w)
		}
		return rect(x, y, w, h)
	}
	j.walk(src, func(x, y tick, it part) {
		c.Pieces = append(c.Pieces, Placement{Rect: place(x, y, it.across, it.along), Want: it.want, Turned: it.turned != j.turned})
	}, func(x, y, w, h tick) {
		r := Remnant{Rect: place(x, y, w, h), Kept: kept(w, h)}
		if r.Kept {
			r.box = o.boxOf(min(r.W, r.H), max(r.W, r.H))
		}
		c.Remains = append(c.Remains, r)
	})
	across, long := src.lie(j.turned)
	if bands := p.bySize(j.bands); j.turned {
		c.alongSteps(bands, across, long)
	} else {
		c.acrossSteps(bands, across, long)
	}
	return c
}

// bySize gives each piece to the first want of its size: for the knife they are one.
func (p *problem) bySize(bands []band) []band {
	first := func(want int) int {
		w := p.wants[want]
		return slices.IndexFunc(p.wants, func(o part) bool {
			return o.across == w.across && o.along == w.along || o.across == w.along && o.along == w.across
		})
	}
	out := slices.Clone(bands)
	for b := range out {
		out[b].rows = slices.Clone(out[b].rows)
		for r := range out[b].rows {
			pieces := slices.Clone(out[b].rows[r].pieces)
			for k := range pieces {
				pieces[k].want = first(pieces[k].want)
			}
			out[b].rows[r].pieces = pieces
		}
	}
	return out
}

// acrossSteps are the cuts of bands that run across the cloth: each is taken off,
// slit and cut across.
func (c *Diagram) acrossSteps(bands []band, across, long tick) {
	y := tick(0)
	for _, b := range bands {
		whole := len(b.rows) == 1 && b.rows[0].across == across
		var widths []float64
		for _, r := range b.rows {
			widths = append(widths, r.across.inches())
		}
		y += b.along
		if !whole {
			if y < long {
				c.add(Step{Length: b.along.inches(), Times: 1, Row: -1, Rows: 1, Want: -1})
			}
			c.add(Step{Slit: widths, Length: b.along.inches(), Times: 1, Row: -1, Rows: 1, Want: -1})
		}
		for k, r := range b.rows {
			if whole {
				k = -1
			}
			c.cross(rowSteps(r, k, b.along))
		}
	}
}

// rowSteps returns the cuts across the k-th row of a band; −1 is the whole width.
func rowSteps(r row, k int, long tick) []Step {
	var out []Step
	for _, it := range r.pieces {
		step := Step{Length: it.along.inches(), Times: 1, Row: k, Rows: 1, Want: it.want}
		if n := len(out) - 1; n >= 0 && out[n].Length == step.Length && out[n].Want == step.Want {
			out[n].Times++
			continue
		}
		out = append(out, step)
	}
	out[0].Ready = len(r.pieces) == 1 && r.pieces[0].along == long && k >= 0
	return out
}

// alongSteps are the cuts of bands that run along the cloth: it is slit into them,
// each is cut across, and what is wider than its piece is slit once more.
func (c *Diagram) alongSteps(bands []band, across, long tick) {
	whole := len(bands) == 1 && bands[0].along == long
	var widths []float64
	for _, b := range bands {
		widths = append(widths, b.along.inches())
	}
	if !whole {
		c.add(Step{Slit: widths, Length: across.inches(), Times: 1, Row: -1, Rows: 1, Want: -1})
	}
	for k, b := range bands {
		if whole {
			k = -1
		}
		var steps []Step
		for _, r := range b.rows {
			step := Step{Length: r.across.inches(), Times: 1, Row: k, Rows: 1, Want: r.pieces[0].want}
			exact := len(r.pieces) == 1 && r.pieces[0].along == b.along
			if n := len(steps) - 1; exact && n >= 0 && !steps[n].Rest && steps[n].Length == step.Length && steps[n].Want == step.Want {
				steps[n].Times++
				continue
			}
			if exact {
				step.Ready = r.across == across && k >= 0
				steps = append(steps, step)
				continue
			}
			step.Want = -1
			steps = append(steps, step)
			for _, it := range r.pieces {
				if n := len(steps) - 1; steps[n].Rest && steps[n].Want == it.want && steps[n].Length == it.along.inches() {
					steps[n].Times++
					continue
				}
				steps = append(steps, Step{Length: it.along.inches(), Times: 1, Row: k, Rows: 1, Want: it.want, Rest: true})
			}
		}
		c.cross(steps)
	}
}

// add appends a step.
func (c *Diagram) add(s Step) { c.Steps = append(c.Steps, s) }

// cross appends the cuts across a row, or makes the last ones in one row more, or
// once more across the whole width, where they are the same.
func (c *Diagram) cross(steps []Step) {
	n := len(c.Steps) - len(steps)
	if len(steps) == 0 {
		return
	}
	if n >= 0 {
		same := func(a, b Step) bool {
			return a.Slit == nil && a.Length == b.Length && a.Times == b.Times && a.Want == b.Want && a.Ready == b.Ready && a.Rest == b.Rest && a.Row >= 0 && a.Row+a.Rows == b.Row
		}
		if slices.EqualFunc(c.Steps[n:], steps, same) {
			for k := range c.Steps[n:] {
				c.Steps[n+k].Rows++
			}
			return
		}
	}
	if k := len(c.Steps) - 1; k >= 0 && len(steps) == 1 && steps[0].Row < 0 && steps[0].Want >= 0 {
		if last := &c.Steps[k]; last.Slit == nil && last.Row < 0 && last.Want == steps[0].Want && last.Length == steps[0].Length {
			last.Times += steps[0].Times
			return
		}
	}
	c.Steps = append(c.Steps, steps...)
}

func rect(x, y, w, h tick) geom.Rect {
	return geom.Rect{X: x.inches(), Y: y.inches(), W: w.inches(), H: h.inches()}
}

// stripLength is from how long a piece is a strip and not a rectangle, inches (common
// practice, no source).
const stripLength = 12

// sizesKept are the cuts most savers of scraps keep, inches, and metricSizes those
// nearest to them that metric rulers mark (common practice, no source).
var (
	sizesKept   = []float64{1.5, 2, 2.5, 3.5, 4.5, 5, 6.5, 7, 8.5, 10}
	metricSizes = centimetres(4, 5, 6, 6.5, 9, 11.5, 12.5, 16.5, 18, 22, 25)
)

func centimetres(lengths ...float64) []float64 {
	for i := range lengths {
		lengths[i] *= 10 / cloth.MMPerInch
	}
	return lengths
}

// boxOf returns where cloth of two sides, the shorter first, is put away: by the
// largest of the sizes kept that it holds, as a strip, a square or a rectangle.
func (o Options) boxOf(short, long float64) box {
	sizes := sizesKept
	if o.Metric {
		sizes = metricSizes
	}
	best, other := 0.0, 0.0
	for _, s := range sizes {
		if s <= short+1e-6 {
			best = max(best, s)
		}
		if s <= long+1e-6 {
			other = max(other, s)
		}
	}
	switch {
	case best == 0:
		return box{Cut: "scrap"}
	case long+1e-6 >= stripLength:
		if short-best > 1e-3 {
			return box{Cut: o.say(best) + " strip, once trimmed from " + o.say(short)}
		}
		return box{o.say(best) + " strip", cloth.Strip}
	case other > best:
		return box{o.say(short) + " × " + o.say(long) + " rectangle", cloth.Rectangle}
	case long-best > 1e-3:
		return box{Cut: o.say(best) + " square, once trimmed"}
	}
	return box{o.say(best) + " square", cloth.Square}
}

func (o Options) say(in float64) string {
	if o.Metric {
		return strconv.FormatFloat(math.Round(in*cloth.MMPerInch)/10, 'f', -1, 64) + " cm"
	}
	return cloth.FormatInches(in)
}
