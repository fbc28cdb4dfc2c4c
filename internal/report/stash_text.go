package report

import (
	"cmp"
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// Columns writes rows of cells, of which tabs end each but the last, one below the other.
func Columns(rows ...string) string {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(w, r)
	}
	w.Flush() // to memory: there is no error
	return b.String()
}

// ChangeText returns a line of what a change was, and one of its difference in colours
// where it has any.
func ChangeText(c stash.Change) string {
	out := printable(c.What) + "\n"
	if len(c.Difference) > 0 {
		out += Difference(c.Difference) + "\n"
	}
	return out
}

// HistoryText lists changes, a line a change; a star marks those that can be undone.
func HistoryText(all []stash.Change) string {
	return Columns(mapped(all, func(c stash.Change) string {
		star, difference := " ", ""
		if c.Undoable {
			star = "*"
		}
		if len(c.Difference) > 0 {
			difference = Difference(c.Difference)
		}
		return fmt.Sprintf("%s %d\t%s\t%s\t%s\t%s", star, c.ID, c.At.Local().Format(time.DateOnly+" 15:04"), c.Verb, printable(c.What), difference)
	})...)
}

// PiecesText lists pieces of the stash by their numbers, a line a piece.
func PiecesText(p desk.Pieces) string {
	rows := []string{"number\tcount\tcolour\tcut\tsize\tprint\tbasket\tfrom"}
	for _, h := range p.Held {
		from, size := "by hand", ""
		if h.Photo != "" {
			from = fmt.Sprintf("%s, piece %d", printable(p.Names[h.Photo]), h.Piece)
		}
		if h.WidthIn > 0 && h.LengthIn > 0 {
			size = shelf.Size(h.WidthIn, h.LengthIn)
		}
		rows = append(rows, fmt.Sprintf("%d\t%d\t%s\t%s\t%s\t%s\t%s\t%s", h.ID, h.Count, printable(shelf.AlikeOf(h).String()), shelf.CutOf(h), size, printable(h.Print), printable(h.Basket), from))
	}
	return Columns(rows...)
}

// QuiltsText lists the quilts that are kept, a line a quilt.
func QuiltsText(all []desk.Quilt) string {
	some := func(n int) string {
		if n == 0 {
			return ""
		}
		return fmt.Sprint(n)
	}
	rows := []string{"quilt\trecipe\tfinished\tfrom the stash\tlacks\tlaid out\tsewn"}
	for _, q := range all {
		rows = append(rows, fmt.Sprintf("%s\t%s\t%s × %s\t%d\t%s\t%s\t%s", printable(q.Name), printable(q.Recipe), cloth.FormatInches(q.WidthIn), cloth.FormatInches(q.LengthIn), q.Pulled, cmp.Or(q.Lacking(), "0"), some(q.Laid), some(q.Stages[plan.SewnStage])))
	}
	return Columns(rows...)
}

// Marked says what marking a part of a quilt as at a stage changed.
func Marked(m desk.Marked, stage plan.Stage) string {
	words := fmt.Sprintf("%s %s", cloth.Count(m.Pieces, "piece"), stage)
	if m.Others > 0 {
		words += fmt.Sprintf(", and %d more of the same cloth cut", m.Others)
	}
	if m.Cloth > 0 {
		words += fmt.Sprintf("; %s of cloth cut, %s back in the stash", cloth.Count(m.Cloth, "piece"), cloth.Count(m.Back, "remnant"))
	}
	if m.Done {
		words += "; the quilt is sewn"
	}
	return words
}

// RecountedText says where pieces of known photos were, and what a recount changed.
func RecountedText(done desk.Recounted) string {
	text := ""
	for _, m := range done.Moved {
		basket := "no basket"
		if m.Basket != "" {
			basket = "basket " + m.Basket
		}
		text += fmt.Sprintf("%s: %s from %s\n", printable(m.Photo), cloth.Count(m.Pieces, "piece"), printable(basket))
	}
	text += ChangeText(done.Change)
	if len(done.Change.Difference) == 0 {
		text += "no change\n"
	}
	for _, line := range Changes(done.Change.Difference) {
		text += "  " + line + "\n"
	}
	return text
}

// RereadText says what a later look at a photo changes, a line for each thing.
func RereadText(r stash.Reread) string {
	d := desk.Compare(r)
	text := ""
	line := func(head string, parts []string) {
		if len(parts) > 0 {
			text += "\n  " + head + ": " + cloth.Few(parts)
		}
	}
	words := func(h cloth.Holding) string {
		return printable(shelf.AlikeOf(h).String()) + " " + shelf.CutOf(h).String()
	}
	line(cloth.Count(len(d.More), "piece")+" more", mapped(d.More, words))
	line(cloth.Count(len(d.Fewer), "piece")+" fewer", mapped(d.Fewer, func(h cloth.Holding) string {
		return fmt.Sprintf("piece %d, %s", h.ID, words(h))
	}))
	for _, a := range desk.Aspects {
		var others []string
		for _, p := range d.Stay {
			if was, is := a.Of(p.Was), a.Of(p.Is); was != is {
				others = append(others, fmt.Sprintf("piece %d is %s, was %s", p.Is.ID, printable(cmp.Or(is, "not known")), printable(cmp.Or(was, "not known"))))
			}
		}
		line("other "+a.Name, others)
	}
	if text == "" {
		return "nothing would change"
	}
	return "would change" + text
}

// VagueWords says why nothing is sorted by a bin that was taught alone.
func VagueWords(bin string) string {
	return "the examples of " + printable(bin) + " are too unlike one another to know its cloth by: teach another bin as well, or other examples of this one"
}

// SortedText says bin by bin which pieces were sorted in and why.
func SortedText(done desk.Sorted) string {
	if done.Vague {
		return VagueWords(done.Bins[0]) + "\n"
	}
	text := ""
	for _, bin := range done.Bins {
		n, lines := 0, ""
		for _, x := range done.Sorted {
			if x.Bin == bin {
				n++
				lines += fmt.Sprintf("  piece %d (%s)\n", x.ID, printable(x.Reason))
			}
		}
		if n > 0 {
			text += fmt.Sprintf("%s: %d sorted in\n%s", printable(bin), n, lines)
		}
	}
	return cmp.Or(text, "nothing to sort in\n")
}
