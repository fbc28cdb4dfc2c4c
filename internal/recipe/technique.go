package recipe

import (
	"fmt"
	"slices"

	"piecebag/internal/cloth"
)

// supply is cloth of one role and size that units alike are cut from.
type supply struct {
	role  Role
	w, h  float64 // as cut, w across the unit before it is turned, inches
	what  string  // it is for, as in Lot.For
	split Split
	steps []Why // to the size
	// gives says of each piece of a set which patches it gives.
	gives [][]patchOf
	each  string // what the pieces of a set are called, where their number is explained
	// loose is how many triangles a square is cut into where each may go to any unit; each
	// entry of gives is then one triangle. 0: the pieces belong to sets that are made
	// together.
	loose int
}

// patchOf is a patch of one of the units of a set.
type patchOf struct{ unit, patch int }

// ofEach returns the given patches of each of so many units.
func ofEach(units int, patches ...int) (out []patchOf) {
	for u := range units {
		for _, k := range patches {
			out = append(out, patchOf{u, k})
		}
	}
	return out
}

// singly returns so many pieces of a unit, each for a patch of its own.
func singly(patches ...int) (out [][]patchOf) {
	for _, k := range patches {
		out = append(out, ofEach(1, k))
	}
	return out
}

// FlippedCorners is what squares of flipped corners are for, in Lot.For.
const FlippedCorners = "flipped corners"

// supplies returns what a unit is cut from, in sets that make so many units; cell is the
// finished side of a cell, inches.
func (u Unit) supplies(s System, cell float64) (set int, out []supply) {
	w, h := cell*float64(u.Wide), cell*float64(u.High)
	squares := func(role Role, what, each string, side float64, why Why, gives ...[]patchOf) {
		out = append(out, supply{role: role, w: side, h: side, what: what, each: each, steps: []Why{why}, gives: gives})
	}
	whole := func(what string) { // the patch of the first role, as large as the unit
		cw, whyW := s.Plain(w)
		ch, whyH := s.Plain(h)
		steps := []Why{whyW}
		if u.Wide != u.High {
			steps = append(steps, whyH)
		}
		out = append(out, supply{role: u.Roles[0], w: cw, h: ch, what: what, steps: steps, gives: singly(0)})
	}
	set = 1
	switch u.Make {
	case HalfSquare:
		set = u.AtATime
		side, why := s.Half(w)
		what := "half-square triangles, two at a time"
		if set == 8 {
			side, why = s.eightHalves(w)
			what = "half-square triangles, eight at a time"
		}
		for k, role := range u.Roles {
			squares(role, what, "", side, why, ofEach(set, k))
		}
	case HalfRectangle:
		set = 2
		split := Rising
		if u.LeansLeft == (w > h) {
			split = Falling
		}
		cw, ch, why := s.halfRectangle(w, h)
		for k, role := range u.Roles {
			out = append(out, supply{role: role, w: cw, h: ch, split: split, what: "half-rectangle triangles, two at a time", steps: why, gives: [][]patchOf{ofEach(set, k)}})
		}
	case Hourglass:
		set = 2
		side, why := s.Quarter(w)
		for k, role := range u.Roles {
			squares(role, "hourglasses, two at a time", "", side, why, ofEach(set, k, k+2))
		}
	case QuarterSquare:
		side, why := s.Quarter(w)
		for i, role := range u.Roles {
			if slices.Index(u.Roles, role) == i {
				squares(role, "quarter-square triangles", "triangle", side, why, singly(indices(u.Roles, role)...)...)
				out[len(out)-1].loose = 4
			}
		}
	case FlyingGeese:
		if u.AtATime == 1 { // with flipped corners
			const what = "flying geese, one at a time"
			whole(what)
			side, why := s.Plain(h)
			squares(u.Roles[1], what, "corner", side, why, singly(1, 2)...)
			break
		}
		set = 4
		const what = "flying geese, four at a time"
		large, whyLarge := s.Quarter(w)
		small, whySmall := s.Half(h)
		squares(u.Roles[0], what, "", large, whyLarge, ofEach(set, 0))
		// Half of each of the first two small squares goes to either half of the large one,
		// half of each of the others to either goose of a half.
		squares(u.Roles[1], what, "small square", small, whySmall,
			[]patchOf{{0, 1}, {2, 2}}, []patchOf{{1, 2}, {3, 1}}, []patchOf{{0, 2}, {1, 1}}, []patchOf{{2, 1}, {3, 2}})
	case FlipCorners:
		whole("patches with flipped corners")
		var flipped []Corner
		for _, c := range u.Corners {
			if c.Side > 0 {
				flipped = append(flipped, c)
			}
		}
		for i, c := range flipped {
			if slices.Index(flipped, c) == i {
				at := indices(flipped, c)
				for k := range at {
					at[k]++ // the patch comes first
				}
				side, why := s.Plain(cell * float64(c.Side))
				squares(c.Role, FlippedCorners, "corner", side, why, singly(at...)...)
			}
		}
	case StripSet, LogCabin, CourthouseSteps: // every patch is cut by itself
		for k, shape := range u.upright() {
			lo, hi := shape.polygon.Bounds()
			cw, whyW := s.Plain(cell * (hi.X - lo.X))
			ch, whyH := s.Plain(cell * (hi.Y - lo.Y))
			what, steps := "logs", []Why{whyW, whyH}
			switch {
			case u.Make == StripSet && len(u.Segments) > 1:
				what = "patches"
			case u.Make == StripSet:
				what, steps = "strips of a strip set, one by one", []Why{whyH, whyW}
			case k == 0:
				what, steps = "centres", steps[:1]
			}
			out = append(out, supply{role: shape.role, w: cw, h: ch, what: what, steps: steps, gives: singly(k)})
		}
	case Strings, Crumbs:
		out = u.scrapSupplies(s, cell)
	default:
		whole("patches")
	}
	return set, out
}

// indices returns the places of x in a list.
func indices[T comparable](list []T, x T) (out []int) {
	for i, y := range list {
		if y == x {
			out = append(out, i)
		}
	}
	return out
}

// cutUnits adds what the units alike of a block that stands so many times are cut
// from; cell is the finished side of a cell.
func (p *pile) cutUnits(a alike, cell float64, stand Stand, c Method) {
	s, n := c.System, a.count*stand.Count
	why := blocksWhy(stand.Count, a.count)
	if a.unit.Make == StripSet && !c.OneByOne && p.cutStrips(a.unit, cell, n, why, c) {
		return
	}
	if a.unit.ofScraps() {
		p.cutScraps(a.unit, cell, n, why, c)
		return
	}
	onSide := a.onSide*(stand.Count-stand.OnSide) + (a.count-a.onSide)*stand.OnSide
	set, from := a.unit.supplies(s, cell)
	sets, groups := ceilDiv(n, set), 1
	if a.apart > 0 { // each matching set by itself
		groups = a.apart * stand.Count
		sets = groups * ceilDiv(n/groups, set)
	}
	for _, it := range from {
		lot := Lot{Role: it.role, WidthIn: it.w, LengthIn: it.h, Count: sets * len(it.gives), Split: it.split}
		steps := []Why{why}
		switch {
		case groups > 1 && set > 1:
			steps = append(steps, Why{Text: fmt.Sprintf("%d sets that match, %d at a time in each: %s; %d × %d = %d", groups, set, dividedUp(n/groups, set), groups, sets/groups, sets)})
		case set > 1:
			steps = append(steps, Why{Text: fmt.Sprintf("%d at a time: %s %s", set, dividedUp(n, set), cloth.Plural(sets, "set"))})
		}
		number := cloth.Count(len(it.gives), it.each)
		switch {
		case it.loose > 0:
			lot.Split, lot.Count = Twice, groups*ceilDiv(lot.Count/groups, it.loose)
			steps = append(steps, Why{Text: fmt.Sprintf("%d × %s, %d a square: %s", n/groups, number, it.loose, dividedUp(n/groups*len(it.gives), it.loose))})
		case it.each != "":
			steps = append(steps, Why{Text: fmt.Sprintf("%d × %s = %d", sets, number, lot.Count)})
		}
		if lot.Count == n && !alikeIn(it.w, it.h) { // one a unit, so it lies as its unit does
			lot.Across = onSide
			if it.w > it.h {
				lot.Across = n - onSide
			}
		}
		p.put(s, lot, it.what, append(steps, it.steps...)...)
	}
}
