package photo

import (
	"image"
	"io"
	"iter"
	"math"

	"github.com/disintegration/imaging"

	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

// Upright reads the photo at path for showing: upright, in sRGB of 8 bits, opaque,
// and shrunk so that its longer side is at most maxSide pixels (0 for full size).
// The error is a *fault.Error.
func Upright(path string, maxSide int) (*image.NRGBA, error) {
	var out *image.NRGBA
	err := withFile(path, func(r io.ReaderAt, size int64) (err error) {
		defer caught(&err)
		h, err := readHeader(r, size)
		if err != nil {
			return err
		}
		if err := h.check(0); err != nil {
			return err
		}
		d, err := decode(r, size, h)
		if err != nil {
			return err
		}
		out = d.rows.bytes()
		if maxSide > 0 && max(d.rows.w, d.rows.h) > maxSide {
			out = imaging.Fit(out, maxSide, maxSide, imaging.Lanczos)
		}
		d.profile.toSRGB(out)
		out = d.turn.apply(out)
		return nil
	})
	if err != nil {
		return nil, refuse(path, err)
	}
	return out, nil
}

// bytes gives the whole picture in device codes of 8 bits.
func (r rows) bytes() *image.NRGBA {
	var table [1 << 16]uint8
	span := int(r.white) - int(r.black)
	for i := range table {
		v := max(0, min(i-int(r.black), span))
		table[i] = uint8((2*255*v + span) / (2 * span))
	}
	out := image.NewNRGBA(image.Rect(0, 0, r.w, r.h))
	raster.Each(r.h, func(numbers iter.Seq[int]) {
		codes := make([]code, r.w)
		for y := range numbers {
			r.read(y, codes)
			p := out.Pix[y*out.Stride : y*out.Stride+4*r.w]
			for x, c := range codes {
				q := p[4*x : 4*x+4 : 4*x+4]
				r, g, b := c.rgb()
				q[0], q[1], q[2], q[3] = table[r], table[g], table[b], 255
			}
		}
	})
	return out
}

// toSRGB converts device codes of 8 bits to sRGB in place; colours outside the
// gamut go to its edge.
func (p *profile) toSRGB(m *image.NRGBA) {
	if p.srgb {
		return
	}
	light := p.tables(0, 255)
	matrix := p.light32()
	const steps = 1 << 14 // a step is a fifth of a code where the curve is steepest
	var encode [steps + 1]uint8
	for i := range encode {
		encode[i] = uint8(math.Round(255 * colour.EncodeSRGB(float64(i)/steps)))
	}
	at := func(v float32) uint8 { return encode[int(max(0, min(v, 1))*steps+0.5)] }
	unit := func(v uint32) float32 { return float32(v) / lightUnit }
	raster.Each(m.Rect.Dy(), func(numbers iter.Seq[int]) {
		for y := range numbers {
			row := m.Pix[y*m.Stride : y*m.Stride+4*m.Rect.Dx()]
			for i := 0; i+3 < len(row); i += 4 {
				q := row[i : i+4]
				r, g, b := apply(&matrix, unit(light[0][q[0]]), unit(light[1][q[1]]), unit(light[2][q[2]]))
				q[0], q[1], q[2] = at(r), at(g), at(b)
			}
		}
	})
}

// apply turns a stored picture upright; imaging turns against the clock.
func (t turn) apply(m *image.NRGBA) *image.NRGBA {
	switch t {
	case 2:
		return imaging.FlipH(m)
	case 3:
		return imaging.Rotate180(m)
	case 4:
		return imaging.FlipV(m)
	case 5:
		return imaging.Transpose(m)
	case 6:
		return imaging.Rotate270(m)
	case 7:
		return imaging.Transverse(m)
	case 8:
		return imaging.Rotate90(m)
	}
	return m
}
