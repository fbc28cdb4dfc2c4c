package main

import (
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// jsonChange is a change of the stash in the answers of commands.
type jsonChange struct {
	ID         int64               `json:"id"`
	At         string              `json:"at,omitempty"` // RFC 3339
	Verb       string              `json:"verb,omitempty"`
	What       string              `json:"what"`
	Difference []report.JSONChange `json:"difference"`
	Undoable   bool                `json:"undoable"`
}

func changeJSON(c stash.Change) jsonChange {
	out := jsonChange{ID: c.ID, Verb: c.Verb, What: c.What, Difference: report.ChangesJSON(desk.ChangesOf(c.Difference)), Undoable: c.Undoable}
	if !c.At.IsZero() {
		out.At = c.At.UTC().Format(time.RFC3339)
	}
	return out
}

// answerJSON writes the answer of a command as one line.
func answerJSON(s streams, v any) error { return answered(report.AnswerJSON(s.out, v)) }

// changeText is a line of what a change was, and one of its difference in
// colours where it has any.
func changeText(c stash.Change) string {
	out := plain(c.What) + "\n"
	if len(c.Difference) > 0 {
		out += report.Difference(desk.ChangesOf(c.Difference)) + "\n"
	}
	return out
}
