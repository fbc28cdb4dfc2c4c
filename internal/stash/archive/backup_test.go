package archive

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
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/stash"
	"piecebag/internal/stash/stashtest"
)

func openIn(t testing.TB, dir string) *stash.Stash {
	t.Helper()
	s, err := stash.Open(dir, stash.Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// pieces are squares of 2½ inches side by side, each of a print of its own.
func pieces(n int) []cloth.Piece {
	out := make([]cloth.Piece, n)
	for i := range out {
		x := float64(i) * 120
		out[i] = cloth.Piece{
			ID: i + 1, Polygon: geom.Polygon{{X: x}, {X: x + 100}, {X: x + 100, Y: 100}, {X: x, Y: 100}},
			Family: cloth.Families[i%12], Value: cloth.Values[i%5], WidthIn: 2.5, LengthIn: 2.5, Print: fmt.Sprint("p", i), Trust: 0.9,
		}
	}
	return out
}

func photo(name string, found ...cloth.Piece) stash.Photo {
	return stash.Photo{Name: name, Bytes: []byte("the bytes of " + name), Sheet: cloth.Sheet{Kind: cloth.Spread, Width: 2400, Height: 2400, Pieces: found}}
}

// filled is a stash with something in every table, and two photos.
func filled(t testing.TB, dir string) *stash.Stash {
	t.Helper()
	s := openIn(t, dir)
	_, asJSON := full(t)
	_, err := Import(ctx, s, "all.json", []byte(asJSON))
	require.NoError(t, err)
	for i, name := range []string{"one.jpg", "two.png"} {
		_, err := s.Stow(ctx, photo(name, pieces(9-3*i)...))
		require.NoError(t, err)
	}
	_, err = s.Correct(ctx, 1, stash.Correction{Family: cloth.Teal})
	require.NoError(t, err)
	_, err = s.Teach(ctx, "sea greens", []byte(`{"l":0.5}`))
	require.NoError(t, err)
	return s
}

func healthy(t testing.TB, s *stash.Stash) {
	t.Helper()
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, h.Faults)
}

// rows reads a ledger as it is, past package stash.
func rows(t testing.TB, dir, query string, args ...any) (out []string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, stash.LedgerName))
	require.NoError(t, err)
	defer db.Close()
	found, err := db.QueryContext(ctx, query, args...)
	require.NoError(t, err)
	defer found.Close()
	for found.Next() {
		var r string
		require.NoError(t, found.Scan(&r))
		out = append(out, r)
	}
	require.NoError(t, found.Err())
	return out
}

// dump writes every row of every table, what undo needs too, and the names of the
// photos kept.
func dump(t testing.TB, dir string) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	for _, table := range rows(t, dir, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'`) {
		columns := rows(t, dir, `SELECT 'quote(' || name || ')' FROM pragma_table_info(?) ORDER BY cid`, table)
		out[table] = rows(t, dir, `SELECT `+strings.Join(columns, ` || '|' || `)+` AS r FROM `+table+` ORDER BY r`)
	}
	files, err := os.ReadDir(filepath.Join(dir, stash.PhotoFolder))
	require.NoError(t, err)
	for _, f := range files {
		out["files"] = append(out["files"], f.Name())
	}
	return out
}

// workFolders are what restores have left beside a stash.
func workFolders(t testing.TB, dir string) []string {
	t.Helper()
	left, err := filepath.Glob(filepath.Join(filepath.Dir(dir), ".piecebag-restore-*"))
	require.NoError(t, err)
	return left
}

func TestBackupAndRestore(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := filled(t, dir)
	before := dump(t, s.Dir())
	require.NoError(t, Backup(ctx, s, file))
	_, err := s.Add(ctx, cloth.Holding{Form: cloth.Square, Count: 3, WidthIn: 2.5, Family: cloth.Red, Trust: 1})
	require.NoError(t, err)
	later := dump(t, s.Dir())
	require.NoError(t, s.Close())

	kept, err := Restore(ctx, file, dir, stash.Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	back := openIn(t, dir)
	require.Equal(t, before, dump(t, back.Dir()))
	healthy(t, back)
	c, err := back.Undo(ctx) // what could be undone can be
	require.NoError(t, err)
	require.Equal(t, "teach", c.Verb)
	require.Equal(t, later, dump(t, kept))

	elsewhere := filepath.Join(t.TempDir(), "new")
	kept, err = Restore(ctx, file, elsewhere, stash.Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	require.Empty(t, kept)
	require.Equal(t, before, dump(t, elsewhere))
}

// A photo gone bad on the disk once made backups that could not be restored.
func TestAChangedPhotoSpoilsNoBackup(t *testing.T) {
	dir, file := filepath.Join(t.TempDir(), "stash"), filepath.Join(t.TempDir(), "stash.zip")
	s := filled(t, dir)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(photos[len(photos)-1].Path, []byte("something else"), 0o600))
	require.NoError(t, Backup(ctx, s, file))
	elsewhere := filepath.Join(t.TempDir(), "new")
	_, err = Restore(ctx, file, elsewhere, stash.Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	back := openIn(t, elsewhere)
	require.Equal(t, dump(t, s.Dir()), dump(t, back.Dir()))
	h, err := back.Check(ctx)
	require.NoError(t, err)
	require.Len(t, h.Faults, 1)
	require.ErrorIs(t, h.Faults[0], stash.ErrChangedPhoto)
}

func TestABackupWhileInUse(t *testing.T) {
	s := openIn(t, t.TempDir())
	file := filepath.Join(t.TempDir(), "stash.zip")
	var wg sync.WaitGroup
	var worked error
	wg.Go(func() {
		for i := range 30 {
			p := photo(string(rune('a'+i))+".jpg", pieces(5)...)
			_, err := s.Stow(ctx, p)
			if i%3 == 0 {
				_, undone := s.Undo(ctx)
				err = errors.Join(err, undone)
			}
			worked = errors.Join(worked, err)
		}
	})
	for i := range 6 {
		require.NoError(t, Backup(ctx, s, file))
		dir := filepath.Join(t.TempDir(), "back")
		_, err := Restore(ctx, file, dir, stash.Options{Now: stashtest.Clock()})
		require.NoError(t, err)
		back := openIn(t, dir)
		healthy(t, back)
		photos, err := back.Photos(ctx)
		require.NoError(t, err)
		require.Len(t, holdings(t, back), 5*len(photos), "backup %d", i)
	}
	wg.Wait()
	require.NoError(t, worked)
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
	s := filled(t, dir)
	require.NoError(t, Backup(ctx, s, file))
	before := dump(t, s.Dir())
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
		"torn":  {torn, stash.ErrDamaged},
		"none":  {filepath.Join(dir, "none.zip"), stash.ErrRefused},
		"other": {rezip(t, file, replace(backupFormat, "something else")), stash.ErrDamaged},
		"newer": {rezip(t, file, replace(fmt.Sprintf(`"version": %d`, stash.Version), fmt.Sprintf(`"version": %d`, stash.Version+1))), stash.ErrNewer},
		"path":  {rezip(t, file, replace(stash.PhotoFolder+"/", "../")), stash.ErrDamaged},
		"bytes": {rezip(t, file, func(name string, data []byte) (string, []byte) {
			if strings.HasPrefix(name, stash.PhotoFolder) {
				data = append(data, 'x')
			}
			return name, data
		}), stash.ErrDamaged},
		"missing": {rezip(t, file, func(name string, data []byte) (string, []byte) {
			return strings.TrimSuffix(name, ".png"), data
		}), stash.ErrDamaged},
	} {
		_, err := Restore(ctx, c.file, dir, stash.Options{Now: stashtest.Clock()})
		require.ErrorIs(t, err, c.want, what)
		stashtest.Said(t, err)
		require.Empty(t, workFolders(t, dir))
		require.Equal(t, before, dump(t, s.Dir()))
	}
}

// A backup of some hundred kilobytes filled the disk, or the memory by its manifest.
func TestABackupUnpacksToNoMoreThanOneOfItsSize(t *testing.T) {
	top := t.TempDir()
	file := filepath.Join(top, "stash.zip")
	require.NoError(t, Backup(ctx, filled(t, filepath.Join(top, "stash")), file))
	const much = freeGrowth * 9 / 4
	// grown says of what begins so that it is larger than it is: archive/zip gives as much
	// as an entry says, or fails.
	grown := func(prefix string) string {
		in, err := zip.OpenReader(file)
		require.NoError(t, err)
		defer in.Close()
		path := filepath.Join(t.TempDir(), "grown.zip")
		f, err := os.Create(path)
		require.NoError(t, err)
		out := zip.NewWriter(f)
		for _, e := range in.File {
			h := e.FileHeader
			if strings.HasPrefix(h.Name, prefix) {
				h.UncompressedSize64 += much / 2 // half of what is too much, in each of two photos
				if h.Name == stash.LedgerName {
					h.UncompressedSize64 += much / 2
					h.Name = "/" + h.Name // archive/zip finds it without its slash
				}
			}
			w, err := out.CreateRaw(&h)
			require.NoError(t, err)
			r, err := e.OpenRaw()
			require.NoError(t, err)
			_, err = io.Copy(w, r)
			require.NoError(t, err)
		}
		require.NoError(t, errors.Join(out.Close(), f.Close()))
		return path
	}
	for what, bomb := range map[string]string{"ledger": grown(stash.LedgerName), "photos": grown(stash.PhotoFolder)} {
		dir, unpacked := filepath.Join(top, "other"), false
		_, err := Restore(ctx, bomb, dir, stash.Options{Now: stashtest.Clock(), Before: func(step string) { unpacked = unpacked || step == "unpack" }})
		require.ErrorIs(t, err, stash.ErrDamaged, what)
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
	_, err := Restore(ctx, long, filepath.Join(top, "other"), stash.Options{Now: stashtest.Clock()})
	require.ErrorIs(t, err, stash.ErrDamaged)
}

// strangeLedger gives the ledger of a backup to edit.
func strangeLedger(t *testing.T, file string, script string) string {
	t.Helper()
	var proof string
	with := rezip(t, file, func(name string, data []byte) (string, []byte) {
		if name == stash.LedgerName {
			path := filepath.Join(t.TempDir(), stash.LedgerName)
			require.NoError(t, os.WriteFile(path, data, 0o600))
			db, err := sql.Open("sqlite", "file:"+path)
			require.NoError(t, err)
			_, err = db.ExecContext(ctx, script)
			require.NoError(t, err)
			require.NoError(t, db.Close())
			data, err = os.ReadFile(path)
			require.NoError(t, err)
			proof = stash.Hash(data)
		}
		return name, data
	})
	return rezip(t, with, func(name string, data []byte) (string, []byte) {
		if name == manifestName {
			var m manifest
			var err error
			require.NoError(t, json.Unmarshal(data, &m))
			m.Files[0].SHA256 = proof
			data, err = json.Marshal(m)
			require.NoError(t, err)
		}
		return name, data
	})
}

// A backup that others made could once have undo delete a file outside the stash,
// and brought triggers of its own.
func TestAStrangeBackupBringsOnlyRows(t *testing.T) {
	top := t.TempDir()
	s := filled(t, filepath.Join(top, "stash"))
	before := dump(t, s.Dir())
	file := filepath.Join(top, "stash.zip")
	require.NoError(t, Backup(ctx, s, file))
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
		_, err := Restore(ctx, strangeLedger(t, file, script), dir, stash.Options{Now: stashtest.Clock()})
		require.ErrorIs(t, err, stash.ErrDamaged, name)
		require.NoDirExists(t, dir)
		require.Empty(t, workFolders(t, dir))
	}

	dir := filepath.Join(top, "other")
	_, err := Restore(ctx, strangeLedger(t, file, `
		CREATE TRIGGER theirs AFTER INSERT ON holding BEGIN DELETE FROM holding; END;
		CREATE VIEW spy AS SELECT * FROM holding;
		CREATE TABLE more (x);
		DROP TRIGGER journal_holding_insert;
		DROP INDEX holding_bin;
		UPDATE tally SET n = n + 5;`), dir, stash.Options{Now: stashtest.Clock()})
	require.NoError(t, err)
	back := openIn(t, dir)
	require.Equal(t, before, dump(t, back.Dir()))
	shape := func(s *stash.Stash) []string {
		return rows(t, s.Dir(), `SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type, name`)
	}
	require.Equal(t, shape(s), shape(back))
	healthy(t, back)
}

// A backup of a damaged ledger once took the place of a good one and could not be
// restored.
func TestABackupIsNotReplacedByOneThatCannotBeUsed(t *testing.T) {
	top := t.TempDir()
	dir, file := filepath.Join(top, "stash"), filepath.Join(top, "stash.zip")
	s := filled(t, dir)
	require.NoError(t, Backup(ctx, s, file))
	require.NoError(t, s.Close())
	good, err := os.ReadFile(file)
	require.NoError(t, err)
	ledger, err := os.ReadFile(filepath.Join(dir, stash.LedgerName))
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
		require.NoError(t, os.WriteFile(filepath.Join(dir, stash.LedgerName), bad, 0o600))
		require.NoError(t, os.WriteFile(file, good, 0o600))
		s, err := stash.Open(dir, stash.Options{Now: stashtest.Clock(), ReadOnly: true})
		if err != nil {
			continue
		}
		err = Backup(ctx, s, file)
		_ = s.Close()
		if err != nil {
			refused++
			require.ErrorIs(t, err, stash.ErrDamaged, "%d", i)
			same, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, good, same)
			continue
		}
		back := filepath.Join(top, fmt.Sprint("back ", i))
		_, err = Restore(ctx, file, back, stash.Options{Now: stashtest.Clock()})
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
		s := filled(t, t.TempDir())
		require.NoError(t, Backup(ctx, s, file))
		photos, err := s.Photos(ctx)
		require.NoError(t, err)
		require.NoError(t, lose(photos[len(photos)-1].Path))
		good, err := os.ReadFile(file)
		require.NoError(t, err)
		err = Backup(ctx, s, file)
		require.ErrorIs(t, err, stash.ErrRefused)
		require.ErrorContains(t, err, "it holds 1 photo that the stash has lost; it was left as it is")
		same, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Equal(t, good, same)
		require.NoError(t, Backup(ctx, s, file+".new"))
	}
}

func TestABackupReplacesNothingButABackup(t *testing.T) {
	s := openIn(t, t.TempDir())
	_, err := s.Stow(ctx, photo("a.jpg", pieces(1)...))
	require.NoError(t, err)
	dir := t.TempDir()
	file := filepath.Join(dir, "stash.backup")
	require.NoError(t, Backup(ctx, s, file))
	require.NoError(t, Backup(ctx, s, file))
	theirs := filepath.Join(dir, "over.csv")
	require.NoError(t, os.WriteFile(theirs, []byte("colour,size\n"), 0o600))
	err = Backup(ctx, s, theirs)
	require.ErrorIs(t, err, stash.ErrRefused)
	data, err := os.ReadFile(theirs)
	require.NoError(t, err)
	require.Equal(t, "colour,size\n", string(data))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 2)

	t.Chdir(dir) // a name alone is a file of the folder you are in
	require.NoError(t, Backup(ctx, s, "again.backup"))
	require.FileExists(t, filepath.Join(dir, "again.backup"))
}

func TestPathsThatCannotHoldABackup(t *testing.T) {
	s := openIn(t, t.TempDir())
	dir := t.TempDir()
	file := filepath.Join(dir, "a.csv")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, to := range []string{filepath.Join(dir, "nope", "x"), dir, filepath.Join(file, "x"), filepath.Join(dir, strings.Repeat("x", 300))} {
		stashtest.Said(t, Backup(ctx, s, to))
	}
	for _, at := range []string{file, dir} {
		_, err := Restore(ctx, at, filepath.Join(dir, "stash"), stash.Options{Now: stashtest.Clock()})
		stashtest.Said(t, err)
	}
}

// Long work tells how far it is, from the first file to the last.
func TestABackupIsTold(t *testing.T) {
	var told [][2]int
	tell := stash.Options{Now: stashtest.Clock(), Progress: func(done, all int) { told = append(told, [2]int{done, all}) }}
	s, err := stash.Open(t.TempDir(), tell)
	require.NoError(t, err)
	defer s.Close()
	for _, name := range []string{"a.jpg", "b.jpg"} {
		_, err = s.Stow(ctx, photo(name))
		require.NoError(t, err)
	}
	told = nil
	file := filepath.Join(t.TempDir(), "a.backup")
	require.NoError(t, Backup(ctx, s, file))
	all := [][2]int{{1, 3}, {2, 3}, {3, 3}}
	require.Equal(t, all, told, "the ledger and two photos")
	told = nil
	_, err = Restore(ctx, file, filepath.Join(t.TempDir(), "b"), tell)
	require.NoError(t, err)
	require.Equal(t, all, told)
}
