package family

import (
	"math"
	"slices"
	"sync"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Drawn returns the colour that stands for a print whose family you say: that of the inks
// that go by it, or, where none does, the colour of that family nearest to its mean.
// For cloth.Many, and a family that is none, it is the mean.
func Drawn(inks []cloth.Ink, mean colour.Linear, as cloth.Family) colour.Linear {
	name := slices.Index(letterFamilies[:], as)
	if name < 0 {
		return mean
	}
	voices := listen(inks, mean)
	unweave(voices)
	return drawn(voices, name, mean)
}

// drawn returns what the inks that vote for a family come to, the louder the more, or the
// mean where none does; the colour of that family nearest to it where it is of another.
func drawn(voices []voice, name int, mean colour.Linear) colour.Linear {
	var blend colour.Linear
	total := 0.0
	for i := range voices {
		v := &voices[i]
		w := v.share * v.loud * v.votes[name]
		total += w
		for c := range blend {
			blend[c] += w * v.own[c]
		}
	}
	if total > 0 {
		for c := range blend {
			blend[c] /= total
		}
		if blend = inside(blend); Of(blend) == letterFamilies[name] {
			return blend
		}
	} else {
		blend = mean
	}
	nearest, best := blend, math.Inf(1)
	for _, c := range gamut()[name] {
		if d := apart(c, blend); d < best {
			nearest, best = c, d
		}
	}
	return nearest
}

// gamut is a grid of sRGB colours, by their families.
var gamut = sync.OnceValue(func() (of [len(letterFamilies)][]colour.Linear) {
	const steps = 18
	for i := range steps * steps * steps {
		c := colour.SRGB{
			float64(i%steps) / (steps - 1), float64(i/steps%steps) / (steps - 1), float64(i/steps/steps) / (steps - 1),
		}.Linear()
		name := votesFor(c).winner()
		of[name] = append(of[name], c)
	}
	return of
})
