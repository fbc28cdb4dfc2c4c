package recipe

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
)

// onlyShapes is the remedy for a patch of another shape.
const onlyShapes = "patches are only squares, rectangles and right triangles: build the block of those, or choose another; "

// namesShape reports whether a word speaks of a shape that no patch has.
func namesShape(word string) bool {
	return slices.ContainsFunc([]string{"shape", "curve", "arc", "circ", "hex", "gon", "diamond", "angle", "radi"}, func(part string) bool {
		return strings.Contains(strings.ToLower(word), part)
	})
}

// shapeOr returns meant, or onlyShapes where a word is near to none: then it is likely a
// shape that no recipe holds.
func shapeOr(word string, words []string) string {
	if near := meant(word, words); near != "" {
		return near
	}
	return onlyShapes
}

// meant returns "the nearest is …; " for the word that a misspelt one was likely meant for,
// or nothing where none is near: near is a word of which at most every third letter
// differs, or that the misspelt one begins.
func meant(word string, words []string) string {
	letters := []rune(word)
	begun := func(w string) bool { return len(letters) > 2 && strings.HasPrefix(w, word) }
	w, edits := cloth.Nearest(word, words)
	if i := slices.IndexFunc(words, begun); i >= 0 {
		w = words[i]
	}
	of := []rune(w)
	if len(of) == 0 || !begun(w) && edits > max(1, max(len(letters), len(of))/3) {
		return ""
	}
	return fmt.Sprintf("the nearest is %q; ", w)
}
