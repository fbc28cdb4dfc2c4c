package light

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// surfaces are three tensor-product cubic B-splines over the picture. They are
// fitted with a penalty on the differences of neighbouring coefficients
// (P-splines: Eilers & Marx 1996, Statistical Science 11(2)): they follow the
// data where there are some, and go on smoothly where there are none.
type surfaces struct {
	nx, ny int           // coefficients each way: intervals + 3
	c      []tristimulus // len nx*ny, row-major
}

// splineWeights returns the four uniform cubic B-splines that reach t, 0..1 along
// the picture in n intervals, and the index of the first.
func splineWeights(t float64, n int) (w [4]float64, first int) {
	t *= float64(n)
	first = min(n-1, max(0, int(math.Floor(t))))
	u := t - float64(first)
	v := 1 - u
	return [4]float64{
		v * v * v / 6,
		(3*u*u*u - 6*u*u + 4) / 6,
		(3*v*v*v - 6*v*v + 4) / 6,
		u * u * u / 6,
	}, first
}

// basis is a weighted sum of coefficients: at ascends, and w goes with it.
type basis struct {
	at []int
	w  []float64
}

// basisAt returns the surfaces' height at (s, t).
func basisAt(s, t float64, nx, ny int) (b basis) {
	wx, x0 := splineWeights(s, nx-3)
	wy, y0 := splineWeights(t, ny-3)
	for j, v := range wy {
		for i, u := range wx {
			b.at, b.w = append(b.at, (y0+j)*nx+x0+i), append(b.w, u*v)
		}
	}
	return b
}

// at returns the surfaces' heights at (s, t), each 0..1 across the picture.
func (f *surfaces) at(s, t float64) (z tristimulus) {
	b := basisAt(s, t, f.nx, f.ny)
	return f.sum(&b)
}

// sum returns the surfaces' heights at a place whose basis is b.
func (f *surfaces) sum(b *basis) (z tristimulus) {
	for i, w := range b.w {
		for k := range z {
			z[k] += w * f.c[b.at[i]][k]
		}
	}
	return z
}

// normal holds the normal equations of some channels of the surfaces, fitted
// with the same weights.
type normal struct {
	nx, ny   int
	channels []int
	m        *mat.SymDense // n×n, n = nx*ny
	factor   mat.Cholesky  // of m; see solve
	rhs      [3][]float64  // n each
}

func newNormal(nx, ny int, channels ...int) *normal {
	n := nx * ny
	q := &normal{nx: nx, ny: ny, channels: channels, m: mat.NewSymDense(n, nil)}
	for i := range q.rhs {
		q.rhs[i] = make([]float64, n)
	}
	return q
}

func (q *normal) reset() {
	q.m.Zero()
	for i := range q.rhs {
		clear(q.rhs[i])
	}
}

// group sums data that share an offset.
type group struct {
	weight float64
	z      tristimulus // weighted sum
	basis  []float64   // weighted sum, n
}

func (q *normal) newGroup() *group { return &group{basis: make([]float64, q.nx*q.ny)} }

// add takes in that the surfaces have heights z at b, to an error of variance
// 1/weight and, unless g is nil, to an offset that all of g's data share.
func (q *normal) add(b *basis, z tristimulus, weight float64, g *group) {
	m := q.m.RawSymmetric() // its upper triangle is used; b.at ascends
	for i, at := range b.at {
		w := weight * b.w[i]
		for _, k := range q.channels {
			q.rhs[k][at] += w * z[k]
		}
		row := m.Data[at*m.Stride : (at+1)*m.Stride]
		for j := i; j < len(b.at); j++ {
			row[b.at[j]] += w * b.w[j]
		}
		if g != nil {
			g.basis[at] += w
		}
	}
	if g != nil {
		g.weight += weight
		for k := range z {
			g.z[k] += weight * z[k]
		}
	}
}

// free lets the group's offset be anything.
func (q *normal) free(g *group) {
	if g.weight == 0 {
		return
	}
	q.m.SymRankOne(q.m, -1/g.weight, mat.NewVecDense(len(g.basis), g.basis))
	for i, v := range g.basis {
		for _, k := range q.channels {
			q.rhs[k][i] -= v * g.z[k] / g.weight
		}
	}
}

// tiny keeps a coefficient that no datum reaches from being free.
const tiny = 1e-7

// penalise adds bend times the sum of squared second differences (along rows
// and columns, and twice the twist) and slope times that of first differences.
func (q *normal) penalise(bend, slope float64) {
	small := func(weight float64, w []float64, at ...int) { q.add(&basis{at, w}, tristimulus{}, weight, nil) }
	first, second, twist := []float64{1, -1}, []float64{1, -2, 1}, []float64{1, -1, -1, 1}
	for y := range q.ny {
		for x := range q.nx {
			i, down := y*q.nx+x, q.nx
			small(tiny, first[:1], i)
			if x+1 < q.nx {
				small(slope, first, i, i+1)
			}
			if y+1 < q.ny {
				small(slope, first, i, i+down)
			}
			if x+1 < q.nx && y+1 < q.ny {
				small(2*bend, twist, i, i+1, i+down, i+down+1)
			}
			if x+2 < q.nx {
				small(bend, second, i, i+1, i+2)
			}
			if y+2 < q.ny {
				small(bend, second, i, i+down, i+2*down)
			}
		}
	}
}

// solve fits the surfaces into out. The penalties make m positive definite.
func (q *normal) solve(out *surfaces) {
	q.factor.Factorize(q.m)
	for _, k := range q.channels {
		for i, v := range q.solution(q.rhs[k]) {
			out.c[i][k] = v
		}
	}
}

// solution returns x of m·x = c; solve must have run.
func (q *normal) solution(c []float64) []float64 {
	var x mat.VecDense
	_ = q.factor.SolveVecTo(&x, mat.NewVecDense(len(c), c)) // the error would only tell that m is stiff
	return x.RawVector().Data
}

// sd returns the standard deviation that the data and the penalties leave to a sum
// of coefficients, each times its weight in v; solve must have run.
func (q *normal) sd(v []float64) float64 { return math.Sqrt(floats.Dot(v, q.solution(v))) }
