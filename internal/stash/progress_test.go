package stash

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Long work tells how far it is, from the first step to the last.
func TestLongWorkIsTold(t *testing.T) {
	var told [][2]int
	tell := Options{Now: clock(), Progress: func(done, all int) { told = append(told, [2]int{done, all}) }}
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
	_, err = s.Import(ctx, "a.csv", []byte("count,colour\n3,red\n4,blue\n5,green\n"))
	require.NoError(t, err)
	toldAll("import", 3)
	for i := range 2 {
		_, err = s.Stow(ctx, Photo{Name: "a.jpg", Bytes: fmt.Appendf(nil, "photo %d", i)})
		require.NoError(t, err)
	}
	_, err = s.Check(ctx)
	require.NoError(t, err)
	toldAll("check", 2)
	file := filepath.Join(t.TempDir(), "a.backup")
	require.NoError(t, s.Backup(ctx, file))
	require.Equal(t, [2]int{3, 3}, told[len(told)-1], "the ledger and two photos")
	told = nil
	_, err = Restore(ctx, file, filepath.Join(t.TempDir(), "b"), tell)
	require.NoError(t, err)
	require.Contains(t, told, [2]int{1, 3})
	require.Contains(t, told, [2]int{3, 3})
	told = nil
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.NotEmpty(t, told)
	require.Equal(t, told[len(told)-1][0], told[len(told)-1][1])
}

// A spreadsheet of a million lines once kept it at work for minutes.
func TestTooManyEntriesAreRefused(t *testing.T) {
	s := open(t, t.TempDir())
	line := "1,red\n"
	_, err := s.Import(ctx, "a.csv", []byte("count,colour\n"+strings.Repeat(line, mostEntries+1)))
	require.ErrorIs(t, err, ErrRefused)
	require.EqualError(t, err, "a.csv: it holds more than 300000 entries")
	table, err := readTable("a.csv", []byte("count,colour\n"+strings.Repeat(line, mostEntries)))
	require.NoError(t, err)
	require.Len(t, table.Lines, mostEntries)
	one := []byte(`{},`)
	_, err = s.Import(ctx, "a.json", append(append([]byte(`{"format":"piecebag stash","version":1,"holdings":[`), bytes.Repeat(one, mostEntries)...), []byte("{}]}")...))
	require.EqualError(t, err, "a.json: it holds more than 300000 entries")
}
