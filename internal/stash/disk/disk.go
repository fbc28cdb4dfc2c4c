// Package disk writes files that are whole or not there, and stay when the power goes.
package disk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// Hash returns the SHA-256 of a file's bytes, in hex.
func Hash(path string) (string, error) {
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

// Beside has fill write a file under a passing name beside path, which pattern gives as
// os.CreateTemp reads it, and gives it that name when it is whole and safe on the disk.
// step is told before the file is begun, and before it gets its name.
func Beside(path, pattern string, step func(string), fill func(part *os.File) error) error {
	step("write beside")
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
	step("give it its name")
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return Sync(filepath.Dir(path))
}

// WriteNew writes a new file, safe on the disk, that its owner alone may read.
func WriteNew(path string, from io.Reader) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, from)
	return errors.Join(err, f.Sync(), f.Close())
}

// Sync makes a rename in a folder last. Windows has no such call, and needs none.
func Sync(folder string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// PartAge is how old a file that is not whole must be to be left over from a killed
// process.
const PartAge = time.Hour

// Young reports whether another process may still be writing a file.
func Young(e fs.DirEntry, now time.Time) bool {
	info, err := e.Info()
	return err != nil || now.Sub(info.ModTime()) < PartAge
}

// Sweep clears away what commands that were killed left in a folder under names that
// begin and end so; what is young may be another's.
func Sweep(folder, prefix, suffix string, now time.Time) {
	entries, _ := os.ReadDir(folder)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), prefix) && strings.HasSuffix(e.Name(), suffix) && !Young(e, now) {
			_ = os.RemoveAll(filepath.Join(folder, e.Name()))
		}
	}
}
