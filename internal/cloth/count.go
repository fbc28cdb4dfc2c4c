package cloth

import (
	"strconv"
	"strings"
)

// Plural returns the noun for n things: piece, pieces; box, boxes; touch, touches.
func Plural(n int, noun string) string {
	switch {
	case n == 1:
		return noun
	case strings.HasSuffix(noun, "x"), strings.HasSuffix(noun, "ch"):
		return noun + "es"
	}
	return noun + "s"
}

// Count writes a number with its noun: 1 piece, 2 pieces.
func Count(n int, noun string) string { return strconv.Itoa(n) + " " + Plural(n, noun) }

// Few lists the first of many: a; b; c; d; and 7 more.
func Few(parts []string) string {
	const most = 4
	if n := len(parts); n > most+1 {
		return strings.Join(parts[:most], "; ") + "; and " + strconv.Itoa(n-most) + " more"
	}
	return strings.Join(parts, "; ")
}
