package recipe

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// makes lists the techniques in the order of their constants, with the number of
// roles each takes and the numbers it can be made by at a time, the first the
// default.
var makes = []struct {
	make    Make
	roles   int // 0: one or more
	atATime []int
}{
	{Plain, 1, []int{1}},
	{HalfSquare, 2, []int{2, 8}},
	{HalfRectangle, 2, []int{2}},
	{Hourglass, 2, []int{2}},
	{QuarterSquare, 4, []int{1}},
	{FlyingGeese, 2, []int{1, 4}},
	{FlipCorners, 0, []int{1}},
	{StripSet, 0, []int{1}},
	{LogCabin, 3, []int{1}},
	{CourthouseSteps, 3, []int{1}},
	{Strings, 0, []int{1}},
	{Crumbs, 0, []int{1}},
}

var cornerNames = []string{"top-left", "top-right", "bottom-right", "bottom-left"}

// unit reads a patch that is no part.
func (rd reader) unit(where string, p patchText) (Unit, error) {
	u := Unit{Make: Make(p.Make), Wide: max(p.Wide, 1), High: max(p.High, 1), AtATime: p.AtATime}
	if u.Make == "" {
		u.Make = Plain
	}
	words := make([]string, len(makes))
	kind := -1
	for i, m := range makes {
		words[i] = string(m.make)
		if m.make == u.Make {
			kind = i
		}
	}
	if kind < 0 {
		return u, fault.New("", fmt.Sprintf("%s: there is no technique %q", where, p.Make), shapeOr(p.Make, words)+"all techniques are "+strings.Join(words, ", "), ErrForm)
	}
	if p.Wide < 0 || p.High < 0 || p.Wide > maxCells || p.High > maxCells {
		return u, fault.New("", fmt.Sprintf("%s is %d by %d", where, p.Wide, p.High), fmt.Sprintf("give wide and high as cells, 1 to %d", maxCells))
	}
	names, err := p.roleNames(where)
	if err != nil {
		return u, err
	}
	for _, n := range names {
		r, err := rd.role(n, where)
		if err != nil {
			return u, err
		}
		u.Roles = append(u.Roles, r)
	}
	m := makes[kind]
	if m.roles > 0 && len(u.Roles) != m.roles {
		return u, fault.New("", fmt.Sprintf("%s: %s takes %d roles, not %d", where, u.Make, m.roles, len(u.Roles)), fmt.Sprintf("write roles = […] with %d of them", m.roles))
	}
	if u.AtATime == 0 {
		u.AtATime = m.atATime[0]
	}
	if !slices.Contains(m.atATime, u.AtATime) {
		return u, fault.New("", fmt.Sprintf("%s: %s is not made %d at a time", where, u.Make, u.AtATime), "write at_a_time = "+strings.Trim(strings.ReplaceAll(fmt.Sprint(m.atATime), " ", " or "), "[]"))
	}
	if err := foreign(where, p, u.Make); err != nil {
		return u, err
	}
	return u, u.shapeUp(where, p)
}

// roleNames returns the roles of a patch as they are written: role, roles or segments.
func (p patchText) roleNames(where string) ([]string, error) {
	var given []string
	for _, k := range []struct {
		key   string
		given bool
	}{{"role", p.Role != ""}, {"roles", len(p.Roles) > 0}, {"segments", len(p.Segments) > 0}} {
		if k.given {
			given = append(given, k.key)
		}
	}
	switch {
	case len(given) > 1:
		return nil, fault.New("", where+" has both "+strings.Join(given, " and "), "keep one of them")
	case p.Roles != nil && len(p.Roles) == 0:
		return nil, fault.New("", where+": its list of roles is empty", "name one or more, or take roles out: it is then of any print")
	case len(p.Segments) > 0:
		return slices.Concat(p.Segments...), nil
	case len(p.Roles) > 0:
		return p.Roles, nil
	}
	return []string{p.Role}, nil
}

// foreign refuses keys that belong to another technique.
func foreign(where string, p patchText, m Make) error {
	logs := m == LogCabin || m == CourthouseSteps
	for _, k := range []struct {
		key   string
		given bool
		fits  bool
	}{
		{"lean", p.Lean != "", m == HalfRectangle},
		{"widths", len(p.Widths) > 0, m == StripSet},
		{"segments", len(p.Segments) > 0, m == StripSet},
		{"segment_widths", len(p.SegmentWidths) > 0, m == StripSet},
		{"corners", len(p.Corners) > 0, m == FlipCorners},
		{"corner", p.Corner != 0, m == FlipCorners},
		{"centre", p.Centre != 0, logs},
		{"log", p.Log != 0, logs},
		{"rounds", p.Rounds != 0, logs},
	} {
		if k.given && !k.fits {
			return fault.New("", fmt.Sprintf("%s: %s has no %s", where, m, k.key), "take the key out, or change make")
		}
	}
	return nil
}

// shapeUp checks and completes the sizes of a unit.
func (u *Unit) shapeUp(where string, p patchText) error {
	wrong := func(reason, remedy string) error { return fault.New("", where+": "+reason, remedy) }
	switch u.Make {
	case HalfSquare, Hourglass, QuarterSquare:
		if u.Wide != u.High {
			return wrong(fmt.Sprintf("%s is square, not %d by %d", u.Make, u.Wide, u.High), "make wide and high the same")
		}
	case HalfRectangle:
		if !slices.Contains(leans, p.Lean) {
			return wrong(fmt.Sprintf("nothing leans %q", p.Lean), meant(p.Lean, leans[1:])+`write lean = "right" for a seam from bottom left to top right, or "left"`)
		}
		u.LeansLeft = p.Lean == "left"
	case StripSet:
		return u.readStrips(where, p)
	case FlyingGeese:
		if u.Wide != 2*u.High {
			return wrong(fmt.Sprintf("flying geese are twice as wide as high, not %d by %d", u.Wide, u.High), "give wide and high as before turning")
		}
	case FlipCorners:
		return u.readCorners(where, p)
	case LogCabin, CourthouseSteps:
		u.Centre, u.Log, u.Rounds = p.Centre, p.Log, p.Rounds
		if min(u.Centre, u.Log, u.Rounds) < 1 || max(u.Centre, u.Log, u.Rounds) > maxCells {
			return wrong(fmt.Sprintf("centre, log and rounds must each be 1 to %d", maxCells), "give centre and log in cells, and rounds")
		}
		side := u.Centre + 2*u.Log*u.Rounds
		if p.Wide != 0 && p.Wide != side || p.High != 0 && p.High != side {
			return wrong(fmt.Sprintf("a centre of %d and %d rounds of logs of %d make %d cells, not %d by %d", u.Centre, u.Rounds, u.Log, side, u.Wide, u.High), "leave out wide and high")
		}
		if side > maxCells {
			return wrong(fmt.Sprintf("it is %d cells wide", side), fmt.Sprintf("keep to %d", maxCells))
		}
		u.Wide, u.High = side, side
	}
	return nil
}

// leans are the words for the seam of a half-rectangle, the first where none is said.
var leans = []string{"", "right", "left"}

// readStrips checks and completes the shares of strips and segments.
func (u *Unit) readStrips(where string, p patchText) error {
	segments := max(1, len(p.Segments))
	strips := len(u.Roles) / segments
	for i, s := range p.Segments {
		if len(s) == 0 || len(s) != len(p.Segments[0]) {
			return fault.New("", fmt.Sprintf("%s: segment %d has %d roles, and the first %d", where, i+1, len(s), len(p.Segments[0])), "give each segment one role a strip, from the top")
		}
	}
	for _, x := range []struct {
		to   *[]int
		key  string
		is   []int
		what string
		n    int
	}{{&u.Strips, "widths", p.Widths, "strip", strips}, {&u.Segments, "segment_widths", p.SegmentWidths, "segment", segments}} {
		if len(x.is) == 0 {
			x.is = slices.Repeat([]int{1}, x.n)
		}
		if len(x.is) != x.n || slices.Min(x.is) < 1 || slices.Max(x.is) > maxCells {
			return fault.New("", fmt.Sprintf("%s: %s holds %v for %s", where, x.key, x.is, cloth.Count(x.n, x.what)), fmt.Sprintf("give each %s a share of 1 to %d", x.what, maxCells))
		}
		*x.to = x.is
	}
	return nil
}

func (u *Unit) readCorners(where string, p patchText) error {
	wrong := func(reason, remedy string) error { return fault.New("", where+": "+reason, remedy) }
	if p.Corner < 1 || len(p.Corners) == 0 {
		return wrong("flip-corners needs corners and the size of a corner", `write corners = ["top-left"] and corner = 1, in cells`)
	}
	if n := len(u.Roles); n != 2 && n != 1+len(p.Corners) {
		return wrong(fmt.Sprintf("%d corners and %d roles do not go together", len(p.Corners), n), "name the patch's role, then one for all corners or one for each")
	}
	for i, name := range p.Corners {
		k := slices.Index(cornerNames, name)
		if k < 0 {
			return wrong(fmt.Sprintf("there is no corner %q", name), meant(name, cornerNames)+"all are "+strings.Join(cornerNames, ", "))
		}
		if u.Corners[k].Side > 0 {
			return wrong(fmt.Sprintf("the corner %s is named twice", name), "name it once")
		}
		u.Corners[k] = Corner{Side: p.Corner, Role: u.Roles[min(i+1, len(u.Roles)-1)]}
	}
	u.Roles = u.Roles[:1]
	for k := range u.Corners {
		side, along := u.Wide, u.High // from corner k to the next, and the other way
		if k%2 == 1 {
			side, along = along, side
		}
		if u.Corners[k].Side+u.Corners[(k+1)%4].Side > side || u.Corners[k].Side > along {
			return wrong(fmt.Sprintf("corners of %d lie over one another on a patch of %d by %d", p.Corner, u.Wide, u.High), "make the corners smaller or the patch larger")
		}
	}
	return nil
}
