package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

func builtIn(t require.TestingT, name string) *recipe.Recipe {
	r, err := recipe.BuiltIn(name)
	require.NoError(t, err)
	return r
}

func need(t require.TestingT, o Order, s Shop) *Needs {
	n, err := Need(o, s)
	require.NoError(t, err)
	return n
}

func inInches() Shop { return Defaults(recipe.Inches()) }

// squares is a quilt of plain squares of a cut size.
func squares(t require.TestingT, cut float64) *recipe.Recipe {
	r, err := builtIn(t, "plain-squares").Resize(cut - 0.5)
	require.NoError(t, err)
	return r
}

// Keys longer than the side that they go along were planned, with spacers as wide as beds.
func TestPiecesOfABorderFitItsSides(t *testing.T) {
	plan := func(keys string) error {
		r, err := recipe.Read("mine", []byte("name = \"mine\"\nwidth = 6\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\n[[border]]\nwidth = 3\nkeys = "+keys+"\n"))
		require.NoError(t, err)
		_, err = Need(Order{Recipe: r, Columns: 3, Rows: 1}, Defaults(recipe.Inches()))
		return err
	}
	require.NoError(t, plan("6"))
	require.NoError(t, plan("[2, 6]"))
	for _, keys := range []string{"7", "[2, 7]", "12"} {
		require.ErrorContains(t, plan(keys), "a side of what it goes round 6")
	}
}

func TestYardage(t *testing.T) {
	for _, c := range []struct {
		source        string
		cut           float64
		columns, rows int
		wof, shrink   float64
		strips        int
		inches        float64
		buy           string
	}{
		// The 6 % is for shrinkage.
		{"McCloskey, How to figure yardage, featheredstar.wordpress.com", 2.5, 8, 10, 40, 0.06, 5, 12.5, "⅜ yd"},
		{"Quilt math, harriger.com", 3.5, 10, 10, 44, 0, 9, 31.5, "⅞ yd"},
		{"quiltingboard.com 6228687 (2013): 4.222 yards", 9.5, 7, 9, 42, 0, 16, 152, "4¼ yd"},
		{"common practice, no source: eight 4½ squares take an eighth of a yard", 4.5, 2, 4, 40, 0, 1, 4.5, "⅛ yd"},
	} {
		s := inInches()
		s.WOFIn, s.Shrink = c.wof, c.shrink
		y := need(t, Order{Recipe: squares(t, c.cut), Columns: c.columns, Rows: c.rows}, s).Yardage[0]
		require.Len(t, y.Layout.Strips, c.strips, c.source)
		require.InDelta(t, c.inches, y.LengthIn, 1e-9, c.source)
		require.Equal(t, c.buy, y.Buy, c.source)
		require.Equal(t, c.columns*c.rows, y.Pieces)
	}
}

// The washed yard that loses an inch each way, sylviasquiltdepot.com: an eighth
// gives 17 squares of 2½, so 18 take more; a quarter gives 51.
func TestSquaringUpLoss(t *testing.T) {
	s := inInches()
	s.WOFIn, s.SquaringIn, s.SquaringAcrossIn = 44, 1, 1
	buy := func(n int) string {
		return need(t, Order{Recipe: squares(t, 2.5), Columns: n, Rows: 1}, s).Yardage[0].Buy
	}
	require.Equal(t, []string{"⅛ yd", "¼ yd", "¼ yd", "⅜ yd"}, []string{buy(17), buy(18), buy(51), buy(52)})
}

// Ten inches longer than the way round: Watson, "Quilty math".
func TestBinding(t *testing.T) {
	for _, c := range []struct {
		source               string
		width, length, extra float64
		wof                  float64
		strips               int
	}{
		{"Measuring for continuous strips, sylviasquiltdepot.com", 46, 46, 0, 40, 5},
		{"Number of strips to bind a quilt, castillejacotton.blogspot.com 2013: 2 of each 40 for joins", 50, 60, 0, 40, 6},
		{"American Patchwork & Quilting, Red, White, and Blue Bricks; rule of Watson, Quilty math", 68, 92.5, 10, 40, 9},
	} {
		s := inInches()
		s.WOFIn, s.BindingExtraIn = c.wof, c.extra
		b := binding(recipe.Binding{CutIn: 2.5}, c.width, c.length, s)
		require.Equal(t, c.strips, b.Strips, c.source)
	}
	// Seven strips of 2½ are 17½ inches, stockingisthenewplanking.com; so ½ yard.
	in, buy := cutting.Bought(7*2.5, false)
	require.Equal(t, 18.0, in)
	require.Equal(t, "½ yd", buy)
}

// Diagonal joins once cost nothing: of these sizes 29 in 100 came out short. The
// binding is measured here by its area: joined in a ring each strip loses at either
// end a triangle of half a square of its width, and must then go round the raw edge.
func TestBindingGoesRound(t *testing.T) {
	for _, s := range []Shop{inInches(), Defaults(recipe.Centimetres(0.65 / 2.54)), Defaults(recipe.Centimetres(1 / 2.54))} {
		for _, cut := range []float64{1.25, 2.25, 2.5, 6 / 2.54, 3.5} {
			for _, wof := range []float64{36, 40, 42, 110 / 2.54, 60} {
				s.WOFIn, s.SquaringAcrossIn, s.BindingExtraIn = wof+1, 1, float64(2*int(cut))
				for width := 20.0; width <= 110; width += 3.25 {
					for length := width; length <= 1.6*width; length += 4.75 {
						b := binding(recipe.Binding{CutIn: cut}, width, length, s)
						area := float64(b.Strips) * (wof*b.CutIn - 2*b.CutIn*b.CutIn/2)
						edge := 2*(width+2*s.System.Seam) + 2*(length+2*s.System.Seam)
						require.GreaterOrEqual(t, area/b.CutIn, edge, "%v of %v round %v by %v", b.Strips, wof, width, length)
						// In one length, before its ends are joined, it is as much longer than
						// the quilt as asked; a strip fewer is not.
						wanted := 2*width + 2*length + s.BindingExtraIn
						inHand := func(strips int) float64 { return float64(strips)*wof - float64(strips-1)*b.CutIn }
						require.GreaterOrEqual(t, inHand(b.Strips), wanted-1e-6)
						if b.Strips > 1 {
							require.Less(t, inHand(b.Strips-1), b.RoundIn)
						}
					}
				}
			}
		}
	}
}

// A border is joined straight, by two seams; on the diagonal each join takes the
// width of the border.
func TestBordersAreJoined(t *testing.T) {
	r := squares(t, 6.5)
	r.Borders = []recipe.Border{{WidthIn: 5, Role: recipe.Role{Name: "border"}}, {WidthIn: 30, Role: recipe.Role{Name: "far"}}}
	n := need(t, Order{Recipe: r, Columns: 10, Rows: 12}, inInches())
	b := n.Borders[0]
	// Two sides of 72½ and two of 70½ are 286: 8 × 40 − 7 × ½ = 316½, 7 × 40 − 6 × ½ = 277;
	// 8 × 40 − 7 × 5½ = 281½, so nine on the diagonal.
	require.Equal(t, []float64{72.5, 70.5}, []float64{b.SideIn, b.TopIn})
	require.Equal(t, []int{8, 9}, []int{b.Strips, b.Aslant})
	require.Zero(t, n.Borders[1].Aslant, "too wide to lay one end across another")
	require.Contains(t, b.Why.Steps[len(b.Why.Steps)-1].Text, "7 straight joins of ½")
	s := inInches()
	s.SquaringAcrossIn = 4
	require.Equal(t, 9, need(t, Order{Recipe: r, Columns: 10, Rows: 12}, s).Borders[0].Strips, "of 36 inches: 8 × 36 − 7 × ½ = 284½")
}

func TestBacking(t *testing.T) {
	s := inInches()
	s.WOFIn = 42
	// American Patchwork & Quilting, Red, White, and Blue Bricks: 68 × 92½ takes
	// 5⅝ yards of 42.
	b := backing(recipe.Backing{OverIn: 4}, 68, 92.5, s)
	down := b.Ways[0]
	require.Equal(t, "down", down.Seams)
	require.Equal(t, []float64{2, 100.5, 201}, []float64{float64(down.Panels), down.PanelIn, down.LengthIn})
	require.InDelta(t, 5.583, down.LengthIn/36, 0.0005)
	require.Equal(t, "5⅝ yd", down.Buy)
	require.Equal(t, 0, b.Best)
	// Quilt backings, bellaonline.com: 72 × 90 takes 5½ yards.
	b = backing(recipe.Backing{OverIn: 4}, 72, 90, s)
	require.Equal(t, "5½ yd", b.Ways[b.Best].Buy)
	// 60 × 80 with 4 more on each side, by the rule of both directions.
	s.WOFIn = 40
	b = backing(recipe.Backing{OverIn: 4}, 60, 80, s)
	require.Equal(t, []any{2, 176.0, "5 yd"}, []any{b.Ways[0].Panels, b.Ways[0].LengthIn, b.Ways[0].Buy})
	require.Equal(t, []any{3, 204.0, "5¾ yd"}, []any{b.Ways[1].Panels, b.Ways[1].LengthIn, b.Ways[1].Buy})
	// quiltingboard.com t290638: 80 × 56 as it is, seams not counted, is 2 × 56.
	s.System.Seam = 1e-9
	way := panels("across", 80, 56, s)
	require.Equal(t, []any{2, 112.0, "3⅛ yd"}, []any{way.Panels, way.LengthIn, way.Buy})
	require.InDelta(t, 3.111, way.LengthIn/36, 0.0005)
	// An unsigned calculator page gives 50 × 70 as (W + 4)(H + 4) ÷ 36 = 111 yards.
	s = inInches()
	b = backing(recipe.Backing{OverIn: 4}, 50, 70, s)
	require.Equal(t, []string{"4⅜ yd", "3¼ yd"}, []string{b.Ways[0].Buy, b.Ways[1].Buy})
	require.Equal(t, 1, b.Best)
	// The same with 4 more in all: 3 yards across, 4⅛ down.
	b = backing(recipe.Backing{OverIn: 2}, 50, 70, s)
	require.Equal(t, []string{"4⅛ yd", "3 yd"}, []string{b.Ways[0].Buy, b.Ways[1].Buy})
	// Cloth wide enough to need no seam (common practice, no source): 68 × 88.
	s.BackWOFIn = 108
	b = backing(recipe.Backing{OverIn: 4}, 60, 80, s)
	require.Equal(t, []any{1, 68.0, "2 yd"}, []any{b.Ways[1].Panels, b.Ways[1].LengthIn, b.Ways[1].Buy})
	require.Equal(t, 1, b.Best)
	s.BackWOFIn = 0
	// A back no wider than the cloth has no seam.
	b = backing(recipe.Backing{OverIn: 2}, 36, 40, s)
	require.Equal(t, 1, b.Ways[0].Panels)
}

// The lengths of borders: "Determining border lengths", anniesattic.com.
func TestBorders(t *testing.T) {
	s := inInches()
	s.WOFIn = 42
	r := builtIn(t, "plain-squares")
	r.Borders = []recipe.Border{{WidthIn: 4.5}}
	// How to calculate quilt borders, generations-quilt-patterns.com: 56 × 61 with
	// strips cut 5 needs 254 inches, so 7 strips of 42.
	b := borders(r.RoundsAbout(56, 61), s)[0]
	require.Equal(t, 5.0, b.CutIn)
	require.Equal(t, 254.0, 2*b.SideIn+2*b.TopIn)
	require.Equal(t, 7, b.Strips)
	// Determining border lengths, anniesattic.com: a top of 40 × 50 and a border
	// of 4, worked here.
	r.Borders = []recipe.Border{{WidthIn: 4}, {WidthIn: 2, Mitred: true}}
	all := borders(r.RoundsAbout(40, 50), s)
	require.Equal(t, []float64{4.5, 50.5, 48.5}, []float64{all[0].CutIn, all[0].SideIn, all[0].TopIn})
	// The second goes round 48 × 58; mitred, it reaches its outer corners, twice
	// its width further (the same source).
	require.Equal(t, []float64{2.5, 62.5, 52.5}, []float64{all[1].CutIn, all[1].SideIn, all[1].TopIn})
}

// Common practice, no source: 24 blocks of 16 inches, 4 by 6, take 24 × 48 =
// 1152 squares of 2½, and 8 squares of 4½ a block, so an eighth of a yard each.
func TestReadingCorner(t *testing.T) {
	n := need(t, Order{Recipe: builtIn(t, "reading-corner"), Blocks: 24}, inInches())
	require.Equal(t, []int{4, 6}, []int{n.Columns, n.Rows})
	require.Equal(t, []float64{64, 96}, []float64{n.WidthIn, n.LengthIn})
	require.Len(t, n.Cuts, 2)
	require.Equal(t, []any{"any", 1152, 2.5}, []any{n.Cuts[0].Role.Name, n.Cuts[0].Count, n.Cuts[0].WidthIn})
	require.Equal(t, []any{"background", 192, 4.5}, []any{n.Cuts[1].Role.Name, n.Cuts[1].Count, n.Cuts[1].WidthIn})
	require.Equal(t, "background", n.Yardage[0].Role.Name)
	require.Equal(t, "3 yd", n.Yardage[0].Buy)
	require.Contains(t, strings.Join(n.Tight, "\n"), "leaves less than ½ inch to spare")
}

func TestHowLarge(t *testing.T) {
	block := builtIn(t, "ohio-star") // 12 inches
	chain := builtIn(t, "double-irish-chain")
	slat := builtIn(t, "plain-squares")
	slat.WidthIn, slat.HeightIn = 12, 1
	brick := builtIn(t, "plain-squares")
	brick.WidthIn, brick.HeightIn = 2, 1
	for _, c := range []struct {
		order         Order
		columns, rows int
		notes         int
	}{
		{Order{Recipe: block, Blocks: 20}, 4, 5, 0},
		{Order{Recipe: block, Blocks: 1}, 1, 1, 0},
		{Order{Recipe: block, Blocks: 23}, 4, 6, 1},
		{Order{Recipe: slat, Blocks: 1}, 1, 6, 1},
		{Order{Recipe: block, WidthIn: 60, LengthIn: 72}, 5, 6, 0},
		{Order{Recipe: block, WidthIn: 60.1, LengthIn: 71}, 6, 6, 0},
		{Order{Recipe: block, Columns: 1, Rows: 5}, 1, 5, 0},
		{Order{Recipe: block, Bed: "Twin XL"}, 6, 8, 0},
		{Order{Recipe: brick, Bed: "crib"}, 20, 55, 0}, // 40 × 55, what a crib takes: not up to 3 under
		{Order{Recipe: chain, Blocks: 12}, 3, 5, 1},
		{Order{Recipe: chain, WidthIn: 60, LengthIn: 72}, 5, 7, 0},
	} {
		n := need(t, c.order, inInches())
		require.Equal(t, []int{c.columns, c.rows, c.notes}, []int{n.Columns, n.Rows, len(n.Notes) - tightNotes(n)}, "%+v", c.order)
	}
	for _, c := range []struct {
		order Order
		says  string
	}{
		{Order{}, "no recipe"},
		{Order{Recipe: block}, "the number of blocks, the size or the bed"},
		{Order{Recipe: block, Blocks: 3, Bed: "twin"}, "given more than once"},
		{Order{Recipe: block, Blocks: -1}, "1 to 10000"},
		{Order{Recipe: block, WidthIn: 60}, "each side"},
		{Order{Recipe: block, WidthIn: 6000, LengthIn: 60}, "up to 400"},
		{Order{Recipe: block, Columns: 3}, "1 or more"},
		{Order{Recipe: block, Columns: 3000, Rows: 3000}, "at most"},
		{Order{Recipe: block, Bed: "hammock"}, "crib, throw, twin"},
	} {
		_, err := Need(c.order, inInches())
		require.Contains(t, fault.Of(err).Full(), c.says)
	}
}

// quiltingboard.com 6723231 (2014): for 90 inches after a shrinkage of 5 %, make
// 95.
func TestShrinkage(t *testing.T) {
	r := squares(t, 1.5) // one inch finished
	o := Order{Recipe: r, WidthIn: 90, LengthIn: 90, Shrinks: 0.05}
	n := need(t, o, inInches())
	require.Equal(t, 95.0, n.WidthIn)
	o.Shrinks = 1
	_, err := Need(o, inInches())
	require.Equal(t, "a quilt that shrinks by 100 % cannot be planned: give 0 to 20 %", fault.Of(err).Full())
	o = Order{Recipe: r, WidthIn: 90, LengthIn: 90}
	shop := inInches()
	shop.Shrink = 0.6
	_, err = Need(o, shop)
	require.Equal(t, "a shrinkage of 60 % cannot be planned with: give 0 to 50 %", fault.Of(err).Full())
}

// What is refused is said in the lengths it was given in: 20 cm was once
// "7.874015748031496 inches".
func TestRefusalsSpeakTheOwnLengths(t *testing.T) {
	o := Order{Recipe: squares(t, 1.5), Columns: 2, Rows: 2}
	shop := Defaults(recipe.Centimetres(0.25))
	shop.WOFIn = 20 / 2.54
	_, err := Need(o, shop)
	require.Equal(t, "cloth 20 cm wide cannot be planned with: give 25.4 cm to 330.2 cm", fault.Of(err).Full())
	shop = Defaults(recipe.Centimetres(0.25))
	_, err = Need(Order{Recipe: o.Recipe, WidthIn: 3000 / 2.54, LengthIn: 20}, shop)
	require.ErrorContains(t, err, "a quilt of 3000 cm by 50.8 cm cannot be planned")
}

// An eighth of a yard is 4½ inches; quiltersresources.com, "Measurements",
// prints 4/5.
func TestAnEighthOfAYard(t *testing.T) {
	in, buy := cutting.Bought(4.5, false)
	require.Equal(t, []any{4.5, "⅛ yd"}, []any{in, buy})
	in, buy = cutting.Bought(4.51, false)
	require.Equal(t, []any{9.0, "¼ yd"}, []any{in, buy})
	in, buy = cutting.Bought(101/2.54, true)
	require.InDelta(t, 110/2.54, in, 1e-9)
	require.Equal(t, "110 cm", buy)
}

func TestFlippedCornersGiveTriangles(t *testing.T) {
	n := need(t, Order{Recipe: builtIn(t, "reading-corner"), Blocks: 6}, inInches())
	require.Contains(t, strings.Join(n.Notes, "\n"), "sew each corner of 2½ a second time, ½ inch outside the first seam, and cut between the two: what comes off is a half-square triangle, to trim to 1½")

	r, err := recipe.Read("corners.toml", []byte("name = \"corners\"\nwidth = 6\ngrid = [3, 3]\n[[patch]]\nat = [[1, 1]]\nwide = 3\nhigh = 3\nmake = \"flip-corners\"\n"+
		"corners = [\"top-left\", \"top-right\"]\ncorner = 1\nroles = [\"light\", \"dark\", \"medium\"]"))
	require.NoError(t, err)
	n = need(t, Order{Recipe: r, Blocks: 4}, inInches())
	require.Equal(t, 1, strings.Count(strings.Join(n.Notes, "\n"), "a second time"), "once for two cloths of one size")
}

func tightNotes(n *Needs) int {
	k := 0
	for _, note := range n.Notes {
		if strings.Contains(note, "less than ½ inch to spare") {
			k++
		}
	}
	return k
}

// Every built-in recipe makes a quilt for every bed, in inches and in
// centimetres, no more than a block and what Odd adds too large.
func TestEveryBed(t *testing.T) {
	for _, name := range recipe.Names() {
		r := builtIn(t, name)
		for i, bed := range Beds {
			s := inInches()
			if i%2 == 1 {
				s = Defaults(recipe.Centimetres(0.65 / 2.54))
			}
			n := need(t, Order{Recipe: r, Bed: bed.Name}, s)
			for _, side := range [][3]float64{{n.WidthIn, bed.Width, r.WidthIn}, {n.LengthIn, bed.Length, r.HeightIn}} {
				require.GreaterOrEqual(t, side[0], side[1]-bedShort, "%s %s", name, bed.Name)
				if r.Setting.Columns == 0 { // what has one layout has one shape
					require.Less(t, side[0], side[1]+2*side[2], "%s %s", name, bed.Name)
				}
			}
			require.NotEmpty(t, n.Yardage)
		}
	}
}

func TestShopRefuses(t *testing.T) {
	for _, change := range []func(*Shop){
		func(s *Shop) { s.WOFIn = 0 },
		func(s *Shop) { s.BackWOFIn = 3 },
		func(s *Shop) { s.System.Seam = 0 },
		func(s *Shop) { s.System.Step = -1 },
		func(s *Shop) { s.System.Trim = 9 },
		func(s *Shop) { s.SquaringIn = -1 },
		func(s *Shop) { s.Shrink = 0.9 },
		func(s *Shop) { s.BindingExtraIn = -1 },
		func(s *Shop) { s.WOFIn, s.SquaringAcrossIn = 10, 5 }, // 5 inches are no length to join binding of 2½ from
	} {
		s := inInches()
		change(&s)
		_, err := Need(Order{Recipe: builtIn(t, "nine-patch"), Blocks: 4}, s)
		require.Contains(t, fault.Of(err).Full(), "give")
	}
	// A block too large for the cloth is refused by name.
	big := squares(t, 60)
	_, err := Need(Order{Recipe: big, Blocks: 1}, inInches())
	require.ErrorContains(t, err, "the cloth for any")
	require.ErrorContains(t, err, "does not fit")
}

// A print with an up: the bars that lie across the top are laid across the
// cloth, those that stand are laid along it, and it never takes less.
func TestOneWayPrints(t *testing.T) {
	r := builtIn(t, "sawtooth-star") // geese of 3½ × 6½, two lying and two standing
	free := inInches()
	oneWay := free
	oneWay.OneWay = []string{"background"}
	a := need(t, Order{Recipe: r, Blocks: 20}, free).Yardage[0]
	b := need(t, Order{Recipe: r, Blocks: 20}, oneWay).Yardage[0]
	require.GreaterOrEqual(t, b.LengthIn, a.LengthIn)
	require.Contains(t, b.Wants, cutting.Want{W: 6.5, L: 3.5, Count: 40})
	require.Contains(t, b.Wants, cutting.Want{W: 3.5, L: 6.5, Count: 40})
	for _, strip := range b.Layout.Strips {
		for _, p := range strip.Pieces {
			require.False(t, p.Turned)
		}
	}
	oneWay.OneWay = []string{"sky"}
	_, err := Need(Order{Recipe: r, Blocks: 20}, oneWay)
	require.Contains(t, fault.Of(err).Full(), `called "sky": it has background, centre, points, binding`)
}

// Every yardage is laid out whole, and its strips that span the cloth lie so.
func TestYardageHoldsEveryPiece(t *testing.T) {
	for _, name := range recipe.Names() {
		r := builtIn(t, name)
		r.Borders = []recipe.Border{{WidthIn: 2, Role: recipe.Role{Name: "background", Background: true}}}
		order := Order{Recipe: r, Blocks: 15}
		if r.Setting.Columns > 0 {
			order.Blocks = 0
		}
		n := need(t, order, inInches())
		cut := 0
		for _, y := range n.Yardage {
			laid := make([]int, len(y.Wants))
			for _, strip := range y.Layout.Strips {
				for _, p := range strip.Pieces {
					laid[p.Want]++
				}
			}
			for i, w := range y.Wants {
				require.Equal(t, w.Count, laid[i], name)
			}
			cut += y.Pieces
			require.LessOrEqual(t, y.AreaIn2, y.LengthIn*40+1e-6)
			require.GreaterOrEqual(t, y.BuyIn, y.LengthIn)
		}
		want := n.Binding.Strips + n.Borders[0].Strips
		for _, c := range n.Cuts {
			want += c.Count
		}
		require.Equal(t, want, cut, name)
	}
}

func TestWhyTellsEveryFigure(t *testing.T) {
	n := need(t, Order{Recipe: builtIn(t, "reading-corner"), Bed: "twin"}, inInches())
	var lines []string
	var walk func(recipe.Why)
	walk = func(w recipe.Why) {
		lines = append(lines, w.Text)
		for _, s := range w.Steps {
			walk(s)
		}
	}
	walk(n.Why)
	require.Subset(t, lines, []string{
		"reading corner, 64 by 96 finished",
		"taken: seams of ¼, cuts rounded up to ⅛, cloth 40 wide",
		"lost in squaring up: 0 of the width, 0 of each length",
		"24 blocks × 32 a block = 768",
		"2 finished + 2 seams of ¼ = 2½",
		"192 × 2 corners = 384",
		"background: 108 before rounding, so 3 yd",
		"2 × (64 + 96) + 10 for the seam allowance round the edge, for joining the ends and to spare = 330",
		"9 strips × 40 less 8 diagonal joins of 2½ = 340, enough for 330",
		"64 + 2 × 4 by 96 + 2 × 4 = 72 by 104",
		"2 × 40 less 1 seam of ½ = 79½, enough for 72",
		"seams across: 3 of 72, 6 yd",
	})
}

func TestMetricQuilt(t *testing.T) {
	r, err := recipe.Read("mine", []byte("name = \"x\"\nwidth = \"30 cm\"\ngrid = [3, 3]\n[[patch]]\nat = [[1, 1]]\nwide = 3\nhigh = 3\nrole = \"background\""))
	require.NoError(t, err)
	s := Defaults(recipe.Centimetres(0.75 / 2.54))
	s.WOFIn = 110 / 2.54
	n := need(t, Order{Recipe: r, Columns: 3, Rows: 4}, s)
	// 12 squares of 31.5 cm, three across 110 cm: 4 × 31.5 = 126, so 130 cm.
	require.InDelta(t, 31.5, n.Cuts[0].WidthIn*2.54, 1e-9)
	require.InDelta(t, 126, n.Yardage[0].LengthIn*2.54, 1e-6)
	require.Equal(t, "130 cm", n.Yardage[0].Buy)
	require.Contains(t, n.Yardage[0].Why.Text, "126 cm before rounding")
}

// One row more never needs less of anything, nor does wider cloth need more for
// binding and backing.
func TestMoreNeverNeedsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := builtIn(t, rapid.SampledFrom(recipe.Names()).Draw(t, "recipe"))
		wide := float64(rapid.IntRange(8, 96).Draw(t, "width in eighths of a cell")) / 8 * float64(r.Blocks[0].Columns)
		if wide < 20 {
			var err error
			if r, err = r.Resize(wide); err != nil {
				t.Skip("its patches are too small to sew")
			}
		}
		if rapid.Bool().Draw(t, "border") {
			r.Borders = []recipe.Border{{WidthIn: 3, Role: r.Blocks[0].Units[0].Roles[0]}}
		}
		s := inInches()
		s.WOFIn = float64(rapid.IntRange(36, 60).Draw(t, "wof"))
		s.OneByOne = rapid.Bool().Draw(t, "one by one")
		columns, rows := rapid.IntRange(1, 5).Draw(t, "columns"), rapid.IntRange(1, 6).Draw(t, "rows")
		if r.Setting.Columns > 0 || slices.ContainsFunc(r.Borders, recipe.Border.Pieced) {
			t.Skip("its spacers may be narrower round a larger top")
		}
		a := need(t, Order{Recipe: r, Columns: columns, Rows: rows}, s)
		b := need(t, Order{Recipe: r, Columns: columns, Rows: rows + 1}, s)
		require.GreaterOrEqual(t, b.Binding.Strips, a.Binding.Strips)
		require.GreaterOrEqual(t, b.Backing.Ways[b.Backing.Best].LengthIn, a.Backing.Ways[a.Backing.Best].LengthIn-1e-9)
		for _, before := range a.Yardage {
			for _, after := range b.Yardage {
				if before.Role == after.Role {
					require.GreaterOrEqual(t, after.Pieces, before.Pieces)
					require.GreaterOrEqual(t, after.LengthIn, before.LengthIn-1e-9, fmt.Sprint(r.Name, before.Role.Name))
				}
			}
		}
		s.WOFIn++
		c := need(t, Order{Recipe: r, Columns: columns, Rows: rows}, s)
		require.LessOrEqual(t, c.Binding.Strips, a.Binding.Strips)
		require.LessOrEqual(t, c.Backing.Ways[c.Backing.Best].LengthIn, a.Backing.Ways[a.Backing.Best].LengthIn+1e-9)
	})
}

// A border of keys of 1½ round a square of 36, 2 wide: 36 ÷ 1½ is even and 40 ÷ 1½ is not, so
// that a spacer of 1 at the sides alone makes the quilt 42 by 40. With squares at its corners both
// sides are 36. A border that is asked of strips is told where there is none.
func TestWhatABorderDoesToTheQuiltIsTold(t *testing.T) {
	told := func(border string, from Source) string {
		r, err := recipe.Read("mine.toml", []byte("name = \"mine\"\nwidth = 36\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\nrole = \"dark\"\n"+border))
		require.NoError(t, err)
		shop := inInches()
		shop.BorderFrom = from
		n, err := Need(Order{Recipe: r, Columns: 1, Rows: 1}, shop)
		require.NoError(t, err)
		return strings.Join(n.Notes, "\n")
	}
	const keys = "[[border]]\nwidth = 2\nkeys = 1.5\n"
	require.Contains(t, told(keys, ""), "border 1 makes the square that it goes round oblong: it comes out even by a spacer, 1 at the sides and none at top and bottom")
	require.NotContains(t, told(keys+"corner = \"dark\"\n", ""), "oblong")
	require.Contains(t, told(keys, Stash), "no border is joined from strips")
	require.NotContains(t, told("[[border]]\nwidth = 2\nrole = \"light\"\n", Stash), "no border is joined")
}
