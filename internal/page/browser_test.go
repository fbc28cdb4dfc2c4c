package page

import (
	"cmp"
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/stash/stashtest"
)

// shared is the one browser of all tests, started when the first needs it.
var shared = sync.OnceValues(func() (context.Context, func()) {
	var path string
	for _, name := range []string{"chromium", "chromium-browser"} {
		if at, err := exec.LookPath(name); err == nil {
			path = at
			break
		}
	}
	if path == "" {
		return nil, func() {}
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WSURLReadTimeout(patience),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("host-resolver-rules", "MAP "+anotherMachine+" "+ownHost))...)
	browser, end := chromedp.NewContext(allocator)
	if err := chromedp.Do(browser); err != nil {
		panic(err) // it is there and does not start: no test is to pass for that
	}
	return browser, func() { end(); stop() }
})

// anotherMachine is an address that the browser takes for another machine's, as a phone does the
// computer's (RFC 5737: for documentation).
const anotherMachine = "192.0.2.7"

// patience is how long a browser may take for one thing; it shares the machine.
const patience = 2 * time.Minute

func TestMain(m *testing.M) {
	if dir := os.Getenv(serveHere); dir != "" {
		serveForTests(dir)
	}
	stashtest.Main(withBrowser{m}, doomed)
}

// withBrowser runs the tests, and ends the browser where they started it.
type withBrowser struct{ m *testing.M }

func (w withBrowser) Run() int {
	code := w.m.Run()
	if started {
		_, end := shared()
		end()
	}
	return code
}

// started is that a test asked for the browser.
var started bool

// tab is a tab of the browser, in which a person works on a page by what they see: the
// words on buttons and beside fields.
type tab struct {
	*visitor
	ctx     context.Context
	mu      sync.Mutex
	scripts bool // run
	// wrong is what the browser complained of: scripts that fail, what the policy of the
	// page forbids, requests to anywhere else.
	wrong []string
}

// browse opens a tab on a visitor's page, in a window that shares nothing with others,
// and enters.
func browse(v *visitor) *tab {
	v.t.Helper()
	if testing.Short() {
		v.t.Skip("drives a browser")
	}
	started = true
	browser, _ := shared()
	if browser == nil {
		v.t.Skip("no chromium is on this machine, to look at the page with")
	}
	b := (&tab{visitor: v, ctx: browser}).beside(chromedp.WithNewBrowserContext())
	b.visit("/enter?key=" + v.server.key)
	return b
}

// beside opens another tab.
func (b *tab) beside(o ...chromedp.ContextOption) *tab {
	b.t.Helper()
	out := &tab{visitor: b.visitor, scripts: true}
	ctx, end := chromedp.NewContext(b.ctx, append(o, chromedp.WithListener(out.heard))...)
	b.t.Cleanup(end)
	require.NoError(b.t, chromedp.Do(ctx))
	ctx, late := context.WithTimeout(ctx, 8*patience)
	b.t.Cleanup(late)
	out.ctx = ctx
	b.t.Cleanup(func() {
		out.mu.Lock()
		defer out.mu.Unlock()
		assert.Empty(b.t, out.wrong, "the browser complained")
	})
	out.run(chromedp.EmulateViewport(1280, 800))
	return out
}

// close closes the tab.
func (b *tab) close() {
	b.t.Helper()
	require.NoError(b.t, chromedp.Cancel(b.ctx))
}

// scriptsOff has the tab run no script of the pages that it opens from now on.
func (b *tab) scriptsOff() {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	require.NoError(b.t, err)
	b.scripts = false
}

// heard notes what a browser complains of.
func (b *tab) heard(event any) {
	var said string
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		said = e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			said += " " + x.Description
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			for _, a := range e.Args {
				said += string(a.Value) + a.Description
			}
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError {
			said = e.Entry.Text + " " + e.Entry.URL
		}
	case *network.EventRequestWillBeSent:
		if u, err := url.Parse(e.Request.URL); err == nil && u.Scheme != "data" && u.Scheme != "blob" && !strings.HasPrefix(e.Request.URL, b.at) {
			said = "asked for " + e.Request.URL
		}
	}
	if said != "" {
		b.mu.Lock()
		b.wrong = append(b.wrong, said)
		b.mu.Unlock()
	}
}

// run does things in the tab, one after the other.
func (b *tab) run(do ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	b.works(chromedp.Do(b.ctx, do...))
}

// works fails with what the page says where something went wrong.
func (b *tab) works(err error) {
	b.t.Helper()
	if err != nil {
		at, _ := chromedp.Run(b.ctx, chromedp.Location())
		text, _ := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.body.innerText`))
		require.NoError(b.t, err, "at %s, where it says:\n%s", at, text)
	}
}

func (b *tab) visit(path string) {
	b.t.Helper()
	b.run(chromedp.Navigate(b.to(path)))
}

// quoted is a text for an XPath, which has no escapes.
func quoted(s string) string {
	if strings.Contains(s, "'") {
		return `"` + s + `"`
	}
	return "'" + s + "'"
}

// named is the XPath of a button or link by its words.
func called(words string) string {
	w := quoted(words)
	return fmt.Sprintf(`//*[self::button or self::a or self::summary][normalize-space()=%[1]s or @aria-label=%[1]s]`, w)
}

// field is the XPath of a field by the words of its label.
func field(words string) string {
	return fmt.Sprintf(`//label[starts-with(normalize-space(),%s)]//*[self::input or self::select or self::textarea]`, quoted(words))
}

// press presses a button or a link, which leads to another page.
func (b *tab) press(words string) {
	b.t.Helper()
	b.leads(chromedp.Click(called(words)))
}

// leads does what leads to another page, and waits for it.
func (b *tab) leads(do ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, end := context.WithTimeout(b.ctx, patience)
	defer end()
	_, err := chromedp.RunResponse(ctx, do...)
	b.works(err)
}

// write writes into a field.
func (b *tab) write(label, text string) {
	b.t.Helper()
	b.run(chromedp.SetValue(field(label), text))
}

// says waits until the page says something.
func (b *tab) says(words string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`document.body.innerText.includes(%q)`, words))
}

// until waits until an expression is true.
func (b *tab) until(expression string) {
	b.t.Helper()
	ctx, end := context.WithTimeout(b.ctx, patience)
	defer end()
	for {
		// While a page goes and another comes there is none to ask.
		so, err := chromedp.Run(ctx, chromedp.Evaluate[bool](expression))
		if so {
			return
		}
		select {
		case <-ctx.Done():
			b.works(fmt.Errorf("it never came to %s: %w", expression, cmp.Or(err, ctx.Err())))
			return
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// is gives what an expression is.
func is[T any](b *tab, expression string) T {
	b.t.Helper()
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	b.works(err)
	return out
}

// photo writes a photo to send.
func (b *tab) photo() string {
	file := filepath.Join(b.t.TempDir(), "table.jpg")
	require.NoError(b.t, os.WriteFile(file, table(b.t), 0o600))
	return file
}

// theJob does all from an upload to a kept layout, by clicks.
func (b *tab) theJob() {
	b.t.Helper()
	photo := chromedp.SetUploadFiles(chromedp.CSS("input[name=photo]"), []string{b.photo()})
	if b.scripts {
		b.leads(photo)
	} else {
		b.run(photo)
		b.press("Look")
	}
	b.says("table.jpg")
	b.write("Basket", "sea chest")
	b.press("Stow")
	b.says("stowed")
	b.press("Pieces")
	b.leads(chromedp.Click(chromedp.CSS("a[href*='/pieces/1']")))
	b.write("Hue family", "teal")
	b.press("Correct it")
	b.visit("/pieces/1")
	b.says("teal, as it is")
	b.press("Arrange")
	b.write("Recipe", "plain-squares")
	b.write("Blocks across", "1x2")
	b.write("Block width", "1")
	b.press("Lay it out")
	b.says("The layout")
	b.write("Keep it as", "mat")
	b.press("Keep it, with its cloth")
	b.says("kept, with its cloth")
}

// The whole job, from a photo to a layout that is kept, by clicks alone; what was
// corrected is still so when the server starts again.
func TestBrowserTheWholeJob(t *testing.T) {
	v := visit(t)
	b := browse(v)
	b.theJob()
	b.close()
	v.restart()
	again := browse(v)
	again.visit("/pieces/1")
	again.says("teal, as it is")
	again.visit("/quilts/mat")
	again.says("2 pieces laid out")
}

// Where scripts are switched off, the plain forms do all of it.
func TestBrowserWithoutScript(t *testing.T) {
	b := browse(visit(t))
	b.scriptsOff()
	b.visit("/")
	b.theJob()
}

// screens are the pages that there are, each as it is with something on it.
func (v *visitor) screens() []string {
	v.t.Helper()
	v.enter()
	_, _, at := v.send([]string{"basket.jpg"}, spread(v.t, 9))
	v.post(batchAt(at) + "/stow")
	_, _, sent := v.send([]string{"table.jpg"}, table(v.t))
	code, page, _ := v.post("/arrange", arranged("save", "mat")...)
	require.Equal(v.t, http.StatusOK, code, page)
	v.post("/teach/pieces", "pieces", "1", "to", "sea greens")
	_, page, _ = v.get("/photos")
	photo := regexp.MustCompile(`/photos/[0-9a-f]{64}`).FindString(page)
	return []string{
		"/", sent, "/shelf", "/pieces", "/pieces/1", "/pieces/999", "/plan", "/plan" + query(arranged()...),
		"/arrange", "/arrange" + query(arranged()...), "/quilts", "/quilts/mat", "/quilts/mat?patch=A1", "/quilts/mat/others", "/recipes", "/recipes/ohio-star", "/recipes/ohio-star?sewing=1",
		"/refill", "/buy", "/contrast", "/leftovers", "/teach", "/teach/next", "/name", "/add", "/data", "/photos", "/history", "/phone", "/ideas",
		"/shelf?family=blue", photo, "/contrast?colours=navy&background=cream&why=1", "/leftovers?sizes=11x18", "/name?colours=navy%0Apuce",
	}
}

// Everybody can use every screen: a checker of accessibility finds nothing, by day and
// by night.
func TestBrowserAccess(t *testing.T) {
	file := os.Getenv("PIECEBAG_AXE")
	if file == "" {
		t.Skip("PIECEBAG_AXE does not name the script of axe-core, to check the pages with")
	}
	axe, err := os.ReadFile(file)
	require.NoError(t, err)
	v := filled(t)
	screens := v.screens()
	refused := []string{"/shelf?cut=wide", "/shelf?asks=since&since=soon", "/pieces?cut=wide", "/plan?recipe=nine-patch&layout=three&squaring=wide", "/buy?wof=wide", "/contrast?colours=nothing", "/leftovers?sizes=small"}
	b := browse(v)
	for _, path := range slices.Concat(screens, refused) {
		b.visit(path)
		b.run(chromedp.Evaluate[chromedp.Void](string(axe)))
		for light, rules := range map[string]string{"light": `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]`, "dark": `{type: "rule", values: ["color-contrast", "link-in-text-block"]}`} {
			_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: light}}})
			require.NoError(t, err)
			found := is[[]string](b, `axe.run(document, {resultTypes: ["violations"], runOnly: `+rules+`})
				.then(r => r.violations.flatMap(v => v.nodes.map(n => v.help + ": " + n.html.slice(0, 200) + " " + n.any.map(a => a.message).join(" "))))`)
			assert.Empty(t, found, "%s by %s", path, light)
		}
	}
	for _, path := range append(refused, "/pieces/999") {
		b.expect(path)
	}
	b.expect("/teach/next") // where nothing is left to ask
}

// On a phone nothing is wider than the screen, and what is touched is large enough for a
// thumb: 44 px, of WCAG 2.5.5.
func TestBrowserPhone(t *testing.T) {
	v := filled(t)
	screens := v.screens()
	b := browse(v)
	b.run(chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	for _, path := range screens {
		b.visit(path)
		assert.Empty(t, is[[]string](b, `document.documentElement.scrollWidth <= 360 ? [] : [...document.body.querySelectorAll("*")]
			.filter(e => e.getBoundingClientRect().right > 360 && !e.closest(".scroll, svg, pre")).map(e => e.outerHTML.slice(0, 150))`), "%s: wider than the screen", path)
		assert.Empty(t, is[[]string](b, `[...document.querySelectorAll("button, select, input, summary, nav a")]
			.map(e => e.type === "checkbox" || e.type === "radio" || e.type === "file" ? e.closest("label") : e)
			.filter(e => e.checkVisibility() && e.type !== "hidden")
			.filter(e => { const r = e.getBoundingClientRect(); return r.height < 43.5 || r.width < 43.5; })
			.map(e => e.outerHTML.slice(0, 150))`), "%s: too small for a thumb", path)
	}
	// every part is a tap away, none beyond the edge; on a laptop all stand in view
	shown := `[...document.querySelectorAll(".parts a")].filter(e => e.checkVisibility() && e.getBoundingClientRect().right <= innerWidth).map(e => e.textContent)`
	all := v.server.ways("/")
	b.visit("/buy")
	require.Equal(t, []string{"Photos", "Shelf", "Plan", "Buy"}, is[[]string](b, shown))
	b.run(chromedp.Click(chromedp.CSS(".parts summary")))
	require.Len(t, is[[]string](b, shown), len(all))
	b.run(chromedp.EmulateViewport(1280, 800))
	b.visit("/history")
	require.Len(t, is[[]string](b, shown), len(all))
	require.Equal(t, "What was done", is[string](b, `document.querySelector(".parts [aria-current]").textContent`))
	b.expect("/pieces/999")
	b.expect("/teach/next") // where nothing is left to ask
}

// A layout is changed by picking two patches, by dragging one onto another, and by keys;
// where the focus was it stays.
func TestBrowserLayoutByHand(t *testing.T) {
	v := filled(t)
	v.enter()
	v.post("/arrange", arranged("save", "mat")...)
	b := browse(v)
	b.visit("/quilts/mat")
	says := func(patch string) string {
		return strings.TrimPrefix(is[string](b, fmt.Sprintf(`document.getElementById("patch-%s").getAttribute("aria-label")`, patch)), patch+": ")
	}
	was := map[string]string{}
	for _, p := range []string{"A1", "C3", "A2", "B2", "B3"} {
		was[p] = says(p)
	}
	b.run(chromedp.Click(chromedp.ID("patch-A1")))
	b.until(`document.getElementById("patch-A1").getAttribute("aria-pressed") === "true" && !!document.querySelector("form.picked")`)
	b.run(chromedp.Click(chromedp.ID("patch-C3")))
	b.says("A1 and C3 have changed places")
	require.Equal(t, was["A1"], says("C3"))

	b.run(chromedp.Focus(chromedp.ID("patch-A1")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.Enter))
	b.until(`document.getElementById("patch-A2").getAttribute("aria-pressed") === "true"`)
	b.run(chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.Enter))
	b.says("A2 and B2 have changed places")
	require.Equal(t, was["A2"], says("B2"))
	b.until(`document.activeElement.id === "patch-B2"`)

	b.run(chromedp.DragAndDrop(chromedp.ID("patch-A1"), chromedp.ID("patch-B3")))
	b.says("A1 and B3 have changed places")
	require.Equal(t, was["C3"], says("B3"))
	require.Equal(t, was["B3"], says("A1"))
	b.until(`document.querySelectorAll("[aria-pressed=true]").length === 0`)

	b.run(chromedp.Click(called("Lay it out again"))) // a button that leads elsewhere than its form
	b.says("laid out")
	require.Equal(t, v.server.root+"/quilts/mat", is[string](b, `location.pathname`))
}

// By the keyboard alone a quilt is laid out, kept and changed, and it is always seen
// where the focus is.
func TestBrowserByKeyboard(t *testing.T) {
	b := browse(filled(t))
	to := func(what string) {
		t.Helper()
		for range 90 {
			b.run(chromedp.KeyEvent(kb.Tab))
			if is[bool](b, `document.activeElement.matches(`+quoted(what)+`)`) {
				seen := is[bool](b, `(() => {
					const e = document.activeElement, style = getComputedStyle(e), edge = e.querySelector("polygon:last-child");
					return style.outlineStyle !== "none" || !!edge && getComputedStyle(edge).stroke !== "none";
				})()`)
				require.True(t, seen, "the focus is not seen at %s", what)
				return
			}
		}
		require.Fail(t, "the tab key does not come to "+what)
	}
	b.visit("/arrange")
	to(".skip")
	b.run(chromedp.KeyEvent(kb.Enter))
	to("select[name=recipe]")
	b.run(chromedp.KeyEvent("plain"))
	to("input[name=layout]")
	b.run(chromedp.KeyEvent("3x3"))
	to("input[name=block]")
	b.run(chromedp.KeyEvent("2"))
	b.leads(chromedp.KeyEvent(kb.Enter))
	b.says("The layout")
	to("input[name=save]")
	b.run(chromedp.KeyEvent("mat"))
	b.leads(chromedp.KeyEvent(kb.Enter))
	b.says("kept, with its cloth")
	to("[data-patch]")
	b.run(chromedp.KeyEvent(kb.Enter))
	b.until(`!!document.querySelector("form.picked")`)
	b.run(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.Enter))
	b.says("have changed places")
}

// A page on which nothing was typed shows what was changed elsewhere; another says that
// there is something, and loses nothing that was typed.
func TestBrowserTwoTabs(t *testing.T) {
	v := filled(t)
	v.enter()
	v.post("/arrange", arranged("save", "mat")...)
	b := browse(v)
	b.visit("/quilts/mat")
	other := b.beside()
	other.visit("/plan")
	other.write("Size, at least", "20x30")
	other.run(chromedp.SendKeys(field("Block width"), "2"))
	v.post("/quilts/mat/edit", "do", "lock", "a", "A1") // as another program would
	b.until(`document.getElementById("patch-A1").getAttribute("aria-label").endsWith(", locked")`)
	other.says("This was changed elsewhere.")
	require.Equal(t, "20x30", is[string](other, `document.querySelector("[name=size]").value`))
	other.press("Show it")
	other.until(`!document.querySelector(".changed") && document.querySelector("[name=size]").value === ""`)
	b.run(chromedp.Click(chromedp.ID("patch-B1")))
	b.until(`!!document.querySelector("form.picked")`)
	b.run(chromedp.Click(`//button[.="Lock it here"]`))
	b.says("B1 is locked")
	other.until(`document.documentElement.dataset.version === "` + is[string](b, `document.documentElement.dataset.version`) + `"`)
	require.False(t, is[bool](b, `!!document.querySelector(".changed")`), "its own change is no news")
}

// News of what a page did itself may come when it has done more: it is no change made
// elsewhere, and does not hide one.
func TestBrowserLateNews(t *testing.T) {
	v := filled(t)
	v.enter()
	v.post("/arrange", arranged("save", "mat")...)
	b := browse(v)
	_, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
		window.sources = [];
		window.EventSource = class extends EventSource {
			constructor(at) { super(at); this.heard = []; this.addEventListener("message", e => this.heard.push(e.data)); window.sources.push(this); }
		};`})
	require.NoError(t, err)
	b.visit("/quilts/mat")
	b.until(`sources[0].heard.length >= 1`)
	b.until(`(window.first ??= performance.now()) + 600 < performance.now()`) // the page has looked at it: it asks anew only of later news
	before := is[string](b, `sources[0].heard[0]`)
	b.run(chromedp.Click(chromedp.ID("patch-A1")))
	b.until(`!!document.querySelector("form.picked")`)
	b.run(chromedp.Click(chromedp.ID("patch-C3")))
	b.says("A1 and C3 have changed places")
	b.until(`sources[0].heard.length >= 2`)
	is[bool](b, `sources[0].dispatchEvent(new MessageEvent("message", {data: "`+before+`"}))`)
	b.until(`sources.at(-1).heard.at(-1) === document.documentElement.dataset.version || document.body.innerText.includes("changed elsewhere")`)
	require.False(t, is[bool](b, `document.body.innerText.includes("changed elsewhere")`))
	v.post("/quilts/mat/edit", "do", "lock", "a", "A1") // as another program would
	b.says("It was changed elsewhere")
}

// The page of a piece comes with its picture, however late that is, and then lies still:
// what you are about to press does not move away.
func TestBrowserPieceLiesStill(t *testing.T) {
	v := stocked(t)
	b := browse(v)
	v.server.cloth.cutting.Lock()
	time.AfterFunc(time.Second, v.server.cloth.cutting.Unlock)
	b.visit("/pieces/1")
	const place = `document.querySelector("form[action$='/fix'] button").getBoundingClientRect().top`
	was := is[float64](b, place)
	b.until(`document.querySelector(".cloth.large img").naturalWidth > 0`)
	require.Equal(t, was, is[float64](b, place))
}

// Two tabs of one photo that is mended show each other's changes, as do two lists of what
// waits. Where something is chosen or typed, it is not lost.
func TestBrowserTwoTabsOfWhatWaits(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"table.jpg"}, table(t))
	b := browse(v)
	b.visit(at)
	other, home := b.beside(), b.beside()
	home.visit("/")
	home.says("table.jpg")
	other.visit(at)
	words := func(n string) string {
		return `document.querySelector("[data-piece='` + n + `']").getAttribute("aria-label")`
	}
	b.run(chromedp.Click(chromedp.CSS("#piece-1")), chromedp.Click(chromedp.CSS(".answers [value=teal]")))
	b.until(words("1") + `.startsWith("piece 1: teal")`)
	other.until(words("1") + `.startsWith("piece 1: teal")`)
	other.says("changed elsewhere")
	require.Equal(t, is[string](b, `document.documentElement.dataset.version`), is[string](other, `document.documentElement.dataset.version`))

	other.run(chromedp.Click(chromedp.CSS("#piece-3")))
	b.run(chromedp.Click(chromedp.CSS("#piece-2")), chromedp.Click(chromedp.CSS(".answers [value=pink]")))
	other.until(`!!document.querySelector(".changed")`)
	require.True(t, is[bool](other, `document.querySelector("#piece-3 input").checked`), "what was chosen stays chosen")
	other.run(chromedp.Click(called("Show it")))
	other.until(words("2") + `.startsWith("piece 2: pink")`)

	b.visit("/shelf")
	other.visit("/shelf")
	v.post(batchAt(at) + "/drop")
	home.until(`!document.body.innerText.includes("table.jpg")`)
}

// What is pressed while an answer is on its way is done after it, and once.
func TestBrowserManyTaps(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"table.jpg"}, table(t))
	b := browse(v)
	b.visit(at)
	is[bool](b, `(() => {
		const press = words => [...document.querySelectorAll(".answers button")].find(b => b.textContent.trim() === words).click();
		const choose = n => document.querySelector("#piece-" + n).click();
		choose(1); press("teal"); press("teal"); choose(1); choose(2); press("pink"); choose(2); choose(3);
		return true;
	})()`)
	b.until(`document.querySelector("#piece-2").innerText.includes("pink") && !document.querySelector("[aria-busy]")`)
	require.Contains(t, is[string](b, `document.querySelector("#piece-1").innerText`), "teal")
	require.Equal(t, []string{"3"}, is[[]string](b, `[...document.querySelectorAll(".pick :checked")].map(i => i.value)`), "what was chosen meanwhile stays")
	b.run(chromedp.Click(called("Take back what was said last")))
	b.until(`!document.querySelector("#piece-2").innerText.includes("pink")`)
	b.run(chromedp.Click(called("Take back what was said last")))
	b.until(`!document.querySelector("#piece-1").innerText.includes("teal")`)
	require.False(t, is[bool](b, `document.body.innerText.includes("Take back")`), "nothing else was said")
}

// What is pressed while an answer comes is not taken from under the finger: the answer
// waits until it is let go, and what was pressed is done.
func TestBrowserPressUnderWay(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"table.jpg"}, table(t))
	b := browse(v)
	b.visit(at)
	b.run(chromedp.Click(chromedp.CSS("#piece-2")), chromedp.ScrollIntoView(chromedp.CSS(".answers [value=pink]")))
	on := is[[]float64](b, `(() => { const r = document.querySelector(".answers [value=pink]").getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
	b.run(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, on[0], on[1], chromedp.Button("left"), chromedp.ClickCount(1)))
	is[bool](b, `document.querySelector("#doubts button").click() ?? true`)
	b.until(`performance.getEntriesByType("resource").some(e => e.name.includes("/say") && e.responseEnd > 0)`)
	is[bool](b, `new Promise(done => setTimeout(done, 100, true))`)
	require.True(t, is[bool](b, `!!document.querySelector("#mend[aria-busy]")`), "the answer waits")
	b.run(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, on[0], on[1], chromedp.Button("left"), chromedp.ClickCount(1)))
	b.until(`document.querySelector("#piece-2").innerText.includes("pink")`)
}

// The keyboard stays where it was, whatever an answer takes out of the page: at the next
// question, at what is to be said after the last, at the patch that was worked on.
func TestBrowserFocusStays(t *testing.T) {
	v := filled(t)
	v.enter()
	_, _, at := v.send([]string{"table.jpg", "other.jpg"}, table(t), spread(t, 9))
	code, page, _ := v.post("/arrange", arranged("save", "mat")...)
	require.Equal(t, http.StatusOK, code, page)
	b := browse(v)
	b.visit(at)
	press := func(script string) {
		t.Helper()
		is[bool](b, script+`.focus() ?? true`)
		was := is[string](b, `document.documentElement.dataset.version`)
		b.run(chromedp.KeyEvent(kb.Enter))
		b.until(`!document.querySelector("[aria-busy]") && (document.documentElement.dataset.version !== "` + was + `" || !!document.querySelector("main > .wrong"))`)
		b.until(`document.activeElement !== document.body`)
	}
	for n := is[int](b, `document.querySelectorAll("#doubts li").length`); n > 0; n = is[int](b, `document.querySelectorAll("#doubts li").length`) {
		press(`document.querySelector("#doubts button")`)
		require.True(t, n == 1 || is[bool](b, `!!document.activeElement.closest("#doubts")`), "the next question")
	}
	require.Equal(t, "Say what they are", is[string](b, `document.activeElement.textContent`))
	require.Equal(t, is[string](b, `String(document.querySelectorAll("#photo a[data-piece]").length)`), is[string](b, `document.querySelector(".sheets [aria-current] b").textContent`), "nor does its tab say that there is more to look at")
	for is[bool](b, `document.body.innerText.includes("Take back what was said last")`) {
		press(`[...document.querySelectorAll("#photo button")].at(-1)`)
	}
	require.Equal(t, "Choose", is[string](b, `document.activeElement.textContent`))

	for _, path := range []string{"/quilts/mat?patch=A1", "/quilts/mat"} {
		for _, words := range is[[]string](b, `fetch("`+v.to(path)+`").then(r => r.text()).then(text => [...new DOMParser().parseFromString(text, "text/html").querySelectorAll("[data-swap] .beside form[method=post] button")].map(e => e.textContent))`) {
			if words == "Swap" || strings.HasSuffix(words, "the first") {
				continue // these want a patch named
			}
			b.visit(path)
			press(`[...document.querySelectorAll(".beside button")].find(e => e.textContent === ` + quoted(words) + `)`)
		}
	}
	b.expect("/quilts/mat/mark") // what is sewn is not sewn twice
}

// What a page sends itself was not changed elsewhere: what was refused of it stays in
// view, and what waits is listed.
func TestBrowserOwnSending(t *testing.T) {
	v := visit(t)
	b := browse(v)
	bad := filepath.Join(t.TempDir(), "torn.jpg")
	require.NoError(t, os.WriteFile(bad, []byte("no photo"), 0o600))
	b.visit("/")
	b.run(chromedp.SetUploadFiles(chromedp.CSS("input[name=photo]"), []string{bad, b.photo()}))
	b.says("Go on with the others")
	b.until(`!!document.querySelector(".waiting") && document.documentElement.dataset.version === "` + v.server.waiting.version() + `"`)
	require.False(t, is[bool](b, `document.body.innerText.includes("changed elsewhere")`))
	batch := v.server.waiting.all()[0]
	v.enter()
	v.post(batch.at() + "/drop")
	b.until(`!document.querySelector(".waiting")`)
	require.False(t, is[bool](b, `!!document.querySelector(".changed")`))
	require.Contains(t, is[string](b, `document.querySelector(".sending").innerText`), "torn.jpg")
	b.expect("/look") // what is no photo is refused
}

// touch puts a finger on a thing, moves it by so many pixels and lifts it.
func (b *tab) touch(on string, dx, dy float64) {
	b.t.Helper()
	at := is[[]float64](b, `(() => {
		const e = `+on+`;
		e.scrollIntoView({block: "center"});
		const r = e.getBoundingClientRect();
		return [r.x + r.width / 2, r.y + r.height / 2];
	})()`)
	b.fingers([][2]float64{{at[0], at[1]}}, dx, dy, "")
}

// fingers puts fingers down, waits until an expression is true, moves them, each the next
// the other way, and lifts them.
func (b *tab) fingers(at [][2]float64, dx, dy float64, until string) {
	b.t.Helper()
	send := func(kind input.DispatchTouchEventType, far float64) {
		points := []*input.TouchPoint{}
		for i, p := range at {
			way := float64(1 - 2*i)
			points = append(points, &input.TouchPoint{X: p[0] + way*far*dx, Y: p[1] + way*far*dy, ID: new(float64(i))})
		}
		if kind == input.DispatchTouchEventTypeTouchEnd {
			points = points[:0]
		}
		_, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
		b.works(err)
	}
	send(input.DispatchTouchEventTypeTouchStart, 0)
	if until != "" {
		b.until(until)
	}
	for step := 1.0; step <= 4 && (dx != 0 || dy != 0); step++ {
		send(input.DispatchTouchEventTypeTouchMove, step/4)
	}
	send(input.DispatchTouchEventTypeTouchEnd, 1)
}

// A phone's browser comes in by the code and then works by plain forms too. To an address of
// another machine without encryption browsers say less of where a request comes from than to
// their own machine (W3C, Fetch Metadata: to trustworthy addresses alone).
func TestBrowserOnAPhone(t *testing.T) {
	v := filled(t)
	v.enter()
	l, err := net.Listen("tcp", ownHost+":0")
	require.NoError(t, err)
	at := &net.TCPAddr{IP: net.ParseIP(anotherMachine), Port: l.Addr().(*net.TCPAddr).Port}
	_, code := v.server.LetPhonesIn(at)
	h := &http.Server{Handler: v.server.Handler(at)}
	go func() { _ = h.Serve(l) }()
	t.Cleanup(func() { require.NoError(t, h.Close()) })
	b := browse(v)
	phone := (&tab{visitor: &visitor{t: t, at: "http://" + at.String(), server: v.server, desk: v.desk, client: v.client}, ctx: b.ctx}).beside(chromedp.WithNewBrowserContext())
	phone.run(chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Navigate(phone.at+"/pair"))
	small := is[[]string](phone, `[...document.querySelectorAll("main :is(input, button)")].filter(e => e.getBoundingClientRect().height < 44).map(e => e.outerHTML)`)
	require.Empty(t, small, "it has its style sheet before it is let in")
	phone.run(chromedp.SendKeys(chromedp.CSS("[name=code]"), code))
	phone.press("Come in")
	require.Equal(t, v.server.root+"/", is[string](phone, `location.pathname`))
	phone.scriptsOff()
	phone.visit("/add")
	phone.write("Cut to, or a word", "2½")
	phone.press("Add them")
	phone.says("added")
}

// Who goes back to what was refused is shown it again, with what was written, and is not
// asked to send it anew.
func TestBrowserBackToAFault(t *testing.T) {
	v := stocked(t)
	b := browse(v)
	b.visit("/plan")
	is[bool](b, `(() => {
		const form = document.createElement("form");
		form.method = "post";
		form.action = `+quoted(v.to("/floor"))+`;
		form.innerHTML = "<input name=least value=wide><input name=family value=blue>";
		document.body.append(form);
		form.submit();
		return true;
	})()`)
	b.until(`document.readyState === "complete" && !!document.querySelector("main > .wrong")`)
	b.visit("/buy")
	b.run(chromedp.NavigateBack())
	b.until(`!!document.querySelector("main > .wrong")?.textContent.includes("wide: this is not a number")`)
	b.until(`!!document.querySelector("main > [data-then]")`)
	b.expect("/floor")
}

// With a finger on a phone: pieces are chosen and said, a corner is dragged, one is drawn,
// two patches change places.
func TestBrowserByFinger(t *testing.T) {
	v := filled(t)
	v.enter()
	_, _, at := v.send([]string{"table.jpg"}, table(t))
	v.post("/arrange", arranged("save", "mat")...)
	b := browse(v)
	b.run(chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	b.visit(at)
	element := func(sel string) string { return `document.querySelector(` + quoted(sel) + `)` }
	words := func(n string) string { return element(`[data-piece="`+n+`"]`) + `.getAttribute("aria-label")` }
	box := func(sel string) string {
		return `(r => [r.x, r.y, r.width, r.height])(` + element(sel) + `.getBoundingClientRect())`
	}
	require.False(t, is[bool](b, element(".pick")+`.checkVisibility()`), "the photo is there to choose by")
	b.touch(element(`[data-piece="1"] .edge`), 0, 0)
	b.until(element(`[data-piece="1"]`) + `.getAttribute("aria-pressed") === "true"`)
	b.touch(element(".answers [value=teal]"), 0, 0)
	b.until(words("1") + `.startsWith("piece 1: teal")`)
	require.InDeltaSlice(t, is[[]float64](b, box(`[data-piece="1"] .under`)), is[[]float64](b, box(`[data-piece="1"] .edge.said`)), 8, "its outline stays on it")
	b.touch(element(`[data-piece="1"] .edge`), 0, 0)
	b.until(element("[data-now]") + `.textContent.startsWith("piece 1: teal")`)
	require.Equal(t, []string{"teal"}, is[[]string](b, `[...document.querySelectorAll(".answers [name=family][aria-pressed=true]")].map(e => e.value)`), "what it is now is marked")
	require.False(t, is[bool](b, element("[data-several]")+`.checkVisibility()`), "one piece is one already")
	b.touch(element(`[data-piece="2"] .edge`), 0, 0)
	b.until(element("[data-now]") + `.textContent === "2 pieces: 1, 2"`)
	require.True(t, is[bool](b, element("[data-several]")+`.checkVisibility()`))
	b.touch(element(`[data-piece="2"] .edge`), 0, 0)
	b.touch(element(`[data-piece="1"] .edge`), 0, 0)

	b.touch(element("[data-tool=corners]"), 0, 0)
	b.touch(element(`[data-piece="5"] .edge`), 0, 0)
	b.until(`document.querySelectorAll(".drawing .corner").length > 2`)
	corner := `["cx", "cy"].map(a => Number(` + element("[data-corner='0']") + `.getAttribute(a)))`
	was := is[[]float64](b, corner)
	b.touch(element("[data-corner='0']"), -12, -20)
	now := is[[]float64](b, corner)
	scale := is[float64](b, `(svg => svg.viewBox.baseVal.width / svg.clientWidth)(document.querySelector("svg.sheet"))`)
	require.InDeltaSlice(t, []float64{was[0] - 12*scale, was[1] - 20*scale}, now, 0.2, "as far as the finger went")
	b.touch(element("form.drawn [name=do]"), 0, 0)
	b.until(`!document.querySelector("[aria-busy]") && [...document.querySelectorAll(".edge")].some(e => e.getAttribute("points").includes("` + fmt.Sprintf("%.1f,%.1f", now[0], now[1]) + `"))`)

	// Nearer by a button and by two fingers: what is between them stays there, and what was
	// begun too; a tap beside a piece that is smaller than a thumb means it.
	wide := `Math.round(100 * ` + element("svg.sheet") + `.clientWidth / ` + element(".stage") + `.clientWidth)`
	b.touch(element("[data-tool=choose]"), 0, 0)
	b.touch(element("[data-zoom='+']"), 0, 0)
	b.until(wide + " === 150")
	b.touch(element("[data-zoom='-']"), 0, 0)
	b.until(wide + " === 100")
	require.Equal(t, "true", is[string](b, element("[data-zoom='-']")+`.getAttribute("aria-disabled")`))
	is[bool](b, element(".stage")+`.scrollIntoView({block: "center"}), true`)
	stage := is[[]float64](b, box(".stage"))
	x, y := stage[0]+stage[2]/2, stage[1]+stage[3]/4
	between := `(p => [p.x, p.y])(new DOMPoint(` + fmt.Sprintf("%f, %f", x, y) + `).matrixTransform(` + element("svg.sheet") + `.getScreenCTM().inverse()))`
	held := is[[]float64](b, between)
	pressed := `document.querySelectorAll("svg.sheet [aria-pressed=true]").length`
	picked := is[int](b, pressed)
	b.fingers([][2]float64{{x - 20, y}, {x + 20, y}}, -40, 0, "")
	b.until(wide + " === 300")
	require.InDeltaSlice(t, held, is[[]float64](b, between), 3*scale)
	require.EqualValues(t, 1, is[float64](b, "visualViewport.scale"), "the page round it lies still")
	b.fingers([][2]float64{{x - 60, y}, {x + 60, y}}, 50, 0, "")
	b.until(wide + " === 100")
	require.Equal(t, picked, is[int](b, pressed), "two fingers choose nothing")
	near := is[[]float64](b, `(() => {
		const all = [...document.querySelectorAll("svg.sheet a")].map(a => [a.dataset.piece, a.querySelector(".edge").getBoundingClientRect()]);
		const free = (x, y) => document.elementFromPoint(x, y)?.closest("svg.sheet") && !document.elementFromPoint(x, y).closest("a");
		for (const [n, r] of all) for (const dx of [-12, 12]) {
			const x = dx < 0 ? r.left + dx : r.right + dx, y = r.y + r.height / 2;
			const others = all.filter(([o, q]) => o !== n && x > q.left - 25 && x < q.right + 25 && y > q.top - 25 && y < q.bottom + 25);
			if (free(x, y) && !others.length) return [Number(n), x, y];
		}
		return [];
	})()`)
	require.Len(t, near, 3, "no piece lies by itself")
	b.fingers([][2]float64{{near[1], near[2]}}, 0, 0, "")
	b.until(element(fmt.Sprintf(`[data-piece="%.0f"]`, near[0])) + `.getAttribute("aria-pressed") === "true"`)
	b.fingers([][2]float64{{near[1], near[2]}}, 0, 0, "")

	b.touch(element("[data-tool=draw]"), 0, 0)
	pieces := is[int](b, `document.querySelectorAll("[data-piece]").length`)
	b.touch(element(`[data-piece="9"] .edge`), 0, 0)
	b.touch(element(`[data-piece="7"] .edge`), 0, 0)
	b.touch(element(`[data-piece="4"] .edge`), 0, 0)
	require.Equal(t, 3, is[int](b, `document.querySelectorAll(".drawing .corner").length`))
	b.touch(element("form.drawn [data-away]"), 0, 0)
	b.until(`document.querySelectorAll(".drawing .corner").length === 0`)
	require.Equal(t, pieces, is[int](b, `document.querySelectorAll("[data-piece]").length`))

	b.visit("/quilts/mat")
	says := func(patch string) string {
		return strings.TrimPrefix(is[string](b, element("#patch-"+patch)+`.getAttribute("aria-label")`), patch+": ")
	}
	first := says("A1")
	b.touch(element("#patch-A1"), 0, 0)
	b.until(`!!document.querySelector("form.picked")`)
	b.touch(element("#patch-C3"), 0, 0)
	b.says("A1 and C3 have changed places")
	require.Equal(t, first, says("C3"))

	// A finger that rests on a patch lifts its cloth, and lays it down elsewhere, while the
	// page lies still; one that moves at once moves the page; one that rests long picks.
	middle := func(patch string) [2]float64 {
		at := is[[]float64](b, `(r => [r.x + r.width / 2, r.y + r.height / 2])(`+element("#patch-"+patch)+`.getBoundingClientRect())`)
		return [2]float64{at[0], at[1]}
	}
	is[bool](b, element(".top")+`.scrollIntoView({block: "center"}), true`)
	scrolled := is[float64](b, "scrollY")
	require.Positive(t, scrolled)
	first = says("A2")
	from, to := middle("A2"), middle("C1")
	b.fingers([][2]float64{from}, to[0]-from[0], to[1]-from[1], element("#patch-A2")+`.classList.contains("dragged") && !!`+element(".lifted"))
	b.says("A2 and C1 have changed places")
	require.Equal(t, first, says("C1"))
	require.InDelta(t, scrolled, is[float64](b, "scrollY"), 1)
	require.False(t, is[bool](b, `!!document.querySelector(".lifted, .dragged, .over, [aria-pressed=true]")`))
	first = says("A2")
	from, to = middle("A2"), middle("B2")
	b.fingers([][2]float64{from}, 0, -200, "")
	b.until(fmt.Sprintf("scrollY > %f + 100", scrolled))
	require.Equal(t, first, says("A2"))
	require.False(t, is[bool](b, `!!document.querySelector(".lifted, .dragged, [aria-pressed=true]")`))
	is[bool](b, element(".top")+`.scrollIntoView({block: "center"}), true`)
	b.fingers([][2]float64{middle("B2")}, 0, 0, `!!`+element(".lifted"))
	b.until(element("#patch-B2") + `.getAttribute("aria-pressed") === "true"`)

	w := stocked(t)
	b = browse(w)
	b.run(chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	b.visit("/pieces/1")
	outline := element("[name=outline]") + `.value`
	before := is[string](b, outline)
	b.touch(element(".knob"), 20, 16)
	require.NotEqual(t, before, is[string](b, outline))
	require.Equal(t, strings.Split(before, "\n")[1:], strings.Split(is[string](b, outline), "\n")[1:], "one corner alone")
}

// On paper a photo that is mended is whole, and nothing is left to press.
func TestBrowserOnPaper(t *testing.T) {
	v := handed(t)
	_, _, at := v.send([]string{"table.jpg"}, table(t))
	b := browse(v)
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	require.NoError(t, err)
	for _, path := range []string{at, "/shelf", "/buy", "/plan" + query(arranged()...)} {
		b.visit(path)
		assert.Empty(t, is[[]string](b, `[...document.querySelectorAll("button, input, select, textarea")].filter(e => e.checkVisibility()).map(e => e.outerHTML.slice(0, 150))`), path)
		assert.Empty(t, is[[]string](b, `[...document.querySelectorAll("details:not([open]) > summary")].filter(e => e.checkVisibility() && e.parentElement.querySelector("form")).map(e => e.outerHTML.slice(0, 150))`), "%s: what cannot be opened", path)
	}
	b.visit(at)
	b.until(`document.querySelector(".stage").scrollHeight <= document.querySelector(".stage").clientHeight`)
}

// A photo that is lost on its way is named, and sent again: when that is said, and by
// itself when the network is back.
func TestBrowserLostOnItsWay(t *testing.T) {
	b := browse(visit(t))
	offline := func(is bool) {
		t.Helper()
		_, err := chromedp.Call(b.ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{{Offline: is, DownloadThroughput: -1, UploadThroughput: -1}}})
		require.NoError(t, err)
		_, err = chromedp.Call(b.ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: is, DownloadThroughput: -1, UploadThroughput: -1})
		require.NoError(t, err)
	}
	b.visit("/")
	offline(true)
	b.run(chromedp.SetUploadFiles(chromedp.CSS("input[name=photo]"), []string{b.photo()}))
	b.says("it was not sent whole")
	b.run(chromedp.Click(called("Send it again")))
	b.until(`!document.querySelector(".sending progress") && document.body.innerText.includes("it was not sent whole")`)
	offline(false)
	b.until(`location.pathname.includes("/look/")`)
	b.says("table.jpg")
	b.mu.Lock()
	b.wrong = nil // that the network was away
	b.mu.Unlock()
}

// A photo is mended by keys alone: pieces are chosen, a cross walks over the photo to draw
// one, and Escape leaves what was begun, then what is chosen, then the tool. What may be
// said stands beside the photo while pieces are chosen.
func TestBrowserMendingByKeyboard(t *testing.T) {
	v := visit(t)
	v.enter()
	_, _, at := v.send([]string{"table.jpg"}, table(t))
	b := browse(v)
	b.visit(at)
	key := func(focus string, keys ...string) {
		t.Helper()
		if focus != "" {
			b.run(chromedp.Focus(chromedp.CSS(focus)))
		}
		for _, k := range keys {
			b.run(chromedp.KeyEvent(k))
		}
	}
	chosen := func() []string {
		return is[[]string](b, `[...document.querySelectorAll(".pick :checked")].map(i => i.value)`)
	}
	tool := func() string {
		return is[string](b, `document.querySelector("[data-tool][aria-pressed=true]").dataset.tool`)
	}
	key(`[data-piece="1"]`, kb.Enter)
	key(`[data-piece="2"]`, " ")
	require.Equal(t, []string{"1", "2"}, chosen())
	require.True(t, is[bool](b, `(() => {
		const photo = document.querySelector(".stage").getBoundingClientRect(), answers = document.querySelector(".answers").getBoundingClientRect();
		return answers.left >= photo.right && answers.bottom <= innerHeight && answers.top >= 0;
	})()`), "what may be said stands beside the photo")
	key("", kb.Escape)
	require.Empty(t, chosen())
	key("[data-tool=draw]", kb.Enter)
	require.Equal(t, "draw", tool())
	key(".stage", kb.ArrowRight, kb.Enter, kb.ArrowRight, kb.ArrowRight, kb.Enter, kb.ArrowDown, kb.Enter)
	require.Equal(t, 3, is[int](b, `document.querySelectorAll(".drawing .corner").length`))
	key("", kb.Escape)
	require.Equal(t, 0, is[int](b, `document.querySelectorAll(".drawing .corner").length`))
	require.Equal(t, "draw", tool())
	key("", kb.Escape)
	require.Equal(t, "choose", tool())
	key("[data-tool=part]", kb.Enter)
	key(".stage", kb.ArrowLeft, kb.Enter, kb.ArrowLeft, kb.ArrowDown, kb.Enter)
	require.True(t, is[bool](b, `document.querySelector("form.drawn [name=do]").checkVisibility() && document.querySelector("form.drawn [name=do]").value === "part"`))
}

// expect takes it that the browser complained of an address.
func (b *tab) expect(path string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.wrong = slices.DeleteFunc(b.wrong, func(s string) bool { return strings.HasSuffix(s, b.to(path)) })
}

// A page elsewhere that is open in the same browser sends forms and asks for pages: it
// is refused, and learns nothing.
func TestBrowserHostilePage(t *testing.T) {
	v := filled(t)
	v.enter()
	_, before, _ := v.get("/history")
	b := browse(v)
	hostile := elsewhere(t, `<!DOCTYPE html><title>offers</title><iframe name="hole"></iframe>
<form method="post" target="hole" action="`+v.to("/undo")+`"><button>win</button></form>`)
	for _, from := range []string{hostile, strings.Replace(hostile, "127.0.0.1", "localhost", 1)} {
		b.run(chromedp.Navigate(from))
		got := is[[]string](b, `(async () => {
			const out = [];
			document.forms[0].submit();
			for (const [path, o] of [["/undo", {method: "POST", mode: "no-cors", credentials: "include"}], ["/undo", {method: "POST", credentials: "include"}], ["/shelf", {credentials: "include"}], ["/shelf", {mode: "no-cors", credentials: "include"}]])
				out.push(await fetch("`+v.to("")+`" + path, o).then(async r => r.type + " " + (await r.text()).length, e => "refused"));
			const picture = new Image();
			picture.src = "`+v.to("/pieces/1")+`";
			out.push(await picture.decode().then(() => "seen", () => "refused"));
			return out;
		})()`)
		for _, answer := range got {
			assert.Contains(t, []string{"refused", "opaque 0"}, answer)
		}
		b.until(`document.querySelector("iframe").contentWindow.length === 0`)
	}
	b.mu.Lock()
	b.wrong = nil // it asked for the hostile page, and its scripts were refused
	b.mu.Unlock()
	_, after, _ := v.get("/history")
	require.Equal(t, before, after, "nothing was changed")
}

// elsewhere is a page of another server.
func elsewhere(t *testing.T, page string) string {
	h := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		assert.Empty(t, r.Header.Get("Cookie"), "a session is sent to another server of this machine")
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, page)
	}))
	t.Cleanup(h.Close)
	return h.URL
}

// A page that says how far the work is leads on to the answer by itself, with scripts and
// without.
func TestBrowserSlowWork(t *testing.T) {
	v := filled(t)
	v.enter()
	b := browse(v)
	v.server.slow.soon = 0
	b.visit("/arrange" + query(arranged()...))
	b.says("The layout")
	b.scriptsOff()
	b.visit("/plan" + query(arranged()...))
	b.says("Before you cut")
	b.write("Keep it as", "..")
	b.press("Keep it, with its cloth")
	b.says("kept as ..")
	b.leads(chromedp.Click(chromedp.CSS("main a[href*='/quilts/=..']")))
	b.says("It is planned, and not laid out yet")
}
