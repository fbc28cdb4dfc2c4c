package report

import (
	"io"
	"slices"

	"piecebag/internal/arrange"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// RecipeJSON writes the recipe as it was read, its patches in finished inches.
func RecipeJSON(w io.Writer, r *recipe.Recipe, s recipe.System) error {
	cuts := blockCuts(r, s)
	blocks := make([]object, len(r.Blocks))
	for i, b := range r.Blocks {
		blocks[i] = object{
			{"name", b.Name}, {"columns", b.Columns}, {"rows", b.Rows}, {"patches", patchesJSON(r.BlockLayout(i))}, {"cut_for_one", mapped(cuts[i], cutJSON)},
		}
	}
	return encode(w, object{
		{"name", r.Name}, {"about?", r.About}, {"width_in", inchesJSON(r.WidthIn)}, {"height_in", inchesJSON(r.HeightIn)}, {"setting", r.Setting.Kind},
		{"blocks", blocks},
		{"roles", mapped(lettersOf(r), func(role recipe.Role) object {
			return object{{"name", role.Name}, {"background?", role.Background}, {"value?", role.Value}, {"family?", role.Family}}
		})},
	})
}

// JSON writes the plan for other programs, lengths in inches; the arithmetic only where
// it was asked for.
func (p Plan) JSON(w io.Writer) error {
	n := p.Needs
	var cover object
	if p.Pull != nil {
		cover = p.coverJSON()
	}
	var why *recipe.Why
	if p.Why {
		why = &n.Why
	}
	ways := []object{}
	for i, b := range n.Backing.Ways {
		ways = append(ways, object{
			{"seams", b.Seams}, {"panels", b.Panels}, {"panel_in", inchesJSON(b.PanelIn)}, {"length_in", inchesJSON(b.LengthIn)},
			{"buy_in", inchesJSON(b.BuyIn)}, {"buy", b.Buy}, {"best", i == n.Backing.Best},
		})
	}
	return encode(w, object{
		{"quilt", p.Quilt}, {"recipe", n.Recipe.Name}, {"width_in", inchesJSON(n.WidthIn)}, {"length_in", inchesJSON(n.LengthIn)},
		{"columns", n.Columns}, {"rows", n.Rows}, {"blocks", n.Places.Count()}, {"pieces", mapped(n.Cuts, cutJSON)},
		{"cloth", mapped(n.Yardage, func(y plan.Yardage) object {
			return object{{"role", y.Role.Name}, {"pieces", y.Pieces}, {"length_in", inchesJSON(y.LengthIn)}, {"buy_in", inchesJSON(y.BuyIn)}, {"buy", y.Buy}}
		})},
		{"borders?", mapped(n.Borders, func(b plan.BorderNeed) object {
			return object{
				{"for", b.What}, {"role", b.Role.Name}, {"cut_in", inchesJSON(b.CutIn)}, {"side_in", inchesJSON(b.SideIn)}, {"top_in", inchesJSON(b.TopIn)},
				{"strips", b.Strips},           // joined by straight seams
				{"strips_diagonal?", b.Aslant}, // joined on the diagonal
				{"mitred", b.Mitred},
			}
		})},
		{"binding", object{{"role", n.Binding.Role.Name}, {"cut_in", inchesJSON(n.Binding.CutIn)}, {"round_in", inchesJSON(n.Binding.RoundIn)}, {"strips", n.Binding.Strips}}},
		{"backing", ways}, {"block_backs?", mapped(backCuts(n), cutJSON)}, {"stash?", cover}, {"choice?", p.choiceJSON()}, {"notes", some(slices.Concat(n.Notes, n.Tight))},
		// Patches that may come out on their side or on their head; has_an_up is as was said
		// with --one-way.
		{"may_be_turned?", mapped(n.Turned, func(t recipe.Turned) object {
			return object{{"role", t.Role.Name}, {"in", t.What}, {"patches", t.Patches}, {"has_an_up", slices.Contains(n.Shop.OneWay, t.Role.Name)}}
		})},
		{"why?", why}, {"patches", patchesJSON(n.Recipe.QuiltLayout(n.Columns, n.Rows))},
	})
}

// choiceJSON returns what was chosen for the stash; of as_is as the recipe stands.
func (p Plan) choiceJSON() object {
	c := p.Choice
	if c == nil {
		return nil
	}
	use := func(u plan.Use) object {
		return object{
			{"block_in", inchesJSON(u.Recipe.WidthIn)}, {"at_a_time?", recipe.AtATimeText(u.Recipe.AtATime)}, {"width_in", inchesJSON(u.WidthIn)}, {"length_in", inchesJSON(u.LengthIn)},
			{"wanted", u.Wanted}, {"covered", u.Covered}, {"as_they_are?", u.AsTheyAre}, {"cloth_in2", inchesJSON(u.ClothIn2)}, {"in_patches_in2", inchesJSON(u.In2)},
		}
	}
	return append(use(c.Best[0]), object{{"saved_in2", inchesJSON(c.SavedIn2())}, {"as_is", use(c.AsIs)}, {"others?", mapped(c.Best[1:], use)}, {"reckoned", c.Reckoned}, {"weighed", c.Weighed}}...)
}

// betweenJSON returns pairs to sew between other seams, where they were asked for.
func betweenJSON(b *plan.Between) object {
	if b == nil {
		return nil
	}
	return object{
		{"side_in", inchesJSON(b.SideIn)}, {"light", b.Light}, {"medium", b.Medium}, {"dark", b.Dark}, {"pairs", b.Pairs}, {"four_patches", b.Blocks},
		{"columns", b.Columns}, {"rows", b.Rows}, {"width_in", inchesJSON(b.WidthIn)}, {"length_in", inchesJSON(b.LengthIn)},
	}
}

// backCuts returns the backs of blocks that are quilted one by one, and what joins them.
func backCuts(n *plan.Needs) []recipe.Lot {
	if n.Backing.AsYouGo == nil {
		return nil
	}
	return n.Backing.AsYouGo.Cloth.Cuts
}

// cutJSON returns pieces to cut; with no length they are strips as long as the cloth is wide.
func cutJSON(c recipe.Lot) object {
	return object{
		{"role", c.Role.Name}, {"count", c.Count}, {"width_in", inchesJSON(c.WidthIn)}, {"length_in?", inchesJSON(c.LengthIn)}, {"split?", c.Split}, {"any_width_in2?", round(c.AnyIn2, 100)}, {"for", c.For},
	}
}

// patchesJSON returns patches in finished inches from the top left.
func patchesJSON(l recipe.Top) []object {
	return mapped(l.Patches, func(p recipe.Patch) object {
		return object{{"role", p.Role.Name}, {"kind", p.Kind}, {"polygon", finished(p.Polygon)}}
	})
}

// finished returns an outline in a quilt, finished inches from the top left.
func finished(g geom.Polygon) [][2]float64 { return points(g, 1e4) }

// inchesJSON keeps a length to a ten-thousandth of an inch, far under a thread.
func inchesJSON(in float64) float64 { return round(in, 1e4) }

// coverJSON returns what of the stash is pulled and cut for a plan, and what is still wanted.
func (p Plan) coverJSON() object {
	c := p.Pull.Cover
	wants := []object{}
	for i, w := range p.Pull.Wants {
		wants = append(wants, object{
			{"name", w.Name}, {"role", p.Pull.Roles[i].Name}, {"width_in", inchesJSON(w.W)}, {"length_in", inchesJSON(w.L)}, {"wanted", w.Count},
			{"covered", c.Covered[i]}, {"short", c.Short[i]}, {"prints", c.Prints[i]},
		})
	}
	sets := mapped(p.Pull.Sets(), func(m plan.MatchedSets) object {
		return object{{"role", m.Role.Name}, {"wanted", m.Count}, {"covered", m.Covered}, {"pieces", mapped(m.Pieces, func(c recipe.SizeCount) object {
			return object{{"width_in", inchesJSON(c.WidthIn)}, {"length_in", inchesJSON(c.LengthIn)}, {"count", c.Count}}
		})}}
	})
	return append(append(object{{"wants", wants}, {"sets?", sets}}, p.pulledJSON()...), object{
		{"strip_sets?", p.stripSetsJSON()}, {"joined?", p.stripsJSON()},
		// Strings and crumbs, as they come.
		{"any_width?", mapped(p.Pull.Scraps, func(x plan.Scraps) object {
			return object{{"role", x.Role.Name}, {"for", x.For}, {"wanted_in2", round(x.WantedIn2, 100)}, {"given_in2", round(x.GivenIn2, 100)}, {"lacking?", round(x.Lacking, 1e4)}, {"lengths?", x.Lengths}, {"pull", some(x.Pulled)}}
		})},
		{"between?", betweenJSON(p.Between)},
		{"still_wanted", some(p.Pull.Gaps(p.Quilt))}, {"waste_in2", round(c.Waste, 100)}, {"optimal", c.Optimal}, {"cuts", c.CutCount}, {"left_to?", p.Left},
	}...)
}

// pulledJSON returns what is pulled, of that what is taken as it is, and what is cut. A want is
// an index into what was wanted; short_in is how much smaller than that a side is. Pieces
// lie x across the width and y along the length, after trimming.
func (p Plan) pulledJSON() object {
	c := p.Pull.Cover
	return object{
		{"pull", mapped(c.Pulls, func(pull cutting.PullList) object {
			return object{{"basket?", pull.Basket}, {"pieces", mapped(pull.Lines, func(l cutting.PullLine) object {
				s := p.Pull.Stock[l.Stock]
				return object{
					{"id", s.ID}, {"form", s.Form}, {"family?", s.Family}, {"value?", s.Value}, {"bin?", s.Bin}, {"print?", s.Print},
					{"width_in?", inchesJSON(s.WidthIn)}, {"length_in?", inchesJSON(s.LengthIn)}, {"count", l.Count},
				}
			})}}
		})},
		{"whole", mapped(c.Ready, func(r cutting.Ready) object {
			return object{{"id", r.ID}, {"want", r.Want}, {"count", r.Count}, {"short_in?", inchesJSON(r.Short)}}
		})},
		{"cut", mapped(c.Cuts, func(d cutting.Diagram) object {
			return object{
				{"id", d.ID}, {"width_in", inchesJSON(d.Width)}, {"length_in", inchesJSON(d.Length)}, {"trim_in", inchesJSON(d.Trim)}, {"steps", p.steps(d, false)},
				{"pieces", mapped(d.Pieces, func(q cutting.Placement) object { return append(object{{"want", q.Want}}, boxJSON(q.Rect)...) })},
				{"remains?", mapped(d.Remains, func(r cutting.Remnant) object {
					bin := ""
					if r.Kept {
						bin = p.Pull.Stock[d.Stock].Alike() + " " + r.Cut
					}
					return object{{"width_in", inchesJSON(r.W)}, {"length_in", inchesJSON(r.H)}, {"kept", r.Kept}, {"bin?", bin}, {"for?", r.For}}
				})},
			}
		})},
	}
}

func boxJSON(r geom.Rect) object {
	return object{{"x", inchesJSON(r.X)}, {"y", inchesJSON(r.Y)}, {"w", inchesJSON(r.W)}, {"l", inchesJSON(r.H)}}
}

// JSON writes an arrangement, as arrange --json does. Lengths are finished inches.
func (a Arrangement) JSON(w io.Writer) error {
	first := a.Laid[0]
	return encode(w, object{
		{"version", contract}, {"width_in", inchesJSON(a.Top.WidthIn)}, {"height_in", inchesJSON(a.Top.HeightIn)},
		{"seed", first.Seed}, {"look", a.Problem.Look}, {"patches", a.patchesJSON(first)}, {"touches", a.touchesJSON(first.Touches)},
		// How few touches any layout has at least; proved: this one has no more.
		{"least", object{{"touches", first.Least.Touches}, {"proved", first.Proved()}, {"because", first.Least.Because}}},
		{"evenness", evenJSON(first.Evenness)},     // of L*: 1 is even, 0 chance
		{"brightness", evenJSON(first.Brightness)}, // the same of chroma
		{"empty?", a.Empty}, {"interrupted?", first.Interrupted},
		{"again?", mapped(a.Laid[1:], func(l desk.Variant) object { // clearly different
			return object{
				{"seed", l.Seed},
				{"holdings", mapped(l.Cloth, func(k int) int64 { // in the order of patches; 0 for none
					if k < 0 {
						return 0
					}
					return a.Holdings[k].ID
				})},
				{"touches", a.touchesJSON(l.Touches)}, {"evenness", evenJSON(l.Evenness)}, {"brightness", evenJSON(l.Brightness)},
				{"same", l.Same}, // share of places that show what they show in a layout before, at most
			}
		})},
	})
}

// patchesJSON returns the patches; those of one piece number, from 1, are cut from one piece
// of cloth, and lightness is CIE L*.
func (a Arrangement) patchesJSON(l desk.Variant) []object {
	piece := make([]int, len(a.Top.Patches))
	for i, part := range slices.Concat(a.Parts...) {
		for _, patch := range part.Patches {
			piece[patch] = i + 1
		}
	}
	out := make([]object, len(a.Top.Patches))
	for i, p := range a.Top.Patches {
		role := p.Role.Name
		if p.Kind == recipe.InBorder {
			role = "border"
		}
		out[i] = object{{"id", a.Names[i]}, {"role", role}, {"polygon", finished(p.Polygon)}}
		if k := l.Cloth[i]; k >= 0 {
			h := a.Holdings[k]
			out[i] = append(out[i], object{
				{"holding?", h.ID}, {"piece?", piece[i]}, {"family?", h.Family}, {"value?", h.Value}, {"print?", h.Print}, {"lightness", a.lightness(l, i)},
			}...)
		}
	}
	return out
}

func (a Arrangement) touchesJSON(all []arrange.Touch) []object {
	return mapped(all, func(t arrange.Touch) object {
		at := ""
		if t.Corner { // where they meet at one alone
			at = "corner"
		}
		return object{{"a", a.Names[t.A]}, {"b", a.Names[t.B]}, {"why", t.Why}, {"at?", at}}
	})
}

// evenJSON keeps a measure to a millionth.
func evenJSON(v float64) float64 { return round(v, 1e6) }

// QuiltsJSON lists the quilts that are kept, for AnswerJSON.
func QuiltsJSON(all []desk.Quilt) any {
	return object{{"version", contract}, {"quilts", mapped(all, func(q desk.Quilt) object {
		return object{
			{"name", q.Name}, {"recipe", q.Recipe}, {"width_in", inchesJSON(q.WidthIn)}, {"length_in", inchesJSON(q.LengthIn)},
			{"pieces_from_stash", q.Pulled}, {"pieces_lacking", q.Lacks},
			{"any_width_lacking?", mapped(q.LacksAny, func(s plan.AnyShort) object { return object{{"for", s.For}, {"in2", round(s.In2, 100)}} })},
			{"laid_out", q.Laid}, {"sewn", q.Stages[plan.SewnStage]},
		}
	})}}
}

// JSON writes the same.
func (c Contrast) JSON(w io.Writer) error {
	return encode(w, object{
		{"background", groundJSON(c.Background)},
		{"prints", mapped(c.Pull, func(p contrast.Print) object {
			v := contrast.Against(c.Background, p)
			return append(groundJSON(p), object{
				{"grey", p.Grey().Hex()}, {"pieces", p.Pieces}, {"lightness_gap", round(v.Gap, 100)}, {"munsell_steps", round(v.Steps, 100)},
				{"delta_e00", round(v.DeltaE, 100)}, {"borrowed_wcag_ratio", round(v.Ratio, 100)}, {"band", v.Band}, {"counts_as", v.Counts},
				{"spread_steps", round(v.Spread, 100)}, {"share_within_a_step", round(v.Sunk, 1000)},
			}...)
		})},
		{"best_backgrounds?", mapped(c.Choices, func(k contrast.Weighed) object {
			b := c.Backgrounds[k.Background]
			return object{
				{"name", b.Name}, {"hex", b.Colour.Hex()}, {"clear", k.Clear}, {"soft", k.Soft}, {"sinking", k.Sinking}, {"least_gap_steps", round(k.Least, 100)},
			}
		})},
		{"recipe?", c.Recipe},
		{"balance?", mapped(c.Balance.Rows, func(r contrast.Proportion) object {
			return object{{"value", r.Tone}, {"pulled", r.Held}, {"wanted", r.Wanted}}
		})},
		{"swaps?", mapped(c.Balance.Swaps, func(s contrast.Swap) object {
			return object{{"print", c.Pull[s.Print].Name}, {"pieces", s.Pieces}, {"from", s.From}, {"to", s.To}, {"may_stand_in", s.StandIn}}
		})},
	})
}

func groundJSON(p contrast.Print) object {
	return object{{"name", p.Name}, {"hex", p.Colour.Hex()}, {"lightness", round(p.Lightness(), 100)}, {"munsell_value", round(p.MunsellValue(), 100)}, {"mixed", p.Mixed()}}
}

// JSON writes the same; what is pulled for says by its index for which bin.
func (r Refill) JSON(w io.Writer) error {
	bins := []object{}
	for k, i := range r.Thin {
		b := r.Bins[i]
		bins = append(bins, object{
			{"family?", b.Family}, {"value?", b.Value}, {"bin?", b.Own}, {"width_in", inchesJSON(r.Wants[k].W)}, {"length_in", inchesJSON(r.Wants[k].L)},
			{"have", r.Have[i]}, {"wanted", b.Least}, {"from_strips", r.Covered[k]}, {"still_short", r.Short[k]},
		})
	}
	return encode(w, append(object{{"bins", bins}}, r.asPlan().pulledJSON()...))
}

// JSON writes the same. A size without a length is strips as long as the cloth.
func (c CuttingUp) JSON(w io.Writer) error {
	p := Plan{Plan: desk.Plan{System: c.System}}
	out := []object{}
	for i, u := range c.Cut {
		counts := []object{}
		for k, n := range u.Counts {
			if n > 0 {
				counts = append(counts, object{{"width_in", inchesJSON(c.Sizes[k].W)}, {"length_in?", inchesJSON(c.Sizes[k].L)}, {"count", n}, {"reason?", c.reason(k)}})
			}
		}
		out = append(out, object{
			{"width_in", inchesJSON(c.Cloths[i].W)}, {"length_in", inchesJSON(c.Cloths[i].L)}, {"counts", counts},
			{"pieces", mapped(u.Pieces, func(q cutting.Placement) object { return boxJSON(q.Rect) })}, {"steps", some(sliceLines(p, u.Slices))},
		})
	}
	return encode(w, object{{"leftovers", out}})
}

// JSON writes the list for other programs.
func (b Buying) JSON(w io.Writer) error {
	colours, values := missingNames(b.Missing)
	return encode(w, object{
		{"buy", mapped(b.Buy, b.purchaseJSON)}, {"colours_missing?", colours}, {"values_missing?", values},
		{"do_not_buy", mapped(b.Enough, func(e plan.Enough) object {
			return object{{"name", e.Name}, {"count", e.Count}, {"reason", e.Reason}}
		})},
	})
}

func (b Buying) purchaseJSON(p plan.Purchase) object {
	munsell, hex := "", ""
	if p.HasSwatch && p.Family != "" { // any colour has none
		munsell, hex = p.Swatch.String(), p.Swatch.Linear().Hex()
	}
	out := object{
		{"what", p.Sought.String()}, {"munsell?", munsell}, {"hex?", hex}, {"pieces?", p.Pieces}, {"prints", p.Prints},
		{"of_each", p.Buy}, {"quarters_of_each?", p.FatCountOf("fat quarter")}, {"eighths_of_each?", p.FatCountOf("fat eighth")}, {"length_in_of_each?", inchesJSON(p.LengthIn)}, {"buy_in_of_each?", inchesJSON(p.BuyIn)},
		{"unlocks?", p.Unlocks}, {"helps?", p.Helps}, {"gaps", p.Gaps},
	}
	if b.Why {
		out = append(out, object{{"why", p.Why}}...)
	}
	return out
}
