package teach

import (
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Features are what a piece is sorted by: as measured, not digested, so that
// examples kept for years gain from a later version's better eye. They marshal
// to JSON and back without loss. Zero values mean "not known".
type Features struct {
	Mean    colour.Linear `json:"mean"`              // albedo, D65
	ReadsAs colour.Linear `json:"reads_as"`          // from across the room
	Colours []cloth.Ink   `json:"colours,omitempty"` // most area first; shares sum to 1
	Family  cloth.Family  `json:"family,omitempty"`
	Value   cloth.Value   `json:"value,omitempty"`
	Motif   float64       `json:"motif,omitempty"` // inches; 0 for plain cloth
}

// FeaturesOf returns the features of a piece in a photo.
func FeaturesOf(p cloth.Piece) Features {
	return Features{p.Mean, p.ReadsAs, p.Colours, p.Family, p.Value, p.Motif}
}

// FeaturesOfHolding returns the features of an entry of the stash; ok is false where
// its colours were never measured, so that nothing can be learnt from it.
func FeaturesOfHolding(h cloth.Holding) (f Features, ok bool) {
	return Features{h.Mean, h.ReadsAs, h.Colours, h.Family, h.Value, h.Motif}, h.Measured
}
