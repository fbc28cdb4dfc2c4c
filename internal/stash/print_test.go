package stash

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/colour"
)

// The box in which like prints are sought leaves none out.
func TestNoPrintThatIsNearIsMissed(t *testing.T) {
	s := open(t, t.TempDir())
	rng := rand.New(rand.NewPCG(3, 9))
	near := func(v, d float64) float64 { return v + d*(2*rng.Float64()-1) }
	_, err := s.change(ctx, "test", func(tx *tx) (string, error) {
		for i := range 400 {
			a := colour.Lab{L: 100 * rng.Float64(), A: near(0, 80), B: near(0, 80)}
			var b colour.Lab
			for d := 12.; ; d *= 0.9 { // the farthest that is near enough
				if b = (colour.Lab{L: near(a.L, d), A: near(a.A, d), B: near(a.B, d)}); colour.DeltaE00(a, b) <= sameMean {
					break
				}
			}
			name := fmt.Sprint(i)
			if _, err := tx.insert(`INSERT INTO print (name, l, a, b, inks) VALUES (?, ?, ?, ?, '[]')`, name, b.L, b.A, b.B); err != nil {
				return "", err
			}
			looks, err := tx.looksNear(a)
			if err != nil {
				return "", err
			}
			found := false
			for _, l := range looks {
				found = found || l.name == name
			}
			require.True(t, found, "%v %v", a, b)
		}
		return "", nil
	})
	require.NoError(t, err)
}
