package report

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/colour"
)

// WCAG 2.1, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05), so black
// on white is 21; #767676 is the lightest grey that reaches 4.5 on white and
// #777777 does not (calculated by that formula: 4.54 and 4.48).
func TestContrastRatio(t *testing.T) {
	white := colour.Linear{1, 1, 1}
	require.InDelta(t, 21, ratioOf(white, colour.Linear{}), 1e-9)
	require.InDelta(t, 21, ratioOf(colour.Linear{}, white), 1e-9)
	require.InDelta(t, 1, ratioOf(white, white), 1e-9)
	require.InDelta(t, 4.54, ratioOf(hex(0x76, 0x76, 0x76), white), 0.005)
	require.InDelta(t, 4.48, ratioOf(hex(0x77, 0x77, 0x77), white), 0.005)
	require.InDelta(t, 5.25, ratioOf(hex(255, 0, 0), colour.Linear{}), 0.005)
}

// Words on a swatch are readable whatever its colour.
func TestInkOnAnySwatch(t *testing.T) {
	for r := 0; r < 256; r += 15 {
		for g := 0; g < 256; g += 15 {
			for b := 0; b < 256; b += 15 {
				c := hex(uint8(r), uint8(g), uint8(b))
				require.GreaterOrEqual(t, ratioOf(c, inkOn(c)), minContrast, c.Hex())
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
					require.GreaterOrEqual(t, ratioOf(tokens[ink], tokens[ground]), least, "%s on %s", ink, ground)
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
		"paper": contactPaper, "ink": contactInk, "soft": contactSoft, "edge": contactEdge, "thread": contactRule, "card": cardPaper,
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
