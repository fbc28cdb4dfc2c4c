package family

import (
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// A colour speaks for a print if it covers speaksFor of it, as one of two fifths
// is seen first from across the room. Measured shares are uncertain by some
// hundredths, so that up to clearly the family of the mean has a say too. Both are
// our own judgement: common practice, no source.
const (
	speaksFor = 0.40
	clearly   = 0.50
	// supports is the least share a family of the mean must have in the print, or
	// it is only what the eye would mix: the brown of red, green and white.
	supports = 0.20
)

// OfPrint is the family of a print from its colours (shares are taken relative to
// their sum) and its mean colour: the family that clearly covers most of it; else
// the family of its mean, if that is in the print at all; else the largest that
// can still speak for it; else cloth.Many. Without colours it is the family of the
// mean.
func OfPrint(colours []cloth.Swatch, mean colour.Linear) cloth.Family {
	shares, total := map[cloth.Family]float64{}, 0.0
	for _, s := range colours {
		if s.Share > 0 {
			shares[Of(s.Colour)] += s.Share
			total += s.Share
		}
	}
	blend := Of(mean)
	if total == 0 {
		return blend
	}
	most := cloth.Many
	for _, f := range cloth.Families { // shelf order breaks ties
		if shares[f] > shares[most] {
			most = f
		}
	}
	switch {
	case shares[most] >= clearly*total:
		return most
	case shares[blend] >= supports*total:
		return blend
	case shares[most] >= speaksFor*total:
		return most
	}
	return cloth.Many
}
