package page

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/disintegration/imaging"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"
)

// readQR reads a QR code as a camera's program does: from nearer where it fails, for the
// reader's own measure of a module is a pixel off at times.
func readQR(t *testing.T, m image.Image) string {
	t.Helper()
	for _, nearer := range []int{4, 6, 7, 8} { // quarters
		bitmap, err := gozxing.NewBinaryBitmapFromImage(imaging.Resize(m, m.Bounds().Dx()*nearer/4, 0, imaging.Linear))
		require.NoError(t, err)
		if got, err := qrcode.NewQRCodeReader().Decode(bitmap, nil); err == nil {
			return got.GetText()
		}
	}
	t.Fatal("it is not read at any size")
	return ""
}

// inTerminal is text as a terminal shows it that knows half blocks and colours, a module
// of a letter's width and half its height.
func inTerminal(t *testing.T, text string) image.Image {
	t.Helper()
	const side = 6
	var lines []string
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\n"), "\n") {
		inner, ok := strings.CutPrefix(line, "\x1b[30;107m")
		require.True(t, ok, "black on white, whatever the terminal's colours are")
		inner, ok = strings.CutSuffix(inner, "\x1b[0m")
		require.True(t, ok)
		lines = append(lines, inner)
	}
	m := image.NewGray(image.Rect(0, 0, side*utf8.RuneCountInString(lines[0]), 2*side*len(lines)))
	for y, line := range lines {
		for x, r := range []rune(line) {
			half := map[rune][2]bool{' ': {}, '█': {true, true}, '▀': {true, false}, '▄': {false, true}}[r]
			for i, black := range half {
				for k := range side * side {
					shade := uint8(255)
					if black {
						shade = 0
					}
					m.SetGray(side*x+k%side, side*(2*y+i)+k/side, color.Gray{Y: shade})
				}
			}
		}
	}
	return m
}

// The picture in the terminal leads a phone to the page, whatever the address.
func TestQRInTheTerminal(t *testing.T) {
	for _, address := range []string{"http://192.168.1.5:8123/pair", "http://10.0.0.1:80/pair", "http://192.168.100.200:65535/pair"} {
		text, err := QR(address)
		require.NoError(t, err)
		require.Equal(t, address, readQR(t, inTerminal(t, text)))
	}
}

// So does the one on the page, as it is seen there, by day and by night, also on a small
// window.
func TestBrowserQR(t *testing.T) {
	v := visit(t)
	phone := v.caller("127.0.0.2")
	b := browse(v)
	for _, wide := range []int64{1280, 360} {
		b.run(chromedp.EmulateViewport(wide, 800))
		for _, light := range []string{"light", "dark"} {
			_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: light}}})
			require.NoError(t, err)
			b.visit("/phone")
			data, err := chromedp.Run(b.ctx, chromedp.Screenshot(chromedp.CSS(".qr")))
			require.NoError(t, err)
			m, err := png.Decode(bytes.NewReader(data))
			require.NoError(t, err)
			require.Equal(t, phone.at+"/pair", readQR(t, m), "%d px, %s", wide, light)
		}
	}
	require.Regexp(t, regexp.MustCompile(`as a QR code`), is[string](b, `document.querySelector(".qr").getAttribute("aria-label")`))
}
