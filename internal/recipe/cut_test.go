package recipe

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// cutsOf is what one block is cut from, as lines of text, strips patch by patch.
func cutsOf(t *testing.T, r *Recipe, blocks int) []string {
	t.Helper()
	var out []string
	for _, c := range r.Cuts([]Stand{{Count: blocks}}, Method{System: Inches(), WOFIn: 40, OneByOne: true}) {
		size := cloth.FormatInches(c.WidthIn)
		if c.LengthIn != c.WidthIn {
			size += " x " + cloth.FormatInches(c.LengthIn)
		}
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s: %d of %s %s", c.Role.Name, c.Count, size, c.Split)))
	}
	return out
}

// sized is a built-in block at another finished width.
func sized(t *testing.T, name string, width float64) *Recipe {
	t.Helper()
	r, err := builtIn(t, name).Resize(width)
	require.NoError(t, err)
	return r
}

// one is a block of one unit on a grid of its own.
func one(t *testing.T, width float64, columns, rows int, patch string) *Recipe {
	return read(t, fmt.Sprintf("name = \"one\"\nwidth = %v\ngrid = [%d, %d]\n[[patch]]\nat = [[1, 1]]\nwide = %d\nhigh = %d\n%s", width, columns, rows, columns, rows, patch))
}

func TestTriangleSquares(t *testing.T) {
	s := Inches()
	for _, c := range []struct {
		source    string
		got       func(float64) (float64, Why)
		f, square float64
	}{
		{"How to measure and cut triangles, grannymaudsgirl.wordpress.com 2018", s.Half, 3, 3.875},
		{"Basic hourglass, fabric406.com; Hourglass block, lookoutmountainquilter.com", s.Quarter, 4, 5.25},
		{"BOW #28: Hourglass, roundtheblocks.blogspot.com 2010", s.Quarter, 12, 13.25},
		{"American Patchwork & Quilting, How to make eight triangle-squares at once", s.eightHalves, 1.5, 4.75},
		{"Mesquite Quilt Guild, mesquitequiltguildinc.com", s.eightHalves, 2.5, 6.75},
	} {
		cut, _ := c.got(c.f)
		require.InDelta(t, c.square, cut, 1e-9, c.source)
	}
	// The same hourglass with ¼ and ½ more to trim down from, fabric406.com and
	// lookoutmountainquilter.com.
	for trim, want := range map[float64]float64{0.25: 5.5, 0.5: 5.75} {
		s.Trim = trim
		cut, _ := s.Quarter(4)
		require.InDelta(t, want, cut, 1e-9)
	}
}

// A half-rectangle is held to geometry: the triangle that the cut rectangle's diagonal
// gives holds the finished triangle with an allowance on every side, but for the tips
// that stand out of the sewn unit; a rectangle a ruler's mark smaller does not. Its two
// halves are one another turned by half, so that either serves for either patch.
func TestHalfRectanglesHoldTheirSeams(t *testing.T) {
	// inside is how far within the slanted side of a cut triangle, its right angle at the
	// allowance's corner, all of what is needed lies.
	inside := func(w, h, seam, cw, ch float64) float64 {
		least := math.Inf(1)
		// The unit as sewn in, on this side of the seam moved out: the seam is where
		// x/w + y/h = 1.
		far := 1 + seam*math.Hypot(1/w, 1/h)
		for _, p := range [][2]float64{{w + seam, h * (far - (w+seam)/w)}, {w * (far - (h+seam)/h), h + seam}, {-seam, h + seam}, {w + seam, -seam}} {
			least = min(least, 1-(p[0]+seam)/cw-(p[1]+seam)/ch)
		}
		return least
	}
	rapid.Check(t, func(t *rapid.T) {
		w, h := float64(rapid.IntRange(2, 160).Draw(t, "w"))/8, float64(rapid.IntRange(2, 160).Draw(t, "h"))/8
		s := Inches()
		s.Seam = rapid.Float64Range(0.1, 0.5).Draw(t, "seam")
		s.Step = rapid.SampledFrom([]float64{0.125, 1 / 25.4, 1e-6}).Draw(t, "step")
		cw, ch, why := s.halfRectangle(w, h)
		require.GreaterOrEqual(t, inside(w, h, s.Seam, cw, ch), -1e-9)
		require.Negative(t, inside(w, h, s.Seam, cw-1.01*s.Step, ch-1.01*s.Step))
		require.Len(t, why, 2)
		tw, th, _ := s.halfRectangle(h, w)
		require.Equal(t, []float64{cw, ch}, []float64{th, tw})
		s.Trim = 0.25
		tw, th, _ = s.halfRectangle(w, h)
		require.InDelta(t, 0.25, tw-cw, s.Step)
		require.InDelta(t, 0.25, th-ch, s.Step)
	})
	s := System{Seam: 0.25, Step: 1e-9}
	w, _, _ := s.halfRectangle(3, 3)
	half, _ := s.Half(3)
	require.InDelta(t, half, w, 1e-6, "a square's triangles")
	// Clements, The Quilter's Bible 2011, an excerpt: + 1¼ and + ⅝ on a rectangle
	// would be too small for triangles of one by two.
	require.Negative(t, inside(4, 2, 0.25, 5.25, 2.625))
	require.Positive(t, inside(4, 2, 0.25, 5.3125, 2.6875))
}

// Chequers are sewn as strips and cut across: of thirty nine-patches of 6 inches sixty
// segments are dark, light, dark and thirty the other way; sixteen segments of 2½ come
// from 40 inches (published squares chart of 40-inch cloth, jajalger2018.org). The
// first and last of a four-patch come from one set, one of them turned.
func TestSegmentsAreCutAcross(t *testing.T) {
	list := func(r *Recipe, n int) (out []string) {
		for _, c := range r.Cuts([]Stand{{Count: n}}, Method{System: Inches(), WOFIn: 40}) {
			out = append(out, fmt.Sprintf("%s: %d of %v x %v", c.Role.Name, c.Count, c.WidthIn, c.LengthIn))
		}
		return out
	}
	nine := one(t, 6, 3, 3, "make=\"strip-set\"\nsegments=[[\"dark\",\"light\",\"dark\"],[\"light\",\"dark\",\"light\"],[\"dark\",\"light\",\"dark\"]]")
	require.Equal(t, []string{
		"dark: 7 of 2.5 x 0", "dark: 1 of 2.5 x 35.5", "dark: 2 of 2.5 x 30.5", // 3 × 2 + 1, 60 = 3 × 16 + 12, 30 = 16 + 14
		"light: 5 of 2.5 x 0", "light: 2 of 2.5 x 35.5", "light: 1 of 2.5 x 30.5",
	}, list(nine, 30))
	four := one(t, 4, 2, 2, "make=\"strip-set\"\nsegments=[[\"dark\",\"light\"],[\"light\",\"dark\"]]")
	require.Equal(t, []string{"dark: 2 of 2.5 x 0", "light: 2 of 2.5 x 0"}, list(four, 16))
	// Strips of two widths do not turn into one another.
	uneven := one(t, 6, 3, 3, "make=\"strip-set\"\nwidths=[1,2]\nsegments=[[\"dark\",\"light\"],[\"light\",\"dark\"]]")
	require.Equal(t, []string{"dark: 1 of 4.5 x 0", "dark: 1 of 2.5 x 0", "light: 1 of 4.5 x 0", "light: 1 of 2.5 x 0"}, list(uneven, 11)) // 11 × 3½ = 38½, and 40 hold no more
	wide := one(t, 90, 2, 1, "make=\"strip-set\"\nsegments=[[\"dark\"],[\"light\"]]")
	require.Equal(t, []string{"dark: 1 of 45.5 x 45.5", "light: 1 of 45.5 x 45.5"}, list(wide, 1), "cloth too narrow for a segment")
}

// What a triangle adds, in seams: 2 + √2 and 2 + 2√2 (plane geometry; a Finnish
// teacher rounds them to 3.5 and 5, tilkkutaiwas.blogspot.com 2012).
func TestSeamMultiples(t *testing.T) {
	require.InDelta(t, 3.414, halfSeams, 0.0005)
	require.InDelta(t, 4.828, quarterSeams, 0.0005)
	// By construction: a triangle with legs f, every side moved out by s, has legs
	// f + s·(1 + 1 + √2); sewn, its hypotenuse has grown by as much × √2.
	const f, seam = 3, 0.25
	x0, y0 := -seam, -seam
	c := f + seam*math.Sqrt2 // x + y = c is the hypotenuse moved out
	require.InDelta(t, f+halfSeams*seam, c-y0-x0, 1e-12)
	require.InDelta(t, f*math.Sqrt2+quarterSeams*seam, (c-y0-x0)*math.Sqrt2, 1e-12)
}

func TestBlocksAreCutAsPublished(t *testing.T) {
	for _, c := range []struct {
		source string
		recipe *Recipe
		blocks int
		want   []string
	}{
		{"quiltingboard.com 1061906 (four-patch of 2½ squares)", sized(t, "four-patch", 4), 1, []string{"dark: 2 of 2½", "light: 2 of 2½"}},
		{"The basics - 9-patch, sharontriestoquilt.blogspot.com 2012", sized(t, "nine-patch", 9), 1, []string{"dark: 5 of 3½", "light: 4 of 3½"}},
		{"Irish chain, scrapbusting.blogspot.com 2013", sized(t, "single-irish-chain", 6), 1, []string{"chain: 5 of 2½", "background: 4 of 2½"}},
		{"How to measure and cut triangles, grannymaudsgirl.wordpress.com (pinwheel)", sized(t, "pinwheel", 6), 1, []string{"background: 2 of 3⅞", "dark: 2 of 3⅞"}},
		{"Beginners sampler block 6, ukqu.co.uk 2022 (pinwheel)", sized(t, "pinwheel", 12), 1, []string{"background: 2 of 6⅞", "dark: 2 of 6⅞"}},
		{"April block of the month, quiltcg.com 2015 (Ohio star)", sized(t, "ohio-star", 12), 1, []string{"star: 2 of 5¼", "star: 1 of 4½", "background: 2 of 5¼", "background: 4 of 4½"}},
		{"Hohn, Ohio star in 9 inches, quilterscache.com", sized(t, "ohio-star", 9), 1, []string{"star: 2 of 4¼", "star: 1 of 3½", "background: 2 of 4¼", "background: 4 of 3½"}},
		{"Block no. 3, tennesseequilter.blogspot.com 2012 (sawtooth star)", sized(t, "sawtooth-star", 12), 1, []string{"centre: 1 of 6½", "background: 4 of 3½ x 6½", "background: 4 of 3½", "points: 8 of 3½"}},
		{"Sawtooth star four patch, pumpkinpatchquilter.com 2009", sized(t, "sawtooth-star", 6), 1, []string{"centre: 1 of 3½", "background: 4 of 2 x 3½", "background: 4 of 2", "points: 8 of 2"}},
		{"Snowball fight, katiemaequilts.com", sized(t, "snowball", 6), 1, []string{"background: 1 of 6½", "dark: 4 of 2½"}},
		{"Rail fence strip piecing, newquilters.com", sized(t, "rail-fence", 6), 1, []string{"light: 1 of 2½ x 6½", "medium: 1 of 2½ x 6½", "dark: 1 of 2½ x 6½"}},
		{"the same, 12 inches", sized(t, "rail-fence", 12), 1, []string{"light: 1 of 4½ x 12½", "medium: 1 of 4½ x 12½", "dark: 1 of 4½ x 12½"}},
		{"Basic hourglass, fabric406.com: two squares make two", sized(t, "hourglass", 4), 2, []string{"dark: 1 of 5¼", "light: 1 of 5¼"}},
		{
			"Brunswick Quilters guild, log cabin block, brunswickquilters.com", sized(t, "log-cabin", 10), 1,
			[]string{
				"hearth: 1 of 3",
				"light: 1 of 1¾ x 9¼", "light: 1 of 1¾ x 8", "light: 1 of 1¾ x 6¾", "light: 1 of 1¾ x 5½", "light: 1 of 1¾ x 4¼", "light: 1 of 1¾ x 3",
				"dark: 1 of 1¾ x 10½", "dark: 1 of 1¾ x 9¼", "dark: 1 of 1¾ x 8", "dark: 1 of 1¾ x 6¾", "dark: 1 of 1¾ x 5½", "dark: 1 of 1¾ x 4¼",
			},
		},
		{
			"the same block as courthouse steps (plane geometry)", sized(t, "courthouse-steps", 10), 1,
			[]string{
				"hearth: 1 of 3", "light: 2 of 1¾ x 8", "light: 2 of 1¾ x 5½", "light: 2 of 1¾ x 3",
				"dark: 2 of 1¾ x 10½", "dark: 2 of 1¾ x 8", "dark: 2 of 1¾ x 5½",
			},
		},
		{"October 2001 block, sewquilty.com (double Irish chain)", builtIn(t, "double-irish-chain"), 1, []string{"inner: 9 of 3", "outer: 12 of 3", "background: 4 of 3"}},
		// Common practice, no source: four 4½ units make an 8½ quarter, four of them
		// a 16-inch block with 48 squares of 2½.
		{"common practice", builtIn(t, "reading-corner"), 1, []string{"any: 48 of 2½", "background: 8 of 4½"}},
		{"Fast easy flying geese, alinequilts.blogspot.com 2011", one(t, 4, 2, 1, "make=\"flying-geese\"\nat_a_time=4\nroles=[\"light\",\"dark\"]"), 4, []string{"light: 1 of 5¼", "dark: 4 of 2⅞"}},
		{"Watson, Quilty math (geese 3 by 6)", one(t, 6, 2, 1, "make=\"flying-geese\"\nat_a_time=4\nroles=[\"light\",\"dark\"]"), 4, []string{"light: 1 of 7¼", "dark: 4 of 3⅞"}},
		{"pumpkinpatchquilter.com 2009 (one goose, flipped)", one(t, 3, 2, 1, "make=\"flying-geese\"\nroles=[\"light\",\"dark\"]"), 1, []string{"light: 1 of 2 x 3½", "dark: 2 of 2"}},
		{"American Patchwork & Quilting, eight triangle-squares", one(t, 1.5, 1, 1, "make=\"half-square\"\nat_a_time=8\nroles=[\"light\",\"dark\"]"), 8, []string{"light: 1 of 4¾", "dark: 1 of 4¾"}},
		{"Common practice, no source: triangles of 2 by 4 add 1 5/16 and 11/16, here up to eighths", one(t, 4, 2, 1, "make=\"half-rectangle\"\nroles=[\"light\",\"dark\"]"), 2, []string{"light: 1 of 2¾ x 5⅜ once diagonally, rising to the right", "dark: 1 of 2¾ x 5⅜ once diagonally, rising to the right"}},
		{"the same, its mirror image, and an odd one", one(t, 4, 2, 1, "make=\"half-rectangle\"\nlean=\"left\"\nroles=[\"light\",\"dark\"]"), 3, []string{"light: 2 of 2¾ x 5⅜ once diagonally, falling to the right", "dark: 2 of 2¾ x 5⅜ once diagonally, falling to the right"}},
		{"the same, stood on end: what rises then falls as it lies", one(t, 2, 1, 2, "make=\"half-rectangle\"\nroles=[\"light\",\"dark\"]"), 2, []string{"light: 1 of 2¾ x 5⅜ once diagonally, falling to the right", "dark: 1 of 2¾ x 5⅜ once diagonally, falling to the right"}},
		{"Double Irish chain, alternate block, sewquilty.com 2001: 3 and 8 of a strip set", one(t, 12.5, 5, 5, "make=\"strip-set\"\nwidths=[1,3,1]\nsegments=[[\"dark\",\"light\",\"dark\"],[\"light\",\"light\",\"light\"],[\"dark\",\"light\",\"dark\"]]\nsegment_widths=[1,3,1]"), 1, []string{"dark: 4 of 3", "light: 1 of 8", "light: 4 of 3 x 8"}},
		{"quiltcg.com 2015: 5¼ squares cut twice give four triangles", one(t, 4, 1, 1, "make=\"quarter-square\"\nroles=[\"light\",\"dark\",\"light\",\"dark\"]"), 4, []string{"light: 2 of 5¼ twice diagonally", "dark: 2 of 5¼ twice diagonally"}},
	} {
		require.Equal(t, c.want, cutsOf(t, c.recipe, c.blocks), c.source)
	}
	// The alternate block of the double chain, 12½ inches, sewquilty.com 2001.
	r := builtIn(t, "double-irish-chain")
	var got []string
	for _, c := range r.Cuts([]Stand{{}, {Count: 1}}, Method{System: Inches(), WOFIn: 40, OneByOne: true}) {
		got = append(got, fmt.Sprintf("%s: %d of %v x %v", c.Role.Name, c.Count, c.WidthIn, c.LengthIn))
	}
	require.Equal(t, []string{"outer: 4 of 3 x 3", "background: 1 of 8 x 8", "background: 4 of 3 x 8"}, got)
}

// cutBack sums cut widths joined side by side: every seam takes two allowances.
func cutBack(widths ...float64) float64 {
	sum := 0.0
	for _, w := range widths {
		sum += w
	}
	return sum - float64(len(widths)-1)*0.5
}

// The measure of a sewn block, from its cut pieces: four 2½ squares make 4½
// (quiltingboard.com 1061906), nine 3½ make 9½ (sharontriestoquilt.blogspot.com),
// a log cabin of 3 and six logs of 1¾ makes 10½ (brunswickquilters.com), of 1½
// and six of 1½ makes 7½ (quiltingboard.com t200383), four rails of 2½ make 8½
// (alyciaquilts.blogspot.com 2010), twelve bricks of 8½ a row of 96½ (American
// Patchwork & Quilting, Red, White, and Blue Bricks).
func TestSewnBack(t *testing.T) {
	width := func(r *Recipe) float64 {
		cut, _ := Inches().Plain(r.WidthIn)
		return cut
	}
	require.Equal(t, 4.5, cutBack(2.5, 2.5))
	require.Equal(t, cutBack(2.5, 2.5), width(sized(t, "four-patch", 4)))
	require.Equal(t, 9.5, cutBack(3.5, 3.5, 3.5))
	require.Equal(t, cutBack(3.5, 3.5, 3.5), width(sized(t, "nine-patch", 9)))
	require.Equal(t, 10.5, cutBack(3, 1.75, 1.75, 1.75, 1.75, 1.75, 1.75))
	require.Equal(t, 10.5, width(sized(t, "log-cabin", 10)))
	logs := read(t, "name=\"x\"\nwidth=7\ngrid=[7,7]\n[[patch]]\nat=[[1,1]]\nmake=\"log-cabin\"\ncentre=1\nlog=1\nrounds=3\nroles=[\"red\",\"light\",\"dark\"]")
	require.Equal(t, 7.5, width(logs))
	require.Equal(t, "red: 1 of 1½", cutsOf(t, logs, 1)[0])
	rails := one(t, 8, 4, 4, "make=\"strip-set\"\nroles=[\"light\",\"medium\",\"dark\",\"red\"]")
	require.Equal(t, 8.5, cutBack(2.5, 2.5, 2.5, 2.5))
	require.Equal(t, "light: 1 of 2½ x 8½", cutsOf(t, rails, 1)[0])
	bricks := sized(t, "bricks", 8)
	bricks.HeightIn = 4.5
	w, _ := bricks.TopSize(12, 1)
	cut, _ := Inches().Plain(w)
	require.Equal(t, 96.5, cut)
	// Watson, "Cutting the baby bricks", christaquilts.com 2012: bricks of 4½ × 8½,
	// half a brick 4½ square.
	bricks = sized(t, "bricks", 8)
	cuts := bricks.TopCuts(3, 2, Method{System: Inches(), WOFIn: 40})
	require.Equal(t, []float64{4.5, 8.5, 5}, []float64{cuts[0].WidthIn, cuts[0].LengthIn, float64(cuts[0].Count)})
	require.Equal(t, []float64{4.5, 4.5, 2}, []float64{cuts[1].WidthIn, cuts[1].LengthIn, float64(cuts[1].Count)})
}

// A 6-inch block with five ½-inch logs on each side has a centre of 1
// (a drafting book, pp. 39-40, issuhub.com 22573).
func TestCentreOfALogCabin(t *testing.T) {
	r := read(t, "name=\"x\"\nwidth=6\ngrid=[12,12]\n[[patch]]\nat=[[1,1]]\nmake=\"courthouse-steps\"\ncentre=2\nlog=1\nrounds=5\nroles=[\"red\",\"light\",\"dark\"]")
	min, max := r.BlockLayout(0).Patches[0].Polygon.Bounds()
	require.InDelta(t, 1, max.X-min.X, 1e-12)
}

// Rails of 2½, four to a set of 8½: five blocks a set need 42½ of width
// (alyciaquilts.blogspot.com 2010: 16 sets, 80 blocks); 40 and 42 give four.
func TestStripSets(t *testing.T) {
	r := one(t, 8, 4, 4, "make=\"strip-set\"\nroles=[\"light\",\"medium\",\"dark\",\"red\"]")
	for _, c := range []struct {
		wof          float64
		blocks, sets int
		rest         float64 // the length of the last set, where it is shorter
	}{{42.5, 80, 16, 0}, {42, 80, 20, 0}, {42, 64, 16, 0}, {40, 64, 16, 0}, {40, 65, 16, 9}, {40, 67, 16, 26}, {26, 65, 21, 17.5}} {
		cuts := r.Cuts([]Stand{{Count: c.blocks}}, Method{System: Inches(), WOFIn: c.wof})
		require.Equal(t, c.sets, cuts[0].Count, "%+v", c)
		require.Equal(t, []float64{2.5, 0}, []float64{cuts[0].WidthIn, cuts[0].LengthIn})
		if c.rest == 0 {
			require.Len(t, cuts, 4)
			continue
		}
		require.Len(t, cuts, 8)
		require.Equal(t, []float64{1, 2.5, c.rest}, []float64{float64(cuts[1].Count), cuts[1].WidthIn, cuts[1].LengthIn})
	}
}

// Setting squares: Watson, "Quilty math", and an on-point chart,
// lukas.is-a-geek.org/tani/chart.htm; every row by block × 1.414 + 1¼ and
// block ÷ 1.414 + ⅞, rounded up to ⅛.
func TestSettingTriangles(t *testing.T) {
	for _, c := range []struct{ block, side, corner string }{
		{"3", "5½", "3"}, {"4", "7", "3¾"}, {"5", "8⅜", "4½"}, {"6", "9¾", "5⅛"}, {"7", "11¼", "5⅞"}, {"8", "12⅝", "6⅝"},
		{"9", "14", "7¼"}, {"10", "15½", "8"}, {"12", "18¼", "9⅜"}, {"14", "21⅛", "10⅞"}, {"15", "22½", "11½"}, {"16", "23⅞", "12¼"},
	} {
		block, err := cloth.ParseLength(c.block)
		require.NoError(t, err)
		side, _ := Inches().SideTriangle(block)
		corner, _ := Inches().CornerTriangle(block)
		require.Equal(t, c.side, Inches().Format(side), c.block)
		require.Equal(t, c.corner, Inches().Format(corner), c.block)
	}
}

// Figures in print that are wrong, or too small to sew with.
func TestWrongFiguresAreNotGiven(t *testing.T) {
	s := Inches()
	strip := func(block float64, rails int) float64 {
		cut, _ := s.Plain(block / float64(rails))
		return cut
	}
	// newquilters.com, "Rail fence strip piecing": 1⅜, 1½ and 2¼ are printed.
	require.Equal(t, 1.25, strip(3, 4))
	require.Equal(t, 2.0, strip(6, 4))
	require.Equal(t, 2.0, strip(3, 2))
	// empirebom.blogspot.co.uk 2017: a star of 8 inches "trimmed to 8".
	star := sized(t, "sawtooth-star", 8)
	require.Equal(t, "centre: 1 of 4½", cutsOf(t, star, 1)[0])
	whole, _ := s.Plain(star.WidthIn)
	require.Equal(t, 8.5, whole)
	// bkkquilt.com: + ⅞ on 2 printed as 3⅜.
	half, _ := s.Half(2)
	require.Equal(t, 2.875, half)
	// littletinypiranha.blogspot.com 2014: 5, then 5¼, for a unit of 4½ finished.
	half, _ = s.Half(4.5)
	require.Equal(t, 5.375, half)
	// Clements, The Quilter's Bible 2011, an excerpt: + ⅝ and + 1¼ on a rectangle.
	w, _ := s.Plain(3)
	require.Equal(t, 3.5, w)
	// Wickell, "Rotary cut shapes": 10¾ for a corner of 14, rounded to the nearest.
	corner, _ := s.CornerTriangle(14)
	require.Equal(t, 10.875, corner)
}

// A metric goose of 10 × 5 cm with seams of 7.5 mm: 13.5 and 7.5 are printed
// (weednstitch.blogspot.com 2012); the geometry is 13.62 and 7.56, and we round
// up. Seams of 6.5 mm add 1.3, 2.22 and 3.14 cm (the same geometry).
func TestMetric(t *testing.T) {
	s := Centimetres(0.75 / 2.54)
	large, _ := s.Quarter(10 / 2.54)
	small, _ := s.Half(5 / 2.54)
	require.Equal(t, "13.7 cm", s.Format(large))
	require.Equal(t, "7.6 cm", s.Format(small))
	require.Greater(t, large*2.54, 13.62)
	require.Greater(t, small*2.54, 7.56)
	s = Centimetres(0.65 / 2.54)
	for want, cut := range map[string]func(float64) (float64, Why){"11.3 cm": s.Plain, "12.3 cm": s.Half, "13.2 cm": s.Quarter} {
		in, _ := cut(10 / 2.54)
		require.Equal(t, want, s.Format(in))
	}
}

func TestParseSeam(t *testing.T) {
	for text, want := range map[string]float64{"¼": 0.25, "scant": 0.25, "Scant ": 0.25, "1/4": 0.25, "6.5mm": 0.65 / 2.54, "7.5 mm": 0.75 / 2.54, "0.75cm": 0.75 / 2.54} {
		got, err := ParseSeam(text, cloth.Inches)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-12, text)
	}
	for _, text := range []string{"", "0", "2", "wide"} {
		_, err := ParseSeam(text, cloth.Inches)
		require.ErrorContains(t, err, "scant")
	}
	for text, want := range map[string]float64{"¼": 0.25, "1/4": 0.25, "scant": 0.25, "0.75": 0.75 / 2.54, "7.5mm": 0.75 / 2.54, "0.25in": 0.25} {
		got, err := ParseSeam(text, cloth.Centimetres)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-12, text)
	}
}

func TestFormat(t *testing.T) {
	require.Equal(t, "10.776", Inches().Format(10.776))
	require.Equal(t, "10⅞", Inches().Format(10.875))
	require.Equal(t, "0", Inches().Format(0))
	m := Centimetres(0.3)
	require.Equal(t, "6.5 cm", m.Format(6.5/2.54))
	require.Equal(t, "30.48 cm", m.Format(12))
	require.Equal(t, "100 cm", m.Format(100/2.54))
}

// Snowball fight, katiemaequilts.com: corners of 4 sewn again ½ inch off give
// triangle squares of 3.
func TestSecondSeam(t *testing.T) {
	require.Equal(t, 3.0, Inches().SecondSeam(4))
	require.Zero(t, Inches().SecondSeam(1))
	// Sewn 2 seams off the first, the leg left is c − 2·seam·√2: enough to trim.
	for _, c := range []float64{1.5, 2, 2.5, 3.5} {
		require.LessOrEqual(t, Inches().SecondSeam(c), c-0.5*math.Sqrt2)
	}
}

func TestRoundingIsNeverDown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Inches()
		if rapid.Bool().Draw(t, "metric") {
			s = Centimetres(rapid.Float64Range(0.1, 1).Draw(t, "seam"))
		}
		s.Seam = rapid.Float64Range(0.1, 1).Draw(t, "seam")
		s.Trim = rapid.SampledFrom([]float64{0, 0.125, 0.25}).Draw(t, "trim")
		f := rapid.Float64Range(0.25, 60).Draw(t, "finished")
		check := func(got, exact float64) {
			require.GreaterOrEqual(t, got, exact-s.Step*1e-5)
			require.Less(t, got, exact+2*s.Step)
			marks := got / s.Step
			require.InDelta(t, math.Round(marks), marks, 1e-6)
		}
		side, _ := s.SideTriangle(f)
		check(side, f*math.Sqrt2+(2+2*math.Sqrt2)*s.Seam+s.Trim)
		corner, _ := s.CornerTriangle(f)
		check(corner, f/math.Sqrt2+(2+math.Sqrt2)*s.Seam+s.Trim)
		plain, _ := s.Plain(f)
		check(plain, f+2*s.Seam)
		half, _ := s.Half(f)
		check(half, f+(2+math.Sqrt2)*s.Seam+s.Trim)
		quarter, _ := s.Quarter(f)
		check(quarter, f+(2+2*math.Sqrt2)*s.Seam+s.Trim)
	})
}

// More blocks never need fewer pieces of a size, whatever the block, and where they are
// cut from strips sewn together never less cloth.
func TestMoreBlocksNeverNeedLess(t *testing.T) {
	for _, name := range Names() {
		r := builtIn(t, name)
		for _, c := range []Method{{System: Inches(), WOFIn: 40}, {System: Inches(), WOFIn: 42, OneByOne: true}} {
			before := map[string]int{}
			for n := 1; n <= 40; n++ {
				now := map[string]int{}
				for _, cut := range r.Cuts([]Stand{{Count: n}, {Count: n}}, c) {
					switch {
					case c.OneByOne:
						now[fmt.Sprint(cut.Role, cut.WidthIn, cut.LengthIn, cut.Split)] = cut.Count
					case cut.LengthIn == 0:
						now[cut.Role.Name] += int(64 * float64(cut.Count) * cut.WidthIn * c.WOFIn)
					default:
						now[cut.Role.Name] += int(64 * float64(cut.Count) * cut.WidthIn * cut.LengthIn)
					}
				}
				for k, v := range before {
					require.GreaterOrEqual(t, now[k], v, "%s, %d blocks", name, n)
				}
				before = now
			}
		}
	}
}

// The area of the cut pieces of plain patches, less their seams, is the area of
// the quilt: nothing is forgotten, whatever the setting.
func TestCutsCoverTheTop(t *testing.T) {
	for name, r := range quilts(t) {
		if r.Setting.Kind == OnPoint {
			continue
		}
		plain := true
		for _, b := range r.Blocks {
			for _, u := range b.Units {
				plain = plain && (u.Make == Plain || u.Make == StripSet || u.Make == LogCabin || u.Make == CourthouseSteps)
			}
		}
		if !plain {
			continue
		}
		a := 0.0
		for _, c := range r.TopCuts(3, 5, Method{System: Inches(), WOFIn: 400, OneByOne: true}) {
			a += float64(c.Count) * (c.WidthIn - 0.5) * (c.LengthIn - 0.5)
		}
		l := r.QuiltLayout(3, 5)
		for _, p := range l.Patches {
			if p.Kind == InBorder { // plain strips are cut elsewhere
				a += p.Polygon.Area()
			}
		}
		require.InDelta(t, l.WidthIn*l.HeightIn, a, 1e-6, name)
	}
}

// yields is how many patches of the top a cut piece becomes: a square sewn to
// another and cut apart is shared out among the units it makes.
var yields = map[string]int{
	"half-square triangles, two at a time":    2,
	"half-square triangles, eight at a time":  8,
	"half-rectangle triangles, two at a time": 2,
	"hourglasses, two at a time":              4,
	"quarter-square triangles":                4,
	"side triangles":                          4,
	"corner triangles":                        2,
	"half cornerstones, at the edges":         4,
}

func isGoose(r *Recipe, role Role) bool {
	for _, b := range r.Blocks {
		for _, u := range b.Units {
			if u.Make == FlyingGeese && u.Roles[0] == role {
				return true
			}
		}
	}
	return false
}

// Cut pieces and patches of the layout are counted apart and must agree.
func TestCutsMakeThePatches(t *testing.T) {
	for name, r := range quilts(t) {
		const columns, rows = 3, 3 // on point: 8 side triangles, from 2 squares
		made, laid := map[Role]int{}, map[Role]int{}
		spare := map[Role]int{} // what several at a time give beyond the need
		for _, c := range r.TopCuts(columns, rows, Method{System: Inches(), WOFIn: 400, OneByOne: true}) {
			if c.AnyIn2 > 0 {
				continue
			}
			each := 1
			n, ok := yields[c.For[0]]
			if ok = ok || c.For[0] == "flying geese, four at a time"; ok {
				if n == 0 { // a large square gives four geese, a small one half of the sky of two
					n = 2
					if isGoose(r, c.Role) {
						n = 4
					}
				}
				require.Len(t, c.For, 1)
				each = n
				spare[c.Role] += n - 1
			}
			made[c.Role] += each * c.Count
		}
		l := r.QuiltLayout(columns, rows)
		for i, p := range l.Patches {
			if p.Kind != InBorder && !l.ofScraps(r, i) {
				laid[p.Role]++
			}
		}
		require.Len(t, made, len(laid), name)
		for role, n := range laid {
			require.GreaterOrEqual(t, made[role], n, "%s %s", name, role.Name)
			require.LessOrEqual(t, made[role], n+spare[role], "%s %s", name, role.Name)
		}
	}
}

// movedOut is the area of a patch with a seam allowance beyond each of its sides.
func movedOut(g geom.Polygon, seam float64) float64 { return movedOutline(g, seam).Area() }

// movedOutline is a patch with a seam allowance: each side is moved out, and those that
// follow one another meet anew.
func movedOutline(g geom.Polygon, seam float64) (out geom.Polygon) {
	for i, p := range g {
		before, after := g[(i+len(g)-1)%len(g)], g[(i+1)%len(g)]
		a, b := p.Sub(before).Mul(1/p.Dist(before)), after.Sub(p).Mul(1/after.Dist(p))
		// The allowances of two sides are a rhombus at their corner.
		out = append(out, p.Add(a.Sub(b).Mul(seam/a.Cross(b))))
	}
	return out
}

// boxed is the area of the rectangle round a patch with a seam allowance beyond it.
func boxed(g geom.Polygon, seam float64) float64 {
	lo, hi := g.Bounds()
	return (hi.X - lo.X + 2*seam) * (hi.Y - lo.Y + 2*seam)
}

// The cloth that every built-in block is cut from, computed another way, from the
// drawing alone: each patch with a seam allowance round it, and where squares are
// flipped over corners those squares and what they lie on. Cut for eight blocks so that
// what is made several at a time comes out even, on a ruler without marks.
func TestCutsHaveTheAreaOfThePatches(t *testing.T) {
	const blocks = 8
	s := System{Seam: 0.25, Step: 1e-9}
	for _, name := range Names() {
		r := builtIn(t, name)
		for i, b := range r.Blocks {
			stands := make([]Stand, len(r.Blocks))
			stands[i].Count = blocks
			cut, marks := 0.0, 0.0
			for _, c := range r.Cuts(stands, Method{System: s, WOFIn: 400, OneByOne: true}) {
				cut += c.WidthIn*c.LengthIn*float64(c.Count) + c.AnyIn2
			}
			for _, c := range r.Cuts(stands, Method{System: Inches(), WOFIn: 400, OneByOne: true}) {
				marks += c.WidthIn*c.LengthIn*float64(c.Count) + c.AnyIn2
			}
			drawn := 0.0
			units := map[int][]geom.Polygon{}
			for _, p := range r.BlockLayout(i).Patches {
				units[p.Unit] = append(units[p.Unit], p.Polygon)
			}
			for k, patches := range units {
				u := b.Units[k]
				if u.Make == Strings { // by the lines they lie between
					w, h := r.WidthIn*float64(u.Wide)/float64(b.Columns), r.HeightIn*float64(u.High)/float64(b.Rows)
					long := math.Hypot(w, h)
					for n, at := range stringEnds {
						before, both := 0.0, 2.0
						if n == 0 {
							before, both = -at, 1
						} else {
							before = stringEnds[n-1]
						}
						drawn += both * ((at-before)*w*h/long + 2*s.Seam) * (long*(1-max(0, before)) + 2*s.Seam)
					}
					continue
				}
				over := u.Make == FlipCorners || u.Make == FlyingGeese && u.AtATime == 1
				if over {
					var all geom.Polygon
					for _, g := range patches {
						all = append(all, g...)
					}
					drawn += boxed(all, s.Seam)
				}
				for n, g := range patches {
					switch {
					case over && n > 0:
						drawn += boxed(g, s.Seam)
					case u.Make == Crumbs:
						drawn += (1 + trimmed) * boxed(g, s.Seam)
					case !over:
						drawn += movedOut(g, s.Seam)
					}
				}
			}
			require.InDelta(t, blocks*drawn, cut, 1e-5, "%s: %s", name, b.Name)
			require.GreaterOrEqual(t, marks, cut-1e-6, "%s: %s, up to a mark", name, b.Name)
			require.Less(t, marks, 1.25*cut, "%s: %s, up to a mark", name, b.Name)
		}
	}
}

// The cut list of every built-in block, at its own size and at another, counted another way:
// from the polygons of its drawing and the trade's rules (plane geometry: each side moved out by
// the seam, which on marks of the ruler comes to + ½, + ⅞ and + 1¼). Each patch is cut as the box
// round it with its allowances: by itself, or as its share of a square that is sewn to
// another and cut apart. Strings and crumbs have no cut list. Published lists stand at
// TestBlocksAreCutAsPublished; for the built-in blocks that are not there none was found, and
// what holds them is this.
func TestCutListsAreThoseOfTheDrawing(t *testing.T) {
	const blocks = 8 // so that what is made several at a time comes out even
	up := func(in float64) float64 { return math.Ceil(8*in-1e-6) / 8 }
	for _, name := range Names() {
		for _, times := range []float64{1, 1.25} {
			r := builtIn(t, name)
			r, err := r.Resize(times * r.WidthIn)
			require.NoError(t, err)
			for i, b := range r.Blocks {
				want, got := map[string]float64{}, map[string]float64{}
				put := func(to map[string]float64, role Role, w, h, count float64) {
					to[fmt.Sprintf("%s %v x %v", role.Name, min(w, h), max(w, h))] += count
				}
				first := map[int]bool{} // of a unit: what corners are flipped over
				for _, p := range r.BlockLayout(i).Patches {
					u := b.Units[p.Unit]
					lo, hi := p.Polygon.Bounds()
					w, h := hi.X-lo.X, hi.Y-lo.Y // finished
					lo, hi = movedOutline(p.Polygon, 0.25).Bounds()
					cutW, cutH := up(hi.X-lo.X), up(hi.Y-lo.Y)
					share := float64(u.AtATime)
					over := !first[p.Unit]
					first[p.Unit] = true
					switch u.Make {
					case Strings, Crumbs:
					case HalfSquare:
						if share == 8 { // a square of two by two, each with its allowances
							cutW, cutH = up(2*(hi.X-lo.X)), up(2*(hi.Y-lo.Y))
						}
						put(want, p.Role, cutW, cutH, blocks/share)
					case HalfRectangle:
						put(want, p.Role, cutW, cutH, blocks/2.)
					case Hourglass, QuarterSquare:
						put(want, p.Role, max(cutW, cutH), max(cutW, cutH), blocks/4.)
					case FlyingGeese:
						switch {
						case share == 4 && over:
							put(want, p.Role, max(cutW, cutH), max(cutW, cutH), blocks/4.)
						case share == 4:
							put(want, p.Role, cutW, cutH, blocks/2.)
						default:
							put(want, p.Role, up(w+0.5), up(h+0.5), blocks)
						}
					default:
						put(want, p.Role, up(w+0.5), up(h+0.5), blocks)
					}
				}
				stands := make([]Stand, len(r.Blocks))
				stands[i].Count = blocks
				for _, c := range r.Cuts(stands, Method{System: Inches(), WOFIn: 400, OneByOne: true}) {
					if c.AnyIn2 == 0 {
						put(got, c.Role, c.WidthIn, c.LengthIn, float64(c.Count))
					}
				}
				require.Equal(t, want, got, "%s × %v: %s", name, times, b.Name)
			}
		}
	}
}

// Every cut says how it came about, and which of its pieces lie across.
func TestCutsSayWhyAndHowTheyLie(t *testing.T) {
	for name, r := range quilts(t) {
		across := 0
		for _, c := range r.TopCuts(3, 3, Method{System: Inches(), WOFIn: 40}) {
			require.NotEmpty(t, c.Why, name)
			require.NotEmpty(t, c.For, name)
			for _, w := range c.Why {
				require.NotEmpty(t, w.Steps, name)
			}
			require.LessOrEqual(t, c.Across, c.Count)
			across += c.Across
		}
		if name == "sashed all round" {
			require.Equal(t, 4*3, across)
		}
		if name == "sawtooth-star" {
			require.Equal(t, 2*9, across)
		}
	}
}

func TestLongSashingIsJoined(t *testing.T) {
	r := builtIn(t, "pinwheel") // 6 inches; 9 across with 8 lines of 1 is 62 finished
	r.Sashing = Sashing{WidthIn: 1, Role: Role{Name: "sashing"}}
	cuts := r.TopCuts(9, 3, Method{System: Inches(), WOFIn: 40})
	last := cuts[len(cuts)-2:]
	require.Equal(t, []string{"sashing between rows"}, last[0].For)
	require.Equal(t, 4, last[0].Count) // 2 × 62½ = 125; 4 × 40 − 3 × ½ = 158½, 3 × 40 − 1 = 119
	require.Zero(t, last[0].LengthIn)
	require.Equal(t, []float64{1.5, 6.5, 24}, []float64{last[1].WidthIn, last[1].LengthIn, float64(last[1].Count)})
}

// Strips are laid, sewn and opened out as they are at the machine: the next lies
// across the end of the last at right angles, and is turned over the seam.
func TestDiagonalJoins(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := float64(rapid.IntRange(8, 40).Draw(t, "width in eighths")) / 8
		wof := float64(rapid.IntRange(30, 60).Draw(t, "wof"))
		length := float64(rapid.IntRange(1, 4000).Draw(t, "length in eighths")) / 8
		end := wof
		strips := 1
		for ; end < length; strips++ {
			// The next strip hangs down from the end of the last; the seam runs from
			// (end − width, width) down to (end, 0), the line x + y = end.
			far := 0.0
			for _, corner := range [][2]float64{{end - width, width}, {end, width}, {end - width, width - wof}, {end, width - wof}} {
				x, y := end-corner[1], end-corner[0] // turned over the seam
				require.True(t, y == 0 || math.Abs(y-width) < 1e-9, "it lies in line")
				far = max(far, x)
			}
			end = far
		}
		got, why := Inches().JoinedAslant(length, width, wof)
		require.Equal(t, strips, got, why.Text)
	})
}
