package main

import (
	"piecebag/internal/desk"
	"piecebag/internal/geom"
)

// readOutlines reads the outlines of the pieces in a photo from a file.
func readOutlines(path, photo string) ([]geom.Polygon, error) {
	data, err := readInput(path, mostOutlines, checkName)
	if err != nil {
		return nil, err
	}
	return desk.Outlines(path, data, photo)
}
