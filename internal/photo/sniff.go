package photo

import (
	"encoding/binary"
	"fmt"
	"path/filepath"
	"strings"

	"piecebag/internal/fault"
)

// The formats that are read.
const (
	formatJPEG = "JPEG"
	formatPNG  = "PNG"
	formatWebP = "WebP"
	formatHEIC = "HEIC"
)

// sniffLen is how many first bytes sniff wants to see.
const sniffLen = 64

// magics lists first bytes by which a picture is known; '?' stands for any byte.
var magics = []struct{ magic, format string }{
	{"\xff\xd8", formatJPEG},
	{"\x89PNG", formatPNG},
	{"RIFF????WEBP", formatWebP},
	{"GIF8", "GIF"},
	{"BM????\x00\x00\x00\x00", "BMP"},
	{"II*\x00????????CR", "camera raw"},
	{"II*\x00", "TIFF or camera raw"},
	{"MM\x00*", "TIFF or camera raw"},
	{"IIRO", "camera raw"},
	{"IIRS", "camera raw"},
	{"IIU\x00", "camera raw"},
	{"????????CCD-RAW", "camera raw"},
	{"8BPS", "layered editor"},
	{"\x00\x00\x00\x0cJXL ", "JPEG XL"},
	{"\xff\x0a", "JPEG XL"},
	{"\x00\x00\x00\x0cjP  ", "JPEG 2000"},
	{"\xff\x4f\xff\x51", "JPEG 2000"},
}

// brands are the ISO base media brands (ISO/IEC 23008-12) of still pictures;
// films use the same box, so a file is known by its brands alone, the first of
// this list before the others: a file may have several.
var brands = []struct{ brand, format string }{
	{"heic", formatHEIC}, {"heix", formatHEIC}, {"heim", formatHEIC}, {"heis", formatHEIC},
	{"avif", "AVIF"}, {"avis", "AVIF"},
	{"mif1", formatHEIC}, // of any coding; the header says which
	{"hevc", "moving HEIC"}, {"hevx", "moving HEIC"}, {"msf1", "moving HEIF"},
	{"crx ", "camera raw"},
}

// sniff names the picture format that a file's first bytes announce, or "".
func sniff(head []byte) string {
	for _, m := range magics {
		if matches(head, m.magic) {
			return m.format
		}
	}
	if len(head) >= 12 && string(head[4:8]) == "ftyp" {
		for _, b := range brands {
			for at := 8; at+4 <= len(head) && at < int(binary.BigEndian.Uint32(head)); at += 4 {
				if at != 12 && string(head[at:at+4]) == b.brand { // the version stands at 12
					return b.format
				}
			}
		}
	}
	return ""
}

// IsPhoto reports whether a file's first bytes announce a picture of any format that
// is known, read or not. 64 bytes are enough.
func IsPhoto(head []byte) bool { return sniff(head) != "" }

func matches(head []byte, magic string) bool {
	if len(head) < len(magic) {
		return false
	}
	for i := range len(magic) {
		if magic[i] != '?' && magic[i] != head[i] {
			return false
		}
	}
	return true
}

// unsupported refuses a format that is known but not read.
func unsupported(format string) error {
	reason := fmt.Sprintf("%s pictures cannot be read", format)
	return fault.New("", reason, "export it as JPEG", ErrUnsupported)
}

// namedAsPicture reports whether the ending of a name promises a picture.
func namedAsPicture(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".webp", ".heic", ".heif", ".avif", ".jxl":
		return true
	}
	return false
}
