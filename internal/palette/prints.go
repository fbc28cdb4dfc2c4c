package palette

import "piecebag/internal/cloth"

// Prints says which pieces of one photo are cut from one print: a label each,
// "a", "b", … "z", "aa", …, in order of first appearance. kind tells how the
// pieces lie: folded strips are shaded by their folds, and compared more
// loosely. The labels depend on nothing but the signatures and their order.
func Prints(items []Signature, kind cloth.Kind) []string {
	n := len(items)
	m := modelOf(kind)
	odds := make([]float64, n*n)
	var pairs []pair
	candidates := make([]candidate, n)
	for i := range items {
		candidates[i] = items[i].candidate()
	}
	for i := range items {
		for j := range i {
			p := pair{i: i, j: j, pattern: m.patternOdds(&candidates[i], &candidates[j], inOnePhoto, oddsLeast)}
			if p.pattern <= oddsLeast {
				odds[i*n+j], odds[j*n+i] = oddsLeast, oddsLeast
				continue
			}
			p.d, p.variance = lightApart(&items[i], &items[j])
			p.away = placesApart(&items[i], &items[j])
			pairs = append(pairs, p)
		}
	}
	light := m.lightingOf(pairs, n)
	for k := range pairs {
		p := &pairs[k]
		d := light.left(p)
		l, _ := m.lightOdds(&d, &p.variance, &light.sd)
		o := max(oddsLeast, min(oddsMost, p.pattern-l))
		odds[p.i*n+p.j], odds[p.j*n+p.i] = o, o
	}
	return label(link(odds, n))
}

// No one pair of pieces decides how a whole group is joined.
const oddsLeast, oddsMost = -8, 4

// link joins pieces into groups by average linkage (Sokal & Michener 1958),
// likeliest pair of groups first, for as long as the mean log odds between two
// groups is above 0. It returns each piece's group.
func link(odds []float64, n int) []int {
	group, size, alive := make([]int, n), make([]float64, n), make([]bool, n)
	for i := range group {
		group[i], size[i], alive[i] = i, 1, true
	}
	for {
		best, p, q := 0.0, -1, -1
		for i := range n {
			for j := range i {
				if alive[i] && alive[j] && odds[i*n+j] > best {
					best, p, q = odds[i*n+j], j, i
				}
			}
		}
		if p < 0 {
			return group
		}
		for k := range n {
			mean := (odds[p*n+k]*size[p] + odds[q*n+k]*size[q]) / (size[p] + size[q])
			odds[p*n+k], odds[k*n+p] = mean, mean
		}
		size[p] += size[q]
		alive[q] = false
		for i, g := range group {
			if g == q {
				group[i] = p
			}
		}
	}
}

// label names groups by letters in order of first appearance.
func label(group []int) []string {
	names := make(map[int]string)
	out := make([]string, len(group))
	for i, g := range group {
		if _, ok := names[g]; !ok {
			names[g] = letters(len(names))
		}
		out[i] = names[g]
	}
	return out
}

// letters counts a, b, … z, aa, ab, ….
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('a'+(n-1)%26)) + s
	}
	return s
}
