package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// What may be wrong of what went in is said first, by the number that the stash gave
// it, with the command that mends it; what is sure is not.
func TestStowNamesWhatMayBeWrong(t *testing.T) {
	var out, errs bytes.Buffer
	s := &line{streams: streams{out: &out, err: &errs}}
	sure := cloth.Piece{ID: 1, Family: cloth.Red, Value: cloth.Dark, Trust: 0.9, FamilyTrust: 0.9, ValueTrust: 0.9}
	between := cloth.Piece{ID: 2, Family: cloth.Teal, FamilyOr: cloth.Blue, Value: cloth.Medium, ValueOr: cloth.MediumLight, Trust: 0.9, FamilyTrust: 0.6, ValueTrust: 0.55}
	torn := cloth.Piece{ID: 3, Trust: 0.51}
	p := desk.Stowed{Stowed: stash.Stowed{Added: 3}, LeftOut: 2, Seen: desk.Seen{File: "a.jpg", Found: []cloth.Piece{sure, between, torn}, IDs: map[int]int64{1: 41, 2: 42, 3: 43}}}
	require.NoError(t, s.tellStowed(p))
	require.Contains(t, out.String(), "\n  2 things that may be cloth left out as too doubtful; 'piecebag look' says where\n")
	done := desk.Stowing{Photos: []desk.Stowed{{Seen: desk.Seen{File: "known.jpg"}, Stowed: stash.Stowed{Known: true}}, p}}
	require.Equal(t, `look at these first
  piece 43, a.jpg: outline 51%; if that is wrong: piecebag fix 43 --not-a-piece, or --outline X,Y,X,Y,X,Y
  piece 42, a.jpg: medium or medium-light, 55%; teal or blue, 60%; if that is wrong: piecebag fix 42 --value medium-light --family blue
1 stowed, 1 already known
`, stowingText(done))

	for i := range 20 {
		torn.ID = 4 + i
		p.Found = append(p.Found, torn)
	}
	done.Photos = []desk.Stowed{p}
	require.Equal(t, report.MostFirst+3, strings.Count(stowingText(done), "\n"), "never more than a screenful")
	require.Contains(t, stowingText(done), "\n  and 14 pieces more, all of them listed by 'piecebag look PHOTO --json'\n")

	done.Photos[0].Found[1].Trust = 0.69
	taught := taughtFirst(done.Doubts())
	require.Contains(t, taught, "\n  and 14 pieces more")
	require.NotContains(t, taught, "piece 2 ", "a sure name does not make an outline likelier wrong")
	require.Contains(t, taught, "\n  piece 3 of a.jpg: outline 51%\n")
	require.NotContains(t, taught, "teal", "a bin is learnt from colours, not from names")
	require.Empty(t, taughtFirst(desk.Doubts([]desk.Seen{{File: "a.jpg", Found: []cloth.Piece{sure, between}}})))
}

// A print that may be one you have is said to be, with its pieces.
func TestStowSaysWhatAPrintMayBe(t *testing.T) {
	var out, errs bytes.Buffer
	s := &line{streams: streams{out: &out, err: &errs}}
	p := desk.Stowed{Seen: desk.Seen{File: "a.jpg"}, Stowed: stash.Stowed{Added: 4, MayBe: []stash.MayBe{
		{Print: "print 14", Known: "print 3", Trust: 0.554, Pieces: []int{2, 3}},
		{Print: "print 15", Known: "anchors", Trust: 0.31, Pieces: []int{4}},
	}}}
	require.NoError(t, s.tellStowed(p))
	require.Contains(t, out.String(), "\n  prints that you may have: print 14 may be print 3: 2, 3; print 15 may be anchors: 4\n")
	out.Reset()
	p.MayBe = nil
	require.NoError(t, s.tellStowed(p))
	require.NotContains(t, out.String(), "may be")
}
