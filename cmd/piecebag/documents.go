package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

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
	fl.StringVar(&f.paper, "paper", "letter", "the `PAPER` of the PDF: letter or a4")
}

// documentFiles are the files that a document goes to.
type documentFiles []documentFile

type documentFile struct {
	file  *outFile
	write func(io.Writer, report.Document) error
}

// files makes ready what was asked for, so that a place that cannot be written
// is known before the work.
func (f *documentFlags) files() (documentFiles, error) {
	if !slices.Contains(report.Papers, f.paper) {
		return nil, wrong("paper", f.paper, "there is no such paper here", "write "+strings.Join(report.Papers, " or "))
	}
	if f.html != "" && f.html == f.pdf {
		return nil, wrong("pdf", f.pdf, "the page goes there", "name another file")
	}
	var out documentFiles
	for _, want := range []struct {
		flag, path, ending string
		write              func(io.Writer, report.Document) error
	}{
		{"html", f.html, ".html", func(w io.Writer, d report.Document) error { return d.HTML(w) }},
		{"pdf", f.pdf, ".pdf", func(w io.Writer, d report.Document) error { return d.PDF(w, f.paper) }},
	} {
		if want.path == "" {
			continue
		}
		if named := strings.ToLower(filepath.Ext(want.path)); named != want.ending && slices.Contains(pictureNames, named) {
			out.drop()
			return nil, wrong(want.flag, want.path, "this is the name of a photo", "name a new file that ends in "+want.ending)
		}
		file, err := create(want.path)
		if err != nil {
			out.drop()
			return nil, err
		}
		out = append(out, documentFile{file, want.write})
	}
	return out, nil
}

func (o documentFiles) drop() {
	for _, f := range o {
		f.file.drop()
	}
}

func (o documentFiles) write(d report.Document) error {
	for _, f := range o {
		if err := f.file.write(func(w io.Writer) error { return f.write(w, d) }); err != nil {
			return err
		}
	}
	return nil
}

// answer writes a document to the files it was asked for, and to standard
// output, there as JSON where that was asked for.
func (f *documentFlags) answer(s streams, files documentFiles, d report.Document, asJSON func(io.Writer) error) error {
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
