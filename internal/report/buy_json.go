package report

import (
	"io"

	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

type (
	jsonBuying struct {
		Buy     []jsonPurchase `json:"buy"`
		Colours []string       `json:"colours_missing,omitempty"`
		Values  []string       `json:"values_missing,omitempty"`
		Enough  []jsonEnough   `json:"do_not_buy"`
	}
	jsonPurchase struct {
		What     string      `json:"what"`
		Munsell  string      `json:"munsell,omitempty"`
		Hex      string      `json:"hex,omitempty"`
		Pieces   int         `json:"pieces,omitempty"`
		Prints   int         `json:"prints"`
		Each     string      `json:"of_each"`
		Quarters int         `json:"quarters_of_each,omitempty"`
		LengthIn float64     `json:"length_in_of_each,omitempty"`
		BuyIn    float64     `json:"buy_in_of_each,omitempty"`
		Unlocks  []string    `json:"unlocks,omitempty"`
		Helps    []string    `json:"helps,omitempty"`
		Gaps     []plan.Gap  `json:"gaps"`
		Why      *recipe.Why `json:"why,omitempty"`
	}
	jsonEnough struct {
		Name   string `json:"name"`
		Count  int    `json:"count"`
		Reason string `json:"reason"`
	}
)

// JSON writes the list for other programs.
func (b Buying) JSON(w io.Writer) error {
	out := jsonBuying{Buy: []jsonPurchase{}, Enough: mapped(b.Enough, func(e plan.Enough) jsonEnough { return jsonEnough(e) })}
	out.Colours, out.Values = missingNames(b.Missing)
	for i, p := range b.Buy {
		j := jsonPurchase{
			What: p.Sought.String(), Pieces: p.Pieces, Prints: p.Prints, Each: p.Buy, Quarters: p.Quarters,
			LengthIn: inchesJSON(p.LengthIn), BuyIn: inchesJSON(p.BuyIn), Unlocks: p.Unlocks, Helps: p.Helps, Gaps: p.Gaps,
		}
		if p.HasSwatch {
			j.Munsell, j.Hex = p.Swatch.String(), p.Swatch.Linear().Hex()
		}
		if b.Why {
			j.Why = &b.Buy[i].Why
		}
		out.Buy = append(out.Buy, j)
	}
	return encode(w, out)
}
