package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/cloth"
)

// spaced marks a flag whose value may be several words, such as 3 1/2.
const spaced = "spaced"

// measureVar defines a flag that takes a length, several of them, a size or a
// weight.
func measureVar(fl *pflag.FlagSet, to *string, name, value, usage string) {
	fl.StringVar(to, name, value, usage)
	// The flag was defined in the line before: there is no error.
	_ = fl.SetAnnotation(name, spaced, []string{"true"})
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

// unitOf is what lengths that name no unit are in: centimetres with --metric, else
// inches. Beside lengths in centimetres or millimetres they may be either, as cloth
// is sold in the one and cut in the other: they are refused.
func unitOf(metric bool, given ...string) cloth.Unit {
	switch {
	case metric:
		return cloth.Centimetres
	case slices.ContainsFunc(given, cloth.IsMetric):
		return cloth.Unsaid
	}
	return cloth.Inches
}

// wrongLength is wrong of a length, which was not read because of err.
func wrongLength(flag, s string, err error, reason, remedy string) error {
	if errors.Is(err, cloth.ErrUnit) {
		reason, remedy = noUnit, unitRemedy
	}
	return wrong(flag, s, reason, remedy)
}

const (
	noUnit     = "it names no unit, and a length beside it is in centimetres or millimetres"
	unitRemedy = "write the unit of each: in, cm or mm"
)

// The lengths that anyone cuts, inches: a narrower one is all seam, and no
// cloth is wider.
const (
	leastCut = 0.5
	mostCut  = 120
)

// cutRange is what a length to cut must be.
var cutRange = fmt.Sprintf("from %s to %d inches", cloth.FormatInches(leastCut), mostCut)

// readCut reads a length of cloth that a flag gives; 0 where it gives none.
func readCut(flag, s string) (float64, error) {
	in, err := readSides([]string{flag}, []string{s})
	return in[0], err
}

// readSides reads the sides of a piece that flags give, 0 where one gives none. A
// unit after one side counts for the other too.
func readSides(flags, given []string) ([]float64, error) {
	out := make([]float64, len(given))
	var texts []string
	for i, s := range given {
		if s == "" {
			continue
		}
		if _, err := cloth.ParseLength(s); err != nil {
			return out, wrong(flags[i], s, "this is not a length", "write it as 2½, 2 1/2, 2.5 or 6cm")
		}
		texts = append(texts, s)
	}
	all, err := cloth.ParseLengths(texts, cloth.Inches)
	if err != nil {
		return out, err
	}
	for i, s := range given {
		if s == "" {
			continue
		}
		if all[0] < leastCut || all[0] > mostCut {
			return out, wrong(flags[i], s, "cloth is not cut to this length", "write a length "+cutRange)
		}
		out[i], all = all[0], all[1:]
	}
	return out, nil
}

// readCuts reads lengths to cut with commas between; nil where there are none.
func readCuts(flag, s string, bare cloth.Unit) ([]float64, error) {
	if s == "" {
		return nil, nil
	}
	var all []float64
	for _, w := range strings.Split(s, ",") {
		in, err := cloth.ParseLengths([]string{w}, bare)
		switch {
		case errors.Is(err, cloth.ErrUnit):
			return nil, wrongLength(flag, s, err, "", "")
		case err != nil || in[0] < leastCut || in[0] > mostCut:
			return nil, notCut(flag, s, w)
		}
		all = append(all, in[0])
	}
	return all, nil
}

func notCut(flag, s, word string) error {
	return wrong(flag, s, fmt.Sprintf("cloth is not cut to %q", strings.TrimSpace(word)),
		fmt.Sprintf("write lengths %s with commas between, like 1½,2.5,5 or 6cm,9cm", cutRange))
}

// lengthOrNone reads a length that may be 0.
func lengthOrNone(flag, s string, bare cloth.Unit) (float64, error) {
	if s == "0" {
		return 0, nil
	}
	in, err := cloth.ParseLengths([]string{s}, bare)
	if err != nil {
		return 0, wrongLength(flag, s, err, "this is not a length", "write it like ½ or 1cm, or 0 for none")
	}
	return in[0], nil
}
