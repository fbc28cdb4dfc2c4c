package photo

import (
	"iter"
	"runtime"
	"sync"
	"sync/atomic"

	"piecebag/internal/cloth"
)

// workingSide is about how many pixels the long side of a working picture has.
const workingSide = 1200

// factor is how many full pixels a working pixel spans, each way.
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
	inParallel(sh, func(numbers iter.Seq[int]) {
		codes := make([]code, src.w)
		sums := make([]uint64, 3*sw)
		clips := make([]int32, sw)
		for j := range numbers {
			clear(sums)
			clear(clips)
			y0, y1 := edge(j, firstY, src.h), edge(j+1, firstY, src.h)
			for y := y0; y < y1; y++ {
				src.read(y, codes)
				addRow(sums, clips, codes, light, src.clipped, firstX, f)
			}
			for i := range sw {
				n := (y1 - y0) * (edge(i+1, firstX, src.w) - edge(i, firstX, src.w))
				at := base + i*dx + j*dy
				for c, sum := range sums[3*i : 3*i+3] {
					pic.Pix[3*at+c] = float32(float64(sum) / (lightUnit * float64(n)))
				}
				pic.Clipped[at] = uint8((255*int(clips[i]) + n/2) / n)
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
func addRow(sums []uint64, clips []int32, codes []code, light [3]*lightTable, clipped uint16, first, f int) {
	lr, lg, lb := light[0], light[1], light[2]
	// Adding this carries into the top bit of every lane that is clipped; codes
	// stay below that bit.
	lift := lane * code(1<<15-clipped)
	for i := range clips {
		run := codes[:min(first, len(codes))]
		codes = codes[len(run):]
		var r, g, b uint64
		n := int32(0)
		for _, c := range run {
			r += uint64(lr[uint16(c)])
			g += uint64(lg[uint16(c>>16)])
			b += uint64(lb[uint16(c>>32)])
			if (c+lift)&(lane<<15) != 0 {
				n++
			}
		}
		s := sums[3*i : 3*i+3]
		s[0] += r
		s[1] += g
		s[2] += b
		clips[i] += n
		first = f
	}
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

// inParallel lets several workers draw the numbers 0..n-1, each number once. A
// worker's panic is passed on to the caller.
func inParallel(n int, work func(numbers iter.Seq[int])) {
	var drawn atomic.Int64
	numbers := func(yield func(int) bool) {
		for i := int(drawn.Add(1)) - 1; i < n && yield(i); i = int(drawn.Add(1)) - 1 {
		}
	}
	var wg sync.WaitGroup
	var failed atomic.Value
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					failed.Store(panicError{r})
				}
			}()
			work(numbers)
		})
	}
	wg.Wait()
	if r := failed.Load(); r != nil {
		panic(r)
	}
}
