package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// stripHEIC blanks in place, so that every place in the file stays what it was: the
// EXIF and XMP items, descriptions and dates among the properties, and boxes that
// are no part of a picture, such as a film. What follows the last box is cut off.
func stripHEIC(data, exif []byte) ([]byte, error) {
	f := heif{c: newCursor(bytes.NewReader(data), int64(len(data))), kinds: map[uint64]string{}, places: map[uint64][]extent{}, has: map[uint64][]uint64{}}
	if err := f.read(); err != nil {
		return nil, err
	}
	out := bytes.Clone(data)
	free := func(b place) { // a box that is passed over (ISO/IEC 14496-12, 8.1.2)
		copy(out[b.at+4:], "free")
		clear(out[b.from:b.to])
	}
	met := false
	end := eachBox(out, 0, len(out), func(kind string, b place) {
		switch {
		case kind == "meta" && !met: // what follows its version is boxes
			met = true
			inBoxes(out, place{from: min(b.from+4, b.to), to: b.to}, []string{"iprp", "ipco"}, func(kind string, b place) {
				switch kind {
				case "udes", "altt", "crtt", "mdft": // 23008-12, 6.5.20 to 6.5.24
					free(b)
				}
			})
		case kind != "ftyp" && kind != "mdat":
			free(b)
		}
	})
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
			if !e.inIdat && e.at+e.n > int64(end) {
				return nil, because(ErrCorrupt, errors.New("an item outside all boxes"))
			}
		}
	}
	return out[:end], nil
}

// place is where a box begins, and where what it holds begins and ends.
type place struct{ at, from, to int }

// eachBox gives the boxes between two places in a file, and where the last whole
// one ends.
func eachBox(b []byte, at, end int, use func(kind string, b place)) (last int) {
	for end-at >= 8 {
		n, from := int64(binary.BigEndian.Uint32(b[at:])), at+8
		switch {
		case n == 0: // to the end
			n = int64(end - at)
		case n == 1 && end-at >= 16:
			n, from = int64(binary.BigEndian.Uint64(b[at+8:])), at+16
		}
		if n < int64(from-at) || n > int64(end-at) {
			break
		}
		use(string(b[at+4:at+8]), place{at, from, at + int(n)})
		at += int(n)
	}
	return at
}

// inBoxes gives the boxes in a box of boxes, the kinds of which path names from
// without.
func inBoxes(b []byte, in place, path []string, use func(kind string, b place)) {
	eachBox(b, in.from, in.to, func(kind string, box place) {
		switch {
		case len(path) == 0:
			use(kind, box)
		case kind == path[0]:
			inBoxes(b, box, path[1:], use)
		}
	})
}
