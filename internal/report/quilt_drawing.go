package report

import (
	"fmt"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// Inks are the colours that the patches of a role are drawn in, each role's in an
// order of its own; a role with none is drawn in those of InksOf.
type Inks map[recipe.Role][]colour.Linear

// backgroundInk is the cream that a background is drawn in where no cloth of it
// is known.
var backgroundInk = colour.Munsell{Hue: 22.5, Value: 9.3, Chroma: 1}

// InksOf gives stand-ins for a role: the middle of its value in its colour, or
// in each colour of the shelf that has that value.
func InksOf(r recipe.Role) []colour.Linear {
	if r.Background {
		return []colour.Linear{backgroundInk.Linear()}
	}
	var out []colour.Linear
	for _, f := range cloth.Families {
		if r.Family != "" && r.Family != f {
			continue
		}
		switch f {
		case cloth.White, cloth.Grey, cloth.Black: // dull among stand-ins of any colour
			if r.Family == "" {
				continue
			}
		}
		s := plan.SoughtFor(r, "")
		s.Family = f
		if m, ok := plan.SwatchOf(s); ok {
			out = append(out, m.Linear())
		}
	}
	if out == nil { // no colour of the role exists at its value
		out = append(out, greyOf(50))
	}
	return out
}

// of gives the colours of a role.
func (k Inks) of(r recipe.Role) []colour.Linear {
	if c := k[r]; len(c) > 0 {
		return c
	}
	return InksOf(r)
}

// one gives the colour of a role that is one fabric. Stand-ins differ from role
// to role.
func (k Inks) one(r recipe.Role) colour.Linear {
	of := k.of(r)
	if len(k[r]) > 0 || r.Value != "" || r.Family != "" {
		return of[0]
	}
	n := 0
	for _, c := range r.Name {
		n += int(c)
	}
	return of[n%len(of)]
}

// oneFabric says whether all of a kind of patch is cut from one fabric.
func oneFabric(k recipe.Kind) bool {
	return k == recipe.InBorder || k == recipe.InSashing || k == recipe.Cornerstone
}

// quiltDrawing draws every patch of a layout. Patches of one role take its
// colours in turn, each the one least used among those that no neighbour has
// taken; borders and sashing are one fabric: a picture to plan by, not a layout of your prints.
func quiltDrawing(title string, l recipe.Layout, inks Inks) drawing {
	d := drawing{W: l.WidthIn, H: l.HeightIn, Title: title}
	neighbours := l.Neighbours()
	colours := map[recipe.Role][]colour.Linear{}
	used := map[recipe.Role][]int{}
	taken := make([]int, len(l.Patches)) // which colour of its role; -1 not yet
	for i := range taken {
		taken[i] = -1
	}
	for i, p := range l.Patches {
		if oneFabric(p.Kind) {
			d.Shapes = append(d.Shapes, shape{Points: p.Polygon, Fill: inks.one(p.Role)})
			continue
		}
		if colours[p.Role] == nil {
			colours[p.Role] = inks.of(p.Role)
			used[p.Role] = make([]int, len(colours[p.Role]))
		}
		of := colours[p.Role]
		beside := make([]bool, len(of))
		for _, n := range neighbours[i] {
			if l.Patches[n].Role == p.Role && taken[n] >= 0 {
				beside[taken[n]] = true
			}
		}
		best := -1
		for step := range of {
			k := (step + p.Row + 2*p.Column) % len(of) // blocks begin with different colours
			if k < 0 {
				k += len(of)
			}
			if best < 0 || beside[best] && !beside[k] || beside[best] == beside[k] && used[p.Role][k] < used[p.Role][best] {
				best = k
			}
		}
		taken[i] = best
		used[p.Role][best]++
		d.Shapes = append(d.Shapes, shape{Points: p.Polygon, Fill: of[best]})
	}
	return d
}

// blockDrawing draws block i with a letter a role where a patch has room for it.
func blockDrawing(r *recipe.Recipe, i int, inks Inks, names letters) drawing {
	b := r.Blocks[i]
	l := r.BlockLayout(i)
	title := r.Name
	if i > 0 {
		title = b.Name
	}
	d := quiltDrawing(fmt.Sprintf("the block %s", title), l, inks)
	for k, p := range l.Patches {
		x0, y0, x1, y1 := bounds(p.Polygon)
		w, h := x1-x0, y1-y0
		if len(p.Polygon) == 3 { // its middle is not that of its box
			continue
		}
		d.Shapes[k].Label = names.of(p.Role)
		d.Shapes[k].Size, _ = fitLabel(d.Shapes[k].Label, w*0.6, h*0.6, 0, max(d.W, d.H)/14)
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
	if plainPaired(r) {
		out = out.with(r.Setting.Fill)
	}
	return out
}

func (l letters) with(r recipe.Role) letters {
	for _, known := range l {
		if known == r {
			return l
		}
	}
	return append(l, r)
}

func (l letters) of(r recipe.Role) string {
	for i, known := range l {
		if known == r {
			return letter(i)
		}
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
