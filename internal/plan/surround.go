package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// borders returns cut to the middle of the top they go round: sides first, then top
// and bottom, which span the sides; mitred ones reach the outer corner at all
// four.
// With squares at the corners all four are as long as what they go round. A spacer whose
// strips differ in width at the sides and at top and bottom is two needs.
func borders(rounds []recipe.Round, s Shop) []BorderNeed {
	y := s.System
	var out []BorderNeed
	for i, x := range rounds {
		if !x.Strips() {
			continue
		}
		what := fmt.Sprintf("border %d", x.Number+1)
		why := []recipe.Why{{Text: fmt.Sprintf("the quilt so far: %s by %s finished", y.Format(y.Up(x.WidthIn)), y.Format(y.Up(x.HeightIn)))}}
		if x.Spaces {
			what = "spacer of " + what
			why = append(why, x.WhySpacer(y, rounds[i+1])...)
		}
		side, top := y.Up(x.HeightIn), y.Up(x.WidthIn)
		switch {
		case x.Spaces: // with its sides on, the top is trimmed to what the pieced border asks
			top = x.WidthIn + 2*x.SideIn
		case x.Mitred:
			side, top = side+2*x.TopIn, top+2*x.SideIn
		case !x.Cornered:
			top += 2 * x.SideIn
		}
		n := BorderNeed{Role: x.Role, Mitred: x.Mitred, What: what, number: x.Number}
		if between := func(in float64) bool { return y.Up(in)-in > onMark }; x.Spaces &&
			(between(x.WidthIn) || between(x.HeightIn) || between(x.SideIn+2*y.Seam) || between(x.TopIn+2*y.Seam)) {
			n.TrimIn = [2]float64{x.WidthIn + 2*x.SideIn + 2*y.Seam, x.HeightIn + 2*x.TopIn + 2*y.Seam}
		}
		if x.SideIn == x.TopIn {
			out = append(out, n.cut(x.SideIn, side, top, s, why))
			continue
		}
		if x.SideIn > 0 {
			out = append(out, n.cut(x.SideIn, side, 0, s, why))
		}
		if x.TopIn > 0 {
			out = append(out, n.cut(x.TopIn, 0, top, s, why))
		}
	}
	return out
}

// cut says what the strips of a border of a finished width are cut from; side and top are
// their finished lengths, 0 for none.
func (n BorderNeed) cut(width, side, top float64, s Shop, why []recipe.Why) BorderNeed {
	y := s.System
	var whyCut, whyStrips recipe.Why
	n.CutIn, whyCut = y.Plain(width)
	why = append(slices.Clip(why), whyCut)
	var words, sum []string
	total := 0.0
	for _, x := range []struct {
		finished     float64
		cut          *float64
		where, short string
	}{{side, &n.SideIn, "sides", "two sides of"}, {top, &n.TopIn, "top and bottom", "top and bottom of"}} {
		if x.finished == 0 {
			continue
		}
		long, w := y.Plain(x.finished)
		*x.cut = long
		total += 2 * long
		w.Text = x.where + ": " + w.Text
		why = append(why, w)
		words = append(words, x.short+" "+y.Format(long))
		sum = append(sum, "2 × "+y.Format(long))
	}
	n.Strips, whyStrips = y.Joined(total, s.usableIn())
	if 2*n.CutIn < s.usableIn() {
		n.Aslant, _ = y.JoinedAslant(total, n.CutIn, s.usableIn())
	}
	n.Why = recipe.Why{
		Text:  fmt.Sprintf("%s: %s cut %s wide; %s", n.What, cloth.Count(n.Strips, "strip"), y.Format(n.CutIn), strings.Join(words, ", ")),
		Steps: append(why, recipe.Why{Text: strings.Join(sum, " + ") + " = " + y.Format(total)}, whyStrips),
	}
	return n
}

// binding returns the length round the quilt and some more, in strips across the width of
// fabric joined on the diagonal. Laid along the raw edge and folded at the corners it is as
// long as that edge, which lies a seam outside the finished one: 8 seams more round the
// quilt. Its ends meet in a diagonal join too. What is added is no less than those.
func binding(b recipe.Binding, width, length float64, s Shop) BindingNeed {
	y := s.System
	n := BindingNeed{Role: b.Role, CutIn: y.Up(b.CutIn), AroundIn: 2 * (width + length)}
	extra := max(s.BindingExtraIn, y.Up(8*y.Seam+n.CutIn))
	n.RoundIn = n.AroundIn + extra
	var whyStrips recipe.Why
	n.Strips, whyStrips = y.JoinedAslant(n.RoundIn, n.CutIn, s.usableIn())
	n.Why = recipe.Why{
		Text: fmt.Sprintf("binding: %s cut %s wide", cloth.Count(n.Strips, "strip"), y.Format(n.CutIn)),
		Steps: []recipe.Why{
			{Text: fmt.Sprintf("2 × (%s + %s) + %s for the seam allowance round the edge, for joining the ends and to spare = %s", y.Format(width), y.Format(length), y.Format(extra), y.Format(n.RoundIn))},
			whyStrips,
		},
	}
	return n
}

// backing returns panels across the width of fabric with their seams down the quilt,
// or across it, whichever takes less.
func backing(b recipe.Backing, width, length float64, s Shop) BackingNeed {
	y := s.System
	n := BackingNeed{Role: b.Role, WidthIn: width + 2*b.OverIn, LengthIn: length + 2*b.OverIn}
	n.Ways[0] = panels("down", n.WidthIn, n.LengthIn, s)
	n.Ways[1] = panels("across", n.LengthIn, n.WidthIn, s)
	if n.Ways[1].LengthIn < n.Ways[0].LengthIn-1e-6 {
		n.Best = 1
	}
	best := n.Ways[n.Best]
	n.Why = recipe.Why{
		Text: fmt.Sprintf("backing: %d × %s, %s", best.Panels, y.Format(best.PanelIn), best.Buy),
		Steps: []recipe.Why{
			{Text: fmt.Sprintf("%s + 2 × %s by %s + 2 × %s = %s by %s", y.Format(width), y.Format(b.OverIn), y.Format(length), y.Format(b.OverIn), y.Format(n.WidthIn), y.Format(n.LengthIn))},
			n.Ways[0].Why, n.Ways[1].Why,
		},
	}
	return n
}

// panels returns the back made of whole widths of fabric side by side along span; each seam
// takes two allowances.
func panels(seams string, span, run float64, s Shop) BackingWay {
	y := s.System
	wof := s.WOFIn
	if s.BackWOFIn > 0 {
		wof = s.BackWOFIn
	}
	wof -= s.SquaringAcrossIn
	join := 2 * y.Seam
	w := BackingWay{Seams: seams, PanelIn: run}
	w.Panels = max(1, int(math.Ceil((span-join)/(wof-join)-1e-6)))
	w.LengthIn = float64(w.Panels)*run + s.SquaringIn
	var steps []recipe.Why
	reach := float64(w.Panels)*wof - float64(w.Panels-1)*join
	steps = append(steps, recipe.Why{Text: fmt.Sprintf("%d × %s less %s of %s = %s, enough for %s", w.Panels, y.Format(wof), cloth.Count(w.Panels-1, "seam"), y.Format(join), y.Format(reach), y.Format(span))})
	text := fmt.Sprintf("%d × %s", w.Panels, y.Format(run))
	if s.SquaringIn > 0 {
		text += fmt.Sprintf(" + %s for squaring up", y.Format(s.SquaringIn))
	}
	steps = append(steps, recipe.Why{Text: text + " = " + y.Format(w.LengthIn)})
	asked := w.LengthIn * (1 + s.Shrink)
	w.AskedIn = asked
	if s.Shrink > 0 {
		steps = append(steps, recipe.Why{Text: fmt.Sprintf("with %g %% for shrinkage: %s", math.Round(s.Shrink*1000)/10, y.Format(asked))})
	}
	w.BuyIn, w.Buy = cutting.Bought(asked, y.Metric)
	steps = append(steps, recipe.Why{Text: "up to " + w.Buy})
	w.Why = recipe.Why{Text: fmt.Sprintf("seams %s: %d of %s, %s", seams, w.Panels, y.Format(run), w.Buy), Steps: steps}
	return w
}
