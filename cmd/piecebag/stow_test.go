package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/stash"
)

// What lies between two names is said where it goes in, with the number of its piece:
// it may be in the wrong bin.
func TestStowNamesTossUps(t *testing.T) {
	var out, errs bytes.Buffer
	l := &ledger{s: streams{out: &out, err: &errs}}
	s := stowed{file: "a.jpg", Stowed: stash.Stowed{Added: 2}, found: []cloth.Piece{
		{ID: 1, Family: cloth.Red, Value: cloth.Dark},
		{ID: 2, Family: cloth.Teal, FamilyOr: cloth.Blue, Value: cloth.Medium, ValueOr: cloth.MediumLight},
	}}
	require.NoError(t, l.tellStowed(s))
	require.Contains(t, out.String(), "\n  pieces that lie between two names: teal or blue: 2; medium or medium-light: 2\n")
	w := stower{l: l, all: []stowed{s}}
	require.Equal(t, []jsonDoubt{{2, cloth.Teal, cloth.Blue, cloth.Medium, cloth.MediumLight}}, w.json(nil).Photos[0].Doubt)
	out.Reset()
	s.found = s.found[:1]
	require.NoError(t, l.tellStowed(s))
	require.NotContains(t, out.String(), "two names")
}
