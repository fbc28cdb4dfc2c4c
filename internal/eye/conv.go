package eye

import (
	"math"
	"unsafe"

	"piecebag/internal/raster"
)

// actTop is the largest activation: 13 bits, so that the int32 sums of a 3 × 3
// convolution over 256 channels hold. The training program has the same number.
const actTop = 8191

// group is what the channels of a tensor are a multiple of.
const group = 8

// beyond is how many pixels a kernel may read past the end of a tensor.
const beyond = 32

// kernel computes so many outputs (lanes) of so many pixels of a row at once.
type kernel struct {
	name          string
	lanes, pixels int
	run           func(*patch)
}

// best is the kernel in use: the first of kernels, or none, and then plain Go
// does its work.
var best = append(kernels, kernel{name: "plain Go", lanes: group})[0]

// tensor is a picture of h × w pixels and c channels of int16, from row top on, with
// one pixel of zeros round it: pixel (x, y) starts at d[at(x, y)].
type tensor struct {
	h, w, c, top int
	d            []int16
}

func (t *tensor) at(x, y int) int { return ((y-t.top+1)*(t.w+2) + x + 1) * t.c }

// room returns how many numbers a picture of this size takes: it, its border, and what
// the kernels read beyond.
func room(h, w, c int) int { return ((h+2)*(w+2) + beyond) * c }

// shape makes t a picture of this size, its border zero; the rest is whatever
// was there before.
func (t *tensor) shape(h, w, c int) *tensor {
	if n := room(h, w, c); cap(t.d) < n {
		t.d = make([]int16, n)
	} else if t.h != h || t.w != w || t.c != c {
		t.d = t.d[:n]
		row := (w + 2) * c
		clear(t.d[:row+c])
		for y := 1; y <= h; y++ {
			clear(t.d[(y+1)*row-c:][:2*c]) // the end of a row and the beginning of the next
		}
		clear(t.d[(h+1)*row:][:row])
	}
	t.h, t.w, t.c = h, w, c
	return t
}

// conv is one convolution, k × k, with the batch norm folded in:
// output = round(sum · scale + bias), sum in int32, the rest in float32 with
// each step rounded. That is the same on every processor.
type conv struct {
	in, out, k, stride int
	kernel
	// weights lie as the kernel reads them: blocks of lanes outputs; in a block
	// row by row, in a row pairs of inputs (across the k pixels), of a pair both
	// weights of each output. What is missing in the last block is zero.
	weights     []int16
	scale, bias []float32 // of whole blocks, too
}

// newConv packs weights that come as out × k × k × in. Outputs are filled up to
// whole groups with zeros.
func newConv(in, out, k, stride int, raw []int8, scale, bias []float32) *conv {
	lanes, row := best.lanes, k*in
	full := (out + lanes - 1) / lanes * lanes
	c := &conv{
		in: in, out: (out + group - 1) / group * group, k: k, stride: stride, kernel: best,
		weights: make([]int16, full*k*row), scale: make([]float32, full), bias: make([]float32, full),
	}
	copy(c.scale, scale)
	copy(c.bias, bias)
	for o := range out {
		from, to := raw[o*k*row:][:k*row], c.weights[o/lanes*k*row*lanes+o%lanes*2:]
		for i := 0; i+1 < len(from); i += 2 {
			to[i*lanes], to[i*lanes+1] = int16(from[i]), int16(from[i+1])
		}
	}
	return c
}

// patch is what a kernel computes: some outputs of some pixels in a row. Sizes
// are in bytes. The assembly knows the offsets.
type patch struct {
	dst, src, weights unsafe.Pointer
	dstPixel          uintptr
	srcPixel, srcRow  uintptr
	pairs, rows       uintptr
	scale, bias       unsafe.Pointer
	res               unsafe.Pointer // added before the limits; laid out like dst; or nil
	lo, hi            uintptr        // the limits, two int16 each
	pixels            uintptr        // how many of the kernel's are stored
	mask              uintptr        // and which of its lanes, a bit each
}

// run convolves in into out: plus res where it is not nil, at least 0 where
// relu is set. Out may be res.
func (c *conv) run(out, in, res *tensor, relu bool) {
	raster.Rows(out.h, func(y0, y1 int) { c.rows(out, in, res, relu, y0, y1) })
}

// rows is run for rows y0 to y1 of out.
func (c *conv) rows(out, in, res *tensor, relu bool, y0, y1 int) {
	lo := int32(-actTop)
	if relu {
		lo = 0
	}
	if c.kernel.run == nil {
		c.plain(out, in, res, lo, y0, y1)
	} else {
		c.fast(out, in, res, lo, y0, y1)
	}
}

// fast runs the kernel over rows y0 to y1. What the last patch of a row computes
// past its end is not stored.
func (c *conv) fast(out, in, res *tensor, lo int32, y0, y1 int) {
	both := func(v int32) uintptr { return uintptr(uint32(uint16(v)) * 0x10001) }
	p := patch{
		dstPixel: uintptr(2 * c.out), srcPixel: uintptr(2 * c.in * c.stride), srcRow: uintptr(2 * c.in * (in.w + 2)),
		pairs: uintptr(c.k * c.in / 2), rows: uintptr(c.k), lo: both(lo), hi: both(actTop),
	}
	for y := y0; y < y1; y++ {
		for o := 0; o < c.out; o += c.lanes {
			p.mask = 1<<min(c.lanes, c.out-o) - 1
			p.weights = unsafe.Pointer(&c.weights[o*c.k*c.k*c.in])
			p.scale, p.bias = unsafe.Pointer(&c.scale[o]), unsafe.Pointer(&c.bias[o])
			for x := 0; x < out.w; x += c.pixels {
				p.pixels = uintptr(min(c.pixels, out.w-x))
				at := out.at(x, y) + o
				p.src = unsafe.Pointer(&in.d[in.at(x*c.stride-c.k/2, y*c.stride-c.k/2)])
				p.dst = unsafe.Pointer(&out.d[at])
				if res != nil {
					p.res = unsafe.Pointer(&res.d[at])
				}
				c.kernel.run(&p)
			}
		}
	}
}

// plain is fast in Go: two pixels and all lanes at a time would spill, so four
// outputs of two pixels.
func (c *conv) plain(out, in, res *tensor, lo int32, y0, y1 int) {
	lanes, row, step := c.lanes, c.k*c.in, in.c*(in.w+2)
	for y := y0; y < y1; y++ {
		for x := 0; x < out.w; x += 2 {
			done := x - min(x, out.w-2) // of the last two, where the width is odd
			x -= done
			left := in.at(x*c.stride-c.k/2, y*c.stride-c.k/2)
			for o := 0; o < c.out; o += 4 {
				var a, b [4]int32
				w := c.weights[o/lanes*lanes*c.k*row+o%lanes*2:]
				for ky := range c.k {
					p := in.d[left+ky*step:][:row]
					q := in.d[left+ky*step+in.c*c.stride:][:row]
					for i := 0; i+1 < row; i += 2 {
						v := w[(ky*row+i)*lanes:][:8]
						p0, p1, q0, q1 := int32(p[i]), int32(p[i+1]), int32(q[i]), int32(q[i+1])
						a[0] += p0*int32(v[0]) + p1*int32(v[1])
						a[1] += p0*int32(v[2]) + p1*int32(v[3])
						a[2] += p0*int32(v[4]) + p1*int32(v[5])
						a[3] += p0*int32(v[6]) + p1*int32(v[7])
						b[0] += q0*int32(v[0]) + q1*int32(v[1])
						b[1] += q0*int32(v[2]) + q1*int32(v[3])
						b[2] += q0*int32(v[4]) + q1*int32(v[5])
						b[3] += q0*int32(v[6]) + q1*int32(v[7])
					}
				}
				for n, sums := range [2][4]int32{a, b} {
					if n < done {
						continue
					}
					at := out.at(x+n, y) + o
					for j, s := range sums {
						v := int32(math.RoundToEven(float64(float32(float32(s)*c.scale[o+j]) + c.bias[o+j])))
						if res != nil {
							v += int32(res.d[at+j])
						}
						out.d[at+j] = int16(max(lo, min(actTop, v)))
					}
				}
			}
		}
	}
}
