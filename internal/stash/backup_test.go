package stash

import (
	"archive/zip"
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
)

// full is a stash with something in every table.
func full(t testing.TB, dir string) *Stash {
	t.Helper()
	s := open(t, dir)
	p := photo("a.jpg", squares(9)...)
	p.Basket, p.Bins = "=box", []string{"sea greens", "", "", "", "", "'quoted"}
	stow(t, s, p)
	stow(t, s, photo("b.png", squares(3)...))
	strip := cloth.Holding{Form: cloth.Strip, Count: 2, WidthIn: 6 / 2.54, LengthIn: 18.1, Family: cloth.Red, Print: `poppies, "large"`, Trust: 1}
	_, err := s.Add(ctx, strip, cloth.Holding{Form: cloth.Weighed, Count: 1, AreaIn2: 1234.567, Trust: 1})
	require.NoError(t, err)
	correctOne := func(id int64, c Correction) {
		_, err := s.Correct(ctx, id, c)
		require.NoError(t, err)
	}
	correctOne(1, Correction{Family: cloth.Teal})
	correctOne(2, Correction{NotAPiece: true})
	correctOne(3, Correction{Merge: []int64{4}})
	_, err = s.Use(ctx, Removal{Filter: Filter{IDs: []int64{5}}, Count: 1})
	require.NoError(t, err)
	_, err = s.SetFloor(ctx, shelf.Floor{Alike: shelf.Alike{Family: cloth.Blue}, Least: 7})
	require.NoError(t, err)
	_, err = s.SetSettings(ctx, Settings{TrimIn: 0.25, GSM: 143.5})
	require.NoError(t, err)
	_, err = s.SavePlan(ctx, "library", []byte(`{"blocks":24}`))
	require.NoError(t, err)
	_, err = s.Teach(ctx, "sea greens", []byte(`{"l":0.5}`), []byte(`{"l":0.7}`))
	require.NoError(t, err)
	_, err = s.TeachPieces(ctx, "sea greens", map[int64][]byte{7: []byte(`{"l":0.6}`)})
	require.NoError(t, err)
	return s
}

func TestBackupAndRestore(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	before := dump(t, s)
	require.NoError(t, s.Backup(ctx, file))
	_, err := s.Add(ctx, byHand(3, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	later := dump(t, s)
	require.NoError(t, s.Close())

	kept, err := Restore(ctx, file, dir, Options{Now: clock()})
	require.NoError(t, err)
	back := open(t, dir)
	require.Equal(t, before, dump(t, back))
	healthy(t, back)
	c, err := back.Undo(ctx) // what could be undone can be
	require.NoError(t, err)
	require.Equal(t, "teach", c.Verb)
	require.Equal(t, later, dump(t, open(t, kept)))

	elsewhere := filepath.Join(t.TempDir(), "new")
	kept, err = Restore(ctx, file, elsewhere, Options{Now: clock()})
	require.NoError(t, err)
	require.Empty(t, kept)
	require.Equal(t, before, dump(t, open(t, elsewhere)))
}

// A photo gone bad on the disk once made backups that could not be restored.
func TestAChangedPhotoSpoilsNoBackup(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(photos[1].Path, []byte("something else"), 0o600))
	require.NoError(t, s.Backup(ctx, file))
	elsewhere := filepath.Join(t.TempDir(), "new")
	_, err = Restore(ctx, file, elsewhere, Options{Now: clock()})
	require.NoError(t, err)
	back := open(t, elsewhere)
	require.Equal(t, dump(t, s), dump(t, back))
	h, err := back.Check(ctx)
	require.NoError(t, err)
	require.Len(t, h.Faults, 1)
	require.Equal(t, ChangedPhoto, h.Faults[0].Kind)
}

func TestABackupWhileInUse(t *testing.T) {
	s := open(t, t.TempDir())
	file := filepath.Join(t.TempDir(), "stash.zip")
	var wg sync.WaitGroup
	var worked error
	wg.Go(func() {
		for i := range 30 {
			p := photo(string(rune('a'+i))+".jpg", squares(5)...)
			_, err := s.Stow(ctx, p)
			if i%3 == 0 {
				_, undone := s.Undo(ctx)
				err = errors.Join(err, undone)
			}
			worked = errors.Join(worked, err)
		}
	})
	for i := range 6 {
		require.NoError(t, s.Backup(ctx, file))
		dir := filepath.Join(t.TempDir(), "back")
		_, err := Restore(ctx, file, dir, Options{Now: clock()})
		require.NoError(t, err)
		back := open(t, dir)
		healthy(t, back)
		photos, err := back.Photos(ctx)
		require.NoError(t, err)
		require.Len(t, holdings(t, back, Filter{}), 5*len(photos), "backup %d", i)
	}
	wg.Wait()
	require.NoError(t, worked)
}

// What is no empty folder was once deleted as one: a file, a link, the very backup
// that --stash named.
func TestRestoreDeletesNothing(t *testing.T) {
	top := t.TempDir()
	at := func(name string) string { return filepath.Join(top, name) }
	s := full(t, at("stash"))
	before := dump(t, s)
	require.NoError(t, s.Backup(ctx, at("stash.zip")))
	require.NoError(t, s.Close())
	restore := func(dir string) (string, error) { return Restore(ctx, at("stash.zip"), dir, Options{Now: clock()}) }

	zipped, err := os.ReadFile(at("stash.zip"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(at("notes.txt"), []byte("mine"), 0o600))
	require.NoError(t, os.Symlink(at("nowhere"), at("dangling")))
	require.NoError(t, os.Symlink(at("notes.txt"), at("to a file")))
	require.NoError(t, os.Symlink("circle", at("circle")))
	require.NoError(t, os.MkdirAll(at("letters"), 0o700))
	require.NoError(t, os.WriteFile(at("letters/a.txt"), []byte("mine"), 0o600))
	for _, name := range []string{"stash.zip", "notes.txt", "dangling", "to a file", "circle", "letters", workPrefix + "x"} {
		_, err := restore(at(name))
		require.ErrorIs(t, err, ErrRefused, name)
		_, err = Open(at(name), Options{Now: clock()})
		if name != "letters" {
			require.ErrorIs(t, err, ErrRefused, name)
		}
	}
	same, err := os.ReadFile(at("stash.zip"))
	require.NoError(t, err)
	require.Equal(t, zipped, same)
	require.FileExists(t, at("notes.txt"))
	require.FileExists(t, at("letters/a.txt"))
	for _, name := range []string{"dangling", "to a file"} {
		_, err = os.Readlink(at(name))
		require.NoError(t, err)
	}

	// A link is followed and stays; an empty folder is filled, also with what a
	// system leaves there.
	require.NoError(t, os.Symlink("stash", at("link")))
	kept, err := restore(at("link"))
	require.NoError(t, err)
	require.Equal(t, at("stash"), strings.Split(kept, ".before-")[0])
	_, err = os.Readlink(at("link"))
	require.NoError(t, err)
	require.Equal(t, before, dump(t, open(t, at("stash"))))
	require.NoError(t, os.MkdirAll(at("empty"), 0o700))
	require.NoError(t, os.WriteFile(at("empty/.DS_Store"), []byte("x"), 0o600))
	kept, err = restore(at("empty"))
	require.NoError(t, err)
	require.Empty(t, kept)
	require.Equal(t, before, dump(t, open(t, at("empty"))))
}

// A stash named X.restored or X.restoring once was deleted by a restore of X, and
// X.restored was taken for X where X was gone.
func TestARestoreTakesNoOtherStash(t *testing.T) {
	top := t.TempDir()
	u := filepath.Join(top, "u")
	s := full(t, u)
	file := filepath.Join(top, "u.zip")
	require.NoError(t, s.Backup(ctx, file))
	require.NoError(t, s.Close())
	for _, name := range []string{".restored", ".restoring", ".before"} {
		_, err := open(t, u+name).Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
		require.NoError(t, err)
	}
	_, err := Restore(ctx, file, u, Options{Now: clock()})
	require.NoError(t, err)
	for _, name := range []string{".restored", ".restoring", ".before"} {
		require.Len(t, holdings(t, open(t, u+name), Filter{}), 1)
	}
	require.NoError(t, os.RemoveAll(u))
	require.Empty(t, holdings(t, open(t, u), Filter{})) // a new one

	// So is one in the place of a stash that its owner moved away, though a restore
	// was killed beside it.
	require.NoError(t, os.Rename(u, u+" of May"))
	work := filepath.Join(top, filepath.Base(workName(u))+"1")
	require.NoError(t, os.MkdirAll(filepath.Join(work, photoFolder), 0o700))
	there, err := Exists(u)
	require.NoError(t, err)
	require.False(t, there)
}

// rezip copies a backup with each entry's bytes put through edit.
func rezip(t *testing.T, file string, edit func(name string, data []byte) (string, []byte)) string {
	t.Helper()
	in, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer in.Close()
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for _, f := range in.File {
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r)
		require.NoError(t, err)
		name, data := edit(f.Name, data)
		w, err := out.Create(name)
		require.NoError(t, err)
		_, err = w.Write(data)
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	path := filepath.Join(t.TempDir(), "changed.zip")
	require.NoError(t, os.WriteFile(path, buf.Bytes(), 0o600))
	return path
}

func TestADamagedBackupChangesNothing(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := full(t, dir)
	require.NoError(t, s.Backup(ctx, file))
	before := dump(t, s)
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	torn := filepath.Join(t.TempDir(), "torn.zip")
	require.NoError(t, os.WriteFile(torn, whole[:len(whole)/2], 0o600))
	replace := func(old, with string) func(string, []byte) (string, []byte) {
		return func(name string, data []byte) (string, []byte) {
			if name == manifestName {
				data = bytes.ReplaceAll(data, []byte(old), []byte(with))
			}
			return strings.ReplaceAll(name, old, with), data
		}
	}
	for what, c := range map[string]struct {
		file string
		want error
	}{
		"torn":  {torn, ErrDamaged},
		"none":  {filepath.Join(dir, "none.zip"), ErrRefused},
		"other": {rezip(t, file, replace(backupFormat, "something else")), ErrDamaged},
		"newer": {rezip(t, file, replace(fmt.Sprintf(`"version": %d`, version), fmt.Sprintf(`"version": %d`, version+1))), ErrNewer},
		"path":  {rezip(t, file, replace(photoFolder+"/", "../")), ErrDamaged},
		"bytes": {rezip(t, file, func(name string, data []byte) (string, []byte) {
			if strings.HasPrefix(name, photoFolder) {
				data = append(data, 'x')
			}
			return name, data
		}), ErrDamaged},
		"missing": {rezip(t, file, func(name string, data []byte) (string, []byte) {
			return strings.TrimSuffix(name, ".png"), data
		}), ErrDamaged},
	} {
		_, err := Restore(ctx, c.file, dir, Options{Now: clock()})
		require.ErrorIs(t, err, c.want, what)
		var e *fault.Error
		require.ErrorAs(t, err, &e, what)
		require.NotEmpty(t, e.Remedy)
		require.Empty(t, workFolders(dir))
		require.Equal(t, before, dump(t, s))
	}
}

// A backup of some hundred kilobytes filled the disk, or the memory by its manifest.
func TestABackupUnpacksToNoMoreThanOneOfItsSize(t *testing.T) {
	top := t.TempDir()
	file := filepath.Join(top, "stash.zip")
	require.NoError(t, full(t, filepath.Join(top, "stash")).Backup(ctx, file))
	const much = freeGrowth * 9 / 4
	zeros := make([]byte, much)
	grown := func(prefix string) string {
		return rezip(t, file, func(name string, data []byte) (string, []byte) {
			if strings.HasPrefix(name, prefix) {
				data = append(data, zeros[:much/2]...) // half of what is too much, in each of two photos
				if name == ledgerName {
					name, data = "/"+name, append(data, zeros[:much/2]...) // archive/zip finds it without its slash
				}
			}
			return name, data
		})
	}
	for what, bomb := range map[string]string{"ledger": grown(ledgerName), "photos": grown(photoFolder)} {
		dir, unpacked := filepath.Join(top, "other"), false
		_, err := Restore(ctx, bomb, dir, Options{Now: clock(), before: func(step string) { unpacked = unpacked || step == "unpack" }})
		require.ErrorIs(t, err, ErrDamaged, what)
		require.ErrorContains(t, err, "it would unpack to more than", what)
		require.False(t, unpacked, what)
		require.NoDirExists(t, dir)
	}

	long := rezip(t, file, func(name string, data []byte) (string, []byte) {
		if name == manifestName {
			data = append(bytes.Repeat([]byte(" "), 1<<20), data...)
		}
		return name, data
	})
	_, err := Restore(ctx, long, filepath.Join(top, "other"), Options{Now: clock()})
	require.ErrorIs(t, err, ErrDamaged)
}

func TestCheckFindsAndRepairLosesNothing(t *testing.T) {
	dir := t.TempDir()
	s := full(t, dir)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.Remove(photos[0].Path))
	require.NoError(t, os.WriteFile(photos[1].Path, []byte("something else"), 0o600))
	orphan := s.photoPath("holiday.jpg")
	require.NoError(t, os.WriteFile(orphan, []byte("the sea"), 0o600))
	require.NoError(t, os.WriteFile(s.photoPath(partPrefix+"1"), []byte("half"), 0o600))
	_, err = s.w.ExecContext(ctx, `UPDATE tally SET n = n + 1`)
	require.NoError(t, err)
	pieces := holdings(t, s, Filter{})

	h, err := s.Check(ctx)
	require.NoError(t, err)
	var kinds []FaultKind
	for _, f := range h.Faults {
		kinds = append(kinds, f.Kind)
		require.NotEmpty(t, f.Remedy)
	}
	// The clock of the tests stands before the half photo was written: it may be
	// under way.
	require.Equal(t, []FaultKind{CountsFault, MissingPhoto, ChangedPhoto, OrphanPhoto}, kinds)

	h, err = s.Repair(ctx)
	require.NoError(t, err)
	require.Len(t, h.Repaired, 5-1)
	healthy(t, s)
	require.Equal(t, pieces, holdings(t, s, Filter{}))
	aside, err := filepath.Glob(filepath.Join(dir, asideFolder, "*", "*"))
	require.NoError(t, err)
	require.Len(t, aside, 2)
	data, err := os.ReadFile(aside[len(aside)-1])
	require.NoError(t, err)
	require.Equal(t, "the sea", string(data))

	// The photo comes back when it is stowed again, and its pieces not twice.
	require.True(t, stow(t, s, photo("a.jpg", squares(9)...)).Known)
	require.FileExists(t, photos[0].Path)
	require.Equal(t, pieces, holdings(t, s, Filter{}))
	healthy(t, s)
	for range 8 {
		_, err = s.Undo(ctx)
		require.NoError(t, err)
	}
	healthy(t, s)
}

func TestADamagedLedgerIsSaid(t *testing.T) {
	dir := t.TempDir()
	s := full(t, dir)
	_, err := s.w.ExecContext(ctx, `PRAGMA foreign_keys = OFF; UPDATE holding SET photo = 99 WHERE photo = 2`)
	require.NoError(t, err)
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.Equal(t, LedgerFault, h.Faults[0].Kind)
	require.Equal(t, "a row of holding names a photo that is not there", h.Faults[0].Reason)
}

// strangeLedger gives the ledger of a backup to edit.
func strangeLedger(t *testing.T, file string, script string) string {
	t.Helper()
	var proof string
	with := rezip(t, file, func(name string, data []byte) (string, []byte) {
		if name == ledgerName {
			path := filepath.Join(t.TempDir(), ledgerName)
			require.NoError(t, os.WriteFile(path, data, 0o600))
			db, err := sql.Open("sqlite", location(path, nil))
			require.NoError(t, err)
			_, err = db.ExecContext(ctx, script)
			require.NoError(t, err)
			require.NoError(t, db.Close())
			data, err = os.ReadFile(path)
			require.NoError(t, err)
			proof = Hash(data)
		}
		return name, data
	})
	return rezip(t, with, func(name string, data []byte) (string, []byte) {
		if name == manifestName {
			var m manifest
			require.NoError(t, json.Unmarshal(data, &m))
			m.Files[0].SHA256 = proof
			data = []byte(asJSON(m))
		}
		return name, data
	})
}

// A backup that others made could once have undo delete a file outside the stash,
// and brought triggers of its own.
func TestAStrangeBackupBringsOnlyRows(t *testing.T) {
	top := t.TempDir()
	s := full(t, filepath.Join(top, "stash"))
	before := dump(t, s)
	file := filepath.Join(top, "stash.zip")
	require.NoError(t, s.Backup(ctx, file))
	outside := `UPDATE photo SET file = '../../victim.txt' WHERE id = 1;`
	past := `UPDATE journal SET was = json_set(was, '$.file', '../../victim.txt') WHERE tbl = 'photo' AND was IS NOT NULL;`
	for name, script := range map[string]string{
		"a photo outside":           outside,
		"a photo outside, by undo":  `UPDATE photo SET size = 1; ` + past,
		"a photo of the folder":     `UPDATE photo SET file = '.' WHERE id = 1`,
		"a view for a table":        `DROP TABLE floor; CREATE VIEW floor AS SELECT 1 AS id, 'blue' AS family, '' AS value, '' AS bin, 0.0 AS cut_in, 9 AS n`,
		"a virtual table":           `DROP TABLE floor; CREATE VIRTUAL TABLE floor USING fts5(id, family, value, bin, cut_in, n)`,
		"a computed column":         `DROP TABLE floor; CREATE TABLE floor (id INTEGER PRIMARY KEY, family TEXT, value TEXT AS (hex(zeroblob(99))), bin TEXT, cut_in REAL, n INTEGER)`,
		"a table missing":           `DROP TABLE correction`,
		"a journal of other tables": `INSERT INTO journal (change, tbl, row) SELECT max(id), 'sqlite_schema', 1 FROM change`,
		"no JSON in a plan":         `UPDATE plan SET what = '{'`,
		"no outline":                `UPDATE holding SET outline = 'x' WHERE id = 1`,
		"no number":                 `UPDATE holding SET width_in = 9e999 WHERE id = 1`,
		"no family":                 `UPDATE holding SET family = 'mauve' WHERE id = 1`,
		"a row of none":             `PRAGMA foreign_keys = OFF; UPDATE holding SET photo = 99 WHERE id = 1`,
	} {
		dir := filepath.Join(top, name)
		_, err := Restore(ctx, strangeLedger(t, file, script), dir, Options{Now: clock()})
		require.ErrorIs(t, err, ErrDamaged, name)
		require.NoDirExists(t, dir)
		require.Empty(t, workFolders(dir))
	}

	dir := filepath.Join(top, "other")
	_, err := Restore(ctx, strangeLedger(t, file, `
		CREATE TRIGGER theirs AFTER INSERT ON holding BEGIN DELETE FROM holding; END;
		CREATE VIEW spy AS SELECT * FROM holding;
		CREATE TABLE more (x);
		DROP TRIGGER journal_holding_insert;
		DROP INDEX holding_bin;
		UPDATE tally SET n = n + 5;`), dir, Options{Now: clock()})
	require.NoError(t, err)
	back := open(t, dir)
	require.Equal(t, before, dump(t, back))
	shape := func(s *Stash) []string {
		out, err := rowsOf(ctx, s.r, itself[string], `SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type, name`)
		require.NoError(t, err)
		return out
	}
	require.Equal(t, shape(s), shape(back))
	healthy(t, back)
}

// What a ledger of the stash itself names outside its folder is not touched.
func TestNoPhotoLiesOutsideTheFolder(t *testing.T) {
	top := t.TempDir()
	dir, victim := filepath.Join(top, "stash"), filepath.Join(top, "victim.txt")
	s := open(t, dir)
	require.NoError(t, os.WriteFile(victim, []byte("mine"), 0o600))
	stow(t, s, photo("a.jpg", square(0)))
	_, err := s.w.ExecContext(ctx, `UPDATE photo SET file = '../../victim.txt'`)
	require.NoError(t, err)
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.Equal(t, LedgerFault, h.Faults[0].Kind)
	_, err = s.Repair(ctx)
	require.NoError(t, err)
	_, err = s.Undo(ctx)
	require.NoError(t, err)
	require.FileExists(t, victim)
}

// A ledger that others gave once kept its own triggers, and none missed what was
// taken away.
func TestStrangeTriggersAreSaidAndMended(t *testing.T) {
	for _, script := range []string{
		`CREATE TRIGGER "the""irs" AFTER INSERT ON holding BEGIN DELETE FROM floor; END`,
		`DROP TRIGGER journal_holding_insert`,
		`CREATE VIEW spy AS SELECT * FROM holding`,
		`DROP TRIGGER tally_insert; CREATE TRIGGER tally_insert AFTER INSERT ON holding BEGIN SELECT 1; END`,
	} {
		s := full(t, t.TempDir())
		_, err := s.w.ExecContext(ctx, script)
		require.NoError(t, err)
		h, err := s.Check(ctx)
		require.NoError(t, err)
		require.Len(t, h.Faults, 1, script)
		require.Equal(t, ScriptFault, h.Faults[0].Kind)
		h, err = s.Repair(ctx)
		require.NoError(t, err)
		require.Empty(t, h.Faults)
		healthy(t, s)
		before := dump(t, s)
		_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
		require.NoError(t, err)
		_, err = s.Undo(ctx)
		require.NoError(t, err)
		require.Equal(t, before, dump(t, s))
	}
}

// A backup of a damaged ledger once took the place of a good one and could not be
// restored.
func TestABackupIsNotReplacedByOneThatCannotBeUsed(t *testing.T) {
	top := t.TempDir()
	dir, file := filepath.Join(top, "stash"), filepath.Join(top, "stash.zip")
	s := full(t, dir)
	require.NoError(t, s.Backup(ctx, file))
	require.NoError(t, s.Close())
	good, err := os.ReadFile(file)
	require.NoError(t, err)
	ledger, err := os.ReadFile(filepath.Join(dir, ledgerName))
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(3, 9))
	refused := 0
	for i := range 60 {
		bad := bytes.Clone(ledger)
		for range 1 + i%4 {
			if i%2 == 0 { // a flipped bit, or a page of another place
				bad[100+rng.IntN(len(bad)-100)] ^= 1 << rng.IntN(8)
			} else {
				page := func() int { return 4096 * (1 + rng.IntN(len(bad)/4096-1)) }
				from, to := page(), page()
				copy(bad[to:to+4096], ledger[from:])
			}
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, ledgerName), bad, 0o600))
		require.NoError(t, os.WriteFile(file, good, 0o600))
		s, err := Open(dir, Options{Now: clock(), ReadOnly: true})
		if err != nil {
			continue
		}
		err = s.Backup(ctx, file)
		_ = s.Close()
		if err != nil {
			refused++
			require.ErrorIs(t, err, ErrDamaged, "%d", i)
			same, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, good, same)
			continue
		}
		back := filepath.Join(top, fmt.Sprint("back ", i))
		_, err = Restore(ctx, file, back, Options{Now: clock()})
		require.NoError(t, err, "%d", i)
	}
	require.Positive(t, refused)
	left, err := filepath.Glob(filepath.Join(top, backupPrefix+"*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// Photos that the stash has lost are not lost from the backup too.
func TestABackupKeepsThePhotosThatWereLost(t *testing.T) {
	for _, lose := range []func(path string) error{os.Remove, func(path string) error { return os.WriteFile(path, []byte("spoilt"), 0o600) }} {
		file := filepath.Join(t.TempDir(), "stash.zip")
		s := full(t, t.TempDir())
		require.NoError(t, s.Backup(ctx, file))
		photos, err := s.Photos(ctx)
		require.NoError(t, err)
		require.NoError(t, lose(photos[0].Path))
		good, err := os.ReadFile(file)
		require.NoError(t, err)
		err = s.Backup(ctx, file)
		require.ErrorIs(t, err, ErrRefused)
		require.ErrorContains(t, err, "it holds 1 photo that the stash has lost; it was left as it is")
		same, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Equal(t, good, same)
		require.NoError(t, s.Backup(ctx, file+".new"))
	}
}

// Check once found a ledger whole that export refused.
func TestCheckReadsWhatExportReads(t *testing.T) {
	for _, script := range []string{
		`UPDATE holding SET outline = '[[1,' WHERE id = 1`, `UPDATE holding SET colours = 'x' WHERE id = 1`,
		`UPDATE plan SET what = '{'`, `UPDATE taught SET what = ''`,
		`UPDATE correction SET what = 'x'`, `UPDATE holding SET width_in = 9e999 WHERE id = 1`,
		`UPDATE holding SET lightness = 'light' WHERE id = 1`,
	} {
		s := full(t, t.TempDir())
		healthy(t, s)
		_, err := s.w.ExecContext(ctx, script)
		require.NoError(t, err)
		c, err := s.Content(ctx)
		if err == nil {
			_, err = json.Marshal(c)
		}
		require.Error(t, err, script)
		h, err := s.Check(ctx)
		require.NoError(t, err)
		require.NotEmpty(t, h.Faults, script)
		require.Equal(t, LedgerFault, h.Faults[0].Kind)
		require.Error(t, s.Backup(ctx, filepath.Join(t.TempDir(), "b.zip")))
	}
}

// A stash whose ledger was emptied, or gone, was once begun afresh over its photos.
func TestALostLedgerIsNotBegunAfresh(t *testing.T) {
	for what, lose := range map[string]func(ledger string) error{
		"gone": os.Remove, "empty": func(ledger string) error { return os.WriteFile(ledger, nil, 0o600) },
	} {
		top := t.TempDir()
		dir, file := filepath.Join(top, "stash"), filepath.Join(top, "stash.zip")
		s := full(t, dir)
		before := dump(t, s)
		require.NoError(t, s.Backup(ctx, file))
		require.NoError(t, s.Close())
		require.NoError(t, lose(filepath.Join(dir, ledgerName)))
		for _, readOnly := range []bool{true, false} {
			_, err := Open(dir, Options{Now: clock(), ReadOnly: readOnly})
			require.ErrorIs(t, err, ErrDamaged, what)
			require.ErrorContains(t, err, "the ledger is "+what+", but photos of a stash are there")
		}
		kept, err := Restore(ctx, file, dir, Options{Now: clock()})
		require.NoError(t, err)
		require.NotEmpty(t, kept)
		require.Equal(t, before, dump(t, open(t, dir)))
	}
	// A folder of your photos is no stash.
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, photoFolder), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, photoFolder, "holiday.jpg"), []byte("the sea"), 0o600))
	open(t, dir)
}

// Only its owner may read a ledger: it was once written as any file is.
func TestALedgerIsItsOwners(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions are another thing there")
	}
	top := t.TempDir()
	private := func(path string) {
		t.Helper()
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), path)
	}
	dir := version1(t)
	require.NoError(t, os.Chmod(filepath.Join(dir, ledgerName), 0o644))
	s := open(t, dir)
	private(s.file)
	private(s.file + "-wal")
	copies, err := filepath.Glob(filepath.Join(dir, olderPrefix+"*"))
	require.NoError(t, err)
	private(copies[0])
	file := filepath.Join(top, "b.zip")
	require.NoError(t, s.Backup(ctx, file))
	private(file)
	_, err = Restore(ctx, file, filepath.Join(top, "back"), Options{Now: clock()})
	require.NoError(t, err)
	private(filepath.Join(top, "back", ledgerName))
}
