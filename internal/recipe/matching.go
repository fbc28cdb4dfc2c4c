package recipe

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/fault"
)

// Matched puts the patches of a role in a unit into a set: all of a set come from one
// print.
type Matched struct {
	Role string // its name
	Set  int    // of the sets of its block, from 1
}

// Set is what patches that come from one print are cut from.
type Set struct {
	Role   Role
	Pieces []SizeCount // the longest first
	Count  int         // sets alike
}

// SizeCount is so many pieces of one size in a set, WidthIn ≤ LengthIn as cut, inches.
type SizeCount struct {
	WidthIn, LengthIn float64
	Count             int
	Split             Split
}

// setOf returns the set that a role belongs to in a unit; 0 for none.
func (u Unit) setOf(role Role) int {
	for _, m := range u.Matched {
		if m.Role == role.Name {
			return m.Set
		}
	}
	return 0
}

// lastSet returns the highest number of a set among units.
func lastSet(units []Unit) (last int) {
	for _, u := range units {
		for _, m := range u.Matched {
			last = max(last, m.Set)
		}
	}
	return last
}

// numbered returns a unit whose sets are numbered on from the given number.
func (u Unit) numbered(from int) Unit {
	u.Matched = slices.Clone(u.Matched)
	for i := range u.Matched {
		u.Matched[i].Set += from
	}
	return u
}

// match puts all patches of a role in a block into one set, in place of the smaller sets
// that they may be in; it reports whether there are any.
func (b *Block) match(role Role) (any bool) {
	set := lastSet(b.Units) + 1
	b.Units = slices.Clone(b.Units)
	for i, u := range b.Units {
		if !slices.ContainsFunc(u.upright(), func(s shape) bool { return s.role == role }) {
			continue
		}
		any = true
		u.Matched = slices.DeleteFunc(slices.Clone(u.Matched), func(m Matched) bool { return m.Role == role.Name })
		u.Matched = append(u.Matched, Matched{role.Name, set})
		slices.SortFunc(u.Matched, func(a, b Matched) int { return cmp.Compare(a.Role, b.Role) })
		b.Units[i] = u
	}
	return any
}

// matching reads roles that are to match in a block or in every block.
func (rd reader) matching(where string, names []string, blocks ...*Block) (roles []Role, err error) {
	for _, name := range names {
		role, err := rd.role(name, where)
		if err != nil {
			return nil, err
		}
		if role.Background {
			return nil, fault.New("", where+": the background is one fabric already", "name the roles of prints")
		}
		if slices.Contains(roles, role) {
			return nil, fault.New("", fmt.Sprintf("%s: %q is named twice", where, role.Name), "name it once")
		}
		roles = append(roles, role)
		any := false
		for _, b := range blocks {
			any = b.match(role) || any
		}
		if !any && len(blocks) > 0 {
			return nil, fault.New("", fmt.Sprintf("%s: no patch has the role %q", where, role.Name), "name a role as its patches do")
		}
	}
	return roles, nil
}

// The words for matching sets, beside names of roles.
const (
	NoMatching    = "none"
	UsualMatching = "usual"
)

// Match returns the recipe with other matching sets: how is NoMatching, UsualMatching for
// those that it may match beside its own, or names of roles with commas between, which
// match in each block. An empty one leaves it as it is.
func (r *Recipe) Match(how string) (*Recipe, error) {
	how = strings.TrimSpace(how)
	if how == "" {
		return r, nil
	}
	out := *r
	out.Blocks, out.MatchedBy = slices.Clone(r.Blocks), how
	roles := r.MayMatch
	if how != UsualMatching {
		roles = nil
		for i, b := range out.Blocks {
			b.Units = slices.Clone(b.Units)
			for k := range b.Units {
				b.Units[k].Matched = nil
			}
			out.Blocks[i] = b
		}
	}
	if how != UsualMatching && how != NoMatching {
		known := r.prints()
		for name := range strings.SplitSeq(how, ",") {
			name = strings.TrimSpace(name)
			i := slices.IndexFunc(known, func(k Role) bool { return strings.EqualFold(k.Name, name) })
			if i < 0 {
				words := []string{NoMatching, UsualMatching}
				for _, k := range known {
					words = append(words, k.Name)
				}
				return nil, fault.Usage("", fmt.Sprintf("no patch of %s has the role %q, to match", r.Name, name), meant(name, words)+"all are "+strings.Join(words, ", "))
			}
			roles = append(roles, known[i])
		}
	}
	for _, role := range roles {
		for i := range out.Blocks {
			out.Blocks[i].match(role)
		}
	}
	return &out, nil
}

// prints returns the roles of the patches of blocks but the background, in order.
func (r *Recipe) prints() (out []Role) {
	for _, b := range r.Blocks {
		for _, u := range b.Units {
			for _, s := range u.upright() {
				if !s.role.Background && !slices.Contains(out, s.role) {
					out = append(out, s.role)
				}
			}
		}
	}
	return out
}

// Matching names the roles of which patches come from one print, in order.
func (r *Recipe) Matching() (out []string) {
	for _, b := range r.Blocks {
		for _, u := range b.Units {
			for _, m := range u.Matched {
				if !slices.Contains(out, m.Role) {
					out = append(out, m.Role)
				}
			}
		}
	}
	return out
}

// Sets returns the sets of a top, those of which patches of blocks come from one print;
// columns and rows as for TopSize. Their pieces are some of those of TopCuts.
func (r *Recipe) Sets(columns, rows int, c Method) (out []Set) {
	places := r.Places(columns, rows)
	for i, b := range r.Blocks {
		stand := places.Stands(i)
		if stand == 0 {
			continue
		}
		sets := make([]Set, lastSet(b.Units))
		for _, a := range b.alike() {
			if a.unit.Matched == nil || a.unit.ofScraps() || a.unit.Make == StripSet && !c.OneByOne {
				continue
			}
			each, from := a.unit.supplies(c.System, b.CellIn())
			for _, it := range from {
				if k := a.unit.setOf(it.role); k > 0 {
					n, split := ceilDiv(a.count, each)*len(it.gives), it.split
					if it.loose > 0 {
						n, split = ceilDiv(n, it.loose), Twice
					}
					sets[k-1].Role = it.role
					sets[k-1].add(SizeCount{min(it.w, it.h), max(it.w, it.h), n, split})
				}
			}
		}
		for _, s := range sets {
			if s.Pieces == nil {
				continue
			}
			s.Count = stand
			same := slices.IndexFunc(out, func(o Set) bool { return o.Role == s.Role && slices.Equal(o.Pieces, s.Pieces) })
			if same >= 0 {
				out[same].Count += s.Count
				continue
			}
			out = append(out, s)
		}
	}
	return out
}

// Of returns how many pieces of a lot are in one set.
func (s Set) Of(l Lot) int {
	for _, p := range s.Pieces {
		if s.Role == l.Role && p.Split == l.Split && alikeIn(p.WidthIn, l.WidthIn) && alikeIn(p.LengthIn, l.LengthIn) {
			return p.Count
		}
	}
	return 0
}

func (s *Set) add(more SizeCount) {
	for i := range s.Pieces {
		if p := &s.Pieces[i]; p.Split == more.Split && alikeIn(p.WidthIn, more.WidthIn) && alikeIn(p.LengthIn, more.LengthIn) {
			p.Count += more.Count
			return
		}
	}
	s.Pieces = append(s.Pieces, more)
	slices.SortFunc(s.Pieces, func(a, b SizeCount) int {
		return cmp.Or(cmp.Compare(b.LengthIn, a.LengthIn), cmp.Compare(b.WidthIn, a.WidthIn))
	})
}
