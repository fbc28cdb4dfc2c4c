package stash

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// Hash is how a photo is known: the SHA-256 of its bytes, in hex.
func Hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

func hashFile(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
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

// photoPath is where a file of the folder of photos lies. A name that leads
// elsewhere, which no ledger of piecebag holds, stands for no file.
func (s *Stash) photoPath(file string) string {
	if !filepath.IsLocal(file) || filepath.Base(file) != file || file == "." {
		file = partPrefix + "nowhere"
	}
	return filepath.Join(s.dir, photoFolder, file)
}

// pathOf is photoPath of a file that is kept, "" where none is.
func (s *Stash) pathOf(file string) (string, error) {
	if file == "" {
		return "", nil
	}
	return s.photoPath(file), nil
}

// partPrefix begins the name of a file that is not whole yet.
const partPrefix = ".part-"

// beside has fill write a file under a passing name beside path, and gives it that
// name when it is whole and safe on the disk.
func (o Options) beside(path, pattern string, fill func(part *os.File) error) error {
	o.step("write beside")
	f, err := os.CreateTemp(filepath.Dir(path), pattern)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // where it did not get its name
	if err = fill(f); err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	o.step("give it its name")
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// writePhoto keeps the file of a photo.
func (s *Stash) writePhoto(k keepsake) error {
	return s.o.beside(s.photoPath(k.file), partPrefix, func(part *os.File) error {
		_, err := part.Write(k.data)
		return err
	})
}

// writeNew writes a new file, safe on the disk, that its owner alone may read.
func writeNew(path string, from io.Reader) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, from)
	return errors.Join(err, f.Sync(), f.Close())
}

// syncFolder makes a rename in a folder last. Windows has no such call, and
// needs none.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// own sees to it that a file is there, and that its owner alone may read and write
// it. SQLite gives the files beside a ledger the same permissions. A file that is
// there is not opened: to close it would end the locks that this process has on
// it (https://www.sqlite.org/howtocorrupt.html, 2.2).
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
