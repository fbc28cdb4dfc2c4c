package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"piecebag/internal/fault"
)

// JPEG markers, ITU-T T.81 table B.1.
const (
	markerSOF0  = 0xc0
	markerDHT   = 0xc4
	markerSOF15 = 0xcf
	markerRST0  = 0xd0
	markerRST7  = 0xd7
	markerSOI   = 0xd8
	markerEOI   = 0xd9
	markerSOS   = 0xda
	markerAPP1  = 0xe1
	markerAPP2  = 0xe2
)

var (
	exifPrefix = []byte("Exif\x00\x00")
	iccPrefix  = []byte("ICC_PROFILE\x00")
)

// mostScans bounds the scans of a JPEG. Every scan goes over the whole picture,
// however few bytes it takes, so that a small file could keep a decoder at work for
// minutes; encoders write some ten (common practice, no source).
const mostScans = 64

// jpegHeader walks the segments; what it wants stands before the first scan, and where
// the file ends within one the decoder says so. EXIF and XMP share APP1 and come in
// either order, so each block is known by its own prefix.
func jpegHeader(c *cursor) (header, error) {
	var h header
	var icc iccParts
	scans := 0
	c.pos = 2 // SOI
	for {
		marker, b, err := nextSegment(c)
		if err != nil && scans == 0 {
			return h, err
		}
		if err != nil || marker == markerEOI {
			break
		}
		switch {
		case marker == markerSOS:
			if scans++; scans > mostScans {
				return h, fault.New("", fmt.Sprintf("this JPEG is built up in more than %d passes, and would take too long to read", mostScans), exportIt, ErrTooLarge)
			}
			c.pos += int64(scanLength(c.b[c.pos:]))
		case scans > 0:
		case marker == markerAPP1 && h.exif == nil && bytes.HasPrefix(b, exifPrefix):
			h.exif = b[len(exifPrefix):]
		case marker == markerAPP2 && bytes.HasPrefix(b, iccPrefix):
			icc.add(b[len(iccPrefix):])
		case isSOF(marker) && h.w == 0:
			if err := h.frame(marker, b); err != nil {
				return h, err
			}
		}
	}
	if h.w == 0 {
		return h, because(ErrCorrupt, errors.New("no frame before the first scan"))
	}
	h.icc = icc.join()
	return h, nil
}

// scanLength returns how far the coded data at the head of b reach: to the next marker
// that is none of those within a scan (T.81, B.1.1.2 and B.1.1.5).
func scanLength(b []byte) int {
	for at := 0; ; {
		i := bytes.IndexByte(b[at:], 0xff)
		if i < 0 || at+i+1 >= len(b) {
			return len(b)
		}
		at += i + 1
		if next := b[at]; next != 0 && next != 0xff && (next < markerRST0 || next > markerRST7) {
			return at - 1
		}
	}
}

// nextSegment returns the next marker of those that do not stand alone, and what its
// segment holds; markerEOI with nothing at the end of the picture.
func nextSegment(c *cursor) (marker byte, payload []byte, err error) {
	for alone := true; alone; alone = marker == 0x01 || marker >= markerRST0 && marker <= markerSOI {
		if marker, err = nextMarker(c); err != nil || marker == markerEOI {
			return marker, nil, err
		}
	}
	b, err := c.next(2)
	if err != nil {
		return marker, nil, err
	}
	n := int(binary.BigEndian.Uint16(b)) - 2
	if n < 0 {
		return marker, nil, because(ErrCorrupt, errors.New("a segment shorter than its own length"))
	}
	payload, err = c.next(n)
	return marker, payload, err
}

// nextMarker skips fill bytes (T.81 B.1.1.2) and, as decoders do, stray bytes,
// though not without end.
func nextMarker(c *cursor) (byte, error) {
	const maxStray = 1 << 16
	prev := byte(0)
	for range maxStray {
		b, err := c.next(1)
		if err != nil {
			return 0, err
		}
		if prev == 0xff && b[0] != 0 && b[0] != 0xff {
			return b[0], nil
		}
		prev = b[0]
	}
	return 0, because(ErrCorrupt, errors.New("no marker where a segment should begin"))
}

func isSOF(marker byte) bool {
	return marker >= markerSOF0 && marker <= markerSOF15 && marker != markerDHT && marker != 0xc8 && marker != 0xcc
}

// frame reads a frame header (T.81 B.2.2) and estimates what decoding will hold:
// one byte a sample, four more for each coefficient of a progressive picture,
// and four a pixel where ink or RGB planes are merged.
func (h *header) frame(marker byte, b []byte) error {
	if len(b) < 6 || len(b) < 6+3*int(b[5]) {
		return because(ErrCorrupt, errors.New("a frame header that is too short"))
	}
	if marker > 0xc2 || b[0] != 8 {
		return fault.New("", "this rare kind of JPEG cannot be read (lossless, arithmetic or 12-bit)", exportIt, ErrUnsupported, fmt.Errorf("frame type %#x of %d bits", marker, b[0]))
	}
	h.h, h.w = int(binary.BigEndian.Uint16(b[1:])), int(binary.BigEndian.Uint16(b[3:]))
	if h.w == 0 || h.h == 0 {
		return because(ErrCorrupt, errors.New("the picture has no pixels"))
	}
	n := int(b[5])
	most, sum := 1, 0
	for i := range n {
		hv := int(b[7+3*i]>>4) * int(b[7+3*i]&15)
		most, sum = max(most, hv), sum+hv
	}
	samples := int64(h.w) * int64(h.h) * int64(sum) / int64(most)
	h.memory = samples
	if marker == 0xc2 {
		h.memory += 4 * samples
	}
	if n == 4 {
		h.memory += 4 * int64(h.w) * int64(h.h)
	}
	return nil
}

// iccParts gathers a profile that is cut over APP2 segments (ICC.1:2010, B.4).
type iccParts struct {
	parts [256][]byte
	total int
	bytes int
}

func (p *iccParts) add(b []byte) {
	if len(b) < 2 || b[0] == 0 || p.bytes+len(b) > maxProfile {
		return
	}
	p.parts[b[0]], p.total = b[2:], int(b[1])
	p.bytes += len(b)
}

// join returns the whole profile, or nil where a part is missing.
func (p *iccParts) join() []byte {
	var out []byte
	for _, b := range p.parts[1 : p.total+1] {
		if b == nil {
			return nil
		}
		out = append(out, b...)
	}
	return out
}
