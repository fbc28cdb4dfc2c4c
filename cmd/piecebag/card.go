package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/fault"
	"piecebag/internal/report"
)

func newCard(s streams) *cobra.Command {
	var paper, out string
	var force *bool
	cmd := &cobra.Command{
		Use:   "card",
		Short: "Write the reference card to print",
		Long: `Card writes the reference card as a PDF, to be printed at 100 % and cut out. Laid
among the pieces it tells a photo's scale, its tilt and what is white in it.
Measure its check line with a ruler before you use it: the whole line is 4 inches
long, and the part up to the mark within it is 100 mm.`,
		Example: `  piecebag card --paper letter
  piecebag card --paper a4 -o card.pdf`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fault.Usage(args[0], "card takes no file", "to choose the file it writes, put -o before the name")
			}
			return nil
		},
		RunE: func(*cobra.Command, []string) error {
			if !slices.Contains(report.Papers, paper) {
				return paperError(paper)
			}
			to := target{flag: "output", path: out, kind: pdfFile, force: force}
			if out == "" {
				out = "piecebag-card-" + paper + ".pdf"
				to.flag, to.path = "", out
			}
			f, err := create(to)
			if err != nil {
				return err
			}
			if err := f.write(func(w io.Writer) error { return report.Card(w, paper) }); err != nil {
				return err
			}
			_, err = fmt.Fprintln(s.out, plain(out))
			return answered(err)
		},
	}
	wordVar(cmd.Flags(), &paper, "paper", "", "the `PAPER` it is printed on: "+orList(report.Papers))
	cmd.Flags().StringVarP(&out, "output", "o", "", "the `FILE` to write (default piecebag-card-PAPER.pdf)")
	force = forceFlag(cmd.Flags())
	return cmd
}

func paperError(paper string) error {
	remedy := "write --paper " + strings.Join(report.Papers, " or --paper ")
	if paper == "" {
		return fault.Usage("", "no paper is given", remedy)
	}
	return fault.Usage(fmt.Sprintf("--paper %s", paper), "the card is not made for this paper", remedy)
}
