// Package samples holds the photos of the demo, and what they show; SOURCES.md says where
// they come from.
package samples

import (
	"embed"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
)

// Photos are the demo's photos: table.jpg (spread), box-1.jpg to box-4.jpg and
// tin-of-squares.jpg (board), first-basket.jpg, second-basket.jpg and shelf.jpg (stack), heap.jpg (pile).
//
//go:embed *.jpg
var Photos embed.FS

// Whose is whose stash the photos show.
const Whose = "the Saltmarsh sewing circle"

// Stow is how a photo is stowed, by its name without extension: as a basket of its name. The
// boxes and the tin hold squares of one size, which most of their photos cannot tell, having
// nothing of known size in them.
func Stow(photo string) desk.StowRequest {
	r := desk.StowRequest{Alike: true, Basket: strings.ReplaceAll(photo, "-", " ")}
	switch {
	case r.Basket == "tin of squares":
		r.As, r.CutIn = cloth.Square, Floor.Width
	case strings.HasPrefix(r.Basket, "box "):
		r.As, r.CutIn = cloth.Square, 2.5
	}
	return r
}

// Floor is that of each bin of the squares in the tin.
var Floor = shelf.Floor{Cut: shelf.Square(3.5), Least: 3}
