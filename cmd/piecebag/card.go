package main

import (
	"cmp"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/fault"
	"piecebag/internal/report"
)

func newCard(l *line) *cobra.Command {
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
		Args: takes(0, 0, nil, fault.Usage("", "card takes no file", "to choose the file it writes, put -o before the name")),
		RunE: func(*cobra.Command, []string) error {
			if paper == "" {
				return fault.Usage("", "no paper is given", cardPapers)
			}
			to := target{path: cmp.Or(out, "piecebag-card-"+paper+".pdf"), kind: pdfFile, force: force, fill: func(w io.Writer) error { return report.Card(w, paper) }}
			if out != "" {
				to.flag = "output"
			}
			if err := writeFiles(to); err != nil {
				return err
			}
			return l.answer(map[string]any{"card": to.path}, plain(to.path)+"\n")
		},
	}
	readVar(cmd.Flags(), &paper, "paper", "", "the `PAPER` it is printed on: "+orList(report.Papers), func(s string) (string, error) {
		paper, err := oneOf(report.Papers, "")(s)
		if err != nil {
			err = unread("the card is not made for this paper", cardPapers)
		}
		return paper, err
	})
	cmd.Flags().StringVarP(&out, "output", "o", "", "the `FILE` to write (default piecebag-card-PAPER.pdf)")
	force = forceFlag(cmd.Flags())
	return cmd
}

var cardPapers = "write --paper " + strings.Join(report.Papers, " or --paper ")
