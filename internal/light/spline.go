package light

import "math"

// surfaces are three tensor-product cubic B-splines over the picture. They are
// fitted with a penalty on the differences of neighbouring coefficients
// (P-splines: Eilers & Marx 1996, Statistical Science 11(2)): they follow the
// data where there are some, and go on smoothly where there are none.
type surfaces struct {
	nx, ny int           // coefficients each way: intervals + 3
	c      []tristimulus // len nx*ny, row-major
}

// splineWeights are the four uniform cubic B-splines that reach t, 0..1 along
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

// at is the surfaces' heights at (s, t), each 0..1 across the picture.
func (f *surfaces) at(s, t float64) (z tristimulus) {
	wx, x0 := splineWeights(s, f.nx-3)
	wy, y0 := splineWeights(t, f.ny-3)
	for j, v := range wy {
		row := f.c[(y0+j)*f.nx+x0:]
		for k := range z {
			z[k] += v * (wx[0]*row[0][k] + wx[1]*row[1][k] + wx[2]*row[2][k] + wx[3]*row[3][k])
		}
	}
	return z
}

// normal holds the normal equations of three surfaces fitted with the same
// weights: one matrix, one right-hand side each.
type normal struct {
	nx, ny int
	m      []float64    // n×n, n = nx*ny, lower triangle used
	rhs    [3][]float64 // n each
}

func newNormal(nx, ny int) *normal {
	n := nx * ny
	q := &normal{nx: nx, ny: ny, m: make([]float64, n*n)}
	for i := range q.rhs {
		q.rhs[i] = make([]float64, n)
	}
	return q
}

func (q *normal) reset() {
	clear(q.m)
	for i := range q.rhs {
		clear(q.rhs[i])
	}
}

// add takes in that the surfaces have heights z at (s, t), each 0..1.
func (q *normal) add(s, t float64, z tristimulus, weight float64) {
	wx, x0 := splineWeights(s, q.nx-3)
	wy, y0 := splineWeights(t, q.ny-3)
	n := q.nx * q.ny
	for j := range 4 {
		for i := range 4 {
			a := (y0+j)*q.nx + x0 + i
			wa := weight * wy[j] * wx[i]
			for k := range q.rhs {
				q.rhs[k][a] += wa * z[k]
			}
			row := q.m[a*n : a*n+a+1]
			for jj := range j {
				o := (y0+jj)*q.nx + x0
				for ii := range 4 {
					row[o+ii] += wa * wy[jj] * wx[ii]
				}
			}
			o := (y0+j)*q.nx + x0
			for ii := range i + 1 {
				row[o+ii] += wa * wy[j] * wx[ii]
			}
		}
	}
}

// tiny keeps a coefficient that no datum reaches from being free.
const tiny = 1e-7

// penalised is the matrix with bend times the sum of squared second
// differences (along rows and columns, and twice the twist) added, and slope
// times that of first differences.
func (q *normal) penalised(bend, slope float64) []float64 {
	n := q.nx * q.ny
	m := append([]float64(nil), q.m...)
	term := func(w float64, idx []int, k []float64) {
		for a, i := range idx {
			for b, j := range idx {
				if j <= i {
					m[i*n+j] += w * k[a] * k[b]
				}
			}
		}
	}
	for i := range n {
		m[i*n+i] += tiny
	}
	for y := range q.ny {
		for x := range q.nx {
			i := y*q.nx + x
			right, down := x+1 < q.nx, y+1 < q.ny
			if x+2 < q.nx {
				term(bend, []int{i, i + 1, i + 2}, []float64{1, -2, 1})
			}
			if y+2 < q.ny {
				term(bend, []int{i, i + q.nx, i + 2*q.nx}, []float64{1, -2, 1})
			}
			if right && down {
				term(2*bend, []int{i, i + 1, i + q.nx, i + q.nx + 1}, []float64{1, -1, -1, 1})
			}
			if right {
				term(slope, []int{i, i + 1}, []float64{1, -1})
			}
			if down {
				term(slope, []int{i, i + q.nx}, []float64{1, -1})
			}
		}
	}
	return m
}

// solve fits the surfaces of the given channels under the given penalties, by a
// banded Cholesky factorisation, into out.
func (q *normal) solve(out *surfaces, bend, slope float64, channels ...int) {
	n, band := q.nx*q.ny, 3*q.nx+3
	m := q.penalised(bend, slope)
	for i := range n {
		lo := max(0, i-band)
		row := m[i*n : i*n+i+1]
		for j := lo; j <= i; j++ {
			s := row[j]
			other := m[j*n : j*n+j+1]
			for k := max(lo, j-band); k < j; k++ {
				s -= row[k] * other[k]
			}
			if i == j {
				row[j] = math.Sqrt(max(s, tiny*tiny))
			} else {
				row[j] = s / other[j]
			}
		}
	}
	for _, k := range channels {
		c := append([]float64(nil), q.rhs[k]...)
		for i := range n {
			row := m[i*n:]
			for j := max(0, i-band); j < i; j++ {
				c[i] -= row[j] * c[j]
			}
			c[i] /= row[i]
		}
		for i := n - 1; i >= 0; i-- {
			row := m[i*n:]
			c[i] /= row[i]
			for j := max(0, i-band); j < i; j++ {
				c[j] -= row[j] * c[i]
			}
			out.c[i][k] = c[i]
		}
	}
}
