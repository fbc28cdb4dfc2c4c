package stash

import (
	"context"
	"database/sql"
	"embed"
	_ "embed" // schema.sql
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// Version is that of schema.sql, kept in PRAGMA user_version.
const Version = 5

// applicationID marks the file as a ledger of piecebag, "PBag" in ASCII; see
// https://www.sqlite.org/pragma.html#pragma_application_id.
const applicationID = 0x50426167

// What the folder of a stash holds.
const (
	LedgerName  = "ledger.db"
	PhotoFolder = "photos"
	asideFolder = "aside"
	olderPrefix = "ledger-version-" // of copies made before a change of version
)

//go:embed schema.sql
var schema string

//go:embed triggers.sql
var tallyTriggers string

// migrations holds N.sql, which makes a ledger of version N from one of N-1.
//
//go:embed migrations/*.sql
var migrations embed.FS

// Stash is an open ledger. Any number of goroutines may share it, and any
// number of processes may have it open.
type Stash struct {
	dir  string
	file string
	o    Options
	info fs.FileInfo // of the ledger when it was opened
	w    *sql.DB     // one connection, that changes
	r    *sql.DB     // a few that only read
	// passing is a folder that goes when the stash is closed; "" for none.
	passing string
}

// pragmas are set on every connection: readers never wait for the writer (WAL),
// a change reported done is on the disk (FULL), and a lock is waited for.
var pragmas = []string{"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(ON)", "cache_size(-16000)"}

// readers is how many connections read at a time.
const readers = 4

func connect(file string, readOnly bool) (*sql.DB, error) {
	if readOnly {
		return dial(file, readers, nil, append([]string{"query_only(ON)"}, pragmas...)...)
	}
	return dial(file, 1, url.Values{"_txlock": {"immediate"}}, pragmas...)
}

// asItIs opens a ledger that nobody uses without changing anything, not even the files
// beside it.
var asItIs = url.Values{"mode": {"ro"}, "immutable": {"1"}}

// dial opens a ledger by so many connections, with what else its URI says.
func dial(file string, connections int, q url.Values, pragmas ...string) (*sql.DB, error) {
	all := url.Values{"_pragma": pragmas}
	maps.Copy(all, q)
	db, err := sql.Open("sqlite", location(file, all))
	if err == nil {
		db.SetMaxOpenConns(connections)
	}
	return db, err
}

// location writes a file as SQLite's URI: https://www.sqlite.org/uri.html.
func location(file string, q url.Values) string {
	path := filepath.ToSlash(file)
	if !strings.HasPrefix(path, "/") { // a drive letter
		path = "/" + path
	}
	u := url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}
	return u.String()
}

// Open opens the stash in dir. It makes one where there is none, brings an older
// one up to date after a copy of the ledger was made beside it, and refuses a
// newer one. One that is only read is left as it is, and is read also where
// nothing can be written; an older one is read from a copy. Errors: ErrNone, ErrNewer, ErrDamaged, ErrFull, ErrReadOnly,
// ErrBusy.
func Open(dir string, o Options) (*Stash, error) {
	if o.Now == nil {
		return nil, errors.New("stash: no clock")
	}
	dir, _, err := place(dir)
	if err != nil {
		return nil, err
	}
	s := &Stash{dir: dir, file: filepath.Join(dir, LedgerName), o: o}
	info, err := os.Stat(s.file)
	if errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		if err := noAfresh(dir); err != nil {
			return nil, err
		}
	}
	if o.ReadOnly && errors.Is(err, fs.ErrNotExist) {
		return nil, fault.New(dir, "there is no stash in this folder", "stow a photo first, or name the right folder", ErrNone, err)
	}
	if f, err := os.Open(s.file); o.ReadOnly && errors.Is(err, fs.ErrPermission) {
		return nil, fault.New(dir, "you may not read this stash", "have its owner let you read the folder and the ledger in it", ErrReadOnly, err)
	} else if err == nil {
		_ = f.Close()
	}
	if !o.ReadOnly {
		if err := os.MkdirAll(filepath.Join(dir, PhotoFolder), 0o700); err != nil {
			return nil, Explain(dir, err)
		}
		if err := own(s.file); err != nil {
			return nil, Explain(s.file, err)
		}
	}
	s.info = info // of one to write to again once it is there
	if err := s.open(); err != nil {
		_ = s.Close()
		return nil, Explain(s.file, err)
	}
	if !o.ReadOnly {
		s.collect(context.Background())
	}
	return s, nil
}

func (s *Stash) open() (err error) {
	if s.o.ReadOnly {
		return s.openToRead(context.Background())
	}
	if s.w, err = connect(s.file, false); err != nil {
		return err
	}
	if s.r, err = connect(s.file, true); err != nil {
		return err
	}
	ctx := context.Background()
	if err := again(ctx, func() error { return s.upToDate(ctx) }); err != nil {
		return err
	}
	s.info, err = os.Stat(s.file)
	return err
}

// Close closes the stash.
func (s *Stash) Close() error {
	var errs []error
	for _, db := range []*sql.DB{s.r, s.w} { // the writer last: it empties the log
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	if s.passing != "" {
		errs = append(errs, os.RemoveAll(s.passing))
	}
	return Explain(s.file, errors.Join(errs...))
}

// Options returns the options that the stash was opened with.
func (s *Stash) Options() Options { return s.o }

// Dir returns the folder the stash is in.
func (s *Stash) Dir() string { return s.dir }

// versionOf reads which version a ledger is, 0 where it is empty, and refuses
// what is no ledger or a newer one.
func versionOf(ctx context.Context, q queryer, file string) (int, error) {
	var v, id, tables int
	if err := q.QueryRowContext(ctx, `SELECT user_version, application_id, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_user_version, pragma_application_id`).Scan(&v, &id, &tables); err != nil {
		return 0, err
	}
	switch {
	case tables == 0 && v == 0:
		return 0, nil
	case id != applicationID || v == 0:
		return 0, refuse(file, "this is not a ledger of piecebag", "name another folder", ErrFolder)
	case v > Version:
		return 0, fault.New(file, fmt.Sprintf("the stash was written by a newer piecebag (version %d; this one knows %d)", v, Version), "use the newer piecebag; nothing was changed", ErrNewer)
	}
	return v, nil
}

// upToDate makes or migrates the ledger. The copy is read by another connection
// while this one keeps all others from writing.
func (s *Stash) upToDate(ctx context.Context) error {
	v, err := versionOf(ctx, s.w, s.file)
	if err != nil || v == Version {
		return err
	}
	return inOne(ctx, s.w, func(tx *sql.Tx) error {
		if v, err = versionOf(ctx, tx, s.file); err != nil || v == Version {
			return err
		}
		if v > 0 {
			copied := filepath.Join(s.dir, fmt.Sprintf("%s%d-%s.db", olderPrefix, v, stamp(s.o.Now())))
			if err := snapshot(ctx, s.file, copied); err != nil {
				return fmt.Errorf("a copy before the change of version: %w", err)
			}
		}
		return bringUp(ctx, tx, v)
	})
}

// bringUp makes a ledger of this version from one of version v, or from nothing.
func bringUp(ctx context.Context, tx *sql.Tx, v int) error {
	// What a migration does is no change of yours: nothing is written into the
	// journal meanwhile.
	if err := dropTriggers(ctx, tx); err != nil {
		return err
	}
	script := schema
	if v > 0 {
		script = ""
	}
	for next := v + 1; v > 0 && next <= Version; next++ {
		step, err := migrations.ReadFile(fmt.Sprintf("migrations/%d.sql", next))
		if err != nil {
			return err
		}
		script += string(step)
	}
	if _, err := tx.ExecContext(ctx, script); err != nil {
		return fmt.Errorf("to version %d: %w", Version, err)
	}
	if err := setTriggers(ctx, tx); err != nil {
		return err
	}
	return seal(ctx, tx)
}

// seal marks a ledger as one of this version.
func seal(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", Version, applicationID))
	return err
}

// snapshot writes a ledger as it is now into a new file, whole or not at all:
// https://www.sqlite.org/lang_vacuum.html#vacuuminto. It has a connection of its
// own, since those of the readers refuse to write even another file.
func snapshot(ctx context.Context, ledger, file string) error {
	db, err := connect(ledger, false)
	if err != nil {
		return err
	}
	defer db.Close()
	return disk.Beside(file, partPrefix, Options{}.Step, func(part *os.File) error {
		_, err := db.ExecContext(ctx, "VACUUM INTO ?", part.Name())
		return err
	})
}

// stamp writes a time into the name of a file.
func stamp(t time.Time) string { return t.UTC().Format("20060102T150405.000Z") }
