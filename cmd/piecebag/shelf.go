package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
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
			v := report.Shelf{Wording: wording}
			ask.Colours = f.pictured()
			if v.Shelf, err = d.Shelf(ctx, ask); err == nil && f.pictured() {
				v.Crops, err = l.crops(ctx, d, func(h cloth.Holding) string { return v.Stock.Sorted().Of(shelf.AlikeOf(h)).String() })
			}
			return shown{
				document: v.Document,
				json:     func(w io.Writer) error { return report.StashJSON(w, v) },
				csv:      func(w io.Writer) error { return report.StashCSV(w, v) },
			}, err
		}),
	}
	fl := cmd.Flags()
	csvFlag(cmd, &f.csv, "answer in CSV, a row a bin and cut")
	f.define(cmd)
	readVar(fl, &ask.Since, "since", "", "say what changed since this `DAY`, e.g. 2026-01-31", readDay)
	readVar(fl, &ask.Trim, "trim", "", "count strips with this `LENGTH` squared off, e.g. ½ or 1cm; 0 for none", desk.ReadTrim)
	readVar(fl, &ask.Sizes, "sizes", "", "count strips in squares of these `SIZES`, e.g. 1½,2½", readCuts)
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

// pieces returns the answer piece by piece, with their numbers; as a page, photo by photo.
func (l *line) pieces(ctx context.Context, p desk.Pieces) shown {
	return shown{
		json: func(w io.Writer) error { return report.HoldingsJSON(w, p.Held, p.Names) },
		html: func(w io.Writer) error {
			pictures, done := l.drawing(ctx, "drawing", desk.Paths(p.Photos), 0)
			defer done()
			return report.StashPhotosHTML(w, p.Photos, p.ByHand, pictures)
		},
		text: func(w io.Writer) error {
			_, err := io.WriteString(w, report.PiecesText(p))
			return err
		},
	}
}

// crops cuts pieces of the stash out of its photos, one for each name that as gives, as a
// document shows them.
func (l *line) crops(ctx context.Context, d *desk.Desk, as func(cloth.Holding) string) (report.Crops, error) {
	photos, err := d.OneOfEach(ctx, as)
	if err != nil {
		return nil, err
	}
	return l.cut(ctx, photos, report.ChipSide)
}

// printCrops cuts a piece of each print of the stash out of its photo, by the print's
// name.
func (l *line) printCrops(ctx context.Context, d *desk.Desk) (map[string]*report.Crop, error) {
	photos, err := d.OneOfEach(ctx, desk.MeasuredPrint)
	if err != nil {
		return nil, err
	}
	crops, err := l.cut(ctx, photos, report.ChipSide)
	return crops.ByPrint(photos), err
}

// cut cuts pieces out of their photos.
func (l *line) cut(ctx context.Context, photos []desk.PhotoPieces, side int) (report.Crops, error) {
	pictures, done := l.drawing(ctx, "cutting out", desk.Paths(photos), 0)
	defer done()
	return report.CropsOf(photos, pictures, side)
}

func newSet(l *line) *cobra.Command {
	var want desk.SetRequest
	show := l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
		now, err := d.Settings(ctx)
		return report.SettingsJSON(now), fmt.Sprintf("bins by: %s\nsquared off the end of a strip: %s\nweight of cloth: %.0f g a square metre\n",
			now.Bins, shelf.Length(now.TrimIn), now.GSM), err
	})
	change := l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) { return d.Set(ctx, want) })
	cmd := &cobra.Command{
		Use:   "set",
		Short: "Show or change how the stash counts",
		Long: `Set shows or changes what the stash counts with. 'set bins family' sorts the shelf
by hue family, with the values told within each bin; 'set bins value' sorts it by
value, and 'set bins both' by family and value. --trim is what you square off the end
of a strip. --yard is what one yard of your cloth weighs, and
--width how wide that yard is: they turn the weight of cloth into its area.`,
		Example: `  piecebag set bins both
  piecebag set --trim ½
  piecebag set --yard 140g --width 42`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if want == (desk.SetRequest{}) {
				return show(cmd, args)
			}
			return change(cmd, args)
		},
	}
	fl := cmd.Flags()
	readVar(fl, &want.TrimIn, "trim", "", "the `LENGTH` squared off a strip, e.g. ½ or 1cm; 0 for none", desk.ReadTrim)
	readVar(fl, &want.YardGrams, "yard", "", "the `WEIGHT` of one yard of your cloth, e.g. 140g", desk.ReadWeight)
	readVar(fl, &want.YardWidthIn, "width", "", "the `WIDTH` of that yard, e.g. 42; "+strconv.Itoa(cutting.DefaultWidth)+" without it", desk.ReadCut)
	cmd.AddCommand(newSetBins(l))
	return cmd
}

func newSetBins(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "bins family|value|both",
		Short: "Say by what the shelf is sorted into bins",
		Args:  cobra.ArbitraryArgs,
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, args []string) (stash.Change, error) {
			by, err := desk.ReadSorting(strings.Join(args, " "))
			if err != nil {
				return stash.Change{}, err
			}
			return d.Set(ctx, desk.SetRequest{Bins: &by})
		}),
	}
}

func newFloor(l *line) *cobra.Command {
	return group(&cobra.Command{
		Use:   "floor",
		Short: "Say how few pieces make a bin thin",
		Long: `A floor is the fewest pieces wanted in a bin: in one, in every bin of a colour or
of a cut, or in all. A bin holds what is alike in hue family and cut, or as 'piecebag set
bins' says; a floor with --value is of that value alone. --cut means squares of that
size. If several floors apply to a bin, the most particular one
counts. A colour or a value with a floor is held to that floor, and no longer to the
balance of the shelf.`,
		Example: `  piecebag floor set 8
  piecebag floor set 20 --cut 2½
  piecebag floor set 30 --family blue --value dark --cut 2½`,
	}, "write 'piecebag floor set', 'floor list' or 'floor clear'", newFloorSet(l), newFloorList(l), newFloorClear(l))
}

// ofFloor are the flags that say which bins a floor is of.
var ofFloor = []string{"family", "value", "bin", "cut"}

func (f *whichFlags) floor(n int) shelf.Floor {
	floor := shelf.Floor{Alike: shelf.Alike{Family: f.Family, Value: f.Value, Own: f.Bin}, Least: n}
	if f.Cut > 0 {
		floor.Cut = shelf.Square(f.Cut)
	}
	return floor
}

func newFloorSet(l *line) *cobra.Command {
	var f whichFlags
	var n int
	var isNew bool
	cmd := &cobra.Command{
		Use:   "set COUNT",
		Short: "Set a floor: for one bin, a colour, a cut or all",
		Args: oneNumber(&n, mostPieces,
			fault.Usage("", "say how many pieces you want", "write their number, like 'piecebag floor set 8'"),
			fault.Usage("", "this is not a number of pieces", "write a whole number above 0, like 'piecebag floor set 8'; 'piecebag floor clear' takes a floor away")),
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) {
			return d.SetFloor(ctx, f.floor(n), isNew)
		}),
	}
	f.define(cmd, ofFloor...)
	newVar(cmd, &isNew)
	return cmd
}

func newFloorClear(l *line) *cobra.Command {
	var f whichFlags
	cmd := &cobra.Command{
		Use:   "clear",
		Short: "Take a floor away; without flags that of every bin",
		Args:  noArgs,
		RunE: l.changes(func(ctx context.Context, d *desk.Desk, _ []string) (stash.Change, error) {
			return d.ClearFloor(ctx, f.floor(0))
		}),
	}
	f.define(cmd, ofFloor...)
	return cmd
}

func newFloorList(l *line) *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "List the floors", Args: noArgs,
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
			all, err := d.Floors(ctx)
			text := ""
			for _, f := range all {
				text += strconv.Itoa(f.Least) + "  " + plain(f.String()) + "\n"
			}
			return report.FloorsJSON(all), cmp.Or(text, "no floor is set\n"), err
		}),
	}
}
