package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/look"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/samples"
)

func newDemo(l *line) *cobra.Command {
	var dir string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Run the whole job on the sample photos, in a folder of its own",
		Long: `Demo looks at the sample photos: what the Saltmarsh sewing circle has, in two
baskets, on a shelf, in boxes and a tin of squares and on the table, for the quilt in
the reading corner of its village library. It stows them in a stash of the demo's own,
plans the quilt from it and lays it out, and writes its reports into a folder of its
own; it touches nothing else. Running it again replaces the reports.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fault.Usage(args[0], "demo takes no photo: it has its own", fmt.Sprintf("to look at yours, write 'piecebag look %s'", args[0]))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return l.demo(cmd.Context(), samples.Photos, dir) },
	}
	cmd.Flags().StringVar(&dir, "dir", "piecebag-demo", "the `FOLDER` to write into")
	return cmd
}

// demoAnswers is what the demo found, holds and plans.
type demoAnswers struct {
	sheets []cloth.Sheet
	look   shown
	stash  report.Shelf
	plan   report.Plan
	quilt  report.Arrangement
}

// outputs returns the files that the demo leaves beside its photos in dir.
func (a *demoAnswers) outputs(dir string) []files.Target {
	at := func(name string, format files.Format, fill func(io.Writer) error) files.Target {
		return files.Target{Path: filepath.Join(dir, name), Format: format, Fill: fill}
	}
	return []files.Target{
		at("report.html", htmlFile, func(w io.Writer) error { return a.look.html(w) }),
		at("pieces.png", pngFile, func(w io.Writer) error { return a.look.picture(w) }),
		at("pieces.csv", lookCSV, func(w io.Writer) error { return a.look.csv(w) }),
		at("pieces.json", lookJSON, func(w io.Writer) error { return a.look.json(w) }),
		at("stash.html", htmlFile, func(w io.Writer) error { return a.stash.Document().HTML(w) }),
		at("stash.pdf", pdfFile, func(w io.Writer) error { return a.stash.Document().PDF(w, report.Papers[0]) }),
		at("plan.html", htmlFile, func(w io.Writer) error { return a.plan.Document().HTML(w) }),
		at("plan.pdf", pdfFile, func(w io.Writer) error { return a.plan.Document().PDF(w, report.Papers[0]) }),
		at("quilt.html", htmlFile, func(w io.Writer) error { return a.quilt.Document().HTML(w) }),
		at("quilt.png", pngFile, func(w io.Writer) error { return a.quilt.Picture(w) }),
	}
}

const (
	demoPhotos = "photos" // the folder of the demo's photos, in its own
	demoLedger = "stash"  // that of its stash
	// demoRecipe and its blocks are the quilt for the reading corner.
	demoRecipe            = "reading-corner"
	demoColumns, demoRows = 3, 4
)

// demo looks at the JPEG files of photos, in dir.
func (l *line) demo(ctx context.Context, photos fs.FS, dir string) error {
	a := demoAnswers{stash: report.Shelf{Wording: wording}, plan: report.Plan{Wording: wording}, quilt: report.Arrangement{Wording: wording}}
	wanted := a.outputs(dir)
	paths, err := unpack(photos, dir, wanted)
	if err != nil {
		return err
	}
	outputs, err := files.Prepare(wanted...)
	if err != nil {
		return err
	}
	defer outputs.Drop()
	results, err := l.desk().Look(ctx, paths, look.Options{})
	if err != nil {
		return err
	}
	for _, r := range results {
		if r.Err != nil {
			return r.Err
		}
		a.sheets = append(a.sheets, r.Sheet)
	}
	a.look = l.look(ctx, report.NewLook(a.sheets, nil, shelf.Options{}))
	own := &line{streams: l.streams, stash: filepath.Join(dir, demoLedger)}
	err = own.at("working", func(d *desk.Desk) error {
		err := a.fill(ctx, d.At(desk.Door{}), results) // new baskets are no news
		if err == nil {
			a.quilt.Drawn = true
			err = own.dress(ctx, d, &a.quilt, a.quilt.CropSide())
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := outputs.Write(); err != nil {
		return err
	}
	place, err := filepath.Abs(dir)
	if err != nil {
		place = dir
	}
	if !l.json {
		return l.answer(nil, a.text(place))
	}
	l.note("the report is " + filepath.Join(place, "report.html"))
	return answered(a.look.json(l.out))
}

// fill stows the photos, as already looked at, each as a basket of its own, and plans
// the library quilt from them. What an earlier demo stowed is known.
func (a *demoAnswers) fill(ctx context.Context, d *desk.Desk, looked []desk.Looked) error {
	for _, x := range looked {
		if _, err := d.StowLooked(ctx, x.Sheet.File, x, samples.Stow(stem(x.Sheet.File))); err != nil {
			return err
		}
	}
	floors, err := d.Floors(ctx)
	if err == nil && len(floors) == 0 {
		_, err = d.SetFloor(ctx, samples.Floor, true)
	}
	if err == nil {
		a.stash.Shelf, err = d.Shelf(ctx, desk.ShelfRequest{Colours: true})
	}
	if err != nil {
		return err
	}
	r, err := recipe.BuiltIn(demoRecipe)
	if err != nil {
		return err
	}
	ask := desk.PlanRequest{Name: "The library quilt", Order: plan.Order{Recipe: r, Columns: demoColumns, Rows: demoRows}, Shop: plan.Defaults(recipe.Inches())}
	if a.plan.Plan, err = d.Plan(ctx, ask); err != nil {
		return err
	}
	a.quilt.Arrangement, err = d.Arrange(ctx, desk.ArrangeRequest{PlanRequest: ask, Seed: 1})
	return err
}

// unpack writes the photos into a folder of dir. A dir that holds anything that no demo
// put there is refused: it may be somebody's own.
func unpack(photos fs.FS, dir string, outputs []files.Target) ([]string, error) {
	names, err := fs.Glob(photos, "*.jpg")
	if err != nil {
		return nil, err
	}
	place := filepath.Join(dir, demoPhotos)
	ours := []string{demoPhotos, demoLedger}
	for _, o := range outputs {
		ours = append(ours, filepath.Base(o.Path))
	}
	if err := cmp.Or(holdsOnly(dir, ours), holdsOnly(place, names)); err != nil {
		return nil, err
	}
	paths := make([]string, len(names))
	var lacking []files.Target
	for i, n := range names {
		paths[i] = filepath.Join(place, n)
		data, err := fs.ReadFile(photos, n)
		if err != nil {
			return nil, err
		}
		if have, err := files.Read(paths[i], int64(len(data)), ""); err != nil || !bytes.Equal(have, data) {
			lacking = append(lacking, files.Target{Path: paths[i], Format: photoFile, Fill: func(w io.Writer) error {
				_, err := w.Write(data)
				return err
			}})
		}
	}
	for _, t := range slices.Concat(outputs, lacking) {
		if no := fault.Of(t.Spare(files.Place(t.Path))); no != nil {
			return nil, fault.New(no.About, no.Why, "choose a new folder with --dir")
		}
	}
	if err := os.MkdirAll(place, 0o755); err != nil {
		return nil, fault.New(dir, fmt.Sprintf("the folder cannot be made: %v", files.Bare(err)), "choose another with --dir", err)
	}
	return paths, files.Write(lacking...)
}

// holdsOnly refuses a folder with other things in it than those named. One that
// is not there holds nothing; hidden names are the system's.
func holdsOnly(dir string, ours []string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fault.New(dir, fmt.Sprintf("the folder cannot be read: %v", files.Bare(err)), "choose another with --dir", err)
	}
	for _, e := range entries {
		if !slices.Contains(ours, e.Name()) && !strings.HasPrefix(e.Name(), ".") {
			return fault.New(dir, fmt.Sprintf("the folder holds %s, which is not the demo's", e.Name()), "choose a new folder with --dir")
		}
	}
	return nil
}

// stem returns the name of a file without its ending.
func stem(file string) string {
	return strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
}

// demoWidth is how wide the demo's lines are, but for the paths in them.
const demoWidth = 79

// text returns the demo's answer on one screen: what was found, what is thin, and what to
// open in the folder place.
func (a *demoAnswers) text(place string) string {
	var b strings.Builder
	var rows []string
	pieces := 0
	for _, lies := range []struct {
		kind cloth.Kind
		how  string
	}{{cloth.Spread, "laid apart"}, {cloth.Board, "squares edge to edge"}, {cloth.Stack, "folded strips, seen on edge"}, {cloth.Pile, "a heap"}} {
		var names []string
		found := 0
		for _, s := range a.sheets {
			if s.Kind == lies.kind {
				names = append(names, stem(s.File))
				found += len(s.Pieces)
			}
		}
		if pieces += found; names != nil {
			rows = append(rows, fmt.Sprintf("  %s\t%s\t%s", lies.how, cloth.Count(found, "piece"), someOf(names, demoWidth-45)))
		}
	}
	b.WriteString("Found in the photos of " + samples.Whose + "\n" + report.Columns(rows...))
	fmt.Fprintf(&b, "  In all %s of %s.\n", cloth.Count(pieces, "piece"), cloth.Count(a.stash.Stock.Totals.Prints, "print"))

	tin := samples.Floor.Cut
	fmt.Fprintf(&b, "\nThin: fewer than %d squares of %s\n", samples.Floor.Least, shelf.Length(samples.Floor.Width))
	for n := range samples.Floor.Least {
		var names []string
		for _, s := range a.stash.Stock.Short {
			if s.Cut == tin && s.Count == n {
				names = append(names, s.Alike.String())
			}
		}
		if names != nil {
			head := fmt.Sprintf("  %d held: ", n)
			b.WriteString(head + someOf(names, demoWidth-len(head)) + "\n")
		}
	}
	wanted, covered, _ := a.plan.Pull.Totals()
	fmt.Fprintf(&b, `
The library quilt takes %d squares. The stash covers %d of them.
%s

Open these in %s
  report.html  every piece found, with its colour and its size
  stash.html   the shelf, with the thin bins marked
  plan.html    the quilt: what to pull, to cut and to buy
  quilt.html   the quilt laid out, patch by patch; quilt.png, in their cloth
To print: stash.pdf, plan.pdf. For other programs: pieces.png, .csv, .json

Go on with this stash: piecebag shelf --stash %s
`, wanted, covered, laidOut(a.quilt), place, quotedWhereNeeded(filepath.Join(place, demoLedger)))
	return string(cloth.PrintableLines([]byte(b.String())))
}

// laidOut says how the quilt's layout came out.
func laidOut(a report.Arrangement) string {
	first := a.Laid[0]
	words := fmt.Sprintf("Laid out, %s of cloth alike, its lights and darks %.0f %% even.", cloth.Count(len(first.Touches), "touch"), 100*first.Evenness)
	if len(first.Touches) == 0 {
		words = fmt.Sprintf("Laid out, nothing alike touches, and its lights and darks are %.0f %% even.", 100*first.Evenness)
	}
	if a.Empty > 0 {
		words += fmt.Sprintf(" Cloth is lacking for %s.", cloth.Count(a.Empty, "patch"))
	}
	return words
}

// someOf lists as many names as fit into a width, and says how many more there are.
func someOf(names []string, width int) string {
	all := strings.Join(names, ", ")
	for n := len(names) - 1; len(all) > width && n > 0; n-- {
		all = fmt.Sprintf("%s and %d more", strings.Join(names[:n], ", "), len(names)-n)
	}
	return all
}

// quotedWhereNeeded returns a path as a shell takes it whole.
func quotedWhereNeeded(path string) string {
	if strings.ContainsAny(path, " '\"$&()*;<>?[]`{}|~!#") {
		return quoted(path)
	}
	return path
}
