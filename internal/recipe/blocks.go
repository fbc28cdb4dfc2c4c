package recipe

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"piecebag/internal/fault"
)

// maxFine bounds how many times finer than its own grid that of a framed block may be.
const maxFine = 64

// resized returns a block of another finished width.
func (b Block) resized(width float64) Block {
	b.WidthIn, b.HeightIn = width, width*float64(b.Rows)/float64(b.Columns)
	return b
}

// framed returns a block in the middle of strips of a role, so that it comes out width ×
// height; on a grid so fine that its strips are whole cells.
func (b Block) framed(width, height float64, role Role) (Block, error) {
	whole := func(v float64) (int, bool) {
		n := math.Round(v)
		return int(n), alikeIn(v, n)
	}
	for k := 1; k <= maxFine; k++ {
		cell := b.CellIn() / float64(k)
		x, evenX := whole((width - b.WidthIn) / 2 / cell)
		y, evenY := whole((height - b.HeightIn) / 2 / cell)
		if !evenX || !evenY {
			continue
		}
		out := b
		out.FramedIn, out.FramedHighIn = b.WidthIn, b.HeightIn
		out.WidthIn, out.HeightIn = width, height
		out.Columns, out.Rows = k*b.Columns+2*x, k*b.Rows+2*y
		out.Units, out.Parts = nil, []Cells{{x, y, k * b.Columns, k * b.Rows}}
		for _, u := range b.Units {
			out.Units = append(out.Units, u.finer(k).moved(x, y))
		}
		strip := func(column, row, wide, high int) {
			if wide > 0 && high > 0 {
				out.Units = append(out.Units, Unit{Make: Plain, Column: column, Row: row, Wide: wide, High: high, Roles: []Role{role}, AtATime: 1})
			}
		}
		strip(0, y, x, k*b.Rows) // sides first, then top and bottom
		strip(x+k*b.Columns, y, x, k*b.Rows)
		strip(0, 0, out.Columns, y)
		strip(0, y+k*b.Rows, out.Columns, y)
		return out, nil
	}
	return b, fault.New("", fmt.Sprintf("%s, %s wide, cannot be framed evenly to %s by %s inches", b.Name, decimals(b.WidthIn), decimals(width), decimals(height)), "give it a width in eighths of an inch")
}

// fitted returns a block brought to width × height: resized, and framed where it is of
// another shape, or where it is to keep a width of its own.
func (b Block) fitted(width, height, own float64, frame Role) (Block, error) {
	b.OwnIn = b.WidthIn
	if own > 0 {
		b = b.resized(own)
	} else {
		b = b.resized(min(width, height*float64(b.Columns)/float64(b.Rows)))
	}
	switch {
	case b.WidthIn > width+touch || b.HeightIn > height+touch:
		return b, fault.New("", fmt.Sprintf("%s is %s by %s inches, and its place is %s by %s", b.Name, decimals(b.WidthIn), decimals(b.HeightIn), decimals(width), decimals(height)), "give it a smaller width, or leave its width out")
	case width-b.WidthIn < touch && height-b.HeightIn < touch:
		return b, nil
	}
	return b.framed(width, height, frame)
}

// fetch returns the block that a name stands for, with the width it has at its source: the
// recipe's own, a part, or the block of another recipe.
func (rd reader) fetch(where, name string) (Block, error) {
	r := rd.recipe
	if strings.EqualFold(name, r.Name) && len(r.Blocks) > 0 {
		return r.Blocks[0], nil
	}
	if part, ok := rd.parts[name]; ok {
		b, err := rd.block(name, part.Grid, part.Patch, []string{name})
		cell := 1.0 // where nothing tells how large it is
		if len(r.Blocks) > 0 {
			cell = r.Blocks[0].CellIn()
		}
		return b.resized(cell * float64(b.Columns)), err
	}
	other, err := rd.other(where, name)
	if err != nil {
		return Block{}, err
	}
	b := other.Blocks[0]
	if b.From = name; rd.others[name].Text == "" {
		b.From = fileName(name) // it is built in, and may be called in several ways
	}
	return b, nil
}

// other reads another recipe to take its block.
func (rd reader) other(where, name string) (*Recipe, error) {
	text := []byte(rd.others[name].Text)
	if len(text) == 0 {
		var err error
		if text, err = Text(name); err != nil {
			all := append(append([]string{plainName}, rd.names...), Names()...)
			return nil, fault.New("", fmt.Sprintf("%s: there is no block %q", where, name), meant(name, all)+"name a part of this recipe, one that is built in, or a file beside it", ErrNoBlock)
		}
	}
	if slices.Contains(rd.inside, name) || len(rd.inside) >= maxDepth {
		return nil, fault.New("", fmt.Sprintf("%s: the recipe %q takes a block from itself", where, name), "break the ring of recipes")
	}
	f, err := decode(text)
	if err == nil && len(f.Grid) == 0 {
		err = fault.New("", "it has no block of its own", "name one of its blocks instead")
	}
	var out *Recipe
	if err == nil {
		out, err = build(f, append(slices.Clip(rd.inside), name), rd.others)
	}
	if err != nil {
		return nil, fault.In(where+": "+name, err)
	}
	return out, nil
}

// put adds a block, or finds it among those there, and returns its index.
func (rd reader) put(b Block) int {
	r := rd.recipe
	i := slices.IndexFunc(r.Blocks, func(o Block) bool {
		return o.Name == b.Name && o.From == b.From && o.InBorder == b.InBorder && alikeIn(o.WidthIn, b.WidthIn) && alikeIn(o.HeightIn, b.HeightIn) && alikeIn(o.FramedIn, b.FramedIn)
	})
	if i < 0 {
		i = len(r.Blocks)
		r.Blocks = append(r.Blocks, b)
	}
	return i
}

// place returns the number of a block of the setting by its name; -1 for a plain square.
func (rd reader) place(where, name string) (int, error) {
	if name == plainName {
		return -1, nil
	}
	r := rd.recipe
	if i := slices.IndexFunc(r.Blocks, func(b Block) bool { // one that is there, as it is fitted
		return strings.EqualFold(b.Name, name) || b.From != "" && (b.From == name || b.From == fileName(name))
	}); i >= 0 {
		return i, nil
	}
	b, err := rd.fetch(where, name)
	if err != nil {
		return 0, err
	}
	main := r.Blocks[0]
	if _, part := rd.parts[name]; part && b.Columns*main.Rows != b.Rows*main.Columns {
		return 0, fault.New("", fmt.Sprintf("setting: %s is %d by %d cells and the block %d by %d: they are not of one shape", b.Name, b.Columns, b.Rows, main.Columns, main.Rows), "give both the same shape")
	}
	frame, err := rd.role(backgroundWord, where)
	if err != nil {
		return 0, err
	}
	if b, err = b.fitted(r.WidthIn, r.HeightIn, 0, frame); err != nil {
		return 0, fault.In(where, err)
	}
	return rd.put(b), nil
}

// borderBlock returns the number of a block of a border, as high as that is wide.
func (rd reader) borderBlock(where, name string, width float64) (int, error) {
	b, err := rd.fetch(where, name)
	if err != nil {
		return 0, err
	}
	b.OwnIn, b.InBorder = b.WidthIn, true
	b = b.resized(width * float64(b.Columns) / float64(b.Rows))
	if min(b.WidthIn, b.HeightIn) < leastSpacer {
		return 0, fault.New("", fmt.Sprintf("%s: %s would be %s by %s", where, b.Name, decimals(b.WidthIn), decimals(b.HeightIn)), "make the border wider: ½ inch is the least that can be sewn")
	}
	return rd.put(b), nil
}

// blocks reads the blocks that are taken from elsewhere, which stand in turn.
func (rd reader) blocks(f fileText) error {
	r := rd.recipe
	for i := range r.Blocks {
		if len(f.Block) > 0 {
			r.Setting.Order = append(r.Setting.Order, i)
		}
	}
	for i, t := range f.Block {
		where := fmt.Sprintf("block %d", i+1)
		name := cmp.Or(t.Recipe, t.Part)
		if name == "" || t.Recipe != "" && t.Part != "" {
			return fault.New("", where+" says not which it is, or twice", `write recipe = "ohio-star", or part = and the name of a part`)
		}
		if _, ok := rd.parts[t.Part]; t.Part != "" && !ok {
			return fault.New("", fmt.Sprintf("%s: there is no part %q", where, t.Part), meant(t.Part, rd.names)+"write it under [part."+t.Part+"]")
		}
		own, err := length(t.Width, where+": width")
		if err != nil {
			return err
		}
		b, err := rd.fetch(where, name)
		if err != nil {
			return err
		}
		if len(r.Blocks) == 0 { // it says how large the others are
			shape := float64(b.Rows) / float64(b.Columns)
			if r.WidthIn == 0 {
				r.WidthIn = cmp.Or(own, b.WidthIn)
			} else if own > 0 {
				shape = 1
			}
			r.HeightIn = r.WidthIn * shape
		}
		frame, err := rd.role(cmp.Or(t.Frame, backgroundWord), where+": frame")
		if err != nil {
			return err
		}
		if b, err = b.fitted(r.WidthIn, r.HeightIn, own, frame); err != nil {
			return fault.In(where, err)
		}
		r.Setting.Order = append(r.Setting.Order, rd.put(b))
	}
	return nil
}

// tellApart renames roles of blocks taken from other recipes that share their name with a
// different cloth.
func (rd reader) tellApart() {
	r := rd.recipe
	known := map[string]Role{}
	seen := func(role Role, of string) Role {
		first, ok := known[role.Name]
		for ; ok && first != role; first, ok = known[role.Name] {
			role.Name += " of " + of
		}
		known[role.Name] = role
		return role
	}
	for i := range r.Blocks {
		b := &r.Blocks[i]
		b.Units = slices.Clone(b.Units)
		for k := range b.Units {
			u := &b.Units[k]
			u.Roles, u.Matched = slices.Clone(u.Roles), slices.Clone(u.Matched)
			rename := func(role *Role) {
				name := role.Name
				*role = seen(*role, b.Name)
				for j := range u.Matched {
					if u.Matched[j].Role == name {
						u.Matched[j].Role = role.Name
					}
				}
			}
			for j := range u.Roles {
				rename(&u.Roles[j])
			}
			for j := range u.Corners {
				if u.Corners[j].Side > 0 {
					rename(&u.Corners[j].Role)
				}
			}
		}
	}
}

// Fitted says in words which blocks taken from other recipes have another size here, and
// which are framed.
func (r *Recipe) Fitted(s System) []string {
	var out []string
	for _, b := range r.Blocks {
		own, in := b.OwnIn, cmp.Or(b.FramedIn, b.WidthIn)
		var words []string
		if b.From != "" && !alikeIn(own, in) { // a part has no size of its own
			words = append(words, fmt.Sprintf("%s wide instead of %s", s.Format(in), s.Format(own)))
		}
		if b.FramedIn > 0 {
			sides, top := (b.WidthIn-b.FramedIn)/2, (b.HeightIn-b.FramedHighIn)/2
			switch {
			case sides < touch:
				words = append(words, fmt.Sprintf("framed by strips of %s at top and bottom", s.Format(top)))
			case top < touch:
				words = append(words, fmt.Sprintf("framed by strips of %s at the sides", s.Format(sides)))
			case alikeIn(sides, top):
				words = append(words, fmt.Sprintf("framed by strips of %s", s.Format(sides)))
			default:
				words = append(words, fmt.Sprintf("framed by strips of %s at the sides and %s at top and bottom", s.Format(sides), s.Format(top)))
			}
		}
		if words != nil {
			out = append(out, fmt.Sprintf("%s: %s", b.Name, strings.Join(words, ", ")))
		}
	}
	return out
}
