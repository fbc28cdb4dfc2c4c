package report

import (
	"html/template"
	"io"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

var stashPage = template.Must(template.ParseFS(templates, "template/stash.html", "template/parts.html"))

type (
	stashView struct {
		Heading, Lead string
		Style         template.CSS
		Whole         bool // not a part, of which nothing is said to be thin
		Named         bool // whether any piece has a colour to draw
		Wheel         wheel
		Off, Values   []bar
		Drawn         []string // of what the drawings are
		Trim          string
		Groups        []groupView
		Yields        string
		Thin          []string
		Missing       []string
		Since         string
		Difference    string
		Changes       []string
	}
	// groupView is a bin with its cuts.
	groupView struct {
		Name, Swatch string
		Own          bool
		Boxes        []boxView
	}
	boxView struct {
		Cut, Held, Unsized, Prints, Yields string
		Thin                               bool
	}
)

// StashHTML writes s as one self-contained page to look at and print: it asks
// for nothing from anywhere, runs no script and holds no photo.
func StashHTML(w io.Writer, s Stash) error {
	style, err := templates.ReadFile("template/report.css")
	if err != nil {
		return err
	}
	v := stashViewOf(s)
	v.Style = template.CSS(style) //nolint:gosec // our own file
	return fill(w, stashPage, v)
}

func stashViewOf(s Stash) stashView {
	t := tonesOf(s.Holdings)
	v := stashView{
		Heading: s.title(), Whole: s.Part == "", Lead: stashLead(s), Named: len(s.Stock.Balance.Families) > 0,
		Wheel: stashWheel(s, t), Off: offBars(s, t), Values: valueBars(s, t),
		Drawn: drawnWords(s, t), Trim: trimWords(s.Stock.Trim),
		Groups: groupsOf(s, t), Yields: yieldWords(s.Stock.Yields), Thin: thinLines(s.Stock.Short), Missing: missingWords(s.Stock.Missing), Since: s.Since,
	}
	if s.Since != "" {
		v.Difference = printable(Difference(s.Changes))
		for _, c := range Changes(s.Changes) {
			v.Changes = append(v.Changes, printable(c))
		}
	}
	return v
}

func stashLead(s Stash) string {
	words := stashWords(s.Stock.Totals)
	colours := 0
	for _, f := range s.Stock.Balance.Families {
		if f.Family != cloth.Many {
			colours++
		}
	}
	if colours > 0 {
		words += ", in " + cloth.Count(colours, "colour")
	}
	return capital(words) + "."
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// drawnWords says what the shares by area rest on, and which pieces are drawn
// otherwise than as they were measured.
func drawnWords(s Stash, t tones) []string {
	var out []string
	if words := sizedWords(s.Stock.Balance); words != "" {
		out = append(out, words)
	}
	if t.byHand > 0 {
		out = append(out, cloth.Count(t.byHand, "piece")+" entered by hand: "+map[bool]string{true: "its colour is", false: "their colours are"}[t.byHand == 1]+" drawn from the name alone.")
	}
	if t.half > 0 {
		out = append(out, cloth.Count(t.half, "piece")+" with a colour and no value, or the other way about: counted, and not drawn.")
	}
	return out
}

// groupsOf puts the boxes of one bin together.
func groupsOf(s Stash, t tones) []groupView {
	var out []groupView
	var last shelf.Alike
	for i, b := range s.Stock.Boxes {
		if i == 0 || b.Alike != last {
			out = append(out, groupView{Name: printable(b.Alike.String()), Swatch: t.swatch(b.Alike), Own: b.Own != ""})
			last = b.Alike
		}
		_, thin := shortOf(s.Stock.Short, b)
		g := &out[len(out)-1]
		g.Boxes = append(g.Boxes, boxView{
			Cut: b.Cut.String(), Held: heldWords(b), Unsized: unsized(b), Prints: blankZero(b.Prints), Yields: yieldWords(b.Yields), Thin: thin,
		})
	}
	return out
}
