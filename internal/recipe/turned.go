package recipe

import "slices"

// Turned is how many patches of a role one way of sewing may turn sideways or upside down,
// which shows in a print that has an up.
type Turned struct {
	Role    Role
	What    string
	Patches int
}

// What turns a print. Triangles and geese made several at a time come out of one
// square in more than one direction; a square flipped over a corner is turned by a
// quarter; blocks are made alike before they are turned.
const (
	byHalves     = "half-square triangles"
	byRectangles = "half-rectangle triangles"
	byQuarters   = "quarter-square triangles"
	byGeese      = "flying geese"
	byBlocks     = "turned blocks"
	bySetting    = "setting triangles"
	byStones     = "half cornerstones"
	byBorders    = "side borders"
)

// Turned lists what a setting of columns × rows may turn, role by role in the order they
// first appear. oneByOne is as in Method. That blocks on point stand at 45 degrees does not
// count: all of a block then does.
func (r *Recipe) Turned(columns, rows int, oneByOne bool) []Turned {
	var out []Turned
	add := func(role Role, what string, n int) {
		if n == 0 {
			return
		}
		i := slices.IndexFunc(out, func(t Turned) bool { return t.Role == role && t.What == what })
		if i < 0 {
			i = len(out)
			out = append(out, Turned{Role: role, What: what})
		}
		out[i].Patches += n
	}
	block := func(s stand) {
		if s.of < 0 {
			return
		}
		for _, u := range r.Blocks[s.of].Units {
			for k, x := range u.upright() {
				if what := u.turns(k, s.turn, oneByOne); what != "" {
					add(x.role, what, 1)
				}
			}
		}
	}
	r.field(columns, rows, block)
	for _, g := range r.between(columns, rows) {
		switch {
		case g.kind == Triangle:
			add(g.role, bySetting, len(g.at))
		case g.cut == asSideTriangles:
			add(g.role, byStones, len(g.at))
		}
	}
	for _, x := range r.Rounds(columns, rows) {
		x.blocks(block)
		if x.Strips() && x.SideIn > 0 { // strips across the cloth lie right at top and bottom
			add(x.Role, byBorders, 2)
		}
	}
	var roles []Role
	for _, t := range out {
		if !slices.Contains(roles, t.Role) {
			roles = append(roles, t.Role)
		}
	}
	slices.SortStableFunc(out, func(a, b Turned) int { return slices.Index(roles, a.Role) - slices.Index(roles, b.Role) })
	return out
}

// turns returns what turns patch k of a unit in a block that is turned by so many quarters;
// empty where the patch is cut by itself and can be laid upright.
func (u Unit) turns(k, turn int, oneByOne bool) string {
	switch {
	case u.Make == HalfSquare:
		return byHalves
	case u.Make == HalfRectangle:
		return byRectangles
	case u.Make == Hourglass || u.Make == QuarterSquare:
		return byQuarters
	case u.Make == FlyingGeese && u.AtATime > 1:
		return byGeese
	case (u.Make == FlyingGeese || u.Make == FlipCorners) && k > 0:
		return FlippedCorners
	case u.Make == StripSet && !oneByOne && (u.Turn+turn)%4 != 0:
		return StripSets
	case turn != 0:
		return byBlocks
	}
	return ""
}
