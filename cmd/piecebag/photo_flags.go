package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/geom"
	"piecebag/internal/look"
)

// photoFlags say how to look at photos.
type photoFlags struct {
	look look.Options
	grid [2]int // rows and columns
}

// ofOnePhoto are those that say something of one photo; others are of how you cut.
var ofOnePhoto = []string{"kind", "grid", "outline", "crop", "white", "scale", "pieces"}

func (f *photoFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.SortFlags = false
	readVar(fl, &f.look.Kind, "kind", "", "the `KIND` of photo: spread, board, stack or pile",
		oneOf([]cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}, "there is no such kind of photo"))
	readVar(fl, &f.grid, "grid", "", "a board's `ROWSxCOLUMNS`, e.g. 6x8", crossedCounts(find.MostCells,
		"this is not a number of rows and columns", fmt.Sprintf("write the rows, x and the columns, each from 1 to %d, like 6x8", find.MostCells)))
	readVar(fl, &f.look.Outline, "outline", "", "a board's four corners, `X,Y,X,Y,X,Y,X,Y`", readBoard)
	readVar(fl, &f.look.Crop, "crop", "", "look only inside the box `X,Y,WIDTH,HEIGHT`", readCrop)
	readVar(fl, &f.look.White, "white", "", "a place `X,Y` that is white", readWhite)
	readVar(fl, &f.look.PxPerInch, "scale", "", "how many `PIXELS` an inch spans, e.g. 41.1", readScale)
	readVar(fl, &f.look.Cuts, "cuts", "", "the `WIDTHS` you cut, e.g. 1½,2½,5 or 6cm,9cm", readCuts)
	fl.StringVar(&f.look.PiecesFrom, "pieces", "", "take the outlines in JSON `FILE` instead of finding them")
	spacedFlags(fl, "grid", "cuts")
}

// options are how to look at photos, outlines of the one given by hand among them.
func (f *photoFlags) options(files []string) (look.Options, error) {
	o := f.look
	o.Rows, o.Cols = f.grid[0], f.grid[1]
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
	if o.PiecesFrom == "" || len(files) == 0 {
		return o, nil
	}
	if len(files) > 1 {
		return o, fault.Usage("", fmt.Sprintf("--pieces is of one photo, and %d were named", len(files)), "name the photo that the outlines belong to")
	}
	data, err := readInput(o.PiecesFrom, mostOutlines, checkName)
	if err != nil {
		return o, err
	}
	o.Pieces, err = desk.Outlines(o.PiecesFrom, data, files[0])
	return o, err
}

// crossedCounts reads two numbers from 1 to most with an x between.
func crossedCounts(most int, reason, remedy string) func(string) ([2]int, error) {
	one := count(1, most, reason, remedy)
	return func(s string) (both [2]int, err error) {
		first, second, _ := strings.Cut(strings.ReplaceAll(strings.ToLower(s), "×", "x"), "x")
		if both[0], err = one(strings.TrimSpace(first)); err == nil {
			both[1], err = one(strings.TrimSpace(second))
		}
		return both, err
	}
}

// readBoard reads the corners of a board, the upper left one first: rows run along the
// first side.
func readBoard(s string) (geom.Polygon, error) {
	const remedy = "write the four corners of the board: X,Y,X,Y,X,Y,X,Y"
	v, ok := numbers(s)
	if !ok || len(v) != 8 {
		return nil, unread("this is not a list of four corners", remedy)
	}
	hull := geom.ConvexHull(points(v))
	if len(hull) != 4 {
		return nil, unread("these corners do not enclose a board", remedy)
	}
	first := 0
	for i, p := range hull {
		if p.X+p.Y < hull[first].X+hull[first].Y {
			first = i
		}
	}
	return slices.Concat(hull[first:], hull[:first]), nil
}

func readCrop(s string) (*look.Rect, error) {
	v, ok := numbers(s)
	if !ok || len(v) != 4 || v[2] < 1 || v[3] < 1 {
		return nil, unread("this is not a box", "write its left, top, width and height in pixels: X,Y,WIDTH,HEIGHT")
	}
	return &look.Rect{X: int(v[0]), Y: int(v[1]), W: int(v[2]), H: int(v[3])}, nil
}

func readWhite(s string) (*geom.Point, error) {
	v, ok := numbers(s)
	if !ok || len(v) != 2 {
		return nil, unread("this is not a place", "write it in pixels from the left and from the top: X,Y")
	}
	return &geom.Point{X: v[0], Y: v[1]}, nil
}

// leastScale is the fewest pixels an inch that show a piece at all.
const leastScale = 1

func readScale(s string) (float64, error) {
	v, ok := numbers(s)
	if !ok || len(v) != 1 || v[0] < leastScale {
		return 0, unread("this is not a number of pixels an inch", "count the pixels of the full-size photo that one inch spans, like 41.1")
	}
	return v[0], nil
}

// farthest bounds every number given: no photo is so many pixels wide.
const farthest = desk.Farthest

// numbers reads numbers with commas between.
func numbers(s string) ([]float64, bool) {
	var out []float64
	for p := range strings.SplitSeq(s, ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(math.Abs(v) <= farthest) {
			return nil, false
		}
		out = append(out, v)
	}
	return out, true
}

// points are the points that an even number of coordinates gives.
func points(v []float64) (out []geom.Point) {
	for i := 0; i+1 < len(v); i += 2 {
		out = append(out, geom.Point{X: v[i], Y: v[i+1]})
	}
	return out
}
