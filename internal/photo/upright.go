package photo

import (
	"image"
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
	data, err := readFile(path)
	if err == nil {
		var out *image.NRGBA
		if out, err = upright(data, maxSide); err == nil {
			return out, nil
		}
	}
	return nil, refuse(path, err)
}

func upright(data []byte, maxSide int) (out *image.NRGBA, err error) {
	defer caught(&err)
	h, err := readHeader(data)
	if err != nil {
		return nil, err
	}
	if err := h.check(0); err != nil {
		return nil, err
	}
	d, err := decode(data, h)
	if err != nil {
		return nil, err
	}
	out = d.rows.bytes()
	if maxSide > 0 && max(d.rows.w, d.rows.h) > maxSide {
		out = imaging.Fit(out, maxSide, maxSide, imaging.Lanczos)
	}
	d.profile.toSRGB(out)
	return d.turn.apply(out), nil
}

// bytes returns the whole picture in device codes of 8 bits.
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

// apply turns a stored picture upright.
func (t turn) apply(m *image.NRGBA) *image.NRGBA {
	if t <= 1 {
		return m
	}
	sw, sh := m.Rect.Dx(), m.Rect.Dy()
	w, h := t.size(sw, sh)
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	base, dx, dy := t.place(sw, sh)
	for y := range sh {
		for x := range sw {
			at := 4 * (base + x*dx + y*dy)
			copy(out.Pix[at:at+4], m.Pix[m.PixOffset(x, y):])
		}
	}
	return out
}
