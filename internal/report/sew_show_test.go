package report

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/plan"
	"piecebag/internal/recipe"
)

// The sheet begins with the cautions; it has every unit with what it is cut from, and an
// order in which each row is named before it is used.
func TestSewingGolden(t *testing.T) {
	p := somePlan(t, "sawtooth-star", plan.Order{Columns: 2, Rows: 3}, someStock(), recipe.Inches())
	s := p.Sewing()
	d := s.Document()
	require.True(t, d.sections[0].Careful)
	golden(t, "sewing.txt", []byte(textOfDocument(t, d, 100)))
	golden(t, "sewing.html", []byte(unstyled(t, d)))
	var b bytes.Buffer
	require.NoError(t, s.JSON(&b))
	golden(t, "sewing.json", b.Bytes())
}

// The sheet of a plan says the top by its own numbers: 24 ÷ 4 = 6 blocks on a side, 36 ÷ 4 = 9,
// keys of 2 along 58 and 48. A spacer of 0.686 is cut 1¼ wide, so that the top with it on
// measures more than the 24½ that six blocks of 4 do before they are sewn in.
func TestTheTopOfAPlanIsSewnByItsNumbers(t *testing.T) {
	d := somePlan(t, "medallion", plan.Order{}, nil, recipe.Inches()).Sewing().Document()
	text := strings.Join(d.sections[len(d.sections)-1].Items, "\n")
	for _, said := range []string{
		"Sew a corner triangle to two sides of the block that face each other",
		"the spacer of border 1, of dark (D), by which it comes out even: cut 1¼ wide, two sides of 23¼, top and bottom of 24½. Trim the top to 24½ by 24½",
		"the blocks of border 1 side by side into four strips, their tops outwards: 6 along the top and as many along the bottom, 6 along each side",
		"Border 2: sew its sides on first, then its top and bottom, these with their corners sewn on: cut 2½ wide, two sides of 32½, top and bottom of 32½",
		"9 along the top and as many along the bottom, 9 along each side",
		"29 along the top and as many along the bottom, 24 along each side",
	} {
		require.Contains(t, text, said)
	}
	require.NotContains(t, text, "Where the plan has")
	require.NotContains(t, text, "side triangle")
	require.Equal(t, 1, strings.Count(text, "spacer"), "the other pieced borders come out even without")
}

// Every recipe has a sheet in which each numbered piece is made before it is sewn on, once,
// and in which every unit that is not plain is explained; in centimetres too.
func TestEveryRecipeHasASheet(t *testing.T) {
	var text bytes.Buffer
	for _, name := range recipe.Names() {
		r := builtIn(t, name)
		for _, system := range []recipe.System{recipe.Inches(), recipe.Centimetres(0.65 / 2.54)} {
			s := Sewing{Recipe: r, System: system}
			for _, x := range s.blocks() {
				require.True(t, x.ok, name)
				made := map[string]bool{}
				for _, step := range x.steps {
					called, how, _ := strings.Cut(step, ": sew ")
					called, _, _ = strings.Cut(strings.ToLower(called), " (make")
					require.False(t, made[called], "%s: %s is made twice", name, called)
					for _, part := range pieceForm.FindAllString(how, -1) {
						require.True(t, made[part], "%s: %s is sewn of %s before that is made", name, called, part)
					}
					made[called] = true
				}
				w := sewer{system, lettersOf(r)}
				for _, m := range x.batches {
					steps := w.steps(m, r.Blocks[x.index].CellIn())
					require.Equal(t, m.Unit.Make != recipe.Plain, steps != nil, "%s: %s", name, m.Unit.Make)
				}
				d := s.apart(x)
				require.Len(t, d.Shapes, len(s.Recipe.BlockLayout(x.index).Patches)+len(r.Blocks[x.index].Units)+seams(x.sewn), name)
				for _, shape := range d.Shapes {
					lo, hi := shape.Points.Bounds()
					require.True(t, lo.X > -1e-6 && lo.Y > -1e-6 && hi.X < d.W+1e-6 && hi.Y < d.H+1e-6, name)
				}
			}
			var b bytes.Buffer
			require.NoError(t, s.Document().PDF(&b, "a4"), name)
		}
		sheet := Document{sections: Sewing{Recipe: r, System: recipe.Inches()}.Document().sections[1:]} // without the cautions
		text.WriteString("\f" + name + "\n" + textOfDocument(t, sheet, 120) + sketched(t, sheet.sections))
	}
	golden(t, "sheets.txt", text.Bytes())
}

var pieceForm = regexp.MustCompile(`(?:row|column|piece) \d+`)

func seams(s recipe.Sewn) (n int) {
	for _, p := range s.Of {
		n += seams(p)
	}
	return n + len(s.Press)
}

// Brunswick Quilters guild: a centre of 3 and logs of 1¾ in three rounds: 3, 4¼, 4¼, 5½ and
// so on to 10½. American Patchwork & Quilting: eight triangle-squares of 1½ from squares of 4¾.
func TestHowUnitsAreMade(t *testing.T) {
	text := func(name string, change ...func(*recipe.Recipe) (*recipe.Recipe, error)) string {
		r := builtIn(t, name)
		for _, c := range change {
			var err error
			r, err = c(r)
			require.NoError(t, err)
		}
		return textOfDocument(t, Sewing{Recipe: r, System: recipe.Inches()}.Document(), 400)
	}
	cabin := text("log-cabin")
	require.Contains(t, cabin, "1. Begin with the centre, hearth (A) 3.")
	require.Contains(t, cabin, "left light (B) 1¾ × 3; top light (B) 1¾ × 4¼; right dark (C) 1¾ × 4¼; bottom dark (C) 1¾ × 5½.")
	require.Contains(t, cabin, "bottom dark (C) 1¾ × 10½.")
	steps := text("courthouse-steps")
	require.Regexp(t, `Round 1, .*: left .* 1¾ × 3; right .* 1¾ × 3; top .* 1¾ × 5½; bottom .* 1¾ × 5½\.`, steps)
	eight := text("pinwheel", func(r *recipe.Recipe) (*recipe.Recipe, error) { return r.Resize(3) }, func(r *recipe.Recipe) (*recipe.Recipe, error) {
		return r.Made(map[recipe.Make]int{recipe.HalfSquare: 8})
	})
	require.Contains(t, eight, "Cut for 8 units: 1 square of 4¾, background (A); 1 square of 4¾, dark (B).")
	require.Contains(t, eight, "Trim each to 2,")
	four := text("sawtooth-star", func(r *recipe.Recipe) (*recipe.Recipe, error) {
		return r.Made(map[recipe.Make]int{recipe.FlyingGeese: 4})
	})
	require.Contains(t, four, "Cut for 4 units: 1 square of 7¼, background (B); 4 squares of 3⅞, points (C).")
	nine := text("nine-patch")
	require.Contains(t, nine, "Segment 3 is as segment 1.")
	require.Contains(t, nine, "The block is unit 1 by itself.")
	require.Contains(t, text("pinwheel"), "The block: sew one below another, from the top: row 1, row 1 (turned). Press the seam open")
}

// The others of a block of strings were once said to be of the middle one's cloth too.
func TestStringsBesideTheMiddleOne(t *testing.T) {
	r, err := recipe.BuiltIn("strings")
	require.NoError(t, err)
	said := strings.Join(strings.Fields(textOfDocument(t, Sewing{Recipe: r, System: recipe.Inches()}.Document(), 100)), " ")
	require.Regexp(t, `the first strip, background \(\w\)`, said)
	require.Regexp(t, `longer than what it covers: any \(\w\)\.`, said)
}

func TestSeamsArePressedTowardTheDarker(t *testing.T) {
	light, dark, other := recipe.Role{Name: "sky", Value: recipe.LightTone}, recipe.Role{Name: "sea", Value: recipe.DarkTone}, recipe.Role{Name: "sand", Value: recipe.LightTone}
	w := sewer{System: recipe.Inches()}
	require.Equal(t, "Press toward sea, the darker.", w.toward(light, dark))
	require.Equal(t, "Press toward sea, the darker.", w.toward(dark, light))
	require.Equal(t, "Press toward the darker of the two, or open.", w.toward(light, other))
}

// Four pieces round a middle: the first seam is sewn half way, and no arrow says how to press.
func TestABlockWithAPartialSeam(t *testing.T) {
	cloth := []recipe.Role{{Name: "any"}}
	b := recipe.Block{Name: "round", WidthIn: 9, HeightIn: 9, Columns: 3, Rows: 3}
	for _, at := range [][4]int{{0, 0, 2, 1}, {2, 0, 1, 2}, {1, 2, 2, 1}, {0, 1, 1, 2}, {1, 1, 1, 1}} {
		b.Units = append(b.Units, recipe.Unit{Make: recipe.Plain, Roles: cloth, Column: at[0], Row: at[1], Wide: at[2], High: at[3]})
	}
	s := Sewing{Recipe: &recipe.Recipe{Name: "round", WidthIn: 9, HeightIn: 9, Blocks: []recipe.Block{b}}, System: recipe.Inches()}
	x := s.blocks()[0]
	require.True(t, x.sewn.Partial)
	require.Equal(t, []string{"The block: sew unit 1 (any), unit 1 (any), unit 1 (any) to unit 1 (any) (top, then right, bottom and left) round the middle, unit 2 (any), each to the side before it. Of the first seam sew only the half beside the middle; finish it last, when the fourth piece is on. Press away from the middle."}, x.steps)
	d := s.apart(x)
	require.Len(t, d.Shapes, 2*len(b.Units), "cloth and numbers")
	require.InDelta(t, 2*9+4*3*gapLeast, d.W+d.H, 1e-9, "a gap on every side of the middle")
}
