package photo

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

// progressive is a grey JPEG of side × side pixels in so many scans: the first
// gives every block its mean, the others say in a few bytes that nothing more
// comes (T.81, G.1.2).
func progressive(side, scans int) []byte {
	var b bytes.Buffer
	segment := func(marker byte, data ...byte) {
		n := len(data) + 2
		b.Write(append([]byte{0xff, marker, byte(n >> 8), byte(n)}, data...))
	}
	blocks := (side + 7) / 8 * ((side + 7) / 8)
	table := func(class byte, symbol byte) []byte { // one code, of one bit: 0
		return append(append([]byte{class << 4, 1}, make([]byte, 15)...), symbol)
	}
	b.Write([]byte{0xff, markerSOI})
	segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...)...)
	segment(0xc2, 8, byte(side>>8), byte(side), byte(side>>8), byte(side), 1, 1, 0x11, 0)
	segment(markerDHT, table(0, 0)...)
	segment(markerDHT, table(1, 0xe0)...) // an end of band over 2¹⁴ blocks and more
	segment(markerSOS, 1, 1, 0, 0, 0, 0)
	b.Write(make([]byte, (blocks+7)/8))
	for range scans - 1 {
		segment(markerSOS, 1, 1, 0, 1, 63, 0)
		b.Write(make([]byte, 2*(blocks>>14+1)))
	}
	b.Write([]byte{0xff, markerEOI})
	return b.Bytes()
}

// 610 scans in some tens of kB once took minutes.
func TestManyScansAreRefused(t *testing.T) {
	_, info, err := Decode("a.jpg", progressive(16, mostScans), Options{})
	require.NoError(t, err)
	require.Equal(t, 16, info.Width)
	for _, scans := range []int{mostScans + 1, 610} {
		_, _, err = Decode("a.jpg", progressive(16, scans), Options{})
		require.ErrorIs(t, err, ErrTooLarge)
		require.EqualError(t, err, "a.jpg: this JPEG is built up in more than 64 passes, and would take too long to read")
	}
	// What follows the picture is no part of it: phones put small copies there.
	_, _, err = Decode("a.jpg", append(progressive(16, 2), progressive(16, 610)...), Options{})
	require.NoError(t, err)
}
