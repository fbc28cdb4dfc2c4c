package stash

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/shelf"
)

// Content is all that a stash holds but the photos' bytes, the history and what
// undo needs.
type Content struct {
	Settings    map[string]float64 `json:"settings"`
	Floors      []shelf.Floor      `json:"floors"`
	Photos      []PhotoRecord      `json:"photos"`
	Prints      []PrintRecord      `json:"prints"`
	Holdings    []HoldingRecord    `json:"holdings"`
	Corrections []CorrectionRecord `json:"corrections"`
	Taught      []ExampleRecord    `json:"taught"`
	Plans       []PlanRecord       `json:"plans"`
}

// Content reads the stash at one moment.
func (s *Stash) Content(ctx context.Context) (c Content, err error) {
	err = s.reading(ctx, func(q queryer) error { return c.read(ctx, q) })
	return c, err
}

// PhotoRecord is a photo whose file is not in the Content.
type PhotoRecord struct {
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

// columns returns those of a photo; another look changes them from its kind on.
func (p *PhotoRecord) columns() []column {
	return []column{
		{"hash", &p.Hash}, {"name", &p.Name}, {"size", &p.Size}, {"at", &p.At},
		{"kind", &p.Kind}, {"form", &p.Form}, {"basket", &p.Basket}, {"cut_in", &p.CutIn},
		{"px_per_inch", &p.PxPerInch}, {"width", &p.Width}, {"height", &p.Height},
	}
}

// PrintRecord is a print.
type PrintRecord struct {
	Name string      `json:"name"`
	Lab  *[3]float64 `json:"lab,omitempty"` // CIELAB D65
}

// HoldingRecord is a holding. With a Count of 0 it is gone, and kept only to be recognised
// in its photo.
type HoldingRecord struct {
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

// CorrectionRecord is what you said of a piece of a photo.
type CorrectionRecord struct {
	Photo   string          `json:"photo"`
	Outline json.RawMessage `json:"outline"`
	What    json.RawMessage `json:"what"`
}

// ExampleRecord is an example of a bin of your own, as package teach writes it; of what is in
// none of them, where Bin is empty.
type ExampleRecord struct {
	Bin     string          `json:"bin"`
	Holding int             `json:"holding,omitempty"` // of a Content: which of its holdings it was learnt from, from 1
	What    json.RawMessage `json:"example"`
}

// PlanRecord is a plan that you saved; the stash only keeps its bytes.
type PlanRecord struct {
	Name string          `json:"name"`
	At   int64           `json:"at"` // ms since 1970 UTC
	Plan json.RawMessage `json:"plan"`
}

func (c *Content) read(ctx context.Context, q queryer) error {
	var errs [8]error
	c.Photos, errs[0] = rowsOf(ctx, q, func(p *PhotoRecord) []any { return places(p.columns()) },
		`SELECT hash, name, size, at, kind, form, basket, cut_in, px_per_inch, width, height FROM photo ORDER BY id`)
	c.Prints, errs[1] = rowsOf(ctx, q, func(p *PrintRecord) []any {
		p.Lab = new([3]float64)
		return []any{&p.Name, &p.Lab[0], &p.Lab[1], &p.Lab[2], into(func(measured any) error {
			if measured == int64(0) {
				p.Lab = nil
			}
			return nil
		})}
	}, `SELECT name, coalesce(l, 0), coalesce(a, 0), coalesce(b, 0), l IS NOT NULL FROM print ORDER BY id`)
	rows, err := rowsOf(ctx, q, (*row).columns, selectRows+`ORDER BY h.id`)
	errs[2], c.Holdings = err, eachAs(rows, row.json)
	places := map[int64]int{} // of the holdings in the document
	for i, h := range rows {
		places[h.ID] = i + 1
	}
	c.Corrections, errs[3] = rowsOf(ctx, q, func(k *CorrectionRecord) []any {
		return []any{&k.Photo, (*[]byte)(&k.Outline), (*[]byte)(&k.What)}
	}, `SELECT p.hash, c.outline, c.what FROM correction c JOIN photo p ON p.id = c.photo ORDER BY c.id`)
	c.Taught, errs[4] = taught(ctx, q, places)
	c.Plans, errs[5] = plansOf(ctx, q, `id`)
	c.Floors, errs[6] = floorsOf(ctx, q)
	c.Settings, errs[7] = keptSettings(ctx, q)
	return cmp.Or(errs[:]...)
}

func (h row) json() HoldingRecord {
	out := HoldingRecord{
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

func (j HoldingRecord) row() (row, error) {
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

// Check refuses what is no holding, gone ones aside.
func (j HoldingRecord) Check() error {
	h, err := j.row()
	if err == nil {
		err = h.checkGone()
	}
	return err
}

// reading gives f one state of the ledger, whatever is changed meanwhile.
func (s *Stash) reading(ctx context.Context, f func(q queryer) error) error {
	tx, err := s.r.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return Explain(s.file, err)
	}
	defer tx.Rollback()
	return Explain(s.file, f(tx))
}
