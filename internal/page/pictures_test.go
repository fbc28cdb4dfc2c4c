//go:build pictures

package page

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"piecebag/samples"
)

// Makes the pictures of the page for README.md, of the stash that PIECEBAG_STASH names, in
// the folder that PIECEBAG_PICTURES names; samples/SOURCES.md says how.
func TestPictures(t *testing.T) {
	v := visit(t)
	b := browse(v)
	keep := func(name string) {
		t.Helper()
		png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(os.Getenv("PIECEBAG_PICTURES"), name), png, 0o600))
	}
	photo, err := samples.Photos.ReadFile("table.jpg")
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "table.jpg")
	require.NoError(t, os.WriteFile(file, photo, 0o600))
	b.run(chromedp.EmulateViewport(1180, 860))
	b.leads(chromedp.SetUploadFiles(chromedp.CSS("input[name=photo]"), []string{file}))
	b.run(chromedp.Click(chromedp.CSS(`[data-piece="7"] .edge`)))
	b.until(`!!document.querySelector("#mend.picked")`)
	keep("mend.png")

	b.close()
	v.stash = os.Getenv("PIECEBAG_STASH")
	v.restart()
	b = browse(v)
	b.run(chromedp.EmulateViewport(1180, 860))
	b.visit("/shelf")
	is[bool](b, `([...document.querySelectorAll("summary")].find(s => s.innerText.startsWith("teal")).click(), true)`)
	b.until(`[...document.querySelectorAll("details[open] img")].every(i => i.complete)`)
	keep("shelf-page.png")
}
