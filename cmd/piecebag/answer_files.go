package main

import "io"

// wantedFile is a file that a flag asks an answer to be written to; its path is
// empty where the flag was not given.
type wantedFile[T any] struct {
	flag, path, ending string
	write              func(io.Writer, T) error
}

// answerFiles are the files that an answer is written to, besides standard output.
type answerFiles[T any] []answerFile[T]

type answerFile[T any] struct {
	file  *outFile
	write func(io.Writer, T) error
}

// openFiles makes ready the files wanted, so that a place that cannot be written
// is known before the work. None may be one of the photos to look at.
func openFiles[T any](photos []string, wanted ...wantedFile[T]) (answerFiles[T], error) {
	var out answerFiles[T]
	for _, want := range wanted {
		if want.path == "" {
			continue
		}
		err := sparePhotos(want.flag, want.path, want.ending, photos)
		var file *outFile
		if err == nil {
			file, err = create(want.path)
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
