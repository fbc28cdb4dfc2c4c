package cutting

import (
	"fmt"
	"math"
	"strconv"

	"piecebag/internal/cloth"
)

// say writes a length with its unit: eighths of an inch where it is so many,
// else two decimals; centimetres with metric cloth.
func (y Bolt) say(in float64) string {
	if y.Metric {
		return strconv.FormatFloat(math.Round(in*cloth.MMPerInch)/10, 'f', -1, 64) + " cm"
	}
	if eighths := in * 8; math.Abs(eighths-math.Round(eighths)) < 1e-6 {
		return cloth.FormatInches(in) + " in"
	}
	return strconv.FormatFloat(math.Round(in*100)/100, 'f', -1, 64) + " in"
}

func (y Bolt) saySize(w, l float64) string {
	if w == l {
		return y.say(w) + " square"
	}
	return y.say(w) + " × " + y.say(l)
}

// quotient writes a quotient and the whole number taken of it.
func quotient(exact float64, taken int) string {
	if math.Abs(exact-float64(taken)) < 1e-6 {
		return strconv.Itoa(taken)
	}
	return strconv.FormatFloat(exact, 'f', 1, 64) + ", so " + strconv.Itoa(taken)
}

// steps writes down the arithmetic of a layout as it is done on paper.
func (y Bolt) steps(l *laid, out LayPlan, wants []Want) []string {
	var lines []string
	add := func(form string, a ...any) { lines = append(lines, fmt.Sprintf(form, a...)) }
	if y.LossAcross > 0 {
		add("usable width: %s − %s for squaring up = %s", y.say(y.Width), y.say(y.LossAcross), y.say(out.Width))
	}
	if y.Length > 0 {
		add("usable length: %s − %s for squaring up = %s", y.say(y.Length), y.say(y.LossAlong), y.say(y.room().inches()))
	}
	for i, n := range wants {
		laid := [2]int{}                  // straight, turned
		strips, per := [2]int{}, [2]int{} // that are this want's own
		heights := [2]float64{n.L, n.W}   // along the cloth
		widths := [2]float64{n.W, n.L}    // across it
		for _, s := range out.Strips {
			for k, p := range s.Pieces {
				if p.Want != i {
					continue
				}
				way := 0
				if p.Turned {
					way = 1
				}
				laid[way]++
				if k == 0 {
					strips[way]++
					per[way] = int(y.usable() / ticks(widths[way]))
				}
			}
		}
		for way, word := range [2]string{"", ", turned"} {
			if strips[way] == 0 {
				continue
			}
			add("%s%s: %s ÷ %s = %s across a strip", y.saySize(n.W, n.L), word, y.say(out.Width), y.say(widths[way]), quotient(out.Width/widths[way], per[way]))
			if own := min(laid[way], strips[way]*per[way]); per[way] > 1 {
				add("%s ÷ %d = %s", cloth.Count(own, "piece"), per[way], quotient(float64(own)/float64(per[way]), strips[way]))
			}
			add("%s × %s = %s", cloth.Count(strips[way], "strip"), y.say(heights[way]), y.say(float64(strips[way])*heights[way]))
		}
		own := min(laid[0], strips[0]*per[0]) + min(laid[1], strips[1]*per[1])
		if rest := laid[0] + laid[1] - own; rest > 0 {
			add("%s: %s from the ends of taller strips", y.saySize(n.W, n.L), cloth.Count(rest, "piece"))
		}
		if l.missing[i] > 0 {
			add("%s: no room for %d of %d", y.saySize(n.W, n.L), l.missing[i], n.Count)
		}
	}
	if len(out.Strips) == 0 {
		return lines
	}
	if y.LossAlong > 0 {
		add("%s + %s for squaring up = %s along the cloth", y.say(l.used.inches()), y.say(y.LossAlong), y.say(out.Inches))
	} else {
		add("in all %s along the cloth", y.say(out.Inches))
	}
	if y.Length > 0 {
		return lines
	}
	if y.Shrink > 0 {
		add("with %g %% for shrinkage: %s", math.Round(1000*y.Shrink)/10, y.say(out.Inches*(1+y.Shrink)))
	}
	if y.Metric {
		add("up to the next 10 cm: %s", out.Buy)
	} else {
		add("up to the next ⅛ yard: %s, %s", out.Buy, y.say(out.BuyInches))
	}
	return lines
}
