package testtable

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Update is set by the flag -update: what tests keep in files is written anew.
var Update = flag.Bool("update", false, "write anew what tests keep in files")

// Kept compares value, as JSON holds it, with testdata/kept/NAME.json of the package under
// test. A number may be off by the tolerance, or where the number kept is over 1 by that
// share of it; all else must be the same. -update writes the file; without it a missing file
// fails the test. Round what needs no more digits: the file is read by people too.
func Kept(t testing.TB, name string, value any, tolerance float64) {
	t.Helper()
	text, err := json.MarshalIndent(value, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	text = append(inOneLine(text), '\n')
	file := filepath.Join("testdata", "kept", filepath.FromSlash(name)+".json")
	if *Update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, text, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v: run the test with -update once", err)
	}
	var kept, got any
	if err := json.Unmarshal(was, &kept); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	const shown = 10
	if d := differences("", kept, got, tolerance); len(d) > 0 {
		t.Fatalf("%s differs in %d places:\n%s", file, len(d), strings.Join(d[:min(shown, len(d))], "\n"))
	}
}

var plainList = regexp.MustCompile(`\[[^\[\]{}"]*\]`)

// inOneLine writes each list of numbers of indented JSON in one line.
func inOneLine(text []byte) []byte {
	return plainList.ReplaceAllFunc(text, func(list []byte) []byte { return bytes.Join(bytes.Fields(list), nil) })
}

// differences says where got is not as it was kept, as decoded from JSON.
func differences(at string, kept, got any, tolerance float64) []string {
	var out []string
	switch k := kept.(type) {
	case float64:
		if g, ok := got.(float64); ok && math.Abs(g-k) <= tolerance*max(1, math.Abs(k)) {
			return nil
		}
	case []any:
		if g, ok := got.([]any); ok && len(g) == len(k) {
			for i := range k {
				out = append(out, differences(fmt.Sprintf("%s[%d]", at, i), k[i], g[i], tolerance)...)
			}
			return out
		}
	case map[string]any:
		if g, ok := got.(map[string]any); ok {
			keys := slices.Collect(maps.Keys(k))
			for key := range g {
				if _, both := k[key]; !both {
					keys = append(keys, key)
				}
			}
			slices.Sort(keys)
			for _, key := range keys {
				out = append(out, differences(at+"."+key, k[key], g[key], tolerance)...)
			}
			return out
		}
	default:
		if kept == got {
			return nil
		}
	}
	return []string{fmt.Sprintf("%s: %s, kept %s", at, brief(got), brief(kept))}
}

// brief returns the beginning of a value's JSON.
func brief(v any) string {
	const long = 80
	text, _ := json.Marshal(v) // it was read from JSON
	if len(text) > long {
		return string(text[:long]) + "…"
	}
	return string(text)
}
