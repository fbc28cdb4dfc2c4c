package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// Plan shows a quilt's needs, held against a stash or not.
type Plan struct {
	desk.Plan
	Wording Wording
	Crops   Crops // of Holdings, where photos of them are kept
	Why     bool  // write the arithmetic out
}

// Document shows the quilt drawn, what is cut for it, the cloth and how it is
// laid out, and what of it the stash covers.
func (p Plan) Document() Document {
	n, r := p.Needs, p.Needs.Recipe
	d := Document{
		title: p.Quilt,
		lead:  fmt.Sprintf("%s × %s finished: %s, %s.", p.format(n.WidthIn), p.format(n.LengthIn), cloth.Count(n.Places.Count(), "block"), n.Set()),
	}
	if p.Quilt != r.Name {
		d.lead = r.Name + ", " + d.lead
	}
	d.lead += p.verdict()
	inks := p.inks()
	var blocks []drawing
	for i := range r.Blocks {
		blocks = append(blocks, blockDrawing(r, i, inks, lettersOf(r)))
	}
	var quilts []drawing
	if p.Drawn != nil {
		a := Arrangement{Arrangement: *p.Drawn, Crops: p.Crops}
		quilts = a.views(a.Laid[0], InColour, InGrey)
		quilts[0].Title, quilts[1].Title = "the quilt "+p.Quilt, "the quilt "+p.Quilt+", in grey"
		whole := a.drawing(a.Laid[0])
		for i := range blocks {
			a.clothe(&blocks[i], i, whole)
		}
	} else {
		quilt := quiltDrawing("the quilt "+p.Quilt, r.QuiltLayout(n.Columns, n.Rows), inks)
		quilts = []drawing{quilt, quilt.grey()}
	}
	d.sections = append(d.sections, section{
		Heading: "The quilt", Drawings: append(blocks, quilts...), Caption: p.inksCaption(),
		Items: n.Notes,
	})
	if p.Choice != nil {
		d.add(p.chosen()...)
	}
	cuts := p.Pull != nil && len(p.Pull.Cover.Cuts) > 0
	if p.Pull != nil {
		d.sections = append(d.sections, p.covered(), p.pulls())
		if cuts {
			d.sections = append(d.sections, cautions())
		}
		d.sections = append(d.sections, p.cuttingList())
		if len(p.Pull.StripSets) > 0 {
			d.sections = append(d.sections, p.stripSets())
		}
		if len(p.Pull.Strips) > 0 {
			d.sections = append(d.sections, p.joinedStrips())
		}
		d.sections = append(d.sections, p.shortage())
		if p.Between != nil {
			d.sections = append(d.sections, p.between())
		}
	}
	if !cuts { // all that is cut is cut from new cloth
		d.sections = append(d.sections, cautions())
	}
	d.sections = append(d.sections, p.pieces(), p.yardage())
	d.sections = append(d.sections, p.surround())
	d.add(p.layouts())
	if p.Why {
		whys := []recipe.Why{n.Why}
		if p.Choice != nil {
			whys = append(whys, p.choiceWhy())
		}
		if p.Pull != nil {
			whys = slices.Concat(whys, p.setWhys(), p.cutWhys(), p.setsWhys(), p.stripWhys())
			if p.Between != nil {
				whys = append(whys, p.Between.Why)
			}
		}
		d.sections = append(d.sections, section{Heading: "Why", Whys: whys})
	}
	d.fine = []string{
		fmt.Sprintf("Seams of %s. Cut sizes are rounded up to a mark of the ruler, never down.", p.System.SeamWords()),
	}
	if !p.System.Metric {
		d.fine[0] += " Lengths are inches."
	}
	if len(n.Shop.OneWay) == 0 && len(n.Turned) > 0 {
		var ways []string
		for _, t := range n.Turned {
			if !slices.Contains(ways, t.What) {
				ways = append(ways, t.What)
			}
		}
		d.fine = append(d.fine, "A print with an up may come out on its side or on its head in "+strings.Join(ways, ", ")+"."+p.Wording.OneWay)
	}
	return d
}

// chosen says what was chosen for the stash, and what it saves.
func (p Plan) chosen() []section {
	c := p.Choice
	best, typed := c.Best[0], section{Said: true}
	s := section{Heading: "Chosen for your stash", Paras: []string{p.chosenWords(c)}}
	t := table{Columns: columns("block and way", ">quilt", ">covered, by area", ">taken as they are", ">cloth used up", ">in its patches")}
	t.Columns[3].give, t.Columns[4].give, t.Columns[1].give = []int{1}, []int{2}, []int{3}
	row := func(u plan.Use, mark string) {
		yield := "–"
		if u.ClothIn2 > 0 {
			yield = percentWords(u.Yield())
		}
		t.add(u.Words(p.System)+mark, p.format(u.WidthIn)+" × "+p.format(u.LengthIn), fmt.Sprintf("%d of %d, %s", u.Covered, u.Wanted, share(u)), blankZero(u.AsTheyAre), p.System.Area(u.ClothIn2), yield)
	}
	told := false
	for k, u := range c.Best {
		mark := ""
		if k == 0 {
			mark = " (chosen)"
		}
		if u.Recipe == c.AsIs.Recipe {
			mark, told = mark+" (as the recipe has it)", true
		}
		row(u, mark)
	}
	if !told {
		row(c.AsIs, " (as the recipe has it)")
	}
	if best.Covered == 0 {
		return []section{s}
	}
	s.Tables = []table{t}
	s.Items = []string{fmt.Sprintf("%s of width and way reckoned, and %d cut out beside the recipe as it stands; what is covered counts by area, and within 2 %% is as much; what is not in the patches, with their seams, is cut off; a block twice as wide as the recipe has it, or half, must use 15 %% more of the cloth to be chosen, others less", cloth.Count(c.Reckoned, "choice"), c.Weighed)}
	if best.Recipe != c.AsIs.Recipe && p.Wording.Arrange != nil {
		o := p.ordered(c.Needs)
		o.Block, o.AtATime = p.typed(best.Recipe.WidthIn), recipe.AtATimeText(best.Recipe.AtATime)
		typed.Items = []string{"to lay it out: " + p.Wording.Arrange(o)}
	}
	return []section{s, typed}
}

// ordered returns a quilt as it can be asked for.
func (p Plan) ordered(n *plan.Needs) Ordered {
	return Ordered{Recipe: n.Recipe.File, Block: p.typed(n.Recipe.WidthIn), Columns: n.Columns, Rows: n.Rows}
}

// typed returns a length as one word.
func (p Plan) typed(in float64) string { return strings.ReplaceAll(p.format(in), " ", "") }

// choiceWhy returns the arithmetic of what is seen of the cloth.
func (p Plan) choiceWhy() recipe.Why {
	c := p.Choice
	why := recipe.Why{Text: p.chosenWords(c)}
	for _, u := range append(slices.Clone(c.Best), c.AsIs) {
		if u.ClothIn2 == 0 {
			continue
		}
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("blocks of %s: %s pulled, less what goes back; %s in patches with their seams ÷ %s = %s",
			u.Words(p.System), p.System.Area(u.ClothIn2), p.System.Area(u.In2), p.System.Area(u.ClothIn2), percentWords(u.Yield()))})
	}
	if c.SavedIn2() > 0 {
		best := c.Best[0]
		why.Steps = append(why.Steps, recipe.Why{Text: fmt.Sprintf("as the recipe stands as much in patches would take %s ÷ %s = %s: %s more",
			p.System.Area(best.In2), percentWords(c.AsIs.Yield()), p.System.Area(best.In2/c.AsIs.Yield()), p.System.Area(c.SavedIn2()))})
	}
	return why
}

// chosenWords says the choice in a sentence or two.
func (p Plan) chosenWords(c *plan.Choice) string {
	best := c.Best[0]
	if best.Covered == 0 {
		return "The recipe stands: no width or way has a piece of it that is cut from your stash by size."
	}
	if best.Recipe == c.AsIs.Recipe {
		return fmt.Sprintf("The recipe as it stands, blocks of %s, serves your stash best: %s of the cloth used up is in its patches, with their seams; no other width or way uses clearly more.", best.Words(p.System), percentWords(best.Yield()))
	}
	words := capital(best.Differs(c.AsIs, p.System)) + ": "
	if a, b := share(c.AsIs), share(best); a != b {
		words += fmt.Sprintf("the stash covers %s of what scraps can give, by area, in place of %s. ", b, a)
	} else {
		words += "the stash covers as much. "
	}
	words += fmt.Sprintf("Of the cloth used up %s is in the patches, with their seams", percentWords(best.Yield()))
	if c.AsIs.ClothIn2 > 0 {
		words += ", in place of " + percentWords(c.AsIs.Yield())
	}
	if saved := c.SavedIn2(); saved >= 1 {
		words += fmt.Sprintf(": %s less is cut off for as much in patches", p.System.Area(math.Round(saved)))
	}
	return words + "."
}

// share returns how much of a quilt a stash covers.
func share(u plan.Use) string {
	if u.Covered == u.Wanted {
		return "all"
	}
	return percentWords(min(0.99, u.Cover))
}

// format writes a length, to the nearest mark where it lies on none.
func (p Plan) format(in float64) string { return p.System.Format(p.System.Nearest(in)) }

// up writes a length of cloth to get, rounded up to a mark.
func (p Plan) up(in float64) string { return p.System.Format(p.System.Up(in)) }

// size returns "2½", or "2½ × 4½" where the sides differ.
func (p Plan) size(w, l float64) string {
	if w == l {
		return p.format(w)
	}
	return p.format(w) + " × " + p.format(l)
}

// inks returns the colours of the cloth that covers each role, where there is any.
func (p Plan) inks() inks {
	if p.Pull == nil {
		return nil
	}
	out := inks{}
	type drawn struct {
		role recipe.Role
		key  string
	}
	seen := map[drawn]bool{}
	add := func(id int64, r recipe.Role) {
		c := p.chipOf(id)
		if as := (drawn{r, c.key()}); c.Some && !seen[as] {
			seen[as] = true
			out[r] = append(out[r], c)
		}
	}
	for _, r := range p.Pull.Cover.Ready {
		add(r.ID, p.Pull.Roles[r.Want])
	}
	for _, c := range p.Pull.Cover.Cuts {
		for _, piece := range c.Pieces {
			add(c.ID, p.Pull.Roles[piece.Want])
		}
	}
	for _, s := range p.Pull.Scraps {
		for _, l := range s.Pulled {
			add(l.ID, s.Role)
		}
	}
	return out
}

func (p Plan) inksCaption() string {
	s := "The block, the quilt, and the quilt in grey. "
	if p.Drawn != nil {
		return s + "Each patch shows a piece of cloth that is pulled for it; what is still to be had is hollow, and the background plain where it is to be bought. It is a picture to plan by: arrange looks longer for a layout."
	}
	if len(p.inks()) > 0 {
		return s + "The colours are those of the cloth pulled, in no particular order. Cloth entered by hand is drawn in a colour that stands for its words, and what may be of any colour in grey."
	}
	return s + "The colours stand in for prints; what may be of any colour is grey."
}

// pieces lists the cuts of the top.
func (p Plan) pieces() section {
	return section{Heading: "Pieces", Tables: []table{cutTable(p.Needs.Cuts, p.System, p.inks(), lettersOf(p.Needs.Recipe))},
		Paras: []string{"Every piece of the top, as cut. The letters are those in the drawing of the block."}}
}

// yardage returns the cloth of each role were it one fabric.
func (p Plan) yardage() section {
	t := table{Columns: columns("role", ">pieces", ">before rounding", ">buy")}
	inks := p.inks()
	for _, y := range p.Needs.Yardage {
		t.add(inks.of(y.Role)[0].with(y.Role.Name), y.Pieces, p.up(y.AskedIn), y.Buy)
	}
	return section{Heading: "Cloth, if each role were one fabric", Tables: []table{t},
		Paras: []string{"Cut in strips across the width of the fabric, with borders and binding."}, Items: p.Needs.Tight}
}

// surround returns borders, binding and backing.
func (p Plan) surround() section {
	n := p.Needs
	s := section{Heading: "Borders, binding, backing"}
	for _, b := range n.Borders {
		var lengths []string
		if b.SideIn > 0 {
			lengths = append(lengths, "two sides of "+p.up(b.SideIn))
		}
		if b.TopIn > 0 {
			lengths = append(lengths, "top and bottom of "+p.up(b.TopIn))
		}
		end, aslant := "", ""
		if b.Mitred {
			end = ", mitred"
		}
		if b.TrimIn[0] > 0 {
			end = "; with it on trim the top to " + p.sides(b.TrimIn[0], b.TrimIn[1])
		}
		if b.Aslant > b.Strips {
			aslant = fmt.Sprintf(" (on the diagonal it takes %d)", b.Aslant)
		}
		s.Items = append(s.Items, fmt.Sprintf("%s%s: %s cut %s wide, joined straight%s; %s%s",
			b.What, besides(b.What, b.Role.Name), cloth.Count(b.Strips, "strip"), p.format(b.CutIn), aslant, strings.Join(lengths, ", "), end))
	}
	s.Items = append(s.Items, fmt.Sprintf("binding%s: %s cut %s wide, joined on the diagonal: %s round and %s more for the corners and for joining the ends", besides("binding", n.Binding.Role.Name), cloth.Count(n.Binding.Strips, "strip"), p.format(n.Binding.CutIn), p.up(n.Binding.AroundIn), p.up(n.Binding.RoundIn-n.Binding.AroundIn)))
	if g := n.Backing.AsYouGo; g != nil {
		s.Items = append(s.Items, p.asYouGo(g)...)
		return s
	}
	for i, w := range n.Backing.Ways {
		if i > 0 && w.Panels == 1 && n.Backing.Ways[0].Panels == 1 && w.LengthIn == n.Backing.Ways[0].LengthIn {
			continue // the one panel turned
		}
		words := fmt.Sprintf("backing with seams %s: %s of %s, %s before rounding, buy %s", w.Seams, cloth.Count(w.Panels, "panel"), p.up(w.PanelIn), p.up(w.AskedIn), w.Buy)
		if w.Panels == 1 {
			words = fmt.Sprintf("backing in one panel of %s, buy %s", p.up(w.PanelIn), w.Buy)
		}
		if i == n.Backing.Best && n.Backing.Ways[0].LengthIn != n.Backing.Ways[1].LengthIn {
			words += "; this way takes less"
		}
		s.Items = append(s.Items, words)
	}
	return s
}

// between returns a second quilt that is sewn in pairs between the seams of this one.
func (p Plan) between() section {
	b := p.Between
	s := section{Heading: "Between other seams", Paras: []string{
		fmt.Sprintf("What this quilt leaves of the stash gives %s of %s squares: a light and a dark one, or a medium one and another (%d light, %d medium, %d dark). What is left of pieces that are cut for this quilt is not counted.",
			cloth.Count(b.Pairs, "pair"), p.format(b.SideIn), b.Light, b.Medium, b.Dark),
	}}
	if b.Blocks > 0 {
		s.Paras = append(s.Paras, fmt.Sprintf("Sew one at the end of each chain in place of a scrap. Two pairs make a four-patch: %s, %d by %d of them %s finished.",
			cloth.Count(b.Blocks, "four-patch"), b.Columns, b.Rows, p.size(b.WidthIn, b.LengthIn)))
	}
	return s
}

// asYouGo returns the back of blocks that are quilted one by one.
func (p Plan) asYouGo(g *plan.AsYouGo) []string {
	out := []string{fmt.Sprintf("backs of blocks: %d of %s, and as many of batting; trim each block to %s when it is quilted",
		g.Blocks, p.size(g.BackWidthIn, g.BackIn), p.size(g.TrimWidthIn, g.TrimIn))}
	var strips []string
	for _, x := range []struct {
		n      int
		length float64
	}{{g.Short, g.ShortIn}, {g.Long, g.LongIn}} {
		if x.n > 0 {
			strips = append(strips, fmt.Sprintf("%d of %s", x.n, p.up(x.length)))
		}
	}
	if strips != nil {
		out = append(out, fmt.Sprintf("joining strips behind, cut %s wide and folded along the middle: %s; those in front are the sashing", p.format(g.StripIn), strings.Join(strips, " and ")))
	}
	return append(out, fmt.Sprintf("for the back in all: %s before rounding, buy %s", p.up(g.Cloth.AskedIn), g.Cloth.Buy))
}

// besides names a role where it is not called as what it is for.
func besides(what, role string) string {
	if role == what {
		return ""
	}
	return ", " + role
}

// cautions returns what anyone who cuts and presses is told first.
func cautions() section {
	return section{Heading: "Before you cut", Careful: true, Items: []string{
		"Close or lock the rotary cutter's blade after every cut. Cut away from yourself, fingers back from the edge of the ruler, shoes on, and not when you are tired.",
		"Keep cutter, blades and iron out of children's reach; children cut with an adult beside them. Put used blades in a closed container.",
		"An iron burns long after it is switched off: unplug it, let it cool out of reach, and let no cord hang down. Press up and down, with fingers clear of the steam.",
		"The rules of your class or guild, and your teacher's word, go before this list.",
	}}
}

// verdict says how much of the quilt the stash covers; empty where it is cut from
// strings and crumbs alone, which are told by area.
func (p Plan) verdict() string {
	if p.Pull == nil {
		return ""
	}
	wanted, covered, short := p.Pull.Totals()
	switch {
	case wanted == 0 && len(p.Pull.Scraps) > 0:
		return ""
	case short == 0 && wanted > 0:
		return fmt.Sprintf(" The stash covers all %s that scraps can give.", cloth.Count(wanted, "piece"))
	}
	whose := "This plan" // a better one may be found
	if p.Pull.Cover.Optimal {
		whose = "The stash"
	}
	return fmt.Sprintf(" %s covers %d of %s that scraps can give.", whose, covered, cloth.Count(wanted, "piece"))
}

// covered says what the stash comes to for this quilt.
func (p Plan) covered() section {
	s := section{Heading: "From the stash"}
	for _, x := range p.Pull.Scraps {
		words := fmt.Sprintf("%s, %s: %s wanted, about %s, of any width from %s; the stash gives %s in %s.",
			x.Role.Name, x.For, p.System.Area(math.Ceil(x.WantedIn2)), cloth.Count(recipe.Handfuls(x.WantedIn2), "handful"), p.format(recipe.LeastString),
			p.System.Area(math.Floor(x.GivenIn2)), cloth.Count(plan.CountOf(x.Pulled), "piece"))
		if x.Lengths != nil {
			n := 0
			lengths := mapped(x.Lengths, func(l plan.StringLength) string {
				n += l.Count
				return fmt.Sprintf("%d of %s", l.Count, p.format(l.LengthIn))
			})
			words += fmt.Sprintf(" Cut, from the diagonal outwards, each to reach across at its place, they are %s, of these lengths or somewhat less: %s.", cloth.Count(n, "string"), strings.Join(lengths, ", "))
		}
		switch {
		case x.Lacking > 0 && x.For == string(recipe.Strings):
			words += fmt.Sprintf(" They do not reach across %s of the foundations.", percent(x.Lacking))
		case x.For == string(recipe.Crumbs) && x.Lacking == 0 && x.GivenIn2 < 1.1*x.WantedIn2:
			words += " That is just about enough: what is trimmed away is an assumption."
		}
		s.Paras = append(s.Paras, words)
	}
	for _, m := range p.Pull.Sets() {
		s.Paras = append(s.Paras, fmt.Sprintf("Matching: %d of %s of %s, each from one print (%s).", m.Covered, cloth.Count(m.Count, "set"), m.Role.Name, p.setWords(m.Set)))
	}
	for _, l := range p.Left {
		s.Paras = append(s.Paras, fmt.Sprintf("Kept for %s, which you planned before: %s.", l.Quilt, cloth.Count(l.Pieces, "piece")))
	}
	c := p.Pull.Cover
	if c.CutCount > 0 {
		words := fmt.Sprintf("%s; %s of cloth wasted", cloth.Count(c.CutCount, "cut"), p.System.Area(c.Waste))
		if c.Optimal {
			words += ". No plan of cuts along and across the cloth does better" + p.Wording.Aims + "; only the waste might be less"
		}
		s.Paras = append(s.Paras, words+".")
	}
	t := table{Columns: columns("for", ">size", ">wanted", ">covered", ">prints", ">short")}
	inks := p.inks()
	for i, w := range p.Pull.Wants {
		t.add(inks.of(p.Pull.Roles[i])[0].with(w.Name), p.size(w.W, w.L), w.Count, c.Covered[i], blankZero(c.Prints[i]), blankZero(c.Short[i]))
	}
	if len(t.Rows) > 0 {
		s.Tables = []table{t}
	}
	s.Items = p.sinking()
	for _, k := range c.Measure {
		s.Items = append(s.Items, fmt.Sprintf("measure first: the length of %s is not known, and it may help", p.stockWords(p.Pull.Stock[k])))
	}
	return s
}

// setWords says what a set is cut from: "2 of 5¼ and 1 of 4½".
func (p Plan) setWords(s recipe.Set) string {
	return strings.Join(mapped(s.Pieces, func(c recipe.SizeCount) string {
		return fmt.Sprintf("%d of %s", c.Count, p.size(c.WidthIn, c.LengthIn))
	}), " and ")
}

// sinking warns of pulled cloth that does not stand clear of the background.
func (p Plan) sinking() []string {
	if p.Ground == nil {
		return nil
	}
	pulled := map[int64]bool{}
	for _, pull := range p.Pull.Cover.Pulls {
		for _, l := range pull.Lines {
			pulled[l.ID] = true
		}
	}
	var lines []string
	for _, b := range contrast.Bands[:2] {
		var names []string
		for i, s := range p.Pull.Stock {
			if !pulled[s.ID] || s.Print == p.Ground.Name {
				continue
			}
			h := p.holding(s.ID)
			if h == nil || !h.Measured {
				continue
			}
			if v := contrast.Against(*p.Ground, contrast.Print{Colour: h.Mean, Inks: h.Colours}); v.Counts == b {
				if name := p.stockWords(p.Pull.Stock[i]); !slices.Contains(names, name) {
					names = append(names, name)
				}
			}
		}
		if names != nil {
			lines = append(lines, fmt.Sprintf("%s on the background: %s", countsAs(b), strings.Join(names, "; ")))
		}
	}
	return lines
}

// stockWords returns "dark blue 2½ × 18 strip, print a".
func (p Plan) stockWords(s cloth.Holding) string {
	if s.Print == "" {
		return p.kindWords(s)
	}
	return p.kindWords(s) + ", " + printNamed(s.Print)
}

// kindWords returns "dark blue 2½ × 18 strip".
func (p Plan) kindWords(s cloth.Holding) string {
	return strings.TrimSpace(boxWords(s) + " " + p.cutWords(s))
}

// cutWords returns "2½ × 18 strip", or "odd piece" of cloth whose size is not known.
func (p Plan) cutWords(s cloth.Holding) string {
	size := ""
	if s.WidthIn > 0 {
		size = p.size(s.WidthIn, cmp.Or(s.LengthIn, s.WidthIn))
	}
	return strings.TrimSpace(size + " " + string(s.Form))
}

// printNamed returns a print's name with the word print before it; no line ends before a
// number.
func printNamed(name string) string {
	if n := cloth.ShortPrint(name); n != name {
		return "print" + noBreak + n
	}
	return "print " + name
}

// PrintWords returns a holding's print with its colour: "print 12, light grey".
func PrintWords(h cloth.Holding) string {
	words := h.Print
	if colour := binWords("", h.Family, h.Value); colour != "" {
		words += ", " + colour
	}
	return words
}

// binWords name a bin: your own by its name, else "dark blue", "medium multicoloured".
func binWords(own string, f cloth.Family, v cloth.Value) string {
	if own != "" {
		return own
	}
	family := string(f)
	if f == cloth.Many {
		family = "multicoloured"
	}
	return strings.TrimSpace(string(v) + " " + family)
}

func boxWords(s cloth.Holding) string { return binWords(s.Bin, s.Family, s.Value) }

// mostPulled is the number of lines up to which the pull list stands open on the page. A basket of
// manyAlike lines or more that are all of one cut has the cut in its head, not in each line.
const mostPulled, manyAlike = 12, 6

// fetched is a number of pieces of a holding to take from the shelf.
type fetched struct {
	cloth.Holding
	pieces int
}

// fetch returns the table of what to take from one basket: a row for each colour, value and cut,
// with its prints.
func (p Plan) fetch(from string, all []fetched) table {
	words := func(f fetched) string { return p.kindWords(f.Holding) }
	rows := grouped(all, words)
	if cuts := grouped(all, func(f fetched) string { return p.cutWords(f.Holding) }); len(cuts) == 1 && len(rows) >= manyAlike {
		from += ": " + cloth.Plural(2, cuts[0].key)
		words = func(f fetched) string { return boxWords(f.Holding) }
	}
	t := table{Columns: columns(from, "print", ">pieces")}
	for _, g := range rows {
		var prints []string
		n := 0
		for _, f := range g.all {
			n += f.pieces
			if print := cloth.ShortPrint(f.Print); print != "" && !slices.Contains(prints, print) {
				prints = append(prints, print)
			}
		}
		t.add(p.chipOf(g.all[0].ID).with(words(g.all[0])), strings.Join(prints, ", "), n)
	}
	return t
}

// pulls lists what to fetch, basket by basket.
func (p Plan) pulls() section {
	s := section{Heading: "Pull"}
	for _, pull := range p.Pull.Cover.Pulls {
		s.Tables = append(s.Tables, p.fetch(cmp.Or(pull.Basket, "in no basket"), mapped(pull.Lines, func(l cutting.PullLine) fetched {
			return fetched{p.Pull.Stock[l.Stock], l.Count}
		})))
	}
	beside := func(what string, pulled []plan.Pulled) {
		pulled = slices.DeleteFunc(slices.Clone(pulled), func(l plan.Pulled) bool { return l.Count == 0 })
		if len(pulled) > 0 {
			s.Tables = append(s.Tables, p.fetch("for "+what, mapped(pulled, func(l plan.Pulled) fetched { return fetched{*p.holding(l.ID), l.Count} })))
		}
	}
	for _, x := range p.Pull.Strips {
		beside(x.What, mapped(x.From, func(f plan.PulledStrips) plan.Pulled { return f.Pulled }))
	}
	for _, x := range p.Pull.Scraps {
		beside(x.For, x.Pulled)
	}
	lines := 0
	for _, t := range s.Tables {
		lines += len(t.Rows)
	}
	for i := range s.Tables { // many are opened one by one
		t := &s.Tables[i]
		t.Title, t.Closed = fmt.Sprintf("%s: %s", printable(t.Columns[0].Head), cloth.Count(len(t.Rows), "kind")), lines > mostPulled
	}
	if s.Tables == nil {
		s.Paras = []string{"Nothing in the stash fits this quilt."}
	}
	s.Paras = append(s.Paras, p.shortPieces()...)
	return s
}

// shortPieces names the pieces taken as they are that are a hair small.
func (p Plan) shortPieces() []string {
	var out []string
	for _, r := range p.Pull.Cover.Ready {
		if r.Short == 0 {
			continue
		}
		from, want := p.Pull.Stock[r.Stock], p.Pull.Wants[r.Want]
		words := fmt.Sprintf("Pieces of %s are taken for %s, though they are %s mm short.", p.format(from.WidthIn), p.size(want.W, want.L), number(r.Short*cloth.MMPerInch, 10))
		if !slices.Contains(out, words) {
			out = append(out, words)
		}
	}
	return out
}

// holding returns the piece of the stash of a number; nil where there is none.
func (p Plan) holding(id int64) *cloth.Holding {
	if i := slices.IndexFunc(p.Holdings, func(h cloth.Holding) bool { return h.ID == id }); i >= 0 {
		return &p.Holdings[i]
	}
	return nil
}

// chipOf shows a piece of the stash; nothing where there is none of that number.
func (p Plan) chipOf(id int64) chip {
	h := p.holding(id)
	if h == nil {
		return chip{}
	}
	c, _ := chipOf(*h, p.Crops)
	return c
}

// bought writes a length of cloth as it is asked for in a shop.
func (p Plan) bought(in float64) string {
	_, words := cutting.Bought(in, p.System.Metric)
	return words
}

// shortage lists what is still to be had.
func (p Plan) shortage() section {
	s := section{Heading: "Still wanted"}
	gaps := p.Pull.Gaps(p.Quilt)
	for i, g := range gaps {
		if g.Set > 0 {
			if slices.IndexFunc(gaps, func(o plan.Gap) bool { return o.Set == g.Set }) == i {
				s.Items = append(s.Items, fmt.Sprintf("%s, each from one print (%s): %s", cloth.Count(g.Pieces/g.Each, "set"), p.setWords(p.Needs.Sets[g.Set-1]), g.Sought))
			}
			continue
		}
		if g.Pieces > 0 {
			s.Items = append(s.Items, fmt.Sprintf("%s of %s: %s", cloth.Count(g.Pieces, "piece"), p.size(g.WidthIn, g.LengthIn), g.Sought))
			continue
		}
		s.Items = append(s.Items, fmt.Sprintf("%s: %s (%s long, full width)", g.Sought, p.bought(g.ClothIn), p.up(g.ClothIn)))
	}
	if in, err := p.Pull.BackgroundIn(); err == nil && in > 0 {
		s.Items = append(s.Items, fmt.Sprintf("to buy the background for its pieces takes %s (%s long, full width)", p.bought(in), p.up(in)))
	}
	if s.Items == nil {
		s.Paras = []string{"Nothing."}
	}
	return s
}
