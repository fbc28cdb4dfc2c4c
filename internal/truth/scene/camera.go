package scene

import (
	"math"

	"piecebag/internal/geom"
)

// vec is a place or direction in the world, inches: x right, y towards the
// photographer, z up from the ground.
type vec struct{ x, y, z float64 }

func (a vec) add(b vec) vec     { return vec{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vec) sub(b vec) vec     { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) mul(s float64) vec { return vec{a.x * s, a.y * s, a.z * s} }
func (a vec) dot(b vec) float64 { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) unit() vec         { return a.mul(1 / math.Sqrt(a.dot(a))) }
func (a vec) turn(angle float64) vec { // about z
	s, c := math.Sincos(angle)
	return vec{a.x*c - a.y*s, a.x*s + a.y*c, a.z}
}

// cross of right and near is up: the frame is left-handed.
func (a vec) cross(b vec) vec {
	return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}

// camera is a pinhole with barrel distortion. Lengths are pixels and inches,
// angles radians.
type camera struct {
	w, h                 int
	focal                float64
	eye, aim             vec
	right, down, forward vec
	barrel               float64 // r_d = r_u (1 - barrel r_u²), r 1 at half the diagonal
}

// newCamera looks at the world point aim from such a distance that an inch
// there spans ppi pixels. tilt leans it back from straight down, towards the
// photographer turned by azimuth; roll turns the picture.
func newCamera(w, h int, ppi, tilt, azimuth, roll, barrel float64, aim vec) *camera {
	// 26 mm on a 36 × 24 mm frame of diagonal 43.27 mm: a phone's main lens.
	focal := 26.0 / 43.27 * math.Hypot(float64(w), float64(h))
	d := focal / ppi
	st, ct := math.Sincos(tilt)
	c := &camera{w: w, h: h, focal: focal, aim: aim, barrel: barrel}
	c.eye = aim.add(vec{0, d * st, d * ct}.turn(azimuth))
	c.forward = aim.sub(c.eye).unit()
	// Keep the picture's right as near to the world's x as the view allows.
	right := vec{1, 0, 0}
	right = right.sub(c.forward.mul(right.dot(c.forward))).unit()
	down := right.cross(c.forward)
	s, co := math.Sincos(roll)
	c.right = right.mul(co).add(down.mul(s))
	c.down = down.mul(co).sub(right.mul(s))
	return c
}

// project maps a world point to undistorted pixels.
func (c *camera) project(p vec) geom.Point {
	q := p.sub(c.eye)
	k := c.focal / q.dot(c.forward)
	return geom.Point{X: float64(c.w)/2 + k*q.dot(c.right), Y: float64(c.h)/2 + k*q.dot(c.down)}
}

// plane returns the map from plane coordinates (u, v) at o + u·a + v·b to
// undistorted pixels.
func (c *camera) plane(o, a, b vec) geom.Homography {
	q := o.sub(c.eye)
	cx, cy := float64(c.w)/2, float64(c.h)/2
	var h geom.Homography
	for i, d := range [3]vec{a, b, q} {
		z := d.dot(c.forward)
		h[i] = c.focal*d.dot(c.right) + cx*z
		h[3+i] = c.focal*d.dot(c.down) + cy*z
		h[6+i] = z
	}
	return h
}

// distort maps undistorted pixels to the lens's.
func (c *camera) distort(p geom.Point) geom.Point {
	x, y, r2 := c.centred(p)
	k := 1 - c.barrel*r2
	return geom.Point{X: float64(c.w)/2 + x*k, Y: float64(c.h)/2 + y*k}
}

// undistort inverts distort to well under a hundredth of a pixel for the
// barrels used here (≤ 0.02).
func (c *camera) undistort(p geom.Point) geom.Point {
	x, y, r2 := c.centred(p)
	k := 1.0
	for range 3 {
		k = 1 / (1 - c.barrel*r2*k*k)
	}
	return geom.Point{X: float64(c.w)/2 + x*k, Y: float64(c.h)/2 + y*k}
}

// centred returns p from the picture's middle, and its squared radius in half
// diagonals.
func (c *camera) centred(p geom.Point) (x, y, r2 float64) {
	x, y = p.X-float64(c.w)/2, p.Y-float64(c.h)/2
	return x, y, 4 * (x*x + y*y) / float64(c.w*c.w+c.h*c.h)
}
