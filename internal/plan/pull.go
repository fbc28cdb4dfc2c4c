package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// Pull is a quilt held against a stash: what to take from it, and what it lacks.
type Pull struct {
	Needs *Needs
	Wants []cutting.Want  // pieces that scraps can give, in the order of Needs.Cuts
	Roles []recipe.Role   // of each of Wants
	Stock []cloth.Holding // as given
	Cover cutting.Cover   // its indices point into Wants and Stock
	// Scraps are strings and crumbs, taken as they come from what the rest leaves.
	Scraps []Scraps
	// Strips are the binding and borders that are joined from strips of the stash.
	Strips []Strips
	// Segments are what can be cut across strip sets, and StripSets those that are sewn of
	// strips of the stash, where that is asked for. Unsewn says why there are fewer of them
	// than strips suffice for; empty: there are not.
	Segments  []recipe.Segment
	StripSets []StripSet
	Unsewn    string
}

// FromStash finds which pieces of a stash cover a quilt. Every role is asked of
// it but the background, which is one fabric: that is asked for where its print
// is named, and then kept for it; otherwise it is bought. Strips as long as cloth is wide (joined
// sashing, borders, binding) and the backing are cut from yardage.
//
// own is what the quilt pulled when it was planned before. It keeps that: the rest
// of the stash gives only what its own pieces do not.
func FromStash(n *Needs, stock []cloth.Holding, own []Pulled, background string, o cutting.Options) (Pull, error) {
	p := Pull{Needs: n, Stock: stock, Segments: n.Recipe.Segments(n.Columns, n.Rows, n.Shop.System)}
	others := otherPrints(stock, background)
	for _, c := range n.Cuts {
		if c.LengthIn == 0 || c.Role.Background && background == "" {
			continue
		}
		for _, w := range wantsFor(c, n.Sets, background, others) {
			p.Wants = append(p.Wants, w)
			p.Roles = append(p.Roles, c.Role)
		}
	}
	first := p // joined before all else is cut
	if err := p.cover(stock, own, o); err != nil {
		return p, err
	}
	p.stripsOf(stock, own, background, o)
	if p.shortStrips() > 0 {
		first.stripsOf(stock, own, background, o)
		if first.shortStrips() < p.shortStrips() {
			if err := p.coverAfter(first.Strips, stock, own, o); err != nil {
				return p, err
			}
		}
	}
	p.scraps(stock, own, background)
	if n.Shop.StripSets {
		return p, p.sewn(stock, own, background, o)
	}
	return p, nil
}

// cover finds which pieces of a stash cover what is wanted.
func (p *Pull) cover(stock []cloth.Holding, own []Pulled, o cutting.Options) (err error) {
	if p.Stock, err = ownFirst(p.Wants, stock, own, o); err != nil {
		return err
	}
	p.Cover, err = cutting.FromStash(p.Wants, p.Stock, o)
	if len(own) > 0 { // the best of its own pieces need not be the best of all
		p.Cover.Optimal = false
	}
	return err
}

// coverAfter covers the quilt from what is left after binding and borders are joined from
// strips, where no more area is lacking of pieces and strips together, but for what their joins
// take: strips that are asked for are not cut into patches to save new cloth for those.
func (p *Pull) coverAfter(joined []Strips, stock []cloth.Holding, own []Pulled, o cutting.Options) error {
	other := Pull{Needs: p.Needs, Wants: p.Wants, Roles: p.Roles, Segments: p.Segments}
	left, _ := Leave(stock, Pull{Strips: joined}.Pulled())
	if err := other.cover(left, own, o); err != nil {
		return err
	}
	other.Strips = joined
	inJoins := 0.0
	for _, s := range joined {
		inJoins += float64(s.Joins()) * s.JoinIn * s.CutIn
	}
	if other.lackingIn2() > p.lackingIn2()+inJoins+onMark {
		return nil
	}
	other.Cover.Optimal = false
	for _, s := range joined {
		for _, f := range s.From {
			other.hold(stock[slices.IndexFunc(stock, func(h cloth.Holding) bool { return h.ID == f.ID })], f.Count)
		}
	}
	*p = other
	return nil
}

// lackingIn2 returns the area of the pieces and of the strips that the stash lacks, square
// inches.
func (p Pull) lackingIn2() float64 {
	in2 := p.shortIn2()
	for _, s := range p.Strips {
		in2 += s.ShortIn() * s.CutIn
	}
	return in2
}

// shortIn2 returns the area of the pieces that the stash lacks, square inches.
func (p Pull) shortIn2() (in2 float64) {
	for i, w := range p.Wants {
		in2 += float64(p.Cover.Short[i]) * w.W * w.L
	}
	return in2
}

// ownFirst returns the part of a stash that a quilt is cut from: its own pieces, and of
// the rest what covers the wants that they leave; all of it where that covers more.
func ownFirst(wants []cutting.Want, stock []cloth.Holding, own []Pulled, o cutting.Options) ([]cloth.Holding, error) {
	rest, taken := Leave(stock, own)
	if taken == 0 {
		return stock, nil
	}
	use := counts(own)
	short, err := lacking(wants, only(stock, use), o)
	if err != nil || short == nil {
		return only(stock, use), err
	}
	more, err := cutting.FromStash(short, rest, o)
	if err != nil {
		return nil, err
	}
	for id, count := range counts(Pull{Cover: more}.Pulled()) {
		use[id] += count
	}
	first, err := lacking(wants, only(stock, use), o)
	if err != nil || first == nil {
		return only(stock, use), err
	}
	if all, err := lacking(wants, stock, o); err != nil || pieces(all) < pieces(first) {
		return stock, err
	}
	return only(stock, use), nil
}

// only returns what is left of a stash when of each holding no more is taken than a
// count; strips that are still to be measured stay, for that to be said.
func only(stock []cloth.Holding, counts map[int64]int) (out []cloth.Holding) {
	for _, s := range stock {
		if s.Form != cloth.Strip || s.LengthIn > 0 {
			s.Count = min(s.Count, counts[s.ID])
		}
		if s.Count > 0 {
			out = append(out, s)
		}
	}
	return out
}

// otherPrints lists the prints of a stash other than the background's; nil, which leaves
// out none, where no background is named.
func otherPrints(stock []cloth.Holding, background string) []string {
	if background == "" {
		return nil
	}
	var out []string
	seen := map[string]bool{background: true}
	for _, s := range stock {
		if !seen[s.Print] {
			seen[s.Print] = true
			out = append(out, s.Print)
		}
	}
	if out == nil { // the background is all there is
		out = []string{"no print but " + background}
	}
	return out
}

func wantOf(c recipe.Lot, background string, others []string) cutting.Want {
	w := cutting.Want{Name: c.Role.Name + ", " + strings.Join(c.For, ", "), Role: c.Role.Name, W: c.WidthIn, L: c.LengthIn, Count: c.Count}
	if c.Role.Background {
		w.Prints = []string{background}
		return w
	}
	w.Prints = others
	w.Families, w.Values = Allowed(c.Role.Family, c.Role.Value)
	return w
}

// wantsFor returns what is wanted of a lot: what matches nothing, then what each kind of set
// takes of it.
func wantsFor(c recipe.Lot, sets []recipe.Set, background string, others []string) (out []cutting.Want) {
	loose := wantOf(c, background, others)
	for k, s := range sets {
		if n := s.Of(c); n > 0 {
			w := wantOf(c, background, others)
			w.Set, w.Each, w.Count = k+1, n, n*s.Count
			w.Name += fmt.Sprintf("; %d of one print", n)
			loose.Count -= w.Count
			out = append(out, w)
		}
	}
	if loose.Count > 0 {
		out = append([]cutting.Want{loose}, out...)
	}
	return out
}

// Allowed returns the families and values that suit a role; nil allows any.
func Allowed(f cloth.Family, t recipe.Tone) (families []cloth.Family, values []cloth.Value) {
	if f != "" {
		families = []cloth.Family{f}
	}
	for _, v := range cloth.Values {
		if t != "" && (recipe.Role{Value: t}).Suits("", v) {
			values = append(values, v)
		}
	}
	return families, values
}

// Totals returns how many pieces scraps could give, how many the stash covers, and
// how many it lacks.
func (p Pull) Totals() (wanted, covered, short int) {
	for i, w := range p.Wants {
		wanted += w.Count
		covered += p.Cover.Covered[i]
		short += p.Cover.Short[i]
	}
	return wanted, covered, short
}

// MatchedSets are how many sets of one kind are wanted and how many the stash covers.
type MatchedSets struct {
	recipe.Set
	Covered int
}

// Sets returns the sets that match, in the order of Needs.Sets.
func (p Pull) Sets() []MatchedSets {
	out := make([]MatchedSets, len(p.Needs.Sets))
	for k, s := range p.Needs.Sets {
		out[k].Set = s
		for _, c := range p.Cover.Sets {
			if c.Set == k+1 {
				out[k].Covered++
			}
		}
	}
	return out
}

// lacks returns the share of a lot of strips that is to be bought.
func (p Pull) lacks(c recipe.Lot) float64 {
	for _, s := range p.Scraps {
		if c.AnyIn2 > 0 && s.Role == c.Role {
			return s.ShortIn2() / s.WantedIn2
		}
	}
	return 1
}

// joined returns how many strips of a lot are not bought, for the stash has strips to join.
func (p Pull) joined(c recipe.Lot) (n int) {
	for _, s := range p.Strips {
		if s.Role == c.Role && s.CutIn == c.WidthIn && slices.Contains(c.For, s.lot) {
			n += s.strips
		}
	}
	return n
}

// Gaps returns what is to be bought before the quilt can be cut: the pieces that the
// stash lacks, and what is cut from yardage. quilt names it.
func (p Pull) Gaps(quilt string) []Gap {
	var out []Gap
	for i, w := range p.Wants {
		if p.Cover.Short[i] > 0 {
			out = append(out, Gap{Sought: SoughtFor(p.Roles[i], quilt), Quilt: quilt, WidthIn: w.W, LengthIn: w.L, Pieces: p.Cover.Short[i], Set: w.Set, Each: w.Each})
		}
	}
	one := func(lengthIn float64, names ...string) {
		if lengthIn <= 0 {
			return
		}
		what := strings.Join(names, " and ") + " of " + quilt
		for _, b := range p.Needs.Borders { // of which several may be wanted, each of its cloth
			if slices.Contains(names, b.What) && b.Role.Name != b.What {
				what += ", " + b.Role.Name
				break
			}
		}
		out = append(out, Gap{Sought: Sought{One: what}, Quilt: quilt, ClothIn: lengthIn})
	}
	for _, y := range p.Needs.Yardage {
		if y.Role.Background && !slices.Contains(p.Roles, y.Role) {
			one(y.LengthIn, "background")
			continue
		}
		for _, c := range y.Cuts {
			if c.LengthIn == 0 {
				one(float64(c.Count-p.joined(c))*c.WidthIn*p.lacks(c), c.For...)
			}
		}
	}
	for _, s := range p.Strips {
		one(s.BuyIn(), s.What)
	}
	one(p.Needs.Backing.Ways[p.Needs.Backing.Best].LengthIn, "backing")
	return out
}

// Taking is what a quilt takes of one box of the stash.
type Taking struct {
	Bin      string       `json:"bin,omitempty"`
	Family   cloth.Family `json:"family,omitempty"`
	Value    cloth.Value  `json:"value,omitempty"`
	Form     cloth.Form   `json:"form"`
	WidthIn  float64      `json:"width_in,omitempty"`
	LengthIn float64      `json:"length_in,omitempty"` // of rectangles and squares
	Count    int          `json:"count"`
}

// Takes lists what the quilt takes of each box, in stock order.
func (p Pull) Takes() []Taking { return TakesOf(p.Pulled(), p.Stock) }

// TakesOf lists what is taken of each box where so much is pulled of the stash.
func TakesOf(pulled []Pulled, stock []cloth.Holding) []Taking {
	var out []Taking
	add := func(s cloth.Holding, n int) {
		t := Taking{Bin: s.Bin, Family: s.Family, Value: s.Value, Form: s.Form, WidthIn: s.WidthIn, LengthIn: s.LengthIn}
		if t.Form == cloth.Strip || t.Form == cloth.Irregular {
			t.LengthIn = 0
		}
		for i, known := range out {
			if known.Count = 0; known == t {
				out[i].Count += n
				return
			}
		}
		t.Count = n
		out = append(out, t)
	}
	of := counts(pulled)
	for _, s := range stock {
		if n := of[s.ID]; n > 0 {
			add(s, n)
		}
	}
	return out
}

// Pulled is so many pieces of one holding of the stash.
type Pulled struct {
	ID    int64 `json:"id"`
	Count int   `json:"count"`
}

// Pulled lists what the quilt takes of each holding, in the order it is pulled.
func (p Pull) Pulled() []Pulled {
	var out []Pulled
	for _, pull := range p.Cover.Pulls {
		for _, l := range pull.Lines {
			out = append(out, Pulled{l.ID, l.Count})
		}
	}
	return append(out, p.Besides()...)
}

// Besides lists what is pulled but is no single patch: strips to join, strings and crumbs.
func (p Pull) Besides() (out []Pulled) {
	for _, s := range p.Strips {
		for _, f := range s.From {
			if f.Count > 0 {
				out = append(out, f.Pulled)
			}
		}
	}
	for _, s := range p.Scraps {
		out = append(out, s.Pulled...)
	}
	return out
}

// Leave returns a stash without what other quilts have pulled of it; taken is how many
// pieces those are.
func Leave(stock []cloth.Holding, pulled []Pulled) (left []cloth.Holding, taken int) {
	of := counts(pulled)
	for _, s := range stock {
		n := min(s.Count, of[s.ID])
		taken += n
		if s.Count -= n; s.Count > 0 {
			left = append(left, s)
		}
	}
	return left, taken
}

// Kept returns how many pieces of each holding, by its ID, the plans that are kept have
// pulled.
func Kept(kept []Saved) map[int64]int {
	var pulled []Pulled
	for _, k := range kept {
		pulled = append(pulled, k.Pulled...)
	}
	return counts(pulled)
}

// Shares parts a stash between the plans that are kept: each has what it pulled, and
// of what none has pulled, such as cloth bought since, what fills its gaps. No piece of
// cloth is of two plans.
func Shares(stock []cloth.Holding, kept []Saved, o cutting.Options) ([][]Pulled, error) {
	p, err := parted(stock, kept, o)
	if err != nil {
		return nil, err
	}
	out := make([][]Pulled, len(kept))
	for i, k := range kept {
		out[i] = append(slices.Clone(k.Pulled), p.gains[i]...)
	}
	return out, nil
}

// SetsLeft returns the gaps of the plans that are kept, those in sets less the sets that their
// shares of the stash fill.
func SetsLeft(stock []cloth.Holding, kept []Saved, o cutting.Options) ([][]Gap, error) {
	out := make([][]Gap, len(kept))
	for i, k := range kept {
		out[i] = k.Gaps
	}
	inSets := func(g Gap) bool { return g.Set > 0 }
	p, err := parted(stock, kept, o)
	if err != nil {
		return nil, err
	}
	for i, gaps := range out {
		if !slices.ContainsFunc(gaps, inSets) {
			continue
		}
		lacks, err := p.lacks(i, p.gains[i])
		if err != nil {
			return nil, err
		}
		out[i] = slices.Clone(gaps)
		for k := range gaps {
			g := &out[i][k]
			if g.Set == 0 {
				continue
			}
			g.Pieces = 0
			for _, w := range lacks {
				if w.Set == g.Set && w.W == g.WidthIn && w.L == g.LengthIn {
					g.Pieces = w.Count
				}
			}
		}
		out[i] = slices.DeleteFunc(out[i], func(g Gap) bool { return g.Set > 0 && g.Pieces == 0 })
	}
	return out, nil
}

func parted(stock []cloth.Holding, kept []Saved, o cutting.Options) (*parting, error) {
	for _, k := range kept {
		stock, _ = Leave(stock, k.Pulled)
	}
	p := &parting{all: stock, kept: kept, o: o, gains: make([][]Pulled, len(kept))}
	return p, p.fill()
}

// parting is the work of dividing a stash between plans.
type parting struct {
	all   []cloth.Holding
	kept  []Saved
	o     cutting.Options
	gains [][]Pulled // of each plan so far
}

// fill gives the plans what fills their gaps. All are cut from what is left together, again
// and again: each time the cloth that only one is cut from goes to that one. Where all is
// shared, one piece of cloth goes to each plan, the largest first, to the one for whose largest
// pieces it is cut, which are the hardest to place, or else to the one that lacks most.
func (p *parting) fill() error {
	for exchanges := 0; ; {
		var wants []cutting.Want
		var owner []int                         // of each want
		missing := make([]float64, len(p.kept)) // of each plan, square inches
		left := p.all
		for i := range p.kept {
			lacks, err := p.lacks(i, p.gains[i])
			if err != nil {
				return err
			}
			for _, w := range lacks {
				if w.Set > 0 { // a set belongs to one plan
					w.Set += i * mostSets
				}
				wants, owner = append(wants, w), append(owner, i)
				missing[i] += w.W * w.L * float64(w.Count)
			}
			left, _ = Leave(left, p.gains[i])
		}
		if wants == nil {
			return nil
		}
		cover, err := cutting.FromStash(wants, left, p.o)
		if err != nil {
			return err
		}
		given := false
		give := func(to int, pulled Pulled) { p.gains[to], given = append(p.gains[to], pulled), true }
		for _, r := range cover.Ready {
			give(owner[r.Want], Pulled{r.ID, r.Count})
		}
		var shared []cutting.Diagram
		for _, c := range cover.Cuts {
			if slices.ContainsFunc(c.Pieces, func(q cutting.Placement) bool { return owner[q.Want] != owner[c.Pieces[0].Want] }) {
				shared = append(shared, c)
			} else {
				give(owner[c.Pieces[0].Want], Pulled{c.ID, 1})
			}
		}
		if !given {
			got := map[int]bool{}
			slices.SortStableFunc(shared, func(a, b cutting.Diagram) int { return cmp.Compare(b.Width*b.Length, a.Width*a.Length) })
			for _, c := range shared {
				largest := slices.MaxFunc(c.Pieces, func(a, b cutting.Placement) int {
					return cmp.Or(cmp.Compare(a.W*a.H, b.W*b.H), cmp.Compare(missing[owner[a.Want]], missing[owner[b.Want]]))
				})
				if to := owner[largest.Want]; !got[to] {
					got[to] = true
					give(to, Pulled{c.ID, 1})
				}
			}
		}
		if !given && exchanges < mostExchanges {
			exchanges++
			if given, err = p.exchange(left); err != nil {
				return err
			}
		}
		if !given {
			return nil
		}
	}
}

// mostSets is more kinds of sets than a quilt has.
const mostSets = 1 << 20

// mostExchanges bounds the exchanges, since plans could hand a piece of cloth back and
// forth without end.
const mostExchanges = 50

// exchange gives a plan that lacks something one piece of cloth that another plan can do
// without, or can make good from what is left, or finds that it is better cut from what it
// has and what is left, both anew.
func (p *parting) exchange(left []cloth.Holding) (bool, error) {
	for to := range p.kept {
		lacks, err := p.lacks(to, p.gains[to])
		if err != nil {
			return false, err
		}
		if lacks == nil {
			continue
		}
		cover, err := cutting.FromStash(p.wants(to), append(only(p.all, counts(p.gains[to])), left...), p.o)
		if err != nil {
			return false, err
		}
		if _, _, short := (Pull{Wants: p.wants(to), Cover: cover}).Totals(); short < pieces(lacks) {
			p.gains[to] = Pull{Cover: cover}.Pulled()
			return true, nil
		}
		for from := range p.kept {
			before, err := p.lacks(from, p.gains[from])
			if err != nil {
				return false, err
			}
			for k, one := range p.gains[from] {
				if from == to {
					break
				}
				one.Count = 1
				less := slices.Clone(p.gains[from])
				if less[k].Count--; less[k].Count == 0 {
					less = slices.Delete(less, k, k+1)
				}
				more := append(slices.Clone(p.gains[to]), one)
				then, err := p.lacks(to, more)
				if err != nil {
					return false, err
				}
				if pieces(then) >= pieces(lacks) {
					continue
				}
				rest, err := lacking(p.wants(from), append(only(p.all, counts(less)), left...), p.o)
				if err != nil {
					return false, err
				}
				if pieces(then)+pieces(rest) < pieces(lacks)+pieces(before) {
					p.gains[from], p.gains[to] = less, more
					return true, nil
				}
			}
		}
	}
	return false, nil
}

func pieces(wants []cutting.Want) (n int) {
	for _, w := range wants {
		n += w.Count
	}
	return n
}

// wants returns what a plan lacks beyond what it pulled when it was kept.
func (p *parting) wants(plan int) (wants []cutting.Want) {
	for _, g := range p.kept[plan].Gaps {
		if g.InAnyPrint() {
			w := cutting.Want{Name: g.Quilt, W: g.WidthIn, L: g.LengthIn, Count: g.Pieces, Set: g.Set, Each: g.Each}
			w.Families, w.Values = Allowed(g.Family, g.Tone)
			wants = append(wants, w)
		}
	}
	return wants
}

// lacks returns what a plan lacks still when it gains some cloth.
func (p *parting) lacks(plan int, gains []Pulled) ([]cutting.Want, error) {
	wants := p.wants(plan)
	if wants == nil {
		return nil, nil
	}
	return lacking(wants, only(p.all, counts(gains)), p.o)
}

// lacking returns what some stock does not give of what is wanted; nil: nothing.
func lacking(wants []cutting.Want, stock []cloth.Holding, o cutting.Options) (short []cutting.Want, err error) {
	cover, err := cutting.FromStash(wants, stock, o)
	if err != nil {
		return nil, err
	}
	for i, w := range wants {
		if w.Count = cover.Short[i]; w.Count > 0 {
			short = append(short, w)
		}
	}
	return short, nil
}

// counts adds up what was pulled of each holding.
func counts(pulled []Pulled) map[int64]int {
	of := map[int64]int{}
	for _, p := range pulled {
		of[p.ID] += p.Count
	}
	return of
}
