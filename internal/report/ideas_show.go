package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
)

// Ideas shows which quilts a stash covers now.
type Ideas struct {
	desk.Ideas
	Wording Wording
	Crops   Crops // of Holdings, where photos of them are kept
}

// Document lists the quilts and draws each small, in its cloth.
func (i Ideas) Document() Document {
	p := Plan{Plan: desk.Plan{System: i.System, Holdings: i.Holdings}, Crops: i.Crops}
	d := Document{title: "Quilts that you can cut now", fine: []string{
		"Finished sizes with borders, in the block width that gives the largest, sides up to 110 in. Background, borders, binding and backing are counted as bought.",
		"Each piece of cloth is counted as cut into one size; a plan may need less.",
	}}
	if len(i.Ideas.Ideas) == 0 {
		d.lead = "The stash covers none yet."
		d.add(i.lacking(p, i.None))
		return d
	}
	full := 0
	t := table{Columns: columns("quilt", ">block", ">size", ">blocks", ">cloth", ">of what is overfull", "background", "missing for the next bed")}
	t.Columns[7].short, t.Columns[7].give = "next bed", []int{1}
	t.Columns[5].short, t.Columns[5].give = "overfull", []int{2}
	var drawings []drawing
	for _, x := range i.Ideas.Ideas {
		n := x.Needs
		full += x.Full
		t.add(n.Recipe.Name, p.sides(n.Recipe.WidthIn, n.Recipe.HeightIn), p.sides(n.WidthIn, n.LengthIn), n.Places.Count(), x.Taken, blankZero(x.Full), background(n), cell{Words: p.nextBed(x), Narrow: nextBedShort(x)})
		g := quiltDrawing(n.Recipe.Name+" in your cloth", n.Recipe.QuiltLayout(n.Columns, n.Rows), i.inks(p, x))
		g.Name = n.Recipe.Name + ", " + p.sides(n.WidthIn, n.LengthIn)
		drawings = append(drawings, g)
	}
	d.lead = capital(cloth.Count(len(i.Ideas.Ideas), "quilt")) + ", the largest that the stash covers"
	if len(i.Ideas.Ideas) > 1 {
		d.lead += " of each"
	}
	if full > 0 && len(i.Ideas.Ideas) > 1 {
		d.lead += "; first what uses up the colours that you have most of"
	}
	d.lead += "."
	s, typed := section{Tables: []table{t}}, section{Said: true}
	if i.More > 0 {
		typed.Items = append(typed.Items, "and "+cloth.Count(i.More, "quilt")+" more"+i.Wording.Most)
	}
	if len(i.None) > 0 {
		var names []string
		others := ""
		for _, x := range i.None {
			names = append(names, x.Recipe.Name)
			if others == "" && !i.named(x) {
				others = x.Recipe.File
			}
		}
		s.Items = append(s.Items, "nothing can be made yet of "+few(names))
		if i.Wording.Lacks != nil && others != "" {
			typed.Items = append(typed.Items, "what one of them lacks: "+i.Wording.Lacks(others))
		}
	}
	if bound := i.bound(); bound != nil {
		s.Items = append(s.Items, "strips that are left bind "+few(bound))
		if i.Wording.Bind != "" {
			typed.Items = append(typed.Items, i.Wording.Bind)
		}
	}
	for _, l := range i.Left {
		s.Items = append(s.Items, fmt.Sprintf("left alone: %s that %s has pulled", cloth.Count(l.Pieces, "piece"), printable(l.Quilt)))
	}
	if i.Wording.Plan != nil {
		typed.Items = append(typed.Items, "to plan the first: "+i.Wording.Plan(p.ordered(i.Ideas.Ideas[0].Needs)))
	}
	caption := "A picture to choose by, not a layout."
	if len(drawings) > 1 {
		caption = "Pictures to choose by, not layouts."
	}
	d.add(
		section{Heading: "In your own cloth", Shown: true, Drawings: drawings, Caption: caption},
		s,
		i.lacking(p, slices.DeleteFunc(slices.Clone(i.None), func(x plan.Unmade) bool { return !i.named(x) })),
		typed,
	)
	return d
}

// named reports whether a recipe was asked for by its name.
func (i Ideas) named(x plan.Unmade) bool { return slices.Contains(i.Named, x.Recipe.Name) }

// lacking says what is missing for the least that recipes ask.
func (i Ideas) lacking(p Plan, none []plan.Unmade) section {
	const most = 8 // recipes
	s := section{Heading: "What is missing"}
	t := table{Columns: columns("quilt", ">blocks", "of", "missing")}
	for k, x := range none {
		if k == most {
			s.Items = []string{"and of " + cloth.Count(len(none)-most, "other recipe")}
			break
		}
		t.add(x.Recipe.Name, x.Recipe.BlockCount(x.Columns, x.Rows), p.sides(x.Recipe.WidthIn, x.Recipe.HeightIn), p.missing(x.Lacking))
	}
	if len(t.Rows) > 0 {
		s.Tables = []table{t}
	}
	return s
}

// few names some of a list, and how many others there are.
func few(names []string) string {
	const most = 4
	if len(names) <= most+1 {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d others", strings.Join(names[:most], ", "), len(names)-most)
}

// sides writes both sides of a size.
func (p Plan) sides(w, l float64) string { return p.format(w) + " × " + p.format(l) }

func (i Ideas) inks(p Plan, x plan.Idea) inks {
	out := inks{}
	for _, b := range slices.Concat(x.Needs.Recipe.QuiltLayout(1, 1).Patches, x.Needs.Recipe.QuiltLayout(2, 2).Patches) {
		if _, done := out[b.Role]; done || b.Role.Background {
			continue
		}
		seen := map[string]bool{}
		out[b.Role] = nil
		for _, id := range x.Cloth[b.Role.Name] {
			if c := p.chipOf(id); c.Some && !seen[c.key()] && (c.Crop != nil || len(i.Crops) == 0 || len(out[b.Role]) == 0) {
				seen[c.key()] = true
				out[b.Role] = append(out[b.Role], c)
			}
		}
	}
	return out
}

// bound names the quilts that strips which are left bind.
func (i Ideas) bound() (out []string) {
	for _, x := range i.Ideas.Ideas {
		if x.Bound {
			out = append(out, x.Needs.Recipe.Name)
		}
	}
	return out
}

// background says how much of it is bought.
func background(n *plan.Needs) string {
	for _, y := range n.Yardage {
		if y.Role.Background {
			return y.Buy
		}
	}
	return ""
}

// nextBed says what may be lacking for it: "twin: 40 dark 2½".
func (p Plan) nextBed(x plan.Idea) string {
	if x.Next == nil {
		return ""
	}
	return x.Next.Name + ": " + p.missing(x.Lacking)
}

// nextBedShort says the same in few words: "twin: 537 more".
func nextBedShort(x plan.Idea) string {
	if x.Next == nil {
		return ""
	}
	pieces := 0
	for _, g := range x.Lacking {
		pieces += g.Pieces
	}
	return fmt.Sprintf("%s: %d more", x.Next.Name, pieces)
}

// missing lists gaps: "40 pieces 2½, dark"; those of one set together.
func (p Plan) missing(gaps []plan.Gap) string {
	const most = 2 // of a line
	var lacks []string
	more := 0
	for k, g := range gaps {
		inSet := func(o plan.Gap) bool { return o.Set == g.Set }
		if g.Set > 0 && slices.IndexFunc(gaps, inSet) < k {
			continue // told with the first of its set
		}
		if len(lacks) >= most {
			more += g.Pieces
			continue
		}
		if g.Set == 0 {
			lacks = append(lacks, fmt.Sprintf("%s %s, %s", cloth.Count(g.Pieces, "piece"), p.size(g.WidthIn, g.LengthIn), g.Sought))
			continue
		}
		var each []string
		for _, o := range gaps {
			if inSet(o) {
				each = append(each, fmt.Sprintf("%d of %s", o.Each, p.size(o.WidthIn, o.LengthIn)))
			}
		}
		lacks = append(lacks, fmt.Sprintf("%s of %s, each from one print (%s)", cloth.Count(g.Pieces/g.Each, "set"), g.Sought, strings.Join(each, ", ")))
	}
	if more > 0 {
		lacks = append(lacks, cloth.Count(more, "other piece"))
	}
	return strings.Join(lacks, "; ")
}

// JSON writes the ideas as one line of ideas --json.
func (i Ideas) JSON(w io.Writer) error {
	type lacking struct {
		Role     string  `json:"role"`
		WidthIn  float64 `json:"width_in"`
		LengthIn float64 `json:"length_in"`
		Pieces   int     `json:"pieces"`
		Each     int     `json:"each_print,omitempty"`
	}
	lackings := func(gaps []plan.Gap) (out []lacking) {
		for _, g := range gaps {
			out = append(out, lacking{g.Sought.String(), g.WidthIn, g.LengthIn, g.Pieces, g.Each})
		}
		return out
	}
	type unmade struct {
		Recipe  string    `json:"recipe"`
		BlockIn float64   `json:"block_in"`
		Columns int       `json:"columns"`
		Rows    int       `json:"rows"`
		Lacking []lacking `json:"lacking"`
	}
	var none []unmade
	for _, x := range i.None {
		none = append(none, unmade{x.Recipe.Name, x.Recipe.WidthIn, x.Columns, x.Rows, lackings(x.Lacking)})
	}
	type idea struct {
		Recipe   string    `json:"recipe"`
		BlockIn  float64   `json:"block_in"`
		Columns  int       `json:"columns"`
		Rows     int       `json:"rows"`
		WidthIn  float64   `json:"width_in"`
		LengthIn float64   `json:"length_in"`
		Cloth    int       `json:"cloth"`
		Overfull int       `json:"overfull,omitempty"`
		BuyIn    float64   `json:"background_in,omitempty"`
		Bound    bool      `json:"bound_from_strips,omitempty"`
		Next     string    `json:"next_bed,omitempty"`
		Lacking  []lacking `json:"lacking,omitempty"`
	}
	all := []idea{}
	for _, x := range i.Ideas.Ideas {
		n := x.Needs
		v := idea{Recipe: n.Recipe.Name, BlockIn: n.Recipe.WidthIn, Columns: n.Columns, Rows: n.Rows, WidthIn: n.WidthIn, LengthIn: n.LengthIn, Cloth: x.Taken, Overfull: x.Full, Bound: x.Bound}
		for _, y := range n.Yardage {
			if y.Role.Background {
				v.BuyIn = y.BuyIn
			}
		}
		if x.Next != nil {
			v.Next = x.Next.Name
		}
		v.Lacking = lackings(x.Lacking)
		all = append(all, v)
	}
	return encode(w, struct {
		Version int      `json:"version"`
		Ideas   []idea   `json:"ideas"`
		More    int      `json:"more,omitempty"`
		None    int      `json:"none,omitempty"`
		Unmade  []unmade `json:"unmade,omitempty"`
	}{contract, all, i.More, len(i.None), none})
}
