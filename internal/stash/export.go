package stash

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Column is one column of the CSV that ExportCSV writes and Import reads.
type Column struct{ Name, What string }

// Columns are those of the CSV, in order. An empty cell is "not known". Text
// that a spreadsheet could take for a formula has an apostrophe before it.
var Columns = []Column{
	{"form", "square, rectangle, strip, irregular, band or weighed"},
	{"count", "pieces alike, 1 or more"},
	{"width_in", "the shorter side, inches"},
	{"length_in", "the longer side, inches"},
	{"area_in2", "area of weighed cloth, square inches"},
	{"family", "hue family"},
	{"value", "light, medium-light, medium, medium-dark or dark"},
	{"bin", "your own bin"},
	{"print", "the print it is cut from"},
	{"basket", "the basket it is in"},
	{"mean", "mean colour: linear sRGB red green blue, 0..1, D65, the cloth's own"},
	{"reads_as", "the colour it reads as, in the same way"},
	{"colours", "its colours: red green blue share; and so on, most area first"},
	{"lightness", "CIE L* of the mean, 0..100"},
	{"motif_in", "how wide the print's motifs are, inches"},
	{"photo", "SHA-256 of the photo's file"},
	{"photo_name", "the photo's name"},
	{"piece", "its number in the photo, from 1"},
	{"trust", "how sure the look was, 0..1"},
	{"outline", "its corners in the photo, full-size pixels: x y; and so on"},
	{"corrected", "1 where it was corrected by hand"},
	{"grams", "what weighed cloth weighs"},
	{"mark", "by which its print is known again in other photos"},
	{"record", "empty for what is held; else what the line is: photo, print, gone (a piece that is), correction, taught, plan, floor or setting"},
	{"data", "such a record in JSON, as the JSON export has it"},
}

// Header is the first row of the CSV: the names of the Columns.
func Header() []string {
	header := make([]string, len(Columns))
	for i, c := range Columns {
		header[i] = c.Name
	}
	return header
}

// number writes a figure so that it reads back to the same bits.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func known(v float64) string {
	if v == 0 {
		return ""
	}
	return number(v)
}

func numbers(v ...float64) string {
	out := make([]string, len(v))
	for i, x := range v {
		out[i] = number(x)
	}
	return strings.Join(out, " ")
}

// formula are the first characters that make a spreadsheet run a cell.
const formula = "=+-@\t'"

func cell(s string) string {
	s = cleanName(s)
	if s != "" && strings.ContainsRune(formula, rune(s[0])) {
		return "'" + s
	}
	return s
}

func uncell(s string) string {
	if len(s) > 1 && s[0] == '\'' && strings.ContainsRune(formula, rune(s[1])) {
		return s[1:]
	}
	return s
}

// cells are the row of Columns for a holding.
func (h row) cells(photoName string) []string {
	var colours, outline []string
	for _, s := range h.Colours {
		colours = append(colours, numbers(s.Colour[0], s.Colour[1], s.Colour[2], s.Share))
	}
	for _, p := range h.outline {
		outline = append(outline, numbers(p.X, p.Y))
	}
	mean, reads, lightness := "", "", ""
	if h.Measured {
		mean, reads, lightness = numbers(h.Mean[:]...), numbers(h.ReadsAs[:]...), number(h.Lightness)
	}
	piece, corrected := "", ""
	if h.Piece > 0 {
		piece = strconv.Itoa(h.Piece)
	}
	if h.corrected {
		corrected = "1"
	}
	return []string{
		string(h.Form), strconv.Itoa(h.Count), known(h.WidthIn), known(h.LengthIn), known(h.AreaIn2), string(h.Family), string(h.Value),
		cell(h.Bin), cell(h.Print), cell(h.Basket), mean, reads, strings.Join(colours, "; "), lightness, known(h.Motif),
		h.Photo, cell(photoName), piece, number(h.Trust), strings.Join(outline, "; "), corrected, known(h.Grams), h.Mark, "", "",
	}
}

// The records of a CSV that are no pieces: what its column record says.
const (
	photoRecord      = "photo"
	printRecord      = "print"
	goneRecord       = "gone"
	correctionRecord = "correction"
	taughtRecord     = "taught"
	planRecord       = "plan"
	floorRecord      = "floor"
	settingRecord    = "setting"
)

// settingJSON is a setting in a line of the CSV.
type settingJSON struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// ExportCSV writes all of the stash but the photos' own bytes, with the Columns
// as its header: a line a holding, then a line for each photo, print, floor and
// the like, whose column record says what it is. Import reads it without loss.
func (s *Stash) ExportCSV(ctx context.Context, w io.Writer) error {
	var d document
	if err := s.reading(ctx, func(q queryer) error { return d.read(ctx, q) }); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	_ = out.Write(Header()) // csv.Writer keeps its first error
	names := map[string]string{}
	for _, p := range d.Photos {
		names[p.Hash] = p.Name
	}
	record := func(what string, data any) {
		line := make([]string, len(Columns))
		line[len(line)-2], line[len(line)-1] = what, string(cloth.PrintableJSON([]byte(asJSON(data))))
		_ = out.Write(line)
	}
	for _, j := range d.Holdings {
		if j.Count == 0 {
			record(goneRecord, j)
			continue
		}
		h, err := j.row()
		if err != nil {
			return err
		}
		_ = out.Write(h.cells(names[j.Photo]))
	}
	for _, v := range d.Photos {
		record(photoRecord, v)
	}
	for _, v := range d.Prints {
		record(printRecord, v)
	}
	for _, v := range d.Corrections {
		record(correctionRecord, v)
	}
	for _, v := range d.Taught {
		record(taughtRecord, v)
	}
	for _, v := range d.Plans {
		record(planRecord, v)
	}
	for _, v := range d.Floors {
		record(floorRecord, v)
	}
	for _, name := range sortedKeys(d.Settings) {
		record(settingRecord, settingJSON{name, d.Settings[name]})
	}
	out.Flush()
	return out.Error()
}

// reading gives f one state of the ledger, whatever is changed meanwhile.
func (s *Stash) reading(ctx context.Context, f func(q queryer) error) error {
	tx, err := s.r.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return explain(s.file, err)
	}
	defer tx.Rollback()
	return explain(s.file, f(tx))
}

// document is what ExportJSON writes: all of the stash but the photos' bytes,
// the history and what undo needs.
type document struct {
	Format      string             `json:"format"`
	Version     int                `json:"version"`
	Settings    map[string]float64 `json:"settings"`
	Floors      []Floor            `json:"floors"`
	Photos      []photoJSON        `json:"photos"`
	Prints      []printJSON        `json:"prints"`
	Holdings    []holdingJSON      `json:"holdings"`
	Corrections []correctionJSON   `json:"corrections"`
	Taught      []taughtJSON       `json:"taught"`
	Plans       []planJSON         `json:"plans"`

	notes []string // what was passed over in reading it
}

// JSONMark is what ExportJSON begins with, blanks apart.
const JSONMark = `{"format":"` + documentFormat + `"`

const (
	documentFormat  = "piecebag stash"
	documentVersion = 1
)

type photoJSON struct {
	Hash      string     `json:"hash"`
	Name      string     `json:"name"`
	Size      int64      `json:"size"` // bytes
	At        int64      `json:"at"`   // ms since 1970 UTC
	Kind      cloth.Kind `json:"kind"`
	Form      cloth.Form `json:"form,omitempty"`
	Basket    string     `json:"basket,omitempty"`
	CutIn     float64    `json:"cut_in,omitempty"`
	PxPerInch float64    `json:"px_per_inch,omitempty"`
	Width     int        `json:"width,omitempty"` // upright, full-size pixels
	Height    int        `json:"height,omitempty"`
}

type printJSON struct {
	Name string      `json:"name"`
	Lab  *[3]float64 `json:"lab,omitempty"` // CIELAB D65
}

type holdingJSON struct {
	Form      cloth.Form      `json:"form"`
	Count     int             `json:"count"`
	Gone      string          `json:"gone,omitempty"`
	WidthIn   float64         `json:"width_in,omitempty"`
	LengthIn  float64         `json:"length_in,omitempty"`
	AreaIn2   float64         `json:"area_in2,omitempty"`
	Grams     float64         `json:"grams,omitempty"`
	Family    cloth.Family    `json:"family,omitempty"`
	Value     cloth.Value     `json:"value,omitempty"`
	Bin       string          `json:"bin,omitempty"`
	Print     string          `json:"print,omitempty"`
	Basket    string          `json:"basket,omitempty"`
	Mean      *colour.Linear  `json:"mean,omitempty"` // absent where not measured
	ReadsAs   *colour.Linear  `json:"reads_as,omitempty"`
	Colours   json.RawMessage `json:"colours,omitempty"`
	Lightness float64         `json:"lightness,omitempty"`
	MotifIn   float64         `json:"motif_in,omitempty"`
	Mark      string          `json:"mark,omitempty"` // by which its print is known again
	Photo     string          `json:"photo,omitempty"`
	Piece     int             `json:"piece,omitempty"`
	Outline   json.RawMessage `json:"outline,omitempty"`
	Trust     float64         `json:"trust"`
	Corrected bool            `json:"corrected,omitempty"`
}

type correctionJSON struct {
	Photo   string          `json:"photo"`
	Outline json.RawMessage `json:"outline"`
	What    json.RawMessage `json:"what"`
}

type taughtJSON struct {
	Bin     string          `json:"bin"`
	Holding int             `json:"holding,omitempty"` // which of the holdings it was learnt from, from 1
	Example json.RawMessage `json:"example"`
}

type planJSON struct {
	Name string          `json:"name"`
	At   int64           `json:"at"`
	Plan json.RawMessage `json:"plan"`
}

// ExportJSON writes all of the stash but the photos' own bytes. Import reads it
// without loss.
func (s *Stash) ExportJSON(ctx context.Context, w io.Writer) error {
	d := document{Format: documentFormat, Version: documentVersion}
	if err := s.reading(ctx, func(q queryer) error { return d.read(ctx, q) }); err != nil {
		return err
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(d); err != nil {
		return err
	}
	_, err := w.Write(cloth.PrintableJSON(b.Bytes()))
	return err
}

func photosOf(ctx context.Context, q queryer) ([]photoJSON, error) {
	return rowsOf(ctx, q, func(r *sql.Rows) (p photoJSON, err error) {
		err = r.Scan(&p.Hash, &p.Name, &p.Size, &p.At, &p.Kind, &p.Form, &p.Basket, &p.CutIn, &p.PxPerInch, &p.Width, &p.Height)
		return p, err
	}, `SELECT hash, name, size, at, kind, form, basket, cut_in, px_per_inch, width, height FROM photo ORDER BY id`)
}

func (d *document) read(ctx context.Context, q queryer) (err error) {
	if d.Photos, err = photosOf(ctx, q); err != nil {
		return err
	}
	if d.Prints, err = rowsOf(ctx, q, func(r *sql.Rows) (p printJSON, err error) {
		var lab [3]sql.NullFloat64
		err = r.Scan(&p.Name, &lab[0], &lab[1], &lab[2])
		if lab[0].Valid {
			p.Lab = &[3]float64{lab[0].Float64, lab[1].Float64, lab[2].Float64}
		}
		return p, err
	}, `SELECT name, l, a, b FROM print ORDER BY id`); err != nil {
		return err
	}
	rows, err := rowsOf(ctx, q, scanRow, selectRows+`ORDER BY h.id`)
	if err != nil {
		return err
	}
	d.Holdings = make([]holdingJSON, len(rows))
	places := map[int64]int{} // of the holdings in the document
	for i, h := range rows {
		d.Holdings[i] = h.json()
		places[h.ID] = i + 1
	}
	if d.Corrections, err = rowsOf(ctx, q, func(r *sql.Rows) (c correctionJSON, err error) {
		var outline, what string
		err = r.Scan(&c.Photo, &outline, &what)
		c.Outline, c.What = json.RawMessage(outline), json.RawMessage(what)
		return c, err
	}, `SELECT p.hash, c.outline, c.what FROM correction c JOIN photo p ON p.id = c.photo ORDER BY c.id`); err != nil {
		return err
	}
	if d.Taught, err = rowsOf(ctx, q, func(r *sql.Rows) (e taughtJSON, err error) {
		var what string
		var holding int64
		err = r.Scan(&e.Bin, &what, &holding)
		e.Example = json.RawMessage(what)
		e.Holding = places[holding]
		return e, err
	}, `SELECT bin, what, holding FROM taught ORDER BY id`); err != nil {
		return err
	}
	if d.Plans, err = rowsOf(ctx, q, func(r *sql.Rows) (p planJSON, err error) {
		var what string
		err = r.Scan(&p.Name, &p.At, &what)
		p.Plan = json.RawMessage(what)
		return p, err
	}, `SELECT name, at, what FROM plan ORDER BY id`); err != nil {
		return err
	}
	if d.Floors, err = rowsOf(ctx, q, func(r *sql.Rows) (f Floor, err error) {
		err = r.Scan(&f.Family, &f.Value, &f.Bin, &f.Cut, &f.N)
		return f, err
	}, `SELECT family, value, bin, cut_in, n FROM floor ORDER BY id`); err != nil {
		return err
	}
	d.Settings = map[string]float64{} // encoding/json writes keys in order
	_, err = rowsOf(ctx, q, func(r *sql.Rows) (struct{}, error) {
		var name string
		var v float64
		err := r.Scan(&name, &v)
		d.Settings[name] = v
		return struct{}{}, err
	}, `SELECT name, value FROM setting`)
	return err
}

func (h row) json() holdingJSON {
	out := holdingJSON{
		Form: h.Form, Count: h.Count, Gone: h.gone, WidthIn: h.WidthIn, LengthIn: h.LengthIn, AreaIn2: h.AreaIn2, Grams: h.Grams,
		Family: h.Family, Value: h.Value, Bin: h.Bin, Print: h.Print, Basket: h.Basket,
		Lightness: h.Lightness, MotifIn: h.Motif, Mark: h.Mark, Photo: h.Photo, Piece: h.Piece, Trust: h.Trust, Corrected: h.corrected,
	}
	if h.Measured {
		out.Mean, out.ReadsAs = &h.Mean, &h.ReadsAs
	}
	if h.Colours != nil {
		out.Colours = json.RawMessage(writeSwatches(h.Colours))
	}
	if h.outline != nil {
		out.Outline = json.RawMessage(writeOutline(h.outline))
	}
	return out
}

func (j holdingJSON) row() (row, error) {
	h := row{gone: j.Gone, corrected: j.Corrected, Holding: cloth.Holding{
		Form: j.Form, Count: j.Count, WidthIn: j.WidthIn, LengthIn: j.LengthIn, AreaIn2: j.AreaIn2, Grams: j.Grams,
		Family: j.Family, Value: j.Value, Bin: j.Bin, Print: j.Print, Basket: j.Basket,
		Lightness: j.Lightness, Motif: j.MotifIn, Mark: j.Mark, Photo: j.Photo, Piece: j.Piece, Trust: j.Trust,
	}}
	if j.Mean != nil {
		h.Measured, h.Mean = true, *j.Mean
	}
	if j.ReadsAs != nil {
		h.ReadsAs = *j.ReadsAs
	}
	var err error
	if j.Colours != nil {
		if h.Colours, err = readSwatches(string(j.Colours)); err != nil {
			return row{}, err
		}
	}
	if j.Outline != nil {
		if h.outline, err = readOutline(string(j.Outline)); err != nil {
			return row{}, err
		}
	}
	return h, nil
}
