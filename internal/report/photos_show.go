package report

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math"
	"slices"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

// photo draws a photo into a section, its pieces outlined and labelled, and what was
// left out dashed; the same in grey beside it where that is asked for. With no picture
// the outlines stand on plain paper.
func (s *section) photo(x cloth.Sheet, labels []string, ph *photo, grey bool) {
	w, h := float64(x.Width), float64(x.Height)
	d := drawing{W: w, H: h, Title: fmt.Sprintf("%s with %s, outlined and numbered", base(x.File), foundWords(x))}
	whole := shape{Points: rect(0, 0, w, h), Hollow: true}
	s.Caption = "The outlines, with the number of each piece."
	if ph != nil {
		whole = pictureShape(ph.pix, photoQuality, w, h)
		s.Caption = "As photographed, with the number of each piece"
		if grey {
			in := pictureShape(newPhoto(ph.pix, x, greySide).grey(), photoQuality, w, h)
			s.Drawings = []drawing{{W: w, H: h, Title: base(x.File) + " in grey", Shapes: []shape{in}}}
			s.Caption += ", and in grey, with only light and dark left"
		}
		s.Caption += "."
	}
	if x.Left != nil {
		s.Caption += " Dashed: left out, as too doubtful."
	}
	if len(x.Pieces) == 0 {
		s.Caption += " If there is cloth in this photo, tell the program what kind of photo it is, or show it where the pieces lie."
	}
	d.Shapes = append(append(d.Shapes, whole), marksOf(x, labels)...)
	for _, g := range x.Left {
		d.Shapes = append(d.Shapes, shape{Points: g.Polygon, Hollow: true, Marked: true, Dashed: true})
	}
	s.Drawings = append([]drawing{d}, s.Drawings...)
}

// marksOf returns the outlines of a sheet's pieces and their numbers. Numbers are
// of one size, which three pieces in four have room for, between a readable
// least and a most that hides no print; on the narrower ones they are smaller.
func marksOf(s cloth.Sheet, labels []string) []shape {
	if len(s.Pieces) == 0 {
		return nil
	}
	long := float64(max(s.Width, s.Height))
	least, most := long/62, long/36
	sizes := make([]float64, len(labels))
	for i, p := range s.Pieces {
		_, room := labelSpot(p.Polygon)
		// A label of bold digits is about 0.7 em a digit wide and 0.8 em high;
		// this is the em at which its half diagonal is the room there is.
		sizes[i] = min(most, max(least, 2*room/math.Hypot(0.7*float64(len(labels[i])), 0.8)))
	}
	usual := slices.Sorted(slices.Values(sizes))[len(sizes)/4]
	out := make([]shape, len(labels))
	for i, p := range s.Pieces {
		out[i] = shape{Points: p.Polygon, Hollow: true, Marked: true, Label: labels[i], Size: min(usual, sizes[i])}
	}
	return out
}

// jpegOf returns a picture as JPEG, which fails for sides of 65,536 pixels on alone.
func jpegOf(m image.Image, quality int) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// cropOf returns a picture as a crop.
func cropOf(m image.Image, quality int) *Crop {
	return &Crop{W: m.Bounds().Dx(), H: m.Bounds().Dy(), JPEG: jpegOf(m, quality)}
}

// pictureShape returns a picture in a drawing, w × h units large.
func pictureShape(m image.Image, quality int, w, h float64) shape {
	return shape{Points: rect(0, 0, w, h), Cloth: chip{Some: true, Crop: cropOf(m, quality)}, Seamless: true}
}

// StashPhotosHTML writes one self-contained page of the photos with each piece
// outlined and numbered as the stash numbers it, and a list of byHand, which no
// photo shows. Pictures gives photo i at full size, or nil where it is not kept.
// The photos are drawn anew, so nothing that a camera wrote into them goes along.
func StashPhotosHTML(w io.Writer, photos []desk.PhotoPieces, byHand []cloth.Holding, pictures Pictures) error {
	d := Document{title: "The pieces by number", fine: []string{"The photos went nowhere."}}
	n := len(byHand)
	for i, p := range photos {
		n += len(p.Pieces)
		sections, err := numberedPhoto(i, p, pictures)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		d.add(sections...)
	}
	if byHand != nil {
		s := section{Heading: "From no photo", Dense: true}
		for _, h := range byHand {
			s.Facts = append(s.Facts, numbered(h))
		}
		d.sections = append(d.sections, s)
	}
	d.lead = capital(cloth.Count(n, "number")) + ". Give them to fix, use and teach."
	return d.HTML(w)
}

// numberedPhoto returns a photo and the pieces on it.
func numberedPhoto(i int, p desk.PhotoPieces, pictures Pictures) ([]section, error) {
	out, list := section{Heading: base(p.Name)}, section{Dense: true}
	picture, err := pictures.at(i)
	if err != nil {
		return nil, err
	}
	s := cloth.Sheet{File: p.Name}
	var labels []string
	for _, x := range p.Pieces {
		list.Facts = append(list.Facts, numbered(x.Holding))
		if len(x.Outline) < 3 {
			continue
		}
		s.Pieces = append(s.Pieces, cloth.Piece{Polygon: x.Outline})
		labels = append(labels, strconv.FormatInt(x.ID, 10))
		_, hi := x.Outline.Bounds() // of a photo that is not kept
		s.Width, s.Height = max(s.Width, int(hi.X)+1), max(s.Height, int(hi.Y)+1)
	}
	if labels == nil {
		return []section{out, list}, nil
	}
	var ph *photo
	if picture != nil {
		s.Width, s.Height = picture.Bounds().Dx(), picture.Bounds().Dy()
		small := newPhoto(picture, s, photoSide)
		ph = &small
	}
	out.photo(s, labels, ph, false)
	if ph == nil {
		out.Caption = "The outlines; the photo is not kept."
	}
	return []section{out, list}, nil
}

// numbered returns an entry in one line.
func numbered(h cloth.Holding) fact {
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
	return fact{What: strconv.FormatInt(h.ID, 10), Words: printable(words)}
}
