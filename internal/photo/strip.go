package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"slices"
)

// Strip returns a photo without what does not belong to the picture itself: where
// and when it was taken and with what, comments, previews, and whatever follows
// the picture in the file. No pixel is touched. The colour profile stays, and of
// EXIF what keeps the picture upright and says its colour space. What is no
// picture, or of a format that is not read, is given back as it is.
//
// Photos that differ only in what is left out give the same bytes, and what was
// stripped is stripped again to itself.
func Strip(data []byte) (kept []byte, err error) {
	defer caught(&err)
	h, err := readHeader(data)
	switch {
	case errors.Is(err, ErrNotPicture), errors.Is(err, ErrEmpty), errors.Is(err, ErrUnsupported):
		return data, nil
	case err != nil:
		return nil, err
	}
	exif := leastEXIF(readEXIF(h.exif))
	switch h.format {
	case formatJPEG:
		kept, err = stripJPEG(data, exif)
	case formatPNG:
		kept, err = stripPNG(data, exif)
	case formatWebP:
		kept, err = stripWebP(data, exif)
	case formatHEIC:
		kept, err = stripHEIC(data, exif)
	}
	if err != nil {
		return nil, err
	}
	return kept, samePicture(h, kept)
}

// samePicture holds the header of a stripped photo to what it was.
func samePicture(was header, kept []byte) error {
	h, err := readHeader(kept)
	if err != nil {
		return err
	}
	before, after := readEXIF(was.exif), readEXIF(h.exif)
	before.focal35, after.focal35 = 0, 0
	if h.w != was.w || h.h != was.h || !bytes.Equal(h.icc, was.icc) || !bytes.Equal(h.cicp, was.cicp) || h.srgb != was.srgb || before != after {
		return because(ErrCorrupt, errors.New("stripped, it is another picture"))
	}
	return nil
}

// leastEXIF writes facts as EXIF (CIPA DC-008): the turn, and the colour space;
// nil where neither is said.
func leastEXIF(f exifFacts) []byte {
	type entry struct {
		tag, kind uint16
		count     uint32
		value     [4]byte
	}
	short := func(tag, v uint16) entry {
		return entry{tag, 3, 1, [4]byte{byte(v >> 8), byte(v)}}
	}
	var out []byte
	const begin = 8
	directory := func(entries []entry, pointer uint16, more bool) {
		if more { // to the directory that follows this one
			at := begin + len(out) + 2 + 12*(len(entries)+1) + 4
			entries = append(entries, entry{pointer, 4, 1, [4]byte(binary.BigEndian.AppendUint32(nil, uint32(at)))})
		}
		out = binary.BigEndian.AppendUint16(out, uint16(len(entries)))
		for _, e := range entries {
			out = binary.BigEndian.AppendUint16(out, e.tag)
			out = binary.BigEndian.AppendUint16(out, e.kind)
			out = binary.BigEndian.AppendUint32(out, e.count)
			out = append(out, e.value[:]...)
		}
		out = binary.BigEndian.AppendUint32(out, 0)
	}
	camera := f.srgb || f.adobeRGB
	if f.turn <= 1 && !camera {
		return nil
	}
	directory([]entry{short(0x0112, uint16(f.turn))}, 0x8769, camera)
	if camera {
		space := uint16(0xffff) // uncalibrated, as DCF has its option colour space
		if f.srgb {
			space = 1
		}
		directory([]entry{short(0xa001, space)}, 0xa005, f.adobeRGB)
	}
	if f.adobeRGB {
		directory([]entry{{1, 2, 4, [4]byte{'R', '0', '3'}}}, 0, false)
	}
	return append([]byte("MM\x00*\x00\x00\x00\x08"), out...)
}

// JPEG markers of what is kept or left out by Strip, ITU-T T.81 table B.1.
const (
	markerAPP0  = 0xe0
	markerAPP14 = 0xee
	markerAPP15 = 0xef
	markerCOM   = 0xfe
)

// stripJPEG keeps tables, frames and scans up to the end of the picture; JFIF
// without its preview, Adobe's word for the colours, and the profile.
func stripJPEG(data, exif []byte) ([]byte, error) {
	c := &cursor{b: data, pos: 2} // after SOI
	var jfif, rest []byte
	segment := func(to []byte, marker byte, payload []byte) []byte {
		to = append(to, 0xff, marker)
		to = binary.BigEndian.AppendUint16(to, uint16(len(payload)+2))
		return append(to, payload...)
	}
	for marker := byte(0); marker != markerEOI; {
		var b []byte
		var err error
		if marker, b, err = nextSegment(c); err != nil {
			return nil, err
		}
		switch {
		case marker == markerEOI:
			rest = append(rest, 0xff, markerEOI)
		case marker == markerAPP0 && bytes.HasPrefix(b, []byte("JFIF\x00")):
			if len(b) >= 14 {
				b = append(bytes.Clone(b[:12]), 0, 0) // no preview (ITU-T T.871, 10.1)
			}
			if jfif == nil {
				jfif = segment(nil, marker, b)
			}
		case marker == markerAPP14 && bytes.HasPrefix(b, []byte("Adobe")):
			rest = segment(rest, marker, b[:min(len(b), 12)])
		case marker == markerAPP2 && bytes.HasPrefix(b, iccPrefix):
			rest = segment(rest, marker, b)
		case marker >= markerAPP0 && marker <= markerAPP15 || marker == markerCOM:
		default:
			rest = segment(rest, marker, b)
		}
		if marker == markerSOS {
			n := scanLength(data[c.pos:])
			rest = append(rest, data[c.pos:c.pos+int64(n)]...)
			c.pos += int64(n)
		}
	}
	out := append([]byte{0xff, markerSOI}, jfif...)
	if exif != nil {
		out = segment(out, markerAPP1, append(bytes.Clone(exifPrefix), exif...))
	}
	return append(out, rest...), nil
}

// pngKept are the chunks that say how the picture looks (PNG third edition, 11);
// besides them every critical one is kept.
var pngKept = []string{
	"tRNS", "cHRM", "gAMA", "iCCP", "sBIT", "sRGB", "cICP", "mDCV", "cLLI", "bKGD", "hIST", "pHYs", "sPLT",
	"acTL", "fcTL", "fdAT",
}

func stripPNG(data, exif []byte) ([]byte, error) {
	out := bytes.Clone(data[:len(pngMagic)])
	c := &cursor{b: data, pos: int64(len(pngMagic))}
	for {
		ch, err := pngChunk(c)
		if err != nil {
			return nil, err
		}
		const ancillary = 0x20 // of the name's first letter
		if ch.name[0]&ancillary == 0 || slices.Contains(pngKept, ch.name) {
			out = append(out, data[ch.at:ch.to]...)
		}
		switch {
		case ch.name == "IEND":
			return out, nil
		case ch.name == "IHDR" && exif != nil:
			begin := len(out)
			out = binary.BigEndian.AppendUint32(out, uint32(len(exif)))
			out = append(append(out, "eXIf"...), exif...)
			out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[begin+4:]))
		}
		c.pos = ch.to
	}
}

// webpKept are the chunks of pictures (RFC 9649, 2.7).
var webpKept = []string{"VP8X", "VP8 ", "VP8L", "ALPH", "ICCP", "ANIM", "ANMF"}

func stripWebP(data, exif []byte) ([]byte, error) {
	const (
		saysEXIF = 0x08 // flags of VP8X
		saysXMP  = 0x04
	)
	out := bytes.Clone(data[:12])
	c := &cursor{b: data[:min(int64(len(data)), int64(binary.LittleEndian.Uint32(data[4:]))+8)], pos: 12}
	extended := -1 // where the flags are
	for {
		ch, err := webpChunk(c)
		if err != nil {
			break // the end
		}
		if ch.from+ch.n > int64(len(c.b)) {
			return nil, ErrTruncated
		}
		if slices.Contains(webpKept, ch.name) {
			if ch.name == "VP8X" && extended < 0 {
				extended = len(out) + 8
			}
			out = append(out, data[ch.at:ch.from+ch.n]...)
			out = append(out, make([]byte, ch.n&1)...)
		}
		c.pos = ch.to
	}
	if extended >= 0 && extended < len(out) {
		out[extended] &^= saysEXIF | saysXMP
		if exif != nil {
			out[extended] |= saysEXIF
		}
	}
	if exif != nil {
		out = append(out, "EXIF"...)
		out = binary.LittleEndian.AppendUint32(out, uint32(len(exif)))
		out = append(out, exif...)
		if len(exif)&1 != 0 {
			out = append(out, 0)
		}
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	return out, nil
}
