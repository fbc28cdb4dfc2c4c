package cloth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Ounces and pounds: NIST Handbook 44, appendix C.
func TestWeights(t *testing.T) {
	for s, want := range map[string]float64{"350g": 350, "1.2 kg": 1200, "1,2kg": 1200, "16oz": 453.59237, "1LB": 453.59237} {
		got, err := ParseWeight(s)
		require.NoError(t, err, s)
		require.InDelta(t, want, got, 1e-6, s)
	}
	for _, s := range []string{"350", "g", "-3g", "nang", "1e9kg", "3 stone"} {
		_, err := ParseWeight(s)
		require.Error(t, err, s)
	}
	_, err := ParseWeight("1,200g")
	require.ErrorIs(t, err, ErrThousands)
}
