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
	"piecebag/internal/report"
)

func newName(s streams) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "name COLOUR…",
		Short: "Say the Munsell notation, hue family and value of colours",
		Long: `Name says, for each colour, its Munsell notation, hue family, value and CIE L*.
A colour is written as hex (#7a9bb5), as in CSS (rgb(), lab(), lch(), oklab(),
oklch()), in Munsell notation (5PB 6/4), or in words: a hue family, with a value
before it or without ('dark blue'), or one of
` + inLines(cloth.ColourWords()) + `.`,
		Example: `  piecebag name '#7a9bb5' '5PB 6/4' navy 'dark green'
  piecebag name 'oklch(70% 0.1 240)' --json`,
		Args: atLeastOne("no colour is given", "write it as hex, e.g. piecebag name '#7a9bb5'"),
		RunE: func(_ *cobra.Command, args []string) error {
			names := make([]report.Name, len(args))
			for i, a := range args {
				c, err := meantColour(a)
				if err != nil {
					return err
				}
				names[i] = nameOf(c)
			}
			if asJSON {
				return answered(report.NameJSON(s.out, names))
			}
			w := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
			for _, n := range names {
				fmt.Fprintf(w, "%s\t%s\t%s\t%s\tL* %.1f\n", n.Colour.Hex(), n.Munsell, n.Family, n.Value, n.Lightness)
			}
			return answered(w.Flush())
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	return cmd
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
