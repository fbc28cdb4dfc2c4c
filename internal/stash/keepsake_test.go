package stash

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// taken is a JPEG of a colour into which a camera wrote a place.
func taken(t testing.TB, shade uint8, place string) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 16, 16))
	for i := range 256 {
		m.Set(i%16, i/16, color.Gray{shade})
	}
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, nil))
	if place == "" {
		return b.Bytes()
	}
	words := append([]byte("http://ns.adobe.com/xap/1.0/\x00"), place...)
	segment := append([]byte{0xff, 0xe1, 0, byte(len(words) + 2)}, words...)
	return append(append(append([]byte{}, b.Bytes()[:2]...), segment...), b.Bytes()[2:]...)
}

// telling puts a photo into a stash as once all were: with what the camera wrote.
func telling(t testing.TB, s *Stash, name string) []byte {
	t.Helper()
	p := photo(name, squares(2)...)
	p.Bytes = taken(t, 90, "SECRET 57.15N")
	stow(t, s, p)
	file := fileName(Hash(p.Bytes), name)
	k := keepsakeOf(p)
	require.NoError(t, os.Rename(s.PhotoPath(k.file), s.PhotoPath(file)))
	require.NoError(t, os.WriteFile(s.PhotoPath(file), p.Bytes, 0o600))
	_, err := s.w.ExecContext(ctx, `UPDATE photo SET file = ? WHERE file = ?`, file, k.file)
	require.NoError(t, err)
	_, err = s.w.ExecContext(ctx, `DELETE FROM journal WHERE tbl = 'photo' AND was ->> 'file' = ?`, k.file)
	require.NoError(t, err)
	return p.Bytes
}

func keptPhotos(t testing.TB, s *Stash) string {
	t.Helper()
	var all []byte
	files, err := filepath.Glob(filepath.Join(s.dir, PhotoFolder, "*"))
	require.NoError(t, err)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		all = append(all, data...)
	}
	return string(all)
}

// Place and camera once stayed in the photos kept.
func TestAPhotoIsKeptWithoutPlaceAndCamera(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", squares(3)...)
	p.Bytes = taken(t, 40, "SECRET 57.15N")
	got := stow(t, s, p)
	require.Equal(t, LeftOut, got.Left)
	require.Equal(t, Hash(p.Bytes), got.Hash)
	require.NotContains(t, keptPhotos(t, s), "SECRET")
	healthy(t, s)

	plain := photo("b.jpg", square(0))
	plain.Bytes = taken(t, 200, "")
	require.Equal(t, LeftNothing, stow(t, s, plain).Left)
	odd := photo("c.jpg", square(0))
	odd.Bytes = taken(t, 210, "x")[:60] // a picture that is cut short cannot be told apart
	require.Equal(t, LeftIn, stow(t, s, odd).Left)

	q := photo("d.jpg", squares(3)...)
	q.Bytes = taken(t, 60, "SECRET 57.15N")
	_, left, err := s.Recount(ctx, "box", 0, q, plain)
	require.NoError(t, err)
	require.Equal(t, []Left{LeftOut, LeftNothing}, left)
	require.NotContains(t, keptPhotos(t, s), "SECRET")
}

// A photo is one photo by its own bytes, by those that are kept, and with less or
// other words in it; also one that was kept before words were left out.
func TestAPhotoNeverCountsTwice(t *testing.T) {
	for _, before := range []bool{false, true} {
		s := open(t, t.TempDir())
		var original []byte
		if before {
			original = telling(t, s, "a.jpg")
		} else {
			original = taken(t, 90, "SECRET 57.15N")
			p := photo("a.jpg", squares(2)...)
			p.Bytes = original
			stow(t, s, p)
		}
		again := func(data []byte) {
			t.Helper()
			p := photo("copy.jpg", squares(2)...)
			p.Bytes = data
			got := stow(t, s, p)
			require.True(t, got.Known)
			require.Equal(t, Hash(original), got.Hash)
			require.Len(t, holdings(t, s, Filter{}), 2)
			_, kept, err := s.Keep(ctx, "copy.jpg", data)
			require.NoError(t, err)
			require.False(t, kept)
			hash, err := s.HashOf(ctx, data)
			require.NoError(t, err)
			require.Equal(t, Hash(original), hash)
			c, _, err := s.Recount(ctx, "box", 0, p, p)
			require.NoError(t, err)
			require.Len(t, holdings(t, s, Filter{}), 2)
			_, err = s.Undo(ctx)
			require.NoError(t, err)
			_ = c
		}
		again(original)
		if before {
			h, err := s.Check(ctx)
			require.NoError(t, err)
			require.Len(t, h.Telling, 1)
			h, err = s.Repair(ctx)
			require.NoError(t, err)
			require.Equal(t, []string{h.Repaired[0]}, h.Repaired)
			require.NotContains(t, keptPhotos(t, s), "SECRET")
			h, err = s.Check(ctx)
			require.NoError(t, err)
			require.Empty(t, h.Telling)
		}
		photos, err := s.Photos(ctx)
		require.NoError(t, err)
		kept, err := os.ReadFile(photos[0].Path)
		require.NoError(t, err)
		again(kept)
		hash, err := s.Known(ctx, Hash(kept))
		require.NoError(t, err)
		require.Equal(t, Hash(original), hash)
		again(taken(t, 90, "elsewhere"))
		again(original)
		healthy(t, s)

		// Lost, it comes back from any of them.
		require.NoError(t, os.Remove(photos[0].Path))
		_, back, err := s.Keep(ctx, "copy.jpeg", taken(t, 90, "elsewhere"))
		require.NoError(t, err)
		require.True(t, back)
		healthy(t, s)
		again(original)
		require.NotContains(t, keptPhotos(t, s), "elsewhere")
	}
}

// What was taken out of a photo does not come back by undo, nor is the photo lost.
func TestUndoAfterRepairKeepsThePhoto(t *testing.T) {
	s := open(t, t.TempDir())
	telling(t, s, "a.jpg")
	_, err := relook(s, Hash(taken(t, 90, "SECRET 57.15N")), sheet(squares(3)...)) // a row of the photo for undo
	require.NoError(t, err)
	_, err = s.Repair(ctx)
	require.NoError(t, err)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	healthy(t, s)
	require.NotContains(t, keptPhotos(t, s), "SECRET")
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.Empty(t, keptPhotos(t, s))
}

// What systems leave in a folder was once damage.
func TestJunkIsNoDamage(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", square(0)))
	for _, name := range []string{".DS_Store", "Thumbs.db", "desktop.ini", "._a.jpg", ".localized"} {
		require.NoError(t, os.WriteFile(s.PhotoPath(name), []byte("x"), 0o600))
	}
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, h.Faults)
	require.Empty(t, h.Leftover)
	h, err = s.Repair(ctx)
	require.NoError(t, err)
	require.Empty(t, h.Repaired)
	require.FileExists(t, s.PhotoPath(".DS_Store"))
}

// A photo that was set aside comes back where the stash misses it.
func TestRepairBringsBackWhatWasSetAside(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	stow(t, s, photo("a.jpg", square(0)))
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	_, err = s.setAside(filepath.Base(photos[0].Path))
	require.NoError(t, err)
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.ErrorIs(t, h.Faults[0], ErrMissingPhoto)
	h, err = s.Repair(ctx)
	require.NoError(t, err)
	require.Equal(t, []string{filepath.Base(photos[0].Path) + ": brought back from aside"}, h.Repaired)
	require.Empty(t, h.NotKept)
	healthy(t, s)
	require.FileExists(t, photos[0].Path)
}
