package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/stash"
)

// What lies between two names, what may be wrong with what mends it, and what print a
// new one may be, are in the answer of stow.
func TestStowingJSONSaysWhatIsInDoubt(t *testing.T) {
	sure := cloth.Piece{ID: 1, Family: cloth.Red, Value: cloth.Dark, Trust: 0.9, FamilyTrust: 0.9, ValueTrust: 0.9}
	between := cloth.Piece{ID: 2, Family: cloth.Teal, FamilyOr: cloth.Blue, Value: cloth.Medium, ValueOr: cloth.MediumLight, Trust: 0.9, FamilyTrust: 0.6, ValueTrust: 0.55}
	torn := cloth.Piece{ID: 3, Trust: 0.51}
	done := desk.Stowing{Photos: []desk.Stowed{
		{Seen: desk.Seen{File: "known.jpg"}, Stowed: stash.Stowed{Known: true}},
		{
			Stowed: stash.Stowed{Added: 3, MayBe: []stash.MayBe{{Print: "print 14", Known: "print 3", Trust: 0.554, Pieces: []int{2, 3}}}},
			Seen:   desk.Seen{File: "a.jpg", Found: []cloth.Piece{sure, between, torn}, IDs: map[int]int64{1: 41, 2: 42, 3: 43}},
		},
	}}
	j := StowingJSON(done).(jsonStowing)
	require.Nil(t, j.Photos[0].Change, "nothing of it came in")
	require.NotNil(t, j.Photos[1].Change)
	require.Equal(t, []jsonTossUp{{2, cloth.Teal, cloth.Blue, cloth.Medium, cloth.MediumLight}}, j.Photos[1].Doubt)
	require.Equal(t, []jsonMayBe{{"print 14", "print 3", 0.55, []int{2, 3}}}, j.Photos[1].MayBe)
	require.Equal(t, []jsonFirst{
		{"a.jpg", 3, 43, []desk.Doubt{desk.OutlineDoubt}, 0.51, []string{"--not-a-piece", "--outline X,Y,X,Y,X,Y"}},
		{"a.jpg", 2, 42, []desk.Doubt{desk.ValueDoubt, desk.FamilyDoubt}, 0.55, []string{"--value medium-light --family blue"}},
	}, j.LookFirst)
}

// A list with nothing in it is an answer, and is no null.
func TestEmptyListsAreThere(t *testing.T) {
	for want, answer := range map[string]any{
		`{"faults":[],"left_over":[],"not_kept":[],"repaired":[],"with_camera_data":[]}`: HealthJSON(stash.Health{}),
		`{"floors":[]}`: FloorsJSON(nil),
		`{"undone":[]}`: ChangesMadeJSON("undone", nil),
	} {
		var b bytes.Buffer
		require.NoError(t, AnswerJSON(&b, answer))
		require.Equal(t, want+"\n", b.String())
	}
}
