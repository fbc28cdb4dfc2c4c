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
	look  looked
	stash report.Stash
	plan  report.Plan
	quilt report.Arrangement
}

// outputs are the files that the demo leaves beside its photos in dir.
func (a *demoAnswers) outputs(dir string) []output {
	at := func(name string, kind fileKind, write func(io.Writer) error) output {
		return output{target{path: filepath.Join(dir, name), kind: kind}, write}
	}
	return []output{
		at("report.html", htmlFile, a.look.html),
		at("pieces.png", pngFile, a.look.picture),
		at("pieces.csv", lookCSV, func(w io.Writer) error { return report.CSV(w, a.look.Look) }),
		at("pieces.json", lookJSON, func(w io.Writer) error { return report.JSON(w, a.look.Look) }),
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
	demoDrawn             = 2 // of the outputs show the photos
)

// demoSquares are what the boxes and the tin of the demo hold: squares of one size, which
// most of their photos cannot tell, having nothing of known size in them.
var demoSquares = map[string]desk.StowRequest{
	"tin-of-squares.jpg": {As: cloth.Square, CutIn: 3.5},
	"box-1.jpg":          {As: cloth.Square, CutIn: 2.5},
	"box-2.jpg":          {As: cloth.Square, CutIn: 2.5},
	"box-3.jpg":          {As: cloth.Square, CutIn: 2.5},
	"box-4.jpg":          {As: cloth.Square, CutIn: 2.5},
}

// demoFloor is the floor that the demo sets: of each bin of the squares in the
// tin.
var demoFloor = shelf.Floor{Cut: shelf.Square(3.5), Least: 3}

// demo looks at the JPEG files of photos, in dir.
func (l *line) demo(ctx context.Context, photos fs.FS, dir string) error {
	var a demoAnswers
	wanted := a.outputs(dir)
	files, err := unpack(photos, dir, wanted)
	if err != nil {
		return err
	}
	outputs, err := openFiles(wanted...)
	if err != nil {
		return err
	}
	defer outputs.drop()
	results, err := l.desk().Look(ctx, files, look.Options{})
	if err != nil {
		return err
	}
	sheets := make([]cloth.Sheet, len(results))
	for i, r := range results {
		if r.Err != nil {
			return r.Err
		}
		sheets[i] = r.Sheet
	}
	a.look.Look = report.NewLook(sheets, nil, shelf.Options{})
	a.look.Reader = look.Reader()
	own := &line{streams: l.streams, stash: filepath.Join(dir, demoLedger)}
	err = own.at("working", func(d *desk.Desk) error {
		err := a.fill(ctx, d.At(desk.Door{}), results) // new baskets are no news
		if err == nil {
			a.quilt.Drawn = true
			a.quilt.Crops, err = own.crops(ctx, d, a.quilt.Used(), a.quilt.CropSide())
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := l.draw(ctx, outputs, demoDrawn, &a.look); err != nil {
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
	return l.show(a.look.Look, false)
}

// fill stows the photos, as already looked at, each as a basket of its own, and plans
// the library quilt from them. What an earlier demo stowed is known.
func (a *demoAnswers) fill(ctx context.Context, d *desk.Desk, looked []desk.Looked) error {
	for _, x := range looked {
		name := filepath.Base(x.Sheet.File)
		r := demoSquares[name]
		r.Alike, r.Basket = true, strings.ReplaceAll(strings.TrimSuffix(name, filepath.Ext(name)), "-", " ")
		if _, err := d.StowLooked(ctx, x.Sheet.File, x, r); err != nil {
			return err
		}
	}
	floors, err := d.Floors(ctx)
	if err == nil && len(floors) == 0 {
		_, err = d.SetFloor(ctx, demoFloor, true)
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

// unpack writes the photos into a folder of dir. A dir that holds anything that
// no demo put there is refused: it may be somebody's own.
func unpack(photos fs.FS, dir string, outputs []output) ([]string, error) {
	names, err := fs.Glob(photos, "*.jpg")
	if err != nil {
		return nil, err
	}
	place := filepath.Join(dir, demoPhotos)
	ours := []string{demoPhotos, demoLedger}
	for _, o := range outputs {
		ours = append(ours, filepath.Base(o.path))
	}
	if err := cmp.Or(holdsOnly(dir, ours), holdsOnly(place, names)); err != nil {
		return nil, err
	}
	for _, o := range outputs {
		if err := o.spareOfDemo(); err != nil {
			return nil, err
		}
	}
	if err := os.MkdirAll(place, 0o755); err != nil {
		return nil, fault.New(dir, fmt.Sprintf("the folder cannot be made: %v", bare(err)), "choose another with --dir", err)
	}
	files := make([]string, len(names))
	for i, n := range names {
		files[i] = filepath.Join(place, n)
		data, err := fs.ReadFile(photos, n)
		if err != nil {
			return nil, err
		}
		if have, err := readInput(files[i], int64(len(data)), ""); err == nil && bytes.Equal(have, data) {
			continue
		}
		to := target{path: files[i], kind: photoFile}
		if err := to.spareOfDemo(); err != nil {
			return nil, err
		}
		f, err := create(to)
		if err == nil {
			err = f.write(func(w io.Writer) error { _, err := w.Write(data); return err })
		}
		if err != nil {
			return nil, err
		}
	}
	return files, nil
}

// spareOfDemo refuses to write a file of the demo over one that no demo wrote.
func (t target) spareOfDemo() error {
	if err := t.spare(realPlace(t.path)); errors.Is(err, fault.ErrUsage) {
		no := fault.Of(err)
		return fault.New(no.About, no.Why, "choose a new folder with --dir")
	}
	return nil
}

// holdsOnly refuses a folder with other things in it than those named. One that
// is not there holds nothing; hidden names are the system's.
func holdsOnly(dir string, ours []string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fault.New(dir, fmt.Sprintf("the folder cannot be read: %v", bare(err)), "choose another with --dir", err)
	}
	for _, e := range entries {
		if !slices.Contains(ours, e.Name()) && !strings.HasPrefix(e.Name(), ".") {
			return fault.New(dir, fmt.Sprintf("the folder holds %s, which is not the demo's", e.Name()), "choose a new folder with --dir")
		}
	}
	return nil
}
