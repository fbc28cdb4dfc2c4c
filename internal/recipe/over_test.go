package recipe

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is built in comes out at its size, cut to marks of the ruler.
func TestWhatIsBuiltInComesOut(t *testing.T) {
	for _, name := range Names() {
		require.Empty(t, builtIn(t, name).OffMarks(Inches()), name)
	}
}

// At other sizes a block comes out as wide as the sum of its pieces as cut along a row, less
// a quarter inch at either side of each (exact arithmetic, over the patches and not the units).
func TestBlocksComeOutAsCut(t *testing.T) {
	for _, name := range Names() {
		r := builtIn(t, name)
		for w := r.WidthIn / 2; w < 2*r.WidthIn; w += 0.5 {
			sized, err := r.Resize(w)
			require.NoError(t, err)
			for _, b := range sized.Blocks {
				wide, _ := b.Over(Inches())
				require.InDelta(t, b.WidthIn+wide, alongRows(b), 1e-6, "%s: %s at %g", name, b.Name, w)
			}
		}
	}
}

// alongRows is the greatest width of a block by its patches, whatever unit they are of:
// what every line across it meets of patches with square corners, rounded up to an eighth.
func alongRows(b Block) (most float64) {
	cell := b.CellIn()
	for y := 0.25; y < float64(b.Rows); y += 0.5 {
		var all float64
		for _, u := range b.Units {
			at := u.place()
			if y < float64(at.Row) || y > float64(at.Row+at.High) {
				continue
			}
			if u.Make != StripSet && u.Make != LogCabin && u.Make != CourthouseSteps {
				all += roundUp(cell*float64(at.Wide)+0.5, 0.125) - 0.5
				continue
			}
			for _, s := range u.shapes() {
				lo, hi := s.polygon.Bounds()
				if y > lo.Y && y < hi.Y {
					all += roundUp(cell*(hi.X-lo.X)+0.5, 0.125) - 0.5
				}
			}
		}
		most = max(most, all)
	}
	return most
}

// A bear's paw of seven cells, 12 wide: a cell of 1.714 is cut 2¼ and finishes at 1¾, and a
// pad of two, 3.429, is cut 4 and finishes at 3½. Two claws, two pads and the strip between
// come to 1¾ + 3½ + 1¾ + 3½ + 1¾ = 12¼ (by hand).
func TestBlocksOffTheMarks(t *testing.T) {
	sized := func(name string, width float64) Block {
		r, err := builtIn(t, name).Resize(width)
		require.NoError(t, err)
		return r.Blocks[0]
	}
	paw := sized("bears-paw", 12)
	wide, high := paw.Over(Inches())
	require.InDelta(t, 0.25, wide, 1e-9)
	require.InDelta(t, 0.25, high, 1e-9)
	require.False(t, paw.ComesOut(Inches()))
	require.False(t, (&Recipe{Blocks: []Block{sized("bears-paw", 14), paw}}).ComesOut(Inches()))
	require.True(t, (&Recipe{Blocks: []Block{sized("bears-paw", 14)}}).ComesOut(Inches()))
	require.Equal(t, "some patches lie between two marks of the ruler and are cut up to the next. Sewn as cut, it comes out up to ¼ too large: make it 11⅜ or 12¼ wide, which comes out, or cut those patches a little under the mark. Sew one block first, and measure it", paw.OffMarks(Inches()))
	require.Contains(t, paw.OffMarks(Centimetres(0.25)), "24 cm or 31 cm", "whole centimetres")
	for wide, want := range map[float64]string{5.9: "5⅞ or 6", 5.3: "5¼ or 5⅜", 3.3: "3¼ or 3⅜"} {
		plain := builtIn(t, "plain-squares").Blocks[0]
		plain.WidthIn, plain.HeightIn = wide, wide
		require.Contains(t, plain.OffMarks(Inches()), "make it "+want+" wide", "the nearest marks: a square is cut half an inch larger")
	}

	// Three rails of 3⅓ are cut 3⅞ each, and finish at 3 × 3⅜; they are as long as the block.
	wide, high = sized("rail-fence", 10).Over(Inches())
	require.Zero(t, wide)
	require.InDelta(t, 0.125, high, 1e-9)
	// A hearth of two and three rounds of logs of one, on a grid of eight: at 13 a log of
	// 1⅝ lies on a mark; at 12¼ it is 1.531, cut 2⅛ and finished at 1⅝, six of them, and
	// the hearth of 3.0625 finishes at 3⅛.
	wide, high = sized("log-cabin", 13).Over(Inches())
	require.Zero(t, wide)
	require.Zero(t, high)
	wide, high = sized("log-cabin", 12.25).Over(Inches())
	require.InDelta(t, 6*(1.625-1.53125)+3.125-3.0625, wide, 1e-9)
	require.InDelta(t, wide, high, 1e-9)
}

// By hand: four widths of 6.1 are 24.4; three blocks of 6 leave 6.4, two spacers of 3.2, which
// are cut 3¾ and finish at 3¼, together 0.1 too long. A strip of 2.3 is cut 2⅞ and finishes at
// 2⅜; a border of 1.3 is cut 1⅞ and finishes at 1⅜.
func TestStripsOffTheMarks(t *testing.T) {
	read := func(text string) *Recipe {
		r, err := Read("mine", []byte("name = \"mine\"\n"+text))
		require.NoError(t, err)
		return r
	}
	const rows = "width = %s\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\n[[row]]\nblock = \"pinwheel\"\nheight = 6\nspacers = \"between\"\n[[row]]\nheight = %s\n[[border]]\nwidth = %s\n"
	off := read(fmt.Sprintf(rows, "6.1", "2.3", "1.3"))
	require.Equal(t, []string{
		"row 1 comes out ⅛ too long: its spacers of 3.2 lie between two marks of the ruler and are cut up to the next. Cut those a little under the mark, or give the blocks a width that leaves whole marks",
		"row 2 of 2.3 lies between two marks of the ruler and is cut up to the next: it finishes at 2⅜. Write 2¼ or 2⅜, which comes out",
		"border 1 of 1.3 lies between two marks of the ruler and is cut up to the next: it finishes at 1⅜. Write 1¼ or 1⅜, which comes out",
	}, off.StripsOffMarks(4, 2, Inches()))
	require.Empty(t, off.StripsOffMarks(4, 2, Centimetres(0.25)), "a millimetre is no sixteenth")
	require.Empty(t, read(fmt.Sprintf(rows, "6.25", "2.375", "1.375")).StripsOffMarks(4, 2, Inches()), "25 less 18 leaves 3½ to either spacer")
}

// By hand: stars of 3.3 are cut for cells of 1.1, which finish at 1⅛, so that each is 0.075 too
// wide. About 24 there are eight of them a side, 26.4 between spacers of 1.2: 0.6 too long
// together, on a mark ⅝. A border 3 or 4½ wide comes out.
func TestPiecedBordersOffTheMarks(t *testing.T) {
	const text = "name = \"mine\"\nwidth = 6\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\n[[border]]\nwidth = %s\nblock = \"ohio-star\"\n"
	r, err := Read("mine", fmt.Appendf(nil, text, "3.3"))
	require.NoError(t, err)
	require.Equal(t, []string{"border 1: its pieces grow together to ⅝ too long at the top and ⅝ at a side"}, r.StripsOffMarks(4, 4, Inches()))
	require.Contains(t, strings.Join(r.OffMarks(Inches()), ""), "make the border 3 or 3⅜ wide, which comes out")
	for _, width := range []string{"3", "4.5"} {
		r, err := Read("mine", fmt.Appendf(nil, text, width))
		require.NoError(t, err)
		require.Empty(t, append(r.StripsOffMarks(4, 4, Inches()), r.OffMarks(Inches())...), width)
	}
}

// Piano keys are as wide as they can be sewn and are keys: a hundred is a number of them.
func TestKeysHaveLimits(t *testing.T) {
	for width, why := range map[string]string{"100": "keys of 100 are no piano keys", "12.1": "keys of 12⅛ are no piano keys", "0.4": "are too narrow to sew", "0.5": "", "12": ""} {
		_, err := Read("mine", []byte("name = \"mine\"\nwidth = 6\ngrid = [1, 1]\n[[patch]]\nat = [[1, 1]]\n[[border]]\nwidth = 3\nkeys = "+width+"\n"))
		if why == "" {
			require.NoError(t, err, width)
			continue
		}
		require.ErrorContains(t, err, why)
	}
}
