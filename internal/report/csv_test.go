package report

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCSVGolden(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, CSV(&b, someLook()))
	golden(t, "look.csv", b.Bytes())
}

func TestCSVIsReadBack(t *testing.T) {
	l := someLook()
	var b bytes.Buffer
	require.NoError(t, CSV(&b, l))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+len(l.Shelf.Items)+2, "a head, the pieces, the bare photo, the refused one")
	require.Equal(t, CSVHead, rows[0])
	require.Equal(t, "2½ square", rows[1][13])
	bare, torn := rows[len(rows)-2], rows[len(rows)-1]
	require.Equal(t, "no pieces found", bare[len(bare)-1])
	require.Equal(t, "bag/torn.jpg", torn[0])
	require.Equal(t, "not read: the file ends before the picture does", torn[len(torn)-1])
}

// a photo named =1+1.jpg must not be run as a formula by a spreadsheet
func TestCSVHoldsNoFormulas(t *testing.T) {
	for in, want := range map[string]string{"=1+1.jpg": "'=1+1.jpg", "+a": "'+a", "-a": "'-a", "@a": "'@a", "\ta": "?a", "a=b": "a=b", "": "", "½": "½"} {
		require.Equal(t, want, plainCell(in))
	}
}
