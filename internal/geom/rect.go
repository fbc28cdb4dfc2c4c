package geom

// Rect is an upright rectangle: its upper left corner, and how wide and high it is.
type Rect struct{ X, Y, W, H float64 }

// Corners run clockwise on screen from the upper left.
func (r Rect) Corners() [4]Point {
	return [4]Point{{X: r.X, Y: r.Y}, {X: r.X + r.W, Y: r.Y}, {X: r.X + r.W, Y: r.Y + r.H}, {X: r.X, Y: r.Y + r.H}}
}

// Inset returns r less d on all sides.
func (r Rect) Inset(d float64) Rect { return Rect{r.X + d, r.Y + d, r.W - 2*d, r.H - 2*d} }
