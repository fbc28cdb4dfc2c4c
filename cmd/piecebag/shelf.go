package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

func newShelf(l *line) *cobra.Command {
	var f documentFlags
	var which whichFlags
	var pieces bool
	var ask desk.ShelfRequest
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
		Args: noArgs,
		RunE: l.shows(&f, func(ctx context.Context, d *desk.Desk, _ []string) (a shown, err error) {
			ask.Which = which.Filter
			if !ask.Since.IsZero() && which.given {
				return a, fault.Usage("", "--since works on the whole stash, and another flag asks for a part of it", "leave one of them off")
			}
			if pieces {
				p, err := d.Pieces(ctx, desk.PiecesRequest{Which: ask.Which, Outlines: f.pictured()})
				return l.pieces(ctx, p), err
			}
			var v report.Stash
			ask.Colours = f.pictured()
			if v.Shelf, err = d.Shelf(ctx, ask); err == nil && f.pictured() {
				v.Crops, err = l.crops(ctx, d, func(h cloth.Holding) string { return v.Stock.Sorted().Of(shelf.AlikeOf(h)).String() }, report.ChipSide)
			}
			return shown{
				document: v.Document,
				json:     func(w io.Writer) error { return report.StashJSON(w, v) },
				csv:      func(w io.Writer) error { return report.StashCSV(w, v) },
			}, err
		}),
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	csvFlag(cmd, &f.csv, "answer in CSV, a row a bin and cut")
	f.define(cmd)
	readVar(fl, &ask.Since, "since", "", "say what changed since this `DAY`, e.g. 2026-01-31", readDay)
	readVar(fl, &ask.Trim, "trim", "", "count strips with this `LENGTH` squared off, e.g. ½ or 1cm; 0 for none", desk.ReadTrim)
	readVar(fl, &ask.Sizes, "sizes", "", "count strips in squares of these `SIZES`, e.g. 1½,2½", readCuts)
	spacedFlags(fl, "trim", "sizes")
	fl.BoolVar(&pieces, "pieces", false, "list piece by piece; with --html the photos too, each piece outlined and numbered")
	notTogether(cmd, "write a page of the pieces with --html, and print that", "pieces", "pdf")
	notTogether(cmd, "for every piece in CSV write 'piecebag export --csv'", "pieces", "csv")
	which.define(cmd)
	return cmd
}

// readDay reads a day, which begins at midnight where you are.
func readDay(s string) (time.Time, error) {
	day, err := time.ParseInLocation(time.DateOnly, s, time.Local)
	if err != nil {
		return day, unread("this is not a day", "write it as year-month-day, like 2026-01-31")
	}
	return day, nil
}

// pieces is the answer piece by piece, with their numbers; as a page, photo by photo.
func (l *line) pieces(ctx context.Context, p desk.Pieces) shown {
	return shown{
		json: func(w io.Writer) error { return report.HoldingsJSON(w, p.Held, p.Names) },
		html: func(w io.Writer) error {
			pictures, done := l.drawing(ctx, "drawing", pathsOf(p.Photos), 0)
			defer done()
			return report.StashPhotosHTML(w, p.Photos, p.ByHand, pictures)
		},
		text: func(w io.Writer) error {
			rows := []string{"number\tcount\tcolour\tcut\tsize\tprint\tbasket\tfrom"}
			for _, h := range p.Held {
				from, size := "by hand", ""
				if h.Photo != "" {
					from = fmt.Sprintf("%s, piece %d", plain(p.Names[h.Photo]), h.Piece)
				}
				if h.WidthIn > 0 && h.LengthIn > 0 {
					size = shelf.Size(h.WidthIn, h.LengthIn)
				}
				rows = append(rows, fmt.Sprintf("%d\t%d\t%s\t%s\t%s\t%s\t%s\t%s", h.ID, h.Count, plain(shelf.AlikeOf(h).String()), shelf.CutOf(h), size, plain(h.Print), plain(h.Basket), from))
			}
			_, err := io.WriteString(w, columns(rows...))
			return err
		},
	}
}

func pathsOf(photos []desk.PhotoPieces) []string {
	out := make([]string, len(photos))
	for i, p := range photos {
		out[i] = p.Path
	}
	return out
}

// crops cuts pieces of the stash out of its photos, one for each name that as gives,
// so many pixels long.
func (l *line) crops(ctx context.Context, d *desk.Desk, as func(cloth.Holding) string, side int) (report.Crops, error) {
	crops, _, err := l.cropsOf(ctx, d, as, side)
	return crops, err
}

// printCrops cuts a piece of each print of the stash out of its photo, by the print's
// name.
func (l *line) printCrops(ctx context.Context, d *desk.Desk) (map[string]*report.Crop, error) {
	crops, photos, err := l.cropsOf(ctx, d, desk.MeasuredPrint, report.ChipSide)
	out := map[string]*report.Crop{}
	for _, p := range photos {
		for _, x := range p.Pieces {
			if crop := crops[x.ID]; crop != nil {
				out[desk.MeasuredPrint(x.Holding)] = crop
			}
		}
	}
	return out, err
}

func (l *line) cropsOf(ctx context.Context, d *desk.Desk, as func(cloth.Holding) string, side int) (report.Crops, []desk.PhotoPieces, error) {
	photos, err := d.OneOfEach(ctx, as)
	if err != nil {
		return nil, nil, err
	}
	pictures, done := l.drawing(ctx, "cutting out", pathsOf(photos), 0)
	defer done()
	crops, err := report.CropsOf(photos, pictures, side)
	return crops, photos, err
}
