package main

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// spaced marks a flag whose value may be several words, such as 3 1/2.
const spaced = "spaced"

// spacedFlags marks flags that take a length, several of them, a size or a weight.
func spacedFlags(fl *pflag.FlagSet, names ...string) {
	for _, name := range names {
		_ = fl.SetAnnotation(name, spaced, []string{"true"}) // an error where it is not defined
	}
}

// joinMeasures joins what a shell made several words of: --cut 3 1/2 was once 3
// inches and a photo called 1/2.
func joinMeasures(root *cobra.Command, args []string) []string {
	cmd, _, err := root.Find(args)
	if err != nil {
		return args
	}
	args = slices.Clone(args)
	for i := 0; i < len(args) && args[i] != "--"; i++ {
		word, isFlag := strings.CutPrefix(args[i], "--")
		name, value, here := strings.Cut(word, "=")
		flag := cmd.Flags().Lookup(name)
		if !isFlag || flag == nil || flag.Annotations[spaced] == nil {
			continue
		}
		if !here {
			if i++; i == len(args) {
				break
			}
			value = args[i]
		}
		for i+1 < len(args) && goesOn(value, args[i+1]) {
			value += " " + args[i+1]
			args[i] += " " + args[i+1]
			args = slices.Delete(args, i+1, i+2)
		}
	}
	return args
}

var (
	wholeEnd   = regexp.MustCompile(`(?:^|[\s,x×*])\d+$`)
	openEnd    = regexp.MustCompile(`[,x×*]$`)
	numberWord = regexp.MustCompile(`^[\d.⅛¼⅜½⅝¾⅞]`)
	fraction   = regexp.MustCompile(`^(?:\d{1,3}[/⁄]\d{1,3}|[⅛¼⅜½⅝¾⅞])(?:in|"|″|cm|mm)?(?:[x×*,].*)?$`)
	unitWord   = regexp.MustCompile(`(?i)^(?:in|inch|inches|cm|mm|g|kg|oz|lb)(?:[x×*,].*)?$`)
	crossWord  = regexp.MustCompile(`(?i)^[x×*][\d.,/⁄⅛¼⅜½⅝¾⅞]*(?:in|"|″|cm|mm)?$`)
)

// goesOn says whether a word goes on with the measure that those before it began:
// the fraction of 3 1/2, the unit of 6 cm, the x of 60 x 72.
func goesOn(measure, next string) bool {
	switch {
	case openEnd.MatchString(measure):
		return numberWord.MatchString(next)
	case wholeEnd.MatchString(measure) && fraction.MatchString(next):
		return true
	}
	return unitWord.MatchString(next) || crossWord.MatchString(next)
}

// measures are flags of a command that take lengths. They are read together, since what
// names no unit is in centimetres with --metric, else in inches; beside lengths in
// centimetres or millimetres it may be either, as cloth is sold in the one and cut in
// the other, and is refused.
type measures struct {
	metric bool // --metric
	all    []measure
}

type measure struct {
	name string
	text *string
	read func(text string, bare cloth.Unit) error
}

// add defines a flag that read reads; what it refuses is about the flag.
func (m *measures) add(fl *pflag.FlagSet, name, value, usage string, read func(text string, bare cloth.Unit) error) {
	m.all = append(m.all, measure{name, fl.String(name, value, usage), read})
	spacedFlags(fl, name)
}

// unit is what lengths that name none are in, of the flags and of others beside them.
func (m *measures) unit(others ...string) cloth.Unit {
	if m.metric {
		return cloth.Centimetres
	}
	for _, x := range m.all {
		others = append(others, *x.text)
	}
	return unitBeside(others...)
}

func unitBeside(given ...string) cloth.Unit {
	if slices.ContainsFunc(given, cloth.IsMetric) {
		return cloth.Unsaid
	}
	return cloth.Inches
}

// read reads the flags that were given or have a value of their own.
func (m *measures) read(bare cloth.Unit) error {
	for _, x := range m.all {
		if *x.text == "" {
			continue
		}
		if err := x.read(*x.text, bare); err != nil {
			return aboutFlag(x.name, *x.text, err)
		}
	}
	return nil
}

// aboutFlag says of what the value of a flag is refused for that it is about the flag.
func aboutFlag(name, value string, err error) error {
	switch f := fault.Of(err); {
	case errors.Is(err, cloth.ErrUnit):
		return wrong(name, value, noUnit, unitRemedy)
	case f != nil && f.About == "":
		return wrong(name, value, f.Why, f.Remedy)
	}
	return err
}

const (
	noUnit     = "it names no unit, and a length beside it is in centimetres or millimetres"
	unitRemedy = "write the unit of each: in, cm or mm"
)

// lengthTo reads a length.
func lengthTo(to *float64, reason, remedy string) func(string, cloth.Unit) error {
	return func(s string, bare cloth.Unit) error {
		in, err := cloth.ParseLengths([]string{s}, bare)
		if err != nil {
			return fault.New("", reason, remedy, err)
		}
		*to = in[0]
		return nil
	}
}

// lengthOrNoneTo reads a length that may be 0.
func lengthOrNoneTo(to *float64) func(string, cloth.Unit) error {
	read := lengthTo(to, "this is not a length", "write it like ½ or 1cm, or 0 for none")
	return func(s string, bare cloth.Unit) error {
		if s == "0" {
			return nil
		}
		return read(s, bare)
	}
}

// readCuts reads lengths to cut with commas between, which name all a unit or none.
func readCuts(s string) ([]float64, error) {
	return desk.ReadCuts(s, unitBeside(s))
}

// cutsTo reads lengths to cut with commas between.
func cutsTo(to *[]float64) func(string, cloth.Unit) error {
	return func(s string, bare cloth.Unit) (err error) {
		*to, err = desk.ReadCuts(s, bare)
		return err
	}
}

// seamTo defines the flag for a seam allowance.
func (m *measures) seamTo(fl *pflag.FlagSet, to *recipe.System) {
	m.add(fl, "seam", "¼", "the `SEAM` allowance: ¼, scant, 6.5mm, 7.5mm", func(s string, unit cloth.Unit) (err error) {
		*to, err = desk.ReadSystem(s, unit)
		return err
	})
}

// blockTo defines the flag for the width of a block.
func (m *measures) blockTo(fl *pflag.FlagSet, to *float64) {
	m.add(fl, "block", "", "make the block another finished `WIDTH`, e.g. 9 or 15cm",
		lengthTo(to, "this is not a width", "write the width of the finished block, like 9 or 15cm"))
}

// metricFlag defines --metric.
func (m *measures) metricFlag(fl *pflag.FlagSet) {
	fl.BoolVar(&m.metric, "metric", false, "read and write centimetres; lengths in cm or mm have them written too")
}
