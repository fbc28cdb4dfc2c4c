package desk

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// ArrangeRequest asks for a quilt to be laid out with what the stash holds.
type ArrangeRequest struct {
	PlanRequest
	Look    arrange.Look
	Seed    uint64
	Corners bool        // patches that meet at a corner touch too
	Keep    []KeptPatch // what must lie where
	Apart   [][2]int64  // pieces of the stash that never touch, by their numbers
	Again   int         // how many clearly different layouts; 0 is 1
	Whole   bool        // a search that is interrupted returns an error, not the best layout so far
	Try     bool        // lay it out as for the quilt that Save names, and keep nothing
	// Effort multiplies the time of the search; 0 is 1.
	Effort float64
}

// KeptPatch is a patch, by its name, and the piece of the stash that lies there.
type KeptPatch struct {
	Patch   string
	Holding int64
}

// Arrangement is a quilt laid out, once or several times.
type Arrangement struct {
	Plan
	Top     recipe.Top
	Problem arrange.Problem
	Names   []string // of each patch: its row's letter and its number, as A5
	// GroundAt is the index in Holdings of a piece of the background's print; -1 where the
	// background is to be bought.
	GroundAt int
	Laid     []Variant // one for each time; the first is the best known
	// Parts are the cut pieces of each place: one, or those of a set that is to come from
	// one print.
	Parts [][]Part
	// Empty is how many cut pieces are missing, Gone the patches whose piece the stash no
	// longer holds.
	Empty int
	Gone  []string
	// CutFrom holds, by their index in Problem, the pieces that are cut from their holding;
	// the others have the size already.
	CutFrom map[int]bool
	Saved   *plan.Saved                // as it is kept; nil where it is not
	stays   map[string]*plan.LaidPiece // by the names of places where work was begun: what lies there
	sets    map[int][]setPiece         // of pieces that are sets: the cloth of each part
	before  *plan.Laid                 // that it is laid out anew from
	cutOf   map[int64]int64            // of holdings that were cut for this quilt: what from
}

// Variant is one layout.
type Variant struct {
	arrange.Layout
	Seed uint64
	// Cloth is, for each patch of the top, the index of its cloth in Holdings; -1 for what
	// is no print of the stash.
	Cloth []int
	// Same is the largest share, 0..1, of places that show the same print as in one of the
	// layouts before it.
	Same float64
}

// Arrange lays a quilt out with what the stash holds: what has the size as it is,
// and where that is not enough what the plan of cuts gives. Errors: those of Plan;
// ErrNoStash; of kind fault.ErrUsage where what is to be kept cannot be.
func (d *Desk) Arrange(ctx context.Context, r ArrangeRequest) (Arrangement, error) {
	if !slices.Contains(arrange.Looks, cmp.Or(r.Look, arrange.Even)) {
		return Arrangement{}, fault.Usage(string(r.Look), "there is no such look", "all looks are "+cloth.Words(arrange.Looks))
	}
	r.Shop.OneByOne = true
	if err := r.cleanName(); err != nil {
		return Arrangement{}, err
	}
	choice, err := d.chooseBlocks(ctx, &r)
	if err != nil {
		return Arrangement{}, err
	}
	a, err := d.table(ctx, r)
	if err != nil {
		return a, err
	}
	a.Choice = choice
	times := max(1, r.Again)
	d.door.Begin(LayingWork, 100*times)
	defer d.door.End()
	told := 0
	for k := range times {
		out, err := a.lay(ctx, r.Seed+uint64(k), func(done float64) {
			for ; told < 100*k+int(100*done); told++ {
				d.door.Step()
			}
		})
		if err != nil {
			return a, err
		}
		// A layout much like an earlier one is searched for again from another seed.
		for again := 1; again <= mostAlikeTries && out.Same > tooAlike && !out.Interrupted; again++ {
			other, err := a.lay(ctx, r.Seed+uint64(k+times*again), nil)
			if err != nil {
				return a, err
			}
			if len(other.Touches) <= len(out.Touches) && other.Same < out.Same {
				out = other
			}
		}
		a.Laid = append(a.Laid, out)
		if out.Interrupted && r.Whole {
			return a, ctx.Err()
		}
		if out.Interrupted {
			break
		}
	}
	a.countEmpty()
	if r.Save == "" || r.Try {
		return a, nil
	}
	saved, err := a.keepLayout(r)
	if err != nil {
		return a, err
	}
	st, err := d.changing()
	if err != nil {
		return a, err
	}
	a.Saved, a.Kept = &saved, r.Save
	return a, saveQuilt(context.WithoutCancel(ctx), st, r.Save, saved)
}

// chooseBlocks has the recipe be as plan.Choose has it, where that is asked for.
func (d *Desk) chooseBlocks(ctx context.Context, r *ArrangeRequest) (*plan.Choice, error) {
	if !r.Choose {
		return nil, nil
	}
	st, err := d.readingOne()
	if err != nil {
		return nil, err
	}
	w, err := d.free(ctx, st, &Plan{}, r.PlanRequest)
	if err != nil {
		return nil, err
	}
	c, err := plan.Choose(r.Order, r.Shop, r.Fixed, w.stock, w.own, r.Background, w.cut)
	if err != nil {
		return nil, err
	}
	r.Order.Recipe, r.Choose = c.Needs.Recipe, false
	return &c, nil
}

const (
	tooAlike       = 0.5 // share of places with the print that they have in a layout before
	mostAlikeTries = 3
)

// lay lays the quilt out once more.
func (a *Arrangement) lay(ctx context.Context, seed uint64, progress func(done float64)) (Variant, error) {
	p := a.Problem
	p.Seed, p.Progress = seed, progress
	laid, err := arrange.Lay(ctx, p)
	if err != nil {
		return Variant{}, err
	}
	out := Variant{Layout: laid, Seed: seed, Cloth: a.clothOf(laid.At)}
	for _, before := range a.Laid {
		out.Same = max(out.Same, p.Same(before.At, laid.At))
	}
	return out, nil
}

func (a *Arrangement) countEmpty() {
	for i, x := range a.Laid[0].At {
		for k := range a.Parts[i] {
			if id, _ := a.lies(x, k); id == 0 {
				a.Empty++
			}
		}
	}
}

// table puts together what is laid out: the quilt's places and the pieces there are.
func (d *Desk) table(ctx context.Context, r ArrangeRequest) (Arrangement, error) {
	a := Arrangement{Plan: Plan{Quilt: cmp.Or(r.Name, r.Save, r.Order.Recipe.Name), System: r.Shop.System}}
	var err error
	r.Shop.StripSets = false // every patch has a place of its own
	if a.Needs, err = plan.Need(r.Order, r.Shop); err != nil {
		return a, err
	}
	st, err := d.readingOne()
	if err != nil {
		return a, err
	}
	w, err := d.free(ctx, st, &a.Plan, r.PlanRequest)
	if err != nil {
		return a, err
	}
	b := newBuilder(&a, r.Order.Recipe, r.Shop, r.Background)
	b.links(r.Corners)
	b.grounds()
	b.staySets(w.laid)
	w.stock, _ = plan.Leave(w.stock, b.staying)
	b.asTheyAre(w.stock)
	if a.Problem.Most() < len(a.Problem.Places) || a.Needs.Besides() {
		pull, err := plan.FromStash(a.Needs, w.stock, w.own, r.Background, w.cut)
		if err != nil {
			return a, err
		}
		a.Pull = &pull
		b.cuts(pull)
		b.matched(pull)
		b.besides(pull)
		b.scraps(pull, w.laid)
	}
	for _, pair := range r.Apart {
		before := w.laid != nil && slices.Contains(w.laid.Apart, pair) // one of them may be sewn since
		for _, id := range pair {
			if _, there := b.at[id]; !there && !before {
				return a, fault.Usage(numbered(id), "the stash holds no such piece to keep apart", "name pieces by their numbers")
			}
		}
	}
	a.Problem.Look, a.Problem.Seed, a.Problem.Apart, a.Problem.Effort = cmp.Or(r.Look, arrange.Even), r.Seed, r.Apart, r.Effort
	b.stay(w.laid)
	return a, b.keep(r.Keep)
}

// stay leaves in place, in the kept layout if there is one, the pieces that are locked or
// whose work was begun.
func (b *builder) stay(laid *plan.Laid) {
	a, p := b.a, &b.a.Problem
	if laid == nil {
		return
	}
	b.origins(laid)
	for i := range p.Places {
		if len(a.Parts[i]) > 1 {
			continue
		}
		one := laid.Of(a.firstName(i))
		if one == nil || one.Holding == 0 || !one.Locked && one.Stage == "" {
			continue
		}
		class := p.Places[i].Class
		dealt := -1 // of strings and crumbs
		if one.Scrap {
			dealt = slices.IndexFunc(p.Suits[class], func(x int) bool { return p.Pieces[x].Holding == one.Holding })
		}
		switch {
		case dealt >= 0:
			p.Places[i].Kept = p.Suits[class][dealt]
			if one.Stage != "" {
				a.stays[one.Patch] = one
			}
		case one.Stage == plan.SewnStage && one.Was != nil && b.there(one): // of the stash no more
			p.Places[i].Kept = len(p.Pieces)
			b.offer(one.Holding, 1, class)
			a.stays[one.Patch] = one
		case one.Cut, one.Scrap: // the cloth it is cut from may be cut otherwise now
		default:
			p.Places[i].Kept = slices.IndexFunc(p.Pieces, func(x arrange.Piece) bool { return x.Holding == one.Holding })
			if k := p.Places[i].Kept; k >= 0 && !slices.Contains(p.Suits[class], k) {
				p.Suits[class] = append(p.Suits[class], k) // it lies there already
			}
			if one.Stage != "" && p.Places[i].Kept >= 0 {
				a.stays[one.Patch] = one
			}
		}
	}
}

// classKey is what all pieces of one class have in common.
type classKey struct {
	role          recipe.Role
	width, length float64
	scraps        recipe.Make // as recipe.CutPiece has it
}

// keyOf returns the class of the pieces that a want of a plan asks for.
func keyOf(pull plan.Pull, want int) classKey {
	w := pull.Wants[want]
	return classKey{role: pull.Roles[want], width: min(w.W, w.L), length: max(w.W, w.L)}
}

// want returns the size and the colour that a piece of the class is to have.
func (k classKey) want() cutting.Want {
	w := cutting.Want{Name: k.role.Name, W: k.width, L: k.length, Count: 1}
	w.Families, w.Values = plan.Allowed(k.role.Family, k.role.Value)
	return w
}

// builder puts a problem together.
type builder struct {
	a          *Arrangement
	background string
	classes    map[classKey]int
	wants      []cutting.Want // of each class
	at         map[int64]int  // the index in Holdings of each holding, by its number
	held       int            // how many of Holdings, from the first, the stash holds
	beside     [][]int        // for each patch, those that share a seam with it
	ofScraps   map[int]bool   // of classes: strings or crumbs, of any width
	setClasses map[string]int // by the parts of a set
	staying    []plan.Pulled  // what the sets hold that stay where they lie
}

// newBuilder begins with the quilt's places; the holdings of a are known.
func newBuilder(a *Arrangement, r *recipe.Recipe, s plan.Shop, background string) *builder {
	b := &builder{a: a, background: background, classes: map[classKey]int{}, at: map[int64]int{}, ofScraps: map[int]bool{}, setClasses: map[string]int{}}
	a.stays, a.sets = map[string]*plan.LaidPiece{}, map[int][]setPiece{}
	b.held = len(a.Holdings)
	for i, h := range a.Holdings {
		b.at[h.ID] = i
	}
	a.Top = r.QuiltLayout(a.Needs.Columns, a.Needs.Rows)
	a.Names, a.CutFrom, a.GroundAt = patchNames(a.Top), map[int]bool{}, -1
	for i, h := range a.Holdings {
		if background != "" && h.Print == background && (a.GroundAt < 0 || a.Holdings[a.GroundAt].Photo == "") {
			a.GroundAt = i
		}
	}
	b.places(r.Pieces(a.Top, recipe.Method{System: s.System, WOFIn: s.WOFIn - s.SquaringAcrossIn, OneByOne: true}))
	return b
}

// places gives every cut piece of a print its place.
func (b *builder) places(pieces []recipe.CutPiece) {
	p := &b.a.Problem
	p.WidthIn, p.HeightIn = b.a.Top.WidthIn, b.a.Top.HeightIn
	for _, patch := range b.a.Top.Patches {
		p.Polygons = append(p.Polygons, patch.Polygon)
	}
	of := map[int]int{} // of sets, their places
	for _, c := range pieces {
		if c.Role.Background {
			continue
		}
		k := classKey{c.Role, c.WidthIn, c.LengthIn, c.Scraps}
		if i, begun := of[c.Set]; begun {
			p.Places[i].Patches = append(p.Places[i].Patches, c.Patches...)
			b.a.Parts[i] = append(b.a.Parts[i], Part{c.Patches, k, true})
			continue
		}
		if c.Set > 0 {
			of[c.Set] = len(p.Places)
		}
		b.a.Parts = append(b.a.Parts, []Part{{c.Patches, k, c.Set > 0}})
		p.Places = append(p.Places, arrange.Place{Patches: slices.Clone(c.Patches), Block: b.a.Top.Patches[c.Patches[0]].Block, Kept: -1})
	}
	for i := range p.Places {
		p.Places[i].Class = b.classOf(b.a.Parts[i])
	}
}

// links lists the patches that touch.
func (b *builder) links(corners bool) {
	b.beside = b.a.Top.Neighbours()
	for i, list := range b.beside {
		for _, j := range list {
			if i < j {
				b.a.Problem.Links = append(b.a.Problem.Links, arrange.Link{A: i, B: j})
			}
		}
	}
	if corners {
		for _, pair := range b.a.Top.Corners() {
			b.a.Problem.Links = append(b.a.Problem.Links, arrange.Link{A: pair[0], B: pair[1], Corner: true})
		}
	}
}

// grounds gives the places that touch the background its lightness.
func (b *builder) grounds() {
	light := usualGround
	if g := b.a.Ground; g != nil {
		light = g.Colour.Lab().L
	}
	for i := range b.a.Problem.Places {
		place := &b.a.Problem.Places[i]
		for _, patch := range place.Patches {
			for _, j := range b.beside[patch] {
				if b.a.Top.Patches[j].Role.Background {
					place.Ground = light
				}
			}
		}
	}
}

// usualGround is the CIE L* of a background that is yet to be bought: cream or white.
const usualGround = 93.0

// asTheyAre offers the pieces that have a wanted size already.
func (b *builder) asTheyAre(stock []cloth.Holding) {
	for _, s := range stock {
		var classes []int
		for c, w := range b.wants {
			if !b.ofScraps[c] && cutting.AsItIs(w, s) && (b.background == "" || s.Print != b.background) {
				classes = append(classes, c)
			}
		}
		if classes != nil {
			b.offer(s.ID, s.Count, classes...)
		}
	}
}

// cuts offers the pieces that a plan of cuts gives. Cloth that it cuts into is no longer
// offered whole.
func (b *builder) cuts(pull plan.Pull) {
	type cut struct {
		id    int64
		class int
	}
	p := &b.a.Problem
	given := map[cut]int{}
	var order []cut
	for _, c := range pull.Cover.Cuts {
		for i := range p.Pieces {
			if p.Pieces[i].Holding == c.ID && p.Pieces[i].Count > 0 {
				p.Pieces[i].Count--
			}
		}
		for _, piece := range c.Pieces {
			if pull.Wants[piece.Want].Set > 0 {
				continue
			}
			class, ok := b.classes[keyOf(pull, piece.Want)]
			if !ok {
				continue
			}
			k := cut{c.ID, class}
			if given[k]++; given[k] == 1 {
				order = append(order, k)
			}
		}
	}
	for _, k := range order {
		b.a.CutFrom[len(p.Pieces)] = true
		b.offer(k.id, given[k], k.class)
	}
}

// pulled offers only what a plan pulls, whole and cut.
func (b *builder) pulled(pull plan.Pull) {
	b.cuts(pull)
	b.matched(pull) // before the pieces that are offered one by one, which it would take from
	for _, r := range pull.Cover.Ready {
		if pull.Wants[r.Want].Set > 0 {
			continue
		}
		if class, ok := b.classes[keyOf(pull, r.Want)]; ok {
			b.offer(r.ID, r.Count, class)
		}
	}
	b.scraps(pull, nil)
}

// offer adds pieces of a holding, to lie where classes ask for them.
func (b *builder) offer(id int64, count int, classes ...int) {
	p, h := &b.a.Problem, b.a.Holdings[b.at[id]]
	x := arrange.Piece{Holding: id, Count: count, Family: h.Family, Value: h.Value, Print: h.Print}
	seen := lab(h)
	x.Lightness, x.Chroma, x.Hue = seen.L, seen.LCh().C, seen.LCh().H
	for _, c := range classes {
		p.Suits[c] = append(p.Suits[c], len(p.Pieces))
	}
	p.Pieces = append(p.Pieces, x)
}

// LightnessOf returns the CIE L* of a holding, 0..100: as measured, or where it was not,
// that which stands for its family and value.
func LightnessOf(h cloth.Holding) float64 { return lab(h).L }

// lab returns the colour of a holding: as measured, or where it was not, that which stands
// for its family and value.
func lab(h cloth.Holding) colour.Lab {
	if h.Measured {
		return h.Mean.Lab()
	}
	for _, s := range []plan.Sought{{Family: h.Family, Value: h.Value}, {Value: h.Value}} {
		if m, ok := plan.SwatchOf(s); ok {
			seen := m.Linear().Lab()
			if h.Lightness > 0 {
				seen.L = h.Lightness
			}
			return seen
		}
	}
	return colour.Lab{L: cmp.Or(h.Lightness, 50)}
}

// keep fixes what must lie where.
func (b *builder) keep(kept []KeptPatch) error {
	p := &b.a.Problem
	seen := map[int]bool{}
	for _, k := range kept {
		place := b.a.placeNamed(k.Patch)
		if place < 0 {
			return noSuchPatch(k.Patch)
		}
		if seen[place] {
			return fault.Usage(k.Patch, "two pieces are kept in it", "keep one")
		}
		seen[place] = true
		if p.Places[place].Kept >= 0 && p.Pieces[p.Places[place].Kept].Holding != k.Holding {
			return fault.Usage(k.Patch, "another piece is locked in it, or sewn", "unlock it, or keep another patch")
		}
		piece := slices.IndexFunc(p.Pieces, func(x arrange.Piece) bool { return x.Holding == k.Holding })
		for i := range p.Pieces { // one that suits, where a holding is offered in several sizes
			if b.a.of(i, k.Holding) && slices.Contains(p.Suits[p.Places[place].Class], i) {
				piece = i
			}
		}
		if piece < 0 {
			return fault.Usage(k.Patch, fmt.Sprintf("piece %d is not among those this quilt can take", k.Holding), "name one of the right size that no other quilt has pulled")
		}
		p.Places[place].Kept = piece
	}
	return nil
}

// clothOf returns, for each patch, the holding that lies there.
func (a *Arrangement) clothOf(at []int) []int {
	where := map[int64]int{}
	for i, h := range a.Holdings {
		where[h.ID] = i
	}
	out := make([]int, len(a.Top.Patches))
	for i := range out {
		out[i] = -1
	}
	for i, x := range at {
		if x < 0 {
			continue
		}
		for k, part := range a.Parts[i] {
			if id, _ := a.lies(x, k); id != 0 {
				for _, patch := range part.Patches {
					out[patch] = where[id]
				}
			}
		}
	}
	return out
}

// ClothOf returns the photos of the stash with the pieces that show the cloth of a layout,
// also of cloth that was cut or sewn since; and for each of its holdings the number of the
// piece that shows it: its own, the one it was cut from, or one of its print.
func (d *Desk) ClothOf(ctx context.Context, a *Arrangement) (photos []PhotoPieces, by map[int64]int64, err error) {
	st, err := d.readingOne()
	if err != nil {
		return nil, nil, err
	}
	var used []cloth.Holding
	var ids []int64
	var prints []string
	added := map[int]bool{}
	add := func(k int) {
		if k < 0 || added[k] {
			return
		}
		added[k] = true
		h := a.Holdings[k]
		used, ids = append(used, h), append(ids, h.ID, a.cutOf[h.ID])
		if h.Print != "" {
			prints = append(prints, h.Print)
		}
	}
	add(a.GroundAt)
	for _, l := range a.Laid {
		for _, k := range l.Cloth {
			add(k)
		}
	}
	shown, err := st.Shown(ctx, ids, prints)
	if err != nil {
		return nil, nil, err
	}
	all, err := st.Photos(ctx)
	if err != nil {
		return nil, nil, err
	}
	kept, at, ofPrint := map[string]int{}, map[int64]stash.Shown{}, map[string]int64{}
	for i, p := range all {
		if p.Path != "" {
			kept[p.Hash] = i
		}
	}
	for _, fold := range []bool{false, true} { // a fold of a stack comes last
		for _, x := range shown {
			if _, ok := kept[x.Photo]; !ok || len(x.Outline) < 3 || (x.Form == cloth.Band) != fold {
				continue
			}
			at[x.ID] = x
			if ofPrint[x.Print] == 0 && x.Print != "" {
				ofPrint[x.Print] = x.ID
			}
		}
	}
	photos, by = make([]PhotoPieces, len(all)), map[int64]int64{}
	for i, p := range all {
		photos[i].PhotoInfo = p
	}
	cut := map[int64]bool{}
	for _, h := range used {
		for _, id := range []int64{h.ID, a.cutOf[h.ID], ofPrint[h.Print]} {
			x, ok := at[id]
			if !ok {
				continue
			}
			by[h.ID] = id
			if p := &photos[kept[x.Photo]]; !cut[id] {
				cut[id] = true
				p.Pieces = append(p.Pieces, OutlinedPiece{x.Holding, x.Outline})
			}
			break
		}
	}
	return slices.DeleteFunc(photos, func(p PhotoPieces) bool { return p.Pieces == nil }), by, nil
}

// patchNames names the patches of a top: blocks by the letter of their row and their
// number in it, rows on point that stand between others counted too, blocks of borders
// by BorderRow and a number; the patches of a block that has several by a number after a
// point; what is in no block by a word for its kind and a number.
func patchNames(l recipe.Top) []string {
	type block struct {
		middle geom.Point
		area   float64
		count  int
	}
	blocks := map[int]*block{}
	var order []int
	name := map[int]string{}
	for _, p := range l.Patches {
		if p.Block < 0 {
			continue
		}
		if blocks[p.Block] == nil {
			blocks[p.Block] = &block{}
			if p.Row < 0 {
				name[p.Block] = BorderRow + " " + strconv.Itoa(len(name)+1)
			} else {
				order = append(order, p.Block)
			}
		}
		b := blocks[p.Block]
		b.middle = b.middle.Add(p.Polygon.Centroid().Mul(p.Polygon.Area()))
		b.area += p.Polygon.Area()
		b.count++
	}
	for _, b := range blocks {
		b.middle = b.middle.Mul(1 / b.area)
	}
	const same = 0.01 // inches: of one row
	slices.SortFunc(order, func(a, b int) int {
		p, q := blocks[a].middle, blocks[b].middle
		if d := p.Y - q.Y; d < -same || d > same {
			return cmp.Compare(p.Y, q.Y)
		}
		return cmp.Compare(p.X, q.X)
	})
	row, column := -1, 0
	var last float64
	for k, b := range order {
		if y := blocks[b].middle.Y; k == 0 || y > last+same {
			row, column, last = row+1, 0, y
		}
		column++
		name[b] = rowLetters(row) + strconv.Itoa(column)
	}
	letters := map[recipe.PatchKind]string{recipe.InSashing: "sash ", recipe.Cornerstone: "stone ", recipe.Triangle: "edge ", recipe.InBorder: "border ", recipe.InKeys: "key ", recipe.Spacer: "spacer "}
	number := map[string]int{}
	out := make([]string, len(l.Patches))
	for i, p := range l.Patches {
		key := letters[p.Kind]
		if p.Block >= 0 {
			key = name[p.Block]
			if blocks[p.Block].count == 1 {
				out[i] = key
				continue
			}
			key += "."
		}
		number[key]++
		out[i] = key + strconv.Itoa(number[key])
	}
	return out
}

// BorderRow is the word that the names of the blocks of pieced borders begin with.
const BorderRow = "round"

// RowOf returns the row of a patch from its name: A of A5.2; for what is in no row, the
// word for its kind.
func RowOf(name string) string {
	block, _, _ := strings.Cut(name, ".")
	return strings.TrimSpace(strings.TrimRight(block, "0123456789"))
}

// rowLetters returns the letters of row i: A, B … Z, AA, AB …
func rowLetters(i int) string {
	s := ""
	for ; ; i = i/26 - 1 {
		s = string(rune('A'+i%26)) + s
		if i < 26 {
			return s
		}
	}
}
