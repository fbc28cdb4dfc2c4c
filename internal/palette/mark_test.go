package palette

import (
	"encoding/base64"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is kept of a signature says the same as the signature.
func TestMarksSayWhatSignaturesSay(t *testing.T) {
	items, _ := layAll(t, shop, 0.1, 4)
	read := make([]Signature, len(items))
	for i := range items {
		items[i].SeenIn(47.3, 2.5)
		mark := items[i].Mark()
		require.Less(t, len(mark), 320)
		var err error
		read[i], err = ReadMark(mark)
		require.NoError(t, err)
		require.InEpsilon(t, 47.3, read[i].scale, 0.001)
		require.InDelta(t, items[i].lightSD, read[i].lightSD, 0.002)
		require.Equal(t, mark, read[i].Mark(), "what was read is kept as it was")
		for k, s := range items[i].stats {
			if s.known && s.variance > 1e-8 {
				require.InEpsilon(t, s.variance, read[i].stats[k].variance, 0.05, "statistic %d", k)
			}
		}
	}
	m := &models.Flat
	for i := range items {
		for j := range i {
			a, b, p, q := items[i].candidate(), items[j].candidate(), read[i].candidate(), read[j].candidate()
			want := m.patternOdds(&a, &b, inOnePhoto, -100)
			got := m.patternOdds(&p, &q, inOnePhoto, -100)
			require.InDelta(t, want, got, 0.6+0.05*max(0, -want), "%d %d", i, j)
			d, _ := lightApart(&items[i], &items[j])
			e, _ := lightApart(&read[i], &read[j])
			for c := range d {
				require.InDelta(t, d[c], e[c], 0.0003)
			}
		}
	}
}

func TestWhatIsNoMarkIsRefused(t *testing.T) {
	items, _ := layAll(t, shop[:1], 0, 1)
	mark := items[0].Mark()
	b, err := base64.RawStdEncoding.DecodeString(mark)
	require.NoError(t, err)
	b[0]++
	for _, bad := range []string{"", "a mark?", mark[:40], mark + "AAA", base64.RawStdEncoding.EncodeToString(b)} {
		_, err := ReadMark(bad)
		require.ErrorIs(t, err, ErrMark, bad)
	}
}
