package scale

import (
	"image"
	"math"

	"gonum.org/v1/gonum/mat"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

const (
	// faintReach is how far beyond a patch of paper the card may reach of which it is
	// seen, in sides of the patch: the finder may see a third of it.
	faintReach = 1.5
	// faintBlur is half the side, working pixels, of the squares whose mean colours are
	// told apart: the grain of a photo is finer.
	faintBlur = 2
)

// paperPatches are the parts of what the finder takes for white paper where no region lies.
func paperPatches(p *cloth.Picture, paper []uint8, o *owners) raster.Parting {
	bare := make([]bool, p.W*p.H)
	for i, v := range paper {
		bare[i] = v == 255 && o.of[i] == 0
	}
	return raster.Components(bare, p.W, p.H, raster.Sides)
}

// faintBox is the rectangle that fills what looks like part k of the picture, and not
// like the ground about it, by Fisher's discriminant of their colours as cube roots of
// linear RGB: a white card on ground nearly as white, of which the finder sees a part.
func faintBox(p *cloth.Picture, parts *raster.Parting, k int32, ground []uint8) (box [4]geom.Point, ok bool) {
	seed := parts.Parts[k].Box
	view := seed.Inset(-int(faintReach * float64(max(seed.Dx(), seed.Dy())))).Intersect(image.Rect(0, 0, p.W, p.H))
	w, h := view.Dx(), view.Dy()
	at := func(i int) int { return (view.Min.Y+i/w)*p.W + view.Min.X + i%w }
	colours := make([]float64, 0, 3*w*h)
	var planes [3]*raster.Plane
	for c := range planes {
		planes[c] = raster.New(w, h)
		for i := range planes[c].V {
			planes[c].V[i] = root(p.Pix[3*at(i)+c])
		}
		planes[c] = planes[c].BoxMean(faintBlur)
	}
	var in, out []float64
	for i := range w * h {
		v := []float64{float64(planes[0].V[i]), float64(planes[1].V[i]), float64(planes[2].V[i])}
		colours = append(colours, v...)
		if parts.Of[at(i)] == k {
			in = append(in, v...)
		} else if ground[at(i)] == 255 {
			out = append(out, v...)
		}
	}
	if len(out) < len(in) {
		return box, false
	}
	way, border := discriminant(in, out)
	like := make([]bool, w*h)
	for i := range like {
		like[i] = way[0]*colours[3*i]+way[1]*colours[3*i+1]+way[2]*colours[3*i+2] > border
	}
	seen := raster.Components(like, w, h, raster.Sides)
	held, best := make([]int, len(seen.Parts)), int32(-1) // pixels of part k in each
	for i, j := range seen.Of {
		if j >= 0 && parts.Of[at(i)] == k {
			if held[j]++; best < 0 || held[j] > held[best] {
				best = j
			}
		}
	}
	if best < 0 {
		return box, false
	}
	box = geom.MinAreaRect(seen.Hull(int(best)))
	ok = float64(seen.Parts[best].Area) >= fillsBox*geom.Polygon(box[:]).Area()
	for i := range box {
		box[i] = box[i].Add(geom.Point{X: float64(view.Min.X), Y: float64(view.Min.Y)})
	}
	return box, ok
}

// discriminant is the direction along which two sets of colours, three numbers each, are
// told apart best, and the border on it, half way between them (Fisher 1936, Annals of
// Eugenics 7(2)).
func discriminant(in, out []float64) (way [3]float64, border float64) {
	var mean [2][3]float64
	spread := mat.NewSymDense(3, []float64{1e-6, 0, 0, 0, 1e-6, 0, 0, 0, 1e-6}) // one colour has none
	for k, set := range [2][]float64{in, out} {
		n := float64(len(set) / 3)
		for i, v := range set {
			mean[k][i%3] += v / n
		}
		for a := range 3 {
			for b := a; b < 3; b++ {
				sum := -n * mean[k][a] * mean[k][b]
				for i := 0; i < len(set); i += 3 {
					sum += set[i+a] * set[i+b]
				}
				spread.SetSym(a, b, spread.At(a, b)+sum/n)
			}
		}
	}
	apart := mat.NewVecDense(3, nil)
	for c := range way {
		apart.SetVec(c, mean[0][c]-mean[1][c])
	}
	var w mat.VecDense
	if w.SolveVec(spread, apart) != nil {
		return way, math.Inf(1)
	}
	for c := range way {
		way[c] = w.AtVec(c)
		border += way[c] * (mean[0][c] + mean[1][c]) / 2
	}
	return way, border
}
