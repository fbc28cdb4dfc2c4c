package stashtest

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) {
	Main(m, func(before func(string), words []string) error {
		for _, w := range words {
			before(w)
			fmt.Println(w)
		}
		if slices.Contains(words, "fail") {
			return fmt.Errorf("it failed")
		}
		return nil
	})
}

// A child is dead before its step, has done those before it, and says when it comes to its
// end.
func TestKilledAt(t *testing.T) {
	steps := []string{"one", "two"}
	require.False(t, KilledAt(t, 0, steps...))
	require.False(t, KilledAt(t, 1, steps...))
	require.True(t, KilledAt(t, 2, steps...))
	require.True(t, KilledAt(t, Never, steps...))
	out, err := Command(1, steps...).Output()
	require.Error(t, err)
	require.Equal(t, "one\n", string(out))
	out, err = Command(Never, "fail").CombinedOutput()
	require.Error(t, err)
	require.Equal(t, "fail\nit failed\n", string(out))
}

func TestClock(t *testing.T) {
	now := Clock()
	require.EqualValues(t, 1, -now().Sub(now()).Seconds())
}
