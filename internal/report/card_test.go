package report

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/card"
)

// filled are the rectangles that a PDF's page fills, in points of 1/72 inch
// (ISO 32000-1, 8.5.2.1): x, y of a corner, width, height.
func filled(t *testing.T, pdf []byte) (out [][4]float64) {
	t.Helper()
	rect := regexp.MustCompile(`(-?[\d.]+) (-?[\d.]+) (-?[\d.]+) (-?[\d.]+) re f`)
	for _, m := range rect.FindAllStringSubmatch(unpacked(pdf), -1) {
		var r [4]float64
		for i := range r {
			var err error
			r[i], err = strconv.ParseFloat(m[i+1], 64)
			require.NoError(t, err)
		}
		out = append(out, r)
	}
	return out
}

// unpacked is what a PDF draws, all that it holds unpacked.
func unpacked(pdf []byte) string {
	var out []byte
	for _, part := range bytes.Split(pdf, []byte("stream\n")) {
		z, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		if page, err := io.ReadAll(z); err == nil {
			out = append(out, page...)
		}
	}
	return string(out)
}

// The card is printed at its size: pages of 8½ × 11 in (ANSI Y14.1) and of
// 210 × 297 mm (ISO 216), a check line of 4 in, marks of 1¼ in, all within a
// hundredth of a point, in the middle of the page.
func TestCardIsOfItsSize(t *testing.T) {
	for paper, box := range map[string]string{"letter": "[0 0 612.00 792.00]", "a4": "[0 0 595.28 841.89]"} {
		var w bytes.Buffer
		require.NoError(t, Card(&w, paper))
		require.Contains(t, w.String(), "/MediaBox "+box)
		rects := filled(t, w.Bytes())
		require.Len(t, rects, len(card.Shapes()))
		lines, rings := 0, 0
		left, right := 1e9, -1e9
		for _, r := range rects {
			if r[2] == 4*72 && r[3] == -0.03*72 {
				lines++
			}
			if r[2] == 1.25*72 && r[3] == -0.25*72 {
				rings++
			}
			left, right = min(left, r[0]), max(right, r[0]+r[2])
		}
		require.Equal(t, 1, lines, paper)
		require.Equal(t, 8, rings, "two whole sides of each of four rings")
		var pageWidth float64
		_, err := fmt.Sscanf(box, "[0 0 %f", &pageWidth)
		require.NoError(t, err)
		require.InDelta(t, pageWidth/2, (left+right)/2, 0.02)
		require.InDelta(t, 4.5*72, right-left, 0.02)
	}
}

func TestCardIsTheSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, Card(&a, "a4"))
	require.NoError(t, Card(&b, "a4"))
	require.Equal(t, a.Bytes(), b.Bytes())
	require.ErrorContains(t, Card(&a, "a5"), "a5")
}

func TestCardGolden(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Card(&b, "letter"))
	golden(t, "card.pdf.txt", []byte(inPDF(t, b.Bytes())))
}
