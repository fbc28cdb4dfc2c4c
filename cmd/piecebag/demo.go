package main

import (
	"bytes"
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
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/samples"
)

func newDemo(s streams) *cobra.Command {
	var dir string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Run the whole job on the sample photos, in a folder of its own",
		Long: `Demo looks at the sample photos: what the Saltmarsh sewing circle has, in two
baskets, on a shelf, in a tin of squares and on the table, for the quilt in the
reading corner of its village library. It stows them in a stash of the demo's own,
plans the quilt from it, and writes its reports into a folder of its own; it
touches nothing else. Running it again replaces the reports.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fault.Usage(args[0], "demo takes no photo: it has its own", fmt.Sprintf("to look at yours, write 'piecebag look %s'", args[0]))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runDemo(cmd.Context(), s, samples.Photos, dir, asJSON)
		},
	}
	cmd.Flags().StringVar(&dir, "dir", "piecebag-demo", "the `FOLDER` to write into")
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	return cmd
}

// demoOutputs are the files that demo leaves beside its photos.
var demoOutputs = []struct {
	name  string
	kind  fileKind
	write func(io.Writer, drawn) error
}{
	{"report.html", htmlFile, drawHTML},
	{"pieces.png", pngFile, drawPicture},
	{"pieces.csv", lookCSV, func(w io.Writer, d drawn) error { return report.CSV(w, d.Look) }},
	{"pieces.json", lookJSON, func(w io.Writer, d drawn) error { return report.JSON(w, d.Look) }},
}

// runDemo looks at the JPEG files of photos, in dir.
func runDemo(ctx context.Context, s streams, photos fs.FS, dir string, asJSON bool) error {
	files, err := unpack(photos, dir)
	if err != nil {
		return err
	}
	results, err := s.desk().Look(ctx, files, look.Options{})
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
	l := report.NewLook(sheets, nil, shelf.Options{})
	l.Reader = look.Reader()
	var out answerFiles[drawn]
	defer func() { out.drop() }()
	for _, o := range demoOutputs {
		file, err := create(target{path: filepath.Join(dir, o.name), kind: o.kind})
		if err != nil {
			return err
		}
		out = append(out, answerFile[drawn]{file, o.write})
	}
	if err := s.draw(ctx, out, l); err != nil {
		return err
	}
	v, err := demoStash(ctx, s, dir, results)
	if err != nil {
		return err
	}
	quilt, err := demoPlan(ctx, s, dir)
	if err != nil {
		return err
	}
	place, err := filepath.Abs(dir)
	if err != nil {
		place = dir
	}
	if !asJSON {
		return demoText(s.out, sheets, v, quilt, place)
	}
	if err := s.show(l, true, false); err != nil {
		return err
	}
	s.note("the report is " + filepath.Join(place, "report.html"))
	return nil
}

// demoLedger is the folder of the demo's stash, in its own.
const demoLedger = "stash"

// demoSquares are what the tin of the demo holds: squares cut 3½, which the
// photo cannot tell, having nothing of known size in it.
var demoSquares = map[string]desk.StowRequest{"tin-of-squares.jpg": {As: cloth.Square, CutIn: 3.5}}

// demoFloor is the floor that the demo sets: of each bin of the squares in the
// tin.
var demoFloor = shelf.Floor{Cut: shelf.Square(3.5), Least: 3}

// demoReports are the reports of the demo's stash.
var demoReports = []struct {
	name  string
	kind  fileKind
	write func(io.Writer, report.Stash) error
}{
	{"stash.html", htmlFile, stashHTML},
	{"stash.pdf", pdfFile, stashPDF(report.Papers[0])},
}

// demoStash stows the photos, as already looked at, each as a basket of its own,
// and writes the shelf's reports. What an earlier demo stowed is known.
func demoStash(ctx context.Context, s streams, dir string, looked []desk.Looked) (report.Stash, error) {
	l := &ledger{flag: filepath.Join(dir, demoLedger), s: s}
	var v report.Stash
	err := l.at("working", func(d *desk.Desk) (err error) {
		d = d.At(desk.Door{}) // new baskets are no news
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
		if err != nil {
			return err
		}
		v.Shelf, err = d.Shelf(ctx, desk.ShelfRequest{Colours: true})
		return err
	})
	if err != nil {
		return v, err
	}
	for _, o := range demoReports {
		file, err := create(target{path: filepath.Join(dir, o.name), kind: o.kind})
		if err != nil {
			return v, err
		}
		if err := file.write(func(w io.Writer) error { return o.write(w, v) }); err != nil {
			return v, err
		}
	}
	return v, nil
}

// unpack writes the photos into a folder of dir. A dir that holds anything that
// no demo put there is refused: it may be somebody's own.
func unpack(photos fs.FS, dir string) ([]string, error) {
	names, err := fs.Glob(photos, "*.jpg")
	if err != nil {
		return nil, err
	}
	place := filepath.Join(dir, "photos")
	ours := []string{"photos", demoLedger}
	kinds := map[string]fileKind{}
	for _, o := range demoReports {
		ours, kinds[o.name] = append(ours, o.name), o.kind
	}
	for _, o := range demoOutputs {
		ours, kinds[o.name] = append(ours, o.name), o.kind
	}
	for _, o := range demoPlans {
		ours, kinds[o.name] = append(ours, o.name), o.kind
	}
	for _, known := range []struct {
		dir  string
		ours []string
	}{{dir, ours}, {place, names}} {
		if err := holdsOnly(known.dir, known.ours); err != nil {
			return nil, err
		}
	}
	for _, name := range ours {
		if kind, ok := kinds[name]; ok {
			if err := spareOfDemo(dir, name, kind); err != nil {
				return nil, err
			}
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
		if err := spareOfDemo(place, n, photoFile); err != nil {
			return nil, err
		}
		f, err := create(target{path: files[i], kind: photoFile})
		if err != nil {
			return nil, err
		}
		if err := f.write(func(w io.Writer) error { _, err := w.Write(data); return err }); err != nil {
			return nil, err
		}
	}
	return files, nil
}

// spareOfDemo refuses to write a file of the demo over one that no demo wrote.
func spareOfDemo(dir, name string, kind fileKind) error {
	to := target{path: filepath.Join(dir, name), kind: kind}
	if err := to.spare(realPlace(to.path)); errors.Is(err, fault.ErrUsage) {
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
