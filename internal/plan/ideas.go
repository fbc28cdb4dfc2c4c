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

// Ideas returns the quilts of some recipes that a stash covers now, each in the block width
// that gives the largest quilt, or nearly so and the least waste; those that use the most
// of overfull colours first, then the largest.
//
// That the stash covers one is shown by a simple way to cut it, each piece of cloth into
// one size; a thriftier way may cover a larger one.
func Ideas(recipes []*recipe.Recipe, stock []cloth.Holding, s Shop, o cutting.Options) ([]Idea, error) {
	s.OneByOne = true
	lots := lotsOf(stock, o)
	full := Overfull(stock)
	var all []rough
	for _, r := range recipes {
		if best, ok := roughOf(r, lots, full, s); ok {
			all = append(all, best)
		}
	}
	slices.SortStableFunc(all, rough.compare)
	out := make([]Idea, len(all))
	for k, r := range all {
		at := r.settings[r.at]
		n, err := Need(Order{Recipe: r.Recipe, Columns: at[0], Rows: at[1]}, s)
		if err != nil {
			return nil, err
		}
		wants, _ := wantsOf(r.Recipe, at, s)
		cut := cutFrom(lots, wants, full)
		out[k] = Idea{Needs: n, Cloth: cut.cloth, Taken: cut.taken, Full: cut.full}
		out[k].Bound = out[k].bindable(stock, o)
		if err := out[k].next(lots); err != nil {
			return nil, err
		}
	}
	return out, nil
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

// lot is cloth alike in all that a want asks for.
type lot struct {
	cloth.Holding          // the first
	of            []int64  // holdings, each as often as it has pieces
	prints        []string // of each of them
	loss          float64  // squared off its end, inches
}

// lotsOf groups a stash into lots, the smallest cloth first, and leaves out cloth of
// unknown size.
func lotsOf(stock []cloth.Holding, o cutting.Options) []lot {
	type key struct {
		form         cloth.Form
		alike        shelf.Alike
		wide, length float64
	}
	at := map[key]int{}
	var out []lot
	for _, h := range stock {
		if !(h.WidthIn > 0 && h.LengthIn > 0) || h.Form == cloth.Weighed {
			continue
		}
		k := key{h.Form, shelf.Alike{Family: h.Family, Value: h.Value}, h.WidthIn, h.LengthIn}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			x := lot{Holding: h}
			switch h.Form {
			case cloth.Strip:
				x.loss = max(0, cmp.Or(o.Trim, shelf.DefaultTrim))
			case cloth.Irregular:
				x.WidthIn, x.LengthIn = cutting.SureShare*h.WidthIn, cutting.SureShare*h.LengthIn
			}
			out = append(out, x)
		}
		out[i].of = append(out[i].of, slices.Repeat([]int64{h.ID}, h.Count)...)
		out[i].prints = append(out[i].prints, slices.Repeat([]string{h.Print}, h.Count)...)
	}
	slices.SortStableFunc(out, func(a, b lot) int { return cmp.Compare(a.WidthIn*a.LengthIn, b.WidthIn*b.LengthIn) })
	return out
}

// yield returns how many pieces of a size one piece of the lot gives.
func (l lot) yield(w, h float64) int {
	return max(shelf.Yield(l.WidthIn, l.LengthIn, w, h, l.loss), shelf.Yield(l.WidthIn, l.LengthIn, h, w, l.loss))
}

// usedUp returns how much of one piece of the lot is gone once it is cut into pieces of a
// size, square inches: all but what is large enough to go back.
func (l lot) usedUp(w, h float64) float64 {
	if shelf.Yield(l.WidthIn, l.LengthIn, h, w, l.loss) > shelf.Yield(l.WidthIn, l.LengthIn, w, h, l.loss) {
		w, h = h, w
	}
	const slack = 1e-6 // inches, of lengths converted from millimetres
	long := l.LengthIn - l.loss
	across, along := math.Floor((l.WidthIn+slack)/w)*w, math.Floor((long+slack)/h)*h
	used := l.WidthIn * l.LengthIn
	if cutting.GoesBack(l.WidthIn-across, long) {
		used -= (l.WidthIn - across) * long
	}
	if cutting.GoesBack(long-along, across) {
		used -= (long - along) * across
	}
	return used
}

// rough is a quilt that a stash may cover, as far as it is estimated.
type rough struct {
	*recipe.Recipe
	settings [][2]int // columns and rows, from small to large
	at       int      // the largest of them that may be covered
	full     int
	area     float64 // of the quilt, square inches
	used     float64 // cloth that is used up, square inches
	shop     Shop
}

func (r rough) compare(o rough) int {
	return cmp.Or(cmp.Compare(o.full, r.full), cmp.Compare(o.area, r.area))
}

// yield returns the share of the cloth used up that is in its patches, with their seams.
func (r rough) yield() float64 {
	wide, long := r.TopSize(r.settings[r.at][0], r.settings[r.at][1])
	return Use{ClothIn2: r.used, In2: inPatches(r.Recipe, r.shop) * wide * long}.Yield()
}

// better reports whether a block width serves a recipe better than another: by the quilt
// it gives, where one is a good deal larger, then by what is left over.
func (r rough) better(o rough) bool {
	if k := r.area / o.area; k > clearlyLarger || k < 1/clearlyLarger {
		return k > 1
	}
	return r.yield() > o.yield()
}

// clearlyLarger is from how many times its area a larger quilt is preferred in spite of
// more waste.
const clearlyLarger = 1.2

// roughOf estimates the best block width of a recipe.
func roughOf(r *recipe.Recipe, lots []lot, full map[shelf.Alike]bool, s Shop) (best rough, ok bool) {
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
	for _, w := range widths {
		sized, err := r.Resize(w)
		if err != nil { // a block of this width cannot be cut
			continue
		}
		if x, fits := largest(sized, lots, full, s); fits && (!ok || x.better(best)) {
			best, ok = x, true
		}
	}
	return best, ok
}

// largest estimates the largest setting of a recipe that lots cover.
func largest(r *recipe.Recipe, lots []lot, full map[shelf.Alike]bool, s Shop) (x rough, ok bool) {
	x = rough{Recipe: r, settings: settingsOf(r)}
	low, high := -1, len(x.settings) // covered, and not
	for high-low > 1 {
		mid := (low + high) / 2
		wants, _ := wantsOf(r, x.settings[mid], s)
		if cut := cutFrom(lots, wants, full); cut.taken > 0 && cut.short == nil {
			low, x.full, x.used = mid, cut.full, cut.area
		} else {
			high = mid
		}
	}
	if low < 0 {
		return x, false
	}
	x.at = low
	wide, long := r.QuiltSize(x.settings[low][0], x.settings[low][1])
	x.area = wide * long
	x.shop = s
	return x, true
}

// settingsOf returns the settings with the shape of a quilt, square or 4 to 5, from small
// to large.
func settingsOf(r *recipe.Recipe) [][2]int {
	if s := r.Setting; s.Columns > 0 {
		return [][2]int{{s.Columns, s.Rows}}
	}
	var out [][2]int
	odd := func(n int) int { return n + (1-n%2)*btoi(r.Setting.Odd) }
	for c := 1; ; c++ {
		if odd(c) != c {
			continue
		}
		for _, shape := range []float64{1, 1.25} {
			wide, _ := r.QuiltSize(c, 1)
			rows := 1
			for _, l := r.QuiltSize(c, rows); l < shape*wide; rows++ { // the nearest to that shape
				_, next := r.QuiltSize(c, rows+1)
				if next-shape*wide > shape*wide-l {
					break
				}
				l = next
			}
			at := [2]int{c, odd(rows)}
			w, l := r.QuiltSize(at[0], at[1])
			if w > ideaMost || r.BlockCount(at[0], at[1]) > maxBlocks {
				return out
			}
			if w >= ideaLeast && l <= ideaMost && (len(out) == 0 || out[len(out)-1] != at) {
				out = append(out, at)
			}
		}
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// ideaScrap is the string or crumb by which cloth of any width is reckoned in ideas,
// inches (common practice, no source).
var ideaScrap = [2]float64{1.5, 6}

// wantsOf returns the pieces of prints of a setting, and their roles.
func wantsOf(r *recipe.Recipe, at [2]int, s Shop) (wants []cutting.Want, roles []recipe.Role) {
	how := recipe.Method{System: s.System, WOFIn: s.usableIn(), OneByOne: true}
	sets := r.Sets(at[0], at[1], how)
	for _, c := range r.TopCuts(at[0], at[1], how) {
		if c.AnyIn2 > 0 {
			c.WidthIn, c.LengthIn = ideaScrap[0], ideaScrap[1]
			c.Count = int(math.Ceil(c.AnyIn2 / (c.WidthIn * c.LengthIn)))
		}
		if c.LengthIn == 0 || c.Role.Background {
			continue
		}
		for _, w := range wantsFor(c, sets, "", nil) {
			wants, roles = append(wants, w), append(roles, c.Role)
		}
	}
	return wants, roles
}

// cutSo is a simple way to cut wants.
type cutSo struct {
	cloth       map[string][]int64 // by role
	taken, full int                // pieces of cloth; of those in overfull colours
	short       map[int]int        // of wants, how many pieces are lacking; nil: none
	area        float64            // of the cloth that is used up, square inches
}

// cutFrom cuts lots into wants: sets first, each from one print, then the rest.
func cutFrom(lots []lot, wants []cutting.Want, full map[shelf.Alike]bool) cutSo {
	var kinds []int
	var loose []int
	for i, w := range wants {
		switch {
		case w.Set == 0:
			loose = append(loose, i)
		case !slices.Contains(kinds, w.Set):
			kinds = append(kinds, w.Set)
		}
	}
	out := cutSo{cloth: map[string][]int64{}}
	for _, kind := range kinds {
		lots = out.cutSets(lots, wants, kind, full)
	}
	out.add(cutLoose(lots, wants, loose, full))
	return out
}

// cutSets cuts lots into the sets of a kind, as many of each print as it gives, and gives
// the lots that are left.
func (c *cutSo) cutSets(lots []lot, wants []cutting.Want, kind int, full map[shelf.Alike]bool) []lot {
	var of []int
	left := 0 // sets
	for i, w := range wants {
		if w.Set == kind {
			of, left = append(of, i), w.Count/w.Each
		}
	}
	gives := func(l lot, i int) int { // pieces that one of a lot gives
		if !suits(wants[i], l) {
			return 0
		}
		return l.yield(wants[i].W, wants[i].L)
	}
	fit := slices.DeleteFunc(slices.Clone(lots), func(l lot) bool {
		return !slices.ContainsFunc(of, func(i int) bool { return gives(l, i) > 0 })
	})
	times := func(n int) []cutting.Want {
		some := slices.Clone(wants)
		for _, i := range of {
			some[i].Count = n * some[i].Each
		}
		return some
	}
	taken := map[int64]int{}
	for _, one := range byPrint(fit) {
		most := left
		for _, i := range of {
			n := 0
			for _, l := range one {
				n += len(l.of) * gives(l, i)
			}
			most = min(most, n/wants[i].Each)
		}
		var best cutSo
		n := 0
		if most > 0 && len(of) == 1 { // nothing else takes of it
			best, n = cutLoose(one, times(most), of, full), most
		}
		for n < most {
			more := cutLoose(one, times(n+1), of, full)
			if more.short != nil {
				break
			}
			best = more
			n++
		}
		if n == 0 {
			continue
		}
		left -= n
		c.add(best)
		for _, ids := range best.cloth {
			for _, id := range ids {
				taken[id]++
			}
		}
	}
	if left > 0 {
		if c.short == nil {
			c.short = map[int]int{}
		}
		for _, i := range of {
			c.short[i] = left * wants[i].Each
		}
	}
	rest := slices.Clone(lots)
	for k, l := range rest {
		rest[k].of, rest[k].prints = nil, nil
		for n, id := range l.of {
			if taken[id] > 0 {
				taken[id]--
				continue
			}
			rest[k].of, rest[k].prints = append(rest[k].of, id), append(rest[k].prints, l.prints[n])
		}
	}
	return rest
}

// byPrint divides lots by print; each piece of cloth of no known print stands by itself.
func byPrint(lots []lot) (out [][]lot) {
	at := map[string]int{}
	for _, l := range lots {
		for n, id := range l.of {
			print := l.prints[n]
			i, ok := at[print]
			if print == "" || !ok {
				i = len(out)
				at[print] = i
				out = append(out, nil)
			}
			if k := len(out[i]) - 1; k >= 0 && out[i][k].alike(l) {
				out[i][k].of = append(out[i][k].of, id)
				continue
			}
			one := l
			one.of, one.prints = []int64{id}, nil
			out[i] = append(out[i], one)
		}
	}
	return out
}

// alike reports whether two lots are of one form, colour and size.
func (l lot) alike(o lot) bool {
	return l.Form == o.Form && l.Family == o.Family && l.Value == o.Value && l.WidthIn == o.WidthIn && l.LengthIn == o.LengthIn
}

func (c *cutSo) add(o cutSo) {
	for role, ids := range o.cloth {
		c.cloth[role] = append(c.cloth[role], ids...)
	}
	c.taken, c.full, c.area = c.taken+o.taken, c.full+o.full, c.area+o.area
	if c.short == nil {
		c.short = o.short
	} else {
		maps.Copy(c.short, o.short)
	}
}

// cutLoose cuts lots into some wants that match nothing, those that the lots could give the
// fewest times over first, each from what is that size, then from the smallest cloth. A
// want that comes out short is tried before the others.
func cutLoose(lots []lot, wants []cutting.Want, order []int, full map[shelf.Alike]bool) cutSo {
	could := make([]float64, len(wants))
	order = slices.Clone(order)
	for _, i := range order {
		w := wants[i]
		for _, l := range lots {
			if suits(w, l) {
				could[i] += float64(len(l.of)*l.yield(w.W, w.L)) / float64(w.Count)
			}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(could[a], could[b]) })
	first := cutInOrder(lots, wants, order, full)
	for next, tried := first, map[int]bool{}; len(order) > 0 && could[order[0]] >= 1; {
		i := slices.IndexFunc(order, func(i int) bool { return next.short[i] > 0 && !tried[i] })
		if i < 0 {
			break
		}
		tried[order[i]] = true
		order = slices.Insert(slices.Delete(slices.Clone(order), i, i+1), 0, order[i])
		if next = cutInOrder(lots, wants, order, full); next.short == nil {
			return next
		}
	}
	return first
}

func cutInOrder(lots []lot, wants []cutting.Want, order []int, full map[shelf.Alike]bool) cutSo {
	out := cutSo{cloth: map[string][]int64{}}
	used := make([]int, len(lots))
	for _, i := range order {
		w := wants[i]
		for _, asItIs := range []bool{true, false} {
			for k, l := range lots {
				if w.Count == 0 {
					break
				}
				each := l.yield(w.W, w.L)
				if used[k] == len(l.of) || each == 0 || !suits(w, l) || cutting.AsItIs(w, l.Holding) != asItIs {
					continue
				}
				n := min(len(l.of)-used[k], (w.Count+each-1)/each)
				out.cloth[w.Role] = append(out.cloth[w.Role], l.of[used[k]:used[k]+n]...)
				used[k] += n
				out.area += float64(n) * l.usedUp(w.W, w.L)
				w.Count = max(0, w.Count-n*each)
				out.taken += n
				if full[shelf.Alike{Family: l.Family, Value: l.Value}] {
					out.full += n
				}
			}
		}
		if w.Count > 0 {
			if out.short == nil {
				out.short = map[int]int{}
			}
			out.short[i] = w.Count
		}
	}
	return out
}

func suits(w cutting.Want, l lot) bool {
	return (w.Families == nil || slices.Contains(w.Families, l.Family)) && (w.Values == nil || slices.Contains(w.Values, l.Value))
}

// next notes what the stash may lack for the next larger bed.
func (i *Idea) next(lots []lot) error {
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
		wants, roles := wantsOf(larger.Recipe, [2]int{columns, rows}, n.Shop)
		cut := cutFrom(lots, wants, nil)
		if cut.short == nil { // of another shape it is covered too
			continue
		}
		i.Next = b
		for k, w := range wants {
			if cut.short[k] > 0 {
				i.Lacking = append(i.Lacking, Gap{Sought: SoughtFor(roles[k], n.Recipe.Name), WidthIn: w.W, LengthIn: w.L, Pieces: cut.short[k], Set: w.Set, Each: w.Each})
			}
		}
		return nil
	}
	return nil
}
