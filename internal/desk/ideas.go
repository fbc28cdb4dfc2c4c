package desk

import (
	"context"
	"errors"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// ErrNoneNamed: recipes that are named are asked for alone, and none is.
var ErrNoneNamed = errors.New("no recipe is named")

// IdeasRequest asks which quilts the stash covers now.
type IdeasRequest struct {
	Recipes []*recipe.Recipe // of your own, beside those built in
	Only    bool             // your own alone
	// Matching is which patches match, recipe.UsualMatching or NoMatching; empty: as the
	// recipes have it.
	Matching string
	Shop     plan.Shop
	Most     int // how many are told; 0: all
}

// Ideas are quilts that the stash covers now, as plan.Ideas has them.
type Ideas struct {
	plan.Found
	Holdings []cloth.Holding
	System   recipe.System
	Left     []LeftTo // what of the stash other quilts have pulled
	Named    []string // the recipes of your own that were asked for
}

// Ideas finds which quilts the stash covers now, but for what kept plans take. Errors:
// ErrNoStash, ErrPlanUnread, ErrNoneNamed.
func (d *Desk) Ideas(ctx context.Context, r IdeasRequest) (Ideas, error) {
	out := Ideas{System: r.Shop.System}
	recipes := r.Recipes
	for _, own := range recipes {
		out.Named = append(out.Named, own.Name)
	}
	if r.Only && len(recipes) == 0 {
		return out, fault.Usage("", "only recipes that you name are asked for, and none is named", "name a recipe, or ask for all", ErrNoneNamed)
	}
	if !r.Only {
		for _, name := range recipe.Names() {
			b, err := recipe.BuiltIn(name)
			if err != nil {
				return out, err
			}
			recipes = append(recipes, b)
		}
	}
	recipes = slices.Clone(recipes)
	for i, of := range recipes {
		var err error
		if recipes[i], err = of.Match(r.Matching); err != nil {
			return out, err
		}
	}
	st, err := d.readingOne()
	if err != nil {
		return out, err
	}
	p := Plan{System: r.Shop.System}
	free, err := d.free(ctx, st, &p, PlanRequest{})
	if err != nil {
		return out, err
	}
	out.Holdings, out.Left = p.Holdings, p.Left
	out.Found, err = plan.Ideas(recipes, free.stock, r.Shop, free.cut, r.Most)
	return out, err
}

// Used returns a function for OneOfEach that names the cloth of the quilts told, of each
// role only as many pieces as are drawn.
func (i Ideas) Used() func(cloth.Holding) string {
	const most = 24
	used := map[int64]bool{}
	for _, x := range i.Ideas {
		for _, ids := range x.Cloth {
			for k := range min(most, len(ids)) {
				used[ids[k*len(ids)/min(most, len(ids))]] = true
			}
		}
	}
	return func(h cloth.Holding) string {
		if !used[h.ID] {
			return ""
		}
		return numbered(h.ID)
	}
}
