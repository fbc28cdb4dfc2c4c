package report

import (
	"cmp"
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
		title: "Prints against " + c.ground(),
		lead:  c.lead(),
		sections: []section{
			{Heading: "The verdict", Paras: c.best(), Tables: []table{c.verdict()}},
			{Heading: "On the background", Drawings: c.plates(), Wide: true,
				Caption: "Below each print it lies in grey, on the background in grey: only light and dark are left."},
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

// judged returns the prints, those that sink first, and of one band those of most pieces.
func (c Contrast) judged() []judged {
	all := mapped(c.Pull, func(p contrast.Print) judged { return judged{p, contrast.Against(c.Background, p)} })
	slices.SortStableFunc(all, func(a, b judged) int {
		return cmp.Or(cmp.Compare(slices.Index(contrast.Bands, a.Counts), slices.Index(contrast.Bands, b.Counts)), cmp.Compare(b.Pieces, a.Pieces))
	})
	return all
}

// bands returns the prints band by band.
func (c Contrast) bands() []group[contrast.Band, judged] {
	return grouped(c.judged(), func(v judged) contrast.Band { return v.Counts })
}

// whys returns the arithmetic of every verdict. Luminance is that of white = 1.
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

// lead counts pieces, as all of the document does.
func (c Contrast) lead() string {
	held := map[contrast.Band]int{}
	mixed := 0
	for _, v := range c.judged() {
		held[v.Counts] += v.Pieces
		if v.Verdict.Mixed {
			mixed++
		}
	}
	s := fmt.Sprintf("%s of %s: %s, %s, %s", cloth.Count(piecesOf(c.Pull), "piece"), cloth.Count(len(c.Pull), "print"),
		stand(held[contrast.Clear], "stands clear", "stand clear"), stand(held[contrast.Soft], "is soft", "are soft"), stand(held[contrast.Sinks], "sinks", "sink"))
	if mixed > 0 {
		s += "; " + verbs(mixed, "print", "is", "are") + " of mixed value"
	}
	s += "."
	if c.Unmeasured > 0 {
		s += fmt.Sprintf(" Left out: %s entered by hand, whose colour was never measured. Photograph and recount them to have them here.", cloth.Count(c.Unmeasured, "piece"))
	}
	return s
}

// stand returns a number with its verb.
func stand(n int, one, more string) string {
	if n == 1 {
		more = one
	}
	return strconv.Itoa(n) + " " + more
}

func piecesOf(all []contrast.Print) (n int) {
	for _, p := range all {
		n += p.Pieces
	}
	return n
}

// called returns what a print is by its colour and its name: "dark blue, print 74".
func called(p contrast.Print) string {
	words := binWords("", p.Family, p.Value)
	switch {
	case words == "":
		return p.Name
	case p.Name == "":
		return words
	case strings.HasPrefix(p.Name, words): // as you named it
		return p.Name
	}
	if n := cloth.ShortPrint(p.Name); n != p.Name {
		return words + ", " + printNamed(p.Name)
	}
	return words + ", " + p.Name
}

// ground returns what the background is called: where no cloth is large enough for one, its
// colour alone.
func (c Contrast) ground() string {
	if c.Small {
		return cmp.Or(binWords("", c.Background.Family, c.Background.Value), c.Background.Name)
	}
	return c.Background.Name
}

// best says how the background was come by where it was not named.
func (c Contrast) best() []string {
	switch {
	case len(c.Choices) == 0:
		return nil
	case c.Among:
		return []string{fmt.Sprintf("Best background: %s, of the %d named.", called(c.Background), len(c.Backgrounds))}
	case c.Small:
		return []string{fmt.Sprintf("Best background: %s, as %s. None was named, and no cloth of your stash is large enough for one: it is a colour to look for.", c.ground(), withPlace(c.Background))}
	}
	return []string{fmt.Sprintf("Best background: %s. None was named; of the prints of your stash that are large enough it lets the fewest pieces sink.", called(c.Background)+in(c.Background))}
}

// withPlace names a print and where it lies.
func withPlace(p contrast.Print) string { return p.Name + in(p) }

// in says in which baskets a print lies; empty where that is not known.
func in(p contrast.Print) string {
	if p.Baskets == nil {
		return ""
	}
	return " in " + someOf(p.Baskets, mostBaskets)
}

// mostJudged is how many prints of a band are shown beside its verdict.
var mostJudged = map[contrast.Band]int{contrast.Sinks: 6, contrast.Soft: 3, contrast.Clear: 3}

// verdict shows the background and, band by band, the prints of most pieces.
func (c Contrast) verdict() table {
	t := table{Carry: true, Lead: 2, Columns: columns("", "print", "basket", ">pieces")}
	t.Columns[2].mayGo = true
	t.add("background", c.cell(c.Background), someOf(c.Background.Baskets, mostBaskets), "")
	for _, g := range c.bands() {
		rest := g.all[min(len(g.all), mostJudged[g.key]):]
		for i, v := range g.all[:len(g.all)-len(rest)] {
			t.add(map[bool]string{true: string(g.key)}[i == 0], c.cell(v.Print), someOf(v.Baskets, mostBaskets), v.Pieces)
		}
		if len(rest) > 0 {
			t.add("", "and "+cloth.Count(len(rest), "print")+" more", "", piecesOf(mapped(rest, func(v judged) contrast.Print { return v.Print })))
		}
	}
	return t
}

// manyPrints is from how many on prints are folded behind those that matter most.
const manyPrints = 16

// mostMixed is how many prints of mixed value are spoken of one by one before the rest
// are folded away.
const mostMixed = 3

// verdicts returns a row a print, those that sink first.
func (c Contrast) verdicts() section {
	t := table{Columns: columns("print", ">pieces", ">L* gap", ">steps", ">ΔE00", ">ratio", "")}
	t.Columns[0].give, t.Columns[5].give, t.Columns[6].give = []int{1}, []int{2}, []int{3}
	s := section{Heading: "Print by print"}
	for _, v := range c.judged() {
		print, words := c.cell(v.Print), cell{Words: string(v.Counts)}
		print.Narrow = v.Name
		if v.Verdict.Mixed {
			words.Words, words.Narrow = words.Words+"; mixed value, look again", words.Words+"; mixed"
			s.Items = append(s.Items, mixedWords(v))
		}
		t.add(print, v.Pieces, signedTo(v.Gap, 1), signedTo(v.Steps, 2), tenth(v.DeltaE), cell{Words: ratioWords(v.Ratio), Narrow: ratioFigure(v.Ratio) + ":1"}, words)
	}
	if n := len(s.Items) - mostMixed; n > 0 {
		s.Fold, s.More = mostMixed, fmt.Sprintf("and %s more of mixed value: each has lights and darks of its own, so look at it on the background", cloth.Count(n, "print"))
	}
	if len(t.Rows) > manyPrints {
		t.Fold = manyPrints / 2
		t.More = fmt.Sprintf("and %s more, of fewer pieces or clearer", cloth.Count(len(t.Rows)-t.Fold, "print"))
	}
	if len(t.Rows) > 0 {
		s.Tables = []table{t}
		s.Paras = []string{fmt.Sprintf("The background, %s, has L* %s, Munsell value %s.", c.ground(), tenth(c.Background.Lightness()), strconv.FormatFloat(c.Background.MunsellValue(), 'f', 2, 64))}
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
	return cell{Words: called(p), Chip: c.chip(p), Exact: true}
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

// bandVerb returns a band after "it".
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
const mostChoices = 6

func (c Contrast) choices() section {
	t := table{Columns: columns("background", ">clear", ">soft", ">sinking", ">least gap")}
	var told []string
	for _, k := range c.Choices {
		b := c.Backgrounds[k.Background]
		name := c.cell(b)
		if c.Small { // a colour is told once
			words := binWords("", b.Family, b.Value)
			if slices.Contains(told, words) {
				continue
			}
			told = append(told, words)
			name.Words = words + ", as " + withPlace(b)
		} else if b.Small() {
			name.Words += ", small"
		}
		if b.Mixed() {
			name.Words += ", mixed"
		}
		t.add(name, k.Clear, k.Soft, k.Sinking, fmt.Sprintf("%.2f steps", k.Least))
		if len(t.Rows) == mostChoices {
			break
		}
	}
	s := section{
		Heading: "Best backgrounds for this pull", Tables: []table{t},
		Paras: []string{"Counts are pieces of the pull. A print of mixed value that sinks in part counts one band lower. The background into which the fewest sink comes first, then the one on which the fewest are soft."},
	}
	if c.Small {
		s.Heading = "Best colours for a background"
		s.Paras = append(s.Paras, "No cloth of your stash is large enough for a background, so these are colours to look for, each with the print of yours that comes nearest.")
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
		line := fmt.Sprintf("find %d more %s", short, cloth.Plural(short, string(r.Tone)+" piece"))
		if short == 0 {
			line = fmt.Sprintf("no more %s pieces need be found", r.Tone)
		}
		if names != nil {
			line += "; these may stand in: " + someOf(names, mostNamed)
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
				lines = append(lines, fmt.Sprintf("take fewer %s pieces: %s", r.Tone, someOf(names, mostNamed)))
			}
		}
	}
	return lines
}

// mostNamed is how many prints a line names, mostBaskets how many baskets of one.
const mostNamed, mostBaskets = 6, 2

func someOf(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// The plates are in units of an eighth of a chip or so, six chips wide, so that on a phone
// and on paper a chip is large enough to hold against cloth.
const (
	plateAcross                     = 6
	plateChip, plateHigh, plateGrey = 10.0, 7.5, 4.0
	plateGap, plateWords            = 1.2, 2.4
)

// mostOnPlate is how many prints of a band are drawn.
var mostOnPlate = map[contrast.Band]int{contrast.Sinks: 2 * plateAcross, contrast.Soft: plateAcross, contrast.Clear: plateAcross}

// plates lay the prints of most pieces of each band on the background, in rows, and
// below each row the same in grey.
func (c Contrast) plates() []drawing {
	grey := plainChip(c.Background.Colour).grey()
	return mapped(c.bands(), func(g group[contrast.Band, judged]) drawing {
		all := g.all[:min(len(g.all), mostOnPlate[g.key])]
		pieces := piecesOf(mapped(g.all, func(v judged) contrast.Print { return v.Print }))
		d := drawing{
			W: plateGap + plateAcross*(plateChip+plateGap), Title: fmt.Sprintf("%s on the background: %s", cloth.Count(len(all), "print"), g.key),
			Name: fmt.Sprintf("%s: %s of %s", g.key, cloth.Count(pieces, "piece"), cloth.Count(len(g.all), "print")),
		}
		if n := len(g.all) - len(all); n > 0 {
			d.Name += fmt.Sprintf("; drawn are the %d of most pieces", len(all))
		}
		for i, v := range all {
			if i%plateAcross == 0 {
				d.Shapes = append(d.Shapes,
					shape{Points: rect(0, d.H, d.W, plateGap+plateHigh+plateWords), Fill: c.Background.Colour, Seamless: true},
					shape{Points: rect(0, d.H+plateGap+plateHigh+plateWords, d.W, plateGrey+2*plateGap), Fill: grey.Reads, Seamless: true})
				d.H += plateHigh + plateGrey + plateWords + 3*plateGap
			}
			x, y := plateGap+float64(i%plateAcross)*(plateChip+plateGap), d.H-plateHigh-plateGrey-plateWords-2*plateGap
			s := c.chip(v.Print).fill(rect(x, y, plateChip, plateHigh))
			s.Seamless, s.Title = true, called(v.Print)
			below := s
			below.Points, below.Cloth = rect(x, y+plateHigh+plateWords+plateGap, plateChip, plateGrey), s.Cloth.grey()
			below.Fill = below.Cloth.Reads
			words := shape{Points: rect(x, y+plateHigh, plateChip, plateWords), Fill: c.Background.Colour, Seamless: true, Label: v.Name}
			words.Size, _ = fitLabel(v.Name, plateChip, plateWords, 0, 1.6)
			d.Shapes = append(d.Shapes, s, below, words)
		}
		return d
	})
}
