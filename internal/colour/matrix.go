package colour

// Matrix is a 3×3 matrix, row by row.
type Matrix [9]float64

// Apply returns the product of the matrix and a column vector.
func (m Matrix) Apply(v [3]float64) [3]float64 {
	return [3]float64{
		m[0]*v[0] + m[1]*v[1] + m[2]*v[2],
		m[3]*v[0] + m[4]*v[1] + m[5]*v[2],
		m[6]*v[0] + m[7]*v[1] + m[8]*v[2],
	}
}

// Mul returns the product m·n: what n does, then what m does.
func (m Matrix) Mul(n Matrix) Matrix {
	var p Matrix
	for r := range 3 {
		for c := range 3 {
			p[3*r+c] = m[3*r]*n[c] + m[3*r+1]*n[3+c] + m[3*r+2]*n[6+c]
		}
	}
	return p
}

func (m Matrix) inverse() Matrix {
	a, b, c, d, e, f, g, h, i := m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8]
	k := 1 / (a*(e*i-f*h) - b*(d*i-f*g) + c*(d*h-e*g))
	return Matrix{
		(e*i - f*h) * k, (c*h - b*i) * k, (b*f - c*e) * k,
		(f*g - d*i) * k, (a*i - c*g) * k, (c*d - a*f) * k,
		(d*h - e*g) * k, (b*g - a*h) * k, (a*e - b*d) * k,
	}
}
