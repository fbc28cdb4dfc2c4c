package main

import (
	"fmt"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

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
