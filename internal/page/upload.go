package page

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strconv"

	"piecebag/internal/fault"
)

const formMemory = 1 << 20 // bytes of a form with files that are held in memory

// uploads returns the files that were sent in a field of a form, each in a folder of its
// own under the name it had, which drop removes. Without any it gives none.
func uploads(r *http.Request, field string) (files []string, drop func(), err error) {
	nothing := func() {}
	switch err := r.ParseMultipartForm(formMemory); {
	case errors.Is(err, http.ErrNotMultipart):
		return nil, nothing, nil
	case err != nil:
		return nil, nothing, err
	}
	dir, err := passing("sent")
	if err != nil {
		return nil, nothing, err
	}
	drop = func() {
		os.RemoveAll(dir)
		_ = r.MultipartForm.RemoveAll() // temporary files of the form, which the system would remove too
	}
	for i, h := range r.MultipartForm.File[field] {
		if h.Filename == "" {
			continue
		}
		// The folder is ours, and of the name only its last part is taken.
		file := filepath.Join(dir, strconv.Itoa(i), calledBase(h.Filename))
		if err := receive(h, file); err != nil {
			drop()
			return nil, nothing, err
		}
		files = append(files, file)
	}
	return files, drop, nil
}

func receive(h *multipart.FileHeader, file string) error {
	in, err := h.Open()
	if err != nil {
		return err
	}
	defer in.Close()
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	out, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// upload returns the one file that was sent in a field.
func upload(r *http.Request, field, remedy string) (string, func(), error) {
	files, drop, err := uploads(r, field)
	if err == nil && len(files) != 1 {
		drop()
		return "", func() {}, fault.Usage("", "no file was sent", remedy)
	}
	if err != nil {
		return "", drop, err
	}
	return files[0], drop, nil
}
