package stash

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	pictures "piecebag/internal/photo"
)

// keepsake is a photo as it is kept: without what its camera wrote beside the picture. A
// photo is recognised by the hash of its own bytes and by that of the bytes that are kept,
// which names the file; so a copy that says less about place and time is recognised too.
type keepsake struct {
	hash string // of the photo's own bytes
	file string // in the folder of photos
	data []byte
	left Left
}

// Left is what became of what a camera writes beside a picture.
type Left string

// The kinds of Left.
const (
	LeftNothing Left = ""     // there was nothing of it
	LeftOut     Left = "out"  // the copy kept is without it
	LeftIn      Left = "kept" // it could not be taken out
)

// keepsakeOf strips a photo; one that cannot be stripped is kept as it is.
func keepsakeOf(p Photo) keepsake {
	k := keepsake{hash: Hash(p.Bytes), data: p.Bytes}
	if kept, err := pictures.Strip(p.Bytes); err != nil {
		k.left = LeftIn
	} else {
		k.data = kept
	}
	bare := Hash(k.data)
	if bare != k.hash {
		k.left = LeftOut
	}
	k.file = fileName(bare, p.Name)
	return k
}

// photoRow is a photo that the ledger knows.
type photoRow struct {
	id         int64
	hash, file string
}

// findPhoto finds a photo by hashes of its bytes, or of what is kept of it; nil where
// it is not known.
func findPhoto(ctx context.Context, q queryer, hashes ...string) (*photoRow, error) {
	marks := strings.Repeat(", ?", len(hashes))[2:]
	var args []any
	for range 2 {
		for _, h := range hashes {
			args = append(args, h)
		}
	}
	var p photoRow
	err := q.QueryRowContext(ctx, fmt.Sprintf(`SELECT id, hash, file FROM photo WHERE hash IN (%[1]s) OR substr(file, 1, 64) IN (%[1]s)
		ORDER BY hash <> ?, id LIMIT 1`, marks), append(args, hashes[0])...).Scan(&p.id, &p.hash, &p.file)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return &p, err
}

// Known returns the hash under which the stash has a photo whose bytes, or what is
// kept of them, have a hash; "" where it has none, so that it is to be looked at.
func (s *Stash) Known(ctx context.Context, hash string) (string, error) { return s.known(ctx, hash) }

func (s *Stash) known(ctx context.Context, hashes ...string) (string, error) {
	p, err := findPhoto(ctx, s.r, hashes...)
	if p == nil {
		return "", Explain(s.file, err)
	}
	return p.hash, Explain(s.file, err)
}

// HashOf returns the hash under which the stash has a photo, or would have it.
func (s *Stash) HashOf(ctx context.Context, data []byte) (string, error) {
	k := keepsakeOf(Photo{Bytes: data})
	known, err := s.known(ctx, k.hash, FileHash(k.file))
	return cmp.Or(known, k.hash), err
}
