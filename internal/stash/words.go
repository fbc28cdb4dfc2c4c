package stash

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// pieces writes a number of pieces.
func pieces(n int) string { return cloth.Count(n, "piece") }

// nouns are what pieces of a form are called where no size comes before.
var nouns = map[cloth.Form]string{cloth.Irregular: "odd piece", "": "piece"}

func nounOf(f cloth.Form) string {
	if n, ok := nouns[f]; ok {
		return n
	}
	return string(f)
}

// grams writes a weight.
func grams(g float64) string { return fmt.Sprintf("%.4g g", g) }

// describe names a holding as you would: 12 dark blue 2½ squares, 350 g of
// weighed brown cloth.
func describe(h cloth.Holding) string {
	c := shelf.CutOf(h)
	f := Filter{Form: h.Form, Family: h.Family, Value: h.Value, Bin: h.Bin, Cut: c.Width, Length: c.Length}
	switch {
	case h.Form != cloth.Weighed:
		return fmt.Sprintf("%d %s", h.Count, f.of(h.Count))
	case h.Grams > 0:
		return grams(h.Grams) + " of " + f.of(1)
	}
	return f.of(1)
}

// String names what a filter means: dark blue 2½ squares.
func (f Filter) String() string { return f.of(2) }

// of is String with the noun for n pieces.
func (f Filter) of(n int) string {
	var parts []string
	add := func(words ...string) {
		for _, w := range words {
			if w == "" {
				return
			}
		}
		parts = append(parts, words...)
	}
	if f.Form == cloth.Weighed {
		add("weighed")
	}
	add(f.Bin)
	add(string(f.Value))
	add(string(f.Family))
	if f.Cut > 0 {
		size := []float64{f.Cut}
		if f.Length > 0 {
			size = append(size, f.Length)
		}
		add(shelf.Size(size...))
	}
	if f.Form == cloth.Weighed {
		add("cloth")
	} else {
		add(cloth.Plural(n, nounOf(f.Form)))
	}
	add("of", f.Print)
	add("in", f.Basket)
	if f.IDs != nil {
		add("numbered", numberList(f.IDs))
	}
	return strings.Join(parts, " ")
}

// numberList lists numbers of pieces, runs of them by their ends: 12, 15 to 18.
func numberList(ids []int64) string {
	ids = slices.Compact(slices.Sorted(slices.Values(ids)))
	var parts []string
	for i := 0; i < len(ids); {
		from := ids[i]
		for i++; i < len(ids) && ids[i] == ids[i-1]+1; i++ {
		}
		switch to := ids[i-1]; to {
		case from:
			parts = append(parts, fmt.Sprint(from))
		case from + 1:
			parts = append(parts, fmt.Sprint(from), fmt.Sprint(to))
		default:
			parts = append(parts, fmt.Sprintf("%d to %d", from, to))
		}
	}
	return strings.Join(parts, ", ")
}

// words returns a correction in words.
func (c Correction) words() string {
	var out []string
	add := func(said bool, format string, v ...any) {
		if said {
			out = append(out, fmt.Sprintf(format, v...))
		}
	}
	article := "a"
	if c.Form == cloth.Irregular {
		article = "an"
	}
	add(c.Family != "", "%s", c.Family)
	add(c.Value != "", "%s", c.Value)
	add(c.Form != "", "%s %s", article, nounOf(c.Form))
	add(c.WidthIn != 0, "%s wide", shelf.Length(c.WidthIn))
	add(c.LengthIn != 0, "%s long", shelf.Length(c.LengthIn))
	add(c.Outline != nil, "its outline")
	for _, p := range []struct {
		name string
		v    *string
	}{{"print", c.Print}, {"bin", c.Bin}, {"basket", c.Basket}} {
		if p.v != nil {
			name := CleanName(*p.v)
			add(name == "", "no %s", p.name)
			add(name != "", "%s \"%s\"", p.name, name)
		}
	}
	add(c.NotAPiece, "not a piece")
	add(c.Split != 0, "split into %d", c.Split)
	add(c.Merge != nil, "merged with %s", strings.Trim(fmt.Sprint(c.Merge), "[]"))
	return strings.Join(out, ", ")
}

// sorted returns in words which holdings went into which bins.
func sorted(bins map[int64]string) string {
	names := map[string]bool{}
	for _, b := range bins {
		names[CleanName(b)] = true
	}
	switch {
	case len(names) != 1:
		return pieces(len(bins)) + " into bins of your own"
	case names[""]:
		return pieces(len(bins)) + " out of bins"
	}
	return pieces(len(bins)) + " into " + sortedKeys(names)[0]
}
