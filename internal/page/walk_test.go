package page

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/testtable"
)

// shelved is a visitor of a stash of cloth from two photos whose files are not kept, and of
// cloth by hand: the same at every run, with no photo looked at.
func shelved(t *testing.T) *visitor {
	t.Helper()
	v := visit(t)
	type object = map[string]any
	var holdings []object
	colours := []struct {
		family cloth.Family
		lab    colour.Lab
	}{{cloth.Red, colour.Lab{L: 35, A: 50, B: 25}}, {cloth.Blue, colour.Lab{L: 25, A: 5, B: -35}}, {cloth.White, colour.Lab{L: 93, B: 5}}, {cloth.Green, colour.Lab{L: 60, A: -35, B: 25}}, {cloth.Yellow, colour.Lab{L: 88, A: -5, B: 55}}}
	hashes := []string{strings.Repeat("a1", 32), strings.Repeat("b2", 32)}
	for i := range 26 {
		c := colours[i%5]
		mean := c.lab.Linear()
		x, y := float64(60+120*(i%7)), float64(70+130*(i/7))
		h := object{
			"form": "square", "count": 1, "width_in": 2.5, "length_in": 2.5, "family": c.family, "value": cloth.ValueOf(c.lab.L), "lightness": c.lab.L, "mean": mean, "reads_as": mean,
			"colours": [][]float64{{mean[0], mean[1], mean[2], 1}}, "basket": []string{"tin", "table"}[i/13], "photo": hashes[i/13], "piece": i%13 + 1, "trust": 0.95 - 0.02*float64(i%13),
			"outline": [][]float64{{x - 50, y - 50}, {x + 50, y - 45}, {x + 48, y + 50}, {x - 50, y + 52}},
		}
		if i%5 < 3 {
			h["print"] = fmt.Sprintf("print %d", i%5+5*(i/15)+1)
		}
		switch i {
		case 3, 8:
			h["form"], h["length_in"] = "strip", 21.0
		case 11:
			h["bin"] = "sea greens"
		case 12:
			h["family_or"], h["family_trust"] = "pink", 0.55
		}
		holdings = append(holdings, h)
	}
	data, err := json.Marshal(object{
		"format": "piecebag stash", "version": 1, "settings": object{}, "floors": []object{{"cut_in": 2.5, "n": 3}}, "holdings": holdings,
		"photos": []object{{"hash": hashes[0], "name": "tin.jpg", "size": 9, "kind": "board", "basket": "tin", "width": 900, "height": 600}, {"hash": hashes[1], "name": "table & co.jpg", "size": 9, "kind": "spread", "basket": "table", "width": 900, "height": 600}},
	})
	require.NoError(t, err)
	_, err = v.desk.Import(t.Context(), "stash.json", data)
	require.NoError(t, err)
	for _, h := range []cloth.Holding{
		{Form: cloth.Square, Count: 12, WidthIn: 5, LengthIn: 5, Family: cloth.Teal, Value: cloth.Dark, Basket: "tin"},
		{Form: cloth.Strip, Count: 3, WidthIn: 2.5, LengthIn: 42, Family: cloth.Brown, Value: cloth.Medium, Print: "bark"},
	} {
		_, err := v.desk.Add(t.Context(), desk.AddRequest{Holding: h, New: true})
		require.NoError(t, err)
	}
	v.enter()
	return v
}

// The page is walked through by the requests of a file, and what comes is kept: beside that
// of the pages before it that it is most like, the lines that are new (+) and those that are
// gone (-).
func TestPagesAreKept(t *testing.T) {
	v := shelved(t)
	steps, err := os.ReadFile("../../testdata/page/walk.txt")
	require.NoError(t, err)
	var out strings.Builder
	seen := map[string][]string{}
	for line := range strings.Lines(string(steps)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		method, rest, _ := strings.Cut(line, " ")
		path, body, _ := strings.Cut(rest, " ")
		r, err := http.NewRequest(method, v.to(strings.NewReplacer(";", "%3B").Replace(path)), strings.NewReader(formed(t, body)))
		require.NoError(t, err, line)
		if method == http.MethodPost {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}
		code, page, at := v.do(r)
		fmt.Fprintf(&out, "\n%s\n%d %s\n", line, code, at)
		now := pageLines(page)
		nearest, fresh, gone := "nothing", now, []string(nil)
		for _, before := range slices.Sorted(maps.Keys(seen)) {
			more, less := without(now, seen[before]), without(seen[before], now)
			if len(more)+len(less) < len(fresh)+len(gone) {
				nearest, fresh, gone = before, more, less
			}
		}
		seen[at] = now
		fmt.Fprintf(&out, "beside %s\n", nearest)
		for _, l := range gone {
			out.WriteString("- " + l + "\n")
		}
		for _, l := range fresh {
			out.WriteString("+ " + l + "\n")
		}
	}
	keptAs(t, "walked.html", out.String())
}

// keptAs holds what came against a file, which -update writes.
func keptAs(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("../../testdata/page", name)
	if *testtable.Update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "run the test with -update once")
	require.Equal(t, string(want), got)
}

// formed is what a form sends, written with spaces.
func formed(t *testing.T, body string) string {
	q, err := url.ParseQuery(strings.NewReplacer(" ", "+", ";", "%3B").Replace(body))
	require.NoError(t, err)
	return q.Encode()
}

// ofTheMoment is what is another at every run: times, and names drawn by lot.
var ofTheMoment = regexp.MustCompile(`(?:[A-Z][a-z]+day, )?\d{1,2} [A-Z][a-z]+ \d{4}(?:, \d\d:\d\d)?|\d{4}-\d\d-\d\d \d\d:\d\d|\b[0-9a-f]{16,}\b`)

// documentOn matches the sections of package report's documents, which its own tests keep,
// and pictures.
var documentOn = regexp.MustCompile(`(?ms)^<section(?: class="(?:careful|on)")?>\n(?:<h2>([^<]*)</h2>\n)?.*?^</section>$|base64,[^"]*`)

// parts match what a page is made of, each of which is a line by itself.
var parts = regexp.MustCompile(`<(?:option|select|input|button|a |li|tr|details)`)

// pageLines are the lines of a page that are its own, without what is of the moment.
func pageLines(page string) (out []string) {
	if _, after, ok := strings.Cut(page, "<main"); ok {
		page = after
	}
	page, _, _ = strings.Cut(page, "<footer")
	page = parts.ReplaceAllString(documentOn.ReplaceAllString(ofTheMoment.ReplaceAllString(page, "…"), "[$1]"), "\n$0")
	for line := range strings.Lines(page) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// without are the lines of one page that another has not, as often.
func without(all, others []string) (out []string) {
	left := map[string]int{}
	for _, l := range others {
		left[l]++
	}
	return slices.DeleteFunc(slices.Clone(all), func(l string) bool {
		left[l]--
		return left[l] >= 0
	})
}
