package report

import (
	"fmt"
	"html/template"
	"io"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

var photosPage = template.Must(template.ParseFS(templates, "template/photos.html"))

type (
	photosView struct {
		Lead   string
		Style  template.CSS
		Photos []numberedView
		ByHand []numberedPiece
	}
	numberedView struct {
		photoView
		List []numberedPiece
	}
	numberedPiece struct{ Number, Words string }
)

// StashPhotosHTML writes one self-contained page of the photos with each piece
// outlined and numbered as the stash numbers it, and a list of byHand, which no
// photo shows. Pictures gives photo i at full size, or nil where it is not kept.
// The photos are drawn anew, so nothing that a camera wrote into them goes along.
func StashPhotosHTML(w io.Writer, photos []desk.PhotoPieces, byHand []cloth.Holding, pictures Pictures) error {
	style, err := pageStyle()
	if err != nil {
		return err
	}
	v := photosView{Style: style}
	n := len(byHand)
	for i, p := range photos {
		n += len(p.Pieces)
		x, err := numberedPhoto(i, p, pictures)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		v.Photos = append(v.Photos, x)
	}
	for _, h := range byHand {
		v.ByHand = append(v.ByHand, numbered(h))
	}
	v.Lead = capital(cloth.Count(n, "number")) + ". Give them to fix, use and teach."
	return fill(w, photosPage, v)
}

func numberedPhoto(i int, p desk.PhotoPieces, pictures Pictures) (numberedView, error) {
	var out numberedView
	picture, err := pictures.at(i)
	if err != nil {
		return out, err
	}
	s := cloth.Sheet{File: p.Name}
	var labels []pieceView
	for _, x := range p.Pieces {
		out.List = append(out.List, numbered(x.Holding))
		if len(x.Outline) < 3 {
			continue
		}
		s.Pieces = append(s.Pieces, cloth.Piece{Polygon: x.Outline})
		labels = append(labels, pieceView{Label: strconv.FormatInt(x.ID, 10)})
		for _, q := range x.Outline { // of a photo that is not kept
			s.Width, s.Height = max(s.Width, int(q.X)+1), max(s.Height, int(q.Y)+1)
		}
	}
	if picture != nil {
		s.Width, s.Height = picture.Bounds().Dx(), picture.Bounds().Dy()
	}
	long := float64(max(s.Width, s.Height))
	out.photoView = photoView{
		File: base(p.Name), Found: cloth.Count(len(p.Pieces), "piece"), W: s.Width, H: s.Height,
		LineWidth: fmt.Sprintf("%.1f", long/500), UnderWidth: fmt.Sprintf("%.1f", long/190), Marks: marksOf(labels, s),
	}
	if picture != nil {
		out.Data, err = jpegURL(newPhoto(picture, s, photoSide).pix, photoQuality)
	}
	return out, err
}

// numbered is an entry in one line.
func numbered(h cloth.Holding) numberedPiece {
	words := shelf.AlikeOf(h).String() + ", " + shelf.CutOf(h).String()
	if h.Count > 1 {
		words = strconv.Itoa(h.Count) + " " + words
	}
	if h.Print != "" {
		words += ", " + h.Print
	}
	if h.Basket != "" {
		words += ", in " + h.Basket
	}
	return numberedPiece{strconv.FormatInt(h.ID, 10), printable(words)}
}
