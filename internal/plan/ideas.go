package plan

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// Idea is a quilt whose prints a stash covers: a recipe at a block width, in the largest
// setting of a quilt's shape that was found for it. The background is bought.
type Idea struct {
	Needs *Needs
	// Cloth are the pieces of cloth that it may be cut from, by the names of its roles: a
	// holding as often as pieces of it are taken, each for one size alone.
	Cloth map[string][]int64
	Taken int // pieces of cloth
	Full  int // of those, in overfull colours
	// Bound tells whether strips that are left are enough to join its binding from.
	Bound bool
	// Next is the next larger bed, and Lacking the pieces that the stash may lack for it:
	// cut as thriftily as can be it may lack fewer. Nil: there is none.
	Next    *Bed
	Lacking []Gap
}

// The shapes and sizes of quilts that are tried. Lengths are inches.
const (
	ideaLeast = 18  // of a side: a small wall quilt
	ideaMost  = 110 // the largest bed
	blockMost = 20
	scaled    = 3 // times wider or narrower than the recipe has it
)

// cellWidths are the finished cell widths that are tried, inches: usual cuts less half an
// inch for the seams, and halves of these.
var cellWidths = []float64{1, 1.25, 1.5, 2, 2.5, 3, 4, 4.5, 6, 8, 9.5}

// Found are the quilts of some recipes that a stash covers now.
type Found struct {
	Ideas []Idea // the first few
	More  int    // others, which are not told
	None  []Unmade
}

// Unmade is a recipe of which a stash covers no quilt, and what it lacks for one block, or,
// where it covers that, for the smallest quilt.
type Unmade struct {
	Recipe        *recipe.Recipe
	Columns, Rows int
	Lacking       []Gap
}

// Ideas returns the quilts of some recipes that a stash covers now, so many at most; 0: all.
// Of the block widths of a recipe the one is taken that gives the largest quilt, of those as
// large the one that cuts off least: so more cloth never makes a smaller quilt. First come those
// that use the most of overfull colours, then the largest.
//
// That the stash covers one is shown by a simple way to cut it, each piece of cloth into
// one size; a thriftier way may cover a larger one.
func Ideas(recipes []*recipe.Recipe, stock []cloth.Holding, s Shop, o cutting.Options, most int) (out Found, err error) {
	s.OneByOne = true
	cloths := ideaClothOf(stock, o)
	full, overfull := Overfull(stock), map[int64]bool{}
	for _, h := range stock {
		overfull[h.ID] = full[shelf.Alike{Family: h.Family, Value: h.Value}]
	}
	var all []rough
	for _, r := range recipes {
		best, ok := roughOf(r, cloths, s)
		if !ok {
			out.None = append(out.None, unmade(r, cloths, s))
			continue
		}
		for _, ids := range best.taken() {
			for _, id := range ids {
				best.full += btoi(overfull[id])
			}
		}
		all = append(all, best)
	}
	slices.SortStableFunc(all, rough.compare)
	if most > 0 && len(all) > most {
		all, out.More = all[:most], len(all)-most
	}
	for _, r := range all {
		n, err := Need(Order{Recipe: r.Recipe, Columns: r.columns, Rows: r.rows}, s)
		if err != nil {
			return out, err
		}
		i := Idea{Needs: n, Full: r.full, Cloth: map[string][]int64{}}
		for role, ids := range r.taken() {
			i.Cloth[role] = ids
			i.Taken += len(ids)
		}
		i.Bound = i.bindable(stock, o)
		if err := i.next(cloths); err != nil {
			return out, err
		}
		out.Ideas = append(out.Ideas, i)
	}
	return out, nil
}

// unmade says what a stash lacks of a recipe at the width of block that it has.
func unmade(r *recipe.Recipe, cloths ideaCloth, s Shop) Unmade {
	out := Unmade{Recipe: r, Columns: 1, Rows: 1}
	if r.Setting.Columns > 0 {
		out.Columns, out.Rows = r.Setting.Columns, r.Setting.Rows
	}
	out.Lacking = gapsOf(r, [2]int{out.Columns, out.Rows}, cloths, s)
	if least := settingsOf(r); out.Lacking == nil && len(least) > 0 {
		out.Columns, out.Rows = least[0].columns, least[0].rows
		out.Lacking = gapsOf(r, [2]int{out.Columns, out.Rows}, cloths, s)
	}
	return out
}

// Overfull returns the colours and values of which a stash holds more than twice the pieces
// of the middle one that it holds: the counterpart of thin.
func Overfull(stock []cloth.Holding) map[shelf.Alike]bool {
	counts := map[shelf.Alike]int{}
	for _, h := range stock {
		if h.Form != cloth.Weighed && h.Family != "" && h.Value != "" {
			counts[shelf.Alike{Family: h.Family, Value: h.Value}] += h.Count
		}
	}
	middle := shelf.MiddleCount(slices.Sorted(maps.Values(counts)))
	out := map[shelf.Alike]bool{}
	for a, n := range counts {
		if float64(n) > 2*middle {
			out[a] = true
		}
	}
	return out
}

// rough is a quilt that a stash covers, as far as it is estimated.
type rough struct {
	*recipe.Recipe
	setting
	simpleCut
	shop Shop
	used float64 // cloth that is used up, square inches
	full int     // pieces of cloth in overfull colours
}

func (r rough) compare(o rough) int {
	return cmp.Or(cmp.Compare(o.full, r.full), cmp.Compare(o.area(), r.area()))
}

// yield returns the share of the cloth used up that is in its patches, with their seams.
func (r rough) yield() float64 {
	wide, long := r.TopSize(r.columns, r.rows)
	return Use{ClothIn2: r.used, In2: inPatches(r.Recipe, r.shop) * wide * long}.Yield()
}

// taken lists the cloth that is taken, by role: each holding as often as pieces of it are.
func (c simpleCut) taken() map[string][]int64 {
	out := map[string][]int64{}
	for _, g := range c.cut.Gives {
		role := c.wants[g.Want].Role
		out[role] = append(out[role], g.IDs...)
	}
	for _, x := range c.scraps {
		for _, p := range x.Pulled {
			out[x.Role.Name] = append(out[x.Role.Name], slices.Repeat([]int64{p.ID}, p.Count)...)
		}
	}
	return out
}

// covers reports whether nothing lacks, and something is taken.
func (c simpleCut) covers() bool {
	return c.cut.Covers() && len(c.cut.Gives)+len(c.scraps) > 0 && !slices.ContainsFunc(c.scraps, func(x Scraps) bool { return x.ShortIn2() > 0 })
}

// ideaCloth is a stash that quilts are cut from simply.
type ideaCloth struct {
	*cutting.Simply
	scraps []cloth.Holding // that strings and crumbs may come from, in the order they are taken
}

func ideaClothOf(stock []cloth.Holding, o cutting.Options) ideaCloth {
	c := ideaCloth{Simply: cutting.NewSimply(stock, o)}
	for _, h := range stock {
		if isScrap(h, false) {
			c.scraps = append(c.scraps, h)
		}
	}
	slices.SortStableFunc(c.scraps, compareScraps)
	return c
}

// simpleCut is what a setting asks of a stash, and how that is cut.
type simpleCut struct {
	wants  []cutting.Want
	roles  []recipe.Role // of each of wants
	cut    cutting.Simple
	scraps []Scraps // strings and crumbs, of what the rest leaves
}

func (c ideaCloth) cutFor(r *recipe.Recipe, at [2]int, s Shop) (out simpleCut) {
	how := recipe.Method{System: s.System, WOFIn: s.usableIn(), OneByOne: true}
	n := &Needs{Recipe: r, Shop: s, Columns: at[0], Rows: at[1], Cuts: r.TopCuts(at[0], at[1], how)}
	out.wants, out.roles = wantsOf(n.Cuts, r.Sets(at[0], at[1], how))
	out.cut = c.Cut(out.wants)
	if !slices.ContainsFunc(n.Cuts, func(l recipe.Lot) bool { return l.AnyIn2 > 0 }) {
		return out
	}
	p := Pull{Needs: n, Cover: cutting.Cover{Pulls: []cutting.PullList{{}}}}
	for _, g := range out.cut.Gives {
		for _, id := range g.IDs {
			p.Cover.Pulls[0].Lines = append(p.Cover.Pulls[0].Lines, cutting.PullLine{ID: id, Count: 1})
		}
	}
	p.scraps(c.scraps, nil, "")
	out.scraps = p.Scraps
	return out
}

// usedUp returns the cloth that is used up where it is cut simply, square inches.
func usedUp(cut cutting.Simple, cloths *cutting.Simply, wants []cutting.Want) (in2 float64) {
	for _, g := range cut.Gives {
		in2 += float64(len(g.IDs)) * cloths.Lots[g.Lot].UsedUp(wants[g.Want].W, wants[g.Want].L)
	}
	return in2
}

// bestOf is the quilt of one recipe's widths that serves best: the largest, of those as large,
// to the square inch, the one that cuts off the least. What nearly as large a quilt cuts off
// must not count: cloth that is added changes it, and would make the quilt smaller.
func bestOf(widths []rough) rough {
	return slices.MaxFunc(widths, func(a, b rough) int {
		return cmp.Or(cmp.Compare(math.Round(a.area()), math.Round(b.area())), cmp.Compare(a.yield(), b.yield()))
	})
}

// What is hardly worth sewing, inches: a patch with a side of less, finished, is mostly
// seam, and a foundation of less holds few strings; a quilt has so many blocks of several
// patches at most, and so many of one (common practice, no source). What a recipe itself
// has is not asked.
const (
	leastPatch      = 0.75
	leastFoundation = 5
	mostPieced      = 400
	mostPlain       = 1600
)

// sewable reports whether the blocks of a recipe are worth sewing in the width they have.
func sewable(r *recipe.Recipe, s Shop) bool {
	return r.NarrowestIn() >= leastPatch-1e-6 && !slices.ContainsFunc(r.Foundations(1, 1, s.System), func(f recipe.SizeCount) bool {
		return f.WidthIn-2*s.System.Seam < leastFoundation-1e-6
	})
}

// roughOf estimates the best block width of a recipe.
func roughOf(r *recipe.Recipe, cloths ideaCloth, s Shop) (best rough, ok bool) {
	widths := []float64{r.WidthIn}
	for _, c := range cellWidths {
		w := c * float64(r.Blocks[0].Columns)
		if s.System.Metric {
			w = math.Round(w*2.54) / 2.54
		}
		if w >= r.WidthIn/scaled && w <= min(blockMost, scaled*r.WidthIn) && !slices.Contains(widths, w) {
			widths = append(widths, w)
		}
	}
	var all []rough
	for k, w := range widths {
		sized, err := r.Resize(w)
		if err != nil || k > 0 && (!sewable(sized, s) || !sized.ComesOut(s.System)) { // a block of this width cannot be cut, or is not worth it
			continue
		}
		if x, fits := largest(sized, cloths, s); fits {
			all = append(all, x)
		}
	}
	if len(all) == 0 {
		return best, false
	}
	return bestOf(all), true
}

// aheadTried are the settings tried beyond the largest that was found: those of another
// shape may ask for less though they are larger.
const aheadTried = 8

// largest estimates the largest setting of a recipe that a stash covers.
func largest(r *recipe.Recipe, cloths ideaCloth, s Shop) (best rough, ok bool) {
	all := settingsOf(r)
	covered := func(at int) bool {
		x := rough{Recipe: r, setting: all[at], shop: s}
		if x.simpleCut = cloths.cutFor(r, [2]int{x.columns, x.rows}, s); !x.covers() {
			return false
		}
		best, ok = x, true
		return true
	}
	low, high := -1, len(all) // covered, and not
	for high-low > 1 {
		if mid := (low + high) / 2; covered(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	for at := high + 1; at < min(high+aheadTried, len(all)); at++ {
		covered(at)
	}
	best.used = usedUp(best.cut, cloths.Simply, best.wants)
	for _, x := range best.scraps {
		best.used += x.GivenIn2
	}
	return best, ok
}

// setting is how many blocks a quilt has, and its size with its borders, inches.
type setting struct {
	columns, rows int
	wide, long    float64
}

func (s setting) area() float64 { return s.wide * s.long }

// longest is how many times longer than wide a quilt is at most: beds are up to 1.5 times.
const longest = 1.6

// settingsOf returns those of a quilt's shape, from square to 1.6 times as long as wide, from
// small to large.
func settingsOf(r *recipe.Recipe) (out []setting) {
	of := func(columns, rows int) setting {
		w, l := r.QuiltSize(columns, rows)
		return setting{columns, rows, w, l}
	}
	if s := r.Setting; s.Columns > 0 {
		return []setting{of(s.Columns, s.Rows)}
	}
	most := mostPieced
	if len(r.Blocks) == 1 && len(r.Blocks[0].Units) == 1 && r.Blocks[0].Units[0].Make == recipe.Plain {
		most = mostPlain
	}
	step := 1 + btoi(r.Setting.Odd)
	for c := 1; ; c += step {
		if of(c, 1).wide > ideaMost || r.BlockCount(c, 1) > most {
			break
		}
		for n := 1; ; n += step {
			x := of(c, n)
			if x.long > min(ideaMost, longest*x.wide) || r.BlockCount(c, n) > most {
				break
			}
			if x.wide >= ideaLeast && x.long >= x.wide {
				out = append(out, x)
			}
		}
	}
	shape := func(s setting) float64 { return math.Abs(math.Log(s.long / s.wide / 1.25)) }
	slices.SortStableFunc(out, func(a, b setting) int {
		if k := cmp.Compare(math.Round(a.area()), math.Round(b.area())); k != 0 {
			return k
		}
		return cmp.Compare(shape(b), shape(a)) // of one size the one nearest 4 to 5 is tried last
	})
	return out
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// ideaScrap is the size in which strings and crumbs that lack are counted in ideas, inches
// (common practice, no source).
var ideaScrap = [2]float64{1.5, 6}

// wantsOf returns the pieces of prints among cuts, and their roles.
func wantsOf(cuts []recipe.Lot, sets []recipe.Set) (wants []cutting.Want, roles []recipe.Role) {
	for _, c := range cuts {
		if c.AnyIn2 > 0 || c.LengthIn == 0 || c.Role.Background {
			continue
		}
		for _, w := range wantsFor(c, sets, "", nil) {
			wants, roles = append(wants, w), append(roles, c.Role)
		}
	}
	return wants, roles
}

// gapsOf returns what a stash may lack for a setting; nil: nothing.
func gapsOf(r *recipe.Recipe, at [2]int, cloths ideaCloth, s Shop) (out []Gap) {
	c := cloths.cutFor(r, at, s)
	for k, w := range c.wants {
		if n := c.cut.Short[k]; n > 0 {
			out = append(out, Gap{Sought: SoughtFor(c.roles[k], r.Name), WidthIn: w.W, LengthIn: w.L, Pieces: n, Set: w.Set, Each: w.Each})
		}
	}
	for _, x := range c.scraps {
		if short := x.ShortIn2(); short > 0 {
			n := int(math.Ceil(short / (ideaScrap[0] * ideaScrap[1])))
			out = append(out, Gap{Sought: SoughtFor(x.Role, r.Name), WidthIn: ideaScrap[0], LengthIn: ideaScrap[1], Pieces: n})
		}
	}
	return out
}

// next notes what the stash may lack for the next larger bed.
func (i *Idea) next(cloths ideaCloth) error {
	n := i.Needs
	for k := range Beds {
		b := &Beds[k]
		if b.Metric != n.Shop.System.Metric || b.Width*b.Length <= n.WidthIn*n.LengthIn {
			continue
		}
		larger, _ := Order{Recipe: n.Recipe, Bed: b.Name}.grown()
		columns, rows, _, _, err := larger.fit()
		if err != nil {
			return err
		}
		gaps := gapsOf(larger.Recipe, [2]int{columns, rows}, cloths, n.Shop)
		if gaps == nil { // of another shape it is covered too
			continue
		}
		i.Next, i.Lacking = b, gaps
		return nil
	}
	return nil
}
