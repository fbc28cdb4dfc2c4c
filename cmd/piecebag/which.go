package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// whichFlags say which cloth is meant, as written.
type whichFlags struct {
	family, value, bin, cut, as, basket, print, ids string
}

// define adds the flags called by name; none given adds them all.
func (f *whichFlags) define(cmd *cobra.Command, names ...string) {
	fl := cmd.Flags()
	fl.SortFlags = false
	for _, x := range []struct {
		to          *string
		name, usage string
	}{
		{&f.family, "family", "the hue `FAMILY`, e.g. blue, navy or 'dark blue'"},
		{&f.value, "value", "the `VALUE`: light, medium-light, medium, medium-dark or dark"},
		{&f.bin, "bin", "the `BIN` of your own"},
		{&f.cut, "cut", "the `WIDTH` it is cut to, e.g. 2½ or 6cm"},
		{&f.as, "as", "the `FORM`: squares, rectangles, strips, odd pieces, bands"},
		{&f.basket, "basket", "the `BASKET` it is kept in"},
		{&f.print, "print", "the `PRINT` it is cut from"},
		{&f.ids, "id", "the `NUMBERS` of pieces as 'shelf --pieces' lists them, e.g. 12,15 or 13-60"},
	} {
		switch {
		case len(names) > 0 && !slices.Contains(names, x.name):
		case x.name == "as":
			wordVar(fl, x.to, x.name, "", x.usage)
		case x.name == "cut":
			measureVar(fl, x.to, x.name, "", x.usage)
		default:
			fl.StringVar(x.to, x.name, "", x.usage)
		}
	}
}

// filter reads the flags.
func (f *whichFlags) filter() (stash.Filter, error) {
	out := stash.Filter{Bin: strings.TrimSpace(f.bin), Basket: strings.TrimSpace(f.basket), Print: strings.TrimSpace(f.print)} // as the stash keeps them
	var err error
	if out.Family, out.Value, err = readColour(f.family, f.value); err != nil {
		return out, err
	}
	if out.Form, err = readForm(f.as); err != nil {
		return out, err
	}
	if out.Cut, err = readCut("cut", f.cut); err != nil {
		return out, err
	}
	ids, err := readIDs("id", f.ids)
	out.IDs = ids.All
	return out, err
}

// empty says whether no flag was given.
func (f *whichFlags) empty() bool { return *f == whichFlags{} }

// readColour reads a hue family and a value; the family may be written with the
// value before it.
func readColour(family, value string) (cloth.Family, cloth.Value, error) {
	v, ok := cloth.ReadValue(value)
	if !ok {
		return "", "", wrong("value", value, "there is no such value", "write "+orList(cloth.Values))
	}
	f, also, ok := cloth.ReadFamily(family)
	switch {
	case !ok:
		remedy := "write " + orList(cloth.Families)
		if v, isValue := cloth.ReadValue(family); isValue {
			remedy = "write --value " + string(v)
		}
		return "", "", wrong("family", family, "there is no such hue family", remedy)
	case also != "" && v != "" && also != v:
		return "", "", fault.Usage("", fmt.Sprintf("--family %s and --value %s say two values", family, value), "leave one of them off")
	case v == "":
		v = also
	}
	return f, v, nil
}

// forms are the forms as people call them, in the singular and the plural.
var forms = map[string]cloth.Form{
	"square": cloth.Square, "squares": cloth.Square, "rectangle": cloth.Rectangle, "rectangles": cloth.Rectangle,
	"strip": cloth.Strip, "strips": cloth.Strip, "odd": cloth.Irregular, "odd piece": cloth.Irregular, "odd pieces": cloth.Irregular,
	"irregular": cloth.Irregular, "band": cloth.Band, "bands": cloth.Band, "weighed": cloth.Weighed,
}

const formRemedy = "write squares, rectangles, strips, odd or bands"

func readForm(s string) (cloth.Form, error) {
	if s == "" {
		return "", nil
	}
	if f, ok := forms[s]; ok {
		return f, nil
	}
	return "", wrong("as", s, "there is no such form", formRemedy)
}

// readNumbers reads numbers of pieces with commas or spaces between, and ranges
// of them such as 13-60.
func readNumbers(s string) (desk.Numbers, error) {
	var out desk.Numbers
	seen := map[int64]bool{}
	for _, x := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' }) {
		first, last, isRange := strings.Cut(strings.ReplaceAll(x, "–", "-"), "-")
		from, err := readID(first)
		to := from
		if isRange && err == nil {
			to, err = readID(last)
		}
		if err != nil || to < from || to-from >= mostPieces {
			return out, fault.Usage(x, "this is not the number of a piece, nor a range of numbers", numbersRemedy)
		}
		if !isRange {
			out.Said = append(out.Said, from)
		}
		for id := from; id <= to; id++ {
			if !seen[id] {
				seen[id] = true
				out.All = append(out.All, id)
			}
		}
	}
	return out, nil
}

const numbersRemedy = "write numbers as 'piecebag shelf --pieces' lists them, like 12 or 12,15 or 13-60"

// readIDs is readNumbers for a flag; none where it gives none.
func readIDs(flag, s string) (desk.Numbers, error) {
	out, err := readNumbers(s)
	if err != nil || s != "" && out.All == nil {
		return out, wrong(flag, s, "this is not a list of numbers of pieces", numbersRemedy)
	}
	return out, nil
}

func readID(s string) (int64, error) {
	id, err := strconv.ParseInt(s, 10, 64)
	if err == nil && id < 1 {
		err = strconv.ErrRange
	}
	return id, err
}

// mostPieces bounds a count of pieces: no stash holds more.
const mostPieces = 1_000_000

// readCount reads a number of pieces, from least up.
func readCount(s string, least int) (int, bool) {
	n, err := strconv.Atoi(s)
	return n, err == nil && n >= least && n <= mostPieces
}

func orList[T ~string](names []T) string {
	words := make([]string, len(names))
	for i, n := range names {
		words[i] = string(n)
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
