package recipe

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
)

// meant says which of some words a wrong one was likely meant for, "the nearest
// is …; ", or nothing where none is near: at most every third letter differs, or
// it begins a word.
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
