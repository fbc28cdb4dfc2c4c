package main

import (
	"context"
	"fmt"
	"image"
	"io"
	"strconv"
	"text/tabwriter"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
)

// stashPictures gives photos of the stash at full size.
func stashPictures(ctx context.Context, photos []desk.PhotoPieces, step func()) report.Pictures {
	return func(i int) (image.Image, error) {
		defer step()
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if photos[i].Path == "" {
			return nil, nil
		}
		m, err := photo.Upright(photos[i].Path, 0)
		if err != nil { // the nil of *image.NRGBA is no nil image.Image
			return nil, err
		}
		return m, nil
	}
}

// drawPieces writes the photos with their pieces numbered.
func drawPieces(ctx context.Context, w io.Writer, p desk.Pieces, step func()) error {
	return report.StashPhotosHTML(w, p.Photos, p.ByHand, stashPictures(ctx, p.Photos, step))
}

// crops cuts pieces of the stash out of its photos, one for each name that as gives,
// so many pixels long.
func (l *ledger) crops(ctx context.Context, d *desk.Desk, as func(cloth.Holding) string, side int) (report.Crops, error) {
	photos, err := d.OneOfEach(ctx, as)
	if err != nil {
		return nil, err
	}
	bar := l.s.progress("cutting out", len(photos))
	defer bar.done()
	return report.CropsOf(photos, stashPictures(ctx, photos, bar.step), side)
}

// listPieces lists holdings with their numbers.
func listPieces(out io.Writer, p desk.Pieces) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "number\tcount\tcolour\tcut\tsize\tprint\tbasket\tfrom")
	for _, h := range p.Held {
		from := "by hand"
		if h.Photo != "" {
			from = fmt.Sprintf("%s, piece %d", plain(p.Names[h.Photo]), h.Piece)
		}
		size := ""
		if h.WidthIn > 0 && h.LengthIn > 0 {
			size = shelf.Size(h.WidthIn, h.LengthIn)
		}
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", h.ID, strconv.Itoa(h.Count), plain(shelf.AlikeOf(h).String()), shelf.CutOf(h), size, plain(h.Print), plain(h.Basket), from)
	}
	return answered(w.Flush())
}
