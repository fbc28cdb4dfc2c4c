// Package photo is the door of the pipeline: files of photos in, upright,
// colour-managed pictures in linear light out, or a refusal that names the file,
// the reason and the remedy. It owns the codecs.
//
// A file is known by its bytes, never by its name. Its size is checked from the
// header before a pixel is decoded. The turn and the colour profile are always
// applied; where there is no profile that can be used, the picture is taken as
// sRGB and Info says so.
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"strings"

	"golang.org/x/image/webp"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// Options bound what is read; the zero value is ready for use.
type Options struct {
	MaxPixels int64   // most pixels of a picture, 0 for 64 million
	Budget    *Budget // memory shared with other calls, nil for no bound
}

// Info says what a file held.
type Info struct {
	Format         string // JPEG, PNG, WebP or HEIC
	Width, Height  int    // pixels as stored, before the turn
	Orientation    int    // EXIF, 1..8; 1 where it has none, or does not go by it
	Profile        string // the colour profile that was applied
	ProfileAssumed bool   // no profile that could be used: sRGB was assumed
	Note           string // what its owner should be told, or ""
}

// Open reads the photo at path; the error is a *fault.Error.
func Open(path string, o Options) (*cloth.Picture, Info, error) {
	data, err := readFile(path)
	if err == nil {
		var pic *cloth.Picture
		var info Info
		if pic, info, err = work(data, o); err == nil {
			return pic, info, nil
		}
	}
	return nil, Info{}, refuse(path, err)
}

// mostBytes bounds a file, which is read whole.
const mostBytes = 512 << 20

// Bytes reads the file of a photo as it is, of at most 512 MB. The error is a
// *fault.Error.
func Bytes(path string) ([]byte, error) {
	data, err := readFile(path)
	if err != nil {
		return nil, refuse(path, err)
	}
	return data, nil
}

// readFile reads a file that is a file: a pipe or a device may never end.
func readFile(path string) ([]byte, error) {
	st, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case st.IsDir():
		return nil, fault.New("", "this is a folder", "give the photos in it", ErrUnreadable)
	case !st.Mode().IsRegular():
		return nil, fault.New("", "this is not a file", "save the photo to a file first", ErrUnreadable)
	case st.Size() > mostBytes:
		return nil, ErrTooLarge
	}
	return os.ReadFile(path)
}

// work takes a photo through the door: header, decoder, working picture.
func work(data []byte, o Options) (pic *cloth.Picture, info Info, err error) {
	defer caught(&err)
	h, err := readHeader(data)
	if err != nil {
		return nil, Info{}, err
	}
	if err := h.check(o.MaxPixels); err != nil {
		return nil, Info{}, err
	}
	defer o.Budget.take(h.memory)()
	d, err := decode(data, h)
	if err != nil {
		return nil, Info{}, err
	}
	pic = shrink(d.rows, factor(d.rows.w, d.rows.h), d.turn, d.profile)
	pic.Focal35 = float64(d.focal35)
	pic.Camera = d.camera
	return pic, d.info, nil
}

// caught makes a panic into an error: a codec's fault must not take the other
// photos with it.
func caught(err *error) {
	if r := recover(); r != nil {
		*err = because(ErrCorrupt, panicError{r})
	}
}

// panicError is a panic on its way out as an error.
type panicError struct{ value any }

func (p panicError) Error() string { return fmt.Sprintf("panic: %v", p.value) }

// decoded is a picture with what it takes to make it upright and true.
type decoded struct {
	rows    rows
	turn    turn
	profile profile
	focal35 int  // mm; 0 where unknown
	camera  bool // see cloth.Picture
	info    Info
}

// decode runs the codec of a checked header.
func decode(data []byte, h header) (decoded, error) {
	img, err := decodeImage(data, h.format)
	if err != nil {
		return decoded{}, err
	}
	src, err := newRows(img, h.coding)
	if err != nil {
		return decoded{}, err
	}
	facts := readEXIF(h.exif)
	if h.format == formatHEIC {
		// Its decoder turns and crops, as the file's own boxes say, and EXIF's
		// turn is not to be made again (ISO/IEC 23008-12, 6.5.10 and annex A.2).
		facts.turn = 1
		h.w, h.h = src.w, src.h
	}
	if src.w != h.w || src.h != h.h {
		return decoded{}, because(ErrCorrupt, fmt.Errorf("header says %d × %d, decoder %d × %d", h.w, h.h, src.w, src.h))
	}
	p, note := chooseProfile(h, facts, src.channels)
	if m, ok := img.(*image.CMYK); ok {
		p, note = src.honour(h.icc, m)
	}
	// Drawings often say that they are sRGB as well, in PNG's own chunks: those
	// tell nothing.
	camera := h.icc != nil || facts.srgb || facts.adobeRGB
	info := Info{
		Format: h.format, Width: h.w, Height: h.h, Orientation: int(facts.turn),
		Profile: p.name, ProfileAssumed: note != "", Note: note,
	}
	if m, ok := img.(interface{ Opaque() bool }); ok && !m.Opaque() {
		info.Note = strings.TrimPrefix(note+"; "+seeThrough, "; ")
	}
	return decoded{src, facts.turn, p, facts.focal35, camera, info}, nil
}

// seeThrough is the note of a picture that is transparent somewhere.
const seeThrough = "it is transparent in places, where white was taken to lie behind it; the cloth's colours are not to be trusted there"

func decodeImage(data []byte, format string) (image.Image, error) {
	r := bytes.NewReader(data)
	switch format {
	case formatJPEG:
		img, err := jpeg.Decode(r)
		var never jpeg.UnsupportedError
		switch {
		case errors.As(err, &never):
			return nil, fault.New("", "this rare kind of JPEG cannot be read", exportIt, ErrUnsupported, err)
		case errors.Is(err, jpeg.FormatError("short Huffman data")):
			return nil, because(ErrTruncated, err) // the decoder's word for an end within a scan
		}
		return img, err
	case formatPNG:
		img, err := png.Decode(r)
		var never png.UnsupportedError
		if errors.As(err, &never) {
			return nil, because(ErrUnsupported, err)
		}
		return img, err
	case formatHEIC:
		return decodeHEIC(r)
	}
	return webp.Decode(r)
}
