package main

import (
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

// unitOf is what lengths that name no unit are in: centimetres with --metric, and
// where any of those given beside them is in centimetres or millimetres.
func unitOf(metric bool, given ...string) cloth.Unit {
	if metric || slices.ContainsFunc(given, cloth.IsMetric) {
		return cloth.Centimetres
	}
	return cloth.Inches
}

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
	if s == "" {
		return 0, nil
	}
	in, err := cloth.ParseLength(s)
	if err != nil {
		return 0, wrong(flag, s, "this is not a length", "write it as 2½, 2 1/2, 2.5 or 6cm")
	}
	if in < leastCut || in > mostCut {
		return 0, wrong(flag, s, "cloth is not cut to this length", "write a length "+cutRange)
	}
	return in, nil
}

// readCuts reads lengths to cut with commas between; nil where there are none.
func readCuts(flag, s string, bare cloth.Unit) ([]float64, error) {
	if s == "" {
		return nil, nil
	}
	words := strings.Split(s, ",")
	for _, w := range words {
		if _, err := cloth.ParseLength(w); err != nil {
			return nil, notCut(flag, s, w)
		}
	}
	all, err := cloth.ParseLengths(words, bare)
	if err != nil {
		return nil, err
	}
	for i, in := range all {
		if in < leastCut || in > mostCut {
			return nil, notCut(flag, s, words[i])
		}
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
		return 0, wrong(flag, s, "this is not a length", "write it like ½ or 1cm, or 0 for none")
	}
	return in[0], nil
}
