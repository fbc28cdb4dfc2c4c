package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/testtable"
)

// spoilt makes the files of testdata/corrupt, most of them from sound pictures of
// testdata/photo.
func spoilt(t *testing.T) map[string][]byte {
	read := func(name string) []byte { return testdata(t, "photo", name) }
	patches, noise := read("baseline-420.jpg"), read("noise.jpg")
	frame, scan := bytes.Index(patches, []byte{0xff, 0xc0}), bytes.Index(noise, []byte{0xff, 0xda})
	heif := func(brand, others string) []byte {
		return box("ftyp", []byte(brand+"\x00\x00\x00\x00"+others), box("meta", nil))
	}
	return map[string][]byte{
		"empty.jpg": {},
		"empty.png": {},
		"list.jpg":  []byte("2 yards of white, 1 spool of grey thread, new blade for the cutter\n"),
		"page.jpg":  []byte("<!DOCTYPE html>\n<html><body>404: the photo is not here</body></html>\n"),
		"zeros.jpg": make([]byte, 512),
		"film.jpg":  box("ftyp", []byte("isom\x00\x00\x00\x00mp42"), box("mdat", nil)),

		"two-bytes.jpg":       noise[:2],
		"cut-in-header.jpg":   noise[:100],
		"cut-in-frame.jpg":    noise[:165],
		"cut-in-scan.jpg":     noise[:2017],
		"cut-before-end.jpg":  noise[:len(noise)-2],
		"cut-progressive.jpg": read("progressive.jpg")[:500],
		"zero-filled.jpg":     slices.Concat(noise[:len(noise)/2], make([]byte, len(noise)/2)),
		"huge.jpg":            over(noise, frame+5, "\xea\x60\xea\x60")[:1000], // 60,000
		"broken-huffman.jpg":  over(noise, bytes.Index(noise, []byte{0xff, 0xc4})+5, strings.Repeat("\xff", 16)),
		"broken-scan.jpg":     over(noise, scan+214, strings.Repeat("\xff\x55", 40)),

		"no-height.jpg":     over(patches, frame+5, "\x00\x00"),
		"no-width.jpg":      over(patches, frame+7, "\x00\x00"),
		"no-frame.jpg":      slices.Concat(patches[:frame], patches[frame+19:]),
		"short-segment.jpg": over(patches, bytes.Index(patches, []byte{0xff, 0xdb})+2, "\x00\x01"),
		"arithmetic.jpg":    over(patches, frame+1, "\xc9"),
		"lossless.jpg":      over(patches, frame+1, "\xc3"),
		"twelve-bit.jpg":    over(patches, frame+4, "\x0c"),
		"cmyk-unmarked.jpg": without(read("cmyk.jpg"), "\xff\xee", 16),

		"cut-in-header.png":      read("patches.png")[:20],
		"cut-between-chunks.png": read("patches.png")[:132],
		"text-mode.png":          bytes.ReplaceAll(read("patches.png"), []byte("\r\n"), []byte("\n")),
		"cut-in-pixels.png":      read("noise.png")[:6210],
		"broken-pixels.png":      over(read("noise.png"), 97, "\xdc"),
		// Their pixels are zeros, packed by zlib.
		"few-pixels.png": pngFile(48, 32, 8, 2, "\x78\x9c\x63\x60\x18\x05\x43\x0c\x00\x00\x01\xb3\x00\x01"),
		"bad-depth.png":  pngFile(48, 32, 7, 2, "\x78\x9c\x03\x00\x00\x00\x00\x01"),
		"no-palette.png": pngFile(4, 4, 8, 3, "\x78\x9c\x63\x60\xc0\x04\x00\x00\x14\x00\x01"),
		"no-width.png":   pngFile(0, 32, 8, 2, "\x78\x9c\x03\x00\x00\x00\x00\x01"),
		"huge.png":       pngFile(60000, 60000, 8, 2, "\x78\x9c\x63\x60\x18\x05\xa3\x60\x14\x0c\x77\x00\x00\x03\xe8\x00\x01"),
		"overflow.png":   pngFile(1<<32-1, 1<<32-1, 8, 2, ""),

		"cut.webp":             read("noise.webp")[:1579],
		"broken.webp":          over(read("noise.webp"), 23, "\x00\x00\x00"),
		"lossless-broken.webp": append(read("lossless.webp")[:30:30], bytes.Repeat([]byte{0xff}, 68)...),
		"huge.webp":            webpFile("VP8X", "\x00\x00\x00\x00\x5f\xea\x00\x5f\xea\x00", "VP8L", "\x2f\x00\x00\x00\x00"),
		"moving.webp":          webpFile("VP8X", "\x02\x00\x00\x00\x2f\x00\x00\x1f\x00\x00", "ANIM", "\x00\x00\x00\x00\x00\x00"),
		"no-picture.webp":      webpFile("EXIF", "II*\x00"),

		"phone.heic":     heif("heic", "mif1heic"),
		"heic-named.jpg": heif("heic", "mif1heic"),
		"phone.heif":     heif("mif1", "mif1heic"),
		"phone.avif":     heif("avif", "avifmif1"),

		"picture.gif": []byte("GIF89a\x01\x00\x01\x00\x80\x00\x00\x00\x00\x00\xff\xff\xff,\x00\x00\x00\x00\x01\x00\x01\x00\x00\x02\x02D\x01\x00;"),
		"picture.bmp": []byte("BM\x3a\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00\x28\x00\x00\x00\x01\x00\x00\x00\x01\x00\x00\x00\x01\x00\x18\x00" +
			"\x00\x00\x00\x00\x04\x00\x00\x00" + strings.Repeat("\x00", 16) + "\x40\x80\xc0\x00"),
		"picture.tif": []byte("II*\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00"),
		"picture.jxl": []byte("\xff\x0a\x00\x00"),
		"picture.jp2": []byte("\x00\x00\x00\x0cjP  \x0d\x0a\x87\x0a\x00\x00\x00\x14ftypjp2 \x00\x00\x00\x00jp2 "),
	}
}

// over is data with other bytes at a place.
func over(data []byte, at int, by string) []byte {
	return slices.Concat(data[:at], []byte(by), data[at+len(by):])
}

// without is data without the n bytes that begin with a mark.
func without(data []byte, mark string, n int) []byte {
	at := bytes.Index(data, []byte(mark))
	return slices.Concat(data[:at], data[at+n:])
}

// box is a box of ISO/IEC 14496-12 of a kind of four letters, and what follows it.
func box(kind string, body []byte, next ...[]byte) []byte {
	head := binary.BigEndian.AppendUint32(nil, uint32(8+len(body)))
	return slices.Concat(head, []byte(kind), body, slices.Concat(next...))
}

// pngFile is a PNG of a size and of a depth and kind of samples, with what its pixels are
// packed in; none where that is empty.
func pngFile(w, h uint32, depth, kind byte, pixels string) []byte {
	out := []byte("\x89PNG\r\n\x1a\n")
	chunk := func(name string, body []byte) {
		out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
		at := len(out)
		out = append(append(out, name...), body...)
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[at:]))
	}
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	chunk("IHDR", append(size, depth, kind, 0, 0, 0))
	if pixels != "" {
		chunk("IDAT", []byte(pixels))
	}
	chunk("IEND", nil)
	return out
}

// webpFile is a WebP container of chunks, each a name and a body.
func webpFile(chunks ...string) []byte {
	body := []byte("WEBP")
	for i := 0; i < len(chunks); i += 2 {
		body = append(body, chunks[i]...)
		body = binary.LittleEndian.AppendUint32(body, uint32(len(chunks[i+1])))
		body = append(body, chunks[i+1]...)
		if len(chunks[i+1])%2 == 1 {
			body = append(body, 0)
		}
	}
	return slices.Concat([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, uint32(len(body))), body)
}

// The files that must be refused are those made here; -update writes them.
func TestCorruptFilesAreMade(t *testing.T) {
	made := spoilt(t)
	require.ElementsMatch(t, slices.Collect(maps.Keys(corrupt)), slices.Collect(maps.Keys(made)))
	for name, data := range made {
		file := filepath.Join(corruptDir, name)
		if *testtable.Update {
			require.NoError(t, os.WriteFile(file, data, 0o644))
		}
		kept, err := os.ReadFile(file)
		require.NoError(t, err)
		require.True(t, bytes.Equal(data, kept), "%s is another: run the test with -update", name)
	}
}
