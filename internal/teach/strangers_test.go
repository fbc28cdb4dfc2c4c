package teach_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/teach"
)

// Who has taught two bins of many is asked of pieces that may belong in them, and not
// of the rest of the stash.
func TestStrangersAreNotAskedAbout(t *testing.T) {
	strangers, asked, own, lost := 0, 0, 0, 0
	for _, of := range []struct {
		quilter int
		bins    []string
	}{{0, []string{"sea", "reds"}}, {5, []string{"teal", "brown"}}, {11, []string{"berry", "garden"}}, {0, []string{"greens"}}} {
		for seed := uint64(700); seed < 702; seed++ {
			q := quilters[of.quilter]
			examples, rest := course(q, seed, 5, 150)
			examples = slices.DeleteFunc(examples, func(e teach.Example) bool { return !slices.Contains(of.bins, e.Bin) })
			s := teach.Learn(examples)
			for i := range rest {
				a := s.Sort(rest[i].Features)
				if slices.Contains(of.bins, q.bin(&rest[i])) {
					own++
					if !a.Ask && a.Bin == "" {
						lost++
					}
					continue
				}
				strangers++
				if a.Ask {
					asked++
				}
			}
		}
	}
	t.Logf("%d of %d strangers asked about; %d of %d of the bins' own passed over", asked, strangers, lost, own)
	require.Less(t, asked, 150) // 177 where all that is not sure is asked about
	require.Less(t, lost, 90)
}
