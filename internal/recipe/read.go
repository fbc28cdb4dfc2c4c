package recipe

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

// The limits keep a mistyped number from asking for a picture without end.
const (
	maxCells  = 64   // a side of a grid
	maxPlaces = 4096 // units of a block
	maxDepth  = 8    // parts inside parts
	maxInches = 400  // a side of a block, a strip
	maxName   = 200  // characters of a name, which stands in every table
	maxAbout  = 2000 // characters
)

// Kinds of faults that each door has its own remedy for.
var (
	ErrForm    = errors.New("a recipe that is not written as recipes are") // its remedy ends in where that is told
	ErrNoBlock = errors.New("no such block to take")                       // likewise, where the built-in recipes are told
)

// plainName is the alternate block that is one square of cloth.
const plainName = "plain"

// Read reads and checks a recipe. file names it in errors, which are *fault.Error.
func Read(file string, text []byte) (*Recipe, error) {
	f, err := decode(text)
	var r *Recipe
	if err == nil {
		r, err = build(f, nil, f.File)
	}
	if err == nil {
		err = r.sewable()
	}
	if err != nil {
		if f := fault.Of(err); f != nil {
			return nil, f.Named(file)
		}
		return nil, fault.New(file, err.Error(), asWritten, ErrForm)
	}
	r.File, r.Text = file, text
	return r, nil
}

// reader turns the text of one recipe into a Recipe.
type reader struct {
	recipe *Recipe // as far as it is read
	roles  map[string]string
	parts  map[string]partText
	names  []string // of parts, sorted
	others map[string]otherText
	inside []string // recipes that take a block from this one, outermost first
}

// build makes a recipe from its text; inside lists the recipes that are taking a block from
// it, others holds the texts of recipes that are not built in.
func build(f fileText, inside []string, others map[string]otherText) (*Recipe, error) {
	r := &Recipe{Name: f.Name, About: f.About}
	rd := reader{recipe: r, roles: f.Roles, parts: f.Part, names: slices.Sorted(maps.Keys(f.Part)), others: others, inside: inside}
	if strings.TrimSpace(f.Name) == "" {
		return nil, fault.New("", "it has no name", `begin it with name = "…"`)
	}
	if err := shortTexts(f, rd.names); err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(f.Roles)) {
		if _, err := rd.role(name, "roles"); err != nil {
			return nil, err
		}
	}
	var err error
	if r.WidthIn, err = length(f.Width, "width"); err != nil {
		return nil, err
	}
	if len(f.Grid) > 0 || len(f.Block)+len(f.Row) == 0 {
		if r.WidthIn == 0 {
			return nil, fault.New("", "the width of the finished block is missing", "write width = 12, in inches, or width = \"30 cm\"")
		}
		main, err := rd.block(r.Name, f.Grid, f.Patch, nil)
		if err != nil {
			return nil, err
		}
		r.Blocks = []Block{main.resized(r.WidthIn)}
		r.HeightIn = r.Blocks[0].HeightIn
		if r.HeightIn > maxInches {
			return nil, fault.New("", fmt.Sprintf("the block would be %s inches high", cloth.FormatInches(r.HeightIn)), "give it a smaller width")
		}
	} else if len(f.Patch) > 0 {
		return nil, fault.New("", "it has patches and no grid", "write grid = [columns, rows], or take the patches out")
	}
	for _, name := range rd.names { // a part is checked even where nothing uses it
		p := f.Part[name]
		if _, err := rd.block(name, p.Grid, p.Patch, []string{name}); err != nil {
			return nil, err
		}
	}
	for _, read := range []func(fileText) error{rd.blocks, rd.rows, rd.setting, rd.surrounds} {
		if err := read(f); err != nil {
			return nil, err
		}
	}
	var blocks []*Block
	for i := range r.Blocks {
		blocks = append(blocks, &r.Blocks[i])
	}
	if _, err := rd.matching("matching", f.Matching, blocks...); err != nil {
		return nil, err
	}
	r.MayMatch, err = rd.matching("may_match", f.MayMatch)
	rd.tellApart()
	return r, err
}

// shortTexts refuses names and a description longer than a page has room for.
func shortTexts(f fileText, parts []string) error {
	long := func(what, text string, most int) error {
		if n := utf8.RuneCountInString(text); n > most {
			return fault.New("", fmt.Sprintf("%s is %d characters long", what, n), fmt.Sprintf("make it at most %d", most))
		}
		return nil
	}
	if err := errors.Join(long("its name", f.Name, maxName), long("what it says about itself", f.About, maxAbout)); err != nil {
		return err
	}
	for _, name := range parts {
		if err := long("the name of a part", name, maxName); err != nil {
			return err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(f.Roles)) {
		if err := errors.Join(long("the name of a role", name, maxName), long("the role "+name, f.Roles[name], maxName)); err != nil {
			return err
		}
	}
	return nil
}

// length reads a length in inches; 0 where it is not given.
func length(v any, where string) (float64, error) {
	in := 0.0
	switch v := v.(type) {
	case nil:
		return 0, nil
	case int64:
		in = float64(v)
	case float64:
		in = v
	case string:
		var err error
		if in, err = cloth.ParseLength(v); err != nil {
			return 0, fault.New("", where+": "+err.Error(), "write a number of inches, or a length in quotes")
		}
	default:
		return 0, fault.New("", where+" is not a length", "write a number of inches, or a length in quotes")
	}
	if !(in > 0 && in <= maxInches) {
		return 0, fault.New("", fmt.Sprintf("%s is %v, which is not between 0 and %d inches", where, v, maxInches), "write a number of inches, or a length in quotes")
	}
	return in, nil
}

// tones and the other words a role is made of.
var tones = []Tone{LightTone, MediumTone, DarkTone}

const (
	backgroundWord = "background"
	anyWord        = "any"
)

// role reads the name of a role: one of the recipe's own, or the words it is
// made of. An empty name is any print.
func (rd reader) role(name, where string) (Role, error) {
	words := strings.ToLower(name)
	if own, ok := rd.roles[name]; ok {
		words = strings.ToLower(own)
	} else {
		name = words
	}
	r := Role{Name: name}
	if strings.TrimSpace(words) == "" {
		r.Name, words = anyWord, anyWord
	}
	for _, w := range strings.Fields(words) {
		switch {
		case w == backgroundWord:
			r.Background = true
		case w == anyWord || w == "print":
		case slices.Contains(tones, Tone(w)):
			if r.Value != "" {
				return r, fault.New("", fmt.Sprintf("%s: the role %q has two values", where, words), "give it one of light, medium, dark")
			}
			r.Value = Tone(w)
		case slices.Contains(cloth.Families, cloth.Family(w)):
			if r.Family != "" {
				return r, fault.New("", fmt.Sprintf("%s: the role %q has two hue families", where, words), "name one")
			}
			r.Family = cloth.Family(w)
		default:
			all := append(slices.Sorted(maps.Keys(rd.roles)), backgroundWord, anyWord)
			for _, t := range tones {
				all = append(all, string(t))
			}
			for _, f := range cloth.Families {
				all = append(all, string(f))
			}
			return r, fault.New("", fmt.Sprintf("%s: there is no role %q", where, w), meant(w, all)+"name it under [roles], or use background, any, light, medium, dark, a hue family, or a family and a value")
		}
	}
	if r.Background {
		r.Name = backgroundWord // one fabric, whatever it is called
	}
	if r.Background && (r.Value != "" || r.Family != "") {
		return r, fault.New("", fmt.Sprintf("%s: the role %q is the background and something else", where, words), "write background alone: it is one fabric, chosen for the quilt")
	}
	return r, nil
}

// block reads a grid of patches and checks that they tile it. inside lists the
// parts it is part of, innermost last.
func (rd reader) block(name string, grid []int, patches []patchText, inside []string) (Block, error) {
	if len(grid) != 2 || grid[0] < 1 || grid[1] < 1 || grid[0] > maxCells || grid[1] > maxCells {
		return Block{}, fault.New("", fmt.Sprintf("%s: its grid is %v", name, grid), fmt.Sprintf("write grid = [columns, rows], each 1 to %d", maxCells))
	}
	b := Block{Name: name, Columns: grid[0], Rows: grid[1]}
	cover := newCover(b)
	for i, p := range patches {
		where := fmt.Sprintf("%s: patch %d", name, i+1)
		if len(p.At) == 0 {
			return b, fault.New("", where+" is nowhere", "say where with at = [[row, column]]")
		}
		units, wide, high, err := rd.units(where, p, inside)
		if err != nil {
			return b, err
		}
		for _, at := range p.At {
			turn, err := place(where, at)
			if err != nil {
				return b, err
			}
			w, h := wide, high
			if turn%2 == 1 {
				w, h = h, w
			}
			if err := cover.lay(where, at[1]-1, at[0]-1, w, h); err != nil {
				return b, err
			}
			if p.Part != "" {
				b.Parts = append(b.Parts, Cells{at[1] - 1, at[0] - 1, w, h})
			}
			sets := lastSet(b.Units)
			for _, u := range units {
				b.Units = append(b.Units, u.turned(turn, wide, high).moved(at[1]-1, at[0]-1).numbered(sets))
			}
			if len(b.Units) > maxPlaces {
				return b, fault.New("", fmt.Sprintf("%s has more than %d patches", name, maxPlaces), "make it simpler")
			}
		}
	}
	if err := cover.whole(); err != nil || len(inside) == 0 {
		return b, err
	}
	part := inside[len(inside)-1]
	_, err := rd.matching(part+": matching", rd.parts[part].Matching, &b)
	return b, err
}

// place reads row, column and turn; the turn is given in quarters.
func place(where string, at []int) (turn int, err error) {
	if len(at) != 2 && len(at) != 3 {
		return 0, fault.New("", fmt.Sprintf("%s: at holds %v", where, at), "write at = [[row, column]], or [[row, column, degrees clockwise]]")
	}
	if len(at) == 2 {
		return 0, nil
	}
	return quarters(where, at[2])
}

func quarters(where string, degrees int) (int, error) {
	if degrees%90 != 0 || degrees < 0 || degrees > 270 {
		return 0, fault.New("", where+" is turned by "+strconv.Itoa(degrees)+" degrees", "turn it by 0, 90, 180 or 270, clockwise; kind = \"on-point\" under [setting] stands whole blocks on a corner")
	}
	return degrees / 90, nil
}

// units returns the units that one patch of the text stands for, unturned and at the top
// left, and the cells that they cover.
func (rd reader) units(where string, p patchText, inside []string) (units []Unit, wide, high int, err error) {
	if p.Part == "" {
		u, err := rd.unit(where, p)
		return []Unit{u}, u.Wide, u.High, err
	}
	part, ok := rd.parts[p.Part]
	switch {
	case p.Make != "" || p.Role != "" || len(p.Roles) > 0 || p.Wide != 0 || p.High != 0:
		return nil, 0, 0, fault.New("", where+" is a part and more besides", "beside part = … write only at = …: a part has its own size and roles")
	case !ok:
		remedy := "write it under [part." + p.Part + "]"
		if len(rd.names) > 0 {
			remedy = meant(p.Part, rd.names) + "the parts are " + strings.Join(rd.names, ", ")
		}
		return nil, 0, 0, fault.New("", fmt.Sprintf("%s: there is no part %q", where, p.Part), remedy)
	case slices.Contains(inside, p.Part):
		return nil, 0, 0, fault.New("", fmt.Sprintf("%s: the part %q is inside itself", where, p.Part), "break the ring of parts")
	case len(inside) >= maxDepth:
		return nil, 0, 0, fault.New("", fmt.Sprintf("%s: parts lie %d deep", where, maxDepth), "make it simpler")
	}
	b, err := rd.block(p.Part, part.Grid, part.Patch, append(slices.Clip(inside), p.Part))
	return b.Units, b.Columns, b.Rows, err
}
