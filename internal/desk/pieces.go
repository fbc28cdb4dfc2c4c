package desk

import (
	"cmp"
	"context"
	"image"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/photo"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// PiecesRequest asks for the stash piece by piece.
type PiecesRequest struct {
	Which    stash.Filter // a part of it; zero: all
	Outlines bool         // photo by photo too, each piece with its outline
}

// Pieces is the stash piece by piece.
type Pieces struct {
	Held   []cloth.Holding // in the order they came in
	Names  map[string]string
	Photos []PhotoPieces   // of Held; nil where outlines were not asked for
	ByHand []cloth.Holding // those of Held that no photo shows, likewise
}

// PhotoPieces is a photo of the stash with the pieces in it that are still held.
type PhotoPieces struct {
	stash.PhotoInfo
	Pieces []OutlinedPiece
}

// OutlinedPiece is a piece of the stash, with where it lies in its photo.
type OutlinedPiece struct {
	cloth.Holding
	Outline geom.Polygon // full-size pixels of the upright photo
}

// InOrder lists all pieces in the order of a well-kept shelf, by bin and cut, the oldest
// first of those alike. Outlines were asked for.
func (p Pieces) InOrder() []OutlinedPiece {
	var out []OutlinedPiece
	for _, x := range p.Photos {
		out = append(out, x.Pieces...)
	}
	for _, h := range p.ByHand {
		out = append(out, OutlinedPiece{Holding: h})
	}
	slices.SortFunc(out, func(a, b OutlinedPiece) int {
		return cmp.Or(shelf.Compare(a.Holding, b.Holding), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// Pieces lists what the stash holds piece by piece; nothing where there is none yet.
func (d *Desk) Pieces(ctx context.Context, r PiecesRequest) (Pieces, error) {
	var p Pieces
	st, err := d.reading()
	if st == nil || err != nil {
		return p, err
	}
	if err := d.noteUnknown(ctx, st, r.Which); err != nil {
		return p, err
	}
	if p.Held, err = st.Holdings(ctx, r.Which); err != nil {
		return p, err
	}
	photos, err := st.Photos(ctx)
	if err != nil {
		return p, err
	}
	p.Names = map[string]string{}
	for _, x := range photos {
		p.Names[x.Hash] = x.Name
	}
	if !r.Outlines {
		return p, nil
	}
	outlines, err := st.Outlines(ctx)
	if err != nil {
		return p, err
	}
	for _, x := range photos {
		shown := PhotoPieces{PhotoInfo: x}
		for _, h := range p.Held {
			if h.Photo == x.Hash {
				shown.Pieces = append(shown.Pieces, OutlinedPiece{h, outlines[h.ID]})
			}
		}
		if shown.Pieces != nil {
			p.Photos = append(p.Photos, shown)
		}
	}
	for _, h := range p.Held {
		if h.Photo == "" {
			p.ByHand = append(p.ByHand, h)
		}
	}
	return p, nil
}

// Photos lists the photos of the stash; none where there is none yet.
func (d *Desk) Photos(ctx context.Context) ([]stash.PhotoInfo, error) {
	return ask(d.reading, func(st *stash.Stash) ([]stash.PhotoInfo, error) { return st.Photos(ctx) })
}

// OneOfEach returns the photos of the stash with one piece for each name that as gives to
// holdings; those with an empty name are left out. Of pieces with one name a fold of a
// stack is taken last.
func (d *Desk) OneOfEach(ctx context.Context, as func(cloth.Holding) string) ([]PhotoPieces, error) {
	p, err := d.Pieces(ctx, PiecesRequest{Outlines: true})
	if err != nil {
		return nil, err
	}
	chosen := map[string]int64{}
	for _, fold := range []bool{false, true} {
		for _, s := range p.Photos {
			for _, x := range s.Pieces {
				name := as(x.Holding)
				if name != "" && chosen[name] == 0 && len(x.Outline) > 2 && (x.Form == cloth.Band) == fold {
					chosen[name] = x.ID
				}
			}
		}
	}
	for i := range p.Photos {
		p.Photos[i].Pieces = slices.DeleteFunc(p.Photos[i].Pieces, func(x OutlinedPiece) bool { return chosen[as(x.Holding)] != x.ID })
	}
	return p.Photos, nil
}

// Paths returns where photos lie, empty for those that are not kept.
func Paths(photos []PhotoPieces) []string {
	out := make([]string, len(photos))
	for i, p := range photos {
		out[i] = p.Path
	}
	return out
}

// Pictures opens photos upright by their index, the longer side so many pixels at most, 0 for
// all there are. A photo without a path gives nil.
func Pictures(ctx context.Context, paths []string, side int) func(i int) (image.Image, error) {
	return func(i int) (image.Image, error) {
		if err := ctx.Err(); err != nil || paths[i] == "" {
			return nil, err
		}
		m, err := photo.Upright(paths[i], side)
		if err != nil { // the nil of *image.NRGBA is no nil image.Image
			return nil, err
		}
		return m, nil
	}
}
