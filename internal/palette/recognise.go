package palette

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/colour"
)

// Sighting is a print as a photo showed it.
type Sighting struct {
	Print, Photo int64
	Signature    Signature
}

// Likely is a print that cloth may be of.
type Likely struct {
	Print int64
	Trust float64 // probability, 0..1
}

// recognise says of each print of one photo which of those seen in other photos it
// may be, likeliest first. What it leaves of 1 is the probability that it is none
// of them. The light of two photos differs alike for all that both show. prints is how
// many are known, those that were not given too: the more, the likelier one looks alike
// that is another.
func recognise(fresh []Signature, known []Sighting, prints int) [][]Likely {
	var photos []int64
	of := map[int64][]candidate{}
	times := map[int64]float64{} // that a print was seen
	names := map[int64][]int64{}
	for k := range known {
		s := &known[k]
		if of[s.Photo] == nil {
			photos = append(photos, s.Photo)
		}
		of[s.Photo] = append(of[s.Photo], s.Signature.candidate())
		names[s.Photo] = append(names[s.Photo], s.Print)
		times[s.Print]++
	}
	asked := make([]candidate, len(fresh))
	sums := make([]map[int64]float64, len(fresh))
	for i := range sums {
		asked[i] = fresh[i].candidate()
		sums[i] = map[int64]float64{}
	}
	for _, photo := range photos {
		for _, p := range matches(asked, of[photo]) {
			sums[p.i][names[photo][p.k]] += math.Exp(p.odds)
		}
	}
	out := make([][]Likely, len(fresh))
	for i, sum := range sums {
		total := 1.0
		for print, odds := range sum {
			// Sightings of one print do not speak each for itself, nor do they all
			// say the same: the truth lies between their sum and their mean.
			odds *= min(1, printsFitted/float64(prints))
			out[i] = append(out[i], Likely{print, odds / math.Sqrt(times[print])})
		}
		slices.SortFunc(out[i], func(a, b Likely) int {
			return cmp.Or(cmp.Compare(b.Trust, a.Trust), cmp.Compare(a.Print, b.Print))
		})
		for _, l := range out[i] { // in an order, so that the sum is the same each time
			total += l.Trust
		}
		for k := range out[i] {
			out[i][k].Trust /= total
		}
	}
	return out
}

// Guess is which known print one of a photo is.
type Guess struct {
	Print int64 // 0 for none
	// MayBe is the print that it may be, where that is neither likely enough to be said nor
	// unlikely enough to be left out; zero where there is none.
	MayBe Likely
}

// Known says which known print each print of one photo is, where that is likely. None
// is named twice: the prints of one photo were told apart side by side. prints is how many
// are known; see recognise.
func Known(fresh []Signature, known []Sighting, prints int) []Guess {
	type claim struct {
		of int
		Likely
	}
	var claims []claim
	for i, all := range recognise(fresh, known, prints) {
		for _, l := range all {
			if l.Trust > possible {
				claims = append(claims, claim{i, l})
			}
		}
	}
	slices.SortStableFunc(claims, func(a, b claim) int { return cmp.Compare(b.Trust, a.Trust) })
	out := make([]Guess, len(fresh))
	taken := map[int64]bool{}
	for _, c := range claims {
		g := &out[c.of]
		if taken[c.Print] || *g != (Guess{}) {
			continue
		}
		if c.Trust > sure {
			g.Print, taken[c.Print] = c.Print, true
		} else {
			g.MayBe = c.Likely
		}
	}
	return out
}

// printsFitted is how many prints are known where one in two is of them, by the share of
// pairs that are of one print in the photos that the models were fitted to.
const printsFitted = 28.0

// A print is named where its probability is above sure; it is said to be possible where
// it is above possible.
const (
	sure     = 0.7
	possible = 0.3
)

// match is a fresh print and one that another photo shows, which may be one.
type match struct {
	i, k        int
	pattern     float64 // log odds by all but light
	d, variance [lightCount]float64
	odds, share float64
}

// matches returns the fresh prints and those of one other photo that may be one, once the
// light of the two photos is made as alike as the prints that both show, each by its
// probability, say it is.
func matches(fresh, seen []candidate) []match {
	m := &models.Across
	prior := lightsApart
	if len(seen) > 0 && len(fresh) > 0 {
		prior[lightLevel] = max(prior[lightLevel], math.Hypot(fresh[0].lightSD, seen[0].lightSD))
	}
	var shift, sd [lightCount]float64
	for c := range sd {
		sd[c] = math.Hypot(prior[c], m.Light[c])
	}
	var all []match
	for i := range fresh {
		for k := range seen {
			a, b := &fresh[i], &seen[k]
			p := match{i: i, k: k}
			p.d, p.variance = lightApart(a.Signature, b.Signature)
			if length(p.d, prior) > FarLight {
				continue
			}
			l, _ := m.lightOdds(&p.d, &p.variance, &sd)
			least := oddsNone + l
			if p.pattern = m.patternOdds(a, b, scalesBetween(a.Signature, b.Signature), least); p.pattern > least {
				all = append(all, p)
			}
		}
	}
	totals := make([]float64, len(fresh))
	for step := 0; ; step++ {
		for at := range all {
			p := &all[at]
			d := p.d
			for c := range d {
				d[c] -= shift[c]
			}
			l, _ := m.lightOdds(&d, &p.variance, &sd)
			p.odds = p.pattern - l
		}
		if step == relightSteps {
			return all
		}
		for i := range totals {
			totals[i] = 1
		}
		for at := range all {
			p := &all[at]
			p.share = math.Exp(p.odds)
			totals[p.i] += p.share
		}
		for c := range shift {
			sum, weight := 0.0, 1/(prior[c]*prior[c])
			for at := range all {
				p := &all[at]
				s2 := m.Light[c]*m.Light[c] + p.variance[c]
				r := p.d[c] - shift[c]
				q := p.share / totals[p.i] / s2 / (1 + r*r/s2/4)
				sum += q * p.d[c]
				weight += q
			}
			shift[c] = sum / weight
			sd[c] = math.Sqrt(m.Light[c]*m.Light[c] + 1/weight)
		}
	}
}

// oddsNone are log odds that are as good as none.
const oddsNone = -8

// relightSteps are enough for the light to settle within its own deviation.
const relightSteps = 6

// Light is the mean light of cloth, in which another light is a sum.
type Light [lightCount]float64

// LightOf is that of cloth of a mean colour.
func LightOf(mean colour.Linear) (l Light) {
	lms := colour.Cones.Apply(mean)
	for i, v := range lms {
		lms[i] = math.Log(max(0, v) + lightFloor)
	}
	return Light{lightLevel: (lms[0] + lms[1]) / 2, lightRed: lms[0] - lms[1], lightYellow: (lms[0]+lms[1])/2 - lms[2]}
}

// Apart returns how far two pieces of cloth seen in two photos lie from one another, in
// standard deviations of the light of two photos.
func (l Light) Apart(o Light) float64 {
	for c := range l {
		l[c] -= o[c]
	}
	return length(l, lightsApart)
}

// FarLight is what Apart is at most between photos of one print.
const FarLight = 4.0

func length(d, sd [lightCount]float64) float64 {
	sum := 0.0
	for c, v := range d {
		sum += v * v / (sd[c] * sd[c])
	}
	return math.Sqrt(sum)
}

// lightsApart is how far the light of two photos differs once the white of each was
// taken out, however well that is known: one standard deviation.
var lightsApart = [lightCount]float64{0.12, 0.03, 0.11}

// Merge returns the signature of a print of which a photo shows several pieces: the means
// of what is known of them, weighed by area; the inks of the largest.
func Merge(pieces []Signature) Signature {
	largest := 0
	for i := range pieces {
		if pieces[i].area > pieces[largest].area {
			largest = i
		}
	}
	s := pieces[largest]
	join := func(of func(*Signature) *stat) {
		var sum, squares, total float64
		for i := range pieces {
			if t := of(&pieces[i]); t.known {
				w := float64(pieces[i].area)
				sum += w * t.mean
				squares += w * w * t.variance
				total += w
			}
		}
		if total > 0 {
			*of(&s) = stat{sum / total, squares / (total * total), true}
		}
	}
	for c := range s.light {
		join(func(p *Signature) *stat { return &p.light[c] })
	}
	for k := range s.stats {
		join(func(p *Signature) *stat { return &p.stats[k] })
	}
	return s
}
