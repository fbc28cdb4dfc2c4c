package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A part has its own size and roles: whatever is written besides is refused, each alone.
func TestAPartIsNothingBesides(t *testing.T) {
	const head = "name = \"x\"\nwidth = 4\ngrid = [2, 2]\n[part.four]\ngrid = [2, 2]\n[[part.four.patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"dark\"\n[[patch]]\nat = [[1, 1]]\npart = \"four\"\n"
	_, err := Read("x.toml", []byte(head))
	require.NoError(t, err)
	for _, besides := range []string{"make = \"half-square\"", "role = \"dark\"", "roles = [\"dark\", \"light\"]", "wide = 2", "high = 2"} {
		_, err := Read("x.toml", []byte(head+besides+"\n"))
		require.ErrorContains(t, err, "is a part and more besides", besides)
	}
}
