package main

import (
	"io"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/report"
)

// documentFlags are those of every command that answers with a document.
type documentFlags struct {
	json             bool
	html, pdf, paper string
}

func (f *documentFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.BoolVar(&f.json, "json", false, "answer in JSON")
	fl.StringVar(&f.html, "html", "", "write it to look at and print to `FILE`")
	fl.StringVar(&f.pdf, "pdf", "", "write it as PDF to `FILE`")
	paperVar(fl, &f.paper)
}

// files makes ready what was asked for.
func (f *documentFlags) files() (answerFiles[report.Document], error) {
	if err := pageAndPaper(f.html, f.pdf, f.paper); err != nil {
		return nil, err
	}
	return openFiles(nil,
		wantedFile[report.Document]{"html", f.html, ".html", func(w io.Writer, d report.Document) error { return d.HTML(w) }},
		wantedFile[report.Document]{"pdf", f.pdf, ".pdf", func(w io.Writer, d report.Document) error { return d.PDF(w, f.paper) }})
}

// paperVar defines the flag for the paper of a PDF.
func paperVar(fl *pflag.FlagSet, to *string) {
	wordVar(fl, to, "paper", report.Papers[0], "the `PAPER` of the PDF: "+orList(report.Papers))
}

// pageAndPaper refuses paper that is not, and a page and a PDF of one name.
func pageAndPaper(html, pdf, paper string) error {
	switch {
	case !slices.Contains(report.Papers, paper):
		return wrong("paper", paper, "there is no such paper here", "write "+orList(report.Papers))
	case html != "" && html == pdf:
		return wrong("pdf", pdf, "the page goes there", "name another file")
	}
	return nil
}

// answer writes a document to the files it was asked for, and to standard
// output, there as JSON where that was asked for.
func (f *documentFlags) answer(s streams, files answerFiles[report.Document], d report.Document, asJSON func(io.Writer) error) error {
	if err := files.write(d); err != nil {
		return err
	}
	if f.json {
		return answered(asJSON(s.out))
	}
	return answered(d.Text(s.out, s.textOptions()))
}

func (s streams) textOptions() report.TextOptions {
	return report.TextOptions{Width: s.width(), Environ: s.environ}
}
