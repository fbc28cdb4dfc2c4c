package family

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// chart is a table of families over value and chroma for the hues between two
// borders, ASTM D1535 hue numbers; across 10RP, from is below 0.
type chart struct {
	from, to float64
	letters  [chartValues][len(chartChromas)]uint8 // indices of letterFamilies, from value 1 up
}

const (
	chartValues = 9 // 1 to 9
	// blend is how far from a border, in hue steps, the chart beyond has votes.
	blend = 2.5
)

// chartChromas are the chromas of the columns. The first is not written in
// charts.txt: at chroma 0 all is neutral.
var chartChromas = [...]float64{0, 1, 2.5, 4, 6, 8, 10, 12}

// letterFamilies are the families that letters stand for: first the neutrals,
// which share the dot, then the rest in shelf order, which breaks ties.
var letterFamilies = [...]cloth.Family{
	cloth.White, cloth.Grey, cloth.Black,
	cloth.Red, cloth.Pink, cloth.Orange, cloth.Yellow,
	cloth.Green, cloth.Teal, cloth.Blue, cloth.Purple, cloth.Brown,
}

const (
	white, grey, black = 0, 1, 2
	neutrals           = 3 // how many of letterFamilies are neutral

	letters = "RKOYGTBPN" // of letterFamilies[neutrals:]
)

// ballot holds the votes for each of letterFamilies; they sum to 1.
type ballot [len(letterFamilies)]float64

// voteAt returns how the letters round a renotation vote, each weighing as much as it
// would in linear interpolation over value, chroma and, near a border, hue.
func voteAt(list []chart, m colour.Munsell) ballot {
	at := len(list) - 1 // hues past the last border belong to the first chart
	for at > 0 && m.Hue <= list[at-1].to {
		at--
	}
	hue := m.Hue
	if at == len(list)-1 && hue > list[at].to {
		at, hue = 0, hue-100
	}
	var votes ballot
	beyond, share := neighbour(list, at, hue)
	list[at].cast(&votes, m.Value, m.Chroma, 1-share)
	list[beyond].cast(&votes, m.Value, m.Chroma, share)
	return votes
}

// winner returns the family with the most votes. Neutrals must have more than half
// together: if each only had to beat every other family, they would reach out into
// colour wherever two families meet.
func (votes ballot) winner() int {
	const rounding = 1e-9
	first, end := neutrals, len(votes)
	if votes[white]+votes[grey]+votes[black] > 0.5+rounding {
		first, end = 0, neutrals
	}
	best := first
	for i := first + 1; i < end; i++ {
		if votes[i] > votes[best]+rounding {
			best = i
		}
	}
	return best
}

// largest returns the first of the largest votes.
func (votes ballot) largest() int {
	best := 0
	for i, n := range votes {
		if n > votes[best] {
			best = i
		}
	}
	return best
}

// neighbour returns the chart beyond the nearer border of chart at, and its share of
// the votes at a hue: half on the border, none from blend, or the middle of either
// chart, on.
func neighbour(list []chart, at int, hue float64) (beyond int, share float64) {
	here := list[at]
	beyond, distance := (at+1)%len(list), here.to-hue
	if hue-here.from < distance {
		beyond, distance = (at+len(list)-1)%len(list), hue-here.from
	}
	there := list[beyond]
	reach := min(blend, (here.to-here.from)/2, (there.to-there.from)/2)
	if !(distance < reach) { // or the hue is not a number
		return beyond, 0
	}
	return beyond, 0.5 - 0.5*distance/reach
}

// cast adds a chart's votes at a value and chroma, of the given total weight.
func (c *chart) cast(votes *ballot, value, chroma, weight float64) {
	v, dv := valueStep(value)
	k, dk := chromaStep(chroma)
	votes[c.letters[v][k]] += weight * (1 - dv) * (1 - dk)
	votes[c.letters[v][k+1]] += weight * (1 - dv) * dk
	votes[c.letters[v+1][k]] += weight * dv * (1 - dk)
	votes[c.letters[v+1][k+1]] += weight * dv * dk
}

// valueStep returns the row below a value and the part of the way to the next.
func valueStep(value float64) (row int, part float64) {
	if !(value > 1) { // or not a number
		return 0, 0
	}
	if value >= chartValues {
		return chartValues - 2, 1
	}
	return int(value) - 1, value - math.Floor(value)
}

// chromaStep returns the column below a chroma and the part of the way to the next.
func chromaStep(chroma float64) (column int, part float64) {
	if !(chroma > chartChromas[0]) { // or not a number
		return 0, 0
	}
	for i := 1; i < len(chartChromas); i++ {
		if low, high := chartChromas[i-1], chartChromas[i]; chroma < high {
			return i - 1, (chroma - low) / (high - low)
		}
	}
	return len(chartChromas) - 2, 1
}

// parseCharts reads charts.txt: blocks of charts side by side, a blank line between
// them; a from line, a to line, and a line a value from 9 down to 1. The charts it
// returns are in order of "to".
func parseCharts(text string) ([]chart, error) {
	var list []chart
	first, last := "", "" // where the first chart starts and the last so far ends
	for block := range strings.SplitSeq(text, "\n\n") {
		var rows [][]string
		for line := range strings.Lines(block) {
			if cells := strings.Fields(line); len(cells) > 0 && cells[0] != "#" {
				rows = append(rows, cells)
			}
		}
		if len(rows) == 0 {
			continue
		}
		if len(rows) != 2+chartValues || rows[0][0] != "from" || rows[1][0] != "to" || len(rows[0]) != len(rows[1]) {
			return nil, fmt.Errorf("the charts that begin with %q are not whole", rows[0])
		}
		for i, from := range rows[0] {
			if i == 0 {
				continue
			}
			if first == "" {
				first, last = from, from
			}
			if from != last {
				return nil, fmt.Errorf("a chart starts from %s, the one before ends at %s", from, last)
			}
			last = rows[1][i]
			m, err := colour.ParseMunsell(last + " 5/5")
			if err != nil {
				return nil, err
			}
			c := chart{to: m.Hue}
			if err := c.read(rows[2:], i); err != nil {
				return nil, fmt.Errorf("the chart from %s: %w", from, err)
			}
			list = append(list, c)
		}
	}
	if len(list) == 0 || first != last {
		return nil, fmt.Errorf("the first chart starts from %q, the last ends at %q", first, last)
	}
	end := len(list) - 1 // the chart across 10RP ends first
	list = append(list[end:], list[:end]...)
	list[0].from = list[end].to - 100
	for i := 1; i < len(list); i++ {
		list[i].from = list[i-1].to
	}
	for _, c := range list {
		if c.to <= c.from {
			return nil, fmt.Errorf("the chart to hue %g does not go on round the circle", c.to)
		}
	}
	return list, nil
}

// read reads the letters of a chart, column i of its rows.
func (c *chart) read(rows [][]string, i int) error {
	for n, row := range rows {
		value := chartValues - n
		if row[0] != strconv.Itoa(value) {
			return fmt.Errorf("value %s is out of order", row[0])
		}
		if i >= len(row) || len(row[i]) != len(chartChromas)-1 {
			return fmt.Errorf("value %d does not have %d chromas", value, len(chartChromas)-1)
		}
		for k, letter := range []byte("." + row[i]) {
			f, err := letterIndex(letter, value)
			if err != nil {
				return err
			}
			c.letters[value-1][k] = f
		}
	}
	return nil
}

// letterIndex returns the index in letterFamilies of a letter in the line of a value.
func letterIndex(letter byte, value int) (uint8, error) {
	if letter == '.' {
		switch {
		case value >= 9:
			return white, nil
		case value <= 2:
			return black, nil
		}
		return grey, nil
	}
	if letter == 'W' {
		return white, nil
	}
	i := strings.IndexByte(letters, letter)
	if i < 0 {
		return 0, fmt.Errorf("%q is no family", letter)
	}
	return uint8(neutrals + i), nil
}
