package report

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/colour"
)

// minContrast is the least contrast of text of any size (WCAG 2.1, success criterion
// 1.4.3, level AA).
const minContrast = 4.5

// Words on a swatch are readable whatever its colour.
func TestInkOnAnySwatch(t *testing.T) {
	for r := 0; r < 256; r += 15 {
		for g := 0; g < 256; g += 15 {
			for b := 0; b < 256; b += 15 {
				c := hex(uint8(r), uint8(g), uint8(b))
				require.GreaterOrEqual(t, colour.Contrast(c, inkOn(c)), minContrast, c.Hex())
			}
		}
	}
	// Outside the gamut the colour that is shown decides.
	require.Equal(t, colour.Linear{1, 1, 1}, inkOn(colour.Linear{-0.5, -0.2, 0.01}))
}

// textPairs are the colours of words in the style sheet and what may lie behind
// them.
var textPairs = map[string][]string{
	"ink":    {"paper", "card"},
	"soft":   {"paper", "card"},
	"thread": {"paper", "card"},
}

// edgePairs are lines that carry meaning: 3 : 1 (WCAG 2.1, 1.4.11).
var edgePairs = map[string][]string{
	"edge":   {"paper", "card"},
	"thread": {"paper", "card"},
}

func TestStyleSheetContrast(t *testing.T) {
	style, err := templates.ReadFile("template/document.css")
	require.NoError(t, err)
	// The light tokens, then the dark ones in their place.
	roots := regexp.MustCompile(`:root \{[^}]*\}`)
	tokens := map[string]colour.Linear{}
	require.Len(t, roots.FindAllString(string(style), -1), 2)
	for _, root := range roots.FindAllString(string(style), -1) {
		for _, m := range regexp.MustCompile(`--(\w+): (#[0-9a-f]{6});`).FindAllStringSubmatch(root, -1) {
			tokens[m[1]] = parseHex(t, m[2])
		}
		for least, pairs := range map[float64]map[string][]string{minContrast: textPairs, 3: edgePairs} {
			for ink, grounds := range pairs {
				for _, ground := range grounds {
					require.Contains(t, tokens, ink)
					require.Contains(t, tokens, ground)
					require.GreaterOrEqual(t, colour.Contrast(tokens[ink], tokens[ground]), least, "%s on %s", ink, ground)
				}
			}
		}
	}

	// No colour gets into the style sheet past the table above.
	rules := roots.ReplaceAllString(string(style), "")
	require.NotRegexp(t, `#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(|oklch\(`, rules, "colours are named in :root")
	for _, m := range regexp.MustCompile(`(?:^|[\s;{])(?:color|fill): var\(--(\w+)\)`).FindAllStringSubmatch(rules, -1) {
		if m[1] == "card" { // the blank sheet under outlines, no words
			continue
		}
		require.Contains(t, textPairs, m[1])
	}
	for _, m := range regexp.MustCompile(`background: var\(--(\w+)\)`).FindAllStringSubmatch(rules, -1) {
		require.Contains(t, textPairs["ink"], m[1])
	}
}

// The contact sheet and the cut-outs use the page's colours.
func TestPictureColoursAreThePages(t *testing.T) {
	style, err := templates.ReadFile("template/document.css")
	require.NoError(t, err)
	for token, c := range map[string]interface{ RGBA() (r, g, b, a uint32) }{
		"paper": contactPaper, "ink": inkInk, "soft": softInk, "line": lineInk, "edge": edgeInk, "thread": threadInk, "card": cardPaper,
	} {
		r, g, b, _ := c.RGBA()
		require.Contains(t, string(style), "--"+token+": "+hex(uint8(r>>8), uint8(g>>8), uint8(b>>8)).Hex()+";")
	}
}

func parseHex(t *testing.T, s string) colour.Linear {
	t.Helper()
	var c [3]uint8
	for i := range c {
		for _, d := range s[1+2*i : 3+2*i] {
			c[i] = c[i]<<4 | uint8(strings.IndexRune("0123456789abcdef", d))
		}
	}
	return hex(c[0], c[1], c[2])
}
