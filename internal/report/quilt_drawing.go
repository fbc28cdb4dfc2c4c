package report

import (
	"fmt"
	"slices"

	"piecebag/internal/colour"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// inks are the cloths that the patches of a role are drawn in, each role's in an order
// of its own; a role with none is drawn in those of inksOf.
type inks map[recipe.Role][]chip

// backgroundInk is the cream that a background is drawn in where no cloth of it
// is known.
var backgroundInk = colour.Munsell{Hue: 22.5, Value: 9.3, Chroma: 1}

// inksOf returns stand-ins for a role: the middle of its value in its colour, or a grey
// where it may be of any.
func inksOf(r recipe.Role) []chip {
	if r.Background {
		return []chip{plainChip(backgroundInk.Linear())}
	}
	s := plan.SoughtFor(r, "")
	if r.Family != "" {
		if m, ok := plan.SwatchOf(s); ok {
			return []chip{plainChip(m.Linear())}
		}
		return []chip{plainChip(greyOf(50))} // no such colour is so light or dark
	}
	c := anyChip()
	if m, ok := plan.SwatchOf(s); ok {
		c.Reads = greyOf(m.Linear().Lab().L)
		return []chip{c}
	}
	n := 0 // roles of any value are told apart
	for _, letter := range r.Name {
		n += int(letter)
	}
	c.Reads = greyOf(45 + 15*float64(n%3))
	return []chip{c}
}

// of returns the cloths of a role.
func (k inks) of(r recipe.Role) []chip {
	if c := k[r]; len(c) > 0 {
		return c
	}
	return inksOf(r)
}

// oneFabric reports whether all of a kind of patch is cut from one fabric.
func oneFabric(k recipe.PatchKind) bool {
	return k == recipe.InBorder || k == recipe.InSashing || k == recipe.Cornerstone
}

// quiltDrawing draws every patch of a layout. Patches of one role take its
// colours in turn, each the one least used among those that no neighbour has
// taken, those of a matching set the same; borders and sashing are one fabric: a picture to plan by, not a layout of your prints.
func quiltDrawing(title string, l recipe.Top, k inks) drawing {
	d := drawing{W: l.WidthIn, H: l.HeightIn, Title: title}
	neighbours := l.Neighbours()
	cloths := map[recipe.Role][]chip{}
	used := map[recipe.Role][]int{}
	type set struct {
		block, set int
		role       recipe.Role
	}
	sets := map[set]int{}                // which of its role's colours a set has
	taken := make([]int, len(l.Patches)) // which colour of its role; -1 not yet
	for i := range taken {
		taken[i] = -1
	}
	for i, p := range l.Patches {
		if oneFabric(p.Kind) {
			d.Shapes = append(d.Shapes, k.of(p.Role)[0].fill(p.Polygon))
			continue
		}
		if cloths[p.Role] == nil {
			cloths[p.Role] = k.of(p.Role)
			used[p.Role] = make([]int, len(cloths[p.Role]))
		}
		of := cloths[p.Role]
		beside := make([]bool, len(of))
		for _, n := range neighbours[i] {
			if l.Patches[n].Role == p.Role && taken[n] >= 0 {
				beside[taken[n]] = true
			}
		}
		in := set{p.Block, p.Set, p.Role}
		best, ok := sets[in]
		if !ok {
			best = -1
			for step := range of {
				n := (step + p.Row + 2*p.Column) % len(of) // blocks begin with different colours
				if n < 0 {
					n += len(of)
				}
				if best < 0 || beside[best] && !beside[n] || beside[best] == beside[n] && used[p.Role][n] < used[p.Role][best] {
					best = n
				}
			}
		}
		if p.Set > 0 {
			sets[in] = best
		}
		taken[i] = best
		used[p.Role][best]++
		d.Shapes = append(d.Shapes, of[best].fill(p.Polygon))
	}
	return d
}

// blockDrawing draws one of the blocks with a letter a role where a patch has room for it.
func blockDrawing(r *recipe.Recipe, of int, k inks, names letters) drawing {
	b := r.Blocks[of]
	l := r.BlockLayout(of)
	d := quiltDrawing(fmt.Sprintf("the block %s", b.Name), l, k)
	for i, p := range l.Patches {
		if len(p.Polygon) == 3 { // its middle is not that of its box
			continue
		}
		lo, hi := p.Polygon.Bounds()
		w, h := hi.X-lo.X, hi.Y-lo.Y
		d.Shapes[i].Label = names.of(p.Role)
		d.Shapes[i].Size, _ = fitLabel(d.Shapes[i].Label, w*0.6, h*0.6, 0, max(d.W, d.H)/14)
	}
	return d
}

// letters call the roles of a recipe A, B, C… in the order they appear.
type letters []recipe.Role

func lettersOf(r *recipe.Recipe) letters {
	var out letters
	for i := range r.Blocks {
		for _, p := range r.BlockLayout(i).Patches {
			out = out.with(p.Role)
		}
	}
	if r.Setting.Plain() {
		out = out.with(r.Setting.Fill)
	}
	return out
}

func (l letters) with(r recipe.Role) letters {
	if slices.Contains(l, r) {
		return l
	}
	return append(l, r)
}

func (l letters) of(r recipe.Role) string {
	if i := slices.Index(l, r); i >= 0 {
		return letter(i)
	}
	return ""
}

// roleWords says what cloth a role is cut from.
func roleWords(r recipe.Role) string {
	words := "prints"
	if r.Background {
		return "the one background"
	}
	if r.Family != "" {
		words = string(r.Family) + " " + words
	} else {
		words += " of any colour"
	}
	if r.Value != "" {
		return string(r.Value) + " " + words
	}
	return words + ", any value"
}
