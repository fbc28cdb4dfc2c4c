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
		"Sizes are of the blocks, finished, with their borders. The background, borders, binding and backing are bought.",
		"Each piece of cloth is cut into one size: a thriftier plan may give a larger quilt.",
	}}
	if len(i.Ideas.Ideas) == 0 {
		d.lead = "The stash covers none yet: it holds too little cloth of known size."
		return d
	}
	full := 0
	t := table{Columns: columns("quilt", ">block", ">size", ">blocks", ">cloth", ">of what is overfull", "background", "for the next bed")}
	var drawings []drawing
	for _, x := range i.Ideas.Ideas {
		n := x.Needs
		full += x.Full
		t.add(n.Recipe.Name, p.size(n.Recipe.WidthIn, n.Recipe.HeightIn), p.size(n.WidthIn, n.LengthIn), n.Places.Count(), x.Taken, blankZero(x.Full), background(n), p.nextBed(x))
		g := quiltDrawing(n.Recipe.Name+" in your cloth", n.Recipe.QuiltLayout(n.Columns, n.Rows), i.inks(p, x))
		g.Name = n.Recipe.Name + ", " + p.size(n.WidthIn, n.LengthIn)
		drawings = append(drawings, g)
	}
	d.lead = capital(cloth.Count(len(i.Ideas.Ideas), "quilt")) + ", the largest that the stash covers of each"
	if full > 0 {
		d.lead += "; first what uses up the colours that you have most of"
	}
	d.lead += "."
	s, typed := section{Tables: []table{t}}, section{Said: true}
	if i.More > 0 {
		typed.Items = append(typed.Items, "and "+cloth.Count(i.More, "quilt")+" more"+i.Wording.Most)
	}
	if i.None > 0 {
		s.Items = append(s.Items, "of "+cloth.Count(i.None, "recipe")+" nothing can be made yet")
	}
	if bound := i.bound(); bound != nil {
		s.Items = append(s.Items, "strips that are left bind "+strings.Join(bound, ", "))
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
	d.sections = []section{
		{Heading: "In your own cloth", Shown: true, Drawings: drawings, Caption: "A picture to choose by, not a layout."},
		s,
		typed,
	}
	return d
}

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
	const most = 2 // of a line
	var lacks []string
	more := 0
	for k, g := range x.Lacking {
		if k >= most {
			more += g.Pieces
			continue
		}
		words := fmt.Sprintf("%s %s, %s", cloth.Count(g.Pieces, "piece"), p.size(g.WidthIn, g.LengthIn), g.Sought)
		if g.Set > 0 {
			words += fmt.Sprintf(", %s of %d of one print", cloth.Count(g.Pieces/g.Each, "set"), g.Each)
		}
		lacks = append(lacks, words)
	}
	if more > 0 {
		lacks = append(lacks, fmt.Sprintf("%d other pieces", more))
	}
	return x.Next.Name + ": " + strings.Join(lacks, "; ")
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
		for _, g := range x.Lacking {
			v.Lacking = append(v.Lacking, lacking{g.Sought.String(), g.WidthIn, g.LengthIn, g.Pieces, g.Each})
		}
		all = append(all, v)
	}
	return encode(w, struct {
		Version int    `json:"version"`
		Ideas   []idea `json:"ideas"`
		More    int    `json:"more,omitempty"`
		None    int    `json:"none,omitempty"`
	}{contract, all, i.More, i.None})
}
