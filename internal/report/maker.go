package report

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"io"
)

// maker marks every file that is written, so that a later one may take its place
// and no other file is lost to it.
const maker = "Piecebag"

// What the files of each kind hold that Piecebag wrote: pages begin with it, blanks
// apart, so that one which speaks of it is not taken for ours, as HTML has programs name themselves (html.spec.whatwg.org, 4.2.5.1), drawings in
// their metadata (SVG 1.1, 21), PDF as its producer (ISO 32000-1, 14.3.3), PNG as
// its software (PNG third edition, 11.3.3.2).
const (
	HTMLMark = `<!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8"/><meta name="generator" content="` + maker + `"/>`
	SVGMark  = "<metadata>" + maker + "</metadata>"
	PDFMark  = "/Producer (" + maker + ")"
	PNGMark  = "tEXtSoftware\x00" + maker
)

// writePNG is png.Encode with the mark after its header.
func writePNG(w io.Writer, m image.Image) error {
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		return err
	}
	const header = 8 + 4 + 4 + 13 + 4 // the signature, and IHDR's length, name, fields and CRC
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(PNGMark)-4))
	chunk = append(chunk, PNGMark...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE([]byte(PNGMark)))
	for _, part := range [][]byte{b.Bytes()[:header], chunk, b.Bytes()[header:]} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}
