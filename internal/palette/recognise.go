package palette

import (
	"cmp"
	"math"
	"slices"
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

// Recognise says of each print of one photo which of those seen in other photos it
// may be, likeliest first. What it leaves of 1 is the probability that it is none
// of them. The light of two photos differs alike for all that both show.
func Recognise(fresh []Signature, known []Sighting) [][]Likely {
	var photos []int64
	of := map[int64][]Sighting{}
	for _, s := range known {
		if of[s.Photo] == nil {
			photos = append(photos, s.Photo)
		}
		of[s.Photo] = append(of[s.Photo], s)
	}
	type tally struct{ odds, n float64 }
	sums := make([]map[int64]tally, len(fresh))
	for i := range sums {
		sums[i] = map[int64]tally{}
	}
	for _, photo := range photos {
		seen := of[photo]
		odds := acrossOdds(fresh, seen)
		for i, sum := range sums {
			for k, s := range seen {
				t := sum[s.Print]
				sum[s.Print] = tally{t.odds + math.Exp(odds[i*len(seen)+k]), t.n + 1}
			}
		}
	}
	out := make([][]Likely, len(fresh))
	for i, sum := range sums {
		total := 1.0
		for print, t := range sum {
			// Sightings of one print do not speak each for itself, nor do they all
			// say the same: the truth lies between their sum and their mean.
			odds := t.odds / math.Sqrt(t.n)
			out[i] = append(out[i], Likely{print, odds})
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

// Known is the print that each print of one photo most likely is, where that is
// likelier than not, and 0 elsewhere. None is named twice: the prints of one photo were
// told apart side by side.
func Known(fresh []Signature, known []Sighting) []int64 {
	type claim struct {
		of int
		Likely
	}
	var claims []claim
	for i, all := range Recognise(fresh, known) {
		for _, l := range all {
			if l.Trust > sure {
				claims = append(claims, claim{i, l})
			}
		}
	}
	slices.SortStableFunc(claims, func(a, b claim) int { return cmp.Compare(b.Trust, a.Trust) })
	out := make([]int64, len(fresh))
	taken := map[int64]bool{}
	for _, c := range claims {
		if !taken[c.Print] && out[c.of] == 0 {
			out[c.of], taken[c.Print] = c.Print, true
		}
	}
	return out
}

// sure is the probability from which a print is named.
const sure = 0.5

// acrossOdds are the log odds of each fresh print against each of those of one other
// photo, once the light of the two photos is made as alike as the prints that both
// show, each by its probability, say it is.
func acrossOdds(fresh []Signature, seen []Sighting) []float64 {
	m := &models.Across
	n := len(seen)
	pattern, odds, share := make([]float64, len(fresh)*n), make([]float64, len(fresh)*n), make([]float64, len(fresh)*n)
	apart, variance := make([][lightCount]float64, len(fresh)*n), make([][lightCount]float64, len(fresh)*n)
	for i := range fresh {
		for k := range seen {
			b := &seen[k].Signature
			pattern[i*n+k] = m.patternOdds(&fresh[i], b, scalesBetween(&fresh[i], b), oddsNone)
			apart[i*n+k], variance[i*n+k] = lightApart(&fresh[i], b)
		}
	}
	prior := lightsApart
	if n > 0 && len(fresh) > 0 {
		prior[lightLevel] = max(prior[lightLevel], math.Hypot(fresh[0].lightSD, seen[0].Signature.lightSD))
	}
	var shift, sd [lightCount]float64
	for c := range sd {
		sd[c] = math.Hypot(prior[c], m.Light[c])
	}
	for step := 0; ; step++ {
		for at := range odds {
			d := apart[at]
			for c := range d {
				d[c] -= shift[c]
			}
			l, _ := m.lightOdds(&d, &variance[at], &sd)
			odds[at] = pattern[at] - l
		}
		if step == relightSteps {
			return odds
		}
		for i := range fresh {
			total := 1.0
			for k := range n {
				total += math.Exp(odds[i*n+k])
			}
			for k := range n {
				share[i*n+k] = math.Exp(odds[i*n+k]) / total
			}
		}
		for c := range shift {
			sum, weight := 0.0, 1/(prior[c]*prior[c])
			for at, w := range share {
				s2 := m.Light[c]*m.Light[c] + variance[at][c]
				r := apart[at][c] - shift[c]
				q := w / s2 / (1 + r*r/s2/4)
				sum += q * apart[at][c]
				weight += q
			}
			shift[c] = sum / weight
			sd[c] = math.Sqrt(m.Light[c]*m.Light[c] + 1/weight)
		}
	}
}

// oddsNone are log odds that are as good as none.
const oddsNone = -12

// relightSteps are enough for the light to settle within its own deviation.
const relightSteps = 6

// lightsApart is how far the light of two photos differs once the white of each was
// taken out, however well that is known: one standard deviation.
var lightsApart = [lightCount]float64{0.12, 0.03, 0.11}

// Merge is the signature of a print of which a photo shows several pieces: the means
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
