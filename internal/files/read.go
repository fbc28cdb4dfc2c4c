// Package files reads and writes files that a user names: what may never end is not
// read, and nothing is written over but what Piecebag wrote. Its errors name the file,
// the reason and the remedy.
package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	"piecebag/internal/fault"
)

// Read reads a file that is named by the user, of at most so many bytes.
// remedy is what to do about one that is not there or may not be read.
func Read(path string, most int64, remedy string) ([]byte, error) {
	f, err := Open(path, remedy)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	st, err := f.Stat()
	var data []byte
	if err == nil && st.Size() <= most {
		data, err = io.ReadAll(io.LimitReader(f, most+1)) // it may grow
	}
	switch {
	case err != nil:
		return nil, unreadable(path, remedy, err)
	case max(st.Size(), int64(len(data))) > most:
		size := fmt.Sprintf("%d kB", most>>10)
		if most >= 1<<20 {
			size = fmt.Sprintf("%d MB", most>>20)
		}
		return nil, fault.New(path, "it holds more than "+size, "see whether it is the right file")
	}
	return data, nil
}

// Open opens a file that is named by the user. What is no file is refused:
// a pipe or a device may never end. It is opened so that a pipe which nobody
// writes to does not keep it waiting either.
func Open(path, remedy string) (*os.File, error) {
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
	return fault.New(path, fmt.Sprintf("it cannot be read: %v", Bare(err)), remedy, err)
}

// Bare returns the cause of a failure to read or write, without the name of the file.
func Bare(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
