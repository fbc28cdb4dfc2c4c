package recipe

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/fault"
)

// Where a recipe says nothing: a double-fold binding cut 2½ wide and a back
// 4 inches larger on each side (both common in print, see package plan).
const (
	bindingCut = 2.5
	backOver   = 4
)

var settingKinds = []string{string(Straight), string(OnPoint), string(Shifted)}

// setting reads how blocks are joined; the block is read before.
func (rd reader) setting(r *Recipe, t settingText) error {
	s := Setting{Kind: SettingKind(t.Kind), Alternate: t.Alternate, Odd: t.Odd}
	if s.Kind == "" {
		s.Kind = Straight
	}
	if !slices.Contains(settingKinds, string(s.Kind)) {
		return fault.New("", fmt.Sprintf("setting: there is no kind %q", t.Kind), meant(t.Kind, settingKinds)+"all are "+strings.Join(settingKinds, ", "))
	}
	if t.Fill == "" {
		t.Fill = backgroundWord
	}
	var err error
	if s.Fill, err = rd.role(t.Fill, "setting: fill"); err != nil {
		return err
	}
	main := r.Blocks[0]
	if s.Alternate != "" && s.Alternate != plainName {
		part, ok := rd.parts[s.Alternate]
		if !ok {
			return fault.New("", fmt.Sprintf("setting: there is no part %q to alternate with", s.Alternate), meant(s.Alternate, append([]string{plainName}, rd.names...))+fmt.Sprintf("write %q, or the name of a part", plainName))
		}
		b, err := rd.block(s.Alternate, part.Grid, part.Patch, []string{s.Alternate})
		if err != nil {
			return err
		}
		if b.Columns*main.Rows != b.Rows*main.Columns {
			return fault.New("", fmt.Sprintf("setting: %s is %d by %d cells and the block %d by %d: they are not of one shape", b.Name, b.Columns, b.Rows, main.Columns, main.Rows), "give both the same shape")
		}
		r.Blocks = append(r.Blocks, b)
	}
	for i, row := range t.Turns {
		var turns []int
		for _, d := range row {
			q, err := quarters(fmt.Sprintf("setting: turns: row %d", i+1), d)
			if err != nil {
				return err
			}
			if q%2 == 1 && main.Columns != main.Rows {
				return fault.New("", "setting: a block that is not square is turned on its side", "turn it by 0 or 180")
			}
			turns = append(turns, q)
		}
		if len(turns) == 0 {
			return fault.New("", fmt.Sprintf("setting: turns: row %d is empty", i+1), "give each row a turn")
		}
		s.Turns = append(s.Turns, turns)
	}
	switch {
	case s.Kind == OnPoint && main.Columns != main.Rows:
		return fault.New("", "setting: only square blocks stand on point", "use the straight setting")
	case s.Kind == Shifted && (len(main.Units) != 1 || main.Units[0].Make != Plain || s.Alternate != "" || len(s.Turns) > 0):
		return fault.New("", "setting: only a block of one plain patch can be shifted, as its rows end in halves", "use the straight setting")
	}
	r.Setting = s
	return nil
}

// surrounds reads sashing, borders, binding and backing.
func (rd reader) surrounds(r *Recipe, f fileText) error {
	var err error
	if r.Sashing.WidthIn, err = length(f.Sashing.Width, "sashing: width"); err != nil {
		return err
	}
	switch {
	case r.Sashing.WidthIn == 0 && f.Sashing != (sashingText{}):
		return fault.New("", "sashing: it has no width", "write width = 1, in inches")
	case r.Sashing.WidthIn > 0 && r.Setting.Kind == Shifted:
		return fault.New("", "sashing: it does not go with shifted rows", "take out the sashing, or set the blocks straight or on point")
	case r.Sashing.WidthIn > 0 && r.Setting.Kind == OnPoint && f.Sashing.Cornerstone == "":
		return fault.New("", "sashing: on point it needs cornerstones", "name a role for them, like cornerstone = \"dark\"")
	case f.Sashing.Edge && r.Setting.Kind == OnPoint:
		return fault.New("", "sashing: on point the setting triangles are the edge", "take out edge")
	}
	r.Sashing.Edge = f.Sashing.Edge
	r.Sashing.Cornerstones = f.Sashing.Cornerstone != ""
	for _, x := range []struct {
		to          *Role
		name, where string
	}{
		{&r.Sashing.Role, f.Sashing.Role, "sashing"},
		{&r.Sashing.Cornerstone, f.Sashing.Cornerstone, "cornerstone"},
		{&r.Binding.Role, f.Binding.Role, "binding"},
		{&r.Backing.Role, f.Backing.Role, "backing"},
	} {
		if *x.to, err = rd.ownRole(x.name, x.where); err != nil {
			return err
		}
	}
	for i, t := range f.Border {
		where := fmt.Sprintf("border %d", i+1)
		b := Border{Mitred: t.Mitred}
		own := "border"
		if len(f.Border) > 1 {
			own = where
		}
		if b.Role, err = rd.ownRole(t.Role, own); err != nil {
			return err
		}
		if b.WidthIn, err = length(t.Width, where+": width"); err != nil {
			return err
		}
		if b.WidthIn == 0 {
			return fault.New("", where+" has no width", "write width = 4, in inches")
		}
		r.Borders = append(r.Borders, b)
	}
	if r.Binding.CutIn, err = length(f.Binding.Cut, "binding: cut"); err != nil {
		return err
	}
	if r.Binding.CutIn == 0 {
		r.Binding.CutIn = bindingCut
	}
	if r.Backing.OverIn, err = length(f.Backing.Over, "backing: over"); err != nil {
		return err
	}
	if r.Backing.OverIn == 0 {
		r.Backing.OverIn = backOver
	}
	return nil
}

// ownRole is a role, or where none is named one print of its own.
func (rd reader) ownRole(name, own string) (Role, error) {
	if name == "" {
		return Role{Name: own}, nil
	}
	return rd.role(name, own)
}
