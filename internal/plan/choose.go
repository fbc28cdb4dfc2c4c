package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// Use is how well a quilt uses the cloth of a stash.
type Use struct {
	Recipe            *recipe.Recipe // in its block width, its units made as many at a time
	WidthIn, LengthIn float64        // of the quilt, finished
	Wanted, Covered   int            // pieces that scraps can give
	AsTheyAre         int            // of those covered, taken without a cut
	// ClothIn2 is the cloth that is used up: what is pulled, less what goes back. In2 is
	// how much of it is seen in the quilt; the rest is in seams and cut off.
	ClothIn2, In2 float64
	cover         float64 // share of what is wanted, by area
}

// Yield is the share of the cloth used up that is seen in the quilt, 0..1.
func (u Use) Yield() float64 {
	if u.ClothIn2 == 0 {
		return 0
	}
	return u.In2 / u.ClothIn2
}

// better tells whether a use serves a stash better: by what is covered, then by what of
// the cloth is seen.
func (u Use) better(o Use) bool {
	const same = 1e-9
	if math.Abs(u.cover-o.cover) > same {
		return u.cover > o.cover
	}
	return u.Yield() > o.Yield()+same
}

// Choice is a quilt in the block width and by the methods that use the cloth of a stash
// best, and as its recipe has it.
type Choice struct {
	Needs    *Needs
	Pull     Pull
	Best     []Use // the best few, the one chosen first
	AsIs     Use   // the recipe as it stands
	Reckoned int   // widths and methods that were reckoned by a simple way to cut
	Weighed  int   // of those, cut out as a plan cuts
}

// SavedIn2 is how much less cloth the choice takes for its quilt than the recipe as it
// stands would for as much, square inches; 0 where either takes none.
func (c Choice) SavedIn2() float64 {
	if c.AsIs.Yield() == 0 || c.Best[0].Yield() == 0 {
		return 0
	}
	return c.Best[0].In2/c.AsIs.Yield() - c.Best[0].ClothIn2
}

const (
	cellStep   = 0.125 // inches: a mark of the ruler
	cellLeast  = 0.75  // of a cell, finished: a smaller one is mostly seam
	nearWidth  = 1.25  // times wider or narrower where the number of blocks is given
	mostTries  = 400   // block widths and methods that are reckoned
	mostWeigh  = 8     // that are cut out; of a large stash fewest
	fewWeigh   = 4
	largeStash = 800 // pieces of cloth
	mostBest   = 5   // that are told
)

// Choose is FromStash of an order in the block width and by the methods that cover most
// of it, and of those that use the cloth best. With fixed the block keeps its width.
//
// All widths that the ruler has are reckoned by the simple way to cut that Ideas takes;
// the best of them are cut out. A square that is taken whole wastes only its seams, so a
// block that takes it whole goes before one for which it is trimmed. Errors: those of Need
// and FromStash.
func Choose(o Order, s Shop, fixed bool, stock []cloth.Holding, own []Pulled, background string, c cutting.Options) (Choice, error) {
	var out Choice
	as, needs, pull, err := use(o, s, stock, own, background, c)
	if err != nil {
		return out, err
	}
	out.AsIs, out.Needs, out.Pull, out.Best = as, needs, pull, []Use{as}
	o.metric = s.System.Metric
	lots := lotsOf(stock, c)
	type try struct {
		Use
		order Order
	}
	var tries []try
	seen := prints(o.Recipe)
	for _, w := range blockWidths(o, s, fixed) {
		for _, made := range methods(o.Recipe) {
			sized, err := o.Recipe.Resize(w)
			if err == nil {
				sized, err = sized.Made(made)
			}
			if err != nil {
				continue
			}
			next := o
			next.Recipe = sized
			columns, rows, _, _, err := next.fit()
			if err != nil {
				continue
			}
			wide, long := sized.TopSize(columns, rows)
			u := rawUse(lots, sized, [2]int{columns, rows}, s)
			u.In2 = seen * wide * long * u.cover
			u.Recipe = sized
			tries = append(tries, try{u, next})
			out.Reckoned++
		}
	}
	slices.SortStableFunc(tries, func(a, b try) int {
		switch {
		case a.better(b.Use):
			return -1
		case b.better(a.Use):
			return 1
		}
		near := func(u Use) float64 { return math.Abs(math.Log(u.Recipe.WidthIn / o.Recipe.WidthIn)) }
		return cmp.Compare(near(a.Use), near(b.Use))
	})
	pieces := 0
	for _, l := range lots {
		pieces += len(l.of)
	}
	most := mostWeigh
	if pieces > largeStash {
		most = fewWeigh
	}
	for _, t := range tries {
		if out.Weighed >= most {
			break
		}
		if t.Recipe.WidthIn == as.Recipe.WidthIn && recipe.AtATimeText(t.Recipe.AtATime) == recipe.AtATimeText(as.Recipe.AtATime) {
			continue
		}
		u, needs, pull, err := use(t.order, s, stock, own, background, c)
		if err != nil {
			return out, err
		}
		out.Weighed++
		if u.better(out.Best[0]) {
			out.Needs, out.Pull = needs, pull
		}
		out.Best = append(out.Best, u)
		slices.SortStableFunc(out.Best, func(a, b Use) int { return btoi(b.better(a)) - btoi(a.better(b)) })
	}
	out.Best = out.Best[:min(mostBest, len(out.Best))]
	return out, nil
}

// use cuts an order out of a stash, and says how well it uses the cloth.
func use(o Order, s Shop, stock []cloth.Holding, own []Pulled, background string, c cutting.Options) (Use, *Needs, Pull, error) {
	n, err := Need(o, s)
	if err != nil {
		return Use{}, nil, Pull{}, err
	}
	p, err := FromStash(n, stock, own, background, c)
	if err != nil {
		return Use{}, nil, Pull{}, err
	}
	u := Use{Recipe: o.Recipe, WidthIn: n.WidthIn, LengthIn: n.LengthIn}
	u.Wanted, u.Covered, _ = p.Totals()
	wanted, covered := 0.0, 0.0
	for i, w := range p.Wants {
		wanted += w.W * w.L * float64(w.Count)
		covered += w.W * w.L * float64(p.Cover.Covered[i])
	}
	for _, r := range p.Cover.Ready {
		u.AsTheyAre += r.Count
		u.ClothIn2 += float64(r.Count) * p.Stock[r.Stock].WidthIn * p.Stock[r.Stock].LengthIn
	}
	for _, d := range p.Cover.Cuts {
		u.ClothIn2 += d.Width * (d.Length + d.Trim)
		for _, r := range d.Remains {
			if r.Kept {
				u.ClothIn2 -= r.W * r.H
			}
		}
	}
	if wanted > 0 {
		u.cover = covered / wanted
		u.In2 = u.cover * patchArea(o.Recipe.QuiltLayout(n.Columns, n.Rows), background != "")
	}
	return u, n, p, nil
}

// patchArea is how much of a layout, without its borders, is of prints, and of the
// background too where that is cut from the stash; square inches.
func patchArea(l recipe.Top, background bool) (in2 float64) {
	for _, p := range l.Patches {
		if p.Kind != recipe.InBorder && (background || !p.Role.Background) {
			in2 += p.Polygon.Area()
		}
	}
	return in2
}

// prints is the share of a recipe's tops, nearly the same at any size, that is of prints.
func prints(r *recipe.Recipe) float64 {
	const some = 3
	wide, long := r.TopSize(some, some)
	return patchArea(r.QuiltLayout(some, some), false) / (wide * long)
}

// rawUse reckons how well lots serve a setting, by a simple way to cut.
func rawUse(lots []lot, r *recipe.Recipe, at [2]int, s Shop) (u Use) {
	wants, _ := wantsOf(r, at, s)
	cut := cutFrom(lots, wants, nil)
	wanted, short := 0.0, 0.0
	for i, w := range wants {
		wanted += w.W * w.L * float64(w.Count)
		short += w.W * w.L * float64(cut.short[i])
	}
	if wanted > 0 {
		u.cover = 1 - short/wanted
	}
	u.ClothIn2 = cut.area
	return u
}

// blockWidths are those tried of an order, inches: every one whose cells lie on marks of
// the ruler, or whole centimetres, from a third of its recipe's to three times, nearer
// where the number of blocks is given.
func blockWidths(o Order, s Shop, fixed bool) []float64 {
	width := o.Recipe.WidthIn
	if fixed {
		return []float64{width}
	}
	cells := float64(o.Recipe.Blocks[0].Columns)
	far := float64(scaled)
	if o.Blocks > 0 || o.Columns > 0 {
		far = nearWidth
	}
	least, most := max(width/far, cellLeast*min(cells, width/cellLeast)), max(width, min(blockMost, far*width))
	step := cellStep * cells
	if s.System.Metric {
		step = 10 / cloth.MMPerInch
	}
	for ways := len(methods(o.Recipe)); (most-least)/step*float64(ways) > mostTries; {
		step *= 2
	}
	out := []float64{width}
	for k := math.Ceil(least/step - 1e-9); k*step <= most+1e-9; k++ {
		if w := k * step; math.Abs(w-width) > 1e-6 {
			out = append(out, w)
		}
	}
	return out
}

// methods are the ways to make the units of a recipe so many at a time: nil, as it
// stands, and every one that differs.
func methods(r *recipe.Recipe) []map[recipe.Make]int {
	all := []map[recipe.Make]int{{}}
	for _, w := range r.Ways() {
		var more []map[recipe.Make]int
		for _, m := range all {
			for _, n := range w.AtATime {
				with := map[recipe.Make]int{w.Make: n}
				for k, v := range m {
					with[k] = v
				}
				more = append(more, with)
			}
		}
		all = more
	}
	out := []map[recipe.Make]int{nil}
	for _, m := range all {
		if slices.ContainsFunc(r.Blocks, func(b recipe.Block) bool {
			return slices.ContainsFunc(b.Units, func(u recipe.Unit) bool { return m[u.Make] > 0 && m[u.Make] != u.AtATime })
		}) {
			out = append(out, m)
		}
	}
	return out
}

// Words says of a use what block it has and how it is made: "block of 8¼, half-square 8 at
// a time".
func (u Use) Words(s recipe.System) string {
	words := "blocks of " + s.Format(s.Nearest(u.Recipe.WidthIn))
	for part := range strings.SplitSeq(recipe.AtATimeText(u.Recipe.AtATime), ",") {
		if name, n, ok := strings.Cut(part, "="); ok {
			words += fmt.Sprintf(", %s %s at a time", name, n)
		}
	}
	return words
}
