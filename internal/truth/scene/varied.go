package scene

import "math/rand/v2"

// another draws which layout a varied scene of a kind has: the plain one or
// one of its kin.
func (b *builder) another(plain func(*builder)) func(*builder) {
	r := b.r
	t := r.Float64()
	switch b.kind {
	case "spread":
		switch {
		case t > 0.94:
			return (*builder).bare
		case t < 0.25:
			return (*builder).loose
		case t < 0.5:
			return (*builder).packets
		}
	case "board":
		if t < 0.5 {
			return (*builder).top
		}
	case "stack":
		if t < 0.5 {
			return (*builder).stash
		}
	case "pile":
		switch {
		case t < 0.25:
			return (*builder).fan
		case t < 0.5:
			return (*builder).scraps
		}
	}
	return plain
}

// vary draws what cameras of all ages and hands do.
func (s *Settings) vary(r *rand.Rand) {
	s.Quality = pick(r, 45, 60, 75, 85, 92)
	s.Blur = pick(r, s.Blur, s.Blur, mix(0.4, 1.4, r.Float64()))
	s.Contrast = mix(-0.3, 0.8, r.Float64())
	s.Saturation = mix(0.85, 1.3, r.Float64())
	s.Adapted = mix(0.6, 1, r.Float64())
	if r.IntN(9) == 0 {
		s.Shake = [2]float64{3 * r.NormFloat64(), 3 * r.NormFloat64()}
	}
	s.Depth = pick(r, 0, 0, 0, mix(1, 3, r.Float64()))
}
