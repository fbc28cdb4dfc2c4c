package stash

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/stash/stashtest"
)

// Long work tells how far it is, from the first step to the last.
func TestLongWorkIsTold(t *testing.T) {
	var told [][2]int
	tell := Options{Now: stashtest.Clock(), Progress: func(done, all int) { told = append(told, [2]int{done, all}) }}
	toldAll := func(what string, n int) {
		t.Helper()
		var want [][2]int
		for i := range n {
			want = append(want, [2]int{i + 1, n})
		}
		require.Equal(t, want, told, what)
		told = nil
	}
	dir := t.TempDir()
	s, err := Open(dir, tell)
	require.NoError(t, err)
	defer s.Close()
	_, err = loaded(s, `{"holdings":[`+strings.Repeat(`{"form":"square","count":3},`, 2)+`{"form":"strip","count":4}]}`)
	require.NoError(t, err)
	toldAll("import", 3)
	for i := range 2 {
		_, err = s.Stow(ctx, Photo{Name: "a.jpg", Bytes: fmt.Appendf(nil, "photo %d", i)})
		require.NoError(t, err)
	}
	_, err = s.Check(ctx)
	require.NoError(t, err)
	toldAll("check", 2)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.NotEmpty(t, told)
	require.Equal(t, told[len(told)-1][0], told[len(told)-1][1])
}
