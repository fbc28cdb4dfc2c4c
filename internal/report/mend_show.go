package report

import (
	"strings"

	"piecebag/internal/cloth"
)

// Fact is a word and what is said of it.
type Fact struct{ What, Words string }

// LookFacts returns what was found of a photo as a whole: its light, its scale, and notes.
func LookFacts(s cloth.Sheet) []Fact {
	var out []Fact
	if words := lightWords(s.Light); words != "" {
		out = append(out, Fact{"light", words})
	}
	out = append(out, Fact{"scale", scaleWords(s.Scale)})
	for _, n := range s.Notes {
		out = append(out, Fact{"note", n})
	}
	return out
}

// PieceWords returns a piece in a line: its colour, value, cut and print.
func PieceWords(p cloth.Piece) string {
	words := []string{familyWords(p), valueWords(p)}
	if p.Cut != "" {
		words = append(words, p.Cut)
	} else if s := size(p); s != "" {
		words = append(words, s)
	}
	if p.Print != "" {
		words = append(words, "print "+cloth.ShortPrint(p.Print))
	}
	return printable(strings.Join(words, ", "))
}

// StandIn returns a colour, #rrggbb, that stands for a hue family.
func StandIn(f cloth.Family) string {
	value := cloth.Medium
	switch f {
	case cloth.White, cloth.Yellow:
		value = cloth.Light
	case cloth.Black:
		value = cloth.Dark
	}
	c, _ := standIn(f, value)
	return c.Hex()
}
