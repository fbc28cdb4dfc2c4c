package desk

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/geom"
	"piecebag/internal/look"
)

// The most outlines of one photo, and their points: a board of the largest grid has
// 576 squares. Every piece is compared with every other, so that some thousands
// would take minutes.
const (
	mostOutlined = 1000
	mostPoints   = 50_000
	mostCover    = 4 // times the photo's own area, which they cover together
)

// Farthest bounds the coordinates of a place in a photo, pixels: no photo is so wide.
const Farthest = 1e6

// overlapping returns how many times outlines cover a photo of a size in pixels. Each
// counts as its convex hull, since an outline that crosses itself has no plain area.
func overlapping(outlines []geom.Polygon, width, height int) float64 {
	var sum float64
	for _, g := range outlines {
		sum += geom.ConvexHull(g).Area()
	}
	return sum / float64(width*height)
}

// inPhoto is what is given by hand as far as it lies in a photo of width × height
// pixels; a note names what reaches beyond it by more than a hundredth of its area, as
// sides that were drawn out straight do not. The error is a *fault.Error whose cause is the find.Entry it is about.
func inPhoto(o look.Options, width, height int) (given []geom.Polygon, note string, err error) {
	var beyond []string
	for i, g := range o.Pieces {
		in := g
		lo, hi := g.Bounds()
		w, h := float64(width), float64(height)
		out := hi.X < 0 || hi.Y < 0 || lo.X >= w || lo.Y >= h
		whole, part := g.Area(), 0.0
		switch len(g) {
		case 1:
		case 2:
			in = geom.Polygon{{X: max(lo.X, 0), Y: max(lo.Y, 0)}, {X: min(hi.X, w), Y: min(hi.Y, h)}}
			whole, part = (hi.X-lo.X)*(hi.Y-lo.Y), (in[1].X-in[0].X)*(in[1].Y-in[0].Y)
		default:
			in = g.Clip(geom.Point{}, geom.Point{X: w, Y: h})
			part = in.Area()
			out = out || len(in) < 3
		}
		switch {
		case out:
			return nil, "", fault.New("", fmt.Sprintf("it lies outside the photo of %d × %d pixels", width, height), "give places in pixels of the upright photo at full size", find.Entry(i+1))
		case part < 0.99*whole:
			beyond = append(beyond, "entry "+strconv.Itoa(i+1))
			g = in
		}
		given = append(given, g)
	}
	if beyond != nil {
		note = o.PiecesFrom + ": what reaches beyond the photo was cut off at its edge: " + cloth.Few(beyond)
	}
	return given, note, nil
}

// entryOf returns the words that name an outline given by hand: its file, its number from
// 1, and its place.
func entryOf(o look.Options, entry int) string {
	g := o.Pieces[entry-1]
	lo, _ := g.Bounds()
	what := map[int]string{1: "the point at", 2: "the box from"}[len(g)]
	return fmt.Sprintf("%s: entry %d, %s %.0f,%.0f", o.PiecesFrom, entry, cmp.Or(what, "the outline from"), lo.X, lo.Y)
}

// crosses reports whether an outline crosses itself, but for small loops as a corner
// has where sides were drawn out straight: what it encloses is then more than its
// windings count.
func crosses(g geom.Polygon) bool {
	lo, hi := g.Bounds()
	box := geom.Polygon{lo, {X: hi.X, Y: lo.Y}, hi, {X: lo.X, Y: hi.Y}}
	shared, together, _ := geom.Overlap(g, box)
	return together > 0 && g.Area() < 0.75*shared/together*box.Area()
}

// outlinesFile is what Outlines reads: outlines alone, or what look --json
// wrote, with the outlines corrected.
type outlinesFile struct {
	Pieces []outlined `json:"pieces"`
	Photos []struct {
		File   string     `json:"file"`
		Pieces []outlined `json:"pieces"`
	} `json:"photos"`
}

// outlined is a piece's outline, or where to find one: a point in it, or a box
// round it: its left, top, width and height.
type outlined struct {
	Polygon [][]float64 `json:"polygon"`
	Point   []float64   `json:"point"`
	Box     []float64   `json:"box"`
}

// points returns the points of an outline, where one or two stand for a point or a box; or
// what is wrong with it.
func (p outlined) points() (ring [][]float64, wrong string) {
	switch {
	case p.Polygon != nil && len(p.Polygon) < 3:
		return nil, "has fewer than three points"
	case p.Polygon != nil:
		return p.Polygon, ""
	case p.Point != nil:
		return [][]float64{p.Point}, ""
	case len(p.Box) == 4 && p.Box[2] > 0 && p.Box[3] > 0:
		return [][]float64{p.Box[:2], {p.Box[0] + p.Box[2], p.Box[1] + p.Box[3]}}, ""
	case p.Box != nil:
		return nil, "is a box without width and height"
	}
	return nil, "has no polygon, point or box"
}

// Outlines reads what is given by hand of the pieces in a photo, full-size pixels: a
// polygon each, of which one point alone is a place in a piece and two are a box round
// it. data is JSON as 'look' answers it, called name; where it is of several photos, the
// one of the same name is meant.
func Outlines(name string, data []byte, photo string) ([]geom.Polygon, error) {
	bad := func(reason string, err error) error {
		return fault.New(name, reason, `write {"pieces":[{"polygon":[[x,y],[x,y],[x,y]]}]}, in pixels of the upright photo`, err)
	}
	var doc outlinesFile
	if err := json.Unmarshal(data, &doc); err != nil {
		return nil, bad("this is not JSON of outlines", err)
	}
	pieces := doc.Pieces
	for _, p := range doc.Photos {
		if len(doc.Photos) == 1 || filepath.Base(p.File) == filepath.Base(photo) {
			pieces = append(pieces, p.Pieces...)
		}
	}
	if len(pieces) == 0 && len(doc.Photos) > 1 {
		return nil, bad("it holds no outline of "+filepath.Base(photo), nil)
	}
	if len(pieces) == 0 {
		return nil, bad("it holds no outline", nil)
	}
	points := 0
	for _, p := range pieces {
		points += len(p.Polygon)
	}
	if len(pieces) > mostOutlined || points > mostPoints {
		return nil, fault.New(name, fmt.Sprintf("it holds %s of %d points in all; at most %d of %d are read", cloth.Count(len(pieces), "outline"), points, mostOutlined, mostPoints), "give a photo of fewer pieces, or its outlines with fewer points")
	}
	out := make([]geom.Polygon, len(pieces))
	for i, p := range pieces {
		ring, reason := p.points()
		if reason != "" {
			return nil, bad(fmt.Sprintf("outline %d %s", i+1, reason), nil)
		}
		for _, q := range ring {
			if len(q) != 2 || !(math.Abs(q[0]) <= Farthest && math.Abs(q[1]) <= Farthest) {
				return nil, bad(fmt.Sprintf("outline %d holds what is no point of a photo", i+1), nil)
			}
			out[i] = append(out[i], geom.Point{X: q[0], Y: q[1]})
		}
		if crosses(out[i]) {
			return nil, fault.New(name, fmt.Sprintf("outline %d, from %.0f,%.0f, crosses itself", i+1, ring[0][0], ring[0][1]), "give its corners in order, one round of it")
		}
	}
	return out, nil
}
