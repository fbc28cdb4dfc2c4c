package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// What may be wrong of what went in is said first, by the number that the stash gave
// it, with the command that mends it; what is sure is not.
func TestStowNamesWhatMayBeWrong(t *testing.T) {
	var out, errs bytes.Buffer
	l := &ledger{s: streams{out: &out, err: &errs}}
	sure := cloth.Piece{ID: 1, Family: cloth.Red, Value: cloth.Dark, Trust: 0.9, FamilyTrust: 0.9, ValueTrust: 0.9}
	between := cloth.Piece{ID: 2, Family: cloth.Teal, FamilyOr: cloth.Blue, Value: cloth.Medium, ValueOr: cloth.MediumLight, Trust: 0.9, FamilyTrust: 0.6, ValueTrust: 0.55}
	torn := cloth.Piece{ID: 3, Trust: 0.51}
	s := stowed{file: "a.jpg", Stowed: stash.Stowed{Added: 3}, left: 2, seen: seen{"a.jpg", []cloth.Piece{sure, between, torn}, map[int]int64{1: 41, 2: 42, 3: 43}}}
	require.NoError(t, l.tellStowed(s))
	require.Contains(t, out.String(), "\n  2 things that may be cloth left out as too doubtful; 'piecebag look' says where\n")
	w := stower{l: l, all: []stowed{{file: "known.jpg", Stowed: stash.Stowed{Known: true}}, s}}
	require.Equal(t, `look at these first
  piece 42, a.jpg: medium or medium-light, 55%; teal or blue, 60%; if that is wrong: piecebag fix 42 --value medium-light --family blue
  piece 43, a.jpg: outline 51%; if that is wrong: piecebag fix 43 --not-a-piece, or --outline X,Y,X,Y,X,Y
1 stowed, 1 already known
`, w.sum(0))
	j := w.json(nil)
	require.Equal(t, []jsonDoubt{{2, cloth.Teal, cloth.Blue, cloth.Medium, cloth.MediumLight}}, j.Photos[1].Doubt)
	require.Len(t, j.LookFirst, 2)
	require.Equal(t, jsonFirst{"a.jpg", 3, 43, []report.Doubt{report.OutlineDoubt}, 0.51, []string{"--not-a-piece", "--outline X,Y,X,Y,X,Y"}}, j.LookFirst[1])

	for i := range 20 {
		torn.ID = 4 + i
		s.seen.found = append(s.seen.found, torn)
	}
	w.all = []stowed{s}
	require.Equal(t, report.MostFirst+3, strings.Count(w.sum(0), "\n"), "never more than a screenful")
	require.Contains(t, w.sum(0), "\n  and 14 pieces more, which 'piecebag look PHOTO' tells\n")

	taught := taughtFirst(doubtedIn([]seen{s.seen}))
	require.Contains(t, taught, "\n  piece 3 of a.jpg: outline 51%\n")
	require.NotContains(t, taught, "teal", "a bin is learnt from colours, not from names")
	require.Empty(t, taughtFirst(doubtedIn([]seen{{"a.jpg", []cloth.Piece{sure, between}, nil}})))
}

// A print that may be one you have is said to be, with its pieces.
func TestStowSaysWhatAPrintMayBe(t *testing.T) {
	var out, errs bytes.Buffer
	l := &ledger{s: streams{out: &out, err: &errs}}
	s := stowed{file: "a.jpg", Stowed: stash.Stowed{Added: 4, MayBe: []stash.MayBe{
		{Print: "print 14", Known: "print 3", Trust: 0.554, Pieces: []int{2, 3}},
		{Print: "print 15", Known: "anchors", Trust: 0.31, Pieces: []int{4}},
	}}}
	require.NoError(t, l.tellStowed(s))
	require.Contains(t, out.String(), "\n  prints that you may have: print 14 may be print 3: 2, 3; print 15 may be anchors: 4\n")
	w := stower{l: l, all: []stowed{s}}
	require.Equal(t, []jsonMayBe{{"print 14", "print 3", 0.55, []int{2, 3}}, {"print 15", "anchors", 0.31, []int{4}}}, w.json(nil).Photos[0].MayBe)
	out.Reset()
	s.MayBe = nil
	require.NoError(t, l.tellStowed(s))
	require.NotContains(t, out.String(), "may be")
}
