package recipe

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// Whatever is set how, with whatever round it, the patches cover the top once, the pieces
// are the cuts, and the sizes are told alike.
func TestRandomQuiltsAreTiled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, size := randomQuilt(t)
		r, err := Read("random", []byte(text))
		skipTooSmall(t, err)
		require.NoError(t, err, text)
		if rapid.Bool().Draw(t, "resized") {
			r, err = r.Resize(r.WidthIn * float64(rapid.IntRange(5, 14).Draw(t, "times")) / 8)
			skipTooSmall(t, err)
			require.NoError(t, err)
		}
		l := r.QuiltLayout(size[0], size[1])
		requireTiled(t, l)
		requirePiecesAreTheCuts(t, text, r, size)
		w, h := r.QuiltSize(size[0], size[1])
		lo, hi := l.Patches[0].Polygon.Bounds()
		for _, p := range l.Patches {
			require.Positive(t, p.Polygon.SignedArea(), "patches run clockwise")
			a, b := p.Polygon.Bounds()
			lo.X, lo.Y, hi.X, hi.Y = min(lo.X, a.X), min(lo.Y, a.Y), max(hi.X, b.X), max(hi.Y, b.Y)
		}
		require.InDeltaSlice(t, []float64{0, 0, w, h}, []float64{lo.X, lo.Y, hi.X, hi.Y}, 1e-6)
		require.Equal(t, r.Places(size[0], size[1]).Count(), r.BlockCount(size[0], size[1]))
		for _, x := range r.Rounds(size[0], size[1]) {
			for _, side := range [][]float64{x.top, x.side} {
				for _, k := range side {
					require.GreaterOrEqual(t, k, leastSpacer-touch, "no sliver of a key")
				}
			}
			if x.Spaces {
				for _, s := range []float64{x.SideIn, x.TopIn} {
					require.True(t, s == 0 || s >= leastSpacer-touch, "a spacer of %v", s)
				}
			}
		}
	})
}

// skipTooSmall leaves out a random quilt that is refused as nobody could sew it.
func skipTooSmall(t *rapid.T, err error) {
	if err != nil && strings.Contains(err.Error(), "too small to sew") {
		t.Skip(err)
	}
}

// randomQuilt writes a recipe, and gives a layout for it.
func randomQuilt(t *rapid.T) (text string, size [2]int) {
	eighths := func(what string, low, high int) float64 {
		return float64(rapid.IntRange(8*low, 8*high).Draw(t, what)) / 8
	}
	name := func(what string) string {
		return rapid.SampledFrom([]string{"pinwheel", "ohio-star", "bricks", "nine-patch", "log-cabin", "snowball", "flying-geese", "strings", "bow-tie", "uneven-rails"}).Draw(t, what)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "name = \"random\"\nwidth = %v\n", eighths("width", 4, 12))
	size = [2]int{rapid.IntRange(1, 4).Draw(t, "columns"), rapid.IntRange(1, 4).Draw(t, "rows")}
	kind := rapid.SampledFrom([]string{"straight", "on-point", "rows"}).Draw(t, "kind")
	if kind == "rows" {
		size[0] += 2
		for range rapid.IntRange(1, 3).Draw(t, "rows that differ") {
			fmt.Fprintf(&b, "[[row]]\nblocks = [%q, %q]\nheight = %v\nspacers = %q\n", name("first"), name("second"), eighths("height", 2, 9), rapid.SampledFrom(spacers).Draw(t, "spacers"))
			if rapid.Bool().Draw(t, "strip") {
				fmt.Fprintf(&b, "[[row]]\nheight = %v\nrole = \"red\"\n", eighths("strip height", 1, 3))
			}
		}
	} else {
		b.WriteString("[[block]]\nrecipe = \"pinwheel\"\n")
		for range rapid.IntRange(0, 3).Draw(t, "others") {
			fmt.Fprintf(&b, "[[block]]\nrecipe = %q\nframe = \"red\"\n", name("other"))
			if rapid.Bool().Draw(t, "own width") {
				b.WriteString("width = 2\n")
			}
		}
		fmt.Fprintf(&b, "[setting]\nkind = %q\nturns = [[0, 90, 180]]\n", kind)
		if rapid.Bool().Draw(t, "sashed") {
			fmt.Fprintf(&b, "[sashing]\nwidth = %v\n", eighths("sashing", 1, 3))
			if rapid.Bool().Draw(t, "stones") {
				b.WriteString("cornerstone = \"dark\"\n")
			}
			if kind == "straight" && rapid.Bool().Draw(t, "edge") {
				b.WriteString("edge = true\n")
			}
		}
	}
	for range rapid.IntRange(0, 3).Draw(t, "borders") {
		fmt.Fprintf(&b, "[[border]]\nwidth = %v\n", eighths("border", 1, 5))
		corner := rapid.Bool().Draw(t, "corner")
		switch rapid.IntRange(0, 4).Draw(t, "border kind") {
		case 0:
			b.WriteString("mitred = true\n")
			corner = false
		case 1:
			if rapid.Bool().Draw(t, "in turn") {
				fmt.Fprintf(&b, "blocks = [%q, %q, %q]\n", name("border block"), name("border block"), name("border block"))
			} else {
				fmt.Fprintf(&b, "block = %q\n", name("border block"))
			}
		case 2:
			fmt.Fprintf(&b, "keys = %v\nroles = [\"light\", \"dark\"]\n", eighths("key", 1, 4))
		case 3:
			fmt.Fprintf(&b, "keys = [%v, %v, %v]\n", eighths("key", 1, 2), eighths("key", 1, 3), eighths("key", 1, 4))
		}
		if corner && rapid.Bool().Draw(t, "corner block") && strings.HasSuffix(strings.TrimSpace(b.String()), "]") {
			b.WriteString("corner_block = \"nine-patch\"\n")
		} else if corner {
			b.WriteString("corner = \"red\"\n")
		}
	}
	return b.String(), size
}

// Geometry: without stones every second line of sashing on point runs from edge to edge,
// at 45 degrees to both. About one block of 12 with sashing of 2 there are two such lines.
func TestLongSashesOnPoint(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[setting]\nkind = \"on-point\"\n[sashing]\nwidth = 2\nrole = \"red\"")
	w, h := r.TopSize(1, 1)
	require.InDelta(t, 14*math.Sqrt2, w, 1e-9)
	require.InDelta(t, w, h, 1e-9)
	var red []Lot
	for _, l := range r.TopCuts(1, 1, Method{System: Inches(), WOFIn: 40}) {
		if l.Role.Name == "red" {
			red = append(red, l)
		}
	}
	require.Len(t, red, 2)
	// The outer edge of a line is 1 in from the middle of an outer stone on both sides:
	// it is as long as a block and two sashes, 12 + 2 × 2 = 16 finished. Its ends are cut
	// at 45 degrees, so that the seams add 1¼ as at a quarter-square triangle.
	require.Equal(t, []float64{2.5, 17.25, 2}, []float64{red[0].WidthIn, red[0].LengthIn, float64(red[0].Count)})
	require.Equal(t, []float64{2.5, 12.5, 2}, []float64{red[1].WidthIn, red[1].LengthIn, float64(red[1].Count)})
}

// How pieced borders come out even, by arithmetic: round 36 × 48 units of 3 need no
// spacer; round 37 × 48 the top needs 39, so one inch at each side, and a side none; and a
// spacer under half an inch is made wider by half a unit.
func TestPiecedBordersComeOutEven(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[border]]\nwidth = 3\nblock = \"pinwheel\"")
	spacers := func(w, h float64) (out [2]float64) {
		rounds := r.RoundsAbout(w, h)
		if len(rounds) > 1 {
			require.True(t, rounds[0].Spaces)
			out = [2]float64{rounds[0].SideIn, rounds[0].TopIn}
		}
		last := rounds[len(rounds)-1]
		require.InDelta(t, last.WidthIn, 3*float64(len(last.top)), 1e-9)
		require.InDelta(t, last.HeightIn, 3*float64(len(last.side)), 1e-9)
		return out
	}
	require.Equal(t, [2]float64{}, spacers(36, 48))
	require.Equal(t, [2]float64{1, 0}, spacers(37, 48))
	rounds := r.RoundsAbout(37, 48)
	require.Equal(t, []Why{
		{Text: "at the sides: 13 × 3 = 39, less 37, half of it at each end: 1"},
		{Text: "at top and bottom: none, 48 ÷ 3 = 16"},
	}, rounds[0].WhySpacer(Inches(), rounds[1]))
	require.Equal(t, [2]float64{1.75, 0.5}, spacers(38.5, 50))
	require.Equal(t, [2]float64{0, 1.875}, spacers(3, 50.25))

	// Keys of 2 about 45 × 60: 1⅞ divides both, 24 and 32 of them, and is next to 2.
	r = read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[border]]\nwidth = 4\nkeys = 2\ncorner = \"dark\"")
	keys := r.RoundsAbout(45, 60)
	require.Len(t, keys, 1)
	require.Equal(t, []int{24, 32}, []int{len(keys[0].top), len(keys[0].side)})
	require.InDelta(t, 1.875, keys[0].top[0], 1e-9)
	require.Equal(t, "border 1 comes out even: 24 pieces of 1⅞ along the top, 32 along a side", keys[0].Why(Inches()).Text)
	require.Equal(t, "1⅞ is the width next to 2 that divides both", keys[0].Why(Inches()).Steps[2].Text)
	require.Len(t, r.RoundsAbout(44, 60)[0].Why(Inches()).Steps, 2, "2 divides both")
}

// A border of blocks has the block at its corners where that is square, else squares of its
// spacer.
func TestCornersOfPiecedBorders(t *testing.T) {
	border := func(block string) Border {
		return read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[border]]\nwidth = 3\nspacer = \"red\"\nblock = \""+block+"\"").Borders[0]
	}
	b := border("pinwheel")
	require.False(t, b.Cornered)
	require.Equal(t, b.Blocks, []int{b.CornerBlock})
	b = border("bricks")
	require.True(t, b.Cornered)
	require.Equal(t, "red", b.Corner.Name)
}

// Blocks in turn come round; where a row holds them a whole number of times, each row
// begins one further on, so that none stands under itself.
func TestBlocksInTurn(t *testing.T) {
	in := func(kind SettingKind, n, columns, rows int) (out [][]int) {
		r := &Recipe{WidthIn: 6, HeightIn: 6, Blocks: make([]Block, n), Setting: Setting{Kind: kind}}
		for i := range n {
			r.Setting.Order = append(r.Setting.Order, i)
		}
		lines := map[float64]int{}
		r.field(columns, rows, func(s stand) {
			k, ok := lines[s.y]
			if !ok {
				k = len(out)
				lines[s.y], out = k, append(out, nil)
			}
			out[k] = append(out[k], s.of)
		})
		return out
	}
	require.Equal(t, [][]int{{0, 1, 0}, {1, 0, 1}}, in(Straight, 2, 3, 2))
	require.Equal(t, [][]int{{0, 1, 0, 1}, {1, 0, 1, 0}}, in(Straight, 2, 4, 2))
	require.Equal(t, [][]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}}, in(Straight, 3, 3, 3))
	require.Equal(t, [][]int{{0, 1, 2, 3}, {4, 5, 6, 0}}, in(Straight, 7, 4, 2))
	require.Equal(t, [][]int{{0, 0}, {0, 0}, {1}}, in(OnPoint, 2, 2, 2))
	require.Equal(t, [][]int{{0, 1}, {3, 4}, {2}}, in(OnPoint, 5, 2, 2))
	require.Equal(t, [][]int{{0, 0, 0}, {0, 0, 0}, {1, 1}}, in(OnPoint, 2, 3, 2), "two between three would lie beside themselves")
	require.Equal(t, [][]int{{0, 0, 0}, {2, 2, 2}, {1, 1}}, in(OnPoint, 3, 3, 2), "three in a row of three would lie beside themselves")
}

// A block that keeps its width is framed by strips that are half of what it lacks: 12 less
// 9 is 1½ at each side; they are cut ½ wider, sides first.
func TestFramedBlock(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[block]]\nrecipe = \"nine-patch\"\nwidth = 9\nframe = \"red\"\n[[block]]\nrecipe = \"bricks\"")
	require.Equal(t, []string{"nine-patch: 9 wide instead of 6, framed by strips of 1½", "bricks: 12 wide instead of 4, framed by strips of 3 at top and bottom"}, r.Fitted(Inches()))
	part := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[border]]\nwidth = 3\nblock = \"q\"\n[part.q]\ngrid = [1, 1]\n[[part.q.patch]]\nat = [[1, 1]]")
	require.Empty(t, part.Fitted(Inches()))
	var red []string
	for _, l := range r.Cuts([]Stand{{}, {Count: 1}, {}}, Method{System: Inches(), WOFIn: 40}) {
		if l.Role.Name == "red" {
			red = append(red, fmt.Sprint(l.Count, " ", l.WidthIn, " ", l.LengthIn))
		}
	}
	require.Equal(t, []string{"2 2 12.5", "2 2 9.5"}, red)
	sewn, ok := r.Blocks[1].Sewing()
	require.True(t, ok)
	require.Len(t, sewn.Of, 3, "top, what is between, bottom")
	require.Len(t, sewn.Of[1].Of, 3, "a strip, the block, a strip")
	require.Equal(t, []int{1, 1, 6, 6}, []int{sewn.Of[1].Of[1].Column, sewn.Of[1].Of[1].Row, sewn.Of[1].Of[1].Wide, sewn.Of[1].Of[1].High})
	larger, err := r.Resize(16)
	require.NoError(t, err)
	require.Equal(t, "nine-patch: 12 wide instead of 6, framed by strips of 2", larger.Fitted(Inches())[1])
}

// A plan names the blocks that are there already, as they are fitted, and fetches others.
func TestAPlanNamesBlocks(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\nwidth = 9\n[[block]]\nrecipe = \"nine-patch\"\n[setting]\nplan = [[\"ohio-star\", \"Nine-patch\", \"plain\"], [\"pinwheel\"]]")
	require.Equal(t, [][]int{{0, 1, -1}, {2}}, r.Setting.Plan)
	require.Len(t, r.Blocks, 3)
	require.Equal(t, 9.0, r.Blocks[0].FramedIn)
	at := func(row, column int) int { return r.Setting.at(row, column, 4, false) }
	require.Equal(t, []int{0, 1, -1, 0, 2, 2, 1}, []int{at(0, 0), at(0, 1), at(0, 2), at(0, 3), at(1, 0), at(1, 3), at(2, 1)})
}

// A plan means the block that is there, framed, whatever it is called by; two files whose
// recipes have one name are two blocks.
func TestBlocksByTheNamesTheyAreCalledBy(t *testing.T) {
	own := func(role string) string {
		return "name = \"own star\"\nwidth = 8\ngrid = [1, 1]\n[roles]\nstar = \"" + role + "\"\n[[patch]]\nat = [[1, 1]]\nrole = \"star\"\n"
	}
	files := fmt.Sprintf("[file.\"one.toml\"]\ntext = %q\n[file.\"two.toml\"]\ntext = %q\n[file.\"three.toml\"]\ntext = %q\n", own("red"), own("dark"), own("light"))
	for _, c := range [][2]string{{"bears-paw", "bears-paw"}, {"Bear's paw", "bears-paw"}, {"bears-paw", "bear’s-paw"}, {"one.toml", "one.toml"}, {"one.toml", "own star"}} {
		r := read(t, fmt.Sprintf("name = \"x\"\nwidth = 12\n[[block]]\nrecipe = %q\nwidth = 9\n[setting]\nplan = [[%q]]\n", c[0], c[1])+files)
		require.Len(t, r.Blocks, 1, "%v", c)
		require.Equal(t, [][]int{{0}}, r.Setting.Plan, "%v", c)
	}
	r := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"one.toml\"\n[[block]]\nrecipe = \"two.toml\"\n[[block]]\nrecipe = \"three.toml\"\n[[block]]\nrecipe = \"pinwheel\"\n[[block]]\nrecipe = \"Pinwheel\"\n"+files)
	require.Equal(t, []int{0, 1, 2, 3, 3}, r.Setting.Order)
	for i, want := range []string{"star", "star of own star", "star of own star of own star"} {
		require.Equal(t, want, r.Blocks[i].Units[0].Roles[0].Name, "each is another cloth")
	}
}

// The rows of a quilt are as wide as one another: of 36, three blocks of 10 leave 6, half
// of it at each end, and four of 9 leave none.
func TestRowsComeOutEven(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 9\n[[row]]\nblock = \"ohio-star\"\nheight = 10\n[[row]]\nblock = \"ohio-star\"\nheight = 9")
	w, h := r.TopSize(4, 2)
	require.Equal(t, []float64{36, 19}, []float64{w, h})
	require.Equal(t, 7, r.BlockCount(4, 2))
	require.Equal(t, []string{"row 1 is a plain strip: Ohio star is 10 wide and the quilt 9; ask for a wider one"}, r.TooNarrow(1, 2, Inches()))
	require.Empty(t, r.TooNarrow(4, 2, Inches()))
	strips := r.between(4, 2)
	require.Len(t, strips, 1)
	require.Equal(t, []float64{3, 10}, []float64{strips[0].w, strips[0].h})
	require.Equal(t, "row 1: 36 wide less 3 blocks = 6, half of it at each end", strips[0].why(Inches())[0].Text)
	// Of 36¾ four blocks of 9 leave ⅜ at each end, too little to sew: three are taken. Of 37
	// they leave ½.
	for width, want := range map[float64][2]float64{36.75: {3, 4.875}, 37: {4, 0.5}} {
		f := r.rowFill(r.Rows[1], width)
		require.Equal(t, want, [2]float64{float64(f.count), f.end}, "%v", width)
	}
}

// What three blocks of 10 leave of 36 is two spacers of 3 between them, or four of 1½ with
// those at the ends; one block alone has none between. Where the spacers would be under half
// an inch one block fewer is taken.
func TestSpacersBetweenBlocks(t *testing.T) {
	in := func(spacers string) *Recipe {
		return read(t, "name = \"x\"\nwidth = 9\n[[row]]\nblock = \"ohio-star\"\nheight = 10\nspacers = \""+spacers+"\"\nrole = \"red\"")
	}
	fill := func(spacers string, width float64) [4]float64 {
		r := in(spacers)
		f := r.rowFill(r.Rows[0], width)
		return [4]float64{float64(f.count), float64(f.spaces), f.end, f.gap}
	}
	require.Equal(t, [4]float64{3, 2, 3, 0}, fill("ends", 36))
	require.Equal(t, [4]float64{3, 2, 0, 3}, fill("between", 36))
	require.Equal(t, [4]float64{3, 4, 1.5, 1.5}, fill("all", 36))
	require.Equal(t, [4]float64{1, 2, 4, 0}, fill("between", 18))
	require.Equal(t, [4]float64{3, 0, 0, 0}, fill("all", 30))
	require.Equal(t, [4]float64{2, 1, 0, 10.75}, fill("between", 30.75))
	require.Equal(t, [4]float64{2, 3, 11. / 3, 11. / 3}, fill("all", 31), "of 1 there would be four of ¼")
	r := in("between")
	strips := r.between(4, 1)
	require.Len(t, strips, 1)
	require.Equal(t, []geom.Polygon{box(10, 0, 13, 10), box(23, 0, 26, 10)}, strips[0].at)
	require.Equal(t, "row 1: 36 wide less 3 blocks = 6, in 2", strips[0].why(Inches())[0].Text)
	var red []string
	for _, l := range r.TopCuts(4, 1, Method{System: Inches(), WOFIn: 40}) {
		if l.Role.Name == "red" {
			red = append(red, fmt.Sprint(l.Count, " of ", l.WidthIn, " x ", l.LengthIn, " ", l.For))
		}
	}
	require.Equal(t, []string{"2 of 3.5 x 10.5 [spacers between the blocks of rows]"}, red)
}

// Blocks of a border follow one another on each side from the first, clockwise: about 13 by
// 9 a border of 3 has a pinwheel, 3 wide, and a brick, 6 wide, in turn. The top is 13 long:
// 3 + 6 + 3 + 6 = 18, so its spacers are 2½ at each end; a side is 3 + 6 = 9.
func TestBlocksInTurnInABorder(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[border]]\nwidth = 3\ncorner = \"dark\"\nblocks = [\"pinwheel\", \"bricks\"]")
	_, err := Read("mine.toml", []byte("name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n[[border]]\nwidth = 3\nblock = \"pinwheel\"\nblocks = [\"bricks\"]"))
	require.ErrorContains(t, err, "border 1 has both block and blocks")
	b := r.Borders[0].Blocks
	wide := []float64{r.Blocks[b[0]].WidthIn, r.Blocks[b[1]].WidthIn}
	rounds := r.RoundsAbout(2*wide[0]+wide[1]+1, wide[0]+wide[1])
	require.Len(t, rounds, 2)
	require.Equal(t, []float64{(wide[1] - 1) / 2, 0}, []float64{rounds[0].SideIn, rounds[0].TopIn})
	last := rounds[1]
	require.Equal(t, []float64{wide[0], wide[1], wide[0], wide[1]}, last.top)
	require.Equal(t, []float64{wide[0], wide[1]}, last.side)
	require.Equal(t, max(wide[0], wide[1]), last.UnitIn(r))
	var got [][]float64
	last.blocks(func(s stand) {
		got = append(got, []float64{float64(s.of), float64(s.turn), s.x, s.y})
	})
	p, g := float64(b[0]), float64(b[1])
	w, h := last.outWidth, last.outHeight
	pw, gw := wide[0], wide[1]
	require.Equal(t, [][]float64{
		{p, 0, 3, 0}, {g, 0, 3 + pw, 0}, {p, 0, 3 + pw + gw, 0}, {g, 0, 3 + 2*pw + gw, 0},
		{p, 1, w - 3, 3}, {g, 1, w - 3, 3 + pw},
		{g, 2, 3, h - 3}, {p, 2, 3 + gw, h - 3}, {g, 2, 3 + gw + pw, h - 3}, {p, 2, 3 + 2*gw + pw, h - 3},
		{g, 3, 0, 3}, {p, 3, 0, 3 + gw},
	}, got)
	require.NotEqual(t, pw, gw)
	require.Contains(t, last.Why(Inches()).Text, "4 pieces in turn along the top, 2 along a side")
	require.Contains(t, rounds[0].WhySpacer(Inches(), last)[0].Text, "at the sides: 4 pieces = ")
	require.Contains(t, rounds[0].WhySpacer(Inches(), last)[1].Text, "at top and bottom: none, 2 pieces come to ")
}

// A recipe that takes a block from a file is written with it, and reads the same alone.
func TestBundleReadsAlone(t *testing.T) {
	own := "name = \"own star\"\nwidth = 8\ngrid = [2, 2]\n[roles]\nstar = \"red\"\n[[patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"star\"\n"
	text := []byte("name = \"x\"\n[[block]]\nrecipe = \"ohio-star\"\n[[block]]\nrecipe = \"own.toml\"\n")
	_, err := Read("x", text)
	require.ErrorContains(t, err, `block 2: there is no block "own.toml"`)
	asked := []string{}
	whole, err := Bundle(text, func(name string) ([]byte, error) {
		asked = append(asked, name)
		return []byte(own), nil
	})
	require.NoError(t, err)
	require.Equal(t, []string{"own.toml"}, asked)
	r := read(t, string(whole))
	require.Equal(t, []string{"Ohio star", "own star"}, []string{r.Blocks[0].Name, r.Blocks[1].Name})
	require.Equal(t, 12.0, r.Blocks[1].WidthIn)
	// Both call a cloth "star", and it is not the same.
	require.Equal(t, []string{"star", "star of own star"}, []string{r.Blocks[0].Units[0].Roles[0].Name, r.Blocks[1].Units[0].Roles[0].Name})
	again, err := Bundle(whole, func(string) ([]byte, error) { panic("all is there") })
	require.NoError(t, err)
	require.Equal(t, whole, again)
}

// Wherever a recipe names a block, the file of that name is written with it.
func TestABundleHoldsAllThatIsNamed(t *testing.T) {
	for text, want := range map[string][]string{
		"[[block]]\nrecipe = \"a\"\n[[block]]\npart = \"no\"":            {"a"},
		"[[row]]\nblock = \"a\"\n[[row]]\nblocks = [\"b\", \"c\"]":       {"a", "b", "c"},
		"[[border]]\nblock = \"a\"\ncorner_block = \"b\"":                {"a", "b"},
		"[[border]]\nblocks = [\"a\", \"pinwheel\", \"b\"]":              {"a", "b"},
		"[setting]\nplan = [[\"a\", \"plain\"], [\"pinwheel\", \"b\"]]":  {"a", "b"},
		"[setting]\nalternate = \"a\"":                                   {"a"},
		"[setting]\nalternate = [\"plain\", \"a\", \"b\"]":               {"a", "b"},
		"[setting]\nalternate = \"four\"\n[part.four]\ngrid = [1, 1]":    nil,
		"[setting]\nalternate = \"x\"\n[[block]]\nrecipe = \"pinwheel\"": nil,
	} {
		var asked []string
		_, err := Bundle([]byte("name = \"x\"\n"+text), func(name string) ([]byte, error) {
			asked = append(asked, name)
			return []byte("name = \"own\""), nil
		})
		require.NoError(t, err)
		require.Equal(t, want, asked, text)
	}
}

// Each wrong use is refused, with what to write.
func TestSeveralBlocksRefuse(t *testing.T) {
	const star = "name = \"x\"\nwidth = 12\n[[block]]\nrecipe = \"ohio-star\"\n"
	const border = star + "[[border]]\nwidth = 4\n"
	const row = "name = \"x\"\n[[row]]\nblock = \"ohio-star\"\n"
	for _, c := range []struct{ text, reason, remedy string }{
		{star + "[[block]]\nwidth = 9", "block 2 says not which it is", "recipe ="},
		{star + "[[block]]\nrecipe = \"pinwheel\"\npart = \"four\"", "block 2 says not which it is, or twice", "recipe ="},
		{star + "[[block]]\npart = \"four\"", `block 2: there is no part "four"`, "[part.four]"},
		{star + "[[block]]\nrecipe = \"pinwhel\"", `block 2: there is no block "pinwhel"`, `"pinwheel"`},
		{star + "[[block]]\nrecipe = \"pinwheel\"\nwidth = 13", "pinwheel is 13 by 13 inches, and its place is 12 by 12", "smaller"},
		{star + "[[block]]\nrecipe = \"pinwheel\"\nwidth = 9.03", "cannot be framed evenly", "eighths"},
		{star + "[[block]]\nrecipe = \"row-quilt\"", "no block of its own", "one of its blocks"},
		{star + "[[patch]]\nat = [[1, 1]]", "patches and no grid", "grid ="},
		{star + row[len("name = \"x\"\n"):], "both blocks in turn and rows", "in the rows"},
		{row + "[[row]]\nrole = \"dark\"", "row 2 has no block and no height", "height"},
		{row + "height = 0.1", "too narrow to sew", "½ inch"},
		{star + "[[border]]\nwidth = 0.1\nblock = \"pinwheel\"", "pinwheel would be 0.1 by 0.1", "wider"},
		{star + "[[border]]\nwidth = 3\nblocks = [\"pinwheel\", \"pinwhel\"]", `border 1: there is no block "pinwhel"`, `"pinwheel"`},
		{star + "[[border]]\nwidth = 3\nblocks = [\"pinwheel\"]\nkeys = 2", "border 1 has both block and keys", "keep one"},
		{row + "[[row]]\nblock = \"pinwheel\"\nspacers = \"betwen\"", `spacers cannot be at "betwen"`, `"between"`},
		{row + "[[row]]\nheight = 2\nspacers = \"all\"", "is a strip and has spacers", "take out spacers"},
		{row + "turns = [45]", "turned by 45", "90"},
		{row + "[[row]]\nblock = \"bricks\"\nturns = [90]", "turned on its side", "0 or 180"},
		{"name = \"x\"\n[[row]]\nheight = 3", "none of its rows has a block", "name one"},
		{row + "[setting]\nkind = \"straight\"", "a quilt of rows is set by them", "take out kind"},
		{row + "[setting]\nturns = [[90]]", "says in each which blocks", "[[row]]"},
		{row + "[sashing]\nwidth = 1", "does not go with a quilt of rows", "[[row]]"},
		{star + "[setting]\nalternate = 3", "alternate is not a name", "alternate ="},
		{star + "[setting]\nalternate = []", "alternate is empty", "leave it out"},
		{star + "[setting]\nalternate = \"plain\"\nplan = [[\"plain\"]]", "both alternate and plan", "keep one"},
		{star + "[setting]\nplan = [[]]", "plan: row 1 is empty", "each row"},
		{star + "[setting]\nlayout = [3]", "its layout is [3]", "columns, rows"},
		{border + "keys = 0.4", "too narrow to sew", "½ inch"},
		{border + "keys = []", "keys is empty", "leave it out"},
		{border + "keys = 2\nmitred = true", "is mitred and has corners or pieces", "take out mitred"},
		{border + "corner = \"dark\"\nmitred = true", "is mitred and has corners or pieces", "take out mitred"},
		{border + "keys = 2\nblock = \"pinwheel\"", "both block and keys", "keep one"},
		{border + "block = \"pinwheel\"\nrole = \"dark\"", "a block and a role besides", "take out role"},
		{border + "spacer = \"dark\"", "nothing that must come out even", "take out spacer"},
		{border + "spacer = \"dark\"\nkeys = [1, 2]", "nothing that must come out even", "take out spacer"},
		{border + "roles = [\"dark\"]", "roles and no keys", "keys = 2"},
		{border + "keys = 2\nrole = \"dark\"\nroles = [\"dark\"]", "both role and roles", "keep one"},
		{border + "corner = \"dark\"\ncorner_block = \"pinwheel\"", "both corner and corner_block", "keep one"},
		{border + "corner_block = \"pinwheel\"", "a block at its corners and is plain", "corner ="},
		{border + "block = \"pinwheel\"\ncorner_block = \"bricks\"", "not square", "corner ="},
	} {
		_, err := Read("mine.toml", []byte(c.text))
		require.ErrorContains(t, err, c.reason, c.text)
		require.Contains(t, fault.Of(err).Remedy, c.remedy, c.text)
	}
}
