package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// sewn are the needs of a quilt whose strip sets are sewn from strips of the stash.
func sewn(t *testing.T, name string, blocks int) *Needs {
	t.Helper()
	n := *needs(t, name, blocks)
	n.Shop.StripSets = true
	return &n
}

func toned(id int64, count int, form cloth.Form, width, length float64, v cloth.Value) cloth.Holding {
	f := cloth.Blue
	if v == cloth.Light {
		f = cloth.Pink
	}
	return cloth.Holding{ID: id, Form: form, Count: count, WidthIn: width, LengthIn: length, Family: f, Value: v, Print: fmt.Sprint("p", id)}
}

// Sixteen four-patches take 2 × 16 = 32 segments of 2½. A strip of 40½ gives sixteen once ½
// is squared off, one of 21 eight, one of 40 fifteen.
func TestStripSetsFromTheStash(t *testing.T) {
	n := sewn(t, "four-patch", 16)
	pull := func(stock ...cloth.Holding) Pull {
		p, err := FromStash(n, stock, nil, "", cutting.Options{})
		require.NoError(t, err)
		return p
	}
	segments := func(p Pull) (out []int) {
		for _, s := range p.StripSets {
			require.InDelta(t, float64(s.Segments)*2.5+0.5, s.LengthIn, 1e-9)
			out = append(out, s.Segments)
		}
		return out
	}
	d, l := cloth.Dark, cloth.Light
	for _, c := range []struct {
		name  string
		stock []cloth.Holding
		want  []int
	}{
		{"across the cloth", []cloth.Holding{toned(1, 2, cloth.Strip, 2.5, 40.5, d), toned(2, 2, cloth.Strip, 2.5, 40.5, l)}, []int{16, 16}},
		{"a little wider", []cloth.Holding{toned(1, 2, cloth.Strip, 2.5625, 40.5, d), toned(2, 2, cloth.Strip, 2.5, 42, l)}, []int{16, 16}},
		{"of fat quarters", []cloth.Holding{toned(1, 4, cloth.Strip, 2.5, 21, d), toned(2, 5, cloth.Strip, 2.5, 21, l)}, []int{8, 8, 8, 8}},
		{"the last as long as it must be", []cloth.Holding{toned(1, 3, cloth.Strip, 2.5, 40, d), toned(2, 3, cloth.Strip, 2.5, 40, l)}, []int{15, 15, 2}},
		{"slit from wide ones", []cloth.Holding{toned(1, 1, cloth.Strip, 5, 40.5, d), toned(2, 2, cloth.Strip, 2.5, 40.5, l)}, []int{16, 16}},
		{"cut from other cloth", []cloth.Holding{toned(1, 1, cloth.Rectangle, 10, 20.5, d), toned(2, 4, cloth.Strip, 2.5, 20.5, l)}, []int{8, 8, 8, 8}},
		{"of the width before wider", []cloth.Holding{toned(1, 1, cloth.Strip, 5, 45, d), toned(2, 2, cloth.Strip, 2.5, 40.5, l), toned(3, 2, cloth.Strip, 2.5, 40.5, d)}, []int{16, 16}},
		{"part of it", []cloth.Holding{toned(1, 1, cloth.Strip, 2.5, 40.5, d), toned(2, 9, cloth.Strip, 2.5, 40.5, l)}, []int{16}},
		{"too narrow", []cloth.Holding{toned(1, 9, cloth.Strip, 2.25, 40.5, d), toned(2, 9, cloth.Strip, 2.5, 40.5, l)}, nil},
		{"too short for two", []cloth.Holding{toned(1, 9, cloth.Strip, 2.5, 5, d), toned(2, 9, cloth.Strip, 2.5, 40.5, l)}, nil},
		{"of one tone", []cloth.Holding{toned(1, 9, cloth.Strip, 2.5, 40.5, d)}, nil},
		{"nothing", nil, nil},
	} {
		p := pull(c.stock...)
		require.Equal(t, c.want, segments(p), c.name)
		all := 0
		for _, n := range c.want {
			all += n
		}
		require.Equal(t, all, p.Sewn(0), c.name)
		require.Equal(t, c.want == nil, p.Unsewn != "", c.name)
	}
	p := pull(toned(1, 1, cloth.Strip, 5, 45, d), toned(2, 2, cloth.Strip, 2.5, 40.5, l), toned(3, 2, cloth.Strip, 2.5, 40.5, d))
	require.Equal(t, map[int64]int{2: 2, 3: 2}, counts(p.Pulled()))
	require.Equal(t, []int{64}, []int{p.Cover.Covered[0] + p.Cover.Covered[1]})

	plain, err := FromStash(needs(t, "four-patch", 16), []cloth.Holding{toned(1, 4, cloth.Strip, 2.5, 21, d), toned(2, 5, cloth.Strip, 2.5, 21, l)}, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Empty(t, plain.StripSets, "nobody asked")
	require.Equal(t, "your strips suffice to sew strip sets and cut them across, in place of patch by patch: all 32 segments from 4 sets; ask for strip sets to have them planned",
		plain.CouldSew(plain.Stock, nil, "", cutting.Options{}))
	require.Empty(t, plain.CouldSew(plain.Stock[:1], nil, "", cutting.Options{}))
	none, err := FromStash(needs(t, "pinwheel", 4), plain.Stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Empty(t, none.CouldSew(plain.Stock, nil, "", cutting.Options{}))
}

// Blocks of three rails take one segment each, 6½ of three strips; the strips lie in the
// order of the rails, and every set's cuts are those that the plan makes.
func TestRailsAreCutAcross(t *testing.T) {
	n := sewn(t, "rail-fence", 12)
	stock := []cloth.Holding{toned(1, 2, cloth.Strip, 2.5, 40.5, cloth.Dark), toned(2, 2, cloth.Strip, 2.5, 42, cloth.Light), toned(3, 2, cloth.Strip, 2.5, 41, cloth.Medium)}
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.Len(t, p.StripSets, 2)
	for _, s := range p.StripSets {
		require.Equal(t, 6, s.Segments)
		require.Equal(t, []int64{2, 3, 1}, []int64{s.Strips[0].ID, s.Strips[1].ID, s.Strips[2].ID}, "light, medium, dark")
	}
	require.Len(t, p.Cover.Cuts, 6)
	require.Equal(t, 14, p.Cover.CutCount, "of each set its end and six segments")
	for _, c := range p.Cover.Cuts {
		require.Positive(t, c.Settled)
		require.InDelta(t, 0.5, c.Trim, 1e-9)
		require.Len(t, c.Pieces, 6)
		for _, q := range c.Pieces {
			require.InDelta(t, 2.5, q.W, 1e-9)
			require.InDelta(t, 6.5, q.H, 1e-9)
		}
	}
}

// A chain on background that is bought: its strips are cut as long as the set, and their
// patches no more; where that takes more cloth than patch by patch, they are not sewn.
func TestStripsOfBackgroundAreBought(t *testing.T) {
	n := sewn(t, "single-irish-chain", 25)
	chain := n.Recipe.Segments(n.Columns, n.Rows, n.Shop.System)
	require.Len(t, chain, 2)
	stock := []cloth.Holding{toned(1, 9, cloth.Strip, chain[0].Strips[0].CutIn, 40, cloth.Dark)}
	p, err := FromStash(n, stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	patch, err := FromStash(needs(t, "single-irish-chain", 25), stock, nil, "", cutting.Options{})
	require.NoError(t, err)
	require.LessOrEqual(t, p.Needs.Yardage[0].BuyIn, patch.Needs.Yardage[0].BuyIn+1e-9)
	require.NotEmpty(t, p.StripSets)
	strips, patches := 0, map[bool]int{}
	for _, c := range p.Needs.Cuts {
		if c.Role.Background && c.For[0] == recipe.StripSets {
			strips += c.Count
		}
	}
	bought := 0
	for _, s := range p.StripSets {
		for i, x := range s.Strips {
			if chain[s.Of].Strips[i].Role.Background {
				require.Zero(t, x.ID)
				bought++
				patches[true] += s.Segments
			}
		}
	}
	require.Equal(t, bought, strips)
	small := func(n *Needs) (count int) {
		for _, c := range n.Cuts {
			if c.Role.Background && near(c.WidthIn, chain[0].Strips[0].CutIn) && near(c.LengthIn, chain[0].AcrossIn) {
				count += c.Count
			}
		}
		return count
	}
	require.Equal(t, small(n)-patches[true], small(p.Needs))
}

// Of random stashes: no cloth is used twice, every set's segments fit its strips, the sets
// give no more segments than are wanted, nothing is dearer than patch by patch, and more
// cloth never leaves fewer patches covered; of a kind by itself, never fewer segments.
func TestMoreStripsNeverMakeFewer(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 5))
	sets, fewer := 0, 0
	for _, name := range []string{"four-patch", "rail-fence", "nine-patch", "uneven-rails", "coins", "sixteen-patch"} {
		n := sewn(t, name, 6)
		for range 6 {
			var stock []cloth.Holding
			covered, segments := 0.0, 0
			for id := range int64(12) {
				h := toned(id+1, 1+r.IntN(2), []cloth.Form{cloth.Strip, cloth.Strip, cloth.Rectangle}[r.IntN(3)], []float64{2, 2.5, 3.5, 5}[r.IntN(4)], float64(8+r.IntN(34)), []cloth.Value{cloth.Light, cloth.Medium, cloth.Dark}[r.IntN(3)])
				stock = append(stock, h)
				if id%3 != 2 {
					continue
				}
				p, err := FromStash(n, stock, nil, "", cutting.Options{})
				require.NoError(t, err)
				plain := *n
				plain.Shop.StripSets = false
				patch, err := FromStash(&plain, stock, nil, "", cutting.Options{})
				require.NoError(t, err)
				require.LessOrEqual(t, p.shortIn2(), patch.shortIn2()+1e-6)
				sets += len(p.StripSets)
				fewer += btoi(p.StripSets != nil && p.Unsewn != "")
				used := counts(p.Pulled())
				for _, h := range stock {
					require.LessOrEqual(t, used[h.ID], h.Count)
				}
				rows := map[[2]int]bool{}
				for _, s := range p.StripSets {
					for i, x := range s.Strips {
						require.False(t, rows[[2]int{x.Cut, x.Row}], "a strip is in one set")
						rows[[2]int{x.Cut, x.Row}] = true
						is := p.Segments[s.Of].Strips[i]
						h := stock[x.ID-1]
						require.True(t, is.Role.Suits(h.Family, h.Value))
						require.LessOrEqual(t, s.LengthIn, h.LengthIn+1e-9)
						require.InDelta(t, s.LengthIn, float64(s.Segments)*p.Segments[s.Of].AcrossIn+0.5, 1e-9)
					}
				}
				for k, g := range p.Segments {
					require.LessOrEqual(t, p.Sewn(k), g.Count)
				}
				for _, c := range p.Cover.Cuts {
					for _, q := range c.Pieces {
						require.LessOrEqual(t, q.X+q.W, c.Width+1e-6)
						require.LessOrEqual(t, q.Y+q.H, c.Length+1e-6)
					}
				}
				all := 0.0
				for i, w := range p.Wants {
					require.LessOrEqual(t, p.Cover.Covered[i], w.Count)
					require.Equal(t, w.Count, p.Cover.Covered[i]+p.Cover.Short[i])
					all += float64(p.Cover.Covered[i]) * w.W * w.L
				}
				require.GreaterOrEqual(t, all, covered-1e-6, "%s", name)
				covered = all
				s := patch.newSewing(stock, nil, "", cutting.Options{})
				s.all()
				given := 0
				for _, set := range s.sets {
					given += set.Segments
				}
				if len(p.Segments) == 1 && name != "coins" {
					require.GreaterOrEqual(t, given, segments, "%s", name)
				}
				segments = given
			}
		}
	}
	require.Greater(t, sets, 100)
	require.Positive(t, fewer)
}
