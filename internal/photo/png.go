package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"io"
)

const pngMagic = "\x89PNG\r\n\x1a\n"

// pngHeader walks the chunks. The EXIF chunk may stand after the pixels (PNG
// third edition, 5.6), so the walk goes on to the end.
func pngHeader(c *cursor) (header, error) {
	var h header
	magic, err := c.next(len(pngMagic))
	if err != nil {
		return h, err
	}
	if string(magic) != pngMagic {
		return h, because(ErrCorrupt, errors.New("line ends in the file were changed"))
	}
	b, err := c.next(8 + 13 + 4)
	if err != nil {
		return h, err
	}
	if string(b[:8]) != "\x00\x00\x00\x0dIHDR" {
		return h, because(ErrCorrupt, errors.New("no IHDR chunk"))
	}
	w, tall := binary.BigEndian.Uint32(b[8:]), binary.BigEndian.Uint32(b[12:])
	if w > 1<<31-1 || tall > 1<<31-1 {
		return h, because(ErrCorrupt, errors.New("sides over 2³¹"))
	}
	h.w, h.h = int(w), int(tall)
	h.memory = saturate(h.w, h.h, 8) // of 16 bits; most take half of it
	for range maxChunks {
		ch, err := pngChunk(c)
		if err != nil {
			return h, err
		}
		switch ch.name {
		case "iCCP":
			b, err = c.next(int(min(ch.n, maxProfile)))
			h.icc = unpackICC(b)
		case "eXIf":
			h.exif, err = c.next(int(min(ch.n, maxProfile)))
		case "cICP":
			h.cicp, err = c.next(int(min(ch.n, 4)))
		case "sRGB":
			h.srgb = true
		case "IEND":
			return h, nil
		}
		if err != nil {
			return h, err
		}
		c.pos = ch.to
	}
	return h, because(ErrCorrupt, errors.New("chunks without end"))
}

// section is a named part of a file: it begins at at, what it holds, n bytes, at from,
// and the next section at to.
type section struct {
	name            string
	at, from, n, to int64
}

// pngChunk reads the head of a chunk, all of which is in the file.
func pngChunk(c *cursor) (section, error) {
	b, err := c.next(8)
	if err != nil {
		return section{}, err
	}
	const crc = 4
	n := int64(binary.BigEndian.Uint32(b))
	ch := section{string(b[4:]), c.pos - 8, c.pos, n, c.pos + n + crc}
	if ch.to > int64(len(c.b)) {
		return ch, ErrTruncated
	}
	return ch, nil
}

// saturate returns w·h·n, or the largest number where that overflows.
func saturate(w, h int, n int64) int64 {
	const top = 1<<63 - 1
	if w > 0 && h > 0 && int64(w) > top/int64(h)/n {
		return top
	}
	return int64(w) * int64(h) * n
}

// unpackICC takes the profile out of an iCCP chunk: a name, a zero, the method
// (0), then a zlib stream. A profile that does not unpack is nil.
func unpackICC(chunk []byte) []byte {
	i := bytes.IndexByte(chunk, 0)
	if i < 0 || i+2 > len(chunk) || chunk[i+1] != 0 {
		return nil
	}
	z, err := zlib.NewReader(bytes.NewReader(chunk[i+2:]))
	if err != nil {
		return nil
	}
	defer z.Close()
	b, err := io.ReadAll(io.LimitReader(z, maxProfile+1))
	if err != nil || len(b) > maxProfile {
		return nil
	}
	return b
}
