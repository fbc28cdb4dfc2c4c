package stash

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Rebuild makes a ledger of this version in a new file from the rows of one that
// was written elsewhere, of any version up to this one, and checks it. Nothing but
// rows is taken over: tables, indexes and triggers are made here, and the counts
// are counted. The other ledger may be changed: an older one is brought up to date
// first.
func Rebuild(ctx context.Context, from, to string) error {
	db, err := dial(from, 1, nil, "trusted_schema(OFF)", "cell_size_check(ON)")
	if err != nil {
		return err
	}
	defer db.Close()
	v, err := versionOf(ctx, db, LedgerName)
	if err == nil && v == 0 {
		err = errors.New("it is empty")
	}
	if err == nil && v < Version {
		err = inOne(ctx, db, func(tx *sql.Tx) error { return bringUp(ctx, tx, v) })
	}
	if err != nil {
		return err
	}
	if err := db.Close(); err != nil {
		return err
	}
	if err := own(to); err != nil {
		return err
	}
	db, err = connect(to, false)
	if err != nil {
		return err
	}
	defer db.Close()
	for _, set := range []string{"PRAGMA trusted_schema = OFF", "PRAGMA cell_size_check = ON"} {
		if _, err := db.ExecContext(ctx, set); err != nil {
			return err
		}
	}
	if _, err := db.ExecContext(ctx, "ATTACH ? AS strange", from); err != nil {
		return err
	}
	if err := inOne(ctx, db, func(tx *sql.Tx) error { return takeOver(ctx, tx) }); err != nil {
		return err
	}
	if _, err := db.ExecContext(ctx, "DETACH strange"); err != nil {
		return err
	}
	faults, err := sound(ctx, db)
	if err == nil && len(faults) > 0 {
		err = errors.New(faults[0].Why)
	}
	return errors.Join(err, db.Close())
}

// inOne does something in one transaction.
func inOne(ctx context.Context, db *sql.DB, do func(tx *sql.Tx) error) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// mostID is beyond any row of a ledger, and far below the last that SQLite gives.
const mostID = 1 << 48

// takeOver copies the rows of the attached ledger "strange" into an empty one.
func takeOver(ctx context.Context, tx *sql.Tx) error {
	if _, err := tx.ExecContext(ctx, `PRAGMA defer_foreign_keys = ON; `+schema); err != nil {
		return err
	}
	tables, err := rowsOf(ctx, tx, itself[string], `SELECT name FROM main.sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name NOT LIKE 'tally%'`)
	if err != nil {
		return err
	}
	for _, table := range tables {
		// A view, a virtual table or a computed column could give any rows, and any
		// number of them.
		var plain bool
		if err := tx.QueryRowContext(ctx, `SELECT (SELECT coalesce(max(type), '') = 'table' FROM pragma_table_list(?1) WHERE schema = 'strange')
			AND NOT EXISTS (SELECT 1 FROM pragma_table_xinfo(?1, 'strange') WHERE hidden <> 0)`, table).Scan(&plain); err != nil {
			return err
		}
		if !plain {
			return fmt.Errorf("it has no plain table %s", table)
		}
		columns, err := rowsOf(ctx, tx, itself[string], `SELECT name FROM pragma_table_info(?) ORDER BY cid`, table)
		if err != nil {
			return err
		}
		list := strings.Join(columns, ", ")
		if _, err := tx.ExecContext(ctx, fmt.Sprintf(`INSERT INTO main.%[1]s (%[2]s) SELECT %[2]s FROM strange.%[1]s`, table, list)); err != nil {
			return fmt.Errorf("table %s: %w", table, err)
		}
	}
	// Numbers given once are not given again.
	if _, err := tx.ExecContext(ctx, fmt.Sprintf(`DELETE FROM main.sqlite_sequence;
		INSERT INTO main.sqlite_sequence (name, seq) SELECT name, seq FROM strange.sqlite_sequence
		WHERE name IN (SELECT name FROM main.sqlite_schema) AND typeof(seq) = 'integer' AND seq BETWEEN 0 AND %d`, mostID)); err != nil {
		return err
	}
	if err := countAgain(ctx, tx); err != nil {
		return err
	}
	if err := setTriggers(ctx, tx); err != nil {
		return err
	}
	return seal(ctx, tx)
}

// readable checks that every row of a ledger can be read: all that export writes and import
// takes, and what undo needs. The error names what cannot.
func readable(ctx context.Context, q queryer) error {
	var c Content
	if err := c.read(ctx, q); err != nil {
		return err
	}
	for i, j := range c.Holdings {
		if err := j.Check(); err != nil {
			return fmt.Errorf("piece %d: %w", i+1, err)
		}
	}
	if err := json.NewEncoder(io.Discard).Encode(c); err != nil {
		return err
	}
	files, err := filesOf(ctx, q)
	if err != nil {
		return err
	}
	for _, p := range files {
		if !IsPhotoFile(p) {
			return fmt.Errorf("it names a photo file %q, which no stash has", p)
		}
	}
	if _, err := history(ctx, q, 0); err != nil {
		return err
	}
	entries, err := rowsOf(ctx, q, (*entry).columns, `SELECT tbl, row, was FROM journal ORDER BY seq`)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !slices.Contains(journalled, e.table) {
			return fmt.Errorf("the journal names a table %q", e.table)
		}
		if !e.was.Valid {
			continue
		}
		columns, values, err := unpack(e.was.String)
		if err != nil {
			return err
		}
		if k := slices.Index(columns, "file"); e.table == "photo" && k >= 0 {
			if name, ok := values[k].(string); !ok || name != "" && !IsPhotoFile(name) {
				return fmt.Errorf("the journal names a photo file %q, which no stash has", values[k])
			}
		}
	}
	return nil
}
