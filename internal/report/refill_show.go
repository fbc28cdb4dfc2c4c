package report

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// Refill shows which strips to sub-cut for the thin bins.
type Refill struct {
	desk.Refill
	Crops Crops // of Holdings, where photos of them are kept
	Why   bool  // write the arithmetic out
}

// asPlan returns the refill as a quilt that takes the thin bins' pieces, to be pulled
// and cut in the same words.
func (r Refill) asPlan() Plan {
	pull := &plan.Pull{Wants: r.Wants, Stock: r.Holdings, Cover: r.Cover}
	for _, i := range r.Thin {
		b := r.Bins[i]
		pull.Roles = append(pull.Roles, recipe.Role{Name: binName(b), Family: b.Family})
	}
	return Plan{Plan: desk.Plan{Pull: pull, Holdings: r.Holdings, System: r.System}, Crops: r.Crops}
}

func binName(b shelf.Box) string { return binWords(b.Own, b.Family, b.Value) }

// Document lists the thin bins, what to pull and what to cut.
func (r Refill) Document() Document {
	p := r.asPlan()
	t := table{Columns: columns("bin", ">cut", ">have", ">wanted", ">from strips", ">still short")}
	gained, short := 0, 0
	for k, i := range r.Thin {
		b := r.Bins[i]
		t.add(binName(b), p.size(r.Wants[k].W, r.Wants[k].L), r.Have[i], b.Least, blankZero(r.Covered[k]), blankZero(r.Short[k]))
		gained += r.Covered[k]
		short += r.Short[k]
	}
	d := Document{title: "Refill", fine: []string{"No bin is taken below its own floor, and the longest strips stay in it."}}
	if len(t.Rows) == 0 {
		d.lead = "No bin of cut pieces is thin."
		d.add(section{Heading: "Not filled by cutting", Paras: r.leftOut()})
		return d
	}
	d.lead = fmt.Sprintf("%s. Cutting strips gives %s; %s still short.", verbs(len(t.Rows), "bin", "is thin", "are thin"), cloth.Count(gained, "piece"), verbs(short, "piece", "is", "are"))
	// Bins that gain come first; those that no strip serves are folded where they are many.
	gains := func(c []cell) bool { return c[4].Words != "" }
	lacking := slices.DeleteFunc(slices.Clone(t.Rows), gains)
	t.Rows = append(slices.DeleteFunc(t.Rows, func(c []cell) bool { return !gains(c) }), lacking...)
	if n := len(t.Rows) - len(lacking); len(lacking) > mostNamed {
		if t.Fold = n; n == 0 {
			t.Fold = -1
		}
		t.More = "No strip serves " + strings.Join(mapped(lacking, func(c []cell) string { return c[0].Words + " " + c[1].Words + " (" + c[5].Words + " short)" }), ", ") + "."
	}
	if len(r.Cuts) > 0 {
		if slices.ContainsFunc(p.groups(), alikeCuts.mixed) { // else the cutting list names all of the cloth and where it lies
			d.sections = append(d.sections, p.pulls())
		}
		d.sections = append(d.sections, cautions(), p.cuttingList())
	}
	d.sections = append(d.sections, section{Heading: "Thin bins", Paras: r.leftOut(), Tables: []table{t}})
	if r.Why {
		d.sections = append(d.sections, section{Heading: "Why", Whys: append(r.whys(p), p.cutWhys()...)})
	}
	return d
}

// leftOut says what is thin that no cutting for bins fills.
func (r Refill) leftOut() []string {
	var out []string
	if r.LeftOut != nil {
		out = append(out, "Left out, since it is of no one bin: "+strings.Join(mapped(r.LeftOut, func(s shelf.Short) string { return fmt.Sprintf("%s (wants %d more)", s.Name(), s.By()) }), "; ")+".")
	}
	for _, l := range r.Sets {
		out = append(out, fmt.Sprintf("%s lacks %s, each from one print: refill cuts for bins alone, so plan it again when its cloth has come.", l.Quilt, cloth.Count(l.Count/max(1, l.Each), "matching set")))
	}
	return mapped(out, printable)
}

// whys returns how many each thin bin lacks.
func (r Refill) whys(p Plan) []recipe.Why {
	var out []recipe.Why
	for k, i := range r.Thin {
		b := r.Bins[i]
		out = append(out, recipe.Why{Text: fmt.Sprintf("%s, %s: %d wanted − %d held = %d; − %d from strips = %d short",
			binName(b), p.size(r.Wants[k].W, r.Wants[k].L), b.Least, r.Have[i], b.Least-r.Have[i], r.Covered[k], r.Short[k])})
	}
	return out
}

// CuttingUp shows how leftovers of a project are cut into your sizes.
type CuttingUp struct {
	desk.Leftovers
	Why bool // write the arithmetic out
}

// reason returns why cloth of a size is worth more; empty where it is not.
func (c CuttingUp) reason(size int) string {
	s := c.Thin[size]
	switch {
	case s.Want == 0:
		return ""
	case c.Of == (shelf.Alike{}):
		return "some bins of this size are thin; name the colour of the cloth to go by its own"
	}
	return fmt.Sprintf("%s is thin, %d held of %d wanted", s.Alike, s.Count, s.Want)
}

// Document draws each leftover as it is cut, with the cuts in order.
func (c CuttingUp) Document() Document {
	p := Plan{Plan: desk.Plan{System: c.System}}
	d := Document{title: "Leftovers", lead: c.lead(p)}
	for _, as := range c.As {
		d.lead += " " + capital(as) + "."
	}
	if slices.ContainsFunc(c.Cut, func(u cutting.CutUp) bool { return len(u.Pieces) > 0 }) {
		d.sections = append(d.sections, cautions())
	}
	for i, u := range c.Cut {
		s := section{Heading: p.format(c.Cloths[i].W) + " × " + p.format(c.Cloths[i].L), Numbered: true}
		for k, n := range u.Counts {
			if n == 0 {
				continue
			}
			words := c.count(p, n, k)
			if why := c.reason(k); why != "" {
				words += ": " + why
			}
			s.Paras = append(s.Paras, words+".")
		}
		if u.ExactFit {
			s.Paras = append(s.Paras, fmt.Sprintf("It fits with less than %s to spare: square up with care.", p.format(0.5)))
		}
		if len(u.Pieces) == 0 {
			s.Paras = []string{"Too small for any of your sizes."}
		} else {
			s.Drawings = []drawing{c.drawing(p, u)}
			s.Items = sliceLines(p, u.Slices)
		}
		d.sections = append(d.sections, s)
	}
	if c.Why {
		s := section{Heading: "Why"}
		for i, u := range c.Cut {
			s.Whys = append(s.Whys, c.why(p, c.Cloths[i], u))
		}
		d.sections = append(d.sections, s)
	}
	return d
}

// why says where all of a leftover goes, and what each size is worth.
func (c CuttingUp) why(p Plan, l cutting.Leftover, u cutting.CutUp) recipe.Why {
	why := recipe.Why{Text: fmt.Sprintf("%s less %s squared off each way: %s", p.size(l.W, l.L), p.format(l.Loss), p.System.Area(u.Width*u.Length))}
	used := 0.0
	for k, n := range u.Counts {
		if n == 0 {
			continue
		}
		area, sewn := 0.0, 0.0
		for _, q := range u.Pieces {
			if q.Want == k {
				area += q.W * q.H
				sewn += (q.W - 2*c.System.Seam) * (q.H - 2*c.System.Seam)
			}
		}
		used += area
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("%s = %s, sewn %s, worth %s times that", c.count(p, n, k), p.System.Area(area), p.System.Area(sewn), number(c.Sizes[k].Weight, 100))})
	}
	why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("%s − %s = %s is left", p.System.Area(u.Width*u.Length), p.System.Area(used), p.System.Area(u.Width*u.Length-used))})
	return why
}

// count returns "6 of 2½" or "3 strips of 2½".
func (c CuttingUp) count(p Plan, n, size int) string {
	z := c.Sizes[size]
	if z.L == 0 {
		return cloth.Count(n, "strip") + " of " + p.format(z.W)
	}
	return fmt.Sprintf("%d of %s", n, p.size(z.W, z.L))
}

func (c CuttingUp) lead(p Plan) string {
	total := make([]int, len(c.Sizes))
	for _, u := range c.Cut {
		for k, n := range u.Counts {
			total[k] += n
		}
	}
	var words []string
	for k, n := range total {
		if n > 0 {
			words = append(words, c.count(p, n, k))
		}
	}
	switch {
	case words == nil:
		return "Nothing can be cut from this."
	case c.Of == (shelf.Alike{}): // nothing was said of the cloth
		return "In all " + strings.Join(words, ", ") + "."
	}
	return c.Of.String() + ": " + strings.Join(words, ", ") + "."
}

func (c CuttingUp) drawing(p Plan, u cutting.CutUp) drawing {
	d := drawing{W: u.Width, H: u.Length, Title: "how the leftover is cut"}
	d.Shapes = append(d.Shapes, shape{Points: rect(0, 0, d.W, d.H), Hollow: true, Dashed: true})
	for _, q := range u.Pieces {
		s := shape{Points: rect(q.X, q.Y, q.W, q.H), Fill: backgroundInk.Linear()}
		d.Shapes = append(d.Shapes, s.labelled(p.size(min(q.W, q.H), max(q.W, q.H)), 0.2, 1))
	}
	return d
}
