package desk

import (
	"context"
	"io"

	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

// Export writes all that the stash holds, as JSON or as a table, to be read back.
func (d *Desk) Export(ctx context.Context, w io.Writer, asCSV bool) error {
	st, err := d.readingOne()
	switch {
	case err != nil:
		return err
	case asCSV:
		return archive.WriteCSV(ctx, st, w)
	}
	return archive.WriteJSON(ctx, st, w)
}

// Import adds what is in a file of this name, which Export wrote or a spreadsheet; data
// are its bytes.
func (d *Desk) Import(ctx context.Context, name string, data []byte) (archive.Imported, error) {
	return ask(d.changing, func(st *stash.Stash) (archive.Imported, error) { return archive.Import(ctx, st, name, data) })
}

// Backup copies the whole stash, photos included, into one file, an absolute path.
func (d *Desk) Backup(ctx context.Context, file string) error {
	st, err := d.readingOne()
	if err != nil {
		return err
	}
	return archive.Backup(ctx, st, file)
}

// Restore puts a backup, an absolute path, in the place of the stash, which the desk
// must not have opened yet; kept is the folder of what was there before, empty where
// there was none.
func (d *Desk) Restore(ctx context.Context, file string) (kept string, err error) {
	return archive.Restore(ctx, file, d.dir, stash.Options{Now: d.o.Now, Progress: d.o.Progress})
}

// Check reads the whole ledger and looks for each photo; repair mends what can be
// mended, and loses nothing.
func (d *Desk) Check(ctx context.Context, repair bool) (stash.Health, error) {
	if repair {
		return ask(d.changingOne, func(st *stash.Stash) (stash.Health, error) { return st.Repair(ctx) })
	}
	return ask(d.readingOne, func(st *stash.Stash) (stash.Health, error) { return st.Check(ctx) })
}

// There returns ErrNoStash where there is no stash yet, for a caller that begins a file
// before it asks for what goes into it.
func (d *Desk) There() error {
	_, err := d.readingOne()
	return err
}
