package stash

import (
	"errors"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"piecebag/internal/fault"
)

// The kinds of failure that a user can mend, causes of a *fault.Error.
var (
	ErrNone     = errors.New("no stash")
	ErrNewer    = errors.New("a stash of a newer version")
	ErrDamaged  = errors.New("a damaged stash")
	ErrFull     = errors.New("the disk is full")
	ErrBusy     = errors.New("the stash is in use")
	ErrReplaced = errors.New("the stash was replaced while it was open")
	ErrReadOnly = errors.New("the stash cannot be written")
	ErrShort    = errors.New("not enough in the stash")
	ErrUnknown  = errors.New("no such thing in the stash")
	ErrRefused  = errors.New("refused")
)

// Kinds of faults that each door has its own remedy for.
var (
	ErrFolder    = errors.New("a folder that can be no stash's") // its remedy ends in naming another
	ErrGone      = errors.New("a folder of a stash without its ledger")
	ErrNoCopy    = errors.New("a ledger too damaged to back up")
	ErrNoPiece   = errors.New("no such piece in the stash")
	ErrNotTaught = errors.New("a bin that was not taught")
)

func refuse(thing, reason, remedy string, kinds ...error) *fault.Error {
	return fault.New(thing, reason, remedy, append(kinds, ErrRefused)...)
}

// takeBackup is the remedy where a ledger cannot be mended.
const takeBackup = "put the last backup back; what is there is kept beside it"

// code returns the primary result code of a SQLite error, 0 for any other:
// https://www.sqlite.org/rescode.html.
func code(err error) int { return extended(err) & 0xff }

// extended returns the extended result code, which says more closely what happened.
func extended(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code()
	}
	return 0
}

func busy(err error) bool {
	c := code(err)
	return c == sqlite3.SQLITE_BUSY || c == sqlite3.SQLITE_LOCKED
}

// Explain turns an error of SQLite or the file system about the file or folder thing into
// one in plain words.
func Explain(thing string, err error) error {
	if err == nil || fault.Of(err) != nil {
		return err
	}
	switch c := code(err); {
	case c == sqlite3.SQLITE_FULL || extended(err) == sqlite3.SQLITE_IOERR_SHMSIZE || errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT):
		return fault.New(thing, "the disk is full; nothing was changed", "make room on it and try again", ErrFull, err)
	case busy(err):
		return fault.New(thing, "another piecebag was using it for too long; nothing was changed", "wait a little, and try again", ErrBusy, err)
	case c == sqlite3.SQLITE_CORRUPT || c == sqlite3.SQLITE_NOTADB:
		return fault.New(thing, "the ledger is damaged", takeBackup, ErrDamaged, ErrLedger, err)
	case c == sqlite3.SQLITE_READONLY || c == sqlite3.SQLITE_CANTOPEN || c == sqlite3.SQLITE_PERM ||
		errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS):
		return fault.New(thing, "the folder cannot be written", "check the folder's permissions, or choose another", ErrReadOnly, err)
	case c == sqlite3.SQLITE_IOERR:
		return fault.New(thing, "the disk failed", "check the disk; nothing reported done was lost", ErrDamaged, err)
	case errors.Is(err, fs.ErrNotExist):
		return fault.New(thing, "there is no such file or folder", "check the name", ErrRefused, err)
	case errors.Is(err, syscall.ENOTDIR) || errors.Is(err, fs.ErrExist):
		return fault.New(thing, "there is a file where a folder should be", "name another place", ErrRefused, err)
	case errors.Is(err, syscall.EISDIR):
		return fault.New(thing, "it is a folder", "name a file", ErrRefused, err)
	case errors.Is(err, syscall.ENAMETOOLONG) || errors.Is(err, syscall.EINVAL):
		return fault.New(thing, "a file cannot have this name", "name another place", ErrRefused, err)
	}
	return err
}
