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

// alone holds a stash for one server: what waits to be stowed lies beside it, and what two
// servers say of that would overwrite each other. A server that was killed holds nothing.
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

// says has a server that comes later say where this one answers.
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

// Announce is where a session is opened, of a server that listens at a place. Who starts
// another on the same stash is told.
func (s *Server) Announce(at net.Addr) (address string, err error) {
	address = "http://" + at.String() + "/enter?key=" + s.key
	return address, s.alone.says(address)
}

// Close lets another server have the stash.
func (s *Server) Close() error { return errors.Join(s.play.end(), s.alone.end()) }
