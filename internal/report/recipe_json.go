package report

import (
	"io"

	"piecebag/internal/recipe"
)

type (
	jsonRecipe struct {
		Name     string      `json:"name"`
		About    string      `json:"about,omitempty"`
		WidthIn  float64     `json:"width_in"`
		HeightIn float64     `json:"height_in"`
		Setting  string      `json:"setting"`
		Blocks   []jsonBlock `json:"blocks"`
		Roles    []jsonRole  `json:"roles"`
	}
	jsonBlock struct {
		Name    string          `json:"name"`
		Columns int             `json:"columns"`
		Rows    int             `json:"rows"`
		Patches []jsonPatchDraw `json:"patches"`
		Cuts    []jsonCut       `json:"cut_for_one"`
	}
	jsonRole struct {
		Name       string `json:"name"`
		Background bool   `json:"background,omitempty"`
		Value      string `json:"value,omitempty"`
		Family     string `json:"family,omitempty"`
	}
)

// RecipeJSON writes the recipe as it was read, its patches in finished inches.
func RecipeJSON(w io.Writer, r *recipe.Recipe, s recipe.System) error {
	out := jsonRecipe{Name: r.Name, About: r.About, WidthIn: inchesJSON(r.WidthIn), HeightIn: inchesJSON(r.HeightIn), Setting: string(r.Setting.Kind)}
	cuts := blockCuts(r, s)
	for i, b := range r.Blocks {
		j := jsonBlock{b.Name, b.Columns, b.Rows, patchesJSON(r.BlockLayout(i)), nil}
		for _, c := range cuts[i] {
			j.Cuts = append(j.Cuts, cutJSON(c))
		}
		out.Blocks = append(out.Blocks, j)
	}
	for _, role := range lettersOf(r) {
		out.Roles = append(out.Roles, jsonRole{role.Name, role.Background, string(role.Value), string(role.Family)})
	}
	return encode(w, out)
}
