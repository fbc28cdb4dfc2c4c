package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
)

// Ctrl-C leaves nothing half-written, says nothing, and is told from failure.
func TestInterruptedLookLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	photo := filepath.Join(dir, "noref.png")
	require.NoError(t, os.WriteFile(photo, pictures()["noref.png"], 0o644))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	args := []string{"look", photo, "--html", filepath.Join(dir, "report.html"), "--picture", filepath.Join(dir, "sheet.png")}
	var out, errs bytes.Buffer
	require.Equal(t, exitInterrupted, run(ctx, args, streams{out: &out, err: &errs}))
	require.Empty(t, out.String())
	require.Empty(t, errs.String())
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "the photo alone")
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
		want := ""
		if args[0] == "stow" {
			want = "piecebag: note: interrupted: 0 photos kept\n"
		}
		require.Equal(t, want, errs.String())
	}
	require.NoDirExists(t, place)
}

// What went in before Ctrl-C is said at once and kept: a folder once took minutes
// and then said nothing.
func TestInterruptedStowSaysWhatItKept(t *testing.T) {
	dir := t.TempDir()
	var photos []string
	for _, name := range []string{"noref.png", "table.png"} {
		photos = append(photos, filepath.Join(dir, name))
		require.NoError(t, os.WriteFile(photos[len(photos)-1], pictures()[name], 0o644))
	}
	ctx, cancel := context.WithCancel(context.Background())
	var out, errs bytes.Buffer
	l := &line{stash: filepath.Join(dir, "stash"), streams: streams{out: &out, err: &errs}}
	var done desk.Stowing
	err := l.at("working", func(d *desk.Desk) (err error) {
		done, err = d.Stow(ctx, desk.StowRequest{Files: photos, Told: func(p desk.Stowed) error {
			cancel()
			return l.tellStowed(p)
		}})
		return err
	})
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, desk.Sum{Fresh: 1}, done.Sum(), "what went in before is kept, and counted")
	require.Contains(t, out.String(), "noref.png: 6 pieces: ")
	out.Reset()
	require.Equal(t, exitFine, run(context.Background(), []string{"shelf", "--stash", l.stash}, l.streams))
	require.Contains(t, out.String(), "The stash: 6 pieces")
}

// In a pipe nobody is told how far work is: what would tell is not even asked.
func TestNoMeterWithoutATerminal(t *testing.T) {
	tell, stop := streams{err: &bytes.Buffer{}}.meter("working")
	require.Nil(t, tell)
	stop()
}

// A search does not look up while it works: once it could not be interrupted.
func TestAnInterruptIsNotWaitedOut(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	require.Equal(t, exitRefused, untilLeft(ctx, 0, func() int { return exitRefused }))
	never := make(chan int)
	defer close(never)
	cancel()
	require.Equal(t, exitInterrupted, untilLeft(ctx, 0, func() int { return <-never }))
}
