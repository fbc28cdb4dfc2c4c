package report

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// contract is the version of the answers below. A key that is added leaves it as it
// is; one that goes, or comes to mean something else, raises it.
const contract = 1

// The structs below are the contract of look --json and name --json. A key
// with no answer is absent, never zero.
type (
	jsonLook struct {
		Version int `json:"version"` // of this contract
		// Reader is what read the photos: two answers with one reader to one photo
		// and the same flags are alike; where it differs, 'stow --again' may find
		// something to change.
		Reader string      `json:"reader,omitempty"`
		Photos []jsonPhoto `json:"photos"`
		// LookFirst are the pieces of which something may well be wrong, the likeliest
		// wrong first.
		LookFirst []jsonDoubted `json:"look_first,omitempty"`
		Shelf     jsonShelf     `json:"shelf"`
		Refused   []Refused     `json:"refused"`
	}
	jsonPhoto struct {
		File   string      `json:"file"`
		Width  int         `json:"width"`
		Height int         `json:"height"`
		Kind   cloth.Kind  `json:"kind,omitempty"`
		Light  *jsonLight  `json:"light,omitempty"`
		Scale  *jsonScale  `json:"scale,omitempty"`
		Pieces []jsonPiece `json:"pieces"`
		// Left is what may be a piece and is too doubtful to be one, the likeliest first.
		Left  []jsonLeft `json:"left_out,omitempty"`
		Notes []string   `json:"notes"`
	}
	// jsonDoubted is a piece of photos[Photo], what of it may be wrong, the likeliest
	// first, and the trust of that one.
	jsonDoubted struct {
		Photo   int          `json:"photo"`
		ID      int          `json:"id"`
		Doubted []desk.Doubt `json:"doubted"`
		Trust   float64      `json:"trust"`
	}
	jsonLeft struct {
		Polygon [][2]float64 `json:"polygon"`
		Point   [2]float64   `json:"point"` // in it
		Trust   float64      `json:"trust"`
	}
	jsonLight struct {
		White string  `json:"white"`
		From  string  `json:"from"`
		Trust float64 `json:"trust"`
		// LightnessSD is how far L* may be off in all pieces alike, one standard deviation.
		LightnessSD float64 `json:"lightness_sd,omitempty"`
	}
	jsonScale struct {
		PxPerInch float64 `json:"px_per_inch"`
		From      string  `json:"from,omitempty"`
		Trust     float64 `json:"trust"`
		// Or is the next likeliest scale, where it is worth naming.
		Or float64 `json:"px_per_inch_or,omitempty"`
	}
	jsonPiece struct {
		ID      int          `json:"id"`
		Polygon [][2]float64 `json:"polygon"`
		Corners [][2]float64 `json:"corners,omitempty"`
		Mean    string       `json:"mean"`
		ReadsAs string       `json:"reads_as"`
		Colours []jsonSwatch `json:"colours,omitempty"`
		Munsell string       `json:"munsell,omitempty"`
		Family  cloth.Family `json:"family,omitempty"`
		// With is the family said second, as in "blue with white".
		With cloth.Family `json:"with,omitempty"`
		// FamilyTrust and ValueTrust are the probabilities that they are right, FamilyOr
		// and ValueOr what is nearly as likely.
		FamilyTrust float64      `json:"family_trust,omitempty"`
		FamilyOr    cloth.Family `json:"family_or,omitempty"`
		Value       cloth.Value  `json:"value,omitempty"`
		ValueTrust  float64      `json:"value_trust,omitempty"`
		ValueOr     cloth.Value  `json:"value_or,omitempty"`
		Lightness   float64      `json:"lightness"`
		WidthIn     float64      `json:"width_in,omitempty"`
		LengthIn    float64      `json:"length_in,omitempty"`
		Cut         string       `json:"cut,omitempty"`
		SizeTrust   float64      `json:"size_trust,omitempty"`
		Print       string       `json:"print,omitempty"`
		Trust       float64      `json:"trust"`
		Notes       []string     `json:"notes"`
	}
	jsonSwatch struct {
		Hex   string  `json:"hex"`
		Share float64 `json:"share"`
	}
	jsonShelf struct {
		Bins []jsonBin  `json:"bins"`
		Thin []jsonThin `json:"thin"`
	}
	// jsonBin is one box: the pieces of one hue family, value and cut.
	jsonBin struct {
		Family cloth.Family `json:"family"`
		Value  cloth.Value  `json:"value"`
		Cut    string       `json:"cut,omitempty"`
		Count  int          `json:"count"`
		Pieces []jsonRef    `json:"pieces"`
	}
	// jsonRef points to photos[Photo] and the piece of that id in it.
	jsonRef struct {
		Photo int `json:"photo"`
		ID    int `json:"id"`
	}
	// jsonThin is a colour, a value, or both, of which there is too little;
	// the reason is "below the floor", "less than half of the middle share"
	// or "missing".
	jsonThin struct {
		Family cloth.Family `json:"family,omitempty"`
		Value  cloth.Value  `json:"value,omitempty"`
		Count  int          `json:"count"`
		Reason shelf.Reason `json:"reason"`
		Floor  float64      `json:"floor,omitempty"`
		Middle float64      `json:"middle,omitempty"` // the median count
	}
	jsonNames struct {
		Colours []jsonName      `json:"colours"`
		Refused []RefusedColour `json:"refused,omitempty"`
	}
	jsonName struct {
		Hex       string       `json:"hex"`
		Munsell   string       `json:"munsell,omitempty"`
		Family    cloth.Family `json:"family,omitempty"`
		Value     cloth.Value  `json:"value,omitempty"`
		Lightness float64      `json:"lightness"`
	}
)

// JSONMark is what the JSON of a look begins with.
const JSONMark = `{"version":1,"reader":"`

// JSON writes l as one line of look --json. Coordinates are rounded to 0.1
// full-size pixel, sizes to 0.01 inch, shares to 0.001, trust to 0.01 and L*
// to 0.1; the same look gives the same bytes.
func JSON(w io.Writer, l Look) error {
	return encode(w, jsonLook{
		Version: contract, Reader: l.Reader,
		Photos: mapped(l.Sheets, photoJSON),
		LookFirst: mapped(desk.DoubtedOf(l.Sheets), func(d desk.Doubted) jsonDoubted {
			return jsonDoubted{d.Photo, d.Piece.ID, d.Of, round(d.Trust, 100)}
		}),
		Shelf: jsonShelf{
			Bins: mapped(l.Shelf.Bins, func(b shelf.Bin) jsonBin {
				return jsonBin{b.Family, b.Value, b.Cut, len(b.Items), mapped(b.Items, func(k int) jsonRef {
					return jsonRef{l.Shelf.Items[k].Photo, l.Shelf.Items[k].Piece.ID}
				})}
			}),
			Thin: mapped(slices.Concat(l.Shelf.Thin, l.Shelf.Missing), thinJSON),
		},
		Refused: mapped(l.Refused, func(r Refused) Refused { return r }),
	})
}

func thinJSON(t shelf.Thin) jsonThin {
	out := jsonThin{Family: t.Family, Value: t.Value, Count: t.Count, Reason: t.Reason}
	switch t.Reason {
	case shelf.BelowFloor:
		out.Floor = t.Against
	case shelf.SmallShare:
		out.Middle = t.Against
	}
	return out
}

func photoJSON(s cloth.Sheet) jsonPhoto {
	p := jsonPhoto{
		File: s.File, Width: s.Width, Height: s.Height, Kind: s.Kind, Pieces: mapped(s.Pieces, pieceJSON), Notes: some(s.Notes),
		Left: mapped(s.Left, func(g cloth.LeftOut) jsonLeft {
			x, y := leftAt(g)
			return jsonLeft{points(g.Polygon, 10), [2]float64{x, y}, round(g.Trust, 100)}
		}),
	}
	if s.Light.From != "" {
		p.Light = &jsonLight{White: s.Light.White.Hex(), From: s.Light.From, Trust: round(s.Light.Trust, 100), LightnessSD: round(s.Light.LightnessSD, 10)}
	}
	if s.Scale.PxPerInch > 0 {
		p.Scale = &jsonScale{PxPerInch: round(s.Scale.PxPerInch, 100), From: s.Scale.From, Trust: round(s.Scale.Trust, 100), Or: round(s.Scale.Or, 100)}
	}
	return p
}

func pieceJSON(q cloth.Piece) jsonPiece {
	return jsonPiece{
		ID: q.ID, Polygon: points(q.Polygon, 10), Corners: points(q.Corners, 10),
		Mean: q.Mean.Hex(), ReadsAs: q.ReadsAs.Hex(), Munsell: q.Munsell,
		Colours: mapped(q.Colours, func(c cloth.Swatch) jsonSwatch { return jsonSwatch{c.Colour.Hex(), round(c.Share, 1000)} }),
		Family:  q.Family, With: q.With, FamilyTrust: round(q.FamilyTrust, 100), FamilyOr: q.FamilyOr,
		Value: q.Value, ValueTrust: round(q.ValueTrust, 100), ValueOr: q.ValueOr, Lightness: round(q.Lightness, 10),
		WidthIn: round(q.WidthIn, 100), LengthIn: round(q.LengthIn, 100),
		Cut: q.Cut, SizeTrust: round(q.SizeTrust, 100), Print: q.Print, Trust: round(q.Trust, 100),
		Notes: some(q.Notes),
	}
}

// points keeps corners to 1/per.
func points(p []geom.Point, per float64) [][2]float64 {
	return mapped(p, func(q geom.Point) [2]float64 { return [2]float64{round(q.X, per), round(q.Y, per)} })
}

// round keeps x to 1/per; a zero is written without a sign.
func round(x, per float64) float64 {
	return math.Round(x*per)/per + 0
}

// RefusedColour is what was asked for as a colour and is none, and why.
type RefusedColour struct {
	Colour string `json:"colour"`
	Error  string `json:"error"`
}

// NamesJSON is colours with their names, in order, and what was refused.
func NamesJSON(names []desk.Named, refused []RefusedColour) any {
	return jsonNames{Refused: refused, Colours: mapped(names, func(n desk.Named) jsonName {
		return jsonName{Hex: n.Colour.Hex(), Munsell: n.Munsell, Family: n.Family, Value: n.Value, Lightness: round(n.Lightness, 10)}
	})}
}

// encode writes one line of JSON, fit for a terminal.
func encode(w io.Writer, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(cloth.PrintableJSON(b.Bytes()))
	return err
}
