package archive

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// row is a line of the CSV: a holding, or a record of another kind.
type row struct {
	stash.HoldingRecord
	photoName    string
	record, data string
}

// column is one column of the CSV: its name, and where a row has what stands in it.
type column struct {
	name string
	at   any
}

// lists are lists of n figures each, as JSON.
type lists struct {
	n  int
	at *json.RawMessage
}

// columns returns those of the CSV, in order. An empty cell is "not known". Text that a
// spreadsheet could take for a formula has an apostrophe before it. Lists are written
// as figures with blanks between, and a semicolon between two lists.
func (r *row) columns() []column {
	return []column{
		{"form", (*string)(&r.Form)},      // square, rectangle, strip, irregular, band or weighed
		{"count", &r.Count},               // pieces alike, 1 or more
		{"width_in", &r.WidthIn},          // the shorter side, inches
		{"length_in", &r.LengthIn},        // the longer side, inches
		{"area_in2", &r.AreaIn2},          // area of weighed cloth, square inches
		{"family", (*string)(&r.Family)},  // hue family
		{"value", (*string)(&r.Value)},    // light, medium-light, medium, medium-dark or dark
		{"bin", &r.Bin},                   // your own bin
		{"print", &r.Print},               // the print it is cut from
		{"basket", &r.Basket},             // the basket it is in
		{"mean", &r.Mean},                 // mean colour: linear sRGB red green blue, 0..1, D65, the cloth's own
		{"reads_as", &r.ReadsAs},          // the colour it reads as, in the same way
		{"colours", lists{4, &r.Colours}}, // its colours: red green blue share, most area first
		{"lightness", &r.Lightness},       // CIE L* of the mean, 0..100
		{"motif_in", &r.MotifIn},          // how wide the print's motifs are, inches
		{"photo", &r.Photo},               // SHA-256 of the photo's file
		{"photo_name", &r.photoName},      // the photo's name
		{"piece", &r.Piece},               // its number in the photo, from 1
		{"trust", &r.Trust},               // how sure the look was, 0..1
		{"outline", lists{2, &r.Outline}}, // its corners in the photo, full-size pixels: x y
		{"corrected", &r.Corrected},       // 1 where it was corrected by hand
		{"grams", &r.Grams},               // what weighed cloth weighs
		{"mark", &r.Mark},                 // by which its print is known again in other photos
		{"record", &r.record},             // empty for what is held; else what the line is: photo, print, gone (a piece that is), correction, taught, plan, floor or setting
		{"data", &r.data},                 // such a record in JSON, as the JSON export has it
	}
}

// Header returns the first row of the CSV: the names of its columns.
func Header() (names []string) {
	for _, c := range new(row).columns() {
		names = append(names, c.name)
	}
	return names
}

// write returns the cell of a column.
func (c column) write() string {
	switch v := c.at.(type) {
	case *string:
		return cell(*v)
	case *bool:
		if *v {
			return "1"
		}
	case *int:
		if *v != 0 {
			return strconv.Itoa(*v)
		}
	case *float64:
		if *v != 0 {
			return digits(*v)
		}
	case **colour.Linear:
		if *v != nil {
			return written([][]float64{(**v)[:]})
		}
	case lists:
		var in [][]float64
		_ = json.Unmarshal(*v.at, &in) // the ledger has read it
		return written(in)
	}
	return ""
}

// mostWhole bounds the whole numbers, so that each is an int.
const mostWhole = 1e9

// read reads a cell that is not empty.
func (c column) read(text string) (err error) {
	number, notNumber := strconv.ParseFloat(text, 64)
	_, isCount := c.at.(*int)
	_, isNumber := c.at.(*float64)
	if (isCount || isNumber) && notNumber != nil {
		return c.fault(text, "not a number")
	}
	switch v := c.at.(type) {
	case *string:
		*v = uncell(text)
	case *bool:
		if text != "0" && text != "1" {
			return c.fault(text, "neither 1 nor nothing")
		}
		*v = text == "1"
	case *int:
		if number != math.Trunc(number) || math.Abs(number) > mostWhole {
			return c.fault(text, "no whole number")
		}
		*v = int(number)
	case *float64:
		*v = number
	case **colour.Linear:
		list, err := c.readLists(text, 3)
		if len(list) != 1 {
			return err
		}
		*v = (*colour.Linear)(list[0])
	case lists:
		list, err := c.readLists(text, v.n)
		if err != nil || list == nil {
			return err
		}
		*v.at, err = json.Marshal(list)
		return err
	}
	return nil
}

func (c column) fault(text, reason string) error {
	return fmt.Errorf("column %s: %q is %s", c.name, text, reason)
}

func (c column) readLists(text string, n int) (out [][]float64, err error) {
	for _, part := range strings.Split(text, ";") {
		fields := strings.Fields(part)
		if len(fields) == 0 {
			continue
		}
		v := make([]float64, len(fields))
		for i, f := range fields {
			v[i], err = strconv.ParseFloat(f, 64)
			if err != nil || len(fields) != n || math.IsNaN(v[i]) || math.IsInf(v[i], 0) {
				return nil, c.fault(part, fmt.Sprintf("not %d numbers", n))
			}
		}
		out = append(out, v)
	}
	return out, nil
}

func written(lists [][]float64) string {
	parts := make([]string, len(lists))
	for i, list := range lists {
		figures := make([]string, len(list))
		for k, v := range list {
			figures[k] = digits(v)
		}
		parts[i] = strings.Join(figures, " ")
	}
	return strings.Join(parts, "; ")
}

// digits writes a figure so that it reads back to the same bits.
func digits(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// formula are the first characters that make a spreadsheet run a cell.
const formula = "=+-@\t'"

func cell(s string) string {
	s = stash.CleanName(s)
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

// gone is the record of a piece that is gone; it stands among the holdings.
const gone = "gone"

// record is a kind of line that is no holding: all of it in a Content as JSON, and
// one read into it.
type record struct {
	name  string
	all   func(c *stash.Content) []any
	taken func(c *stash.Content, data []byte) error
}

// records are the kinds of record, in the order in which they are written.
var records = []record{
	recordOf("photo", func(c *stash.Content) *[]stash.PhotoRecord { return &c.Photos }),
	recordOf("print", func(c *stash.Content) *[]stash.PrintRecord { return &c.Prints }),
	recordOf("correction", func(c *stash.Content) *[]stash.CorrectionRecord { return &c.Corrections }),
	recordOf("taught", func(c *stash.Content) *[]stash.ExampleRecord { return &c.Taught }),
	recordOf("plan", func(c *stash.Content) *[]stash.PlanRecord { return &c.Plans }),
	recordOf("floor", func(c *stash.Content) *[]shelf.Floor { return &c.Floors }),
	{"setting", func(c *stash.Content) (all []any) {
		for _, name := range sortedKeys(c.Settings) {
			all = append(all, setting{name, c.Settings[name]})
		}
		return all
	}, func(c *stash.Content, data []byte) error {
		var v setting
		if err := fromJSON(data, &v); err != nil {
			return err
		}
		if c.Settings == nil {
			c.Settings = map[string]float64{}
		}
		c.Settings[v.Name] = v.Value
		return nil
	}},
}

type setting struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

func recordOf[T any](name string, at func(c *stash.Content) *[]T) record {
	return record{name, func(c *stash.Content) []any {
		all := make([]any, len(*at(c)))
		for i, v := range *at(c) {
			all[i] = v
		}
		return all
	}, func(c *stash.Content, data []byte) error {
		var v T
		err := fromJSON(data, &v)
		*at(c) = append(*at(c), v)
		return err
	}}
}

// goneRecord is read like any other.
var goneRecord = recordOf(gone, func(c *stash.Content) *[]stash.HoldingRecord { return &c.Holdings })

// WriteCSV writes all of a stash but the photos' own bytes: a line a holding, then
// a line for each photo, print, floor and the like, whose column record says what
// it is. Import reads it without loss.
func WriteCSV(ctx context.Context, s *stash.Stash, w io.Writer) error {
	c, err := s.Content(ctx)
	if err != nil {
		return err
	}
	out := csv.NewWriter(w) // it keeps its first error
	_ = out.Write(Header())
	line := func(r row) {
		var cells []string
		for _, c := range r.columns() {
			cells = append(cells, c.write())
		}
		_ = out.Write(cells)
	}
	other := func(name string, v any) error {
		data, err := json.Marshal(v)
		line(row{record: name, data: string(cloth.PrintableJSON(data))})
		return err
	}
	names := map[string]string{}
	for _, p := range c.Photos {
		names[p.Hash] = p.Name
	}
	for _, h := range c.Holdings {
		if h.Count > 0 {
			line(row{HoldingRecord: h, photoName: names[h.Photo]})
		} else if err := other(gone, h); err != nil {
			return err
		}
	}
	for _, k := range records {
		for _, v := range k.all(&c) {
			if err := other(k.name, v); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// readCSV reads what WriteCSV wrote, its columns in any order.
func readCSV(file string, t table) (c stash.Content, notes []string, err error) {
	places := map[string]int{}
	for i, h := range t.Header {
		if h != "" && !slices.Contains(Header(), h) {
			notes = append(notes, passedOver(h))
		}
		places[h] = i
	}
	var named []stash.PhotoRecord // photos that holdings name
	for i, line := range t.Lines {
		var r row
		for _, k := range r.columns() {
			if text := cellIn(line, places, k.name); text != "" && err == nil {
				err = k.read(text)
			}
		}
		switch {
		case err != nil:
		case r.record != "":
			err = readRecord(&c, r)
		default:
			err = r.Check()
			c.Holdings = append(c.Holdings, r.HoldingRecord)
		}
		if err != nil {
			return c, nil, lineError(file, t.at[i], err)
		}
		if r.Photo != "" {
			named = append(named, stash.PhotoRecord{Hash: r.Photo, Name: r.photoName})
		}
	}
	seen := map[string]bool{}
	for _, p := range c.Photos {
		seen[p.Hash] = true
	}
	for _, p := range named {
		if !seen[p.Hash] {
			c.Photos = append(c.Photos, p)
		}
		seen[p.Hash] = true
	}
	return c, notes, nil
}

func readRecord(c *stash.Content, r row) error {
	i := slices.IndexFunc(records, func(k record) bool { return k.name == r.record })
	k := goneRecord
	switch {
	case i >= 0:
		k = records[i]
	case r.record != gone:
		return fmt.Errorf("column record: %q is no record of a stash", r.record)
	}
	if err := k.taken(c, []byte(r.data)); err != nil {
		return fmt.Errorf("column data: this is not a %s: %w", r.record, err)
	}
	return nil
}
