package desk

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/look"
)

// A photo in work is not waited for: it may take seconds.
func TestLookEndsWithItsContext(t *testing.T) {
	photo := filepath.Join("..", "..", "samples", "tin-of-squares.jpg")
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
	_, err := d.Look(ctx, []string{photo, photo, photo}, look.Options{})
	require.ErrorIs(t, err, context.Canceled)
	require.True(t, ended)
}
