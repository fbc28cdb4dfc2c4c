package stash

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Imported is what became of a file.
type Imported struct {
	Known   bool   // the same bytes were imported before; nothing was added
	Added   int    // holdings that came in
	Skipped int    // holdings of photos that the stash knew already
	Sum     Change // the change made; zero where Known
}

// Import reads, in one change, what ExportCSV or ExportJSON wrote, or a plain
// spreadsheet of squares saved as CSV (see readSheet). name is the file's name.
// The file that was imported before adds nothing; neither do the holdings of a
// photo that the stash knows. A file with a fault is refused whole, its line
// named.
func (s *Stash) Import(ctx context.Context, name string, data []byte) (Imported, error) {
	name = cleanName(name)
	d, err := readDocument(name, bytes.TrimPrefix(data, []byte("\uFEFF")))
	if err != nil {
		return Imported{}, err
	}
	var out Imported
	hash := Hash(data)
	out.Sum, err = s.change(ctx, "import", func(t *tx) (string, error) {
		out.Added, out.Skipped = 0, 0
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
		out.Added, out.Skipped, err = t.load(name, d)
		return fmt.Sprintf("%s: %d entries", name, out.Added), err
	})
	if errors.Is(err, errKnown) {
		return Imported{Known: true}, nil
	}
	if err != nil {
		return Imported{}, err
	}
	return out, nil
}

// readDocument tells the three kinds of file apart by their content.
func readDocument(name string, data []byte) (document, error) {
	if trimmed := bytes.TrimSpace(data); len(trimmed) > 0 && trimmed[0] == '{' {
		return readJSON(name, trimmed)
	}
	lines, err := readLines(name, data)
	if err != nil {
		return document{}, err
	}
	for _, c := range []string{"form", "count", "width_in"} {
		if !slices.Contains(lines[0], c) {
			return readSheet(name, lines)
		}
	}
	return readCSV(name, lines)
}

func readJSON(name string, data []byte) (document, error) {
	var d document
	err := json.Unmarshal(data, &d)
	switch {
	case err != nil:
		return d, &Error{name, "it cannot be read as JSON: " + err.Error(), "export it again", because(ErrRefused, err)}
	case d.Format != documentFormat:
		return d, refuse(name, "this is no export of a stash", "give a file that export wrote, or a spreadsheet as CSV")
	case d.Version > documentVersion:
		return d, &Error{name, "it was written by a newer piecebag", "use the newer piecebag", ErrNewer}
	}
	return d, nil
}

// readLines reads CSV whose cells are parted by commas, semicolons or tabs,
// whichever the first line has most of.
func readLines(name string, data []byte) ([][]string, error) {
	first, _, _ := bytes.Cut(data, []byte("\n"))
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	r.LazyQuotes = true // inches are written 2½"
	for _, c := range []rune{';', '\t'} {
		if bytes.Count(first, []byte(string(c))) > bytes.Count(first, []byte(string(r.Comma))) {
			r.Comma = c
		}
	}
	lines, err := r.ReadAll()
	if err != nil {
		return nil, &Error{name, "it cannot be read as CSV: " + err.Error(), "save the spreadsheet as CSV (UTF-8) again", because(ErrRefused, err)}
	}
	if len(lines) < 2 {
		return nil, refuse(name, "it holds no line of a stash", "give a first line that names the columns, then a line for each kind of piece")
	}
	return lines, nil
}

func lineError(name string, line int, err error) error {
	return refuse(fmt.Sprintf("%s, line %d", name, line), err.Error(), "mend that line; nothing was imported")
}

// readCSV reads what ExportCSV wrote, its columns in any order.
func readCSV(name string, lines [][]string) (document, error) {
	var d document
	seen := map[string]bool{}
	for i, line := range lines[1:] {
		get := func(column string) string {
			if k := slices.Index(lines[0], column); k >= 0 && k < len(line) {
				return strings.TrimSpace(line[k])
			}
			return ""
		}
		h, err := parseHolding(get)
		if err != nil {
			return document{}, lineError(name, i+2, err)
		}
		if h.Photo != "" && !seen[h.Photo] {
			seen[h.Photo] = true
			d.Photos = append(d.Photos, photoJSON{Hash: h.Photo, Name: uncell(get("photo_name"))})
		}
		d.Holdings = append(d.Holdings, h)
	}
	return d, nil
}

func parseHolding(get func(column string) string) (holdingJSON, error) {
	var err error
	num := func(column string) float64 {
		text := get(column)
		if text == "" {
			return 0
		}
		v, e := strconv.ParseFloat(text, 64)
		if e != nil && err == nil {
			err = fmt.Errorf("column %s: %q is no number", column, text)
		}
		return v
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
		Form: cloth.Form(get("form")), Count: int(num("count")), WidthIn: num("width_in"), LengthIn: num("length_in"), AreaIn2: num("area_in2"),
		Family: cloth.Family(get("family")), Value: cloth.Value(get("value")),
		Bin: uncell(get("bin")), Print: uncell(get("print")), Basket: uncell(get("basket")),
		Lightness: num("lightness"), MotifIn: num("motif_in"), Photo: get("photo"), Piece: int(num("piece")),
		Trust: num("trust"), Corrected: get("corrected") == "1",
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
	check := row{Holding: cloth.Holding{Form: h.Form, Count: h.Count, WidthIn: h.WidthIn, LengthIn: h.LengthIn, AreaIn2: h.AreaIn2,
		Family: h.Family, Value: h.Value, Colours: swatches}, outline: polygon}
	if err := tidy(&check); err != nil {
		return h, err
	}
	h.Colours, h.Outline = json.RawMessage(writeSwatches(swatches)), json.RawMessage(writeOutline(polygon))
	return h, nil
}

// load brings a document in.
func (t *tx) load(name string, d document) (added, skipped int, err error) {
	ours := map[string]bool{} // names that mean a print of this stash
	for _, p := range d.Prints {
		known, err := t.loadPrint(p)
		if err != nil {
			return 0, 0, err
		}
		ours[p.Name] = known
	}
	photos := map[string]int64{} // those that came in with the document
	for _, p := range d.Photos {
		id, err := t.loadPhoto(name, p)
		if err != nil {
			return 0, 0, err
		}
		if id != 0 {
			photos[p.Hash] = id
		}
	}
	var rows []row
	for i, j := range d.Holdings {
		id, ok := photos[j.Photo]
		if j.Photo != "" && !ok {
			skipped++
			continue
		}
		h, err := j.row()
		if err == nil {
			err = h.checkGone()
		}
		if err != nil {
			return 0, 0, lineError(name, i+1, err)
		}
		h.photo = id
		if h.Measured && numbered.MatchString(h.Print) {
			known, seen := ours[h.Print]
			if !seen {
				if known, err = t.printKnown(h.Print); err != nil {
					return 0, 0, err
				}
				ours[h.Print] = known
			}
			if known {
				h.Print = labelMark + h.Print
			} else if _, err := t.printID(h.Print); err != nil { // or namePrints may give the name away
				return 0, 0, err
			}
		}
		rows = append(rows, h)
	}
	if err := t.namePrints(rows); err != nil {
		return 0, 0, err
	}
	for i := range rows {
		if err := t.put(&rows[i]); err != nil {
			return 0, 0, err
		}
	}
	return len(rows), skipped, t.loadRest(name, d, photos)
}

// numbered are the names that newPrint gives. Two stashes may each have a print
// 1: where the stash has such a name, it goes by the colours.
var numbered = regexp.MustCompile(`^print \d+$`)

func (t *tx) printKnown(name string) (bool, error) {
	var n int
	err := t.one(`SELECT count(*) FROM print WHERE name = ?`, []any{name}, &n)
	return n > 0, err
}

// checkGone is tidy for a row that may be gone.
func (h *row) checkGone() error {
	if h.Count == 0 && h.gone != "" {
		h.Count = 1
		defer func() { h.Count = 0 }()
	}
	return tidy(h)
}

// loadPrint notes a print; known says that the stash has one of that name.
func (t *tx) loadPrint(p printJSON) (known bool, err error) {
	if known, err = t.printKnown(cleanName(p.Name)); known || err != nil {
		return known, err
	}
	inks, err := readSwatches(string(p.Inks))
	if err != nil {
		return false, err
	}
	var l, a, b any
	if p.Lab != nil {
		l, a, b = p.Lab[0], p.Lab[1], p.Lab[2]
	}
	return false, t.exec(`INSERT INTO print (name, l, a, b, inks) VALUES (?, ?, ?, ?, ?)`, cleanName(p.Name), l, a, b, writeSwatches(inks))
}

// loadPhoto notes a photo whose file is not kept; 0 where it is known.
func (t *tx) loadPhoto(name string, p photoJSON) (int64, error) {
	if len(p.Hash) != 64 || strings.Trim(p.Hash, "0123456789abcdef") != "" {
		return 0, refuse(name, fmt.Sprintf("%q is not the SHA-256 of a photo", p.Hash), "export it again; nothing was imported")
	}
	var n int
	if err := t.QueryRowContext(t.ctx, `SELECT count(*) FROM photo WHERE hash = ?`, p.Hash).Scan(&n); err != nil || n > 0 {
		return 0, err
	}
	if p.At == 0 {
		p.At = t.at
	}
	return t.insert(`INSERT INTO photo (hash, name, file, size, at, kind, form, basket, cut_in, px_per_inch) VALUES (?, ?, '', ?, ?, ?, ?, ?, ?, ?)`,
		p.Hash, cleanName(p.Name), p.Size, p.At, string(p.Kind), string(p.Form), cleanName(p.Basket), p.CutIn, p.PxPerInch)
}

func (t *tx) loadRest(name string, d document, photos map[string]int64) error {
	for _, c := range d.Corrections {
		id, ok := photos[c.Photo]
		if !ok {
			continue
		}
		outline, err := readOutline(string(c.Outline))
		if err != nil {
			return err
		}
		var k said
		if err := json.Unmarshal(c.What, &k); err != nil {
			return refuse(name, "a correction in it cannot be read", "export it again; nothing was imported")
		}
		if err := t.exec(`INSERT INTO correction (photo, outline, what) VALUES (?, ?, ?)`, id, writeOutline(outline), asJSON(k)); err != nil {
			return err
		}
	}
	for _, e := range d.Taught {
		if cleanName(e.Bin) == "" || e.Example == nil {
			return refuse(name, "an example in it has no bin, or nothing to show", "export it again; nothing was imported")
		}
		if err := t.exec(`INSERT INTO taught (bin, what) VALUES (?, ?)`, cleanName(e.Bin), compact(e.Example)); err != nil {
			return err
		}
	}
	for _, p := range d.Plans {
		if cleanName(p.Name) == "" || p.Plan == nil {
			return refuse(name, "a plan in it has no name, or nothing to make", "export it again; nothing was imported")
		}
		if err := t.savePlan(cleanName(p.Name), p.At, []byte(compact(p.Plan))); err != nil {
			return err
		}
	}
	for _, f := range d.Floors {
		if err := f.tidy(); err != nil {
			return err
		}
		if err := t.setFloor(f); err != nil {
			return err
		}
	}
	v := DefaultSettings
	fields := v.fields()
	for _, k := range sortedKeys(d.Settings) {
		if fields[k] == nil {
			continue
		}
		*fields[k] = d.Settings[k]
		if err := t.exec(`INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value`, k, d.Settings[k]); err != nil {
			return err
		}
	}
	return v.check()
}

// compact undoes what indenting a document did to JSON inside it.
func compact(data json.RawMessage) string {
	var b bytes.Buffer
	if err := json.Compact(&b, data); err != nil {
		return string(data)
	}
	return b.String()
}
