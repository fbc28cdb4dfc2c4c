package stash

import (
	"archive/zip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/fault"
)

// Restore puts the stash of a backup in dir. The backup is unpacked beside dir,
// checked, and its ledger made anew from its rows; then the folders change places,
// and what was in dir is kept in the folder named by the answer, "" where there
// was nothing. Links are followed. Errors: a file that is no backup, or a damaged
// one (ErrDamaged), or one of a newer version (ErrNewer), or a place that is no
// folder, or a folder that holds no stash and other things (ErrRefused) change
// nothing.
func Restore(ctx context.Context, file, dir string, o Options) (kept string, err error) {
	dir, there, err := place(dir)
	if err != nil {
		return "", err
	}
	stamp := stamp(o.Now())
	if there {
		held, err := holdsStash(dir)
		if err != nil {
			return "", explain(dir, err)
		}
		if held {
			kept = keptAs(dir, stamp)
		}
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o700); err != nil {
		return "", explain(parent, err)
	}
	o.sweep(parent, workName(dir), "")
	fresh := filepath.Join(parent, workName(dir)+stamp)
	if err := os.Mkdir(fresh, 0o700); err != nil {
		return "", explain(parent, err)
	}
	defer os.RemoveAll(fresh) // where it did not get its place
	if err := unpackBackup(ctx, file, fresh, o); err != nil {
		return "", explain(file, err)
	}
	return kept, explain(dir, swap(ctx, dir, fresh, kept, o))
}

// holdsStash says whether a folder holds a stash, and not nothing, which is taken
// away; a folder that holds other things is refused.
func holdsStash(dir string) (bool, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return false, err
	}
	for _, e := range entries {
		if e.Name() == ledgerName || e.Name() == photoFolder {
			return true, nil
		}
	}
	for _, e := range entries {
		if !isJunk(e.Name()) {
			return false, refuse(dir, "it holds other things, such as "+e.Name()+", and no stash", "name the folder of the stash with --stash, or a new one")
		}
	}
	for _, e := range entries {
		err = errors.Join(err, os.Remove(filepath.Join(dir, e.Name())))
	}
	return false, err
}

// swap puts fresh in the place of dir, which it moves to kept; where that is "", dir
// is an empty folder or not there.
func swap(ctx context.Context, dir, fresh, kept string, o Options) error {
	if kept == "" {
		if info, err := os.Lstat(dir); err == nil && info.IsDir() {
			o.step("remove the empty folder")
			if err := os.Remove(dir); err != nil {
				return err
			}
		}
		return putInPlace(fresh, dir, o)
	}
	release, err := holdLock(ctx, dir, o)
	if err != nil {
		return err
	}
	o.step("move aside")
	err = os.Rename(dir, kept)
	release()
	if err != nil {
		return err
	}
	if err := putInPlace(fresh, dir, o); err != nil {
		return errors.Join(err, os.Rename(kept, dir))
	}
	return nil
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

func noBackup(file, reason string) error {
	return fault.New(file, reason, "give a file that backup wrote; the stash was not changed", ErrDamaged)
}

// unpackBackup unpacks a backup into an empty folder, checks every byte of it and
// makes its ledger anew.
func unpackBackup(ctx context.Context, file, dir string, o Options) error {
	z, err := zip.OpenReader(file)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return fault.New(file, "there is no such file", "check the name", ErrRefused, err)
		}
		return noBackup(file, "this is not a backup, or a damaged one")
	}
	defer z.Close()
	m, err := readManifest(&z.Reader)
	if err != nil || m.Format != backupFormat || len(m.Files) == 0 || m.Files[0].Name != ledgerName {
		return noBackup(file, "this is not a backup of a stash")
	}
	if m.Version > version {
		return fault.New(file, fmt.Sprintf("the backup was made by a newer piecebag (version %d; this one knows %d)", m.Version, version), "use the newer piecebag", ErrNewer)
	}
	if err := modest(&z.Reader, m, file); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, photoFolder), 0o700); err != nil {
		return err
	}
	const strange = "strange.db" // the ledger as the backup has it
	for i, p := range m.Files {
		o.told(i+1, len(m.Files))
		if err := ctx.Err(); err != nil {
			return err
		}
		to := filepath.Join(dir, strange)
		if p.Name != ledgerName {
			name := strings.TrimPrefix(p.Name, photoFolder+"/")
			if !plainPhotoName(name) || p.Name != photoFolder+"/"+name {
				return noBackup(file, fmt.Sprintf("it names a file %q, which no backup has", p.Name))
			}
			to = filepath.Join(dir, photoFolder, name)
		}
		o.step("unpack")
		err := unpackFile(&z.Reader, p, to)
		if errors.Is(err, errProof) || errors.Is(err, fs.ErrExist) {
			return noBackup(file, p.Name+" in it is damaged")
		}
		if err != nil {
			return err
		}
	}
	o.step("make the ledger anew")
	err = rebuild(ctx, filepath.Join(dir, strange), filepath.Join(dir, ledgerName))
	switch {
	case errors.Is(err, ErrNewer):
		return fault.New(file, "the ledger in it was written by a newer piecebag", "use the newer piecebag", ErrNewer)
	case errors.Is(explain(file, err), ErrFull) || ctx.Err() != nil:
		return err
	case err != nil:
		return noBackup(file, "the ledger in it is damaged: "+err.Error())
	}
	return errors.Join(os.Remove(filepath.Join(dir, strange)), syncFolder(filepath.Join(dir, photoFolder)), syncFolder(dir))
}

// errProof says that a file is missing from a backup or not what it was.
var errProof = errors.New("not what the manifest says")

func readManifest(z *zip.Reader) (m manifest, err error) {
	f, err := z.Open(manifestName)
	if err != nil {
		return m, err
	}
	defer f.Close()
	// Each file of the zip is named once, in some 180 bytes.
	most := 4096 + 512*int64(len(z.File))
	return m, json.NewDecoder(io.LimitReader(f, most)).Decode(&m)
}

// A backup grows at most so much when it is unpacked. Photos do not, and a ledger
// about eightfold; what claims more was made to fill the disk.
const (
	mostGrowth = 100
	freeGrowth = 64 << 20 // bytes that any backup may unpack to
)

// modest refuses a backup that would unpack to much more than one of its size
// holds. What an entry claims is what it gives: archive/zip gives no more.
func modest(z *zip.Reader, m manifest, file string) error {
	info, err := os.Stat(file)
	if err != nil {
		return err
	}
	most := freeGrowth + mostGrowth*info.Size()
	left := most
	for _, p := range m.Files {
		one, err := fs.Stat(z, p.Name)
		if err != nil {
			continue // unpackFile says so
		}
		if size := one.Size(); size < 0 || size > left {
			return noBackup(file, fmt.Sprintf("it would unpack to more than %d MB, which no backup of its size does", most>>20))
		}
		left -= one.Size()
	}
	return nil
}

func unpackFile(z *zip.Reader, p fileProof, path string) error {
	in, err := z.Open(p.Name)
	if err != nil {
		return errProof
	}
	defer in.Close()
	err = writeNew(path, in)
	if errors.Is(err, zip.ErrChecksum) || errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errProof
	}
	if err != nil {
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
