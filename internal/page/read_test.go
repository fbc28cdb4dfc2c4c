package page

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

// askedWith is a form with pairs written into it.
func askedWith(pairs ...string) *fields {
	return &fields{r: httptest.NewRequest(http.MethodGet, "/"+query(pairs...), nil)}
}

// Every form reads lengths with the same bounds and in its own unit.
func TestLengthsAreReadOneWay(t *testing.T) {
	for _, x := range []struct {
		text        string
		length, cut float64 // inches; -1: refused
	}{
		{"2½", 2.5, 2.5}, {"5.08cm", 2, 2}, {"", 0, 0}, {"0", 0, -1}, {"¼", 0.25, -1}, {"120", 120, 120}, {"121", -1, -1},
		{"-2", -1, -1}, {"1e300", -1, -1}, {"NaN", -1, -1}, {"wide", -1, -1},
	} {
		for _, how := range []struct {
			read func(*fields) float64
			want float64
		}{{func(f *fields) float64 { return f.length("is") }, x.length}, {func(f *fields) float64 { return f.cut("is") }, x.cut}} {
			f := askedWith("is", x.text)
			got := how.read(f)
			if how.want < 0 {
				require.ErrorIs(t, f.err, fault.ErrUsage, x.text)
				assert.Equal(t, x.text, fault.Of(f.err).About)
				continue
			}
			require.NoError(t, f.err, x.text)
			assert.InDelta(t, how.want, got, 1e-9, x.text)
		}
	}
	f := askedWith("metric", "1", "wof", "110", "cut", "5", "length", "10in")
	assert.InDelta(t, 110/2.54, f.length("wof"), 1e-9)
	w, l := f.sides("cut", "length")
	assert.InDelta(t, 5/2.54, w, 1e-9)
	assert.InDelta(t, 10, l, 1e-9)
	w, l = askedWith("cut", "6cm", "length", "45cm").sides("cut", "length")
	assert.InDelta(t, 6/2.54, w, 1e-9)
	assert.InDelta(t, 45/2.54, l, 1e-9)
	for _, text := range [][2]string{{"6", "45cm"}, {"6.35cm", "18"}} {
		f := askedWith("cut", text[0], "length", text[1])
		f.sides("cut", "length")
		require.ErrorContains(t, f.err, "inches or centimetres")
	}

	v := stocked(t)
	_, _, at := v.send([]string{"b.jpg"}, spread(t, 9))
	for _, bad := range []string{"0.1", "121", "wide"} {
		for _, form := range [][]string{
			{"/shelf", "cut"}, {"/pieces", "length"}, {"/floor", "cut", "least", "3", "family", "blue"}, {"/fix", "cut", "pieces", "1"},
			{"/use", "cut", "count", "1"}, {batchAt(at) + "/stow", "cut"}, {at + "/say", "cut", "do", "fix", "pieces", "1"},
		} {
			path := form[0]
			pairs := append([]string{form[1], bad}, form[2:]...)
			var code int
			var page string
			if path == "/shelf" || path == "/pieces" {
				code, page, _ = v.get(path + query(pairs...))
			} else {
				code, page, _ = v.post(path, pairs...)
			}
			assert.Equal(t, http.StatusBadRequest, code, path)
			assert.Contains(t, page, bad+": ", path)
		}
	}
	for _, name := range []string{"block", "sashing", "border", "wof", "back-wof", "squaring", "trim"} {
		code, _, _ := v.get("/plan" + query(append(arranged(), name, "500")...))
		assert.Equal(t, http.StatusBadRequest, code, name)
	}
	for _, name := range []string{"wof", "squaring"} {
		code, _, _ := v.get("/buy?" + url.Values{name: {"500"}}.Encode())
		assert.Equal(t, http.StatusBadRequest, code, name)
	}
}
