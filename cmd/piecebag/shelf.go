package main

import (
	"context"
	"io"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// shelfFlags are those of shelf, as written.
type shelfFlags struct {
	json, csv, pieces             bool
	html, pdf, paper, since, trim string
	sizes                         string
	force                         *bool
	which                         whichFlags
}

func newShelf(l *ledger) *cobra.Command {
	var f shelfFlags
	cmd := &cobra.Command{
		Use:   "shelf",
		Short: "Show what the stash holds, with the thin bins marked",
		Long: `Shelf shows what the stash holds: your own bins, then each hue family by its
cuts, with the values in it ('piecebag set bins' sorts otherwise); how many squares
the strips give; which bins are thin, by how many and why; the balance of hue and
value; and what changed since a day. Flags such as --family show a part of it, and
what is thin there. --pieces lists every piece with the number that 'piecebag fix'
and 'piecebag use' take.`,
		Example: `  piecebag shelf --since 2026-01-01
  piecebag shelf --html stash.html --pdf stash.pdf
  piecebag shelf --pieces --basket blues --html numbers.html`,
		Args: noArgs("shelf"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runShelf(cmd.Context(), l, &f)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.BoolVar(&f.json, "json", false, "answer in JSON")
	fl.BoolVar(&f.csv, "csv", false, "answer in CSV, a row a bin and cut")
	fl.StringVar(&f.html, "html", "", "write it to look at and print to `FILE`")
	fl.StringVar(&f.pdf, "pdf", "", "write it as PDF to `FILE`")
	paperVar(fl, &f.paper)
	f.force = forceFlag(fl)
	fl.StringVar(&f.since, "since", "", "say what changed since this `DAY`, e.g. 2026-01-31")
	measureVar(fl, &f.trim, "trim", "", "count strips with this `LENGTH` squared off, e.g. ½ or 1cm; 0 for none")
	measureVar(fl, &f.sizes, "sizes", "", "count strips in squares of these `SIZES`, e.g. 1½,2½")
	fl.BoolVar(&f.pieces, "pieces", false, "list piece by piece; with --html the photos too, each piece outlined and numbered")
	f.which.define(cmd)
	return cmd
}

func runShelf(ctx context.Context, l *ledger, f *shelfFlags) error {
	which, err := f.which.filter()
	if err != nil {
		return err
	}
	ask, err := f.request()
	if err != nil {
		return err
	}
	ask.Which = which
	if !ask.Since.IsZero() && !f.which.empty() {
		return fault.Usage("", "--since works on the whole stash, and another flag asks for a part of it", "leave one of them off")
	}
	files, err := f.outputs()
	if err != nil {
		return err
	}
	defer files.drop()
	var v report.Stash
	err = l.at("working", func(d *desk.Desk) error {
		if f.pieces {
			return l.pieces(ctx, d, which, files, f.json)
		}
		v.Shelf, err = d.Shelf(ctx, ask)
		if err == nil && len(files) > 0 {
			v.Crops, err = l.crops(ctx, d, func(h cloth.Holding) string { return v.Stock.Sorted().Of(shelf.AlikeOf(h)).String() }, report.ChipSide)
		}
		return err
	})
	if err != nil || f.pieces {
		return err
	}
	if err := files.write(v); err != nil {
		return err
	}
	switch {
	case f.json:
		return answered(report.StashJSON(l.s.out, v))
	case f.csv:
		return answered(report.StashCSV(l.s.out, v))
	}
	return answered(v.Document().Text(l.s.out, l.s.textOptions()))
}

// pieces answers piece by piece, also in a page where one is asked for.
func (l *ledger) pieces(ctx context.Context, d *desk.Desk, which stash.Filter, files answerFiles[report.Stash], asJSON bool) error {
	p, err := d.Pieces(ctx, desk.PiecesRequest{Which: which, Outlines: len(files) > 0})
	if err != nil {
		return err
	}
	for _, f := range files {
		bar := l.s.progress("drawing", len(p.Photos))
		err := f.file.write(func(w io.Writer) error { return drawPieces(ctx, w, p, bar.step) })
		bar.done()
		if err != nil {
			return err
		}
	}
	if asJSON {
		return answered(report.HoldingsJSON(l.s.out, p.Held, p.Names))
	}
	return listPieces(l.s.out, p)
}

// request reads the flags, but for the part of the stash that is meant.
func (f *shelfFlags) request() (desk.ShelfRequest, error) {
	r := desk.ShelfRequest{Colours: f.html != "" || f.pdf != ""}
	if f.json && f.csv {
		return r, fault.Usage("", "--json and --csv cannot be given together", "give one of them")
	}
	if f.pieces && f.pdf != "" {
		return r, fault.Usage("", "--pieces and --pdf cannot be given together", "write a page of the pieces with --html, and print that")
	}
	if f.pieces && f.csv {
		return r, fault.Usage("", "--pieces and --csv cannot be given together", "for every piece in CSV write 'piecebag export --csv'")
	}
	if f.trim != "" {
		trim, err := readTrim(f.trim)
		if err != nil {
			return r, err
		}
		r.Trim = &trim
	}
	var err error
	if r.Sizes, err = readCuts("sizes", f.sizes, unitOf(false, f.sizes)); err != nil {
		return r, err
	}
	r.Since, err = f.readSince()
	return r, err
}

// readSince reads a day, which begins at midnight where you are.
func (f *shelfFlags) readSince() (time.Time, error) {
	if f.since == "" {
		return time.Time{}, nil
	}
	day, err := time.ParseInLocation(time.DateOnly, f.since, time.Local)
	if err != nil {
		return day, wrong("since", f.since, "this is not a day", "write it as year-month-day, like 2026-01-31")
	}
	return day, nil
}

// outputs makes ready the files that shelf was asked for.
func (f *shelfFlags) outputs() (answerFiles[report.Stash], error) {
	if err := knownPaper(f.paper); err != nil {
		return nil, err
	}
	return openFiles(nil, f.force,
		wantedFile[report.Stash]{"html", f.html, htmlFile, stashHTML},
		wantedFile[report.Stash]{"pdf", f.pdf, pdfFile, stashPDF(f.paper)})
}

func stashHTML(w io.Writer, v report.Stash) error { return v.Document().HTML(w) }

func stashPDF(paper string) func(io.Writer, report.Stash) error {
	return func(w io.Writer, v report.Stash) error { return v.Document().PDF(w, paper) }
}
