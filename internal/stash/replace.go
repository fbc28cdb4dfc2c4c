package stash

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"piecebag/internal/stash/disk"
)

// Replace puts a new stash in the place of the one in dir. fill makes it in an empty
// folder beside dir; then the folders change places, and what was in dir is kept in the
// folder named by the answer, "" where there was nothing. Links are followed. An error of
// fill, a place that is no folder, and a folder that holds no stash and other things
// (ErrRefused) change nothing.
func Replace(ctx context.Context, dir string, o Options, fill func(fresh string) error) (kept string, err error) {
	dir, there, err := place(dir)
	if err != nil {
		return "", err
	}
	stamp := stamp(o.Now())
	if there {
		held, err := holdsStash(dir)
		if err != nil {
			return "", Explain(dir, err)
		}
		if held {
			kept = keptAs(dir, stamp)
		}
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o700); err != nil {
		return "", Explain(parent, err)
	}
	disk.Sweep(parent, workName(dir), "", o.Now())
	fresh := filepath.Join(parent, workName(dir)+stamp)
	if err := os.Mkdir(fresh, 0o700); err != nil {
		return "", Explain(parent, err)
	}
	defer os.RemoveAll(fresh) // where it did not get its place
	if err := fill(fresh); err != nil {
		return "", err
	}
	return kept, Explain(dir, swap(ctx, dir, fresh, kept, o))
}

// holdsStash reports whether a folder holds a stash, and is not empty, which is taken away;
// a folder that holds other things is refused.
func holdsStash(dir string) (bool, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return false, err
	}
	for _, e := range entries {
		if e.Name() == LedgerName || e.Name() == PhotoFolder {
			return true, nil
		}
	}
	for _, e := range entries {
		if !isJunk(e.Name()) {
			return false, refuse(dir, "it holds other things, such as "+e.Name()+", and no stash", "name a new folder, or that of the stash", ErrFolder)
		}
	}
	for _, e := range entries {
		err = errors.Join(err, os.Remove(filepath.Join(dir, e.Name())))
	}
	return false, err
}

// swap puts fresh in the place of dir, which it moves to kept; where that is "", dir
// is an empty folder or not there.
func swap(ctx context.Context, dir, fresh, kept string, o Options) error {
	if kept == "" {
		if info, err := os.Lstat(dir); err == nil && info.IsDir() {
			o.Step("remove the empty folder")
			if err := os.Remove(dir); err != nil {
				return err
			}
		}
		return putInPlace(fresh, dir, o)
	}
	release, err := holdLock(ctx, dir, o)
	if err != nil {
		return err
	}
	o.Step("move aside")
	err = os.Rename(dir, kept)
	release()
	if err != nil {
		return err
	}
	if err := putInPlace(fresh, dir, o); err != nil {
		return errors.Join(err, os.Rename(kept, dir))
	}
	return nil
}

// holdLock waits for changes under way in dir, and keeps others from beginning.
// A stash that cannot be opened has none.
func holdLock(ctx context.Context, dir string, o Options) (release func(), err error) {
	s, err := Open(dir, Options{Now: o.Now})
	if errors.Is(err, ErrBusy) {
		return nil, err
	}
	if err != nil {
		return func() {}, nil
	}
	tx, err := s.begin(ctx)
	if err != nil {
		_ = s.Close()
		return nil, err
	}
	return func() { _ = tx.Rollback(); _ = s.Close() }, nil
}
