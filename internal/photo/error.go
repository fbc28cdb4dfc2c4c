package photo

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"syscall"
)

// The kinds of refusal; errors.Is tells them apart on an *Error.
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

// Error is a refused file: what is wrong with it, and what its owner can do.
type Error struct {
	File   string
	Reason string // a clause without capital or full stop
	Remedy string // likewise, in the imperative
	Err    error  // wraps one of the kinds above, and the cause where there is one
}

func (e *Error) Error() string { return e.File + ": " + e.Reason }

// Unwrap gives the kind of refusal and its cause.
func (e *Error) Unwrap() error { return e.Err }

const copyAgain = "copy it from the camera again"

// refusal words each kind of refusal that needs no figures.
var refusal = map[error]Error{
	ErrMissing:     {Reason: "there is no such file or folder", Remedy: "check the name and the folder it is in"},
	ErrUnreadable:  {Reason: "it cannot be read", Remedy: copyAgain + "; the disk or card may be failing"},
	ErrEmpty:       {Reason: "the file is empty", Remedy: copyAgain},
	ErrNotPicture:  {Reason: "this is not a picture", Remedy: "give a photo: JPEG, HEIC, PNG or WebP"},
	ErrNoPictures:  {Reason: "there is no picture in this folder", Remedy: "give the folder that holds the photos"},
	ErrUnsupported: {Reason: "this kind of picture cannot be read", Remedy: exportIt},
	ErrTooLarge:    {Reason: "the picture is too large", Remedy: "export a smaller copy"},
	ErrTruncated:   {Reason: "the file ends before the picture does", Remedy: copyAgain},
	ErrCorrupt:     {Reason: "the picture in this file is damaged", Remedy: copyAgain},
}

const exportIt = "export it as an ordinary JPEG (8-bit, RGB)"

// kinds lists the keys of refusal in the order in which they are looked for.
var kinds = []error{
	ErrMissing, ErrUnreadable, ErrEmpty, ErrNotPicture, ErrNoPictures,
	ErrUnsupported, ErrTooLarge, ErrTruncated, ErrCorrupt,
}

// because wraps a kind of refusal round its cause.
func because(kind, cause error) error { return fmt.Errorf("%w: %w", kind, cause) }

// refuse makes any error of this package's insides into an *Error about file.
func refuse(file string, err error) *Error {
	var e *Error
	if errors.As(err, &e) {
		named := *e
		named.File = file
		return &named
	}
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENAMETOOLONG): // no file can have it
		err = because(ErrMissing, err)
	case errors.Is(err, fs.ErrPermission):
		return &Error{
			File: file, Reason: "permission to read it is denied",
			Remedy: "change its permissions, or copy it to a folder of your own", Err: because(ErrUnreadable, err),
		}
	}
	for _, kind := range kinds {
		if errors.Is(err, kind) {
			r := refusal[kind]
			return &Error{File: file, Reason: r.Reason, Remedy: r.Remedy, Err: err}
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
