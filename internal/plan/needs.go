package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// Need works out all that an order is cut from. Errors say what to give instead.
func Need(o Order, s Shop) (*Needs, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if o.Recipe == nil {
		return nil, fault.Usage("", "no recipe is given", "name one, or a file")
	}
	o.metric = s.System.Metric
	o, grown := o.grown()
	n := &Needs{Recipe: o.Recipe, Shop: s}
	var whySize recipe.Why
	var err error
	if n.Columns, n.Rows, whySize, n.Notes, err = o.fit(); err != nil {
		return nil, err
	}
	n.Notes = append(n.Notes, grown...)
	r, y := o.Recipe, s.System
	n.WidthIn, n.LengthIn = r.QuiltSize(n.Columns, n.Rows)
	if max(n.WidthIn, n.LengthIn) > 2*maxSide {
		return nil, fault.Usage("", fmt.Sprintf("the quilt would measure %s by %s", inches(n.WidthIn), inches(n.LengthIn)), "ask for fewer blocks")
	}
	n.Places = r.Places(n.Columns, n.Rows)
	if 2*y.Up(r.Binding.CutIn) >= s.usableIn() {
		return nil, fault.Usage("", fmt.Sprintf("a binding cut %s wide cannot be joined from cloth %s wide", y.Format(r.Binding.CutIn), y.Format(s.usableIn())), "give wider cloth, or the recipe a narrower binding")
	}
	how := recipe.Method{System: y, WOFIn: s.usableIn(), OneByOne: s.OneByOne}
	n.Cuts, n.Sets = r.TopCuts(n.Columns, n.Rows, how), r.Sets(n.Columns, n.Rows, how)
	rounds := r.Rounds(n.Columns, n.Rows)
	for i, x := range rounds {
		inner := x
		if i > 0 && rounds[i-1].Spaces { // which is as wide as it must be
			inner = rounds[i-1]
		}
		if unit, side := x.UnitIn(r), min(inner.WidthIn, inner.HeightIn); unit > side+onMark {
			return nil, fault.Usage("", fmt.Sprintf("border %d: its pieces are %s long and a side of what it goes round %s", x.Number+1, y.Format(y.Nearest(unit)), y.Format(y.Nearest(side))), "make its keys or its block narrower, or ask for a larger quilt")
		}
	}
	n.Borders = borders(rounds, s)
	n.Binding = binding(r.Binding, y.Up(n.WidthIn), y.Up(n.LengthIn), s)
	if r.Backing.AsYouGo {
		n.Backing, err = asYouGo(n, s)
	} else {
		n.Backing = backing(r.Backing, y.Up(n.WidthIn), y.Up(n.LengthIn), s)
	}
	if err != nil {
		return nil, err
	}
	n.Binding.FromStash = s.BindingFrom.stash(r.Binding.FromStrips) && !n.Binding.Role.Background
	for i := range n.Borders {
		b := &n.Borders[i]
		b.FromStash = s.BorderFrom.stash(r.Borders[b.number].FromStrips) && !b.Role.Background
	}
	if s.BorderFrom == Stash && !slices.ContainsFunc(n.Borders, func(b BorderNeed) bool { return b.FromStash }) {
		n.Notes = append(n.Notes, "no border is joined from strips: the quilt has none that is plain and of a print")
	}
	if oblong := n.oblong(rounds); oblong != "" {
		n.Notes = append(n.Notes, oblong)
	}
	if n.Yardage, err = yardages(n, s); err != nil {
		return nil, err
	}
	with := ""
	if len(r.Borders) > 0 {
		with = ", with borders"
	}
	size := y.Format(y.Nearest(n.WidthIn)) + " by " + y.Format(y.Nearest(n.LengthIn))
	set := fmt.Sprintf("blocks of %s by %s finished, %s", y.Format(r.WidthIn), y.Format(r.HeightIn), n.Set())
	if r.Setting.Kind == recipe.InRows { // whose blocks have sizes of their own
		wide, _ := r.TopSize(n.Columns, n.Rows)
		set = fmt.Sprintf("%s, %s wide finished", cloth.Count(n.Rows, "row"), y.Format(y.Nearest(wide)))
	}
	whySize.Steps = append(whySize.Steps, recipe.Why{Text: set + with + ": " + size})
	n.Why = recipe.Why{Text: fmt.Sprintf("%s, %s finished", r.Name, size), Steps: []recipe.Why{s.taken(), whySize}}
	for _, x := range rounds {
		if why := x.Why(y); why.Text != "" {
			n.Why.Steps = append(n.Why.Steps, why)
		}
	}
	var tight []string
	for _, name := range s.OneWay {
		if !slices.ContainsFunc(n.Yardage, func(y Yardage) bool { return y.Role.Name == name }) {
			return nil, fault.Usage("", fmt.Sprintf("no cloth of this quilt is called %q", name), fmt.Sprintf("it has %s", strings.Join(roleNames(n.Yardage), ", ")))
		}
	}
	for _, c := range n.Yardage {
		n.Why.Steps = append(n.Why.Steps, c.Why)
		if c.Layout.ExactFit {
			tight = append(tight, c.Role.Name)
		}
	}
	if len(tight) > 0 {
		n.Tight = append(n.Tight, "the cloth for "+strings.Join(tight, ", ")+" leaves less than "+length(y, 0.5)+" to spare: buy a little more if it needs squaring up")
	}
	n.Why.Steps = append(n.Why.Steps, n.Backing.Why)
	n.Notes = slices.Concat(n.Notes, r.OffMarks(y), r.StripsOffMarks(n.Columns, n.Rows, y), r.Fitted(y), r.TooNarrow(n.Columns, n.Rows, y))
	n.Notes = append(n.Notes, spare(n.Cuts, y)...)
	if gap := r.Sashing.WidthIn - 2*y.Seam; r.Backing.AsYouGo && gap > 1e-6 {
		n.Notes = append(n.Notes, fmt.Sprintf("the batting of two blocks ends %s apart under the joining strips: lay strips of batting of that width between, or finish the sashing at %s", length(y, gap), length(y, 2*y.Seam)))
	}
	for _, f := range r.Foundations(n.Columns, n.Rows, y) {
		n.Notes = append(n.Notes, fmt.Sprintf("sew onto foundations of paper or thin cloth, which are not counted with the cloth: %d of %s × %s; or a little larger, and trim the blocks to that", f.Count, y.Format(f.WidthIn), y.Format(f.LengthIn)))
		if f.WidthIn < smallFoundation {
			n.Notes = append(n.Notes, fmt.Sprintf("foundations of %s are small: strings and crumbs of usual widths fill them with seams", y.Format(f.WidthIn)))
		}
	}
	n.Turned = r.Turned(n.Columns, n.Rows, s.OneByOne)
	n.Notes = append(n.Notes, upNotes(n.Turned, s.OneWay)...)
	if r.Setting.Kind == recipe.OnPoint && len(s.OneWay) > 0 {
		n.Notes = append(n.Notes, "blocks on point turn a print with an up by an eighth of a circle: look at one block on the wall first")
	}
	return n, nil
}

// smallFoundation is the side, as cut, below which foundations are small, inches: it holds
// two strings as they are bought, and what they lose in seams (common practice, no source).
const smallFoundation = 3.5

// oblong tells of a square that a pieced border, to come out even, makes longer than wide or
// wider than long; empty: none does.
func (n *Needs) oblong(rounds []recipe.Round) string {
	in := n.Shop.System
	wide := func(spacer float64) string {
		if spacer == 0 {
			return "none"
		}
		return in.Format(in.Nearest(spacer))
	}
	for _, x := range rounds {
		if x.Spaces && near(x.WidthIn, x.HeightIn) && !near(x.SideIn, x.TopIn) {
			return fmt.Sprintf("border %d makes the square that it goes round oblong: it comes out even by a spacer, %s at the sides and %s at top and bottom. Squares at its corners keep the quilt square",
				x.Number+1, wide(x.SideIn), wide(x.TopIn))
		}
	}
	return ""
}

// Set says how the blocks are laid out: "3 by 4 with 6 set between".
func (n *Needs) Set() string {
	if n.Recipe.Setting.Kind == recipe.InRows {
		return "in " + cloth.Count(n.Rows, "row")
	}
	s := fmt.Sprintf("%d by %d", n.Columns, n.Rows)
	if between := (n.Columns - 1) * (n.Rows - 1); n.Recipe.Setting.Kind == recipe.OnPoint && between > 0 {
		s += fmt.Sprintf(" with %d set between", between)
	}
	return s
}

// length writes a length with its unit.
func length(s recipe.System, in float64) string {
	switch {
	case s.Metric:
		return s.Format(in)
	case in > 1:
		return s.Format(in) + " inches"
	}
	return s.Format(in) + " inch"
}

// taken returns the assumptions of the arithmetic, such as the seam and the width of
// fabric.
func (s Shop) taken() recipe.Why {
	y := s.System
	w := recipe.Why{Text: fmt.Sprintf("taken: seams of %s, cuts rounded up to %s, cloth %s wide", y.SeamWords(), y.Format(y.Step), y.Format(s.WOFIn))}
	w.Steps = []recipe.Why{
		{Text: fmt.Sprintf("lost in squaring up: %s of the width, %s of each length", y.Format(s.SquaringAcrossIn), y.Format(s.SquaringIn))},
		{Text: fmt.Sprintf("bought over for shrinkage: %g %%", math.Round(1000*s.Shrink)/10)},
	}
	if y.Trim > 0 {
		w.Steps = append(w.Steps, recipe.Why{Text: fmt.Sprintf("%s more on squares for triangles, to trim", y.Format(y.Trim))})
	}
	return w
}

func roleNames(cloths []Yardage) []string {
	names := make([]string, len(cloths))
	for i, y := range cloths {
		names[i] = y.Role.Name
	}
	return names
}

// spare notes the triangle squares that flipped corners give when they are sewn
// a second time, each size once.
func spare(cuts []recipe.Lot, s recipe.System) []string {
	var notes []string
	seen := map[float64]bool{}
	for _, c := range cuts {
		if side := s.SecondSeam(c.WidthIn); side > 0 && slices.Contains(c.For, recipe.FlippedCorners) && !seen[c.WidthIn] {
			seen[c.WidthIn] = true
			notes = append(notes, fmt.Sprintf("sew each corner of %s a second time, %s outside the first seam, and cut between the two: what comes off is a half-square triangle, to trim to %s", s.Format(c.WidthIn), length(s, 2*s.Seam), s.Format(side)))
		}
	}
	return notes
}

// upNotes says what is turned of the roles whose print has an up.
func upNotes(turned []recipe.Turned, oneWay []string) []string {
	var notes []string
	for _, name := range oneWay {
		var ways []string
		for _, t := range turned {
			if t.Role.Name == name {
				ways = append(ways, fmt.Sprintf("%d in %s", t.Patches, t.What))
			}
		}
		if ways != nil {
			notes = append(notes, fmt.Sprintf("the print for %s has an up, and the way the quilt is sewn may bring patches of it out on their side or on their head: %s; sew one block first, or choose a print without an up", name, strings.Join(ways, ", ")))
		}
	}
	return notes
}

// check refuses settings by which no cloth can be bought or cut.
func (s Shop) check() error {
	y := s.System
	f := y.Format
	switch {
	case !(y.Seam > 0 && y.Seam <= recipe.MaxSeam):
		return fault.Usage("", fmt.Sprintf("a seam of %s cannot be planned with", f(y.Seam)), fmt.Sprintf("give one up to %s", f(recipe.MaxSeam)))
	case !(y.Step > 0 && y.Step <= 1):
		return fault.Usage("", fmt.Sprintf("cuts cannot be rounded up to %s", f(y.Step)), fmt.Sprintf("give up to %s", f(1)))
	case !(y.Trim >= 0 && y.Trim <= 2):
		return fault.Usage("", fmt.Sprintf("%s to trim cannot be planned with", f(y.Trim)), fmt.Sprintf("give 0 to %s", f(2)))
	case !(s.WOFIn >= 10 && s.WOFIn <= 130):
		return fault.Usage("", fmt.Sprintf("cloth %s wide cannot be planned with", f(s.WOFIn)), fmt.Sprintf("give %s to %s", f(10), f(130)))
	case s.BackWOFIn != 0 && !(s.BackWOFIn >= 10 && s.BackWOFIn <= 130):
		return fault.Usage("", fmt.Sprintf("a backing %s wide cannot be planned with", f(s.BackWOFIn)), fmt.Sprintf("give %s to %s", f(10), f(130)))
	case !(s.SquaringAcrossIn >= 0 && s.SquaringAcrossIn <= 5 && s.SquaringIn >= 0 && s.SquaringIn <= 36):
		return fault.Usage("", fmt.Sprintf("a squaring-up loss of %s across and %s along cannot be planned with", f(s.SquaringAcrossIn), f(s.SquaringIn)), fmt.Sprintf("give up to %s and %s", f(5), f(36)))
	case !(s.Shrink >= 0 && s.Shrink <= MostShrink):
		return fault.Usage("", fmt.Sprintf("a shrinkage of %s cannot be planned with", percent(s.Shrink)), fmt.Sprintf("give 0 to %s", percent(MostShrink)))
	case !(s.BindingExtraIn >= 0 && s.BindingExtraIn <= 100):
		return fault.Usage("", fmt.Sprintf("%s more of binding cannot be planned with", f(s.BindingExtraIn)), fmt.Sprintf("give 0 to %s", f(100)))
	}
	return nil
}

// yardages lays the cuts of every role on cloth of that role, with the strips of
// borders and binding.
func yardages(n *Needs, s Shop) ([]Yardage, error) {
	all := slices.Clone(n.Cuts)
	strips := func(role recipe.Role, width float64, count int, what string, why recipe.Why) {
		all = append(all, recipe.Lot{Role: role, WidthIn: width, Count: count, For: []string{what}, Why: []recipe.Why{why}})
	}
	for _, b := range n.Borders {
		strips(b.Role, b.CutIn, b.Strips, b.What, b.Why)
	}
	strips(n.Binding.Role, n.Binding.CutIn, n.Binding.Strips, "binding", n.Binding.Why)
	all = recipe.AddCuts(all)
	var roles []recipe.Role
	for _, c := range all {
		if !slices.Contains(roles, c.Role) {
			roles = append(roles, c.Role)
		}
	}
	slices.SortStableFunc(roles, func(a, b recipe.Role) int { // background first
		switch {
		case a.Background == b.Background:
			return 0
		case a.Background:
			return -1
		}
		return 1
	})
	var out []Yardage
	for _, role := range roles {
		var cuts []recipe.Lot
		for _, c := range all {
			if c.Role == role {
				cuts = append(cuts, c)
			}
		}
		y, err := yardage(role, cuts, s)
		if err != nil {
			return nil, fault.In("the cloth for "+role.Name, err)
		}
		out = append(out, y)
	}
	return out, nil
}

func yardage(role recipe.Role, cuts []recipe.Lot, s Shop) (Yardage, error) {
	y := Yardage{Role: role, Cuts: cuts}
	oneWay := slices.Contains(s.OneWay, role.Name)
	usable := s.usableIn()
	for i, c := range cuts {
		y.Pieces += c.Count
		want := func(n cutting.Want) { y.Wants, y.Of = append(y.Wants, n), append(y.Of, i) }
		w, l := c.WidthIn, c.LengthIn
		if l == 0 { // a strip across the cloth
			want(cutting.Want{W: usable, L: w, Count: c.Count, Fixed: true})
			y.AreaIn2 += usable * w * float64(c.Count)
			continue
		}
		y.AreaIn2 += w * l * float64(c.Count)
		upright := c.Count
		if oneWay && c.Across > 0 {
			upright -= c.Across
			want(cutting.Want{W: l, L: w, Count: c.Across})
		}
		if upright > 0 {
			want(cutting.Want{W: w, L: l, Count: upright})
		}
	}
	roll := s.roll()
	roll.OneWay = oneWay
	var err error
	if y.Layout, err = cutting.Lay(roll, y.Wants); err != nil {
		return y, err
	}
	y.LengthIn, y.BuyIn, y.Buy = y.Layout.Inches, y.Layout.BuyInches, y.Layout.Buy
	y.AskedIn = y.LengthIn * (1 + s.Shrink)
	y.Why.Text = fmt.Sprintf("%s: %s before rounding, so %s", role.Name, s.System.Format(s.System.Up(y.AskedIn)), y.Buy)
	for _, c := range cuts {
		y.Why.Steps = append(y.Why.Steps, c.Why...)
	}
	lay := recipe.Why{Text: "laid across the cloth"}
	for _, line := range y.Layout.Steps {
		lay.Steps = append(lay.Steps, recipe.Why{Text: line})
	}
	y.Why.Steps = append(y.Why.Steps, lay)
	return y, nil
}
