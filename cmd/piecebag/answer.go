package main

import (
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// answerJSON writes the answer of a command as one line.
func answerJSON(s streams, v any) error { return answered(report.AnswerJSON(s.out, v)) }

// changeText is a line of what a change was, and one of its difference in
// colours where it has any.
func changeText(c stash.Change) string {
	out := plain(c.What) + "\n"
	if len(c.Difference) > 0 {
		out += report.Difference(c.Difference) + "\n"
	}
	return out
}
