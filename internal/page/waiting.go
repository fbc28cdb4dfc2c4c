package page

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// waiting are the photos that were sent and not stowed yet. They lie in a folder beside
// the stash, with what you said of them, so that they outlive the server.
type waiting struct {
	folder  string
	most    int64         // bytes of them all
	size    *atomic.Int64 // no fewer bytes of photos than there are: count finds which have gone
	coming  chan struct{} // as many requests as may bring photos at once
	stowed  *stowed       // last
	disk    step
	mu      sync.Mutex
	batches []*batch // the newest last
}

// batch is photos that were sent together.
type batch struct {
	id   string
	dir  string
	size *atomic.Int64 // of all that wait
	disk step

	mu     sync.Mutex // held by whoever looks at it or changes it
	photos []*sent
	given  int                      // the number given to a photo last
	now    atomic.Pointer[batchNow] // for those who do not wait for mu
}

// batchNow is a batch as it was kept last.
type batchNow struct {
	names   []string // of its photos
	version string   // changes whenever its photos or what is said of them do
}

// sent is a photo that was sent.
type sent struct {
	Number int    `json:"number"` // in its batch; no other photo ever gets it, even when this one is gone
	Name   string `json:"name"`
	// Mends are what you said of it, the last what counts, those before to go back to.
	Mends []*desk.Mend `json:"mends,omitempty"`
	// Shape counts how often its pieces were found anew, so that a page that still shows
	// the former pieces can be told apart.
	Shape int `json:"shape,omitempty"`
	// Undoes is the change that stowed it, where that is being taken back: until it is the
	// photo is hidden.
	Undoes int64 `json:"undoes,omitempty"`

	looked desk.Looked
	seen   bool   // looked is of what counts
	hash   string // of its bytes; empty: it was not asked for yet
}

const (
	mostWaiting = 4 << 30   // bytes of photos looked at and not stowed: a thousand of a good camera
	mostComing  = 4         // requests that bring photos at once
	mostMends   = 50        // steps back
	brokenOff   = time.Hour // an upload that was begun so long ago is not coming any more
	batchFile   = "photos.json"
)

// mend returns what you said of the photo last.
func (p *sent) mend() *desk.Mend {
	if len(p.Mends) == 0 {
		p.Mends = []*desk.Mend{{}}
	}
	return p.Mends[len(p.Mends)-1]
}

// openWaiting reads what was left in a folder, which need not be there; what was stowed
// from it is remembered in a file.
func openWaiting(folder, stowed string, disk step) (*waiting, error) {
	w := &waiting{folder: folder, most: mostWaiting, size: new(atomic.Int64), coming: make(chan struct{}, mostComing), stowed: openStowed(stowed, disk), disk: disk}
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, fault.New(folder, "the photos not stowed yet cannot be read", "make the folder readable, or move it away", err)
	}
	type aged struct {
		*batch
		at int64
	}
	var all []aged
	for _, e := range entries {
		b := &batch{id: e.Name(), dir: filepath.Join(folder, e.Name()), size: w.size, disk: disk}
		data, err := os.ReadFile(filepath.Join(b.dir, batchFile))
		if err == nil {
			err = b.read(data)
		}
		info, infoErr := e.Info()
		if err == nil && len(b.photos) == 0 {
			w.drop(b)
			continue
		}
		if err != nil || infoErr != nil {
			if infoErr == nil && time.Since(info.ModTime()) > brokenOff { // the photos are where they came from
				_ = os.RemoveAll(b.dir)
			}
			continue
		}
		b.tidy()
		b.is(data)
		all = append(all, aged{b, info.ModTime().UnixNano()})
	}
	slices.SortFunc(all, func(a, b aged) int { return cmp.Compare(a.at, b.at) })
	for _, a := range all {
		w.batches = append(w.batches, a.batch)
	}
	w.count()
	return w, nil
}

func (w *waiting) all() []*batch {
	w.mu.Lock()
	defer w.mu.Unlock()
	return slices.Clone(w.batches)
}

// version returns a text that changes whenever other photos wait.
func (w *waiting) version() string {
	var b strings.Builder
	for _, o := range w.all() {
		fmt.Fprintf(&b, "%s %q\n", o.id, o.now.Load().names)
	}
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:8])
}

func (w *waiting) find(id string) *batch {
	w.mu.Lock()
	defer w.mu.Unlock()
	if i := slices.IndexFunc(w.batches, func(b *batch) bool { return b.id == id }); i >= 0 {
		return w.batches[i]
	}
	return nil
}

var errFull = fault.Usage("", "too many photos wait to be stowed", "stow some of them, or throw them away")

// room is the batch that photos go into which are sent for one, or for a new one where it is
// nil: where there are as many as may be, the newest. Errors: errFull, also where what waits
// fills the disk.
func (w *waiting) room(b *batch) (*batch, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.size.Load() >= w.most {
		w.count()
	}
	if w.size.Load() >= w.most {
		return nil, errFull
	}
	if b == nil && len(w.batches) >= mostBatches {
		b = w.batches[len(w.batches)-1]
	}
	return b, nil
}

// count adds up the photos that wait, which may have been deleted outside of the page too.
func (w *waiting) count() {
	before, size := w.size.Load(), int64(0)
	_ = filepath.WalkDir(w.folder, func(_ string, e fs.DirEntry, err error) error { // what goes meanwhile takes no room
		if err == nil && e.Type().IsRegular() {
			if info, err := e.Info(); err == nil {
				size += info.Size()
			}
		}
		return nil
	})
	w.size.Add(size - before) // what came meanwhile stays counted, twice at the worst
}

// begin makes a batch that is not shown on any page yet.
func (w *waiting) begin() (*batch, error) {
	b := &batch{id: secret()[:16], size: w.size, disk: w.disk}
	b.dir = filepath.Join(w.folder, b.id)
	if err := os.MkdirAll(b.dir, 0o700); err != nil {
		return nil, fault.New("the folder of photos not stowed yet", "it cannot be written", "make room on the disk, or make the folder writable", err)
	}
	return b, nil
}

// show makes a batch visible, where there are fewer than most or it is already, and drops
// an empty one.
func (w *waiting) show(b *batch, most int) error {
	if len(b.photos) == 0 {
		w.drop(b)
		return nil
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if slices.Contains(w.batches, b) {
		return nil
	}
	if len(w.batches) >= most {
		return errFull
	}
	w.batches = append(w.batches, b)
	return nil
}

// join puts the photos of a batch that was begun into the batch b, where that still waits
// and has room; else they stay. It returns the batch that holds them, locked, which is to be
// shown; where it fails they are dropped.
func (w *waiting) join(in, b *batch) (*batch, error) {
	if b != nil {
		b.mu.Lock()
		if w.find(b.id) != b || len(b.photos)+len(in.photos) > mostTogether {
			b.mu.Unlock()
			b = nil
		}
	}
	var err error
	if b != nil {
		err = errors.Join(b.adopt(in), b.keep())
	} else {
		b = in
		b.mu.Lock()
		err = b.keep()
	}
	if err != nil {
		w.drop(in)
	}
	return b, err
}

// lose removes a batch from those that are shown.
func (w *waiting) lose(b *batch) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.batches = slices.DeleteFunc(w.batches, func(o *batch) bool { return o == b })
}

// drop forgets a batch and removes its files; the caller holds the batch's lock.
func (w *waiting) drop(b *batch) {
	w.lose(b)
	w.disk("forget the batch")
	_ = os.Remove(filepath.Join(b.dir, batchFile)) // first, so that no photo waits whose file is gone
	w.disk("remove the batch")
	_ = os.RemoveAll(b.dir)
	_ = os.Remove(w.folder) // where it is empty
}

func (b *batch) at() string           { return "/look/" + b.id }
func (b *batch) photoAt(i int) string { return b.at() + "/" + strconv.Itoa(b.photos[i].Number) }
func (b *batch) folder(i int) string  { return filepath.Join(b.dir, strconv.Itoa(b.photos[i].Number)) }
func (b *batch) file(i int) string    { return filepath.Join(b.folder(i), b.photos[i].Name) }
func (b *batch) hash(i int) string {
	if p := b.photos[i]; p.hash == "" {
		if data, err := os.ReadFile(b.file(i)); err == nil { // else it counts as a new photo
			p.hash = stash.Hash(data)
		}
	}
	return b.photos[i].hash
}
func (b *batch) shown(i int) string { return b.folder(i) + ".jpg" }

// number returns the number of the next photo. No number is used twice: a page or a picture
// of a photo that is gone may still be open or kept by a browser.
func (b *batch) number() int {
	b.given++
	return b.given
}

// add keeps a photo under its name, in a folder of its own.
func (b *batch) add(name string, from io.Reader) error {
	p := &sent{Number: b.number(), Name: name}
	b.photos = append(b.photos, p)
	i := len(b.photos) - 1
	err := os.MkdirAll(b.folder(i), 0o700)
	if err != nil {
		b.forget(p)
		return err
	}
	f, err := os.OpenFile(b.file(i), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err == nil {
		var n int64
		n, err = io.Copy(f, from)
		b.size.Add(n)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		b.forget(p)
	}
	return err
}

// adopt takes the photos of another batch, which is then empty.
func (b *batch) adopt(from *batch) error {
	for i, p := range from.photos {
		was := from.folder(i)
		p.Number = b.number()
		b.photos = append(b.photos, p)
		b.disk("move the photo")
		if err := os.Rename(was, b.folder(len(b.photos)-1)); err != nil {
			b.photos = b.photos[:len(b.photos)-1]
			return err
		}
	}
	return os.RemoveAll(from.dir)
}

// is publishes the names of the batch's photos and its version, a hash of what is kept.
func (b *batch) is(kept []byte) {
	var names []string
	for _, p := range b.photos {
		if p.Undoes == 0 {
			names = append(names, p.Name)
		}
	}
	sum := sha256.Sum256(kept)
	b.now.Store(&batchNow{names, hex.EncodeToString(sum[:8])})
}

// forget drops photos of a batch that is not kept yet.
func (b *batch) forget(all ...*sent) {
	for _, p := range all {
		b.removeAll(b.without(p))
	}
}

// release drops a photo: first from what is kept, then its files, so that no photo waits
// whose files are gone.
func (b *batch) release(p *sent) error {
	files := b.without(p)
	if err := b.keep(); err != nil {
		return err
	}
	b.removeAll(files)
	return nil
}

// without removes a photo from the batch, and returns its files on the disk.
func (b *batch) without(p *sent) []string {
	i := slices.Index(b.photos, p)
	files := []string{b.folder(i), b.shown(i)}
	b.photos = slices.Delete(b.photos, i, i+1)
	return files
}

func (b *batch) removeAll(files []string) {
	for _, f := range files {
		b.disk("remove")
		_ = os.RemoveAll(f) // what cannot be removed now goes with the batch
	}
}

// tidy removes what belongs to none of the photos, of a server that was killed before it
// took them in or after it let them go.
func (b *batch) tidy() {
	keep := []string{filepath.Join(b.dir, batchFile)}
	for i := range b.photos {
		keep = append(keep, b.folder(i), b.shown(i))
	}
	all, _ := filepath.Glob(filepath.Join(b.dir, "*")) // of a name of ours
	b.removeAll(slices.DeleteFunc(all, func(f string) bool { return slices.Contains(keep, f) }))
}

// batchKept is a batch as it is kept.
type batchKept struct {
	Given  int     `json:"given"`
	Photos []*sent `json:"photos"`
}

// read takes what was kept.
func (b *batch) read(data []byte) error {
	var k batchKept
	if err := json.Unmarshal(data, &k); err != nil && json.Unmarshal(data, &k.Photos) != nil { // photos alone are how it was kept first
		return err
	}
	b.photos, b.given = k.Photos, k.Given
	for _, p := range b.photos {
		b.given = max(b.given, p.Number)
	}
	return nil
}

// keep writes what was said of the photos to the disk, whole or not at all.
func (b *batch) keep() error {
	data, err := json.Marshal(batchKept{b.given, b.photos})
	if err != nil {
		return err
	}
	b.is(data)
	return b.disk.writeWhole(filepath.Join(b.dir, batchFile), data)
}

// of returns the batch in which a photo waits, locked, and the photo; nil where it waits no
// more.
func (w *waiting) of(x *wasStowed) (b *batch, p *sent) {
	if b = w.find(x.Batch); b == nil {
		return nil, nil
	}
	b.mu.Lock()
	if i := slices.IndexFunc(b.photos, func(p *sent) bool { return p.Number == x.Number }); i >= 0 && w.find(b.id) == b {
		return b, b.photos[i]
	}
	b.mu.Unlock()
	return nil, nil
}

// release has a photo that was stowed wait no more, unless more is said of it now than was
// stowed: still reports that it waits.
func (w *waiting) release(x *wasStowed) (still bool, err error) {
	b, p := w.of(x)
	if b == nil {
		return false, nil
	}
	defer b.mu.Unlock()
	if m := p.mend(); m.Differs(x.Mend) || x.Mend.Differs(m) {
		return true, nil
	}
	if err := b.release(p); err != nil {
		return false, err
	}
	return false, w.show(b, 0)
}

// heal has what waits and what the stash holds agree, after a server that was killed while
// it stowed, took back or did again: no photo waits that is stowed, and each that was taken
// back does.
func (s *Server) heal(ctx context.Context) error {
	var stand []stash.Change // read where anything is in doubt
	stands := func(id int64) (bool, error) {
		var err error
		if stand == nil {
			stand, err = s.desk.History(ctx, 0)
		}
		return slices.ContainsFunc(stand, func(c stash.Change) bool { return c.ID == id }), err
	}
	for _, b := range s.waiting.all() {
		for _, p := range slices.Clone(b.photos) {
			if p.Undoes == 0 {
				continue
			}
			still, err := stands(p.Undoes)
			if err == nil && !still {
				err = s.waiting.stowed.wasUndone(ctx, s.desk, p.Undoes)
			}
			if err != nil {
				return err
			}
			if p.Undoes = 0; still {
				err = b.release(p)
			} else {
				err = b.keep()
			}
			if err != nil {
				return err
			}
		}
		if err := s.waiting.show(b, 0); err != nil {
			return err
		}
	}
	for _, x := range s.waiting.stowed.of(func(*wasStowed) bool { return true }) {
		b, _ := s.waiting.of(x)
		if b != nil {
			b.mu.Unlock()
		}
		var is bool
		var err error
		switch {
		case x.Begun != nil:
			var change int64
			if change, err = s.desk.ChangeOf(ctx, x.Hash, *x.Begun); err == nil {
				is, err = change != 0, s.waiting.stowed.settle(change, x)
			}
		case b != nil:
			is, err = stands(x.Change)
		}
		if err == nil && is {
			_, err = s.waiting.release(x)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
