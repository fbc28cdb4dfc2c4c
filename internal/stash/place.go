package stash

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// workPrefix begins the names of the folders that restores make beside a stash for
// a while. No stash may have such a name.
const workPrefix = ".piecebag-restore-"

// Exists reports whether there is a folder in the place of a stash. Links are
// followed, and a restore that was cut short is finished first. What is there and
// is no folder is refused.
func Exists(dir string) (bool, error) {
	_, there, err := place(dir)
	return there, err
}

// place returns where a stash lies or will lie, links followed; there says whether a
// folder is there. A restore that was cut short is finished first.
func place(dir string) (real string, there bool, err error) {
	named, err := filepath.Abs(dir)
	if err != nil {
		return "", false, err
	}
	if real, err = follow(named); err != nil {
		return "", false, Explain(dir, err)
	}
	if strings.HasPrefix(filepath.Base(real), workPrefix) {
		return "", false, refuse(dir, "a name that begins with "+workPrefix+" is for folders that piecebag makes for a while", "name another folder", ErrFolder)
	}
	if err := finishRestore(real); err != nil {
		return "", false, Explain(dir, err)
	}
	if around := Around(real); around != "" && !isFolder(real) {
		return "", false, refuse(dir, "it lies inside the stash in "+around, "what lies in a stash is the stash's own: name a folder elsewhere", ErrFolder)
	}
	info, err := os.Stat(real)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Lstat(named); err == nil {
			return "", false, refuse(dir, "it is a link to a folder that is not there: "+real, "bring the disk or the folder back that it leads to, or name another folder", ErrFolder)
		}
		return real, false, nil
	case err != nil:
		return "", false, Explain(dir, err)
	case !info.IsDir():
		return "", false, refuse(dir, "it is a file, not a folder", "name the stash's folder", ErrFolder)
	}
	return real, true, nil
}

// follow returns where a path leads: to another where it is a link, also to one that is
// not there.
func follow(path string) (string, error) {
	const most = 40 // links, as many as Linux follows
	for range most {
		to, err := os.Readlink(path)
		if err != nil {
			return path, nil // no link
		}
		if !filepath.IsAbs(to) {
			folder, err := filepath.EvalSymlinks(filepath.Dir(path))
			if err != nil {
				return "", err
			}
			to = filepath.Join(folder, to)
		}
		path = to
	}
	return "", refuse(path, "its links lead in a circle", "name the folder itself", ErrFolder)
}

// A restore unpacks and checks the backup in a folder beside the stash, moves the
// stash out of the way and the new one into its place. Both folders bear one stamp:
// only where both are there, and no stash is in its place, is a restore finished by
// whoever comes next.

// keptAs returns the folder in which the former stash is kept after a restore.
func keptAs(dir, stamp string) string { return dir + ".before-" + stamp }

// workFolders returns the folders that restores of a stash have made for a while.
func workFolders(dir string) []string {
	entries, _ := os.ReadDir(filepath.Dir(dir))
	var out []string
	for _, e := range entries {
		if e.IsDir() && strings.HasPrefix(e.Name(), workName(dir)) {
			out = append(out, filepath.Join(filepath.Dir(dir), e.Name()))
		}
	}
	return out
}

// workName begins the names of such folders; it has the stash's name in it, but at
// no length that a file system would refuse.
func workName(dir string) string { return workPrefix + Hash([]byte(filepath.Base(dir)))[:16] + "-" }

// finishRestore ends a restore that was cut short between its two renames.
func finishRestore(dir string) error {
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, folder := range workFolders(dir) {
		stamp := strings.TrimPrefix(filepath.Base(folder), workName(dir))
		if before, err := os.Lstat(keptAs(dir, stamp)); err != nil || !before.IsDir() {
			continue
		}
		if err := putInPlace(folder, dir, Options{}); err != nil {
			return fault.New(dir, "a restore was cut short, and the stash cannot be put into its place", "rename "+folder+" to "+dir+", or make the folder they are in writable", ErrReadOnly, err)
		}
	}
	return nil
}

// putInPlace moves a restored stash into its place, or finds that another process
// did.
func putInPlace(folder, dir string, o Options) error {
	o.Step("put in place")
	err := os.Rename(folder, dir)
	if errors.Is(err, fs.ErrNotExist) {
		if _, there := os.Lstat(dir); there == nil {
			return nil
		}
	}
	if err != nil {
		return err
	}
	o.Step("make it last")
	return disk.Sync(filepath.Dir(dir))
}

// junk are files that systems leave in any folder they show, by their names in
// small letters: no damage, and nothing of yours.
var junk = map[string]bool{".ds_store": true, ".localized": true, ".directory": true, "thumbs.db": true, "ehthumbs.db": true, "desktop.ini": true}

func isJunk(name string) bool {
	return junk[strings.ToLower(name)] || strings.HasPrefix(name, "._") // of resource forks
}

// noAfresh refuses to begin a stash in a folder whose ledger is empty or missing while
// other files show that there was one.
func noAfresh(dir string) error {
	reason := "the ledger is empty"
	_, err := os.Stat(filepath.Join(dir, LedgerName))
	gone := errors.Is(err, fs.ErrNotExist)
	if gone {
		reason = "the ledger is gone"
	}
	entries, _ := os.ReadDir(filepath.Join(dir, PhotoFolder))
	left := ""
	for _, e := range entries {
		if IsPhotoFile(e.Name()) {
			left = "photos of a stash are there"
		}
	}
	entries, _ = os.ReadDir(dir)
	for _, e := range entries {
		switch {
		case strings.HasPrefix(e.Name(), olderPrefix):
			left = "an older copy of it is there"
		case gone && e.Name() == LedgerName+"-wal":
			left = "its last changes are there"
		}
	}
	if left == "" {
		return nil
	}
	return fault.New(dir, reason+", but "+left, takeBackup+"; to begin afresh, move this folder away first", ErrDamaged, ErrGone)
}
