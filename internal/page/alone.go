package page

import (
	"errors"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/fault"
	"piecebag/internal/stash/disk"
)

// alone is the lock by which one server has a stash to itself: two would overwrite each
// other's notes on the photos that wait beside it. The lock of a server that was killed is
// free.
type alone struct{ file *os.File } // nil: the place takes no lock

// holdAlone holds the stash that a file lies beside. Where another server has it, the error
// says where that one answers.
func holdAlone(path, stash string) (alone, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return alone{}, nil //nolint:nilerr // where nothing can be written nothing is overwritten
	}
	f, err := disk.Lock(path)
	switch {
	case err == nil:
		return alone{f}, f.Truncate(0)
	case !errors.Is(err, disk.ErrHeld):
		return alone{}, nil // nothing can be written, or the file system knows no locks
	}
	defer f.Close()
	at, _ := io.ReadAll(io.LimitReader(f, mostForm))
	open := strings.TrimSpace(string(at))
	if open == "" { // it began just now
		return alone{}, fault.New(stash, "another piecebag serves this stash", "use its page, or end it with Ctrl-C where it was started", nil)
	}
	return alone{}, fault.New(stash, "another piecebag serves this stash, at "+open, "open that address, or end that piecebag with Ctrl-C where it was started", nil)
}

// says writes the address of this server into the lock's file, for a server that starts
// later to name.
func (a alone) says(address string) error {
	if a.file == nil {
		return nil
	}
	_, err := a.file.WriteAt([]byte(address+"\n"), 0)
	return err
}

func (a alone) end() error {
	if a.file == nil {
		return nil
	}
	err := a.file.Truncate(0)
	if errors.Is(err, os.ErrClosed) {
		return nil
	}
	return errors.Join(err, a.file.Close())
}

// Announce returns the address that opens a session of a server that listens at at. A
// second server started on the same stash names this address.
func (s *Server) Announce(at net.Addr) (address string, err error) {
	address = "http://" + at.String() + "/enter?key=" + s.key
	return address, s.alone.says(address)
}

// Close frees the stash for another server.
func (s *Server) Close() error { return errors.Join(s.play.end(), s.alone.end()) }
