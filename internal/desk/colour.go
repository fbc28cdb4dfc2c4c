package desk

import (
	"fmt"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
)

// Named is a colour with its names.
type Named struct {
	Colour    colour.Linear
	Munsell   string
	Family    cloth.Family
	Value     cloth.Value
	Lightness float64 // CIE L*, 0..100
}

// NameOf names a colour.
func NameOf(c colour.Linear) Named {
	l := c.Lab().L
	return Named{Colour: c, Munsell: colour.ToMunsell(c).String(), Family: family.Of(c), Value: cloth.ValueOf(l), Lightness: l}
}

// ReadColour reads a colour: in a notation, or in words as people say it. A family, with
// a value or without, stands for the middle of its cloth. Errors: of kind fault.ErrUsage,
// and ErrNoColour where it may be a word that is not known.
func ReadColour(text string) (colour.Linear, error) {
	c, err := colour.ParseColour(text)
	if err == nil {
		return c, nil
	}
	if c, ok := cloth.ColourOf(text); ok {
		return c, nil
	}
	f, v, ok := cloth.ReadFamily(text)
	switch {
	case !ok || f == "":
		return c, noColour(err)
	case f == cloth.Many:
		return c, fault.Usage("", fmt.Sprintf("%q is not one colour", text), "name one of them")
	}
	m, ok := plan.SwatchOf(plan.Sought{Family: f, Value: v})
	if !ok {
		return c, fault.Usage("", fmt.Sprintf("no %s is %s", f, v), "leave the value off, or name another")
	}
	return m.Linear(), nil
}

// noColour returns the error for a text in a notation of colours that is no colour.
func noColour(err error) error {
	f := fault.Of(err)
	if f == nil {
		return err
	}
	kinds := []error{fault.ErrUsage, err}
	remedy := f.Remedy
	if !strings.ContainsAny(f.About, "#(/0123456789") {
		kinds, remedy = append(kinds, ErrNoColour), remedy+", or in words, like navy, cream or 'dark blue'"
	}
	return fault.New(f.About, f.Why, remedy, kinds...)
}
