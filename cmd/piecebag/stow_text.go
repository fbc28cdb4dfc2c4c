package main

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/look"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// tellStowed says what became of a photo as soon as it is done: a folder takes
// minutes.
func (s streams) tellStowed(p desk.Stowed) error {
	name := plain(p.File)
	const again = "the photo was lost, and is kept again"
	text := name + ": " + piecesIn(p)
	switch {
	case p.Again != nil:
		text = name + ": " + rereadText(*p.Again)
		if p.Kept {
			text = name + ": " + again + "\n" + text
		}
	case p.Like != "":
		text = name + ": left out, as a copy of " + plain(p.Like)
	case p.Known:
		text = name + ": already known"
		if p.Kept {
			text += "; " + again
		}
	}
	if p.LeftOut > 0 {
		text += "\n  " + cloth.Count(p.LeftOut, "thing") + " that may be cloth left out as too doubtful; 'piecebag look' says where"
	}
	if len(p.MayBe) > 0 {
		text += "\n  prints that you may have: " + mayBeText(p.MayBe)
	}
	_, err := fmt.Fprint(s.out, text+"\n"+sortedText(p.Into, p.Unsure))
	if why := look.WhyNone(p.Notes); why != "" {
		s.note(name + ": " + why)
	}
	return answered(err)
}

// mayBeText says which prints may be ones that the stash knew.
func mayBeText(all []stash.MayBe) string {
	parts := make([]string, len(all))
	for i, m := range all {
		pieces := make([]string, len(m.Pieces))
		for k, n := range m.Pieces {
			pieces[k] = strconv.Itoa(n)
		}
		parts[i] = fmt.Sprintf("%s may be %s: %s", plain(m.Print), plain(m.Known), strings.Join(pieces, ", "))
	}
	return strings.Join(parts, "; ")
}

// stowed answers with the sum, or with all of it in JSON; photos that were
// refused are named after the answer. Where not all was done there is no sum.
func (l *line) stowed(done desk.Stowing, whole bool) error {
	text := ""
	if whole {
		text = stowingText(done)
	}
	return l.refused(done.Refused, l.answer(report.StowingJSON(done), text))
}

// stowingText sums up what became of photos, with what to look at first.
func stowingText(done desk.Stowing) string {
	sum := done.Sum()
	var words []string
	if sum.Fresh > 0 || sum.Again == 0 {
		words = append(words, strconv.Itoa(sum.Fresh)+" stowed")
	}
	if sum.Known > 0 {
		words = append(words, strconv.Itoa(sum.Known)+" already known")
	}
	if sum.Again > 0 {
		words = append(words, strconv.Itoa(sum.Again)+" looked at again")
	}
	if n := len(done.Refused); n > 0 {
		words = append(words, strconv.Itoa(n)+" refused")
	}
	out := stowedFirst(done.Doubts()) + strings.Join(words, ", ") + "\n"
	switch {
	case done.Change != nil:
		out += cloth.Count(sum.Other, "photo") + " changed; 'piecebag undo' takes it back\n"
	case sum.Other > 0:
		out += cloth.Count(sum.Other, "photo") + " would change; nothing is changed yet\n"
	}
	return out
}

func piecesIn(s desk.Stowed) string {
	if s.Added == 0 {
		return "no pieces found"
	}
	return cloth.Count(s.Added, "piece") + ": " + differenceWords(s.Sum)
}

func differenceWords(c stash.Change) string { return report.Difference(c.Difference) }

// binNames names bins to choose between.
func binNames(bins []string) []string {
	out := make([]string, len(bins))
	for i, b := range bins {
		out[i] = b
		if b == "" {
			out[i] = "none of your bins"
		}
	}
	return out
}

// sortedText says what went where and why, and asks about the rest.
func sortedText(into []desk.Placed, asks []desk.Unsure) string {
	var b strings.Builder
	for _, p := range into {
		fmt.Fprintf(&b, "  piece %d: %s (%s)\n", p.ID, plain(p.Bin), plain(p.Reason))
	}
	return b.String() + asksText("  ", asks)
}

// asksText asks of pieces in which bin they belong, then writes the commands that say of
// all of them that their likeliest bin is the right one, a command a bin, to be changed
// where it is not, and the command for those that belong in none.
func asksText(indent string, asks []desk.Unsure) string {
	var b strings.Builder
	var bins, all []string
	ids := map[string][]string{}
	for _, a := range asks {
		fmt.Fprintf(&b, "%spiece %d: %s? (%s)\n", indent, a.ID, plain(strings.Join(binNames(a.Likely), " or ")), plain(a.Reason))
		if len(a.Likely) == 0 {
			continue
		}
		bin := a.Likely[0]
		if ids[bin] == nil {
			bins = append(bins, bin)
		}
		id := strconv.FormatInt(a.ID, 10)
		all, ids[bin] = append(all, id), append(ids[bin], id)
	}
	for _, bin := range bins {
		fmt.Fprintf(&b, "if so, say: piecebag fix %s --bin %s\n", strings.Join(ids[bin], ","), plain(quoted(bin)))
	}
	if all != nil {
		fmt.Fprintf(&b, "if neither, say: piecebag fix %s --no-bin\n", strings.Join(all, ","))
	}
	return b.String()
}

// quoted is a word as a shell takes it whole.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// firstText lists the first of what may be wrong, a line a piece, and counts the rest.
func firstText(all []desk.DoubtedIn, line func(desk.DoubtedIn) string) string {
	var b strings.Builder
	for _, d := range all[:min(len(all), report.MostFirst)] {
		b.WriteString("  " + line(d) + "\n")
	}
	if n := len(all) - report.MostFirst; n > 0 {
		fmt.Fprintf(&b, "  and %s more, all of them listed by 'piecebag look PHOTO --json'\n", cloth.Count(n, "piece"))
	}
	return b.String()
}

// stowedFirst is what to look at first of what went in.
func stowedFirst(all []desk.DoubtedIn) string {
	text := firstText(all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d, %s: %s; if that is wrong: piecebag fix %d %s", d.ID, plain(d.File), report.Doubts(d.Doubted), d.ID, strings.Join(report.Fixes(d), ", or "))
	})
	if text == "" {
		return ""
	}
	return "look at these first\n" + text
}

// taughtFirst is what to look at first of what a bin was learnt from: of it the
// outlines matter, not the names.
func taughtFirst(all []desk.DoubtedIn) string {
	all = slices.DeleteFunc(all, func(d desk.DoubtedIn) bool { return !slices.Contains(d.Of, desk.OutlineDoubt) })
	for i := range all {
		all[i].Of = []desk.Doubt{desk.OutlineDoubt}
	}
	slices.SortStableFunc(all, func(a, b desk.DoubtedIn) int { return cmp.Compare(a.Piece.Trust, b.Piece.Trust) })
	text := firstText(all, func(d desk.DoubtedIn) string {
		return fmt.Sprintf("piece %d of %s: %s", d.Piece.ID, plain(d.File), report.Doubts(d.Doubted))
	})
	if text == "" {
		return ""
	}
	return "look at these first: the bin was learnt from them too\n" + text +
		"if one is wrong, write 'piecebag undo', and teach it again with --pieces or --crop\n"
}

// rereadText says what a later look changes, a line for each thing.
func rereadText(r stash.Reread) string {
	d := desk.Compare(r)
	var lines []string
	line := func(head string, parts []string) {
		if len(parts) > 0 {
			lines = append(lines, "  "+head+": "+cloth.Few(parts))
		}
	}
	words := func(h cloth.Holding) string {
		return plain(shelf.AlikeOf(h).String()) + " " + shelf.CutOf(h).String()
	}
	var parts []string
	for _, h := range d.More {
		parts = append(parts, words(h))
	}
	line(cloth.Count(len(d.More), "piece")+" more", parts)
	parts = nil
	for _, h := range d.Fewer {
		parts = append(parts, fmt.Sprintf("piece %d, %s", h.ID, words(h)))
	}
	line(cloth.Count(len(d.Fewer), "piece")+" fewer", parts)
	for _, a := range desk.Aspects {
		parts = nil
		for _, p := range d.Stay {
			if was, is := a.Of(p.Was), a.Of(p.Is); was != is {
				parts = append(parts, fmt.Sprintf("piece %d is %s, was %s", p.Is.ID, orNone(is), orNone(was)))
			}
		}
		line("other "+a.Name, parts)
	}
	if lines == nil {
		return "nothing would change"
	}
	return "would change\n" + strings.Join(lines, "\n")
}

func orNone(s string) string {
	if s == "" {
		return "not known"
	}
	return plain(s)
}
