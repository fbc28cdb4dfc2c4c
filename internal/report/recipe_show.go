package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/geom"
	"piecebag/internal/recipe"
)

// RecipeDocument shows a recipe: its block drawn, how blocks are set, its roles,
// how each unit is made and what one block is cut from.
func RecipeDocument(r *recipe.Recipe, s recipe.System) Document {
	names := lettersOf(r)
	d := Document{title: r.Name, lead: r.About}
	var blocks []drawing
	for i := range r.Blocks {
		blocks = append(blocks, blockDrawing(r, i, nil, names))
	}
	if r.Setting.Plain() {
		blocks = append(blocks, plainDrawing(r, names))
	}
	if len(blocks) > 1 {
		for i := range blocks {
			blocks[i].Name = blocks[i].Title
		}
	}
	quilt := settingDrawing(r)
	head := section{Heading: "The block", Paras: []string{sizeWords(r, s), settingWords(r, s)}, Items: slices.Concat(r.OffMarks(s), stripsOffMarks(r, s), r.Fitted(s)),
		Drawings: append(blocks, quilt), Caption: "The block, and some of them as they are set. The colours stand in for prints."}
	if r.Several() {
		head.Heading, head.Drawings, head.Caption = "The quilt", append([]drawing{quilt}, blocks...), "The quilt, and its blocks. The colours stand in for prints."
		head.Paras[0] = fmt.Sprintf("As it is drawn %s × %s finished.", s.Format(s.Nearest(quilt.W)), s.Format(s.Nearest(quilt.H)))
	}
	d.sections = append(d.sections, head,
		section{Heading: "Roles", Tables: []table{roleTable(names, nil)}},
		section{Heading: "Units", Tables: []table{unitTable(r, s)}},
	)
	for i, cuts := range blockCuts(r, s) {
		heading := "Cut for one block"
		if len(blocks) > 1 {
			heading += ": " + blockName(r, i)
		}
		d.sections = append(d.sections, section{Heading: heading, Tables: []table{cutTable(cuts, s, nil, names)}})
	}
	return d
}

// stripsOffMarks is what StripsOffMarks says of a recipe as it is drawn.
func stripsOffMarks(r *recipe.Recipe, s recipe.System) []string {
	columns, rows := sampleSetting(r)
	return r.StripsOffMarks(columns, rows, s)
}

// blockName returns what block i is called, the plain square after all others.
func blockName(r *recipe.Recipe, i int) string {
	if i < 0 || i >= len(r.Blocks) {
		return "the plain block"
	}
	return r.Blocks[i].Name
}

func plainDrawing(r *recipe.Recipe, names letters) drawing {
	fill := r.Setting.Fill
	return drawing{W: r.WidthIn, H: r.HeightIn, Title: "the plain block", Shapes: []shape{{
		Points: rect(0, 0, r.WidthIn, r.HeightIn), Fill: inksOf(fill)[0].Reads, Label: names.of(fill), Size: max(r.WidthIn, r.HeightIn) / 14,
	}}}
}

// sampleIn is about how wide a quilt of rows is shown, inches.
const sampleIn = 48

// sampleSetting returns enough of a quilt to see how blocks meet.
func sampleSetting(r *recipe.Recipe) (columns, rows int) {
	set := r.Setting
	switch {
	case set.Columns > 0:
		return set.Columns, set.Rows
	case set.Kind == recipe.InRows:
		return max(1, int(math.Round(sampleIn/r.WidthIn))), len(r.Rows)
	}
	if k := len(set.Order); k > 4 && set.Kind == recipe.Straight { // each block once
		columns = int(math.Sqrt(float64(k)))
		return columns, (k + columns - 1) / columns
	}
	n := 3
	if set.Kind == recipe.Straight {
		n = 2
		for n*n < len(set.Order) || set.Order != nil && n < 3 {
			n++
		}
	}
	if r.WidthIn <= 4 {
		n *= 3
	}
	for _, line := range set.Plan {
		n = max(n, len(line), len(set.Plan))
	}
	for _, line := range r.Setting.Turns {
		n = max(n, len(line), len(r.Setting.Turns))
	}
	return n, n
}

func sizeWords(r *recipe.Recipe, s recipe.System) string {
	b := r.Blocks[0]
	return fmt.Sprintf("%s × %s finished, %s × %s before it is sewn in, on a grid of %d × %d.",
		s.Format(b.WidthIn), s.Format(b.HeightIn), s.Format(b.WidthIn+2*s.Seam), s.Format(b.HeightIn+2*s.Seam), b.Columns, b.Rows)
}

func settingWords(r *recipe.Recipe, s recipe.System) string {
	words := map[recipe.SettingKind]string{
		recipe.Straight: "Set straight", recipe.OnPoint: "Set on point, with setting triangles",
		recipe.Shifted: "Set with every second row half a block over", recipe.InRows: "Set in rows of their own heights",
	}[r.Setting.Kind]
	var others []string
	for _, i := range r.Setting.Order[min(1, len(r.Setting.Order)):] {
		others = append(others, blockName(r, i))
	}
	switch {
	case len(others) == 1 && r.Setting.Plain():
		words += ", every second block plain"
	case len(others) > 0:
		words += ", alternating with " + strings.Join(others, ", ")
	case len(r.Setting.Plan) > 0:
		words += ", by the plan of the recipe"
	}
	if r.Setting.Columns > 0 {
		words += fmt.Sprintf(", %d by %d and no other", r.Setting.Columns, r.Setting.Rows)
	}
	if r.Sashing.WidthIn > 0 {
		words += ", with sashing " + s.Format(r.Sashing.WidthIn) + " wide"
	}
	if n := len(r.Borders); n > 0 {
		words += ", in " + cloth.Count(n, "border")
	}
	for i, b := range r.Borders {
		switch {
		case len(b.Blocks) > 0:
			words += fmt.Sprintf("; border %d is pieced of %s", i+1, strings.Join(mapped(b.Blocks, func(k int) string { return r.Blocks[k].Name }), ", "))
		case len(b.Keys) > 0:
			words += fmt.Sprintf("; border %d is of piano keys", i+1)
		case b.Cornered:
			words += fmt.Sprintf("; border %d has squares at its corners", i+1)
		}
	}
	return words + "."
}

func roleTable(names letters, k inks) table {
	t := table{Columns: columns("", "role", "cut from"), Lead: 2}
	for i, r := range names {
		t.add(k.of(r)[0].with(letter(i)), r.Name, roleWords(r))
	}
	return t
}

// makeWords says how a unit is made.
var makeWords = map[recipe.Make]string{
	recipe.Plain: "plain patch", recipe.HalfSquare: "half-square triangles", recipe.HalfRectangle: "half-rectangle triangles", recipe.Hourglass: "hourglass",
	recipe.QuarterSquare: "quarter-square triangles", recipe.FlyingGeese: "flying geese", recipe.FlipCorners: "stitch-and-flip corners",
	recipe.StripSet: "strip set", recipe.LogCabin: "log cabin", recipe.CourthouseSteps: "courthouse steps",
	recipe.Strings: "strings on a foundation", recipe.Crumbs: "crumbs on a foundation",
}

// unitTable counts the units of each block that are made and sized alike.
func unitTable(r *recipe.Recipe, s recipe.System) table {
	t := table{Columns: columns("unit", ">finished", "roles", ">how many")}
	for _, b := range r.Blocks {
		unit := b.WidthIn / float64(b.Columns)
		for _, g := range grouped(b.Units, func(u recipe.Unit) [3]string {
			words := makeWords[u.Make]
			if u.AtATime > 1 {
				words += fmt.Sprintf(", %d at a time", u.AtATime)
			}
			w, h := float64(min(u.Wide, u.High))*unit, float64(max(u.Wide, u.High))*unit
			size := s.Format(w)
			if w != h {
				size += " × " + s.Format(h)
			}
			return [3]string{words, size, roleNames(u)}
		}) {
			t.add(g.key[0], g.key[1], g.key[2], len(g.all))
		}
	}
	return t
}

// roleNames lists the roles of a unit, its corners' too, each once.
func roleNames(u recipe.Unit) string {
	var out []string
	add := func(r recipe.Role) {
		if r.Name != "" && !slices.Contains(out, r.Name) {
			out = append(out, r.Name)
		}
	}
	for _, r := range u.Roles {
		add(r)
	}
	for _, c := range u.Corners {
		if c.Side > 0 {
			add(c.Role)
		}
	}
	return strings.Join(out, ", ")
}

// blockCuts returns the pieces of one of each block, its patches cut singly, and of
// the plain square that it alternates with.
func blockCuts(r *recipe.Recipe, s recipe.System) [][]recipe.Lot {
	var out [][]recipe.Lot
	for i := range r.Blocks {
		stands := make([]recipe.Stand, len(r.Blocks))
		stands[i].Count = 1
		out = append(out, r.Cuts(stands, recipe.Method{System: s, WOFIn: cutting.DefaultWidth, OneByOne: true}))
	}
	if r.Setting.Plain() {
		w, _ := s.Plain(r.WidthIn)
		h, _ := s.Plain(r.HeightIn)
		out = append(out, []recipe.Lot{{Role: r.Setting.Fill, WidthIn: min(w, h), LengthIn: max(w, h), Count: 1, For: []string{"plain blocks"}}})
	}
	return out
}

// cutTable lists cuts: the letter of the role in drawings of the block, role,
// count, size, what for.
func cutTable(cuts []recipe.Lot, s recipe.System, k inks, names letters) table {
	t := table{Columns: columns("", "role", ">cut", ">size", "for"), Lead: 2}
	for _, c := range cuts {
		t.add(k.of(c.Role)[0].with(names.of(c.Role)), c.Role.Name, c.Count, cutSize(c, s), strings.Join(c.For, ", "))
	}
	return t
}

// cutSize returns "2½", "2½ × 4½", "2½ strip" with how squares are divided.
func cutSize(c recipe.Lot, s recipe.System) string {
	words := s.Format(c.WidthIn)
	switch {
	case c.LengthIn == 0:
		words += " strip"
	case c.LengthIn != c.WidthIn:
		words += " × " + s.Format(c.LengthIn)
	}
	if c.AnyIn2 > 0 {
		words = fmt.Sprintf("strips %s wide, or any width from %s: %s, about %s", s.Format(c.WidthIn), s.Format(recipe.LeastString), s.Area(c.AnyIn2), cloth.Count(recipe.Handfuls(c.AnyIn2), "handful"))
	}
	if c.Split != recipe.Whole {
		words += ", " + string(c.Split)
	}
	return words
}

// RecipeDrawing writes the drawing of the block as an SVG file, its alternate
// block beside it; of a quilt of several the quilt.
func RecipeDrawing(w io.Writer, r *recipe.Recipe) error {
	if r.Several() {
		return SettingDrawing(w, r)
	}
	names := lettersOf(r)
	d := blockDrawing(r, 0, nil, names)
	for i := 1; i < len(r.Blocks); i++ {
		d = d.beside(blockDrawing(r, i, nil, names), r.Blocks[0].WidthIn/8)
	}
	return d.writeSVG(w)
}

// SettingDrawing writes the drawing of some blocks as they are set, with their sashing
// and borders, as an SVG file.
func SettingDrawing(w io.Writer, r *recipe.Recipe) error { return settingDrawing(r).writeSVG(w) }

func settingDrawing(r *recipe.Recipe) drawing {
	columns, rows := sampleSetting(r)
	return quiltDrawing(fmt.Sprintf("%d × %d of %s", columns, rows, r.Name), r.QuiltLayout(columns, rows), nil)
}

// RecipeText writes the recipe with its block drawn in letters, one a role.
func RecipeText(w io.Writer, r *recipe.Recipe, s recipe.System, o TextOptions) error {
	names := lettersOf(r)
	d := RecipeDocument(r, s)
	lines := &d.sections[0].Verbatim
	pair := len(r.Blocks) > 1 || r.Setting.Plain()
	named := func(i int, block []string) {
		if i > 0 {
			*lines = append(*lines, "")
		}
		if pair {
			*lines = append(*lines, blockName(r, i))
		}
		*lines = append(*lines, block...)
	}
	for i, b := range r.Blocks {
		named(i, sketch(b, r.BlockLayout(i), names))
	}
	if r.Setting.Plain() {
		n := sketchHigh / 4
		named(1, slices.Repeat([]string{strings.Repeat(names.of(r.Setting.Fill), 2*n)}, n))
	}
	return d.Text(w, o)
}

// sketchHigh is how many lines a block is drawn in, where its cells allow it.
const sketchHigh = 16

// sketch draws a block in letters, by what lies in the middle of each.
func sketch(b recipe.Block, l recipe.Top, names letters) []string {
	each := max(2, min(4, sketchHigh/b.Rows)) // lines a cell; a letter is twice as high as wide
	wide, high := 2*each*b.Columns, each*b.Rows
	if high > 2*sketchHigh && b.FramedIn > 0 { // its grid is finer than what is on it
		wide, high = 2*2*sketchHigh*b.Columns/b.Rows, 2*sketchHigh
	}
	lines := make([]string, high)
	for y := range lines {
		var s strings.Builder
		for x := range wide {
			// Off the diagonals: a letter in two patches is drawn as the upper left.
			at := geom.Point{X: (float64(x) + 0.49) * l.WidthIn / float64(wide), Y: (float64(y) + 0.49) * l.HeightIn / float64(high)}
			s.WriteString(letterAt(l, at, names))
		}
		lines[y] = s.String()
	}
	return lines
}

func letterAt(l recipe.Top, at geom.Point, names letters) string {
	for _, p := range l.Patches {
		if p.Polygon.Contains(at) {
			return names.of(p.Role)
		}
	}
	return " "
}
