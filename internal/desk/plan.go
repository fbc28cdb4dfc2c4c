package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// PlanRequest asks for a quilt to be worked out.
type PlanRequest struct {
	Name       string // of the quilt; empty: its recipe's, or that of Save
	Order      plan.Order
	Shop       plan.Shop // OneByOne is set by NoStash: scraps are too short for strip sets
	NoStash    bool      // do not look into the stash; nothing is saved then
	Background string    // the print of the stash that the background is cut from; empty: it is bought
	Prefer     cutting.Prefer
	// Choose has the block width, unless Fixed is set, and the methods chosen that use the
	// cloth of the stash best: see plan.Choose.
	Choose, Fixed bool
	// BetweenIn asks for pairs of squares of a size, as cut, to sew between other seams;
	// 0: none. Errors: of kind fault.ErrUsage where no one sews squares of it.
	BetweenIn float64
	Picture   bool   // lay what is pulled out for a picture
	Save      string // the name to keep the plan under; empty: it is not kept
}

// Plan is a quilt's needs, held against a stash or not.
type Plan struct {
	Quilt    string // what the quilt is called
	Kept     string // the name it is kept by, cleaned; empty: it is not kept
	Needs    *plan.Needs
	System   recipe.System
	Pull     *plan.Pull      // nil: held against no stash
	Choice   *plan.Choice    // nil: the recipe is as it stands
	Holdings []cloth.Holding // that Pull.Stock was taken of, for their colours
	Ground   *contrast.Print // the background's print, where it was measured
	// Drawn is what is pulled, laid out quickly, for a picture to plan by; nil where none
	// was asked for or nothing is pulled.
	Drawn    *Arrangement
	Between  *plan.Between // nil: not asked for
	Left     []LeftTo      // what of the stash other quilts have pulled
	Replaced bool          // a plan was kept under its name before
}

// LeftTo is cloth that another quilt has pulled.
type LeftTo struct {
	Quilt  string `json:"quilt"`
	Pieces int    `json:"pieces"`
}

// Plan works out what a quilt is cut from and looks for it in the stash, apart from what
// plans kept under other names take. It keeps the plan where a name is given. Errors: of
// kind fault.ErrUsage where the request cannot be met; ErrNoPrint, ErrPlanUnread.
func (d *Desk) Plan(ctx context.Context, r PlanRequest) (Plan, error) {
	if err := r.Check(); err != nil {
		return Plan{}, err
	}
	r.Shop.OneByOne = !r.NoStash
	if err := r.cleanName(); err != nil {
		return Plan{}, err
	}
	needs, err := plan.Need(r.Order, r.Shop)
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Quilt: r.Name, Kept: r.Save, Needs: needs, System: r.Shop.System}
	for _, name := range []string{r.Save, r.Order.Recipe.Name} {
		if p.Quilt == "" {
			p.Quilt = name
		}
	}
	if r.NoStash {
		return p, nil
	}
	if err := d.holdAgainst(ctx, &p, r); err != nil {
		return p, err
	}
	if r.Picture && p.Pull != nil {
		if err := p.draw(ctx, r); err != nil {
			return p, err
		}
	}
	if r.Save == "" || ctx.Err() != nil {
		return p, ctx.Err()
	}
	return p, d.savePlan(ctx, &p, r.Save)
}

// Check refuses what cannot be asked for together, and pairs that no one sews.
func (r PlanRequest) Check() error {
	if r.NoStash {
		for _, x := range []struct {
			asked bool
			lacks string
		}{
			{r.Choose, "nothing to choose the block by"},
			{r.Background != "", "no print for the background"},
			{r.Shop.StripSets, "no strip to sew strip sets of"},
			{r.BetweenIn > 0, "no pair to sew between"},
			{r.Save != "", "nothing to keep the plan with"},
		} {
			if x.asked {
				return fault.Usage("", "without the stash there is "+x.lacks, "look into the stash, or leave that off", ErrWithout)
			}
		}
	}
	if b := r.BetweenIn; b != 0 && !(b >= plan.BetweenLeast && b <= plan.BetweenMost) {
		f := r.Shop.System.Format
		return fault.Usage("", fmt.Sprintf("pairs of squares of %s are not sewn between other seams", f(b)), fmt.Sprintf("give %s to %s", f(plan.BetweenLeast), f(plan.BetweenMost)), ErrBetween)
	}
	return nil
}

// cleanName makes the name to keep the quilt by as the stash keeps names.
func (r *PlanRequest) cleanName() error {
	given := r.Save
	if r.Save = stash.CleanName(given); r.Save == "" && given != "" {
		return fault.Usage("", "a name of spaces alone keeps no quilt", "write one, like \"winter quilt\"")
	}
	return nil
}

// holdAgainst looks for a quilt's pieces in the stash; where there is none yet the plan
// stands by itself.
func (d *Desk) holdAgainst(ctx context.Context, p *Plan, r PlanRequest) error {
	st, err := d.reading()
	if err != nil {
		return err
	}
	if st == nil {
		if r.Choose {
			return fault.New("", "there is no stash yet to choose by", "stow it first, or plan the recipe as it stands", ErrNoStash, fault.ErrUsage)
		}
		if r.Background != "" {
			return fault.New(r.Background, "there is no stash yet to take this background from", "stow it first, or plan without it", ErrNoGround)
		}
		return nil
	}
	w, err := d.free(ctx, st, p, r)
	if err != nil {
		return err
	}
	if r.Choose {
		choice, err := plan.Choose(r.Order, r.Shop, r.Fixed, w.stock, w.own, r.Background, w.cut)
		if err != nil {
			return err
		}
		p.Choice, p.Needs, p.Pull = &choice, choice.Needs, &choice.Pull
	} else {
		pull, err := plan.FromStash(p.Needs, w.stock, w.own, r.Background, w.cut)
		if err != nil {
			return err
		}
		p.Pull = &pull
	}
	p.Needs = p.Pull.Needs
	for _, note := range []string{p.Pull.CouldSew(w.stock, w.own, r.Background, w.cut), p.Pull.Unsewn} {
		if note != "" {
			p.Needs.Notes = append(p.Needs.Notes, note)
		}
	}
	if r.BetweenIn > 0 {
		between := p.Pull.PairsBetween(r.BetweenIn, w.stock, r.Background, w.cut)
		p.Between = &between
	}
	return nil
}

// freeCloth is the cloth that a quilt may be cut from.
type freeCloth struct {
	stock []cloth.Holding // without what other quilts have pulled
	own   []plan.Pulled   // of it: what is the quilt's already
	cut   cutting.Options // how it is cut
	laid  *plan.Laid      // as it was laid out and kept; nil where it was not
}

// free returns the cloth that a quilt may be cut from. It sets p.Left to what other quilts
// have pulled, and p.Replaced to whether the quilt is kept already.
func (d *Desk) free(ctx context.Context, st *stash.Stash, p *Plan, r PlanRequest) (w freeCloth, err error) {
	if p.Holdings, err = st.Holdings(ctx, stash.Filter{}); err != nil {
		return w, err
	}
	settings, err := st.Settings(ctx)
	if err != nil {
		return w, err
	}
	if r.Background != "" && !held(p.Holdings, r.Background) {
		return w, fault.New(r.Background, "the stash holds no such print", "name one that it holds", ErrNoPrint)
	}
	p.Ground = groundOf(p.Holdings, r.Background)
	quilts, err := plannedQuilts(ctx, st)
	if err != nil {
		return w, err
	}
	w.stock, w.cut = p.Holdings, cuttingOptions(settings, p.System.Metric, r.Prefer)
	shares, err := plan.Shares(w.stock, savedPlans(quilts), w.cut)
	if err != nil {
		return w, err
	}
	for i, q := range quilts {
		if q.quilt == r.Save {
			w.own, w.laid, p.Replaced = shares[i], q.Laid, true
			continue
		}
		taken := 0
		if w.stock, taken = plan.Leave(w.stock, shares[i]); taken > 0 {
			p.Left = append(p.Left, LeftTo{Quilt: q.quilt, Pieces: taken})
		}
	}
	return w, nil
}

// pictureEffort is the effort of the search for a layout that is only looked at: enough
// that no two alike touch where that is easy.
const pictureEffort = 0.02

// draw lays out what a plan pulls: every piece of cloth in a patch that it is cut for.
func (p *Plan) draw(ctx context.Context, r PlanRequest) error {
	a := Arrangement{Plan: *p}
	b := newBuilder(&a, p.Needs.Recipe, r.Shop, r.Background)
	b.links(false)
	b.grounds()
	b.pulled(*p.Pull)
	if len(a.Problem.Pieces) == 0 {
		return nil
	}
	a.Problem.Look, a.Problem.Effort = arrange.Even, pictureEffort
	laid, err := a.lay(ctx, 1, nil)
	if err != nil {
		return err
	}
	laid.Touches = nil // nobody asked for them
	a.Laid = []Variant{laid}
	p.Drawn = &a
	return nil
}

// groundOf returns the background's print among holdings, nil where none is named or it was
// never measured.
func groundOf(holdings []cloth.Holding, background string) *contrast.Print {
	for _, p := range heldPrints(holdings) {
		if p.Name == background {
			return &p
		}
	}
	return nil
}

// savePlan keeps what a plan takes and lacks.
func (d *Desk) savePlan(ctx context.Context, p *Plan, name string) error {
	st, err := d.changing()
	if err != nil {
		return err
	}
	pull, err := p.pulled("")
	if err != nil {
		return err
	}
	return saveQuilt(ctx, st, name, pull.Saved(name))
}

// pulled returns the quilt as held against the stash, or against an empty one where it was
// not held against any.
func (p *Plan) pulled(background string) (*plan.Pull, error) {
	if p.Pull != nil {
		return p.Pull, nil
	}
	none, err := plan.FromStash(p.Needs, nil, nil, background, cutting.Options{})
	return &none, err
}

// ForgetPlan takes a saved plan away, also one that cannot be read.
func (d *Desk) ForgetPlan(ctx context.Context, name string) (stash.Change, error) {
	return ask(d.changing, func(st *stash.Stash) (stash.Change, error) {
		kept, err := st.Plans(ctx)
		if err != nil {
			return stash.Change{}, err
		}
		var names []string
		for _, p := range kept {
			names = append(names, p.Name)
		}
		name = stash.CleanName(name)
		if !slices.Contains(names, name) {
			return stash.Change{}, noSuchPlan(name, names)
		}
		return st.SavePlan(ctx, name, nil)
	})
}

// planned is a plan that was saved.
type planned struct {
	quilt string
	at    time.Time
	plan.Saved
}

// plannedQuilts reads the saved plans, in the order the stash gives them.
func plannedQuilts(ctx context.Context, st *stash.Stash) ([]planned, error) {
	all, err := st.Plans(ctx)
	if err != nil {
		return nil, err
	}
	var out []planned
	for _, p := range all {
		q := planned{quilt: p.Name, at: time.UnixMilli(p.At).UTC()}
		if err := json.Unmarshal(p.Plan, &q.Saved); err != nil {
			return nil, fault.New(p.Name, "the plan cannot be read", "take it away and plan it anew", ErrPlanUnread, err)
		}
		out = append(out, q)
	}
	return out, nil
}

func savedPlans(quilts []planned) []plan.Saved {
	out := make([]plan.Saved, len(quilts))
	for i, q := range quilts {
		out[i] = q.Saved
	}
	return out
}

// shelfNeeds returns what the planned quilts take from the bins. Strips count as strips;
// only their plan knows how long they must be.
func shelfNeeds(quilts []planned) []shelf.Need {
	var out []shelf.Need
	for _, q := range quilts {
		for _, t := range q.Takes {
			h := cloth.Holding{Form: t.Form, Family: t.Family, Value: t.Value, Bin: t.Bin, WidthIn: t.WidthIn, LengthIn: t.LengthIn}
			out = append(out, shelf.Need{Quilt: q.quilt, Alike: shelf.AlikeOf(h), Cut: shelf.CutOf(h), Count: t.Count, Hue: t.Family, Shade: t.Value})
		}
	}
	return out
}

// withSetsLeft returns planned quilts with the sets that they still lack.
func withSetsLeft(ctx context.Context, st *stash.Stash, quilts []planned, set stash.Settings) ([]planned, error) {
	if !slices.ContainsFunc(quilts, func(q planned) bool { return slices.ContainsFunc(q.Gaps, func(g plan.Gap) bool { return g.Set > 0 }) }) {
		return quilts, nil
	}
	held, err := st.Holdings(ctx, stash.Filter{})
	if err != nil {
		return nil, err
	}
	gaps, err := plan.SetsLeft(held, savedPlans(quilts), cuttingOptions(set, false, ""))
	if err != nil {
		return nil, err
	}
	quilts = slices.Clone(quilts)
	for i := range quilts {
		quilts[i].Gaps = gaps[i]
	}
	return quilts, nil
}

// shelfLacks returns the pieces that the planned quilts found no cloth for.
func shelfLacks(quilts []planned) []shelf.Lack {
	var out []shelf.Lack
	for _, q := range quilts {
		for _, g := range q.Gaps {
			if !g.InAnyPrint() {
				continue
			}
			role := recipe.Role{Value: g.Tone}
			lack := shelf.Lack{Quilt: q.quilt, Family: g.Family, Tone: string(g.Tone), Cut: shelf.CutOf(cutHolding(g.WidthIn, g.LengthIn)), Count: g.Pieces, Set: g.Set, Each: g.Each}
			for _, v := range cloth.Values {
				if role.Suits("", v) {
					lack.Values = append(lack.Values, v)
				}
			}
			out = append(out, lack)
		}
	}
	return out
}

// cutHolding returns a holding of a piece cut to a width and a length, inches.
func cutHolding(width, length float64) cloth.Holding {
	h := cloth.Holding{Form: cloth.Rectangle, WidthIn: min(width, length), LengthIn: max(width, length)}
	if width == length {
		h.Form = cloth.Square
	}
	return h
}

// noSuchPlan says that no plan is kept under a name, and which are.
func noSuchPlan(name string, kept []string) error {
	remedy := "none is kept"
	if kept != nil {
		remedy = "those kept are " + strings.Join(kept, ", ")
	}
	return fault.New(name, "there is no plan of this name", remedy, ErrNoPlan)
}

// cuttingOptions returns the stash's settings as package cutting takes them.
func cuttingOptions(s stash.Settings, metric bool, prefer cutting.Prefer) cutting.Options {
	return cutting.Options{Trim: s.TrimIn, Metric: metric, Prefer: prefer}
}
