package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// webpHeader walks the RIFF chunks (RFC 9649). EXIF stands after the pixels.
func webpHeader(c *cursor) (header, error) {
	var h header
	riff, err := c.next(12)
	if err != nil {
		return h, err
	}
	end := int64(binary.LittleEndian.Uint32(riff[4:])) + 8
	if end > int64(len(c.b)) {
		return h, ErrTruncated
	}
	c.b = c.b[:end]
	for range maxChunks {
		ch, err := webpChunk(c)
		if err != nil {
			break // the end
		}
		var b []byte
		switch ch.name {
		case "VP8X", "VP8 ", "VP8L":
			b, err = c.next(int(min(ch.n, 10)))
			if err == nil && h.w == 0 {
				err = h.webpSize(ch.name, b)
			}
		case "ICCP":
			h.icc, err = c.next(int(min(ch.n, maxProfile)))
		case "EXIF":
			b, err = c.next(int(min(ch.n, maxProfile)))
			h.exif = bytes.TrimPrefix(b, exifPrefix)
		}
		if err != nil {
			return h, err
		}
		c.pos = ch.to
	}
	if h.w == 0 {
		return h, because(ErrCorrupt, errors.New("no picture chunk"))
	}
	h.memory = saturate(h.w, h.h, 8) // lossless: the picture and its transform
	return h, nil
}

// webpChunk reads the head of a chunk, which may reach beyond the file.
func webpChunk(c *cursor) (section, error) {
	b, err := c.next(8)
	if err != nil {
		return section{}, err
	}
	n := int64(binary.LittleEndian.Uint32(b[4:]))
	return section{string(b[:4]), c.pos - 8, c.pos, n, c.pos + n + n&1}, nil
}

// webpSize reads the sides of the picture from the first chunk that has them.
func (h *header) webpSize(name string, b []byte) error {
	switch {
	case name == "VP8X" && len(b) == 10: // RFC 9649, 2.7: flags, then 24-bit sides less one
		if b[0]&2 != 0 {
			return unsupported("moving WebP")
		}
		h.w, h.h = 1+int(uint24(b[4:])), 1+int(uint24(b[7:]))
	case name == "VP8 " && len(b) == 10: // RFC 6386, 9.1: a tag, a start code, 14-bit sides
		h.w = int(binary.LittleEndian.Uint16(b[6:])) & 0x3fff
		h.h = int(binary.LittleEndian.Uint16(b[8:])) & 0x3fff
	case name == "VP8L" && len(b) >= 5: // RFC 9649, 3.4: a signature, 14-bit sides less one
		v := binary.LittleEndian.Uint32(b[1:])
		h.w, h.h = 1+int(v&0x3fff), 1+int(v>>14&0x3fff)
	}
	return nil
}

func uint24(b []byte) uint32 { return uint32(b[0]) | uint32(b[1])<<8 | uint32(b[2])<<16 }
