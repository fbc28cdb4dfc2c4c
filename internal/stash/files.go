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

// writePart writes data, safe on the disk, under a passing name.
func (s *Stash) writePart(data []byte) (path string, err error) {
	s.o.step("write the photo")
	f, err := os.CreateTemp(filepath.Join(s.dir, photoFolder), partPrefix)
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err != nil {
		_ = f.Close()
		return "", err
	}
	if err = f.Sync(); err != nil {
		_ = f.Close()
		return "", err
	}
	return f.Name(), f.Close()
}

// writeFile writes a new file, safe on the disk, that its owner alone may read.
func writeFile(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
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
