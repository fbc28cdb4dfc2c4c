package desk

import (
	"math"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
)

// WhyHere is why a piece lies in its patch.
type WhyHere struct {
	Patch   string
	Holding cloth.Holding
	Beside  []Beside
	// Lightness is its CIE L*, About the mean of it and all that touch it, All that of
	// the quilt.
	Lightness, About, All float64
	Nearest               string  // the nearest patch of its print; empty: none
	Away                  float64 // how far that is, inches
	// Others is with how many places it could change without one more touch of alike
	// prints, Better how many of those changes would make the quilt more even.
	Others, Better int
	Locked         bool
	Matches        []string // other patches that are of the same print, as they must be
}

// Beside is what lies beside a patch.
type Beside struct {
	Patch   string
	Holding cloth.Holding
	Alike   arrange.Cause // what of both is too much alike; empty: nothing
}

// Why says why a piece lies in a patch. The error says that no piece does.
func (a *Arrangement) Why(name string) (WhyHere, error) {
	i := a.placeNamed(name)
	if i < 0 || a.Laid[0].At[i] < 0 {
		return WhyHere{}, noSuchPatch(name)
	}
	p, first := &a.Problem, a.Laid[0]
	part := a.partNamed(name)
	patch := part.Patches[0]
	x := p.Pieces[first.At[i]]
	out := WhyHere{Patch: a.Names[patch], Holding: a.Holdings[first.Cloth[patch]], Lightness: x.Lightness, About: x.Lightness}
	near := 1.0
	for _, l := range p.Links {
		other := -1
		switch patch {
		case l.A:
			other = l.B
		case l.B:
			other = l.A
		}
		if other < 0 || first.Cloth[other] < 0 {
			continue
		}
		b := Beside{Patch: a.Names[other], Holding: a.Holdings[first.Cloth[other]]}
		for _, t := range first.Touches {
			if t.A == l.A && t.B == l.B {
				b.Alike = t.Why
			}
		}
		out.Beside = append(out.Beside, b)
		out.About += p.Pieces[first.At[a.placeNamed(b.Patch)]].Lightness
		near++
	}
	out.About /= near
	placed, away := 0.0, math.Inf(1)
	here := p.Polygons[patch].Centroid()
	for j, place := range p.Places {
		if first.At[j] < 0 {
			continue
		}
		y := p.Pieces[first.At[j]]
		out.All += y.Lightness
		placed++
		if j == i || y.Print == "" || y.Print != x.Print {
			continue
		}
		for _, q := range place.Patches {
			if d := p.Polygons[q].Centroid().Dist(here); d < away {
				out.Nearest, out.Away, away = a.Names[q], d, d
			}
		}
	}
	out.All /= placed
	out.Others, out.Better = p.Changes(first.At, i)
	if a.Saved != nil && a.Saved.Laid != nil {
		out.Locked = a.Saved.Laid.At(a.nameOf(*part)).Locked
	}
	for _, other := range a.Parts[i] {
		if other.Patches[0] != patch {
			out.Matches = append(out.Matches, a.nameOf(other))
		}
	}
	return out, nil
}
