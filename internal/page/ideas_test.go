package page

import (
	"context"
	"html"
	"net/url"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
)

// What can be cut now leads on to its plan and its layout; of an empty stash the page
// says what to do.
func TestIdeas(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/ideas")
	require.Contains(t, page, "covers none yet")
	require.Contains(t, page, "Photograph more")
	_, err := v.desk.Add(context.Background(), desk.AddRequest{Holding: cloth.Holding{Form: cloth.Square, Count: 100, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark}})
	require.NoError(t, err)
	_, page, _ = v.get("/ideas")
	require.Contains(t, page, "plain squares, 20")
	require.Contains(t, page, `href="/plan?block=2&amp;layout=10x10&amp;recipe=plain-squares"`)
	_, page, _ = v.get("/ideas?wof=108")
	require.Contains(t, page, `href="/plan?block=2&amp;layout=10x10&amp;recipe=plain-squares&amp;wof=108"`, "how you sew goes along")
	require.Contains(t, page, `name="wof" placeholder="40in" value="108"`)
	_, page, _ = v.get("/ideas?matching=usual")
	require.Contains(t, page, `<option value="usual" selected>`)
	require.Contains(t, page, "layout=10x10&amp;matching=usual", "what matches goes along")
	code, _, _ := v.get("/ideas?wof=wide")
	require.Equal(t, 400, code)
	code, page, _ = v.get("/plan?block=2&layout=10x10&recipe=plain-squares")
	require.Equal(t, 200, code)
	require.Contains(t, page, "covers all 100 pieces")
}

// A recipe of your own is asked for beside those that are built in, or alone; it goes along
// to its plan, and the form keeps it.
func TestIdeasOfYourOwn(t *testing.T) {
	v := visit(t)
	v.enter()
	_, err := v.desk.Add(context.Background(), desk.AddRequest{Holding: cloth.Holding{Form: cloth.Square, Count: 100, WidthIn: 2.5, LengthIn: 2.5, Family: cloth.Blue, Value: cloth.Dark}})
	require.NoError(t, err)
	text := "name = \"Rain Barrel\"\nwidth = 4\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"any\"\n"
	asks := url.Values{"text": {text}}
	_, page, _ := v.get("/ideas?" + asks.Encode())
	require.Contains(t, page, "<li>Rain Barrel: ")
	require.Contains(t, page, "<li>plain squares: ", "those built in too")
	asks.Set("only", "1")
	_, page, _ = v.get("/ideas?" + asks.Encode())
	require.NotContains(t, page, "<li>plain squares: ")
	require.Contains(t, page, "width = 4\ngrid = [2, 2]")
	require.Contains(t, page, `name="only" value="1" checked`)
	to := regexp.MustCompile(`<li>Rain Barrel: <a class="way" href="(/plan[^"]*)"`).FindStringSubmatch(page)
	require.NotNil(t, to)
	code, page, _ := v.get(html.UnescapeString(to[1]))
	require.Equal(t, 200, code)
	require.Contains(t, page, "Rain Barrel")
	require.Contains(t, page, "covers all 100 pieces")
	code, page, _ = v.get("/ideas?only=1")
	require.Equal(t, 400, code, "none is written")
	require.Contains(t, page, "write a recipe of your own, or leave the tick off")
	code, page, _ = v.get("/ideas?text=name")
	require.Equal(t, 422, code)
	require.Contains(t, page, "your recipe")
}
