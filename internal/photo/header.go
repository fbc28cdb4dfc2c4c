package photo

import (
	"errors"
	"fmt"

	"piecebag/internal/fault"
)

// header is what a file says of its picture before any pixel is decoded.
type header struct {
	format string
	w, h   int   // as stored, before any turn
	memory int64 // bytes the decoder will hold at its peak, about

	icc  []byte // ICC profile, or nil
	exif []byte // TIFF structure of the EXIF data, or nil
	cicp []byte // PNG cICP: primaries, transfer, matrix, range
	srgb bool   // PNG sRGB chunk

	coding coding // of YCbCr and grey
}

const (
	// maxPixels is the default of Options.MaxPixels; it leaves room over the
	// 50 MP of today's phones.
	maxPixels = 64_000_000
	// maxMemory bounds what one picture may take to decode: maxPixels of a
	// progressive RGB JPEG without chroma subsampling just pass.
	maxMemory = 1 << 30
	// maxProfile bounds an ICC profile or EXIF block, unpacked.
	maxProfile = 4 << 20
	// maxChunks bounds a walk over the chunks of a PNG or WebP file.
	maxChunks = 1 << 16
)

// readHeader reads the header of a file of any format that is read.
func readHeader(data []byte) (header, error) {
	if len(data) == 0 {
		return header{}, ErrEmpty
	}
	c := &cursor{b: data}
	format := sniff(data[:min(len(data), sniffLen)])
	var h header
	var err error
	coded := jfif
	switch format {
	case formatJPEG:
		h, err = jpegHeader(c)
	case formatPNG:
		h, err = pngHeader(c)
	case formatWebP:
		h, err = webpHeader(c)
		coded = webpCoding
	case formatHEIC:
		h, err = heifHeader(data)
		coded = h.coding
	case "":
		return header{}, ErrNotPicture
	default:
		return header{}, unsupported(format)
	}
	h.format, h.coding = format, coded
	return h, err
}

// check refuses a picture without pixels, or one that would take too much memory.
func (h header) check(limit int64) error {
	if h.w <= 0 || h.h <= 0 {
		return because(ErrCorrupt, errors.New("the picture has no pixels"))
	}
	if limit <= 0 {
		limit = maxPixels
	}
	n := int64(h.w) * int64(h.h)
	if n > limit || h.memory > maxMemory {
		return fault.New("", fmt.Sprintf("%d × %d pixels are too many to read", h.w, h.h), fmt.Sprintf("export it as an ordinary JPEG of at most %d million pixels", limit/1e6), ErrTooLarge)
	}
	return nil
}
