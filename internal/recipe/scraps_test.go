package recipe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/geom"
)

// An ounce of cotton at 4.4 ounces to the square yard of 1296 is 294½ square inches; part
// of a handful is one.
func TestHandfuls(t *testing.T) {
	require.InDelta(t, 294.545, Handful, 0.001)
	for in2, want := range map[float64]int{0: 0, 1: 1, 294.5: 1, 294.6: 2, 589: 2, 590: 3} {
		require.Equal(t, want, Handfuls(in2), in2)
	}
}

// The middle string has the first role, those on either side the others in turn; a block
// of two units of them takes two foundations for each that stands.
// Strings are kept from ¾ or 1 inch up: seaminglykate.com, quiltingboard.com.
func TestStringsAndCrumbsOnFoundations(t *testing.T) {
	r := read(t, `name = "x"
width = 12
grid = [2, 1]
[[patch]]
at = [[1, 1], [1, 2, 90]]
make = "strings"
roles = ["red", "light", "dark"]`)
	var names []string
	for _, s := range r.Blocks[0].Units[0].upright() {
		names = append(names, s.role.Name)
	}
	require.Equal(t, []string{"red", "light", "light", "dark", "dark", "light", "light", "dark", "dark", "light", "light"}, names)
	middle := r.Blocks[0].Units[0].upright()[0].polygon
	require.True(t, middle.Contains(geom.Point{X: 0.5, Y: 0.5}))
	require.True(t, middle.Contains(geom.Point{X: 0.9, Y: 0.12}), "along the diagonal to the top right")
	require.Equal(t, []SizeCount{{WidthIn: 6.5, LengthIn: 6.5, Count: 2 * 6}}, r.Foundations(2, 3, Inches()))
	require.Empty(t, builtIn(t, "pinwheel").Foundations(2, 3, Inches()))
	crumbs := builtIn(t, "crumbs")
	require.Len(t, crumbs.Blocks[0].Units[0].upright(), 16)
	require.Equal(t, 6, crumbs.Foundations(2, 3, Inches())[0].Count)
	// Bought, they are strips of 2 across the cloth, as many as hold the area.
	for _, c := range crumbs.Cuts([]Stand{{Count: 9}}, Method{System: Inches(), WOFIn: 40}) {
		require.Equal(t, []float64{2, 0}, []float64{c.WidthIn, c.LengthIn})
		require.GreaterOrEqual(t, float64(c.Count)*80, c.AnyIn2)
		require.Less(t, float64(c.Count-1)*80, c.AnyIn2)
	}
	turned := read(t, `name = "x"
width = 4
grid = [2, 1]
[[patch]]
at = [[1, 1]]
wide = 2
make = "half-rectangle"
roles = ["light", "dark"]`).Turned(2, 2, true)
	require.Equal(t, "half-rectangle triangles", turned[0].What)
	require.Equal(t, 4, turned[0].Patches)
}

// Strings that are bought reach over the whole foundation: one over the diagonal, then two
// for each that follows until the corners are covered, the roles on the sides in turn.
func TestStringsThatAreBought(t *testing.T) {
	r := read(t, `name = "x"
width = 6
grid = [1, 1]
[[patch]]
at = [[1, 1]]
make = "strings"
roles = ["red", "light", "dark"]`)
	u := r.Blocks[0].Units[0]
	c := Method{System: Inches(), WOFIn: 40}
	const n = 4
	// Cut 2 wide and sewn with ¼ they finish at 1½; half of the diagonal across a foundation
	// of 6½ is 4.6: the middle one covers ¾, each further one 1½ more, so three on each side.
	roles := []string{"red", "light", "dark", "light"}
	half := 6.5 / math.Sqrt2
	want := map[string]int{}
	for k, role := range roles {
		count, from := 2*n, 0.75+1.5*float64(k-1)-0.25 // the longer edge, with its seam
		if k == 0 {
			count, from = n, 0
		}
		long := 6.5 * math.Sqrt2 * (1 - max(0, from)/half)
		want[role] += int(math.Ceil(float64(count) / math.Floor(40/long)))
	}
	for role, strips := range want {
		got, why := u.boughtStrings(roleOf(t, u, role), r.WidthIn, n, c)
		require.Equal(t, strips, got, "%s: %v", role, why)
	}
}

func roleOf(t *testing.T, u Unit, name string) Role {
	for _, r := range u.Roles {
		if r.Name == name {
			return r
		}
	}
	t.Fatalf("no role %s", name)
	return Role{}
}
