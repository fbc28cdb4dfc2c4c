package stash

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// Imported is what became of a file.
type Imported struct {
	Known   bool     // the same content was imported before; nothing was added
	Added   int      // holdings that came in
	Skipped int      // holdings of photos that the stash knew already
	Pieces  int      // in the holdings that came in, weighed cloth left out
	Photos  int      // that came in, without their files
	Prints  int      // that came in
	Notes   []string // what was passed over, a clause each
	Sum     Change   // the change made; zero where Known
}

// String says what came in.
func (m Imported) String() string {
	return strings.Join([]string{pieces(m.Pieces), cloth.Count(m.Photos, "photo"), cloth.Count(m.Prints, "print")}, ", ")
}

// Import reads, in one change, what ExportCSV or ExportJSON wrote, or a plain
// spreadsheet of squares saved as CSV (see readSheet). name is the file's name.
// Content that was imported before adds nothing; neither do the holdings of a
// photo that the stash knows. A file with a fault is refused whole, its line
// named.
func (s *Stash) Import(ctx context.Context, name string, data []byte) (Imported, error) {
	name = cleanName(name)
	d, hash, err := readDocument(name, bytes.TrimPrefix(data, []byte("\uFEFF")))
	if err != nil {
		return Imported{}, err
	}
	var out Imported
	sum, err := s.change(ctx, "import", func(t *tx) (string, error) {
		var n int
		if err := t.QueryRowContext(ctx, `SELECT count(*) FROM imported WHERE hash = ?`, hash).Scan(&n); err != nil {
			return "", err
		}
		if n > 0 {
			return "", errKnown
		}
		if err := t.exec(`INSERT INTO imported (hash, name, at) VALUES (?, ?, ?)`, hash, name, t.at); err != nil {
			return "", err
		}
		var err error
		out, err = t.load(name, d)
		return name + ": " + out.String(), err
	})
	if errors.Is(err, errKnown) {
		return Imported{Known: true}, nil
	}
	if err != nil {
		return Imported{}, err
	}
	out.Notes, out.Sum = d.notes, sum
	return out, nil
}

// readDocument tells the three kinds of file apart by their content. The hash is
// that of what is said, not of how it is laid out.
func readDocument(name string, data []byte) (d document, hash string, err error) {
	if trimmed := bytes.TrimSpace(data); len(trimmed) > 0 && trimmed[0] == '{' {
		d, err = readJSON(name, trimmed)
		return d, Hash([]byte(compact(trimmed))), err
	}
	t, err := readTable(name, data)
	if err != nil {
		return document{}, "", err
	}
	ours := true
	for _, c := range []string{"form", "count", "width_in"} {
		ours = ours && slices.Contains(t.Header, c)
	}
	switch {
	case ours:
		d, err = readCSV(name, t)
	case len(t.Lines) == 0:
		err = refuse(name, "it has no line to import", "give a first line that names the columns, then a line for each kind of piece")
	default:
		d, err = readSheet(name, t)
	}
	return d, Hash([]byte(asJSON(t))), err
}

func readJSON(name string, data []byte) (document, error) {
	var d document
	err := fromJSON(data, &d)
	switch {
	case err != nil:
		return d, fault.New(name, "it cannot be read: "+err.Error(), "export it again; nothing was imported", ErrRefused, err)
	case d.Format != documentFormat:
		return d, refuse(name, "this is not an export of a stash", "give a file that export wrote, or a spreadsheet as CSV")
	case len(d.Holdings) > mostEntries:
		return d, tooMany(name)
	case d.Version > documentVersion:
		return d, fault.New(name, "it was written by a newer piecebag", "use the newer piecebag", ErrNewer)
	}
	return d, nil
}

// mostWhole bounds the whole numbers of a CSV, so that each is an int.
const mostWhole = 1e9

func parseHolding(get func(column string) string) (holdingJSON, error) {
	var err error
	num := func(column string) float64 {
		text := get(column)
		if text == "" {
			return 0
		}
		v, e := strconv.ParseFloat(text, 64)
		if e != nil && err == nil {
			err = fmt.Errorf("column %s: %q is not a number", column, text)
		}
		return v
	}
	whole := func(column string) int {
		v := num(column)
		if (v != math.Trunc(v) || math.Abs(v) > mostWhole || math.IsNaN(v)) && err == nil {
			err = fmt.Errorf("column %s: %q is no whole number", column, get(column))
		}
		if err != nil {
			return 0
		}
		return int(v)
	}
	list := func(column string, n int) [][]float64 {
		var out [][]float64
		for _, part := range strings.Split(get(column), ";") {
			fields := strings.Fields(part)
			if len(fields) == 0 {
				continue
			}
			v := make([]float64, len(fields))
			for i, f := range fields {
				x, e := strconv.ParseFloat(f, 64)
				if (e != nil || len(fields) != n) && err == nil {
					err = fmt.Errorf("column %s: %q is not %d numbers", column, part, n)
				}
				v[i] = x
			}
			out = append(out, v)
		}
		return out
	}
	h := holdingJSON{
		Form: cloth.Form(get("form")), Count: whole("count"), WidthIn: num("width_in"), LengthIn: num("length_in"), AreaIn2: num("area_in2"), Grams: num("grams"),
		Family: cloth.Family(get("family")), Value: cloth.Value(get("value")),
		Bin: uncell(get("bin")), Print: uncell(get("print")), Basket: uncell(get("basket")),
		Lightness: num("lightness"), MotifIn: num("motif_in"), Mark: get("mark"), Photo: get("photo"), Piece: whole("piece"),
		Trust: num("trust"), Corrected: get("corrected") == "1",
	}
	if c := get("corrected"); c != "" && c != "0" && c != "1" && err == nil {
		err = fmt.Errorf("column corrected: %q is neither 1 nor nothing", c)
	}
	mean, reads := list("mean", 3), list("reads_as", 3)
	colours, outline := list("colours", 4), list("outline", 2)
	if err != nil {
		return h, err
	}
	if len(mean) == 1 {
		h.Mean = (*colour.Linear)(mean[0])
	}
	if len(reads) == 1 {
		h.ReadsAs = (*colour.Linear)(reads[0])
	}
	var swatches []cloth.Swatch
	for _, c := range colours {
		swatches = append(swatches, cloth.Swatch{Colour: colour.Linear(c[:3]), Share: c[3]})
	}
	var polygon geom.Polygon
	for _, p := range outline {
		polygon = append(polygon, geom.Point{X: p[0], Y: p[1]})
	}
	check := row{Holding: cloth.Holding{Form: h.Form, Count: h.Count, WidthIn: h.WidthIn, LengthIn: h.LengthIn, AreaIn2: h.AreaIn2, Grams: h.Grams,
		Family: h.Family, Value: h.Value, Colours: swatches}, outline: polygon}
	if err := tidy(&check); err != nil {
		return h, err
	}
	h.Colours, h.Outline = json.RawMessage(writeSwatches(swatches)), json.RawMessage(writeOutline(polygon))
	return h, nil
}

// compact undoes what indenting a document did to JSON inside it.
func compact(data json.RawMessage) string {
	var b bytes.Buffer
	if err := json.Compact(&b, data); err != nil {
		return string(data)
	}
	return b.String()
}
