package photo

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/fault"
)

// Walk turns what was named on a command line into photo files, in the order
// named, folders in the order of their names. Files that are named are kept
// whatever they are. In folders, and folders within them, hidden names are left
// out, and so is what is a picture neither by its first bytes nor by its name;
// links to other folders are not followed. A file reached twice is taken once.
// What is missing or may not be read is refused, and so is a folder without
// pictures.
func Walk(args []string) (files []string, refused []*fault.Error) {
	w := walker{seen: map[int64][]os.FileInfo{}}
	for _, arg := range args {
		st, err := os.Stat(arg)
		switch {
		case err != nil:
			w.refused = append(w.refused, refuse(arg, err))
		case !st.IsDir():
			w.add(arg, st)
		default:
			n := w.found + len(w.refused)
			w.folder(arg)
			if w.found+len(w.refused) == n {
				w.refused = append(w.refused, refuse(arg, ErrNoPictures))
			}
		}
	}
	return w.files, w.refused
}

type walker struct {
	files   []string
	refused []*fault.Error
	found   int                     // pictures met, those met before among them
	seen    map[int64][]os.FileInfo // by size
}

func (w *walker) folder(dir string) {
	entries, err := os.ReadDir(dir) // sorted by name
	if err != nil {
		w.refuse(dir, err)
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		if e.IsDir() {
			w.folder(path)
			continue
		}
		st, err := os.Stat(path)
		if err != nil {
			w.refuse(path, err)
			continue
		}
		if !st.Mode().IsRegular() {
			continue
		}
		is, err := isPicture(path)
		switch {
		case err != nil:
			w.refuse(path, err)
		case is:
			w.add(path, st)
		}
	}
}

func (w *walker) refuse(path string, err error) {
	w.refused = append(w.refused, refuse(path, err))
}

// add keeps a file unless it has been met under this or another name.
func (w *walker) add(path string, st os.FileInfo) {
	w.found++
	for _, s := range w.seen[st.Size()] {
		if os.SameFile(s, st) {
			return
		}
	}
	w.seen[st.Size()] = append(w.seen[st.Size()], st)
	w.files = append(w.files, path)
}

// isPicture reports whether a file in a folder should be opened: by its bytes, or,
// so that a spoilt photo is refused and not passed over, by its name.
func isPicture(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head := make([]byte, sniffLen)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return false, err
	}
	return namedAsPicture(path) || sniff(head[:n]) != "", nil
}
