package report

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image/color"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/recipe"
)

// someDocument has a part of every kind.
func someDocument() Document {
	return Document{
		title: "A quilt of <nine> patches", lead: "Sixteen blocks.",
		sections: []section{
			{Heading: "Drawn", Caption: "As it is sewn.", Drawings: []drawing{{W: 6, H: 6, Title: "a block", Shapes: []shape{
				{Points: rect(0, 0, 6, 6), Fill: hex(255, 255, 255)},
				{Points: rect(1, 1, 1, 4), Fill: hex(20, 20, 80), Label: "1 × 4", Size: 0.8, Upward: true},
				{Points: rect(3, 1, 2, 2), Hollow: true, Dashed: true, Label: "2", Size: 1},
				{Points: rect(3, 4, 2, 1), Fill: hex(200, 0, 0), Seamless: true},
			}}}},
			{Heading: "Listed", Paras: []string{"Before."}, Tables: []table{{
				Columns: columns("what", ">how many"),
				Rows:    [][]cell{{{Words: "2½ squares, and a good many words that go on until the line is full and more than full", Chip: plainChip(hex(20, 20, 80)), Exact: true}, {Words: "80"}}, row("4½ squares", "8")},
			}}, Items: []string{"first", "then"}, Numbered: true},
			{Heading: "With care", Careful: true, Items: []string{"close the blade"}},
			{Heading: "Why", Whys: []recipe.Why{{Text: "5 strips", Steps: []recipe.Why{{Text: "40 ÷ 2½ = 16"}, {Text: "80 ÷ 16 = 5"}}}}},
		},
		fine: []string{"Small print."},
	}
}

func textOfDocument(t *testing.T, d Document, width int) string {
	var b bytes.Buffer
	require.NoError(t, d.Text(&b, TextOptions{Width: width}))
	return b.String()
}

// unstyled is the page without its style sheet.
func unstyled(t *testing.T, d Document) string {
	var b bytes.Buffer
	require.NoError(t, d.HTML(&b))
	before, rest, ok := strings.Cut(b.String(), "<style>")
	require.True(t, ok)
	_, after, ok := strings.Cut(rest, "</style>")
	require.True(t, ok)
	return before + after
}

func TestDocumentGolden(t *testing.T) {
	golden(t, "document.txt", []byte(textOfDocument(t, someDocument(), 0)))
	golden(t, "document50.txt", []byte(textOfDocument(t, someDocument(), 50)))
	golden(t, "document.html", []byte(unstyled(t, someDocument())))
}

func TestDocumentTextKeepsTheWidth(t *testing.T) {
	for _, width := range []int{40, 60, 100} {
		for _, l := range strings.Split(textOfDocument(t, someDocument(), width), "\n") {
			require.LessOrEqual(t, len([]rune(l)), width, "%q", l)
		}
	}
}

func TestDocumentPageAsksForNothing(t *testing.T) {
	page := unstyled(t, someDocument())
	for _, s := range []string{"http:", "https:", "<script", "src=", "@import"} {
		require.NotContains(t, page, s)
	}
	require.Contains(t, page, "A quilt of &lt;nine&gt; patches")
}

func TestDocumentPDF(t *testing.T) {
	for _, sheet := range Papers {
		var a, b bytes.Buffer
		require.NoError(t, someDocument().PDF(&a, sheet))
		require.NoError(t, someDocument().PDF(&b, sheet))
		require.True(t, bytes.HasPrefix(a.Bytes(), []byte("%PDF-")))
		require.Equal(t, a.Bytes(), b.Bytes(), "the same document is the same bytes")
		keep(t, "document-"+sheet+".pdf", a.Bytes())
	}
	require.ErrorContains(t, someDocument().PDF(&bytes.Buffer{}, "foolscap"), "foolscap")
}

// One emoji in a name, and no PDF of the stash could be made.
func TestDocumentPDFOfLettersThatTheFontsLack(t *testing.T) {
	thread := "my 🧵 box"
	label := shape{Points: rect(0, 0, 6, 6), Fill: hex(255, 255, 255), Label: thread, Size: 0.5}
	tab := table{Columns: columns(thread, thread), Rows: [][]cell{{plainChip(hex(20, 20, 80)).with(thread), {Words: thread}}}}
	d := Document{title: thread, lead: thread, fine: []string{thread}, sections: []section{{
		Heading: thread, Caption: thread, Drawings: []drawing{{W: 6, H: 6, Title: thread, Name: thread, Shapes: []shape{label}}},
		Tables: []table{tab}, Paras: []string{thread}, Facts: []fact{{What: thread, Words: thread}}, Items: []string{thread},
	}}}
	var b bytes.Buffer
	require.NoError(t, d.PDF(&b, "a4"))
	keep(t, "letters.pdf", b.Bytes())

	p := somePaper(t)
	p.font("", bodySize, inkInk)
	require.InDelta(t, p.pdf.GetStringWidth("my □ box"), p.pdf.GetStringWidth(thread), 1e-9)
	require.Equal(t, []string{"my □ box"}, p.pdf.SplitText(thread, 5))
}

func TestLettersThatTheFontsLack(t *testing.T) {
	for s, want := range map[string]string{
		"½ × 2⅜ – “so”… ΔE °": "½ × 2⅜ – “so”… ΔE °", "🧵": "□", "👩🏽\u200d🌾": "□□", "❤\ufe0f": "□", "縫": "□", "e\u0301": "e", "a\u00a0b\n": "a\u00a0b\n",
	} {
		require.Equal(t, want, inLetters(s))
	}
}

// Pictures of one width were written in another order from run to run.
func TestDocumentPDFOfPicturesIsTheSameBytes(t *testing.T) {
	drawn := drawing{W: 20, H: 1, Title: "t"}
	for i := range 20 {
		m := blank(16, 16, color.Gray{uint8(10 * i)})
		drawn.Shapes = append(drawn.Shapes, chip{Crop: cropOf(m, chipQuality)}.fill(rect(float64(i), 0, 1, 1)))
	}
	d := Document{title: "t", sections: []section{{Drawings: []drawing{drawn, drawn}}}}
	var a, b bytes.Buffer
	require.NoError(t, d.PDF(&a, "a4"))
	require.NoError(t, d.PDF(&b, "a4"))
	require.Equal(t, 20, bytes.Count(a.Bytes(), []byte("/Subtype /Image\n/Width 16\n/Height 16\n")), "each once")
	require.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
}

// A long document takes as many sheets as it needs.
func TestDocumentPDFTurnsTheSheet(t *testing.T) {
	d := someDocument()
	for range 200 {
		d.sections[1].Items = append(d.sections[1].Items, "and on")
	}
	var b bytes.Buffer
	require.NoError(t, d.PDF(&b, "a4"))
	require.Greater(t, bytes.Count(b.Bytes(), []byte("/Type /Page\n")), 3)
}

// A drawing alone went over to the next sheet though half of this one was free, as after
// the cautions of leftovers; a heading alone stood at the foot of a sheet.
func TestDocumentPDFFillsItsSheets(t *testing.T) {
	tall := drawing{W: 11, H: 42, Title: "t", Shapes: []shape{{Points: rect(0, 0, 11, 42), Hollow: true}}}
	d := Document{title: "Leftovers", sections: []section{cautions(), {Heading: "11 × 42", Drawings: []drawing{tall}}}}
	require.Equal(t, 1, sheets(t, d))
	over := false
	for n := range 48 {
		d := Document{title: "t", sections: []section{{Heading: "a", Items: slices.Repeat([]string{"line"}, n)}, {Heading: "b", Items: []string{strings.Repeat("word ", 40)}}}}
		p := somePaper(t)
		all := p.laid(d)
		last := all[len(all)-len(p.section(d.sections[1])):]
		for _, l := range last {
			require.Equal(t, last[0].sheet, l.sheet, "%d lines before: the heading went over, too", n)
		}
		over = over || last[0].sheet > 0
	}
	require.True(t, over)
}

func somePaper(t *testing.T) *paper {
	t.Helper()
	p := &paper{}
	var err error
	p.pdf, p.w, p.h, err = newPDF("letter", "t")
	require.NoError(t, err)
	return p
}

// A last sheet held three lines of a list that was torn for them: drawings get smaller
// where that saves a sheet.
func TestDocumentPDFSavesASheetOfFewLines(t *testing.T) {
	drawn := drawing{W: 20, H: 12, Title: "t"}
	for n := range 30 {
		d := Document{title: "t", sections: []section{{Heading: "a", Items: slices.Repeat([]string{"line"}, n)}, {Drawings: []drawing{drawn, drawn}}}, fine: []string{"small print"}}
		p := somePaper(t)
		all := p.laid(d)
		if y := all[len(all)-1].y; all[len(all)-1].sheet > 0 {
			require.Greater(t, y, paperMargin+1, "%d lines before", n)
		}
	}
}

// What a drawing shows stood on one sheet and the lines that tell of it on the next; a
// table of few rows was torn.
func TestDocumentPDFKeepsTogether(t *testing.T) {
	drawn := drawing{W: 20, H: 12, Title: "t"}
	rows := table{Columns: columns("a", ">b")}
	for range 7 {
		rows.add("what", "1")
	}
	for n := range 40 {
		before := section{Heading: "a", Items: slices.Repeat([]string{"line"}, n)}
		for _, s := range []section{
			{Heading: "b", Drawings: []drawing{drawn}, Items: slices.Repeat([]string{"line"}, 5)},
			{Heading: "b", Tables: []table{rows}},
		} {
			p := somePaper(t)
			all := p.laid(Document{title: "t", sections: []section{before, s}})
			last := all[len(all)-len(p.section(s)):]
			require.Equal(t, last[0].sheet, last[len(last)-1].sheet, "%d lines before", n)
			require.LessOrEqual(t, last[len(last)-1].y, p.h-paperMargin)
		}
	}
}

// The short forms of a bar's words were told of at the foot of the last sheet.
func TestDocumentPDFTellsShortFormsFirst(t *testing.T) {
	rows := table{Columns: []column{{Head: "a"}, {Head: "b", note: valueLegend}}}
	rows.add("what", cell{Words: "1 light", Narrow: "1 L", Bar: []cloth.Ink{{Share: 1}}})
	p := somePaper(t)
	all := p.table(rows, false)
	require.InDelta(t, smallSize*leading/pointsPerIn+paragraphGap, all[0].high, 1e-9, "the legend is the first line")
	require.Len(t, all, 3)
}

// sheets is how many sheets a document takes.
func sheets(t *testing.T, d Document) int {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.PDF(&b, "letter"))
	return bytes.Count(b.Bytes(), []byte("/Type /Page\n"))
}

// keep writes what was made into $PIECEBAG_KEEP, to be looked at.
func keep(t *testing.T, name string, data []byte) {
	if dir := os.Getenv("PIECEBAG_KEEP"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
}

func someContrast() Contrast {
	print := func(name string, pieces int, c [3]uint8, inks ...[3]uint8) contrast.Print {
		p := contrast.Print{Name: name, Pieces: pieces, Colour: hex(c[0], c[1], c[2]), Reads: hex(c[0], c[1], c[2])}
		for _, i := range inks {
			p.Inks = append(p.Inks, cloth.Ink{Colour: hex(i[0], i[1], i[2]), Share: 1 / float64(len(inks))})
		}
		return p
	}
	c := Contrast{Why: true, Contrast: desk.Contrast{
		Backgrounds: []contrast.Print{print("grey", 1, [3]uint8{128, 128, 128}), print("cream", 1, [3]uint8{240, 232, 214})},
		Pull: []contrast.Print{
			print("a", 6, [3]uint8{30, 40, 90}), print("b", 4, [3]uint8{150, 150, 160}, [3]uint8{250, 250, 250}, [3]uint8{40, 40, 60}),
			print("c", 3, [3]uint8{220, 190, 170}), print("d", 2, [3]uint8{190, 60, 50}),
		},
		Recipe: "ohio star",
	}}
	c.Choices = contrast.Rank(c.Backgrounds, c.Pull)
	c.Background = c.Backgrounds[c.Choices[0].Background]
	c.Balance = contrast.Weigh(c.Pull, contrast.Wanted{Light: 8, Dark: 6})
	return c
}

func TestContrastGolden(t *testing.T) {
	golden(t, "contrast.txt", []byte(textOfDocument(t, someContrast().Document(), 100)))
	var b bytes.Buffer
	require.NoError(t, someContrast().JSON(&b))
	golden(t, "contrast.json", b.Bytes())
	golden(t, "contrast.html", []byte(unstyled(t, someContrast().Document())))
}

// The ratio never reads as a pass that it is not.
func TestRatioIsNotRoundedUpToAPass(t *testing.T) {
	require.Equal(t, "2.99:1, under 3", ratioWords(2.999))
	require.Equal(t, "3.00:1", ratioWords(3))
}

// onPaper is what is written onto the sheets of a document.
func onPaper(t *testing.T, d Document, paper string) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.PDF(&b, paper))
	return inPDF(t, b.Bytes())
}

// inPDF is what a PDF writes onto its sheets, a line each, in ASCII.
func inPDF(t *testing.T, pdf []byte) string {
	t.Helper()
	var out bytes.Buffer
	for _, part := range bytes.Split(pdf, []byte("\nstream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		if s, err := io.ReadAll(r); err == nil && bytes.Contains(s, []byte(" Tf")) {
			out.Write(bytes.ReplaceAll(s, []byte{0}, nil)) // words are UTF-16
		}
	}
	require.NotZero(t, out.Len())
	lines := strings.Split(out.String(), "\n")
	for i, l := range lines {
		lines[i] = strings.Trim(strconv.QuoteToASCII(l), `"`)
	}
	return strings.Join(lines, "\n")
}

// withoutPictures is a page without the bytes of its pictures.
func withoutPictures(page string) string {
	return regexp.MustCompile(`data:image/jpeg;base64,[A-Za-z0-9/+=&#;]+`).ReplaceAllString(page, "data:…")
}

// What is written onto the sheets: where each word, line and colour stands.
func TestDocumentPDFGolden(t *testing.T) {
	d := someDocument()
	bars := table{Columns: columns("bin", "values", ">pieces")}
	bars.add(plainChip(hex(20, 20, 80)).with("blue"), cell{Words: "2 light, 6 dark", Bar: []cloth.Ink{{Colour: hex(200, 200, 250), Share: 0.25}, {Colour: hex(20, 20, 80), Share: 0.75}}}, 8)
	d.sections = append(d.sections,
		section{Heading: "Beside", Tables: []table{bars}, Facts: []fact{{What: "light", Words: "from the card"}}},
		section{Heading: "Folded", Items: []string{"one", "two", "three"}, Fold: 1, More: "and more"},
		section{Heading: "Wide", Drawings: []drawing{{W: 30, H: 3, Title: "a strip", Name: "strip", Shapes: []shape{{Points: rect(0, 0, 30, 3), Hollow: true}, {Points: []geom.Point{{X: 1, Y: 1}, {X: 29, Y: 2}}, Dashed: true}}}}},
	)
	golden(t, "document.pdf.txt", []byte(onPaper(t, d, "a4")))
}

// What is short is found elsewhere, less what of the pull may stand in for it.
func TestWhatMayStandInIsNotSought(t *testing.T) {
	c := someContrast()
	c.Balance = contrast.Proportions{
		Rows:  []contrast.Proportion{{Tone: recipe.LightTone, Wanted: 8, Held: 3}, {Tone: recipe.DarkTone, Wanted: 4, Held: 4}, {Tone: recipe.MediumTone, Wanted: 2, Held: 1}},
		Swaps: []contrast.Swap{{Print: 2, Pieces: 5, From: recipe.MediumTone, To: recipe.LightTone, StandIn: true}, {Print: 1, Pieces: 1, From: recipe.DarkTone, To: recipe.MediumTone}},
	}
	lines := c.swaps()
	require.Equal(t, "no more light pieces need be found; these may stand in: c (5)", lines[0])
	require.Equal(t, "find 1 more medium piece", lines[1])
	c.Balance.Swaps[0].Pieces = 2
	require.Equal(t, "find 3 more light pieces; these may stand in: c (2)", c.swaps()[0])
}

// The number of a print was torn off over the end of a line; a word that is wider than its
// place is broken.
func TestNoNumberStandsAlone(t *testing.T) {
	words := "medium-light multicoloured, " + printNamed("print 7") + " and " + printNamed("anchors")
	require.Equal(t, []string{"medium-light", "multicoloured,", "print\u00a07 and", "print anchors"}, wrap(words, 14))
	p := somePaper(t)
	p.font("", bodySize, inkInk)
	for wide := 0.5; wide < 3; wide += 0.1 {
		lines := p.pdf.SplitText(words, wide)
		require.Equal(t, strings.ReplaceAll(words, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""), "nothing is lost")
		for _, l := range lines {
			require.False(t, strings.HasPrefix(l, "7"), lines)
			require.LessOrEqual(t, p.pdf.GetStringWidth(l), wide, lines)
		}
	}
	require.Equal(t, []string{"a", "", "b"}, p.pdf.SplitText("a\n\nb", 5))
	var b bytes.Buffer
	require.NoError(t, Document{title: "t", sections: []section{{Paras: []string{words}}}}.Text(&b, TextOptions{Width: 20}))
	require.Contains(t, b.String(), "print 7")
}

// wordy returns so many words.
func wordy(n int) string {
	return strings.Join(slices.Repeat([]string{"cloth", "of", "many", "colours", "is", "good"}, n/6+1)[:n], " ")
}

// Sheets of long tables and many drawings are kept: how columns share the width, where a
// sheet is turned and how large drawings are on it.
func TestSheetsGolden(t *testing.T) {
	wide := table{Carry: true, Columns: columns("bin", "what it is for", ">pieces", "and where it comes from", "of each", ">shares"), More: "and more", Fold: 34}
	wide.Columns[4].mayGo = true
	for i := range 40 {
		name := ""
		if i%7 == 0 {
			name = fmt.Sprintf("bin %d", i/7)
		}
		c := cell{Words: fmt.Sprintf("%d light, %d dark", i, 40-i), Narrow: fmt.Sprintf("%d L, %d D", i, 40-i), Bar: []cloth.Ink{{Colour: hex(200, 200, 250), Share: float64(i) / 40}, {Colour: hex(20, 20, 80), Share: 0.5}}}
		if i%3 == 0 {
			c = cell{Words: "none"}
		}
		what := cell{Words: wordy(3 + i%9)}
		if i%5 == 1 {
			what.Chip = plainChip(hex(uint8(5*i), 60, 60))
		}
		wide.add(name, what, i*i, wordy(2+i%4), "", c)
	}
	wide.Columns[5].note = valueLegend
	small := table{Columns: columns("", "print"), Fold: -1, More: "three prints"}
	small.add("a", "b")
	tables := Document{title: "Tables", lead: wordy(40), sections: []section{
		{Heading: "Wide", Paras: []string{wordy(30), wordy(5)}, Tables: []table{wide, small}},
		{Heading: "Facts", Careful: true, Facts: []fact{{What: "light", Words: wordy(50)}, {What: "a long word for it", Words: "short"}, {Words: "of nothing"}}, Items: []string{wordy(60), "two", "three"}, Numbered: true},
		{Heading: "Said", Said: true, Paras: []string{"not on paper"}},
		{Heading: "Why", Whys: []recipe.Why{{Text: wordy(30), Steps: []recipe.Why{{Text: "one", Steps: []recipe.Why{{Text: "two", Steps: []recipe.Why{{Text: "three", Steps: []recipe.Why{{Text: "four", Steps: []recipe.Why{{Text: "five", Steps: []recipe.Why{{Text: "six"}}}}}}}}}}}}}, {Text: "again"}}},
	}, fine: []string{wordy(40), "the end"}}

	pane := func(w, h float64, name string) drawing {
		return drawing{W: w, H: h, Title: "t", Name: name, Shapes: []shape{{Points: rect(0, 0, w, h), Hollow: true}}}
	}
	drawings := Document{title: "Drawings", sections: []section{
		{Heading: "Of one scale", Scaled: true, Drawings: []drawing{pane(40, 10, "wide"), pane(10, 5, "with a name that is longer than it is wide"), pane(20, 12, ""), pane(20, 3, "last")}, Caption: wordy(20)},
		{Heading: "Alone", Drawings: []drawing{pane(3, 4, "")}, Items: slices.Repeat([]string{"line"}, 9)},
		{Heading: "Two", Drawings: []drawing{pane(3, 4, "a"), pane(4, 3, "b")}},
		{Heading: "Three", Drawings: []drawing{pane(3, 1, ""), pane(4, 3, "b"), pane(2, 2, "")}, Paras: []string{wordy(12)}},
		{Heading: "Five", Drawings: slices.Repeat([]drawing{pane(3, 4, "of five")}, 5), Tables: []table{small}},
		{Heading: "As wide as the page", Wide: true, Drawings: []drawing{pane(30, 4, "one"), pane(10, 4, "two")}},
	}, fine: []string{"the end"}}
	golden(t, "sheets.pdf.txt", []byte(onPaper(t, tables, "letter")+"\n\f\n"+onPaper(t, drawings, "a4")))

	// A few real ones.
	p := somePlans()[3].made(t)
	p.Why = false
	d := p.Document()
	d.sections = slices.DeleteFunc(d.sections, func(s section) bool {
		return !strings.HasPrefix(s.Heading, "Sew") && s.Heading != "Cut" && s.Heading != "Pull"
	})
	golden(t, "plan.pdf.txt", []byte(onPaper(t, d, "letter")+"\n\f\n"+onPaper(t, someContrast().Document(), "a4")))
}

// On paper nothing opens: what is to be pulled stands there whole, other tables as far as
// they are open.
func TestWhatStandsOnPaper(t *testing.T) {
	rows := [][]cell{{{Words: "a"}}, {{Words: "b"}}, {{Words: "c"}}}
	require.Equal(t, rows[:1], table{Rows: rows, Fold: 1}.onPaper())
	require.Equal(t, rows, table{Rows: rows, Fold: -1, Whole: true}.onPaper())
	require.Equal(t, rows, table{Rows: rows, Fold: -1}.onPaper(), "a fold of all is open")
	require.True(t, Arrangement{}.counts(desk.Variant{}).Tables[0].Whole, "the cloth of a layout")
}
