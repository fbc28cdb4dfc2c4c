package stash

import (
	"bytes"
	"encoding/binary"
	"io"
	"os"
	"path/filepath"
)

// IsLedger reports whether a file's first bytes are those of an SQLite database,
// as a ledger is: https://www.sqlite.org/fileformat.html, 1.3.
func IsLedger(head []byte) bool { return bytes.HasPrefix(head, []byte("SQLite format 3\x00")) }

// idAt is where the header of a database has the number of the program that it
// belongs to: https://www.sqlite.org/fileformat.html, 1.3.
const idAt = 68

// isFolder reports whether a folder is that of a stash: it holds a ledger of
// Piecebag, or what may be one that is damaged, with its photos beside it.
func isFolder(dir string) bool {
	path := filepath.Join(dir, LedgerName)
	st, err := os.Stat(path)
	if err != nil || !st.Mode().IsRegular() {
		return false
	}
	if photos, err := os.Stat(filepath.Join(dir, PhotoFolder)); err == nil && photos.IsDir() {
		return true
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, idAt+4)
	_, err = io.ReadFull(f, head)
	return err == nil && IsLedger(head) && binary.BigEndian.Uint32(head[idAt:]) == applicationID
}

// Around returns the folder of the stash that a place lies in, or "".
func Around(place string) string {
	place, err := filepath.Abs(place)
	if err != nil {
		return ""
	}
	for dir := filepath.Dir(place); ; dir = filepath.Dir(dir) {
		if isFolder(dir) {
			return dir
		}
		if dir == filepath.Dir(dir) {
			return ""
		}
	}
}
