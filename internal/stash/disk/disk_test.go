package disk

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

func TestHash(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a")
	write(t, file, "abc")
	sum, err := Hash(file)
	require.NoError(t, err)
	// FIPS 180-2, Secure Hash Standard, NIST 2002, appendix B.1.
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", sum)
	_, err = Hash(filepath.Join(filepath.Dir(file), "none"))
	require.ErrorIs(t, err, fs.ErrNotExist)
}

// A file has its name when it is whole, and till then what bore it before stays.
func TestBeside(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "a")
	write(t, file, "old")
	var steps []string
	step := func(what string) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Equal(t, "old", string(data))
		steps = append(steps, what)
	}
	broken := errors.New("broken")
	require.ErrorIs(t, Beside(file, ".part-*", step, func(*os.File) error { return broken }), broken)
	require.Equal(t, []string{"write beside"}, steps)
	require.NoError(t, Beside(file, ".part-*", step, func(part *os.File) error {
		require.Equal(t, dir, filepath.Dir(part.Name()))
		require.True(t, strings.HasPrefix(filepath.Base(part.Name()), ".part-"))
		_, err := part.WriteString("new")
		return err
	}))
	require.Equal(t, []string{"write beside", "write beside", "give it its name"}, steps)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, "new", string(data))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 1)
}

func TestWriteNewReplacesNothing(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a")
	require.NoError(t, WriteNew(file, strings.NewReader("one")))
	require.ErrorIs(t, WriteNew(file, strings.NewReader("two")), fs.ErrExist)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, "one", string(data))
	info, err := os.Stat(file)
	require.NoError(t, err)
	require.Zero(t, info.Mode().Perm()&0o077, "its owner's alone")
}

// What is young may be written still; what has another name is not of a command.
func TestSweep(t *testing.T) {
	dir, now := t.TempDir(), time.Now()
	for name, age := range map[string]time.Duration{
		".x-old.part": PartAge + time.Minute, ".x-young.part": PartAge - time.Minute, ".x-old.txt": 2 * PartAge, "y-old.part": 2 * PartAge,
	} {
		write(t, filepath.Join(dir, name), "x")
		require.NoError(t, os.Chtimes(filepath.Join(dir, name), now.Add(-age), now.Add(-age)))
	}
	Sweep(dir, ".x-", ".part", now)
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	require.Len(t, left, 3)
	require.NoFileExists(t, filepath.Join(dir, ".x-old.part"))
}
