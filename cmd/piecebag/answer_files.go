package main

import (
	"io"
	"slices"
)

// wantedFile is a file that a flag asks an answer to be written to; its path is
// empty where the flag was not given.
type wantedFile[T any] struct {
	flag, path string
	kind       fileKind
	write      func(io.Writer, T) error
}

// answerFiles are the files that an answer is written to, besides standard output.
type answerFiles[T any] []answerFile[T]

type answerFile[T any] struct {
	file  *outFile
	write func(io.Writer, T) error
}

// openFiles makes ready the files wanted, each another, so that a place that
// cannot be written is known before the work. None may be one of the photos to
// look at; force is --force.
func openFiles[T any](photos []string, force *bool, wanted ...wantedFile[T]) (answerFiles[T], error) {
	var out answerFiles[T]
	for _, want := range wanted {
		if want.path == "" {
			continue
		}
		to := target{flag: want.flag, path: want.path, kind: want.kind, force: force, reads: photos}
		file, err := create(to)
		if err == nil && file.hidden != "" && slices.ContainsFunc(out, func(f answerFile[T]) bool { return f.file.place == file.place }) {
			file.drop()
			err = to.refused("another output goes there", "name another file")
		}
		if err != nil {
			out.drop()
			return nil, err
		}
		out = append(out, answerFile[T]{file, want.write})
	}
	return out, nil
}

// drop removes what was begun; after write there is nothing to remove.
func (o answerFiles[T]) drop() {
	for _, f := range o {
		f.file.drop()
	}
}

// write fills every file, up to the first fault.
func (o answerFiles[T]) write(v T) error {
	for _, f := range o {
		if err := f.file.write(func(w io.Writer) error { return f.write(w, v) }); err != nil {
			return err
		}
	}
	return nil
}
