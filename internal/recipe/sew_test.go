package recipe

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// checkSewn holds a piece to what sewing asks: every seam joins two pieces along a whole
// side of both, and every unit is used once. used counts the units.
func checkSewn(t require.TestingT, b Block, s Sewn, used []int) {
	at := fmt.Sprintf("%s %d,%d %d×%d", b.Name, s.Column, s.Row, s.Wide, s.High)
	if s.Unit >= 0 {
		used[s.Unit]++
		u := b.Units[s.Unit]
		w, h := u.Covers()
		require.Equal(t, [4]int{u.Column, u.Row, w, h}, [4]int{s.Column, s.Row, s.Wide, s.High}, at)
		require.Empty(t, s.Of, at)
		return
	}
	require.GreaterOrEqual(t, len(s.Of), 2, at)
	area := 0
	for _, p := range s.Of {
		area += p.Wide * p.High
		checkSewn(t, b, p, used)
	}
	require.Equal(t, s.Wide*s.High, area, at)
	if s.Partial {
		require.Len(t, s.Of, 5, at)
		top, right, bottom, left, middle := s.Of[0], s.Of[1], s.Of[2], s.Of[3], s.Of[4]
		require.Equal(t, [2]int{middle.Row, middle.Column + middle.Wide}, [2]int{top.Row + top.High, right.Column}, at)
		require.Equal(t, [2]int{middle.Row + middle.High, middle.Column}, [2]int{bottom.Row, left.Column + left.Wide}, at)
		require.Equal(t, top.High == s.High-right.High, right.Row > s.Row, "each arm ends at the side of the next: %s", at)
		return
	}
	require.Len(t, s.Press, len(s.Of)-1, at)
	x, y := s.Column, s.Row
	for _, p := range s.Of {
		require.Equal(t, [2]int{x, y}, [2]int{p.Column, p.Row}, at)
		if s.Down {
			require.Equal(t, s.Wide, p.Wide, at)
			y += p.High
		} else {
			require.Equal(t, s.High, p.High, at)
			x += p.Wide
		}
	}
}

func sewn(t *testing.T, name string) (Block, Sewn) {
	t.Helper()
	r, err := BuiltIn(name)
	require.NoError(t, err)
	s, ok := r.Blocks[0].Sewing()
	require.True(t, ok, name)
	return r.Blocks[0], s
}

// Every block that is built in is sewn without set-in seams.
func TestEveryBlockHasAnOrder(t *testing.T) {
	for _, name := range Names() {
		r, err := BuiltIn(name)
		require.NoError(t, err)
		for _, b := range r.Blocks {
			s, ok := b.Sewing()
			require.True(t, ok, "%s: %s", name, b.Name)
			used := make([]int, len(b.Units))
			checkSewn(t, b, s, used)
			for i, n := range used {
				require.Equal(t, 1, n, "%s: %s: unit %d", name, b.Name, i)
			}
			requireNested(t, s)
		}
	}
}

// shapeOf writes how pieces are joined: rows in brackets, columns in braces.
func shapeOf(s Sewn) string {
	if s.Unit >= 0 {
		return "."
	}
	open, shut := "(", ")"
	switch {
	case s.Partial:
		open, shut = "<", ">"
	case s.Down:
		open, shut = "[", "]"
	}
	out := open
	for _, p := range s.Of {
		out += shapeOf(p)
	}
	return out + shut
}

// A sawtooth star is sewn in three rows: corner, goose, corner; goose, middle, goose;
// corner, goose, corner (tennesseequilter.blogspot.com, 22 Feb 2012), an Ohio star in
// three rows of three. Seams are pressed to the plain corners and the plain
// middle, so that they nest.
func TestRowsAsPeopleSewThem(t *testing.T) {
	_, star := sewn(t, "sawtooth-star")
	require.Equal(t, "[(...)(...)(...)]", shapeOf(star))
	require.Equal(t, []Press{Before, After}, star.Of[0].Press, "to the corners")
	require.Equal(t, []Press{After, Before}, star.Of[1].Press, "to the middle")
	require.Equal(t, star.Of[0].Press, star.Of[2].Press)
	for _, name := range []string{"ohio-star"} {
		_, s := sewn(t, name)
		require.Equal(t, "[(...)(...)(...)]", shapeOf(s), name)
		for i := range 2 {
			require.Equal(t, s.Of[0].Press[i], -s.Of[1].Press[i], "%s: rows nest", name)
			require.Equal(t, s.Of[1].Press[i], -s.Of[2].Press[i], "%s: rows nest", name)
		}
	}
	_, s := sewn(t, "pinwheel")
	require.Equal(t, "[(..)(..)]", shapeOf(s))
	require.Equal(t, []Press{Open}, s.Press, "eight patches meet in the middle")
	require.NotEqual(t, Open, s.Of[0].Press[0], "they meet at its end")
	_, s = sewn(t, "log-cabin")
	require.Equal(t, ".", shapeOf(s))
}

// A seam between two pieces is pressed toward the one with fewer seams at it.
func TestTowardFewerSeams(t *testing.T) {
	s, ok := tiled(Unit{Wide: 1, High: 3}, Unit{Row: 3, Wide: 1, High: 3}, Unit{Column: 1, Wide: 1, High: 2}, Unit{Column: 1, Row: 2, Wide: 1, High: 2}, Unit{Column: 1, Row: 4, Wide: 1, High: 2}).Sewing()
	require.True(t, ok)
	require.Equal(t, "([..][...])", shapeOf(s))
	require.Equal(t, []Press{Before}, s.Press)
	s, ok = tiled(Unit{Column: 1, Wide: 1, High: 3}, Unit{Column: 1, Row: 3, Wide: 1, High: 3}, Unit{Wide: 1, High: 2}, Unit{Row: 2, Wide: 1, High: 2}, Unit{Row: 4, Wide: 1, High: 2}).Sewing()
	require.True(t, ok)
	require.Equal(t, []Press{After}, s.Press)
}

// Quarter-square triangles are cut by fours from one square (grannymaudsgirl.wordpress.com, 2018).
func TestABatchSaysWhatASetIsCutFrom(t *testing.T) {
	light, dark := Role{Name: "light"}, Role{Name: "dark"}
	b := Block{WidthIn: 4, Columns: 1, Rows: 1, Units: []Unit{{Make: QuarterSquare, Wide: 1, High: 1, Roles: []Role{light, dark, light, dark}}}}
	all := b.Batches(Inches())
	require.Len(t, all, 1)
	require.True(t, all[0].Loose)
	require.Equal(t, []Lot{{Role: light, WidthIn: 5.25, LengthIn: 5.25, Count: 1, Split: Twice}, {Role: dark, WidthIn: 5.25, LengthIn: 5.25, Count: 1, Split: Twice}}, all[0].Cut)
}

// Units alike are one batch, of whatever set they are.
func TestABatchIsOfAllSets(t *testing.T) {
	var plain [][]int
	for _, m := range matchedQuilts(t)["parts"].Blocks[0].Batches(Inches()) {
		if m.Unit.Make == Plain {
			plain = append(plain, m.At)
		}
	}
	require.Len(t, plain, 1)
	require.Len(t, plain[0], 5, "two of each part, and one besides")
}

func tiled(units ...Unit) Block {
	b := Block{Name: "tiles", WidthIn: 12}
	for _, u := range units {
		u.Make, u.Roles = Plain, []Role{{Name: "any"}}
		b.Units = append(b.Units, u)
		b.Columns, b.Rows = max(b.Columns, u.Column+u.Wide), max(b.Rows, u.Row+u.High)
	}
	return b
}

func TestPartialSeams(t *testing.T) {
	spiral := tiled(Unit{Column: 0, Row: 0, Wide: 2, High: 1}, Unit{Column: 2, Row: 0, Wide: 1, High: 2}, Unit{Column: 1, Row: 2, Wide: 2, High: 1}, Unit{Column: 0, Row: 1, Wide: 1, High: 2}, Unit{Column: 1, Row: 1, Wide: 1, High: 1})
	s, ok := spiral.Sewing()
	require.True(t, ok)
	require.Equal(t, "<.....>", shapeOf(s))
	require.Equal(t, []int{0, 1, 2, 3, 4}, []int{s.Of[0].Unit, s.Of[1].Unit, s.Of[2].Unit, s.Of[3].Unit, s.Of[4].Unit})
	other := tiled(Unit{Column: 1, Row: 0, Wide: 2, High: 1}, Unit{Column: 2, Row: 1, Wide: 1, High: 2}, Unit{Column: 0, Row: 2, Wide: 2, High: 1}, Unit{Column: 0, Row: 0, Wide: 1, High: 2}, Unit{Column: 1, Row: 1, Wide: 1, High: 1})
	s, ok = other.Sewing()
	require.True(t, ok)
	checkSewn(t, other, s, make([]int, 5))
	// Two spirals that share an arm have seams that must be set in.
	knot := tiled(Unit{Column: 0, Row: 0, Wide: 1, High: 2}, Unit{Column: 1, Row: 0, Wide: 2, High: 1}, Unit{Column: 1, Row: 1, Wide: 1, High: 1}, Unit{Column: 2, Row: 1, Wide: 1, High: 3},
		Unit{Column: 0, Row: 2, Wide: 2, High: 1}, Unit{Column: 3, Row: 0, Wide: 1, High: 3}, Unit{Column: 3, Row: 3, Wide: 1, High: 1}, Unit{Column: 0, Row: 3, Wide: 2, High: 1})
	if s, ok = knot.Sewing(); ok {
		checkSewn(t, knot, s, make([]int, len(knot.Units)))
	}
}

// Four pieces round a middle are pressed as others that they are like, turned with them.
func TestAPartialSeamIsPressedAsItsLike(t *testing.T) {
	one := []Unit{{Wide: 4, High: 2}, {Column: 4, Wide: 2, High: 4}, {Column: 2, Row: 4, Wide: 4, High: 2}, {Row: 2, Wide: 1, High: 4}, {Column: 1, Row: 2, Wide: 1, High: 4}, {Column: 2, Row: 2, Wide: 2, High: 2}}
	all := slices.Clone(one)
	for _, u := range one {
		u = u.turned(1, 6, 6).moved(6, 0)
		u.Wide, u.High, u.Turn = u.High, u.Wide, 0
		all = append(all, u)
	}
	b := tiled(all...)
	for _, i := range []int{4, 10} { // the right half of the left arm, which comes to lie at the top
		b.Units[i].Roles = []Role{{Name: "dark", Value: DarkTone}}
	}
	s, ok := b.Sewing()
	require.True(t, ok)
	require.Equal(t, "(<...(..).><[..]....>)", shapeOf(s))
	require.Equal(t, 1, s.Of[1].Turned)
	require.Equal(t, []Press{After}, s.Of[0].Of[3].Press, "to the right, to the dark one")
	require.Equal(t, []Press{After}, s.Of[1].Of[0].Press, "down, where that lies")
}

// A block on a grid so fine that its frame comes out even is sewn as without its frame: to
// look at every line of that grid for a partial seam would take hours.
func TestAFineGridIsSewnAsACoarseOne(t *testing.T) {
	spiral := tiled(Unit{Wide: 8, High: 4}, Unit{Column: 8, Wide: 4, High: 8}, Unit{Column: 4, Row: 8, Wide: 8, High: 4}, Unit{Row: 4, Wide: 4, High: 8}, Unit{Column: 4, Row: 4, Wide: 4, High: 4})
	spiral = spiral.resized(12 * 366. / 367) // strips of a cell of a grid 61 times finer
	framed, err := spiral.framed(12, 12, Role{Name: "red"})
	require.NoError(t, err)
	require.Greater(t, framed.Columns, 500)
	s, ok := framed.Sewing()
	require.True(t, ok)
	require.Equal(t, "[.(.<.....>.).]", shapeOf(s))
}

// What repeats is made first: four-patches in a block of four, nine-patches beside plain
// squares, parts by their name.
func TestWhatRepeatsIsMadeFirst(t *testing.T) {
	var four, nine []Unit
	for k := range 16 {
		four = append(four, Unit{Column: k % 4, Row: k / 4, Wide: 1, High: 1})
	}
	s, ok := tiled(four...).Sewing()
	require.True(t, ok)
	require.Equal(t, "[([(..)(..)][(..)(..)])([(..)(..)][(..)(..)])]", shapeOf(s))
	patch := s.Of[0].Of[0]
	require.Equal(t, []int{patch.Of[0].Like, 2}, []int{patch.Of[1].Like, patch.Of[1].Turned}, "the second row is the first on its head, so that they nest")
	require.Equal(t, patch.Of[0].Press[0], -patch.Of[1].Press[0])
	for r := range 3 {
		for c := range 3 {
			if (r+c)%2 == 1 {
				nine = append(nine, Unit{Column: 3 * c, Row: 3 * r, Wide: 3, High: 3})
				continue
			}
			for k := range 9 {
				nine = append(nine, Unit{Column: 3*c + k%3, Row: 3*r + k/3, Wide: 1, High: 1})
			}
		}
	}
	s, ok = tiled(nine...).Sewing()
	require.True(t, ok)
	const n = "[(...)(...)(...)]"
	require.Equal(t, "[("+n+"."+n+")(."+n+".)("+n+"."+n+")]", shapeOf(s))
	b := tiled(append(four[:8:8], Unit{Row: 2, Wide: 4, High: 2})...)
	b.Parts = []Cells{{0, 0, 2, 2}, {2, 0, 2, 2}}
	s, ok = b.Sewing()
	require.True(t, ok)
	require.Equal(t, "[([(..)(..)][(..)(..)]).]", shapeOf(s))
	b.Parts = nil
	s, ok = b.Sewing()
	require.True(t, ok)
	require.Equal(t, "[[(....)(....)].]", shapeOf(s), "what is beside one patch is sewn before")
}

// Any tiling that is cut from edge to edge has an order, and every order is sound; seams
// that meet are pressed to opposite sides, but for those pressed open.
func TestAnyTilingOfCuts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var units []Unit
		var part func(x, y, w, h, depth int)
		part = func(x, y, w, h, depth int) {
			down := rapid.Bool().Draw(t, "down")
			side := w
			if down {
				side = h
			}
			if depth == 0 || side < 2 || rapid.IntRange(0, 4).Draw(t, "stop") == 0 {
				units = append(units, Unit{Column: x, Row: y, Wide: w, High: h})
				return
			}
			at := rapid.IntRange(1, side-1).Draw(t, "at")
			if down {
				part(x, y, w, at, depth-1)
				part(x, y+at, w, h-at, depth-1)
				return
			}
			part(x, y, at, h, depth-1)
			part(x+at, y, w-at, h, depth-1)
		}
		part(0, 0, rapid.IntRange(1, 8).Draw(t, "wide"), rapid.IntRange(1, 8).Draw(t, "high"), 5)
		b := tiled(units...)
		for i := range b.Units {
			b.Units[i].Roles = []Role{{Name: "a", Value: rapid.SampledFrom([]Tone{LightTone, DarkTone, ""}).Draw(t, "tone")}}
		}
		s, ok := b.Sewing()
		require.True(t, ok)
		used := make([]int, len(b.Units))
		checkSewn(t, b, s, used)
		for _, n := range used {
			require.Equal(t, 1, n)
		}
		requireNested(t, s)
	})
}

// sewnLine is a seam: across from one place to another, where it lies, and to which side it is
// pressed.
type sewnLine struct {
	down         bool
	at, from, to int
	press        Press
}

func linesOf(s Sewn) (out []sewnLine, same bool) {
	same = s.Same
	for i, p := range s.Of {
		more, its := linesOf(p)
		out, same = append(out, more...), same || its
		if i == 0 || s.Partial {
			continue
		}
		if s.Down {
			out = append(out, sewnLine{true, p.Row, s.Column, s.Column + s.Wide, s.Press[i-1]})
		} else {
			out = append(out, sewnLine{false, p.Column, s.Row, s.Row + s.High, s.Press[i-1]})
		}
	}
	return out, same
}

// requireNested holds seams that meet end to end to opposite sides, or it is said that they
// are not.
func requireNested(t require.TestingT, s Sewn) {
	all, said := linesOf(s)
	same := false
	for _, a := range all {
		for _, b := range all {
			same = same || a.down == b.down && a.at == b.at && a.to == b.from && a.press == b.press && a.press != Open
		}
	}
	require.Equal(t, same, said)
}
