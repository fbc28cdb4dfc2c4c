package contrast

import (
	"cmp"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

// Tones lists the three values that recipes speak of, lightest first.
var Tones = []recipe.Tone{recipe.LightTone, recipe.MediumTone, recipe.DarkTone}

// ToneOf returns the tone that a value is counted in: light and medium-light are light,
// medium-dark and dark are dark. That quilts are balanced in three values is
// common practice, no source.
func ToneOf(v cloth.Value) recipe.Tone {
	switch v {
	case cloth.Light, cloth.MediumLight:
		return recipe.LightTone
	case cloth.Medium:
		return recipe.MediumTone
	}
	return recipe.DarkTone
}

// Wanted is how many pieces a quilt asks for by tone; Any takes what is left.
type Wanted struct{ Light, Medium, Dark, Any int }

func (w Wanted) of(c recipe.Tone) int {
	switch c {
	case recipe.LightTone:
		return w.Light
	case recipe.MediumTone:
		return w.Medium
	}
	return w.Dark
}

// Proportions are a pull held against what is wanted.
type Proportions struct {
	Rows  []Proportion // one a tone, lightest first
	Total int          // pieces pulled
	Any   int          // wanted of any tone
	Swaps []Swap
}

// Proportion is one tone: Held less Wanted is what is over or, negative, short.
type Proportion struct {
	Tone         recipe.Tone
	Held, Wanted int
}

// Swap takes pieces of a print out of the pull for want of another tone.
type Swap struct {
	Print    int // index into the pull
	Pieces   int // how many of it
	From, To recipe.Tone
	// StandIn says that the print may do as it is: recipes let its value play the
	// tone that is short, or it lies within half a Munsell value step of it, and
	// value is relative to what lies beside it.
	StandIn bool
}

// standIn is half the width of the least band.
const standIn = sinksBelow / 2

// Weigh holds a pull against what is wanted, tone by tone, and says what to
// swap: pieces of a tone that has more than is wanted, those nearest to the
// tone that is short first. Pieces that patches of any value will take are not
// swapped away.
func Weigh(pull []Print, w Wanted) Proportions {
	held := map[recipe.Tone]int{}
	b := Proportions{Any: w.Any}
	for _, p := range pull {
		held[toneOf(p)] += p.Pieces
		b.Total += p.Pieces
	}
	for _, c := range Tones {
		b.Rows = append(b.Rows, Proportion{c, held[c], w.of(c)})
	}
	left := make([]int, len(pull)) // pieces not yet swapped
	for i, p := range pull {
		left[i] = p.Pieces
	}
	over := func(c recipe.Tone) int { return max(0, held[c]-w.of(c)) }
	spare := over(recipe.LightTone) + over(recipe.MediumTone) + over(recipe.DarkTone) - w.Any
	for _, to := range Tones {
		short := w.of(to) - held[to]
		for _, i := range nearest(pull, to) {
			from := toneOf(pull[i])
			if n := min(short, spare, left[i], over(from)); from != to && n > 0 {
				b.Swaps = append(b.Swaps, Swap{Print: i, Pieces: n, From: from, To: to, StandIn: mayPlay(pull[i], to)})
				held[from] -= n
				left[i] -= n
				short -= n
				spare -= n
			}
		}
	}
	return b
}

func mayPlay(p Print, to recipe.Tone) bool {
	return recipe.Role{Value: to}.Suits("", cloth.ValueOf(p.Lightness())) || apart(p, to) <= standIn
}

func toneOf(p Print) recipe.Tone { return ToneOf(cloth.ValueOf(p.Lightness())) }

// nearest orders the prints of a pull by how far they are from a tone.
func nearest(pull []Print, to recipe.Tone) []int {
	order := make([]int, len(pull))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(apart(pull[i], to), apart(pull[j], to)) })
	return order
}

// apart returns how far, in Munsell value steps, a print is from a tone; 0 within.
func apart(p Print, to recipe.Tone) float64 {
	v, light, dark := p.MunsellValue(), stepsAt(cloth.ValueCuts[1]), stepsAt(cloth.ValueCuts[2]) // limits of the medium tone
	switch to {
	case recipe.LightTone:
		return max(0, light-v)
	case recipe.MediumTone:
		return max(0, v-light, dark-v)
	}
	return max(0, v-dark)
}

// stepsAt returns the Munsell value of a CIE L*.
func stepsAt(lightness float64) float64 { return valueOf(greyAt(lightness)) }
