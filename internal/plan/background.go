package plan

import "piecebag/internal/cutting"

// BackgroundIn returns the length of cloth, across the full width of the fabric and
// before rounding, inches, that gives the pieces of the background which the stash
// lacks; 0 where it lacks none, or was not asked for any.
func (p Pull) BackgroundIn() (float64, error) {
	roll := p.Needs.Shop.roll()
	var needs []cutting.Want
	for i, w := range p.Wants {
		if p.Roles[i].Background && p.Cover.Short[i] > 0 {
			needs = append(needs, cutting.Want{W: w.W, L: w.L, Count: p.Cover.Short[i]})
		}
	}
	if needs == nil {
		return 0, nil
	}
	lay, err := cutting.Lay(roll, needs)
	return lay.Inches * (1 + roll.Shrink), err
}
