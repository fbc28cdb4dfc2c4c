package report

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

func TestJSONGolden(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, JSON(&b, someLook()))
	require.Equal(t, 1, bytes.Count(b.Bytes(), []byte("\n")), "one line")
	require.True(t, bytes.HasPrefix(b.Bytes(), []byte(JSONMark)), "known by its mark")
	golden(t, "look.json", b.Bytes())
}

func TestJSONIsTheSameEveryTime(t *testing.T) {
	var first bytes.Buffer
	require.NoError(t, JSON(&first, someLook()))
	for range 5 {
		var again bytes.Buffer
		require.NoError(t, JSON(&again, someLook()))
		require.Equal(t, first.String(), again.String())
	}
}

// The keys are those of the contract and no others.
func TestJSONKeys(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, JSON(&b, someLook()))
	var v map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &v))
	keys := func(v any) []string { return slices.Sorted(maps.Keys(v.(map[string]any))) }
	require.Equal(t, []string{"look_first", "photos", "reader", "refused", "shelf", "version"}, keys(v))
	require.Equal(t, []string{"doubted", "id", "photo", "trust"}, keys(v["look_first"].([]any)[0]))
	photo := v["photos"].([]any)[0]
	require.Equal(t, []string{"point", "polygon", "trust"}, keys(photo.(map[string]any)["left_out"].([]any)[0]))
	require.Equal(t, []string{"file", "height", "kind", "left_out", "light", "notes", "pieces", "scale", "width"}, keys(photo))
	require.Equal(t, []string{"from", "trust", "white"}, keys(photo.(map[string]any)["light"]))
	require.Equal(t, []string{"from", "px_per_inch", "trust"}, keys(photo.(map[string]any)["scale"]))
	pieces := photo.(map[string]any)["pieces"].([]any)
	full := []string{
		"colours", "corners", "cut", "family", "id", "length_in", "lightness", "mean", "munsell", "notes",
		"polygon", "print", "reads_as", "trust", "value", "width_in",
	}
	require.Equal(t, full, keys(pieces[0]))
	require.Equal(t, []string{"hex", "share"}, keys(pieces[0].(map[string]any)["colours"].([]any)[0]))
	require.Equal(t, []string{
		"colours", "family", "id", "lightness", "mean", "munsell", "notes", "polygon", "reads_as", "trust", "value",
	}, keys(pieces[6]), "a triangle of unknown cut and print")
	require.Equal(t, []string{"bins", "thin"}, keys(v["shelf"]))
}

// A key with no answer is absent, never zero; lists are empty, never null.
func TestJSONOfNothing(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, JSON(&b, bareLook()))
	require.Equal(t, `{"version":1,"photos":[{"file":"bare.jpg","width":400,"height":300,"kind":"spread","pieces":[],"notes":[]}],"shelf":{"bins":[],"thin":[]},"refused":[]}`+"\n", b.String())
	b.Reset()
	require.NoError(t, JSON(&b, NewLook(nil, nil, shelf.Options{})))
	require.Equal(t, `{"version":1,"photos":[],"shelf":{"bins":[],"thin":[]},"refused":[]}`+"\n", b.String())
}

// How sure a size is, and the scale that comes next, are answers like others: there
// where they are known.
func TestJSONSizes(t *testing.T) {
	p := measured(1, geom.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 9}}, cloth.Red, hex(200, 30, 30))
	p.WidthIn, p.LengthIn, p.SizeTrust = 2.5, 2.5, 0.876
	sheet := cloth.Sheet{File: "a.jpg", Pieces: []cloth.Piece{p}, Scale: cloth.ScaleReading{PxPerInch: 59.004, From: "widths", Trust: 0.88, Or: 41.236}}
	var b bytes.Buffer
	require.NoError(t, JSON(&b, NewLook([]cloth.Sheet{sheet}, nil, shelf.Options{})))
	require.Contains(t, b.String(), `"scale":{"px_per_inch":59,"from":"widths","trust":0.88,"px_per_inch_or":41.24}`)
	require.Contains(t, b.String(), `"size_trust":0.88`)
	require.Equal(t, "59.0 pixels an inch, from the widths of the pieces themselves (fairly sure, 88%; else 41.2)", scaleWords(sheet.Scale))
	require.Equal(t, "28.0 pixels an inch, from the lines of the mat in the photo (sure, 90%)", scaleWords(cloth.ScaleReading{PxPerInch: 28, From: "mat", Trust: 0.9}))
}

func TestJSONRounds(t *testing.T) {
	p := measured(1, geom.Polygon{{X: -0.04, Y: 1.26}, {X: 10.949, Y: 0}, {X: 3, Y: 7}}, cloth.Red, hex(200, 30, 30))
	p.Corners = nil
	p.Trust = 2.0 / 3
	var b bytes.Buffer
	require.NoError(t, JSON(&b, NewLook([]cloth.Sheet{{File: "a.jpg", Pieces: []cloth.Piece{p}}}, nil, shelf.Options{})))
	require.Contains(t, b.String(), `"polygon":[[0,1.3],[10.9,0],[3,7]]`)
	require.Contains(t, b.String(), `"trust":0.67`)
}

func TestJSONRefusesWhatIsNoNumber(t *testing.T) {
	p := measured(1, geom.Polygon{{X: math.NaN(), Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}}, cloth.Red, hex(200, 30, 30))
	var b bytes.Buffer
	require.Error(t, JSON(&b, NewLook([]cloth.Sheet{{Pieces: []cloth.Piece{p}}}, nil, shelf.Options{})))
	require.Empty(t, b.String())
}

func TestNameJSON(t *testing.T) {
	c := hex(0x7a, 0x9b, 0xb5)
	var b bytes.Buffer
	require.NoError(t, AnswerJSON(&b, NamesJSON([]desk.Named{
		{Colour: c, Munsell: "1.9PB 6.2/4.6", Family: cloth.Blue, Value: cloth.Medium, Lightness: 62.345},
		{Family: cloth.Black, Value: cloth.Dark},
	}, nil)))
	require.Equal(t, `{"colours":[{"hex":"#7a9bb5","munsell":"1.9PB 6.2/4.6","family":"blue","value":"medium","lightness":62.3},`+
		`{"hex":"#000000","family":"black","value":"dark","lightness":0}]}`+"\n", b.String())
	b.Reset()
	require.NoError(t, AnswerJSON(&b, NamesJSON(nil, []*fault.Error{fault.New("puce", "it is not known", "write it as hex")})))
	require.Equal(t, `{"colours":[],"refused":[{"colour":"puce","error":"it is not known; write it as hex"}]}`+"\n", b.String())
}
