package cloth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCount(t *testing.T) {
	require.Equal(t, "1 piece", Count(1, "piece"))
	require.Equal(t, "0 pieces", Count(0, "piece"))
	require.Equal(t, "2 dark blue 2½ squares", Count(2, "dark blue 2½ square"))
	require.Equal(t, "3 boxes", Count(3, "box"))
	require.Equal(t, "photo", Plural(1, "photo"))
}

// A list is cut short where that leaves out two at the least.
func TestFew(t *testing.T) {
	require.Equal(t, "a; b; c; d; e", Few([]string{"a", "b", "c", "d", "e"}))
	require.Equal(t, "a; b; c; d; and 2 more", Few([]string{"a", "b", "c", "d", "e", "f"}))
}
