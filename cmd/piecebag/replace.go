package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
	"piecebag/internal/stash/archive"
)

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

// target is a file that a command is asked to write.
type target struct {
	flag  string // that names it; empty where it is an argument
	path  string
	kind  fileKind
	force *bool    // --force; nil where the command has none
	reads []string // photos that the command looks at
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
	case !t.kind.is(head) && photo.IsPhoto(head):
		return t.refused("it is there already, and is a photo"+left, another)
	case !t.kind.is(head) && stash.IsLedger(head):
		return t.refused("it is there already, and is a ledger"+left, another)
	case !t.kind.is(head):
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
