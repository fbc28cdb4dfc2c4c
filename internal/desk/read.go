package desk

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/geom"
	"piecebag/internal/look"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// leastCut and mostCut are the lengths that anyone cuts, inches: a narrower one is all
// seam, and no cloth is wider.
const leastCut, mostCut = 0.5, 120

// cutRange is what a length to cut must be.
var cutRange = fmt.Sprintf("from %s to %d inches", cloth.FormatInches(leastCut), int(mostCut))

// unread returns the error of a text that was not read: why, and what to write instead.
func unread(why, remedy string) error { return fault.Usage("", why, remedy) }

// ReadLengthIn reads a length that may be 0, such as a loss or a finished border, and
// returns inches; bare is the unit of a number that names none.
func ReadLengthIn(text string, bare cloth.Unit) (float64, error) {
	if text == "0" {
		return 0, nil
	}
	in, err := readLength(text, bare)
	if err != nil || in > mostCut {
		err = unread("this is not a length", fmt.Sprintf("write it as 2½, 2 1/2, 2.5 or 6cm, at most %d inches, or 0 for none", int(mostCut)))
	}
	return in, err
}

func readLength(text string, bare cloth.Unit) (float64, error) {
	in, err := cloth.ParseLengths([]string{text}, bare)
	switch {
	case errors.Is(err, cloth.ErrUnit):
		return 0, fault.Usage("", "it is not said whether these are inches or centimetres", "write the unit too, like 18in or 45cm", err)
	case err != nil:
		return 0, unread("this is not a length", "write it as 2½, 2 1/2, 2.5 or 6cm")
	}
	return in[0], nil
}

// isCut returns nil for a length, in inches, that cloth is cut to, else the error.
func isCut(in float64) error {
	if in < leastCut || in > mostCut {
		return unread("cloth is not cut to this length", "write a length "+cutRange)
	}
	return nil
}

// ReadCut reads a length of cloth, in inches.
func ReadCut(text string) (float64, error) { return ReadCutIn(text, cloth.Inches) }

// ReadCutIn reads a length of cloth and returns inches; bare is the unit of a number that
// names none.
func ReadCutIn(text string, bare cloth.Unit) (float64, error) {
	in, err := readLength(text, bare)
	if err == nil {
		err = isCut(in)
	}
	return in, err
}

// ReadCuts reads lengths of cloth with commas between and returns inches; bare is the unit
// of a number that names none.
func ReadCuts(text string, bare cloth.Unit) (cuts []float64, err error) {
	for w := range strings.SplitSeq(text, ",") {
		in, err := cloth.ParseLengths([]string{w}, bare)
		if err != nil || isCut(in[0]) != nil {
			return nil, fault.New("", fmt.Sprintf("cloth is not cut to %q", strings.TrimSpace(w)),
				fmt.Sprintf("write lengths %s with commas between, like 1½,2.5,5 or 6cm,9cm", cutRange), fault.ErrUsage, err)
		}
		cuts = append(cuts, in[0])
	}
	return cuts, nil
}

// ReadSaid reads pieces alike as they are said, such as 12, strip 2½ x 18 or 3 fat
// quarters, with the sides that cloth has; see cloth.ParseSaid.
func ReadSaid(text string, bare cloth.Unit) (cloth.Described, error) {
	return isSaid(text, bare, cloth.ParseSaid)
}

// ReadSized is ReadSaid of one piece: a number alone is its size.
func ReadSized(text string, bare cloth.Unit) (cloth.Described, error) {
	return isSaid(text, bare, cloth.ParseSized)
}

func isSaid(text string, bare cloth.Unit, read func(string, cloth.Unit) (cloth.Described, error)) (cloth.Described, error) {
	said, err := read(text, bare)
	if errors.Is(err, cloth.ErrCount) {
		return said, fault.New(text, err.Error(), "write it like 3 fat quarters", fault.ErrUsage, err)
	}
	for _, side := range []float64{said.WidthIn, said.LengthIn} {
		if err != nil || side != 0 && (side < leastCut || side > Farthest) {
			return said, fault.New(text, "this is not a size", "write it as 2½, 2½ x 18, 6 x 45cm or 3 fat quarters", fault.ErrUsage, err)
		}
	}
	return said, nil
}

// ReadSizes reads sizes of two sides, one after another: 11x42 7½x9, 2 fat quarters; as says
// how words of the trade are counted.
func ReadSizes(text string, bare cloth.Unit) (sizes [][2]float64, as []string, err error) {
	sizes, as, err = cloth.ParseSizes(text, bare)
	why := "this is not a list of widths and lengths"
	switch {
	case err == nil, errors.Is(err, cloth.ErrUnit):
		return sizes, as, err
	case !errors.Is(err, cloth.ErrSizes):
		why = err.Error()
	}
	return nil, nil, unread(why, "write each width, x and its length, like 18x22 or 30x50cm, or a word such as fat quarter")
}

// ReadTrim reads what is squared off a strip, in inches; 0 is nothing.
func ReadTrim(text string) (*float64, error) {
	if text == "0" {
		return new(float64), nil
	}
	in, err := cloth.ParseLength(text)
	if err != nil || in > mostCut {
		return nil, unread("this is not a length", "write what you square off a strip, like ½ or 1cm, or 0")
	}
	return &in, nil
}

// ReadWeight reads a weight, in grams.
func ReadWeight(text string) (float64, error) {
	grams, err := cloth.ParseWeight(text)
	switch {
	case errors.Is(err, cloth.ErrThousands):
		return 0, unread(err.Error(), "write the number without a comma")
	case err != nil:
		return 0, unread(err.Error(), "write it with its unit, like 350g, 1.2kg, 12oz or 2lb")
	}
	return grams, nil
}

// ReadSorting reads by what the shelf is sorted: family, value or both.
func ReadSorting(text string) (shelf.Sorting, error) {
	for _, s := range shelf.Sortings {
		if text == s.String() {
			return s, nil
		}
	}
	return 0, fault.Usage(text, "the shelf is not sorted so", "say family, value or both")
}

// ReadSystem reads a seam allowance and says in what lengths you work: in centimetres
// unless all that is given may be in inches.
func ReadSystem(seam string, unit cloth.Unit) (recipe.System, error) {
	in, err := recipe.ParseSeam(seam, unit)
	if err != nil {
		return recipe.System{}, fault.New("", "this is not a seam allowance", "write ¼, scant, 6.5mm or 7.5mm", fault.ErrUsage, err)
	}
	s := recipe.Inches()
	if unit != cloth.Inches {
		s = recipe.Centimetres(in)
	}
	s.Seam, s.Scant = in, recipe.IsScant(seam)
	return s, nil
}

// ReadForm reads a form as people call it.
func ReadForm(text string) (cloth.Form, error) {
	if f, ok := cloth.ReadForm(text); ok {
		return f, nil
	}
	return "", unread("there is no such form", "write squares, rectangles, strips, odd or bands")
}

// ReadValue reads a value by its name.
func ReadValue(text string) (cloth.Value, error) {
	v, ok := cloth.ReadValue(text)
	if !ok {
		return v, unread("there is no such value", "write light, medium-light, medium, medium-dark or dark")
	}
	return v, nil
}

// ReadPlace reads a place in a photo, full-size pixels: X,Y.
func ReadPlace(text string) (*geom.Point, error) {
	v := readPixels(text)
	if len(v) != 2 {
		return nil, unread("this is not a place", "write it in pixels from the left and from the top: X,Y")
	}
	return &geom.Point{X: v[0], Y: v[1]}, nil
}

// ReadWindow reads an upright box in a photo, full-size pixels: X,Y,WIDTH,HEIGHT.
func ReadWindow(text string) (*look.Window, error) {
	v := readPixels(text)
	if len(v) != 4 || v[2] < 1 || v[3] < 1 {
		return nil, unread("this is not a box", "write its left, top, width and height in pixels: X,Y,WIDTH,HEIGHT")
	}
	return &look.Window{X: int(v[0]), Y: int(v[1]), W: int(v[2]), H: int(v[3])}, nil
}

// leastScale is the fewest pixels an inch that show a piece at all.
const leastScale = 1

// ReadScale reads how many full-size pixels an inch spans.
func ReadScale(text string) (float64, error) {
	v := readPixels(text)
	if len(v) != 1 || v[0] < leastScale {
		return 0, unread("this is not a number of pixels an inch", "count the pixels of the full-size photo that one inch spans, like 41.1")
	}
	return v[0], nil
}

// ReadBoard reads the four corners of a board, as Board takes them.
func ReadBoard(text string) (geom.Polygon, error) {
	v := readPixels(text)
	if len(v) != 8 {
		return nil, unread("this is not a list of four corners", "write the four corners of the board: X,Y,X,Y,X,Y,X,Y")
	}
	return Board(geom.Polygon{{X: v[0], Y: v[1]}, {X: v[2], Y: v[3]}, {X: v[4], Y: v[5]}, {X: v[6], Y: v[7]}})
}

// readPixels reads numbers of pixels with commas between; nil where one is none.
func readPixels(text string) (out []float64) {
	for p := range strings.SplitSeq(text, ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(math.Abs(v) <= Farthest) {
			return nil
		}
		out = append(out, v)
	}
	return out
}

// Board puts the four corners of a board, given in any order, into an outline that begins
// at the upper left one: rows run along the first side.
func Board(corners geom.Polygon) (geom.Polygon, error) {
	hull := geom.ConvexHull(corners)
	if len(corners) != 4 || len(hull) != 4 {
		return nil, unread("these corners do not enclose a board", "give the four corners of the board: X,Y,X,Y,X,Y,X,Y")
	}
	first := 0
	for i, p := range hull {
		if p.X+p.Y < hull[first].X+hull[first].Y {
			first = i
		}
	}
	return slices.Concat(hull[first:], hull[:first]), nil
}

// ReadCorners reads the corners of a piece in its photo, full-size pixels: X,Y,X,Y,X,Y,
// with commas or blanks between.
func ReadCorners(text string) (geom.Polygon, error) {
	words := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == '\n' || r == '\r' || r == '\t' })
	var out geom.Polygon
	ok := len(words) >= 6 && len(words)%2 == 0 && len(words) <= 2*mostPoints
	for i := 0; ok && i < len(words); i += 2 {
		x, err1 := strconv.ParseFloat(words[i], 64)
		y, err2 := strconv.ParseFloat(words[i+1], 64)
		ok = err1 == nil && err2 == nil && math.Abs(x) <= Farthest && math.Abs(y) <= Farthest
		out = append(out, geom.Point{X: x, Y: y})
	}
	if !ok {
		return nil, unread("this is not an outline", "write three corners or more in pixels of the photo: X,Y,X,Y,X,Y")
	}
	if !(out.Area() > 0) {
		return nil, unread("these corners enclose nothing", "write them in order round the piece: X,Y,X,Y,X,Y")
	}
	return out, nil
}

// ReadBlocks reads a number of blocks; how many are too many, package plan says.
func ReadBlocks(text string) (int, error) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 1 {
		return 0, unread("this is not a number of blocks", "write a whole number, like 24")
	}
	return n, nil
}

// ReadLayout reads so many blocks across and down: 4x5.
func ReadLayout(text string) (layout [2]int, err error) {
	return readCrossed(text, math.MaxInt, "this is not a number of blocks across and down", "write it like 4x5")
}

// ReadGrid reads the rows and the columns of a board: 6x8.
func ReadGrid(text string) (grid [2]int, err error) {
	return readCrossed(text, find.MostCells, "this is not a number of rows and columns",
		fmt.Sprintf("write the rows, x and the columns, each from 1 to %d, like 6x8", find.MostCells))
}

func readCrossed(text string, most int, why, remedy string) (out [2]int, err error) {
	first, second, _ := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	for i, side := range []string{first, second} {
		if out[i], err = strconv.Atoi(strings.TrimSpace(side)); err != nil || out[i] < 1 || out[i] > most {
			return out, unread(why, remedy)
		}
	}
	return out, nil
}

// ReadSize reads the width and the length of a quilt, in inches; what names no unit is in
// the unit bare.
func ReadSize(text string, bare cloth.Unit) (size [2]float64, err error) {
	sides, err := cloth.ParseSides(text, bare)
	if err != nil || len(sides) != 2 {
		return size, fault.Usage("", "this is not a size", "write the width, x and the length, like 60x72 or 150x200cm, of a few hundred inches at most", err)
	}
	return [2]float64(sides), nil
}

// ReadShrinkage reads a percentage that cloth or a quilt shrinks by, as a share of at
// most so much.
func ReadShrinkage(text string, most float64) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%")), 64)
	if err != nil || !(v >= 0 && v <= 100*most) {
		reason := "this is not a percentage"
		if v > 0 {
			reason = "cloth does not shrink by so much"
		}
		return 0, unread(reason, fmt.Sprintf("write a percentage from 0 to %g, like 5", 100*most))
	}
	return v / 100, nil
}

// ReadKept reads which piece of the stash is to lie in which patch: A5=12, several with
// commas between. Errors: of kind ErrNoPatch.
func ReadKept(text string) (kept []KeptPatch, err error) {
	for one := range strings.SplitSeq(text, ",") {
		patch, piece, _ := strings.Cut(one, "=")
		patch = strings.TrimSpace(patch)
		id, err := strconv.ParseInt(strings.TrimSpace(piece), 10, 64)
		if err != nil || id < 1 || patch == "" {
			return nil, fault.Usage("", "this is not a patch and a piece", "write it like A5=12", ErrNoPatch)
		}
		kept = append(kept, KeptPatch{Patch: patch, Holding: id})
	}
	return kept, nil
}

// apart is pairs of numbers with commas between; of a pair a comma or a dash may stand
// between, as people write either.
var apart = regexp.MustCompile(`^(?:` + onePair.String() + `)+$`)

var onePair = regexp.MustCompile(`\s*(\d{1,18})\s*[-–,\s]\s*(\d{1,18})\s*(?:,|$)`)

// ReadApart reads pairs of pieces of the stash that are never to touch, by their numbers:
// 12,30 or 12-30, several with commas between.
func ReadApart(text string) (pairs [][2]int64, err error) {
	if !apart.MatchString(text) {
		return nil, unread("these are not two pieces", "write their numbers like 12,30")
	}
	for _, m := range onePair.FindAllStringSubmatch(text, -1) {
		first, _ := strconv.ParseInt(m[1], 10, 64) // so few digits
		second, _ := strconv.ParseInt(m[2], 10, 64)
		pairs = append(pairs, [2]int64{first, second})
	}
	return pairs, nil
}
