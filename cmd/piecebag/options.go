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

// lookFlags are the flags of look as written.
type lookFlags struct {
	json, csv     bool
	html, picture string
	force         *bool

	kind, grid, outline string
	crop, white         string
	scale, cuts, floor  string
	pieces              string
}

func (f *lookFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.BoolVar(&f.json, "json", false, "answer in JSON")
	fl.BoolVar(&f.csv, "csv", false, "answer in CSV, a row a piece")
	fl.StringVar(&f.html, "html", "", "write a report to look at and print to `FILE`")
	fl.StringVar(&f.picture, "picture", "", "write a contact sheet of the pieces to PNG `FILE`")
	f.force = forceFlag(fl)
	fl.StringVar(&f.floor, "floor", "", "the fewest `PIECES` wanted in a bin")
	f.defineHelp(cmd)
}

// defineHelp adds the flags that help to look at a photo.
func (f *lookFlags) defineHelp(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.SortFlags = false
	wordVar(fl, &f.kind, "kind", "", "the `KIND` of photo: spread, board, stack or pile")
	measureVar(fl, &f.grid, "grid", "", "a board's `ROWSxCOLUMNS`, e.g. 6x8")
	fl.StringVar(&f.outline, "outline", "", "a board's four corners, `X,Y,X,Y,X,Y,X,Y`")
	fl.StringVar(&f.crop, "crop", "", "look only inside the box `X,Y,WIDTH,HEIGHT`")
	fl.StringVar(&f.white, "white", "", "a place `X,Y` that is white")
	fl.StringVar(&f.scale, "scale", "", "how many `PIXELS` an inch spans, e.g. 41.1")
	measureVar(fl, &f.cuts, "cuts", "", "the `WIDTHS` you cut, e.g. 1½,2½,5 or 6cm,9cm")
	fl.StringVar(&f.pieces, "pieces", "", "take the outlines in JSON `FILE` instead of finding them")
}

// options reads the flags that say how to look at every photo.
func (f *lookFlags) options() (look.Options, error) {
	var o look.Options
	for _, read := range []func(*look.Options) error{
		f.readAnswer, f.readKind, f.readGrid, f.readOutline, f.readCrop, f.readWhite, f.readScale, f.readCuts,
	} {
		if err := read(&o); err != nil {
			return o, err
		}
	}
	return o, nil
}

// wrong refuses the value of a flag.
func wrong(flag, value, reason, remedy string) error {
	return fault.Usage(fmt.Sprintf("--%s %s", flag, value), reason, remedy)
}

func (f *lookFlags) readAnswer(*look.Options) error {
	if f.json && f.csv {
		return fault.Usage("", "--json and --csv cannot be given together", "give one of them")
	}
	return nil
}

func (f *lookFlags) readKind(o *look.Options) error {
	o.Kind = cloth.Kind(f.kind)
	switch o.Kind {
	case "", cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile:
		return nil
	}
	return wrong("kind", f.kind, "there is no such kind of photo", "write spread, board, stack or pile")
}

// board makes the photo a board, since only boards have what the flag gives.
func (f *lookFlags) board(o *look.Options, flag string) error {
	if o.Kind != "" && o.Kind != cloth.Board {
		return fault.Usage("", fmt.Sprintf("--%s is for a board, and --kind says %s", flag, o.Kind), "leave one of them off")
	}
	o.Kind = cloth.Board
	return nil
}

func (f *lookFlags) readGrid(o *look.Options) error {
	if f.grid == "" {
		return nil
	}
	rows, columns, _ := strings.Cut(strings.ReplaceAll(strings.ToLower(f.grid), "×", "x"), "x")
	var ok [2]bool
	o.Rows, ok[0] = cells(rows)
	o.Cols, ok[1] = cells(columns)
	if !ok[0] || !ok[1] {
		return wrong("grid", f.grid, "this is not a number of rows and columns", fmt.Sprintf("write the rows, x and the columns, each from 1 to %d, like 6x8", find.MostCells))
	}
	return f.board(o, "grid")
}

func cells(s string) (int, bool) {
	n, err := strconv.Atoi(strings.TrimSpace(s))
	return n, err == nil && n >= 1 && n <= find.MostCells
}

func (f *lookFlags) readOutline(o *look.Options) error {
	if f.outline == "" {
		return nil
	}
	const remedy = "write the four corners of the board: X,Y,X,Y,X,Y,X,Y"
	v, ok := numbers(f.outline, 8)
	if !ok {
		return wrong("outline", f.outline, "this is not a list of four corners", remedy)
	}
	hull := geom.ConvexHull([]geom.Point{{X: v[0], Y: v[1]}, {X: v[2], Y: v[3]}, {X: v[4], Y: v[5]}, {X: v[6], Y: v[7]}})
	if len(hull) != 4 {
		return wrong("outline", f.outline, "these corners do not enclose a board", remedy)
	}
	// Rows run along the first side: it starts at the upper left.
	first := 0
	for i, p := range hull {
		if p.X+p.Y < hull[first].X+hull[first].Y {
			first = i
		}
	}
	o.Outline = slices.Concat(hull[first:], hull[:first])
	return f.board(o, "outline")
}

func (f *lookFlags) readCrop(o *look.Options) error {
	if f.crop == "" {
		return nil
	}
	v, ok := numbers(f.crop, 4)
	if !ok || v[2] < 1 || v[3] < 1 {
		return wrong("crop", f.crop, "this is not a box", "write its left, top, width and height in pixels: X,Y,WIDTH,HEIGHT")
	}
	o.Crop = &look.Rect{X: int(v[0]), Y: int(v[1]), W: int(v[2]), H: int(v[3])}
	return nil
}

func (f *lookFlags) readWhite(o *look.Options) error {
	if f.white == "" {
		return nil
	}
	v, ok := numbers(f.white, 2)
	if !ok {
		return wrong("white", f.white, "this is not a place", "write it in pixels from the left and from the top: X,Y")
	}
	o.White = &geom.Point{X: v[0], Y: v[1]}
	return nil
}

func (f *lookFlags) readScale(o *look.Options) error {
	if f.scale == "" {
		return nil
	}
	v, ok := numbers(f.scale, 1)
	if !ok || v[0] < leastScale {
		return wrong("scale", f.scale, "this is not a number of pixels an inch", "count the pixels of the full-size photo that one inch spans, like 41.1")
	}
	o.PxPerInch = v[0]
	return nil
}

// leastScale is the fewest pixels an inch that show a piece at all.
const leastScale = 1

func (f *lookFlags) readCuts(o *look.Options) error {
	var err error
	o.Cuts, err = readCuts("cuts", f.cuts, unitOf(false, f.cuts))
	return err
}

// readFloor reads the fewest pieces wanted in a bin; 0 where nothing is said.
func (f *lookFlags) readFloor() (int, error) {
	if f.floor == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(f.floor)
	if err != nil || n < 0 || n > farthest {
		return 0, wrong("floor", f.floor, "this is not a number of pieces", "write a whole number, like 4")
	}
	return n, nil
}

// farthest bounds every number given: no photo is so many pixels wide.
const farthest = desk.Farthest

// numbers reads n numbers with commas between.
func numbers(s string, n int) ([]float64, bool) {
	parts := strings.Split(s, ",")
	out := make([]float64, len(parts))
	for i, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(math.Abs(v) <= farthest) {
			return nil, false
		}
		out[i] = v
	}
	return out, len(out) == n
}
