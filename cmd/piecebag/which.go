package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// whichFlags say which cloth is meant.
type whichFlags struct {
	stash.Filter
	family, value string      // as written
	shade         cloth.Value // that the family was written with
	given         bool        // any of them
}

// define adds the flags called by name; none given adds them all.
func (f *whichFlags) define(cmd *cobra.Command, names ...string) {
	fl := cmd.Flags()
	fl.SortFlags = false
	w := &f.Filter
	name := func(to *string) func(string) error {
		return func(s string) error {
			*to = strings.TrimSpace(s) // as the stash keeps it
			return nil
		}
	}
	for _, x := range []struct {
		name, usage string
		read        func(string) error
	}{
		{"family", "the hue `FAMILY`, e.g. blue, navy or 'dark blue'", f.readFamily},
		{"value", "the `VALUE`: light, medium-light, medium, medium-dark or dark", f.readValue},
		{"bin", "the `BIN` of your own", name(&w.Bin)},
		{"cut", "the `WIDTH` it is cut to, e.g. 2½ or 6cm", func(s string) (err error) { w.Cut, err = desk.ReadCut(s); return err }},
		{"as", "the `FORM`: squares, rectangles, strips, odd pieces, bands", func(s string) (err error) { w.Form, err = desk.ReadForm(s); return err }},
		{"basket", "the `BASKET` it is kept in", name(&w.Basket)},
		{"print", "the `PRINT` it is cut from", name(&w.Print)},
		{"id", "the `NUMBERS` of pieces as 'shelf --pieces' lists them, e.g. 12,15 or 13-60", func(s string) error {
			ids, err := readIDs(s)
			w.IDs = ids.All
			return err
		}},
	} {
		if len(names) == 0 || slices.Contains(names, x.name) {
			fl.Var(&parsed{read: func(s string) error {
				f.given = true
				return x.read(s)
			}}, x.name, x.usage)
		}
	}
	spacedFlags(fl, "cut") // where it is one of them
	before(cmd, func(*pflag.FlagSet) error { return f.checkValue() })
}

// readFamily reads a hue family, which may be written with a value before it.
func (f *whichFlags) readFamily(s string) error {
	var ok bool
	if f.Family, f.shade, ok = cloth.ReadFamily(s); !ok {
		remedy := "write " + orList(cloth.Families)
		if v, isValue := cloth.ReadValue(s); isValue {
			remedy = "write --value " + string(v)
		}
		return unread("there is no such hue family", remedy)
	}
	f.family = s
	return nil
}

func (f *whichFlags) readValue(s string) error {
	var ok bool
	if f.Value, ok = cloth.ReadValue(s); !ok {
		return unread("there is no such value", "write "+orList(cloth.Values))
	}
	f.value = s
	return nil
}

// checkValue takes the value that the family was written with, and refuses another beside
// it.
func (f *whichFlags) checkValue() error {
	if f.shade != "" && f.Value != "" && f.shade != f.Value {
		return fault.Usage("", fmt.Sprintf("--family %s and --value %s say two values", f.family, f.value), "leave one of them off")
	}
	f.Value = cmp.Or(f.Value, f.shade)
	return nil
}

const numbersRemedy = "write numbers as 'piecebag shelf --pieces' lists them, like 12 or 12,15 or 13-60"

// readIDs reads numbers of pieces for a flag.
func readIDs(s string) (desk.Numbers, error) {
	out, err := desk.ReadNumbers(s)
	if err != nil || out.All == nil {
		return out, unread("this is not a list of numbers of pieces", numbersRemedy)
	}
	return out, nil
}
