package truth

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNamesOf(t *testing.T) {
	claim := func(trust float64, right, or, orRight bool) NameClaim {
		return NameClaim{Claim{trust, right}, or, orRight, trust == 0.4}
	}
	n := NamesOf([]NameClaim{
		claim(0.95, true, false, false), claim(0.9, false, false, false), claim(0.5, false, true, true), claim(0.5, true, true, false), claim(0.4, false, true, false),
	})
	require.Equal(t, 5, n.Said)
	require.InDelta(t, 0.4, *n.Right, 1e-9)
	require.Equal(t, 2, n.Sure)
	require.InDelta(t, 0.5, *n.SureRight, 1e-9)
	require.Equal(t, 3, n.TossUps)
	require.InDelta(t, 1.0/3, *n.FirstRight, 1e-9)
	require.InDelta(t, 2.0/3, *n.EitherRight, 1e-9)
	require.InDelta(t, (0.05*0.05+0.9*0.9+0.25+0.25+0.16)/5, *n.Brier, 1e-9)
	var b strings.Builder
	require.NoError(t, WriteNames(&b, "family", n))
	require.Contains(t, b.String(), "family: 5 said, right 0.400, Brier score")
	require.Nil(t, NamesOf(nil).Right)
	claims := []NameClaim{claim(0.5, true, false, false), claim(0.4, true, false, false)}
	together, apart := Parted(claims)
	require.Equal(t, claims[:1], together)
	require.Equal(t, claims[1:], apart)
	require.Equal(t, Refit{0, 1}, NamesOf(nil).Line)
}

// Trust that says its odds too small by a factor and too flat is set right by the line
// that is fitted, and setting right twice is setting right by both.
func TestFitLine(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var claims []Claim
	for range 20000 {
		c := Claim{Trust: 0.1 + 0.8*r.Float64()}
		c.Right = r.Float64() < Refit{0.5, 2}.of(c.Trust)
		claims = append(claims, c)
	}
	got := fitLine(claims)
	require.InDelta(t, 0.5, got.At, 0.06)
	require.InDelta(t, 2, got.Slope, 0.08)
	once, twice := Refit{0.3, 1.5}, Refit{-1, 0.7}
	require.InDelta(t, twice.of(once.of(0.8)), twice.After(once).of(0.8), 1e-9)
}
