package truth

import "math"

// assign matches rows to columns so that the sum of gain over the pairs is as
// great as can be; gain is row-major, n rows of m. It returns the column of
// each row, -1 for a row left over where n > m.
//
// The Hungarian method with potentials: Kuhn 1955, in the shortest augmenting
// path form of Jonker & Volgenant 1987; O(min² · max).
func assign(gain []float64, n, m int) []int {
	of := make([]int, n)
	for i := range of {
		of[i] = -1
	}
	if n == 0 || m == 0 {
		return of
	}
	if n > m { // solve it lying on its side
		flip := make([]float64, n*m)
		for i := range n {
			for j := range m {
				flip[j*n+i] = gain[i*m+j]
			}
		}
		for j, i := range assign(flip, m, n) {
			of[i] = j
		}
		return of
	}
	// Rows and columns count from 1; column 0 stands for "not yet matched".
	u, v := make([]float64, n+1), make([]float64, m+1)
	row := make([]int, m+1) // matched to each column
	from := make([]int, m+1)
	least := make([]float64, m+1)
	done := make([]bool, m+1)
	for i := 1; i <= n; i++ {
		row[0] = i
		for j := range least {
			least[j], done[j] = math.Inf(1), false
		}
		j := 0
		for row[j] != 0 {
			done[j] = true
			r, next, delta := row[j], 0, math.Inf(1)
			for k := 1; k <= m; k++ {
				if done[k] {
					continue
				}
				if d := -gain[(r-1)*m+k-1] - u[r] - v[k]; d < least[k] {
					least[k], from[k] = d, j
				}
				if least[k] < delta {
					delta, next = least[k], k
				}
			}
			for k := range least {
				if done[k] {
					u[row[k]] += delta
					v[k] -= delta
				} else {
					least[k] -= delta
				}
			}
			j = next
		}
		for j != 0 {
			row[j] = row[from[j]]
			j = from[j]
		}
	}
	for j := 1; j <= m; j++ {
		if row[j] > 0 {
			of[row[j]-1] = j - 1
		}
	}
	return of
}
