package stash

import (
	"context"
	"time"
)

// Likeness is how a kept photo looks: what its file was found to look like, or ""
// where that was not noted yet.
type Likeness struct {
	Hash   string // of the photo
	Name   string
	Path   string // of the file kept
	At     time.Time
	Look   string
	Pieces int // that it showed; where Look is "" alone
}

// Likenesses lists the photos whose files are kept, in the order they came in.
func (s *Stash) Likenesses(ctx context.Context) ([]Likeness, error) {
	out, err := rowsOf(ctx, s.r, func(l *Likeness) []any {
		return []any{&l.Hash, &l.Name, intoRead(&l.Path, s.pathOf), intoTime(&l.At), &l.Look, &l.Pieces}
	}, `SELECT p.hash, p.name, p.file, p.at, coalesce(l.look, ''),
			CASE WHEN l.look IS NULL THEN (SELECT count(*) FROM holding h WHERE h.photo = p.id) ELSE 0 END
		FROM photo p LEFT JOIN likeness l ON l.hash = p.hash
		WHERE p.file <> '' ORDER BY p.id`)
	return out, Explain(s.file, err)
}

// KeepLook notes what a photo looks like. It follows from the photo's bytes, so it
// is no change that could be undone.
func (s *Stash) KeepLook(ctx context.Context, hash, look string) error {
	return Explain(s.file, s.locked(ctx, func(t *tx) error {
		return t.exec(`INSERT OR REPLACE INTO likeness (hash, look) VALUES (?, ?)`, hash, look)
	}))
}
