package photo

import (
	"bytes"
	"image"
	"io"
	"slices"
	"sync"
	_ "unsafe" // for go:linkname

	"github.com/gen2brain/heic"
)

// sharedLibrary says that the decoder found a libheif on this machine, which it
// would use in place of its own. That of another version converts the codes of some
// pictures and not of others, so one photo would have other colours on another
// machine; the decoder has no other way to be told.
//
//go:linkname sharedLibrary github.com/gen2brain/heic.dynamic
var sharedLibrary bool

func init() { sharedLibrary = false }

// decodingHEIC lets one picture at a time through the decoder, whose memory is no
// Budget's alone: a report decodes without one.
var decodingHEIC sync.Mutex

// decodeHEIC returns the primary picture of a file whose header was read, turned and
// cropped as the file's boxes say.
func decodeHEIC(r io.Reader) (image.Image, error) {
	decodingHEIC.Lock()
	defer decodingHEIC.Unlock()
	head := make([]byte, 12)
	if _, err := io.ReadFull(r, head); err != nil {
		return nil, err
	}
	copy(head[8:], "heic") // the decoder knows no other first brand
	img, err := heic.Decode(io.MultiReader(bytes.NewReader(head), r))
	if err != nil {
		return nil, err
	}
	switch m := img.(type) {
	case *image.YCbCr:
		m.Y, m.Cb, m.Cr = mended(m.Y, m.YStride), slices.Clone(m.Cb), slices.Clone(m.Cr)
	case *image.Gray:
		m.Pix = mended(m.Pix, m.Stride)
	case *image.RGBA:
		m.Pix = mended(m.Pix, m.Stride)
	case *image.NRGBA:
		m.Pix = mended(m.Pix, m.Stride)
	}
	return img, nil
}

// mended copies pixels out of the decoder's memory, which is ten times as large and
// is then let go. The decoder gives them back to its allocator before it returns,
// and the allocator writes its links over the first 24 bytes (as it was found with
// v0.4.5): they are taken from the nearest rows that are whole.
func mended(pix []byte, stride int) []byte {
	const links = 24
	out := slices.Clone(pix)
	whole := (links + stride - 1) / stride * stride
	if whole+links <= len(out) {
		copy(out[:links], out[whole:])
	}
	return out
}
