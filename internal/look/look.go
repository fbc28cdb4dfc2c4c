// Package look runs one photo down the pipeline: find, scale, light, palette,
// family. It is what the command and the page share; it opens no file.
package look

import (
	"fmt"
	"iter"
	"math"
	"slices"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/geom"
	"piecebag/internal/light"
	"piecebag/internal/palette"
	"piecebag/internal/raster"
	"piecebag/internal/scale"
)

// Options say what the quilter knows about a photo. Coordinates are full-size
// pixels of the upright photo. The zero value knows nothing.
type Options struct {
	Kind       cloth.Kind     // empty: recognise it
	Rows, Cols int            // of a board; 0: count them
	Outline    geom.Polygon   // of the board, four corners; nil: find it
	Crop       *Window        // look only here; nil: everywhere
	Pieces     []geom.Polygon // given by hand, as find.Options.Given; nil: find them
	PiecesFrom string         // the file that they were read from, to name it
	PxPerInch  float64        // 0: find it
	White      *geom.Point    // a place that is white; nil: find one
	Cuts       []float64      // the widths you cut, inches; nil: the usual ones
	Seed       uint64         // of the clustering
}

// Window is an upright box, full-size pixels.
type Window struct{ X, Y, W, H int }

// Photo looks at one working picture.
func Photo(p *cloth.Picture, o Options) (cloth.Sheet, error) {
	view, shift, cropped, err := crop(p, o.Crop)
	if err != nil {
		return cloth.Sheet{}, err
	}
	toWork := func(g geom.Polygon) geom.Polygon {
		return g.Map(func(q geom.Point) geom.Point { return q.Mul(1 / p.Shrink).Sub(shift) })
	}
	fo := find.Options{Kind: o.Kind, Rows: o.Rows, Cols: o.Cols}
	if o.Outline != nil {
		fo.Outline = toWork(o.Outline)
	}
	for _, g := range o.Pieces {
		fo.Given = append(fo.Given, toWork(g))
	}
	found, err := find.Find(view, fo)
	if err != nil {
		return cloth.Sheet{}, err
	}
	printed, _ := card.Find(view) // nil where there is none
	if printed != nil {
		leaveOut(printed, found, view.W)
	}

	so := scale.Options{Kind: found.Kind, Cuts: o.Cuts, Given: found.Given, Focal: p.Focal35, Card: printed, Paper: found.Paper}
	if o.PxPerInch > 0 {
		so.PxPerInch = o.PxPerInch / p.Shrink
	}
	sizes := scale.Measure(view, found.Regions, found.Ground, so)
	lo := light.Options{Kind: found.Kind}
	if o.White != nil {
		at := o.White.Mul(1 / p.Shrink).Sub(shift)
		lo.White = &at
	}
	notes := cropped
	if sizes.Faint != nil {
		at := full([]geom.Point{*sizes.Faint}, p.Shrink, shift)[0]
		notes = append(notes, fmt.Sprintf("a white thing at %.0f,%.0f may be a card or sheet, but its edges are too faint against the ground to tell the scale; "+
			"lay it on something darker, or say how long something in the photo is", at.X, at.Y))
	}
	if printed != nil {
		if tone, note, ok := light.ToneOf(printed, light.UsualTone(view)); ok {
			lo.Tone = &tone
		} else {
			notes = append(notes, note)
		}
	}
	field, lit, lightNotes := light.Estimate(view, found.Regions, found.Ground, found.Paper, sizes.References, lo)

	sheet := cloth.Sheet{
		Width: p.FullW, Height: p.FullH, Kind: found.Kind, KindGiven: o.Kind != "",
		Light: lit, Scale: sizes.Reading, Notes: slices.Concat(found.Notes, lightNotes, notes, sizes.Notes),
	}
	if sheet.Scale.PxPerInch > 0 {
		sheet.Scale.PxPerInch *= p.Shrink
		sheet.Scale.Or *= p.Shrink
	}
	var lost int
	sheet.Pieces, lost = measure(field.Correct(view), found, sizes, lit, o.Seed)
	if o.Pieces != nil && lost > 0 {
		return sheet, fault.New("", "it is too small to have a colour", "draw it larger, or leave it out", find.Entry(lost))
	}
	for i := range sheet.Pieces {
		back(&sheet.Pieces[i], p.Shrink, shift)
	}
	if o.Pieces == nil {
		doubtHalves(sheet.Pieces, found.Kind)
	}
	for _, r := range found.Left {
		sheet.Left = append(sheet.Left, cloth.LeftOut{Polygon: full(r.Polygon, p.Shrink, shift), Trust: r.Trust})
	}
	if n := len(sheet.Left); n > 0 {
		sheet.Notes = append(sheet.Notes, cloth.Count(n, "thing")+" that may be cloth left out as too doubtful")
	}
	if len(sheet.Pieces) == 0 && o.Pieces == nil && WhyNone(sheet.Notes) == "" {
		sheet.Notes = append(sheet.Notes, noCloth)
	}
	return sheet, nil
}

// WhyNone returns the one of a sheet's notes that says why nothing was found, and what to
// do; empty where there is none.
func WhyNone(notes []string) string {
	for _, n := range notes {
		if n == noCloth || n == find.TooSmall {
			return n
		}
	}
	return ""
}

// noCloth is the note of a photo in which nothing was found.
const noCloth = "no cloth was found; lay the pieces on something plain of another colour, in even light, " +
	"and come so near that they fill the photo; or say what it shows, or draw the pieces"

// leaveOut takes the printed card out of what was found: it is no cloth, unless
// you drew it as a piece, nor is it the ground's colour.
func leaveOut(printed *card.Found, found *find.Result, width int) {
	found.Regions = append(found.Regions[:found.Given], slices.DeleteFunc(found.Regions[found.Given:], printed.Covers)...)
	found.Left = slices.DeleteFunc(found.Left, printed.Covers)
	c := printed.Corners()
	geom.Polygon(c[:]).Fill(width, len(found.Ground)/width, func(y, x0, x1 int) {
		clear(found.Ground[y*width+x0 : y*width+x1])
		clear(found.Paper[y*width+x0 : y*width+x1])
	})
}

// measure reads the colours of every piece in a picture corrected for its
// light. What was recognised as a card or sheet is none. Lost is the last region, from
// 1, that has no colour, or 0.
func measure(p *cloth.Picture, found *find.Result, sizes scale.Result, lit cloth.LightReading, seed uint64) (out []cloth.Piece, lost int) {
	doubt := family.UncertaintyOf(lit)
	reference := make([]bool, len(found.Regions))
	for _, r := range sizes.References {
		if r.Region >= 0 {
			reference[r.Region] = true
		}
	}
	for i, r := range found.Regions {
		reference[i] = reference[i] || r.Card || found.Given > 0 && i >= found.Given
	}
	n := len(found.Regions)
	pieces := make([]cloth.Piece, n)
	marks := make([]palette.Signature, n)
	readings := make([]family.Reading, n)
	keep := make([]bool, n)
	raster.Each(n, func(numbers iter.Seq[int]) {
		meter := palette.Meter{Labels: found.Labels}
		for i := range numbers {
			if !reference[i] {
				pieces[i], marks[i], readings[i], keep[i] = measureOne(&meter, p, found.Regions[i], sizes.Sizes[i], doubt, seed)
			}
		}
	})
	var kept []palette.Signature
	var read []*family.Reading
	for i := range pieces {
		if keep[i] {
			pieces[i].ID = len(out) + 1
			if sizes.Reading.Trust > scaleKnown {
				marks[i].SeenIn(sizes.Reading.PxPerInch, lit.LightnessSD)
			} else {
				marks[i].SeenIn(0, lit.LightnessSD)
			}
			pieces[i].Mark = marks[i].Mark()
			out = append(out, pieces[i])
			kept = append(kept, marks[i])
			read = append(read, &readings[i])
		} else if !reference[i] {
			lost = i + 1
		}
	}
	for i, label := range palette.Prints(kept, found.Kind) {
		out[i].Print = label
	}
	name(out, read)
	return out, lost
}

// name gives pieces what they read as, pieces of one print together.
func name(pieces []cloth.Piece, read []*family.Reading) {
	of := map[string][]int{}
	for i := range pieces {
		of[pieces[i].Print] = append(of[pieces[i].Print], i)
	}
	for i, r := range read {
		if same := of[pieces[i].Print]; same[0] == i {
			readings, areas := make([]*family.Reading, len(same)), make([]float64, len(same))
			for k, j := range same {
				readings[k], areas[k] = read[j], pieces[j].Polygon.Area()
			}
			family.Agree(readings, areas)
		}
		p := &pieces[i]
		p.Family, p.With, p.ReadsAs, p.FamilyTrust, p.FamilyOr = r.Family, r.With, r.Colour, r.Trust, r.Or
	}
}

// scaleKnown is the trust from which motifs are compared by the scale.
const scaleKnown = 0.5

// dazzled is the share of a piece that the camera may clip before its colour is
// only a bound.
const dazzled = 0.05

func measureOne(meter *palette.Meter, p *cloth.Picture, r cloth.Region, size scale.Size, doubt family.Uncertainty, seed uint64) (cloth.Piece, palette.Signature, family.Reading, bool) {
	m, err := meter.Measure(p, r.Polygon, seed)
	if err != nil {
		return cloth.Piece{}, palette.Signature{}, family.Reading{}, false
	}
	piece := cloth.Piece{
		Polygon: r.Polygon, Corners: r.Corners,
		Mean: m.Mean, Colours: m.Colours,
		Lightness: min(100, m.Mean.Lab().L), // no cloth is lighter than white
		Munsell:   colour.ToMunsell(m.Mean).String(),
		WidthIn:   size.Width, LengthIn: size.Length, Cut: size.Cut, SizeTrust: size.Trust,
		Trust: r.Trust, Notes: slices.Concat(r.Notes, size.Notes),
	}
	piece.Value, piece.ValueTrust, piece.ValueOr = doubt.Value(piece.Lightness)
	if area := r.Polygon.Area(); area > 0 { // the lengths are 0 where no size is known
		piece.Motif = m.Motif * math.Sqrt(size.Width*size.Length/area)
	}
	if m.Clipped > dazzled {
		piece.Notes = append(piece.Notes, "too bright for the camera: its true colour may be lighter")
	}
	return piece, m.Signature, doubt.OfPrint(m.Colours, m.Mean), true
}

// back takes a piece from working pixels to full-size ones.
func back(p *cloth.Piece, shrink float64, shift geom.Point) {
	p.Polygon, p.Corners = full(p.Polygon, shrink, shift), full(p.Corners, shrink, shift)
}

// full takes places from working pixels to full-size ones.
func full(g []geom.Point, shrink float64, shift geom.Point) []geom.Point {
	var out []geom.Point
	for _, q := range g {
		out = append(out, q.Add(shift).Mul(shrink))
	}
	return out
}

// crop cuts a working picture to a full-size box; shift is where its corner
// was, in working pixels, and the notes say so where the box reaches beyond the photo.
func crop(p *cloth.Picture, r *Window) (part *cloth.Picture, shift geom.Point, notes []string, err error) {
	if r == nil {
		return p, geom.Point{}, nil, nil
	}
	x0, y0 := max(0, int(math.Floor(float64(r.X)/p.Shrink))), max(0, int(math.Floor(float64(r.Y)/p.Shrink)))
	x1, y1 := min(p.W, int(math.Ceil(float64(r.X+r.W)/p.Shrink))), min(p.H, int(math.Ceil(float64(r.Y+r.H)/p.Shrink)))
	if x1-x0 < 32 || y1-y0 < 32 {
		return nil, geom.Point{}, nil, fmt.Errorf("the crop %d,%d,%d,%d leaves too little of a photo of %d × %d pixels", r.X, r.Y, r.W, r.H, p.FullW, p.FullH)
	}
	out := &cloth.Picture{W: x1 - x0, H: y1 - y0, Shrink: p.Shrink, FullW: p.FullW, FullH: p.FullH, Camera: p.Camera}
	out.Pix = make([]float32, 3*out.W*out.H)
	if p.Clipped != nil {
		out.Clipped = make([]uint8, out.W*out.H)
	}
	for y := range out.H {
		copy(out.Pix[3*y*out.W:], p.Pix[3*((y+y0)*p.W+x0):3*((y+y0)*p.W+x1)])
		if p.Clipped != nil {
			copy(out.Clipped[y*out.W:], p.Clipped[(y+y0)*p.W+x0:(y+y0)*p.W+x1])
		}
	}
	if x, y := max(0, r.X), max(0, r.Y); r.X < 0 || r.Y < 0 || r.X+r.W > p.FullW || r.Y+r.H > p.FullH {
		notes = []string{fmt.Sprintf("the crop %d,%d,%d,%d reaches beyond the photo of %d × %d pixels; looked at %d,%d,%d,%d",
			r.X, r.Y, r.W, r.H, p.FullW, p.FullH, x, y, min(r.X+r.W, p.FullW)-x, min(r.Y+r.H, p.FullH)-y)}
	}
	return out, geom.Point{X: float64(x0), Y: float64(y0)}, notes, nil
}
