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
	force            *bool
}

func (f *documentFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.BoolVar(&f.json, "json", false, "answer in JSON")
	fl.StringVar(&f.html, "html", "", "write it to look at and print to `FILE`")
	fl.StringVar(&f.pdf, "pdf", "", "write it as PDF to `FILE`")
	paperVar(fl, &f.paper)
	f.force = forceFlag(fl)
}

// files makes ready what was asked for, and more besides.
func (f *documentFlags) files(more ...wantedFile[report.Document]) (answerFiles[report.Document], error) {
	if err := knownPaper(f.paper); err != nil {
		return nil, err
	}
	return openFiles(nil, f.force, append([]wantedFile[report.Document]{
		{"html", f.html, htmlFile, func(w io.Writer, d report.Document) error { return d.HTML(w) }},
		{"pdf", f.pdf, pdfFile, func(w io.Writer, d report.Document) error { return d.PDF(w, f.paper) }},
	}, more...)...)
}

// paperVar defines the flag for the paper of a PDF.
func paperVar(fl *pflag.FlagSet, to *string) {
	wordVar(fl, to, "paper", report.Papers[0], "the `PAPER` of the PDF: "+orList(report.Papers))
}

// knownPaper refuses paper that is not.
func knownPaper(paper string) error {
	if !slices.Contains(report.Papers, paper) {
		return wrong("paper", paper, "there is no such paper", "write "+orList(report.Papers))
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
