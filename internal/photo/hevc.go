package photo

// sps is what is wanted of a sequence parameter set (ITU-T H.265, 7.3.2.2): the
// coded size, and how the codes are to be read where the file's own boxes do not
// say.
type sps struct {
	grey, deep                    bool // no chroma; more than 8 bits
	w, h                          int  // coded samples, before the conformance window
	fullRange                     bool
	primaries, transfer, matrices uint16 // ITU-T H.273; 2 where it does not say
}

// spsOf finds the first sequence parameter set of an hvcC box's body (ISO/IEC
// 14496-15, 8.3.3.1) and reads it; ok is false where there is none or it is damaged.
func spsOf(hvcC []byte) (s sps, ok bool) {
	const head, spsType = 22, 33
	f := fields{b: hvcC}
	f.skip(head)
	for range f.uint(1) {
		kind := f.uint(1) & 0x3f
		for range f.uint(2) {
			if f.short {
				return sps{}, false
			}
			unit := f.bytes(int(f.uint(2)))
			if kind == spsType {
				return readSPS(unit)
			}
		}
	}
	return sps{}, false
}

func readSPS(unit []byte) (s sps, ok bool) {
	b := bits{b: unescape(unit)}
	b.skip(16 + 4) // the unit's header, the video parameter set
	layers := int(b.u(3))
	b.skip(1)
	b.profileTierLevel(layers)
	b.ue() // its own number
	chroma := b.ue()
	s.grey = chroma == 0
	if chroma == 3 {
		b.skip(1) // separate colour planes
	}
	s.w, s.h = int(b.ue()), int(b.ue())
	if b.flag() {
		b.ues(4) // conformance window
	}
	s.deep = b.ue() > 0
	b.ue() // the depth of chroma
	pocBits := 4 + int(b.ue())
	first := layers
	if b.flag() {
		first = 0
	}
	b.ues(3 * (layers - first + 1))
	b.ues(6) // sizes and depths of blocks
	if enabled := b.flag(); enabled && b.flag() {
		b.scalingLists()
	}
	b.skip(2) // asymmetric partitions, sample adaptive offset
	if b.flag() {
		b.skip(8)
		b.ues(2)
		b.skip(1)
	}
	b.referenceSets()
	if b.flag() {
		for range b.few(32) {
			b.skip(pocBits + 1)
		}
	}
	b.skip(2) // motion vector prediction, smoothing
	s.primaries, s.transfer, s.matrices = unspecified, unspecified, unspecified
	if b.flag() {
		b.signal(&s)
	}
	return s, !b.bad && s.w > 0 && s.h > 0
}

// signal reads the video usability information (annex E.2.1) up to its signal type.
func (b *bits) signal(s *sps) {
	const extended = 255
	if b.flag() && b.u(8) == extended {
		b.skip(32)
	}
	if b.flag() {
		b.skip(1)
	}
	if !b.flag() {
		return
	}
	b.skip(3)
	s.fullRange = b.flag()
	if b.flag() {
		s.primaries, s.transfer, s.matrices = uint16(b.u(8)), uint16(b.u(8)), uint16(b.u(8))
	}
}

// profileTierLevel is 7.3.3.
func (b *bits) profileTierLevel(layers int) {
	const profile, level = 88, 8
	b.skip(profile + level)
	if layers == 0 {
		return
	}
	sizes := 0
	for i := range 8 {
		has, hasLevel := b.flag(), b.flag()
		if i < layers && has {
			sizes += profile
		}
		if i < layers && hasLevel {
			sizes += level
		}
	}
	b.skip(sizes)
}

// scalingLists is 7.3.4.
func (b *bits) scalingLists() {
	for size := range 4 {
		step := 1
		if size == 3 {
			step = 3
		}
		for m := 0; m < 6; m += step {
			switch {
			case !b.flag():
				b.ue()
			case size > 1:
				b.ues(1 + 64)
			default:
				b.ues(min(64, 16<<(2*size)))
			}
		}
	}
}

// referenceSets is all of 7.3.7.
func (b *bits) referenceSets() {
	pictures := 0 // of the set before
	for i := range b.few(64) {
		if i > 0 && b.flag() {
			b.skip(1)
			b.ue()
			n := 0
			for range pictures + 1 {
				if used := b.flag(); used || b.flag() {
					n++
				}
			}
			pictures = n
			continue
		}
		pictures = b.few(16) + b.few(16)
		for range pictures {
			b.ue()
			b.skip(1)
		}
	}
}

// bits reads a raw byte sequence payload; past its end it gives zeros, and is bad.
type bits struct {
	b   []byte
	at  int
	bad bool
}

func (b *bits) skip(n int) {
	b.at += n
	b.bad = b.bad || b.at > 8*len(b.b)
}

func (b *bits) flag() bool { return b.u(1) == 1 }

func (b *bits) u(n int) (v uint32) {
	at := b.at
	b.skip(n)
	if b.bad {
		return 0
	}
	for i := at; i < b.at; i++ {
		v = v<<1 | uint32(b.b[i/8]>>(7-i%8)&1)
	}
	return v
}

// ue returns an Exp-Golomb number (9.2); one of the signed kind is as long.
func (b *bits) ue() uint32 {
	zeros := 0
	for !b.flag() {
		if zeros++; b.bad || zeros > 31 {
			b.bad = true
			return 0
		}
	}
	return 1<<zeros - 1 + b.u(zeros)
}

// ues passes over n Exp-Golomb numbers.
func (b *bits) ues(n int) {
	for range n {
		b.ue()
	}
}

// few returns an Exp-Golomb number that cannot be above most.
func (b *bits) few(most uint32) int {
	n := b.ue()
	if n > most {
		b.bad = true
		return 0
	}
	return int(n)
}

// unescape takes out the emulation prevention bytes (7.3.1.1).
func unescape(unit []byte) []byte {
	out := make([]byte, 0, len(unit))
	for i, v := range unit {
		if v == 3 && i >= 2 && unit[i-1] == 0 && unit[i-2] == 0 {
			continue
		}
		out = append(out, v)
	}
	return out
}

// fields reads big-endian numbers; past the end it gives zeros, and is short.
type fields struct {
	b     []byte
	at    int64 // where b begins in the file, where that is asked for
	short bool
}

func (f *fields) bytes(n int) []byte {
	if n < 0 || n > len(f.b) {
		f.short, f.b = true, nil
		return nil
	}
	out := f.b[:n]
	f.b, f.at = f.b[n:], f.at+int64(n)
	return out
}

func (f *fields) skip(n int) { f.bytes(n) }

// uint returns a number of n bytes, 0 to 8.
func (f *fields) uint(n int) (v uint64) {
	for _, b := range f.bytes(n) {
		v = v<<8 | uint64(b)
	}
	return v
}

// text returns a four-character code.
func (f *fields) text() string { return string(f.bytes(4)) }
