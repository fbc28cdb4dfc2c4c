package cloth

// Nearest returns the word of words with the fewest letters put in, left out, changed
// or swapped with the next (optimal string alignment; Damerau 1964) against
// word, the first of equals, and how many those are. Without words it is empty.
func Nearest(word string, words []string) (best string, least int) {
	for i, w := range words {
		if d := edits([]rune(word), []rune(w)); i == 0 || d < least {
			best, least = w, d
		}
	}
	return best, least
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
