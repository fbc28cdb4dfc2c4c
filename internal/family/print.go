package family

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// A print is named as a person names it from across the room: every ink is seen
// beside the others and beside white cloth, and says its name the louder the more of
// the print it covers and the stronger its colour. What covers much of the print by
// itself, and what the whole blurs to, is favoured. The numbers were chosen from a
// grid, on the swatches in testdata/names, held out by tenths, and on photos labelled
// by hand. Of 200 swatches and 1,276 pieces of photos so many are named wrongly where one
// goes: whiteCloth 1 and 15, contrast 1 and 7, repel 3 and 12, faint 3 swatches, loud 1,
// much 8 and 3, deepen 4 and 53, little 2; with varied as large again 1 and 17.
const (
	// whiteCloth is the albedo that the eye takes for white among cloth, less than
	// that of a perfect white.
	whiteCloth = 1 / 1.08
	// contrast is how many times its chroma an ink gains, at most, by standing out
	// in its own hue from the mean of the print: blur takes that much, and contrast
	// gives it. repel is how far, of the way between their chromas, it is driven off
	// the mean, whose hue is the one seen least.
	contrast, repel = 0.4, 0.3
	// faint is the OKLab chroma at which an ink does either half as much: a grey has
	// no hue to stand out in, and takes on none.
	faint = 0.08
	// loud is the OKLab chroma that makes an ink twice as loud as a grey of the same
	// area.
	loud = 0.2
	// much is the share of a print that speaks for it by itself; favour is how much
	// louder that family is then, and the one of the print's mean.
	much, favour = 0.40, 2
	// deepen is how many times its chroma an ink may be seen with in a print that
	// varies: a camera, and the reckoning of inks, blend each with those beside it, but
	// the eye sees the strokes. A print varies in full where its inks lie varied from
	// its mean, in OKLab, root mean square; a plain one is seen as it is. How loud a
	// family is, is the geometric mean of what the inks say as they are and deepened, so
	// that it must be plausible in both; unheard is what it says by neither.
	deepen, varied, unheard = 1.8, 0.03, 0.01
	// little is the share that the largest family must have: less than a third, and the
	// print is cloth.Many.
	little = 0.33
	// second is the least share of a second colour that is named, clear the least say
	// of its family in its inks: a tone between two families is no second colour.
	second, clear = 0.20, 0.7
)

// Reading is what a print is called.
type Reading struct {
	Family cloth.Family
	// With is the family a person would say second ("blue with white"); empty where
	// the print has none, or none that is sure.
	With cloth.Family
	// Colour is what the print reads as: those of its inks that go by the family, blended;
	// a colour of the family, and the mean for cloth.Many.
	Colour colour.Linear
	// Trust is the probability that people call it so.
	Trust float64
	// Or is the family that it may be instead; empty where there is little doubt.
	Or cloth.Family

	voices []voice
	covers ballot // the share of the print that goes by each family's name, unwoven
	tally  ballot // how loud each family is, in all 1
	likely ballot // the same, over the lights it may have been seen in
	named  ballot // the share of these that give it each name
	mean   colour.Linear
	// doubtful says that its light is rather wrong than right.
	doubtful bool
}

// read hears what a print is called: its voices, how loud each family is, and its name.
func read(inks []cloth.Ink, mean colour.Linear) Reading {
	r := Reading{voices: listen(inks, mean), mean: mean}
	covers := covering(r.voices)
	unweave(r.voices)
	r.covers = covering(r.voices)
	r.tally = count(r.voices, covers, mean)
	r.Family = letterFamilies[r.tally.winner()]
	if covers[covers.largest()] < little && r.covers[r.covers.largest()] < little {
		r.Family = cloth.Many
	}
	return r
}

// call gives the print a name, and what goes with it.
func (r *Reading) call(f cloth.Family) {
	r.Family, r.With, r.Colour = f, "", r.mean
	if f == cloth.Many {
		return
	}
	name := slices.Index(letterFamilies[:], f)
	r.Colour = drawn(r.voices, name, r.mean)
	others := r.covers
	others[name] = 0
	if with := others.largest(); others[with] >= second && says(r.voices, with) >= clear*others[with] {
		r.With = letterFamilies[with]
	}
}

// says returns the share of a print that goes by a family's name, each ink as far as it
// votes for it.
func says(voices []voice, name int) (sum float64) {
	for i := range voices {
		if voices[i].name == name {
			sum += voices[i].share * voices[i].votes[name]
		}
	}
	return sum
}

// agrees is the least say of a family in a piece that takes its name from the other
// pieces of its print; of its own family, the most in one that becomes cloth.Many.
const agrees, alone = 0.1, 0.6

// Agree gives the pieces of one print one name, whatever each shows of the print:
// the one that they say together, each as loud as the side of its area, or cloth.Many
// if most say so. A piece that hardly says that name keeps its own: it may be another
// print.
func Agree(of []*Reading, areas []float64) {
	var all, likely, named ballot
	many, total := 0.0, 0.0
	for i, r := range of {
		loud := math.Sqrt(areas[i])
		total += loud
		if r.Family == cloth.Many {
			many += loud
		}
		for f := range r.tally {
			all[f] += loud * r.tally[f]
			likely[f] += loud * r.likely[f]
			named[f] += loud * r.named[f]
		}
	}
	for f := range all {
		all[f] /= total
		likely[f] /= total
		named[f] /= total
	}
	name := all.winner()
	for _, r := range of {
		switch {
		case many > total/2:
			if r.tally[r.tally.largest()] <= alone {
				r.call(cloth.Many)
			}
		case r.Family != letterFamilies[name] && r.tally[name] >= agrees:
			r.call(letterFamilies[name])
		}
		if r.Family == letterFamilies[name] {
			r.likely, r.named = likely, named
		}
		r.settle()
	}
}

// voice is what one ink says of a print.
type voice struct {
	votes ballot
	deep  ballot  // the same of its colour deepened
	name  int     // the winner of votes
	share float64 // of the print; they sum to 1
	loud  float64 // how much louder than a grey, by the strength of its colour
	own   colour.Linear
}

// listen asks the inks of a print, or its mean where it has none.
func listen(inks []cloth.Ink, mean colour.Linear) []voice {
	total := 0.0
	for _, k := range inks {
		total += max(0, k.Share)
	}
	if total == 0 {
		inks, total = []cloth.Ink{{Colour: mean, Share: 1}}, 1
	}
	middle := beside(mean).OKLab()
	spread := 0.0
	for _, k := range inks {
		d := apart(beside(k.Colour), beside(mean))
		spread += max(0, k.Share) / total * d * d
	}
	deeper := 1 + (deepen-1)*min(1, math.Sqrt(spread)/varied)
	voices := make([]voice, len(inks))
	for i, k := range inks {
		v := &voices[i]
		v.own, v.share = k.Colour, max(0, k.Share)/total
		c := beside(k.Colour).OKLab()
		chroma := math.Hypot(c.A, c.B)
		v.loud = 1 + chroma/loud
		if chroma > 0 {
			out := chroma - (c.A*middle.A+c.B*middle.B)/chroma
			gain := contrast * min(1, max(0, out/(chroma+faint)))
			driven := repel * chroma / (chroma + faint)
			c.A += gain*c.A + driven*(c.A-middle.A)
			c.B += gain*c.B + driven*(c.B-middle.B)
		}
		v.votes = votesFor(inside(c.Linear()))
		v.name = v.votes.winner()
		c.A *= deeper
		c.B *= deeper
		v.deep = votesFor(inside(c.Linear()))
	}
	return voices
}

// mixed is how far, of the way between two inks, one may lie from the middle of it, in
// OKLab, to be what is seen where their threads cross.
const mixed = 0.06

// unweave returns the area where threads of two colours cross, each half of what is seen
// there, to these colours: a gingham is of the colour of its threads, not of their mixture
// with white. What is woven of greys is grey.
func unweave(voices []voice) {
	given := make([]float64, len(voices))
	for i := range voices {
		nearest, first, other := mixed, 0, 0
		for j := range voices {
			for k := range j {
				p, q := &voices[j], &voices[k]
				if i == j || i == k || p.name < neutrals && q.name < neutrals {
					continue
				}
				var middle colour.Linear
				for c := range middle {
					middle[c] = (p.own[c] + q.own[c]) / 2
				}
				if d := apart(middle, voices[i].own) / apart(p.own, q.own); d < nearest {
					nearest, first, other = d, j, k
				}
			}
		}
		if first != other {
			half := voices[i].share / 2
			given[first] += half
			given[other] += half
			given[i] -= 2 * half
		}
	}
	for i := range voices {
		voices[i].share += given[i]
	}
}

// apart returns the distance of two colours in OKLab.
func apart(a, b colour.Linear) float64 {
	p, q := a.OKLab(), b.OKLab()
	return math.Sqrt((p.L-q.L)*(p.L-q.L) + (p.A-q.A)*(p.A-q.A) + (p.B-q.B)*(p.B-q.B))
}

// beside returns a colour as it is seen beside white cloth.
func beside(c colour.Linear) colour.Linear {
	return inside(colour.Linear{c[0] / whiteCloth, c[1] / whiteCloth, c[2] / whiteCloth})
}

// inside returns c with every channel held within 0..1.
func inside(c colour.Linear) colour.Linear {
	for i := range c {
		c[i] = min(1, max(0, c[i]))
	}
	return c
}

// covering returns the share of a print that goes by each family's name.
func covering(voices []voice) (covers ballot) {
	for i := range voices {
		covers[voices[i].name] += voices[i].share
	}
	return covers
}

// count returns how loud each family is in a print, in all 1.
func count(voices []voice, covers ballot, mean colour.Linear) (tally ballot) {
	var plain, deep ballot
	all := 0.0
	for i := range voices {
		v := &voices[i]
		w := v.share * v.loud
		all += w
		for f := range tally {
			plain[f] += w * v.votes[f]
			deep[f] += w * v.deep[f]
		}
	}
	for f := range tally {
		tally[f] = math.Sqrt((plain[f]/all + unheard) * (deep[f]/all + unheard))
	}
	votes := votesFor(inside(mean))
	blend := votes.winner()
	total := 0.0
	for f := range tally {
		if covers[f] >= much || f == blend {
			tally[f] *= favour
		}
		total += tally[f]
	}
	for f := range tally {
		tally[f] /= total
	}
	return tally
}
