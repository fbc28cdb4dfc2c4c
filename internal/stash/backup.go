package stash

import (
	"archive/zip"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
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
)

// backupTries is how often a backup begins again because a photo was taken back
// while it was being copied.
const backupTries = 5

// errMoved says that a photo left the stash while it was being copied.
var errMoved = errors.New("a photo left the stash meanwhile")

// Backup writes the ledger and the photos into one file, a zip, while the stash
// may be in use: the state at one moment. The file is written beside its place
// and renamed. A photo that is missing from the folder is left out, and one that
// is not what it was goes in as it is, or nothing could be restored; Check tells.
//
// A file that is there already is replaced only where it is a backup itself.
func (s *Stash) Backup(ctx context.Context, file string) (err error) {
	if file, err = filepath.Abs(file); err != nil {
		return err
	}
	if err := replaceable(file); err != nil {
		return explain(file, err)
	}
	f, err := os.CreateTemp(filepath.Dir(file), ".piecebag-backup-*.part")
	if err != nil {
		return explain(filepath.Dir(file), err)
	}
	part := f.Name()
	defer func() {
		if err != nil {
			_ = f.Close()
			_ = os.Remove(part)
		}
	}()
	for try := 0; ; try++ {
		if err = s.backup(ctx, f); !errors.Is(err, errMoved) || try == backupTries {
			break
		}
	}
	if err == nil {
		err = errors.Join(f.Sync(), f.Close())
	}
	if err == nil {
		err = os.Rename(part, file)
	}
	if err == nil {
		err = syncFolder(filepath.Dir(file))
	}
	return explain(file, err)
}

// replaceable refuses a file that is there and is no backup.
func replaceable(file string) error {
	info, err := os.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case info.IsDir():
		return refuse(file, "it is a folder", "name a file in it, such as stash.backup")
	}
	z, err := zip.OpenReader(file)
	if err == nil {
		defer z.Close()
		var m manifest
		if m, err = readManifest(&z.Reader); err == nil && m.Format == backupFormat {
			return nil
		}
	}
	return refuse(file, "it is there already, and is no backup of a stash; it was left as it is", "name another file")
}

func (s *Stash) backup(ctx context.Context, f *os.File) error {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if err := f.Truncate(0); err != nil {
		return err
	}
	dir, err := os.MkdirTemp(filepath.Dir(f.Name()), ".piecebag-backup-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	ledger := filepath.Join(dir, ledgerName)
	if err := snapshot(ctx, s.file, ledger); err != nil {
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
		switch {
		case err == nil:
			m.Files = append(m.Files, fileProof{photoFolder + "/" + p.file, sum})
		case !errors.Is(err, fs.ErrNotExist):
			return err
		default:
			if err := s.stillThere(ctx, p.hash); err != nil {
				return err
			}
		}
	}
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
	for _, p := range m.Files {
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

// stillThere gives errMoved where a photo of a snapshot has left the stash
// since.
func (s *Stash) stillThere(ctx context.Context, hash string) error {
	var n int
	err := s.r.QueryRowContext(ctx, `SELECT count(*) FROM photo WHERE hash = ? AND file <> ''`, hash).Scan(&n)
	if err == nil && n == 0 {
		err = errMoved
	}
	return err
}

type photoFile struct{ hash, file string }

// photoFiles lists the photos that a ledger says are kept.
func photoFiles(ctx context.Context, ledger string) ([]photoFile, error) {
	db, err := connectPlain(ledger)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	return filesOf(ctx, db)
}

func filesOf(ctx context.Context, q queryer) ([]photoFile, error) {
	return rowsOf(ctx, q, func(r *sql.Rows) (p photoFile, err error) {
		err = r.Scan(&p.hash, &p.file)
		return p, err
	}, `SELECT hash, file FROM photo WHERE file <> '' ORDER BY id`)
}

// Restore puts the stash of a backup in dir. The backup is unpacked beside dir
// and checked first; then the folders change places, and what was in dir is kept
// in the folder named by the answer, "" where there was nothing. Errors: a file
// that is no backup, or a damaged one (ErrDamaged), or one of a newer version
// (ErrNewer), changes nothing.
func Restore(ctx context.Context, file, dir string, o Options) (kept string, err error) {
	if dir, err = filepath.Abs(dir); err != nil {
		return "", err
	}
	if err := finishRestore(dir); err != nil {
		return "", explain(dir, err)
	}
	fresh := dir + ".restoring"
	for _, left := range []string{fresh, ready(dir)} { // of a restore that was cut short
		if err := os.RemoveAll(left); err != nil {
			return "", explain(left, err)
		}
	}
	if err := unpackBackup(ctx, file, fresh); err != nil {
		_ = os.RemoveAll(fresh)
		return "", explain(file, err)
	}
	_ = os.Remove(dir) // where it is empty there is nothing to keep
	if _, err := os.Stat(dir); err == nil {
		kept = dir + ".before-" + stamp(o.Now())
	}
	return kept, explain(dir, swap(ctx, dir, fresh, kept, o))
}

// swap puts fresh in the place of dir. Between the two renames the folder named
// by ready tells the next Open what was under way.
func swap(ctx context.Context, dir, fresh, kept string, o Options) error {
	if err := os.Rename(fresh, ready(dir)); err != nil {
		return err
	}
	if kept != "" {
		release, err := holdLock(ctx, dir, o)
		if err != nil {
			return errors.Join(err, os.RemoveAll(ready(dir)))
		}
		err = os.Rename(dir, kept)
		release()
		if err != nil {
			return errors.Join(err, os.Rename(ready(dir), fresh))
		}
	}
	return finishRestore(dir)
}

// holdLock waits for changes under way in dir, and keeps others from beginning.
// A stash that cannot be opened has none.
func holdLock(ctx context.Context, dir string, o Options) (release func(), err error) {
	s, err := Open(dir, Options{Now: o.Now})
	if errors.Is(err, ErrBusy) {
		return nil, err
	}
	if err != nil {
		return func() {}, nil
	}
	tx, err := s.begin(ctx)
	if err != nil {
		_ = s.Close()
		return nil, err
	}
	return func() { _ = tx.Rollback(); _ = s.Close() }, nil
}

// ready is the folder of a stash that is restored and checked, but not yet in
// its place.
func ready(dir string) string { return dir + ".restored" }

// finishRestore ends a restore that was cut short between its two renames.
func finishRestore(dir string) error {
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	err := os.Rename(ready(dir), dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return syncFolder(filepath.Dir(dir))
}

func noBackup(file, reason string) error {
	return &Error{file, reason, "give a file that backup wrote; the stash was not changed", ErrDamaged}
}

// unpackBackup unpacks a backup into a new folder and checks every byte of it.
func unpackBackup(ctx context.Context, file, dir string) error {
	z, err := zip.OpenReader(file)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return &Error{file, "there is no such file", "check the name", because(ErrRefused, err)}
		}
		return noBackup(file, "this is no backup, or a damaged one")
	}
	defer z.Close()
	m, err := readManifest(&z.Reader)
	if err != nil || m.Format != backupFormat || len(m.Files) == 0 || m.Files[0].Name != ledgerName {
		return noBackup(file, "this is no backup of a stash")
	}
	if m.Version > version {
		return &Error{file, fmt.Sprintf("the backup was made by a newer piecebag (version %d; this one knows %d)", m.Version, version), "use the newer piecebag", ErrNewer}
	}
	if err := os.MkdirAll(filepath.Join(dir, photoFolder), 0o700); err != nil {
		return err
	}
	for _, p := range m.Files {
		if err := ctx.Err(); err != nil {
			return err
		}
		name := strings.TrimPrefix(p.Name, photoFolder+"/")
		if p.Name != ledgerName && (!plainPhotoName(name) || p.Name != photoFolder+"/"+name) {
			return noBackup(file, fmt.Sprintf("it names a file %q, which no backup has", p.Name))
		}
		if err := unpackFile(&z.Reader, p, filepath.Join(dir, filepath.FromSlash(p.Name))); err != nil {
			if errors.Is(err, errProof) {
				return noBackup(file, p.Name+" in it is damaged")
			}
			return err
		}
	}
	if err := checkLedger(ctx, filepath.Join(dir, ledgerName)); err != nil {
		var known *Error
		if errors.As(err, &known) {
			return err
		}
		return noBackup(file, "the ledger in it is damaged")
	}
	return errors.Join(syncFolder(filepath.Join(dir, photoFolder)), syncFolder(dir))
}

// errProof says that a file is missing from a backup or not what it was.
var errProof = errors.New("not what the manifest says")

func readManifest(z *zip.Reader) (m manifest, err error) {
	f, err := z.Open(manifestName)
	if err != nil {
		return m, err
	}
	defer f.Close()
	const most = 64 << 20 // of a manifest: over 400,000 photos
	return m, json.NewDecoder(io.LimitReader(f, most)).Decode(&m)
}

func unpackFile(z *zip.Reader, p fileProof, path string) (err error) {
	in, err := z.Open(p.Name)
	if err != nil {
		return errProof
	}
	defer in.Close()
	out, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	if errors.Is(err, zip.ErrChecksum) || errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = errProof
	}
	if err = errors.Join(err, out.Sync(), out.Close()); err != nil {
		return err
	}
	if sum, err := hashFile(path); err != nil || sum != p.SHA256 {
		return errors.Join(err, errProof)
	}
	return nil
}

// plainPhotoName says whether a name is one that fileName gives.
func plainPhotoName(name string) bool {
	hash, ext, _ := strings.Cut(name, ".")
	if len(hash) != 64 || strings.Trim(hash, "0123456789abcdef") != "" {
		return false
	}
	return name == fileName(hash, "x."+ext) || name == hash
}

// checkLedger checks a ledger that nobody uses.
func checkLedger(ctx context.Context, file string) error {
	db, err := connectPlain(file)
	if err != nil {
		return err
	}
	defer db.Close()
	if _, err := versionOf(ctx, db, file); err != nil {
		return err
	}
	faults, err := integrity(ctx, db)
	if err == nil && len(faults) > 0 {
		err = errors.New(faults[0])
	}
	return err
}
