package report

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is a hair less than chance gives is no share below nothing.
func TestPercentWords(t *testing.T) {
	require.Equal(t, "0 %", percentWords(-0.001))
	require.Equal(t, "-4 %", percentWords(-0.04))
	require.Equal(t, "71 %", percentWords(0.706))
}
