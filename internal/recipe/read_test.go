package recipe

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
)

func read(t *testing.T, text string) *Recipe {
	t.Helper()
	r, err := Read("mine.toml", []byte(text))
	require.NoError(t, err)
	return r
}

func builtIn(t *testing.T, name string) *Recipe {
	t.Helper()
	r, err := BuiltIn(name)
	require.NoError(t, err)
	return r
}

func TestBuiltInRecipesRead(t *testing.T) {
	require.GreaterOrEqual(t, len(Names()), 30)
	for _, name := range Names() {
		r := builtIn(t, name)
		require.NotEmpty(t, r.About, name)
		require.Equal(t, name, fileName(r.Name))
	}
	for _, name := range []string{"Sawtooth Star", "Bear's paw", "bear’s-paw"} {
		_, err := BuiltIn(name)
		require.NoError(t, err)
	}
}

func TestUnknownRecipeNamesTheNearest(t *testing.T) {
	for _, name := range []string{"sawtoth star", "sawtooth-stars", "../recipes/sawtooth-star"} {
		_, err := BuiltIn(name)
		var refused *fault.Error
		require.ErrorAs(t, err, &refused)
		require.Contains(t, refused.Remedy, `"sawtooth-star"`)
	}
}

const head = "name = \"x\"\nwidth = 6\ngrid = [2, 2]\n"

// A value of another kind was once refused by the names of the program's own
// types.
func TestReadRefusesInWordsOfTheFile(t *testing.T) {
	const number = `write a number in plain figures, like 7.5, or a length in quotes, like "7½" or "20 cm"`
	for _, c := range []struct{ text, reason, remedy string }{
		{"name = 3", "line 1: name cannot hold this", `write it in the form name = "…"`},
		{head + "[[patch]]\nat = [1, 1]", "line 5: patch.at cannot hold this", "write it in the form at = [[1, 1], [1, 1]], in whole numbers"},
		{head + "[[patch]]\nat = [[1.5, 1]]", "line 5: patch.at cannot hold this", "write it in the form at = [[1, 1], [1, 1]], in whole numbers"},
		{head + "[[patch]]\nwide = \"2\"", "line 5: patch.wide cannot hold this", "write it in the form wide = 1, in whole numbers"},
		{head + "patch = 3", "line 4: patch cannot hold this", "write it in the form [[patch]], its keys on the lines below"},
		{head + "[roles]\na = 3", "line 5: roles.a cannot hold this", `write it in the form a = "…"`},
		{head + "[part]\nx = 3", "line 5: part.x cannot hold this", "write it in the form [part.x], its keys on the lines below"},
		{head + "[setting]\nodd = 3", "line 5: setting.odd cannot hold this", "write it in the form odd = true"},
		{head + "sashing = []", "line 4: sashing cannot hold this", "write it in the form [sashing], its keys on the lines below"},
		{head + "[[patch]]\nwide = 99999999999999999999", "line 5: 99999999999999999999 cannot be read", number},
		{"[name]", "line 1: name cannot hold this", `write it in the form name = "…"`},
		{"name = \"" + strings.Repeat("½", 201) + "\"", "its name is 201 characters long", "make it at most 200"},
		{head + "about = \"" + strings.Repeat("½", 2001) + "\"", "what it says about itself is 2001 characters long", "make it at most 2000"},
		{head + "[roles]\n" + strings.Repeat("a", 201) + " = \"dark\"", "the name of a role is 201 characters long", "make it at most 200"},
		{head + "[roles]\na = \"" + strings.Repeat("½", 201) + "\"", "the role a is 201 characters long", "make it at most 200"},
		{head + "[part." + strings.Repeat("a", 201) + "]\ngrid = [1, 1]", "the name of a part is 201 characters long", "make it at most 200"},
		{"width = 1e999", "line 1: 1e999 cannot be read", number},
		{head + "[[patch]]\nat = [[1, 1]]\nrole = light blue", "line 6: a word stands without quotes", `write role = "light blue"`},
		{"name = “x”", "line 1 has curly quotes", `write straight ones, like role = "light"`},
		{"name = \"x\"\r\nwidth = 7½\r\n", "line 2: 7½ cannot be read", number},
		{"name = \"x\"\ngrid = 4 x 4", "line 2: 4 x 4 cannot be read", number},
		{"role, count", "line 1 cannot be read: expected '=' after key", asWritten},
		{"[[patch]]\nat = [[1, 1]]\nname = \"x\"", `line 3: there is no key "name" in patch`, "if it is of the whole recipe, write it above the first line in brackets"},
	} {
		_, err := Read("mine.toml", []byte(c.text))
		var refused *fault.Error
		require.ErrorAs(t, err, &refused, c.text)
		require.Equal(t, [3]string{"mine.toml", c.reason, c.remedy}, [3]string{refused.About, refused.Why, refused.Remedy}, c.text)
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ text, reason, remedy string }{
		{head + "[[patch]]\nat = [[1,1],[1,2],[2,1]]", "gap in x at row 2, column 2", "lay a patch"},
		{head + "[[patch]]\nat = [[2,2]]", "gap in x at row 1, column 1, and 2 more cells are bare", "lay a patch"},
		{head + "[[patch]]\nat = [[1,1],[1,2],[2,1],[2,2]]\n[[patch]]\nat=[[2,1]]", "overlap at row 2, column 1: x: patch 2 lies on x: patch 1", "move or shrink"},
		{head + "[[patch]]\nat = [[1,2]]\nwide = 2", "patch 1, at row 1, column 2 and 2 by 1, runs off the grid of 2 by 2", "after turning"},
		{head + "[[patch]]\nat = [[0,1]]", "runs off", "count from 1"},
		{head + "[[patch]]\nat = [[1,1],[1,2],[2,1],[2,2],[1,9223372036854775807]]", "runs off", "count from 1"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"log-cabin\"\ncentre=1\nlog=4611686018427387904\nrounds=2\nroles=[\"red\",\"light\",\"dark\"]", "1 to 64", "in cells"},
		{head + "[[patch]]\nat = [[1,1,45]]", "turned by 45 degrees", "90"},
		{head + "[[patch]]\nat = [[1]]", "at holds [1]", "[[row, column]]"},
		{head + "[[patch]]", "patch 1 is nowhere", "at = "},
		{head + "colour = 3", `line 4: there is no key "colour"`, `the keys here are name, about, width`},
		{head + "[[patch]]\nat = [[1,1]]\nrolle = \"dark\"", `line 6: there is no key "rolle" in patch`, `nearest is "role"`},
		{head + "[part.q]\ngird = [1,1]", `no key "gird" in part.q`, `"grid"`},
		{head + "[sashing]\nwidht = 1", `no key "widht" in sashing`, `"width"`},
		{head + "[[patch]]\nat = [[1,1]]\nrole = \"drak\"", `no role "drak"`, `nearest is "dark"`},
		{head + "[[patch]]\nat = [[1,1]]\nrole = \"dark light\"", "two values", "light, medium, dark"},
		{head + "[[patch]]\nat = [[1,1]]\nrole = \"red blue\"", "two hue families", "name one"},
		{head + "[[patch]]\nat = [[1,1]]\nrole = \"background dark\"", "background and something else", "alone"},
		{head + "[[patch]]\nat = [[1,1]]\nmake = \"hexagon\"", `no technique "hexagon"`, `only squares, rectangles and right triangles`},
		{head + "[[patch]]\nat = [[1,1]]\nmake = \"quarter-circle\"", `no technique "quarter-circle"`, `only squares, rectangles and right triangles`},
		{head + "[[patch]]\nat = [[1,1]]\ncolour = \"red\"", `no key "colour" in patch`, "the keys here are at, "},
		{head + "[[patch]]\nat = [[1,1],[1,2]]", "gap in x at row 2, column 1, and 1 more cell is bare", "lay a patch"},
		{"name = \"x\"\nwidth = 6\n[[row]]\nblock = \"pinwheel\"\nblocks = [\"shoofly\"]", "row 1 has both block and blocks", "keep one"},
		{head + "[[patch]]\nat=[[1,1],[1,2],[2,1],[2,2]]\n[[border]]\nwidth = 3\nblock = \"pinwheel\"\nblocks = [\"shoofly\"]", "border 1 has both block and blocks", "keep one"},
		{head + "shape = \"hexagon\"", `there is no key "shape"`, `only squares, rectangles and right triangles`},
		{head + "[[Hexagon]]\nat = [[1,1]]", `there is no key "Hexagon"`, `only squares, rectangles and right triangles`},
		{head + "[[patch]]\nat = [[1,1]]\ncurve = 3", `no key "curve" in patch`, `only squares, rectangles and right triangles`},
		{head + "[part.q]\ngrid = [1,1]\n[[part.q.patch]]\nat = [[1,1]]\nradius = 2", `no key "radius" in part.q.patch`, `only squares, rectangles and right triangles`},
		{head + "[[patch]]\nat=[[1,1,60]]\nwide=2\nhigh=2", `turned by 60 degrees`, `on-point`},
		{head + "[[patch]]\nat = [[1,1]]\nmake = \"half-sqare\"", `no technique "half-sqare"`, `"half-square"`},
		{head + "[[patch]]\nat = [[1,1]]\nmake = \"half-square\"\nroles=[\"dark\"]", "takes 2 roles, not 1", "2 of them"},
		{head + "[[patch]]\nat = [[1,1]]\nmake = \"half-square\"\nroles=[\"dark\",\"light\"]\nat_a_time = 4", "not made 4 at a time", "2 or 8"},
		{head + "[[patch]]\nat = [[1,1]]\nwide=2\nmake = \"half-square\"\nroles=[\"dark\",\"light\"]", "half-square is square, not 2 by 1", "the same"},
		{head + "[[patch]]\nat = [[1,1]]\nmake = \"flying-geese\"\nroles=[\"dark\",\"light\"]", "twice as wide as high", "before turning"},
		{head + "[[patch]]\nat = [[1,1]]\ncentre=1", "plain has no centre", "take the key out"},
		{head + "[[patch]]\nat = [[1,1]]\npart=\"q\"", `no part "q"`, "[part.q]"},
		{head + "[[patch]]\nat = [[1,1]]\npart=\"q\"\n[part.q]\ngrid=[1,1]\n[[part.q.patch]]\nat=[[1,1]]\npart=\"q\"", "inside itself", "ring"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"flip-corners\"\nwide=2\nhigh=2\ncorner=2\ncorners=[\"top-left\",\"top-right\"]\nroles=[\"dark\",\"light\"]", "corners of 2 lie over one another", "smaller"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"flip-corners\"\ncorner=1\ncorners=[\"topleft\"]\nroles=[\"dark\",\"light\"]", `no corner "topleft"`, `"top-left"`},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"log-cabin\"\ncentre=1\nlog=1\nrounds=1\nwide=4\nhigh=4\nroles=[\"red\",\"light\",\"dark\"]", "make 3 cells, not 4 by 4", "leave out"},
		{head + "[[patch]]\nat = [[1,1]]\nwide=2\nmake=\"half-rectangle\"\nlean=\"lft\"\nroles=[\"dark\",\"light\"]", `nothing leans "lft"`, `the nearest is "left"`},
		{head + "[[patch]]\nat = [[1,1]]\nlean=\"left\"", "plain has no lean", "take the key out"},
		{head + "[[patch]]\nat = [[1,1]]\nwidths=[1]", "plain has no widths", "take the key out"},
		{head + "[[patch]]\nat = [[1,1]]\nsegments=[[\"dark\"]]", "plain has no segments", "take the key out"},
		{head + "[[patch]]\nat = [[1,1]]\nsegment_widths=[1]", "plain has no segment_widths", "take the key out"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nroles=[\"dark\"]\nsegments=[[\"dark\"]]", "both roles and segments", "one of them"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nsegments=[[\"dark\"],[]]", "segment 2 has 0 roles, and the first 1", "from the top"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nsegments=[[\"dark\",\"light\"],[\"dark\"]]", "segment 2 has 1 roles, and the first 2", "from the top"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nroles=[\"dark\",\"light\"]\nwidths=[1]", "widths holds [1] for 2 strips", "each strip a share"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nroles=[\"dark\",\"light\"]\nwidths=[1,0]", "widths holds [1 0] for 2 strips", "1 to 64"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nroles=[\"dark\",\"light\"]\nwidths=[65,1]", "widths holds [65 1]", "1 to 64"},
		{head + "[[patch]]\nat = [[1,1]]\nmake=\"strip-set\"\nsegments=[[\"dark\"],[\"light\"]]\nsegment_widths=[1,2,3]", "segment_widths holds [1 2 3] for 2 segments", "each segment"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[backing]\nas_you_go=true", "joins blocks by sashing, and there is none", "width = 0.5"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[sashing]\nwidth=1\nedge=true\n[backing]\nas_you_go=true", "without an edge", "take them out"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[sashing]\nwidth=1\ncornerstone=\"dark\"\n[backing]\nas_you_go=true", "without cornerstones", "take them out"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[setting]\nkind=\"on-point\"\n[sashing]\nwidth=1\n[backing]\nas_you_go=true", "set straight", "kind"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[sashing]\nwidth=1\n[[border]]\nwidth=2\n[backing]\nas_you_go=true", "takes no border", "more blocks"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[binding]\nrole=\"background\"\nfrom=\"strips\"", "binding: it is of the background", "role of a print"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[binding]\nfrom=\"scraps\"", "binding: it cannot come from \"scraps\"", "from = \"strips\""},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[binding]\ncut=0.9", "nothing is left to fold", "at least 1 inch"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\nmake=\"strings\"\nroles=[]", "its list of roles is empty", "take roles out"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[[row]]\nheight=2", "none of its rows has a block", "blocks ="},
		{"name = \"x\"\nwidth = 6", "grid is []", "columns, rows"},
		{"name = \"x\"\ngrid = [1,1]", "width of the finished block is missing", "width = 12"},
		{"name = \"x\"\nwidth = \"6 miles\"\ngrid = [1,1]", "not a length", "in quotes"},
		{"name = \"x\"\nwidth = -1\ngrid = [1,1]", "not between 0 and 400", "inches"},
		{"width = 6\ngrid = [1,1]", "it has no name", "name ="},
		{"name = \"x", "line 1 cannot be read", asWritten},
		{"name = \"x\"\nwidth = 6\ngrid = [2,1]\n[[patch]]\nat=[[1,1]]\nwide=2\n[setting]\nkind=\"on-point\"", "only square blocks", "straight"},
		{head + "[[patch]]\nat=[[1,1]]\nwide=2\nhigh=2\n[setting]\nkind=\"on point\"", `no kind "on point"`, `"on-point"`},
		{head + "[[patch]]\nat=[[1,1],[1,2],[2,1],[2,2]]\n[setting]\nkind=\"shifted\"", "only a block of one plain patch", "straight"},
		{head + "[[patch]]\nat=[[1,1],[1,2],[2,1],[2,2]]\n[[border]]\nrole=\"dark\"", "border 1 has no width", "width ="},
	} {
		_, err := Read("mine.toml", []byte(c.text))
		var refused *fault.Error
		require.ErrorAs(t, err, &refused, c.text)
		require.True(t, strings.HasPrefix(err.Error(), "mine.toml: "), err)
		require.Contains(t, refused.Why, c.reason, c.text)
		require.Contains(t, refused.Remedy, c.remedy, c.text)
	}
}

// What some editors put before a text, and capital letters, were refused.
func TestReadTakesWhatPeopleWrite(t *testing.T) {
	r := read(t, "\uFEFF"+head+"[roles]\nsea = \"Dark Blue\"\n[[patch]]\nat = [[1, 1], [2, 2]]\nrole = \"Light\"\n"+
		"[[patch]]\nat = [[1, 2]]\nrole = \"light\"\n[[patch]]\nat = [[2, 1]]\nrole = \"sea\"")
	light, sea := Role{Name: "light", Value: LightTone}, Role{Name: "sea", Value: DarkTone, Family: cloth.Blue}
	var got []Role
	for _, u := range r.Blocks[0].Units {
		got = append(got, u.Roles...)
	}
	require.Equal(t, []Role{light, light, light, sea}, got)
}

// A block that is quilted by itself is trimmed: its back need not reach so far beyond it as
// that of a quilt.
func TestBackingBeyondTheTop(t *testing.T) {
	require.Equal(t, 1.0, builtIn(t, "quilt-as-you-go").Backing.OverIn)
	require.Equal(t, 4.0, builtIn(t, "pinwheel").Backing.OverIn)
}

func TestLengthsAsYouWriteThem(t *testing.T) {
	for text, want := range map[string]float64{"12": 12, "12.5": 12.5, `"12½"`: 12.5, `"30 cm"`: 30 / 2.54} {
		r := read(t, "name = \"x\"\ngrid = [1, 1]\nwidth = "+text+"\n[[patch]]\nat = [[1, 1]]")
		require.InDelta(t, want, r.WidthIn, 1e-12)
	}
}

func TestResize(t *testing.T) {
	r := builtIn(t, "bricks")
	big, err := r.Resize(8)
	require.NoError(t, err)
	require.Equal(t, []float64{8, 4, 4, 2}, []float64{big.WidthIn, big.HeightIn, r.WidthIn, r.HeightIn})
	for _, width := range []float64{0, -1, 401, math.NaN()} {
		_, err = r.Resize(width)
		require.ErrorContains(t, err, "bricks: a block of")
	}
}

// What goes round a quilt is a cloth of its own where no role is named.
func TestSurroundsAreTheirOwnCloth(t *testing.T) {
	r := read(t, head+"[[patch]]\nat=[[1,1],[1,2],[2,1],[2,2]]\n[sashing]\nwidth = 1\n[[border]]\nwidth = 1\n[[border]]\nwidth = 4\nrole = \"dark\"\n[backing]\nover = 3")
	require.Equal(t, []string{"sashing", "border 1", "dark", "binding", "backing"},
		[]string{r.Sashing.Role.Name, r.Borders[0].Role.Name, r.Borders[1].Role.Name, r.Binding.Role.Name, r.Backing.Role.Name})
	require.Equal(t, []float64{2.5, 3}, []float64{r.Binding.CutIn, r.Backing.OverIn})
}

// The background is one fabric, whatever a recipe calls it.
func TestBackgroundIsOneFabric(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 2\ngrid = [2, 1]\n[roles]\nsky = \"background\"\n[[patch]]\nat=[[1,1]]\nrole=\"sky\"\n[[patch]]\nat=[[1,2]]\nrole=\"background\"")
	require.Equal(t, r.Blocks[0].Units[0].Roles, r.Blocks[0].Units[1].Roles)
}

func TestRolesSuit(t *testing.T) {
	r := read(t, "name = \"x\"\nwidth = 2\ngrid = [2, 2]\n[roles]\nsea = \"blue dark\"\n[[patch]]\nat=[[1,1]]\nrole=\"sea\"\n[[patch]]\nat=[[1,2]]\nrole=\"background\"\n[[patch]]\nat=[[2,1]]\n[[patch]]\nat=[[2,2]]\nrole=\"medium\"")
	var roles []Role
	for _, u := range r.Blocks[0].Units {
		roles = append(roles, u.Roles[0])
	}
	require.True(t, roles[0].Suits("blue", "medium-dark"))
	require.False(t, roles[0].Suits("red", "dark"))
	require.False(t, roles[0].Suits("blue", "medium"))
	require.False(t, roles[1].Suits("white", "light"))
	require.True(t, roles[2].Suits("green", "light"))
	require.True(t, roles[3].Suits("many", "medium-light"))
	require.False(t, roles[3].Suits("many", "light"))
}

func FuzzRead(f *testing.F) {
	for _, name := range Names() {
		text, err := Text(name)
		require.NoError(f, err)
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := Read("x", []byte(text))
		if err == nil {
			for i, b := range r.Blocks {
				require.InDelta(t, b.WidthIn*b.HeightIn, area(r.BlockLayout(i)), 1e-6*b.WidthIn*b.HeightIn)
			}
		}
	})
}
