package stash

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Fault is one thing wrong with a stash.
type Fault struct {
	Kind   FaultKind
	Thing  string // the photo, file or table
	Reason string
	Remedy string
}

// FaultKind tells faults apart.
type FaultKind string

// The kinds of fault.
const (
	LedgerFault  FaultKind = "ledger"        // SQLite's own integrity check, or a row that names none
	CountsFault  FaultKind = "counts"        // the counts are not those of the pieces
	MissingPhoto FaultKind = "missing photo" // a row whose file is not in the folder
	ChangedPhoto FaultKind = "changed photo" // a file that is not what it was
	OrphanPhoto  FaultKind = "orphan"        // a file that no row names
)

// Health is how a stash was found, and what Repair did about it.
type Health struct {
	Photos   int      // looked at
	NotKept  []string // names of the photos whose files are not kept; stowing one again brings it back
	Faults   []Fault  // that the stash has; after Repair, those that remain
	Mended   []Fault  // that it had before Repair
	Repaired []string // what Repair did, a line each
}

// Check looks the whole stash over, every photo's bytes included; it changes
// nothing.
func (s *Stash) Check(ctx context.Context) (Health, error) {
	h, err := s.health(ctx, s.r)
	return h, explain(s.file, err)
}

func (s *Stash) health(ctx context.Context, q queryer) (h Health, err error) {
	if h, err = ledgerHealth(ctx, q); err != nil {
		return h, err
	}
	files, err := filesOf(ctx, q)
	if err != nil {
		return h, err
	}
	named := map[string]bool{}
	for _, p := range files {
		if err := ctx.Err(); err != nil {
			return h, err
		}
		named[p.file] = true
		h.Photos++
		sum, err := hashFile(s.photoPath(p.file))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			h.Faults = append(h.Faults, Fault{MissingPhoto, p.file, "the photo is not in the folder", "stow it again, or run check with --repair to note that it is not kept; its pieces stay"})
		case err != nil || sum != p.hash:
			h.Faults = append(h.Faults, Fault{ChangedPhoto, p.file, "the photo's file is not what it was", "run check with --repair to move it aside, then stow the photo again; its pieces stay"})
		}
	}
	entries, err := os.ReadDir(filepath.Join(s.dir, photoFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return h, err
	}
	for _, e := range entries {
		if !named[e.Name()] && !s.underWay(e) {
			h.Faults = append(h.Faults, Fault{OrphanPhoto, e.Name(), "no photo of the stash is this file", "run check with --repair to move it aside"})
		}
	}
	return h, nil
}

// sound is what is wrong with a ledger by itself.
func sound(ctx context.Context, q queryer) (faults []Fault, err error) {
	found, err := integrity(ctx, q)
	if err != nil {
		return nil, err
	}
	if err := readable(ctx, q); err != nil && len(found) == 0 {
		if ctx.Err() != nil || busy(err) {
			return nil, err
		}
		found = []string{"what it holds cannot be read: " + err.Error()}
	}
	for _, f := range found {
		faults = append(faults, Fault{LedgerFault, ledgerName, f, "restore the last backup into another folder, and keep this one"})
	}
	wrong, err := countsWrong(ctx, q)
	if wrong {
		faults = append(faults, Fault{CountsFault, ledgerName, "the counts are not those of the pieces", "run check with --repair: they are counted again"})
	}
	return faults, err
}

// ledgerHealth is how the ledger alone is.
func ledgerHealth(ctx context.Context, q queryer) (h Health, err error) {
	if h.Faults, err = sound(ctx, q); err != nil {
		return h, err
	}
	h.NotKept, err = rowsOf(ctx, q, scanOne[string], `SELECT name FROM photo WHERE file = '' ORDER BY id`)
	return h, err
}

// partAge is how old a file that is not whole must be to be left over from a
// killed process.
const partAge = time.Hour

// underWay says whether a file is a photo that another process may be writing.
func (s *Stash) underWay(e fs.DirEntry) bool {
	if !strings.HasPrefix(e.Name(), partPrefix) {
		return false
	}
	info, err := e.Info()
	return err != nil || s.o.Now().Sub(info.ModTime()) < partAge
}

// integrity is what SQLite finds wrong: https://www.sqlite.org/pragma.html,
// integrity_check and foreign_key_check.
func integrity(ctx context.Context, q queryer) ([]string, error) {
	found, err := rowsOf(ctx, q, scanOne[string], `PRAGMA integrity_check`)
	if err != nil {
		return nil, err
	}
	if len(found) == 1 && found[0] == "ok" {
		found = nil
	}
	dangling, err := rowsOf(ctx, q, scanOne[string], `SELECT 'a row of ' || "table" || ' names a ' || parent || ' that is not there' FROM pragma_foreign_key_check`)
	return append(found, dangling...), err
}

const (
	tallied = `SELECT family, value, bin, form, cut_width_in, cut_length_in, width_in, length_in,
		sum(count), sum(CAST(round(area_in2 * 1000) AS INTEGER)) FROM holding WHERE count > 0 GROUP BY 1, 2, 3, 4, 5, 6, 7, 8`
	talliedPrints = `SELECT family, value, bin, form, cut_width_in, cut_length_in, print, sum(count)
		FROM holding WHERE count > 0 AND print IS NOT NULL GROUP BY 1, 2, 3, 4, 5, 6, 7`
	talliedCuts = `SELECT family, value, bin, form, cut_width_in, cut_length_in,
		sum(count), sum(CAST(round(area_in2 * 1000) AS INTEGER)), count(DISTINCT print) FROM holding WHERE count > 0 GROUP BY 1, 2, 3, 4, 5, 6`
)

func countsWrong(ctx context.Context, q queryer) (bool, error) {
	for _, pair := range [][2]string{{`SELECT * FROM tally`, tallied}, {`SELECT * FROM tally_print`, talliedPrints}, {`SELECT * FROM tally_cut`, talliedCuts}} {
		var n int
		if err := q.QueryRowContext(ctx, fmt.Sprintf(`SELECT (SELECT count(*) FROM (SELECT * FROM (%[1]s) EXCEPT SELECT * FROM (%[2]s)))
			+ (SELECT count(*) FROM (SELECT * FROM (%[2]s) EXCEPT SELECT * FROM (%[1]s)))`, pair[0], pair[1])).Scan(&n); err != nil {
			return false, err
		}
		if n > 0 {
			return true, nil
		}
	}
	return false, nil
}

func countAgain(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM tally; INSERT INTO tally `+tallied+`;
		DELETE FROM tally_print; INSERT INTO tally_print `+talliedPrints+`;
		DELETE FROM tally_cut; INSERT INTO tally_cut `+talliedCuts)
	return err
}

// Repair mends what Check finds and loses nothing: files are moved into a folder
// of their own, "aside", not deleted; pieces stay; counts and indexes are made
// anew from the pieces. The answer holds what was mended, how, and what faults
// remain. The lock is held, so that no file is moved that another process is bringing in.
func (s *Stash) Repair(ctx context.Context) (Health, error) {
	h, err := s.repair(ctx)
	return h, explain(s.file, err)
}

func (s *Stash) repair(ctx context.Context) (h Health, err error) {
	raw, err := s.begin(ctx)
	if err != nil {
		return h, err
	}
	defer raw.Rollback()
	t := &tx{Tx: raw, ctx: ctx, s: s}
	found, err := s.health(ctx, raw)
	if err != nil {
		return h, err
	}
	var repaired []string
	did := func(what string) { repaired = append(repaired, what) }
	var before int64
	if err := raw.QueryRowContext(ctx, `SELECT coalesce(max(seq), 0) FROM journal`).Scan(&before); err != nil {
		return h, err
	}
	aside := filepath.Join(s.dir, asideFolder, stamp(s.o.Now()))
	var move []string
	for _, f := range found.Faults {
		switch f.Kind {
		case CountsFault:
			err = countAgain(ctx, raw)
			did("the pieces were counted again")
		case LedgerFault:
			if strings.Contains(f.Reason, "index") {
				err = t.exec(`REINDEX`)
				did("the indexes were made again")
			}
		case MissingPhoto:
			err = t.exec(`UPDATE photo SET file = '' WHERE file = ?`, f.Thing)
			did(f.Thing + ": noted as not kept")
		case ChangedPhoto:
			err = t.exec(`UPDATE photo SET file = '' WHERE file = ?`, f.Thing)
			move = append(move, f.Thing)
		case OrphanPhoto:
			move = append(move, f.Thing)
		}
		if err != nil {
			return h, err
		}
	}
	for _, name := range move {
		if err := os.MkdirAll(aside, 0o700); err != nil {
			return h, err
		}
		if err := os.Rename(s.photoPath(name), filepath.Join(aside, name)); err != nil {
			return h, err
		}
		did(name + ": moved to " + aside)
	}
	// What was repaired is no change of hers: undo does not break it again.
	if err := t.exec(`DELETE FROM journal WHERE seq > ?`, before); err != nil {
		return h, err
	}
	if h, err = ledgerHealth(ctx, raw); err != nil { // the photos' faults are all mended
		return h, err
	}
	h.Photos, h.Repaired = found.Photos, repaired
	for _, f := range found.Faults {
		if !slices.Contains(h.Faults, f) {
			h.Mended = append(h.Mended, f)
		}
	}
	return h, raw.Commit()
}
