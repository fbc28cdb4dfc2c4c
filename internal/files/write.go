package files

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/stash"
)

// Target is a file that is asked for.
type Target struct {
	Called string // what goes before its path in what is said of it, like "--svg"; may be empty
	Path   string // as named by the user; empty where it is not wanted
	Format Format
	Force  *bool    // whether one that Piecebag did not write is replaced; nil where that cannot be said
	Reads  []string // photos that are looked at, which it must not be
	Fill   func(io.Writer) error
}

// output is a file to be written. It grows under a hidden name beside its place and is
// moved there when it is whole, so that what stood there before stays until then.
type output struct {
	Target
	place  string // where it goes: path, its links followed
	hidden string // where it grows; empty where path is a device or a pipe
	f      *os.File
}

// prepare makes ready to write a target, so that a place that cannot be written or
// must not be is known before the work and not after it.
func prepare(t Target) (*output, error) {
	o := &output{Target: t, place: Place(t.Path)}
	st, err := os.Stat(o.place)
	if err == nil && st.IsDir() {
		return nil, fault.New(t.Path, "this is a folder", "name a file in it")
	}
	if err := t.Spare(o.place); err != nil {
		return nil, err
	}
	if err == nil {
		// Also where it will be replaced: opening it tells whether it may be. A pipe
		// that nobody reads would keep a plain opening waiting for ever.
		if o.f, err = os.OpenFile(o.place, os.O_WRONLY|syscall.O_NONBLOCK, 0); err != nil {
			return nil, o.failed(err)
		}
		if !st.Mode().IsRegular() {
			return o, nil
		}
		o.f.Close()
	}
	dir, name := filepath.Split(o.place)
	o.hidden = filepath.Join(dir, fmt.Sprintf(".%s.%08x", name, rand.Uint32()))
	if o.f, err = os.OpenFile(o.hidden, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666); err != nil {
		return nil, o.failed(err)
	}
	if st != nil {
		if err := o.f.Chmod(st.Mode().Perm()); err != nil {
			o.drop()
			return nil, o.failed(err)
		}
	}
	return o, nil
}

// Outputs are files made ready to be written.
type Outputs []*output

// Prepare makes ready the files wanted, each another, so that a place that
// cannot be written is known before the work.
func Prepare(wanted ...Target) (Outputs, error) {
	var out Outputs
	for _, want := range wanted {
		if want.Path == "" {
			continue
		}
		file, err := prepare(want)
		if err == nil && file.hidden != "" && slices.ContainsFunc(out, func(f *output) bool { return f.place == file.place }) {
			file.drop()
			err = want.refused("another output goes there", "name another file")
		}
		if err != nil {
			out.Drop()
			return nil, err
		}
		out = append(out, file)
	}
	return out, nil
}

// Write writes files at once.
func Write(wanted ...Target) error {
	files, err := Prepare(wanted...)
	if err != nil {
		return err
	}
	return files.Write()
}

// Drop removes what was begun; after Write there is nothing to remove.
func (o Outputs) Drop() {
	for _, f := range o {
		f.drop()
	}
}

// Write fills every file; a fault in one does not keep the others, and is the answer.
func (o Outputs) Write() error {
	var failed error
	for _, f := range o {
		failed = cmp.Or(failed, f.write())
	}
	return failed
}

// Place returns a path with its links followed, as far as it is there.
func Place(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	dir, name := filepath.Split(path)
	if real, err := filepath.EvalSymlinks(filepath.Clean(dir)); err == nil {
		return filepath.Join(real, name)
	}
	return path
}

// write fills the file and puts it in its place.
func (o *output) write() error {
	w := bufio.NewWriterSize(o.f, 1<<16)
	err := o.Fill(w)
	if err == nil {
		err = w.Flush()
	}
	if e := o.f.Close(); err == nil {
		err = e
	}
	if err == nil && o.hidden != "" {
		err = os.Rename(o.hidden, o.place)
	}
	if err != nil {
		o.drop()
		return o.failed(err)
	}
	o.hidden = ""
	return nil
}

// drop removes what was begun; after write there is nothing to remove.
func (o *output) drop() {
	o.f.Close()
	if o.hidden != "" {
		os.Remove(o.hidden)
	}
}

// failed names the file and the remedy, unless the fault lies elsewhere.
func (o *output) failed(err error) error {
	if fault.Of(err) != nil || errors.Is(err, context.Canceled) {
		return err
	}
	reason, remedy := fmt.Sprintf("it cannot be written: %v", Bare(err)), "choose another place, or make room there"
	switch {
	case errors.Is(err, syscall.ENXIO):
		reason, remedy = "it is a pipe that nobody reads", "start what reads it first, or name a file"
	case errors.Is(err, os.ErrNotExist):
		reason, remedy = "its folder is not there", "make the folder first, or choose another"
	case errors.Is(err, os.ErrPermission):
		remedy = "choose another place, or change its permissions"
	}
	return fault.New(o.Path, reason, remedy, err)
}

// ErrReplaceable is the kind of the fault of a file that is replaced only where the door is
// told to.
var ErrReplaceable = errors.New("a file that may be replaced")

// refused returns a wrong use about the target.
func (t Target) refused(reason, remedy string, kinds ...error) error {
	return fault.Usage(strings.TrimSpace(t.Called+" "+t.Path), reason, remedy, kinds...)
}

// Spare returns the one rule for every file that is written: it never goes into a
// stash, over a photo, a ledger, a backup or anything else of another kind, told
// by its bytes; over one of its own kind only where Piecebag wrote that, or by
// --force. place is where it goes, its links followed. Devices and pipes hold
// nothing to lose.
func (t Target) Spare(place string) error {
	another := "name a new file"
	if t.Format.Ending != "" {
		another += " that ends in " + t.Format.Ending
	}
	if named := strings.ToLower(filepath.Ext(t.Path)); named != t.Format.Ending && slices.Contains(pictureNames, named) {
		return t.refused("this is the name of a photo", another) // where the FILE of a flag was forgotten
	}
	if same(t.Path, t.Reads) {
		return t.refused("this is a photo to look at", another)
	}
	if dir := stash.Around(place); dir != "" {
		return t.refused("this lies inside the stash in "+dir, "name a file elsewhere: what lies in a stash is the stash's own")
	}
	st, err := os.Stat(place)
	if err != nil || !st.Mode().IsRegular() || st.Size() == 0 {
		return nil // whoever opens it says what is wrong
	}
	f, err := os.Open(place)
	var head []byte
	if err == nil {
		defer f.Close()
		head, err = headOf(f)
	}
	if err != nil {
		return t.refused(fmt.Sprintf("it is there already and cannot be read: %v", Bare(err)), another)
	}
	const left = "; it was left as it is"
	switch {
	case t.Format.Is(head):
	case photo.IsPhoto(head):
		return t.refused("it is there already, and is a photo"+left, another)
	case stash.IsLedger(head):
		return t.refused("it is there already, and is a ledger"+left, another)
	default:
		return t.refused("it is there already, and is not "+t.Format.Name+left, another)
	}
	if t.Force != nil && *t.Force || t.Format.Ours(f) {
		return nil
	}
	const strange = "it is there already, and piecebag did not write it" + left
	if t.Force != nil {
		return t.refused(strange, "name another file", ErrReplaceable)
	}
	return t.refused(strange, another)
}

// pictureNames end the names of photos.
var pictureNames = []string{".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"}

// same reports whether path is one of files, by whatever name.
func same(path string, files []string) bool {
	st, err := os.Stat(path)
	if err != nil {
		return false
	}
	return slices.ContainsFunc(files, func(f string) bool {
		other, err := os.Stat(f)
		return err == nil && os.SameFile(st, other)
	})
}
