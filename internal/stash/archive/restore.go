package archive

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
	"piecebag/internal/stash"
	"piecebag/internal/stash/disk"
)

// Restore puts the stash of a backup in the place of the one in dir, as stash.Replace
// does; its ledger is made anew from its rows. Errors: a file that is no backup, or a
// damaged one (stash.ErrDamaged), or one of a newer version (stash.ErrNewer), and those of
// stash.Replace; they change nothing.
func Restore(ctx context.Context, file, dir string, o stash.Options) (kept string, err error) {
	return stash.Replace(ctx, dir, o, func(fresh string) error {
		return stash.Explain(file, unpackBackup(ctx, file, fresh, o))
	})
}

func noBackup(file, reason string) error {
	return fault.New(file, reason, "give a file that backup wrote; the stash was not changed", stash.ErrDamaged)
}

// unpackBackup unpacks a backup into an empty folder, checks every byte of it and
// makes its ledger anew.
func unpackBackup(ctx context.Context, file, dir string, o stash.Options) error {
	z, err := zip.OpenReader(file)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return fault.New(file, "there is no such file", "check the name", stash.ErrRefused, err)
		}
		return noBackup(file, "this is not a backup, or a damaged one")
	}
	defer z.Close()
	m, err := readManifest(&z.Reader)
	if err != nil || m.Format != backupFormat || len(m.Files) == 0 || m.Files[0].Name != stash.LedgerName {
		return noBackup(file, "this is not a backup of a stash")
	}
	if m.Version > stash.Version {
		return fault.New(file, fmt.Sprintf("the backup was made by a newer piecebag (version %d; this one knows %d)", m.Version, stash.Version), "use the newer piecebag", stash.ErrNewer)
	}
	if err := modest(&z.Reader, m, file); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, stash.PhotoFolder), 0o700); err != nil {
		return err
	}
	const strange = "strange.db" // the ledger as the backup has it
	for i, p := range m.Files {
		o.Told(i+1, len(m.Files))
		if err := ctx.Err(); err != nil {
			return err
		}
		to := filepath.Join(dir, strange)
		if p.Name != stash.LedgerName {
			name := strings.TrimPrefix(p.Name, stash.PhotoFolder+"/")
			if !stash.IsPhotoFile(name) || p.Name != stash.PhotoFolder+"/"+name {
				return noBackup(file, fmt.Sprintf("it names a file %q, which no backup has", p.Name))
			}
			to = filepath.Join(dir, stash.PhotoFolder, name)
		}
		o.Step("unpack")
		err := unpackFile(&z.Reader, p, to)
		if errors.Is(err, errProof) || errors.Is(err, fs.ErrExist) {
			return noBackup(file, p.Name+" in it is damaged")
		}
		if err != nil {
			return err
		}
	}
	o.Step("make the ledger anew")
	err = stash.Rebuild(ctx, filepath.Join(dir, strange), filepath.Join(dir, stash.LedgerName))
	switch {
	case errors.Is(err, stash.ErrNewer):
		return fault.New(file, "the ledger in it was written by a newer piecebag", "use the newer piecebag", stash.ErrNewer)
	case errors.Is(stash.Explain(file, err), stash.ErrFull) || ctx.Err() != nil:
		return err
	case err != nil:
		return noBackup(file, "the ledger in it is damaged: "+err.Error())
	}
	return errors.Join(os.Remove(filepath.Join(dir, strange)), disk.Sync(filepath.Join(dir, stash.PhotoFolder)), disk.Sync(dir))
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
	err = disk.WriteNew(path, in)
	if errors.Is(err, zip.ErrChecksum) || errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errProof
	}
	if err != nil {
		return err
	}
	if sum, err := disk.Hash(path); err != nil || sum != p.SHA256 {
		return errors.Join(err, errProof)
	}
	return nil
}
