package cloth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPrintsThatNobodyNamed(t *testing.T) {
	require.Equal(t, "print 12", NumberedPrint(12))
	for name, short := range map[string]string{
		"print 12": "12", NumberedPrint(7): "7", "anchors": "anchors", "print shop": "print shop", "print 12a": "print 12a", "print ": "print ", "": "",
	} {
		require.Equal(t, short, ShortPrint(name), name)
	}
}
