package report

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// sewer says how the units of a block are made.
type sewer struct {
	recipe.System
	names letters
}

// of names a role with its letter in the drawings.
func (w sewer) of(r recipe.Role) string {
	if l := w.names.of(r); l != "" {
		return r.Name + " (" + l + ")"
	}
	return r.Name
}

func (w sewer) size(a, b float64) string {
	if w.Format(a) == w.Format(b) {
		return w.Format(a)
	}
	return w.Format(min(a, b)) + " × " + w.Format(max(a, b))
}

// unfinished returns a unit's size before it is sewn in.
func (w sewer) unfinished(u recipe.Unit, cell float64) string {
	a, _ := w.Plain(cell * float64(u.Wide))
	b, _ := w.Plain(cell * float64(u.High))
	return w.size(a, b)
}

// toward says to which of two cloths a seam is pressed.
func (w sewer) toward(a, b recipe.Role) string {
	switch d := recipe.Darker(a, b); {
	case d < 0:
		return "Press toward " + w.of(a) + ", the darker."
	case d > 0:
		return "Press toward " + w.of(b) + ", the darker."
	}
	return "Press toward the darker of the two, or open."
}

// cut lists the pieces of a set: "2 squares of 3⅞, light (A) and dark (B)".
func (w sewer) cut(m recipe.Batch) string {
	var out []string
	for _, l := range m.Cut {
		what := "piece"
		if w.Format(l.WidthIn) == w.Format(l.LengthIn) {
			what = "square"
		}
		words := fmt.Sprintf("%s of %s, %s", cloth.Count(l.Count, what), w.size(l.WidthIn, l.LengthIn), w.of(l.Role))
		if l.Split != recipe.Whole {
			words += ", cut " + string(l.Split)
		}
		out = append(out, words)
	}
	return strings.Join(out, "; ")
}

// steps say how a batch of units is made, in order. The techniques are as they are commonly
// taught; their sizes are those of the cutting list, whose sources package recipe names.
func (w sewer) steps(m recipe.Batch, cell float64) []string {
	u := m.Unit
	seam, size := w.SeamWords(), w.unfinished(u, cell)
	role := func(i int) string { return w.of(u.Roles[i]) }
	begin := "Cut for " + cloth.Count(m.Set, "unit") + ": " + w.cut(m) + "."
	switch u.Make {
	case recipe.HalfSquare:
		lay := fmt.Sprintf("Lay a square of each, %s and %s, right sides together, edges even.", role(0), role(1))
		if m.Set == 8 {
			return []string{begin, lay + " Draw both lines from corner to corner on the lighter.",
				"Sew " + seam + " from each line, on both sides of it.",
				"Cut across the middle both ways, then on the lines: eight units.",
				w.toward(u.Roles[0], u.Roles[1]) + " Trim each to " + size + ", its seam from corner to corner."}
		}
		return []string{begin, lay + " Draw a line from corner to corner on the lighter.",
			"Sew " + seam + " from the line, on both sides of it. Cut on the line: two units.",
			w.toward(u.Roles[0], u.Roles[1]) + " Trim each to " + size + ", its seam from corner to corner."}
	case recipe.HalfRectangle:
		return []string{begin, "Lay a triangle of each with their long sides together, right sides in, the points past each other by the same at both ends. Sew the long side: two units.",
			w.toward(u.Roles[0], u.Roles[1]) + " Trim each to " + size + ", the seam " + seam + " inside two opposite corners."}
	case recipe.Hourglass:
		return []string{begin, fmt.Sprintf("Lay a square of %s and one of %s right sides together; draw a line from corner to corner; sew %s from it on both sides; cut on the line; press.", role(0), role(1), seam),
			"Lay the two halves together, each cloth on the other, so that the seams nest. Draw a line from corner to corner across the seam; sew on both sides of it; cut on the line: two units.",
			"Press the last seam open: it is bulky in the middle. Trim to " + size + ", the middle where the seams cross."}
	case recipe.QuarterSquare:
		return []string{begin, fmt.Sprintf("Lay out four triangles: %s above, %s right, %s below, %s left.", role(0), role(1), role(2), role(3)),
			"Sew the upper to the right one, and the lower to the left one, each along a short side. Press both the same way round, so that they nest.",
			"Sew the two halves along the long side. Press open: it is bulky in the middle. Trim to " + size + "."}
	case recipe.FlyingGeese:
		if m.Set == 4 {
			return []string{begin, fmt.Sprintf("Lay two small squares of %s on opposite corners of the large one of %s, right sides together; they overlap a little in the middle. Draw a line through both from corner to corner.", role(1), role(0)),
				"Sew " + seam + " from the line, on both sides of it. Cut on the line. Press toward the small triangles.",
				"On the free corner of each half lay a small square; draw a line from that corner to between the two triangles; sew on both sides of it; cut on the line; press: four units.",
				"Trim each to " + size + ", the point " + seam + " inside the long edge."}
		}
		return []string{begin, fmt.Sprintf("Lay a square of %s on one end of the piece of %s, right sides together, edges even. Sew from corner to corner of the square, toward the middle of the upper edge.", role(1), role(0)),
			"Trim " + seam + " outside the seam. Press toward the corner.",
			"Do the same at the other end, the seam the other way. The seams cross " + seam + " inside the upper edge."}
	case recipe.FlipCorners:
		var corners []string
		for k, c := range u.Corners {
			if c.Side > 0 {
				side, _ := w.Plain(cell * float64(c.Side))
				corners = append(corners, fmt.Sprintf("%s, a square of %s of %s", []string{"top left", "top right", "bottom right", "bottom left"}[k], w.Format(side), w.of(c.Role)))
			}
		}
		return []string{begin, fmt.Sprintf("On the corners of %s lay, right sides together, edges even: %s.", role(0), strings.Join(corners, "; ")),
			"Sew each across, from corner to corner of the square. Trim " + seam + " outside the seam. Press toward the corner."}
	case recipe.StripSet:
		return w.strips(m, cell)
	case recipe.Strings, recipe.Crumbs:
		return w.founded(m, size)
	case recipe.LogCabin, recipe.CourthouseSteps:
		return w.logs(m, cell)
	}
	return nil
}

// sides returns how wide and how high a patch is cut.
func (w sewer) sides(p recipe.Patch) (wide, high float64) {
	lo, hi := p.Polygon.Bounds()
	wide, _ = w.Plain(hi.X - lo.X)
	high, _ = w.Plain(hi.Y - lo.Y)
	return wide, high
}

// sized lists patches of a unit with their sizes as cut: "light (A) 2½ × 4½".
func (w sewer) sized(u recipe.Unit, cell float64) []string {
	var out []string
	for _, p := range u.Shown(cell).Patches {
		out = append(out, w.of(p.Role)+" "+w.size(w.sides(p)))
	}
	return out
}

// strips says how a strip set is sewn, or several that are cut across.
func (w sewer) strips(m recipe.Batch, cell float64) []string {
	u, patches := m.Unit, m.Unit.Shown(cell).Patches
	segments := max(1, len(u.Segments))
	each := len(patches) / segments
	var out, hows []string // hows: of each segment, without its number
	for s := range segments {
		var of []string
		for k := s * each; k < (s+1)*each; k++ {
			_, high := w.sides(patches[k])
			of = append(of, w.of(patches[k].Role)+" "+w.Format(high)+" wide")
		}
		across, _ := w.sides(patches[s*each])
		how := "sew strips together along their long sides, from the top: " + strings.Join(of, ", ") + ". Cut the set across every " + w.Format(across) + "."
		switch before := slices.Index(hows, how); {
		case segments == 1:
			out = append(out, capital(how))
		case before >= 0:
			out = append(out, fmt.Sprintf("Segment %d is as segment %d.", s+1, before+1))
		default:
			out = append(out, fmt.Sprintf("For segment %d, from the left: ", s+1)+how)
		}
		hows = append(hows, how)
	}
	out = append(out, "From scraps sew the patches one by one in the same order.")
	if segments == 1 {
		return append(out, "Press the seams all one way, toward the darker where you can.")
	}
	return append(out, "Press the seams of odd segments upwards and of even ones downwards, so that they nest.",
		"Sew the segments side by side, the seams nested. Press these seams all one way.")
}

// founded says how strings or crumbs are sewn onto a foundation.
func (w sewer) founded(m recipe.Batch, size string) []string {
	var of []string
	for _, r := range m.Unit.Roles {
		of = append(of, w.of(r))
	}
	inTurn := func(of []string) string {
		if len(of) == 1 {
			return of[0]
		}
		return strings.Join(of, ", ") + ", in turn"
	}
	out := []string{"Cut a foundation of thin cloth or paper a finger's breadth larger than " + size + " each way."}
	if m.Unit.Make == recipe.Strings {
		rest := of
		if len(of) > 1 {
			rest = of[1:]
		}
		out = append(out, "Lay the first strip, "+of[0]+", along the middle, from the bottom left to the top right corner, right side up, and the next on it, right sides together, edges even; sew "+w.SeamWords()+" from the edge through both and the foundation. Flip it open and press.",
			"Go on to both corners, each strip longer than what it covers: "+inTurn(rest)+".")
	} else {
		out = append(out, "Lay a scrap in the middle, right side up, and the next on an edge of it, right sides together; sew "+w.SeamWords()+" from the edge through both and the foundation. Flip it open, press, and trim to a straight edge.",
			"Go on round until the foundation is covered: "+inTurn(of)+".")
	}
	return append(out, "Trim to "+size+" from the back. Take paper out once the block is sewn in.")
}

// logs says in which order the logs of a log cabin or of courthouse steps are sewn on.
func (w sewer) logs(m recipe.Batch, cell float64) []string {
	sized := w.sized(m.Unit, cell)
	sides, next := []string{"left", "top", "right", "bottom"}, "log"
	out := []string{"Begin with the centre, " + sized[0] + "."}
	if m.Unit.Make == recipe.CourthouseSteps {
		sides, next = []string{"left", "right", "top", "bottom"}, "pair"
	}
	for round := range m.Unit.Rounds {
		var logs []string
		for k, side := range sides {
			logs = append(logs, side+" "+sized[1+4*round+k])
		}
		out = append(out, fmt.Sprintf("Round %d, each log as long as the side it goes to: %s.", round+1, strings.Join(logs, "; ")))
	}
	return append(out, "Press every seam away from the centre before the next "+next+" is sewn on.")
}

// joined says how the pieces of a block are sewn together, from the smallest on.
type joined struct {
	sewer
	b      recipe.Block
	unit   []int // of each of its units: the number of its batch
	pieces int   // named so far
	steps  []string
	called map[string]string
	count  map[string]int
}

// key returns the same text for pieces that lie alike.
func (j *joined) key(s recipe.Sewn) string {
	if s.Unit >= 0 {
		return fmt.Sprint("unit ", j.unit[s.Unit])
	}
	if s.Like > 0 {
		return fmt.Sprint("like ", s.Like)
	}
	return fmt.Sprint("at ", s.Column, s.Row, s.Wide, s.High)
}

// tally counts the pieces that are sewn of others.
func (j *joined) tally(s recipe.Sewn) {
	for _, p := range s.Of {
		j.tally(p)
	}
	if s.Unit < 0 {
		j.count[j.key(s)]++
	}
}

// named returns what a piece is called, once it is made.
func (j *joined) named(s recipe.Sewn) string {
	if s.Unit >= 0 {
		if u := j.b.Units[s.Unit]; u.Make == recipe.Plain {
			return fmt.Sprintf("unit %d (%s)", j.unit[s.Unit]+1, u.Roles[0].Name)
		} else if u.Turn > 0 {
			return fmt.Sprintf("unit %d (%s)", j.unit[s.Unit]+1, turnWords[u.Turn])
		}
		return fmt.Sprintf("unit %d", j.unit[s.Unit]+1)
	}
	if s.Turned > 0 {
		return j.called[j.key(s)] + " (turned)"
	}
	return j.called[j.key(s)]
}

// turnWords say how a unit is turned from how its own drawing and steps have it, by its quarter
// turns.
var turnWords = [4]string{1: "turned right", 2: "upside down", 3: "turned left"}

// make writes the steps to a piece, those to its parts first; called is its name.
func (j *joined) make(s recipe.Sewn, called string) {
	if s.Unit >= 0 || j.called[j.key(s)] != "" {
		return
	}
	rows := called == wholeBlock && !s.Partial && !slices.ContainsFunc(s.Of, func(p recipe.Sewn) bool { return p.Unit < 0 && p.Down == s.Down })
	for i, p := range s.Of {
		name := ""
		switch {
		case rows && s.Down:
			name = fmt.Sprintf("row %d", i+1)
		case rows:
			name = fmt.Sprintf("column %d", i+1)
		}
		j.make(p, name)
	}
	if called == "" { // its parts have their numbers before it
		j.pieces++
		called = fmt.Sprintf("piece %d", j.pieces)
	}
	j.called[j.key(s)] = called
	var of []string
	for _, p := range s.Of {
		of = append(of, j.named(p))
	}
	head := capital(called)
	if n := j.count[j.key(s)]; n > 1 {
		head += fmt.Sprintf(" (make %d)", n)
	}
	if s.Partial {
		j.steps = append(j.steps, fmt.Sprintf("%s: sew %s to %s (top, then right, bottom and left) round the middle, %s, each to the side before it. Of the first seam sew only the half beside the middle; finish it last, when the fourth piece is on. Press away from the middle.",
			head, strings.Join(of[1:4], ", "), of[0], of[4]))
		return
	}
	way := "side by side, from the left"
	if s.Down {
		way = "one below another, from the top"
	}
	j.steps = append(j.steps, fmt.Sprintf("%s: sew %s: %s. %s", head, way, strings.Join(of, ", "), pressWords(s))+sameWords(s))
}

// sameWords says what to do where seams do not nest.
func sameWords(s recipe.Sewn) string {
	if s.Same {
		return " Where two seams that meet lie the same way, press one of them over first, so that they nest."
	}
	return ""
}

const wholeBlock = "the block"

// pressWords says to which side the seams between pieces are pressed.
func pressWords(s recipe.Sewn) string {
	words := map[recipe.Press]string{recipe.Before: "to the left", recipe.After: "to the right", recipe.Open: "open, as many patches meet there"}
	if s.Down {
		words[recipe.Before], words[recipe.After] = "upwards", "downwards"
	}
	same := !slices.ContainsFunc(s.Press, func(p recipe.Press) bool { return p != s.Press[0] })
	switch n := len(s.Press); {
	case n == 1:
		return "Press the seam " + words[s.Press[0]] + "."
	case same:
		return "Press the seams " + words[s.Press[0]] + "."
	case n == 2 && s.Press[0] == recipe.Before && s.Press[1] == recipe.After:
		return "Press both seams outwards."
	case n == 2 && s.Press[0] == recipe.After && s.Press[1] == recipe.Before:
		return "Press both seams inwards."
	}
	var each []string
	for _, p := range s.Press {
		each = append(each, words[p])
	}
	return "Press the seams, in this order: " + strings.Join(each, ", ") + "."
}

// topSteps say how blocks are sewn into a top; n is the quilt that is planned, nil: none.
func (w sewer) topSteps(r *recipe.Recipe, n *plan.Needs) []string {
	if r.Backing.AsYouGo {
		return []string{"Lay each block on its batting and its back. Quilt it, and trim all three to the block's size before it is sewn in.",
			"To join two blocks, lay a strip of sashing on the front of the first and a folded strip on its back, edges even. Sew both on at once.",
			"Sew the other edge of the front strip to the second block. Fold the back strip over the seam and sew it down by hand or machine.",
			"Join the blocks of each row so, then the rows by long strips."}
	}
	columns, rows := r.Setting.Columns, r.Setting.Rows // 0: as many as you like
	if n != nil {
		columns, rows = n.Columns, n.Rows
	}
	if columns == 1 && rows == 1 && r.Setting.Kind == recipe.OnPoint && r.Sashing.WidthIn == 0 {
		return append([]string{"Sew a corner triangle to two sides of the block that face each other, its long side along the block, then one to each of the other two. Press toward the triangles. Square up " + w.SeamWords() + " outside the points of the block."},
			w.borderSteps(r, n)...)
	}
	var out []string
	sash := ""
	if r.Sashing.WidthIn > 0 {
		sash = ", with a strip of sashing between two; press toward the sashing"
	}
	switch r.Setting.Kind {
	case recipe.OnPoint:
		out = append(out, "Lay the blocks out on point, with the side triangles and the corners. The rows run aslant.",
			"Sew each slanting row, a side triangle at both ends, its long side outwards"+sash+".")
	case recipe.Shifted:
		out = append(out, "Lay the blocks out, every second row half a block over, with half blocks at its ends. Sew each row.")
	case recipe.InRows:
		out = append(out, "Lay the rows out. Sew each row by itself, from the left.")
	default:
		out = append(out, "Lay the blocks out, and look at them from across the room. Sew each row"+sash+".")
	}
	if sash == "" {
		out = append(out, "Press the seams of odd rows to the right and of even rows to the left, so that they nest. Where the seams of two blocks meet and lie the same way, press those of one the other way first.")
	}
	switch {
	case r.Sashing.WidthIn > 0 && r.Sashing.Cornerstones:
		out = append(out, "Sew rows of sashing and cornerstones, pressed toward the sashing. Sew them between the rows of blocks, the seams nested.")
	case r.Sashing.WidthIn > 0:
		out = append(out, "Sew a long strip of sashing between two rows, pressed toward it. Mark where blocks stand, so that they stay above each other.")
	}
	out = append(out, "Pin where seams meet. Sew the rows together, two and two, then those pairs. Press these seams all one way.")
	if r.Setting.Kind == recipe.OnPoint {
		out = append(out, "Sew the corners on last. Square up the top "+w.SeamWords()+" outside the points of the blocks.")
	}
	return append(out, w.borderSteps(r, n)...)
}

// borderSteps say how borders are sewn on.
func (w sewer) borderSteps(r *recipe.Recipe, n *plan.Needs) (out []string) {
	var rounds []recipe.Round
	strips := map[string][]plan.BorderNeed{}
	if n != nil {
		rounds = r.Rounds(n.Columns, n.Rows)
		for _, x := range n.Borders {
			strips[x.What] = append(strips[x.What], x)
		}
	}
	for i, b := range r.Borders {
		border := "the border"
		if len(r.Borders) > 1 {
			border = fmt.Sprintf("border %d", i+1)
		}
		own := fmt.Sprintf("border %d", i+1)
		spacer := strips["spacer of "+own]
		switch {
		case n == nil && b.Spacer != (recipe.Role{}):
			out = append(out, fmt.Sprintf("Where the plan has a spacer of %s for border %d, sew it on first: it makes the pieced one come out even.", w.of(b.Spacer), i+1))
		case spacer != nil:
			words := fmt.Sprintf("Sew on the spacer of %s, of %s, by which it comes out even: %s.", border, w.of(b.Spacer), w.stripLengths(spacer))
			if to := spacer[0].TrimIn; to[0] > 0 {
				words += fmt.Sprintf(" Trim the top to %s by %s, the same on both sides.", w.Format(w.Nearest(to[0])), w.Format(w.Nearest(to[1])))
			}
			out = append(out, words)
		}
		each := ""
		for _, x := range rounds {
			if top, side := x.Along(); x.Number == i && top > 0 {
				each = fmt.Sprintf(": %d along the top and as many along the bottom, %d along each side", top, side)
			}
		}
		switch {
		case len(b.Keys) > 0:
			out = append(out, "Sew the keys of "+border+" side by side into four strips, two and two, then those pairs"+each+". Press their seams all one way.")
		case len(b.Blocks) > 0:
			words := "Sew the blocks of " + border + " side by side into four strips, their tops outwards" + each
			if len(b.Blocks) > 1 {
				words += ", each strip from its left in this turn: " + strings.Join(mapped(b.Blocks, func(k int) string { return r.Blocks[k].Name }), ", ")
			}
			out = append(out, words+". Press their seams open.")
		}
		words := "Sew the sides of the border on first, then its top and bottom"
		if len(r.Borders) > 1 {
			words = fmt.Sprintf("Border %d: sew its sides on first, then its top and bottom", i+1)
		}
		switch {
		case b.Mitred:
			words = "Sew the strips of " + border + " on from " + w.SeamWords() + " inside a corner to as far inside the next; then sew the mitred corners, from the inside out"
		case b.Cornered || b.CornerBlock > 0:
			words += ", these with their corners sewn on"
		}
		if own := strips[own]; own != nil {
			words += ": " + w.stripLengths(own)
		}
		out = append(out, words+". Measure through the middle of the top, not along its edge. Press toward the border.")
	}
	return out
}

// stripLengths says how long the strips of a border or a spacer are cut, and how wide: "cut 2½
// wide, two sides of 32½, top and bottom of 36½".
func (w sewer) stripLengths(all []plan.BorderNeed) string {
	var out []string
	for _, x := range all {
		out = append(out, "cut "+w.Format(x.CutIn)+" wide")
		if x.SideIn > 0 {
			out = append(out, "two sides of "+w.Format(x.SideIn))
		}
		if x.TopIn > 0 {
			out = append(out, "top and bottom of "+w.Format(x.TopIn))
		}
	}
	return strings.Join(out, ", ")
}
