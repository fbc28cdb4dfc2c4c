package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
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
		{&f.family, "family", "the hue `FAMILY`, e.g. blue"},
		{&f.value, "value", "the `VALUE`: light, medium-light, medium, medium-dark or dark"},
		{&f.bin, "bin", "the `BIN` of your own"},
		{&f.cut, "cut", "the `WIDTH` it is cut to, e.g. 2½ or 6cm"},
		{&f.as, "as", "the `FORM`: squares, rectangles, strips, odd pieces, bands"},
		{&f.basket, "basket", "the `BASKET` it is kept in"},
		{&f.print, "print", "the `PRINT` it is cut from"},
		{&f.ids, "id", "the `NUMBERS` of pieces as 'shelf --pieces' lists them, e.g. 12,15"},
	} {
		if len(names) == 0 || slices.Contains(names, x.name) {
			fl.StringVar(x.to, x.name, "", x.usage)
		}
	}
}

// filter reads the flags.
func (f *whichFlags) filter() (stash.Filter, error) {
	out := stash.Filter{Bin: f.bin, Basket: f.basket, Print: f.print}
	var err error
	if out.Family, err = readFamily(f.family); err != nil {
		return out, err
	}
	if out.Value, err = readValue(f.value); err != nil {
		return out, err
	}
	if out.Form, err = readForm(f.as); err != nil {
		return out, err
	}
	if out.Cut, err = readCut("cut", f.cut); err != nil {
		return out, err
	}
	out.IDs, err = readIDs("id", f.ids)
	return out, err
}

// empty says whether no flag was given.
func (f *whichFlags) empty() bool { return *f == whichFlags{} }

func readFamily(s string) (cloth.Family, error) {
	f := cloth.Family(strings.ToLower(s))
	switch f {
	case "":
		return "", nil
	case "gray":
		return cloth.Grey, nil
	}
	if slices.Contains(cloth.Families, f) {
		return f, nil
	}
	words := make([]string, len(cloth.Families))
	for i, f := range cloth.Families {
		words[i] = string(f)
	}
	return "", wrong("family", s, "there is no such hue family", "write "+orList(words))
}

// readValue reads a value; spaces may stand for the hyphens.
func readValue(s string) (cloth.Value, error) {
	v := cloth.Value(strings.ReplaceAll(strings.ToLower(s), " ", "-"))
	if v == "" || slices.Contains(cloth.Values, v) {
		return v, nil
	}
	words := make([]string, len(cloth.Values))
	for i, v := range cloth.Values {
		words[i] = string(v)
	}
	return "", wrong("value", s, "there is no such value", "write "+orList(words))
}

// forms are the forms as she calls them, in the singular and the plural.
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
	if f, ok := forms[strings.ToLower(s)]; ok {
		return f, nil
	}
	return "", wrong("as", s, "there is no such form", formRemedy)
}

// readCut reads a length of cloth that a flag gives; 0 where it gives none.
func readCut(flag, s string) (float64, error) {
	if s == "" {
		return 0, nil
	}
	in, err := cloth.ParseLength(s)
	if err != nil {
		return 0, wrong(flag, s, "this is no length", "write it as 2½, 2 1/2, 2.5 or 6cm")
	}
	if in < leastCut || in > mostCut {
		return 0, wrong(flag, s, "nobody cuts so", fmt.Sprintf("write a length from %s to %s inches", cloth.FormatInches(leastCut), cloth.FormatInches(mostCut)))
	}
	return in, nil
}

func readIDs(flag, s string) ([]int64, error) {
	if s == "" {
		return nil, nil
	}
	var out []int64
	for _, x := range strings.Split(s, ",") {
		id, err := readID(x)
		if err != nil {
			return nil, wrong(flag, s, fmt.Sprintf("%q is no number of a piece", strings.TrimSpace(x)), "write numbers as 'piecebag shelf --pieces' lists them, with commas between, like 12,15")
		}
		out = append(out, id)
	}
	return out, nil
}

func readID(s string) (int64, error) {
	id, err := strconv.ParseInt(strings.TrimSpace(s), 10, 64)
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

func orList(words []string) string {
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
