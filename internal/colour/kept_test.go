package colour

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
	"piecebag/internal/testtable"
)

// Colours all over and beyond the gamut, in every space, as they were kept: each formula is held
// against its published figures in the other tests.
func TestColoursAreAsKept(t *testing.T) {
	var lines []string
	var all []Linear
	for r := range 4 {
		for g := range 4 {
			for b := range 3 {
				all = append(all, Linear{float64(r*r) / 9, float64(g*g) / 9, float64(b*b) / 4})
			}
		}
	}
	all = append(all, Linear{-0.05, 0.3, 1.2}, Linear{1.3, 1.2, 1.1}, Linear{1e-4, 2e-4, 5e-5}, Linear{0.0031, 0.0032, 0.003})
	for i, c := range all {
		lab, d50, ok := c.Lab(), c.XYZ().LabD50(), c.OKLab()
		lch, okch, m := lab.LCh(), ok.OKLCh(), ToMunsell(c)
		next := all[(i+1)%len(all)]
		lines = append(lines, fmt.Sprintf("%.4f: XYZ %.5f, Lab %.4f, D50 %.4f, LCh %.4f, OKLab %.5f, OKLCh %.5f, Munsell %.4f %s, Y %.5f, luma %.5f, codes %.5f, %s %v, in gamut %v; to the next ΔE %.4f and %.4f, contrast %.4f",
			c, c.XYZ(), lab, d50, lch, ok, okch, m, m, c.Luminance(), Luma(c[0], c[1], c[2]), c.SRGB(), c.Hex(), c.Bytes(), c.InGamut(0.1), DeltaE76(lab, next.Lab()), DeltaE00(lab, next.Lab()), Contrast(c, next)))
		for what, back := range map[string]Linear{"Lab": lab.Linear(), "LCh": lch.Lab().Linear(), "OKLab": ok.Linear(), "OKLCh": okch.OKLab().Linear(), "D50": d50.XYZ().Linear(), "XYZ": c.XYZ().Linear(), "sRGB": c.SRGB().Linear()} {
			for k := range c {
				require.InDelta(t, c[k], back[k], 1e-6, "%s of %v", what, c)
			}
		}
		require.InDelta(t, 0.2126*c[0]+0.7152*c[1]+0.0722*c[2], Luma(c[0], c[1], c[2]), 1e-12)
	}
	for _, cone := range []Cone{Bradford, CAT02} {
		lines = append(lines, fmt.Sprintf("adapted %.5f, linear %.5f", Adapt(WhiteD65, WhiteC, cone), AdaptLinear(Linear{0.9, 0.8, 0.6}, Linear{1, 1, 1}, cone)))
	}
	for _, m := range []Munsell{{5, 5, 10}, {100, 9.5, 1}, {0.1, 0.5, 3}, {-3, 4, 6}, {250, 7, 30}, {50, 10, 2}, {12.5, 0, 4}, {7, 11, 2}, {math.NaN(), 5, 5}, {math.Inf(1), 5, 5}, {30, -1, 5}, {33, 6, -2}} {
		lines = append(lines, fmt.Sprintf("%v: %.5f %s", m, m.Linear(), m))
	}
	for _, y := range []float64{-1, 0, 1e-9, 0.001, 0.0312, 0.2, 0.59, 0.9999, 1, 2} {
		v := MunsellValue(y)
		lines = append(lines, fmt.Sprintf("Y %v has value %.6f, which has %.6f", y, v, MunsellY(v)))
	}
	testtable.Kept(t, "colours", lines, 1e-6)
	// IEC 61966-2-1: the straight part ends at codes of 0.04045.
	for _, c := range [][2]float64{{0, 0}, {0.04045, 0.04045 / 12.92}, {0.0404, 0.0404 / 12.92}, {0.05, math.Pow(0.105/1.055, 2.4)}, {1, 1}} {
		require.InDelta(t, c[1], DecodeSRGB(c[0]), 1e-12)
		require.InDelta(t, c[0], EncodeSRGB(c[1]), 1e-7)
	}
}

// Every way to write a colour, and every way to miss it.
func TestColoursAreReadAsKept(t *testing.T) {
	all := map[string]string{}
	for _, text := range []string{"#7ab", "7a9bb5", "#7A9BB5", "#12", "#12345", "#1234", "#12345678", "#1234567", "xyz", "#xyz", "", " ",
		"rgb(122 155 181)", "rgb(122, 155, 181)", "rgb(50% 0% 100%)", "rgb(300 0 0)", "rgb(1 2)", "rgb(1 2 3 4)", "rgb(1 2 3 / 1)", "rgb(1 2 3 / 0.5)", "rgba(1, 2, 3, 100%)", "rgb(1 2 x)", "rgb()", "rgb(1 2 3", "hsl(1 2 3)", "hwb(1 2 3)",
		"lab(62% -8 -17)", "lab(62 -8 -17)", "lab(62% 50% -50%)", "lab(110 0 0)", "lch(62% 20 240)", "lch(62 20 240deg)", "lch(62 20 0.5turn)", "lch(62 20 3.14rad)", "lch(62 20 200grad)", "lch(62 50% 240)", "lch(62 -5 240)", "oklab(0.68 -0.02 -0.05)", "oklab(68% -5% 12%)", "oklch(0.68 0.05 244)", "oklch(68% 12% 244)", "oklch(none 0.05 244)", "lab(none none none)",
		"5PB 6/4", "5pb6/4", "10RP 5/2", "0R 5/2", "11R 5/2", "5R -1/2", "5R 10.5/2", "5R 10/2", "5R 5/50", "5R 5/51", "5R 5/-1", "5R 5", "5X 5/2", "R 5/2", "5R/2", "5R 5/", "N 5/", "N5", "N 5/0", "N 5/1", "n 11/", "N", "N /", "5YR 7.5/10.25", "lab(1e9 0 0)", "rgb(1e9 0 0)", "5R 5/2/3"} {
		c, err := ParseColour(text)
		if err != nil {
			all[text] = err.Error() + " → " + fault.Of(err).Remedy
			continue
		}
		all[text] = fmt.Sprintf("%.5f", c)
	}
	testtable.Kept(t, "read", all, 0)
}
