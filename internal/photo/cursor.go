package photo

import (
	"errors"
	"io"
)

// cursor reads a file piece by piece through a small window, with no more of it
// in memory than asked for.
type cursor struct {
	r         io.ReaderAt
	pos, size int64
	window    []byte // the bytes from at on
	at        int64
}

func newCursor(r io.ReaderAt, size int64) *cursor {
	return &cursor{r: r, size: size, window: make([]byte, 0, 4096)}
}

// next gives the next n bytes, for the caller to keep; ErrTruncated where the
// file ends before them.
func (c *cursor) next(n int) ([]byte, error) {
	if n < 0 || int64(n) > c.size-c.pos {
		return nil, because(ErrTruncated, io.ErrUnexpectedEOF)
	}
	out := make([]byte, n)
	if n > cap(c.window) {
		if err := c.read(out); err != nil {
			return nil, err
		}
		c.pos += int64(n)
		return out, nil
	}
	if c.pos < c.at || c.pos+int64(n) > c.at+int64(len(c.window)) {
		c.window = c.window[:min(int64(cap(c.window)), c.size-c.pos)]
		c.at = c.pos
		if err := c.read(c.window); err != nil {
			c.window = c.window[:0]
			return nil, err
		}
	}
	copy(out, c.window[c.pos-c.at:])
	c.pos += int64(n)
	return out, nil
}

func (c *cursor) read(b []byte) error {
	k, err := c.r.ReadAt(b, c.pos)
	switch {
	case k == len(b):
		return nil
	case errors.Is(err, io.EOF):
		return because(ErrTruncated, io.ErrUnexpectedEOF)
	}
	return because(ErrUnreadable, err)
}
