package recipe

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/fault"
)

// Ways returns how many units one set of pieces can make, by the techniques of a recipe that
// leave a choice; in the order of techniques.
func (r *Recipe) Ways() (out []Ways) {
	for _, m := range makes {
		if len(m.atATime) > 1 && slices.ContainsFunc(r.Blocks, func(b Block) bool {
			return slices.ContainsFunc(b.Units, func(u Unit) bool { return u.Make == m.make })
		}) {
			out = append(out, Ways{m.make, m.atATime})
		}
	}
	return out
}

// Ways is a technique and how many units one set of pieces can make by it.
type Ways struct {
	Make    Make
	AtATime []int
}

// As returns the recipe with its block of another finished width, 0 for the one it has, its
// units made as Made takes it and its prints as Match does.
func (r *Recipe) As(widthIn float64, atATime map[Make]int, matching string) (*Recipe, error) {
	var err error
	if widthIn > 0 {
		if r, err = r.Resize(widthIn); err != nil {
			return nil, err
		}
	}
	if r, err = r.Made(atATime); err != nil {
		return nil, err
	}
	return r.Match(matching)
}

// Made returns the recipe with all units of some techniques made so many at a time; others
// stay as they are. Errors: of kind fault.ErrUsage, where the recipe has no such technique
// or it makes no such number.
func (r *Recipe) Made(atATime map[Make]int) (*Recipe, error) {
	if len(atATime) == 0 {
		return r, nil
	}
	ways := r.Ways()
	for _, m := range slices.Sorted(maps.Keys(atATime)) {
		i := slices.IndexFunc(ways, func(w Ways) bool { return w.Make == m })
		if i < 0 || !slices.Contains(ways[i].AtATime, atATime[m]) {
			remedy := "it leaves no choice of how many at a time"
			if len(ways) > 0 {
				var words []string
				for _, w := range ways {
					for _, n := range w.AtATime {
						words = append(words, fmt.Sprintf("%s=%d", w.Make, n))
					}
				}
				remedy = "write " + strings.Join(words, " or ")
			}
			return nil, fault.Usage(r.Name, fmt.Sprintf("it makes no %s %d at a time", m, atATime[m]), remedy)
		}
	}
	out := *r
	out.AtATime = maps.Clone(r.AtATime)
	if out.AtATime == nil {
		out.AtATime = map[Make]int{}
	}
	maps.Copy(out.AtATime, atATime)
	out.Blocks = slices.Clone(r.Blocks)
	for i := range out.Blocks {
		units := slices.Clone(out.Blocks[i].Units)
		for k := range units {
			if n, ok := atATime[units[k].Make]; ok {
				units[k].AtATime = n
			}
		}
		out.Blocks[i].Units = units
	}
	return &out, nil
}

// ReadAtATime reads how many units of techniques one set of pieces makes:
// half-square=8,flying-geese=4. Errors: of kind fault.ErrUsage.
func ReadAtATime(text string) (map[Make]int, error) {
	out := map[Make]int{}
	for part := range strings.SplitSeq(text, ",") {
		name, number, ok := strings.Cut(strings.TrimSpace(part), "=")
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if !ok || err != nil {
			return nil, fault.Usage("", "this does not say how many of a technique are made at a time", "write it like half-square=8 or half-square=2,flying-geese=4")
		}
		out[Make(strings.ToLower(strings.TrimSpace(name)))] = n
	}
	return out, nil
}

// AtATimeText writes it as ReadAtATime reads it.
func AtATimeText(atATime map[Make]int) string {
	var out []string
	for _, m := range slices.Sorted(maps.Keys(atATime)) {
		out = append(out, fmt.Sprintf("%s=%d", m, atATime[m]))
	}
	return strings.Join(out, ",")
}
