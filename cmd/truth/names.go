package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"piecebag/internal/family"
	"piecebag/internal/truth"
)

// newSizes prints how true sizes and scales are, and their trust.
func (p program) newSizes() *cobra.Command {
	return p.measures(&cobra.Command{
		Use:   "sizes FOLDER…",
		Short: "Print how true sizes and scales are, with and without a card in view, and how true their trust",
	}, func(scores []truth.Result) any { return truth.SizesOf(scores) },
		func(scores []truth.Result) error { return truth.WriteSizes(p.out, truth.SizesOf(scores)) })
}

// newNames prints how true the trust in families and values is, and the lines
// that would make it true.
func (p program) newNames() *cobra.Command {
	return p.measures(&cobra.Command{
		Use:   "names FOLDER…",
		Short: "Print how true the trust in families and values is, and fit it anew",
	}, func(scores []truth.Result) any { return namesOf(scores) }, p.writeNames)
}

// namesOf returns how true the trust in names is: in families, in those that are dull, in
// values in light that was found, and in values in light that was guessed.
func namesOf(scores []truth.Result) map[string]truth.Names {
	var families, values []truth.NameClaim
	for _, r := range scores {
		families = append(families, r.Families...)
		values = append(values, r.Values...)
	}
	bright, dull := truth.Parted(families)
	found, guessed := truth.Parted(values)
	return map[string]truth.Names{
		"family": truth.NamesOf(bright), "dull": truth.NamesOf(dull),
		"value": truth.NamesOf(found), "guessed": truth.NamesOf(guessed),
	}
}

func (p program) writeNames(scores []truth.Result) error {
	of := namesOf(scores)
	f, d, v, g := family.Lines()
	for _, n := range []struct {
		name string
		line family.Line
	}{{"family", f}, {"dull", d}, {"value", v}, {"guessed", g}} {
		if err := truth.WriteNames(p.out, n.name, of[n.name]); err != nil {
			return err
		}
		fit := of[n.name].Line.After(truth.Refit(n.line))
		if _, err := fmt.Fprintf(p.out, "  fitted: %sLine = Line{At: %.2f, Slope: %.2f}\n", n.name, fit.At, fit.Slope); err != nil {
			return err
		}
	}
	return nil
}
