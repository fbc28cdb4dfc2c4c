package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/geom"
	"piecebag/internal/recipe"
)

// Use is how well a quilt uses the cloth of a stash.
type Use struct {
	Recipe            *recipe.Recipe // in its block width, its units made as many at a time
	WidthIn, LengthIn float64        // of the quilt, finished
	Wanted, Covered   int            // pieces that scraps can give
	AsTheyAre         int            // of those covered, taken without a cut
	// ClothIn2 is the cloth that is used up: what is pulled, less what goes back. In2 is
	// how much of it is in the patches, with their seam allowances; the rest is cut off.
	ClothIn2, In2 float64
	Cover         float64 // share of what scraps can give that the stash covers, by area, 0..1
	off           float64 // how far its block is from the recipe's width, as a logarithm
}

// Yield returns the share of the cloth used up that is in the patches with their seams, 0..1.
func (u Use) Yield() float64 {
	if u.ClothIn2 == 0 {
		return 0
	}
	return min(1, u.In2/u.ClothIn2)
}

// farther is how much larger the yield, a share 0..1, must be for a block twice or half as
// wide as its recipe's to be preferred; proportionally less for nearer widths (common
// practice, no source).
const farther = 0.15

// worth returns the yield, lowered for a block whose width is far from its recipe's.
func (u Use) worth() float64 { return u.Yield() - farther*u.off/math.Ln2 }

// asMuch is how much less may be covered, a share 0..1, and be as much as the most that is
// (common practice, no source).
const asMuch = 0.02

// byUse orders uses, the better first: those that cover as much as the most that is covered,
// by worth, then the others by what they cover. So none goes before another that covers
// more and cuts off less.
func byUse[T any](all []T, of func(T) Use) {
	most := 0.0
	for _, x := range all {
		most = max(most, of(x).Cover)
	}
	slices.SortStableFunc(all, func(a, b T) int {
		u, o := of(a), of(b)
		if u.Cover < most-asMuch || o.Cover < most-asMuch {
			return cmp.Or(cmp.Compare(o.Cover, u.Cover), u.compare(o))
		}
		return u.compare(o)
	})
}

func asUse(u Use) Use { return u }

// compare orders uses that cover as much, the better first: by worth, then the recipe's own
// way.
func (u Use) compare(o Use) int {
	const same = 1e-9
	if math.Abs(u.worth()-o.worth()) > same {
		return cmp.Compare(o.worth(), u.worth())
	}
	return cmp.Compare(len(u.Recipe.AtATime), len(o.Recipe.AtATime))
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

// SavedIn2 returns how much less cloth is cut off than of the recipe as it stands, for as much
// in the patches, square inches; 0 where either takes none.
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
	leastWeigh = 2   // of a quilt of many sizes, of which a plan takes seconds
	largeStash = 800 // pieces of cloth
	manySizes  = 20  // that are wanted
	mostBest   = 5   // that are told
)

// Choose is FromStash of an order in the block width and by the methods that cover most
// of it, and of those that use the cloth best, near to the recipe's width rather than far
// from it. With fixed the block keeps its width.
//
// All widths that the ruler has are reckoned by the simple way to cut that Ideas takes;
// the best of them are cut out. A square that is taken whole wastes nothing, so a
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
	cloths := ideaClothOf(stock, c)
	type try struct {
		Use
		order Order
	}
	var tries []try
	for _, w := range blockWidths(o, s, fixed) {
		for _, made := range methods(o.Recipe) {
			sized, err := o.Recipe.Resize(w)
			if err == nil {
				sized, err = sized.Made(made)
			}
			if err != nil || w != o.Recipe.WidthIn && !sized.ComesOut(s.System) { // it would not come out
				continue
			}
			next := o
			next.Recipe = sized
			columns, rows, _, _, err := next.fit()
			if err != nil {
				continue
			}
			wide, long := sized.TopSize(columns, rows)
			u := rawUse(cloths, sized, [2]int{columns, rows}, s)
			u.In2 = inPatches(sized, s) * wide * long * u.Cover
			u.Recipe, u.off = sized, math.Abs(math.Log(w/o.Recipe.WidthIn))
			tries = append(tries, try{u, next})
			out.Reckoned++
		}
	}
	byUse(tries, func(t try) Use { return t.Use })
	pieces := 0
	for _, l := range cloths.Lots {
		pieces += len(l.Of)
	}
	most := mostWeigh
	switch {
	case len(pull.Wants) > manySizes:
		most = leastWeigh
	case pieces > largeStash:
		most = fewWeigh
	}
	type cutOut struct {
		Needs *Needs
		Pull  Pull
	}
	plans := map[*recipe.Recipe]cutOut{}
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
		u.off = t.off
		out.Best = append(out.Best, u)
		plans[u.Recipe] = cutOut{needs, pull}
	}
	byUse(out.Best, asUse)
	if chosen, ok := plans[out.Best[0].Recipe]; ok {
		out.Needs, out.Pull = chosen.Needs, chosen.Pull
	}
	out.Best = out.Best[:min(mostBest, len(out.Best))]
	return out, nil
}

// use plans an order from a stash, and returns how well it uses the cloth.
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
		u.Cover = covered / wanted
		u.In2 = u.Cover * withSeams(o.Recipe, n.Columns, n.Rows, s, background != "")
	}
	return u, n, p, nil
}

// withSeams returns how much cloth is in the patches of prints that are cut piece by piece, of
// the background too where that is cut from the stash, each with its seam allowance;
// square inches.
func withSeams(r *recipe.Recipe, columns, rows int, s Shop, background bool) (in2 float64) {
	top := r.QuiltLayout(columns, rows)
	for _, c := range r.Pieces(top, recipe.Method{System: s.System, WOFIn: s.usableIn(), OneByOne: true}) {
		if c.Role.Background && !background {
			continue
		}
		for _, i := range c.Patches {
			in2 += grown(top.Patches[i].Polygon, s.System.Seam)
		}
	}
	return in2
}

// grown returns the area of a patch with a seam allowance all round, its corners left
// sharp: each adds the square of the seam times the cotangent of half its angle.
func grown(g geom.Polygon, seam float64) float64 {
	out := g.Area()
	for i, p := range g {
		before, after := g[(i+len(g)-1)%len(g)].Sub(p), g[(i+1)%len(g)].Sub(p)
		cross := math.Abs(before.X*after.Y - before.Y*after.X)
		angle := math.Atan2(cross, before.X*after.X+before.Y*after.Y)
		out += seam*math.Hypot(after.X, after.Y) + seam*seam/math.Tan(angle/2)
	}
	return out
}

// inPatches returns the share of a recipe's tops, nearly the same at any size, that is in the
// patches of prints with their seams.
func inPatches(r *recipe.Recipe, s Shop) float64 {
	const some = 2
	columns, rows := some, some
	if r.Setting.Columns > 0 {
		columns, rows = r.Setting.Columns, r.Setting.Rows
	}
	wide, long := r.TopSize(columns, rows)
	return withSeams(r, columns, rows, s, false) / (wide * long)
}

// rawUse estimates how well a stash serves a setting, by a simple way to cut.
func rawUse(cloths ideaCloth, r *recipe.Recipe, at [2]int, s Shop) (u Use) {
	cut := cloths.cutFor(r, at, s)
	wanted, short := 0.0, 0.0
	for i, w := range cut.wants {
		wanted += w.W * w.L * float64(w.Count)
		short += w.W * w.L * float64(cut.cut.Short[i])
	}
	if wanted > 0 {
		u.Cover = 1 - short/wanted
	}
	u.ClothIn2 = usedUp(cut.cut, cloths.Simply, cut.wants)
	return u
}

// blockWidths returns the block widths that are tried for an order, inches: every one whose
// cells lie on marks of the ruler, or whole centimetres, from a third of its recipe's to
// three times, nearer where the number of blocks is given.
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
		step = cmIn
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

// methods returns the ways to make the units of a recipe so many at a time: nil, as it
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

// Words says of a use how wide its blocks are and how they are made: "8¼, half-square
// triangles eight at a time".
func (u Use) Words(s recipe.System) string {
	words := s.Format(s.Nearest(u.Recipe.WidthIn))
	for _, w := range u.Recipe.Ways() {
		if n, ok := u.Recipe.AtATime[w.Make]; ok {
			words += ", " + atATime(w.Make, n)
		}
	}
	return words
}

// Differs says what of a use is otherwise than in another of the same recipe: "blocks of 8¼
// in place of 6, flying geese four at a time"; "" where nothing is.
func (u Use) Differs(from Use, s recipe.System) string {
	var words []string
	if is, was := s.Format(s.Nearest(u.Recipe.WidthIn)), s.Format(s.Nearest(from.Recipe.WidthIn)); is != was {
		words = append(words, fmt.Sprintf("blocks of %s in place of %s", is, was))
	}
	var ways []string
	for _, w := range u.Recipe.Ways() {
		n, ok := u.Recipe.AtATime[w.Make]
		if ok && slices.ContainsFunc(from.Recipe.Blocks, func(b recipe.Block) bool {
			return slices.ContainsFunc(b.Units, func(u recipe.Unit) bool { return u.Make == w.Make && u.AtATime != n })
		}) {
			ways = append(ways, atATime(w.Make, n))
		}
	}
	if len(ways) > 0 {
		words = append(words, strings.Join(ways, " and "))
	}
	return strings.Join(words, ", ")
}

// atATime says how many units of a technique are made at a time.
func atATime(m recipe.Make, n int) string {
	what := map[recipe.Make]string{recipe.HalfSquare: "half-square triangles", recipe.FlyingGeese: "flying geese"}[m]
	return fmt.Sprintf("%s %s at a time", cmp.Or(what, string(m)), cloth.NumberWord(n))
}
