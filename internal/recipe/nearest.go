package recipe

import (
	"fmt"
	"slices"
	"strings"
)

// meant says which of some words a wrong one was likely meant for, "the nearest
// is …; ", or nothing where none is near: at most every third letter differs, or
// it begins a word.
func meant(word string, words []string) string {
	letters := []rune(word)
	begun := func(w string) bool { return len(letters) > 2 && strings.HasPrefix(w, word) }
	w := nearest(word, words)
	if i := slices.IndexFunc(words, begun); i >= 0 {
		w = words[i]
	}
	of := []rune(w)
	if len(of) == 0 || !begun(w) && edits(letters, of) > max(1, max(len(letters), len(of))/3) {
		return ""
	}
	return fmt.Sprintf("the nearest is %q; ", w)
}

// nearest is the word of words with the fewest letters put in, left out, changed
// or swapped with the next (optimal string alignment; Damerau 1964) against
// word, the first of equals.
func nearest(word string, words []string) string {
	best, least := "", -1
	for _, w := range words {
		if d := edits([]rune(word), []rune(w)); least < 0 || d < least {
			best, least = w, d
		}
	}
	return best
}

func edits(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range b {
		rows[0][j+1] = j + 1
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}
