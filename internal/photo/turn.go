package photo

// turn is an EXIF orientation, 1..8 (CIPA DC-008, 4.6.4 A): where the stored
// picture's first row and column lie once it is upright.
type turn int

// swaps reports whether rows become columns.
func (t turn) swaps() bool { return t >= 5 }

// flipsX reports whether stored x runs against the upright axis that it lies along.
func (t turn) flipsX() bool { return t == 2 || t == 3 || t == 7 || t == 8 }

// flipsY says the same of stored y.
func (t turn) flipsY() bool { return t == 3 || t == 4 || t == 6 || t == 7 }

// place returns the strides of a stored w × h raster in its upright copy: stored
// pixel (x, y) lies at base + x·dx + y·dy.
func (t turn) place(w, h int) (base, dx, dy int) {
	dx, dy = 1, w
	if t.swaps() {
		dx, dy = h, 1
	}
	if t.flipsX() {
		base, dx = base+(w-1)*dx, -dx
	}
	if t.flipsY() {
		base, dy = base+(h-1)*dy, -dy
	}
	return base, dx, dy
}

// size returns the upright size of a stored w × h picture.
func (t turn) size(w, h int) (int, int) {
	if t.swaps() {
		return h, w
	}
	return w, h
}
