package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"syscall"

	"piecebag/internal/fault"
)

// outFile is a file to be written. It grows under a hidden name beside its
// place and is moved there when it is whole, so that what stood there before
// stays until then.
type outFile struct {
	path   string // as named by the user
	place  string // where it goes: path, its links followed
	hidden string // where it grows; empty where path is a device or a pipe
	f      *os.File
}

// create makes ready to write a target, so that a place that cannot be written or
// must not be is known before the work and not after it.
func create(t target) (*outFile, error) {
	o := &outFile{path: t.path, place: realPlace(t.path)}
	st, err := os.Stat(o.place)
	if err == nil && st.IsDir() {
		return nil, fault.New(t.path, "this is a folder", "name a file in it")
	}
	if err := t.spare(o.place); err != nil {
		return nil, err
	}
	if err == nil {
		// Also where it will be replaced: opening it tells whether it may be. A pipe
		// that nobody reads would keep a plain opening waiting for ever.
		if o.f, err = os.OpenFile(o.place, os.O_WRONLY|syscall.O_NONBLOCK, 0); err != nil {
			return nil, o.failed(err)
		}
		if !st.Mode().IsRegular() {
			return o, nil
		}
		o.f.Close()
	}
	dir, name := filepath.Split(o.place)
	o.hidden = filepath.Join(dir, fmt.Sprintf(".%s.%08x", name, rand.Uint32()))
	if o.f, err = os.OpenFile(o.hidden, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666); err != nil {
		return nil, o.failed(err)
	}
	if st != nil {
		if err := o.f.Chmod(st.Mode().Perm()); err != nil {
			o.drop()
			return nil, o.failed(err)
		}
	}
	return o, nil
}

// output is a file that an answer is written to, besides standard output; it is not
// wanted where its path is empty.
type output struct {
	target
	write func(io.Writer) error
}

// outputs are files made ready to be written.
type outputs []begun

type begun struct {
	*outFile
	fill func(io.Writer) error
}

// openFiles makes ready the files wanted, each another, so that a place that
// cannot be written is known before the work.
func openFiles(wanted ...output) (outputs, error) {
	var out outputs
	for _, want := range wanted {
		if want.path == "" {
			continue
		}
		file, err := create(want.target)
		if err == nil && file.hidden != "" && slices.ContainsFunc(out, func(f begun) bool { return f.place == file.place }) {
			file.drop()
			err = want.refused("another output goes there", "name another file")
		}
		if err != nil {
			out.drop()
			return nil, err
		}
		out = append(out, begun{file, want.write})
	}
	return out, nil
}

// drop removes what was begun; after write there is nothing to remove.
func (o outputs) drop() {
	for _, f := range o {
		f.drop()
	}
}

// write fills every file; a fault in one does not keep the others, and is the answer.
func (o outputs) write() error {
	var failed error
	for _, f := range o {
		if err := f.write(f.fill); err != nil && failed == nil {
			failed = err
		}
	}
	return failed
}

// realPlace is a path with its links followed, as far as it is there.
func realPlace(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	dir, name := filepath.Split(path)
	if real, err := filepath.EvalSymlinks(filepath.Clean(dir)); err == nil {
		return filepath.Join(real, name)
	}
	return path
}

// write fills the file and puts it in its place.
func (o *outFile) write(fill func(io.Writer) error) error {
	w := bufio.NewWriterSize(o.f, 1<<16)
	err := fill(w)
	if err == nil {
		err = w.Flush()
	}
	if e := o.f.Close(); err == nil {
		err = e
	}
	if err == nil && o.hidden != "" {
		err = os.Rename(o.hidden, o.place)
	}
	if err != nil {
		o.drop()
		return o.failed(err)
	}
	o.hidden = ""
	return nil
}

// drop removes what was begun; after write there is nothing to remove.
func (o *outFile) drop() {
	o.f.Close()
	if o.hidden != "" {
		os.Remove(o.hidden)
	}
}

// failed names the file and the remedy, unless the fault lies elsewhere.
func (o *outFile) failed(err error) error {
	if fault.Of(err) != nil || errors.Is(err, context.Canceled) {
		return err
	}
	reason, remedy := fmt.Sprintf("it cannot be written: %v", bare(err)), "choose another place, or make room there"
	switch {
	case errors.Is(err, syscall.ENXIO):
		reason, remedy = "it is a pipe that nobody reads", "start what reads it first, or name a file"
	case errors.Is(err, os.ErrNotExist):
		reason, remedy = "its folder is not there", "make the folder first, or choose another"
	case errors.Is(err, os.ErrPermission):
		remedy = "choose another place, or change its permissions"
	}
	return fault.New(o.path, reason, remedy, err)
}
