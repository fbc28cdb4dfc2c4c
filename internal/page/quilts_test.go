package page

import (
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/stash"
)

// filled is a visitor of a stash with cloth by hand, of every hue family.
func filled(t *testing.T) *visitor {
	t.Helper()
	v := visit(t)
	for i, f := range cloth.Families {
		_, err := v.desk.Add(t.Context(), desk.AddRequest{Holding: cloth.Holding{
			Form: cloth.Square, Count: 4, WidthIn: 2.5, LengthIn: 2.5, Family: f, Value: cloth.Values[i%len(cloth.Values)],
		}})
		require.NoError(t, err)
	}
	return v
}

// arranged is a form of a small quilt that the stash of filled has the cloth for.
func arranged(more ...string) []string {
	return append([]string{"recipe", "plain-squares", "layout", "3x3", "block", "2", "look", "even", "seed", "1"}, more...)
}

// query is pairs as the query of an address.
func query(pairs ...string) string {
	out := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	return "?" + out.Encode()
}

var patch = regexp.MustCompile(`<a href="([^"]*)"[^>]* data-patch="([^"]*)" aria-pressed="(true|false)" aria-label="([^"]*)"`)

// patches are those of a layout that a page shows: by their names what lies there, where
// picking them leads, and which are picked.
func patches(page string) (says, to map[string]string, picked []string) {
	says, to = map[string]string{}, map[string]string{}
	for _, m := range patch.FindAllStringSubmatch(page, -1) {
		says[m[2]], to[m[2]] = strings.TrimPrefix(m[4], m[2]+": "), strings.ReplaceAll(m[1], "&amp;", "&")
		if m[3] == "true" {
			picked = append(picked, m[2])
		}
	}
	return says, to, picked
}

// By plain links and forms two patches are picked and swapped, cloth is turned and
// locked; what is locked stays when the quilt is laid out again, and others are only
// tried until one is kept.
func TestALayoutIsChanged(t *testing.T) {
	v := filled(t)
	v.enter()
	code, page, at := v.post("/arrange", arranged("save", "mat / 1")...)
	require.Equal(t, http.StatusOK, code, page)
	require.Equal(t, "/quilts/mat / 1", at)
	at = quiltPath("mat / 1")
	says, to, picked := patches(page)
	require.Len(t, says, 9)
	require.Empty(t, picked)

	_, page, _ = v.get(to["A1"])
	_, to, picked = patches(page)
	require.Equal(t, []string{"A1"}, picked)
	require.Contains(t, page, "Why it lies here")
	require.Contains(t, page, `name="seed" min="1" value="2"`, "others begin with another seed")
	require.Contains(t, page, "this patch, A1")
	require.Contains(t, page, "its row, A")
	require.NotContains(t, page, "its block", "a block of one patch has no other name")
	require.Equal(t, at, to["A1"], "it is let go")
	_, page, _ = v.get(to["C3"])
	_, _, picked = patches(page)
	require.Equal(t, []string{"A1", "C3"}, picked)
	require.Contains(t, page, "Let them change places")
	_, page, _ = v.post(at+"/edit", "do", "swap", "a", "A1", "b", "C3", "view", "grey")
	require.Contains(t, page, "A1 and C3 have changed places")
	require.Regexp(t, `view=grey" aria-current="true"`, page, "it is seen as before")
	now, _, _ := patches(page)
	require.Equal(t, says["A1"], now["C3"])
	require.Equal(t, says["C3"], now["A1"])
	require.Equal(t, says["B2"], now["B2"])

	_, page, _ = v.post(at+"/edit", "do", "lock", "a", "C3")
	require.Contains(t, page, "C3 is locked")
	locked, _, picked := patches(page)
	require.Equal(t, now["C3"]+", locked", locked["C3"])
	require.Equal(t, []string{"C3"}, picked)
	_, before, _ := v.get(at)
	_, page, _ = v.get(at + "/others" + query("look", "random", "seed", "5", "again", "2"))
	require.Equal(t, 2, strings.Count(page, "<figure><img"))
	require.Contains(t, page, `name="seed" value="5"`)
	_, after, _ := v.get(at)
	require.Equal(t, before, after, "others are tried alone")
	_, page, _ = v.post(at+"/again", "look", "random", "seed", "5")
	require.Contains(t, page, "laid out again")
	again, _, _ := patches(page)
	require.Equal(t, locked["C3"], again["C3"])
	require.NotEqual(t, locked, again)
	_, page, _ = v.post(at+"/edit", "do", "unlock", "a", "C3")
	require.Contains(t, page, "C3 is free again")
	_, turned, _ := v.post(at+"/edit", "do", "turn", "a", "C3")
	require.Contains(t, turned, "the cloth of C3 is turned")
	drawn := regexp.MustCompile(`href="([^"]*/view\?[^"]*)"`)
	require.NotEqual(t, drawn.FindString(page), drawn.FindString(turned), "it is drawn anew")

	code, page, _ = v.post(at+"/edit", "do", "swap", "a", "A1", "b", "Z9")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "Z9: no print of the stash lies in such a patch")
	code, _, _ = v.post(at+"/edit", "do", "eat", "a", "A1")
	require.Equal(t, http.StatusBadRequest, code)

	// Another piece is tried in a patch, seen there, and kept when you say so.
	_, page, _ = v.get(at + "?patch=B2")
	fit := regexp.MustCompile(`href="([^"]*try=(\d+))"`).FindStringSubmatch(page)
	require.NotNil(t, fit)
	kept, _, _ := patches(page)
	_, page, _ = v.get(strings.ReplaceAll(fit[1], "&amp;", "&"))
	tried, _, _ := patches(page)
	require.Contains(t, tried["B2"], "(piece "+fit[2]+")")
	require.Contains(t, drawn.FindString(page), "try="+fit[2])
	_, page, _ = v.get(at)
	now, _, _ = patches(page)
	require.Equal(t, kept, now, "it was only tried")
	_, page, _ = v.post(at+"/edit", "do", "lay", "a", "B2", "b", fit[2])
	now, _, _ = patches(page)
	require.Equal(t, tried, now)
	code, page, _ = v.post(at+"/edit", "do", "lay", "a", "B2", "b", "9999")
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "piece 9999 is not in the stash")

	_, page, _ = v.post(at+"/mark", "stage", "pulled", "which", "A, B1")
	require.Contains(t, page, "4 pieces pulled")
	require.Contains(t, page, "9 pieces laid out, 4 pulled")
	_, page, _ = v.post(at+"/copy", "as", "mat / 2")
	require.Contains(t, page, "kept too")
	code, _, _ = v.post(at+"/copy", "as", " ")
	require.Equal(t, http.StatusBadRequest, code)
	_, page, _ = v.get("/quilts")
	require.Contains(t, page, `href="/quilts/mat%20%2F%202"`)
	_, page, _ = v.post(at + "/forget")
	require.NotContains(t, page, "<b>mat / 1</b>")
}

// A layout is seen in three ways, and goes out as files whose names hold no path.
func TestALayoutGoesOut(t *testing.T) {
	v := filled(t)
	v.enter()
	v.post("/arrange", arranged("save", "mat / 1")...)
	at := quiltPath("mat / 1")
	fetch := func(path string) (http.Header, string) {
		a, err := v.client.Get(v.to(path))
		require.NoError(t, err)
		defer a.Body.Close()
		require.Equal(t, http.StatusOK, a.StatusCode, path)
		head := make([]byte, 8)
		_, err = a.Body.Read(head)
		require.NoError(t, err)
		return a.Header, string(head)
	}
	seen := map[string]bool{}
	for _, how := range []string{"colour", "grey", "afar"} {
		_, page, _ := v.get(at + "?view=" + how)
		link := regexp.MustCompile(`<image [^>]*href="([^"]*)"`).FindStringSubmatch(page)
		require.NotNil(t, link)
		header, head := fetch(strings.ReplaceAll(link[1], "&amp;", "&"))
		require.Equal(t, "\xff\xd8\xff", head[:3])
		require.Contains(t, header.Get("Cache-Control"), "immutable")
		_, body, _ := v.get(strings.ReplaceAll(link[1], "&amp;", "&"))
		seen[body] = true
	}
	require.Len(t, seen, 3)
	for as, is := range map[string][2]string{"letter": {"pdf", "%PDF-"}, "a4": {"pdf", "%PDF-"}, "html": {"html", "<!DOCTYP"}, "png": {"png", "\x89PNG"}, "svg": {"svg", "<svg"}} {
		header, head := fetch(at + "/file?as=" + as)
		require.True(t, strings.HasPrefix(head, is[1]), as)
		require.Equal(t, `attachment; filename="mat - 1.`+is[0]+`"`, header.Get("Content-Disposition"))
	}
	for _, path := range []string{"/plan", "/arrange"} {
		_, head := fetch(path + query(arranged("as", "letter")...))
		require.Equal(t, "%PDF-", head[:5], path)
	}
	code, _, _ := v.get(at + "/file?as=exe")
	require.Equal(t, http.StatusBadRequest, code)
}

// What a form asks for beyond the usual is worked out so, and kept so; what it cannot
// read is said beside the form, with all that was written still in it.
func TestAQuiltIsAskedFor(t *testing.T) {
	v := filled(t)
	v.enter()
	_, page, _ := v.get("/plan")
	require.NotContains(t, page, "Ask otherwise")
	_, page, _ = v.get("/plan" + query(arranged()...))
	require.Contains(t, page, "6 × 6")
	require.Regexp(t, `(?s)<details><summary>Ask otherwise</summary><form.*</details>.*<h2>The quilt</h2>.*Keep it, with its cloth`, page, "the answer first, what asked for it folded")
	_, page, _ = v.get("/plan" + query(arranged("sashing", "1", "sashing-role", "background", "sashing-edge", "1", "border", "3", "border-role", "dark", "border-2", "1")...))
	require.Contains(t, page, "18 × 18", "three blocks of 2, four strips of 1, borders of 3 and of 1 on each side")
	_, page, _ = v.get("/plan" + query(arranged("with", "pinwheel, ohio-star", "border", "3", "border-of", "keys", "border-keys", "1.5", "border-corner", "dark", "border-2", "2", "border-2-of", "pinwheel")...))
	require.Contains(t, page, "pinwheel: 2 wide instead of 6")
	require.Contains(t, page, "border keys")
	require.Contains(t, page, "16 × 16", "three blocks of 2, keys of 3 and pinwheels of 2 on each side, of which 6 go along 12")
	require.Regexp(t, `<option value="keys" selected>piano keys`, page)
	_, page, _ = v.get("/plan?recipe=medallion")
	require.Contains(t, page, "58 × 58", "a recipe with one layout needs no size")
	for words, pairs := range map[string][]string{
		"there is no block":        {"layout", "3x3", "with", "pinwhel"},
		"cm":                       {"metric", "1", "layout", "3x3"},
		"40 × 54":                  {"bed", "crib"},
		"12 × 12":                  {"blocks", "36"},
		"20 × 30":                  {"size", "20x30"},
		"What this quilt leaves":   {"layout", "3x3", "between", "2½"},
		"not sewn between other":   {"layout", "3x3", "between", "20"},
		"given more than once":     {"layout", "3x3", "bed", "crib"},
		"is not a number of block": {"layout", "three"},
		"is not a size":            {"size", "large"},
		"there is no such cloth":   {"layout", "3x3", "border", "2", "border-role", "sky\"\n[x]"},
		"there is no recipe":       {"layout", "3x3", "recipe", "../../secret"},
		"not a seam allowance":     {"layout", "3x3", "seam", "wide"},
		"makes a size or a bed":    {"layout", "3x3", "wash", "5"},
		"there is no bed":          {"bed", "crib", "mattress", "140x200cm"},
		"without the stash there":  {"layout", "3x3", "without", "1", "background", "x"},
	} {
		_, page, _ := v.get("/plan" + query(append([]string{"recipe", "plain-squares", "block", "2"}, pairs...)...))
		require.Contains(t, page, words)
		if strings.Contains(page, `role="alert"`) {
			require.Contains(t, page, `name="block" inputmode="decimal" placeholder="as it is" value="2"`)
		}
	}
	for words, pairs := range map[string][]string{
		"is not a patch and a piece": {"keep", "A5"},
		"are not two pieces":         {"apart", "4"},
		"there is no such choice":    {"look", "dizzy"},
	} {
		code, page, _ := v.get("/arrange" + query(arranged(pairs...)...))
		require.Equal(t, http.StatusBadRequest, code)
		require.Contains(t, page, words)
	}
	_, page, _ = v.get("/plan" + query("recipe", "plain-squares", "layout", "3x3", "wash", "5"))
	require.Regexp(t, `name="wash"[^>]* aria-invalid="true"`, page, "the field that it is about is marked")
	_, page, _ = v.get("/arrange" + query(arranged("again", "2", "corners", "1", "apart", "1,2")...))
	require.Contains(t, page, "Others")
	_, page, _ = v.post("/arrange", arranged("keep", "A1=8", "border", "3", "save", "framed")...)
	says, _, _ := patches(page)
	require.Contains(t, says["A1"], "(piece 8)")
	require.Contains(t, page, "12 × 12 finished", "the border is kept with it")
	code, _, _ := v.post("/arrange", arranged("save", " ")...)
	require.Equal(t, http.StatusBadRequest, code)
	_, page, _ = v.post("/plan", arranged("save", "only planned")...)
	require.Contains(t, page, "planned, not laid out")
	_, page, _ = v.get("/quilts/only%20planned")
	require.Contains(t, page, "not laid out yet")
	_, page, _ = v.post("/quilts/only%20planned/again")
	require.Contains(t, page, "laid out again")
}

// Every recipe is drawn; one of your own is checked, drawn and used.
func TestRecipesAreDrawn(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/recipes")
	links := regexp.MustCompile(`<a href="(/recipes/[a-z-]+)">`).FindAllStringSubmatch(page, -1)
	require.Greater(t, len(links), 10)
	code, picture, _ := v.get("/recipe.svg?recipe=ohio-star")
	require.Equal(t, http.StatusOK, code)
	require.Contains(t, picture, "<svg")
	_, framed, _ := v.get("/recipe.svg?recipe=ohio-star&border=2&border-role=red")
	require.Greater(t, strings.Count(framed, "<polygon"), 3*strings.Count(picture, "<polygon"), "some blocks and their border")
	code, _, _ = v.get("/recipe.svg?recipe=ohio-star&border=wide")
	require.Equal(t, http.StatusBadRequest, code)
	_, page, _ = v.get("/recipes/ohio-star")
	require.Contains(t, page, "Cut for one block")
	text := "name = \"mine\"\nwidth = 4\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1], [2, 2]]\nrole = \"dark\"\n[[patch]]\nat = [[1, 2], [2, 1]]\nrole = \"light\"\n"
	_, page, _ = v.get("/recipes/ohio-star" + query("text", text))
	require.Contains(t, page, "<h1>mine</h1>")
	_, page, _ = v.get("/recipes/ohio-star" + query("sewing", "1"))
	require.Contains(t, page, "Sew the block")
	require.Contains(t, page, "its pieces apart as they are sewn together")
	_, page, _ = v.get("/plan" + query("recipe", "ohio-star", "layout", "2x3", "sewing", "1"))
	require.Contains(t, page, "for 6")
	require.Contains(t, page, "Units to make first")
	require.Contains(t, page, `name="sewing" value="1" checked`)
	_, page, _ = v.get("/recipes/ohio-star" + query("text", "name = 3"))
	require.Contains(t, page, `role="alert"`)
	require.Contains(t, page, "name = 3", "what was written is still there")
	_, page, _ = v.get("/plan" + query("text", text, "layout", "2x2", "without", "1"))
	require.Contains(t, page, "8 × 8")
	code, _, _ = v.get("/recipes/none")
	require.GreaterOrEqual(t, code, 400)
}

// A quilt is drawn in its cloth for ever: as it is cut, sewn and used up, after undo and
// redo, and in a stash that was put back from a backup.
func TestAQuiltKeepsItsCloth(t *testing.T) {
	v := stocked(t)
	_, _, at := v.post("/arrange", "recipe", "plain-squares", "layout", "2x2", "block", "1", "look", "even", "seed", "3", "save", "mat")
	require.Equal(t, "/quilts/mat", at)
	drawn := func() string {
		t.Helper()
		code, picture, _ := v.get(at + "/view?how=colour")
		require.Equal(t, 200, code)
		return picture
	}
	laid := drawn()
	sewn := func(stage, which string) {
		t.Helper()
		code, page, _ := v.post(at+"/mark", "stage", stage, "which", which)
		require.Equal(t, 200, code, page)
	}
	plain, err := v.server.desk.Quilt(t.Context(), "mat")
	require.NoError(t, err)
	require.NotEmpty(t, plain.Saved.Laid.Cloth, "some of it is cut from larger pieces")
	same := func(when string) {
		t.Helper()
		require.True(t, laid == drawn(), "it is drawn otherwise %s", when)
	}
	sewn("cut", "A")
	same("once a row is cut")
	sewn("sewn", "")
	same("once it is sewn")
	// Remnants are of no photo, and are shown by their print; so is the background.
	held, err := v.server.desk.Pieces(t.Context(), desk.PiecesRequest{})
	require.NoError(t, err)
	remnant := held.Held[len(held.Held)-1]
	require.Empty(t, remnant.Photo)
	require.NotEmpty(t, remnant.Print)
	_, page, at2 := v.post("/arrange", "recipe", "four-patch", "layout", "1x1", "block", "1", "background", remnant.Print, "save", "scrap")
	require.Equal(t, "/quilts/scrap", at2, page)
	shown := func(when string) {
		t.Helper()
		scrap, err := v.server.desk.Quilt(t.Context(), "scrap")
		require.NoError(t, err)
		require.GreaterOrEqual(t, scrap.GroundAt, 0, when)
		photos, by, err := v.server.desk.ClothOf(t.Context(), &scrap)
		require.NoError(t, err)
		require.Len(t, photos, 1)
		ground := by[scrap.Holdings[scrap.GroundAt].ID]
		require.True(t, slices.ContainsFunc(photos[0].Pieces, func(x desk.OutlinedPiece) bool { return x.ID == ground && x.Print == remnant.Print }), when)
	}
	shown("while there is some of it")
	_, by, err := v.server.desk.ClothOf(t.Context(), &desk.Arrangement{Plan: desk.Plan{Holdings: []cloth.Holding{remnant}}})
	require.NoError(t, err)
	require.NotZero(t, by[remnant.ID])
	for _, h := range held.Held {
		_, err := v.server.desk.Use(t.Context(), stash.Removal{Filter: stash.Filter{IDs: []int64{h.ID}}, Count: h.Count})
		require.NoError(t, err)
	}
	same("when all other cloth is used up")
	shown("when it is used up")
	backup := filepath.Join(t.TempDir(), "all.backup")
	require.NoError(t, v.server.desk.Backup(t.Context(), backup))
	for range len(held.Held) + 2 {
		v.post("/undo")
	}
	same("when it is not sewn any more")
	v.post("/redo")
	same("when it is sewn again")
	require.NoError(t, v.server.desk.Close())
	_, err = v.server.desk.Restore(t.Context(), backup)
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(v.server.cloth.folder))
	same("in a stash from a backup")
}

// Any name that a quilt can have leads to it on the page, and so do those of bins, baskets
// and prints.
func TestAnyNameCanBeOpened(t *testing.T) {
	v := filled(t)
	v.enter()
	names := []string{"..", ".", "/", "a/b", "//", "a//b/../c", "%2e", "%2e%2e", "..%2f", "?", "#1", "=", "=mat", "🧵 für \"uns\" & <b>", strings.Repeat("½", 100)}
	for i, name := range names {
		code, page, at := v.post("/arrange", "recipe", "plain-squares", "layout", "1x1", "block", "2", "save", name)
		require.Equal(t, http.StatusOK, code, name)
		require.Contains(t, page, "kept, with its cloth", name)
		_, page, _ = v.get("/quilts")
		link := regexp.MustCompile(`<a href="(/quilts/[^"]*)">`).FindAllStringSubmatch(page, -1)
		require.Len(t, link, 1, name)
		to := html.UnescapeString(link[0][1])
		// A browser resolves an address as the standard of URLs says.
		require.Equal(t, to, (&url.URL{Path: "/"}).ResolveReference(must(url.Parse(to))).EscapedPath(), name)
		_, page, _ = v.get(to)
		require.Contains(t, page, html.EscapeString("the quilt "+name), name)
		_, page, _ = v.post(to+"/edit", "do", "lock", "a", "A1")
		require.Contains(t, page, "A1 is locked", at)
		code, file, _ := v.get(to + "/file?as=svg")
		require.Equal(t, http.StatusOK, code, name)
		require.Contains(t, file, "<svg")
		_, page, _ = v.post(to + "/forget")
		require.Contains(t, page, "kept no more", name)

		code, _, _ = v.post("/add", "count", strconv.Itoa(i+1), "cut", "3", "family", "blue", "bin", name, "basket", name, "print", name)
		require.Equal(t, http.StatusOK, code, name)
		for _, of := range []string{"bin", "basket", "print"} {
			_, page, _ = v.get("/pieces" + query(of, name))
			require.Contains(t, page, cloth.Count(i+1, "piece")+": ", name)
		}
	}
	_, page, at := v.post("/arrange", "recipe", "plain-squares", "layout", "1x1", "block", "2", "save", " winter\u202equilt ")
	require.Equal(t, "/quilts/winter quilt", at)
	require.Contains(t, page, "kept, with its cloth", "a name is kept without what no terminal takes, and opened so")
	_, _, at = v.post(quiltPath("winter quilt")+"/copy", "as", "spring\u202equilt")
	require.Equal(t, "/quilts/spring quilt", at)
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Where there is no stash yet nothing in the form is wrong: it is said what to do first,
// and no place of this machine.
func TestLaidOutFromNothing(t *testing.T) {
	v := visit(t)
	v.enter()
	code, page, _ := v.get("/arrange" + query(arranged()...))
	require.Equal(t, http.StatusOK, code)
	require.Contains(t, page, "This needs some cloth")
	require.NotContains(t, page, v.stash)
	code, page, _ = v.get("/plan" + query(arranged("choose", "1")...))
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "no stash yet to choose by")
}

// A background is chosen by its colour, in the order that people count in: a list of bare
// numbers in the order 1, 10, 2 said nothing.
func TestBackgroundsToChoose(t *testing.T) {
	v := visit(t)
	v.enter()
	for _, print := range []string{"print 10", "print 9", "plaid"} {
		v.post("/add", "count", "4", "cut", "2½", "family", "grey", "value", "light", "print", print, "new", "1")
	}
	for _, path := range []string{"/plan", "/arrange"} {
		_, page, _ := v.get(path)
		require.Contains(t, page, `<option value="plaid">plaid, light grey</option><option value="print 9">print 9, light grey</option><option value="print 10">print 10, light grey</option>`, path)
	}
	_, page, _ := v.get("/contrast")
	require.Contains(t, page, `<datalist id="prints"><option value="plaid"></option><option value="print 9"></option><option value="print 10"></option></datalist>`)
}
