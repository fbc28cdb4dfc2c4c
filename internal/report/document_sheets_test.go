package report

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A list of what to pull took four sheets, a line a row on the left of each.
func TestDocumentPDFSetsLongNarrowTablesInColumns(t *testing.T) {
	for _, n := range []int{mostWhole, mostWhole + 1, 30, 55, 90, 200} {
		for before := range 3 {
			d := Document{title: "t", sections: []section{{Heading: "a", Items: slices.Repeat([]string{"line"}, 12*before)}, {Heading: "Pull"}, {Heading: "Still wanted", Items: []string{"last"}}}}
			for k := range 3 { // three baskets
				box := table{Columns: columns("box "+strconv.Itoa(k), "print", ">pieces")}
				for i := k; i < n; i += 3 {
					box.add(plainChip(hex(20, 20, 80)).with("dark blue"), i, 2)
				}
				d.sections[1].Tables = append(d.sections[1].Tables, box)
			}
			p := somePaper(t)
			all := p.laid(d)
			halves := slices.IndexFunc(all, func(l laid) bool { return l.half })
			require.Equal(t, n > mostWhole, halves >= 0)
			if halves < 0 {
				continue
			}
			run := slices.DeleteFunc(slices.Clone(all), func(l laid) bool { return !l.half })
			require.Len(t, run, n+3, "each row and each head once")
			right := false
			for i, l := range run {
				require.LessOrEqual(t, l.y+l.high, p.h-paperMargin+1e-6, "row %d of %d is on the sheet", i, n)
				if i > 0 {
					was := run[i-1]
					onward := l.sheet == was.sheet && (l.right == was.right && l.y >= was.y+was.high-1e-6 || l.right && !was.right)
					require.True(t, onward || l.sheet == was.sheet+1 && was.right && !l.right, "row %d of %d follows the one before it", i, n)
				}
				if l.right && !run[i-1].right {
					k := slices.IndexFunc(run, func(x laid) bool { return x.sheet == l.sheet })
					require.InDelta(t, run[k].y, l.y, 1e-6, "both columns begin at one height")
				}
				right = right || l.right
			}
			require.True(t, right)
			last := all[slices.IndexFunc(all, func(l laid) bool { return l.sheet == run[len(run)-1].sheet && l.half }):]
			left, rest, below := 0.0, 0.0, 0.0
			for _, l := range last {
				if l.half {
					below = max(below, l.y+l.high)
				}
				if l.half && l.right {
					rest += l.high
				} else if l.half {
					left += l.high
				}
			}
			require.InDelta(t, left, rest, 1.5, "the columns of the last sheet are of one height, of %d after %d", n, before)
			for _, l := range last {
				if !l.half && l.sheet == run[len(run)-1].sheet {
					require.GreaterOrEqual(t, l.y, below-1e-6, "what follows stands below both columns")
				}
			}
		}
	}
}

// A table whose words would be broken to shreds keeps the width of the sheet.
func TestDocumentPDFKeepsWideTablesWhole(t *testing.T) {
	wide := table{Columns: columns("quilt", "what the next bed lacks")}
	for range 30 {
		wide.add("reading corner", strings.Repeat("many words of it ", 8))
	}
	require.False(t, somePaper(t).halves([]table{wide}))
}

// Names of patches got too small to read where that saved a sheet.
func TestDocumentPDFKeepsLettersLegible(t *testing.T) {
	for _, size := range []float64{0.4, 1, 4} {
		d := drawing{W: 48, H: 16, Title: "t", Shapes: []shape{{Points: rect(0, 0, 48, 16), Label: "A1", Size: size}}}
		for n := range 12 {
			p := somePaper(t)
			s := section{Drawings: slices.Repeat([]drawing{d}, n+1), Wide: true, Lettered: true}
			rows := p.rows(s)
			full := size * pointsPerIn * p.width() / d.W
			for i, l := range p.laid(Document{title: "t", sections: []section{s}}) {
				if l.drawn == nil {
					continue
				}
				points := size * rows[0][0].scale * l.size * pointsPerIn
				require.GreaterOrEqual(t, points, min(labelReadPt, full)-1e-6, "drawing %d of %d", i, n+1)
			}
			require.Equal(t, size == 4 && n > 0, len(rows[0]) == 2, "two stand side by side where they can be read")
		}
	}
}

// Small print took a second sheet by itself: rows stand close where that saves it.
func TestDocumentPDFStandsCloseToSaveASheet(t *testing.T) {
	saved := false
	for n := range 40 {
		rows := table{Columns: columns("what", "for")}
		for range n {
			rows.add(plainChip(hex(20, 20, 80)).with("dark blue"), strings.Repeat("word ", 16))
		}
		d := Document{title: "t", sections: []section{{Heading: "Buy", Tables: []table{rows}}}, fine: []string{"small print"}}
		p := somePaper(t)
		all := p.laid(d)
		last := all[len(all)-1]
		saved = saved || p.close
		if p.close {
			require.Zero(t, last.sheet, "%d rows", n)
			require.LessOrEqual(t, last.y+last.high, p.h-paperMargin+1e-6)
		}
		loose, _ := somePaper(t).tried(d)
		require.Equal(t, last.sheet < loose[len(loose)-1].sheet, p.close)
	}
	require.True(t, saved)
}
