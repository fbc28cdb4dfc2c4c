package main

import (
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

func newName(l *line) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "name COLOUR…",
		Short: "Say the Munsell notation, hue family and value of colours",
		Long: `Name says, for each colour, its Munsell notation, hue family, value and CIE L*.
A colour is written as hex (#7a9bb5), as in CSS (rgb(), lab(), lch(), oklab(),
oklch()), in Munsell notation (5PB 6/4), or in words: a hue family, with a value
before it or without ('dark blue'), or one of
` + inLines(cloth.ColourWords()) + `,
with its family after it or without ('olive green'). What is no colour is refused, and
the others are answered.`,
		Example: `  piecebag name '#7a9bb5' '5PB 6/4' navy 'dark green'
  piecebag name 'oklch(70% 0.1 240)' --json`,
		Args: atLeastOne("no colour is given", "write it as hex, e.g. piecebag name '#7a9bb5'"),
		RunE: func(_ *cobra.Command, args []string) error {
			return l.name(args)
		},
	}
	return cmd
}

// name answers every colour that it can read; a text that is none is refused, and where
// none is a colour the command is wrong.
func (l *line) name(texts []string) error {
	var names []report.Name
	var refused []report.RefusedColour
	var faults []*fault.Error
	for _, text := range texts {
		c, err := meantColour(text)
		if f := fault.Of(err); f != nil {
			faults = append(faults, f)
			refused = append(refused, report.RefusedColour{Colour: text, Error: f.Why + "; " + f.Remedy})
			continue
		}
		names = append(names, nameOf(c))
	}
	if last := len(faults) - 1; len(names) == 0 {
		l.faults(faults[:last])
		return faults[last]
	}
	var err error
	if l.json {
		err = report.NameJSON(l.out, names, refused)
	} else {
		w := tabwriter.NewWriter(l.out, 0, 0, 2, ' ', 0)
		for _, n := range names {
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\tL* %.1f\n", n.Colour.Hex(), n.Munsell, n.Family, n.Value, n.Lightness)
		}
		err = w.Flush()
	}
	l.faults(faults) // after the answer, as it would scroll out of sight before it
	if err == nil && len(faults) > 0 {
		return errRefused
	}
	return answered(err)
}

func nameOf(c colour.Linear) report.Name {
	l := c.Lab().L
	return report.Name{
		Colour: c, Munsell: colour.ToMunsell(c).String(), Family: family.Of(c),
		Value: cloth.ValueOf(l), Lightness: l,
	}
}

// inLines writes words as a list, so many a line as fit on a screen.
func inLines(words []string) string {
	var lines []string
	for part := range slices.Chunk(words, 8) {
		lines = append(lines, strings.Join(part, ", "))
	}
	return strings.Join(lines, ",\n")
}
