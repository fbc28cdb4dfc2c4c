// Package desk is where the work on a stash is done, a method of Desk a verb: each
// takes a plain request, of values that were read already, and gives a plain answer,
// of facts that package report puts into words. It knows no command line, no
// terminal and no page; the commands and the page are its callers.
//
// Lengths are inches, areas square inches, colours linear light, places full-size
// pixels of the upright photo. Errors that you can mend are of package fault, those of
// photos of package photo.
package desk

import (
	"errors"
	"path/filepath"
	"sync"
	"time"

	"piecebag/internal/photo"
	"piecebag/internal/stash"
)

// Options say how a desk works.
type Options struct {
	Now func() time.Time // the clock; required for whatever reads or changes the stash
	// Named says that you named the folder of the stash: where there is none, reading is an
	// error. Otherwise it reads as an empty stash.
	Named bool
	// Progress, unless nil, is called with how many steps of all are done of long work on
	// the stash itself.
	Progress func(done, all int)
	// Before is that of stash.Options.
	Before func(step string)
}

// Desk does the work on one stash and on photos. It opens the stash when a verb first
// needs it, to read it or to change it as the verb does, and keeps it open until
// Close. Any number of goroutines may share it.
type Desk struct {
	*room
	door Door
}

// room is what the desks of several doors share.
type room struct {
	dir    string
	o      Options
	budget *photo.Budget // of all photos being decoded
	eyes   chan struct{} // one place for each photo that may be looked at at once, by all doors together

	mu              sync.Mutex
	reader, changer *stash.Stash // nil until needed
}

// New returns a desk over the stash in a folder, which it does not touch yet. A desk that
// only looks at photos needs no folder.
func New(dir string, o Options) *Desk {
	return &Desk{&room{dir: dir, o: o, budget: photo.NewBudget(photoMemory), eyes: make(chan struct{}, photosAtOnce())}, Door{}.whole()}
}

// Dir returns the folder of the stash.
func (d *Desk) Dir() string { return d.dir }

// Beside returns the name of a folder next to the stash's, for what belongs to the stash
// and is not part of it. The folder need not exist.
func (d *Desk) Beside(name string) string { return d.dir + "." + name }

// BesideItself is Beside where the stash itself lies, whichever link it is reached by.
func (d *Desk) BesideItself(name string) string {
	if real, err := filepath.EvalSymlinks(d.dir); err == nil {
		return real + "." + name
	}
	return d.Beside(name)
}

// MayBegin makes a named stash that is not there yet read as empty; the first change makes
// it.
func (d *Desk) MayBegin() { d.o.Named = false }

// At returns the same desk for another door.
func (d *Desk) At(door Door) *Desk { return &Desk{d.room, door.whole()} }

// Step tells Options.Before of a step of what is kept beside the stash.
func (d *Desk) Step(what string) { stash.Options{Before: d.o.Before}.Step(what) }

// Close closes the stash.
func (d *Desk) Close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.close()
}

// closeReplaced closes a stash in whose place another was put meanwhile, by this program or
// another; whoever calls it holds mu.
func (d *Desk) closeReplaced() error {
	for _, st := range []*stash.Stash{d.reader, d.changer} {
		if st != nil && st.Replaced() {
			return d.close()
		}
	}
	return nil
}

func (d *Desk) close() error {
	var errs []error
	for _, st := range []*stash.Stash{d.reader, d.changer} {
		if st != nil {
			errs = append(errs, st.Close())
		}
	}
	d.reader, d.changer = nil, nil
	return errors.Join(errs...)
}

// reading returns the stash, opened to be read; nil where there is none yet.
func (d *Desk) reading() (*stash.Stash, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.closeReplaced(); err != nil {
		return nil, err
	}
	switch {
	case d.changer != nil:
		return d.changer, nil
	case d.reader != nil:
		return d.reader, nil
	}
	st, err := stash.Open(d.dir, stash.Options{Now: d.o.Now, ReadOnly: true, Progress: d.o.Progress, Before: d.o.Before})
	switch {
	case errors.Is(err, stash.ErrNone) && d.o.Named: // a folder may be there, but nothing was put in
		return nil, d.noStash()
	case errors.Is(err, stash.ErrNone):
		return nil, nil
	case err == nil:
		d.reader = st
	}
	return st, err
}

// readingOne is reading for verbs that make no sense without a stash: where there is none
// it returns ErrNoStash.
func (d *Desk) readingOne() (*stash.Stash, error) {
	st, err := d.reading()
	if err == nil && st == nil {
		err = d.noStash()
	}
	return st, err
}

// changing returns the stash, opened to be changed; it makes one where there is none.
func (d *Desk) changing() (*stash.Stash, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.closeReplaced(); err != nil {
		return nil, err
	}
	if d.changer != nil {
		return d.changer, nil
	}
	st, err := stash.Open(d.dir, stash.Options{Now: d.o.Now, Progress: d.o.Progress, Before: d.o.Before})
	if err == nil {
		d.changer = st
	}
	return st, err
}

// changingOne is changing for verbs that need a stash: where there is none it returns
// ErrNoStash.
func (d *Desk) changingOne() (*stash.Stash, error) {
	if _, err := d.readingOne(); err != nil {
		return nil, err
	}
	return d.changing()
}

// ask returns what the stash that open opens answers, or zero where there is no stash yet.
func ask[T any](open func() (*stash.Stash, error), what func(*stash.Stash) (T, error)) (answer T, err error) {
	st, err := open()
	if st == nil || err != nil {
		return answer, err
	}
	return what(st)
}
