package cloth

import (
	"cmp"
	"strings"
)

// CompareNatural orders names as people count them: "print 2" comes before "print 10". It
// is -1, 0 or 1 as cmp.Compare; only equal names are equal.
func CompareNatural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		m, n := digits(x), digits(y)
		if m == 0 || n == 0 {
			if c := cmp.Compare(x[0], y[0]); c != 0 {
				return c
			}
			x, y = x[1:], y[1:]
			continue
		}
		p, q := strings.TrimLeft(x[:m], "0"), strings.TrimLeft(y[:n], "0")
		if c := cmp.Or(cmp.Compare(len(p), len(q)), cmp.Compare(p, q)); c != 0 {
			return c
		}
		x, y = x[m:], y[n:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(a, b))
}

// digits returns how many digits a text begins with.
func digits(s string) int {
	return len(s) - len(strings.TrimLeft(s, "0123456789"))
}
