package desk

import (
	"context"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/look"
)

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
