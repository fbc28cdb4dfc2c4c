package main

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"unicode/utf8"

	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

// The most bytes that are read of a file of each kind. An export of 200,000
// pieces takes some 200 MB; a recipe that is built in one or two thousand.
const (
	mostImport   = 512 << 20
	mostOutlines = 16 << 20
	mostRecipe   = 1 << 20
)

// checkName is what to do about a file that is not there.
const checkName = "check the name and the folder it is in"

// readInput reads a file that is named by the user, of at most so many bytes.
// remedy is what to do about one that is not there or may not be read.
func readInput(path string, most int64, remedy string) ([]byte, error) {
	f, err := openInput(path, remedy)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	st, err := f.Stat()
	var data []byte
	if err == nil && st.Size() <= most {
		data, err = io.ReadAll(io.LimitReader(f, most+1)) // it may grow
	}
	switch {
	case err != nil:
		return nil, unreadable(path, remedy, err)
	case max(st.Size(), int64(len(data))) > most:
		size := fmt.Sprintf("%d kB", most>>10)
		if most >= 1<<20 {
			size = fmt.Sprintf("%d MB", most>>20)
		}
		return nil, fault.New(path, "it holds more than "+size, "see whether it is the right file")
	}
	return data, nil
}

// openInput opens a file that is named by the user. What is no file is refused:
// a pipe or a device may never end. It is opened so that a pipe which nobody
// writes to does not keep it waiting either.
func openInput(path, remedy string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, unreadable(path, remedy, err)
	}
	st, err := f.Stat()
	switch {
	case err != nil:
		err = unreadable(path, remedy, err)
	case st.IsDir():
		err = fault.New(path, "this is a folder", "name a file in it")
	case st.Mode().Type() != fs.FileMode(0):
		err = fault.New(path, "this is a pipe or a device, not a file", "save what comes from it to a file first, and name that")
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

func unreadable(path, remedy string, err error) error {
	return fault.New(path, fmt.Sprintf("it cannot be read: %v", bare(err)), remedy, err)
}

// target is a file that a command is asked to write.
type target struct {
	flag  string // that names it; empty where it is an argument
	path  string // as named by the user; empty where it is not wanted
	kind  fileKind
	force *bool    // --force; nil where the command has none
	reads []string // photos that the command looks at
	fill  func(io.Writer) error
}

// outFile is a file to be written. It grows under a hidden name beside its place and is
// moved there when it is whole, so that what stood there before stays until then.
type outFile struct {
	target
	place  string // where it goes: path, its links followed
	hidden string // where it grows; empty where path is a device or a pipe
	f      *os.File
}

// create makes ready to write a target, so that a place that cannot be written or
// must not be is known before the work and not after it.
func create(t target) (*outFile, error) {
	o := &outFile{target: t, place: realPlace(t.path)}
	st, err := os.Stat(o.place)
	if err == nil && st.IsDir() {
		return nil, fault.New(t.path, "this is a folder", "name a file in it")
	}
	if err := t.spare(o.place); err != nil {
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

// outputs are files made ready to be written.
type outputs []*outFile

// openFiles makes ready the files wanted, each another, so that a place that
// cannot be written is known before the work.
func openFiles(wanted ...target) (outputs, error) {
	var out outputs
	for _, want := range wanted {
		if want.path == "" {
			continue
		}
		file, err := create(want)
		if err == nil && file.hidden != "" && slices.ContainsFunc(out, func(f *outFile) bool { return f.place == file.place }) {
			file.drop()
			err = want.refused("another output goes there", "name another file")
		}
		if err != nil {
			out.drop()
			return nil, err
		}
		out = append(out, file)
	}
	return out, nil
}

// writeFiles writes files at once.
func writeFiles(wanted ...target) error {
	files, err := openFiles(wanted...)
	if err != nil {
		return err
	}
	return files.write()
}

// drop removes what was begun; after write there is nothing to remove.
func (o outputs) drop() {
	for _, f := range o {
		f.drop()
	}
}

// write fills every file; a fault in one does not keep the others, and is the answer.
func (o outputs) write() error {
	var failed error
	for _, f := range o {
		failed = cmp.Or(failed, f.write())
	}
	return failed
}

// realPlace is a path with its links followed, as far as it is there.
func realPlace(path string) string {
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
func (o *outFile) write() error {
	w := bufio.NewWriterSize(o.f, 1<<16)
	err := o.fill(w)
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
func (o *outFile) drop() {
	o.f.Close()
	if o.hidden != "" {
		os.Remove(o.hidden)
	}
}

// failed names the file and the remedy, unless the fault lies elsewhere.
func (o *outFile) failed(err error) error {
	if fault.Of(err) != nil || errors.Is(err, context.Canceled) {
		return err
	}
	reason, remedy := fmt.Sprintf("it cannot be written: %v", bare(err)), "choose another place, or make room there"
	switch {
	case errors.Is(err, syscall.ENXIO):
		reason, remedy = "it is a pipe that nobody reads", "start what reads it first, or name a file"
	case errors.Is(err, os.ErrNotExist):
		reason, remedy = "its folder is not there", "make the folder first, or choose another"
	case errors.Is(err, os.ErrPermission):
		remedy = "choose another place, or change its permissions"
	}
	return fault.New(o.path, reason, remedy, err)
}

// fileKind is a kind of file that is written, told by its bytes.
type fileKind struct {
	name   string // as messages call it, with its article
	ending string // of its names
	is     func(head []byte) bool
	ours   func(f *os.File) bool // whether Piecebag wrote it
}

var (
	htmlFile   = fileKind{"an HTML page", ".html", isHTML, startsWith(report.HTMLMark)}
	pdfFile    = fileKind{"a PDF", ".pdf", begins("%PDF-"), marked(report.PDFMark)}
	pngFile    = fileKind{"a PNG picture", ".png", begins("\x89PNG"), marked(report.PNGMark)}
	svgFile    = fileKind{"an SVG drawing", ".svg", isSVG, marked(report.SVGMark)}
	exportJSON = fileKind{"a JSON file", ".json", isJSON, startsWith(archive.JSONMark)}
	exportCSV  = fileKind{"a CSV table", ".csv", isCSV, firstRow(archive.Header())}
	lookJSON   = fileKind{"a JSON file", ".json", isJSON, startsWith(report.JSONMark)}
	lookCSV    = fileKind{"a CSV table", ".csv", isCSV, firstRow(report.CSVHead)}
	photoFile  = fileKind{"a photo", ".jpg", func([]byte) bool { return false }, nil}
	backupFile = fileKind{"a backup of a stash", ".backup", begins("PK\x03\x04"), func(f *os.File) bool { return stash.IsBackup(f.Name()) }}
)

// headLen is how many first bytes a kind is told by.
const headLen = 4096

func begins(magic string) func([]byte) bool {
	return func(head []byte) bool { return bytes.HasPrefix(head, []byte(magic)) }
}

// text is the head of a file of text, without the mark and the blanks that may
// stand before it; nil where it is no text.
func text(head []byte) []byte {
	head = bytes.TrimPrefix(head, []byte("\uFEFF"))
	if bytes.IndexByte(head, 0) >= 0 {
		return nil
	}
	for i := 0; len(head) > i && i < utf8.UTFMax && !utf8.Valid(head); i++ { // a letter may be cut through
		head = head[:len(head)-1]
	}
	if !utf8.Valid(head) {
		return nil
	}
	return bytes.TrimSpace(head)
}

func isHTML(head []byte) bool {
	t := bytes.ToLower(text(head))
	return bytes.HasPrefix(t, []byte("<!doctype html")) || bytes.HasPrefix(t, []byte("<html"))
}

func isSVG(head []byte) bool {
	t := text(head)
	return bytes.HasPrefix(t, []byte("<svg")) || bytes.HasPrefix(t, []byte("<?xml")) && bytes.Contains(t, []byte("<svg"))
}

func isJSON(head []byte) bool {
	t := text(head)
	return bytes.HasPrefix(t, []byte("{")) || bytes.HasPrefix(t, []byte("["))
}

// isCSV takes for a table what has cells in its first line.
func isCSV(head []byte) bool {
	first, _, _ := bytes.Cut(text(head), []byte("\n"))
	return bytes.ContainsAny(first, ",;\t") && !isHTML(head) && !isSVG(head) && !isJSON(head)
}

// marked says of a file whether it holds a mark.
func marked(mark string) func(*os.File) bool {
	return func(f *os.File) bool {
		buf := make([]byte, 1<<16)
		kept := 0 // of the part before, for a mark that is cut through
		for {
			n, err := f.Read(buf[kept:])
			part := buf[:kept+n]
			if bytes.Contains(part, []byte(mark)) {
				return true
			}
			if err != nil {
				return false
			}
			kept = copy(buf, part[max(0, len(part)-len(mark)):])
		}
	}
}

// headOf gives the first bytes of a file, which is then at its beginning again.
func headOf(f *os.File) ([]byte, error) {
	head := make([]byte, headLen)
	n, err := io.ReadFull(f, head)
	if err == nil || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		_, err = f.Seek(0, io.SeekStart)
	}
	return head[:n], err
}

// startsWith says of a file whether it begins with a text, blanks apart.
func startsWith(text string) func(*os.File) bool {
	solid := func(s string) string { return strings.Join(strings.Fields(s), "") }
	return func(f *os.File) bool {
		head, err := headOf(f)
		return err == nil && strings.HasPrefix(solid(string(head)), solid(text))
	}
}

// firstRow says of a file whether its first row is this one.
func firstRow(cells []string) func(*os.File) bool {
	return func(f *os.File) bool {
		head, err := headOf(f)
		first, _, _ := strings.Cut(string(head), "\n")
		return err == nil && strings.TrimSuffix(first, "\r") == strings.Join(cells, ",")
	}
}

// refused is a wrong use about the target.
func (t target) refused(reason, remedy string) error {
	name := t.path
	if t.flag != "" {
		name = "--" + t.flag + " " + name
	}
	return fault.Usage(name, reason, remedy)
}

// spare is the one rule for every file that is written: it never goes into a
// stash, over a photo, a ledger, a backup or anything else of another kind, told
// by its bytes; over one of its own kind only where Piecebag wrote that, or by
// --force. place is where it goes, its links followed. Devices and pipes hold
// nothing to lose.
func (t target) spare(place string) error {
	another := "name a new file"
	if t.kind.ending != "" {
		another += " that ends in " + t.kind.ending
	}
	if named := strings.ToLower(filepath.Ext(t.path)); named != t.kind.ending && slices.Contains(pictureNames, named) {
		return t.refused("this is the name of a photo", another) // where the FILE of a flag was forgotten
	}
	if same(t.path, t.reads) {
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
		return t.refused(fmt.Sprintf("it is there already and cannot be read: %v", bare(err)), another)
	}
	const left = "; it was left as it is"
	switch {
	case t.kind.is(head):
	case photo.IsPhoto(head):
		return t.refused("it is there already, and is a photo"+left, another)
	case stash.IsLedger(head):
		return t.refused("it is there already, and is a ledger"+left, another)
	default:
		return t.refused("it is there already, and is not "+t.kind.name+left, another)
	}
	if t.force != nil && *t.force || t.kind.ours(f) {
		return nil
	}
	if t.force != nil {
		another = "name another file, or add --force to replace it"
	}
	return t.refused("it is there already, and piecebag did not write it"+left, another)
}

// pictureNames end the names of photos.
var pictureNames = []string{".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"}

// same says whether path is one of files, by whatever name.
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
