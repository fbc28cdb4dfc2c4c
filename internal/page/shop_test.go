package page

import (
	"image"
	_ "image/png"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/stash"
)

// Refill, leftovers and buy answer as their commands do, with all that their forms say.
func TestCuttingAndShopping(t *testing.T) {
	v := handed(t)
	v.post("/floor", "family", "green", "cut", "2½", "least", "9")
	v.post("/floor", "family", "red", "cut", "2½", "least", "8")
	_, page, _ := v.get("/refill?prefer=waste&why=1")
	require.Contains(t, page, "Cut the longest cloth first")
	require.Contains(t, page, "<h2>Why</h2>")
	require.Contains(t, page, "<option selected>waste")
	_, page, _ = v.get("/refill?metric=1")
	require.Contains(t, page, "6.4")
	_, page, _ = v.get("/leftovers?sizes=11x18&family=green&cuts=2½&why=1")
	require.Contains(t, page, "11 × 18")
	require.Contains(t, page, "is thin, 0 held of 9 wanted")
	_, page, _ = v.get("/leftovers?sizes=30x50cm&cuts=6cm&strips=6cm&squaring=1cm&one-way=1&metric=1")
	require.Contains(t, page, "30 cm × 50 cm")
	_, page, _ = v.get("/leftovers")
	require.NotContains(t, page, "Save this page", "nothing is answered yet")
	_, page, _ = v.get("/buy?each=4&no-quarters=1&wof=42&shrink=5&squaring=½&why=1")
	require.Contains(t, page, "red")
	require.Contains(t, page, `name="no-quarters" value="1" checked`)
	code, card, _ := v.get("/buy?as=png")
	require.Equal(t, 200, code)
	shown, kind, err := image.DecodeConfig(strings.NewReader(card))
	require.NoError(t, err)
	require.Equal(t, []any{"png", 1080}, []any{kind, shown.Width})
	for _, as := range []string{"html", "a4"} {
		code, file, _ := v.get("/buy?as=" + as)
		require.Equal(t, 200, code)
		require.NotContains(t, file, `src="/`)
	}
	for _, bad := range []string{
		"/refill?prefer=speed", "/refill?as=docx", "/leftovers?sizes=wide", "/leftovers?sizes=11x18&cuts=x", "/leftovers?sizes=11x18&squaring=x", "/leftovers?sizes=999x999",
		"/buy?each=x", "/buy?wof=x", "/buy?shrink=99", "/buy?seam=x",
	} {
		code, page, _ := v.get(bad)
		assert.Equal(t, http.StatusBadRequest, code, bad)
		assert.Contains(t, page, `role="alert"`, bad)
	}
}

// What you say of how you sew and buy is read, lengths in the unit that is ticked.
func TestHowYouSewAndBuy(t *testing.T) {
	asked := func(q string) *fields {
		r, err := http.NewRequest("GET", "/buy?"+q, nil)
		require.NoError(t, err)
		return &fields{r: r}
	}
	f := asked("")
	require.Equal(t, plan.Defaults(recipe.Inches()), f.shop())
	f = asked("seam=scant&wof=42&back-wof=108&squaring=½&trim=⅛&shrink=2.5&one-way=star,+goose")
	want := plan.Defaults(recipe.Inches())
	var err error
	want.System, err = desk.ReadSystem("scant", cloth.Inches)
	require.NoError(t, err)
	want.System.Trim, want.WOFIn, want.BackWOFIn, want.SquaringIn, want.Shrink, want.OneWay = 0.125, 42, 108, 0.5, 0.025, []string{"star", "goose"}
	require.Equal(t, want, f.shop())
	require.NoError(t, f.err)
	f = asked("metric=1&wof=110&back-wof=2.7m&block=15&sashing=5&size=150x200&recipe=nine-patch")
	got := f.order()
	require.NoError(t, f.err)
	require.InDeltaSlice(t, []float64{110 / 2.54, 270 / 2.54, 15 / 2.54, 5 / 2.54, 150 / 2.54, 200 / 2.54},
		[]float64{got.Shop.WOFIn, got.Shop.BackWOFIn, got.Order.Recipe.WidthIn, got.Order.Recipe.Sashing.WidthIn, got.Order.WidthIn, got.Order.LengthIn}, 1e-9)
	for _, bad := range []string{"wof=x", "back-wof=-1", "squaring=x", "trim=x", "shrink=99", "seam=wide"} {
		f := asked(bad)
		f.shop()
		require.Error(t, f.err, bad)
	}
}

// Prints are held against a background: those of the stash, colours, or photos; and an
// address says all that was asked, unless photos were sent.
func TestContrast(t *testing.T) {
	v := handed(t)
	r, err := http.NewRequest("GET", "/contrast?form=strip&pieces=12,14-15", nil)
	require.NoError(t, err)
	ask := (&fields{r: r}).contrast()
	require.Equal(t, stash.Filter{Form: cloth.Strip}, ask.Which)
	require.Equal(t, []int64{12, 14, 15}, ask.Pieces.All)
	code, _, _ := v.get("/contrast?pieces=one&background=cream")
	require.Equal(t, http.StatusBadRequest, code)
	_, page, _ := v.get("/contrast")
	require.NotContains(t, page, "The verdict")
	_, page, at := v.sendForm("/contrast", "", "", nil, "colours", "navy\n#7a9bb5", "background", "cream", "why", "1")
	require.Equal(t, "/contrast", at)
	require.Contains(t, page, "Prints against cream")
	require.Contains(t, page, "<h2>Why</h2>")
	require.Contains(t, page, `href="/contrast"`)
	code, page, _ = v.get("/contrast?colours=navy&background=cream&recipe=ohio-star&blocks=2")
	require.Equal(t, 200, code)
	require.Contains(t, page, "Balance of light and dark")
	_, page, _ = v.get("/contrast?colours=navy&among=cream%0Agrey")
	require.Contains(t, page, "Best backgrounds for this pull")
	code, page, _ = v.sendForm("/contrast", "photo", "pull.jpg", table(t), "background", "cream")
	require.Equal(t, 200, code)
	require.Contains(t, page, "print ")
	require.NotContains(t, page, "Save this page", "no address says which photos were sent")
	code, page, _ = v.sendForm("/contrast", "ground", "ground.jpg", table(t), "colours", "navy")
	require.Equal(t, 200, code)
	require.Contains(t, page, "Prints against ground.jpg")
	_, page, _ = v.sendForm("/contrast", "ground", "ground.jpg", table(t), "colours", "navy", "among", "cream\ngrey")
	require.Regexp(t, `Best background: [^.]*, of the 3 named`, strings.ReplaceAll(page, ".jpg", ""))
	for _, bad := range []string{"colours=puce", "colours=navy&background=x", "colours=navy&background=cream&among=grey", "recipe=none&colours=navy", "blocks=0&colours=navy"} {
		code, _, _ = v.get("/contrast?" + bad)
		assert.GreaterOrEqual(t, code, 400, bad)
	}
	code, _, _ = v.get("/contrast?show=1")
	require.Equal(t, http.StatusUnprocessableEntity, code, "what was entered by hand has no measured colour")
}

// A colour is named, and what is none says how one is written.
func TestColoursAreNamed(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/name?colours=" + strings.ReplaceAll("navy;%23000;puce", ";", "%0A"))
	require.Contains(t, page, "<b>dark blue</b> navy")
	require.Contains(t, page, "<b>dark black</b> #000")
	require.Regexp(t, `<b>puce</b>: [^<]+`, page)
}
