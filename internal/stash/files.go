package stash

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/stash/disk"
)

// Hash returns how a photo is known: the SHA-256 of its bytes, in hex.
func Hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// extensions are those a kept photo keeps, so that other programs can show it.
var extensions = []string{".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"}

// fileName is that of a kept photo: the hash of what is kept, and an ending.
func fileName(hash, name string) string {
	for _, e := range extensions {
		if strings.EqualFold(filepath.Ext(name), e) {
			return hash + e
		}
	}
	return hash
}

// IsPhotoFile reports whether a name is one that a kept photo has.
func IsPhotoFile(name string) bool {
	hash, ext, _ := strings.Cut(name, ".")
	if len(hash) != 64 || strings.Trim(hash, "0123456789abcdef") != "" {
		return false
	}
	return name == fileName(hash, "x."+ext) || name == hash
}

// FileHash returns the hash that a photo file's name says its bytes have.
func FileHash(name string) string {
	hash, _, _ := strings.Cut(name, ".")
	return hash
}

// PhotoPath returns where a file of the folder of photos lies. A name that leads
// elsewhere, which no ledger of piecebag holds, stands for no file.
func (s *Stash) PhotoPath(file string) string {
	if !filepath.IsLocal(file) || filepath.Base(file) != file || file == "." {
		file = partPrefix + "nowhere"
	}
	return filepath.Join(s.dir, PhotoFolder, file)
}

// pathOf is PhotoPath of a file that is kept, "" where none is.
func (s *Stash) pathOf(file string) (string, error) {
	if file == "" {
		return "", nil
	}
	return s.PhotoPath(file), nil
}

// partPrefix begins the name of a file that is not whole yet.
const partPrefix = ".part-"

// writePhoto keeps the file of a photo.
func (s *Stash) writePhoto(k keepsake) error {
	return disk.Beside(s.PhotoPath(k.file), partPrefix, s.o.Step, func(part *os.File) error {
		_, err := part.Write(k.data)
		return err
	})
}

// own makes sure that a file is there and that only its owner may read and write it. SQLite
// gives the files beside a ledger the same permissions. A file that is there is not opened:
// to close it would end the locks that this process has on it
// (https://www.sqlite.org/howtocorrupt.html, 2.2).
func own(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if err == nil {
		return f.Close()
	}
	info, there := os.Stat(path)
	if there != nil {
		return err
	}
	if info.Mode().Perm()&0o077 != 0 {
		_ = os.Chmod(path, 0o600) // not where the file is another's, or the disk knows no permissions
	}
	return nil
}
