package page

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"syscall"
)

// passing makes a temporary folder. Its name holds the process, so that clearPassing can
// tell whether it is still in use.
func passing(of string) (string, error) {
	return os.MkdirTemp("", fmt.Sprintf("piecebag-%s-%d-", of, os.Getpid()))
}

var passingName = regexp.MustCompile(`^piecebag-[a-z]+-(\d+)-\d+$`)

// clearPassing removes the temporary folders of processes that were killed. It leaves those
// that it may not remove, which are another user's.
func clearPassing() {
	all, err := os.ReadDir(os.TempDir())
	if err != nil { // there is none to clear
		return
	}
	for _, e := range all {
		m := passingName.FindStringSubmatch(e.Name())
		if m == nil || !e.IsDir() {
			continue
		}
		if pid, err := strconv.Atoi(m[1]); err == nil && !runs(pid) {
			_ = os.RemoveAll(filepath.Join(os.TempDir(), e.Name()))
		}
	}
}

// runs reports whether a process runs, of any user.
func runs(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	defer func() { _ = p.Release() }() // it holds nothing that fails
	err = p.Signal(syscall.Signal(0))
	return !errors.Is(err, os.ErrProcessDone) && !errors.Is(err, syscall.ESRCH)
}
