package cutting

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/testtable"
)

// coverLines writes a cover in full.
func coverLines(c Cover) (out []string) {
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	add("covered %v short %v prints %v measure %v, waste %.3f, optimal %v, %d cuts", c.Covered, c.Short, c.Prints, c.Measure, c.Waste, c.Optimal, c.CutCount)
	for _, r := range c.Ready {
		add("ready %+v", r)
	}
	for _, d := range c.Cuts {
		add("cut %d of %d: %.4g × %.4g, trim %.4g, unsure %v, settled %d", d.ID, d.Stock, d.Width, d.Length, d.Trim, d.Unsure, d.Settled)
		for _, s := range d.Steps {
			add(" step %.4g of %.4g, %d times, row %d of %d, want %d, ready %v, rest %v", s.Slit, s.Length, s.Times, s.Row, s.Rows, s.Want, s.Ready, s.Rest)
		}
		for _, p := range d.Pieces {
			add(" piece %d at %.4g,%.4g: %.4g × %.4g turned %v", p.Want, p.X, p.Y, p.W, p.H, p.Turned)
		}
		for _, r := range d.Remains {
			add(" remains %.4g,%.4g: %.4g × %.4g kept %v %q %s %s", r.X, r.Y, r.W, r.H, r.Kept, r.For, r.Cut, r.Form)
		}
	}
	for _, p := range c.Pulls {
		add("pull %s: %v", p.Basket, p.Lines)
	}
	for _, s := range c.Sets {
		add("set %d: %v", s.Set, s.Pieces)
	}
	return out
}

// inShort writes of a cover what it covers and what of each cloth goes into pieces.
func inShort(c Cover) string {
	out := coverLines(c)[0]
	for _, r := range c.Ready {
		out += fmt.Sprintf("; ready %d of %d for %d", r.Count, r.ID, r.Want)
	}
	for _, d := range c.Cuts {
		given := make([]int, len(c.Covered))
		for _, p := range d.Pieces {
			given[p.Want]++
		}
		out += fmt.Sprintf("; %d gives %v in %d steps, %d remain", d.ID, given, len(d.Steps), len(d.Remains))
	}
	return out
}

// Small problems of all kinds of cloth, by each preference, with sets and with cuts that are
// settled: which cloth is taken and how it is cut, as it was read over when it was kept.
func TestCoversAreAsKept(t *testing.T) {
	all := map[string]any{}
	forms := []cloth.Form{cloth.Strip, cloth.Square, cloth.Rectangle, cloth.Irregular, cloth.Band, cloth.Weighed}
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 9))
		large := seed >= 20
		var stock []cloth.Holding
		cloths, kinds := 3+r.IntN(4), 1+r.IntN(3)
		if large {
			cloths, kinds = 6+r.IntN(5), 2+r.IntN(3)
		}
		for i := range cloths {
			h := cloth.Holding{ID: int64(10 + i), Form: forms[min(r.IntN(6), r.IntN(6))], Count: 1 + r.IntN(3), Family: []cloth.Family{cloth.Blue, cloth.Red}[r.IntN(2)], Value: []cloth.Value{cloth.Dark, cloth.Light}[r.IntN(2)],
				WidthIn: []float64{2.5, 3, 5, 1.5, 6.5}[r.IntN(5)], LengthIn: []float64{5, 8, 12.5, 17, 0}[r.IntN(5)], Print: []string{"a", "b", "", "c"}[r.IntN(4)], Basket: []string{"box 2", "box 10", ""}[r.IntN(3)]}
			if h.Form == cloth.Square {
				h.LengthIn = h.WidthIn
			}
			if r.IntN(5) == 0 {
				h.Bin = "sea"
			}
			stock = append(stock, h)
		}
		var wants []Want
		for i := range kinds {
			w := Want{Name: fmt.Sprint("patch ", i), Role: []string{"dark", "", "light"}[r.IntN(3)], W: []float64{2.5, 1.5, 2, 2.48, 3}[r.IntN(5)], Count: 1 + r.IntN(6)}
			w.L = w.W
			if r.IntN(2) == 0 {
				w.L = []float64{4.5, 3, 5}[r.IntN(3)]
			}
			if r.IntN(3) == 0 {
				w.Families = []cloth.Family{cloth.Blue}
			}
			if r.IntN(3) == 0 {
				w.Values = []cloth.Value{cloth.Dark}
			}
			if seed%5 == 4 {
				w.Set, w.Each, w.Count = 1, 1+r.IntN(2), 4
			}
			if large {
				w.Count *= 3
			}
			wants = append(wants, w)
		}
		if seed == 3 {
			wants[0].Prints = []string{"a"}
		}
		if seed == 6 {
			wants[0].Bins = []string{"sea"}
		}
		for _, prefer := range Prefers {
			c, err := FromStash(wants, stock, Options{Prefer: prefer, Metric: seed == 2, Trim: []float64{0, -1, 1}[seed%3]})
			require.NoError(t, err)
			all[fmt.Sprint(seed, " ", prefer)] = coverLines(c)
			if large {
				all[fmt.Sprint(seed, " ", prefer)] = inShort(c)
			}
		}
		simple := NewSimply(stock, Options{}).Cut(wants)
		var lines []string
		for _, g := range simple.Gives {
			lines = append(lines, fmt.Sprintf("%+v", g))
		}
		lines = append(lines, fmt.Sprint("short ", simple.Short, simple.Covers()))
		for _, l := range LotsOf(stock, Options{Trim: 0.25}) {
			lines = append(lines, fmt.Sprintf("lot of %v, %s %.4g × %.4g, loss %.4g: %d of 2½, %.4f used up", l.Of, l.Form, l.WidthIn, l.LengthIn, l.LossIn, l.Yield(2.5, 2.5), l.UsedUp(2.5, 2.5)))
		}
		all[fmt.Sprint(seed, " simply")] = lines
		if large {
			all[fmt.Sprint(seed, " simply")] = fmt.Sprint(simple)
			continue
		}
		bins := []shelf.Box{{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Square(2.5), Least: 5}, {Alike: shelf.Alike{Family: cloth.Red, Value: cloth.Light}, Cut: shelf.Square(1.5), Least: 3}, {Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Cut{Form: cloth.Strip, Width: 2.5}, Least: 1}, {Sorting: shelf.ByFamily, Alike: shelf.Alike{Family: cloth.Red}, Cut: shelf.Square(3), Least: 4}}
		f, err := RefillBins(bins, stock, map[int64]int{10: 1}, Options{Prefer: Prefers[seed%3]})
		require.NoError(t, err)
		all[fmt.Sprint(seed, " refill")] = append([]string{fmt.Sprint(f.Thin, f.Held, f.Have, len(f.Wants))}, coverLines(f.Cover)...)
	}
	settled := []Settled{{Stock: 0, Rows: []SettledRow{{Want: 0, Count: 2}, {Want: 1, Count: 1, Turned: true}}}}
	stock := []cloth.Holding{{ID: 1, Form: cloth.Strip, Count: 2, WidthIn: 6, LengthIn: 20, Print: "a"}, {ID: 2, Form: cloth.Square, Count: 3, WidthIn: 3, LengthIn: 3, Print: "b"}}
	c, err := FromStashAfter(settled, []Want{{Name: "squares", Role: "dark", W: 3, L: 3, Count: 7}, {Name: "rails", Role: "dark", W: 2, L: 6, Count: 3}}, stock, Options{})
	require.NoError(t, err)
	all["settled"] = coverLines(c)
	testtable.Kept(t, "covers", all, 1e-6)
}

// Pieces laid on yardage and on leftovers.
func TestLayoutsAreAsKept(t *testing.T) {
	all := map[string]any{}
	lists := map[string][]Want{
		"squares": {{Name: "squares", W: 2.5, L: 2.5, Count: 40}}, "mixed": {{Name: "bricks", W: 5, L: 8.5, Count: 7}, {Name: "squares", W: 3.5, L: 3.5, Count: 11}, {Name: "rails", W: 1.5, L: 20, Count: 5}},
		"across": {{Name: "strips", W: 40, L: 2.5, Count: 3, Fixed: true}, {Name: "squares", W: 6.5, L: 6.5, Count: 8}}, "nothing": {{Name: "none", W: 3, L: 3}}, "long": {{Name: "sides", W: 5, L: 60, Count: 2}, {Name: "ends", W: 30, L: 4, Count: 2}},
	}
	for name, wants := range lists {
		for how, y := range map[string]Bolt{"": {Width: 40}, "lossy": {Width: 42, LossAcross: 1, LossAlong: 2, Shrink: 0.05}, "cm": {Width: 106 / 2.54, Metric: true}, "one way, of 20": {Width: 40, Length: 20, OneWay: true}} {
			if name == "across" && how == "cm" {
				y.Width = 44
			}
			l, err := Lay(y, wants)
			if err != nil {
				all[name+" "+how] = []string{fault.Of(err).Error() + " → " + fault.Of(err).Remedy}
				continue
			}
			lines := []string{fmt.Sprintf("%.4g wide, %d a strip, %.4f inches, buy %.4f %s, missing %v, exact %v", l.Width, l.PerStrip, l.Inches, l.BuyInches, l.Buy, l.Missing, l.ExactFit)}
			for _, s := range l.Strips {
				row := fmt.Sprintf("%.4g high at %.4g:", s.Height, s.Y)
				for _, p := range s.Pieces {
					row += fmt.Sprintf(" %d %.4g,%.4g %v;", p.Want, p.X, p.Y, p.Turned)
				}
				lines = append(lines, row)
			}
			all[name+" "+how] = append(lines, l.Steps...)
		}
	}
	sizes := map[string][]Size{"squares": {{W: 2.5, L: 2.5, Weight: 1}, {W: 5, L: 5, Weight: 1.2}}, "thin": {{W: 1.5, L: 1.5, Weight: 2, Lack: 7}, {W: 3.5, L: 3.5, Weight: 1}, {W: 2.5, Weight: 1.5, Lack: 1}}, "strips": {{W: 2, Weight: 1}, {W: 4, L: 7, Weight: 1}}}
	for name, list := range sizes {
		for _, l := range []Leftover{{W: 10, L: 10}, {W: 7.25, L: 22}, {W: 18, L: 13, Loss: 0.5, OneWay: true}, {W: 2, L: 3}, {W: 12.5, L: 12.25}} {
			cut, err := CutUpLeftovers([]Leftover{l}, list, 0.25)
			require.NoError(t, err)
			c := cut[0]
			lines := []string{fmt.Sprintf("%.4g × %.4g: %v, worth %.4f, exact %v, waste %d", c.Width, c.Length, c.Counts, c.Worth, c.ExactFit, len(c.Waste))}
			for _, s := range c.Slices {
				lines = append(lines, fmt.Sprintf("slice %.4g along %v at %.4g", s.Of, s.Along, s.At))
			}
			for _, p := range c.Pieces {
				lines = append(lines, fmt.Sprintf("piece %d at %.4g,%.4g turned %v", p.Want, p.X, p.Y, p.Turned))
			}
			all[fmt.Sprintf("%s from %+v", name, l)] = lines
		}
	}
	two, err := CutUpLeftovers([]Leftover{{W: 6, L: 9}, {W: 6, L: 4}}, sizes["thin"], 0.25)
	require.NoError(t, err)
	all["two leftovers"] = []string{fmt.Sprint(two[0].Counts, two[1].Counts)}
	testtable.Kept(t, "layouts", all, 1e-6)
	for in, want := range map[float64]string{0: "0 yd", 0.1: "⅛ yd", 4.5: "⅛ yd", 4.6: "¼ yd", 36: "1 yd", 36.01: "1⅛ yd", 90: "2½ yd"} {
		up, words := Bought(in, false)
		require.Equal(t, want, words, "%v", in)
		require.GreaterOrEqual(t, up, in)
		require.Less(t, up, in+4.5)
	}
	up, words := Bought(10/2.54+0.01, true)
	require.Equal(t, "20 cm", words)
	require.InDelta(t, 20/2.54, up, 1e-9)
}

// What cannot be cut is refused by its size or its count.
func TestWhatCannotBeCutSaysWhy(t *testing.T) {
	good := cloth.Holding{ID: 1, Form: cloth.Strip, Count: 1, WidthIn: 2.5, LengthIn: 20}
	var lines []string
	say := func(what string, err error) {
		line := what + ": fine"
		if err != nil {
			line = what + ": " + err.Error() + " → " + fault.Of(err).Remedy
		}
		lines = append(lines, line)
	}
	for _, w := range []Want{{W: 0, L: 2, Count: 1}, {W: 2, L: -1, Count: 1}, {W: 9999, L: 2, Count: 1}, {W: 2, L: 9999.5, Count: 1}, {W: 2, L: 2, Count: -1}, {W: 2, L: 2, Count: 200_000}, {W: 2, L: 3, Count: 200_001}, {W: 2, L: 2}} {
		if w.Count != 200_000 {
			_, err := FromStash([]Want{w}, []cloth.Holding{good}, Options{})
			say(fmt.Sprintf("want %v × %v %d", w.W, w.L, w.Count), err)
		}
		_, err := Lay(Bolt{Width: 40}, []Want{w})
		say(fmt.Sprintf("lay %v × %v %d", w.W, w.L, w.Count), err)
	}
	for _, h := range []cloth.Holding{{ID: 2, Form: cloth.Strip, Count: -1, WidthIn: 2, LengthIn: 3}, {ID: 3, Form: cloth.Strip, Count: 1, WidthIn: 20000, LengthIn: 3}, {ID: 4, Form: cloth.Strip, Count: 1, WidthIn: 2, LengthIn: 20000}, {ID: 5, Form: cloth.Strip, Count: 1, WidthIn: -2, LengthIn: 3}} {
		_, err := FromStash([]Want{{W: 2, L: 2, Count: 1}}, []cloth.Holding{h}, Options{})
		say(fmt.Sprint("stock ", h.ID), err)
	}
	for _, y := range []Bolt{{}, {Width: 40, Length: -1}, {Width: 40, LossAcross: 40}, {Width: 40, LossAcross: -1}, {Width: 40, LossAlong: -1}, {Width: 40, Shrink: -0.1}, {Width: 40, Shrink: 1}, {Width: 40, Length: 3, LossAlong: 3}} {
		_, err := Lay(y, []Want{{Name: "squares", W: 2, L: 2, Count: 1}})
		say(fmt.Sprintf("bolt %+v", y), err)
	}
	for _, w := range []Want{{Name: "wide", W: 41, L: 45, Count: 1}, {Name: "fixed", W: 41, L: 3, Count: 1, Fixed: true}, {Name: "turned", W: 41, L: 3, Count: 1}} {
		_, err := Lay(Bolt{Width: 40}, []Want{w})
		say("lay "+w.Name, err)
		_, err = Lay(Bolt{Width: 40, Metric: true}, []Want{w})
		say("lay in cm "+w.Name, err)
	}
	for _, l := range []Leftover{{W: 0, L: 5}, {W: 5, L: -1}, {W: 5, L: 5, Loss: -1}, {W: 5, L: 5, Loss: 2.5}, {W: 5, L: 5, Loss: 6}} {
		_, err := CutUpLeftovers([]Leftover{l}, []Size{{W: 2, L: 2, Weight: 1}}, 0.25)
		say(fmt.Sprintf("leftover %+v", l), err)
	}
	for _, s := range []Size{{W: 0, L: 2, Weight: 1}, {W: 2, L: -1, Weight: 1}, {W: 2, L: 2, Weight: 0}, {W: 2, L: 2, Weight: -1}, {W: 2, L: 2, Weight: 1, Lack: -1}, {W: 0.4, L: 2, Weight: 1}, {W: 0.5, L: 0.5, Weight: 1}} {
		_, err := CutUpLeftovers([]Leftover{{W: 5, L: 5}}, []Size{s}, 0.25)
		say(fmt.Sprintf("size %+v", s), err)
	}
	var many []Size
	for i := range 12 {
		many = append(many, Size{W: 1 + float64(i)*0.127, L: 1 + float64(i)*0.211, Weight: 1})
	}
	_, err := CutUpLeftovers([]Leftover{{W: 110, L: 390}}, many, 0.25)
	say("many sizes", err)
	require.ErrorIs(t, err, ErrManySizes)
	box := shelf.Box{Alike: shelf.Alike{Family: cloth.Blue}, Cut: shelf.Square(2.5), Least: 2}
	for what, change := range map[string]func(*shelf.Box){"a box": func(*shelf.Box) {}, "no width": func(b *shelf.Box) { b.Width = 0 }, "a length below": func(b *shelf.Box) { b.Length = -1 }, "a long one": func(b *shelf.Box) { b.Length = 10000 }, "least below": func(b *shelf.Box) { b.Least = -1 }, "least above": func(b *shelf.Box) { b.Least = 200_001 }} {
		b := box
		change(&b)
		_, err := RefillBins([]shelf.Box{b}, []cloth.Holding{good}, nil, Options{})
		say("refill of "+what, err)
	}
	slices.Sort(lines)
	testtable.Kept(t, "refused", lines, 0)
	require.Equal(t, []float64{19.5, 0, 20}, []float64{Options{}.Usable(20), Options{}.Usable(0.4), Options{Trim: -1}.Usable(20)})
	require.Equal(t, []bool{true, false, false}, []bool{goesBack(1.5, 1.5), goesBack(1.49, 20), goesBack(20, 1.4)})
	require.False(t, strings.Contains(strings.Join(lines, ""), "%!"))
}
