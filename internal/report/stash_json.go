package report

import (
	"io"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// The structs below are the contract of shelf --json. A key with no answer is
// absent.
type (
	jsonStash struct {
		Part      string       `json:"part,omitempty"`
		Sized     int          `json:"sized"` // pieces of known size
		Seen      int          `json:"seen"`  // pieces whose size is not known
		WeighedIn float64      `json:"weighed_in2,omitempty"`
		Prints    int          `json:"prints,omitempty"` // absent where they were not told apart
		Unnamed   int          `json:"unnamed,omitempty"`
		TrimIn    float64      `json:"trim_in"`
		Bins      []jsonBox    `json:"bins"`
		Yields    []jsonYield  `json:"yields"`
		Thin      []jsonShort  `json:"thin"`
		Missing   []jsonThin   `json:"missing"`
		Families  []jsonPart   `json:"families"`
		Values    []jsonPart   `json:"values"`
		Since     string       `json:"since,omitempty"`
		Changes   []JSONChange `json:"changes,omitempty"`
	}
	// jsonPlace is a box: your own bin, or a family and a value; and a cut.
	jsonPlace struct {
		Bin      string       `json:"bin,omitempty"`
		Family   cloth.Family `json:"family,omitempty"`
		Value    cloth.Value  `json:"value,omitempty"`
		Cut      string       `json:"cut,omitempty"`
		Form     cloth.Form   `json:"form,omitempty"`
		WidthIn  float64      `json:"width_in,omitempty"`
		LengthIn float64      `json:"length_in,omitempty"`
	}
	jsonBox struct {
		jsonPlace
		Count     int         `json:"count"`
		Seen      int         `json:"seen,omitempty"`
		WeighedIn float64     `json:"weighed_in2,omitempty"`
		Prints    int         `json:"prints"`
		Yields    []jsonYield `json:"yields,omitempty"`
		Thin      bool        `json:"thin,omitempty"`
	}
	jsonYield struct {
		SizeIn float64 `json:"size_in"`
		Count  int     `json:"count"`
	}
	// jsonShort is thin: it holds Count, wants Want, and so lacks Missing.
	jsonShort struct {
		jsonPlace
		Count      int          `json:"count"`
		Want       int          `json:"want"`
		Missing    int          `json:"missing"`
		Reason     shelf.Reason `json:"reason"`
		Why        string       `json:"why"`
		FromStrips int          `json:"from_strips,omitempty"`
	}
	jsonPart struct {
		Family cloth.Family `json:"family,omitempty"`
		Value  cloth.Value  `json:"value,omitempty"`
		Count  int          `json:"count"`
		Share  float64      `json:"share"`
		AreaIn float64      `json:"area_in2,omitempty"`
	}
	// JSONChange is how much more (or less, below zero) a box holds.
	JSONChange struct {
		jsonPlace
		Count  int     `json:"count"`
		AreaIn float64 `json:"area_in2,omitempty"`
	}
)

// StashJSON writes s as one line of shelf --json. Lengths are rounded to 0.001
// inch, areas to 0.1 square inch, shares to 0.001.
func StashJSON(w io.Writer, s Stash) error {
	k := s.Stock
	return encode(w, jsonStash{
		Sized: k.Totals.Sized, Seen: k.Totals.Seen, WeighedIn: round(k.Totals.Weighed, 10), Prints: k.Totals.Prints,
		Unnamed: k.Totals.Unnamed, TrimIn: round(k.Trim, 1000), Since: s.Since, Part: s.Part,
		Yields: yieldsJSON(k.Yields), Changes: ChangesJSON(s.Changes),
		Bins: mapped(k.Boxes, func(b shelf.Box) jsonBox {
			_, thin := shortOf(k.Short, b)
			return jsonBox{
				jsonPlace: placeJSON(b.Alike, b.Cut), Count: b.Count, Seen: b.Seen, WeighedIn: round(b.AreaIn, 10),
				Prints: b.Prints, Yields: yieldsJSON(b.Yields), Thin: thin,
			}
		}),
		Thin: mapped(k.Short, func(t shelf.Short) jsonShort {
			return jsonShort{
				jsonPlace: placeJSON(t.Alike, t.Cut), Count: t.Count, Want: t.Want, Missing: t.By(),
				Reason: t.Reason, Why: t.Why(), FromStrips: t.FromStrips,
			}
		}),
		Missing: mapped(k.Missing, thinJSON),
		Families: mapped(k.Balance.Families, func(f shelf.FamilyPart) jsonPart {
			return jsonPart{Family: f.Family, Count: f.Count, Share: round(f.Share, 1000), AreaIn: round(f.Area, 10)}
		}),
		Values: mapped(k.Balance.Values, func(v shelf.ValuePart) jsonPart {
			return jsonPart{Value: v.Value, Count: v.Count, Share: round(v.Share, 1000), AreaIn: round(v.Area, 10)}
		}),
	})
}

func placeJSON(a shelf.Alike, c shelf.Cut) jsonPlace {
	p := jsonPlace{Bin: a.Own, Family: a.Family, Value: a.Value, Form: c.Form, WidthIn: round(c.Width, 1000), LengthIn: round(c.Length, 1000)}
	if c.Form != "" {
		p.Cut = c.String()
	}
	return p
}

func yieldsJSON(yields []shelf.Cutting) []jsonYield {
	return mapped(yields, func(y shelf.Cutting) jsonYield { return jsonYield{round(y.Size, 1000), y.Count} })
}

// ChangesJSON is changes as the answers of commands hold them.
func ChangesJSON(changes []shelf.Count) []JSONChange {
	return mapped(changes, func(c shelf.Count) JSONChange {
		return JSONChange{placeJSON(c.Alike, c.Cut), c.Count, round(c.AreaIn, 10)}
	})
}

// JSONHolding is one entry of the stash in shelf --pieces --json and in stow
// --again --json.
type JSONHolding struct {
	ID       int64        `json:"id,omitempty"`
	Form     cloth.Form   `json:"form"`
	Count    int          `json:"count"`
	Bin      string       `json:"bin,omitempty"`
	Family   cloth.Family `json:"family,omitempty"`
	Value    cloth.Value  `json:"value,omitempty"`
	Cut      string       `json:"cut"`
	WidthIn  float64      `json:"width_in,omitempty"`
	LengthIn float64      `json:"length_in,omitempty"`
	AreaIn   float64      `json:"area_in2,omitempty"`
	Print    string       `json:"print,omitempty"`
	Basket   string       `json:"basket,omitempty"`
	Mean     string       `json:"mean,omitempty"`
	Photo    string       `json:"photo,omitempty"` // SHA-256, hex
	File     string       `json:"file,omitempty"`  // the photo's name
	Piece    int          `json:"piece,omitempty"`
	Trust    float64      `json:"trust"`
}

// HoldingJSON is an entry of the stash without the name of its photo.
func HoldingJSON(h cloth.Holding) JSONHolding {
	out := JSONHolding{
		ID: h.ID, Form: h.Form, Count: h.Count, Bin: h.Bin, Family: h.Family, Value: h.Value, Cut: shelf.CutOf(h).String(),
		WidthIn: round(h.WidthIn, 1000), LengthIn: round(h.LengthIn, 1000), AreaIn: round(h.AreaIn2, 10),
		Print: h.Print, Basket: h.Basket, Photo: h.Photo, Piece: h.Piece, Trust: round(h.Trust, 100),
	}
	if h.Measured {
		out.Mean = h.Mean.Hex()
	}
	return out
}

// HoldingsJSON writes entries of the stash one by one; files names their photos
// by hash.
func HoldingsJSON(w io.Writer, all []cloth.Holding, files map[string]string) error {
	out := make([]JSONHolding, len(all))
	for i, h := range all {
		out[i] = HoldingJSON(h)
		out[i].File = files[h.Photo]
	}
	return encode(w, map[string]any{"pieces": out})
}
