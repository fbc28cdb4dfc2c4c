package photo

import (
	"errors"
	"fmt"
)

// heif is what is wanted of the boxes of an HEIF file (ISO/IEC 23008-12, on the
// base of ISO/IEC 14496-12): a picture is an item with properties, or is put
// together from other items.
type heif struct {
	b       []byte    // the file
	boxes   []section // of the file, as far as they are whole
	meta    section   // the one of them that lists the items
	primary uint64
	kinds   map[uint64]string   // of items
	places  map[uint64][]extent // of their bytes
	props   []property          // of all items; a number in has is its place, from 1
	has     map[uint64][]uint64
	refs    []reference
	idat    []byte
}

type (
	property struct {
		kind string
		body fields
	}
	extent struct {
		at, n  int64
		inIdat bool
	}
	reference struct {
		kind string
		from uint64
		to   []uint64
	}
)

const (
	// heifBase and heifPixel are the bytes that decoding takes at its peak, in
	// all and for each pixel: measured at 12 and 48 million pixels.
	heifBase  = 48 << 20
	heifPixel = 20
	// maxMeta bounds the box that lists the items.
	maxMeta = 4 << 20
	// maxItems bounds their number, and that of what is said of each.
	maxItems = 1 << 14
)

const unspecified = 2 // of ITU-T H.273

// heifHeader reads what an HEIC file says of its primary picture. Its other
// pictures, which are thumbnails, depth and opacity, are left alone.
func heifHeader(data []byte) (header, error) {
	f, err := readHEIF(data)
	if err != nil {
		return header{}, err
	}
	return f.header()
}

// readHEIF walks the boxes of a file.
func readHEIF(data []byte) (*heif, error) {
	f := &heif{b: data, kinds: map[uint64]string{}, places: map[uint64][]extent{}, has: map[uint64][]uint64{}}
	var inner error
	err := each(fields{b: data}, func(box section, body fields) error {
		if len(f.boxes) == maxChunks {
			return because(ErrCorrupt, errors.New("boxes without end"))
		}
		f.boxes = append(f.boxes, box)
		if box.name != "meta" || f.meta.to > 0 {
			return nil
		}
		if f.meta = box; box.n > maxMeta {
			return because(ErrCorrupt, errors.New("a list of items that is too long"))
		}
		inner = f.readMeta(body)
		return inner
	})
	if inner != nil || err != nil && !errors.Is(err, errOver) { // what the items need of the last box is checked below
		return f, err
	}
	if f.meta.to == 0 {
		return f, ErrTruncated
	}
	for _, parts := range f.places {
		for _, e := range parts {
			if e.at < 0 || e.n < 0 {
				return f, because(ErrCorrupt, errors.New("an item before the file"))
			}
			if !e.inIdat && e.n > int64(len(data))-e.at {
				return f, ErrTruncated
			}
		}
	}
	return f, nil
}

var errOver = errors.New("a box that runs over its end")

// each returns the boxes within a box, or within the file; errOver where one runs over the
// end.
func each(body fields, use func(box section, body fields) error) error {
	for len(body.b) > 0 {
		at := body.at
		n, kind := int64(body.uint(4)), body.text()
		switch n {
		case 0: // to the end
			n = body.at - at + int64(len(body.b))
		case 1:
			n = int64(body.uint(8))
		}
		inner := fields{at: body.at}
		if n -= body.at - at; n < 0 && !body.short {
			return because(ErrCorrupt, errors.New("a box shorter than its own head"))
		}
		inner.b = body.bytes(int(n))
		if body.short {
			return because(ErrCorrupt, errOver)
		}
		if err := use(section{kind, at, inner.at, n, inner.at + n}, inner); err != nil {
			return err
		}
	}
	return nil
}

// readMeta reads a meta box: ISO/IEC 14496-12, 8.11.
func (f *heif) readMeta(body fields) error {
	if body.skip(4); body.short {
		return because(ErrCorrupt, errors.New("no list of items"))
	}
	return each(body, func(box section, b fields) error {
		switch box.name {
		case "pitm":
			f.primary = b.uint(idBytes(b.uint(4)>>24 > 0))
		case "iinf":
			return f.items(b)
		case "iloc":
			f.locations(b)
		case "iref":
			return f.references(b)
		case "iprp":
			return each(b, func(box section, b fields) error {
				switch box.name {
				case "ipco":
					return each(b, func(box section, b fields) error {
						f.props = append(f.props, property{box.name, b})
						return nil
					})
				case "ipma":
					f.associations(b)
				}
				return nil
			})
		case "idat":
			f.idat = b.b
		}
		return nil
	})
}

// idBytes returns how long the number of an item is.
func idBytes(long bool) int {
	if long {
		return 4
	}
	return 2
}

// items reads iinf (8.11.6).
func (f *heif) items(b fields) error {
	b.skip(idBytes(b.uint(4)>>24 > 0))
	return each(b, func(_ section, b fields) error {
		version := b.uint(4) >> 24
		id := b.uint(idBytes(version > 2))
		b.skip(2)
		f.kinds[id] = b.text()
		return nil
	})
}

// locations reads iloc (8.11.3).
func (f *heif) locations(b fields) {
	version := b.uint(4) >> 24
	sizes := b.uint(2)
	size := func(i int) int { return int(sizes >> (12 - 4*i) & 15) }
	for range min(b.uint(idBytes(version == 2)), maxItems) {
		id := b.uint(idBytes(version == 2))
		method := uint64(0)
		if version > 0 {
			method = b.uint(2) & 15
		}
		b.skip(2)
		base := int64(b.uint(size(2)))
		for range min(b.uint(2), maxItems) {
			if version > 0 {
				b.skip(size(3))
			}
			e := extent{base + int64(b.uint(size(0))), int64(b.uint(size(1))), method == 1}
			if b.short {
				return
			}
			f.places[id] = append(f.places[id], e)
		}
	}
}

// references reads iref (8.11.12).
func (f *heif) references(b fields) error {
	n := idBytes(b.uint(4)>>24 > 0)
	return each(b, func(box section, b fields) error {
		r := reference{kind: box.name, from: b.uint(n)}
		for range b.uint(2) {
			if b.short {
				return nil
			}
			r.to = append(r.to, b.uint(n))
		}
		f.refs = append(f.refs, r)
		return nil
	})
}

// associations reads ipma (23008-12, 9.3).
func (f *heif) associations(b fields) {
	head := b.uint(4)
	for range min(b.uint(4), maxItems) {
		id := b.uint(idBytes(head>>24 > 0))
		for range b.uint(1) {
			n, mask := 1, uint64(0x7f) // the top bit says whether it is essential
			if head&1 > 0 {
				n, mask = 2, 0x7fff
			}
			f.has[id] = append(f.has[id], b.uint(n)&mask)
		}
	}
}

// all returns the properties of a kind that an item has.
func (f *heif) all(id uint64, kind string) (out []fields) {
	for _, i := range f.has[id] {
		if i > 0 && i <= uint64(len(f.props)) && f.props[i-1].kind == kind {
			out = append(out, f.props[i-1].body)
		}
	}
	return out
}

// from returns what an item refers to.
func (f *heif) from(kind string, id uint64) []uint64 {
	for _, r := range f.refs {
		if r.kind == kind && r.from == id {
			return r.to
		}
	}
	return nil
}

// data reads the bytes of an item, at most maxProfile of them.
func (f *heif) data(id uint64) ([]byte, error) {
	var out []byte
	for _, e := range f.places[id] {
		if e.n > int64(maxProfile-len(out)) {
			return nil, because(ErrCorrupt, errors.New("an item that is too long"))
		}
		if e.inIdat {
			inner := fields{b: f.idat}
			inner.skip(int(min(e.at, maxMeta)))
			out = append(out, inner.bytes(int(e.n))...)
			continue
		}
		out = append(out, f.b[e.at:e.at+e.n]...) // readHEIF saw to it that they are there
	}
	return out, nil
}

// header says how large the primary picture is, what decoding it takes, and what
// its colours mean.
func (f *heif) header() (header, error) {
	var h header
	size := f.all(f.primary, "ispe")
	if len(size) == 0 {
		return h, because(ErrCorrupt, errors.New("no size of the primary picture"))
	}
	size[0].skip(4)
	h.w, h.h = int(size[0].uint(4)), int(size[0].uint(4))

	coded := []uint64{f.primary}
	switch kind := f.kinds[f.primary]; kind {
	case "hvc1":
	case "grid":
		tiles, err := f.grid(&h)
		if err != nil {
			return h, err
		}
		coded = tiles
	case "av01":
		return h, unsupported("AVIF")
	case "":
		return h, because(ErrCorrupt, errors.New("no primary picture"))
	default:
		return h, unsupported("rare kinds of HEIF")
	}
	code, err := f.codes(coded, &h)
	if err != nil {
		return h, err
	}
	if err := f.colours(&h, coded[0], code); err != nil {
		return h, err
	}
	for _, r := range f.refs {
		if r.kind == "cdsc" && f.kinds[r.from] == "Exif" && len(r.to) > 0 && r.to[0] == f.primary {
			b, err := f.data(r.from)
			if err != nil {
				return h, err
			}
			exif := fields{b: b} // annex A.2.1: how far off the TIFF structure is
			exif.skip(int(exif.uint(4)))
			h.exif = exif.b
		}
	}
	return h, nil
}

// grid reads the size of a grid (23008-12, 6.6.2.3.2), which is what the decoder
// goes by, and gives its tiles.
func (f *heif) grid(h *header) ([]uint64, error) {
	b, err := f.data(f.primary)
	if err != nil {
		return nil, err
	}
	g := fields{b: b}
	g.skip(1)
	n := 2 + 2*int(g.uint(1)&1)
	rows, columns := 1+g.uint(1), 1+g.uint(1)
	h.w, h.h = max(h.w, int(g.uint(n))), max(h.h, int(g.uint(n)))
	tiles := f.from("dimg", f.primary)
	if g.short || uint64(len(tiles)) != rows*columns {
		return nil, because(ErrCorrupt, errors.New("a grid that lacks tiles"))
	}
	return tiles, nil
}

// codes reads how the coded pictures that make the primary one are coded, and
// estimates what decoding them takes. Together they may reach over the picture's
// edges by a tile each way, or one picture by a block (ITU-T H.265, 7.4.3.2.1),
// and no more.
func (f *heif) codes(coded []uint64, h *header) (first sps, err error) {
	const block = 64
	total, most := int64(0), 0 // coded pixels, and those of the largest
	known := map[*byte]sps{}   // by where it stands: many tiles share one
	for i, id := range coded {
		boxes := f.all(id, "hvcC")
		if f.kinds[id] != "hvc1" || len(boxes) == 0 || len(boxes[0].b) == 0 {
			return first, because(ErrCorrupt, errors.New("a coded picture without its codes"))
		}
		box := boxes[0].b
		s, met := known[&box[0]]
		if !met {
			var ok bool
			if s, ok = spsOf(box); !ok {
				return first, because(ErrCorrupt, errors.New("damaged codes"))
			}
			known[&box[0]] = s
		}
		if i == 0 {
			first = s
		}
		most = max(most, s.w*s.h)
		total += int64(s.w) * int64(s.h)
		overX, overY := block, block
		if len(coded) > 1 {
			overX, overY = first.w, first.h
		}
		if total > saturate(h.w+overX, h.h+overY, 1) {
			return first, because(ErrCorrupt, fmt.Errorf("%d coded pictures for %d × %d pixels", len(coded), h.w, h.h))
		}
	}
	h.memory = heifBase + 2*int64(len(f.b)) + max(saturate(h.w, h.h, heifPixel), saturate(most, 1, heifPixel))
	return first, nil
}

// colours reads the colr boxes of the primary picture, or of its first tile
// (14496-12, 12.1.5); what they do not say, the coded picture may.
func (f *heif) colours(h *header, tile uint64, s sps) error {
	said := false
	boxes := append(f.all(f.primary, "colr"), f.all(tile, "colr")...)
	for _, b := range boxes {
		switch kind := b.text(); {
		case kind == "nclx" && len(b.b) >= 7 && !said:
			s.primaries, s.transfer, s.matrices = uint16(b.uint(2)), uint16(b.uint(2)), uint16(b.uint(2))
			s.fullRange = b.uint(1)>>7 == 1
			said = true
		case (kind == "prof" || kind == "rICC") && h.icc == nil:
			h.icc = b.b
		}
	}
	if s.grey && (s.deep || said) {
		return unsupported("rare kinds of grey HEIC") // by the decoder
	}
	if h.icc == nil && s.primaries != unspecified {
		// As a PNG says it, for the rest is undone before: RGB of full range.
		h.cicp = []byte{byte(s.primaries), byte(s.transfer), 0, 1}
	}
	h.coding.studio = !s.fullRange
	switch s.matrices {
	case 0, 5, 6, unspecified: // a decoder gives RGB for 0
		h.coding.luma = bt601
	case 1:
		h.coding.luma = bt709
	case 9:
		h.coding.luma = bt2020
	default:
		return unsupported("rare colour codings of HEIC")
	}
	return nil
}
