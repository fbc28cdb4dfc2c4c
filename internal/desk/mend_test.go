package desk

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/stash"
)

func box(x, y, w, h float64) geom.Polygon {
	return geom.Polygon{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// Three squares in a row; the first two are halves of one print.
func mendable() cloth.Sheet {
	s := cloth.Sheet{Width: 400, Height: 200, Kind: cloth.Pile}
	for i, g := range []geom.Polygon{box(10, 10, 50, 100), box(62, 10, 50, 100), box(200, 10, 100, 100)} {
		print := []string{"a", "a", "b"}[i]
		s.Pieces = append(s.Pieces, cloth.Piece{ID: i + 1, Polygon: g, Print: print, Family: cloth.Blue, With: cloth.White, Value: cloth.Dark, WidthIn: 2, LengthIn: 2, Trust: 0.5})
	}
	return s
}

func TestHalvesMayBeJoined(t *testing.T) {
	s := mendable()
	require.Equal(t, []int{2}, MayJoin(s, s.Pieces[0]))
	require.Empty(t, MayJoin(s, s.Pieces[2]), "nothing beside it is of its print")
	wide, up := s.Pieces[0].Polygon[1].X-s.Pieces[0].Polygon[0].X, s.Pieces[0].Polygon[0]
	for share, whole := range map[float64]bool{0.015: true, 0.025: false, 0.5: false, 0.975: false, 0.985: true} {
		var m Mend
		err := m.Split(s, 0, geom.Point{X: up.X + share*wide, Y: 0}, geom.Point{X: up.X + share*wide, Y: 150})
		require.Equal(t, whole, err != nil, "%v of the piece on one side", share)
	}
	far := mendable()
	far.Pieces[1].Polygon = box(160, 10, 50, 100)
	require.Empty(t, MayJoin(far, far.Pieces[0]), "they lie apart")
	between := mendable()
	between.Pieces[2].Polygon = box(58, 40, 6, 20)
	require.Empty(t, MayJoin(between, between.Pieces[0]), "another lies between")
}

// A square that you say is cut to another width is a square still.
func TestACutKeepsItsForm(t *testing.T) {
	for was, want := range map[string]string{"3½ square": "2½ square", "3½ strip": "2½ strip", "3½ × 5 rectangle": "2½ × 5 rectangle", "3½ × 3 rectangle": "2½ × 3 rectangle", "3½ half-square triangle": "2½", "": "2½"} {
		s := cloth.Sheet{Pieces: []cloth.Piece{{Polygon: box(0, 0, 50, 50), WidthIn: 3.5, LengthIn: map[string]float64{"3½ square": 3.5, "3½ strip": 20, "3½ × 5 rectangle": 5, "3½ × 3 rectangle": 3}[was], Cut: was}}}
		var m Mend
		m.Say(stash.Correction{WidthIn: 2.5}, false, s.Pieces[0].Polygon)
		shown, _ := m.Apply(s)
		require.Equal(t, want, shown.Pieces[0].Cut, was)
	}
}

func TestAMendedLook(t *testing.T) {
	s := mendable()
	var m Mend
	require.Nil(t, m.Options().Pieces, "what is not drawn is found")
	m.Say(stash.Correction{Family: cloth.Teal, WidthIn: 3}, false, s.Pieces[2].Polygon)
	m.Say(stash.Correction{NotAPiece: true}, false, s.Pieces[1].Polygon)
	shown, none := m.Apply(s)
	require.Len(t, shown.Pieces, 2)
	require.Len(t, none, 1)
	last := shown.Pieces[1]
	require.Equal(t, []any{cloth.Teal, cloth.Family(""), 3.0, 3.0, "3"}, []any{last.Family, last.With, last.WidthIn, last.LengthIn, last.Cut})
	require.Len(t, m.Stow(), 2)

	require.NoError(t, m.Split(shown, 1, geom.Point{X: 250, Y: 0}, geom.Point{X: 250, Y: 150}))
	require.Equal(t, cloth.Pile, m.Options().Kind, "a photo that is drawn on stays what it was found to be")
	require.Len(t, m.Drawn, 3)
	for _, g := range m.Drawn[1:] {
		require.InDelta(t, 5000, g.Area(), 1)
	}
	require.Len(t, m.Stow(), 5, "two halves of your own, the name of each, and what is no cloth")
	for _, g := range m.Drawn[1:] {
		said := m.Said[m.of(g)]
		require.Equal(t, stash.Correction{Family: cloth.Teal}, said.Correction, "a half is of the cloth, and not of the cut of the whole")
		require.Equal(t, g, said.Outline)
	}

	require.NoError(t, m.Reshape(shown, 0, box(5, 5, 60, 110)))
	m.Say(stash.Correction{Value: cloth.Light}, false, m.Drawn[0])
	require.NoError(t, m.Reshape(cloth.Sheet{Width: 400, Height: 200, Pieces: []cloth.Piece{{ID: 1, Polygon: m.Drawn[0]}}}, 0, box(5, 5, 20, 20)))
	require.Equal(t, box(5, 5, 20, 20), m.Said[len(m.Said)-1].Outline, "what was said goes with the piece")

	clone := m.Clone()
	clone.Drawn[0], clone.Said[0].Family = nil, cloth.Red
	require.NotNil(t, m.Drawn[0])
	require.NotEqual(t, cloth.Red, m.Said[0].Family)

	point := Mend{Drawn: []geom.Polygon{{{X: 20, Y: 20}}}}
	point.Settle(s)
	require.Equal(t, s.Pieces[0].Polygon, point.Drawn[0], "a place becomes what was found there")
}

// What was said of the cloth of parts is said of the piece that they are joined to.
func TestWhatWasSaidOfPartsIsSaidOfTheWhole(t *testing.T) {
	s := mendable()
	var m Mend
	mine := "stripes"
	one, two := s.Pieces[0].Polygon, s.Pieces[1].Polygon
	m.Say(stash.Correction{Value: cloth.Light, WidthIn: 3}, true, one)
	m.Say(stash.Correction{Family: cloth.Purple, Value: cloth.Medium, Print: &mine}, false, two)
	was := m.Clone()
	require.NoError(t, m.Merge(s, []int{1, 0}))
	require.Equal(t, []string{"light", "cut 3"}, m.Forgot(*was))
	require.Equal(t, []SaidOfLook{{Said: stash.Said{Outline: m.Drawn[0], Correction: stash.Correction{Family: cloth.Purple, Value: cloth.Medium, Print: &mine}}}}, m.Said)

	var silent Mend
	require.NoError(t, silent.Merge(s, []int{0, 1}))
	require.Empty(t, silent.Said)
}

// What cannot be drawn, split or joined is refused, and nothing of it is said.
func TestWhatCannotBeMended(t *testing.T) {
	s := mendable()
	var m Mend
	for _, line := range [][2]geom.Point{{{X: 1, Y: 1}, {X: 2, Y: 1}}, {{X: 9, Y: 0}, {X: 9, Y: 150}}, {{X: 60, Y: 0}, {X: 60, Y: 150}}, {{X: 5, Y: 5}, {X: 5, Y: 5}}} {
		require.Error(t, m.Split(s, 0, line[0], line[1]), "%v leaves one side empty", line)
	}
	far := mendable()
	far.Pieces[2].Polygon = box(340, 10, 50, 100)
	require.ErrorContains(t, m.Merge(far, []int{0, 2}), "lie apart")
	require.ErrorContains(t, m.Merge(s, []int{0}), "cannot be merged")
	between := mendable()
	between.Pieces[2].Polygon = box(40, 10, 40, 100)
	require.ErrorContains(t, m.Merge(between, []int{0, 1}), fmt.Sprintf("lie over piece %d", between.Pieces[2].ID))
	require.ErrorContains(t, m.Draw(s, geom.Polygon{{X: 401, Y: 1}}), "outside the photo")
	require.ErrorContains(t, m.Reshape(s, 0, box(0, 0, 5, 5)[:2]), "2 corners")
	require.ErrorContains(t, m.Draw(s, geom.Polygon{{X: 10, Y: 10}, {X: 90, Y: 90}, {X: 90, Y: 10}, {X: 10, Y: 90}}), "crosses itself")
	for _, g := range []geom.Polygon{{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}}, box(5, 5, 9.9, 10), {{X: 5, Y: 5}, {X: 300, Y: 5}}} {
		require.ErrorContains(t, m.Draw(s, g), "encloses next to nothing")
	}
	require.ErrorContains(t, m.Reshape(s, 0, box(5, 5, 9, 10)), "encloses next to nothing")
	require.Zero(t, m)
	require.NoError(t, (&Mend{}).Draw(s, box(5, 5, 10, 10)))

	require.NoError(t, m.Merge(s, []int{0, 1}))
	require.Len(t, m.Drawn, 2)
	require.InDelta(t, 102*100, m.Drawn[0].Area(), 1)
}

// What is said to be no cloth can be had back, also after something else was drawn; and
// what is drawn where no cloth was is cloth.
func TestNoCloth(t *testing.T) {
	s := mendable()
	none := func(m Mend, s cloth.Sheet) (out []geom.Polygon) {
		_, all := m.Apply(s)
		for _, p := range all {
			out = append(out, p.Polygon)
		}
		return out
	}
	var m Mend
	card, hand := s.Pieces[1].Polygon, s.Pieces[2].Polygon
	m.Say(stash.Correction{NotAPiece: true}, false, card, hand)
	shown, _ := m.Apply(s)
	require.NoError(t, m.Draw(shown, box(310, 10, 50, 50)))
	drawn := cloth.Sheet{Width: 400, Height: 200, Pieces: []cloth.Piece{{ID: 1, Polygon: m.Drawn[0]}, {ID: 2, Polygon: m.Drawn[1]}}}
	require.Equal(t, []geom.Polygon{card, hand}, none(m, drawn))
	_, all := m.Apply(drawn)
	require.Equal(t, []int{3, 4}, []int{all[0].ID, all[1].ID}, "a number of its own")
	require.Len(t, m.Options().Pieces, 2, "no cloth is not looked at")

	require.True(t, m.Restore(drawn, card))
	require.True(t, m.Restore(drawn, hand))
	require.Equal(t, []geom.Polygon{s.Pieces[0].Polygon, box(310, 10, 50, 50), card, hand}, m.Options().Pieces)
	require.Empty(t, m.Said)

	found := Mend{}
	found.Say(stash.Correction{NotAPiece: true}, false, card)
	require.False(t, found.Restore(s, card), "what is found needs no other look")
	require.Zero(t, found.Options())
	found.Say(stash.Correction{NotAPiece: true}, false, box(330, 150, 50, 40))
	require.True(t, found.Restore(s, box(330, 150, 50, 40)), "what another look no longer finds")
	require.Len(t, found.Options().Pieces, 4)

	for _, g := range []geom.Polygon{box(200, 10, 100, 95), {{X: 250, Y: 50}}} {
		again := Mend{}
		again.Say(stash.Correction{NotAPiece: true}, false, hand)
		shown, _ := again.Apply(s)
		require.NoError(t, again.Draw(shown, g))
		again.Settle(s)
		require.Empty(t, again.Said, "drawn where no cloth was")
	}
}
