package report

import (
	"fmt"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// joinedStrips says what the binding and borders are joined from, and what is short.
func (p Plan) joinedStrips() section {
	s := section{Heading: "Join"}
	for _, x := range p.Pull.Strips {
		lengths := 0
		for _, f := range x.From {
			lengths += f.Lengths
		}
		how := "straight"
		if x.Diagonal {
			how = "on the diagonal"
		}
		words := fmt.Sprintf("%s, %s wide: %s wanted; the stash gives ", x.What, p.format(x.CutIn), p.up(x.NeedIn))
		if lengths == 0 {
			words += "none"
		} else {
			words += fmt.Sprintf("%s%s, joined %s: %s", cloth.Count(lengths, "strip"), printsWords(x, p), how, p.format(max(0, x.HaveIn())))
		}
		if short := x.ShortIn(); short > 0 {
			more := "more "
			if lengths == 0 {
				more = ""
			}
			words += fmt.Sprintf("; %s %sare cut from new cloth, %s", p.up(short), more, p.bought(x.BuyIn()))
		}
		s.Paras = append(s.Paras, words+".")
		for _, f := range x.From {
			s.Items = append(s.Items, p.stripWords(x, f))
		}
	}
	if p.Needs.Binding.FromStash {
		s.Paras = append(s.Paras, "Lay the binding round the quilt before it is sewn, so that no join falls at a corner (common practice).")
	}
	return s
}

// printsWords says of how many prints strips are, " of 3 prints", where that of all is known.
func printsWords(x plan.Strips, p Plan) string {
	prints := map[string]bool{}
	for _, f := range x.From {
		h := p.holding(f.ID)
		if h == nil || h.Print == "" {
			return ""
		}
		prints[h.Print] = true
	}
	return " of " + cloth.Count(len(prints), "print")
}

// stripWords is what is done with the strips of a holding.
func (p Plan) stripWords(x plan.Strips, f plan.PulledStrips) string {
	words := fmt.Sprintf("holding %d", f.ID)
	if h := p.holding(f.ID); h != nil {
		words = p.stockWords(*h)
		if h.Basket != "" {
			words += " (" + h.Basket + ")"
		}
	}
	if f.Cut > 0 {
		words = "what is left of " + words + " once its pieces are cut"
	}
	if f.Count > 1 {
		words += fmt.Sprintf(", %d alike", f.Count)
	}
	var steps []string
	if f.TrimIn > 0 {
		steps = append(steps, "square off the end, "+p.format(f.TrimIn))
	}
	strips := max(1, f.Count)
	if rest := f.WidthIn - float64((f.Lengths+strips-1)/strips)*x.CutIn; rest > 0.02 || f.Lengths > strips {
		steps = append(steps, fmt.Sprintf("slit %s of %s", cloth.Count(f.Lengths, "length"), p.format(x.CutIn)))
	}
	what := x.What
	if what == "binding" {
		what = "the binding"
	}
	steps = append(steps, fmt.Sprintf("%s of %s for %s", cloth.Count(f.Lengths, "length"), p.format(f.LengthIn), what))
	return words + ": " + strings.Join(steps, "; ")
}

func (p Plan) stripWhys() (out []recipe.Why) {
	for _, x := range p.Pull.Strips {
		out = append(out, x.Why(p.System))
	}
	return out
}

// stripsJSON returns what the binding and borders are joined from; lengths are inches.
func (p Plan) stripsJSON() []object {
	return mapped(p.Pull.Strips, func(x plan.Strips) object {
		return object{
			{"what", x.What}, {"role", x.Role.Name}, {"cut_in", inchesJSON(x.CutIn)}, {"wanted_in", inchesJSON(x.NeedIn)}, {"joined_in", inchesJSON(max(0, x.HaveIn()))},
			{"joins", x.Joins()}, {"join_in", inchesJSON(x.JoinIn)}, {"short_in", inchesJSON(x.ShortIn())}, {"buy_in", inchesJSON(x.BuyIn())},
			{"pull", mapped(x.From, func(f plan.PulledStrips) object {
				return object{{"id", f.ID}, {"count", f.Count}, {"cut?", f.Cut}, {"lengths", f.Lengths}, {"length_in", inchesJSON(f.LengthIn)}}
			})},
		}
	})
}
