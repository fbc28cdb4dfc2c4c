package files

import (
	"bytes"
	"errors"
	"io"
	"os"
	"strings"
	"unicode/utf8"
)

// Format is what a file that is written holds, told by its bytes.
type Format struct {
	Name   string // as messages call it, with its article
	Ending string // of its names
	Is     func(head []byte) bool
	Ours   func(f *os.File) bool // whether Piecebag wrote it
}

// headLen is how many first bytes a kind is told by.
const headLen = 4096

// Begins tells a format by its first bytes.
func Begins(magic string) func([]byte) bool {
	return func(head []byte) bool { return bytes.HasPrefix(head, []byte(magic)) }
}

// text returns the head of a file of text, without the mark and the blanks that may
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

// HTML tells a page.
func HTML(head []byte) bool {
	t := bytes.ToLower(text(head))
	return bytes.HasPrefix(t, []byte("<!doctype html")) || bytes.HasPrefix(t, []byte("<html"))
}

// SVG tells a drawing.
func SVG(head []byte) bool {
	t := text(head)
	return bytes.HasPrefix(t, []byte("<svg")) || bytes.HasPrefix(t, []byte("<?xml")) && bytes.Contains(t, []byte("<svg"))
}

// JSON tells what may be JSON by its first bracket.
func JSON(head []byte) bool {
	t := text(head)
	return bytes.HasPrefix(t, []byte("{")) || bytes.HasPrefix(t, []byte("["))
}

// CSV tells a table: what has cells in its first line.
func CSV(head []byte) bool {
	first, _, _ := bytes.Cut(text(head), []byte("\n"))
	return bytes.ContainsAny(first, ",;\t") && !HTML(head) && !SVG(head) && !JSON(head)
}

// Marked says of a file whether it holds a mark.
func Marked(mark string) func(*os.File) bool {
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

// headOf returns the first bytes of a file, which is then at its beginning again.
func headOf(f *os.File) ([]byte, error) {
	head := make([]byte, headLen)
	n, err := io.ReadFull(f, head)
	if err == nil || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		_, err = f.Seek(0, io.SeekStart)
	}
	return head[:n], err
}

// StartsWith says of a file whether it Begins with a text, blanks apart.
func StartsWith(text string) func(*os.File) bool {
	solid := func(s string) string { return strings.Join(strings.Fields(s), "") }
	return func(f *os.File) bool {
		head, err := headOf(f)
		return err == nil && strings.HasPrefix(solid(string(head)), solid(text))
	}
}

// FirstRow says of a file whether its first row is this one.
func FirstRow(cells []string) func(*os.File) bool {
	return func(f *os.File) bool {
		head, err := headOf(f)
		first, _, _ := strings.Cut(string(head), "\n")
		return err == nil && strings.TrimSuffix(first, "\r") == strings.Join(cells, ",")
	}
}
