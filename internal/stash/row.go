package stash

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// row is a holding as the ledger keeps it.
type row struct {
	cloth.Holding
	outline geom.Polygon // full-size pixels; nil by hand
	gone    string       // why Count is 0
	photo   int64        // id; 0 by hand
	// corrected says that you said something of it.
	corrected bool
	or        cloth.Family // what a photo may have shown instead of Family; not kept
}

// Why a piece of a photo is no longer counted.
const (
	goneUsed      = "used"
	goneRecounted = "recounted"
	goneNotPiece  = "not a piece"
	goneMerged    = "merged"
	goneSplit     = "split"
	goneNotFound  = "not found"
)

// column is a column of a table, and a pointer to the field of a row that holds its value.
type column struct {
	name string
	at   any
}

// write writes columns of a row: of a new one where its id is 0. It gives the row's id.
func (t *tx) write(table string, id int64, columns []column) (int64, error) {
	names := strings.Join(eachAs(columns, func(c column) string { return c.name }), ", ")
	args, marks := places(columns), strings.Repeat(", ?", len(columns))[2:]
	if id == 0 {
		return t.insert(`INSERT INTO `+table+` (`+names+`) VALUES (`+marks+`)`, args...)
	}
	return id, t.exec(`UPDATE `+table+` SET (`+names+`) = (`+marks+`) WHERE id = ?`, append(args, id)...)
}

func places(columns []column) []any { return eachAs(columns, func(c column) any { return c.at }) }

// kept returns the columns that put writes.
func (h *row) kept() []column {
	return []column{
		{"form", &h.Form}, {"count", &h.Count}, {"gone", &h.gone}, {"corrected", &h.corrected},
		{"width_in", &h.WidthIn}, {"length_in", &h.LengthIn}, {"area_in2", &h.AreaIn2}, {"grams", &h.Grams},
		{"family", &h.Family}, {"value", &h.Value}, {"bin", &h.Bin}, {"basket", &h.Basket}, {"measured", &h.Measured},
		{"mean_r", &h.Mean[0]}, {"mean_g", &h.Mean[1]}, {"mean_b", &h.Mean[2]},
		{"reads_r", &h.ReadsAs[0]}, {"reads_g", &h.ReadsAs[1]}, {"reads_b", &h.ReadsAs[2]},
		{"lightness", &h.Lightness}, {"motif_in", &h.Motif}, {"mark", &h.Mark}, {"piece", &h.Piece}, {"trust", &h.Trust},
	}
}

// selectRows reads what columns names, of holding h, photo p and print f.
var selectRows = func() string {
	names := eachAs(new(row).kept(), func(c column) string { return "h." + c.name })
	return `SELECT ` + strings.Join(names, ", ") + `, h.id, h.colours, h.outline, coalesce(h.photo, 0), coalesce(p.hash, ''), coalesce(f.name, '')
		FROM holding h LEFT JOIN photo p ON p.id = h.photo LEFT JOIN print f ON f.id = h.print `
}()

func (h *row) columns() []any {
	return append(places(h.kept()), &h.ID, intoRead(&h.Colours, readSwatches), intoRead(&h.outline, readOutline), &h.photo, &h.Photo, &h.Print)
}

// put writes a row: a new one where its ID is 0, which it then gets.
func (t *tx) put(h *row) error {
	if err := t.weigh(h); err != nil {
		return err
	}
	print, err := t.printID(h.Print)
	if err == nil && print != nil && h.Mark != "" {
		err = t.measurePrint(print, h.Mean.Lab())
	}
	if err != nil {
		return err
	}
	var photo any
	if h.photo != 0 {
		photo = h.photo
	}
	cut := shelf.CutOf(h.Holding)
	h.ID, err = t.write("holding", h.ID, append(h.kept(), []column{
		{"colours", writeSwatches(h.Colours)}, {"outline", writeOutline(h.outline)}, {"photo", photo}, {"print", print},
		{"cut_width_in", cut.Width}, {"cut_length_in", cut.Length},
	}...))
	return err
}

// putAll tidies and writes rows that are not gone.
func (t *tx) putAll(rows []row) error {
	for i := range rows {
		if err := tidy(&rows[i]); err != nil {
			return err
		}
		if err := t.put(&rows[i]); err != nil {
			return err
		}
	}
	return nil
}

// sameArea is the relative difference up to which two areas count as coming from one
// weight.
const sameArea = 1e-9

// weigh gives weighed cloth the area that its weight comes to by the settings, and a weight
// where only its area is known.
func (t *tx) weigh(h *row) error {
	if h.Form != cloth.Weighed {
		return nil
	}
	v, err := settings(t.ctx, t)
	if err != nil {
		return err
	}
	if h.Grams == 0 {
		h.Grams = v.Grams(h.AreaIn2)
	}
	if area := v.AreaIn2(h.Grams); math.Abs(area-h.AreaIn2) > sameArea*area {
		h.AreaIn2 = area
	}
	return nil
}

// remove takes a row's pieces out of the stash. Those of a photo are kept with a
// count of 0, so that a later look at the photo does not bring them back.
func (t *tx) remove(h row, why string) error {
	if h.photo == 0 {
		return t.exec(`DELETE FROM holding WHERE id = ?`, h.ID)
	}
	return t.exec(`UPDATE holding SET count = 0, gone = ? WHERE id = ?`, why, h.ID)
}

// The precision that is kept: colours to 1e-5, under a tenth of an 8-bit step
// at black (1/255/12.92, IEC 61966-2-1); outlines to a tenth of a pixel.
const (
	colourStep  = 1e-5
	outlineStep = 0.1
)

func roundTo(v, step float64) float64 {
	n := math.Round(1 / step)
	return math.Round(v*n) / n
}

func writeSwatches(s []cloth.Ink) string {
	return asJSON(eachAs(s, func(c cloth.Ink) [4]float64 { return [4]float64{c.Colour[0], c.Colour[1], c.Colour[2], c.Share} }))
}

func readSwatches(text string) ([]cloth.Ink, error) {
	if text == "[]" {
		return nil, nil
	}
	var in [][4]float64
	if err := json.Unmarshal([]byte(text), &in); err != nil {
		return nil, fmt.Errorf("its colours cannot be read: %.40q", text)
	}
	return eachAs(in, func(c [4]float64) cloth.Ink {
		return cloth.Ink{Colour: colour.Linear(c[:3]), Share: c[3]}
	}), nil
}

func writeOutline(g geom.Polygon) string {
	return asJSON(eachAs(g, func(p geom.Point) [2]float64 { return [2]float64{p.X, p.Y} }))
}

func readOutline(text string) (geom.Polygon, error) {
	if text == "[]" {
		return nil, nil
	}
	var in [][2]float64
	if err := json.Unmarshal([]byte(text), &in); err != nil {
		return nil, fmt.Errorf("its outline cannot be read: %.40q", text)
	}
	return eachAs(in, func(p [2]float64) geom.Point { return geom.Point{X: p[0], Y: p[1]} }), nil
}

// eachAs returns a list with each member converted.
func eachAs[A, B any](list []A, as func(A) B) []B {
	out := make([]B, len(list))
	for i, v := range list {
		out[i] = as(v)
	}
	return out
}

// asJSON writes what holds only finite numbers, which tidy sees to.
func asJSON(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// tidy refuses a row that is no valid holding, and rounds what is kept rounded.
func tidy(h *row) error {
	numbers := []float64{h.WidthIn, h.LengthIn, h.AreaIn2, h.Grams, h.Lightness, h.Motif, h.Trust}
	numbers = append(numbers, h.Mean[:]...)
	numbers = append(numbers, h.ReadsAs[:]...)
	colours := make([]cloth.Ink, len(h.Colours))
	for i, s := range h.Colours {
		for k := range s.Colour {
			colours[i].Colour[k] = roundTo(s.Colour[k], colourStep)
		}
		colours[i].Share = roundTo(s.Share, colourStep)
		numbers = append(numbers, s.Colour[0], s.Colour[1], s.Colour[2], s.Share)
	}
	outline := make(geom.Polygon, len(h.outline))
	for i, p := range h.outline {
		outline[i] = geom.Point{X: roundTo(p.X, outlineStep), Y: roundTo(p.Y, outlineStep)}
		numbers = append(numbers, p.X, p.Y)
	}
	h.Colours, h.outline = colours, outline
	if len(colours) == 0 {
		h.Colours = nil
	}
	if len(outline) == 0 {
		h.outline = nil
	}
	for _, v := range numbers {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return refuse(describe(h.Holding), "one of its figures is not a number", "give it again")
		}
	}
	switch {
	case !slices.Contains(cloth.Forms, h.Form):
		return refuse(fmt.Sprintf("form %q", h.Form), "there is no such form", "write square, rectangle, strip, irregular, band or weighed")
	case h.Count < 1 || h.Count > maxCount:
		return refuse(fmt.Sprintf("count %d", h.Count), "it is not a number of pieces", fmt.Sprintf("give a number from 1 to %d", maxCount))
	case min(h.WidthIn, h.LengthIn, h.AreaIn2, h.Grams) < 0 || max(h.WidthIn, h.LengthIn) > maxLength || max(h.AreaIn2, h.Grams) > maxArea:
		return refuse(describe(h.Holding), "no cloth has this size", "give its size in inches or centimetres")
	case h.Form == cloth.Weighed && h.AreaIn2 == 0 && h.Grams == 0:
		return refuse("weighed cloth", "it has no weight", "give its weight, such as 350g")
	case h.Form != cloth.Weighed && (h.AreaIn2 != 0 || h.Grams != 0):
		return refuse(describe(h.Holding), "only weighed cloth has a weight and an area of its own", "give its width and length")
	}
	if err := checkColour(h.Family, h.Value); err != nil {
		return err
	}
	if h.Form == cloth.Square && h.LengthIn == 0 {
		h.LengthIn = h.WidthIn
	}
	if h.WidthIn > h.LengthIn && h.LengthIn > 0 {
		h.WidthIn, h.LengthIn = h.LengthIn, h.WidthIn
	}
	for _, name := range []*string{&h.Bin, &h.Print, &h.Basket} {
		*name = CleanName(*name)
	}
	return shortNames(h.Bin, h.Print, h.Basket)
}

// The most a holding may be: beyond any stash, roll or quilt.
const (
	maxCount  = 1_000_000
	maxLength = 10_000      // inches
	maxArea   = 100_000_000 // square inches, or grams
)

func checkColour(f cloth.Family, v cloth.Value) error {
	switch {
	case f != "" && !slices.Contains(cloth.Families, f):
		return refuse(fmt.Sprintf("family %q", f), "there is no such hue family", "write one of "+cloth.Words(cloth.Families))
	case v != "" && !slices.Contains(cloth.Values, v):
		return refuse(fmt.Sprintf("value %q", v), "there is no such value", "write one of "+cloth.Words(cloth.Values))
	}
	return nil
}

// mostName bounds a name, in characters: a line of a table holds no more. A name of
// a megabyte would have every page and every line of an answer as long.
const mostName = 200

// tidyName is CleanName; it refuses a name longer than any.
func tidyName(name string) (string, error) {
	name = CleanName(name)
	return name, shortNames(name)
}

// shortNames refuses names longer than any.
func shortNames(names ...string) error {
	for _, name := range names {
		if n := utf8.RuneCountInString(name); n > mostName {
			return refuse(string([]rune(name)[:20])+"…", fmt.Sprintf("this name is %d characters long", n), fmt.Sprintf("give it one of at most %d", mostName))
		}
	}
	return nil
}

// CleanName returns a name without what no table or terminal should be given: bytes
// that are no UTF-8, control characters, spaces round it.
func CleanName(s string) string {
	s = strings.Map(func(r rune) rune {
		if cloth.Unprintable(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.TrimSpace(s)
}
