package page

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The page asks for matching sets and for a binding from strips as the command does, and
// keeps what was asked.
func TestMatchingAndStripsOnThePage(t *testing.T) {
	v := visit(t)
	v.enter()
	code, page, _ := v.post("/add", "count", "4", "cut", "2½", "family", "red", "value", "dark", "print", "anchors")
	require.Equal(t, 200, code, page)
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2&matching=dark&why=1")
	require.Contains(t, page, "2 of 4 sets of dark, each from one print (2 of 2½)")
	require.Contains(t, page, "2 sets, each from one print (2 of 2½): dark, any colour")
	require.Contains(t, page, `name="matching" placeholder="as the recipe says" list="matching" autocomplete="off" value="dark"`)
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2")
	require.NotContains(t, page, "Matching:")
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2&matching=drak")
	require.Contains(t, page, "has the role &#34;drak&#34;, to match")
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2&binding-from=stash&why=1")
	require.Contains(t, page, "binding, 2½ wide: 42 wanted; the stash gives none")
	require.Contains(t, page, `<option value="stash" selected>strips of the stash`)
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2&border=2&border-from=stash")
	require.Contains(t, page, "border 1, 2½ wide")
	for _, strip := range [][2]string{{"red", "dark"}, {"white", "light"}} {
		code, page, _ = v.post("/add", "count", "2", "cut", "2½ x 21", "family", strip[0], "value", strip[1])
		require.Equal(t, 200, code, page)
	}
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2&strip-sets=1")
	require.Contains(t, page, "Sew strip sets")
	require.Contains(t, page, `name="strip-sets" value="1" checked`)
	_, page, _ = v.get("/plan?recipe=four-patch&layout=2x2")
	require.NotContains(t, page, "Sew strip sets")
}
