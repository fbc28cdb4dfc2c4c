package stash

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/stash/stashtest"
)

// doomed does one thing to the stash in a folder.
func doomed(do, dir, file string, before func(string)) error {
	o := Options{Now: time.Now, Before: before}
	if do == "replace" {
		_, err := Replace(ctx, dir, o, copyOf(file, o))
		return err
	}
	s, err := Open(dir, o)
	if err != nil {
		return err
	}
	switch do {
	case "stow":
		_, err = s.Stow(ctx, photo("new.jpg", squares(3)...))
	case "recount":
		_, _, err = s.Recount(ctx, "new", 0, photo("new.jpg", squares(3)...), photo("newer.jpg", squares(4)...))
	case "undo":
		_, err = s.Undo(ctx)
	case "repair":
		_, err = s.Repair(ctx)
	}
	return errors.Join(err, s.Close())
}

// Killed between any two of its steps, a restore has not happened, or is finished
// by whatever command comes next; and the next restore leaves nothing behind.
func TestARestoreKilledBetweenAnyTwoSteps(t *testing.T) {
	top := t.TempDir()
	from := filepath.Join(top, "from")
	restored := closed(t, from)
	next := map[string]func(dir string) *Stash{
		"a reader": func(dir string) *Stash {
			there, err := Exists(dir)
			require.NoError(t, err)
			require.True(t, there)
			s, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true})
			require.NoError(t, err)
			t.Cleanup(func() { _ = s.Close() })
			return s
		},
		"a writer": func(dir string) *Stash { return open(t, dir) },
	}
	for _, who := range sortedKeys(next) {
		finished := 0
		for n := 0; ; n++ {
			parent := filepath.Join(top, fmt.Sprint(who, " ", n))
			dir := filepath.Join(parent, "stash")
			s := open(t, dir)
			_, err := s.Add(ctx, byHand(3, cloth.Red, cloth.Dark, 2.5))
			require.NoError(t, err)
			before := dump(t, s)
			require.NoError(t, s.Close())
			done := stashtest.KilledAt(t, n, "replace", dir, from)

			s = next[who](dir)
			got := dump(t, s)
			require.NoError(t, s.Close())
			if len(got["holding"]) != len(before["holding"]) {
				finished++
				require.Equal(t, restored, got, "step %d", n)
				kept, err := filepath.Glob(dir + ".before-*")
				require.NoError(t, err)
				require.Len(t, kept, 1)
				require.Equal(t, before, dump(t, open(t, kept[0])))
			} else {
				require.Equal(t, before, got, "step %d", n)
			}
			if done {
				require.Greater(t, n, 4)
				require.GreaterOrEqual(t, finished, 3, "killed after the first rename, after the second, and not")
				break
			}
			_, err = Replace(ctx, dir, Options{Now: stashtest.Later}, copyOf(from, Options{}))
			require.NoError(t, err)
			require.Equal(t, restored, dump(t, open(t, dir)))
			require.Empty(t, workFolders(dir), "step %d", n)
		}
	}
}

// The same where no stash was there, or only an empty folder.
func TestARestoreToANewPlaceKilledBetweenAnyTwoSteps(t *testing.T) {
	top := t.TempDir()
	from := filepath.Join(top, "from")
	restored := closed(t, from)
	for n, done := 0, false; !done; n++ {
		dir := filepath.Join(top, fmt.Sprint("new ", n), "stash")
		if n%2 == 0 {
			require.NoError(t, os.MkdirAll(dir, 0o700))
		}
		done = stashtest.KilledAt(t, n, "replace", dir, from)
		if s, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true}); err == nil {
			require.Equal(t, restored, dump(t, s))
			require.NoError(t, s.Close())
		} else {
			require.False(t, done)
			_, err := Replace(ctx, dir, Options{Now: stashtest.Later}, copyOf(from, Options{}))
			require.NoError(t, err)
			require.Equal(t, restored, dump(t, open(t, dir)))
		}
		require.Empty(t, workFolders(dir))
	}
}

// Killed between any two of its steps, a command that brings photos in or takes
// them out has happened or not; check finds no damage, and what lies over is set
// aside by the next command that changes the stash.
func TestPhotosKilledBetweenAnyTwoSteps(t *testing.T) {
	for _, do := range []string{"stow", "recount", "undo", "repair"} {
		aside := 0
		for n, done := 0, false; !done; n++ {
			dir := filepath.Join(t.TempDir(), "stash")
			s := full(t, dir)
			if do == "undo" || do == "repair" {
				stow(t, s, photo("last.jpg", squares(2)...))
			}
			if do == "repair" {
				telling(t, s, "old.jpg")
			}
			require.NoError(t, s.Close())
			done = stashtest.KilledAt(t, n, do, dir, "")

			s, err := Open(dir, Options{Now: stashtest.Later, ReadOnly: true})
			require.NoError(t, err)
			h, err := s.Check(ctx)
			require.NoError(t, err)
			require.Empty(t, h.Faults, "%s, step %d", do, n)
			require.NoError(t, s.Close())

			s, err = Open(dir, Options{Now: stashtest.Later})
			require.NoError(t, err)
			h, err = s.Check(ctx)
			require.NoError(t, err)
			require.Empty(t, h.Faults)
			require.Empty(t, h.Leftover, "%s, step %d", do, n)
			set, err := filepath.Glob(filepath.Join(dir, asideFolder, "*", "*"))
			require.NoError(t, err)
			aside += len(set)
			photos, err := s.Photos(ctx)
			require.NoError(t, err)
			names := map[string]bool{}
			for _, p := range photos {
				names[p.Name] = true
				require.FileExists(t, p.Path)
			}
			switch {
			case done && do == "stow":
				require.True(t, names["new.jpg"])
			case done && do == "undo":
				require.False(t, names["last.jpg"])
			case done && do == "repair":
				require.Empty(t, h.Telling)
			}
			if do == "repair" && len(h.Telling) == 0 { // nor is it set aside
				for _, file := range set {
					data, err := os.ReadFile(file)
					require.NoError(t, err)
					require.NotContains(t, string(data), "SECRET")
				}
			}
			_, err = s.Stow(ctx, photo("new.jpg", squares(3)...)) // works as ever
			require.NoError(t, err)
			require.NoError(t, s.Close())
		}
		require.Positive(t, aside, do)
	}
}
