package stash

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
	"piecebag/internal/fault"
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
func (s *Stash) Backup(ctx context.Context, file string) (err error) {
	if file, err = filepath.Abs(file); err != nil {
		return err
	}
	if err := s.replaceable(ctx, file); err != nil {
		return explain(file, err)
	}
	s.o.sweep(filepath.Dir(file), backupPrefix, backupSuffix)
	return explain(file, s.o.beside(file, backupPrefix+"*"+backupSuffix, func(part *os.File) (err error) {
		for range backupTries {
			if err = s.backup(ctx, part); !errors.Is(err, errMoved) {
				break
			}
		}
		return err
	}))
}

// replaceable refuses a file that is there and is no backup, or is one that holds a
// photo which the stash knows and has lost.
func (s *Stash) replaceable(ctx context.Context, file string) error {
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
	photos, err := filesOf(ctx, s.r)
	if err != nil {
		return explain(s.file, err)
	}
	lost := 0
	for _, p := range photos {
		if !slices.Contains(old.Files, fileProof{photoFolder + "/" + p.file, hashOf(p.file)}) {
			continue
		}
		whole, err := s.whole(p.file)
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

func (s *Stash) backup(ctx context.Context, f *os.File) error {
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
	s.o.step("copy the ledger")
	ledger := filepath.Join(dir, ledgerName)
	if err := s.copyLedger(ctx, ledger); err != nil {
		return err
	}
	proof, err := hashFile(ledger)
	if err != nil {
		return err
	}
	now := s.o.Now().UTC()
	m := manifest{Format: backupFormat, Version: version, Made: now.Format("2006-01-02T15:04:05Z"), Files: []fileProof{{ledgerName, proof}}}
	photos, err := photoFiles(ctx, ledger)
	if err != nil {
		return err
	}
	for _, p := range photos {
		sum, err := hashFile(s.photoPath(p.file))
		if err == nil {
			m.Files = append(m.Files, fileProof{photoFolder + "/" + p.file, sum})
			continue
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if now, err := findPhoto(ctx, s.r, p.hash); err != nil || now == nil || now.file == "" {
			return cmp.Or(err, errMoved)
		}
	}
	s.o.step("fill the backup")
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
		s.o.told(i+1, len(m.Files))
		if err := ctx.Err(); err != nil {
			return err
		}
		path, method := filepath.Join(s.dir, filepath.FromSlash(p.Name)), zip.Store // photos are packed already
		if p.Name == ledgerName {
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

// copyLedger writes the ledger as it is now into a new file, in the way in which
// Restore would read it: what cannot be restored is no backup.
func (s *Stash) copyLedger(ctx context.Context, file string) error {
	faults, err := integrity(ctx, s.r)
	if err == nil && len(faults) > 0 {
		err = errors.New(faults[0])
	}
	now := file + ".now"
	if err == nil {
		err = snapshot(ctx, s.file, now)
	}
	if err == nil {
		err = rebuild(ctx, now, file)
	}
	kind := explain(s.file, err)
	if err == nil || errors.Is(kind, ErrFull) || errors.Is(kind, ErrBusy) || errors.Is(kind, ErrReadOnly) || ctx.Err() != nil {
		return kind
	}
	return fault.New(s.file, "no backup was made, for the ledger is damaged: "+err.Error(), "keep the backups you have; 'piecebag check' says what can be mended", ErrDamaged, err)
}

// photoFiles lists the photos that a ledger says are kept.
func photoFiles(ctx context.Context, ledger string) ([]photoRow, error) {
	db, err := dial(ledger, 1, asItIs)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	return filesOf(ctx, db)
}

func filesOf(ctx context.Context, q queryer) ([]photoRow, error) {
	return rowsOf(ctx, q, func(p *photoRow) []any { return []any{&p.id, &p.hash, &p.file} },
		`SELECT id, hash, file FROM photo WHERE file <> '' ORDER BY id`)
}
