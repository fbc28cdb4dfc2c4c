package palette

import (
	"encoding/base64"
	"encoding/binary"
	"errors"
	"math"
)

// markVersion is the first byte of a mark. A mark of another version is passed over:
// a later look at the photo makes it again.
const markVersion = 1

// ErrMark says that a text is no mark that this version reads.
var ErrMark = errors.New("no mark of a print")

// kept is how a statistic is kept, in a byte: so many steps from the middle.
type kept struct{ middle, step float64 }

// keptStats keep each statistic in steps well below what two looks at one piece differ
// by.
var keptStats = func() (k [statCount]kept) {
	for i := range k {
		switch {
		case i < statContrast:
			k[i] = kept{0, sliceStep}
		case i < statTogether, i >= statTextureL && i < statTwofold:
			k[i] = kept{-5, 0.05} // a logarithm
		default:
			k[i] = kept{0, 1. / 127} // from -1 to 1
		}
	}
	return k
}()

var keptInk = [3]kept{{1, 1. / 160}, {0, 1. / 160}, {0, 1. / 160}}

func (k kept) mark(v float64) byte {
	return byte(int8(min(127, max(-127, math.Round((v-k.middle)/k.step)))))
}

func (k kept) read(b byte) float64 { return k.middle + k.step*float64(int8(b)) }

const (
	keptLight      = 1. / 4096 // of natural logarithms
	keptLightSD    = 1. / 256
	keptOctave     = 1024 // of the scale
	keptVariance   = 8    // steps an octave of a variance
	keptInks       = 8
	leastVariance  = 1e-12
	markHead       = 1 + 4 + 2 + 1
	markLights     = markHead + 3*lightCount
	markStatistics = markLights + 2*statCount
)

// Mark returns the signature as it is kept: some 190 bytes, in base64.
func (s *Signature) Mark() string {
	b := []byte{markVersion}
	b = binary.LittleEndian.AppendUint32(b, uint32(s.area))
	b = binary.LittleEndian.AppendUint16(b, uint16(math.Round(keptOctave*math.Log2(1+min(max(0, s.scale), 1<<15)))))
	b = append(b, byte(min(255, math.Round(s.lightSD/keptLightSD))))
	for _, l := range s.light {
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(min(7, max(-7, l.mean))/keptLight))))
		b = append(b, l.markVariance())
	}
	for i := range s.stats {
		b = append(b, keptStats[i].mark(s.stats[i].mean), s.stats[i].markVariance())
	}
	for _, k := range s.inks[:min(len(s.inks), keptInks)] {
		for c, v := range k.lab {
			b = append(b, keptInk[c].mark(float64(v)))
		}
		b = append(b, byte(math.Round(255*min(1, max(0, k.share)))))
	}
	return base64.RawStdEncoding.EncodeToString(b)
}

// markVariance keeps a variance as a logarithm; 0 is a statistic that is not known.
func (s *stat) markVariance() byte {
	if !s.known {
		return 0
	}
	return byte(min(255, max(1, math.Round(24-keptVariance*math.Log2(max(s.variance, leastVariance))))))
}

func (s *stat) readVariance(b byte) {
	if s.known = b > 0; s.known {
		s.variance = math.Exp2((24 - float64(b)) / keptVariance)
	}
}

// ReadMark reads what Mark wrote; the error is ErrMark.
func ReadMark(mark string) (Signature, error) {
	b, err := base64.RawStdEncoding.DecodeString(mark)
	if err != nil || len(b) < markStatistics || b[0] != markVersion || (len(b)-markStatistics)%4 != 0 {
		return Signature{}, ErrMark
	}
	s := Signature{
		area:    int(max(1, binary.LittleEndian.Uint32(b[1:]))),
		scale:   math.Exp2(float64(binary.LittleEndian.Uint16(b[5:]))/keptOctave) - 1,
		lightSD: keptLightSD * float64(b[7]),
	}
	for c := range s.light {
		at := b[markHead+3*c:]
		s.light[c].mean = keptLight * float64(int16(binary.LittleEndian.Uint16(at)))
		s.light[c].readVariance(at[2])
	}
	for i := range s.stats {
		at := b[markLights+2*i:]
		s.stats[i].mean = keptStats[i].read(at[0])
		s.stats[i].readVariance(at[1])
	}
	for at := b[markStatistics:]; len(at) > 0; at = at[4:] {
		k := signatureInk{share: float64(at[3]) / 255}
		for c := range k.lab {
			k.lab[c] = float32(keptInk[c].read(at[c]))
		}
		s.inks = append(s.inks, k)
	}
	return s, nil
}
