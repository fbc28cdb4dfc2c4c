package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/desk"
	"piecebag/internal/recipe"
)

// Contrast shows prints against a background.
type Contrast struct {
	desk.Contrast
	Crops map[string]*Crop // of prints, by name
	Why   bool             // write the arithmetic out
}

// Document shows the verdicts, the pull on its background in colour and in grey,
// the best backgrounds and the balance of values.
func (c Contrast) Document() Document {
	d := Document{
		title: "Prints against " + c.Background.Name,
		lead:  c.lead(),
		sections: []section{
			{Heading: "The verdict", Facts: c.verdict()},
			{Heading: "On the background", Drawings: []drawing{c.drawing(), c.drawing().grey()},
				Caption: "The pull on the background, and the same in grey, with only light and dark left."},
			c.verdicts(),
		},
		fine: []string{
			"Bands are steps of the Munsell value scale (ASTM D1535), which is even to the eye: under one step a print sinks, one to two it is soft, over two it stands clear. These limits are our own judgement; none has been published for quilts.",
			"The ratio is borrowed: WCAG 2.1 (1.4.11) asks 3:1 of signs on a screen. It was not made for cloth.",
		},
	}
	if len(c.Choices) > 0 {
		d.sections = append(d.sections, c.choices())
	}
	if c.Recipe != "" {
		d.sections = append(d.sections, c.balance())
		d.fine = append(d.fine, "Counting in light, medium and dark is common practice, no source.")
	}
	if c.Why {
		d.sections = append(d.sections, section{Heading: "Why", Whys: c.whys()})
	}
	return d
}

// judged is a print with the verdict on it.
type judged struct {
	contrast.Print
	contrast.Verdict
}

// judged gives the prints, those that sink first.
func (c Contrast) judged() []judged {
	all := mapped(c.Pull, func(p contrast.Print) judged { return judged{p, contrast.Against(c.Background, p)} })
	slices.SortStableFunc(all, func(a, b judged) int {
		return slices.Index(contrast.Bands[:], a.Counts) - slices.Index(contrast.Bands[:], b.Counts)
	})
	return all
}

// whys is the arithmetic of every verdict. Luminance is that of white = 1.
func (c Contrast) whys() []recipe.Why {
	b := c.Background
	var out []recipe.Why
	for _, p := range c.Pull {
		v := contrast.Against(b, p)
		light, dark := max(b.Luminance(), p.Luminance()), min(b.Luminance(), p.Luminance())
		w := recipe.Why{Text: p.Name + ": " + string(v.Counts), Steps: []recipe.Why{
			{Text: fmt.Sprintf("L* %s − %s = %s", tenth(p.Lightness()), tenth(b.Lightness()), signedTo(v.Gap, 1))},
			{Text: fmt.Sprintf("Munsell value %.2f − %.2f: %.2f steps apart; under 1 sinks, 1 to 2 is soft, over 2 stands clear", p.MunsellValue(), b.MunsellValue(), math.Abs(v.Steps))},
			{Text: fmt.Sprintf("(luminance %.3f + 0.05) ÷ (%.3f + 0.05) = %s, to be held against the borrowed 3", light, dark, ratioFigure(v.Ratio))},
		}}
		if v.Spread > 0 {
			w.Steps = append(w.Steps, recipe.Why{Text: fmt.Sprintf("its inks spread %.2f steps about their mean; 1 or more is mixed", v.Spread)})
		}
		out = append(out, w)
	}
	return out
}

func (c Contrast) lead() string {
	held := map[contrast.Band]int{}
	mixed := 0
	for _, v := range c.judged() {
		held[v.Counts]++
		if v.Verdict.Mixed {
			mixed++
		}
	}
	s := fmt.Sprintf("%s: %d clear, %d soft, %d sinking", cloth.Count(len(c.Pull), "print"), held[contrast.Clear], held[contrast.Soft], held[contrast.Sinks])
	if mixed > 0 {
		s += fmt.Sprintf("; %d of mixed value", mixed)
	}
	s += "."
	if c.Unmeasured > 0 {
		s += fmt.Sprintf(" Left out: %s entered by hand, whose colour was never measured. Photograph and recount them to have them here.", cloth.Count(c.Unmeasured, "piece"))
	}
	return s
}

// verdict names the prints of each band.
func (c Contrast) verdict() []fact {
	return mapped(grouped(c.judged(), func(v judged) contrast.Band { return v.Counts }), func(g group[contrast.Band, judged]) fact {
		return fact{What: string(g.key), Words: someOf(mapped(g.all, func(v judged) string { return v.Name }))}
	})
}

// manyPrints is from how many on prints are folded behind those that matter most.
const manyPrints = 16

// mostMixed is how many prints of mixed value are spoken of one by one before the rest
// are folded away.
const mostMixed = 3

// verdicts are a row a print, those that sink first.
func (c Contrast) verdicts() section {
	t := table{Columns: columns("print", ">pieces", ">L* gap", ">steps", ">ΔE00", ">ratio", "")}
	s := section{Heading: "Print by print"}
	for _, v := range c.judged() {
		words := string(v.Counts)
		if v.Verdict.Mixed {
			words += "; mixed value, look again"
			s.Items = append(s.Items, mixedWords(v))
		}
		t.add(c.cell(v.Print), v.Pieces, signedTo(v.Gap, 1), signedTo(v.Steps, 2), tenth(v.DeltaE), ratioWords(v.Ratio), words)
	}
	if n := len(s.Items) - mostMixed; n > 0 {
		s.Fold, s.More = mostMixed, fmt.Sprintf("and %s more of mixed value: each has lights and darks of its own, so look at it on the background", cloth.Count(n, "print"))
	}
	if len(t.Rows) > manyPrints {
		t.Fold = manyPrints / 2
		t.More = fmt.Sprintf("and %d more, which stand clearer: --html and --json have them all", len(t.Rows)-t.Fold)
	}
	if len(t.Rows) > 0 {
		s.Tables = []table{t}
		s.Paras = []string{fmt.Sprintf("The background, %s, has L* %s, Munsell value %s.", c.Background.Name, tenth(c.Background.Lightness()), strconv.FormatFloat(c.Background.MunsellValue(), 'f', 2, 64))}
		if c.Background.Mixed() {
			s.Paras = append(s.Paras, "It is of mixed value itself: no print stands the same on all of it.")
		}
	}
	return s
}

// chip shows a print.
func (c Contrast) chip(p contrast.Print) chip {
	return chip{Reads: p.Reads, Inks: p.Inks, Crop: c.Crops[p.Name], Some: true}
}

// cell names a print beside its colour.
func (c Contrast) cell(p contrast.Print) cell {
	return cell{Words: p.Name, Chip: c.chip(p), Exact: true}
}

func mixedWords(v judged) string {
	words := fmt.Sprintf("%s is of mixed value: its lights and darks spread %s steps about their mean", v.Name, tenth(v.Verdict.Spread))
	if v.Sunk == 0 {
		return words + ", which blurs the edges of patches, though none of it lies within a step of the background."
	}
	words += fmt.Sprintf(", and %s of it lies within a step of the background.", percent(v.Sunk))
	if v.Counts != v.Band {
		words += " It counts as " + countsAs(v.Counts) + ", though by its mean it " + bandVerb(v.Band) + "."
	}
	return words
}

func countsAs(b contrast.Band) string {
	return map[contrast.Band]string{contrast.Sinks: "sinking", contrast.Soft: "soft", contrast.Clear: "standing clear"}[b]
}

// bandVerb is a band after "it".
func bandVerb(b contrast.Band) string {
	if b == contrast.Soft {
		return "is soft"
	}
	return string(b)
}

// ratioFigure writes a ratio to two decimals, never rounded up to a pass.
func ratioFigure(r float64) string {
	shown := round(r, 100)
	if r < contrast.LeastRatio && shown >= contrast.LeastRatio {
		shown -= 0.01
	}
	return strconv.FormatFloat(shown, 'f', 2, 64)
}

func ratioWords(r float64) string {
	s := ratioFigure(r) + ":1"
	if r < contrast.LeastRatio {
		return s + ", under 3"
	}
	return s
}

func tenth(v float64) string { return number(v, 10) }

// signedTo writes a number with its sign to so many decimals.
func signedTo(v float64, decimals int) string {
	switch s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64); {
	case strings.Trim(s, "0.") == "":
		return "0"
	case v < 0:
		return "−" + s
	default:
		return "+" + s
	}
}

// mostChoices is how many backgrounds are worth reading about.
const mostChoices = 8

func (c Contrast) choices() section {
	t := table{Columns: columns("background", ">clear", ">soft", ">sinking", ">least gap")}
	for _, k := range c.Choices[:min(len(c.Choices), mostChoices)] {
		b := c.Backgrounds[k.Background]
		name := c.cell(b)
		if b.Mixed() {
			name.Words += ", mixed"
		}
		if b.Small() {
			name.Words += ", small"
		}
		t.add(name, k.Clear, k.Soft, k.Sinking, fmt.Sprintf("%.2f steps", k.Least))
	}
	s := section{
		Heading: "Best backgrounds for this pull", Tables: []table{t},
		Paras: []string{"Numbers are pieces of the pull. A print of mixed value that sinks in part counts one band lower. The background on which the fewest sink comes first, then the one with the fewest soft."},
	}
	if c.Small {
		s.Paras = append(s.Paras, "No cloth in the stash is large enough for a background. These are colours to look for.")
	}
	return s
}

func (c Contrast) balance() section {
	t := table{Columns: columns("value", ">pulled", ">"+c.Recipe+" takes", "")}
	for _, r := range c.Balance.Rows {
		words := ""
		switch d := r.Held - r.Wanted; {
		case d < 0:
			words = fmt.Sprintf("%d short", -d)
		case d > 0:
			words = fmt.Sprintf("%d over", d)
		}
		t.add(r.Tone, r.Held, r.Wanted, words)
	}
	s := section{Heading: "Balance of light and dark", Tables: []table{t}}
	if c.Balance.Any > 0 {
		s.Paras = append(s.Paras, fmt.Sprintf("Besides these %s takes %s of any value.", c.Recipe, cloth.Count(c.Balance.Any, "piece")))
	}
	s.Paras = append(s.Paras, "Numbers are pieces as cut. Cloth too small for any of them is not counted.")
	s.Items = c.swaps()
	return s
}

// swaps says in a line each what is short and what of the pull may stand in for
// it, and what is over.
func (c Contrast) swaps() []string {
	var lines []string
	for _, r := range c.Balance.Rows {
		short := r.Wanted - r.Held
		if short <= 0 {
			continue
		}
		var names []string
		for _, w := range c.Balance.Swaps {
			if w.To == r.Tone && w.StandIn {
				names = append(names, fmt.Sprintf("%s (%d)", c.Pull[w.Print].Name, w.Pieces))
				short -= w.Pieces
			}
		}
		line := fmt.Sprintf("find %d more %s pieces", short, r.Tone)
		if short == 0 {
			line = fmt.Sprintf("no more %s pieces need be found", r.Tone)
		}
		if names != nil {
			line += "; these may stand in: " + someOf(names)
		}
		lines = append(lines, line)
	}
	if lines == nil {
		return nil
	}
	for _, r := range c.Balance.Rows {
		if over := r.Held - r.Wanted; over > 0 {
			var names []string
			for _, w := range c.Balance.Swaps {
				if w.From == r.Tone && !w.StandIn {
					names = append(names, fmt.Sprintf("%s (%d)", c.Pull[w.Print].Name, w.Pieces))
				}
			}
			if names != nil {
				lines = append(lines, fmt.Sprintf("take fewer %s pieces: %s", r.Tone, someOf(names)))
			}
		}
	}
	return lines
}

// mostNamed is how many prints a line names.
const mostNamed = 6

func someOf(names []string) string {
	if len(names) <= mostNamed {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNamed], ", "), len(names)-mostNamed)
}

// drawing lays the prints on the background in rows, those that sink first.
func (c Contrast) drawing() drawing {
	const side, gap, across = 10.0, 3.0, 8
	n := len(c.Pull)
	columns := max(1, min(across, n))
	rows := max(1, (n+columns-1)/columns)
	d := drawing{
		W: gap + float64(columns)*(side+gap), H: gap + float64(rows)*(side+gap),
		Title: fmt.Sprintf("%s on %s", cloth.Count(n, "print"), c.Background.Name),
	}
	d.Shapes = append(d.Shapes, shape{Points: rect(0, 0, d.W, d.H), Fill: c.Background.Colour})
	for i, v := range c.judged() {
		s := c.chip(v.Print).fill(rect(gap+float64(i%columns)*(side+gap), gap+float64(i/columns)*(side+gap), side, side))
		s.Seamless, s.Title = true, v.Name
		d.Shapes = append(d.Shapes, s)
	}
	return d
}
