package scale

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A white card or sheet that gives no scale was passed over in silence: it is said
// why, and what to do. White cloth is not suspected: not where it frays or is
// printed, nor where others are cut to its size.
func TestUnread(t *testing.T) {
	pieces := squares([]float64{2.5, 2.5, 2.5, 2.5}, 6.5, 4)
	for i := range pieces {
		pieces[i].y -= 5
	}
	letter, printed, frayed := white(11, 8.5, 0), white(11, 8.5, 0), white(6, 4, 0)
	letter.x, letter.turn = 14, 0
	printed.print = 0.2
	frayed.fray = 0.04
	for name, c := range map[string]struct {
		thing lying
		why   string
	}{
		"a postcard":          {white(6, 4, 0), "it is 1.5 times as long as wide"},
		"a square":            {white(5, 5, 0), "it is square"},
		"a strip of paper":    {white(11, 2, 0), "it is 5.4"},
		"out of the photo":    {letter, "it runs out of the photo"},
		"a printed sheet":     {printed, "it has the shape of a Letter sheet, but is not plain"},
		"frayed":              {frayed, ""},
		"one cut with others": {white(2.5, 2.5, 0), ""},
	} {
		t.Run(name, func(t *testing.T) {
			s := shoot(800, 600, 0, 0, 21, plainTable, append(pieces[:len(pieces):len(pieces)], c.thing), 0.01, 5)
			res := Measure(s.pic, s.regions(0.3, 2), nil, Options{})
			require.Empty(t, res.References)
			require.Zero(t, res.Reading)
			said := strings.Join(res.Notes, "\n")
			if c.why == "" {
				require.NotContains(t, said, "card or sheet")
				return
			}
			require.Contains(t, said, "gave no scale: "+c.why)
			require.Contains(t, said, "say how long")
			require.Contains(t, res.Sizes[len(pieces)].Notes, "perhaps a card or sheet, not cloth")
		})
	}
}
