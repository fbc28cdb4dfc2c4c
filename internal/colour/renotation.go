package colour

import (
	_ "embed" // for renotationText
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

// renotationText names its sources; 40 hues, chroma in steps of 2.
//
//go:embed renotation.txt
var renotationText string

const (
	chipHues    = 40 // 2.5R, 5R … 10RP; chip hue k has hue number 2.5(k+1)
	chipChromas = 26 // 0, 2 … 50
)

// chipValues are the values of the planes of chips.
var chipValues = [...]float64{0.2, 0.4, 0.6, 0.8, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}

// chip is a Munsell chip in CIELAB under illuminant C, polar: hue in degrees,
// growing with the hue number past 360 rather than jumping.
type chip struct{ radius, degrees float64 }

// ray holds the chips of one hue and value by half chroma. Chroma 0 stands at
// radius 0 in the direction of chroma 2, so that hue means something right down
// to the greys; past the data the spacing of the last chip goes on.
type ray [chipChromas]chip

// plane holds the chips of one value, a ray a hue.
type plane [chipHues]ray

// chips parses the renotation once, at the first conversion (about 2 ms).
var chips = sync.OnceValue(func() *[len(chipValues)]plane {
	planes, err := parseRenotation(renotationText)
	if err != nil {
		panic("colour: renotation.txt: " + err.Error()) // the binary itself is broken
	}
	return planes
})

func parseRenotation(text string) (*[len(chipValues)]plane, error) {
	planes := new([len(chipValues)]plane)
	v, h := -1, chipHues
	for n, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		name, rest, _ := strings.Cut(line, " ")
		if name == "value" {
			v++
			if h != chipHues || v == len(chipValues) || rest != strconv.FormatFloat(chipValues[v], 'g', -1, 64) {
				return nil, fmt.Errorf("line %d: value %s is out of order", n+1, rest)
			}
			h = 0
			continue
		}
		if v < 0 || h == chipHues || name != chipHueName(h) {
			return nil, fmt.Errorf("line %d: hue %s is out of order", n+1, name)
		}
		if err := planes[v][h].parse(strings.Fields(rest), chipValues[v]); err != nil {
			return nil, fmt.Errorf("line %d: %w", n+1, err)
		}
		h++
	}
	if v != len(chipValues)-1 || h != chipHues {
		return nil, fmt.Errorf("the table ends at value %d, hue %d", v, h)
	}
	for v := range planes {
		planes[v].unwind()
	}
	return planes, nil
}

func chipHueName(h int) string {
	return strconv.FormatFloat(2.5*float64(h%4+1), 'g', -1, 64) + hueLetters[h/4]
}

// parse reads the chips of one hue and value, as "x,y" in ten-thousandths from
// chroma 2 up.
func (r *ray) parse(fields []string, value float64) error {
	if len(fields) == 0 || len(fields) >= chipChromas {
		return fmt.Errorf("%d chips; want 1 to %d", len(fields), chipChromas-1)
	}
	y := MunsellY(value)
	for i, f := range fields {
		fx, fy, _ := strings.Cut(f, ",")
		x4, err := strconv.Atoi(fx)
		if err != nil {
			return err
		}
		y4, err := strconv.Atoi(fy)
		if err != nil {
			return err
		}
		if y4 <= 0 {
			return fmt.Errorf("chip %s has no luminance", f)
		}
		white := whiteOf(float64(x4)/1e4, float64(y4)/1e4)
		_, a, b := labOf(XYZ{white[0] * y, y, white[2] * y}, WhiteC)
		r[i+1].radius, r[i+1].degrees = polar(a, b, 0)
	}
	r[0].degrees = r[1].degrees
	last := len(fields)
	for i := last + 1; i < chipChromas; i++ {
		r[i] = chip{r[last].radius * float64(i) / float64(last), r[last].degrees}
	}
	return nil
}

// unwind turns angles into ones that grow with hue from 2.5R, which lies near 0°
// at every value, to 10RP.
func (p *plane) unwind() {
	for c := range chipChromas {
		before := 0.0
		for h := range chipHues {
			d := &p[h][c].degrees
			*d = before + math.Remainder(*d-before, 360)
			before = *d
		}
	}
}

// cell is the quadrilateral between four neighbouring chips at one value; in
// polar coordinates it is very nearly a rectangle. Inside, radius and angle are
// bilinear in hue and chroma. The fields are indexed by hue, then chroma.
type cell [2][2]chip

// slice is the renotation at one value, between two planes.
type slice struct {
	low, high *plane
	t         float64 // 0 at low, 1 at high
}

func sliceAt(value float64) slice {
	planes := chips()
	i := 1
	for i < len(chipValues)-1 && value > chipValues[i] {
		i++
	}
	// Below the darkest plane its hues and chromas hold.
	t := max(0, (value-chipValues[i-1])/(chipValues[i]-chipValues[i-1]))
	return slice{&planes[i-1], &planes[i], t}
}

// cell returns the cell of the renotation from chip hue h to the next and from half chroma
// c to the next.
func (s slice) cell(h, c int) cell {
	next, turn := h+1, 0.0
	if next == chipHues {
		next, turn = 0, 360
	}
	return cell{
		{s.chip(h, c, 0), s.chip(h, c+1, 0)},
		{s.chip(next, c, turn), s.chip(next, c+1, turn)},
	}
}

func (s slice) chip(h, c int, turn float64) chip {
	a, b := s.low[h][c], s.high[h][c]
	return chip{a.radius + s.t*(b.radius-a.radius), a.degrees + s.t*(b.degrees-a.degrees) + turn}
}

// at returns the point at u of the hue step and w of the chroma step.
func (q *cell) at(u, w float64) chip {
	k00, k01, k10, k11 := (1-u)*(1-w), (1-u)*w, u*(1-w), u*w
	return chip{
		k00*q[0][0].radius + k01*q[0][1].radius + k10*q[1][0].radius + k11*q[1][1].radius,
		k00*q[0][0].degrees + k01*q[0][1].degrees + k10*q[1][0].degrees + k11*q[1][1].degrees,
	}
}

// find returns the inverse of at: along the hue step, the chroma step of the given
// radius is a fraction of linear functions, which turns the angle into a quadratic
// equation. The angle may be off by whole turns. ok is false where the point lies
// outside the cell.
func (q *cell) find(radius, degrees float64) (u, w float64, ok bool) {
	r0, r1 := q[0][0].radius, q[1][0].radius // at chroma step 0, by hue
	d0, d1 := q[0][0].degrees, q[1][0].degrees
	rise0, rise1 := q[0][1].radius-r0, q[1][1].radius-r1 // over the chroma step
	turn0, turn1 := q[0][1].degrees-d0, q[1][1].degrees-d1
	degrees = d0 + math.Remainder(degrees-d0, 360)

	// rise(u)·(degrees - d(u)) = turn(u)·(radius - r(u)), all linear in u.
	a := turn0*(radius-r0) - rise0*(degrees-d0)
	c := turn1*(radius-r1) - rise1*(degrees-d1)
	mixed := turn0*(radius-r1) + turn1*(radius-r0) - rise0*(degrees-d1) - rise1*(degrees-d0)
	u = rootWithin(a, mixed, c)
	w = (radius - r0 - u*(r1-r0)) / (rise0 + u*(rise1-rise0))
	const slack = 1e-9
	return u, w, u >= -slack && u <= 1+slack && w >= -slack && w <= 1+slack
}

// rootWithin returns the root in 0..1 of a(1-u)² + m·u(1-u) + c·u², which runs from a
// at 0 to c at 1; where it has none there, a root or NaN.
func rootWithin(a, m, c float64) float64 {
	k, b := a-m+c, m-2*a // k u² + b u + a
	root := math.Sqrt(b*b - 4*k*a)
	// Of the two forms of a root, the one without cancellation.
	u := -2 * a / (b + math.Copysign(root, b))
	if v := (-b - math.Copysign(root, b)) / (2 * k); !(u >= -1e-9 && u <= 1+1e-9) && v >= -1e-9 && v <= 1+1e-9 {
		u = v
	}
	return u
}

// place returns the CIELAB (illuminant C) radius and angle of a renotation.
func place(hue, value, chroma float64) (radius, degrees float64) {
	u := math.Mod(hue/2.5-1, chipHues)
	if u < 0 {
		u += chipHues
	}
	h := min(int(u), chipHues-1) // a tiny negative hue rounds up to a full turn
	c := int(min(chroma/2, chipChromas-2))
	q := sliceAt(value).cell(h, c)
	p := q.at(u-float64(h), chroma/2-float64(c))
	return p.radius, p.degrees
}

// locate returns the inverse of place: hue number in (0, 100] and chroma. It walks
// round to the two rays between which the point lies, and then looks through the
// cells between them that have its radius.
func locate(value, radius, degrees float64) (hue, chroma float64) {
	s := sliceAt(value)
	h := min(int(degrees/9), chipHues-1) // hues stand about 9° apart
	c, ahead := s.cross(h, radius, degrees)
	for range chipHues {
		if ahead < 0 {
			break
		}
		h = (h + 1) % chipHues
		c, ahead = s.cross(h, radius, degrees)
	}
	next := c
	for range chipHues {
		if ahead >= 0 {
			break
		}
		h, next = (h+chipHues-1)%chipHues, c
		c, ahead = s.cross(h, radius, degrees)
	}
	// Now ray h is behind the point and the next ray ahead of it.
	var u, w float64
	last := max(c, next)
	for c = min(c, next); ; c++ {
		q := s.cell(h, c)
		var ok bool
		if u, w, ok = q.find(radius, degrees); ok || c == last {
			break
		}
	}
	hue = 2.5 * (float64(h) + u + 1)
	if hue > 100 {
		hue -= 100
	}
	return hue, max(0, 2*(float64(c)+w))
}

// cross follows ray h out to the radius: the half chroma just below, and by how
// many degrees the given angle is ahead of the ray there, -180..180.
func (s slice) cross(h int, radius, degrees float64) (c int, ahead float64) {
	c = int(min(radius/10, chipChromas-2)) // chromas stand about 5 apart for each unit
	below, above := s.chip(h, c, 0), s.chip(h, c+1, 0)
	for c > 0 && radius < below.radius {
		c--
		below, above = s.chip(h, c, 0), below
	}
	for c < chipChromas-2 && radius >= above.radius {
		c++
		below, above = above, s.chip(h, c+1, 0)
	}
	t := (radius - below.radius) / (above.radius - below.radius)
	return c, math.Remainder(degrees-below.degrees-t*(above.degrees-below.degrees), 360)
}
