package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
	"piecebag/internal/testtable"
)

const goldenFolder = "../../testdata/report"

// golden holds got against a file, which -update writes.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join(goldenFolder, name)
	if *testtable.Update {
		require.NoError(t, os.MkdirAll(goldenFolder, 0o755))
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "run the test with -update once")
	require.Equal(t, string(want), string(got))
}

func hex(r, g, b uint8) colour.Linear {
	return colour.SRGB{float64(r) / 255, float64(g) / 255, float64(b) / 255}.Linear()
}

// box is a rectangle of w × h about (x, y), turned by degrees.
func box(x, y, w, h, degrees float64) geom.Polygon {
	s, c := math.Sincos(degrees * math.Pi / 180)
	var g geom.Polygon
	for _, p := range [][2]float64{{-w / 2, -h / 2}, {w / 2, -h / 2}, {w / 2, h / 2}, {-w / 2, h / 2}} {
		g = append(g, geom.Point{X: x + p[0]*c - p[1]*s, Y: y + p[0]*s + p[1]*c})
	}
	return g
}

// measured is a piece of one colour, or of two in the given share.
func measured(id int, g geom.Polygon, f cloth.Family, c ...colour.Linear) cloth.Piece {
	p := cloth.Piece{
		ID: id, Polygon: g, Corners: g, Mean: c[0], ReadsAs: c[0], Family: f,
		Lightness: c[0].Lab().L, Trust: 0.95, Colours: []cloth.Ink{{Colour: c[0], Share: 1}},
	}
	p.Value = cloth.ValueOf(p.Lightness)
	if len(c) > 1 {
		p.Colours = []cloth.Ink{{Colour: c[0], Share: 0.6254}, {Colour: c[1], Share: 0.3746}}
	}
	return p
}

func sized(p cloth.Piece, w, l float64, cut string) cloth.Piece {
	p.WidthIn, p.LengthIn, p.Cut = w, l, cut
	return p
}

// someLook is two photos with pieces, one without, and one refused.
func someLook() Looked {
	navy, cream, rose, lime := hex(38, 52, 96), hex(240, 232, 214), hex(201, 84, 110), hex(150, 190, 60)
	gone := measured(7, geom.Polygon{{X: 60, Y: 420}, {X: 180, Y: 400}, {X: 120, Y: 540}}, cloth.Green, lime)
	gone.Corners, gone.Trust, gone.Notes = nil, 0.5, []string{"no rectangle", "an edge is covered"}
	first := cloth.Sheet{
		File: "bag/table.jpg", Width: 800, Height: 600, Kind: cloth.Spread,
		Light: cloth.LightReading{White: hex(205, 200, 192), From: "sheet", Trust: 0.9},
		Scale: cloth.ScaleReading{PxPerInch: 41.123, From: "card", Trust: 0.954},
		Pieces: []cloth.Piece{
			sized(measured(1, box(120, 100, 102.81, 102.81, 0), cloth.Blue, navy, cream), 2.5, 2.5, "2½ square"),
			sized(measured(2, box(300, 110, 102.8, 102.8, 12), cloth.White, cream), 2.49, 2.51, "2½ square"),
			sized(measured(3, box(480, 110, 102.8, 102.8, -30), cloth.Blue, navy), 2.5, 2.5, "2½ square"),
			sized(measured(4, box(640, 300, 61.7, 472.9, 4), cloth.Pink, rose), 1.5, 11.5, "1½ strip"),
			sized(measured(5, box(420, 300, 205.6, 82.2, 20), cloth.Blue, navy, rose), 2, 5, ""),
			sized(measured(6, box(240, 300, 102.8, 102.8, 3), cloth.White, cream), 2.5, 2.5, "2½ square"),
			gone,
		},
		Notes: []string{"one sheet of paper lies in view"},
		Left:  []cloth.LeftOut{{Polygon: box(300, 500, 80, 60, 10), Trust: 0.42}, {Polygon: box(480, 500, 60, 60, 0), Trust: 0.31}},
	}
	for i, print := range []string{"a", "b", "c", "d", "a", "b", ""} {
		first.Pieces[i].Print = print
		first.Pieces[i].Munsell = []string{"6.2PB 2.2/6.1", "2.5Y 9.2/1.8", "6.2PB 2.2/6.1", "2.5RP 5.1/11", "6.2PB 2.2/6.1", "2.5Y 9.2/1.8", "5GY 7/8"}[i]
	}
	unnamed := measured(2, box(500, 300, 150, 150, 0), "", hex(128, 128, 128))
	unnamed.Value, unnamed.Corners, unnamed.Colours = "", nil, nil
	second := cloth.Sheet{
		File: "=floor & <more>.jpg", Width: 800, Height: 600, Kind: cloth.Pile,
		Light: cloth.LightReading{White: hex(255, 214, 170), From: "estimate", Trust: 0.35},
		Pieces: []cloth.Piece{
			measured(1, box(200, 300, 150, 150, 45), cloth.Many, hex(140, 120, 110), rose),
			unnamed,
		},
	}
	third := cloth.Sheet{File: "bare\x1b[31m.jpg", Width: 400, Height: 300, Kind: cloth.Spread}
	l := inTyped(NewLook([]cloth.Sheet{first, second, third}, []Refused{{File: "bag/torn.jpg", Error: "the file ends before the picture does"}}, shelf.Options{Floor: 2}))
	l.Reader = "1-0a1b2c3d"
	return l
}

// paint draws the sheets' pieces in their mean colours on a grey table.
func paint(sheets []cloth.Sheet) Pictures {
	return func(i int) (image.Image, error) {
		s := sheets[i]
		m := image.NewNRGBA(image.Rect(0, 0, s.Width, s.Height))
		draw.Draw(m, m.Rect, image.NewUniform(color.NRGBA{120, 118, 112, 255}), image.Point{}, draw.Src)
		for _, p := range s.Pieces {
			c := p.Mean.Bytes()
			p.Polygon.Fill(s.Width, s.Height, func(y, x0, x1 int) {
				for x := x0; x < x1; x++ {
					m.SetNRGBA(x, y, color.NRGBA{c[0], c[1], c[2], 255})
				}
			})
		}
		return m, nil
	}
}

// bareLook is one photo in which nothing was found.
func bareLook() Looked {
	return NewLook([]cloth.Sheet{{File: "bare.jpg", Width: 400, Height: 300, Kind: cloth.Spread}}, nil, shelf.Options{})
}

// typed is how a door of commands words documents.
var typed = Wording{
	Listed: ": --json lists them all",
	Aims:   " by the aims of 'plan --help'",
	TakeIn: "; to take in what is cloth of that, add its point to the pieces that --json writes, and give the file with --pieces:",
	Mends: []Mend{
		{desk.OutlineDoubt, "an outline: draw it, or give a point in the piece, with --pieces"},
		{desk.FamilyDoubt, "a name: stow the photo, then 'piecebag fix NUMBER --family NAME'"},
	},
	OneWay: " Name its role with --one-way to be told how many.",
	Arrange: func(o Ordered) string {
		return fmt.Sprintf("%s --layout %dx%d --block %s", o.Recipe, o.Columns, o.Rows, o.Block)
	},
	Fixes: func(d desk.DoubtedIn) []string { return []string{fmt.Sprintf("mend %d", d.ID)} },
}

func inTyped(l Looked) Looked {
	l.Wording = typed
	return l
}
