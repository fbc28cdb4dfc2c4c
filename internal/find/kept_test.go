package find

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/testtable"
)

// rounded are numbers to so many thousandths.
func rounded(v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = math.Round(v[i]*1e4) / 1e4
	}
	return out
}

// part is a part of a sample photo, in working pixels.
func part(t testing.TB, name string, x0, y0, w, h int) *cloth.Picture {
	p := open(t, name)
	q := &cloth.Picture{W: w, H: h, FullW: w, FullH: h, Shrink: 1}
	for y := y0; y < y0+h; y++ {
		q.Pix = append(q.Pix, p.Pix[3*(y*p.W+x0):3*(y*p.W+x0+w)]...)
	}
	return q
}

// What is said of some small pictures is kept: each piece's area and middle, its corners,
// trust and signs.
func TestKeptOfSmallPictures(t *testing.T) {
	type said struct {
		Corners     int
		Area, Trust float64
		Middle      []float64
		Signs       []float64
	}
	for _, c := range []struct {
		name, photo string
		x, y        int
		o           Options
	}{
		{"table", "table.jpg", 300, 200, Options{}},
		{"heap", "heap.jpg", 400, 300, Options{}},
		{"heap-all", "heap.jpg", 400, 300, Options{Kind: cloth.Spread, All: true}},
		{"stack", "first-basket.jpg", 300, 300, Options{Kind: cloth.Stack}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Find(part(t, c.photo, c.x, c.y, 260, 200), c.o)
			require.NoError(t, err)
			var out []said
			for i, g := range r.Regions {
				m := g.Polygon.Centroid()
				out = append(out, said{len(g.Corners), math.Round(g.Polygon.Area()), rounded([]float64{g.Trust})[0], []float64{math.Round(m.X), math.Round(m.Y)}, rounded(r.Signs[i])})
			}
			count := func(mask []uint8) (n int) {
				for _, v := range mask {
					n += int(v) / 255
				}
				return n
			}
			testtable.Kept(t, c.name, map[string]any{"kind": r.Kind, "regions": out, "left": len(r.Left), "ground": count(r.Ground), "paper": count(r.Paper), "labels": count(r.Labels)}, 0.01)
		})
	}
}

// Each sign of two fragments is kept, of all pairs of a drawn heap: stripes that go on
// beyond a piece over them, a band askew, a like colour in another light, and one of another hue.
func TestKeptSignsOfFragments(t *testing.T) {
	rows := big(12, "aaa.....", "aaabbcce", "aaabbcce", "dd.bb.ee", "dddbb.ee")
	for y, row := range rows { // two ends of a band that lies askew
		line := []byte(row)
		for x := range line {
			if off := x - 2*y; off > 0 && off < 26 && y < 40 && y/16 != 1 {
				line[x] = byte('f' + y/32)
			}
		}
		rows[y] = string(line)
	}
	v := drawn(700, rows...)
	for letter, rgb := range map[byte][3]uint8{'a': {180, 60, 50}, 'b': {40, 60, 160}, 'c': {150, 48, 42}, 'd': {200, 120, 60}, 'e': {184, 66, 70}, 'f': {90, 140, 80}, 'g': {90, 140, 80}} {
		v.paint(rows, letter, rgb)
	}
	out := map[string][]float64{}
	for _, kind := range []cloth.Kind{cloth.Pile, cloth.Board} {
		j := joinerOf(v, kind)
		for a := int32(1); int(a) <= j.n; a++ {
			for b := a + 1; int(b) <= j.n; b++ {
				if s := j.signs(a, b); s != nil {
					name := string(kind) + " " + string(rune('a'+a-1)) + string(rune('a'+b-1))
					out[name] = append(rounded(s), rounded([]float64{j.chance(s)})...)
				}
			}
		}
	}
	testtable.Kept(t, "signs", out, 1e-3)
}
