package photo

import (
	"fmt"
	"image"
	"math"
)

// code is a pixel in device codes: R in the lowest 16 bits, then G, then B, each
// from rows.black to rows.white. Those from YCbCr may run over at either end and
// mean the end.
type code uint64

// lane is 1 in each of R, G and B.
const lane code = 1<<32 | 1<<16 | 1

func pack(r, g, b uint16) code { return code(r) | code(g)<<16 | code(b)<<32 }

func (c code) rgb() (r, g, b uint16) { return uint16(c), uint16(c >> 16), uint16(c >> 32) }

// rows gives a decoded picture row by row, laid over white where it is transparent.
type rows struct {
	w, h         int
	channels     int    // 1, 3, or 4 where the codes come from printing inks
	black, white uint16 // codes of nothing and of full scale
	clipped      uint16 // codes from here on are the camera's top value
	read         func(y int, codes []code)
}

// Pictures of bytes have codes in quarter steps, so that what YCbCr holds between
// two steps of RGB is kept, and begin high enough that no YCbCr falls below 0.
// Pictures of 16 bits lose the last, so that no lane runs over into the next.
const (
	quarter   = 4
	byteBlack = 2048
	byteWhite = byteBlack + 255*quarter
	pairWhite = 1<<15 - 1
)

// coding says what the codes of YCbCr, or of grey alone, mean.
type coding struct {
	luma   weights
	studio bool // 16..235, as ITU-R BT.601 has it, not the full range of a byte
}

// weights are what red and blue have in luma; green has the rest.
type weights struct{ r, b float64 }

// The weights of ITU-T H.273, table 4.
var (
	bt601  = weights{0.299, 0.114}
	bt709  = weights{0.2126, 0.0722}
	bt2020 = weights{0.2627, 0.0593}
)

// The codings of T.871 and of RFC 6386, 9.2.
var (
	jfif       = coding{luma: bt601}
	webpCoding = coding{luma: bt601, studio: true}
)

// newRows wraps what the decoders of this package return.
func newRows(img image.Image, coded coding) (rows, error) {
	b := img.Bounds()
	if b.Min != (image.Point{}) {
		return rows{}, because(ErrCorrupt, fmt.Errorf("decoded at %v", b.Min))
	}
	r := rows{w: b.Dx(), h: b.Dy(), channels: 3, black: byteBlack, white: byteWhite}
	// A JPEG's clipped whites ring by a step, so the last step but one counts too.
	r.clipped = byteWhite - quarter
	switch m := img.(type) {
	case *image.YCbCr:
		r.read = ycbcrRows(m, coded)
	case *image.NYCbCrA:
		under := ycbcrRows(&m.YCbCr, coded)
		r.read = func(y int, codes []code) {
			under(y, codes)
			for x, a := range m.A[y*m.AStride : y*m.AStride+r.w] {
				codes[x] = overWhite(codes[x], a)
			}
		}
	case *image.Gray:
		r.channels = 1
		t := newYCbCrTables(coded)
		for i := range t.luma {
			t.luma[i] += t.cb[128] + t.cr[128]
		}
		r.read = func(y int, codes []code) {
			for x, v := range m.Pix[y*m.Stride : y*m.Stride+r.w] {
				codes[x] = t.luma[v]
			}
		}
	case *image.RGBA: // premultiplied: white shows through by what alpha lacks
		r.read = func(y int, codes []code) {
			row := m.Pix[y*m.Stride:]
			for x := range codes {
				p := row[4*x : 4*x+4]
				white := 255 - p[3]
				codes[x] = byteCode(p[0]+white, p[1]+white, p[2]+white)
			}
		}
	case *image.NRGBA:
		r.read = func(y int, codes []code) {
			row := m.Pix[y*m.Stride:]
			for x := range codes {
				p := row[4*x : 4*x+4]
				codes[x] = overWhite(byteCode(p[0], p[1], p[2]), p[3])
			}
		}
	case *image.CMYK: // 255 is full ink, and black lies over the colours
		r.channels = 4
		r.read = func(y int, codes []code) {
			row := m.Pix[y*m.Stride:]
			for x := range codes {
				p := row[4*x : 4*x+4]
				left := quarter * uint32(255-p[3])
				at := func(ink uint8) uint16 { return byteBlack + uint16((uint32(255-ink)*left+127)/255) }
				codes[x] = pack(at(p[0]), at(p[1]), at(p[2]))
			}
		}
	case image.RGBA64Image: // of 16 bits, or of a palette: premultiplied too
		if _, grey := img.(*image.Gray16); grey {
			r.channels = 1
		}
		r.black, r.white, r.clipped = 0, pairWhite, pairWhite
		r.read = func(y int, codes []code) {
			for x := range codes {
				c := m.RGBA64At(x, y)
				white := 65535 - c.A
				codes[x] = pack((c.R+white)>>1, (c.G+white)>>1, (c.B+white)>>1)
			}
		}
	default:
		return rows{}, because(ErrUnsupported, fmt.Errorf("decoded as %T", img))
	}
	return r, nil
}

// byteCode returns the code of a byte colour.
func byteCode(r, g, b uint8) code {
	return pack(byteBlack+quarter*uint16(r), byteBlack+quarter*uint16(g), byteBlack+quarter*uint16(b))
}

// overWhite lays a code of bytes, of opacity a, over white, in device codes as
// browsers and editors do.
func overWhite(c code, a uint8) code {
	if a == 255 {
		return c
	}
	r, g, b := c.rgb()
	at := func(v uint16) uint16 { return uint16((uint32(v)*uint32(a) + byteWhite*uint32(255-a) + 127) / 255) }
	return pack(at(r), at(g), at(b))
}

// ycbcrTables holds what each value of Y, Cb and Cr adds to a code. Each part has
// its share of byteBlack, so that no lane falls below 0 and borrows from the next.
type ycbcrTables struct{ luma, cb, cr [256]code }

// newYCbCrTables is ITU-T H.273, 8.3, of which T.871 (JFIF), section 7, is a case.
func newYCbCrTables(coded coding) *ycbcrTables {
	black, lumaScale, chromaScale := 0.0, 1.0, 1.0
	if coded.studio {
		black, lumaScale, chromaScale = 16, 255.0/219, 255.0/224
	}
	kr, kb := coded.luma.r, coded.luma.b
	kg := 1 - kr - kb
	cr, cb := 2*(1-kr), 2*(1-kb) // what Cr and Cb span
	const lumaShare = byteBlack / 8
	const chromaShare = byteBlack - lumaShare
	lift := func(share, v float64) uint16 { return uint16(math.Round(share + v)) }
	var t ycbcrTables
	for i := range 256 {
		t.luma[i] = lane * code(lift(lumaShare, quarter*lumaScale*(float64(i)-black)))
		d := quarter * chromaScale * float64(i-128)
		t.cr[i] = pack(lift(chromaShare, cr*d), lift(chromaShare/2, -cr*kr/kg*d), 0)
		t.cb[i] = pack(0, lift(chromaShare/2, -cb*kb/kg*d), lift(chromaShare, cb*d))
	}
	return &t
}

func ycbcrRows(m *image.YCbCr, coded coding) func(int, []code) {
	t := newYCbCrTables(coded)
	shift := 0
	switch m.SubsampleRatio {
	case image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420:
		shift = 1
	case image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410:
		shift = 2
	}
	return func(y int, codes []code) {
		luma := m.Y[y*m.YStride : y*m.YStride+len(codes)]
		c := m.COffset(0, y)
		cbs, crs := m.Cb[c:], m.Cr[c:]
		x := 0
		if shift == 1 { // nearly every photo
			pairs := len(codes) / 2
			crs := crs[:pairs]
			for i, cb := range cbs[:pairs] {
				chroma := t.cb[cb] + t.cr[crs[i]]
				l := luma[2*i : 2*i+2 : 2*i+2]
				q := codes[2*i : 2*i+2 : 2*i+2]
				q[0], q[1] = t.luma[l[0]]+chroma, t.luma[l[1]]+chroma
			}
			x = 2 * pairs
		}
		for ; x < len(codes); x++ {
			codes[x] = t.luma[luma[x]] + t.cb[cbs[x>>shift]] + t.cr[crs[x>>shift]]
		}
	}
}
