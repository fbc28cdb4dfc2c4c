package photo

import "io"

// cursor reads a file piece by piece.
type cursor struct {
	b   []byte
	pos int64
}

// next returns the next n bytes; ErrTruncated where the file ends before them.
func (c *cursor) next(n int) ([]byte, error) {
	if n < 0 || int64(n) > int64(len(c.b))-c.pos {
		return nil, because(ErrTruncated, io.ErrUnexpectedEOF)
	}
	c.pos += int64(n)
	return c.b[c.pos-int64(n) : c.pos], nil
}
