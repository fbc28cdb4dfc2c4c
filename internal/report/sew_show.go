package report

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// Sewing is the order in which the blocks of a recipe are sewn, a sheet to print.
type Sewing struct {
	Recipe *recipe.Recipe
	System recipe.System
	Quilt  string      // what it is called; empty: as its recipe
	Blocks []int       // how many of each of its blocks the quilt has; nil: no quilt is meant
	needs  *plan.Needs // of the quilt; nil: none is meant
	inks   inks
	sets   []section // the strip sets of a plan, of which units are cut
}

// Sewing returns the sheet to sew a planned quilt by.
func (p Plan) Sewing() Sewing {
	s := Sewing{Recipe: p.Needs.Recipe, System: p.System, Quilt: p.Quilt, needs: p.Needs, inks: p.inks()}
	s.Blocks = make([]int, len(s.Recipe.Blocks))
	seen := map[int]bool{}
	for _, patch := range s.Recipe.QuiltLayout(p.Needs.Columns, p.Needs.Rows).Patches { // those of pieced borders too
		if patch.Of >= 0 && !seen[patch.Block] {
			seen[patch.Block] = true
			s.Blocks[patch.Of]++
		}
	}
	if p.Pull != nil && len(p.Pull.StripSets) > 0 {
		sets := p.stripSets()
		sets.Paras = append(sets.Paras, "Sew them before the units below: a segment is the whole unit, or one row or column of its patches. Only what they do not give is sewn patch by patch.")
		s.sets = []section{sets}
	}
	return s
}

// of returns how many of a block the quilt has; 0 where none is meant.
func (s Sewing) of(block int) int {
	if block < len(s.Blocks) {
		return s.Blocks[block]
	}
	return 0
}

// sewer says how the units of its blocks are made.
func (s Sewing) sewer() sewer { return sewer{s.System, lettersOf(s.Recipe)} }

// sewnBlock is one block and how it is sewn.
type sewnBlock struct {
	index   int
	batches []recipe.Batch
	number  []int // of each of its units: that of its batch, from 0
	sewn    recipe.Sewn
	ok      bool
	steps   []string
}

func (s Sewing) blocks() (out []sewnBlock) {
	w := s.sewer()
	for i, b := range s.Recipe.Blocks {
		if s.Blocks != nil && s.of(i) == 0 {
			continue
		}
		x := sewnBlock{index: i, batches: b.Batches(s.System), number: make([]int, len(b.Units))}
		for k, m := range x.batches {
			for _, u := range m.At {
				x.number[u] = k
			}
		}
		if x.sewn, x.ok = b.Sewing(); x.ok && x.sewn.Unit < 0 {
			j := joined{sewer: w, b: b, unit: x.number, called: map[string]string{}, count: map[string]int{}}
			j.tally(x.sewn)
			j.make(x.sewn, wholeBlock)
			x.steps = j.steps
		}
		out = append(out, x)
	}
	return out
}

// Document returns the sheet: cautions, the units to make first and how, then the block in rows
// or pieces with the way its seams are pressed, then the top.
func (s Sewing) Document() Document {
	r, w := s.Recipe, s.sewer()
	d := Document{title: "To sew " + r.Name, lead: "Units first, then rows or pieces, then the block, then the top."}
	if s.Quilt != "" && s.Quilt != r.Name {
		d.title = "To sew " + s.Quilt
		d.lead = r.Name + ". " + d.lead
	}
	d.sections = append(d.sections, cautions(), section{Heading: "Roles", Tables: []table{roleTable(w.names, s.inks)}})
	d.sections = append(d.sections, s.sets...)
	blocks := s.blocks()
	for _, x := range blocks {
		b, name := r.Blocks[x.index], ""
		if len(blocks) > 1 {
			name = ": " + blockName(r, x.index)
		}
		d.sections = append(d.sections, section{
			Heading: "Units to make first" + name, Drawings: []drawing{s.numbered(x)}, Caption: "The numbers are those of its units.",
			Tables: []table{s.units(w, x)},
		})
		for k, m := range x.batches {
			steps := w.steps(m, b.CellIn())
			if steps == nil {
				continue
			}
			d.sections = append(d.sections, section{
				Heading: fmt.Sprintf("Unit %d: %s%s", k+1, makeWords[m.Unit.Make], name), Drawings: []drawing{s.unit(m, b.CellIn(), w.names)}, Items: steps, Numbered: true,
			})
		}
		block := section{Heading: "Sew the block" + name, Items: x.steps, Numbered: true}
		size := w.size(b.WidthIn+2*s.System.Seam, b.HeightIn+2*s.System.Seam)
		switch {
		case !x.ok:
			block.Paras = []string{"This block has seams that must be set in: there is no order of straight seams for it. Ask your teacher."}
		case x.sewn.Unit >= 0:
			block.Paras = []string{"The block is unit 1 by itself."}
		default:
			block.Drawings = []drawing{s.apart(x)}
			block.Caption = "The numbers are those of the units; an arrow points to the side to which a seam is pressed, a diamond is a seam pressed open."
		}
		measures := "It measures " + size + " before it is sewn in: check the first before you sew the rest."
		if off := b.OffMarks(s.System); off != "" {
			measures = "It should measure " + size + " before it is sewn in, but " + off + "."
		}
		block.Paras = append(block.Paras, measures)
		d.sections = append(d.sections, block)
	}
	d.sections = append(d.sections, section{Heading: "Sew the top", Items: w.topSteps(r, s.needs), Numbered: true})
	d.fine = []string{
		fmt.Sprintf("Seams of %s. Sew one block to the end before you cut the rest.", s.System.SeamWords()),
		"The ways to make units are as they are commonly taught. Seams that meet are pressed to opposite sides, so that they nest; then to a patch without seams, then to the darker. Where your teacher has you do it otherwise, do that.",
	}
	return d
}

// units lists the units of a block.
func (s Sewing) units(w sewer, x sewnBlock) table {
	heads := []string{">unit", "made as", "roles", ">before it is sewn in", ">for a block"}
	if s.Blocks != nil {
		heads = append(heads, fmt.Sprintf(">for %d", s.of(x.index)))
	}
	t := table{Columns: columns(heads...)}
	for k, m := range x.batches {
		row := []any{k + 1, makeWords[m.Unit.Make], roleNames(m.Unit), w.unfinished(m.Unit, s.Recipe.Blocks[x.index].CellIn()), len(m.At)}
		if s.Blocks != nil {
			row = append(row, len(m.At)*s.of(x.index))
		}
		t.add(row...)
	}
	return t
}

// unitShare is how many times as wide as high the room for a unit is.
const unitShare = 5

// unit draws a unit by itself, as it lies before it is turned.
func (s Sewing) unit(m recipe.Batch, cell float64, names letters) drawing {
	top := m.Unit.Shown(cell)
	d := quiltDrawing(makeWords[m.Unit.Make], top, s.inks)
	for i, p := range top.Patches {
		d.Shapes[i].Label = names.of(p.Role)
		lo, hi := p.Polygon.Bounds()
		d.Shapes[i].Size, _ = fitLabel(d.Shapes[i].Label, 0.5*(hi.X-lo.X), 0.4*(hi.Y-lo.Y), 0, max(d.W, d.H)/8)
	}
	d.W = max(d.W, unitShare*d.H) // small, beside an empty place
	return d
}

// numbered draws a block with the numbers of its units.
func (s Sewing) numbered(x sewnBlock) drawing {
	b := s.Recipe.Blocks[x.index]
	d := quiltDrawing("the block "+blockName(s.Recipe, x.index), s.Recipe.BlockLayout(x.index), s.inks)
	for i, u := range b.Units {
		d.Shapes = append(d.Shapes, numberOf(x.number[i]+1, s.place(b, u)))
	}
	return d
}

// place returns where a unit lies in its block, inches.
func (s Sewing) place(b recipe.Block, u recipe.Unit) geom.Polygon {
	cell := b.CellIn()
	wide, high := u.Covers()
	return rect(cell*float64(u.Column), cell*float64(u.Row), cell*float64(wide), cell*float64(high))
}

// numberOf writes the number of a unit in its middle.
func numberOf(n int, at geom.Polygon) shape {
	lo, hi := at.Bounds()
	side := 0.32 * min(hi.X-lo.X, hi.Y-lo.Y)
	middle := lo.Add(hi).Mul(0.5)
	return shape{Points: rect(middle.X-side/2, middle.Y-side/2, side, side), Fill: colour.Linear{1, 1, 1}, Seamless: true, Label: strconv.Itoa(n), Size: 0.8 * side, Bold: true}
}

// The gaps between pieces that are drawn apart, in cells, and arrows in them.
const (
	gapLeast = 0.28 // between units
	gapMore  = 0.22 // at each joining after
	arrowIn  = 0.16 // half of an arrow's length
)

// apart draws a block with its pieces apart as they are joined, and arrows that show how
// seams are pressed.
func (s Sewing) apart(x sewnBlock) drawing {
	b := s.Recipe.Blocks[x.index]
	e := exploded{cell: b.CellIn(), x: make([]float64, b.Columns+1), y: make([]float64, b.Rows+1)}
	e.part(x.sewn)
	top := s.Recipe.BlockLayout(x.index)
	cloth := quiltDrawing("", top, s.inks).Shapes
	for i, p := range top.Patches {
		u := s.place(b, b.Units[p.Unit])
		move := e.at(u).Sub(u[0])
		c := cloth[i]
		c.Points = c.Points.Map(move.Add)
		e.d.Shapes = append(e.d.Shapes, c)
	}
	for i, u := range b.Units {
		at := s.place(b, u)
		e.d.Shapes = append(e.d.Shapes, numberOf(x.number[i]+1, at.Map(e.at(at).Sub(at[0]).Add)))
	}
	e.arrows(x.sewn)
	e.d.W, e.d.H = e.to(e.x, b.Columns), e.to(e.y, b.Rows)
	e.d.Title = "the block " + blockName(s.Recipe, x.index) + ", its pieces apart as they are sewn together"
	return e.d
}

// exploded draws pieces apart: at every line of cells on which one is sewn to another there
// is a gap, the wider the later they are joined.
type exploded struct {
	cell float64
	x, y []float64 // the gap before each column and row, inches
	d    drawing
}

// depth returns how often pieces are joined within one.
func depth(s recipe.Sewn) int {
	n := 0
	for _, p := range s.Of {
		n = max(n, 1+depth(p))
	}
	return n
}

// part widens the gaps at the seams of a piece.
func (e *exploded) part(s recipe.Sewn) {
	gap := e.cell * (gapLeast + gapMore*float64(depth(s)-1))
	for i, p := range s.Of {
		e.part(p)
		if i > 0 && (s.Partial || !s.Down) && p.Column > s.Column {
			e.x[p.Column] = max(e.x[p.Column], gap)
		}
		if i > 0 && (s.Partial || s.Down) && p.Row > s.Row {
			e.y[p.Row] = max(e.y[p.Row], gap)
		}
	}
}

// to returns where a column or a row begins, the gap before it counted in.
func (e *exploded) to(gaps []float64, n int) float64 {
	at := e.cell * float64(n)
	for _, g := range gaps[:n+1] {
		at += g
	}
	return at
}

// at returns where the top left of what lies in a rectangle of the block comes to lie, in the
// middle of the room that the gaps leave it.
func (e *exploded) at(g geom.Polygon) geom.Point {
	lo, hi := g.Bounds()
	one := func(gaps []float64, from, to float64) float64 {
		a, b := int(math.Round(from/e.cell)), int(math.Round(to/e.cell))
		begin, end := e.to(gaps, a), e.to(gaps, b)-gaps[b]
		return (begin + end - (to - from)) / 2
	}
	return geom.Point{X: one(e.x, lo.X, hi.X), Y: one(e.y, lo.Y, hi.Y)}
}

// arrows draws to which sides the seams of a piece are pressed.
func (e *exploded) arrows(s recipe.Sewn) {
	for i, p := range s.Of {
		e.arrows(p)
		if i == 0 || s.Partial {
			continue
		}
		at := geom.Point{X: e.to(e.x, p.Column) - e.x[p.Column]/2, Y: (e.to(e.y, p.Row) + e.to(e.y, p.Row+p.High) - e.y[p.Row+p.High]) / 2}
		if s.Down {
			at = geom.Point{X: (e.to(e.x, p.Column) + e.to(e.x, p.Column+p.Wide) - e.x[p.Column+p.Wide]) / 2, Y: e.to(e.y, p.Row) - e.y[p.Row]/2}
		}
		e.d.Shapes = append(e.d.Shapes, shape{Points: e.arrow(s.Press[i-1], s.Down).Map(at.Add), Fill: arrowInk, Seamless: true, Title: pressTitle(s.Press[i-1], s.Down)})
	}
}

// arrowInk is what arrows are drawn in: a dark red, to be told from cloth and lines.
var arrowInk = colour.Munsell{Hue: 5, Value: 3.5, Chroma: 11}.Linear()

// arrow returns a mark about the origin: toward a side, or a diamond.
func (e *exploded) arrow(p recipe.Press, down bool) geom.Polygon {
	a := e.cell * arrowIn
	g := geom.Polygon{{X: -a, Y: -a}, {X: a}, {X: -a, Y: a}}
	switch {
	case p == recipe.Open:
		g = geom.Polygon{{X: -a}, {Y: -a}, {X: a}, {Y: a}}
	case p == recipe.Before:
		g = geom.Polygon{{X: a, Y: -a}, {X: a, Y: a}, {X: -a}}
	}
	if down {
		return g.Map(func(q geom.Point) geom.Point { return geom.Point{X: q.Y, Y: q.X} })
	}
	return g
}

func pressTitle(p recipe.Press, down bool) string {
	return pressWords(recipe.Sewn{Down: down, Press: []recipe.Press{p}})
}

// JSON writes the order as one line.
func (s Sewing) JSON(w io.Writer) error {
	words := s.sewer()
	var blocks []object
	for _, x := range s.blocks() {
		b := s.Recipe.Blocks[x.index]
		var units []object
		for k, m := range x.batches {
			units = append(units, object{
				{"unit", k + 1}, {"make", m.Unit.Make}, {"at_a_time", m.Set}, {"for_a_block", len(m.At)}, {"for_the_quilt?", len(m.At) * s.of(x.index)},
				{"unfinished", words.unfinished(m.Unit, b.CellIn())}, {"pieces", mapped(m.Cut, cutJSON)}, {"steps?", words.steps(m, b.CellIn())},
			})
		}
		blocks = append(blocks, object{{"block", blockName(s.Recipe, x.index)}, {"units", units}, {"straight_seams", x.ok}, {"steps?", x.steps}})
	}
	return encode(w, object{{"recipe", s.Recipe.Name}, {"blocks", blocks}, {"top", words.topSteps(s.Recipe, s.needs)}})
}
