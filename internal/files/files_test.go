//go:build unix

package files_test

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
	"piecebag/internal/files"
)

const mark = `<svg xmlns="http://www.w3.org/2000/svg"><desc>made here</desc>`

var drawing = files.Format{Name: "an SVG drawing", Ending: ".svg", Is: files.SVG, Ours: files.Marked("made here")}

// to is a target that writes text.
func to(path, text string) files.Target {
	return files.Target{Path: path, Format: drawing, Fill: func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}}
}

func write(t *testing.T, path, text string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o640))
	return path
}

func has(t *testing.T, path, text string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, text, string(got))
}

// holds checks how many files a folder holds: nothing half written is left in it.
func holds(t *testing.T, dir string, n int) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, n)
}

func TestWhatWasThereStaysUntilTheNewIsWhole(t *testing.T) {
	dir := t.TempDir()
	path := write(t, filepath.Join(dir, "a.svg"), mark)
	broken := to(path, "")
	broken.Fill = func(w io.Writer) error {
		_, err := io.WriteString(w, "half")
		require.NoError(t, err)
		return errors.New("no more ink")
	}
	err := files.Write(broken)
	assert.EqualError(t, err, path+": it cannot be written: no more ink")
	has(t, path, mark)
	holds(t, dir, 1)

	require.NoError(t, files.Write(to(path, mark+"again")))
	has(t, path, mark+"again")
	st, err := os.Stat(path)
	require.NoError(t, err)
	assert.EqualValues(t, 0o640, st.Mode().Perm(), "its permissions stay")
	holds(t, dir, 1)
}

func TestOneFaultKeepsNoOtherFile(t *testing.T) {
	dir := t.TempDir()
	broken := to(filepath.Join(dir, "a.svg"), "")
	broken.Fill = func(io.Writer) error { return errors.New("no more ink") }
	err := files.Write(broken, to(filepath.Join(dir, "b.svg"), mark), to("", "not wanted"))
	assert.ErrorContains(t, err, "a.svg")
	has(t, filepath.Join(dir, "b.svg"), mark)
	holds(t, dir, 1)
}

func TestDroppedFilesLeaveNothing(t *testing.T) {
	dir := t.TempDir()
	out, err := files.Prepare(to(filepath.Join(dir, "a.svg"), mark), to(filepath.Join(dir, "b.svg"), mark))
	require.NoError(t, err)
	holds(t, dir, 2)
	out.Drop()
	holds(t, dir, 0)
}

// A name that leads to the place of another output would have one of them lost.
func TestTwoOutputsDoNotShareAPlace(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Symlink(dir, filepath.Join(dir, "door")))
	_, err := files.Prepare(to(filepath.Join(dir, "a.svg"), mark), to(filepath.Join(dir, "door", "a.svg"), mark))
	assert.ErrorContains(t, err, "another output goes there")
	assert.ErrorIs(t, err, fault.ErrUsage)
	holds(t, dir, 1)
}

func TestWhatIsSpared(t *testing.T) {
	var jpg bytes.Buffer
	require.NoError(t, jpeg.Encode(&jpg, image.NewGray(image.Rect(0, 0, 8, 8)), nil))
	yes, no := true, false
	for name, c := range map[string]struct {
		file, has string
		force     *bool
		why       string // empty: it is written
	}{
		"an empty file":              {"a.svg", "", nil, ""},
		"one of its own":             {"a.svg", mark, nil, ""},
		"one of its own, no force":   {"a.svg", mark, &no, ""},
		"another's":                  {"a.svg", "<svg/>", nil, "piecebag did not write it"},
		"another's, no force":        {"a.svg", "<svg/>", &no, "piecebag did not write it"},
		"another's, forced":          {"a.svg", "<?xml version='1.0'?><svg/>", &yes, ""},
		"another kind, forced":       {"a.svg", "a,b\n1,2\n", &yes, "is not an SVG drawing"},
		"a photo, forced":            {"a.svg", jpg.String(), &yes, "is a photo"},
		"a ledger, forced":           {"a.svg", "SQLite format 3\x00", &yes, "is a ledger"},
		"the name of a photo":        {"a.JPG", "", &yes, "this is the name of a photo"},
		"a mark far into it":         {"a.svg", "<svg>" + strings.Repeat("x", 1<<16-10) + "made here</svg>", nil, ""},
		"a text cut through a sign":  {"a.svg", mark + strings.Repeat("ä", 4000), nil, ""},
		"a byte order mark, a blank": {"a.svg", "\uFEFF \n" + mark, nil, ""},
		"bytes that are no text":     {"a.svg", "<svg\x00made here", &yes, "is not an SVG drawing"},
	} {
		t.Run(name, func(t *testing.T) {
			path := write(t, filepath.Join(t.TempDir(), c.file), c.has)
			target := to(path, mark+"new")
			target.Called, target.Force = "--svg", c.force
			err := files.Write(target)
			if c.why == "" {
				require.NoError(t, err)
				has(t, path, mark+"new")
				return
			}
			f := fault.Of(err)
			require.NotNil(t, f, "%v", err)
			assert.Equal(t, "--svg "+path, f.About)
			assert.Contains(t, f.Why, c.why)
			assert.Equal(t, c.force == &no, errors.Is(f, files.ErrReplaceable))
			has(t, path, c.has)
		})
	}
	seen := write(t, filepath.Join(t.TempDir(), "seen.svg"), "")
	target := to(seen, mark)
	target.Reads = []string{seen}
	assert.ErrorContains(t, files.Write(target), "this is a photo to look at")
}

func TestKindsAreToldByTheirBytes(t *testing.T) {
	kinds := map[string]func([]byte) bool{"HTML": files.HTML, "SVG": files.SVG, "JSON": files.JSON, "CSV": files.CSV, "PNG": files.Begins("\x89PNG")}
	for text, want := range map[string]string{
		"<!DOCTYPE html><p>":            "HTML",
		" <HTML>":                       "HTML",
		"<?xml version='1.0'?>\n<svg/>": "SVG",
		"<?xml version='1.0'?>\n<a/>":   "",
		"[1, 2]":                        "JSON",
		`{"a": 1, "b": 2}`:              "JSON",
		"a;b\n1;2":                      "CSV",
		"one word\na, b":                "",
		"\x89PNG\r":                     "PNG",
		"plain words":                   "",
	} {
		for name, is := range kinds {
			assert.Equal(t, name == want, is([]byte(text)), "%q as %s", text, name)
		}
	}
}

func TestOwnFilesAreKnown(t *testing.T) {
	open := func(text string) *os.File {
		f, err := os.Open(write(t, filepath.Join(t.TempDir(), "a"), text))
		require.NoError(t, err)
		t.Cleanup(func() { f.Close() })
		return f
	}
	assert.True(t, files.StartsWith(`{"a":1`)(open("{\n  \"a\": 1}")), "blanks apart")
	assert.False(t, files.StartsWith(`{"a":1`)(open(`{"b":1}`)))
	assert.True(t, files.FirstRow([]string{"a", "b"})(open("a,b\r\n1,2\r\n")))
	assert.False(t, files.FirstRow([]string{"a", "b"})(open("a,b,c\n")))
}

func TestPlacesThatCannotBeUsed(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for path, why := range map[string]string{
		filepath.Join(dir, "none", "a.svg"): "its folder is not there",
		dir:                                 "this is a folder",
		pipe:                                "it is a pipe that nobody reads",
	} {
		f := fault.Of(files.Write(to(path, mark)))
		require.NotNil(t, f, path)
		assert.Equal(t, path, f.About)
		assert.Equal(t, why, f.Why)
		assert.NotEmpty(t, f.Remedy)
	}
	_, err := files.Read(pipe, 100, "")
	assert.ErrorContains(t, err, "this is a pipe or a device, not a file")
	_, err = files.Read(dir, 100, "")
	assert.ErrorContains(t, err, "this is a folder")
	_, err = files.Read(filepath.Join(dir, "none"), 100, "look there")
	f := fault.Of(err)
	require.NotNil(t, f)
	assert.Equal(t, "look there", f.Remedy)
	assert.NotContains(t, f.Why, dir, "the name is said once")
	small := write(t, filepath.Join(dir, "small"), strings.Repeat("x", 2048))
	got, err := files.Read(small, 2048, "")
	require.NoError(t, err)
	assert.Len(t, got, 2048)
	_, err = files.Read(small, 1024, "")
	assert.ErrorContains(t, err, "it holds more than 1 kB")
}
