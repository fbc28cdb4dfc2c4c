package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
)

// meantColour reads a colour: notation, or a word for it as people write it. A family,
// with a value or without, stands for the middle of its cloth.
func meantColour(text string) (colour.Linear, error) {
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
		return c, colourError(err)
	case f == cloth.Many:
		return c, fault.Usage("", fmt.Sprintf("%q is not one colour", text), "name one of them")
	}
	m, ok := plan.SwatchOf(plan.Sought{Family: f, Value: v})
	if !ok {
		return c, fault.Usage("", fmt.Sprintf("no %s is %s", f, v), "leave the value off, or name another")
	}
	return m.Linear(), nil
}

// errFile is that a text is the name of a file, not a colour.
var errFile = errors.New("this is a file")

// fileOrColour reads a colour as meantColour does, where a file may be meant too: a
// file goes before a word.
func fileOrColour(text string) (colour.Linear, error) {
	c, err := colour.ParseColour(text)
	if err == nil {
		return c, nil
	}
	if _, missing := os.Stat(text); missing == nil {
		return c, errFile
	}
	return meantColour(text)
}

// colourError makes a colour that cannot be read a wrong use of the command.
func colourError(err error) error {
	f := fault.Of(err)
	if f == nil {
		return err
	}
	remedy := f.Remedy
	if !strings.ContainsAny(f.About, "#(/0123456789") {
		remedy += ", or in words, like navy, cream or 'dark blue'; 'piecebag name --help' lists them"
	}
	return fault.Usage(f.About, f.Why, remedy)
}
