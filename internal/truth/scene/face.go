package scene

import (
	"math"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// face is a flat bit of the scene, painted over the faces before it. A place
// on it is (u, v) in inches: world o + u·a + v·b + relief(u, v)·n, with a, b
// of unit length and n = a × b.
type face struct {
	piece   int          // id of the piece it belongs to; 0 for none
	outline geom.Polygon // in u, v; nil covers everything
	o, a, b vec
	n       vec
	// colour is the albedo at u, v and the ink it counts for.
	colour func(u, v float64) (colour.Linear, int)
	relief func(u, v float64) float64 // inches, may be nil
	shade  func(u, v float64) float64 // light that gets there, 0..1, may be nil
	paper  bool                       // white paper: by itself or on the piece

	toImage, toFace geom.Homography // plane to undistorted pixels and back
}

// placed finishes a face: its normal and its maps.
func (f face) placed(c *camera) face {
	f.n = f.a.cross(f.b)
	f.toImage = c.plane(f.o, f.a, f.b)
	f.toFace = f.toImage.Inverse()
	return f
}

// lying returns the frame of a face on the ground plane at height z, turned by
// angle.
func lying(x, y, z, angle float64) face {
	s, c := math.Sincos(angle)
	return face{o: vec{x, y, z}, a: vec{c, s, 0}, b: vec{-s, c, 0}}
}

// at returns the place of an undistorted pixel on the face.
func (f *face) at(p geom.Point) (u, v float64) {
	q := f.toFace.Apply(p)
	return q.X, q.Y
}

// world returns the place in the world of u, v, and its height over the plane.
func (f *face) world(u, v float64) (vec, float64) {
	h := 0.0
	if f.relief != nil {
		h = f.relief(u, v)
	}
	return f.o.add(f.a.mul(u)).add(f.b.mul(v)).add(f.n.mul(h)), h
}

// normal returns the unit normal at u, v; h is the relief there.
func (f *face) normal(u, v, h float64) vec {
	if f.relief == nil {
		return f.n
	}
	const d = 0.03 // inches
	du := (f.relief(u+d, v) - h) / d
	dv := (f.relief(u, v+d) - h) / d
	return f.n.sub(f.a.mul(du)).sub(f.b.mul(dv)).unit()
}

// picture maps a place on the plane to the photo's pixels.
func (f *face) picture(c *camera, p geom.Point) geom.Point {
	return c.distort(f.toImage.Apply(p))
}

// focus returns how far out of focus the plane of the face is at a pixel, 0..1, of a
// camera focused on it at the height share of the picture. The circle of
// confusion grows with the difference of the inverse depths, and the inverse
// depth of a plane is linear over the picture.
func (f *face) focus(c *camera, share float64) func(x, y float64) float64 {
	at := func(x, y float64) float64 {
		u, v := f.toFace.Apply(geom.Point{X: x, Y: y}).X, f.toFace.Apply(geom.Point{X: x, Y: y}).Y
		return 1 / f.o.add(f.a.mul(u)).add(f.b.mul(v)).sub(c.eye).dot(c.forward)
	}
	w, h := float64(c.w), float64(c.h)
	o := at(0, 0)
	dx, dy := (at(w, 0)-o)/w, (at(0, h)-o)/h
	sharp := o + dx*w/2 + dy*h*share
	return func(x, y float64) float64 { return min(1, math.Abs(o+dx*x+dy*y-sharp)/sharp/0.35) }
}

// onPicture returns the outline in the photo's pixels.
func (f *face) onPicture(c *camera) geom.Polygon {
	if f.outline == nil {
		w, h := float64(c.w), float64(c.h)
		return geom.Polygon{{X: -1, Y: -1}, {X: w + 1, Y: -1}, {X: w + 1, Y: h + 1}, {X: -1, Y: h + 1}}
	}
	out := make(geom.Polygon, len(f.outline))
	for i, p := range f.outline {
		out[i] = f.picture(c, p)
	}
	return out
}

// super is how many samples a pixel side has in the raster of faces.
const super = 2

// paint returns the index of the topmost face at every sample, row-major, super
// samples a pixel each way.
func paint(c *camera, faces []face) []uint16 {
	w, h := super*c.w, super*c.h
	raster := make([]uint16, w*h)
	for i := range faces {
		if faces[i].outline == nil {
			for k := range raster {
				raster[k] = uint16(i)
			}
			continue
		}
		faces[i].onPicture(c).Scale(super).Fill(w, h, func(y, x0, x1 int) {
			row := raster[y*w+x0 : y*w+x1]
			for k := range row {
				row[k] = uint16(i)
			}
		})
	}
	return raster
}

// sample returns the undistorted pixel of a sample of the raster.
func (c *camera) sample(x, y int) geom.Point {
	return c.undistort(geom.Point{X: (float64(x) + 0.5) / super, Y: (float64(y) + 0.5) / super})
}
