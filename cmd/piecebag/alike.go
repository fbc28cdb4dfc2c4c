package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/stash"
)

// A photo that was saved again, turned or made smaller has other bytes than the one that
// the stash knows, and its pieces would count twice. It is known by its look: first
// from afar, by a perceptual hash, then at the place of each piece.

var errAlike = errors.New("a photo that looks like another")

// alikeFlag adds the flag that has copies count.
func (f *stowFlags) alikeFlag(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.alike, "alike", false, "count photos too that look the same as one counted already")
}

// looksLike refuses a photo that would count twice.
func looksLike(file, other, remedy string) *fault.Error {
	return fault.New(file, "it looks the same as "+other+", so its pieces would count twice", remedy, errAlike)
}

// sameLook says whether a photo that was looked at shows the same as another file.
func sameLook(file string, r looked, other string) bool {
	a, _, err := photo.Open(file, photo.Options{})
	if err != nil {
		return false
	}
	b, _, err := photo.Open(other, photo.Options{})
	return err == nil && look.Same(a, b, r.sheet.Pieces)
}

// twin finds the photo of the stash that a photo is a copy of, or nil.
func twin(ctx context.Context, st *stash.Stash, file string, r looked) (*stash.Likeness, error) {
	if len(r.sheet.Pieces) == 0 {
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
			if !near(l.Pieces, len(r.sheet.Pieces)) {
				continue
			}
			pic, _, err := photo.Open(l.Path, photo.Options{})
			if err != nil {
				continue // 'check' tells of it
			}
			l.Look = look.Hashes(pic)[0]
			if err := st.KeepLook(ctx, l.Hash, l.Look); err != nil {
				return nil, err
			}
		}
		if look.Near(l.Look, r.look) && sameLook(file, r, l.Path) {
			return l, nil
		}
	}
	return nil, nil
}

// near says whether a photo of a pieces may be a copy of one of b: in a smaller one
// some are missed, and corrections part some and join others.
func near(a, b int) bool { return max(a, b)-min(a, b) <= 2+max(a, b)/3 }

// knownBytes says whether the stash has a photo, by its bytes or what is kept of them.
func knownBytes(ctx context.Context, st *stash.Stash, data []byte) (bool, error) {
	hash, err := st.HashOf(ctx, data)
	if err == nil {
		hash, err = st.Known(ctx, hash)
	}
	return hash != "", err
}

// copied finds out whether a photo that the stash does not know is a copy of one
// that it does. On a terminal it asks what to do; where it must not go in, known is
// the photo that it is a copy of.
func (w *stower) copied(ctx context.Context, file string, r looked) (known *stash.Likeness, err error) {
	if w.alike {
		return nil, nil
	}
	l, err := twin(ctx, w.st, file, r)
	if l == nil || err != nil {
		return nil, err
	}
	other := fmt.Sprintf("%s, stowed on %s", l.Name, l.At.Local().Format("2 January 2006"))
	yes, asked, err := w.l.s.ask(ctx, fmt.Sprintf("%s looks the same as %s, and its %s would count twice. Add it all the same?",
		file, other, cloth.Count(len(r.sheet.Pieces), "piece")))
	switch {
	case err != nil:
		return nil, err
	case !asked:
		return nil, looksLike(file, other, "leave it out; if it shows other pieces, write 'piecebag stow --alike' with it")
	case yes:
		return nil, nil
	}
	return l, nil
}

// copies refuses those of some photos that are copies of another of them; what is
// kept as the same bytes is counted once in any case.
func copies(files []string, results []looked) (refused []*fault.Error, err error) {
	for j, b := range results {
		for i, a := range results[:j] {
			if len(b.sheet.Pieces) == 0 || !look.Near(a.look[0], b.look) {
				continue
			}
			same, err := keptTheSame(files[i], files[j])
			if err != nil {
				return nil, err
			}
			if !same && sameLook(files[j], b, files[i]) {
				refused = append(refused, looksLike(files[j], files[i], "leave one of them out; if they show other pieces, add --alike"))
				break
			}
		}
	}
	return refused, nil
}

// copiesKept refuses those of some photos that are copies of a photo of the stash, of
// whose pieces a recount would leave some where they are.
func copiesKept(ctx context.Context, st *stash.Stash, files []string, results []looked, photos []stash.Photo, which stash.Filter) (refused []*fault.Error, err error) {
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
			refused = append(refused, looksLike(files[i], l.Name+", some of whose pieces this recount leaves in the stash",
				"recount with "+l.Name+" itself; if this photo shows other pieces, add --alike"))
		}
	}
	return refused, nil
}

// keptTheSame says whether two photos differ at most in what the stash does not keep.
func keptTheSame(a, b string) (bool, error) {
	var kept [2][]byte
	for i, file := range []string{a, b} {
		data, err := readInput(file, mostPhoto, checkName)
		if err != nil {
			return false, err
		}
		if kept[i], err = photo.Strip(data); err != nil {
			kept[i] = data
		}
	}
	return bytes.Equal(kept[0], kept[1]), nil
}
