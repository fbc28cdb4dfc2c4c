package stash

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"

	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// A stash that is only read has to open also where nothing can be written: on a
// full disk, in a folder of another's, on a disc. SQLite reads a ledger in WAL
// mode by way of two files beside it, which it may have to make
// (https://www.sqlite.org/wal.html, "Read-Only Databases"); where it cannot, the
// ledger is read as a file that nobody changes, or from a copy.

// readPragmas are set on connections that only read.
var readPragmas = []string{"query_only(ON)", "busy_timeout(10000)", "foreign_keys(ON)", "cache_size(-16000)"}

// openToRead opens a ledger of any version up to this one, and changes nothing.
func (s *Stash) openToRead(ctx context.Context) error {
	file, q := s.file, url.Values{}
	v, err := s.readBy(ctx, file, q)
	if unwritable(err) {
		if file, q, err = s.unshared(); err == nil {
			v, err = s.readBy(ctx, file, q)
		}
	}
	switch {
	case err != nil:
		return err
	case v == 0:
		return fault.New(s.file, "the ledger is empty", "stow a photo first", ErrNone)
	case v < Version:
		return s.readMigrated(ctx, file, q, v)
	}
	return nil
}

// readBy opens a file as s.r, and returns its version.
func (s *Stash) readBy(ctx context.Context, file string, q url.Values) (v int, err error) {
	if s.r != nil {
		_ = s.r.Close()
	}
	if s.r, err = dial(file, readers, q, readPragmas...); err != nil {
		return 0, err
	}
	err = again(ctx, func() error {
		v, err = versionOf(ctx, s.r, s.file)
		return err
	})
	return v, err
}

// unwritable reports whether a ledger could not be read because nothing could be
// written beside it.
func unwritable(err error) bool {
	if fault.Of(err) != nil {
		return false
	}
	kind := Explain("", err)
	return errors.Is(kind, ErrFull) || errors.Is(kind, ErrReadOnly)
}

// unshared says how to read the ledger where nothing can be written beside it.
// Changes that a killed process left in the log are part of it: then both are
// copied.
func (s *Stash) unshared() (file string, q url.Values, err error) {
	log := s.file + "-wal"
	info, err := os.Stat(log)
	if errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return s.file, asItIs, nil
	}
	if err != nil {
		return "", nil, err
	}
	if file, err = s.passingFile(LedgerName); err != nil {
		return "", nil, err
	}
	return file, nil, errors.Join(copyFile(s.file, file), copyFile(log, file+"-wal"))
}

// passingFile returns a place for a file that goes when the stash is closed.
func (s *Stash) passingFile(name string) (path string, err error) {
	if s.passing == "" {
		s.passing, err = os.MkdirTemp("", fmt.Sprintf("piecebag-ledger-%d-", os.Getpid())) // the page clears those of killed processes
	}
	return filepath.Join(s.passing, name), err
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	return disk.WriteNew(to, in)
}

// readMigrated opens, as s.r, a copy of an older ledger that is brought up to date.
func (s *Stash) readMigrated(ctx context.Context, file string, q url.Values, v int) error {
	copied, err := s.passingFile("copy-" + LedgerName)
	if err != nil {
		return err
	}
	from, err := dial(file, 1, q, "busy_timeout(10000)")
	if err != nil {
		return err
	}
	_, err = from.ExecContext(ctx, "VACUUM INTO ?", copied)
	if err := errors.Join(err, from.Close()); err != nil {
		return err
	}
	db, err := connect(copied, false)
	if err != nil {
		return err
	}
	err = inOne(ctx, db, func(tx *sql.Tx) error { return bringUp(ctx, tx, v) })
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	_, err = s.readBy(ctx, copied, nil)
	return err
}
