//go:build unix

package files_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
	"piecebag/internal/files"
)

// A file is read to its last byte, and one byte more is too much; sizes are told in the larger unit.
func TestReadingToTheLimit(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		size, most int64
		why        string
	}{
		{4096, 4096, ""}, {0, 4096, ""}, {4097, 4096, "it holds more than 4 kB"}, {3 << 20, 2 << 20, "it holds more than 2 MB"}, {1<<20 + 1, 1 << 20, "it holds more than 1 MB"}, {1 << 20, 1<<20 - 1, "it holds more than 1023 kB"},
	} {
		path := filepath.Join(dir, "f")
		want := bytes.Repeat([]byte{'x'}, int(c.size))
		require.NoError(t, os.WriteFile(path, want, 0o600))
		got, err := files.Read(path, c.most, "look again")
		if c.why == "" {
			require.NoError(t, err)
			require.True(t, bytes.Equal(want, got))
			continue
		}
		require.EqualError(t, err, path+": "+c.why)
		require.Equal(t, "see whether it is the right file", fault.Of(err).Remedy)
		require.Nil(t, got)
	}
	_, err := files.Read(filepath.Join(dir, "gone"), 10, "look again")
	require.ErrorContains(t, err, "it cannot be read: no such file or directory")
	require.Equal(t, "look again", fault.Of(err).Remedy)
	_, err = files.Open(dir, "")
	require.EqualError(t, err, dir+": this is a folder")
	require.Equal(t, "name a file in it", fault.Of(err).Remedy)
	_, err = files.Open("/dev/null", "")
	require.EqualError(t, err, "/dev/null: this is a pipe or a device, not a file")
	require.EqualError(t, files.Bare(&os.LinkError{Op: "rename", Old: "a", New: "b", Err: io.EOF}), "EOF")
	require.EqualError(t, files.Bare(&os.PathError{Op: "open", Path: "a", Err: io.EOF}), "EOF")
	require.Equal(t, io.EOF, files.Bare(io.EOF))
}

// Text is text though a letter is cut through at the end of what is looked at; a nought or a broken
// letter is none.
func TestTextIsToldFromBytes(t *testing.T) {
	for text, is := range map[string][4]bool{ // HTML, SVG, JSON, CSV
		"<!DOCTYPE html><p>": {true, false, false, false}, " \n<HTML>": {true, false, false, false}, "\uFEFF<html>": {true, false, false, false}, "<svg>": {false, true, false, false}, "<?xml?><svg>": {false, true, false, false}, "<?xml?><p>": {false, false, false, false},
		"{": {false, false, true, false}, "[1,2]": {false, false, true, false}, "a,b\nc": {false, false, false, true}, "a;b": {false, false, false, true}, "a\tb": {false, false, false, true}, "a b\nc,d": {false, false, false, false},
		"a,½"[:len("a,½")-1]: {false, false, false, true}, "a,裂"[:len("a,裂")-1]: {false, false, false, true}, "a,👩"[:len("a,👩")-1]: {false, false, false, true}, "a,👩"[:len("a,👩")-3]: {false, false, false, true},
		"a,\xff\xff\xff\xff\xff": {false, false, false, false}, "a\xff,b": {false, false, false, false}, "\x00a,b": {false, false, false, false}, "a,b\x00": {false, false, false, false}, "{\x00": {false, false, false, false}, "": {false, false, false, false}, "\xbd": {false, false, false, false},
	} {
		head := []byte(text)
		require.Equal(t, is, [4]bool{files.HTML(head), files.SVG(head), files.JSON(head), files.CSV(head)}, "%q", text)
	}
	require.True(t, files.Begins("PK")([]byte("PK3")))
	require.False(t, files.Begins("PK")([]byte("P")))
}

// A mark is found wherever it stands, also where two parts of the file meet in it.
func TestAMarkIsFoundAnywhere(t *testing.T) {
	const mark = "made here by hand"
	for _, at := range []int{0, 1, 1<<16 - len(mark), 1<<16 - 9, 1<<16 - 1, 1 << 16, 2<<16 - 20, 2<<16 - 8, 3<<16 - 40} {
		for _, with := range []bool{true, false} {
			text := strings.Repeat("x", at) + mark
			if !with {
				text = strings.Repeat("x", at) + mark[1:] + "m"
			}
			path := filepath.Join(t.TempDir(), "f")
			require.NoError(t, os.WriteFile(path, []byte(text+"yyy"), 0o600))
			f, err := os.Open(path)
			require.NoError(t, err)
			require.Equal(t, with, files.Marked(mark)(f), "at %d", at)
			require.NoError(t, f.Close())
		}
	}
	path := filepath.Join(t.TempDir(), "f")
	for text, is := range map[string][2]bool{"a,b\r\n1,2": {true, true}, "a,b": {true, true}, "a,b,c\n": {true, false}, " a, b\n": {true, false}, "b,a\n": {false, false}} {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		f, err := os.Open(path)
		require.NoError(t, err)
		starts := files.StartsWith("a ,b")(f)
		row := files.FirstRow([]string{"a", "b"})(f)
		require.Equal(t, is, [2]bool{starts, row}, "%q", text)
		at, err := f.Seek(0, io.SeekCurrent)
		require.NoError(t, err)
		require.Zero(t, at, "it is at its beginning again")
		require.NoError(t, f.Close())
	}
}

// Targets that are not wanted are passed by; links are followed; permissions stay; a fault of
// filling is told as it is.
func TestWhereFilesGo(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a.svg"), filepath.Join(dir, "b.svg")
	require.NoError(t, files.Write(files.Target{}, to(a, "<svg>made here one"), files.Target{}, to(b, "<svg>two")))
	has(t, a, "<svg>made here one")
	has(t, b, "<svg>two")
	require.NoError(t, os.Chmod(a, 0o604))
	link := filepath.Join(dir, "link.svg")
	require.NoError(t, os.Symlink(a, link))
	require.NoError(t, files.Write(to(link, "<svg>made here three")))
	has(t, a, "<svg>made here three")
	st, err := os.Lstat(link)
	require.NoError(t, err)
	require.NotZero(t, st.Mode()&os.ModeSymlink, "the link stays")
	st, err = os.Stat(a)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o604), st.Mode().Perm())
	real, err := filepath.EvalSymlinks(dir)
	require.NoError(t, err)
	require.Equal(t, filepath.Join(real, "a.svg"), files.Place(link))
	require.Equal(t, filepath.Join(real, "new.svg"), files.Place(filepath.Join(dir, "new.svg")))
	require.Equal(t, filepath.Join(dir, "gone", "new.svg"), files.Place(filepath.Join(dir, "gone", "new.svg")))

	mine := fault.New("x", "it is so", "do this")
	for _, c := range []struct {
		fill error
		want string
	}{{mine, "x: it is so"}, {context.Canceled, "context canceled"}, {fmt.Errorf("full: %w", io.ErrShortWrite), a + ": it cannot be written: full: short write"}} {
		broken := to(a, "")
		broken.Fill = func(io.Writer) error { return c.fill }
		err := files.Write(broken)
		require.EqualError(t, err, c.want)
		if errors.Is(err, io.ErrShortWrite) {
			require.Equal(t, "choose another place, or make room there", fault.Of(err).Remedy)
		}
		has(t, a, "<svg>made here three")
	}
	err = files.Write(to(filepath.Join(dir, "gone", "a.svg"), ""))
	require.ErrorContains(t, err, "its folder is not there")
	require.Equal(t, "make the folder first, or choose another", fault.Of(err).Remedy)
	err = files.Write(to(dir, ""))
	require.ErrorContains(t, err, "this is a folder")
	holds(t, dir, 3)
	both := to(b, "<svg>made here")
	both.Called = "--svg"
	err = files.Write(to(filepath.Join(dir, "new.svg"), "<svg>"), to(filepath.Join(dir, "new.svg"), "<svg>"))
	require.ErrorContains(t, err, "another output goes there")
	require.Equal(t, "name another file", fault.Of(err).Remedy)
	// What piecebag did not write is replaced by force alone, which is offered where there is such a thing.
	yes, no := true, false
	err = files.Write(both)
	require.EqualError(t, err, "--svg "+b+": it is there already, and piecebag did not write it; it was left as it is")
	require.Equal(t, "name a new file that ends in .svg", fault.Of(err).Remedy)
	require.NotErrorIs(t, err, files.ErrReplaceable)
	both.Force = &no
	err = files.Write(both)
	require.ErrorIs(t, err, files.ErrReplaceable)
	require.Equal(t, "name another file", fault.Of(err).Remedy)
	both.Force = &yes
	require.NoError(t, files.Write(both))
	has(t, b, "<svg>made here")
	holds(t, dir, 3)
	nameless := to(b, "<svg>")
	nameless.Format.Ending, nameless.Format.Is = "", files.JSON
	err = files.Write(nameless)
	require.EqualError(t, err, b+": it is there already, and is not an SVG drawing; it was left as it is")
	require.Equal(t, "name a new file", fault.Of(err).Remedy)
	photo := to(filepath.Join(dir, "x.JPG"), "")
	require.ErrorContains(t, files.Write(photo), "this is the name of a photo")
	seen := to(a, "")
	seen.Reads = []string{filepath.Join(dir, "gone"), link}
	require.ErrorContains(t, files.Write(seen), "this is a photo to look at")
	seen.Reads = []string{b}
	require.NoError(t, files.Write(seen))
}
