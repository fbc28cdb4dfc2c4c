// Package samples holds the photos of the demo; SOURCES.md says where they come
// from.
package samples

import "embed"

// Photos are the demo's photos: table.jpg (spread), box-1.jpg to box-4.jpg and
// tin-of-squares.jpg (board), first-basket.jpg, second-basket.jpg and shelf.jpg (stack), heap.jpg (pile).
//
//go:embed *.jpg
var Photos embed.FS
