package contrast

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/cloth"
)

// Class is one of the three values that recipes speak of.
type Class string

// The classes. AnyClass is asked for by patches that take every value.
const (
	LightClass  Class = "light"
	MediumClass Class = "medium"
	DarkClass   Class = "dark"
	AnyClass    Class = "any"
)

// Classes lists the classes that a print can have, lightest first.
var Classes = []Class{LightClass, MediumClass, DarkClass}

// ClassOf is the class of a value: light and medium-light are light, medium-dark
// and dark are dark. That quilts are balanced in three values is common practice,
// no source.
func ClassOf(v cloth.Value) Class {
	switch v {
	case cloth.Light, cloth.MediumLight:
		return LightClass
	case cloth.Medium:
		return MediumClass
	}
	return DarkClass
}

// Wanted is how many pieces a quilt asks for by class; Any takes what is left.
type Wanted struct{ Light, Medium, Dark, Any int }

func (w Wanted) of(c Class) int {
	switch c {
	case LightClass:
		return w.Light
	case MediumClass:
		return w.Medium
	}
	return w.Dark
}

// Balance is a pull held against what is wanted.
type Balance struct {
	Rows  []BalanceRow // one a class, lightest first
	Total int          // pieces pulled
	Swaps []Swap
}

// BalanceRow is one class: Held less Wanted is what is over or, negative, short.
type BalanceRow struct {
	Class        Class
	Held, Wanted int
}

// Swap takes pieces of a print out of the pull for want of another class.
type Swap struct {
	Print    int // index into the pull
	Pieces   int // how many of it
	From, To Class
	// StandIn says that the print lies within half a Munsell value step of the
	// class that is short, so that it may do as it is: value is relative to what
	// lies beside it.
	StandIn bool
}

// standIn is half the width of the least band.
const standIn = sinksBelow / 2

// Weigh holds a pull against what is wanted, class by class, and says what to
// swap: pieces of a class that has more than is wanted, those nearest to the
// class that is short first. Pieces that patches of any value will take are not
// swapped away.
func Weigh(pull []Print, w Wanted) Balance {
	held := map[Class]int{}
	b := Balance{}
	for _, p := range pull {
		held[classOf(p)] += p.Pieces
		b.Total += p.Pieces
	}
	for _, c := range Classes {
		b.Rows = append(b.Rows, BalanceRow{c, held[c], w.of(c)})
	}
	left := make([]int, len(pull)) // pieces not yet swapped
	for i, p := range pull {
		left[i] = p.Pieces
	}
	over := func(c Class) int { return max(0, held[c]-w.of(c)) }
	spare := over(LightClass) + over(MediumClass) + over(DarkClass) - w.Any
	for _, to := range Classes {
		short := w.of(to) - held[to]
		if short <= 0 {
			continue
		}
		for _, i := range nearest(pull, to) {
			from := classOf(pull[i])
			if n := min(short, spare, left[i], over(from)); from != to && n > 0 {
				b.Swaps = append(b.Swaps, Swap{Print: i, Pieces: n, From: from, To: to, StandIn: apart(pull[i], to) <= standIn})
				held[from] -= n
				held[to] += n
				left[i] -= n
				short -= n
				spare -= n
			}
		}
	}
	return b
}

func classOf(p Print) Class { return ClassOf(cloth.ValueOf(p.Lightness())) }

// nearest orders the prints of a pull by how far they are from a class.
func nearest(pull []Print, to Class) []int {
	order := make([]int, len(pull))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(apart(pull[i], to), apart(pull[j], to)) })
	return order
}

// apart is how far, in Munsell value steps, a print is from a class; 0 within.
func apart(p Print, to Class) float64 {
	lightest, darkest := math.Inf(1), math.Inf(-1) // limits of L*
	switch to {
	case LightClass:
		darkest = cloth.ValueCuts[1]
	case MediumClass:
		lightest, darkest = cloth.ValueCuts[1], cloth.ValueCuts[2]
	default:
		lightest = cloth.ValueCuts[2]
	}
	v := p.MunsellValue()
	return max(0, v-stepsAt(lightest), stepsAt(darkest)-v)
}

// stepsAt is the Munsell value of a CIE L*; limits without end stay so.
func stepsAt(lightness float64) float64 {
	if math.IsInf(lightness, 0) {
		return lightness
	}
	return valueOf(greyAt(lightness))
}
