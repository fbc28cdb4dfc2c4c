package report

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/stash"
)

// What was done is said as a quilter says it, whatever the names in it are.
func TestWhatWasDoneInWords(t *testing.T) {
	for _, c := range []struct{ verb, what, words string }{
		{"stow", "my: table.jpg: 12 pieces", "stowed 12 pieces from my: table.jpg"},
		{"stow", "table.jpg: the photo is kept again", "kept the photo table.jpg again"},
		{"recount", "sea chest: 9 pieces", "counted sea chest anew: 9 pieces"},
		{"relook", "2 photos", "looked again at 2 photos"},
		{"relook", "table.jpg: 12 pieces", "looked again at table.jpg: 12 pieces"},
		{"add", "2 blue 2½ squares", "added 2 blue 2½ squares"},
		{"use", "3 dark blue 2½ squares", "took out 3 dark blue 2½ squares"},
		{"correct", "piece 3: teal", "corrected piece 3: teal"},
		{"sort", "5 pieces into sea greens", "sorted 5 pieces into sea greens"},
		{"floor", "at least 3 in every bin", "set a floor: at least 3 in every bin"},
		{"floor", "no floor for blue 2½ squares", "set no floor for blue 2½ squares"},
		{"setting", "bins by family; trim ½; cloth weighs 150 g/m²", "set bins by family; trim ½; cloth weighs 150 g/m²"},
		{"plan", "mat: saved", "kept the quilt mat"},
		{"plan", "mat: taken away", "kept the quilt mat no more"},
		{"plan", "mat: A1 and C3 change places", "changed the quilt mat: A1 and C3 change places"},
		{"teach", "sea greens: 6 examples", "taught the bin sea greens by 6 examples"},
		{"teach", "sea greens: forgotten", "forgot what the bin sea greens had learnt"},
		{"import", "all.json: 27 pieces", "brought in all.json: 27 pieces"},
		{"cut", "mat: 9 pieces", "cut 9 pieces for mat"},
		{"sewn", "mat: 9 pieces", "sewed 9 pieces of mat"},
		{"mend", "of a later piecebag", "mend of a later piecebag"},
	} {
		require.Equal(t, c.words, DoneWords(stash.Change{Verb: c.verb, What: c.what}))
	}
	at := time.Date(2026, 12, 1, 9, 5, 0, 0, time.Local)
	d := HistoryDocument([]stash.Change{{Verb: "add", What: "2 squares", At: at}, {Verb: "add", What: "1 strip", At: at.Add(-time.Minute)}, {Verb: "add", What: "5 strips", At: at.AddDate(0, 0, -1)}})
	require.Equal(t, []section{
		{Heading: "Tuesday, 1 December 2026", Items: []string{"09:05 Added 2 squares", "09:04 Added 1 strip"}},
		{Heading: "Monday, 30 November 2026", Items: []string{"09:05 Added 5 strips"}},
	}, d.sections)
}
