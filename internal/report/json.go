package report

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// contract is the version of the answers below. A key that is added leaves it as it
// is; one that goes, or comes to mean something else, raises it.
const contract = 1

// object is a JSON object: its keys in order, each with its answer. A key that ends in ?
// is absent where there is none, as with a zero or an empty list.
type object []struct {
	key    string
	answer any
}

// MarshalJSON writes the object as it stands, names on pages as they are.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	b.WriteByte('{')
	for _, m := range o {
		key, optional := strings.CutSuffix(m.key, "?")
		if v := reflect.ValueOf(m.answer); optional && (!v.IsValid() || v.IsZero() || v.Kind() == reflect.Slice && v.Len() == 0) {
			continue
		}
		if b.Len() > 1 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.Quote(key) + ":")
		if err := e.Encode(m.answer); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// JSONMark is what the JSON of a look begins with.
const JSONMark = `{"version":1,"reader":"`

// JSON writes l as one line of look --json. Coordinates are rounded to 0.1
// full-size pixel, sizes to 0.01 inch, shares to 0.001, trust to 0.01 and L*
// to 0.1; the same look gives the same bytes. A key with no answer is absent, never zero.
func JSON(w io.Writer, l Looked) error {
	ref := func(k int) object { // to photos[photo] and the piece of that id in it
		return object{{"photo", l.Shelf.Items[k].Photo}, {"id", l.Shelf.Items[k].Piece.ID}}
	}
	return encode(w, object{
		{"version", contract},
		// Two answers with one reader to one photo and the same flags are alike; where it
		// differs, 'stow --again' may find something to change.
		{"reader?", l.Reader},
		{"photos", mapped(l.Sheets, photoJSON)},
		// The pieces of which something may well be wrong, the likeliest wrong first, and
		// of each what may be, the likeliest first, with the trust of that one.
		{"look_first?", mapped(desk.DoubtedOf(l.Sheets), func(d desk.Doubted) object {
			return object{{"photo", d.Photo}, {"id", d.Piece.ID}, {"doubted", d.Of}, {"trust", round(d.Trust, 100)}}
		})},
		{"shelf", object{
			{"bins", mapped(l.Shelf.Groups, func(b shelf.Group) object { // of one hue family, value and cut
				return object{{"family", b.Family}, {"value", b.Value}, {"cut?", b.Cut}, {"count", len(b.Items)}, {"pieces", mapped(b.Items, ref)}}
			})},
			{"thin", mapped(slices.Concat(l.Shelf.Thin, l.Shelf.Missing), thinJSON)},
		}},
		{"refused", some(l.Refused)},
	})
}

// thinJSON returns a colour, a value, or both, of which there is too little, and the floor or
// the median count that it was held against.
func thinJSON(t shelf.Thin) object {
	out := object{{"family?", t.Family}, {"value?", t.Value}, {"count", t.Count}, {"reason", t.Reason}}
	switch t.Reason {
	case shelf.BelowFloor:
		out = append(out, object{{"floor?", t.Against}}...)
	case shelf.SmallShare:
		out = append(out, object{{"middle?", t.Against}}...)
	}
	return out
}

func photoJSON(s cloth.Sheet) object {
	var light, scale object
	if s.Light.From != "" {
		light = object{
			{"white", s.Light.White.Hex()}, {"from", s.Light.From}, {"trust", round(s.Light.Trust, 100)},
			{"lightness_sd?", round(s.Light.LightnessSD, 10)}, // how far L* may be off in all pieces alike
		}
	}
	if s.Scale.PxPerInch > 0 {
		scale = object{
			{"px_per_inch", round(s.Scale.PxPerInch, 100)}, {"from?", s.Scale.From}, {"trust", round(s.Scale.Trust, 100)},
			{"px_per_inch_or?", round(s.Scale.Or, 100)}, // the next likeliest, where it is worth naming
		}
	}
	return object{
		{"file", s.File}, {"width", s.Width}, {"height", s.Height}, {"kind?", s.Kind}, {"light?", light}, {"scale?", scale},
		{"pieces", mapped(s.Pieces, pieceJSON)},
		// What may be a piece and is too doubtful to be one, the likeliest first, and a
		// point in it.
		{"left_out?", mapped(s.Left, func(g cloth.LeftOut) object {
			x, y := leftAt(g)
			return object{{"polygon", points(g.Polygon, 10)}, {"point", [2]float64{x, y}}, {"trust", round(g.Trust, 100)}}
		})},
		{"notes", some(s.Notes)},
	}
}

// pieceJSON returns a piece. With is the family said second, as in "blue with white"; the
// trusts are probabilities that the answer is right, and the keys in _or what is nearly as
// likely.
func pieceJSON(q cloth.Piece) object {
	return object{
		{"id", q.ID}, {"polygon", points(q.Polygon, 10)}, {"corners?", points(q.Corners, 10)},
		{"mean", q.Mean.Hex()}, {"reads_as", q.ReadsAs.Hex()},
		{"colours?", mapped(q.Colours, func(c cloth.Ink) object {
			return object{{"hex", c.Colour.Hex()}, {"share", round(c.Share, 1000)}}
		})},
		{"munsell?", q.Munsell}, {"family?", q.Family}, {"with?", q.With},
		{"family_trust?", round(q.FamilyTrust, 100)}, {"family_or?", q.FamilyOr},
		{"value?", q.Value}, {"value_trust?", round(q.ValueTrust, 100)}, {"value_or?", q.ValueOr},
		{"lightness", round(q.Lightness, 10)}, {"width_in?", round(q.WidthIn, 100)}, {"length_in?", round(q.LengthIn, 100)},
		{"cut?", q.Cut}, {"size_trust?", round(q.SizeTrust, 100)}, {"print?", q.Print}, {"trust", round(q.Trust, 100)},
		{"notes", some(q.Notes)},
	}
}

// some returns a list that is there, though it may be empty.
func some[T any](list []T) []T { return append([]T{}, list...) }

// points keeps corners to 1/per.
func points(p []geom.Point, per float64) [][2]float64 {
	return mapped(p, func(q geom.Point) [2]float64 { return [2]float64{round(q.X, per), round(q.Y, per)} })
}

// round keeps x to 1/per; a zero is written without a sign.
func round(x, per float64) float64 {
	return math.Round(x*per)/per + 0
}

// NamesJSON returns colours with their names, in order, and what was refused: each about a
// text that is no colour, and worded for its reader.
func NamesJSON(names []desk.Named, refused []*fault.Error) any {
	return object{{"colours", mapped(names, func(n desk.Named) object {
		return object{{"hex", n.Colour.Hex()}, {"munsell?", n.Munsell}, {"family?", n.Family}, {"value?", n.Value}, {"lightness", round(n.Lightness, 10)}}
	})}, {"refused?", mapped(refused, func(f *fault.Error) object {
		return object{{"colour", f.About}, {"error", f.Why + "; " + f.Remedy}}
	})}}
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
