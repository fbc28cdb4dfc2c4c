package stash

import (
	"context"
	"errors"

	"piecebag/internal/fault"
)

// CopyLedger writes the ledger as it is now into a new file by way of Rebuild, so that
// what is copied can be read again, and names the photos that it says are kept. Errors:
// ErrDamaged, ErrFull, ErrBusy, ErrReadOnly.
func (s *Stash) CopyLedger(ctx context.Context, file string) (photos []string, err error) {
	faults, err := integrity(ctx, s.r)
	if err == nil && len(faults) > 0 {
		err = errors.New(faults[0])
	}
	now := file + ".now"
	if err == nil {
		err = snapshot(ctx, s.file, now)
	}
	if err == nil {
		err = Rebuild(ctx, now, file)
	}
	if err == nil {
		photos, err = photosOf(ctx, file)
	}
	kind := Explain(s.file, err)
	if err == nil || errors.Is(kind, ErrFull) || errors.Is(kind, ErrBusy) || errors.Is(kind, ErrReadOnly) || ctx.Err() != nil {
		return photos, kind
	}
	return nil, fault.New(s.file, "no backup was made, for the ledger is damaged: "+err.Error(), "keep the backups you have, and check what can be mended", ErrDamaged, ErrNoCopy, err)
}

// photosOf names the photos that a ledger says are kept.
func photosOf(ctx context.Context, ledger string) ([]string, error) {
	db, err := dial(ledger, 1, asItIs)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	return filesOf(ctx, db)
}

// PhotoFiles names the photos that the stash keeps, as PhotoPath takes them.
func (s *Stash) PhotoFiles(ctx context.Context) ([]string, error) {
	names, err := filesOf(ctx, s.r)
	return names, Explain(s.file, err)
}

func filesOf(ctx context.Context, q queryer) ([]string, error) {
	return rowsOf(ctx, q, itself[string], `SELECT file FROM photo WHERE file <> '' ORDER BY id`)
}
