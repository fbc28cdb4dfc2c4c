package archive

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/stash"
	"piecebag/internal/stash/disk"
)

// childDo makes the test binary a child that does one thing to the stash in childDir
// and kills itself before the step numbered childKill, from 0.
const (
	childDo   = "PIECEBAG_TEST_CHILD_DO"
	childDir  = "PIECEBAG_TEST_CHILD_DIR"
	childFile = "PIECEBAG_TEST_CHILD_FILE"
	childKill = "PIECEBAG_TEST_CHILD_KILL"
)

func TestMain(m *testing.M) {
	if do := os.Getenv(childDo); do != "" {
		if err := doomed(do, os.Getenv(childDir), os.Getenv(childFile), os.Getenv(childKill)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func doomed(do, dir, file, kill string) error {
	at, err := strconv.Atoi(kill)
	if err != nil {
		return err
	}
	n := 0
	o := stash.Options{Now: time.Now, Before: func(string) {
		if n == at {
			p, err := os.FindProcess(os.Getpid())
			if err == nil {
				err = p.Kill()
			}
			fmt.Fprintln(os.Stderr, err)
			select {}
		}
		n++
	}}
	if do == "restore" {
		_, err := Restore(ctx, file, dir, o)
		return err
	}
	s, err := stash.Open(dir, o)
	if err != nil {
		return err
	}
	return errors.Join(Backup(ctx, s, file), s.Close())
}

// killedAt runs a child that is killed before step n; done says that it came to its end
// before.
func killedAt(t *testing.T, n int, do, dir, file string) (done bool) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childDo+"="+do, childDir+"="+dir, childFile+"="+file, childKill+"="+strconv.Itoa(n))
	out, err := cmd.CombinedOutput()
	var died *exec.ExitError
	if errors.As(err, &died) && !died.Exited() {
		return false
	}
	require.NoError(t, err, "%s", out)
	return true
}

// later is a clock by which what a killed command left behind is old.
func later() time.Time { return time.Now().Add(2 * disk.PartAge) }

// Killed between any two of its steps, a restore has not happened or is whole, and the
// next leaves nothing behind.
func TestARestoreKilledBetweenAnyTwoSteps(t *testing.T) {
	top := t.TempDir()
	file := filepath.Join(top, "stash.zip")
	s := filled(t, filepath.Join(top, "from"))
	restored := dump(t, s.Dir())
	require.NoError(t, Backup(ctx, s, file))
	for n, done := 0, false; !done; n++ {
		dir := filepath.Join(top, fmt.Sprint("new ", n), "stash")
		if n%2 == 0 {
			require.NoError(t, os.MkdirAll(dir, 0o700))
		}
		done = killedAt(t, n, "restore", dir, file)
		s, err := stash.Open(dir, stash.Options{Now: clock(), ReadOnly: true})
		if err == nil {
			require.NoError(t, s.Close())
		} else {
			require.False(t, done)
			_, err := Restore(ctx, file, dir, stash.Options{Now: later})
			require.NoError(t, err)
		}
		require.Equal(t, restored, dump(t, dir))
		require.Empty(t, workFolders(t, dir))
	}
}

// A backup killed between any two of its steps leaves the one before it, and the next
// clears away what it left.
func TestABackupKilledBetweenAnyTwoSteps(t *testing.T) {
	top := t.TempDir()
	dir, file := filepath.Join(top, "stash"), filepath.Join(top, "stash.zip")
	s := filled(t, dir)
	require.NoError(t, Backup(ctx, s, file))
	require.NoError(t, s.Close())
	for n, done := 0, false; !done; n++ {
		done = killedAt(t, n, "backup", dir, file)
		to := filepath.Join(top, fmt.Sprint("back ", n))
		_, err := Restore(ctx, file, to, stash.Options{Now: clock()})
		require.NoError(t, err)
	}
	s, err := stash.Open(dir, stash.Options{Now: later})
	require.NoError(t, err)
	require.NoError(t, Backup(ctx, s, file))
	require.NoError(t, s.Close())
	left, err := filepath.Glob(filepath.Join(top, backupPrefix+"*"))
	require.NoError(t, err)
	require.Empty(t, left)
}
