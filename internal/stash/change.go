package stash

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"time"

	"piecebag/internal/fault"
)

// retries is how often a lock is asked for again after SQLite's own waiting of 10 seconds
// each time has ended, so that the page and a command wait for each other.
const retries = 6

// again runs f until it does not fail for a lock.
func again(ctx context.Context, f func() error) error {
	for try := 0; ; try++ {
		err := f()
		if !busy(err) || try == retries || ctx.Err() != nil {
			return err
		}
	}
}

// tx is one change under way.
type tx struct {
	*sql.Tx
	ctx context.Context
	s   *Stash
	id  int64 // of the change
	at  int64 // ms
	// came are files of photos that were written; they are removed where the change fails.
	came []string
	// prepared statements, which end with the transaction: a photo writes the
	// same few for each of its pieces, and each brings its triggers along.
	prepared map[string]*sql.Stmt
}

// change runs f as one change of the stash: all of it, or nothing. f returns in words what
// it did.
func (s *Stash) change(ctx context.Context, verb string, f func(t *tx) (what string, err error)) (Change, error) {
	return s.changeAfter(ctx, verb, func(t *tx) (string, error) {
		if err := t.forgetUndone(); err != nil { // what was taken back no longer fits the stash
			return "", err
		}
		return f(t)
	})
}

// changeAfter is change, but what was taken back before can still be done again.
func (s *Stash) changeAfter(ctx context.Context, verb string, f func(t *tx) (what string, err error)) (Change, error) {
	var last []Change
	if err := s.locked(ctx, func(t *tx) (err error) {
		if t.id, err = t.insert(`INSERT INTO change (at, verb, what) VALUES (?, ?, '')`, t.at, verb); err != nil {
			return err
		}
		what, err := f(t)
		if err != nil {
			return err
		}
		if err := t.exec(`UPDATE change SET what = ? WHERE id = ?`, what, t.id); err != nil {
			return err
		}
		if err := t.trim(); err != nil {
			return err
		}
		last, err = history(ctx, t, 1)
		return err
	}); err != nil {
		return Change{}, Explain(s.file, err)
	}
	return last[0], nil
}

// locked runs f in a transaction that holds the lock: all that it does, or nothing.
func (s *Stash) locked(ctx context.Context, f func(t *tx) error) error {
	raw, err := s.begin(ctx)
	if err != nil {
		return err
	}
	t := &tx{Tx: raw, ctx: ctx, s: s, at: s.o.Now().UnixMilli()}
	if err = f(t); err == nil {
		s.o.Step("commit")
		err = raw.Commit()
	}
	if err == nil {
		s.o.Step("answer")
		return nil
	}
	_ = raw.Rollback()
	for _, file := range t.came {
		s.dropPhoto(context.WithoutCancel(ctx), file) // unless another photo has this file
	}
	return err
}

// begin starts a transaction that may write, and holds the lock to do so.
func (s *Stash) begin(ctx context.Context) (*sql.Tx, error) {
	if s.o.ReadOnly {
		return nil, fault.New(s.file, "the stash was opened for reading only", "use a command that changes it", ErrReadOnly)
	}
	var raw *sql.Tx
	if err := again(ctx, func() (err error) {
		raw, err = s.w.BeginTx(ctx, nil)
		return err
	}); err != nil {
		return nil, err
	}
	now, err := os.Stat(s.file)
	if err != nil || !os.SameFile(now, s.info) {
		_ = raw.Rollback()
		return nil, fault.New(s.file, "the stash was replaced while it was open; nothing was changed", "start the command again", ErrReplaced, err)
	}
	return raw, nil
}

// Replaced reports whether another stash was put in the place of this one since it was
// opened, as by a backup.
func (s *Stash) Replaced() bool {
	now, err := os.Stat(filepath.Join(s.dir, LedgerName)) // an older one is read from a copy elsewhere
	return err == nil && !os.SameFile(now, s.info)
}

func (t *tx) statement(query string) (*sql.Stmt, error) {
	if st, ok := t.prepared[query]; ok {
		return st, nil
	}
	st, err := t.PrepareContext(t.ctx, query)
	if err != nil {
		return nil, err
	}
	if t.prepared == nil {
		t.prepared = map[string]*sql.Stmt{}
	}
	t.prepared[query] = st
	return st, nil
}

func (t *tx) exec(query string, args ...any) error {
	_, err := t.insert(query, args...)
	return err
}

// insert runs a statement and gives the id of the row it inserted, if it did.
func (t *tx) insert(query string, args ...any) (id int64, err error) {
	st, err := t.statement(query)
	if err != nil {
		return 0, err
	}
	res, err := st.ExecContext(t.ctx, args...)
	if err != nil {
		return 0, err
	}
	return res.LastInsertId()
}

// one scans the one row of a query; sql.ErrNoRows where there is none.
func (t *tx) one(query string, args []any, to ...any) error {
	st, err := t.statement(query)
	if err != nil {
		return err
	}
	return st.QueryRowContext(t.ctx, args...).Scan(to...)
}

// has reports whether a query gives any row.
func (t *tx) has(query string, args ...any) (bool, error) {
	var one any
	err := t.one(query, args, &one)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

// queryer is a *sql.DB, a *sql.Tx or a *tx.
type queryer interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// rowsOf reads all rows of a query; to says where the columns of a row go.
func rowsOf[T any](ctx context.Context, q queryer, to func(*T) []any, query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		out = append(out, *new(T))
		if err := rows.Scan(to(&out[len(out)-1])...); err != nil {
			return nil, err
		}
	}
	return out, rows.Err()
}

// itself returns the destination for a row of one column.
func itself[T any](v *T) []any { return []any{v} }

// into converts a column that is not kept in the form in which it is used.
type into func(from any) error

// Scan makes an into a sql.Scanner.
func (f into) Scan(from any) error { return f(from) }

func intoTime(t *time.Time) into {
	return func(ms any) error {
		n, _ := ms.(int64)
		*t = time.UnixMilli(n).UTC()
		return nil
	}
}

// intoRead returns the destination for text that has to be parsed.
func intoRead[T any](to *T, read func(text string) (T, error)) into {
	return func(from any) (err error) {
		var text sql.NullString
		if err = text.Scan(from); err == nil {
			*to, err = read(text.String)
		}
		return err
	}
}
