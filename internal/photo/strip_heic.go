package photo

import (
	"bytes"
	"errors"
)

// stripHEIC blanks in place, so that every place in the file stays what it was: the
// EXIF and XMP items, descriptions and dates among the properties, and boxes that
// are no part of a picture, such as a film. What follows the last box is cut off.
func stripHEIC(data, exif []byte) ([]byte, error) {
	f, err := readHEIF(data)
	if err != nil {
		return nil, err
	}
	out := bytes.Clone(data)
	free := func(head, from, to int64) { // a box that is passed over (ISO/IEC 14496-12, 8.1.2)
		copy(out[head+4:], "free")
		clear(out[from:to])
	}
	end := int64(0)
	for _, b := range f.boxes {
		if b != f.meta && b.name != "ftyp" && b.name != "mdat" {
			free(b.at, b.from, b.to)
		}
		end = b.to
	}
	for _, p := range f.props {
		switch p.kind {
		case "udes", "altt", "crtt", "mdft": // 23008-12, 6.5.20 to 6.5.24
			free(p.body.at-8, p.body.at, p.body.at+int64(len(p.body.b)))
		}
	}
	for id, parts := range f.places {
		var with []byte
		filler := byte(0)
		switch f.kinds[id] {
		case "Exif":
			if exif != nil {
				with = append(make([]byte, 4), exif...) // annex A.2.1: the structure begins at once
			}
		case "mime":
			filler = ' ' // an XML text of nothing
		case "uri ":
		default:
			continue
		}
		for _, e := range parts {
			if e.inIdat {
				return nil, because(ErrUnsupported, errors.New("words among the list of items"))
			}
			item := out[e.at : e.at+e.n] // read saw to it that they are there
			for i := range item {
				item[i] = filler
			}
			with = with[copy(item, with):]
		}
		if len(with) > 0 {
			return nil, because(ErrUnsupported, errors.New("no room for what is kept of EXIF"))
		}
	}
	for _, parts := range f.places {
		for _, e := range parts {
			if !e.inIdat && e.at+e.n > end {
				return nil, because(ErrCorrupt, errors.New("an item outside all boxes"))
			}
		}
	}
	return out[:end], nil
}
