package look

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/family"
	"piecebag/internal/geom"
	"piecebag/internal/palette"
)

// mirrored is a larger cloth of a swatch, mirrored at its edges.
func mirrored(p *cloth.Picture, side int) *cloth.Picture {
	fold := func(i, n int) int {
		if i %= 2 * n; i >= n {
			return 2*n - 1 - i
		}
		return i
	}
	q := &cloth.Picture{W: side, H: side, Shrink: 1, FullW: side, FullH: side}
	for y := range side {
		for x := range side {
			at := 3 * (fold(y, p.H)*p.W + fold(x, p.W))
			q.Pix = append(q.Pix, p.Pix[at:at+3]...)
		}
	}
	return q
}

// One cloth has one name, however it is cut: squares and strips of many sizes, from
// anywhere and turned any way. Pieces that are known to be of one print agree, unless
// one says nothing of what the others say.
func TestOneClothHasOneNameHoweverItIsCut(t *testing.T) {
	if testing.Short() {
		t.Skip("cuts some forty cloths into pieces")
	}
	const inch, side = 25, 400 // pixels
	sizes := [][2]float64{{1.5, 1.5}, {2, 2}, {2.5, 2.5}, {3.5, 3.5}, {5, 5}, {1.5, 9}, {2.5, 9}, {1, 6}}
	var meter palette.Meter
	alone, agreed, pieces := 0, 0, 0
	for i, s := range readSwatches(t) {
		design, _, drawn := strings.Cut(s.name, "-")
		if !drawn && i%4 != 0 || drawn && !strings.Contains("plaid gingham check stripes diamonds chevron", design) {
			continue
		}
		r := rand.New(rand.NewPCG(1, uint64(i)))
		wide := mirrored(s.photo, side)
		var read []*family.Reading
		var areas []float64
		for k := range 2 * len(sizes) {
			w, h := inch/2.0*sizes[k/2][0], inch/2.0*sizes[k/2][1]
			reach := math.Hypot(w, h)
			x, y, turn := reach+r.Float64()*(side-2*reach), reach+r.Float64()*(side-2*reach), r.Float64()*math.Pi
			sin, cos := math.Sincos(turn)
			var p geom.Polygon
			for _, c := range [][2]float64{{-w, -h}, {w, -h}, {w, h}, {-w, h}} {
				p = append(p, geom.Point{X: x + c[0]*cos - c[1]*sin, Y: y + c[0]*sin + c[1]*cos})
			}
			m, err := meter.Measure(wide, p, 1)
			require.NoError(t, err)
			got := family.Uncertainty{}.OfPrint(m.Colours, m.Mean)
			read, areas = append(read, &got), append(areas, p.Area())
		}
		pieces += len(read)
		alone += odd(read)
		family.Agree(read, areas)
		if n := odd(read); n > 0 {
			agreed += n
			t.Logf("%s: %d of %d pieces go by another name", s.name, n, len(read))
		}
	}
	t.Logf("of %d pieces %d differ from most of their cloth, %d once they agree", pieces, alone, agreed)
	require.LessOrEqual(t, alone, pieces*11/100)
	require.LessOrEqual(t, agreed, pieces*2/100)
}

// odd is how many go by another name than most do.
func odd(read []*family.Reading) int {
	count := map[cloth.Family]int{}
	most := 0
	for _, r := range read {
		count[r.Family]++
		most = max(most, count[r.Family])
	}
	return len(read) - most
}
