package photo

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf16"

	"piecebag/internal/colour"
)

const unnamed = "unnamed"

// iccTags finds the tags of an ICC profile (ICC.1:2010, 7.2 and 7.3).
type iccTags struct{ data []byte }

// parseICC reads a matrix/TRC profile (ICC.1:2010, 8.3.3 and F.3) or a monochrome
// one (8.3.4 and F.2). The name is given even where the profile is refused.
func parseICC(data []byte) (p profile, err error) {
	p.name = unnamed
	if len(data) < 132 || string(data[36:40]) != "acsp" {
		return p, errors.New("it is damaged")
	}
	t := iccTags{data}
	p.name = cmp.Or(t.description(), unnamed)
	if string(data[20:24]) != "XYZ " {
		return p, errors.New("it is of a kind that is not supported")
	}
	switch space := string(data[16:20]); space {
	case "RGB ":
		return p, t.rgb(&p)
	case "GRAY":
		return p, t.grey(&p)
	default:
		return p, fmt.Errorf("it is for %s, not RGB", strings.TrimSpace(printable(space)))
	}
}

func (t iccTags) rgb(p *profile) error {
	var white colour.XYZ
	var col [3]colour.XYZ
	for i, name := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		b := t.tag(name)
		if len(b) < 20 {
			return errors.New("it is of a kind that is not supported")
		}
		for k := range col[i] {
			col[i][k] = fixed(b[8+4*k:])
			white[k] += col[i][k]
		}
	}
	for i, name := range []string{"rTRC", "gTRC", "bTRC"} {
		var err error
		if p.curve[i], err = parseCurve(t.tag(name)); err != nil {
			return err
		}
	}
	return p.setPrimaries(col, white)
}

func (t iccTags) grey(p *profile) error {
	c, err := parseCurve(t.tag("kTRC"))
	if err != nil {
		return err
	}
	p.curve = [3]curve{c, c, c}
	p.toLinear = identity
	p.grey = true
	return nil
}

// tag returns the bytes of a tag, or nil where it is absent or lies outside.
func (t iccTags) tag(name string) []byte {
	n := min(int64(binary.BigEndian.Uint32(t.data[128:])), int64(len(t.data)-132)/12)
	for i := range int(n) {
		e := t.data[132+12*i:]
		if string(e[:4]) != name {
			continue
		}
		off, size := int64(binary.BigEndian.Uint32(e[4:])), int64(binary.BigEndian.Uint32(e[8:]))
		if off+size > int64(len(t.data)) {
			return nil
		}
		return t.data[off : off+size]
	}
	return nil
}

// description returns the profile's name: desc of version 2 (ICC.1:2001, 6.5.17) or
// mluc of version 4 (ICC.1:2010, 10.13), its first record; "" where unreadable.
func (t iccTags) description() string {
	b := t.tag("desc")
	if len(b) < 28 {
		return ""
	}
	switch string(b[:4]) {
	case "desc":
		n := int64(binary.BigEndian.Uint32(b[8:]))
		s, _, _ := strings.Cut(string(b[12:min(12+n, int64(len(b)))]), "\x00")
		return printable(s)
	case "mluc":
		n, off := int64(binary.BigEndian.Uint32(b[20:])), int64(binary.BigEndian.Uint32(b[24:]))
		if off+n > int64(len(b)) {
			return ""
		}
		u := make([]uint16, n/2)
		for i := range u {
			u[i] = binary.BigEndian.Uint16(b[off+2*int64(i):])
		}
		return printable(string(utf16.Decode(u)))
	}
	return ""
}

// printable keeps a stranger's text fit for a terminal.
func printable(s string) string {
	out := make([]rune, 0, 64)
	for _, r := range s {
		if len(out) == cap(out) {
			break
		}
		if unicode.IsPrint(r) && r != unicode.ReplacementChar {
			out = append(out, r)
		}
	}
	return strings.TrimSpace(string(out))
}

// fixed returns an s15Fixed16Number.
func fixed(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }

// parseCurve reads a curveType (ICC.1:2010, 10.5) or a parametricCurveType (10.15).
func parseCurve(b []byte) (curve, error) {
	errCurve := errors.New("its tone curves are missing or damaged")
	if len(b) < 12 {
		return nil, errCurve
	}
	switch string(b[:4]) {
	case "curv":
		n := int64(binary.BigEndian.Uint32(b[8:]))
		if 12+2*n > int64(len(b)) {
			return nil, errCurve
		}
		v := make([]float64, n)
		for i := range v {
			v[i] = float64(binary.BigEndian.Uint16(b[12+2*i:]))
		}
		switch n {
		case 0:
			return func(x float64) float64 { return x }, nil
		case 1:
			return gamma(v[0] / 256), nil // u8Fixed8Number
		}
		return sampled(v), nil
	case "para":
		kind := int(binary.BigEndian.Uint16(b[8:]))
		counts := []int{1, 3, 4, 5, 7}
		if kind >= len(counts) || len(b) < 12+4*counts[kind] {
			return nil, errCurve
		}
		var q [7]float64
		for i := range counts[kind] {
			q[i] = fixed(b[12+4*i:])
		}
		return parametric(kind, q), nil
	}
	return nil, errCurve
}

func gamma(g float64) curve {
	return func(x float64) float64 { return math.Pow(x, g) }
}

// sampled runs straight between samples at equal steps, 65535 standing for 1.
func sampled(v []float64) curve {
	return func(x float64) float64 {
		p := x * float64(len(v)-1)
		i := min(int(p), len(v)-2)
		return (v[i] + (v[i+1]-v[i])*(p-float64(i))) / 65535
	}
}

// parametric is ICC.1:2010 table 65, every kind as Y = (aX+b)^g + e where X ≥ d,
// and cX + f below.
func parametric(kind int, q [7]float64) curve {
	g, a, b, c, d, e, f := q[0], q[1], q[2], q[3], q[4], q[5], q[6]
	switch kind {
	case 0:
		a, b, c, d, e, f = 1, 0, 0, 0, 0, 0
	case 1:
		c, d = 0, -b/a
	case 2:
		c, d, e, f = 0, -b/a, c, c
	}
	return func(x float64) float64 {
		if x >= d {
			return math.Pow(a*x+b, g) + e
		}
		return c*x + f
	}
}
