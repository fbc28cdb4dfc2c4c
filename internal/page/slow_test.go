package page

import (
	"bufio"
	"context"
	"html"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
	"piecebag/internal/look"
	"piecebag/internal/report"
)

var leadsOnTo = regexp.MustCompile(`<meta http-equiv="refresh" content="0;url=([^"]*)"/>`)

// leads gives where a page that was at work leads to.
func leads(t *testing.T, page string) string {
	t.Helper()
	m := leadsOnTo.FindStringSubmatch(page)
	require.NotNil(t, m, page)
	to, _, _ := strings.Cut(html.UnescapeString(m[1]), "#")
	return to
}

// What takes its time says so and how far it is, without a script, and leads on to the
// answer, to the form with what is wrong in it, or to what was kept.
func TestSlowWorkTellsHowFar(t *testing.T) {
	v := filled(t)
	v.enter()
	v.server.slow.soon = 0
	_, page, _ := v.get("/arrange" + query(arranged()...))
	require.Contains(t, page, "<h1>At work</h1>")
	require.Regexp(t, `class="far" role="status">(<progress max="100" value="\d+"[^>]*></progress> \d+ %|\d+ seconds?)<`, page)
	back := regexp.MustCompile(`<a class="way" href="([^"]*)">Stop, and ask otherwise</a>`).FindStringSubmatch(page)
	require.NotNil(t, back)
	to := leads(t, page)
	code, answer, _ := v.get(to)
	require.Equal(t, http.StatusOK, code)
	require.Contains(t, answer, "The layout")
	require.NotContains(t, answer, "made=", "nothing leads to it once more")
	_, page, _ = v.get(to)
	require.Contains(t, page, "At work", "it is given once, and worked out anew when the page is loaded again")
	v.server.slow.soon = time.Hour
	_, page, _ = v.get(html.UnescapeString(back[1]))
	require.Contains(t, page, `name="layout" placeholder="4x5" value="3x3"`, "the form is as it was")
	require.NotContains(t, page, "The layout")

	v.server.slow.soon = 0
	_, page, _ = v.get("/plan" + query("recipe", "plain-squares", "layout", "three"))
	code, page, _ = v.get(leads(t, page))
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "not a number of blocks")
	_, page, _ = v.post("/arrange", arranged("save", "mat")...)
	to = leads(t, page)
	require.Regexp(t, `^/quilts/mat\?done=\w+$`, to)
	_, page, _ = v.get(to)
	require.Contains(t, page, "kept, with its cloth")
	_, page, _ = v.post("/arrange", arranged()...)
	code, page, _ = v.get(leads(t, page))
	require.Equal(t, http.StatusBadRequest, code)
	require.Contains(t, page, "no name to keep it by")
	require.Regexp(t, `name="save"[^>]* aria-invalid="true"`, page, "in the form to keep it, below what was worked out")
	v.server.slow.soon = time.Hour
	v.post("/arrange", arranged("save", "mat")...)
	v.server.slow.soon = 0
	_, page, _ = v.post("/quilts/mat/again", "seed", "none")
	code, page, _ = v.get(leads(t, page))
	require.Equal(t, http.StatusBadRequest, code, "also of what no address asks for")
	require.Contains(t, page, "none: this is not a number")
	require.Regexp(t, `name="seed"[^>]* value="none" aria-invalid="true"`, page)
	code, file, _ := v.get("/plan" + query(arranged("as", "html")...))
	require.Equal(t, http.StatusOK, code)
	require.NotContains(t, file, "At work", "a file is whole")
}

// Who leaves the page stops the work; meanwhile other pages answer, and only so many
// work at once.
func TestSlowWorkIsStopped(t *testing.T) {
	v := filled(t)
	v.enter()
	v.server.slow.soon = time.Millisecond
	stopped := make(chan struct{}, mostSlow)
	slowest := v.server.inside(slowly(theForm, func(s *Server, r *http.Request) (answer, error) {
		if _, err := s.desk.Look(r.Context(), []string{"none.jpg"}, look.Options{}); err != nil {
			return answer{}, err
		}
		<-r.Context().Done()
		stopped <- struct{}{}
		return answer{document: report.Titled("Late", "")}, r.Context().Err()
	}))
	h := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { slowest.ServeHTTP(w, below(r, v.server.root, inRoot{})) }))
	defer h.Close()
	begin := func() (leave func()) {
		ctx, leave := context.WithCancel(t.Context())
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, h.URL+v.server.root+"/slow", nil)
		require.NoError(t, err)
		r.AddCookie(&http.Cookie{Name: cookieOf(r.Host), Value: v.server.session})
		a, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		t.Cleanup(func() { a.Body.Close() })
		for lines := bufio.NewScanner(a.Body); ; {
			require.True(t, lines.Scan(), "it says how far it is while it is at work")
			if strings.Contains(lines.Text(), `value="1" aria-label="how far it is"></progress> 100 %`) { // one photo of one
				return leave
			}
		}
	}
	var leave []func()
	for range mostSlow {
		leave = append(leave, begin())
	}
	code, _, _ := v.get("/shelf")
	assert.Equal(t, http.StatusOK, code)
	code, page, _ := v.get("/ideas")
	assert.Equal(t, http.StatusUnprocessableEntity, code)
	assert.Contains(t, page, "worked out already")
	leave[0]()
	<-stopped
	require.Eventually(t, func() bool { return len(v.server.slow.at) == mostSlow-1 }, time.Minute, time.Millisecond)
	v.server.slow.soon = time.Hour
	code, _, _ = v.get("/ideas")
	assert.Equal(t, http.StatusOK, code)
	for _, l := range leave[1:] {
		l()
	}
}

// Few answers wait to be fetched, and each is given once.
func TestAnswersThatWait(t *testing.T) {
	s := newSlow()
	var ids []string
	for range mostMade + 1 {
		ids = append(ids, s.keep(answer{}, nil))
	}
	_, ok := s.fetch(ids[0])
	require.False(t, ok)
	for _, id := range ids[1:] {
		_, ok = s.fetch(id)
		require.True(t, ok)
		_, ok = s.fetch(id)
		require.False(t, ok)
	}
}

// A quilt that no page could show is refused at once.
func TestAQuiltTooLargeForAPage(t *testing.T) {
	v := filled(t)
	v.enter()
	for _, pairs := range [][]string{{"layout", "100x100"}, {"blocks", "9999"}} {
		for _, path := range []string{"/plan", "/arrange"} {
			code, page, _ := v.get(path + query(append([]string{"recipe", "nine-patch"}, pairs...)...))
			require.Equal(t, http.StatusBadRequest, code)
			require.Regexp(t, `this quilt has \d+ (patches|blocks), and a page shows \d+ at most`, page)
			code, _, _ = v.post(path, append([]string{"recipe", "nine-patch", "save", "vast"}, pairs...)...)
			require.Equal(t, http.StatusBadRequest, code)
		}
	}
	all, err := v.server.desk.Quilts(t.Context())
	require.NoError(t, err)
	require.Empty(t, all)
}

// Work that is stopped keeps nothing.
func TestWhatIsStoppedIsNotKept(t *testing.T) {
	v := filled(t)
	v.enter()
	r, err := http.NewRequest(http.MethodPost, "/arrange"+query(arranged("save", "mat")...), nil)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	at := *v.server
	at.desk = v.server.desk.At(desk.Door{Begin: func(desk.Work, int) { stop() }})
	_, err = keepArranged(&at, r.WithContext(ctx))
	require.ErrorIs(t, err, context.Canceled)
	all, err := v.server.desk.Quilts(t.Context())
	require.NoError(t, err)
	require.Empty(t, all)
}
