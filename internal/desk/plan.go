package desk

import (
	"context"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
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
	Save       string // the name to keep the plan under; empty: it is not kept
}

// Plan is a quilt's needs, held against a stash or not.
type Plan struct {
	Quilt    string // what the quilt is called
	Needs    *plan.Needs
	System   recipe.System
	Pull     *plan.Pull      // nil: held against no stash
	Holdings []cloth.Holding // that Pull.Stock was taken of, for their colours
	Ground   *contrast.Print // the background's print, where it was measured
	Left     []LeftTo        // what of the stash other quilts have pulled
	Replaced bool            // a plan was kept under its name before
}

// LeftTo is cloth that another quilt has pulled.
type LeftTo struct {
	Quilt  string `json:"quilt"`
	Pieces int    `json:"pieces"`
}

// Plan works out what a quilt is cut from and looks for it in the stash, but for what
// the plans kept under other names take; it keeps the plan where a name is given to
// keep it by. Errors: of kind fault.ErrUsage where the wish cannot be met; ErrNoPrint,
// ErrPlanUnread.
func (d *Desk) Plan(ctx context.Context, r PlanRequest) (Plan, error) {
	r.Shop.OneByOne = !r.NoStash
	needs, err := plan.Need(r.Order, r.Shop)
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Quilt: r.Name, Needs: needs, System: r.Shop.System}
	for _, name := range []string{r.Save, r.Order.Recipe.Name} {
		if p.Quilt == "" {
			p.Quilt = name
		}
	}
	if r.NoStash {
		return p, nil
	}
	if err := d.holdAgainst(ctx, &p, r); err != nil || r.Save == "" {
		return p, err
	}
	return p, d.savePlan(ctx, &p, r.Save)
}

// holdAgainst looks for a quilt's pieces in the stash; where there is none yet the plan
// stands by itself.
func (d *Desk) holdAgainst(ctx context.Context, p *Plan, r PlanRequest) error {
	st, err := d.reading()
	if err != nil {
		return err
	}
	if st == nil {
		if r.Background != "" {
			return fault.New(r.Background, "there is no stash yet to take this background from", "stow it first, or plan without it", ErrNoGround)
		}
		return nil
	}
	stock, own, o, err := d.free(ctx, st, p, r)
	if err != nil {
		return err
	}
	pull, err := plan.FromStash(p.Needs, stock, own, r.Background, o)
	if err != nil {
		return err
	}
	p.Pull = &pull
	return nil
}

// free is the cloth that a quilt may be cut from, what of it is its own already, and
// how it is cut; what other quilts have pulled goes into p.Left.
func (d *Desk) free(ctx context.Context, st *stash.Stash, p *Plan, r PlanRequest) (stock []cloth.Holding, own []plan.Pulled, o cutting.Options, err error) {
	if p.Holdings, err = st.Holdings(ctx, stash.Filter{}); err != nil {
		return nil, nil, o, err
	}
	settings, err := st.Settings(ctx)
	if err != nil {
		return nil, nil, o, err
	}
	if r.Background != "" {
		for _, print := range heldPrints(p.Holdings) {
			if print.Name == r.Background {
				p.Ground = &print
			}
		}
		if !held(p.Holdings, r.Background) {
			return nil, nil, o, fault.New(r.Background, "the stash holds no such print", "name one that it holds", ErrNoPrint)
		}
	}
	quilts, err := plannedQuilts(ctx, st)
	if err != nil {
		return nil, nil, o, err
	}
	stock, o = p.Holdings, cuttingOptions(settings, p.System.Metric, r.Prefer)
	shares, err := plan.Shares(stock, savedPlans(quilts), o)
	if err != nil {
		return nil, nil, o, err
	}
	for i, q := range quilts {
		if q.quilt == r.Save {
			own = shares[i]
			continue
		}
		taken := 0
		if stock, taken = plan.Leave(stock, shares[i]); taken > 0 {
			p.Left = append(p.Left, LeftTo{Quilt: q.quilt, Pieces: taken})
		}
	}
	return stock, own, o, nil
}

// savePlan keeps what a plan takes and lacks.
func (d *Desk) savePlan(ctx context.Context, p *Plan, name string) error {
	st, err := d.changing()
	if err != nil {
		return err
	}
	quilts, err := plannedQuilts(ctx, st)
	if err != nil {
		return err
	}
	p.Replaced = slices.ContainsFunc(quilts, func(q planned) bool { return q.quilt == name })
	pull, err := p.pulled("")
	if err != nil {
		return err
	}
	return saveQuilt(ctx, st, name, pull.Saved(name))
}

// pulled is the quilt held against the stash, or against none where it was not.
func (p *Plan) pulled(background string) (*plan.Pull, error) {
	if p.Pull != nil {
		return p.Pull, nil
	}
	none, err := plan.FromStash(p.Needs, nil, nil, background, cutting.Options{})
	return &none, err
}

// ForgetPlan takes a saved plan away, also one that cannot be read.
func (d *Desk) ForgetPlan(ctx context.Context, name string) (stash.Change, error) {
	st, err := d.changing()
	if err != nil {
		return stash.Change{}, err
	}
	kept, err := st.Plans(ctx)
	if err != nil {
		return stash.Change{}, err
	}
	var names []string
	for _, p := range kept {
		names = append(names, p.Name)
	}
	if !slices.Contains(names, name) {
		return stash.Change{}, noSuchPlan(name, names)
	}
	return st.SavePlan(ctx, name, nil)
}
