package stash

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"piecebag/internal/fault"
)

// journalled are the tables whose rows undo puts back; counts follow by
// themselves.
var journalled = []string{"photo", "print", "holding", "correction", "floor", "setting", "imported", "taught", "plan"}

// setTriggers makes every change of a row leave in the journal how the row was,
// after the manner of https://www.sqlite.org/undoredo.html. Reals go as quote()
// writes them, which reads back to the same bits; JSON's own numbers would not.
func setTriggers(ctx context.Context, tx *sql.Tx) error {
	var script strings.Builder
	script.WriteString(tallyTriggers)
	for _, table := range journalled {
		type column struct{ name, kind string }
		columns, err := rowsOf(ctx, tx, func(c *column) []any { return []any{&c.name, &c.kind} }, `SELECT name, type FROM pragma_table_info(?) ORDER BY cid`, table)
		if err != nil {
			return err
		}
		parts := make([]string, len(columns))
		for i, c := range columns {
			old := "old." + c.name
			if c.kind == "REAL" {
				old = fmt.Sprintf("iif(%s IS NULL, NULL, quote(%s))", old, old)
			}
			parts[i] = fmt.Sprintf("'%s', %s", c.name, old)
		}
		was := "json_object(" + strings.Join(parts, ", ") + ")"
		fmt.Fprintf(&script, `
CREATE TRIGGER journal_%[1]s_insert AFTER INSERT ON %[1]s BEGIN
  INSERT INTO journal (change, tbl, row, was) SELECT max(id), '%[1]s', new.id, NULL FROM change;
END;
CREATE TRIGGER journal_%[1]s_update AFTER UPDATE ON %[1]s BEGIN
  INSERT INTO journal (change, tbl, row, was) SELECT max(id), '%[1]s', old.id, %[2]s FROM change;
END;
CREATE TRIGGER journal_%[1]s_delete AFTER DELETE ON %[1]s BEGIN
  INSERT INTO journal (change, tbl, row, was) SELECT max(id), '%[1]s', old.id, %[2]s FROM change;
END;
`, table, was)
	}
	_, err := tx.ExecContext(ctx, script.String())
	return err
}

// dropTriggers takes away all triggers, and views, of which a ledger has none.
func dropTriggers(ctx context.Context, tx *sql.Tx) error {
	old, err := rowsOf(ctx, tx, itself[string], `SELECT type || ' "' || replace(name, '"', '""') || '"' FROM sqlite_schema WHERE type IN ('trigger', 'view') ORDER BY type, name`)
	for _, one := range old {
		if err == nil {
			_, err = tx.ExecContext(ctx, "DROP "+one)
		}
	}
	return err
}

// trim forgets how the rows were before the oldest change that can no longer be
// undone: one change's worth a change.
func (t *tx) trim() error {
	var last int64
	err := t.QueryRowContext(t.ctx, `SELECT id FROM change WHERE undoable ORDER BY id DESC LIMIT 1 OFFSET ?`, Undoable).Scan(&last)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	if err := t.exec(`DELETE FROM journal WHERE change <= ?`, last); err != nil {
		return err
	}
	return t.exec(`UPDATE change SET undoable = 0 WHERE undoable AND id <= ?`, last)
}

// Undo takes back the last change and says which it was; ErrUnknown where none
// is left. Photos that came in with it leave the folder.
func (s *Stash) Undo(ctx context.Context) (Change, error) {
	var c Change
	var files []string
	if err := s.locked(ctx, func(t *tx) (err error) {
		c, files, err = t.undo()
		return err
	}); err != nil {
		return Change{}, Explain(s.file, err)
	}
	for _, f := range files {
		s.o.Step("drop the photo")
		s.dropPhoto(ctx, f)
	}
	return c, nil
}

func (t *tx) undo() (c Change, files []string, err error) {
	last, err := history(t.ctx, t, 1)
	if err != nil {
		return Change{}, nil, err
	}
	if len(last) == 0 || !last[0].Undoable {
		return Change{}, nil, fault.New("undo", "there is no change left to take back", "see history; only the last 100 changes can be undone", ErrUnknown)
	}
	c = last[0]
	entries, err := rowsOf(t.ctx, t, (*entry).columns, `SELECT tbl, row, was FROM journal WHERE change = ? ORDER BY seq DESC`, c.ID)
	if err != nil {
		return Change{}, nil, err
	}
	// Putting rows back writes into the journal too, how they were until now.
	before, err := t.written()
	if err != nil {
		return Change{}, nil, err
	}
	if files, err = t.putBack(entries); err != nil {
		return Change{}, nil, err
	}
	if c.Again, err = t.keepUndone(c, before, files); err != nil {
		return Change{}, nil, err
	}
	return c, files, t.exec(`DELETE FROM change WHERE id = ?`, c.ID)
}

// keepUndone keeps how the rows were before a change was taken back, which the journal
// says after the entry before. A photo that it brought in is gone, so that neither it nor
// what was taken back before can be done again: again is then 0.
func (t *tx) keepUndone(c Change, before int64, files []string) (again int64, err error) {
	for _, f := range files {
		if named, err := t.has(`SELECT 1 FROM photo WHERE file = ?`, f); err != nil || !named {
			return 0, errors.Join(err, t.forgetUndone())
		}
	}
	return t.insert(`INSERT INTO undone (verb, what, rows)
		SELECT ?, ?, json_group_array(json_array(tbl, row, json(was)) ORDER BY seq DESC) FROM journal WHERE change = ? AND seq > ?`, c.Verb, c.What, c.ID, before)
}

func (t *tx) forgetUndone() error { return t.exec(`DELETE FROM undone`) }

// Redo does again the last change that was taken back, as a change of its own;
// ErrUnknown where none is left: another change came since, or it brought in a photo.
func (s *Stash) Redo(ctx context.Context) (Change, error) {
	var id int64
	c, err := s.changeAfter(ctx, "", func(t *tx) (what string, err error) {
		var verb string
		err = t.one(`SELECT id, verb, what FROM undone ORDER BY id DESC LIMIT 1`, nil, &id, &verb, &what)
		if errors.Is(err, sql.ErrNoRows) {
			return "", fault.New("redo", "nothing that was taken back can be done again", "only what undo took back last can be, before any other change, and no photo that it brought in: stow that again", ErrUnknown)
		}
		if err != nil {
			return "", err
		}
		entries, err := rowsOf(ctx, t, (*entry).columns, `SELECT e.value ->> 0, e.value ->> 1, e.value ->> 2
			FROM undone, json_each(undone.rows) e WHERE undone.id = ? ORDER BY e.key`, id)
		if err != nil {
			return "", err
		}
		if _, err := t.putBack(entries); err != nil {
			return "", err
		}
		return what, errors.Join(t.exec(`UPDATE change SET verb = ? WHERE id = ?`, verb, t.id), t.exec(`DELETE FROM undone WHERE id = ?`, id))
	})
	c.Again = id
	return c, err
}

// Undone lists the changes that Redo can do again, the one that it would do first.
func (s *Stash) Undone(ctx context.Context) ([]Change, error) {
	all, err := rowsOf(ctx, s.r, func(c *Change) []any { return []any{&c.Again, &c.Verb, &c.What} }, `SELECT id, verb, what FROM undone ORDER BY id DESC`)
	return all, Explain(s.file, err)
}

// ChangeOf returns the last change after another that the journal has of a photo: that
// brought it in, looked at it again or counted by it; 0 where there is none.
func (s *Stash) ChangeOf(ctx context.Context, hash string, after int64) (id int64, err error) {
	err = s.r.QueryRowContext(ctx, `SELECT coalesce(max(j.change), 0) FROM journal j JOIN photo p ON p.id = j.row
		WHERE j.tbl = 'photo' AND p.hash = ? AND j.change > ?`, hash, after).Scan(&id)
	return id, Explain(s.file, err)
}

// entry is how a row was before a change; was is NULL where it was not there.
type entry struct {
	table string
	row   int64
	was   sql.NullString
}

func (e *entry) columns() []any { return []any{&e.table, &e.row, &e.was} }

// written returns the number of the journal's last entry.
func (t *tx) written() (seq int64, err error) {
	err = t.one(`SELECT coalesce(max(seq), 0) FROM journal`, nil, &seq)
	return seq, err
}

// putBack makes every row as entries say, in their order, and lists the
// files of photos that are rows no more.
func (t *tx) putBack(entries []entry) (files []string, err error) {
	// Rows that refer to each other are valid again only when all are back.
	if err := t.exec(`PRAGMA defer_foreign_keys = ON`); err != nil {
		return nil, err
	}
	for i, e := range entries {
		t.s.o.Told(i+1, len(entries))
		if !slices.Contains(journalled, e.table) {
			return nil, fmt.Errorf("stash: the journal names a table %q", e.table)
		}
		if e.table == "photo" {
			gone, err := rowsOf(t.ctx, t, itself[string], `SELECT file FROM photo WHERE id = ? AND file <> ''`, e.row)
			if err != nil {
				return nil, err
			}
			files = append(files, gone...)
		}
		if err := t.putRow(e.table, e.row, e.was); err != nil {
			return nil, err
		}
	}
	return files, nil
}

func (t *tx) putRow(table string, row int64, was sql.NullString) error {
	if !was.Valid {
		return t.exec(`DELETE FROM `+table+` WHERE id = ?`, row)
	}
	columns, values, err := unpack(was.String)
	if err != nil {
		return err
	}
	sets := make([]string, len(columns))
	for i, c := range columns {
		sets[i] = c + " = excluded." + c
	}
	return t.exec(fmt.Sprintf(`INSERT INTO %s (%s) VALUES (?%s) ON CONFLICT (id) DO UPDATE SET %s`,
		table, strings.Join(columns, ", "), strings.Repeat(", ?", len(columns)-1), strings.Join(sets, ", ")), values...)
}

// unpack reads a row of the journal. Reals are text there; the affinity of a REAL column
// turns them back.
func unpack(was string) (columns []string, values []any, err error) {
	d := json.NewDecoder(strings.NewReader(was))
	d.UseNumber()
	var m map[string]any
	if err := d.Decode(&m); err != nil {
		return nil, nil, fmt.Errorf("stash: the journal: %w", err)
	}
	for c := range m {
		if strings.Trim(c, "abcdefghijklmnopqrstuvwxyz_0123456789") != "" {
			return nil, nil, fmt.Errorf("stash: the journal names a column %q", c)
		}
		columns = append(columns, c)
	}
	slices.Sort(columns)
	for _, c := range columns {
		v := m[c]
		if n, ok := v.(json.Number); ok {
			if v, err = n.Int64(); err != nil {
				return nil, nil, err
			}
		}
		values = append(values, v)
	}
	return columns, values, nil
}

// dropPhoto takes a file out of the folder of photos unless a row names it. The
// lock is held, so that no other process can be bringing the photo in. Failing
// leaves it over, and the next that changes the stash sets it aside.
func (s *Stash) dropPhoto(ctx context.Context, file string) {
	_ = s.locked(ctx, func(t *tx) error {
		named, err := t.has(`SELECT 1 FROM photo WHERE file = ?`, file)
		if err != nil || named {
			return err
		}
		return os.Remove(s.PhotoPath(file))
	})
}

// History lists the last n changes that stand, last first; all where n is 0 or
// less.
func (s *Stash) History(ctx context.Context, n int) ([]Change, error) {
	c, err := history(ctx, s.r, n)
	return c, Explain(s.file, err)
}

func history(ctx context.Context, q queryer, n int) ([]Change, error) {
	if n <= 0 {
		n = -1
	}
	changes, err := rowsOf(ctx, q, func(c *Change) []any {
		return []any{&c.ID, intoTime(&c.At), &c.Verb, &c.What, &c.Undoable}
	}, `SELECT id, at, verb, what, undoable FROM change ORDER BY id DESC LIMIT ?`, n)
	if err != nil {
		return nil, err
	}
	for i := range changes {
		if changes[i].Difference, err = differences(ctx, q, `change = ?`, changes[i].ID); err != nil {
			return nil, err
		}
	}
	return changes, nil
}

// Latest returns the number of the last change, also of one that another process made; 0
// before the first. Where the stash is another than before, so is this.
func (s *Stash) Latest(ctx context.Context) (id int64, err error) {
	err = s.r.QueryRowContext(ctx, `SELECT coalesce(max(id), 0) FROM change`).Scan(&id)
	return id, Explain(s.file, err)
}
