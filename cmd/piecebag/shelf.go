package main

import (
	"context"
	"io"
	"reflect"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
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
		Long: `Shelf shows what the stash holds: your own bins, then hue family and value, each
by its cuts; how many squares the strips give; which bins are thin, by how many
and why; the balance of hue and value; and what changed since a day. Flags such as
--family show a part of it, and what is thin there. --pieces lists every piece with
the number that 'piecebag fix' and 'piecebag use' take.`,
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
	o, err := f.options()
	if err != nil {
		return err
	}
	since, err := f.readSince()
	if err != nil {
		return err
	}
	if !since.IsZero() && !f.which.empty() {
		return fault.Usage("", "--since works on the whole stash, and another flag asks for a part of it", "leave one of them off")
	}
	files, err := f.outputs()
	if err != nil {
		return err
	}
	defer files.drop()
	var v report.Stash
	err = l.read(func(st *stash.Stash) error {
		if st != nil {
			if err := l.noteUnknown(ctx, st, which); err != nil {
				return err
			}
		}
		var err error
		if f.pieces {
			p, err := gatherPieces(ctx, st, which, len(files) > 0)
			if err != nil {
				return err
			}
			return l.pieces(ctx, p, files, f.json)
		}
		if f.which.empty() && f.html == "" && f.pdf == "" {
			v, err = gatherCounts(ctx, st, stockAsk{o, f.trim == "", false, since})
		} else {
			v, err = gather(ctx, st, which, o, f.trim == "", since)
			if err == nil && len(files) > 0 && st != nil {
				v.Crops, err = l.crops(ctx, st, func(h cloth.Holding) string { return v.Stock.Sorted().Of(shelf.AlikeOf(h)).String() })
			}
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
func (l *ledger) pieces(ctx context.Context, p piecewise, files answerFiles[report.Stash], asJSON bool) error {
	for _, f := range files {
		bar := l.s.progress("drawing", len(p.shown))
		err := f.file.write(func(w io.Writer) error { return p.page(ctx, w, bar.step) })
		bar.done()
		if err != nil {
			return err
		}
	}
	if asJSON {
		return answered(report.HoldingsJSON(l.s.out, p.held, p.names()))
	}
	return p.list(l.s.out)
}

// stockAsk is how stock is to be taken.
type stockAsk struct {
	shelf.StockOptions
	usualTrim bool      // the trim of the stash's settings
	part      bool      // of a part of the stash, which says nothing of what is thin
	since     time.Time // zero: what changed is not asked for
}

// gather takes stock of what the filter means, with its colours; nothing where
// there is no stash.
func gather(ctx context.Context, st *stash.Stash, which stash.Filter, o shelf.StockOptions, usualTrim bool, since time.Time) (report.Stash, error) {
	var held []cloth.Holding
	if st != nil {
		var err error
		if held, err = st.Holdings(ctx, which); err != nil {
			return report.Stash{}, err
		}
	}
	part := !reflect.ValueOf(which).IsZero()
	v, err := takeStock(ctx, st, held, stockAsk{o, usualTrim, part, since})
	if err != nil {
		return v, err
	}
	v.Holdings = held
	if part {
		v.Part = which.String()
		v.Stock.Short, err = shortOf(ctx, st, which, o)
	}
	return v, err
}

// shortOf finds what of the filter's colours and cuts is thin. It is held against
// the whole stash; of what else a filter asks, such as a basket, nothing is thin.
func shortOf(ctx context.Context, st *stash.Stash, which stash.Filter, o shelf.StockOptions) ([]shelf.Short, error) {
	of := stash.Filter{Family: which.Family, Value: which.Value, Bin: which.Bin, Form: which.Form, Cut: which.Cut}
	if st == nil || !reflect.DeepEqual(of, which) {
		return nil, nil
	}
	whole, err := gatherCounts(ctx, st, stockAsk{StockOptions: o, usualTrim: true})
	return slices.DeleteFunc(whole.Stock.Short, func(s shelf.Short) bool {
		return of.Family != "" && s.Family != of.Family || of.Value != "" && s.Value != of.Value || of.Bin != "" && s.Own != of.Bin ||
			of.Form != "" && s.Form != of.Form || of.Cut > 0 && s.Width != shelf.Mark(of.Cut)
	}), err
}

// gatherCounts is gather for the whole stash without its colours: it reads no
// piece, and so takes no longer for many.
func gatherCounts(ctx context.Context, st *stash.Stash, ask stockAsk) (report.Stash, error) {
	if st == nil {
		return takeStock(ctx, nil, nil, ask)
	}
	held, err := st.Stock(ctx)
	if err != nil {
		return report.Stash{}, err
	}
	v, err := takeStock(ctx, st, held, ask)
	if err != nil {
		return v, err
	}
	counts, err := st.Counts(ctx)
	if err != nil {
		return v, err
	}
	for _, c := range counts {
		v.Stock.NotePrints(alikeOf(c), shelf.Cut{Form: c.Form, Width: c.WidthIn, Length: c.LengthIn}, c.Prints)
	}
	return v, nil
}

// takeStock takes stock of holdings by the floors, planned quilts and settings of
// the stash.
func takeStock(ctx context.Context, st *stash.Stash, held []cloth.Holding, ask stockAsk) (report.Stash, error) {
	var v report.Stash
	o := ask.StockOptions
	if !ask.since.IsZero() {
		v.Since = ask.since.Format(time.DateOnly)
	}
	if st == nil {
		v.Stock = shelf.TakeStock(nil, o)
		return v, nil
	}
	set, err := st.Settings(ctx)
	if err != nil {
		return v, err
	}
	if o.Bins = set.Bins; ask.usualTrim {
		o.Trim = set.TrimIn
	}
	if !ask.part {
		floors, err := st.Floors(ctx)
		if err != nil {
			return v, err
		}
		for _, x := range floors {
			o.Floors = append(o.Floors, shelfFloor(x))
		}
		quilts, err := plannedQuilts(ctx, st)
		if err != nil {
			return v, err
		}
		o.Needs, o.Lacks = shelfNeeds(quilts), shelfLacks(quilts)
	}
	v.Stock = shelf.TakeStock(held, o)
	if ask.part {
		v.Stock.Short, v.Stock.Missing = nil, nil
	}
	if !ask.since.IsZero() {
		counts, err := st.ChangedSince(ctx, ask.since)
		if err != nil {
			return v, err
		}
		v.Changes = changesOf(counts)
	}
	return v, nil
}

func (f *shelfFlags) options() (shelf.StockOptions, error) {
	o := shelf.StockOptions{Trim: shelf.DefaultTrim}
	if f.json && f.csv {
		return o, fault.Usage("", "--json and --csv cannot be given together", "give one of them")
	}
	if f.pieces && f.pdf != "" {
		return o, fault.Usage("", "--pieces and --pdf cannot be given together", "write a page of the pieces with --html, and print that")
	}
	if f.pieces && f.csv {
		return o, fault.Usage("", "--pieces and --csv cannot be given together", "for every piece in CSV write 'piecebag export --csv'")
	}
	if f.trim != "" {
		var err error
		if o.Trim, err = readTrim(f.trim); err != nil {
			return o, err
		}
	}
	var err error
	o.Sizes, err = readCuts("sizes", f.sizes, unitOf(false, f.sizes))
	return o, err
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
