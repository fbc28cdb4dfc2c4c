package photo

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"
)

// boxOf is a box of ISO/IEC 14496-12, 4.2: its length with this head, or as given, a type
// and what is in it.
func boxOf(n int, kind, body string) []byte {
	if n < 0 {
		n = 8 + len(body)
	}
	return append(append(binary.BigEndian.AppendUint32(nil, uint32(n)), kind...), body...)
}

// Boxes follow one another; one of length 0 goes on to the end, one of length 1 has its
// length in eight bytes more; one shorter than its head, or over the end, is refused.
func TestBoxesOfAFile(t *testing.T) {
	long := append(append(binary.BigEndian.AppendUint32(nil, 1), "long"...), binary.BigEndian.AppendUint64(nil, 16+3)...)
	long = append(long, "abc"...)
	read := func(data []byte) (names []string, bodies []string, err error) {
		err = each(fields{b: data}, func(box section, body fields) error {
			names, bodies = append(names, box.name), append(bodies, string(body.b))
			require.Equal(t, string(data[box.from:box.to]), string(body.b))
			require.Equal(t, box.to-box.from, box.n)
			require.Equal(t, box.at, box.from-map[bool]int64{true: 16, false: 8}[box.name == "long"])
			return nil
		})
		return names, bodies, err
	}
	all := append(append(boxOf(-1, "ftyp", "heic"), long...), boxOf(0, "mdat", "to the end")...)
	names, bodies, err := read(all)
	require.NoError(t, err)
	require.Equal(t, []string{"ftyp", "long", "mdat"}, names)
	require.Equal(t, []string{"heic", "abc", "to the end"}, bodies)

	names, bodies, err = read(boxOf(8, "free", ""))
	require.NoError(t, err)
	require.Equal(t, []string{"free", ""}, append(names, bodies...))

	for _, short := range []int{2, 7} {
		names, _, err = read(append(boxOf(-1, "ftyp", "heic"), boxOf(short, "meta", "body")...))
		require.ErrorIs(t, err, ErrCorrupt)
		require.ErrorContains(t, err, "a box shorter than its own head")
		require.Equal(t, []string{"ftyp"}, names, "those before it are read")
	}
	_, _, err = read(boxOf(13, "mdat", "body"))
	require.ErrorIs(t, err, errOver)
	_, _, err = read(boxOf(-1, "mdat", "body")[:6])
	require.ErrorIs(t, err, errOver, "a head cut short")
}

// Of a file whose items are not told only so much is said; a meta box that is wrong within
// is no box that is cut short.
func TestItemsOfAFile(t *testing.T) {
	_, err := readHEIF(boxOf(-1, "ftyp", "heic"))
	require.ErrorIs(t, err, ErrTruncated)
	_, err = readHEIF(append(boxOf(-1, "ftyp", "heic"), boxOf(7, "meta", "")...))
	require.ErrorIs(t, err, ErrCorrupt)
	_, err = readHEIF(append(boxOf(-1, "ftyp", "heic"), boxOf(99, "meta", "body")...))
	require.ErrorIs(t, err, ErrTruncated, "the list of items runs over the end")
	f, err := readHEIF(append(boxOf(-1, "ftyp", "heic"), boxOf(-1, "meta", "\x00\x00\x00\x00"+string(boxOf(3, "hdlr", "")))...))
	require.ErrorIs(t, err, ErrCorrupt)
	require.Len(t, f.boxes, 2)
}
