package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/recipe"
)

func builtIn(t *testing.T, name string) *recipe.Recipe {
	r, err := recipe.BuiltIn(name)
	require.NoError(t, err)
	return r
}

func TestRecipeGolden(t *testing.T) {
	r := builtIn(t, "ohio-star")
	var b bytes.Buffer
	require.NoError(t, RecipeText(&b, r, recipe.Inches(), TextOptions{}))
	golden(t, "recipe.txt", b.Bytes())
	golden(t, "recipe.html", []byte(unstyled(t, RecipeDocument(r, recipe.Inches()))))
	b.Reset()
	require.NoError(t, RecipeDrawing(&b, r))
	golden(t, "recipe.svg", b.Bytes())
}

// Every built-in recipe can be shown in every form; as text each is kept whole, every
// third in centimetres.
func TestEveryRecipeIsShown(t *testing.T) {
	var text bytes.Buffer
	for i, name := range recipe.Names() {
		r := builtIn(t, name)
		system := recipe.Inches()
		if i%3 == 2 {
			system = recipe.Centimetres(7.5 / 25.4)
		}
		require.NoError(t, RecipeText(&text, r, system, TextOptions{Width: 100}), name)
		text.WriteString(sketched(t, RecipeDocument(r, system).sections) + "\f\n")
		var b bytes.Buffer
		require.NoError(t, RecipeDocument(r, recipe.Centimetres(7.5/25.4)).HTML(&b), name)
		var pdf bytes.Buffer
		require.NoError(t, RecipeDocument(r, recipe.Inches()).PDF(&pdf, "a4"), name)
		keep(t, "recipe-"+name+".pdf", pdf.Bytes())
	}
	golden(t, "recipes.txt", text.Bytes())
}

// No two patches of one role that share a seam are drawn in one colour where the
// role has colours enough.
func TestDrawingKeepsNeighboursApart(t *testing.T) {
	r := builtIn(t, "plain-squares")
	l := r.QuiltLayout(8, 8)
	var five []chip
	for _, c := range [][3]uint8{{200, 40, 40}, {40, 40, 200}, {40, 160, 40}, {220, 200, 40}, {120, 40, 140}} {
		five = append(five, plainChip(hex(c[0], c[1], c[2])))
	}
	d := quiltDrawing("squares", l, inks{l.Patches[0].Role: five})
	require.Len(t, d.Shapes, 64)
	colours := map[string]int{}
	for i, near := range l.Neighbours() {
		colours[d.Shapes[i].Fill.Hex()]++
		for _, n := range near {
			require.NotEqual(t, d.Shapes[i].Fill, d.Shapes[n].Fill, "%d beside %d", i, n)
		}
	}
	require.Greater(t, len(colours), 4)
	for c, n := range colours {
		require.Less(t, n, 32, c)
	}
}

// A bow that is of one print is drawn in one cloth, each block's in its own.
func TestDrawingKeepsSetsTogether(t *testing.T) {
	r := builtIn(t, "bow-tie")
	l := r.QuiltLayout(3, 3)
	var bows recipe.Role
	for _, p := range l.Patches {
		if !p.Role.Background {
			bows = p.Role
		}
	}
	five := []chip{plainChip(hex(200, 40, 40)), plainChip(hex(40, 40, 200)), plainChip(hex(40, 160, 40)), plainChip(hex(220, 200, 40)), plainChip(hex(120, 40, 140))}
	d := quiltDrawing("bows", l, inks{bows: five})
	of, patches, colours := map[int]string{}, 0, map[string]bool{}
	for i, p := range l.Patches {
		if p.Role != bows {
			continue
		}
		fill := d.Shapes[i].Fill.Hex()
		if of[p.Block] != "" {
			require.Equal(t, of[p.Block], fill, "block %d", p.Block)
		}
		of[p.Block], colours[fill] = fill, true
		patches++
	}
	require.Len(t, of, 9)
	require.Equal(t, 9*4, patches)
	require.Greater(t, len(colours), 3)
}

func TestStandInsHaveTheValueOfTheirRole(t *testing.T) {
	for _, tone := range []recipe.Tone{recipe.LightTone, recipe.MediumTone, recipe.DarkTone} {
		r := recipe.Role{Value: tone}
		for _, c := range inksOf(r) {
			require.True(t, c.Any, "cloth of any colour is drawn as none")
			require.True(t, r.Suits("", cloth.ValueOf(c.Reads.Lab().L)), "%s %s", tone, c.Reads.Hex())
		}
	}
	require.Len(t, inksOf(recipe.Role{Background: true}), 1)
}

// A block and the one it alternates with are each drawn under their own name.
func TestBlocksAreDrawnUnderTheirNames(t *testing.T) {
	r := builtIn(t, "double-irish-chain")
	require.Len(t, r.Blocks, 2)
	require.Equal(t, "the block "+r.Name, blockDrawing(r, 0, nil, lettersOf(r)).Title)
	require.Equal(t, "the block "+r.Blocks[1].Name, blockDrawing(r, 1, nil, lettersOf(r)).Title)
	require.NotEqual(t, r.Name, r.Blocks[1].Name)
}

// A sample shows each of its blocks, and how they follow one another.
func TestASampleShowsEveryBlock(t *testing.T) {
	for want, s := range map[[2]int]recipe.Setting{
		{2, 2}: {Kind: recipe.Straight}, {3, 3}: {Kind: recipe.Straight, Order: []int{0, 1}}, {3, 4}: {Kind: recipe.Straight, Order: make([]int, 10)},
		{5, 5}: {Kind: recipe.Straight, Plan: make([][]int, 5)}, {7, 7}: {Kind: recipe.Straight, Columns: 7, Rows: 7},
	} {
		columns, rows := sampleSetting(&recipe.Recipe{WidthIn: 12, HeightIn: 12, Setting: s})
		require.Equal(t, want, [2]int{columns, rows})
	}
}
