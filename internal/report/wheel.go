package report

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// The wheel is drawn in a box of wheelSide units. Pieces are patches in
// wedges of their hue, stacked from the hub outwards and from dark to light,
// as the blades of a plate block.
const (
	wheelSide  = 400.0
	wheelHub   = 36.0
	wheelRim   = 140.0
	wheelLabel = 166.0
	wedges     = 24
)

// ringFamilies are the hue families that stand round the wheel, at the OKLCh
// hue, in degrees, about which each is labelled; our own choice by eye.
var ringFamilies = []struct {
	family cloth.Family
	hue    float64
}{
	{cloth.Red, 24}, {cloth.Orange, 56}, {cloth.Yellow, 98}, {cloth.Green, 144},
	{cloth.Teal, 196}, {cloth.Blue, 252}, {cloth.Purple, 306}, {cloth.Pink, 354},
}

// turnOf is the angle on the wheel, in radians clockwise from the top, of an
// OKLCh hue in degrees: red stands at the top.
func turnOf(hue float64) float64 { return (hue - ringFamilies[0].hue) * math.Pi / 180 }

func wheelPoint(radius, turn float64) (x, y float64) {
	return wheelSide/2 + radius*math.Sin(turn), wheelSide/2 - radius*math.Cos(turn)
}

// rimColour is the hue that stands at a turn of the wheel.
func rimColour(turn float64) colour.Linear {
	hue := ringFamilies[0].hue*math.Pi/180 + turn
	return colour.OKLab{L: 0.72, A: 0.11 * math.Cos(hue), B: 0.11 * math.Sin(hue)}.Linear()
}

func onRing(f cloth.Family) bool {
	for _, r := range ringFamilies {
		if r.family == f {
			return true
		}
	}
	return false
}
