package desk

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

func strip(count int, width, length float64, f cloth.Family) cloth.Holding {
	return cloth.Holding{Form: cloth.Strip, Count: count, WidthIn: width, LengthIn: length, Family: f, Value: cloth.Dark, Print: string(f)}
}

// The strips that a plan pulls for strings lie in their patches, by the area that they
// have, and are pulled once; they stay as they are laid, are locked and swapped, and leave
// the stash with the last of the quilt.
func TestStringsAreLaid(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for i, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green} {
		add(t, d, strip(4, 1.25+float64(i)/4, 30, f))
	}
	add(t, d, strip(10, 1, 5, cloth.Purple)) // too short for many
	ask := asks(t, "strings", 8, 2, 2, "str")
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Zero(t, a.Empty)
	require.Zero(t, a.Pull.Scraps[0].ShortIn2())
	length, area := map[int64]float64{}, map[int64]float64{}
	for _, h := range a.Holdings {
		length[h.ID], area[h.ID] = h.LengthIn, h.WidthIn*h.LengthIn
	}
	laid := 0
	used := map[int64]float64{}
	for i, parts := range a.Parts {
		require.Equal(t, recipe.Strings, parts[0].key.scraps)
		id, cut := a.lies(a.Laid[0].At[i], 0)
		require.False(t, cut)
		require.LessOrEqual(t, parts[0].key.length, length[id])
		used[id] += parts[0].key.width * parts[0].key.length
		laid++
	}
	require.Len(t, used, 4)
	largest := 10 * recipe.Inches().Up(2.5) // of one string, which may be sewn of what is over
	for _, x := range a.Pull.Scraps[0].Pulled {
		require.LessOrEqual(t, used[x.ID], float64(x.Count)*area[x.ID]+largest)
	}
	require.Equal(t, a.Pull.Pulled(), a.Saved.Laid.Besides)
	require.Equal(t, plan.CountOf(a.Pull.Pulled()), plan.CountOf(a.Saved.Pulled), "each strip once")

	kept, err := d.Quilt(ctx, "str")
	require.NoError(t, err)
	require.Equal(t, a.Laid[0].Cloth, kept.Laid[0].Cloth)
	require.Zero(t, kept.Empty)
	// Two of one size change places.
	one, other := kept.firstName(0), ""
	for i, p := range kept.Problem.Places[1:] {
		if p.Class == kept.Problem.Places[0].Class && kept.Laid[0].At[i+1] != kept.Laid[0].At[0] {
			other = kept.firstName(i + 1)
		}
	}
	before := kept.Saved.Laid.Of(one).Holding
	swapped, err := d.EditQuilt(ctx, "str", Edit{Swap: [2]string{one, other}, Lock: []string{other}})
	require.NoError(t, err)
	require.Equal(t, before, swapped.Saved.Laid.Of(other).Holding)
	// What is locked or sewn stays when it is laid out again, and nothing more is pulled.
	_, err = d.MarkQuilt(ctx, MarkRequest{Quilt: "str", Stage: plan.SewnStage, Blocks: []string{"A1"}})
	require.NoError(t, err)
	half, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Equal(t, plan.CountOf(a.Saved.Pulled), half[0].Pulled, "each strip once, also when some is sewn")
	sewn := swapped.Saved.Laid.Of("A1.2").Holding
	ask.Seed = 7
	again, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Zero(t, again.Empty)
	require.Equal(t, before, again.Saved.Laid.Of(other).Holding)
	require.Equal(t, sewn, again.Saved.Laid.Of("A1.2").Holding)
	require.Equal(t, plan.SewnStage, again.Saved.Laid.Of("A1.2").Stage)
	require.ElementsMatch(t, a.Saved.Pulled, again.Saved.Pulled)

	_, had := squareInches(t, d)
	m, err := d.MarkQuilt(ctx, MarkRequest{Quilt: "str", Stage: plan.SewnStage})
	require.NoError(t, err)
	require.True(t, m.Done)
	_, has := squareInches(t, d)
	require.Equal(t, plan.CountOf(a.Saved.Pulled), had-has)
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Equal(t, laid, all[0].Stages[plan.SewnStage])
	require.Empty(t, all[0].Lacking())
}

// What strings lack is said in the list of quilts, and drawn hollow.
func TestStringsThatLack(t *testing.T) {
	d := newDesk(t, t.TempDir())
	add(t, d, strip(2, 1.5, 30, cloth.Blue))
	a, err := d.Arrange(ctx, asks(t, "strings", 8, 2, 2, "str"))
	require.NoError(t, err)
	require.Positive(t, a.Empty)
	require.Less(t, a.Empty, a.Pieces())
	used := 0.0
	for i, parts := range a.Parts {
		if a.Laid[0].At[i] >= 0 {
			used += parts[0].key.width * parts[0].key.length
		}
	}
	require.LessOrEqual(t, used, 90.0)
	all, err := d.Quilts(ctx)
	require.NoError(t, err)
	require.Zero(t, all[0].Lacks)
	require.Equal(t, "2 handfuls of strings", all[0].Lacking(), "435 - 90 = 345 square inches, 294½ a handful")
}

// Squares that crumbs are sewn from are no patches besides.
func TestCrumbsTakeNoPatch(t *testing.T) {
	d := newDesk(t, t.TempDir())
	for _, f := range []cloth.Family{cloth.Blue, cloth.Red, cloth.Green} {
		add(t, d, squares(40, f, cloth.Dark))
	}
	r, err := recipe.Read("mine", []byte("name = \"mine\"\nwidth = 8\ngrid = [4, 2]\n[[patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"any\"\n[[patch]]\nat = [[1, 3]]\nwide = 2\nhigh = 2\nmake = \"crumbs\"\n"))
	require.NoError(t, err)
	ask := asks(t, "strings", 8, 3, 3, "crumbs")
	ask.Order.Recipe = r
	a, err := d.Arrange(ctx, ask)
	require.NoError(t, err)
	require.Positive(t, a.Pull.Scraps[0].ShortIn2(), "they take all that the squares leave")
	held := map[int64]int{}
	for _, x := range a.Saved.Pulled {
		held[x.ID] += x.Count
	}
	for x, piece := range a.Problem.Pieces {
		if slices.Contains(a.Problem.Suits[a.Problem.Places[0].Class], x) {
			for _, crumbs := range a.Pull.Scraps[0].Pulled {
				if crumbs.ID == piece.Holding {
					require.LessOrEqual(t, piece.Count+crumbs.Count, 40, "offered to the patches")
				}
			}
		}
	}
	for id, n := range held {
		require.LessOrEqual(t, n, 40, "piece %d", id)
	}
	require.Equal(t, 36+plan.CountOf(a.Pull.Besides()), plan.CountOf(a.Saved.Pulled))
}
