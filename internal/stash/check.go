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

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// The kinds of what may be wrong with a stash; each fault is about a photo, a file or the
// ledger.
var (
	ErrLedger       = errors.New("SQLite's own check of the ledger, or a row that names none")
	ErrCounts       = errors.New("counts that do not agree with the pieces")
	ErrScripts      = errors.New("triggers that are not those of piecebag, or views")
	ErrMissingPhoto = errors.New("a row whose photo is not in the folder")
	ErrChangedPhoto = errors.New("a photo that is not what it was")
	ErrOrphan       = errors.New("a file that no row names")
)

// Health is how a stash was found, and what Repair did about it.
type Health struct {
	Photos   int            // looked at
	NotKept  []string       // names of the photos whose files are not kept; stowing one again brings it back
	Telling  []string       // names of photos kept with what the camera wrote beside the picture, as once all were; Repair takes it out
	Leftover []string       // files of commands that were cut short; the next that changes the stash sets them aside
	Faults   []*fault.Error // that the stash has; after Repair, those that remain
	Mended   []*fault.Error // that it had before Repair
	Repaired []string       // what Repair did, a line each
}

// Check examines the whole stash, the bytes of every photo included; it changes nothing.
func (s *Stash) Check(ctx context.Context) (Health, error) {
	h, err := s.health(ctx, s.r)
	return h, Explain(s.file, err)
}

func (s *Stash) health(ctx context.Context, q queryer) (h Health, err error) {
	if h, err = ledgerHealth(ctx, q); err != nil {
		return h, err
	}
	files, err := filesOf(ctx, q)
	if err != nil {
		return h, err
	}
	for i, p := range files {
		if err := ctx.Err(); err != nil {
			return h, err
		}
		s.o.Told(i+1, len(files))
		h.Photos++
		data, err := os.ReadFile(s.PhotoPath(p))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			h.Faults = append(h.Faults, fault.New(p, "the photo is not in the folder", "stow it again, or have the stash mended: it is noted that it is not kept; its pieces stay", ErrMissingPhoto))
		case err != nil || Hash(data) != FileHash(p):
			h.Faults = append(h.Faults, fault.New(p, "the photo's file has changed", "have the stash mended: it is moved aside; then stow the photo again; its pieces stay", ErrChangedPhoto))
		case keepsakeOf(Photo{Name: p, Bytes: data}).left == LeftOut:
			h.Telling = append(h.Telling, p)
		}
	}
	strange, left, err := s.unnamed(ctx, q)
	for _, name := range strange {
		h.Faults = append(h.Faults, fault.New(name, "this file is not a photo of the stash", "have the stash mended: it is moved aside", ErrOrphan))
	}
	h.Leftover = left
	return h, err
}

// unnamed lists the files in the folder of photos that no row names: those that are not
// piecebag's, and those of commands that were cut short. It leaves out what another process
// may be writing, and what systems put into any folder.
func (s *Stash) unnamed(ctx context.Context, q queryer) (strange, left []string, err error) {
	entries, err := os.ReadDir(filepath.Join(s.dir, PhotoFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, nil, err
	}
	files, err := filesOf(ctx, q)
	if err != nil {
		return nil, nil, err
	}
	named := map[string]bool{}
	for _, p := range files {
		named[p] = true
	}
	for _, e := range entries {
		name := e.Name()
		switch {
		case named[name] || isJunk(name) || strings.HasPrefix(name, partPrefix) && disk.Young(e, s.o.Now()):
		case IsPhotoFile(name) || strings.HasPrefix(name, partPrefix):
			left = append(left, name)
		default:
			strange = append(strange, name)
		}
	}
	return strange, left, nil
}

// collect sets aside whole files that killed commands left in the folder of photos, and
// removes those that are not whole. The lock is held, because a new photo has its file a
// moment before a row names it. Where collect fails, the next command tries again.
func (s *Stash) collect(ctx context.Context) {
	if _, left, err := s.unnamed(ctx, s.r); err != nil || len(left) == 0 {
		return
	}
	_ = s.locked(ctx, func(t *tx) error {
		_, left, err := s.unnamed(ctx, t)
		if err == nil {
			err = s.clear(left)
		}
		return err
	})
}

// clear sets aside photos that are left over; it removes what is not whole, and
// what is kept without the camera's words.
func (s *Stash) clear(left []string) (err error) {
	var whole []string
	for _, name := range left {
		if strings.HasPrefix(name, partPrefix) || s.keptStripped(name) {
			err = errors.Join(err, os.Remove(s.PhotoPath(name)))
		} else {
			whole = append(whole, name)
		}
	}
	if err != nil || whole == nil {
		return err
	}
	_, err = s.setAside(whole...)
	return err
}

func (s *Stash) keptStripped(name string) bool {
	data, err := os.ReadFile(s.PhotoPath(name))
	if err != nil {
		return false
	}
	k := keepsakeOf(Photo{Name: name, Bytes: data})
	whole, err := s.Whole(k.file)
	return k.left == LeftOut && whole && err == nil
}

// sound returns the faults of the ledger alone, without its photos.
func sound(ctx context.Context, q queryer) (faults []*fault.Error, err error) {
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
		faults = append(faults, fault.New(LedgerName, f, takeBackup, ErrLedger))
	}
	strange, err := scriptsWrong(ctx, q)
	if err != nil {
		return nil, err
	}
	if strange {
		faults = append(faults, fault.New(LedgerName, "what it does by itself when it is changed is not as piecebag wrote it", "have the stash mended: it is set again", ErrScripts))
	}
	wrong, err := countsWrong(ctx, q)
	if wrong {
		faults = append(faults, fault.New(LedgerName, "the counts do not agree with the pieces", "have the stash mended: they are counted again", ErrCounts))
	}
	return faults, err
}

// ledgerHealth returns the health of the ledger alone, without its photos.
func ledgerHealth(ctx context.Context, q queryer) (h Health, err error) {
	if h.Faults, err = sound(ctx, q); err != nil {
		return h, err
	}
	h.NotKept, err = rowsOf(ctx, q, itself[string], `SELECT name FROM photo WHERE file = '' ORDER BY id`)
	return h, err
}

// integrity returns what SQLite finds wrong: https://www.sqlite.org/pragma.html,
// integrity_check and foreign_key_check.
func integrity(ctx context.Context, q queryer) ([]string, error) {
	found, err := rowsOf(ctx, q, itself[string], `PRAGMA integrity_check`)
	if err != nil {
		return nil, err
	}
	if len(found) == 1 && found[0] == "ok" {
		found = nil
	}
	dangling, err := rowsOf(ctx, q, itself[string], `SELECT 'a row of ' || "table" || ' names a ' || parent || ' that is not there' FROM pragma_foreign_key_check`)
	return append(found, dangling...), err
}

// tallies are the tables that triggers keep up to date, and the queries that give what they
// should hold.
var tallies = []struct{ table, rows string }{
	{"tally", `SELECT family, value, bin, form, cut_width_in, cut_length_in, width_in, length_in,
		sum(count), sum(CAST(round(area_in2 * 1000) AS INTEGER)) FROM holding WHERE count > 0 GROUP BY 1, 2, 3, 4, 5, 6, 7, 8`},
	{"tally_print", `SELECT family, value, bin, form, cut_width_in, cut_length_in, print, sum(count)
		FROM holding WHERE count > 0 AND print IS NOT NULL GROUP BY 1, 2, 3, 4, 5, 6, 7`},
	{"tally_cut", `SELECT family, value, bin, form, cut_width_in, cut_length_in,
		sum(count), sum(CAST(round(area_in2 * 1000) AS INTEGER)), count(DISTINCT print) FROM holding WHERE count > 0 GROUP BY 1, 2, 3, 4, 5, 6`},
}

func countsWrong(ctx context.Context, q queryer) (wrong bool, err error) {
	for _, t := range tallies {
		if !wrong && err == nil {
			err = q.QueryRowContext(ctx, fmt.Sprintf(`SELECT EXISTS (SELECT * FROM %[1]s EXCEPT SELECT * FROM (%[2]s))
				OR EXISTS (SELECT * FROM (%[2]s) EXCEPT SELECT * FROM %[1]s)`, t.table, t.rows)).Scan(&wrong)
		}
	}
	return wrong, err
}

// scriptsWrong reports whether a ledger has other triggers than setTriggers makes, or a
// view.
func scriptsWrong(ctx context.Context, q queryer) (bool, error) {
	fresh, err := sql.Open("sqlite", "file::memory:")
	if err != nil {
		return false, err
	}
	defer fresh.Close()
	fresh.SetMaxOpenConns(1) // each would have a memory of its own
	if err := inOne(ctx, fresh, func(tx *sql.Tx) error { return bringUp(ctx, tx, 0) }); err != nil {
		return false, err
	}
	const scripts = `SELECT type || ' ' || sql FROM sqlite_schema WHERE type IN ('trigger', 'view') ORDER BY name`
	want, err := rowsOf(ctx, fresh, itself[string], scripts)
	if err != nil {
		return false, err
	}
	got, err := rowsOf(ctx, q, itself[string], scripts)
	return !slices.Equal(want, got), err
}

func countAgain(ctx context.Context, tx *sql.Tx) error {
	script := ""
	for _, t := range tallies { // tally_cut last, after what triggers make of it for the others
		script += fmt.Sprintf(`DELETE FROM %[1]s; INSERT INTO %[1]s %[2]s; `, t.table, t.rows)
	}
	_, err := tx.ExecContext(ctx, script)
	return err
}

// Repair mends what Check finds and loses nothing: files are moved into a folder
// of their own, "aside", not deleted; pieces stay; counts and indexes are made
// anew from the pieces. The answer holds what was mended, how, and what faults
// remain. The lock is held, so that no file is moved that another process is bringing in.
func (s *Stash) Repair(ctx context.Context) (h Health, err error) {
	var old []string
	if err := s.locked(ctx, func(t *tx) (err error) {
		h, old, err = t.repair()
		return err
	}); err != nil {
		return Health{}, Explain(s.file, err)
	}
	for _, file := range old {
		s.o.Step("drop the photo")
		s.dropPhoto(ctx, file)
	}
	return h, nil
}

// reindex makes the indexes anew, which mends a ledger of which they alone are wrong; it
// reports whether less is wrong then.
func (t *tx) reindex() (less bool, err error) {
	before, err := integrity(t.ctx, t)
	if err != nil {
		return false, err
	}
	if err := t.exec(`SAVEPOINT reindex`); err != nil {
		return false, err
	}
	if err := t.exec(`REINDEX`); err != nil { // more than indexes is wrong, and is told as it is
		return false, errors.Join(t.exec(`ROLLBACK TO reindex`), t.exec(`RELEASE reindex`))
	}
	after, err := integrity(t.ctx, t)
	return len(after) < len(before), errors.Join(err, t.exec(`RELEASE reindex`))
}

// repair returns also the files that no row names any more.
func (t *tx) repair() (h Health, old []string, err error) {
	found, err := t.s.health(t.ctx, t)
	if err != nil {
		return h, nil, err
	}
	var repaired, move []string
	did := func(what string) { repaired = append(repaired, what) }
	before, err := t.written()
	if err != nil {
		return h, nil, err
	}
	for _, f := range found.Faults {
		switch {
		case errors.Is(f, ErrCounts):
			err = countAgain(t.ctx, t.Tx)
			did("the pieces were counted again")
		case errors.Is(f, ErrScripts):
			err = errors.Join(dropTriggers(t.ctx, t.Tx), setTriggers(t.ctx, t.Tx))
			did("what the ledger does by itself was set again")
		case errors.Is(f, ErrLedger):
			var less bool
			if less, err = t.reindex(); less {
				did("the indexes were made again")
			}
		case errors.Is(f, ErrMissingPhoto):
			if t.s.bringBack(f.About) {
				did(f.About + ": brought back from " + asideFolder)
				continue
			}
			did(f.About + ": noted as not kept")
			err = t.exec(`UPDATE photo SET file = '' WHERE file = ?`, f.About)
		case errors.Is(f, ErrChangedPhoto):
			err = t.exec(`UPDATE photo SET file = '' WHERE file = ?`, f.About)
			move = append(move, f.About)
		case errors.Is(f, ErrOrphan):
			move = append(move, f.About)
		}
		if err != nil {
			return h, nil, err
		}
	}
	for _, file := range found.Telling {
		if err := t.strip(file); err != nil {
			return h, nil, err
		}
		did(file + ": what the camera wrote beside the picture was taken out")
	}
	if len(found.Leftover) > 0 {
		if err := t.s.clear(found.Leftover); err != nil {
			return h, nil, err
		}
		did(cloth.Count(len(found.Leftover), "file") + " of commands that were cut short: set aside")
	}
	if len(move) > 0 {
		aside, err := t.s.setAside(move...)
		if err != nil {
			return h, nil, err
		}
		for _, name := range move {
			did(name + ": moved to " + aside)
		}
	}
	// What was repaired is no change of yours: undo does not break it again.
	if err := t.exec(`DELETE FROM journal WHERE seq > ?`, before); err != nil {
		return h, nil, err
	}
	if h, err = ledgerHealth(t.ctx, t); err != nil { // the photos' faults are all mended
		return h, nil, err
	}
	h.Photos, h.Repaired = found.Photos, repaired
	h.Mended = slices.DeleteFunc(found.Faults, func(f *fault.Error) bool {
		return slices.ContainsFunc(h.Faults, func(left *fault.Error) bool { return left.Error() == f.Error() })
	})
	return h, found.Telling, nil
}

// bringBack puts a photo that was set aside back into its place, where it is there and its
// bytes are unchanged.
func (s *Stash) bringBack(file string) bool {
	stamps, _ := os.ReadDir(filepath.Join(s.dir, asideFolder))
	for _, e := range stamps {
		from := filepath.Join(s.dir, asideFolder, e.Name(), filepath.Base(file))
		if sum, err := disk.Hash(from); err == nil && sum == FileHash(file) {
			return os.Rename(from, s.PhotoPath(file)) == nil
		}
	}
	return false
}

// strip keeps a photo without what its camera wrote beside the picture; the file
// it was kept in stays until the change is safe.
func (t *tx) strip(file string) error {
	data, err := os.ReadFile(t.s.PhotoPath(file))
	if err != nil {
		return err
	}
	k := keepsakeOf(Photo{Name: file, Bytes: data})
	if err := t.s.writePhoto(k); err != nil {
		return err
	}
	if err := t.exec(`UPDATE photo SET file = ? WHERE file = ?`, k.file, file); err != nil {
		return err
	}
	// What undo puts back names it too.
	return t.exec(`UPDATE journal SET was = json_set(was, '$.file', ?) WHERE tbl = 'photo' AND was ->> 'file' = ?`, k.file, file)
}
