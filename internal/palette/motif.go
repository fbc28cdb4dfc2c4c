package palette

import "math"

// motif returns about how wide the motifs of a print are, in working pixels: twice the
// distance at which two points of it differ by half of what any two do (half the
// sill of its variogram, Matheron 1963), which is the width of a stripe, and two
// thirds of the side of a check. It is 0 where the piece is too small to tell. Motifs wider than
// twice the longest of textureOffsets all read as that wide.
func (s *Signature) motif() float64 {
	var differ [offsetCount]float64
	known, sill := 0, 0.0
	for o := range offsetCount {
		l, c := s.stats[statTextureL+o], s.stats[statTextureC+o]
		if !l.known || !c.known {
			break
		}
		differ[o] = math.Exp(l.mean) - textureFloorL + math.Exp(c.mean) - textureFloorC
		sill = max(sill, differ[o])
		known++
	}
	if sill <= 0 {
		return 0
	}
	below, at := 0.0, 0.0 // the offset before, and how much points differ there
	for o := range known {
		r := float64(textureOffsets[o])
		if differ[o] >= sill/2 {
			return 2 * (below + (r-below)*(sill/2-at)/(differ[o]-at))
		}
		below, at = r, differ[o]
	}
	return 0 // not reached: the sill is one of differ
}
