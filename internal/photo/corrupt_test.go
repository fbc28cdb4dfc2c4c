package photo

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
)

// corrupt says how each file of testdata/corrupt must be refused; its SOURCES.md
// says how it was made.
var corrupt = map[string]error{
	"empty.jpg":              ErrEmpty,
	"empty.png":              ErrEmpty,
	"list.jpg":               ErrNotPicture,
	"page.jpg":               ErrNotPicture,
	"zeros.jpg":              ErrNotPicture,
	"film.jpg":               ErrNotPicture,
	"two-bytes.jpg":          ErrTruncated,
	"cut-in-header.jpg":      ErrTruncated,
	"cut-in-frame.jpg":       ErrTruncated,
	"cut-in-scan.jpg":        ErrTruncated,
	"cut-before-end.jpg":     ErrTruncated,
	"cut-progressive.jpg":    ErrTruncated,
	"zero-filled.jpg":        ErrTruncated,
	"cut-in-header.png":      ErrTruncated,
	"cut-in-pixels.png":      ErrTruncated,
	"cut-between-chunks.png": ErrTruncated,
	"cut.webp":               ErrTruncated,
	"huge.jpg":               ErrTooLarge,
	"huge.png":               ErrTooLarge,
	"huge.webp":              ErrTooLarge,
	"overflow.png":           ErrCorrupt,
	"no-width.jpg":           ErrCorrupt,
	"no-height.jpg":          ErrCorrupt,
	"no-frame.jpg":           ErrCorrupt,
	"short-segment.jpg":      ErrCorrupt,
	"broken-scan.jpg":        ErrCorrupt,
	"broken-huffman.jpg":     ErrCorrupt,
	"text-mode.png":          ErrCorrupt,
	"no-width.png":           ErrCorrupt,
	"few-pixels.png":         ErrCorrupt,
	"broken-pixels.png":      ErrCorrupt,
	"bad-depth.png":          ErrUnsupported,
	"no-palette.png":         ErrCorrupt,
	"no-picture.webp":        ErrCorrupt,
	"broken.webp":            ErrCorrupt,
	"lossless-broken.webp":   ErrCorrupt,
	"arithmetic.jpg":         ErrUnsupported,
	"lossless.jpg":           ErrUnsupported,
	"twelve-bit.jpg":         ErrUnsupported,
	"cmyk-unmarked.jpg":      ErrUnsupported,
	"moving.webp":            ErrUnsupported,
	"phone.heic":             ErrCorrupt,
	"phone.heif":             ErrCorrupt,
	"phone.avif":             ErrUnsupported,
	"heic-named.jpg":         ErrCorrupt,
	"picture.gif":            ErrUnsupported,
	"picture.bmp":            ErrUnsupported,
	"picture.tif":            ErrUnsupported,
	"picture.jxl":            ErrUnsupported,
	"picture.jp2":            ErrUnsupported,
}

const corruptDir = "../../testdata/corrupt"

// requireRefusal asks of an error that it names file, reason and remedy and is of
// exactly one kind.
func requireRefusal(t *testing.T, err error, file string, kind error) {
	t.Helper()
	var e *fault.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, file, e.About)
	require.NotEmpty(t, e.Why)
	require.NotEmpty(t, e.Remedy)
	require.Equal(t, file+": "+e.Why, e.Error())
	for _, clause := range []string{e.Why, e.Remedy} {
		require.False(t, strings.HasSuffix(clause, "."), clause)
		require.NotContains(t, clause, "\n")
	}
	for _, r := range refusals {
		require.Equal(t, r.kind == kind, errors.Is(err, r.kind), "%v, wanted %v", err, kind)
	}
}

func TestCorrupt(t *testing.T) {
	entries, err := os.ReadDir(corruptDir)
	require.NoError(t, err)
	met := 0
	for _, e := range entries {
		if filepath.Ext(e.Name()) == ".md" {
			continue
		}
		met++
		t.Run(e.Name(), func(t *testing.T) {
			kind, ok := corrupt[e.Name()]
			require.True(t, ok, "not in the table")
			path := filepath.Join(corruptDir, e.Name())
			pic, info, err := Open(path, Options{})
			require.Nil(t, pic)
			require.Zero(t, info)
			requireRefusal(t, err, path, kind)
			_, _, err = Decode("here", testdata(t, "corrupt", e.Name()), Options{})
			requireRefusal(t, err, "here", kind)
			_, err = Upright(path, 100)
			requireRefusal(t, err, path, kind)
		})
	}
	require.Len(t, corrupt, met)
}

// A photo cut anywhere is refused, never half read, and every cut is called one.
func TestEveryCut(t *testing.T) {
	for _, name := range []string{
		"baseline-420.jpg", "progressive.jpg", "cmyk.jpg", "patches.png", "lossy.webp", "lossless.webp", "plain.heic", "phone.heic",
	} {
		dir := "photo"
		if filepath.Ext(name) == ".heic" {
			dir = "heic"
		}
		data := testdata(t, dir, name)
		for n := range data {
			_, _, err := Decode(name, data[:n], Options{})
			switch {
			case n == 0:
				require.ErrorIs(t, err, ErrEmpty)
			case sniff(data[:n]) == "":
				require.ErrorIs(t, err, ErrNotPicture, "%s cut to %d", name, n)
			default:
				require.ErrorIs(t, err, ErrTruncated, "%s cut to %d", name, n)
			}
		}
	}
}

// What follows the picture, as phones append films and depth maps, is no fault.
func TestTrailingBytes(t *testing.T) {
	for _, at := range [][2]string{{"photo", "baseline-420.jpg"}, {"photo", "patches.png"}, {"photo", "lossy.webp"}, {"heic", "phone.heic"}} {
		data := testdata(t, at[0], at[1])
		want, _ := open(t, data)
		got, _ := open(t, append(data[:len(data):len(data)], "a film of two seconds"...))
		require.True(t, reflect.DeepEqual(want, got), "%s", at[1])
	}
}

func TestRefusedPaths(t *testing.T) {
	dir := t.TempDir()
	_, _, err := Open(filepath.Join(dir, "none.jpg"), Options{})
	requireRefusal(t, err, filepath.Join(dir, "none.jpg"), ErrMissing)
	long := filepath.Join(dir, strings.Repeat("x", 5000))
	_, _, err = Open(long, Options{}) // once said to be on a failing disk
	requireRefusal(t, err, long, ErrMissing)
	_, _, err = Open(dir, Options{})
	requireRefusal(t, err, dir, ErrUnreadable)
	if runtime.GOOS != "windows" {
		_, _, err = Open(os.DevNull, Options{})
		requireRefusal(t, err, os.DevNull, ErrUnreadable)
	}
}

func TestRefusedPermission(t *testing.T) {
	data := testdata(t, "photo", "baseline-420.jpg")
	likeAnyone(t)
	path := filepath.Join(t.TempDir(), "private.jpg")
	require.NoError(t, os.WriteFile(path, data, 0o000))
	_, _, err := Open(path, Options{})
	requireRefusal(t, err, path, ErrUnreadable)
}

// The words for a denied permission and for a failing disk, which not every
// machine can be brought to say.
func TestRefusalsOfTheSystem(t *testing.T) {
	denied := refuse("a.jpg", &os.PathError{Op: "open", Path: "a.jpg", Err: os.ErrPermission})
	requireRefusal(t, denied, "a.jpg", ErrUnreadable)
	require.Contains(t, denied.Why, "permission")
	failing := refuse("a.jpg", &os.PathError{Op: "read", Path: "a.jpg", Err: errors.New("input/output error")})
	requireRefusal(t, failing, "a.jpg", ErrUnreadable)
}

// The pixel limit is checked from the header; a picture at the limit passes.
func TestPixelLimit(t *testing.T) {
	data := pngOf(t, noise(10, 10))
	_, _, err := Decode("a.png", data, Options{MaxPixels: 99})
	requireRefusal(t, err, "a.png", ErrTooLarge)
	_, _, err = Decode("a.png", data, Options{MaxPixels: 100})
	require.NoError(t, err)
}

// The default lets 50 MP of every common kind through, and nothing that would
// take more than maxMemory.
func TestMemoryLimit(t *testing.T) {
	for name, c := range map[string]struct {
		memory int64 // bytes a pixel
		ok     bool
	}{
		"baseline 4:2:0": {2, true}, "progressive 4:4:4": {15, true}, "16-bit PNG": {8, true},
		"progressive inks": {24, false},
	} {
		h := header{w: 8660, h: 5774} // 50 MP
		h.memory = c.memory * int64(h.w) * int64(h.h)
		require.Equal(t, c.ok, h.check(0) == nil, name)
	}
	require.Error(t, header{w: 8000, h: 8001, memory: 1}.check(0))
	require.NoError(t, header{w: 8000, h: 8000, memory: 1}.check(0))
}
