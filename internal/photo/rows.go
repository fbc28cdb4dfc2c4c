package photo

import (
	"fmt"
	"image"
	"image/color"
	"math"
)

// code is a pixel in device codes: R, G, B from 0 to rows.top. Those from YCbCr
// may run over at either end and mean the end.
type code struct{ r, g, b int16 }

// rows gives a decoded picture row by row, laid over white where it is
// transparent. Pictures of bytes have codes in quarter steps, so that what YCbCr
// holds between two steps of RGB is kept.
type rows struct {
	w, h     int
	channels int   // 1, 3, or 4 where the codes come from printing inks
	top      int16 // code of full scale
	clipped  int16 // codes from here on are the camera's top value
	read     func(y int, codes []code)
}

const (
	quarter = 4
	byteTop = 255 * quarter
	pairTop = 1<<15 - 1 // pictures of 16 bits lose the last
)

// newRows wraps what the decoders of this package return. studio says that YCbCr
// is in the range 16..235 of ITU-R BT.601, as in WebP (RFC 6386, 9.2), not in the
// full range of JFIF.
func newRows(img image.Image, studio bool) (rows, error) {
	b := img.Bounds()
	// A JPEG's clipped whites ring by a step, so the last step but one counts too.
	r := rows{w: b.Dx(), h: b.Dy(), channels: 3, top: byteTop, clipped: 254 * quarter}
	switch m := img.(type) {
	case *image.YCbCr:
		r.read = ycbcrRows(m, studio)
	case *image.NYCbCrA:
		under := ycbcrRows(&m.YCbCr, studio)
		r.read = func(y int, codes []code) {
			under(y, codes)
			for x, a := range m.A[y*m.AStride : y*m.AStride+r.w] {
				c := codes[x]
				codes[x] = code{overWhite(c.r, a), overWhite(c.g, a), overWhite(c.b, a)}
			}
		}
	case *image.Gray:
		r.channels = 1
		r.read = func(y int, codes []code) {
			for x, v := range m.Pix[y*m.Stride : y*m.Stride+r.w] {
				c := quarter * int16(v)
				codes[x] = code{c, c, c}
			}
		}
	case *image.Gray16:
		r.channels, r.top, r.clipped = 1, pairTop, pairTop
		r.read = func(y int, codes []code) {
			p := m.Pix[y*m.Stride:]
			for x := range r.w {
				c := int16(pair(p[2*x:]) >> 1)
				codes[x] = code{c, c, c}
			}
		}
	case *image.Paletted:
		r.read = palettedRows(m, r.w)
	case *image.RGBA: // premultiplied: white shows through by what alpha lacks
		r.read = func(y int, codes []code) {
			p := m.Pix[y*m.Stride:]
			for x := range r.w {
				q := p[4*x : 4*x+4]
				white := 255 - int16(q[3])
				at := func(v uint8) int16 { return quarter * min(255, int16(v)+white) }
				codes[x] = code{at(q[0]), at(q[1]), at(q[2])}
			}
		}
	case *image.NRGBA:
		r.read = func(y int, codes []code) {
			p := m.Pix[y*m.Stride:]
			for x := range r.w {
				q := p[4*x : 4*x+4]
				codes[x] = byteCode(q[0], q[1], q[2], q[3])
			}
		}
	case *image.RGBA64:
		r.top, r.clipped = pairTop, pairTop
		r.read = func(y int, codes []code) {
			p := m.Pix[y*m.Stride:]
			for x := range r.w {
				q := p[8*x : 8*x+8]
				white := 65535 - uint32(pair(q[6:]))
				at := func(b []byte) int16 { return int16(min(65535, uint32(pair(b))+white) >> 1) }
				codes[x] = code{at(q), at(q[2:]), at(q[4:])}
			}
		}
	case *image.NRGBA64:
		r.top, r.clipped = pairTop, pairTop
		r.read = func(y int, codes []code) {
			p := m.Pix[y*m.Stride:]
			for x := range r.w {
				q := p[8*x : 8*x+8]
				a := uint64(pair(q[6:]))
				at := func(b []byte) int16 { return int16((uint64(pair(b))*a + 65535*(65535-a)) / 65535 >> 1) }
				codes[x] = code{at(q), at(q[2:]), at(q[4:])}
			}
		}
	case *image.CMYK: // 255 is full ink, and black lies over the colours
		r.channels = 4
		r.read = func(y int, codes []code) {
			p := m.Pix[y*m.Stride:]
			for x := range r.w {
				q := p[4*x : 4*x+4]
				at := func(ink uint8) int16 {
					return int16((quarter*int32(255-ink)*int32(255-q[3]) + 127) / 255)
				}
				codes[x] = code{at(q[0]), at(q[1]), at(q[2])}
			}
		}
	default:
		return rows{}, because(ErrUnsupported, fmt.Errorf("decoded as %T", img))
	}
	if b.Min != (image.Point{}) {
		return rows{}, because(ErrCorrupt, fmt.Errorf("decoded at %v", b.Min))
	}
	return r, nil
}

func pair(b []byte) uint16 { return uint16(b[0])<<8 | uint16(b[1]) }

// overWhite lays a code of opacity a over white, in device codes as browsers and
// editors do.
func overWhite(code int16, a uint8) int16 {
	if a == 255 {
		return code
	}
	return int16((int32(code)*int32(a) + byteTop*int32(255-a) + 127) / 255)
}

// byteCode is the code of a byte colour of opacity a.
func byteCode(r, g, b, a uint8) code {
	return code{overWhite(quarter*int16(r), a), overWhite(quarter*int16(g), a), overWhite(quarter*int16(b), a)}
}

func palettedRows(m *image.Paletted, w int) func(int, []code) {
	var codes [256]code // an index beyond the palette is black
	for i, c := range m.Palette {
		q := color.NRGBAModel.Convert(c).(color.NRGBA)
		codes[i] = byteCode(q.R, q.G, q.B, q.A)
	}
	return func(y int, out []code) {
		for x, v := range m.Pix[y*m.Stride : y*m.Stride+w] {
			out[x] = codes[v]
		}
	}
}

// chroma holds what each value of Y, Cb and Cr adds to R, G and B in quarter
// steps; the parts of G have five more bits, for they are added before rounding.
type chroma struct{ luma, crR, crG, cbG, cbB [256]int16 }

// newChroma is ITU-T T.871 (JFIF), section 7, or BT.601 with its studio range.
func newChroma(studio bool) *chroma {
	var t chroma
	black, lumaScale, chromaScale := 0.0, 1.0, 1.0
	if studio {
		black, lumaScale, chromaScale = 16, 255.0/219, 255.0/224
	}
	// BT.601 luma: R' .299, G' .587, B' .114; Cr spans 2(1-.299), Cb 2(1-.114).
	const kr, kg, kb = 0.299, 0.587, 0.114
	const cr, cb = 2 * (1 - kr), 2 * (1 - kb)
	step := func(v float64) int16 { return int16(math.Round(v)) }
	for i := range 256 {
		d := quarter * chromaScale * float64(i-128)
		t.luma[i] = step(quarter * lumaScale * (float64(i) - black))
		t.crR[i], t.cbB[i] = step(cr*d), step(cb*d)
		t.crG[i], t.cbG[i] = step(-32*cr*kr/kg*d), step(-32*cb*kb/kg*d)
	}
	return &t
}

func ycbcrRows(m *image.YCbCr, studio bool) func(int, []code) {
	t := newChroma(studio)
	w := m.Rect.Dx()
	shift := 0
	switch m.SubsampleRatio {
	case image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420:
		shift = 1
	case image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410:
		shift = 2
	}
	return func(y int, codes []code) {
		luma := m.Y[y*m.YStride : y*m.YStride+w]
		c := m.COffset(0, y)
		cbs, crs := m.Cb[c:], m.Cr[c:]
		x := 0
		if shift == 1 { // nearly every photo
			for i, cb := range cbs[:w/2] {
				r, g, b := t.at(cb, crs[i])
				l := luma[2*i : 2*i+2 : 2*i+2]
				q := codes[2*i : 2*i+2 : 2*i+2]
				u, v := t.luma[l[0]], t.luma[l[1]]
				q[0], q[1] = code{u + r, u + g, u + b}, code{v + r, v + g, v + b}
			}
			x = w &^ 1
		}
		for ; x < w; x++ {
			r, g, b := t.at(cbs[x>>shift], crs[x>>shift])
			l := t.luma[luma[x]]
			codes[x] = code{l + r, l + g, l + b}
		}
	}
}

// at is what a pair of Cb and Cr adds to R, G and B.
func (t *chroma) at(cb, cr uint8) (r, g, b int16) {
	return t.crR[cr], (t.crG[cr] + t.cbG[cb] + 16) >> 5, t.cbB[cb]
}
