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

// column is one column of the CSV: how its cell is written, and how it is read
// where it is not empty.
type column struct {
	name, what string
	write      func(r *row) string
	read       func(r *row, text string) error
}

// columns are those of the CSV, in order. An empty cell is "not known". Text that a
// spreadsheet could take for a formula has an apostrophe before it.
var columns = []column{
	text("form", "square, rectangle, strip, irregular, band or weighed", func(r *row) *cloth.Form { return &r.Form }),
	whole("count", "pieces alike, 1 or more", func(r *row) *int { return &r.Count }),
	number("width_in", "the shorter side, inches", func(r *row) *float64 { return &r.WidthIn }),
	number("length_in", "the longer side, inches", func(r *row) *float64 { return &r.LengthIn }),
	number("area_in2", "area of weighed cloth, square inches", func(r *row) *float64 { return &r.AreaIn2 }),
	text("family", "hue family", func(r *row) *cloth.Family { return &r.Family }),
	text("value", "light, medium-light, medium, medium-dark or dark", func(r *row) *cloth.Value { return &r.Value }),
	name("bin", "your own bin", func(r *row) *string { return &r.Bin }),
	name("print", "the print it is cut from", func(r *row) *string { return &r.Print }),
	name("basket", "the basket it is in", func(r *row) *string { return &r.Basket }),
	linear("mean", "mean colour: linear sRGB red green blue, 0..1, D65, the cloth's own", func(r *row) **colour.Linear { return &r.Mean }),
	linear("reads_as", "the colour it reads as, in the same way", func(r *row) **colour.Linear { return &r.ReadsAs }),
	lists("colours", "its colours: red green blue share; and so on, most area first", 4, func(r *row) *json.RawMessage { return &r.Colours }),
	number("lightness", "CIE L* of the mean, 0..100", func(r *row) *float64 { return &r.Lightness }),
	number("motif_in", "how wide the print's motifs are, inches", func(r *row) *float64 { return &r.MotifIn }),
	text("photo", "SHA-256 of the photo's file", func(r *row) *string { return &r.Photo }),
	name("photo_name", "the photo's name", func(r *row) *string { return &r.photoName }),
	whole("piece", "its number in the photo, from 1", func(r *row) *int { return &r.Piece }),
	number("trust", "how sure the look was, 0..1", func(r *row) *float64 { return &r.Trust }),
	lists("outline", "its corners in the photo, full-size pixels: x y; and so on", 2, func(r *row) *json.RawMessage { return &r.Outline }),
	truth("corrected", "1 where it was corrected by hand", func(r *row) *bool { return &r.Corrected }),
	number("grams", "what weighed cloth weighs", func(r *row) *float64 { return &r.Grams }),
	text("mark", "by which its print is known again in other photos", func(r *row) *string { return &r.Mark }),
	text("record", "empty for what is held; else what the line is: photo, print, gone (a piece that is), correction, taught, plan, floor or setting", func(r *row) *string { return &r.record }),
	text("data", "such a record in JSON, as the JSON export has it", func(r *row) *string { return &r.data }),
}

// Header is the first row of the CSV: the names of its columns.
func Header() []string {
	header := make([]string, len(columns))
	for i, c := range columns {
		header[i] = c.name
	}
	return header
}

func (c column) fault(text, reason string) error {
	return fmt.Errorf("column %s: %q is %s", c.name, text, reason)
}

func text[T ~string](name, what string, at func(*row) *T) column {
	return column{name, what, func(r *row) string { return string(*at(r)) },
		func(r *row, text string) error { *at(r) = T(text); return nil }}
}

// name is a column of names that people give.
func name(name, what string, at func(*row) *string) column {
	return column{name, what, func(r *row) string { return cell(*at(r)) },
		func(r *row, text string) error { *at(r) = uncell(text); return nil }}
}

// number is a column of figures, 0 being "not known".
func number(name, what string, at func(*row) *float64) column {
	c := column{name: name, what: what, write: func(r *row) string {
		if *at(r) == 0 {
			return ""
		}
		return digits(*at(r))
	}}
	c.read = func(r *row, text string) (err error) {
		if *at(r), err = strconv.ParseFloat(text, 64); err != nil {
			return c.fault(text, "not a number")
		}
		return nil
	}
	return c
}

// mostWhole bounds the whole numbers, so that each is an int.
const mostWhole = 1e9

func whole(name, what string, at func(*row) *int) column {
	c := column{name: name, what: what, write: func(r *row) string {
		if *at(r) == 0 {
			return ""
		}
		return strconv.Itoa(*at(r))
	}}
	c.read = func(r *row, text string) error {
		v, err := strconv.ParseFloat(text, 64)
		switch {
		case err != nil:
			return c.fault(text, "not a number")
		case v != math.Trunc(v) || math.Abs(v) > mostWhole:
			return c.fault(text, "no whole number")
		}
		*at(r) = int(v)
		return nil
	}
	return c
}

func truth(name, what string, at func(*row) *bool) column {
	c := column{name: name, what: what, write: func(r *row) string {
		if *at(r) {
			return "1"
		}
		return ""
	}}
	c.read = func(r *row, text string) error {
		if text != "0" && text != "1" {
			return c.fault(text, "neither 1 nor nothing")
		}
		*at(r) = text == "1"
		return nil
	}
	return c
}

// lists is a column of lists of n figures each.
func lists(name, what string, n int, at func(*row) *json.RawMessage) column {
	c := column{name: name, what: what, write: func(r *row) string {
		var in [][]float64
		_ = json.Unmarshal(*at(r), &in) // the ledger has read it
		return written(in)
	}}
	c.read = func(r *row, text string) error {
		list, err := c.readLists(text, n)
		if err == nil && list != nil {
			*at(r), err = json.Marshal(list)
		}
		return err
	}
	return c
}

func linear(name, what string, at func(*row) **colour.Linear) column {
	c := column{name: name, what: what, write: func(r *row) string {
		if *at(r) == nil {
			return ""
		}
		return written([][]float64{(**at(r))[:]})
	}}
	c.read = func(r *row, text string) error {
		list, err := c.readLists(text, 3)
		if len(list) == 1 {
			*at(r) = (*colour.Linear)(list[0])
		}
		return err
	}
	return c
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
	recordOf("taught", func(c *stash.Content) *[]stash.Example { return &c.Taught }),
	recordOf("plan", func(c *stash.Content) *[]stash.SavedPlan { return &c.Plans }),
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
		cells := make([]string, len(columns))
		for i, k := range columns {
			cells[i] = k.write(&r)
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
		for _, k := range columns {
			if text := cellIn(line, places, k.name); text != "" && err == nil {
				err = k.read(&r, text)
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
