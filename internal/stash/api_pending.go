package stash

import (
	"context"
	"errors"
	"io"
	"time"

	"piecebag/internal/cloth"
)

// Methods whose bodies are still being written; the signatures stand.
var errPending = errors.New("not written yet")

// Stash is an open ledger; any number of goroutines may share it.
type Stash struct{}

// Open opens the stash in dir, creating it where there is none, migrating it
// (after a backup beside it) where it is older, and refusing it where it is newer.
func Open(dir string, o Options) (*Stash, error)                   { return nil, errPending }
func (s *Stash) Close() error                                      { return errPending }
func (s *Stash) Stow(ctx context.Context, p Photo) (Stowed, error) { return Stowed{}, errPending }

// Known says whether a photo of these bytes is in the stash, so that it need not be looked at again.
func (s *Stash) Known(ctx context.Context, hash string) (bool, error) { return false, errPending }

// Recount replaces what the stash holds of the basket (or the cut, where no basket is named) of the photos.
func (s *Stash) Recount(ctx context.Context, basket string, cut float64, photos ...Photo) (Change, error) {
	return Change{}, errPending
}
func (s *Stash) Add(ctx context.Context, h ...cloth.Holding) (Change, error) {
	return Change{}, errPending
}
func (s *Stash) Use(ctx context.Context, t ...Take) (Change, error) { return Change{}, errPending }
func (s *Stash) Correct(ctx context.Context, id int64, c Correction) (Change, error) {
	return Change{}, errPending
}
func (s *Stash) Relook(ctx context.Context, hash string, sheet cloth.Sheet) (Change, error) {
	return Change{}, errPending
}

// Sort puts holdings in bins of her own: id → bin, "" for none.
func (s *Stash) Sort(ctx context.Context, bins map[int64]string) (Change, error) {
	return Change{}, errPending
}
func (s *Stash) Undo(ctx context.Context) (Change, error)             { return Change{}, errPending }
func (s *Stash) History(ctx context.Context, n int) ([]Change, error) { return nil, errPending }
func (s *Stash) Holdings(ctx context.Context, f Filter) ([]cloth.Holding, error) {
	return nil, errPending
}
func (s *Stash) Counts(ctx context.Context) ([]Count, error) { return nil, errPending }

// ChangedSince is the net difference of all changes at or after t.
func (s *Stash) ChangedSince(ctx context.Context, t time.Time) ([]Count, error) {
	return nil, errPending
}
func (s *Stash) SetFloor(ctx context.Context, f Floor) (Change, error) { return Change{}, errPending }
func (s *Stash) Floors(ctx context.Context) ([]Floor, error)           { return nil, errPending }
func (s *Stash) Settings(ctx context.Context) (Settings, error)        { return Settings{}, errPending }
func (s *Stash) SetSettings(ctx context.Context, v Settings) (Change, error) {
	return Change{}, errPending
}

// SavePlan keeps a plan under its name; nil bytes take it away.
func (s *Stash) SavePlan(ctx context.Context, name string, json []byte) (Change, error) {
	return Change{}, errPending
}
func (s *Stash) Plans(ctx context.Context) ([]Plan, error) { return nil, errPending }

// Teach adds examples of a bin (JSON, any shape); Taught lists all in the order taught; Unteach forgets a bin.
func (s *Stash) Teach(ctx context.Context, bin string, examples ...[]byte) (Change, error) {
	return Change{}, errPending
}
func (s *Stash) Unteach(ctx context.Context, bin string) (Change, error) { return Change{}, errPending }
func (s *Stash) Taught(ctx context.Context) ([]Example, error)           { return nil, errPending }
func (s *Stash) Photos(ctx context.Context) ([]PhotoInfo, error)         { return nil, errPending }
func (s *Stash) ExportCSV(ctx context.Context, w io.Writer) error        { return errPending }
func (s *Stash) ExportJSON(ctx context.Context, w io.Writer) error       { return errPending }

// Import reads what Export wrote (CSV or JSON, told by its content) or a plain spreadsheet of squares; name is the file's.
func (s *Stash) Import(ctx context.Context, name string, data []byte) (Imported, error) {
	return Imported{}, errPending
}
func (s *Stash) Backup(ctx context.Context, file string) error { return errPending }

// Restore puts the stash of a backup in dir; what was there is kept in the folder returned.
func Restore(ctx context.Context, file, dir string, o Options) (kept string, err error) {
	return "", errPending
}
func (s *Stash) Check(ctx context.Context) (Health, error)  { return Health{}, errPending }
func (s *Stash) Repair(ctx context.Context) (Health, error) { return Health{}, errPending }

// Settings are what she has set. The zero value of a field is never kept.
type Settings struct {
	TrimIn float64 // lost of a strip's length when its ends are squared, inches; ½
	GSM    float64 // weight of cloth, grams a square metre; 150
}

// Example is one taught example.
type Example struct {
	Bin  string
	JSON []byte
}

// Imported is what became of a file: Known where the same bytes were imported before.
type Imported struct {
	Known   bool
	Added   int
	Skipped int
	Sum     Change
}

// Health is what Check found; Repaired what Repair did, a line each.
type Health struct {
	Faults   []Fault
	Repaired []string
}

// Fault is one thing wrong.
type Fault struct{ Thing, Reason, Remedy string }

// Error is a failure that its user can mend: like photo.Error. errors.Is tells ErrNewer, ErrFull, ErrShort, ErrNone, ErrBusy, ErrDamaged, ErrRefused apart.
type Error struct {
	Thing, Reason, Remedy string
	Err                   error
}

func (e *Error) Error() string { return e.Thing + ": " + e.Reason }
func (e *Error) Unwrap() error { return e.Err }
