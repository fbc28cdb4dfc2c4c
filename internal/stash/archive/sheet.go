package archive

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"piecebag/internal/cloth"
	"piecebag/internal/stash"
)

// headings are the names a column may go by, in letters alone.
var headings = map[string][]string{
	"family": {"family", "huefamily", "hue", "colour", "color", "colourfamily", "colorfamily"},
	"value":  {"value", "tone", "shade", "lightdark"},
	"size":   {"size", "cut", "cutsize", "dimensions", "squaresize"},
	"width":  {"width", "widthin", "w"},
	"length": {"length", "lengthin", "long", "height", "l"},
	"count":  {"count", "number", "howmany", "quantity", "qty", "pieces", "squares", "no", "n", "amount"},
	"form":   {"form", "shape", "type", "kind", "what"},
	"basket": {"basket", "box", "tin", "drawer", "shelf", "place", "where", "location"},
	"bin":    {"bin", "ownbin", "mybin"},
	"print":  {"print", "fabric", "pattern", "cloth"},
}

// letters returns a word in small letters and nothing else.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// readSheet reads a plain spreadsheet of squares: a first line that names the
// columns (colour, value, size, count and so on, by any of their usual names, in
// any order), then a line for each kind of piece. Columns of other names are
// passed over and noted. Where no form is named, pieces of
// one size are squares.
func readSheet(name string, t table) (c stash.Content, notes []string, err error) {
	columns := map[string]int{}
	for i, cell := range t.Header {
		read := false
		for _, what := range sortedKeys(headings) {
			for _, h := range headings[what] {
				if _, taken := columns[what]; !taken && letters(cell) == h {
					columns[what], read = i, true
				}
			}
		}
		if !read && cell != "" {
			notes = append(notes, passedOver(cell))
		}
	}
	if !slices.ContainsFunc([]string{"family", "size", "width"}, func(c string) bool { _, has := columns[c]; return has }) {
		return c, nil, refuse(name, "its first line names no column of colours or sizes", "name the columns in the first line, such as colour, value, size, count")
	}
	for i, line := range t.Lines {
		h, err := sheetLine(func(what string) string { return uncell(cellIn(line, columns, what)) })
		if err != nil {
			return c, nil, lineError(name, t.at[i], err)
		}
		c.Holdings = append(c.Holdings, h)
	}
	return c, notes, nil
}

func sheetLine(get func(what string) string) (stash.HoldingRecord, error) {
	h := stash.HoldingRecord{Count: 1, Trust: 1, Bin: get("bin"), Basket: get("basket"), Print: get("print")}
	var err error
	if h.Family, h.Value, err = colourWords(get("family"), get("value")); err != nil {
		return h, err
	}
	if text := get("count"); text != "" {
		v, err := strconv.ParseFloat(text, 64) // spreadsheets write 12.0
		if err != nil || v != float64(int(v)) || v < 1 {
			return h, fmt.Errorf("%q is not a number of pieces", text)
		}
		h.Count = int(v)
	}
	word := letters(get("form"))
	sides, said, err := sizeWords(get("size"))
	if err != nil {
		return h, err
	}
	if word == "" {
		word = said
	}
	var columns []string
	for _, what := range []string{"width", "length"} {
		if text := get(what); text != "" {
			columns = append(columns, text)
		}
	}
	more, err := cloth.ParseLengths(columns, cloth.Inches)
	if err != nil {
		return h, err
	}
	sides = append(sides, more...)
	switch len(sides) {
	case 0:
	case 1:
		h.WidthIn = sides[0]
	case 2:
		h.WidthIn, h.LengthIn = min(sides[0], sides[1]), max(sides[0], sides[1])
	default:
		return h, errors.New("it gives more than a width and a length")
	}
	h.Form, err = formWord(word, h.WidthIn, h.LengthIn)
	if h.Form == cloth.Square {
		h.LengthIn = h.WidthIn
	}
	return h, err
}

func formWord(word string, width, length float64) (cloth.Form, error) {
	form, known := forms[strings.TrimSuffix(word, "s")]
	switch {
	case word == "" && length > 0:
		return stash.FormOfSize(width, length, cloth.Rectangle), nil
	case !known:
		return "", fmt.Errorf("%q is not a form of piece: write square, strip, rectangle or scrap", word)
	case form == cloth.Square && length > 0 && length != width:
		return "", errors.New("a square has one size")
	}
	return form, nil
}

// forms are what pieces are called, also in the plural.
var forms = map[string]cloth.Form{
	"": cloth.Square, "square": cloth.Square, "charm": cloth.Square, "sq": cloth.Square, "strip": cloth.Strip,
	"rectangle": cloth.Rectangle, "brick": cloth.Rectangle,
	"irregular": cloth.Irregular, "scrap": cloth.Irregular, "odd": cloth.Irregular,
}

// colourWords reads a family and a value, both also from one cell: "dark blue". A
// value of its own goes first.
func colourWords(colour, value string) (cloth.Family, cloth.Value, error) {
	v, ok := cloth.ReadValue(value)
	if !ok {
		return "", "", fmt.Errorf("%q is not a value: write one of %s", value, cloth.Words(cloth.Values))
	}
	f, also, ok := cloth.ReadFamily(colour)
	if !ok {
		return "", "", fmt.Errorf("%q is not a hue family: write one of %s", colour, cloth.Words(cloth.Families))
	}
	if v == "" {
		v = also
	}
	return f, v, nil
}

// sizeWords reads a size as people write it: 2½, 2 1/2" square, 2½ x 4½,
// 2½ strip x 18, fat quarter.
func sizeWords(text string) (sides []float64, form string, err error) {
	if text = strings.TrimSpace(text); text == "" {
		return nil, "", nil
	}
	said, err := cloth.ParseSized(text, cloth.Inches)
	if err != nil {
		return nil, "", err
	}
	for _, side := range []float64{said.WidthIn, said.LengthIn} {
		if side > 0 {
			sides = append(sides, side)
		}
	}
	if len(sides) == 2 && sides[0] == sides[1] {
		return sides, "square", nil
	}
	return sides, string(said.Form), nil
}
