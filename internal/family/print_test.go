package family

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// dyed makes swatches of hex colours with percent shares, and their mean.
func dyed(t testing.TB, parts ...any) (colours []cloth.Ink, mean colour.Linear) {
	t.Helper()
	total := 0.0
	for i := 0; i < len(parts); i += 2 {
		c, share := parse(t, parts[i].(string)), float64(parts[i+1].(int))/100
		colours = append(colours, cloth.Ink{Colour: c, Share: share})
		for k := range mean {
			mean[k] += share * c[k]
		}
		total += share
	}
	for k := range mean {
		mean[k] /= total
	}
	return colours, mean
}

func TestOfPrint(t *testing.T) {
	const red, blue, green, yellow, white, navy = "#c5202b", "#2a4aa8", "#2b8f3a", "#fde74c", "#ffffff", "#1f2a4d"
	for name, r := range map[string]struct {
		parts []any
		want  cloth.Family
		with  cloth.Family
	}{
		"plain":                       {[]any{red, 100}, cloth.Red, ""},
		"red dots on white":           {[]any{white, 85, red, 15}, cloth.White, ""},
		"white dots on navy":          {[]any{navy, 70, white, 30}, cloth.Blue, cloth.White},
		"navy and white, half each":   {[]any{navy, 50, white, 50}, cloth.Blue, cloth.White},
		"two blues and white":         {[]any{white, 45, blue, 30, navy, 25}, cloth.Blue, cloth.White},
		"a tone between is no second": {[]any{green, 55, "#2a8f70", 45}, cloth.Green, ""},
		"many flowers":                {[]any{red, 25, green, 25, yellow, 25, blue, 25}, cloth.Many, ""},
		"shares are relative":         {[]any{red, 30, white, 10}, cloth.Red, cloth.White},
		"white is most, sky decides":  {[]any{white, 45, "#9cc4e6", 35, navy, 20}, cloth.Blue, cloth.White},
		"rust flowers on dark":        {[]any{"#a8432f", 40, "#35302c", 35, "#8a6a4a", 25}, cloth.Red, cloth.Black},
		"an orange batik is no brown": {[]any{"#d98b2b", 40, "#c06a25", 35, "#8f5a30", 25}, cloth.Orange, cloth.Brown},
		"faded oranges":               {[]any{"#cba563", 53, "#b1733b", 47}, cloth.Orange, ""},
		"but plain cloth as it is":    {[]any{"#bb8d50", 100}, cloth.Brown, ""},
		"three colours, even":         {[]any{"#47ced5", 34, "#eeeeee", 34, "#ec9483", 32}, cloth.Teal, cloth.White},
	} {
		colours, mean := dyed(t, r.parts...)
		got := Uncertainty{}.OfPrint(colours, mean)
		require.Equal(t, r.want, got.Family, name)
		require.Equal(t, r.with, got.With, name)
	}
}

// A gingham is of the colour of its threads, whatever it is: neither of their mixture
// with white, which is most of it, nor of the mean.
func TestGinghamsAreOfTheirThreads(t *testing.T) {
	white := parse(t, "#ece9e4")
	for _, hex := range []string{"#c5202b", "#2b6b3a", "#1f7a7a", "#2a4aa8", "#1f2a4d", "#6a3a86", "#e6488f", "#bf5a20", "#e0b830", "#5a3a24"} {
		thread := parse(t, hex)
		var half, mean colour.Linear
		for k := range half {
			half[k] = (thread[k] + white[k]) / 2
			mean[k] = half[k]
		}
		colours := []cloth.Ink{{Colour: half, Share: 0.51}, {Colour: white, Share: 0.26}, {Colour: thread, Share: 0.23}}
		got := Uncertainty{}.OfPrint(colours, mean)
		require.Equal(t, Of(thread), got.Family, hex)
		require.Equal(t, cloth.White, got.With, hex)
	}
}

func TestTonesOfOneGreyAreGrey(t *testing.T) {
	colours, mean := dyed(t, "#b8b8b8", 50, "#eeeeee", 25, "#404040", 25)
	require.Equal(t, cloth.Grey, Uncertainty{}.OfPrint(colours, mean).Family)
}

func TestOfPrintWithoutColoursIsItsMean(t *testing.T) {
	mean := parse(t, "#c5202b")
	for _, inks := range [][]cloth.Ink{nil, {{Colour: parse(t, "#2a4aa8")}}} {
		got := Uncertainty{}.OfPrint(inks, mean)
		require.Equal(t, cloth.Red, got.Family)
		require.Equal(t, mean.Hex(), got.Colour.Hex())
	}
}

// somePrint draws inks and their mean; none where the shares are all 0.
func somePrint(t *rapid.T) (colours []cloth.Ink, mean colour.Linear) {
	total := 0.0
	v := rapid.Float64Range(0, 1)
	for range rapid.IntRange(1, 6).Draw(t, "colours") {
		s := cloth.Ink{Colour: colour.Linear{v.Draw(t, "r"), v.Draw(t, "g"), v.Draw(t, "b")}, Share: v.Draw(t, "share")}
		colours = append(colours, s)
		total += s.Share
		for k := range mean {
			mean[k] += s.Share * s.Colour[k]
		}
	}
	for k := range mean {
		mean[k] /= max(total, 1e-300)
	}
	return colours, mean
}

// What a print reads as is drawn beside its name, so it goes by that name.
func TestWhatAPrintReadsAsGoesByItsName(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		colours, mean := somePrint(t)
		got := Uncertainty{}.OfPrint(colours, mean)
		require.NotEqual(t, got.Family, got.With)
		require.True(t, got.Colour.InGamut(1e-9))
		if got.Family != cloth.Many {
			require.Equal(t, got.Family, Of(got.Colour))
		}
	})
}

// Navy and white stripes are drawn navy: a pale lavender, as light as both together, is
// in no part of them.
func TestStripesAreDrawnInTheirInk(t *testing.T) {
	const navy = "#1f2a4d"
	colours, mean := dyed(t, "#f2efe8", 52, navy, 48)
	got := Uncertainty{}.OfPrint(colours, mean)
	require.Equal(t, cloth.Blue, got.Family)
	require.Less(t, apart(got.Colour, parse(t, navy)), 0.01)
}

// The name does not hang on the order of the inks.
func TestInksInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		colours, mean := somePrint(t)
		want := Uncertainty{}.OfPrint(colours, mean)
		got := Uncertainty{}.OfPrint(rapid.Permutation(colours).Draw(t, "order"), mean)
		require.Equal(t, want.Family, got.Family)
	})
}

// Two cuts of one plaid, one with more of its blue and one with more of its pink, go
// by one name, and a piece that says it hardly keeps its own.
func TestPiecesOfOnePrintAgree(t *testing.T) {
	read := func(parts ...any) *Reading {
		colours, mean := dyed(t, parts...)
		r := Uncertainty{}.OfPrint(colours, mean)
		return &r
	}
	more := read("#c8507e", 39, "#3b62b0", 34, "#ece9e4", 27)
	less := read("#c8507e", 32, "#3b62b0", 39, "#ece9e4", 29)
	green := read("#2b8f3a", 100)
	require.NotEqual(t, more.Family, less.Family)
	Agree([]*Reading{more, less, green}, []float64{400, 100, 100})
	require.Equal(t, cloth.Pink, more.Family)
	require.Equal(t, cloth.Pink, less.Family)
	require.Equal(t, cloth.Blue, less.Or)
	require.Equal(t, more.Trust, less.Trust, "they are as sure as each other")
	require.Equal(t, cloth.Pink, Of(less.Colour), "what is drawn goes with the name")
	require.Equal(t, cloth.Green, green.Family)
}

// A piece is as loud as the side of its area: eight small ones outvote one that is twice
// as large as all of them.
func TestManySmallPiecesOutvoteALargeOne(t *testing.T) {
	read := func(parts ...any) *Reading {
		colours, mean := dyed(t, parts...)
		r := Uncertainty{}.OfPrint(colours, mean)
		return &r
	}
	pieces, areas := []*Reading{read("#c8507e", 36, "#3b62b0", 37, "#ece9e4", 27)}, []float64{16}
	for range 8 {
		pieces, areas = append(pieces, read("#c8507e", 34, "#3b62b0", 39, "#ece9e4", 27)), append(areas, 1)
	}
	require.Equal(t, cloth.Pink, pieces[0].Family)
	Agree(pieces, areas)
	for _, r := range pieces {
		require.Equal(t, cloth.Blue, r.Family)
	}
}

func TestManyIsSaidByMost(t *testing.T) {
	flowers, mean := dyed(t, "#c5202b", 25, "#2b8f3a", 25, "#fde74c", 25, "#2a4aa8", 25)
	many, other := Uncertainty{}.OfPrint(flowers, mean), Uncertainty{}.OfPrint(flowers, mean)
	some, someMean := dyed(t, "#c5202b", 36, "#2b8f3a", 24, "#fde74c", 20, "#2a4aa8", 20)
	one := Uncertainty{}.OfPrint(some, someMean)
	red := Uncertainty{}.OfPrint(nil, parse(t, "#c5202b"))
	require.Equal(t, cloth.Red, one.Family)
	Agree([]*Reading{&many, &other, &one, &red}, []float64{1, 1, 0.8, 0.1})
	for _, r := range []Reading{many, other, one} {
		require.Equal(t, cloth.Many, r.Family)
	}
	require.Equal(t, someMean.Hex(), one.Colour.Hex())
	require.Equal(t, cloth.Red, red.Family)
}
