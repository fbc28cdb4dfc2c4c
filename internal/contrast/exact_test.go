package contrast

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/recipe"
	"piecebag/internal/testtable"
)

// As many pieces are swapped as are short, or as are over and no patch of any value takes; those
// nearest to the tone that is short go first.
func TestAsManyAreSwappedAsCanBe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pull, w := drawnPull(t)
		b := Weigh(pull, w)
		require.Equal(t, w.Any, b.Any)
		short, over, held := 0, -w.Any, 0
		for _, r := range b.Rows {
			short += max(0, r.Wanted-r.Held)
			over += max(0, r.Held-r.Wanted)
			held += r.Held
		}
		require.Equal(t, b.Total, held)
		swapped := 0
		taken := map[int]int{}
		for _, s := range b.Swaps {
			swapped += s.Pieces
			taken[s.Print] += s.Pieces
			require.NotEqual(t, s.From, s.To)
		}
		require.Equal(t, max(0, min(short, over)), swapped)
	})
	pull := []Print{pieces(t, "N 8.8/", 2), pieces(t, "N 6.9/", 2), pieces(t, "N 7.6/", 2)}
	got := Weigh(pull, Wanted{Medium: 3, Dark: 2}).Swaps
	require.Equal(t, []Swap{{Print: 1, Pieces: 2, From: recipe.LightTone, To: recipe.MediumTone, StandIn: true}, {Print: 2, Pieces: 1, From: recipe.LightTone, To: recipe.MediumTone, StandIn: true}, {Print: 2, Pieces: 1, From: recipe.LightTone, To: recipe.DarkTone}, {Print: 0, Pieces: 1, From: recipe.LightTone, To: recipe.DarkTone}}, got)
}

func TestSpreadIsOfTheSharesThereAre(t *testing.T) {
	at := func(v, share float64) cloth.Ink {
		return cloth.Ink{Colour: colour.Munsell{Value: v}.Linear(), Share: share}
	}
	for _, c := range []struct {
		inks []cloth.Ink
		want float64
	}{
		{nil, 0}, {[]cloth.Ink{at(5, 0)}, 0}, {[]cloth.Ink{at(5, 1)}, 0}, {[]cloth.Ink{at(8, 0.2), at(4, 0.2)}, 2}, {[]cloth.Ink{at(8, 3), at(4, 1)}, math.Sqrt(3)}, {[]cloth.Ink{at(2, 0.1), at(5, 0.1), at(8, 0.1)}, math.Sqrt(6)},
	} {
		require.InDelta(t, c.want, Print{Inks: c.inks}.Spread(), 1e-3)
	}
	half := Print{Inks: []cloth.Ink{at(8, 0.3), at(2, 0.1)}, Colour: colour.Munsell{Value: 6}.Linear()}
	require.InDelta(t, 0.25, Against(Print{Colour: colour.Munsell{Value: 2.5}.Linear()}, half).Sunk, 1e-9)
	require.InDelta(t, 0.75, Against(Print{Colour: colour.Munsell{Value: 8.9}.Linear()}, half).Sunk, 1e-9)
	require.Zero(t, Against(Print{Colour: colour.Munsell{Value: 5}.Linear()}, half).Sunk)
	// A tenth that is lost makes a mixed print count for a band less, the lowest stays.
	lost := func(share float64) Verdict {
		p := Print{Inks: []cloth.Ink{at(9, share), at(3, 1-share)}, Colour: colour.Munsell{Value: 4}.Linear()}
		return Against(Print{Colour: colour.Munsell{Value: 9}.Linear()}, p)
	}
	require.Equal(t, []Band{Clear, Soft}, []Band{lost(0.09).Counts, lost(0.11).Counts})
	sunk := Against(Print{Colour: colour.Munsell{Value: 9}.Linear()}, Print{Inks: []cloth.Ink{at(9, 0.8), at(3, 0.2)}, Colour: colour.Munsell{Value: 8.5}.Linear()})
	require.Equal(t, []Band{Sinks, Sinks}, []Band{sunk.Band, sunk.Counts})
	for area, want := range map[float64][2]bool{179.9: {true, false}, 180: {false, true}, 180.1: {false, true}} {
		p := Print{Cloth: []Cloth{{WidthIn: area, LengthIn: 0.5, Count: 2}}}
		require.Equal(t, want, [2]bool{p.Small(), p.Large()}, "%v", area)
	}
	require.Equal(t, [2]bool{}, [2]bool{Print{Cloth: []Cloth{{WidthIn: 5, Count: 1}}}.Small(), Print{Cloth: []Cloth{{LengthIn: 5, Count: 1}}}.Large()})
	white := colour.Linear{1.4, 1, 2}
	require.Equal(t, []float64{1, 10}, []float64{Print{Colour: white}.Luminance(), Print{Colour: white}.MunsellValue()}, "no lighter than white")
	require.Zero(t, Print{Colour: colour.Linear{-0.2, -0.1, 0}}.Luminance())
}

// Of backgrounds on which as many stand clear a calm one goes before a mixed one, though its least
// gap is smaller; of calm ones that with the widest.
func TestACalmBackgroundGoesFirst(t *testing.T) {
	pull := []Print{plain(t, "N 2/")}
	calm, mixed, wide := plain(t, "N 7/"), plain(t, "N 9/"), plain(t, "N 8/")
	mixed.Inks = []cloth.Ink{{Colour: plain(t, "N 10/").Colour, Share: 0.5}, {Colour: plain(t, "N 7/").Colour, Share: 0.5}}
	var order []int
	for _, c := range Rank([]Print{mixed, calm, wide}, pull) {
		order = append(order, c.Background)
	}
	require.Equal(t, []int{2, 1, 0}, order)
	require.Equal(t, [2]bool{false, false}, [2]bool{Print{Cloth: []Cloth{{Count: 1}, {WidthIn: 0.5, LengthIn: 0.5, Count: 1}}}.Small(), Print{Cloth: []Cloth{{WidthIn: 0, LengthIn: 5, Count: 1}}}.Small()}, "of unknown size")
	require.True(t, Print{Cloth: []Cloth{{WidthIn: 0.5, LengthIn: 0.5, Count: 1}}}.Small())
}

// Every print against every other, ranked as a background and weighed, as it was kept.
func TestVerdictsAreAsKept(t *testing.T) {
	var prints []Print
	for i, text := range []string{"N 9.5/", "N 8/", "N 6.5/", "N 5/", "N 3/", "5R 4/12", "5Y 8/10", "5B 3/6"} {
		p := pieces(t, text, 1+i)
		if i%3 == 2 {
			q := plain(t, []string{"N 9/", "N 2/"}[i%2])
			p.Inks = []cloth.Ink{{Colour: p.Colour, Share: 0.7}, {Colour: q.Colour, Share: 0.3}}
		}
		prints = append(prints, p)
	}
	var lines []string
	for _, b := range prints {
		for _, p := range prints {
			v := Against(b, p)
			lines = append(lines, fmt.Sprintf("%s on %s: gap %.3f steps %.3f ΔE %.3f ratio %.3f %s, spread %.3f mixed %v counts %s sunk %.3f", p.Name, b.Name, v.Gap, v.Steps, v.DeltaE, v.Ratio, v.Band, v.Spread, v.Mixed, v.Counts, v.Sunk))
		}
	}
	for _, c := range Rank(prints, prints) {
		lines = append(lines, fmt.Sprintf("%s: %d sink, %d soft, %d clear, least %.3f, spread %.3f", prints[c.Background].Name, c.Sinking, c.Soft, c.Clear, c.Least, c.Spread))
	}
	for _, w := range []Wanted{{10, 10, 10, 0}, {0, 20, 5, 3}, {30, 0, 0, 0}} {
		lines = append(lines, fmt.Sprintf("%+v", Weigh(prints, w)))
	}
	testtable.Kept(t, "verdicts", lines, 1e-6)
}
