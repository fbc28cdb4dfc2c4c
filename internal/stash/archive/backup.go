package archive

import (
	"archive/zip"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/stash"
	"piecebag/internal/stash/disk"
)

// manifest is the first entry of a backup.
type manifest struct {
	Format  string      `json:"format"`
	Version int         `json:"version"` // of the ledger
	Made    string      `json:"made"`    // UTC
	Files   []fileProof `json:"files"`
}

type fileProof struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

const (
	backupFormat = "piecebag backup"
	manifestName = "manifest.json"

	// Names of what a backup is made of, beside its place, until it is whole.
	backupPrefix = ".piecebag-backup-"
	backupSuffix = ".part"
)

// backupTries is how often a backup is begun, where photos are taken back while they
// are being copied.
const backupTries = 5

// errMoved says that a photo left the stash while it was being copied.
var errMoved = errors.New("a photo left the stash meanwhile")

// Backup writes the ledger and the photos into one file, a zip, while the stash
// may be in use: the state at one moment. The file is written beside its place
// and renamed. A photo that is missing from the folder is left out, and one that
// is not what it was goes in as it is, or nothing could be restored; Check tells.
//
// A file that is there already is replaced only where it is a backup itself, and
// holds no photo that the stash has lost.
func Backup(ctx context.Context, s *stash.Stash, file string) (err error) {
	if file, err = filepath.Abs(file); err != nil {
		return err
	}
	if err := replaceable(ctx, s, file); err != nil {
		return stash.Explain(file, err)
	}
	disk.Sweep(filepath.Dir(file), backupPrefix, backupSuffix, s.Options().Now())
	return stash.Explain(file, disk.Beside(file, backupPrefix+"*"+backupSuffix, s.Options().Step, func(part *os.File) (err error) {
		for range backupTries {
			if err = backup(ctx, s, part); !errors.Is(err, errMoved) {
				break
			}
		}
		return err
	}))
}

// replaceable refuses a file that is there and is no backup, or is one that holds a
// photo which the stash knows and has lost.
func replaceable(ctx context.Context, s *stash.Stash, file string) error {
	info, err := os.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case info.IsDir():
		return refuse(file, "it is a folder", "name a file in it, such as stash.backup")
	}
	old, ok := backupManifest(file)
	if !ok {
		return refuse(file, "it is there already, and is no backup of a stash; it was left as it is", "name another file")
	}
	photos, err := s.PhotoFiles(ctx)
	if err != nil {
		return err
	}
	lost := 0
	for _, name := range photos {
		if !slices.Contains(old.Files, fileProof{stash.PhotoFolder + "/" + name, stash.FileHash(name)}) {
			continue
		}
		whole, err := s.Whole(name)
		if err != nil {
			return err
		}
		if !whole {
			lost++
		}
	}
	if lost > 0 {
		return refuse(file, "it holds "+cloth.Count(lost, "photo")+" that the stash has lost; it was left as it is",
			"write the new backup to another file, and keep this one")
	}
	return nil
}

// backup fills f, from its beginning.
func backup(ctx context.Context, s *stash.Stash, f *os.File) error {
	o := s.Options()
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if err := f.Truncate(0); err != nil {
		return err
	}
	dir, err := os.MkdirTemp(filepath.Dir(f.Name()), backupPrefix+"*"+backupSuffix)
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	o.Step("copy the ledger")
	ledger := filepath.Join(dir, stash.LedgerName)
	photos, err := s.CopyLedger(ctx, ledger)
	if err != nil {
		return err
	}
	proof, err := disk.Hash(ledger)
	if err != nil {
		return err
	}
	now := o.Now().UTC()
	m := manifest{Format: backupFormat, Version: stash.Version, Made: now.Format("2006-01-02T15:04:05Z"), Files: []fileProof{{stash.LedgerName, proof}}}
	for _, name := range photos {
		sum, err := disk.Hash(s.PhotoPath(name))
		if err == nil {
			m.Files = append(m.Files, fileProof{stash.PhotoFolder + "/" + name, sum})
			continue
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if now, err := s.PhotoFiles(ctx); err != nil || !slices.Contains(now, name) {
			return cmp.Or(err, errMoved)
		}
	}
	o.Step("fill the backup")
	z := zip.NewWriter(f)
	head, err := json.MarshalIndent(m, "", " ")
	if err != nil {
		return err
	}
	add := func(name string, method uint16, from io.Reader) error {
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: method, Modified: now})
		if err != nil {
			return err
		}
		_, err = io.Copy(w, from)
		return err
	}
	if err := add(manifestName, zip.Deflate, strings.NewReader(string(head))); err != nil {
		return err
	}
	for i, p := range m.Files {
		o.Told(i+1, len(m.Files))
		if err := ctx.Err(); err != nil {
			return err
		}
		path, method := filepath.Join(s.Dir(), filepath.FromSlash(p.Name)), zip.Store // photos are packed already
		if p.Name == stash.LedgerName {
			path, method = ledger, zip.Deflate
		}
		in, err := os.Open(path)
		if errors.Is(err, fs.ErrNotExist) {
			return errMoved
		}
		if err != nil {
			return err
		}
		err = add(p.Name, method, in)
		_ = in.Close()
		if err != nil {
			return err
		}
	}
	return z.Close()
}

// IsBackup reports whether a file is one that Backup wrote.
func IsBackup(file string) bool {
	_, ok := backupManifest(file)
	return ok
}

// backupManifest says what a backup holds; ok says that the file is one. A pipe is
// none, and is not opened: that would wait for whoever writes to it.
func backupManifest(file string) (m manifest, ok bool) {
	if st, err := os.Stat(file); err != nil || !st.Mode().IsRegular() {
		return m, false
	}
	z, err := zip.OpenReader(file)
	if err != nil {
		return m, false
	}
	defer z.Close()
	m, err = readManifest(&z.Reader)
	return m, err == nil && m.Format == backupFormat
}
