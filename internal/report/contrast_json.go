package report

import (
	"io"

	"piecebag/internal/contrast"
)

type (
	jsonContrast struct {
		Background jsonGround     `json:"background"`
		Prints     []jsonVerdict  `json:"prints"`
		Choices    []jsonChoice   `json:"best_backgrounds,omitempty"`
		Recipe     string         `json:"recipe,omitempty"`
		Balance    []jsonBalance  `json:"balance,omitempty"`
		Swaps      []jsonSwapping `json:"swaps,omitempty"`
	}
	jsonGround struct {
		Name      string  `json:"name"`
		Hex       string  `json:"hex"`
		Lightness float64 `json:"lightness"`
		Value     float64 `json:"munsell_value"`
		Mixed     bool    `json:"mixed"`
	}
	jsonVerdict struct {
		jsonGround
		Grey   string        `json:"grey"`
		Pieces int           `json:"pieces"`
		Gap    float64       `json:"lightness_gap"`
		Steps  float64       `json:"munsell_steps"`
		DeltaE float64       `json:"delta_e00"`
		Ratio  float64       `json:"borrowed_wcag_ratio"`
		Band   contrast.Band `json:"band"`
		Counts contrast.Band `json:"counts_as"`
		Spread float64       `json:"spread_steps"`
		Sunk   float64       `json:"share_within_a_step"`
	}
	jsonChoice struct {
		Name    string  `json:"name"`
		Hex     string  `json:"hex"`
		Clear   int     `json:"clear"`
		Soft    int     `json:"soft"`
		Sinking int     `json:"sinking"`
		Least   float64 `json:"least_gap_steps"`
	}
	jsonBalance struct {
		Value  string `json:"value"`
		Pulled int    `json:"pulled"`
		Wanted int    `json:"wanted"`
	}
	jsonSwapping struct {
		Print   string `json:"print"`
		Pieces  int    `json:"pieces"`
		From    string `json:"from"`
		To      string `json:"to"`
		StandIn bool   `json:"may_stand_in"`
	}
)

// JSON writes the same.
func (c Contrast) JSON(w io.Writer) error {
	return encode(w, jsonContrast{
		Background: groundJSON(c.Background), Recipe: c.Recipe,
		Prints: mapped(c.Pull, func(p contrast.Print) jsonVerdict {
			v := contrast.Against(c.Background, p)
			return jsonVerdict{
				jsonGround: groundJSON(p), Grey: p.Grey().Hex(), Pieces: p.Pieces,
				Gap: round(v.Gap, 100), Steps: round(v.Steps, 100), DeltaE: round(v.DeltaE, 100), Ratio: round(v.Ratio, 100),
				Band: v.Band, Counts: v.Counts, Spread: round(v.Spread, 100), Sunk: round(v.Sunk, 1000),
			}
		}),
		Choices: mapped(c.Choices, func(k contrast.Choice) jsonChoice {
			b := c.Backgrounds[k.Background]
			return jsonChoice{b.Name, b.Colour.Hex(), k.Clear, k.Soft, k.Sinking, round(k.Least, 100)}
		}),
		Balance: mapped(c.Balance.Rows, func(r contrast.BalanceRow) jsonBalance { return jsonBalance{string(r.Tone), r.Held, r.Wanted} }),
		Swaps: mapped(c.Balance.Swaps, func(s contrast.Swap) jsonSwapping {
			return jsonSwapping{c.Pull[s.Print].Name, s.Pieces, string(s.From), string(s.To), s.StandIn}
		}),
	})
}

func groundJSON(p contrast.Print) jsonGround {
	return jsonGround{p.Name, p.Colour.Hex(), round(p.Lightness(), 100), round(p.MunsellValue(), 100), p.Mixed()}
}
