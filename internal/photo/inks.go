package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"math"

	"github.com/kovidgoyal/imaging/prism/meta/icc"
)

// inks take printing inks to sRGB by a colour profile: a table in four dimensions,
// evenly spaced, between whose points it runs straight.
type inks struct {
	name  string
	table [][3]float32 // sRGB, 0..1 within its gamut; cyan runs slowest, then magenta, yellow, black
}

// inkSteps are the table's points along each ink: 0, 15, 30 … 255. A profile's own
// table has 9 to 17.
const (
	inkSteps = 18
	inkStep  = 255 / (inkSteps - 1)
)

// honour has the codes of a picture of inks go by its colour profile. They are sRGB
// in any case; the profile has the name of the one applied.
func (r *rows) honour(data []byte, m *image.CMYK) (p profile, note string) {
	const byFormula = "; its printing inks are turned to colours by the plain formula, which may be far off"
	p = sRGB()
	if data == nil {
		return p, "no colour profile" + byFormula
	}
	k, err := parseInks(data)
	if err != nil {
		return p, "its colour profile, " + k.name + ", cannot be used: " + err.Error() + byFormula
	}
	r.read, p.name = k.rows(m), k.name
	return p, ""
}

// parseInks reads an ICC profile for CMYK: relative colorimetric, its table A2B1 or
// else A2B0 (ICC.1:2010, 8.10.2), without black point compensation, for a piece's
// colour is to be measured. The name is given even where the profile is refused.
func parseInks(data []byte) (k *inks, err error) {
	p, err := parseICC(data) // refuses it, but finds the name
	k = &inks{name: p.name}
	if len(data) < 132 {
		return k, err
	}
	if space := string(data[16:20]); space != "CMYK" {
		return k, errors.New("it is not for printing inks")
	}
	if !wellFormed(data) {
		return k, errDamagedProfile
	}
	defer func() {
		if recover() != nil { // the reader trusts the tables' own sizes
			err = errDamagedProfile
		}
	}()
	profile, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return k, errDamagedProfile
	}
	to, err := profile.CreateTransformerToSRGB(icc.RelativeColorimetricRenderingIntent, false, 4, false, false, true)
	if err != nil {
		return k, errors.New("it is of a kind that is not supported")
	}
	k.table = make([][3]float32, 0, inkSteps*inkSteps*inkSteps*inkSteps)
	in, out := make([]float64, 4), make([]float64, 4) // both are written over
	for i := range cap(k.table) {
		for n, left := 3, i; n >= 0; n, left = n-1, left/inkSteps {
			in[n] = float64(left%inkSteps) / (inkSteps - 1)
		}
		to.TransformGeneral(out, in)
		var c [3]float32
		for n := range c {
			if math.IsNaN(out[n]) {
				return k, errDamagedProfile
			}
			c[n] = float32(out[n])
		}
		k.table = append(k.table, c)
	}
	return k, nil
}

var errDamagedProfile = errors.New("it is damaged")

// wellFormed reports whether every tag lies within the profile.
func wellFormed(data []byte) bool {
	n := int64(binary.BigEndian.Uint32(data[128:]))
	head := 132 + 12*n
	if head > int64(len(data)) {
		return false
	}
	for i := range n {
		e := data[132+12*i:]
		at, size := int64(binary.BigEndian.Uint32(e[4:])), int64(binary.BigEndian.Uint32(e[8:]))
		if at < head || at+size > int64(len(data)) {
			return false
		}
	}
	return true
}

// rows reads a picture of inks (255 is full ink) as codes of sRGB.
func (k *inks) rows(m *image.CMYK) func(int, []code) {
	const top = quarter * 255
	return func(y int, codes []code) {
		row := m.Pix[y*m.Stride:]
		var last [4]byte
		var same code
		for x := range codes {
			p := [4]byte(row[4*x : 4*x+4])
			if x == 0 || p != last {
				c := k.at(p)
				at := func(v float32) uint16 { return byteBlack + uint16(min(1, max(0, v))*top+0.5) }
				last, same = p, pack(at(c[0]), at(c[1]), at(c[2]))
			}
			codes[x] = same
		}
	}
}

// at returns a colour within the table's cell round it: straight in each of the 24
// simplices that its diagonal parts the cell into, as in Kasson, Nin, Plouffe and
// Hafner 1995, "Performing color space conversions with three-dimensional linear
// interpolation", in one dimension more.
func (k *inks) at(p [4]byte) (c [3]float32) {
	type step struct {
		part   float32 // of the way through the cell
		stride int
	}
	var steps [4]step
	at, stride := 0, 1
	for n := 3; n >= 0; n-- {
		i := min(int(p[n])/inkStep, inkSteps-2)
		steps[n] = step{float32(int(p[n])-i*inkStep) / inkStep, stride}
		at += i * stride
		stride *= inkSteps
	}
	for _, pair := range [5][2]int{{0, 1}, {2, 3}, {0, 2}, {1, 3}, {1, 2}} { // the largest part first
		if a, b := &steps[pair[0]], &steps[pair[1]]; a.part < b.part {
			*a, *b = *b, *a
		}
	}
	left := float32(1)
	for n := range 5 {
		next := float32(0)
		if n < 4 {
			next = steps[n].part
		}
		q, w := &k.table[at], left-next
		c[0] += float32(w * q[0])
		c[1] += float32(w * q[1])
		c[2] += float32(w * q[2])
		if n < 4 {
			at += steps[n].stride
		}
		left = next
	}
	return c
}
