package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"

	"piecebag/internal/geom"
)

// outlinesFile is what --pieces reads: outlines alone, or what look --json
// wrote, with the outlines corrected.
type outlinesFile struct {
	Pieces []outlined `json:"pieces"`
	Photos []struct {
		File   string     `json:"file"`
		Pieces []outlined `json:"pieces"`
	} `json:"photos"`
}

type outlined struct {
	Polygon [][]float64 `json:"polygon"`
}

// readOutlines reads the outlines of the pieces in a photo, full-size pixels.
// Where the file is of several photos, the one of the same name is meant.
func readOutlines(path, photo string) ([]geom.Polygon, error) {
	bad := func(reason string, err error) error {
		return &remedyError{path + ": " + reason, `write {"pieces":[{"polygon":[[x,y],[x,y],[x,y]]}]}, in pixels of the upright photo`, err}
	}
	data, err := readInput(path, mostOutlines, checkName)
	if err != nil {
		return nil, err
	}
	var doc outlinesFile
	if err := json.Unmarshal(data, &doc); err != nil {
		return nil, bad("this is not JSON of outlines", err)
	}
	pieces := doc.Pieces
	for _, p := range doc.Photos {
		if len(doc.Photos) == 1 || filepath.Base(p.File) == filepath.Base(photo) {
			pieces = append(pieces, p.Pieces...)
		}
	}
	if len(pieces) == 0 && len(doc.Photos) > 1 {
		return nil, bad("it holds no outline of "+filepath.Base(photo), nil)
	}
	if len(pieces) == 0 {
		return nil, bad("it holds no outline", nil)
	}
	out := make([]geom.Polygon, len(pieces))
	for i, p := range pieces {
		if len(p.Polygon) < 3 {
			return nil, bad(fmt.Sprintf("outline %d has fewer than three points", i+1), nil)
		}
		for _, q := range p.Polygon {
			if len(q) != 2 || !(math.Abs(q[0]) <= farthest && math.Abs(q[1]) <= farthest) {
				return nil, bad(fmt.Sprintf("outline %d holds what is no point of a photo", i+1), nil)
			}
			out[i] = append(out[i], geom.Point{X: q[0], Y: q[1]})
		}
	}
	return out, nil
}
