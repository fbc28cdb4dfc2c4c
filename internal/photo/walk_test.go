package photo

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// tree writes files under a new folder, in which it then works.
func tree(t *testing.T, files map[string][]byte) {
	t.Helper()
	t.Chdir(t.TempDir())
	for name, data := range files {
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o700))
		require.NoError(t, os.WriteFile(name, data, 0o600))
	}
}

func TestWalk(t *testing.T) {
	jpg := testdata(t, "photo", "baseline-420.jpg")
	heic := testdata(t, "corrupt", "phone.heic")
	tree(t, map[string][]byte{
		"one.jpg":               jpg,
		"notes.txt":             []byte("not a picture, but named"),
		"box/b.jpg":             append(jpg[:len(jpg):len(jpg)], 1),
		"box/a/z.dat":           append(jpg[:len(jpg):len(jpg)], 1, 2), // a picture by its bytes
		"box/empty.JPG":         nil,                                   // a picture by its name: to be refused, not lost
		"box/c.heic":            heic,
		"box/list.txt":          []byte("2 yards of white"),
		"box/film.mov":          testdata(t, "corrupt", "film.jpg"),
		"box/.hidden.jpg":       jpg,
		"box/.cache/copy.jpg":   jpg,
		"none/list.txt":         []byte("white thread"),
		"none/deep/.hidden.jpg": jpg,
	})
	files, refused := Walk([]string{"one.jpg", "box", "notes.txt", "gone.jpg", "none", "./one.jpg", filepath.Join("box", "b.jpg")})
	slash := make([]string, len(files))
	for i, f := range files {
		slash[i] = filepath.ToSlash(f)
	}
	require.Equal(t, []string{"one.jpg", "box/a/z.dat", "box/b.jpg", "box/c.heic", "box/empty.JPG", "notes.txt"}, slash)
	require.Len(t, refused, 2)
	requireRefusal(t, refused[0], "gone.jpg", ErrMissing)
	requireRefusal(t, refused[1], "none", ErrNoPictures)
}

// A folder whose pictures were all named before is not a folder without pictures.
func TestWalkMeetsPicturesAgain(t *testing.T) {
	tree(t, map[string][]byte{"box/a.jpg": testdata(t, "photo", "baseline-420.jpg")})
	files, refused := Walk([]string{filepath.Join("box", "a.jpg"), "box", "box"})
	require.Equal(t, []string{filepath.Join("box", "a.jpg")}, files)
	require.Empty(t, refused)
}

// Links are followed to files, and to a folder that is named, and a file is known
// under every name.
func TestWalkLinks(t *testing.T) {
	tree(t, map[string][]byte{"box/a.jpg": testdata(t, "photo", "baseline-420.jpg")})
	for link, to := range map[string]string{"lid": "box", "box/loop": "../box", "box/b.jpg": "a.jpg", "box/broken.jpg": "gone"} {
		if err := os.Symlink(filepath.FromSlash(to), filepath.FromSlash(link)); err != nil {
			t.Skip("this system has no links:", err)
		}
	}
	files, refused := Walk([]string{"lid"})
	require.Equal(t, []string{filepath.Join("lid", "a.jpg")}, files)
	require.Len(t, refused, 1)
	requireRefusal(t, refused[0], filepath.Join("lid", "broken.jpg"), ErrMissing)
}

func TestWalkPermission(t *testing.T) {
	likeAnyone(t)
	tree(t, map[string][]byte{"box/a.jpg": nil, "box/shut/b.jpg": nil, "box/c.jpg": {1}})
	require.NoError(t, os.Chmod("box/a.jpg", 0))
	require.NoError(t, os.Chmod("box/shut", 0))
	t.Cleanup(func() { _ = os.Chmod("box/shut", 0o700) })
	files, refused := Walk([]string{"box"})
	require.Equal(t, []string{filepath.Join("box", "c.jpg")}, files)
	require.Len(t, refused, 2)
	requireRefusal(t, refused[0], filepath.Join("box", "a.jpg"), ErrUnreadable)
	requireRefusal(t, refused[1], filepath.Join("box", "shut"), ErrUnreadable)
}

func TestWalkNothing(t *testing.T) {
	files, refused := Walk(nil)
	require.Empty(t, files)
	require.Empty(t, refused)
}
