package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// reportSide is the longer side, in pixels, of a photo in a report.
const reportSide = 1600

func newLook(l *line) *cobra.Command {
	var f photoFlags
	doc := documentFlags{apart: true}
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
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			paths, refused := photo.Walk(args)
			doc.reads = paths
			o, err := f.options(paths)
			if err != nil {
				return err
			}
			looked := false
			err = l.shows(&doc, func(ctx context.Context, d *desk.Desk, _ []string) (shown, error) {
				results, err := d.Look(ctx, paths, o)
				looked = err == nil
				var sheets []cloth.Sheet
				for _, r := range results {
					if r.Err != nil {
						refused = append(refused, r.Err)
						continue
					}
					sheets = append(sheets, r.Sheet)
				}
				return l.look(ctx, report.NewLook(sheets, report.RefusedOf(refused, wording), sort)), err
			})(cmd, args)
			if !looked {
				return err
			}
			return l.refused(refused, err)
		},
	}
	fl := cmd.Flags()
	csvFlag(cmd, &doc.csv, "answer in CSV, a row a piece")
	fl.StringVar(&doc.html, "html", "", "write a report to look at and print to `FILE`")
	fl.StringVar(&doc.picture, "picture", "", "write a contact sheet of the pieces to PNG `FILE`")
	doc.force = forceFlag(fl)
	readVar(fl, &sort.Floor, "floor", "", "the fewest `PIECES` wanted in a bin", count(0, mostPieces, "this is not a number of pieces", "write a whole number, like 4"))
	f.define(cmd)
	return cmd
}

// look returns the answer of a look.
func (l *line) look(ctx context.Context, a report.Looked) shown {
	a.Reader, a.Wording = look.Reader(), wording
	drawn := func(write func(io.Writer, report.Looked, report.Pictures) error) func(io.Writer) error {
		return func(w io.Writer) error {
			paths := make([]string, len(a.Sheets))
			for i, s := range a.Sheets {
				paths[i] = s.File
			}
			pictures, done := l.drawing(ctx, "drawing", paths, reportSide)
			defer done()
			return write(w, a, pictures)
		}
	}
	out := shown{
		html: drawn(report.HTML), picture: drawn(report.Picture),
		json: func(w io.Writer) error { return report.JSON(w, a) },
		csv:  func(w io.Writer) error { return report.CSV(w, a) },
		text: func(w io.Writer) error { return report.Text(w, a, l.textOptions()) },
	}
	if len(a.Sheets) == 0 {
		out.nothing = "there is no photo to show"
	}
	return out
}

// photoFlags say how to look at photos.
type photoFlags struct{ look look.Options }

// ofOnePhoto are those that say something of one photo; others are of how you cut.
var ofOnePhoto = []string{"kind", "grid", "outline", "crop", "white", "scale", "pieces"}

func (f *photoFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	readVar(fl, &f.look.Kind, "kind", "", "the `KIND` of photo: spread, board, stack or pile",
		oneOf([]cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}, "there is no such kind of photo"))
	readTo(fl, "grid", "", "a board's `ROWSxCOLUMNS`, e.g. 6x8", func(s string) error {
		grid, err := desk.ReadGrid(s)
		f.look.Rows, f.look.Cols = grid[0], grid[1]
		return err
	})
	readVar(fl, &f.look.Outline, "outline", "", "a board's four corners, `X,Y,X,Y,X,Y,X,Y`", desk.ReadBoard)
	readVar(fl, &f.look.Crop, "crop", "", "look only inside the box `X,Y,WIDTH,HEIGHT`", desk.ReadWindow)
	readVar(fl, &f.look.White, "white", "", "a place `X,Y` that is white", desk.ReadPlace)
	readVar(fl, &f.look.PxPerInch, "scale", "", "how many `PIXELS` an inch spans, e.g. 41.1", desk.ReadScale)
	readVar(fl, &f.look.Cuts, "cuts", "", "the `WIDTHS` you cut, e.g. 1½,2½,5 or 6cm,9cm", readCuts)
	fl.StringVar(&f.look.PiecesFrom, "pieces", "", "take the outlines in JSON `FILE` instead of finding them")
}

// options returns how to look at photos, outlines of the one given by hand among them.
func (f *photoFlags) options(paths []string) (look.Options, error) {
	o := f.look
	flag := ""
	switch {
	case o.Rows > 0:
		flag = "grid"
	case o.Outline != nil:
		flag = "outline"
	}
	if flag != "" && o.Kind != "" && o.Kind != cloth.Board {
		return o, fault.Usage("", fmt.Sprintf("--%s is for a board, and --kind says %s", flag, o.Kind), "leave one of them off")
	}
	if flag != "" {
		o.Kind = cloth.Board // only boards have what the flag gives
	}
	if o.PiecesFrom == "" || len(paths) == 0 {
		return o, nil
	}
	if len(paths) > 1 {
		return o, fault.Usage("", fmt.Sprintf("--pieces is of one photo, and %d were named", len(paths)), "name the photo that the outlines belong to")
	}
	data, err := files.Read(o.PiecesFrom, mostOutlines, checkName)
	if err != nil {
		return o, err
	}
	o.Pieces, err = desk.Outlines(o.PiecesFrom, data, paths[0])
	return o, err
}

func newName(l *line) *cobra.Command {
	var words []string // so many a line as fit on a screen
	for line := range slices.Chunk(cloth.ColourWords(), 8) {
		words = append(words, strings.Join(line, ", "))
	}
	return &cobra.Command{
		Use:   "name COLOUR…",
		Short: "Say the Munsell notation, hue family and value of colours",
		Long: `Name says, for each colour, its Munsell notation, hue family, value and CIE L*.
A colour is written as hex (#7a9bb5), as in CSS (rgb(), lab(), lch(), oklab(),
oklch()), in Munsell notation (5PB 6/4), or in words: a hue family, with a value
before it or without ('dark blue'), or one of
` + strings.Join(words, ",\n") + `,
with its family after it or without ('olive green'). What is no colour is refused, and
the others are answered.`,
		Example: `  piecebag name '#7a9bb5' '5PB 6/4' navy 'dark green'
  piecebag name 'oklch(70% 0.1 240)' --json`,
		Args: atLeastOne("no colour is given", "write it as hex, e.g. piecebag name '#7a9bb5'"),
		RunE: func(_ *cobra.Command, args []string) error { return l.name(args) },
	}
}

// name answers every colour that it can read; a text that is none is refused, and where
// none is a colour the command is wrong.
func (l *line) name(texts []string) error {
	var names []desk.Named
	var faults, refused []*fault.Error
	var rows []string
	for _, text := range texts {
		c, err := desk.ReadColour(text)
		if f := fault.Of(err); f != nil {
			faults = append(faults, f)
			refused = append(refused, worded(f).Named(text))
			continue
		}
		n := desk.NameOf(c)
		names, rows = append(names, n), append(rows, fmt.Sprintf("%s\t%s\t%s\t%s\tL* %.1f", n.Colour.Hex(), n.Munsell, n.Family, n.Value, n.Lightness))
	}
	if last := len(faults) - 1; len(names) == 0 {
		l.faults(faults[:last])
		return faults[last]
	}
	return l.refused(faults, l.answer(report.NamesJSON(names, refused), report.Columns(rows...)))
}

func newCard(l *line) *cobra.Command {
	var paper, out string
	var force *bool
	cmd := &cobra.Command{
		Use:   "card",
		Short: "Write the reference card to print",
		Long: `Card writes the reference card as a PDF, to be printed at 100 % and cut out. Laid
among the pieces it tells a photo's scale, its tilt and what is white in it.
Measure its check line with a ruler before you use it: the whole line is 4 inches
long, and the part up to the mark within it is 100 mm.`,
		Example: `  piecebag card --paper letter
  piecebag card --paper a4 -o card.pdf`,
		Args: takes(0, 0, nil, fault.Usage("", "card takes no file", "to choose the file it writes, put -o before the name")),
		RunE: func(*cobra.Command, []string) error {
			if paper == "" {
				return fault.Usage("", "no paper is given", cardPapers)
			}
			to := files.Target{Path: cmp.Or(out, "piecebag-card-"+paper+".pdf"), Format: pdfFile, Force: force, Fill: func(w io.Writer) error { return report.Card(w, paper) }}
			if out != "" {
				to.Called = "--output"
			}
			if err := files.Write(to); err != nil {
				return err
			}
			return l.answer(map[string]any{"card": to.Path}, plain(to.Path)+"\n")
		},
	}
	readVar(cmd.Flags(), &paper, "paper", "", "the `PAPER` it is printed on: "+orList(report.Papers), func(s string) (string, error) {
		paper, err := oneOf(report.Papers, "")(s)
		if err != nil {
			err = unread("the card is not made for this paper", cardPapers)
		}
		return paper, err
	})
	cmd.Flags().StringVarP(&out, "output", "o", "", "the `FILE` to write (default piecebag-card-PAPER.pdf)")
	force = forceFlag(cmd.Flags())
	return cmd
}

var cardPapers = "write --paper " + strings.Join(report.Papers, " or --paper ")
