package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/shelf"
)

// someStash has every form, your own bin, cloth entered by hand and a floor.
func someStash() Shelf {
	seen := func(n int, f cloth.Form, family cloth.Family, c colour.Linear, w, l float64, print string) cloth.Holding {
		lightness := c.Lab().L
		return cloth.Holding{
			Form: f, Count: n, Family: family, Value: cloth.ValueOf(lightness), WidthIn: w, LengthIn: l, Print: print,
			Measured: true, Mean: c, ReadsAs: c, Lightness: lightness, Trust: 0.9,
		}
	}
	sea := seen(6, cloth.Square, cloth.Teal, hex(70, 150, 150), 2.5, 2.5, "sea")
	sea.Bin = "sea greens"
	all := []cloth.Holding{
		seen(12, cloth.Square, cloth.Blue, hex(38, 52, 96), 2.5, 2.5, "a"),
		seen(3, cloth.Strip, cloth.Blue, hex(38, 52, 96), 2.5, 18, "a"),
		seen(1, cloth.Strip, cloth.Blue, hex(44, 60, 110), 2.5, 0, "b"),
		seen(5, cloth.Band, cloth.Pink, hex(201, 84, 110), 0, 0, ""),
		seen(2, cloth.Rectangle, cloth.White, hex(240, 232, 214), 2.5, 4.5, "c"),
		seen(4, cloth.Square, cloth.Green, hex(60, 140, 60), 6/2.54, 6/2.54, "d"),
		seen(1, cloth.Irregular, cloth.Many, hex(140, 120, 110), 3, 7, "e"),
		sea,
		{Form: cloth.Square, Count: 9, Family: cloth.Yellow, Value: cloth.Light, WidthIn: 2.5, LengthIn: 2.5, Trust: 1},
		{Form: cloth.Weighed, Count: 1, AreaIn2: 3617, Family: cloth.Brown, Value: cloth.Dark, Trust: 1},
		{Form: cloth.Square, Count: 2, WidthIn: 5, LengthIn: 5, Trust: 1},
	}
	o := shelf.StockOptions{Bins: shelf.ByFamily, Trim: shelf.DefaultTrim, Floors: []shelf.Floor{
		{Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(2.5), Least: 20}, {Alike: shelf.Alike{Own: "sea greens"}, Least: 8},
	}}
	s := Shelf{Shelf: desk.Shelf{Holdings: all, Stock: shelf.TakeStock(all, o), Since: "2026-09-01"}}
	for i, b := range s.Stock.Boxes {
		if i%2 == 0 {
			s.Changes = append(s.Changes, shelf.Count{Alike: b.Alike, Cut: b.Cut, Count: b.Count - 7*(i%3), AreaIn: b.AreaIn})
		}
	}
	return s
}

func stashText(t *testing.T, s Shelf, width int) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, s.Document().Text(&b, TextOptions{Width: width}))
	return b.String()
}

func TestStashTextGolden(t *testing.T) {
	golden(t, "stash.txt", []byte(stashText(t, someStash(), 0)))
	golden(t, "stash60.txt", []byte(stashText(t, someStash(), 60)))
}

func TestStashTextTellsApart(t *testing.T) {
	got := stashText(t, someStash(), 0)
	for _, want := range []string{
		"The stash: 39 pieces of known size, 1 of no known size, 5 bands seen on edge, 2.79 sq yd weighed, 6 prints\n",
		"squares after ½ inch squared off the end of each: 21 of 6 cm or 21 of 2½\n",
		"  blue, 2½ square: 12, wants 8 more (floor 20 for blue, 2½ square); its strips give 21\n",
		"  sea greens, 2½ square: 6, wants 2 more (floor 8 for sea greens)\n",
		"Changed since 2026-09-01\n",
	} {
		require.Contains(t, got, want)
	}
	require.NotContains(t, stashText(t, Shelf{}, 0), "Changed")
	require.Contains(t, stashText(t, Shelf{}, 0), "The stash: nothing yet\n")
}

func TestStashTextKeepsTheWidth(t *testing.T) {
	for _, l := range strings.Split(stashText(t, someStash(), 60), "\n") {
		require.LessOrEqual(t, len([]rune(l)), 60, l)
	}
}

func TestStashJSONContract(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, StashJSON(&b, someStash()))
	golden(t, "stash.json", b.Bytes())
	var v struct {
		Bins []struct {
			Bin, Family, Value, Cut string
			Count, Seen             int
		}
		Thin []struct{ Count, Want, Missing int }
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &v))
	require.Equal(t, "sea greens", v.Bins[0].Bin)
	require.Empty(t, v.Bins[0].Family, "your own bin goes before the family")
	for _, x := range v.Thin {
		require.Equal(t, x.Want-x.Count, x.Missing)
	}
}

func TestStashCSVHasEveryBoxAndEveryGap(t *testing.T) {
	s := someStash()
	var b bytes.Buffer
	require.NoError(t, StashCSV(&b, s))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	pieces, thin := 0, 0
	for i, r := range rows {
		if i == 0 {
			require.Equal(t, stashHead, r)
			continue
		}
		if r[4] != "" {
			n := 0
			_, err := fmt.Sscan(r[7], &n)
			require.NoError(t, err)
			pieces += n
		}
		if r[12] == "thin" {
			thin++
		}
	}
	require.Equal(t, s.Stock.Totals.Sized+s.Stock.Totals.Seen, pieces)
	require.Equal(t, len(s.Stock.Short), thin)
}

func stashHTML(t *testing.T, s Shelf) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, s.Document().HTML(&b))
	return b.String()
}

func TestStashHTMLGolden(t *testing.T) {
	got := regexp.MustCompile(`(?s)<style>.*</style>`).ReplaceAllString(stashHTML(t, someStash()), "<style>…</style>")
	golden(t, "stash.html", []byte(got))
}

func TestStashHTMLIsSelfContainedAndWhole(t *testing.T) {
	for _, s := range []Shelf{someStash(), {}} {
		page := stashHTML(t, s)
		all, words := elements(t, page)
		require.NotRegexp(t, `url\(|@import|https?://|<script|<link|<img`, page)
		rows := 0
		for _, e := range all {
			switch e.name {
			case "svg":
				require.True(t, e.attr["aria-hidden"] == "true" || e.attr["role"] == "img" && e.attr["aria-label"] != "", "a drawing without words")
			case "td":
				rows++
			}
		}
		if len(s.Holdings) == 0 {
			require.Contains(t, words, "Stow a photo")
			continue
		}
		require.Equal(t, 7*len(s.Stock.Bins), rows)
		require.Contains(t, words, "9 pieces entered by hand: their colours are drawn from the name alone.")
	}
}

// A bin of yours is text, whatever its name holds.
func TestStashHTMLEscapesNames(t *testing.T) {
	s := someStash()
	for i := range s.Holdings {
		s.Holdings[i].Bin = `<script>alert("x")</script>`
	}
	s.Stock = shelf.TakeStock(s.Holdings, shelf.StockOptions{})
	require.NotContains(t, stashHTML(t, s), "<script")
}

// Every piece with a colour stands once on the wheel or beside it, and nothing
// leaves the ring however much there is of it.
func TestStashWheelHoldsEveryPieceOnce(t *testing.T) {
	s := someStash()
	s.Holdings = append(s.Holdings, cloth.Holding{Form: cloth.Square, Count: 150_000, Family: cloth.Red, Value: cloth.Dark})
	s.Stock = shelf.TakeStock(s.Holdings, shelf.StockOptions{})
	tn := tonesOf(s.Holdings)
	n := 0
	for _, w := range tn.wedges {
		n += sumOf(w)
	}
	for _, family := range cloth.Families {
		if _, ring := ringHue(family); !ring {
			for _, v := range cloth.Values {
				if x := tn.alike[shelf.Alike{Family: family, Value: v}]; x != nil {
					n += x.count
				}
			}
		}
	}
	require.Equal(t, s.Stock.Totals.Sized+s.Stock.Totals.Seen-s.Stock.Totals.Unnamed, n)
	hub := geom.Point{X: wheelSide / 2, Y: wheelSide / 2}
	for _, x := range wheelPatches(tn) {
		for _, p := range x.Points {
			require.LessOrEqual(t, p.Dist(hub), wheelRim+1e-9)
			require.GreaterOrEqual(t, p.Dist(hub), wheelHub-1e-9)
		}
	}
	for _, x := range barsDrawing("", append(valueBars(s.Stock.Balance), offBars(s.Stock.Balance)...), tn).Shapes {
		_, hi := x.Points.Bounds()
		require.LessOrEqual(t, hi.X, wheelSide+1e-9)
	}
}

// A colour that was named by hand points to its name.
func TestNamedColoursPointToTheirNames(t *testing.T) {
	for _, f := range ringFamilies {
		tn := tonesOf([]cloth.Holding{{Form: cloth.Square, Count: 1, Family: f.family, Value: cloth.Medium}})
		all := wheelPatches(tn)
		require.Len(t, all, 1)
		hub := geom.Point{X: wheelSide / 2, Y: wheelSide / 2}
		p, q := all[0].Points.Centroid().Sub(hub), wheelPoint(1, turnOf(f.hue)).Sub(hub)
		require.Greater(t, p.Dot(q)/p.Len(), math.Cos(wedgeTurn), "%s", f.family)
	}
}

// Ten empty bins below one floor were once ten lines.
func TestThinBinsOfOneReasonAreOneLine(t *testing.T) {
	short := func(f cloth.Family, count, strips int) shelf.Short {
		return shelf.Short{
			Alike: shelf.Alike{Family: f, Value: cloth.Dark}, Cut: shelf.Square(2.5), Count: count, Want: 6,
			Reason: shelf.BelowFloor, Rule: "2½ square", FromStrips: strips,
		}
	}
	require.Equal(t, []string{
		"2½ square: 0 each, want 6 more each (floor 6 for 2½ square): dark red, dark blue (its strips give 7)",
		"dark green, 2½ square: 1, wants 5 more (floor 6 for 2½ square)",
	}, thinLines([]shelf.Short{short(cloth.Red, 0, 0), short(cloth.Green, 1, 0), short(cloth.Blue, 0, 7)}))
}

// The same stash is the same bytes, on either paper, and every letter is there:
// PDFs that lack ½ are a known fault.
func TestStashPDF(t *testing.T) {
	for _, paper := range Papers {
		var a, b bytes.Buffer
		require.NoError(t, someStash().Document().PDF(&a, paper))
		require.NoError(t, someStash().Document().PDF(&b, paper))
		require.Equal(t, a.Bytes(), b.Bytes())
		require.True(t, bytes.HasPrefix(a.Bytes(), []byte("%PDF-")))
	}
	require.NoError(t, Shelf{}.Document().PDF(&bytes.Buffer{}, "a4"))
	require.Error(t, Shelf{}.Document().PDF(&bytes.Buffer{}, "foolscap"))
}

// The outline of a sector encloses what a sector does.
func TestSectorsAreOfTheirArea(t *testing.T) {
	for _, x := range [][4]float64{{36, 80, 0.1, 0.4}, {100, 140, 3, 3.24}} {
		require.InEpsilon(t, (x[1]*x[1]-x[0]*x[0])*(x[3]-x[2])/2, sector(x[0], x[1], x[2], x[3]).Area(), 0.01)
	}
}

// What is drawn for a bin is what its pieces read as, not their greyish means.
func TestTonesAreWhatPiecesReadAs(t *testing.T) {
	teal, mean := hex(31, 122, 122), hex(140, 135, 140)
	h := cloth.Holding{
		Form: cloth.Square, Count: 3, Family: cloth.Teal, Value: cloth.Medium, WidthIn: 2.5, LengthIn: 2.5,
		Measured: true, Mean: mean, ReadsAs: teal, Lightness: mean.Lab().L, Trust: 1,
	}
	tn := tonesOf([]cloth.Holding{h})
	c, ok := tn.colour(shelf.AlikeOf(h))
	require.True(t, ok)
	require.Equal(t, teal.Hex(), c.Hex())
	lab := teal.OKLab()
	wedge := wedgeOf(math.Atan2(lab.B, lab.A) * 180 / math.Pi)
	at := slices.Index(cloth.Values, cloth.Medium)
	require.Equal(t, 3, tn.wedges[wedge][at].count)
	require.Equal(t, teal.Hex(), tn.wedges[wedge][at].fill(mean).Hex())
}

func TestCapital(t *testing.T) {
	for words, want := range map[string]string{"a print": "A print", "zigzags": "Zigzags", "12 pieces": "12 pieces", "½ yard": "½ yard", "": ""} {
		require.Equal(t, want, capital(words))
	}
}

// What lies in several bins is told together, the lightest first, what is not known last.
func TestBinsTakenTogether(t *testing.T) {
	bins := []Bin{{Within: []Stretch{{Words: "dark", Count: 3, at: 4}, {Words: "not known", Count: 1, at: 99}}}, {Within: []Stretch{{Words: "light", Count: 2, at: 0}, {Words: "dark", Count: 5, at: 4}}}}
	require.Equal(t, []Stretch{{Words: "light", Count: 2, at: 0}, {Words: "dark", Count: 8, at: 4}, {Words: "not known", Count: 1, at: 99}}, Together(bins))
}

// Of the colours that are thin the thinnest are said first, and none is left out.
func TestEveryThinColourIsNamed(t *testing.T) {
	var s Shelf
	for i, f := range []cloth.Family{cloth.Red, cloth.Many, cloth.Grey, cloth.Teal, cloth.Black} {
		s.Stock.Short = append(s.Stock.Short, shelf.Short{Alike: shelf.Alike{Family: f}, Cut: shelf.Square(2.5), Count: i, Want: 9})
	}
	line := s.thinFamilies()[0]
	require.True(t, strings.HasPrefix(line, "Above all reds"), line)
	require.Contains(t, line, "; multicoloured prints")
	require.True(t, strings.HasSuffix(line, ". Then teals, blacks."), line)
	s.Stock.Short = s.Stock.Short[:2]
	require.NotContains(t, s.thinFamilies()[0], "Then")
}
