package recipe

import "slices"

// Turned is how many patches of a role one way of sewing may bring out on their
// side or on their head: a print with an up shows it.
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
	bySets       = "strip sets"
	byBlocks     = "turned blocks"
	bySetting    = "setting triangles"
	byStones     = "half cornerstones"
	byBorders    = "side borders"
)

// Turned lists what a setting of columns × rows may turn, role by role in the order
// they first appear. oneByOne is as in Method. The standing of blocks on point
// counts for nothing here: all of a block then stands aslant.
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
	r.eachPlace(columns, rows, func(row, column int, between bool) {
		i := r.Setting.at(row, column, between)
		if i < 0 {
			return
		}
		turn := r.Setting.turn(row, column)
		for _, u := range r.Blocks[i].Units {
			for k, s := range u.upright() {
				if what := u.turns(k, turn, oneByOne); what != "" {
					add(s.role, what, 1)
				}
			}
		}
	})
	p := r.Places(columns, rows)
	add(r.Setting.Fill, bySetting, p.Sides+p.Corners)
	if r.Setting.Kind == OnPoint && r.Sashing.WidthIn > 0 {
		add(r.Sashing.Cornerstone, byStones, 2*(columns+rows))
	}
	for _, b := range r.Borders { // strips across the cloth lie right at top and bottom
		add(b.Role, byBorders, 2)
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

// turns says what turns patch k of a unit in a block that is turned by so many
// quarters; empty where it is cut by itself and can be laid as it should lie.
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
		return bySets
	case turn != 0:
		return byBlocks
	}
	return ""
}
