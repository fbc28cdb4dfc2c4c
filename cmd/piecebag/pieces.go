package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"io"
	"slices"
	"strconv"
	"text/tabwriter"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// piecewise is the stash piece by piece.
type piecewise struct {
	held   []cloth.Holding
	photos []stash.PhotoInfo
	shown  []report.StashPhoto // with outlines; of the photos that held comes from
	paths  []string            // of shown; empty where a photo is not kept
	byHand []cloth.Holding
}

// names gives the names of photos by their hash.
func (p piecewise) names() map[string]string {
	out := map[string]string{}
	for _, x := range p.photos {
		out[x.Hash] = x.Name
	}
	return out
}

// gatherPieces reads what the filter means piece by piece, with its outlines where
// they are to be shown.
func gatherPieces(ctx context.Context, st *stash.Stash, which stash.Filter, outlined bool) (piecewise, error) {
	var p piecewise
	if st == nil {
		return p, nil
	}
	var err error
	if p.held, err = st.Holdings(ctx, which); err != nil {
		return p, err
	}
	if p.photos, err = st.Photos(ctx); err != nil || !outlined {
		return p, err
	}
	outlines, err := outlinesOf(ctx, st)
	if err != nil {
		return p, err
	}
	for _, x := range p.photos {
		shown := report.StashPhoto{Name: x.Name}
		for _, h := range p.held {
			if h.Photo == x.Hash {
				shown.Pieces = append(shown.Pieces, report.StashPiece{Holding: h, Outline: outlines[h.ID]})
			}
		}
		if shown.Pieces != nil {
			p.shown, p.paths = append(p.shown, shown), append(p.paths, x.Path)
		}
	}
	for _, h := range p.held {
		if h.Photo == "" {
			p.byHand = append(p.byHand, h)
		}
	}
	return p, nil
}

// outlinesOf gives the outlines of pieces by their number. What the stash exports
// holds them without numbers, in the order of Holdings.
func outlinesOf(ctx context.Context, st *stash.Stash) (map[int64]geom.Polygon, error) {
	all, err := st.Holdings(ctx, stash.Filter{})
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := st.ExportJSON(ctx, &b); err != nil {
		return nil, err
	}
	var doc struct {
		Holdings []struct {
			Count   int          `json:"count"`
			Outline [][2]float64 `json:"outline"`
		} `json:"holdings"`
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		return nil, err
	}
	out := map[int64]geom.Polygon{}
	i := 0
	for _, h := range doc.Holdings {
		if h.Count == 0 {
			continue
		}
		if i == len(all) { // it grew while it was read
			break
		}
		var g geom.Polygon
		for _, q := range h.Outline {
			g = append(g, geom.Point{X: q[0], Y: q[1]})
		}
		out[all[i].ID] = g
		i++
	}
	return out, nil
}

// pictures gives the photos that are shown, at full size.
func (p piecewise) pictures(ctx context.Context, step func()) report.Pictures {
	return func(i int) (image.Image, error) {
		defer step()
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if p.paths[i] == "" {
			return nil, nil
		}
		m, err := photo.Upright(p.paths[i], 0)
		if err != nil { // the nil of *image.NRGBA is no nil image.Image
			return nil, err
		}
		return m, nil
	}
}

// page writes the photos with their pieces numbered.
func (p piecewise) page(ctx context.Context, w io.Writer, step func()) error {
	return report.StashPhotosHTML(w, p.shown, p.byHand, p.pictures(ctx, step))
}

// crops cuts pieces of the stash out of its photos, one for each name that as gives;
// an empty name is for none. Of pieces of one name a fold of a stack comes last.
func (l *ledger) crops(ctx context.Context, st *stash.Stash, as func(cloth.Holding) string) (report.Crops, error) {
	p, err := gatherPieces(ctx, st, stash.Filter{}, true)
	if err != nil {
		return nil, err
	}
	chosen := map[string]int64{}
	for _, fold := range []bool{false, true} {
		for _, s := range p.shown {
			for _, x := range s.Pieces {
				name := as(x.Holding)
				if name != "" && chosen[name] == 0 && len(x.Outline) > 2 && (x.Form == cloth.Band) == fold {
					chosen[name] = x.ID
				}
			}
		}
	}
	for i := range p.shown {
		p.shown[i].Pieces = slices.DeleteFunc(p.shown[i].Pieces, func(x report.StashPiece) bool { return chosen[as(x.Holding)] != x.ID })
	}
	bar := l.s.progress("cutting out", len(p.shown))
	defer bar.done()
	return report.CropsOf(p.shown, p.pictures(ctx, bar.step))
}

// list lists holdings with their numbers.
func (p piecewise) list(out io.Writer) error {
	names := p.names()
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "number\tcount\tcolour\tcut\tsize\tprint\tbasket\tfrom")
	for _, h := range p.held {
		from := "by hand"
		if h.Photo != "" {
			from = fmt.Sprintf("%s, piece %d", plain(names[h.Photo]), h.Piece)
		}
		size := ""
		if h.WidthIn > 0 && h.LengthIn > 0 {
			size = shelf.Size(h.WidthIn, h.LengthIn)
		}
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", h.ID, strconv.Itoa(h.Count), plain(shelf.AlikeOf(h).String()), shelf.CutOf(h), size, plain(h.Print), plain(h.Basket), from)
	}
	return answered(w.Flush())
}
