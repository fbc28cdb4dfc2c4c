package main

import (
	"context"
	"image"
	"io"
	"os"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// reportSide is the longer side, in pixels, of a photo in a report.
const reportSide = 1600

func newLook(l *line) *cobra.Command {
	var f photoFlags
	var html, picture string
	var force *bool
	var asCSV bool
	var sort shelf.Options
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
			files, refused := photo.Walk(args)
			o, err := f.options(files)
			if err != nil {
				return err
			}
			var a looked
			outputs, err := openFiles(
				output{target{"html", html, htmlFile, force, files}, a.html},
				output{target{"picture", picture, pngFile, force, files}, a.picture})
			if err != nil {
				return err
			}
			defer outputs.drop()

			results, err := l.desk().Look(cmd.Context(), files, o)
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
			a.Look = report.NewLook(sheets, report.RefusedOf(refused), sort)
			a.Reader = look.Reader()
			wrote := l.draw(cmd.Context(), outputs, len(outputs), &a)
			if err := cmd.Context().Err(); err != nil {
				return err
			}
			shown := l.show(a.Look, asCSV)
			if shown == nil {
				shown = wrote
			}
			return l.refused(refused, shown)
		},
	}
	fl := cmd.Flags()
	fl.SortFlags = false
	csvFlag(cmd, &asCSV, "answer in CSV, a row a piece")
	fl.StringVar(&html, "html", "", "write a report to look at and print to `FILE`")
	fl.StringVar(&picture, "picture", "", "write a contact sheet of the pieces to PNG `FILE`")
	force = forceFlag(fl)
	readVar(fl, &sort.Floor, "floor", "", "the fewest `PIECES` wanted in a bin", count(0, farthest, "this is not a number of pieces", "write a whole number, like 4"))
	f.define(cmd)
	return cmd
}

// looked is a look as it is drawn.
type looked struct {
	report.Look
	pictures report.Pictures
}

func (a *looked) html(w io.Writer) error    { return report.HTML(w, a.Look, a.pictures) }
func (a *looked) picture(w io.Writer) error { return report.Picture(w, a.Look, a.pictures) }

// draw fills every file of a look, of which so many show the photos.
func (l *line) draw(ctx context.Context, files outputs, drawn int, a *looked) error {
	if len(a.Sheets) == 0 {
		for _, f := range files {
			l.note(f.path + " was not written: there is no photo to show")
		}
		return nil
	}
	bar := l.progress("drawing", drawn*len(a.Sheets))
	defer bar.done()
	a.pictures = func(i int) (image.Image, error) {
		defer bar.step()
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		return photo.Upright(a.Sheets[i].File, reportSide)
	}
	return files.write()
}

// show writes the answer to standard output.
func (l *line) show(a report.Look, asCSV bool) error {
	switch {
	case l.json:
		return answered(report.JSON(l.out, a))
	case asCSV:
		return answered(report.CSV(l.out, a))
	}
	return answered(report.Text(l.out, a, l.textOptions()))
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
