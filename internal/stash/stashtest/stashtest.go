// Package stashtest is what the tests of a stash and of its archive share: a clock, children
// that are killed between two of their steps, and what an error must say. No command imports
// it.
package stashtest

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// Clock gives a second later each time it is read.
func Clock() func() time.Time {
	at := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	var one sync.Mutex
	return func() time.Time {
		one.Lock()
		defer one.Unlock()
		at = at.Add(time.Second)
		return at
	}
}

// Later is a clock by which what a killed command left behind is old.
func Later() time.Time { return time.Now().Add(2 * disk.PartAge) }

// Said requires that an error says its reason and a remedy.
func Said(t testing.TB, err error) {
	t.Helper()
	var e *fault.Error
	require.ErrorAs(t, err, &e)
	require.NotEmpty(t, e.Why)
	require.NotEmpty(t, e.Remedy)
}

// isChild is set in the environment of a child.
const isChild = "PIECEBAG_TEST_CHILD"

// Main is the TestMain of a package whose test binary is a child too: it runs the tests, or,
// where Command started it, do with the words of Command. before is for the Before of
// stash.Options.
func Main(m interface{ Run() int }, do func(before func(step string), words []string) error) {
	if os.Getenv(isChild) == "" {
		os.Exit(m.Run())
	}
	kill, err := strconv.Atoi(os.Args[1])
	if err == nil {
		err = do(doomed(kill), os.Args[2:])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// doomed kills this process before the step numbered kill, from 0.
func doomed(kill int) (before func(step string)) {
	n := 0
	return func(string) {
		if n == kill {
			p, err := os.FindProcess(os.Getpid())
			if err == nil {
				err = p.Kill()
			}
			fmt.Fprintln(os.Stderr, err)
			select {}
		}
		n++
	}
}

// Never is a step that no child comes to.
const Never = -1

// Command is the test binary as a child, which does what Main says of the words, and kills
// itself before the step numbered kill, from 0.
func Command(kill int, words ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], append([]string{strconv.Itoa(kill)}, words...)...)
	cmd.Env = append(os.Environ(), isChild+"=1")
	return cmd
}

// KilledAt runs the child of Command; done says that it came to its end before step kill.
func KilledAt(t testing.TB, kill int, words ...string) (done bool) {
	t.Helper()
	out, err := Command(kill, words...).CombinedOutput()
	var died *exec.ExitError
	if errors.As(err, &died) && !died.Exited() {
		return false
	}
	require.NoError(t, err, "%s", out)
	return true
}
