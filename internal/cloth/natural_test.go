package cloth

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNamesAreOrderedAsPeopleCount(t *testing.T) {
	want := []string{"box", "box 2", "box 02b", "box 10", "plaid", "print 1", "print 9", "print 10", "print 10a", "print 100", "print 99999999999999999999"}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, CompareNatural)
	require.Equal(t, want, got)
	require.NotZero(t, CompareNatural("a 1", "a 01"))
}
