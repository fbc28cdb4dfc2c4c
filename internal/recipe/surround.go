package recipe

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// Where a recipe says nothing: a double-fold binding cut 2½ wide and a back
// 4 inches larger on each side (both common in print, see package plan).
const (
	bindingCut = 2.5
	// leastBinding is the narrowest binding as cut: two seams, and as much to fold.
	leastBinding = 1.0
	backOver     = 4
	// mostKey is the widest piano key, inches: a wider one is rather a number of keys, or a
	// plain border (common practice, no source).
	mostKey = 12
	// Of blocks that are quilted one by one, before they are trimmed (common practice, no
	// source).
	blockOver = 1
)

var settingKinds = []string{string(Straight), string(OnPoint), string(Shifted)}

// setting reads how blocks are joined; the blocks and rows are read before.
func (rd reader) setting(f fileText) error {
	r, t := rd.recipe, f.Setting
	s := r.Setting
	s.Odd = t.Odd
	switch {
	case s.Kind == InRows && t.Kind != "":
		return fault.New("", "setting: a quilt of rows is set by them", "take out kind, or the rows")
	case s.Kind == InRows:
	case t.Kind == "":
		s.Kind = Straight
	default:
		s.Kind = SettingKind(t.Kind)
		if !slices.Contains(settingKinds, t.Kind) {
			return fault.New("", fmt.Sprintf("setting: there is no kind %q", t.Kind), meant(t.Kind, settingKinds)+"all are "+strings.Join(settingKinds, ", "))
		}
	}
	if t.Fill == "" {
		t.Fill = backgroundWord
	}
	var err error
	if s.Fill, err = rd.role(t.Fill, "setting: fill"); err != nil {
		return err
	}
	if err := rd.inTurn(&s, t); err != nil {
		return err
	}
	main := r.Blocks[0]
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
	if len(t.Layout) > 0 {
		if len(t.Layout) != 2 || min(t.Layout[0], t.Layout[1]) < 1 || max(t.Layout[0], t.Layout[1]) > maxCells {
			return fault.New("", fmt.Sprintf("setting: its layout is %v", t.Layout), fmt.Sprintf("write layout = [columns, rows], each 1 to %d", maxCells))
		}
		s.Columns, s.Rows = t.Layout[0], t.Layout[1]
	}
	switch {
	case s.Kind == InRows && (s.Order != nil || s.Plan != nil || len(s.Turns) > 0):
		return fault.New("", "setting: a quilt of rows says in each which blocks it has", "write blocks = [...] and turns under each [[row]]")
	case s.Kind == OnPoint && !alikeIn(r.WidthIn, r.HeightIn):
		return fault.New("", "setting: only square blocks stand on point", "use the straight setting")
	case s.Kind == Shifted && (len(main.Units) != 1 || main.Units[0].Make != Plain || s.Order != nil || s.Plan != nil || len(s.Turns) > 0):
		return fault.New("", "setting: only a block of one plain patch can be shifted, as its rows end in halves", "use the straight setting")
	}
	r.Setting = s
	return nil
}

// inTurn reads which blocks stand where.
func (rd reader) inTurn(s *Setting, t settingText) error {
	names, err := t.alternates()
	if err != nil {
		return err
	}
	if len(names) > 0 && len(t.Plan) > 0 {
		return fault.New("", "setting: it has both alternate and plan", "keep one of them")
	}
	if len(names) > 0 && len(s.Order) == 0 {
		s.Order = []int{0}
	}
	for _, name := range names {
		i, err := rd.place("setting: alternate", name)
		if err != nil {
			return err
		}
		s.Order = append(s.Order, i)
	}
	for k, line := range t.Plan {
		var row []int
		for _, name := range line {
			i, err := rd.place(fmt.Sprintf("setting: plan: row %d", k+1), name)
			if err != nil {
				return err
			}
			row = append(row, i)
		}
		if len(row) == 0 {
			return fault.New("", fmt.Sprintf("setting: plan: row %d is empty", k+1), "name a block in each row")
		}
		s.Plan = append(s.Plan, row)
	}
	return nil
}

// alternates returns the names of the blocks that stand in turn with the first.
func (t settingText) alternates() ([]string, error) {
	return oneOrMore(t.Alternate, "setting: alternate", func(v any) (string, error) {
		name, ok := v.(string)
		if !ok {
			return "", fault.New("", "setting: alternate is not a name", `write alternate = "plain", or several names in brackets`)
		}
		return name, nil
	})
}

// oneOrMore reads a value, or several in brackets.
func oneOrMore[T any](v any, where string, read func(any) (T, error)) ([]T, error) {
	list, several := v.([]any)
	if !several {
		if v == nil {
			return nil, nil
		}
		list = []any{v}
	}
	if len(list) == 0 {
		return nil, fault.New("", where+" is empty", "write at least one, or leave it out")
	}
	var out []T
	for _, x := range list {
		one, err := read(x)
		if err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

// surrounds reads sashing, borders, binding and backing.
func (rd reader) surrounds(f fileText) error {
	r := rd.recipe
	var err error
	if r.Sashing.WidthIn, err = length(f.Sashing.Width, "sashing: width"); err != nil {
		return err
	}
	switch {
	case r.Sashing.WidthIn == 0 && f.Sashing != (sashingText{}):
		return fault.New("", "sashing: it has no width", "write width = 1, in inches")
	case r.Sashing.WidthIn > 0 && r.Setting.Kind == Shifted:
		return fault.New("", "sashing: it does not go with shifted rows", "take out the sashing, or set the blocks straight or on point")
	case r.Sashing.WidthIn > 0 && r.Setting.Kind == InRows:
		return fault.New("", "sashing: it does not go with a quilt of rows", "write a [[row]] with a height and a role for a strip between two rows")
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
		own := "border"
		if len(f.Border) > 1 {
			own = fmt.Sprintf("border %d", i+1)
		}
		b, err := rd.border(t, fmt.Sprintf("border %d", i+1), own)
		if err != nil {
			return err
		}
		r.Borders = append(r.Borders, b)
	}
	if r.Binding.CutIn, err = length(f.Binding.Cut, "binding: cut"); err != nil {
		return err
	}
	if c := r.Binding.CutIn; c != 0 && c < leastBinding {
		return fault.New("", fmt.Sprintf("binding: of %s nothing is left to fold round the edge after two seams", cloth.FormatInches(c)), "cut it at least 1 inch wide; 2½ folded double is usual")
	}
	if r.Binding.FromStrips, err = fromStrips(f.Binding.From, "binding", r.Binding.Role); err != nil {
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
		if f.Backing.AsYouGo {
			r.Backing.OverIn = blockOver
		}
	}
	r.Backing.AsYouGo = f.Backing.AsYouGo
	return r.goable()
}

// goable refuses a quilt that cannot be quilted block by block.
func (r *Recipe) goable() error {
	if !r.Backing.AsYouGo {
		return nil
	}
	wrong := func(reason, remedy string) error { return fault.New("", "backing: as_you_go "+reason, remedy) }
	switch s := r.Sashing; {
	case s.WidthIn == 0:
		return wrong("joins blocks by sashing, and there is none", "write [sashing] with width = 0.5, the joining strips in front as they finish")
	case s.Cornerstones || s.Edge:
		return wrong("takes sashing without cornerstones and without an edge", "take them out")
	case r.Setting.Kind != Straight:
		return wrong("takes blocks that are set straight", `take out the kind of setting, or as_you_go`)
	case len(r.Borders) > 0:
		return wrong("takes no border, which would be quilted afterwards", "take it out; more blocks make the quilt larger")
	}
	return nil
}

// fromStrips reads where a binding or a border comes from.
func fromStrips(from, where string, role Role) (bool, error) {
	switch {
	case from == "":
		return false, nil
	case from != "strips":
		return false, fault.New("", fmt.Sprintf("%s: it cannot come from %q", where, from), `write from = "strips", or leave it out: it is then cut from new cloth`)
	case role.Background:
		return false, fault.New("", where+": it is of the background, which is one fabric, and from strips", "take out from, or give it the role of a print")
	}
	return true, nil
}

// border reads one border; own names its print where it has no role.
func (rd reader) border(t borderText, where, own string) (b Border, err error) {
	b.Mitred = t.Mitred
	if b.WidthIn, err = length(t.Width, where+": width"); err != nil {
		return b, err
	}
	if b.WidthIn == 0 {
		return b, fault.New("", where+" has no width", "write width = 4, in inches")
	}
	if b.Role, err = rd.ownRole(t.Role, own); err != nil {
		return b, err
	}
	if b.FromStrips, err = fromStrips(t.From, where, b.Role); err != nil {
		return b, err
	}
	if t.Block != "" && len(t.Blocks) > 0 {
		return b, fault.New("", where+" has both block and blocks", "keep one of them")
	}
	if t.Block != "" {
		t.Blocks = append([]string{t.Block}, t.Blocks...)
	}
	if b.Keys, err = oneOrMore(t.Keys, where+": keys", func(v any) (float64, error) { return length(v, where+": keys") }); err != nil {
		return b, err
	}
	ofBlocks, cornered := len(t.Blocks) > 0, t.Corner != "" || t.CornerBlock != ""
	switch {
	case t.Mitred && (cornered || ofBlocks || t.Keys != nil):
		return b, fault.New("", where+" is mitred and has corners or pieces", "take out mitred, or the others")
	case t.Corner != "" && t.CornerBlock != "":
		return b, fault.New("", where+" has both corner and corner_block", "keep one of them")
	case ofBlocks && t.Keys != nil:
		return b, fault.New("", where+" has both block and keys", "keep one of them")
	case t.From != "" && (ofBlocks || t.Keys != nil):
		return b, fault.New("", where+" is pieced and from strips besides", "take out from: its pieces are looked for in the stash as those of blocks are")
	case ofBlocks && t.Role != "":
		return b, fault.New("", where+" is a block and a role besides", "take out role: a block has roles of its own")
	case t.Spacer != "" && !ofBlocks && len(b.Keys) != 1:
		return b, fault.New("", where+" has a spacer and nothing that must come out even", "take out spacer, or name a block or keys")
	case len(t.Roles) > 0 && t.Keys == nil:
		return b, fault.New("", where+" has roles and no keys", "write role, or keys = 2")
	case len(t.Roles) > 0 && t.Role != "":
		return b, fault.New("", where+" has both role and roles", "keep one of them")
	case t.CornerBlock != "" && !ofBlocks && t.Keys == nil:
		return b, fault.New("", where+" has a block at its corners and is plain", "write corner = and a role for plain squares")
	}
	spacer, err := rd.role(cmp.Or(t.Spacer, backgroundWord), where+": spacer")
	if err != nil {
		return b, err
	}
	if ofBlocks || len(b.Keys) == 1 { // keys as they fall come out even by themselves
		b.Spacer = spacer
	}
	if b.Cornered = t.Corner != ""; b.Cornered {
		if b.Corner, err = rd.role(t.Corner, where+": corner"); err != nil {
			return b, err
		}
	}
	if len(b.Keys) > 0 {
		if len(t.Roles) == 0 {
			t.Roles = []string{t.Role}
		}
		for _, name := range t.Roles {
			role, err := rd.role(name, where)
			if err != nil {
				return b, err
			}
			b.Roles = append(b.Roles, role)
		}
		least, most := slices.Min(b.Keys), slices.Max(b.Keys)
		switch {
		case least < leastSpacer:
			return b, fault.New("", fmt.Sprintf("%s: keys of %s are too narrow to sew", where, cloth.FormatInches(least)), "make them at least ½ inch wide, finished")
		case most > mostKey:
			return b, fault.New("", fmt.Sprintf("%s: keys of %s are no piano keys", where, cloth.FormatInches(most)), fmt.Sprintf("write how wide a key is finished, from ½ to %d inches: how many there are follows from the quilt", mostKey))
		}
	}
	for _, name := range t.Blocks {
		i, err := rd.borderBlock(where, name, b.WidthIn)
		if err != nil {
			return b, err
		}
		b.Blocks = append(b.Blocks, i)
	}
	if !b.Pieced() {
		return b, nil
	}
	if t.CornerBlock != "" {
		if b.CornerBlock, err = rd.borderBlock(where+": corner_block", t.CornerBlock, b.WidthIn); err != nil {
			return b, err
		}
	}
	square := func(i int) bool { return rd.recipe.Blocks[i].Columns == rd.recipe.Blocks[i].Rows }
	switch {
	case b.CornerBlock > 0 && !square(b.CornerBlock):
		return b, fault.New("", where+": the block at its corners is not square", "name a square one, or a role with corner =")
	case !ofBlocks || cornered:
	case square(b.Blocks[0]):
		b.CornerBlock = b.Blocks[0]
	default:
		b.Cornered, b.Corner = true, b.Spacer
	}
	return b, nil
}

// ownRole returns the role of a name, or where none is given a print of its own called own.
func (rd reader) ownRole(name, own string) (Role, error) {
	if name == "" {
		return Role{Name: own}, nil
	}
	return rd.role(name, own)
}
