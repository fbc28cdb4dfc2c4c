package main

import (
	"context"
	"fmt"
	"image"
	"io"
	"os"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// reportSide is the longer side, in pixels, of a photo in a report.
const reportSide = 1600

func newLook(s streams) *cobra.Command {
	var f lookFlags
	cmd := &cobra.Command{
		Use:   "look PHOTO… [FOLDER…]",
		Short: "Find the pieces in photos, measure and sort them; store nothing",
		Long: `Look finds the pieces of cloth in photos, measures their colours and, where it
can, their size, sorts them into stacks and bins, and marks the thin colours. It
stores nothing. Folders are searched for photos (JPEG, HEIC, PNG, WebP).

For true colours lay a white sheet of paper or a plain white card beside the
pieces; it gives their size as well. Where the finder fails, help it: --kind,
--grid, --outline, --crop or --pieces. Places are in pixels of the upright photo
at full size, counted from its upper left corner. --pieces reads outlines as
--json writes them: {"pieces":[{"polygon":[[x,y],[x,y],[x,y]]}]}. In place of a
polygon a piece may have a "point":[x,y] in it, or a "box":[x,y,width,height] round
it: its outline is found there.`,
		Example: `  piecebag look basket.jpg --html basket.html
  piecebag look wall.jpg --kind board --grid 6x8
  piecebag look photos --json`,
		Args: atLeastOne("no photo is given", "name photos or folders, e.g. piecebag look basket.jpg"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runLook(cmd.Context(), s, args, &f)
		},
	}
	f.define(cmd)
	return cmd
}

// runLook looks at every photo and writes what was asked for.
func runLook(ctx context.Context, s streams, args []string, f *lookFlags) error {
	o, err := f.options()
	if err != nil {
		return err
	}
	floor, err := f.readFloor()
	if err != nil {
		return err
	}
	files, refused := photo.Walk(args)
	if err := f.readPieces(&o, files); err != nil {
		return err
	}
	outputs, err := f.outputs(files)
	if err != nil {
		return err
	}
	defer outputs.drop()

	results, err := s.desk().Look(ctx, files, o)
	if err != nil {
		return err
	}
	var sheets []cloth.Sheet
	for _, r := range results {
		if r.Err != nil {
			refused = append(refused, r.Err)
			continue
		}
		sheets = append(sheets, r.Sheet)
	}
	l := report.NewLook(sheets, report.RefusedOf(refused), shelf.Options{Floor: floor})
	l.Reader = look.Reader()
	wrote := s.draw(ctx, outputs, l)
	if err := ctx.Err(); err != nil {
		return err
	}
	shown := s.show(l, f.json, f.csv)
	// After the answer: before it they would scroll out of sight.
	s.faults(refused)
	switch {
	case shown != nil:
		return shown
	case wrote != nil:
		return wrote
	case len(refused) > 0:
		return errRefused
	}
	return nil
}

// readPieces reads the outlines given by hand, which are of one photo.
func (f *lookFlags) readPieces(o *look.Options, files []string) (err error) {
	if f.pieces == "" || len(files) == 0 {
		return nil
	}
	if len(files) > 1 {
		return fault.Usage("", fmt.Sprintf("--pieces is of one photo, and %d were named", len(files)), "name the photo that the outlines belong to")
	}
	o.PiecesFrom = f.pieces
	o.Pieces, err = readOutlines(f.pieces, files[0])
	return err
}

// drawn is a look with its pictures.
type drawn struct {
	report.Look
	pictures report.Pictures
}

func drawHTML(w io.Writer, d drawn) error    { return report.HTML(w, d.Look, d.pictures) }
func drawPicture(w io.Writer, d drawn) error { return report.Picture(w, d.Look, d.pictures) }

// outputs makes ready the files that look was asked for.
func (f *lookFlags) outputs(photos []string) (answerFiles[drawn], error) {
	return openFiles(photos, f.force,
		wantedFile[drawn]{"html", f.html, htmlFile, drawHTML},
		wantedFile[drawn]{"picture", f.picture, pngFile, drawPicture})
}

// draw fills every file; a fault in one does not keep the others.
func (s streams) draw(ctx context.Context, o answerFiles[drawn], l report.Look) error {
	if len(l.Sheets) == 0 {
		for _, out := range o {
			s.note(out.file.path + " was not written: there is no photo to show")
		}
		return nil
	}
	bar := s.progress("drawing", len(o)*len(l.Sheets))
	defer bar.done()
	pictures := func(i int) (image.Image, error) {
		defer bar.step()
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		return photo.Upright(l.Sheets[i].File, reportSide)
	}
	var failed error
	for _, out := range o {
		if err := out.file.write(func(w io.Writer) error { return out.write(w, drawn{l, pictures}) }); err != nil && failed == nil {
			failed = err
		}
	}
	return failed
}

// show writes the answer to standard output.
func (s streams) show(l report.Look, asJSON, asCSV bool) error {
	switch {
	case asJSON:
		return answered(report.JSON(s.out, l))
	case asCSV:
		return answered(report.CSV(s.out, l))
	}
	return answered(report.Text(s.out, l, report.TextOptions{Width: s.width(), Environ: s.environ}))
}

// answered words a failure to write to standard output.
func answered(err error) error {
	if err == nil {
		return nil
	}
	return fault.New("the answer cannot be written", fmt.Sprintf("%v", bare(err)), "make room, or send it elsewhere", err)
}

// width is the terminal's, 0 where standard output is none.
func (s streams) width() int {
	if f, ok := s.out.(*os.File); ok {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil {
			return w
		}
	}
	return 0
}
