package shelf

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/testtable"
)

// aShelf is holdings of all forms in many colours, some of half a colour or none.
func aShelf() (out []cloth.Holding) {
	for i := range 70 {
		h := cloth.Holding{ID: int64(i + 1), Form: cloth.Forms[i%6], Count: 1 + i*i%5, WidthIn: []float64{2.5, 1.5, 60 / 25.4, 5, 2.625}[i%5], LengthIn: float64(6 + i%23),
			Family: append(slices.Clone(cloth.Families), "")[i%14], Value: append(slices.Clone(cloth.Values), "")[i*5%6], Print: fmt.Sprint("print ", i%31)}
		switch {
		case h.Form == cloth.Square:
			h.LengthIn = h.WidthIn
		case h.Form == cloth.Weighed:
			h.WidthIn, h.LengthIn, h.AreaIn2 = 0, 0, float64(100+i)
		case h.Form == cloth.Strip && i%4 == 1:
			h.LengthIn = 0
		}
		if i%11 == 0 {
			h.Bin = []string{"sea", "blue ones"}[i%2]
		}
		if i%9 == 0 {
			h.Print = ""
		}
		out = append(out, h)
	}
	return out
}

func stockLines(s Stock, held []cloth.Holding) map[string][]string {
	out := map[string][]string{}
	add := func(key, format string, args ...any) { out[key] = append(out[key], fmt.Sprintf(format, args...)) }
	box := func(b Box) string {
		return fmt.Sprintf("%s, %s: %d, %d seen, %.1f weighed, %d prints, least %d, squares %v", b.Alike, b.Cut, b.Count, b.Seen, b.AreaIn, b.Prints, b.Least, b.Yields)
	}
	for _, b := range s.Boxes {
		add("boxes", "%s", box(b))
	}
	for _, b := range s.Bins {
		add("bins", "%s, of %d", box(b.Box), len(b.In))
	}
	add("sums", "%+v, sorted by %s, trim %v, squares %v", s.Totals, s.Sorted(), s.Trim, s.Yields)
	for _, p := range append(slices.Clone(s.Balance.Families), s.Balance.Values...) {
		add("balance", "%s%s: %d, %.4f, %.2f", p.Family, p.Value, p.Count, p.Share, p.Area)
	}
	add("balance", "%d of %.2f", s.Balance.Sized, s.Balance.Area)
	for _, l := range s.Lacks {
		add("lacks", "%s: %s %s %s %d", l.Quilt, l.Family, l.Tone, l.Cut, l.Count)
	}
	for _, x := range s.Short {
		filled := 0
		for i, h := range held {
			if x.FilledBy(h) {
				filled += i + 1
			}
		}
		about := 0
		for i, b := range s.Boxes {
			if x.Of(b) {
				about += i + 1
			}
		}
		add("short", "%s (%s): %d of %d, %d in bins, by %d, middle %v, strips %d, of box %d, filled by %d, because %s", x.Name(), x.Sorting, x.Count, x.Want, x.InBins, x.By(), x.Middle, x.FromStrips, about, filled, x.Why())
	}
	for _, m := range s.Missing {
		add("missing", "%s%s %s", m.Family, m.Value, m.Reason)
	}
	for _, a := range s.Alikes() {
		add("strips", "%s: %d of 2½, %d of 1½", a, s.FromStrips(a, 2.5), s.FromStrips(a, 1.5))
	}
	return out
}

// A shelf of all forms, sorted in each way, without wishes and with all that can be wished, as it
// was read over when it was kept.
func TestAShelfIsAsKept(t *testing.T) {
	held := aShelf()
	square := Square(2.5)
	wishes := StockOptions{Trim: DefaultTrim,
		Floors: []Floor{{Least: 3}, {Cut: square, Least: 6}, {Alike: Alike{Family: cloth.Blue}, Least: 30}, {Alike: Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: Square(5), Least: 9}, {Alike: Alike{Value: cloth.Light}, Cut: square, Least: 12}, {Alike: Alike{Own: "sea"}, Least: 8}, {Cut: Cut{Form: cloth.Strip, Width: 2.5}, Least: 2}, {Cut: Cut{Form: cloth.Rectangle, Width: 3.25, Length: 7}, Least: 1}, {Cut: Square(2.25), Least: 1}},
		Needs:  []Need{{Quilt: "stars", Alike: Alike{Family: cloth.Green, Value: cloth.Dark}, Cut: square, Count: 20, Hue: cloth.Green, Shade: cloth.Dark}, {Quilt: "mat", Alike: Alike{Family: cloth.Green, Value: cloth.Dark}, Cut: square, Count: 2, Hue: cloth.Green, Shade: cloth.Dark}, {Alike: Alike{Family: cloth.Teal}, Cut: Square(2.125), Count: 1, Hue: cloth.Teal}, {Alike: Alike{Family: cloth.Teal}, Cut: Cut{Form: cloth.Rectangle, Width: 1.125, Length: 7}, Count: 1, Hue: cloth.Teal}, {Alike: Alike{Own: "sea"}, Cut: square, Count: 3, Hue: cloth.Teal, Shade: cloth.Medium}},
		Lacks:  []Lack{{Quilt: "stars", Family: cloth.Blue, Tone: "dark", Values: []cloth.Value{cloth.Dark, cloth.MediumDark}, Cut: square, Count: 9}, {Quilt: "mat", Cut: square, Count: 400}, {Quilt: "mat", Tone: "light", Values: []cloth.Value{cloth.Light}, Cut: Square(1.5), Count: 50}, {Quilt: "stars", Cut: Square(5), Count: 4, Set: 1, Each: 2}}}
	all := map[string]any{}
	for _, by := range Sortings {
		for name, o := range map[string]StockOptions{"plain": {Trim: DefaultTrim}, "wished": wishes, "sizes said": {Trim: 1, Sizes: []float64{3, 2.5, 3}, Prints: []Count{{Alike: AlikeOf(held[0]), Cut: CutOf(held[0]), Prints: 7}, {Alike: AlikeOf(held[1]), Cut: CutOf(held[2]), Prints: 9}}}} {
			if name == "sizes said" && by != ByBoth {
				continue
			}
			o.Bins = by
			all[by.String()+" "+name] = stockLines(TakeStock(held, o), held)
		}
	}
	all["nothing"] = stockLines(TakeStock(nil, wishes), nil)
	var items []Item
	for i, h := range held[:60] {
		items = append(items, Item{Photo: i / 20, Piece: cloth.Piece{ID: i + 1, Family: h.Family, Value: h.Value, Cut: CutOf(h).String(), WidthIn: h.WidthIn, LengthIn: h.LengthIn, Lightness: float64(i * 37 % 100)}})
	}
	for _, floor := range []int{0, 3} {
		s := Build(items, Options{Floor: floor})
		lines := []string{fmt.Sprint("unnamed ", s.Unnamed), fmt.Sprint("order ", Sorted(items)), fmt.Sprint("moves ", Moves(s.Stacks))}
		for _, g := range s.Groups {
			lines = append(lines, fmt.Sprintf("%s %s %s: %v", g.Value, g.Family, g.Cut, g.Items))
		}
		for _, x := range append(slices.Clone(s.Thin), s.Missing...) {
			lines = append(lines, fmt.Sprintf("thin %s %s: %d, %.4f, %s, %v", x.Family, x.Value, x.Count, x.Share, x.Reason, x.Against))
		}
		for _, x := range s.Stacks {
			lines = append(lines, fmt.Sprintf("stack %s %s of %d: %v + %v", x.Value, x.Family, x.Len(), x.Stay, x.Bring))
		}
		lines = append(lines, fmt.Sprintf("%d of %.2f", s.Balance.Sized, s.Balance.Area))
		all[fmt.Sprint("photos, floor ", floor)] = lines
	}
	testtable.Kept(t, "shelf", all, 1e-6)
}

func TestWordsOfTheShelf(t *testing.T) {
	for a, want := range map[Alike]string{{}: "no colour", {Own: "sea"}: "sea", {Family: cloth.Red}: "red", {Value: cloth.Dark}: "dark", {Family: cloth.Red, Value: cloth.Dark}: "dark red"} {
		require.Equal(t, want, a.String())
	}
	for f, want := range map[string]Floor{
		"every bin": {}, "2½ square": {Cut: Square(2.5)}, "dark blue": {Alike: Alike{Family: cloth.Blue, Value: cloth.Dark}}, "dark blue, 2½ square": {Alike: Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: Square(2.5)},
	} {
		require.Equal(t, f, want.String())
	}
	for in, want := range map[float64]string{2.5: "2½", 2.4996: "2½", 60 / 25.4: "6 cm", 65 / 25.4: "6.5 cm", 2.55: "2½", 1: "1", 2.375: "2⅜"} {
		require.Equal(t, want, Length(in), "%v", in)
	}
	require.Equal(t, "2½ × 4½", Size(2.5, 4.5))
	require.Equal(t, "6.4 × 10 cm", Size(2.5, 100/25.4))
	require.InDeltaSlice(t, []float64{2.5, 60 / 25.4, 2.5}, []float64{Mark(2.5009), Mark(60 / 25.4), Mark(2.53)}, 1e-12)
	for c, want := range map[Cut]string{{Form: cloth.Irregular}: "odd piece", {Form: cloth.Square}: "square", {Form: cloth.Rectangle, Width: 2.5, Length: 4.5}: "2½ × 4½ rectangle", {Form: cloth.Strip, Width: 2.5}: "2½ strip", {Form: cloth.Band}: "band"} {
		require.Equal(t, want, c.String())
	}
	small := TakeStock([]cloth.Holding{{Form: cloth.Square, Count: 2, WidthIn: 0.5, LengthIn: 0.5, Family: cloth.Red}, {Form: cloth.Square, Count: 3, WidthIn: 2, LengthIn: 2}, {Form: cloth.Square, Count: 1, WidthIn: 3, LengthIn: 3, Value: cloth.Dark}}, StockOptions{})
	require.Equal(t, []any{3, 9.5, 3}, []any{small.Balance.Sized, small.Balance.Area, small.Totals.Unnamed}, "of a quarter of an inch too, of what has a colour")
	unknown := cloth.Holding{Form: cloth.Square, Count: 1, WidthIn: 2.5, LengthIn: 2.5}
	require.True(t, Short{Alike: Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: Square(2.5)}.FilledBy(unknown), "what is not known may be any")
	require.True(t, Short{Alike: Alike{Family: cloth.Red}}.FilledBy(unknown))
	require.True(t, Short{Alike: Alike{Family: cloth.Red}, Cut: Square(2.5), Reason: Lacking, values: []cloth.Value{cloth.Light}}.FilledBy(unknown))
	require.False(t, Short{Alike: Alike{Family: cloth.Red, Value: cloth.Dark}, Cut: Square(3)}.FilledBy(unknown))
	require.Zero(t, MiddleCount(nil))
	for want, counts := range map[float64][]int{3: {3}, 3.5: {3, 4}, 4: {1, 4, 9}, 2.5: {1, 2, 3, 9}} {
		require.Equal(t, want, MiddleCount(counts))
	}
	// Rows across times pieces along, by whole numbers.
	for width := 1; width < 9; width++ {
		for length := 1; length < 12; length++ {
			for trim := range 3 {
				rows := width / 2
				want := rows * int(math.Max(0, float64((length-trim)/3)))
				if length <= trim {
					want = 0
				}
				require.Equal(t, want, Yield(float64(width), float64(length), 2, 3, float64(trim)), "%d × %d less %d", width, length, trim)
			}
		}
	}
	require.Zero(t, Yield(5, 5, 0, 1, 0))
	require.Zero(t, Yield(5, 5, 1, 0, 0))
	require.Zero(t, Yield(0, 5, 1, 1, 0))
	c := func(own string, f cloth.Family, n int, area float64) Count {
		return Count{Alike: Alike{Own: own, Family: f}, Cut: Square(2.5), Count: n, AreaIn: area, Prints: n}
	}
	require.Equal(t, []Count{{Alike: Alike{Family: cloth.Red}, Count: 5, AreaIn: 2, Prints: 5}, {Alike: Alike{Own: "sea"}, Count: 1, Prints: 1}}, ByColour([]Count{c("", cloth.Red, 2, 1), c("sea", "", 1, 0), c("", cloth.Red, 3, 1), c("", cloth.Blue, 0, 0.4)}))
	require.Equal(t, []Count{c("sea", "", 1, 0), c("", cloth.Red, 5, 0), c("", cloth.Pink, 0, 0.5), c("", cloth.Blue, 0, -0.5)}, Merge([]Count{c("", cloth.Blue, 0, -0.5), c("", cloth.Pink, 0, 0.5), c("", cloth.Red, 2, 0), c("sea", "", 1, 0), c("", cloth.Red, 3, 0), c("", cloth.Green, 1, 0), c("", cloth.Green, -1, 0.49)}))
}
