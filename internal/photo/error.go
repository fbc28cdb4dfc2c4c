package photo

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"syscall"

	"piecebag/internal/fault"
)

// The kinds of refusal; causes of a *fault.Error.
var (
	ErrMissing     = errors.New("no such file")
	ErrUnreadable  = errors.New("unreadable")
	ErrEmpty       = errors.New("empty file")
	ErrNotPicture  = errors.New("not a picture")
	ErrNoPictures  = errors.New("no pictures in the folder")
	ErrUnsupported = errors.New("a picture of a kind that is not supported")
	ErrTooLarge    = errors.New("picture too large")
	ErrTruncated   = errors.New("truncated picture")
	ErrCorrupt     = errors.New("corrupt picture")
)

const copyAgain = "copy it from the camera again"

// refusals word each kind that needs no figures, in the order in which they are looked
// for.
var refusals = []struct {
	kind        error
	why, remedy string
}{
	{ErrMissing, "there is no such file or folder", "check the name and the folder it is in"},
	{ErrUnreadable, "it cannot be read", copyAgain + "; the disk or card may be failing"},
	{ErrEmpty, "the file is empty", copyAgain},
	{ErrNotPicture, "this is not a picture", "give a photo: JPEG, HEIC, PNG or WebP"},
	{ErrNoPictures, "there is no picture in this folder", "give the folder that holds the photos"},
	{ErrUnsupported, "this kind of picture cannot be read", exportIt},
	{ErrTooLarge, "the picture is too large", "export a smaller copy"},
	{ErrTruncated, "the file ends before the picture does", copyAgain},
	{ErrCorrupt, "the picture in this file is damaged", copyAgain},
}

const exportIt = "export it as an ordinary JPEG (8-bit, RGB)"

// because wraps a kind of refusal round its cause.
func because(kind, cause error) error { return fmt.Errorf("%w: %w", kind, cause) }

// refuse makes any error of this package's insides into one about file.
func refuse(file string, err error) *fault.Error {
	if e := fault.Of(err); e != nil {
		return e.Named(file)
	}
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENAMETOOLONG): // no file can have it
		err = because(ErrMissing, err)
	case errors.Is(err, fs.ErrPermission):
		return fault.New(file, "permission to read it is denied", "change its permissions, or copy it to a folder of your own", ErrUnreadable, err)
	}
	for _, r := range refusals {
		if errors.Is(err, r.kind) {
			return fault.New(file, r.why, r.remedy, err)
		}
	}
	var path *fs.PathError
	switch {
	case errors.As(err, &path):
		return refuse(file, because(ErrUnreadable, err))
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return refuse(file, because(ErrTruncated, err))
	}
	return refuse(file, because(ErrCorrupt, err))
}
