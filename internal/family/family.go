// Package family names colours and prints by hue family, after the charts in
// charts.txt. No I/O.
package family

import (
	"sync"

	_ "embed" // for chartsText

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// chartsText is the table of families, with how to read and correct it.
//
//go:embed charts.txt
var chartsText string

var charts = sync.OnceValue(func() []chart {
	list, err := parseCharts(chartsText)
	if err != nil {
		panic("family: charts.txt: " + err.Error()) // the binary itself is broken
	}
	return list
})

// Of returns the family of a colour as it looks under D65; never cloth.Many.
func Of(c colour.Linear) cloth.Family { return OfMunsell(colour.ToMunsell(c)) }

// OfMunsell returns the family of a renotation; never cloth.Many.
func OfMunsell(m colour.Munsell) cloth.Family {
	return letterFamilies[voteAt(charts(), m).winner()]
}

// votesFor returns the votes for the families of a colour.
func votesFor(c colour.Linear) ballot { return voteAt(charts(), colour.ToMunsell(c)) }
