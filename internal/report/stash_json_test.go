package report

import (
	"bytes"
	"encoding/json"
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
	var b bytes.Buffer
	require.NoError(t, AnswerJSON(&b, StowingJSON(done, typed)))
	var j struct {
		Photos []map[string]json.RawMessage
		First  json.RawMessage `json:"look_first"`
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &j))
	require.NotContains(t, j.Photos[0], "change", "nothing of it came in")
	require.NotContains(t, j.Photos[0], "toss_ups")
	require.Contains(t, j.Photos[1], "change")
	require.JSONEq(t, `[{"piece":2,"family":"teal","family_or":"blue","value":"medium","value_or":"medium-light"}]`, string(j.Photos[1]["toss_ups"]))
	require.JSONEq(t, `[{"print":"print 14","may_be":"print 3","trust":0.55,"pieces":[2,3]}]`, string(j.Photos[1]["may_be"]))
	require.JSONEq(t, `[
		{"file":"a.jpg","piece":3,"id":43,"doubted":["outline"],"trust":0.51,"fix":["mend 43"]},
		{"file":"a.jpg","piece":2,"id":42,"doubted":["value","family"],"trust":0.55,"fix":["mend 42"]}
	]`, string(j.First))
}

// A list with nothing in it is an answer, and is no null.
func TestEmptyListsAreThere(t *testing.T) {
	for want, answer := range map[string]any{
		`{"faults":[],"left_over":[],"not_kept":[],"repaired":[],"with_camera_data":[]}`: HealthJSON(stash.Health{}, typed),
		`{"floors":[]}`: FloorsJSON(nil),
		`{"undone":[]}`: ChangesMadeJSON("undone", nil),
	} {
		var b bytes.Buffer
		require.NoError(t, AnswerJSON(&b, answer))
		require.Equal(t, want+"\n", b.String())
	}
}
