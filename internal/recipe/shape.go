package recipe

import "piecebag/internal/geom"

// shape is one patch of a unit, in cells.
type shape struct {
	polygon geom.Polygon
	role    Role
}

// Covers returns the width and height of a unit as it lies, in cells.
func (u Unit) Covers() (wide, high int) {
	if u.Turn%2 == 1 {
		return u.High, u.Wide
	}
	return u.Wide, u.High
}

// turned turns a unit with a part of wide × high cells, by quarters clockwise.
func (u Unit) turned(quarters, wide, high int) Unit {
	for range quarters {
		_, h := u.Covers()
		u.Column, u.Row = high-u.Row-h, u.Column
		u.Turn = (u.Turn + 1) % 4
		wide, high = high, wide
	}
	return u
}

func (u Unit) moved(columns, rows int) Unit {
	u.Column += columns
	u.Row += rows
	return u
}

// finer returns a unit on a grid that is so many times finer.
func (u Unit) finer(times int) Unit {
	u.Column, u.Row, u.Wide, u.High = u.Column*times, u.Row*times, u.Wide*times, u.High*times
	u.Centre, u.Log = u.Centre*times, u.Log*times
	for i := range u.Corners {
		u.Corners[i].Side *= times
	}
	return u
}

// shapes returns the patches of a unit where they lie in its block, in cells.
func (u Unit) shapes() []shape {
	out := u.upright()
	for i := range out {
		wide, high := float64(u.Wide), float64(u.High)
		for j, p := range out[i].polygon {
			w, h := wide, high
			for range u.Turn {
				p = geom.Point{X: h - p.Y, Y: p.X}
				w, h = h, w
			}
			out[i].polygon[j] = p.Add(geom.Point{X: float64(u.Column), Y: float64(u.Row)})
		}
	}
	return out
}

// upright returns the patches of a unit before it is turned, from its top left.
// Polygons run clockwise on screen.
func (u Unit) upright() []shape {
	w, h := float64(u.Wide), float64(u.High)
	a, b, c, d := geom.Point{}, geom.Point{X: w}, geom.Point{X: w, Y: h}, geom.Point{Y: h}
	mid := geom.Point{X: w / 2, Y: h / 2}
	switch u.Make {
	case HalfSquare, HalfRectangle:
		if u.LeansLeft {
			return []shape{{geom.Polygon{a, b, c}, u.Roles[0]}, {geom.Polygon{a, c, d}, u.Roles[1]}}
		}
		return []shape{{geom.Polygon{a, b, d}, u.Roles[0]}, {geom.Polygon{b, c, d}, u.Roles[1]}}
	case Hourglass, QuarterSquare:
		n := len(u.Roles) // two are taken in turn
		return []shape{
			{geom.Polygon{a, b, mid}, u.Roles[0]}, {geom.Polygon{b, c, mid}, u.Roles[1]},
			{geom.Polygon{c, d, mid}, u.Roles[2%n]}, {geom.Polygon{d, a, mid}, u.Roles[3%n]},
		}
	case FlyingGeese:
		top := geom.Point{X: w / 2}
		return []shape{
			{geom.Polygon{top, c, d}, u.Roles[0]},
			{geom.Polygon{a, top, d}, u.Roles[1]}, {geom.Polygon{top, b, c}, u.Roles[1]},
		}
	case FlipCorners:
		return u.flipped([4]geom.Point{a, b, c, d})
	case StripSet:
		var out []shape
		xs, ys := shares(w, u.Segments), shares(h, u.Strips)
		for i := range u.Segments {
			for k := range u.Strips {
				out = append(out, shape{box(xs[i], ys[k], xs[i+1], ys[k+1]), u.Roles[len(out)]})
			}
		}
		return out
	case LogCabin:
		return u.logs([]int{3, 0, 1, 2})
	case CourthouseSteps:
		return u.logs([]int{3, 1, 0, 2})
	case Strings:
		return u.strings(geom.Polygon{a, b, c, d})
	case Crumbs:
		return u.crumbs(geom.Polygon{a, b, c, d})
	default:
		return []shape{{geom.Polygon{a, b, c, d}, u.Roles[0]}}
	}
}

// shares returns the places where a length is divided by shares, its ends too.
func shares(length float64, by []int) []float64 {
	all, so := 0, 0
	for _, x := range by {
		all += x
	}
	out := []float64{0}
	for _, x := range by {
		so += x
		out = append(out, length*float64(so)/float64(all))
	}
	return out
}

func box(x0, y0, x1, y1 float64) geom.Polygon {
	return geom.Polygon{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// flipped returns a patch less its corners, then the corners.
func (u Unit) flipped(at [4]geom.Point) []shape {
	out := []shape{{nil, u.Roles[0]}}
	var ring geom.Polygon
	add := func(p geom.Point) {
		if len(ring) == 0 || ring[len(ring)-1] != p {
			ring = append(ring, p)
		}
	}
	for k, p := range at {
		side := float64(u.Corners[k].Side)
		if side == 0 {
			add(p)
			continue
		}
		before, after := at[(k+3)%4], at[(k+1)%4]
		from := p.Add(before.Sub(p).Mul(side / before.Dist(p)))
		to := p.Add(after.Sub(p).Mul(side / after.Dist(p)))
		add(from)
		add(to)
		out = append(out, shape{geom.Polygon{p, to, from}, u.Corners[k].Role})
	}
	if last := len(ring) - 1; ring[last] == ring[0] {
		ring = ring[:last]
	}
	out[0].polygon = ring
	return out
}

// logs returns the centre and the logs of a log cabin in sewing order; order lists
// the sides of a round: 0 top, 1 right, 2 bottom, 3 left.
func (u Unit) logs(order []int) []shape {
	log := float64(u.Log)
	x0 := log * float64(u.Rounds)
	y0 := x0
	x1, y1 := x0+float64(u.Centre), y0+float64(u.Centre)
	out := []shape{{box(x0, y0, x1, y1), u.Roles[0]}}
	for range u.Rounds {
		for i, side := range order {
			role := u.Roles[1+i/2]
			switch side {
			case 0:
				out = append(out, shape{box(x0, y0-log, x1, y0), role})
				y0 -= log
			case 1:
				out = append(out, shape{box(x1, y0, x1+log, y1), role})
				x1 += log
			case 2:
				out = append(out, shape{box(x0, y1, x1, y1+log), role})
				y1 += log
			case 3:
				out = append(out, shape{box(x0-log, y0, x0, y1), role})
				x0 -= log
			}
		}
	}
	return out
}
