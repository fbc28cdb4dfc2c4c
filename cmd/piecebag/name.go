package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

func newName(l *line) *cobra.Command {
	return &cobra.Command{
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
		RunE: func(_ *cobra.Command, args []string) error { return l.name(args) },
	}
}

// name answers every colour that it can read; a text that is none is refused, and where
// none is a colour the command is wrong.
func (l *line) name(texts []string) error {
	var names []desk.Named
	var refused []report.RefusedColour
	var faults []*fault.Error
	var rows []string
	for _, text := range texts {
		c, err := desk.ReadColour(text)
		if f := fault.Of(err); f != nil {
			faults = append(faults, f)
			refused = append(refused, report.RefusedColour{Colour: text, Error: f.Why + "; " + worded(f).Remedy})
			continue
		}
		n := desk.NameOf(c)
		names, rows = append(names, n), append(rows, fmt.Sprintf("%s\t%s\t%s\t%s\tL* %.1f", n.Colour.Hex(), n.Munsell, n.Family, n.Value, n.Lightness))
	}
	if last := len(faults) - 1; len(names) == 0 {
		l.faults(faults[:last])
		return faults[last]
	}
	return l.refused(faults, l.answer(report.NamesJSON(names, refused), columns(rows...)))
}

// inLines writes words as a list, so many a line as fit on a screen.
func inLines(words []string) string {
	var lines []string
	for part := range slices.Chunk(words, 8) {
		lines = append(lines, strings.Join(part, ", "))
	}
	return strings.Join(lines, ",\n")
}
