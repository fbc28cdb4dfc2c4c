package card

import (
	"math"

	"piecebag/internal/geom"
)

const (
	// leastMarks must be seen: twelve corners or more.
	leastMarks = 3
	// strayMark is how far a mark's corner may lie from where the others put it,
	// as a share of the mark's side, when two marks alone have told; and
	// settled is the same, rms, when all have.
	strayMark, settled = 0.6, 0.08
	// mostPairs bounds the work where a picture is full of false marks.
	mostPairs = 200
)

// assemble finds the card that most of the marks, then the most exactly, agree
// on; nil where no three do.
func assemble(l luma, seen []mark) *Found {
	var best *Found
	pairs := 0
	for i, a := range seen {
		for _, b := range seen[i+1:] {
			if a.id == b.id {
				continue
			}
			if pairs++; pairs > mostPairs {
				return best
			}
			f := l.complete([]mark{a, b})
			if f != nil && (best == nil || f.Marks > best.Marks || f.Marks == best.Marks && f.Residual < best.Residual) {
				best = f
			}
			if best != nil && best.Marks == len(Marks) {
				return best
			}
		}
	}
	return best
}

// complete looks for the other marks where two put them, the nearest place
// first, and fits the card to all of them.
func (l luma) complete(have []mark) *Found {
	f := fit(have)
	if f == nil {
		return nil
	}
	for id := range Marks {
		if id == have[0].id || id == have[1].id {
			continue
		}
		c := f.place(Marks[id])
		m, ok := l.lookAt(id, c)
		if !ok {
			continue
		}
		if g := fit(append(have[:len(have):len(have)], m)); g != nil {
			have, f = append(have, m), g
		}
	}
	if len(have) < leastMarks {
		return nil
	}
	f.Trust = trust(f, have)
	return f
}

// lookAt reads mark id about where it should be.
func (l luma) lookAt(id int, c [4]geom.Point) (mark, bool) {
	at, ok := l.refine(c)
	if !ok {
		return mark{}, false
	}
	side := at[0].Dist(at[1])
	for i := range at {
		if at[i].Dist(c[i]) > strayMark*side {
			return mark{}, false
		}
	}
	got, turn, ok := l.decode(at)
	return mark{id, at}, ok && got == id && turn == 0
}

// fit returns the card on marks, or nil where they do not lie as the card's do.
func fit(marks []mark) *Found {
	f := &Found{Marks: len(marks)}
	side := 0.0
	for _, m := range marks {
		c := Marks[m.id].Corners()
		f.Points = append(f.Points, c[:]...)
		f.Seen = append(f.Seen, m.c[:]...)
		side += math.Sqrt(geom.Polygon(m.c[:]).Area()) / float64(len(marks))
	}
	var err error
	if f.ToPicture, err = geom.FitHomography(f.Points, f.Seen); err != nil {
		return nil
	}
	sum := 0.0
	for i, q := range f.Points {
		d := f.ToPicture.Apply(q).Dist(f.Seen[i])
		sum += d * d
	}
	f.Residual = math.Sqrt(sum / float64(len(f.Points)))
	c := f.Corners()
	if !(f.Residual <= settled*side) || geom.Polygon(c[:]).SignedArea() <= 0 {
		return nil
	}
	return f
}

// trust returns how far the card's place can be trusted: all of its marks are hardly
// seen by chance, three of them seldom; a poor fit means that it does not lie
// flat.
func trust(f *Found, marks []mark) float64 {
	t := 0.99
	if len(marks) < len(Marks) {
		t = 0.95
	}
	side := math.Sqrt(geom.Polygon(f.Seen[:4]).Area())
	return t * (1 - f.Residual/side)
}
