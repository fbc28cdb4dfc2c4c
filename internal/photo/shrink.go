package photo

import (
	"iter"

	"piecebag/internal/cloth"
	"piecebag/internal/raster"
)

// workingSide is about how many pixels the long side of a working picture has.
const workingSide = 1200

// factor returns how many full pixels a working pixel spans, each way.
func factor(w, h int) int {
	return max(1, (2*max(w, h)+workingSide)/(2*workingSide))
}

// shrink makes the working picture: every working pixel is the mean, in linear
// light, of f × f full pixels. Blocks are counted from the upright picture's top
// left corner, and those cut by its right and lower edge are the mean of what is
// there. The result does not depend on how the work is split.
func shrink(src rows, f int, t turn, p profile) *cloth.Picture {
	fullW, fullH := t.size(src.w, src.h)
	sw, sh := (src.w+f-1)/f, (src.h+f-1)/f // working size, as stored
	pic := &cloth.Picture{Shrink: float64(f), FullW: fullW, FullH: fullH}
	pic.W, pic.H = t.size(sw, sh)
	pic.Pix = make([]float32, 3*sw*sh)
	pic.Clipped = make([]uint8, sw*sh)

	// Where an axis is turned round, the cut block comes first as stored.
	firstX, firstY := f, f
	if t.flipsX() {
		firstX = src.w - (sw-1)*f
	}
	if t.flipsY() {
		firstY = src.h - (sh-1)*f
	}
	edge := func(i, first, limit int) int { return max(0, min(limit, first+(i-1)*f)) }

	light := p.tables(src.black, src.white)
	base, dx, dy := t.place(sw, sh)
	raster.Each(sh, func(numbers iter.Seq[int]) {
		codes := make([]code, src.w)
		sums := make([]block, sw)
		for j := range numbers {
			clear(sums)
			y0, y1 := edge(j, firstY, src.h), edge(j+1, firstY, src.h)
			for y := y0; y < y1; y++ {
				src.read(y, codes)
				addRow(sums, codes, light, src.clipped, firstX, f)
			}
			for i := range sw {
				n := (y1 - y0) * (edge(i+1, firstX, src.w) - edge(i, firstX, src.w))
				at := base + i*dx + j*dy
				k := 1 / (lightUnit * float64(n))
				pic.Pix[3*at] = float32(float64(sums[i].r) * k)
				pic.Pix[3*at+1] = float32(float64(sums[i].g) * k)
				pic.Pix[3*at+2] = float32(float64(sums[i].b) * k)
				pic.Clipped[at] = uint8((255*int(sums[i].clipped) + n/2) / n)
			}
		}
	})
	if !p.plain() {
		m := p.light32()
		for i := 0; i < len(pic.Pix); i += 3 {
			q := pic.Pix[i : i+3]
			q[0], q[1], q[2] = apply(&m, q[0], q[1], q[2])
		}
	}
	return pic
}

// addRow adds one full row of device codes, as light, to the sums of the blocks
// it runs through; the first block is first pixels wide, the others f.
func addRow(sums []block, codes []code, light *lightTables, clipped uint16, first, f int) {
	// Adding this carries into the top bit of every lane that is clipped; codes
	// stay below that bit.
	lift := lane * code(1<<15-clipped)
	for i := range sums {
		n := min(first, len(codes))
		sums[i].add(codes[:n], light, lift)
		codes, first = codes[n:], f
	}
}

// block is what has been added of a working pixel: light, and how many of its full
// pixels are clipped.
type block struct{ r, g, b, clipped uint64 }

// add is a function of its own to keep its sums in registers.
//
//go:noinline
func (s *block) add(run []code, light *lightTables, lift code) {
	var r, g, b, n uint64
	for _, c := range run {
		r += uint64(light[0][uint16(c)])
		g += uint64(light[1][uint16(c>>16)])
		b += uint64(light[2][uint16(c>>32)])
		if (c+lift)&(lane<<15) != 0 {
			n++
		}
	}
	s.r += r
	s.g += g
	s.b += b
	s.clipped += n
}

// light32 is toLinear for float32 pixels.
func (p *profile) light32() (m [9]float32) {
	for i, v := range p.toLinear {
		m[i] = float32(v)
	}
	return m
}

// apply takes device light to linear sRGB. The conversions keep processors with
// fused operations to the same bits.
func apply(m *[9]float32, r, g, b float32) (float32, float32, float32) {
	return float32(m[0]*r) + float32(m[1]*g) + float32(m[2]*b),
		float32(m[3]*r) + float32(m[4]*g) + float32(m[5]*b),
		float32(m[6]*r) + float32(m[7]*g) + float32(m[8]*b)
}
