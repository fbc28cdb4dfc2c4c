package report

import (
	"io"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// The structs below are the contract of plan --json. Lengths are inches.
type (
	jsonPlan struct {
		Quilt    string          `json:"quilt"`
		Recipe   string          `json:"recipe"`
		WidthIn  float64         `json:"width_in"`
		LengthIn float64         `json:"length_in"`
		Columns  int             `json:"columns"`
		Rows     int             `json:"rows"`
		Blocks   int             `json:"blocks"`
		Pieces   []jsonCut       `json:"pieces"`
		Cloth    []jsonCloth     `json:"cloth"`
		Borders  []jsonBorder    `json:"borders,omitempty"`
		Binding  jsonBinding     `json:"binding"`
		Backing  []jsonBacking   `json:"backing"`
		Stash    *jsonPlanCover  `json:"stash,omitempty"`
		Notes    []string        `json:"notes"`
		Turned   []jsonTurned    `json:"may_be_turned,omitempty"`
		Why      *recipe.Why     `json:"why,omitempty"`
		Drawing  []jsonPatchDraw `json:"patches"`
	}
	jsonCut struct {
		Role     string   `json:"role"`
		Count    int      `json:"count"`
		WidthIn  float64  `json:"width_in"`
		LengthIn float64  `json:"length_in,omitempty"` // absent: a strip as long as the cloth is wide
		Split    string   `json:"split,omitempty"`
		For      []string `json:"for"`
	}
	jsonCloth struct {
		Role     string  `json:"role"`
		Pieces   int     `json:"pieces"`
		LengthIn float64 `json:"length_in"`
		BuyIn    float64 `json:"buy_in"`
		Buy      string  `json:"buy"`
	}
	jsonBorder struct {
		Role   string  `json:"role"`
		CutIn  float64 `json:"cut_in"`
		SideIn float64 `json:"side_in"`
		TopIn  float64 `json:"top_in"`
		Strips int     `json:"strips"`                    // joined by straight seams
		Aslant int     `json:"strips_diagonal,omitempty"` // joined on the diagonal
		Mitred bool    `json:"mitred"`
	}
	jsonBinding struct {
		Role    string  `json:"role"`
		CutIn   float64 `json:"cut_in"`
		RoundIn float64 `json:"round_in"`
		Strips  int     `json:"strips"`
	}
	// jsonTurned is patches that may come out on their side or on their head.
	jsonTurned struct {
		Role    string `json:"role"`
		In      string `json:"in"`
		Patches int    `json:"patches"`
		HasUp   bool   `json:"has_an_up"` // as was said with --one-way
	}
	jsonBacking struct {
		Seams    string  `json:"seams"`
		Panels   int     `json:"panels"`
		PanelIn  float64 `json:"panel_in"`
		LengthIn float64 `json:"length_in"`
		BuyIn    float64 `json:"buy_in"`
		Buy      string  `json:"buy"`
		Best     bool    `json:"best"`
	}
	jsonPlanCover struct {
		Wants   []jsonWant    `json:"wants"`
		Pull    []jsonPull    `json:"pull"`
		Whole   []jsonWhole   `json:"whole"`
		Cut     []jsonCutting `json:"cut"`
		Short   []plan.Gap    `json:"still_wanted"`
		Waste   float64       `json:"waste_in2"`
		Optimal bool          `json:"optimal"`
		Cuts    int           `json:"cuts"`
		Left    []desk.LeftTo `json:"left_to,omitempty"`
	}
	jsonWant struct {
		Name     string  `json:"name"`
		Role     string  `json:"role"`
		WidthIn  float64 `json:"width_in"`
		LengthIn float64 `json:"length_in"`
		Wanted   int     `json:"wanted"`
		Covered  int     `json:"covered"`
		Short    int     `json:"short"`
		Prints   int     `json:"prints"` // that its pieces come from
	}
	// jsonWhole is pieces taken as they are.
	jsonWhole struct {
		ID      int64   `json:"id"`
		Want    int     `json:"want"` // index into wants
		Count   int     `json:"count"`
		ShortIn float64 `json:"short_in,omitempty"` // how much smaller than wanted a side is
	}
	jsonPull struct {
		Basket string         `json:"basket,omitempty"`
		Pieces []jsonPullLine `json:"pieces"`
	}
	jsonPullLine struct {
		ID       int64        `json:"id"`
		Form     cloth.Form   `json:"form"`
		Family   cloth.Family `json:"family,omitempty"`
		Value    cloth.Value  `json:"value,omitempty"`
		Bin      string       `json:"bin,omitempty"`
		Print    string       `json:"print,omitempty"`
		WidthIn  float64      `json:"width_in,omitempty"`
		LengthIn float64      `json:"length_in,omitempty"`
		Count    int          `json:"count"`
	}
	jsonCutting struct {
		ID       int64          `json:"id"`
		WidthIn  float64        `json:"width_in"`
		LengthIn float64        `json:"length_in"`
		TrimIn   float64        `json:"trim_in"`
		Steps    []string       `json:"steps"`
		Pieces   []jsonPlaced   `json:"pieces"`
		Remains  []jsonRemnants `json:"remains,omitempty"`
	}
	jsonPlaced struct {
		Want int     `json:"want"` // index into wants
		X    float64 `json:"x"`    // across the width, inches
		Y    float64 `json:"y"`    // along the length, after trimming
		W    float64 `json:"w"`
		L    float64 `json:"l"`
	}
	jsonRemnants struct {
		WidthIn  float64 `json:"width_in"`
		LengthIn float64 `json:"length_in"`
		Kept     bool    `json:"kept"`
		Bin      string  `json:"bin,omitempty"`
	}
	jsonPatchDraw struct {
		Role    string       `json:"role"`
		Kind    recipe.Kind  `json:"kind"`
		Polygon [][2]float64 `json:"polygon"` // finished inches from the top left
	}
)

// JSON writes the plan for other programs; the arithmetic only where it was asked
// for.
func (p Plan) JSON(w io.Writer) error {
	n := p.Needs
	out := jsonPlan{
		Quilt: p.Quilt, Recipe: n.Recipe.Name, WidthIn: inchesJSON(n.WidthIn), LengthIn: inchesJSON(n.LengthIn), Columns: n.Columns, Rows: n.Rows,
		Blocks: n.Places.Count(), Pieces: []jsonCut{}, Cloth: []jsonCloth{}, Notes: append([]string{}, n.Notes...),
		Binding: jsonBinding{n.Binding.Role.Name, inchesJSON(n.Binding.CutIn), inchesJSON(n.Binding.RoundIn), n.Binding.Strips},
	}
	for _, c := range n.Cuts {
		out.Pieces = append(out.Pieces, cutJSON(c))
	}
	for _, y := range n.Yardage {
		out.Cloth = append(out.Cloth, jsonCloth{y.Role.Name, y.Pieces, inchesJSON(y.LengthIn), inchesJSON(y.BuyIn), y.Buy})
	}
	for _, b := range n.Borders {
		out.Borders = append(out.Borders, jsonBorder{b.Role.Name, inchesJSON(b.CutIn), inchesJSON(b.SideIn), inchesJSON(b.TopIn), b.Strips, b.Aslant, b.Mitred})
	}
	for i, b := range n.Backing.Ways {
		out.Backing = append(out.Backing, jsonBacking{b.Seams, b.Panels, inchesJSON(b.PanelIn), inchesJSON(b.LengthIn), inchesJSON(b.BuyIn), b.Buy, i == n.Backing.Best})
	}
	for _, t := range n.Turned {
		out.Turned = append(out.Turned, jsonTurned{t.Role.Name, t.What, t.Patches, slices.Contains(n.Shop.OneWay, t.Role.Name)})
	}
	if p.Pull != nil {
		out.Stash = p.coverJSON()
		out.Stash.Short = append(out.Stash.Short, p.Pull.Gaps(p.Quilt)...)
	}
	if p.Why {
		out.Why = &n.Why
	}
	out.Drawing = patchesJSON(n.Recipe.QuiltLayout(n.Columns, n.Rows))
	return encode(w, out)
}

func cutJSON(c recipe.Lot) jsonCut {
	return jsonCut{c.Role.Name, c.Count, inchesJSON(c.WidthIn), inchesJSON(c.LengthIn), string(c.Split), c.For}
}

func patchesJSON(l recipe.Layout) []jsonPatchDraw {
	return mapped(l.Patches, func(p recipe.Patch) jsonPatchDraw { return jsonPatchDraw{p.Role.Name, p.Kind, finished(p.Polygon)} })
}

// finished is an outline in a quilt, finished inches from the top left.
func finished(g geom.Polygon) [][2]float64 { return points(g, 1e4) }

// inchesJSON keeps a length to a ten-thousandth of an inch, far under a thread.
func inchesJSON(in float64) float64 { return round(in, 1e4) }

// coverJSON is what is pulled and cut; what is still wanted is left to fill in.
func (p Plan) coverJSON() *jsonPlanCover {
	c := p.Pull.Cover
	out := &jsonPlanCover{
		Wants: []jsonWant{}, Short: []plan.Gap{}, Waste: round(c.Waste, 100), Optimal: c.Optimal, Cuts: c.CutCount, Left: p.Left,
		Pull: mapped(c.Pulls, func(pull cutting.Pull) jsonPull {
			return jsonPull{pull.Basket, mapped(pull.Lines, func(l cutting.PullLine) jsonPullLine {
				s := p.Pull.Stock[l.Stock]
				return jsonPullLine{s.ID, s.Form, s.Family, s.Value, s.Bin, s.Print, inchesJSON(s.WidthIn), inchesJSON(s.LengthIn), l.Count}
			})}
		}),
		Whole: mapped(c.Ready, func(r cutting.Ready) jsonWhole { return jsonWhole{r.ID, r.Want, r.Count, inchesJSON(r.Short)} }),
		Cut: mapped(c.Cuts, func(d cutting.Diagram) jsonCutting {
			return jsonCutting{
				ID: d.ID, WidthIn: inchesJSON(d.Width), LengthIn: inchesJSON(d.Length), TrimIn: inchesJSON(d.Trim), Steps: p.steps(d, false),
				Pieces: mapped(d.Pieces, func(q cutting.Placement) jsonPlaced {
					return jsonPlaced{q.Want, inchesJSON(q.X), inchesJSON(q.Y), inchesJSON(q.W), inchesJSON(q.H)}
				}),
				Remains: mapped(d.Remains, func(r cutting.Remnant) jsonRemnants {
					return jsonRemnants{inchesJSON(r.W), inchesJSON(r.H), r.Kept, r.Bin}
				}),
			}
		}),
	}
	for i, w := range p.Pull.Wants {
		out.Wants = append(out.Wants, jsonWant{w.Name, p.Pull.Roles[i].Name, inchesJSON(w.W), inchesJSON(w.L), w.Count, c.Covered[i], c.Short[i], c.Prints[i]})
	}
	return out
}
