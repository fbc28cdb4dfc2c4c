package report

import (
	"cmp"
	"strings"
	"unicode"

	"piecebag/internal/plan"
	"piecebag/internal/stash"
)

// HistoryDocument lists changes of the stash day by day, the last first.
func HistoryDocument(all []stash.Change) Document {
	d := Document{title: "What was done"}
	for _, c := range all {
		at := c.At.Local()
		if day := at.Format("Monday, 2 January 2006"); len(d.sections) == 0 || d.sections[len(d.sections)-1].Heading != day {
			d.sections = append(d.sections, section{Heading: day})
		}
		words := []rune(DoneWords(c))
		words[0] = unicode.ToUpper(words[0])
		today := &d.sections[len(d.sections)-1]
		today.Items = append(today.Items, at.Format("15:04 ")+string(words))
	}
	return d
}

// DoneWords says what a change of the stash did, as you would: stowed 12 pieces from
// table.jpg.
func DoneWords(c stash.Change) string {
	what := printable(c.What)
	of, is := what, ""
	if i := strings.LastIndex(what, ": "); i >= 0 {
		of, is = what[:i], what[i+2:]
	}
	switch {
	case c.Verb == "stow" && strings.HasSuffix(is, "kept again"):
		return "kept the photo " + of + " again"
	case c.Verb == "stow":
		return "stowed " + is + " from " + of
	case c.Verb == "recount":
		return "counted " + of + " anew: " + is
	case c.Verb == "relook":
		return "looked again at " + what
	case c.Verb == "floor" && strings.HasPrefix(what, "no floor"):
		return "set " + what
	case c.Verb == "floor":
		return "set a floor: " + what
	case c.Verb == "plan" && is == "saved":
		return "kept the quilt " + of
	case c.Verb == "plan" && is == "taken away":
		return "kept the quilt " + of + " no more"
	case c.Verb == "plan":
		return "changed the quilt " + what
	case c.Verb == "teach" && is == "forgotten":
		return "forgot what the bin " + of + " had learnt"
	case c.Verb == "teach":
		return "taught the bin " + of + " by " + is
	case c.Verb == string(plan.SewnStage):
		return "sewed " + is + " of " + of
	case c.Verb == string(plan.CutStage), c.Verb == string(plan.PulledStage):
		return c.Verb + " " + is + " for " + of
	}
	how := map[string]string{"add": "added", "use": "took out", "correct": "corrected", "sort": "sorted", "setting": "set", "import": "brought in"}[c.Verb]
	return cmp.Or(how, c.Verb) + " " + what
}
