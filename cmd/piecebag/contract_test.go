package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// answer runs a command that succeeds in silence and gives its JSON.
func answer(t *testing.T, args ...string) map[string]any {
	t.Helper()
	var out, errs bytes.Buffer
	require.Equal(t, exitFine, run(context.Background(), args, streams{out: &out, err: &errs}), errs.String())
	require.Empty(t, errs.String())
	var v map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &v))
	return v
}

// keys are those of an object, sorted; those in optional are left out.
func keys(v any, optional ...string) []string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(v.(map[string]any))) {
		if !slices.Contains(optional, k) {
			out = append(out, k)
		}
	}
	return out
}

// The keys of look --json are a contract: others read them. Those after the
// first list need not be there, since the photo may not have the answer.
func TestLookJSONHasTheKeysOfItsContract(t *testing.T) {
	dir := t.TempDir()
	var photos []string
	for _, name := range []string{"noref.png", "board.jpg"} {
		photos = append(photos, filepath.Join(dir, name))
		require.NoError(t, os.WriteFile(photos[len(photos)-1], pictures()[name], 0o644))
	}
	v := answer(t, append([]string{"look", "--json"}, photos...)...)
	require.Equal(t, []string{"photos", "reader", "refused", "shelf", "version"}, keys(v, "look_first"))
	require.EqualValues(t, 1, v["version"])
	require.Regexp(t, `^[0-9]+-[0-9a-f]{8}$`, v["reader"])
	require.Equal(t, []string{"bins", "thin"}, keys(v["shelf"]))
	require.Equal(t, []any{}, v["refused"])
	require.Len(t, v["photos"], 2)
	for i, p := range v["photos"].([]any) {
		require.Equal(t, []string{"file", "height", "kind", "light", "notes", "pieces", "width"}, keys(p, "scale", "left_out"))
		photo := p.(map[string]any)
		require.Equal(t, photos[i], photo["file"], "in the order asked")
		require.Contains(t, []any{"spread", "board", "stack", "pile"}, photo["kind"])
		require.Equal(t, []string{"from", "trust", "white"}, keys(photo["light"], "lightness_sd"))
		if scale, ok := photo["scale"]; ok {
			require.Equal(t, []string{"from", "px_per_inch", "trust"}, keys(scale, "px_per_inch_or"))
		}
		require.GreaterOrEqual(t, len(photo["pieces"].([]any)), 6)
		for k, q := range photo["pieces"].([]any) {
			require.Equal(t, []string{
				"colours", "family", "family_trust", "id", "lightness", "mean", "munsell", "notes", "polygon", "reads_as", "trust", "value", "value_trust",
			}, keys(q, "corners", "cut", "family_or", "length_in", "print", "size_trust", "value_or", "width_in", "with"))
			piece := q.(map[string]any)
			require.EqualValues(t, k+1, piece["id"])
			require.GreaterOrEqual(t, len(piece["polygon"].([]any)), 3)
			if c, ok := piece["corners"]; ok {
				require.Len(t, c, 4)
			}
			require.Regexp(t, `^#[0-9a-f]{6}$`, piece["mean"])
			require.Regexp(t, `^#[0-9a-f]{6}$`, piece["reads_as"])
			require.Contains(t, []any{"light", "medium-light", "medium", "medium-dark", "dark"}, piece["value"])
			shares := 0.0
			for _, c := range piece["colours"].([]any) {
				require.Equal(t, []string{"hex", "share"}, keys(c))
				shares += c.(map[string]any)["share"].(float64)
			}
			require.InDelta(t, 1, shares, 0.005, "shares are rounded to 0.001")
		}
	}
	for _, b := range v["shelf"].(map[string]any)["bins"].([]any) {
		require.Equal(t, []string{"count", "family", "pieces", "value"}, keys(b, "cut"))
	}
	nothingEmpty(t, "look", v)
}

// A key with no answer is absent: null, an empty text and a length of zero would
// each be taken for an answer.
func nothingEmpty(t *testing.T, at string, v any) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			switch k {
			case "width_in", "length_in", "px_per_inch", "width", "height", "id":
				require.NotZero(t, v[k], "%s.%s", at, k)
			}
			nothingEmpty(t, at+"."+k, v[k])
		}
	case []any:
		for i, e := range v {
			nothingEmpty(t, fmt.Sprintf("%s[%d]", at, i), e)
		}
	case string:
		require.NotEmpty(t, v, at)
	case nil:
		require.Fail(t, "null", at)
	}
}

func TestNameJSONHasTheKeysOfItsContract(t *testing.T) {
	v := answer(t, "name", "--json", "#7a9bb5", "5PB 6/4", "N 5/")
	require.Equal(t, []string{"colours"}, keys(v))
	require.Len(t, v["colours"], 3)
	for _, c := range v["colours"].([]any) {
		require.Equal(t, []string{"family", "hex", "lightness", "munsell", "value"}, keys(c))
	}
	nothingEmpty(t, "name", v)
}
