package main

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	"piecebag/internal/fault"
)

// The most bytes that are read of a file of each kind. An export of 200,000
// pieces takes some 200 MB; a recipe that is built in one or two thousand.
const (
	mostImport   = 512 << 20
	mostOutlines = 16 << 20
	mostRecipe   = 1 << 20
)

// checkName is what to do about a file that is not there.
const checkName = "check the name and the folder it is in"

// readInput reads a file that is named by the user, of at most so many bytes.
// remedy is what to do about one that is not there or may not be read.
func readInput(path string, most int64, remedy string) ([]byte, error) {
	f, err := openInput(path, remedy)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return nil, unreadable(path, remedy, err)
	}
	var data []byte
	if st.Size() <= most {
		if data, err = io.ReadAll(io.LimitReader(f, most+1)); err != nil { // it may grow
			return nil, unreadable(path, remedy, err)
		}
	}
	if st.Size() > most || int64(len(data)) > most {
		return nil, fault.New(path, fmt.Sprintf("it holds more than %s", bytesWords(most)), "see whether it is the right file")
	}
	return data, nil
}

// openInput opens a file that is named by the user. What is no file is refused:
// a pipe or a device may never end. It is opened so that a pipe which nobody
// writes to does not keep it waiting either.
func openInput(path, remedy string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, unreadable(path, remedy, err)
	}
	st, err := f.Stat()
	switch {
	case err != nil:
		err = unreadable(path, remedy, err)
	case st.IsDir():
		err = fault.New(path, "this is a folder", "name a file in it")
	case st.Mode().Type() != fs.FileMode(0):
		err = fault.New(path, "this is a pipe or a device, not a file", "save what comes from it to a file first, and name that")
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

func unreadable(path, remedy string, err error) error {
	return fault.New(path, fmt.Sprintf("it cannot be read: %v", bare(err)), remedy, err)
}

// bytesWords writes a round number of bytes.
func bytesWords(n int64) string {
	if n >= 1<<20 {
		return fmt.Sprintf("%d MB", n>>20)
	}
	return fmt.Sprintf("%d kB", n>>10)
}
