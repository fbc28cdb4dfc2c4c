package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/look"
)

// Ctrl-C leaves nothing half-written, says nothing, and is told from failure.
func TestInterruptedLookLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	photo := filepath.Join(dir, "noref.png")
	require.NoError(t, os.WriteFile(photo, pictures()["noref.png"], 0o644))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, args := range [][]string{
		{"look", photo, "--html", filepath.Join(dir, "report.html"), "--picture", filepath.Join(dir, "sheet.png")},
		{"measure", "make", filepath.Join(dir, "set")},
	} {
		var out, errs bytes.Buffer
		require.Equal(t, exitInterrupted, run(ctx, args, streams{out: &out, err: &errs}))
		require.Empty(t, out.String())
		require.Empty(t, errs.String())
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "the photo alone")
}

// A photo in work is not waited for: it may take seconds.
func TestLookAllEndsWithItsContext(t *testing.T) {
	photo := filepath.Join(t.TempDir(), "noref.png")
	require.NoError(t, os.WriteFile(photo, pictures()["noref.png"], 0o644))
	ctx, cancel := context.WithCancel(context.Background())
	release := make(chan struct{})
	defer close(release)
	_, err := lookAll(ctx, []string{photo, photo, photo}, look.Options{Seed: seed}, func() {
		cancel()
		<-release // holds its worker beyond the end of lookAll
	})
	require.ErrorIs(t, err, context.Canceled)
}

// Nor does Ctrl-C leave half of what it stowed.
func TestInterruptedStowLeavesTheStashAsItWas(t *testing.T) {
	dir := t.TempDir()
	photo, place := filepath.Join(dir, "noref.png"), filepath.Join(dir, "stash")
	require.NoError(t, os.WriteFile(photo, pictures()["noref.png"], 0o644))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, args := range [][]string{{"stow", photo}, {"recount", photo, "--basket", "tin"}, {"teach", "basket", "blues", photo}} {
		var out, errs bytes.Buffer
		require.Equal(t, exitInterrupted, run(ctx, append(args, "--stash", place), streams{out: &out, err: &errs}), "%v: %s", args, errs.String())
		require.Empty(t, out.String())
		require.Empty(t, errs.String())
	}
	var out, errs bytes.Buffer
	require.Equal(t, exitFine, run(context.Background(), []string{"shelf", "--stash", place}, streams{out: &out, err: &errs}))
	require.Contains(t, out.String(), "nothing yet")
}
