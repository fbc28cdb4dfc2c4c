package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/family"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// familyIn is the one family that words name; empty where they name none, or several.
func familyIn(words string) (only cloth.Family) {
	for _, w := range strings.FieldsFunc(words, func(r rune) bool { return r < 'a' || r > 'z' }) {
		for _, f := range cloth.Families {
			switch {
			case w != string(f) || f == only:
			case only != "":
				return ""
			default:
				only = f
			}
		}
	}
	return only
}

// holdChips holds every chip of a document to the family in the words of its row, and
// says how many there were.
func holdChips(t *testing.T, name string, d Document) (held int) {
	t.Helper()
	for _, s := range d.sections {
		for _, tb := range s.Tables {
			for _, row := range tb.Rows {
				var words []string
				var chip *colour.Linear
				for i := range row {
					words = append(words, row[i].Words)
					if row[i].Chip.Some {
						chip = &row[i].Chip.Reads
					}
				}
				f := familyIn(strings.Join(words, " "))
				if chip == nil || f == "" || f == cloth.Many {
					continue
				}
				require.Equal(t, f, family.Of(*chip), "%s: %s is drawn %s", name, strings.Join(words, " | "), chip.Hex())
				held++
			}
		}
	}
	return held
}

// What is drawn beside the name of a colour goes by that name, on every page that
// draws one.
func TestChipsGoByTheirWords(t *testing.T) {
	// Cloth of every family and value as a photo gives it, its mean a grey, and as a
	// hand enters it.
	var holdings []cloth.Holding
	add := func(f cloth.Family, v cloth.Value, reads *colour.Linear) {
		h := cloth.Holding{ID: int64(len(holdings) + 1), Form: cloth.Strip, Count: 2, Family: f, Value: v, WidthIn: 2.5, LengthIn: 18, Trust: 1}
		if reads != nil {
			h.Measured, h.Mean, h.ReadsAs, h.Lightness = true, greyOf(50), *reads, 50
		}
		holdings = append(holdings, h)
	}
	drawn := 0
	for _, f := range cloth.Families {
		for _, v := range cloth.Values {
			m, ok := plan.SwatchOf(plan.Sought{Family: f, Value: v})
			if !ok {
				continue
			}
			c := m.Linear()
			add(f, v, &c)
			named, _ := standIn(f, v)
			mean, _ := tonesOf(holdings).colour(shelf.Alike{Family: f, Value: v})
			for _, got := range []colour.Linear{named, mean} {
				require.Equal(t, f, family.Of(got), "%s %s is drawn %s", v, f, got.Hex())
				drawn++
			}
		}
	}
	require.Greater(t, drawn, 60)
	two := []cloth.Holding{ // whose mean is pink
		{Form: cloth.Square, Count: 1, Family: cloth.Purple, Value: cloth.MediumDark, Measured: true, ReadsAs: hex(0xb9, 0x35, 0x94)},
		{Form: cloth.Square, Count: 1, Family: cloth.Purple, Value: cloth.MediumDark, Measured: true, ReadsAs: hex(0x8d, 0x61, 0x6c)},
	}
	c, ok := tonesOf(two).colour(shelf.AlikeOf(two[0]))
	require.True(t, ok)
	require.Equal(t, cloth.Purple, family.Of(c))
	red, ok := standIn(cloth.Red, cloth.Light) // no red is
	require.True(t, ok)
	require.Equal(t, cloth.Red, family.Of(red))
	measured := len(holdings)
	for _, h := range holdings[:measured] {
		add(h.Family, h.Value, nil)
	}
	for name, all := range map[string][]cloth.Holding{"measured": holdings[:measured], "by hand": holdings[measured:]} {
		s := Shelf{Shelf: desk.Shelf{Holdings: all, Stock: shelf.TakeStock(all, shelf.StockOptions{Trim: shelf.DefaultTrim})}}
		require.GreaterOrEqual(t, holdChips(t, "stash "+name, s.Document()), 11)
		r := Refill{Refill: desk.Refill{Holdings: all, System: recipe.Inches()}}
		for _, f := range cloth.Families {
			r.Bins = append(r.Bins, shelf.Box{Alike: shelf.Alike{Family: f}, Cut: shelf.Square(2.5), Least: 2})
		}
		var err error
		r.Refill.Refill, err = cutting.RefillBins(r.Bins, all, nil, cutting.Options{})
		require.NoError(t, err)
		holdChips(t, "refill "+name, r.Document())
		c := Contrast{Contrast: desk.Contrast{Background: contrast.Print{Name: "grey", Colour: greyOf(50), Reads: greyOf(50)}}}
		for _, h := range all {
			if h.Measured {
				c.Pull = append(c.Pull, contrast.Print{Name: string(h.Value) + " " + string(h.Family), Colour: h.Mean, Reads: h.ReadsAs, Pieces: 1})
			}
		}
		if c.Pull != nil {
			require.GreaterOrEqual(t, holdChips(t, "contrast", c.Document()), len(c.Pull))
		}
		for _, name := range []string{"reading-corner", "ohio-star"} {
			holdChips(t, "plan", somePlan(t, name, plan.Order{Columns: 2, Rows: 2}, all, recipe.Inches()).Document())
		}
	}
	for _, name := range recipe.Names() {
		holdChips(t, name, RecipeDocument(builtIn(t, name), recipe.Inches()))
	}
}
