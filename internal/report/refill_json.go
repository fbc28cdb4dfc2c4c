package report

import (
	"io"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
)

type jsonRefill struct {
	Bins  []jsonRefilled `json:"bins"`
	Pull  []jsonPull     `json:"pull"`
	Whole []jsonWhole    `json:"whole"` // want: index into bins
	Cut   []jsonCutting  `json:"cut"`
}

type jsonRefilled struct {
	Family   cloth.Family `json:"family,omitempty"`
	Value    cloth.Value  `json:"value,omitempty"`
	Bin      string       `json:"bin,omitempty"`
	WidthIn  float64      `json:"width_in"`
	LengthIn float64      `json:"length_in"`
	Have     int          `json:"have"`
	Wanted   int          `json:"wanted"`
	Gained   int          `json:"from_strips"`
	Short    int          `json:"still_short"`
}

// JSON writes the same.
func (r Refilling) JSON(w io.Writer) error {
	c := r.asPlan().coverJSON()
	out := jsonRefill{Bins: []jsonRefilled{}, Pull: c.Pull, Whole: c.Whole, Cut: c.Cut}
	for k, i := range r.Thin {
		b := r.Bins[i]
		out.Bins = append(out.Bins, jsonRefilled{b.Family, b.Value, b.Own, inchesJSON(r.Wants[k].W), inchesJSON(r.Wants[k].L), r.Have[i], b.Least, r.Covered[k], r.Short[k]})
	}
	return encode(w, out)
}

type (
	jsonCutUps struct {
		Leftovers []jsonCutUp `json:"leftovers"`
	}
	jsonCutUp struct {
		WidthIn  float64       `json:"width_in"`
		LengthIn float64       `json:"length_in"`
		Counts   []jsonSizes   `json:"counts"`
		Pieces   []jsonCutUpAt `json:"pieces"`
		Steps    []string      `json:"steps"`
	}
	jsonSizes struct {
		WidthIn  float64 `json:"width_in"`
		LengthIn float64 `json:"length_in,omitempty"` // absent: strips as long as the cloth
		Count    int     `json:"count"`
		Reason   string  `json:"reason,omitempty"`
	}
	jsonCutUpAt struct {
		X float64 `json:"x"`
		Y float64 `json:"y"`
		W float64 `json:"w"`
		L float64 `json:"l"`
	}
)

// JSON writes the same.
func (c CuttingUp) JSON(w io.Writer) error {
	p := Plan{Plan: desk.Plan{System: c.System}}
	out := jsonCutUps{Leftovers: []jsonCutUp{}}
	for i, u := range c.Cut {
		j := jsonCutUp{WidthIn: inchesJSON(c.Cloths[i].W), LengthIn: inchesJSON(c.Cloths[i].L), Counts: []jsonSizes{}, Pieces: []jsonCutUpAt{}, Steps: []string{}}
		for k, n := range u.Counts {
			if n > 0 {
				j.Counts = append(j.Counts, jsonSizes{inchesJSON(c.Sizes[k].W), inchesJSON(c.Sizes[k].L), n, c.reason(k)})
			}
		}
		for _, q := range u.Pieces {
			j.Pieces = append(j.Pieces, jsonCutUpAt{inchesJSON(q.X), inchesJSON(q.Y), inchesJSON(q.W), inchesJSON(q.H)})
		}
		j.Steps = append(j.Steps, sliceLines(p, u.Slices)...)
		out.Leftovers = append(out.Leftovers, j)
	}
	return encode(w, out)
}
