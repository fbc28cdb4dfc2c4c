package plan

import (
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/recipe"
)

// Saved is a plan as it is kept beside the stash: enough to hold bins to, to
// leave its cloth alone, to shop by, and to lay it out again.
type Saved struct {
	Recipe   string   `json:"recipe"`
	WidthIn  float64  `json:"width_in"`
	LengthIn float64  `json:"length_in"`
	Takes    []Taking `json:"takes"`
	Pulled   []Pulled `json:"pulled"`
	Gaps     []Gap    `json:"gaps"`
	// AnyShort is what lacks of strings and crumbs. Their cloth is among Gaps too, as it
	// is bought.
	AnyShort []AnyShort `json:"any_short,omitempty"`
	Top      *KeptOrder `json:"top,omitempty"`  // absent of plans that were kept before layouts were
	Laid     *Laid      `json:"laid,omitempty"` // absent: it was not laid out
}

// Saved returns the plan as it is kept; quilt names it.
func (p Pull) Saved(quilt string) Saved {
	n := p.Needs
	return Saved{
		AnyShort: p.anyShort(),
		Recipe:   n.Recipe.Name, WidthIn: n.WidthIn, LengthIn: n.LengthIn, Takes: p.Takes(), Pulled: p.Pulled(), Gaps: p.Gaps(quilt),
		Top: &KeptOrder{Text: string(n.Recipe.Text), BlockIn: n.Recipe.WidthIn, AtATime: n.Recipe.AtATime, Columns: n.Columns, Rows: n.Rows, Shop: n.Shop, Matching: n.Recipe.MatchedBy},
	}
}

// KeptOrder describes the quilt: its recipe and layout.
type KeptOrder struct {
	Text          string              `json:"recipe"` // as a recipe is written
	BlockIn       float64             `json:"block_in"`
	AtATime       map[recipe.Make]int `json:"at_a_time,omitempty"` // see recipe.Made
	Columns, Rows int                 // as recipe.TopSize takes them
	Shop          Shop                `json:"shop"`
	Background    string              `json:"background,omitempty"` // the print of the stash that it is
	Matching      string              `json:"matching,omitempty"`   // as Recipe.Match takes it
}

// Order returns the order by which the quilt can be asked for again.
func (t KeptOrder) Order(name string) (Order, error) {
	r, err := recipe.Read(name, []byte(t.Text))
	if err == nil {
		r, err = r.As(t.BlockIn, t.AtATime, t.Matching)
	}
	return Order{Recipe: r, Columns: t.Columns, Rows: t.Rows}, err
}

// Laid is where the prints of a quilt lie.
type Laid struct {
	Look    string      `json:"look"`
	Seed    uint64      `json:"seed"`
	Corners bool        `json:"corners,omitempty"` // patches that meet at a corner touch too
	Apart   [][2]int64  `json:"apart,omitempty"`
	Pieces  []LaidPiece `json:"pieces"`
	Cloth   []CutCloth  `json:"cut,omitempty"` // what is cut into, one entry a piece of cloth
	// Besides is what is used whole: strips to join, strings and crumbs. They
	// leave the stash with the last patch that is sewn.
	Besides []Pulled `json:"besides,omitempty"`
}

// LaidPiece is a cut piece of cloth in its place, known by the name of its first patch.
type LaidPiece struct {
	Patch   string `json:"patch"`
	Holding int64  `json:"holding,omitempty"` // 0: none yet
	Cut     bool   `json:"cut,omitempty"`     // to be cut from that holding; false: it is that size
	Scrap   bool   `json:"scrap,omitempty"`   // sewn from that holding as it comes, which is among Besides
	Turn    int    `json:"turn,omitempty"`    // quarter turns clockwise of its cloth
	Locked  bool   `json:"locked,omitempty"`
	Stage   Stage  `json:"stage,omitempty"`
	Was     *Was   `json:"was,omitempty"` // its cloth, once it is sewn
	// From is the piece of the stash that it was cut from; 0 where it is that piece, or
	// was not cut yet.
	From int64 `json:"from,omitempty"`
}

// Was is what is kept about cloth that is sewn.
type Was struct {
	Family    cloth.Family   `json:"family,omitempty"`
	Value     cloth.Value    `json:"value,omitempty"`
	Print     string         `json:"print,omitempty"`
	Lightness float64        `json:"lightness,omitempty"`
	Mean      *colour.Linear `json:"mean,omitempty"` // absent where it was not measured
	ReadsAs   *colour.Linear `json:"reads_as,omitempty"`
	Colours   []cloth.Ink    `json:"colours,omitempty"`
}

// WasOf returns what is kept about a holding once it is sewn.
func WasOf(h cloth.Holding) *Was {
	w := &Was{Family: h.Family, Value: h.Value, Print: h.Print, Lightness: h.Lightness}
	if h.Measured {
		w.Mean, w.ReadsAs, w.Colours = &h.Mean, &h.ReadsAs, h.Colours
	}
	return w
}

// Holding returns the holding as it was, as far as that is kept.
func (w *Was) Holding(id int64) cloth.Holding {
	h := cloth.Holding{ID: id, Family: w.Family, Value: w.Value, Print: w.Print, Lightness: w.Lightness, Trust: 1}
	if w.Mean != nil && w.ReadsAs != nil {
		h.Measured, h.Mean, h.ReadsAs, h.Colours = true, *w.Mean, *w.ReadsAs, w.Colours
		if h.Colours == nil { // kept before all of its colours were
			h.Colours = []cloth.Ink{{Colour: h.ReadsAs, Share: 1}}
		}
	}
	return h
}

// Stage is how far the work on a piece has come; empty: it still lies in the stash.
type Stage string

// The stages, in order.
const (
	PulledStage Stage = "pulled" // out of its basket, still of the stash
	CutStage    Stage = "cut"    // to size; the stash holds it so
	SewnStage   Stage = "sewn"   // of the stash no more
)

// CutCloth is a piece of cloth and what it is cut into. Lengths are inches.
type CutCloth struct {
	Holding int64     `json:"holding"`
	Pieces  []CutSize `json:"pieces"`
	Remains []CutSize `json:"remains,omitempty"` // that go back into the stash
}

// CutSize is so many pieces of one size.
type CutSize struct {
	WidthIn  float64 `json:"width_in"`
	LengthIn float64 `json:"length_in"`
	Count    int     `json:"count"`
}

// Of returns the piece known by the name of a patch; nil for none.
func (l *Laid) Of(patch string) *LaidPiece {
	for i := range l.Pieces {
		if l.Pieces[i].Patch == patch {
			return &l.Pieces[i]
		}
	}
	return nil
}

// At is like Of, but adds a piece without cloth where there is none.
func (l *Laid) At(patch string) *LaidPiece {
	if p := l.Of(patch); p != nil {
		return p
	}
	l.Pieces = append(l.Pieces, LaidPiece{Patch: patch})
	return &l.Pieces[len(l.Pieces)-1]
}

// Holds returns what the layout still claims of the stash: pieces that are not sewn, and
// the cloth that others are cut from.
func (l *Laid) Holds() []Pulled {
	var out []Pulled
	add := func(id int64, count int) {
		for i := range out {
			if out[i].ID == id {
				out[i].Count += count
				return
			}
		}
		out = append(out, Pulled{id, count})
	}
	for _, p := range l.Pieces {
		if p.Holding > 0 && !p.Cut && !p.Scrap && p.Stage != SewnStage {
			add(p.Holding, 1)
		}
	}
	for _, c := range l.Cloth {
		add(c.Holding, 1)
	}
	for _, b := range l.Besides {
		add(b.ID, b.Count)
	}
	return out
}
