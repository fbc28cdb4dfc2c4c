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
// themselves are kept by the stash alone. What is about to be stowed is noted before, so
// that a server that was killed meanwhile is told by the stash how far it came.
type stowed struct {
	file string
	disk step
	mu   sync.Mutex
	all  []*wasStowed // the last stowed last
}

// wasStowed is a photo that was stowed, or is to be.
type wasStowed struct {
	Change int64 `json:"change"` // that stowed it; 0: it is not stowed yet
	// Begun is the stash's last change before it is stowed, or stowed again; nil: that is over.
	Begun  *int64     `json:"begun,omitempty"`
	Again  int64      `json:"again,omitempty"` // that of the change, taken back
	Hash   string     `json:"hash"`            // of the photo in the stash
	Batch  string     `json:"batch"`           // it was sent in, or waits in again
	Number int        `json:"number"`          // it has or had there
	Name   string     `json:"name"`
	Mend   *desk.Mend `json:"mend"`
	Press  string     `json:"press"` // that made the change, and others with it
	// Known is that the stash had the photo before.
	Known bool `json:"known,omitempty"`
}

// step tells tests of the next step at which the program might be killed.
type step func(what string)

// openStowed reads what is remembered. A file that cannot be read counts as empty: what it
// remembers only saves you work.
func openStowed(file string, disk step) *stowed {
	s := &stowed{file: file, disk: disk}
	if data, err := os.ReadFile(file); err != nil || json.Unmarshal(data, &s.all) != nil {
		s.all = nil
	}
	s.all = slices.DeleteFunc(s.all, func(w *wasStowed) bool { return w == nil || w.Mend == nil })
	return s
}

// begin notes photos that are to be stowed, after a change.
func (s *stowed) begin(after int64, photos ...*wasStowed) error {
	return s.change(func() {
		for _, w := range photos {
			w.Begun = &after
			if !slices.Contains(s.all, w) {
				s.all = append(s.all, w)
			}
		}
	})
}

// settle notes the change that stowed photos, 0 where they were not, and forgets those that
// can be taken back no more.
func (s *stowed) settle(change int64, photos ...*wasStowed) error {
	return s.change(func() {
		for _, w := range photos {
			w.Begun = nil
			if change != 0 {
				w.Change, w.Again = change, 0
			}
		}
		last := int64(0)
		for _, w := range s.all {
			last = max(last, w.Change)
		}
		s.all = slices.DeleteFunc(s.all, func(w *wasStowed) bool { return w.Begun == nil && w.Change <= max(0, last-stash.Undoable) })
	})
}

// change changes what is remembered, and writes it; what is new and cannot be written is
// not remembered.
func (s *stowed) change(do func()) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	was := slices.Clone(s.all)
	do()
	data, err := json.Marshal(s.all)
	if err == nil {
		err = s.disk.writeWhole(s.file, data)
	}
	if err != nil {
		s.all = was
	}
	return err
}

// of returns the photos of which something is so.
func (s *stowed) of(is func(w *wasStowed) bool) (out []*wasStowed) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, w := range s.all {
		if is(w) {
			out = append(out, w)
		}
	}
	return out
}

// by returns the photos that a change stowed.
func (s *stowed) by(change int64) []*wasStowed {
	return s.of(func(w *wasStowed) bool { return w.Change == change })
}

// wasUndone notes the number of a change that was taken back by a server that was killed
// then: that of the last one, unless it is another's.
func (s *stowed) wasUndone(ctx context.Context, d *desk.Desk, change int64) error {
	last, err := d.Undone(ctx)
	if err != nil || len(last) == 0 || s.undone(last[0].Again) != nil {
		return err
	}
	return s.takenBack(stash.Change{ID: change, Again: last[0].Again})
}

// takenBack notes that a change was taken back.
func (s *stowed) takenBack(c stash.Change) error {
	return s.change(func() {
		for _, w := range s.all {
			if w.Change == c.ID && w.Again == 0 {
				w.Again = c.Again
			}
		}
	})
}

// press returns how many of the last changes, newest first, one press of a button made; with
// returns the photos of a change.
func press(last []stash.Change, with func(stash.Change) []*wasStowed) (n int) {
	by := ""
	for _, c := range last {
		were := with(c)
		if were == nil || n > 0 && (by == "" || were[0].Press != by) {
			return n
		}
		n, by = n+1, were[0].Press
	}
	return n
}

// made returns how many of the last changes one press made.
func (s *stowed) made(last []stash.Change) int {
	return press(last, func(c stash.Change) []*wasStowed { return s.by(c.ID) })
}

// unmade returns how many of the changes that were taken back last one press had made.
func (s *stowed) unmade(last []stash.Change) int {
	return press(last, func(c stash.Change) []*wasStowed { return s.undone(c.Again) })
}

// undone returns the photos of a change that was taken back, by the number to do it again.
func (s *stowed) undone(again int64) []*wasStowed {
	return s.of(func(w *wasStowed) bool { return w.Again == again })
}

// mended returns what you said of a photo when it was stowed, nil where nothing is
// remembered.
func (s *stowed) mended(hash string) *desk.Mend {
	if all := s.of(func(w *wasStowed) bool { return w.Hash == hash && w.Change != 0 }); all != nil {
		return all[len(all)-1].Mend
	}
	return nil
}

// writeWhole writes a file whole or not at all.
func (s step) writeWhole(file string, data []byte) error {
	s("write beside")
	part := file + ".part"
	if err := os.WriteFile(part, data, 0o600); err != nil {
		return err
	}
	s("give it its name")
	return os.Rename(part, file)
}

// noting makes a change that stows photos, with a note before it and one after; noted is
// nil where both could be written. Where do fails after the change was made, as when the
// disk is full just then, the photos count as stowed.
func (s *Server) noting(ctx context.Context, photos []*wasStowed, do func() (change int64, err error)) (noted, err error) {
	if photos == nil {
		_, err = do()
		return nil, err
	}
	after, err := s.desk.Latest(ctx)
	if err != nil {
		return nil, err
	}
	noted = s.waiting.stowed.begin(after, photos...)
	change, err := do()
	if err != nil {
		for _, w := range photos {
			made, wrong := s.desk.ChangeOf(context.WithoutCancel(ctx), w.Hash, after)
			change, err = max(change, made), errors.Join(err, wrong)
		}
	}
	return errors.Join(noted, s.waiting.stowed.settle(change, photos...)), err
}

// takeBack takes back the last change, and with it the others that the same press made.
// Photos that they stowed from the page wait again, mended as they were; back holds their
// names.
func (s *Server) takeBack(ctx context.Context) (done []stash.Change, back []string, err error) {
	last, err := s.desk.History(ctx, stash.Undoable)
	if err != nil {
		return nil, nil, err
	}
	last = last[:s.waiting.stowed.made(last)]
	in, err := s.comingBack(ctx, last)
	if in != nil {
		defer in.mu.Unlock()
	}
	for i := range max(1, len(last)) {
		if err != nil {
			break
		}
		var one []stash.Change
		if one, err = s.desk.Undo(ctx, 1, nil); err != nil {
			break
		}
		done = append(done, one[0])
		if i < len(last) {
			if one[0].ID != last[i].ID { // somebody was quicker
				break
			}
			err = s.waiting.stowed.takenBack(one[0])
		}
	}
	if in == nil {
		return done, nil, err
	}
	for _, p := range slices.Clone(in.photos) {
		switch {
		case p.Undoes == 0:
		case slices.ContainsFunc(done, func(c stash.Change) bool { return c.ID == p.Undoes }):
			p.Undoes = 0
			back = append(back, p.Name)
		default:
			in.forget(p)
		}
	}
	if len(in.photos) > 0 {
		err = errors.Join(err, in.keep())
	}
	return done, back, errors.Join(err, s.waiting.show(in, math.MaxInt))
}

// comingBack puts the photos that changes stowed into a batch, which it returns locked: the
// one they were sent in, where that still waits and has room. They are hidden there until
// the changes are taken back, so that nobody loses them who is killed meanwhile. It returns
// nil where there are none.
func (s *Server) comingBack(ctx context.Context, last []stash.Change) (*batch, error) {
	var photos []*wasStowed
	for _, c := range slices.Backward(last) {
		photos = append(photos, s.waiting.stowed.by(c.ID)...)
	}
	if photos == nil {
		return nil, nil
	}
	all, err := s.desk.Photos(ctx)
	if err != nil {
		return nil, err
	}
	in, err := s.waiting.begin()
	if err != nil {
		return nil, err
	}
	var come []*wasStowed
	for _, w := range photos {
		if b, _ := s.waiting.of(w); b != nil { // it waits still: more was said of it since
			b.mu.Unlock()
			continue
		}
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
			return nil, err
		}
		p := in.photos[len(in.photos)-1]
		p.Mends, p.Undoes = []*desk.Mend{{}, w.Mend}, w.Change
		come = append(come, w)
	}
	if come == nil {
		s.waiting.drop(in)
		return nil, nil
	}
	from := come[len(come)-1].Batch
	b, err := s.waiting.join(in, s.waiting.find(from))
	if err != nil {
		return b, err
	}
	return b, s.waiting.stowed.change(func() {
		for _, w := range s.waiting.stowed.all { // the others of the batch are to come back there too
			if w.Batch == from {
				w.Batch = b.id
			}
		}
		for i, w := range come {
			w.Batch, w.Number = b.id, b.photos[len(b.photos)-len(come)+i].Number
		}
	})
}

// doAgain does again the change that was taken back last, and with it the others that the
// same press had made. Photos that wait since, and of which nothing more was said, wait no
// more; still holds the names of the others.
func (s *Server) doAgain(ctx context.Context) (done []stash.Change, still []string, err error) {
	last, err := s.desk.Undone(ctx)
	if err != nil {
		return nil, nil, err
	}
	for i := range max(1, s.waiting.stowed.unmade(last)) {
		var photos []*wasStowed
		if len(last) > 0 {
			photos = s.waiting.stowed.undone(last[i].Again)
		}
		var noted error
		noted, err = s.noting(ctx, photos, func() (int64, error) {
			one, err := s.desk.Redo(ctx, 1, nil)
			done = append(done, one...)
			if len(one) == 0 || len(last) == 0 || one[0].Again != last[i].Again { // somebody was quicker
				return 0, err
			}
			return one[0].ID, err
		})
		for _, w := range photos {
			if w.Again != 0 {
				continue
			}
			waits, wrong := s.waiting.release(w)
			noted = errors.Join(noted, wrong)
			if waits {
				still = append(still, w.Name)
			}
		}
		if err = errors.Join(err, noted); err != nil {
			break
		}
	}
	return done, still, err
}
