package photo

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"
)

// FocalLengthIn35mmFilm is tag 0xA405, a SHORT, 0 where unknown (CIPA DC-008,
// 4.6.5).
func TestFocalLength(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		for said, want := range map[uint32]int{26: 26, 8: 8, 400: 400, 0: 0, 7: 0, 65535: 0} {
			require.Equal(t, want, readEXIF(exifOf(order, 6, []field{{0xa405, 3, said}}, nil)).focal35, "%v", said)
		}
		require.Zero(t, readEXIF(exifOf(order, 6, nil, nil)).focal35)
	}
}
