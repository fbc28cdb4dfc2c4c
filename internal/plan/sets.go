package plan

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

// setLengths are how long the strips of strip sets are tried to be, where they come from
// the stash, inches: across the cloth, of a fat quarter's longer and shorter side.
func setLengths(s Shop) []float64 { return []float64{s.usableIn(), 21, 18} }

// atWidth is how far a strip may be from the width that a strip set wants, inches.
const atWidth = 1.0 / 16

// SetsFromStrips says how the strip sets of a quilt could be sewn from strips that the
// stash has at their width, and cut across, in place of patch by patch: the longest that
// suffice for all of them. Empty where they do not suffice, or there are no strip sets.
func SetsFromStrips(n *Needs, stock []cloth.Holding) string {
	for _, long := range setLengths(n.Shop) {
		var words []string
		left := slices.Clone(stock)
		enough := true
		for _, c := range n.Recipe.TopCuts(n.Columns, n.Rows, recipe.Method{System: n.Shop.System, WOFIn: long}) {
			if !slices.Equal(c.For, []string{recipe.StripSets}) || c.Role.Background {
				continue
			}
			want := c.Count
			length := c.LengthIn
			if length == 0 {
				length = long
			}
			for i := range left {
				h := &left[i]
				if h.Form != cloth.Strip || h.LengthIn < length || h.WidthIn < c.WidthIn-1e-6 || h.WidthIn > c.WidthIn+atWidth || !c.Role.Suits(h.Family, h.Value) {
					continue
				}
				take := min(want, h.Count)
				h.Count -= take
				want -= take
			}
			if enough = enough && want == 0; !enough {
				break
			}
			y := n.Shop.System
			words = append(words, fmt.Sprintf("%s, %d of %s × %s", c.Role.Name, c.Count, y.Format(c.WidthIn), y.Format(length)))
		}
		if enough && words != nil {
			return "your strips suffice to sew strip sets and cut them across, in place of patch by patch: " + strings.Join(words, "; ")
		}
	}
	return ""
}
