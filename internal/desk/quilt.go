package desk

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/stash"
)

// Quilt is a plan that is kept, in a line.
type Quilt struct {
	Name              string
	At                time.Time
	Recipe            string
	WidthIn, LengthIn float64
	Pulled            int             // pieces of the stash
	Lacks             int             // pieces that the stash had none for
	LacksAny          []plan.AnyShort // what strings and crumbs lack beside those
	// Laid counts the pieces that have their place, Stages those of each stage.
	Laid   int
	Stages map[plan.Stage]int
}

// Lacking returns in words what the stash had no cloth for: "3", "3 and 1 handful of
// strings"; empty where nothing is missing.
func (q Quilt) Lacking() string {
	var out []string
	if q.Lacks > 0 {
		out = append(out, fmt.Sprint(q.Lacks))
	}
	for _, s := range q.LacksAny {
		out = append(out, s.String())
	}
	return strings.Join(out, " and ")
}

// Quilts lists the plans that are kept, by name.
func (d *Desk) Quilts(ctx context.Context) ([]Quilt, error) {
	st, err := d.reading()
	if st == nil || err != nil {
		return nil, err
	}
	kept, err := plannedQuilts(ctx, st)
	if err != nil {
		return nil, err
	}
	var out []Quilt
	for _, k := range kept {
		q := Quilt{Name: k.quilt, At: k.at, Recipe: k.Recipe, WidthIn: k.WidthIn, LengthIn: k.LengthIn, Stages: map[plan.Stage]int{}, LacksAny: k.AnyShort}
		for _, p := range k.Pulled {
			q.Pulled += p.Count
		}
		for _, g := range k.Gaps {
			q.Lacks += g.Pieces
		}
		if k.Laid != nil {
			for _, p := range k.Laid.Pieces {
				if p.Holding > 0 || p.Stage == plan.SewnStage {
					q.Laid++
				}
				q.Stages[p.Stage]++
			}
		}
		out = append(out, q)
	}
	return out, nil
}

// kept opens the stash, and finds a plan that is kept in it.
func kept(ctx context.Context, open func() (*stash.Stash, error), name string) (*stash.Stash, planned, error) {
	st, err := open()
	if err != nil {
		return nil, planned{}, err
	}
	q, err := keptQuilt(ctx, st, name)
	return st, q, err
}

// keptQuilt finds a plan that is kept by its name, as one writes it.
func keptQuilt(ctx context.Context, st *stash.Stash, name string) (planned, error) {
	all, err := plannedQuilts(ctx, st)
	if err != nil {
		return planned{}, err
	}
	name = stash.CleanName(name)
	var names []string
	for _, q := range all {
		if q.quilt == name {
			return q, nil
		}
		names = append(names, q.quilt)
	}
	return planned{}, noSuchPlan(name, names)
}

// LayAgain is r, asked of a quilt that is kept: that quilt, by the rules that it was laid out
// by, and kept under its name where r names no other. Its look and seed are those it was
// laid out with where r has none. Errors: ErrNoPlan.
func (d *Desk) LayAgain(ctx context.Context, name string, r ArrangeRequest) (ArrangeRequest, error) {
	_, q, err := kept(ctx, d.readingOne, name)
	if err != nil {
		return r, err
	}
	if q.Top == nil {
		return r, fault.New(name, "this plan was kept before layouts were", "plan it anew under the same name")
	}
	if r.Choose {
		return r, fault.Usage(name, "the blocks of a quilt that is kept are chosen already", "lay its recipe out anew, under another name")
	}
	if r.Order, err = q.Top.Order(q.quilt); err != nil {
		return r, err
	}
	r.Shop, r.Save, r.Background = q.Top.Shop, cmp.Or(r.Save, q.quilt), cmp.Or(r.Background, q.Top.Background)
	if l := q.Laid; l != nil {
		r.Look, r.Seed = cmp.Or(r.Look, arrange.Look(l.Look)), cmp.Or(r.Seed, l.Seed)
		r.Corners, r.Apart = r.Corners || l.Corners, slices.Concat(l.Apart, r.Apart)
	}
	r.Seed = cmp.Or(r.Seed, 1)
	return r, nil
}

// Asked is r, asked of what a name means: a quilt that is kept where r does not say how
// large it is, else a recipe. Errors: those of LayAgain and of reading the recipe; of kind
// fault.ErrUsage where a quilt that is kept is given a size.
func (d *Desk) Asked(ctx context.Context, of RecipeRequest, r ArrangeRequest) (ArrangeRequest, error) {
	again, err := d.LayAgain(ctx, of.Name, r)
	sized, isKept := r.Order.Sized(), err == nil
	if !sized && !errors.Is(err, ErrNoPlan) {
		return again, err
	}
	if r.Order.Recipe, err = of.Read(); err != nil && isKept {
		err = fault.Usage(of.Name, "you keep this quilt, and its size is known", "leave out how large it is, or name a recipe")
	}
	return r, err
}

// Quilt returns a quilt as it was laid out and kept.
func (d *Desk) Quilt(ctx context.Context, name string) (Arrangement, error) {
	st, q, err := kept(ctx, d.readingOne, name)
	if err != nil {
		return Arrangement{}, err
	}
	return laidAgain(ctx, st, q)
}

// laidAgain puts a kept layout together again.
func laidAgain(ctx context.Context, st *stash.Stash, q planned) (Arrangement, error) {
	a := Arrangement{Plan: Plan{Quilt: q.quilt}}
	if q.Top == nil || q.Laid == nil {
		return a, fault.New(q.quilt, "this plan was not laid out", "lay it out first", ErrNotLaid)
	}
	order, err := q.Top.Order(q.quilt)
	if err != nil {
		return a, err
	}
	a.System = q.Top.Shop.System
	if a.Needs, err = plan.Need(order, q.Top.Shop); err != nil {
		return a, err
	}
	if a.Holdings, err = st.Holdings(ctx, stash.Filter{}); err != nil {
		return a, err
	}
	a.Ground = groundOf(a.Holdings, q.Top.Background)
	b := newBuilder(&a, order.Recipe, q.Top.Shop, q.Top.Background)
	if q.Top.Background != "" && a.GroundAt < 0 { // it is used up, and was shown in a photo
		was, err := st.Shown(ctx, nil, []string{q.Top.Background})
		if err != nil {
			return a, err
		}
		if was != nil {
			a.GroundAt = len(a.Holdings)
			a.Holdings = append(a.Holdings, was[0].Holding)
		}
	}
	b.links(q.Laid.Corners)
	b.grounds()
	a.Problem.Look, a.Problem.Seed, a.Problem.Apart = arrange.Look(q.Laid.Look), q.Laid.Seed, q.Laid.Apart
	a.Saved = &q.Saved
	return a, b.again(q.Laid)
}

// again lays the pieces of a kept layout where they lay.
func (b *builder) again(laid *plan.Laid) error {
	a, p := b.a, &b.a.Problem
	b.origins(laid)
	type size struct {
		holding       int64
		width, length float64
		cut, scrap    bool
	}
	pieces := map[size]int{}
	at := make([]int, len(p.Places))
	for i, place := range p.Places {
		at[i] = -1
		if len(a.Parts[i]) > 1 {
			at[i] = b.laidSet(laid, i)
			continue
		}
		one := laid.Of(a.Names[place.Patches[0]])
		if one == nil || one.Holding == 0 {
			continue
		}
		if !b.there(one) {
			a.Gone = append(a.Gone, a.Names[place.Patches[0]])
			continue
		}
		w := b.wants[place.Class]
		k := size{one.Holding, w.W, w.L, one.Cut, one.Scrap}
		n, ok := pieces[k]
		if !ok {
			n = len(p.Pieces)
			pieces[k] = n
			b.offer(one.Holding, 0, b.classesOf(w, b.a.Holdings[b.at[one.Holding]], place.Class)...)
		}
		p.Pieces[n].Count++
		at[i] = n
	}
	judged, err := p.Judge(at)
	if err != nil {
		return err
	}
	a.Laid = []Variant{{Layout: judged, Seed: p.Seed, Cloth: a.clothOf(at)}}
	a.countEmpty()
	return nil
}

// there reports whether the cloth of a piece still exists: in the stash, or sewn. Cloth
// that is sewn and no longer in the stash is added to the holdings.
func (b *builder) there(one *plan.LaidPiece) bool {
	at, known := b.at[one.Holding]
	if known && at < b.held || one.Was == nil {
		return known && at < b.held
	}
	if !known {
		b.at[one.Holding] = len(b.a.Holdings)
		b.a.Holdings = append(b.a.Holdings, one.Was.Holding(one.Holding))
	}
	return true
}

// origins notes what the holdings of a kept layout were cut from.
func (b *builder) origins(laid *plan.Laid) {
	b.a.cutOf = map[int64]int64{}
	for _, one := range laid.Pieces {
		if one.From != 0 {
			b.a.cutOf[one.Holding] = one.From
		}
	}
}

// classesOf returns the classes of places of a size that a holding suits, and the class of
// the place where it lies.
func (b *builder) classesOf(w cutting.Want, h cloth.Holding, own int) (out []int) {
	h.Form, h.Count, h.WidthIn, h.LengthIn = cloth.Rectangle, 1, w.W, w.L
	for c, other := range b.wants {
		if c == own || b.ofScraps[c] == b.ofScraps[own] && cutting.AsItIs(other, h) {
			out = append(out, c)
		}
	}
	return out
}

// Edit changes a kept layout.
type Edit struct {
	Swap   [2]string // the names of two patches whose pieces change places; a lock forbids it
	Turn   string    // the patch whose cloth is turned
	By     int       // quarter turns clockwise
	Lock   []string  // patches whose pieces stay when the quilt is laid out again
	Unlock []string
	Lay    KeptPatch // a piece of the stash that lies in a patch in place of its own
	Try    bool      // give the quilt as it would be, and keep nothing
}

// EditQuilt changes a kept layout, in one change of the stash. Errors name the patch and why
// its piece cannot lie there.
func (d *Desk) EditQuilt(ctx context.Context, name string, e Edit) (Arrangement, error) {
	open := d.changingOne
	if e.Try {
		open = d.readingOne
	}
	st, q, err := kept(ctx, open, name)
	if err != nil {
		return Arrangement{}, err
	}
	a, err := laidAgain(ctx, st, q)
	if err != nil {
		return a, err
	}
	if e.Lay.Patch != "" {
		err = d.lay(ctx, st, &a, &q, e.Lay)
	}
	if err == nil {
		err = a.edit(q.Laid, e)
	}
	if err != nil {
		return a, err
	}
	if e.Try {
		return laidAgain(ctx, st, q)
	}
	text, err := json.Marshal(q.Saved)
	if err != nil {
		return a, err
	}
	if _, err := st.Rework(ctx, "plan", q.quilt+": "+e.words(), stash.Rework{Plan: func([]int64) (string, []byte, []stash.Removal, error) {
		return q.quilt, text, nil, nil
	}}); err != nil {
		return a, err
	}
	return laidAgain(ctx, st, q)
}

// words say what an edit does, for what was done.
func (e Edit) words() string {
	var out []string
	say := func(so bool, words string) {
		if so {
			out = append(out, words)
		}
	}
	say(e.Swap[0] != "", e.Swap[0]+" and "+e.Swap[1]+" change places")
	say(e.Turn != "", e.Turn+" turned")
	say(e.Lock != nil, strings.Join(e.Lock, ", ")+" locked")
	say(e.Unlock != nil, strings.Join(e.Unlock, ", ")+" unlocked")
	say(e.Lay.Patch != "", fmt.Sprintf("piece %d laid in %s", e.Lay.Holding, e.Lay.Patch))
	return strings.Join(out, ", ")
}

func saveQuilt(ctx context.Context, st *stash.Stash, name string, s plan.Saved) error {
	text, err := json.Marshal(s)
	if err == nil {
		_, err = st.SavePlan(ctx, name, text)
	}
	return err
}

// edit makes the edits in what is kept.
func (a *Arrangement) edit(laid *plan.Laid, e Edit) error {
	if e.Swap == [2]string{} && e.Turn == "" && e.Lock == nil && e.Unlock == nil && e.Lay.Patch == "" {
		return fault.Usage("", "no patch is named", "patches are called as the layout names them, like A5")
	}
	if e.Swap != [2]string{} {
		i, j := a.placeNamed(e.Swap[0]), a.placeNamed(e.Swap[1])
		for k, at := range []int{i, j} {
			if at < 0 {
				return ofPatch(k, noSuchPatch(e.Swap[k]))
			}
		}
		p := &a.Problem
		switch {
		case i == j && len(a.Parts[i]) > 1:
			return fault.Usage(e.Swap[0], "both patches are of one set, cut from one print", "swap one with a patch of another block")
		case i == j:
			return fault.Usage(e.Swap[0], "it cannot change places with itself", "name two patches")
		case a.bare(laid, i) && a.bare(laid, j):
			return fault.Usage(e.Swap[0], "neither of the two has cloth yet", "swap patches that have cloth")
		}
		x, y := a.Laid[0].At[i], a.Laid[0].At[j]
		for k, move := range []struct{ piece, to int }{{x, j}, {y, i}} {
			if move.piece >= 0 && !slices.Contains(p.Suits[p.Places[move.to].Class], move.piece) {
				to := a.Names[p.Places[move.to].Patches[0]]
				if n := max(len(a.Parts[i]), len(a.Parts[j])); n > 1 {
					return ofPatch(1-k, fault.Usage(to, fmt.Sprintf("one of the two belongs to %d pieces that match, cut from one print: they move together", n), "swap it with a patch of another set as large, of the same role"))
				}
				return ofPatch(1-k, fault.Usage(to, fmt.Sprintf("piece %d does not suit it: its size, family or value is another", p.Pieces[move.piece].Holding), "swap two patches of one size and role"))
			}
		}
		for k, at := range []int{i, j} {
			if err := a.mayMove(laid, a.Parts[at], e.Swap[k]); err != nil {
				return ofPatch(k, err)
			}
		}
		for k := range a.Parts[i] {
			one, other := laid.Of(a.nameOf(a.Parts[i][k])), laid.Of(a.nameOf(a.Parts[j][k]))
			one.Patch, other.Patch = other.Patch, one.Patch
		}
	}
	if e.Turn != "" {
		part := a.partNamed(e.Turn)
		if part == nil {
			return noSuchPatch(e.Turn)
		}
		one := laid.At(a.nameOf(*part))
		if err := a.mayMove(laid, []Part{*part}, e.Turn); err != nil {
			return err
		}
		switch {
		case one.Holding == 0:
			return noClothYet(e.Turn)
		case e.By%4 == 0:
			return fault.Usage(e.Turn, "by "+cloth.Count(e.By, "quarter")+" its cloth lies as it did", "turn it by 1, 2 or 3")
		}
		one.Turn = ((one.Turn+e.By)%4 + 4) % 4
	}
	for k, names := range [][]string{e.Lock, e.Unlock} {
		for _, name := range names {
			i := a.placeNamed(name)
			if i < 0 {
				return noSuchPatch(name)
			}
			if a.bare(laid, i) {
				return noClothYet(name)
			}
			if err := a.stands(laid, a.Parts[i], name); err != nil {
				return err
			}
			for _, part := range a.Parts[i] {
				laid.At(a.nameOf(part)).Locked = k == 0
			}
		}
	}
	return nil
}

// ofPatch says of which of two patches that were to change places an error is.
func ofPatch(k int, err error) error {
	f := fault.Of(err)
	if f == nil || k == 0 {
		return err
	}
	second := *f
	second.Causes = append(slices.Clip(f.Causes), ErrSecondPatch)
	return &second
}

// stands refuses a change to cloth that is sewn, or that the stash no longer holds.
func (a *Arrangement) stands(laid *plan.Laid, parts []Part, name string) error {
	for _, part := range parts {
		patch := a.nameOf(part)
		switch {
		case laid.At(patch).Stage == plan.SewnStage:
			return fault.Usage(name, "it is sewn already, and stays as it is", "choose a patch that is not")
		case slices.Contains(a.Gone, patch):
			return fault.Usage(name, "the stash holds its cloth no more", "lay another piece there, or lay the quilt out again")
		}
	}
	return nil
}

// mayMove refuses to move cloth that stands refuses, or that is locked.
func (a *Arrangement) mayMove(laid *plan.Laid, parts []Part, name string) error {
	if err := a.stands(laid, parts, name); err != nil {
		return err
	}
	for _, part := range parts {
		if laid.At(a.nameOf(part)).Locked {
			return fault.Usage(name, "its piece is locked there", "unlock it first")
		}
	}
	return nil
}

func noClothYet(name string) error {
	return fault.Usage(name, "it has no cloth yet", "choose a patch that has cloth")
}

// bare reports whether a place has no cloth yet.
func (a *Arrangement) bare(laid *plan.Laid, place int) bool {
	return !slices.ContainsFunc(a.Parts[place], func(part Part) bool {
		one := laid.Of(a.nameOf(part))
		return one != nil && (one.Holding > 0 || one.Stage == plan.SewnStage)
	})
}

// keepLayout returns the plan of a layout as it is kept under a name.
func (a *Arrangement) keepLayout(r ArrangeRequest) (plan.Saved, error) {
	pull, err := a.pulled(r.Background)
	if err != nil {
		return plan.Saved{}, err
	}
	p, first := &a.Problem, a.Laid[0]
	laid := &plan.Laid{Look: string(p.Look), Seed: first.Seed, Corners: r.Corners, Apart: p.Apart}
	whole := map[int64]int{}
	cut := map[int64]bool{}
	type wanting struct {
		key  classKey
		kind string
	}
	empty := map[wanting]int{}
	for i, place := range p.Places {
		for k, part := range a.Parts[i] {
			one := plan.LaidPiece{Patch: a.nameOf(part), Locked: place.Kept >= 0}
			if before := a.stays[one.Patch]; before != nil {
				one = *before
			} else {
				one.Holding, one.Cut = a.lies(first.At[i], k)
				one.Scrap = one.Holding != 0 && part.key.scraps != ""
			}
			switch {
			case one.Holding == 0:
				empty[wanting{part.key, kindOf(a.Parts[i])}]++
			case one.Stage == plan.SewnStage, one.Scrap:
			case one.Cut:
				cut[one.Holding] = true
			default:
				whole[one.Holding]++
			}
			laid.Pieces = append(laid.Pieces, one)
		}
	}
	keep := func(c plan.CutCloth) {
		if cut[c.Holding] {
			laid.Cloth = append(laid.Cloth, c)
			whole[c.Holding]++
		}
	}
	for _, c := range pull.Cover.Cuts {
		keep(cutCloth(c, *pull))
	}
	if a.before != nil { // what stays as it was to be cut
		for _, c := range a.before.Cloth {
			if !slices.ContainsFunc(laid.Cloth, func(k plan.CutCloth) bool { return k.Holding == c.Holding }) {
				keep(c)
			}
		}
	}
	laid.Besides = pull.Besides()
	for _, s := range pull.Strips {
		for _, f := range s.From { // what was to be left of cloth that the layout does without
			if f.Cut > 0 && !cut[f.ID] {
				laid.Besides = append(laid.Besides, plan.Pulled{ID: f.ID, Count: 1})
			}
		}
	}
	for _, b := range laid.Besides {
		whole[b.ID] += b.Count
	}
	covered := *pull
	covered.Cover.Short = make([]int, len(pull.Wants))
	for i, w := range pull.Wants {
		key := wanting{key: keyOf(*pull, i)}
		if w.Set > 0 {
			key.kind = kindOf(partsOf(a.Needs.Sets[w.Set-1]))
		}
		covered.Cover.Short[i] = empty[key]
	}
	saved := covered.Saved(r.Save)
	saved.Pulled = nil
	for _, h := range a.Holdings {
		if n := whole[h.ID]; n > 0 {
			saved.Pulled = append(saved.Pulled, plan.Pulled{ID: h.ID, Count: n})
		}
	}
	saved.Takes = plan.TakesOf(saved.Pulled, a.Holdings)
	saved.Top.Background = r.Background
	saved.Laid = laid
	return saved, nil
}

// cutCloth returns what is kept of how a piece of cloth is cut.
func cutCloth(c cutting.Diagram, pull plan.Pull) plan.CutCloth {
	out := plan.CutCloth{Holding: c.ID}
	add := func(to *[]plan.CutSize, w, l float64) {
		w, l = min(w, l), max(w, l)
		for i := range *to {
			if (*to)[i].WidthIn == w && (*to)[i].LengthIn == l {
				(*to)[i].Count++
				return
			}
		}
		*to = append(*to, plan.CutSize{WidthIn: w, LengthIn: l, Count: 1})
	}
	for _, p := range c.Pieces {
		add(&out.Pieces, pull.Wants[p.Want].W, pull.Wants[p.Want].L)
	}
	for _, r := range c.Remains {
		if r.Kept {
			add(&out.Remains, r.W, r.H)
		}
	}
	return out
}

// MarkRequest says how far a quilt has come.
type MarkRequest struct {
	Quilt  string
	Stage  plan.Stage
	Blocks []string // places, or whole rows by their letter; none: all
}

// Marked is what marking a quilt changed.
type Marked struct {
	Pieces int // that came to the stage
	Others int // that were cut with them, of the same cloth
	Cloth  int // pieces of cloth that were cut
	Back   int // remnants that went back into the stash
	Done   bool
	Change stash.Change
}

// MarkQuilt marks pieces of a kept layout as pulled, cut or sewn, in one change of the
// stash. What is cut is taken out of it, and its pieces and remnants are put in, with
// their sizes; what is sewn is taken out. A quilt that is all sewn holds no cloth any more.
func (d *Desk) MarkQuilt(ctx context.Context, r MarkRequest) (Marked, error) {
	st, q, err := kept(ctx, d.changingOne, r.Quilt)
	if err != nil {
		return Marked{}, err
	}
	a, err := laidAgain(ctx, st, q)
	if err != nil {
		return Marked{}, err
	}
	which, err := a.named(r.Blocks)
	if err != nil {
		return Marked{}, err
	}
	return a.mark(ctx, st, q, which, r.Stage)
}

// named returns the cut pieces of names: of patches, of blocks, or of rows by their letter.
func (a *Arrangement) named(names []string) ([]Part, error) {
	all := slices.Concat(a.Parts...)
	if len(names) == 0 {
		return all, nil
	}
	var out []Part
	taken := make([]bool, len(all))
	for _, name := range names {
		found := false
		for i, p := range all {
			if !slices.ContainsFunc(p.Patches, func(patch int) bool {
				n := a.Names[patch]
				block, _, _ := strings.Cut(n, ".")
				return strings.EqualFold(n, name) || strings.EqualFold(RowOf(n), name) || strings.EqualFold(block, name)
			}) {
				continue
			}
			found = true
			if !taken[i] {
				taken[i] = true
				out = append(out, p)
			}
		}
		if !found {
			return nil, noSuchPatch(name)
		}
	}
	return out, nil
}

var stageOrder = []plan.Stage{"", plan.PulledStage, plan.CutStage, plan.SewnStage}

// nothingToMark says why no piece of some can be brought to a stage.
func nothingToMark(laid *plan.Laid, a *Arrangement, which []Part, stage plan.Stage) string {
	is := map[plan.Stage]bool{}
	for _, part := range which {
		if one := laid.At(a.nameOf(part)); one.Stage != "" {
			is[one.Stage] = true
		}
	}
	var words []string
	for _, s := range stageOrder {
		if is[s] {
			words = append(words, string(s))
		}
	}
	if words == nil {
		return "no cloth lies there that could be " + string(stage)
	}
	return "it is " + strings.Join(words, " or ") + " already"
}

// mark brings cut pieces to a stage.
func (a *Arrangement) mark(ctx context.Context, st *stash.Stash, q planned, which []Part, stage plan.Stage) (Marked, error) {
	var out Marked
	var work stash.Rework
	reach := slices.Index(stageOrder, stage)
	cut := map[int64]bool{}
	used := map[int64]int{}
	for _, part := range which {
		one := q.Laid.At(a.nameOf(part))
		if one.Holding == 0 || slices.Index(stageOrder, one.Stage) >= reach {
			continue
		}
		out.Pieces++
		if one.Cut && reach >= slices.Index(stageOrder, plan.CutStage) {
			cut[one.Holding] = true
		}
		one.Stage = stage
		h, err := a.holding(one.Holding)
		if err != nil {
			return out, err
		}
		if stage == plan.SewnStage {
			one.Was = plan.WasOf(h)
		}
		if stage == plan.SewnStage && !one.Cut && !one.Scrap {
			used[one.Holding]++
		}
	}
	if out.Pieces == 0 {
		return out, fault.Usage(q.quilt, nothingToMark(q.Laid, a, which, stage), "see how far it is")
	}
	var cloths []plan.CutCloth // that are cut now
	q.Laid.Cloth = slices.DeleteFunc(q.Laid.Cloth, func(c plan.CutCloth) bool {
		if cut[c.Holding] {
			cloths = append(cloths, c)
		}
		return cut[c.Holding]
	})
	out.Cloth = len(cloths)
	var made []cutFrom
	for _, c := range cloths {
		used[c.Holding]++
		h, err := a.holding(c.Holding)
		if err != nil {
			return out, err
		}
		for _, s := range c.Pieces {
			made = append(made, cutFrom{c.Holding, len(work.Adds), s})
			work.Adds = append(work.Adds, cutPiece(h, s))
		}
		for _, s := range c.Remains {
			out.Back += s.Count
			work.Adds = append(work.Adds, cutPiece(h, s))
		}
	}
	out.Done = !slices.ContainsFunc(q.Laid.Pieces, func(p plan.LaidPiece) bool { return p.Stage != plan.SewnStage })
	if out.Done {
		for _, b := range q.Laid.Besides {
			used[b.ID] += b.Count
		}
		q.Laid.Besides = nil
	}
	for _, h := range a.Holdings {
		if n := used[h.ID]; n > 0 {
			work.Takes = append(work.Takes, stash.Removal{Filter: stash.Filter{IDs: []int64{h.ID}}, Count: n})
		}
	}
	work.Plan = func(ids []int64) (string, []byte, []stash.Removal, error) {
		takes, others := a.recut(q.Laid, made, ids)
		out.Others = others
		q.Pulled = q.Laid.Holds()
		holdings := slices.Clone(a.Holdings)
		for k, h := range work.Adds {
			h.ID = ids[k]
			holdings = append(holdings, h)
		}
		q.Takes = plan.TakesOf(q.Pulled, holdings)
		text, err := json.Marshal(q.Saved)
		return q.quilt, text, takes, err
	}
	var err error
	out.Change, err = st.Rework(ctx, string(stage), fmt.Sprintf("%s: %s", q.quilt, cloth.Count(out.Pieces, "piece")), work)
	return out, err
}

// holding returns a quilt's cloth by its number. Errors: ErrNoPiece where the stash no
// longer holds it.
func (a *Arrangement) holding(id int64) (cloth.Holding, error) {
	for _, h := range a.Holdings {
		if h.ID == id {
			return h, nil
		}
	}
	return cloth.Holding{}, fault.New(numbered(id), "the stash holds it no more, and this quilt was to have it", "lay the quilt out again, or undo what took it", ErrNoPiece)
}

// cutFrom is so many pieces of a size that were cut from a holding.
type cutFrom struct {
	holding int64
	added   int // where it stands among what is added
	plan.CutSize
}

// recut points the pieces that were to be cut to their new holdings. It returns those of
// them that are sewn already, to be taken out again, and how many pieces were cut along
// with them.
func (a *Arrangement) recut(laid *plan.Laid, made []cutFrom, ids []int64) (takes []stash.Removal, others int) {
	left := make([]int, len(made))
	sewn := make([]int, len(made))
	for k, m := range made {
		left[k] = m.Count
	}
	for _, part := range slices.Concat(a.Parts...) {
		one := laid.At(a.nameOf(part))
		key := part.key
		if !one.Cut {
			continue
		}
		for k, m := range made {
			if left[k] > 0 && m.holding == one.Holding && m.WidthIn == key.width && m.LengthIn == key.length {
				left[k]--
				one.Holding, one.Cut, one.From = ids[m.added], false, cmp.Or(a.cutOf[m.holding], m.holding)
				if one.Stage == plan.SewnStage {
					sewn[k]++
				} else {
					if one.Stage != plan.CutStage {
						others++
					}
					one.Stage = plan.CutStage
				}
				break
			}
		}
	}
	for k, n := range sewn {
		if n > 0 {
			takes = append(takes, stash.Removal{Filter: stash.Filter{IDs: []int64{ids[made[k].added]}}, Count: n})
		}
	}
	return takes, others
}

// cutPiece returns a holding of cloth cut to a size from another.
func cutPiece(h cloth.Holding, s plan.CutSize) cloth.Holding {
	sized := cutHolding(s.WidthIn, s.LengthIn)
	h.ID, h.Count, h.Form, h.WidthIn, h.LengthIn = 0, s.Count, sized.Form, sized.WidthIn, sized.LengthIn
	h.AreaIn2, h.Grams, h.Photo, h.Piece = 0, 0, "", 0
	return h
}

// CopyQuilt keeps a plan under another name too, laid out with what is left of the stash.
func (d *Desk) CopyQuilt(ctx context.Context, name, as string) (Arrangement, error) {
	r, err := d.LayAgain(ctx, name, ArrangeRequest{PlanRequest: PlanRequest{Save: as}})
	if err != nil {
		return Arrangement{}, err
	}
	if _, _, err := kept(ctx, d.readingOne, as); err == nil {
		return Arrangement{}, fault.Usage(as, "a plan of this name is kept already", "choose another name")
	}
	return d.Arrange(ctx, r)
}
