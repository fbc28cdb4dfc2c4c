package teach_test

import (
	"math"
	"math/rand/v2"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/teach"
)

// scrap is an invented piece: what it truly is, by which a quilter sorts it, and
// the features a photo gives of it.
type scrap struct {
	mean   colour.OKLCh
	l      float64 // CIE L* of the mean
	warm   float64 // -1 the coolest hue to 1 the warmest
	cast   float64 // how warm it looks, OKLab
	grey   bool    // of no hue to speak of
	motif  float64 // inches; 0 for plain cloth
	bold   float64 // standard deviation of CIE L* over the piece
	plain  bool
	family cloth.Family
	teach.Features
}

// noiseLab is the standard deviation of a measured colour in each of CIE L*, a*
// and b*; it makes a median ΔE*ab near 2, what a photo with a white reference
// gives.
const noiseLab = 1.3

// scrapOf draws a piece: a quarter solids, an eighth neutrals, the rest prints of
// two to five inks, with motifs from an eighth of an inch to three inches.
func scrapOf(rng *rand.Rand) scrap {
	var s scrap
	base := draw(rng)
	inks := []cloth.Ink{{Colour: base, Share: 1}}
	if rng.Float64() > 0.25 {
		n := 1 + rng.IntN(4)
		rest := 0.15 + 0.4*rng.Float64()
		inks[0].Share = 1 - rest
		for k := range n {
			share := rest / float64(n)
			c := draw(rng)
			switch k % 3 {
			case 0: // tone on tone
				lab := base.OKLab()
				lab.L = min(0.97, max(0.2, lab.L+0.12*rng.NormFloat64()))
				c = clip(lab.Linear())
			case 1:
				if rng.Float64() < 0.5 {
					c = clip(colour.OKLab{L: 0.95 - 0.05*rng.Float64(), B: 0.02}.Linear())
				}
			}
			inks = append(inks, cloth.Ink{Colour: c, Share: share})
		}
		s.motif = math.Exp2(-3 + 4.5*rng.Float64())
	}
	s.plain = len(inks) == 1
	var mean colour.Linear
	var sum, squares float64
	for _, k := range inks {
		for c := range mean {
			mean[c] += k.Share * k.Colour[c]
		}
		l := k.Colour.Lab().L
		sum += k.Share * l
		squares += k.Share * l * l
	}
	s.bold = math.Sqrt(max(0, squares-sum*sum))
	s.mean, s.l = mean.OKLab().OKLCh(), mean.Lab().L
	s.grey = s.mean.C < 0.03
	s.warm = math.Cos((s.mean.H - 50) * math.Pi / 180)
	s.cast = s.mean.C * s.warm
	if s.grey {
		s.warm = -1 // greys go with the cools
	}
	s.family = family.Uncertainty{}.OfPrint(inks, mean).Family

	noise := [3]float64{noiseLab * rng.NormFloat64(), noiseLab * rng.NormFloat64(), noiseLab * rng.NormFloat64()}
	see := func(c colour.Linear) colour.Linear {
		lab := c.Lab()
		return clip(colour.Lab{L: lab.L + noise[0], A: lab.A + noise[1], B: lab.B + noise[2]}.Linear())
	}
	f := &s.Features
	f.Mean = see(mean)
	for _, k := range inks {
		f.Colours = append(f.Colours, cloth.Ink{Colour: see(k.Colour), Share: k.Share})
	}
	reading := family.Uncertainty{}.OfPrint(f.Colours, f.Mean)
	f.Family, f.ReadsAs = reading.Family, reading.Colour
	f.Value = cloth.ValueOf(f.Mean.Lab().L)
	f.Motif = s.motif * math.Exp2(0.2*rng.NormFloat64())
	return s
}

// draw draws a colour that cloth is dyed in: any hue, strong colours of middle
// value most, an eighth neutrals.
func draw(rng *rand.Rand) colour.Linear {
	for {
		c := colour.OKLCh{L: 0.25 + 0.7*rng.Float64(), C: 0.03 + 0.16*rng.Float64(), H: 360 * rng.Float64()}
		if rng.Float64() < 0.125 {
			c.C = 0.015 * rng.Float64()
		}
		if lin := c.OKLab().Linear(); lin.InGamut(0.001) {
			return lin
		}
	}
}

func clip(c colour.Linear) colour.Linear {
	for i, v := range c {
		c[i] = min(1, max(0, v))
	}
	return c
}

// quilter sorts every piece into one bin by a rule.
type quilter struct {
	name string
	held bool // made after the learner, and nothing changed for it
	bin  func(s *scrap) string
}

func either(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// step names the step of v between ascending cuts.
func step(v float64, cuts []float64, names ...string) string {
	for i, c := range cuts {
		if v < c {
			return names[i]
		}
	}
	return names[len(cuts)]
}

var quilters = []quilter{
	{"by hue", false, func(s *scrap) string {
		if s.grey {
			return "neutrals"
		}
		return step(math.Mod(s.mean.H+15, 360), []float64{60, 125, 180, 265, 320}, "reds", "golds", "greens", "sea", "blues", "plums")
	}},
	{"by value first", false, func(s *scrap) string {
		switch {
		case s.l > 72:
			return "lights"
		case s.l < 40:
			return "darks"
		}
		return either(s.cast > 0.02, "warm mediums", "cool mediums")
	}},
	{"by warm and cool and print scale", false, func(s *scrap) string {
		return either(s.cast > 0.01, "warm ", "cool ") + step(s.motif, []float64{0.06, 0.6}, "solids", "small", "large")
	}},
	{"by season", false, func(s *scrap) string {
		clear := s.l > 58
		if s.warm > 0 {
			return either(clear, "spring", "autumn")
		}
		return either(clear, "summer", "winter")
	}},
	{"by own value steps", false, func(s *scrap) string {
		return step(s.l, []float64{37, 52, 67}, "darkest", "dark", "middling", "pale")
	}},
	{"by hue family", false, func(s *scrap) string { return string(s.family) }},
	{"by strength and value", false, func(s *scrap) string {
		if s.mean.C < 0.05 {
			return either(s.l > 60, "shell", "stone")
		}
		return either(s.mean.C > 0.095, "bright ", "dull ") + either(s.l > 55, "light", "deep")
	}},
	{"by print scale", false, func(s *scrap) string {
		return step(s.motif, []float64{0.06, 0.3, 0.9}, "solids", "tiny", "middling", "large")
	}},
	{"low volume", false, func(s *scrap) string {
		switch {
		case s.plain:
			return "solids"
		case s.l > 68:
			return "low volume"
		}
		return either(s.bold > 11, "bold", "quiet")
	}},
	{"blues apart", false, func(s *scrap) string {
		if s.mean.H > 215 && s.mean.H < 285 && !s.grey {
			return either(s.l > 50, "sky", "navy")
		}
		return "" // there is no bin for the rest, and nothing is taught of it
	}},
	{"pastel, jewel and earth", true, func(s *scrap) string {
		switch {
		case s.l > 68:
			return "pastel"
		case s.mean.C > 0.09:
			return "jewel"
		}
		return either(s.cast > 0.01, "earth", "slate")
	}},
	{"midnight, then four hues", true, func(s *scrap) string {
		if s.l < 38 {
			return "midnight"
		}
		if s.grey {
			return "sky"
		}
		return step(s.mean.H, []float64{20, 115, 200, 300}, "berry", "fire", "garden", "sky", "berry")
	}},
	{"by busyness", true, func(s *scrap) string {
		if s.plain {
			return "solids"
		}
		return either(s.bold < 7, "calm", either(s.motif < 0.4, "busy small", "busy large"))
	}},
}
