package desk

import (
	"context"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/look"
	"piecebag/internal/truth/scene"
)

// Photos that are looked at together share all that the stages keep, and are read as each
// by itself. The race detector watches every stage here; in packages that look at photos
// through this one it does not (.ci/run).
func TestPhotosLookedAtTogether(t *testing.T) {
	dir := t.TempDir()
	var files []string
	for i, kind := range []cloth.Kind{cloth.Spread, cloth.Pile, cloth.Board} {
		files = append(files, filepath.Join(dir, string(kind)+".png"))
		require.NoError(t, imaging.Save(scene.Make(kind, 1, uint64(i+1), scene.Options{Long: 256}).Image, files[i]))
	}
	d := New("", Options{})
	d.eyes = make(chan struct{}, len(files)) // all at once, also on one processor
	both, err := d.Look(t.Context(), files, look.Options{})
	require.NoError(t, err)
	for i, file := range files {
		one, err := d.Look(t.Context(), []string{file}, look.Options{})
		require.NoError(t, err)
		require.Nil(t, both[i].Err)
		require.NotEmpty(t, both[i].Sheet.Pieces, file)
		require.Equal(t, one[0], both[i], file)
	}
}

// A photo in work is not waited for: it may take seconds.
func TestLookEndsWithItsContext(t *testing.T) {
	photo := filepath.Join(t.TempDir(), "small.png")
	f, err := os.Create(photo)
	require.NoError(t, err)
	require.NoError(t, errors.Join(png.Encode(f, image.NewGray(image.Rect(0, 0, 96, 64))), f.Close()))
	ctx, cancel := context.WithCancel(context.Background())
	release := make(chan struct{})
	defer close(release)
	ended := false
	d := New("", Options{}).At(Door{
		Step: func() {
			cancel()
			<-release // holds its worker beyond the end of Look
		},
		End: func() { ended = true },
	})
	_, err = d.Look(ctx, []string{photo, photo, photo}, look.Options{})
	require.ErrorIs(t, err, context.Canceled)
	require.True(t, ended)
}
