package report

import (
	"io"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

// The structs below are the contract of arrange --json. Lengths are finished inches.
type (
	jsonArrangement struct {
		Version     int           `json:"version"`
		WidthIn     float64       `json:"width_in"`
		HeightIn    float64       `json:"height_in"`
		Seed        uint64        `json:"seed"`
		Look        arrange.Look  `json:"look"`
		Patches     []jsonLaid    `json:"patches"`
		Touches     []jsonTouch   `json:"touches"`
		Least       jsonLeast     `json:"least"`
		Evenness    float64       `json:"evenness"`   // of L*: 1 is even, 0 chance
		Brightness  float64       `json:"brightness"` // the same of chroma
		Empty       int           `json:"empty,omitempty"`
		Interrupted bool          `json:"interrupted,omitempty"`
		Again       []jsonAnother `json:"again,omitempty"`
	}
	jsonLaid struct {
		ID        string       `json:"id"`
		Role      string       `json:"role"`
		Polygon   [][2]float64 `json:"polygon"`
		Holding   int64        `json:"holding,omitempty"`
		Piece     int          `json:"piece,omitempty"` // from 1: patches of one number are cut from one piece of cloth
		Family    cloth.Family `json:"family,omitempty"`
		Value     cloth.Value  `json:"value,omitempty"`
		Print     string       `json:"print,omitempty"`
		Lightness *float64     `json:"lightness,omitempty"` // CIE L*
	}
	jsonTouch struct {
		A   string      `json:"a"`
		B   string      `json:"b"`
		Why arrange.Why `json:"why"`
		At  string      `json:"at,omitempty"` // "corner", where they meet at one alone
	}
	// jsonLeast is how few touches any layout has at least; proved: this one has no more.
	jsonLeast struct {
		Touches int    `json:"touches"`
		Proved  bool   `json:"proved"`
		Because string `json:"because"`
	}
	// jsonAnother is one more layout, clearly different.
	jsonAnother struct {
		Seed       uint64      `json:"seed"`
		Holdings   []int64     `json:"holdings"` // in the order of patches; 0 for none
		Touches    []jsonTouch `json:"touches"`
		Evenness   float64     `json:"evenness"`
		Brightness float64     `json:"brightness"`
		Same       float64     `json:"same"` // share of places that show what they show in a layout before, at most
	}
)

// JSON writes an arrangement, as arrange --json does.
func (a Arrangement) JSON(w io.Writer) error {
	first := a.Laid[0]
	out := jsonArrangement{
		Version: contract, WidthIn: inchesJSON(a.Top.WidthIn), HeightIn: inchesJSON(a.Top.HeightIn), Seed: first.Seed, Look: a.Problem.Look,
		Patches: []jsonLaid{}, Touches: a.touchesJSON(first.Touches),
		Least:    jsonLeast{first.Least.Touches, first.Proved(), first.Least.Because},
		Evenness: evenJSON(first.Evenness), Brightness: evenJSON(first.Brightness), Empty: a.Empty, Interrupted: first.Interrupted,
	}
	piece := make([]int, len(a.Top.Patches))
	for i, place := range a.Problem.Places {
		for _, patch := range place.Patches {
			piece[patch] = i + 1
		}
	}
	for i, p := range a.Top.Patches {
		patch := jsonLaid{ID: a.Names[i], Role: p.Role.Name, Polygon: finished(p.Polygon)}
		if p.Kind == recipe.InBorder {
			patch.Role = "border"
		}
		if k := first.Cloth[i]; k >= 0 {
			h := a.Holdings[k]
			patch.Piece = piece[i]
			patch.Holding, patch.Family, patch.Value, patch.Print = h.ID, h.Family, h.Value, h.Print
			l := a.lightness(first, i)
			patch.Lightness = &l
		}
		out.Patches = append(out.Patches, patch)
	}
	for _, l := range a.Laid[1:] {
		other := jsonAnother{Seed: l.Seed, Touches: a.touchesJSON(l.Touches), Evenness: evenJSON(l.Evenness), Brightness: evenJSON(l.Brightness), Same: l.Same}
		for _, k := range l.Cloth {
			id := int64(0)
			if k >= 0 {
				id = a.Holdings[k].ID
			}
			other.Holdings = append(other.Holdings, id)
		}
		out.Again = append(out.Again, other)
	}
	return encode(w, out)
}

func (a Arrangement) touchesJSON(all []arrange.Touch) []jsonTouch {
	return mapped(all, func(t arrange.Touch) jsonTouch {
		j := jsonTouch{A: a.Names[t.A], B: a.Names[t.B], Why: t.Why}
		if t.Corner {
			j.At = "corner"
		}
		return j
	})
}

// evenJSON keeps a measure to a millionth.
func evenJSON(v float64) float64 { return round(v, 1e6) }
