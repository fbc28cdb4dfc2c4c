package page

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"sync"

	"piecebag/internal/desk"
	"piecebag/internal/stash"
)

// stowed remembers what you said of the photos that were stowed last, in a file beside
// the stash: where that is taken back they wait again, mended as they were. The photos
// themselves are kept by the stash alone.
type stowed struct {
	file string
	mu   sync.Mutex
	all  []wasStowed // the last stowed last
}

// wasStowed is a photo that was stowed.
type wasStowed struct {
	Change int64      `json:"change"` // that stowed it
	Hash   string     `json:"hash"`   // of the photo in the stash
	Batch  string     `json:"batch"`  // it was sent in
	Name   string     `json:"name"`
	Mend   *desk.Mend `json:"mend"`
	Press  string     `json:"press"` // that made the change, and others with it
	// Known is that the stash had the photo before, and what was said of it was put onto its
	// pieces.
	Known bool `json:"known,omitempty"`
}

// openStowed reads what is remembered. A file that cannot be read counts as empty: what it
// remembers only saves you work.
func openStowed(file string) *stowed {
	s := &stowed{file: file}
	if data, err := os.ReadFile(file); err != nil || json.Unmarshal(data, &s.all) != nil {
		s.all = nil
	}
	return s
}

// add remembers photos, and forgets those that can be taken back no more.
func (s *stowed) add(more ...wasStowed) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if more == nil {
		return nil
	}
	s.all = append(s.all, more...)
	last := s.all[len(s.all)-1].Change
	s.all = slices.DeleteFunc(s.all, func(w wasStowed) bool { return w.Change <= last-stash.Undoable })
	return s.keep()
}

// keep writes what is remembered; whoever calls it holds mu.
func (s *stowed) keep() error {
	data, err := json.Marshal(s.all)
	if err != nil {
		return err
	}
	return writeWhole(s.file, data)
}

// by returns the photos that a change stowed.
func (s *stowed) by(change int64) (out []wasStowed) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, w := range s.all {
		if w.Change == change {
			out = append(out, w)
		}
	}
	return out
}

// press returns how many of the last changes, newest first, one press of a button made.
func (s *stowed) press(last []stash.Change) (n int) {
	by := ""
	for _, c := range last {
		were := s.by(c.ID)
		if were == nil || n > 0 && (by == "" || were[0].Press != by) {
			return n
		}
		n, by = n+1, were[0].Press
	}
	return n
}

// follow notes that the other photos of a batch are to come back into the batch to.
func (s *stowed) follow(from, to string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i := range s.all {
		if s.all[i].Batch == from {
			s.all[i].Batch = to
		}
	}
	return s.keep()
}

// mended returns what you said of a photo when it was stowed, nil where nothing is
// remembered.
func (s *stowed) mended(hash string) *desk.Mend {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, w := range slices.Backward(s.all) {
		if w.Hash == hash {
			return w.Mend
		}
	}
	return nil
}

// writeWhole writes a file whole or not at all.
func writeWhole(file string, data []byte) error {
	part := file + ".part"
	if err := os.WriteFile(part, data, 0o600); err != nil {
		return err
	}
	return os.Rename(part, file)
}

// takeBack takes back the last change, and with it the others that the same press made.
// Photos that they stowed from the page wait again, mended as they were; back holds their
// names.
func (s *Server) takeBack(ctx context.Context) (done []stash.Change, back []string, err error) {
	in, of, last, err := s.comingBack(ctx)
	if err != nil {
		return nil, nil, err
	}
	if in != nil {
		defer func() {
			if back == nil {
				s.waiting.drop(in)
			}
		}()
	}
	for i := range max(1, len(last)) {
		var one []stash.Change
		if one, err = s.desk.Undo(ctx, 1, nil); err != nil {
			break
		}
		done = append(done, one[0])
		if i < len(last) && one[0].ID != last[i].ID { // somebody was quicker
			break
		}
	}
	if in == nil || done == nil {
		return done, nil, err
	}
	all, wrong := s.desk.Photos(ctx)
	if err = errors.Join(err, wrong); wrong != nil {
		return done, nil, err
	}
	for i, p := range slices.Clone(in.photos) {
		taken := slices.ContainsFunc(done, func(c stash.Change) bool { return c.ID == of[i].Change })
		there := slices.ContainsFunc(all, func(x stash.PhotoInfo) bool { return x.Hash == of[i].Hash })
		if !taken || there && !of[i].Known { // one that a recount counted anew is in the stash still
			in.forget(p)
		}
	}
	if len(in.photos) == 0 {
		return done, nil, err
	}
	for _, p := range in.photos {
		back = append(back, p.Name)
	}
	to, wrong := s.waiting.join(in, s.waiting.find(in.sentIn), math.MaxInt)
	to.mu.Unlock()
	return done, back, errors.Join(err, wrong, s.waiting.stowed.follow(in.sentIn, to.id))
}

// comingBack returns a batch, not yet shown on any page, of the photos that the last press
// stowed, with what is remembered of each, and the changes that the press made, newest
// first; nil where there are none.
func (s *Server) comingBack(ctx context.Context) (in *batch, of []wasStowed, last []stash.Change, err error) {
	if last, err = s.desk.History(ctx, stash.Undoable); err != nil {
		return nil, nil, nil, err
	}
	last = last[:s.waiting.stowed.press(last)]
	if len(last) == 0 {
		return nil, nil, nil, nil
	}
	all, err := s.desk.Photos(ctx)
	if err != nil {
		return nil, nil, nil, err
	}
	if in, err = s.waiting.begin(); err != nil {
		return nil, nil, nil, err
	}
	for _, c := range slices.Backward(last) {
		for _, w := range s.waiting.stowed.by(c.ID) {
			k := slices.IndexFunc(all, func(p stash.PhotoInfo) bool { return p.Hash == w.Hash && p.Path != "" })
			if k < 0 { // the stash was replaced since
				continue
			}
			f, err := os.Open(all[k].Path)
			if err == nil {
				err = errors.Join(in.add(w.Name, f), f.Close())
			}
			if err != nil {
				s.waiting.drop(in)
				return nil, nil, nil, err
			}
			in.photos[len(in.photos)-1].Mends = []*desk.Mend{{}, w.Mend}
			in.sentIn, of = w.Batch, append(of, w)
		}
	}
	return in, of, last, nil
}
