package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"piecebag/internal/desk"
	"piecebag/internal/report"
)

// documentFlags are those of every command that answers with a document.
type documentFlags struct {
	html, pdf, paper string
	force            *bool
	svg, picture     string // of commands that define them
	csv              bool   // likewise
}

func (f *documentFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.html, "html", "", "write it to look at and print to `FILE`")
	fl.StringVar(&f.pdf, "pdf", "", "write it as PDF to `FILE`")
	f.paper = report.Papers[0]
	paperVar(fl, &f.paper, f.paper, "the `PAPER` of the PDF: ", "there is no such paper")
	f.force = forceFlag(fl)
}

// csvFlag defines --csv of a command that answers in JSON too.
func csvFlag(cmd *cobra.Command, to *bool, usage string) {
	cmd.Flags().BoolVar(to, "csv", false, usage)
	notTogether(cmd, "give one of them", "json", "csv")
}

// pictured reports whether the answer goes to a file, where cloth is shown.
func (f *documentFlags) pictured() bool { return f.html+f.pdf+f.svg+f.picture != "" }

// paperVar defines the flag for a paper.
func paperVar(fl *pflag.FlagSet, to *string, value, usage, reason string) {
	readVar(fl, to, "paper", value, usage+orList(report.Papers), oneOf(report.Papers, reason))
}

// shown is the answer of a verb as it can be written: to the flags that the command
// has. Without html or text those are the document's.
type shown struct {
	document                            func() report.Document
	html, svg, picture, text, json, csv func(io.Writer) error
}

// shows runs a verb that answers with a document, to the files it is asked for and to
// standard output.
func (l *line) shows(f *documentFlags, verb func(ctx context.Context, d *desk.Desk, args []string) (shown, error)) runE {
	return func(cmd *cobra.Command, args []string) error {
		var a shown
		html := func(w io.Writer) error {
			if a.html != nil {
				return a.html(w)
			}
			return a.document().HTML(w)
		}
		files, err := openFiles(
			output{target{flag: "html", path: f.html, kind: htmlFile, force: f.force}, html},
			output{target{flag: "pdf", path: f.pdf, kind: pdfFile, force: f.force}, func(w io.Writer) error { return a.document().PDF(w, f.paper) }},
			output{target{flag: "svg", path: f.svg, kind: svgFile, force: f.force}, func(w io.Writer) error { return a.svg(w) }},
			output{target{flag: "picture", path: f.picture, kind: pngFile, force: f.force}, func(w io.Writer) error { return a.picture(w) }})
		if err != nil {
			return err
		}
		defer files.drop()
		err = l.at("working", func(d *desk.Desk) (err error) {
			a, err = verb(cmd.Context(), d, args)
			return err
		})
		if err == nil {
			err = files.write()
		}
		switch {
		case err != nil:
			return err
		case l.json:
			return answered(a.json(l.out))
		case f.csv:
			return answered(a.csv(l.out))
		case a.text != nil:
			return answered(a.text(l.out))
		}
		return answered(a.document().Text(l.out, l.textOptions()))
	}
}

func (s streams) textOptions() report.TextOptions {
	return report.TextOptions{Width: s.width(), Environ: s.environ}
}
