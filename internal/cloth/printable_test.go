package cloth

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"2½ “sea greens”, Ærø 裂 👩‍🌾": "2½ “sea greens”, Ærø 裂 👩‍🌾",
		"a\x1b[31mb":     "a?[31mb",
		"a\u009b31mb":    "a?31mb",
		"a\x7f\x00\tb\n": "a???b?",
		"a\u202eb\u2067": "a?b?",
		"a\u2028b\u0085": "a?b?",
	} {
		require.Equal(t, want, Printable(in))
	}
	require.Equal(t, "a\n\tb?", string(PrintableLines([]byte("a\n\tb\u009b"))))
}

// Escaped, the text means the same.
func TestPrintableJSON(t *testing.T) {
	in := []string{"a\u009b\x7f\u202e\u2028", "½\n"}
	text, err := json.MarshalIndent(in, "", " ")
	require.NoError(t, err)
	got := PrintableJSON(text)
	require.Contains(t, string(got), `"a\u009b\u007f\u202e\u2028"`)
	require.Contains(t, string(got), "½")
	var out []string
	require.NoError(t, json.Unmarshal(got, &out))
	require.Equal(t, in, out)
}
