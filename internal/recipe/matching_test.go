package recipe

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

// matchedQuilts are quilts with matching sets of every kind: one at a time and several,
// loose triangles, in a block and in parts within it, more in some sets than in others.
func matchedQuilts(t *testing.T) map[string]*Recipe {
	out := map[string]*Recipe{}
	for name, r := range quilts(t) {
		if len(r.MayMatch) == 0 {
			continue
		}
		usual, err := r.Match(UsualMatching)
		require.NoError(t, err)
		out[name] = usual
	}
	out["parts"] = read(t, `
name = "two bows"
width = 8
grid = [4, 4]
matching = ["red"]
[part.bow]
grid = [2, 2]
matching = ["dark", "red"]
[[part.bow.patch]]
at = [[1, 1], [2, 2]]
role = "dark"
[[part.bow.patch]]
at = [[1, 2], [2, 1]]
make = "half-square"
roles = ["background", "red"]
[[patch]]
at = [[1, 1], [3, 3, 90]]
part = "bow"
[[patch]]
at = [[1, 3]]
wide = 2
high = 2
make = "quarter-square"
roles = ["red", "dark", "red", "dark"]
[[patch]]
at = [[3, 1]]
role = "dark"
[[patch]]
at = [[3, 2], [4, 1], [4, 2]]
make = "half-square"
roles = ["red", "any"]
`)
	return out
}

// The pieces of matching sets are those of the whole cut list, each patch once; those of a
// set lie in one block, all of the role there; and the sets are as many as Sets counts.
func TestMatchingSets(t *testing.T) {
	quilts := matchedQuilts(t)
	require.GreaterOrEqual(t, len(quilts), 14)
	for name, r := range quilts {
		for _, size := range [][2]int{{1, 1}, {3, 4}} {
			c := Method{System: Inches(), WOFIn: 40, OneByOne: true}
			want, got := map[string]int{}, map[string]int{}
			key := func(role Role, w, l float64) string { return fmt.Sprintf("%s %.3f × %.3f", role.Name, w, l) }
			for _, cut := range r.TopCuts(size[0], size[1], c) {
				if cut.LengthIn > 0 {
					want[key(cut.Role, cut.WidthIn, cut.LengthIn)] += cut.Count
				}
			}
			l := r.QuiltLayout(size[0], size[1])
			sets := map[int]map[string]int{}
			stands := map[int]int{}
			role := map[int]string{}
			in := make([]int, len(l.Patches))
			for _, p := range r.Pieces(l, c) {
				k := key(p.Role, p.WidthIn, p.LengthIn)
				got[k]++
				for _, i := range p.Patches {
					in[i] = p.Set
				}
				if p.Set == 0 {
					continue
				}
				if sets[p.Set] == nil {
					sets[p.Set], stands[p.Set], role[p.Set] = map[string]int{}, l.Patches[p.Patches[0]].Block, p.Role.Name
				}
				sets[p.Set][k]++
				require.Equal(t, role[p.Set], p.Role.Name)
				for _, i := range p.Patches {
					require.Equal(t, stands[p.Set], l.Patches[i].Block, "%s: a set is in one block", name)
				}
			}
			require.Equal(t, want, got, "%s, %v", name, size)
			if name != "parts" { // all of the role in a block are of one set
				for i, p := range l.Patches {
					if matches := slices.Contains(r.Matching(), p.Role.Name) && p.Of >= 0; matches {
						require.NotZero(t, in[i], "%s: patch %d", name, i)
					}
				}
				require.Len(t, sets, countSets(r, size), name)
			}
			counted, made := map[string]int{}, map[string]int{}
			for _, s := range r.Sets(size[0], size[1], c) {
				one := map[string]int{}
				for _, p := range s.Pieces {
					one[key(s.Role, p.WidthIn, p.LengthIn)] += p.Count
				}
				counted[fmt.Sprint(one)] += s.Count
			}
			for _, one := range sets {
				made[fmt.Sprint(one)]++
			}
			require.Equal(t, counted, made, "%s, %v", name, size)
		}
	}
}

// countSets is a set a block for each role that matches in it.
func countSets(r *Recipe, size [2]int) (n int) {
	for i, b := range r.Blocks {
		of := map[string]bool{}
		for _, u := range b.Units {
			for _, m := range u.Matched {
				of[m.Role] = true
			}
		}
		p := r.Places(size[0], size[1])
		n += len(of) * (p.Blocks[i].Count + p.InBorders[i].Count)
	}
	return n
}

// Two parts placed have a print each, and all that the block matches over again is of one.
func TestMatchingInParts(t *testing.T) {
	r := matchedQuilts(t)["parts"]
	sets := r.Sets(1, 1, Method{System: Inches(), WOFIn: 40, OneByOne: true})
	require.Len(t, sets, 2)
	require.Equal(t, "dark", sets[0].Role.Name)
	require.Equal(t, 2, sets[0].Count)
	require.Equal(t, []SizeCount{{WidthIn: 2.5, LengthIn: 2.5, Count: 2}}, sets[0].Pieces)
	// The red of the quarter-square; the four triangles of both parts take two squares, the
	// three others two.
	require.Equal(t, "red", sets[1].Role.Name)
	require.Equal(t, 1, sets[1].Count)
	require.Equal(t, []SizeCount{{5.25, 5.25, 1, Twice}, {2.875, 2.875, 4, Whole}}, sets[1].Pieces)
}

// With an odd number of units made two at a time, each block takes a set more than half.
func TestMatchedSetsAreRoundedUpInEachBlock(t *testing.T) {
	r := read(t, head+"[[patch]]\nat=[[1,1],[1,2],[2,1]]\nmake=\"half-square\"\nroles=[\"background\",\"red\"]\n[[patch]]\nat=[[2,2]]\nrole=\"dark\"")
	c := Method{System: Inches(), WOFIn: 40, OneByOne: true}
	squares := func(r *Recipe) (n int) {
		for _, l := range r.TopCuts(4, 1, c) {
			if l.Role.Name == "red" {
				n += l.Count
			}
		}
		return n
	}
	require.Equal(t, 6, squares(r))
	m, err := r.Match("red")
	require.NoError(t, err)
	require.Equal(t, 8, squares(m))
	require.Equal(t, []string{"red"}, m.Matching())
	require.Empty(t, r.Matching(), "the recipe itself stays as it is")
	none, err := m.Match(NoMatching)
	require.NoError(t, err)
	require.Equal(t, r.TopCuts(4, 1, c), none.TopCuts(4, 1, c))
}

func TestMatchingIsRefused(t *testing.T) {
	four := head + "[[patch]]\nat=[[1,1],[1,2],[2,1],[2,2]]\nrole=\"dark\""
	for text, says := range map[string]string{
		`matching = ["light"]`:        `matching: no patch has the role "light"`,
		`matching = ["background"]`:   "matching: the background is one fabric already",
		`matching = ["dark", "dark"]`: `matching: "dark" is named twice`,
		`matching = ["drak"]`:         `matching: there is no role "drak"`,
		`may_match = ["background"]`:  "may_match: the background is one fabric already",
		`matching = "dark"`:           "line 1: matching cannot hold this",
	} {
		_, err := Read("mine.toml", []byte(text+"\n"+four))
		require.Error(t, err, text)
		require.Contains(t, err.Error(), says)
		require.NotEmpty(t, fault.Of(err).Remedy)
	}
	_, err := read(t, four).Match("drak")
	require.ErrorContains(t, err, `no patch of x has the role "drak", to match`)
	require.Contains(t, fault.Of(err).Remedy, `the nearest is "dark"`)
}
