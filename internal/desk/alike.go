package desk

import (
	"bytes"
	"context"
	"fmt"

	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/stash"
)

// A photo that was saved again, turned or made smaller has other bytes than the one in the
// stash, and its pieces would count twice. It is recognised by how it looks: first as a
// whole, by a perceptual hash, then at the place of each piece.

// looksLike refuses a photo that would count twice.
func looksLike(kind error, file, other, remedy string) *fault.Error {
	return fault.New(file, "it looks the same as "+other+", so its pieces would count twice", remedy, kind)
}

// sameLook reports whether a photo that was looked at shows the same as another file.
func sameLook(file string, r Looked, other string) bool {
	a, _, err := photo.Open(file, photo.Options{})
	if err != nil {
		return false
	}
	b, _, err := photo.Open(other, photo.Options{})
	return err == nil && look.Same(a, b, r.Sheet.Pieces)
}

// twin finds the photo of the stash that a photo is a copy of, or nil.
func twin(ctx context.Context, st *stash.Stash, file string, r Looked) (*stash.Likeness, error) {
	if len(r.Sheet.Pieces) == 0 {
		return nil, nil // nothing counts
	}
	all, err := st.Likenesses(ctx)
	if err != nil {
		return nil, err
	}
	for i := range all {
		l := &all[i]
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if l.Look == "" { // stowed by an older piecebag, or brought in
			if !near(l.Pieces, len(r.Sheet.Pieces)) {
				continue
			}
			pic, _, err := photo.Open(l.Path, photo.Options{})
			if err != nil {
				continue // Check tells of it
			}
			l.Look = look.Hashes(pic)[0]
			if err := st.KeepLook(ctx, l.Hash, l.Look); err != nil {
				return nil, err
			}
		}
		if look.Near(l.Look, r.Hashes) && sameLook(file, r, l.Path) {
			return l, nil
		}
	}
	return nil, nil
}

// near reports whether a photo with a pieces may be a copy of one with b: a smaller copy
// may miss some, and corrections split some and join others.
func near(a, b int) bool { return max(a, b)-min(a, b) <= 2+max(a, b)/3 }

// knownBytes reports whether the stash has a photo, by its bytes or what is kept of them.
func knownBytes(ctx context.Context, st *stash.Stash, data []byte) (bool, error) {
	hash, err := st.HashOf(ctx, data)
	if err == nil {
		hash, err = st.Known(ctx, hash)
	}
	return hash != "", err
}

// copied finds out whether a new photo is a copy of one in the stash, and then asks what to
// do. Where the new photo must not go in it returns the one that it is a copy of, else nil.
func (w *stower) copied(ctx context.Context, file string, r Looked) (*stash.Likeness, error) {
	if w.Alike {
		return nil, nil
	}
	l, err := twin(ctx, w.st, file, r)
	if l == nil || err != nil {
		return nil, err
	}
	yes, asked, err := w.door.Ask(ctx, Copy{file, *l, len(r.Sheet.Pieces)})
	switch {
	case err != nil:
		return nil, err
	case !asked:
		return nil, looksLike(ErrAlike, file, StowedOn(*l), "leave it out")
	case yes:
		return nil, nil
	}
	return l, nil
}

// StowedOn returns the name of a photo of the stash and the day it came in.
func StowedOn(l stash.Likeness) string {
	return fmt.Sprintf("%s, stowed on %s", l.Name, l.At.Local().Format("2 January 2006"))
}

// copies refuses each photo that is a copy of an earlier one in the list. Photos that are
// kept as the same bytes are not refused: they count once in any case.
func copies(files []string, results []Looked) (refused []*fault.Error, err error) {
	for j, b := range results {
		for i, a := range results[:j] {
			if len(b.Sheet.Pieces) == 0 || !look.Near(a.Hashes[0], b.Hashes) {
				continue
			}
			same, err := keptTheSame(files[i], files[j])
			if err != nil {
				return nil, err
			}
			if !same && sameLook(files[j], b, files[i]) {
				refused = append(refused, looksLike(ErrAlikeHere, files[j], files[i], "leave one of them out"))
				break
			}
		}
	}
	return refused, nil
}

// copiesKept refuses each photo that is a copy of a photo of the stash from which the
// recount would leave some pieces where they are.
func copiesKept(ctx context.Context, st *stash.Stash, files []string, results []Looked, photos []stash.Photo, which stash.Filter) (refused []*fault.Error, err error) {
	for i, r := range results {
		known, err := knownBytes(ctx, st, photos[i].Bytes)
		if err != nil {
			return nil, err
		}
		if known {
			continue // its pieces come along
		}
		l, err := twin(ctx, st, files[i], r)
		if err != nil {
			return nil, err
		}
		if l == nil {
			continue
		}
		counted := func(f stash.Filter) (n int, err error) {
			f.Photo = l.Hash
			held, err := st.Holdings(ctx, f)
			for _, h := range held {
				n += h.Count
			}
			return n, err
		}
		all, err := counted(stash.Filter{})
		if err != nil {
			return nil, err
		}
		replaced, err := counted(which)
		if err != nil {
			return nil, err
		}
		if replaced < all {
			refused = append(refused, looksLike(ErrAlikeKept, files[i], l.Name+", some of whose pieces this recount leaves in the stash",
				"recount with "+l.Name+" itself"))
		}
	}
	return refused, nil
}

// keptTheSame reports whether two photos differ at most in what the stash does not keep.
func keptTheSame(a, b string) (bool, error) {
	var kept [2][]byte
	for i, file := range []string{a, b} {
		data, err := photo.Bytes(file)
		if err != nil {
			return false, err
		}
		if kept[i], err = photo.Strip(data); err != nil {
			kept[i] = data
		}
	}
	return bytes.Equal(kept[0], kept[1]), nil
}
