package page

import (
	"net/http"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/stash"
)

// A bin is taught by pieces and by photos, sorts what is like it, asks where it is not
// sure, and is forgotten.
func TestBinsAreTaught(t *testing.T) {
	v := stocked(t)
	_, page, _ := v.get("/teach")
	require.Contains(t, page, "You have taught no bin yet")
	code, _, _ := v.get("/teach/next")
	require.Equal(t, http.StatusUnprocessableEntity, code)
	_, page, at := v.post("/teach/pieces", "piece", "1", "pieces", "2", "to", "sea greens")
	require.Equal(t, "/teach", at)
	require.Regexp(t, `<h2>sea greens <span class="small">2 in it, learnt from 2</span>`, page)
	require.Contains(t, page, `src="/cloth/`)
	require.Equal(t, "sea greens", v.held("1")[0].Bin)
	v.post("/teach/pieces", "pieces", "3", "to", "not those")
	for _, bad := range [][]string{{"to", "x"}, {"pieces", "1"}, {"pieces", "x", "to", "x"}} {
		code, _, _ = v.post("/teach/pieces", bad...)
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
	code, page, _ = v.sendForm("/teach/photos", "photo", "more.jpg", table(t), "to", "table cloth")
	require.Equal(t, 200, code, page)
	require.Regexp(t, `table cloth: learnt from \d+ pieces`, page)
	for _, bad := range [][]string{{"", "x"}, {"no.jpg", ""}} {
		code, _, _ = v.sendForm("/teach/photos", "photo", bad[0], []byte("no photo"), "to", bad[1])
		assert.Equal(t, http.StatusBadRequest, code, bad)
	}
	code, page, _ = v.sendForm("/teach/photos", "photo", "no.jpg", []byte("no photo"), "to", "x")
	require.Equal(t, http.StatusUnprocessableEntity, code)
	require.Contains(t, page, "no.jpg")
	_, page, _ = v.post("/teach/forget", "bin", "table cloth")
	require.NotContains(t, page, "<h2>table cloth")
}

// "Is this sea greens?": yes puts the piece there, no elsewhere, neither in no bin, and
// what is passed over is asked later.
func TestWhatIsNotSureIsAsked(t *testing.T) {
	v := visit(t)
	v.enter()
	st, err := stash.Open(v.stash, stash.Options{Now: time.Now})
	require.NoError(t, err)
	for i := range 24 { // three times from green to blue, a little apart
		c := colour.OKLCh{L: 0.6, C: 0.1, H: 150 + 6*float64(i%8) + 2*float64(i/8)}.OKLab().Linear()
		_, err := st.Add(t.Context(), cloth.Holding{
			Form: cloth.Square, Count: 1, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Teal, Value: cloth.Medium, Trust: 1,
			Measured: true, Mean: c, ReadsAs: c, Colours: []cloth.Ink{{Colour: c, Share: 1}}, Lightness: c.Lab().L,
		})
		require.NoError(t, err)
	}
	require.NoError(t, st.Close())
	v.post("/teach/pieces", "pieces", "1-8", "to", "sea greens")
	v.post("/teach/pieces", "pieces", "9-16", "to", "sea blues")
	unsure := func() []desk.Unsure {
		try, err := v.server.desk.TrySort(t.Context())
		require.NoError(t, err)
		return try.Unsure
	}
	asked := unsure()
	require.GreaterOrEqual(t, len(asked), 2, "what lies between two bins is asked about")
	before, err := v.server.desk.History(t.Context(), 100)
	require.NoError(t, err)
	_, page, _ := v.get("/teach/next")
	require.Regexp(t, `<h1>Is this sea (greens|blues)\?</h1>`, page)
	require.Contains(t, page, "Yes, it is sea ")
	later, err := v.server.desk.History(t.Context(), 100)
	require.NoError(t, err)
	require.Equal(t, len(before), len(later), "asking changes nothing")

	first := regexp.MustCompile(`name="pieces" value="(\d+)"`)
	here := first.FindStringSubmatch(page)[1]
	_, page, _ = v.get("/teach/next?pass=" + here)
	next := first.FindStringSubmatch(page)[1]
	require.NotEqual(t, here, next)
	_, _, at := v.post("/teach/answer", "pieces", next, "bin", "sea greens", "pass", here)
	require.Equal(t, "sea greens", v.held(next)[0].Bin)
	require.Contains(t, []string{"/teach", "/teach/next"}, at)
	v.post("/teach/answer", "pieces", here, "bin", "")
	require.Empty(t, v.held(here)[0].Bin)
	for _, u := range unsure() {
		require.NotContains(t, []string{here, next}, u.ID, "what was answered is not asked again")
	}
	code, _, _ := v.post("/teach/answer", "bin", "sea greens")
	require.Equal(t, http.StatusBadRequest, code)
	code, page, _ = v.post("/teach/sort")
	require.Equal(t, 200, code)
	require.Contains(t, page, "sorted in")
}
