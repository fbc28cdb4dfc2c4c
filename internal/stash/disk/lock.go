package disk

import (
	"errors"
	"os"
)

// ErrHeld is that another process holds a lock, or this one does already.
var ErrHeld = errors.New("the lock is held")

// Lock holds a file, which is made where it is not there, until the file is closed or the
// process ends, however it ends. Errors: ErrHeld, with the file open to read what the
// holder wrote into it.
func Lock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	switch err := lock(f); {
	case errors.Is(err, ErrHeld):
		return f, err
	case err != nil:
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}
