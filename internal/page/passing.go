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

// passing makes a folder for what is not kept. Its name says which process it is of.
func passing(of string) (string, error) {
	return os.MkdirTemp("", fmt.Sprintf("piecebag-%s-%d-", of, os.Getpid()))
}

var passingName = regexp.MustCompile(`^piecebag-[a-z]+-(\d+)-\d+$`)

// clearPassing removes the folders of processes that were killed. What it cannot remove
// is another user's.
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

// runs tells whether a process runs, whosever it is.
func runs(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	defer func() { _ = p.Release() }() // it holds nothing that fails
	err = p.Signal(syscall.Signal(0))
	return !errors.Is(err, os.ErrProcessDone) && !errors.Is(err, syscall.ESRCH)
}
