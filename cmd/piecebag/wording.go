package main

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/desk"
	"piecebag/internal/report"
)

// wording is how documents and JSON speak of commands and flags.
var wording = report.Wording{
	Whole:     ": --html and --json have them all",
	Drawn:     "; --html and --pdf draw them all",
	Listed:    ": --json lists them all",
	Most:      ": --most says how many are told",
	PlanAgain: " For cloth that came in uncut, plan the quilt again with --save and the same name.",
	OneWay:    " Name its role with --one-way to be told how many.",
	Aims:      " by the aims of 'plan --help'",
	Bind:      "to bind from them: piecebag plan … --binding stash",
	Lacks:     func(recipe string) string { return "piecebag ideas " + recipe + " --only" },
	TakeIn:    "; to take in what is cloth of that, add its point to the pieces that --json writes, and give the file with --pieces:",
	Mends: []report.Mend{
		{Of: desk.OutlineDoubt, Words: "an outline: draw it, or give a point in the piece, with --pieces"},
		{Of: desk.FamilyDoubt, Words: "a name: stow the photo, then 'piecebag fix NUMBER --family NAME'"},
		{Of: desk.ValueDoubt, Words: "a value: stow the photo, then 'piecebag fix NUMBER --value VALUE'"},
		{Of: desk.SizeDoubt, Words: "a size: give the scale with --scale, or the widths you cut with --cuts"},
	},
	Remedies: remedies,
	Plan:     func(o report.Ordered) string { return "piecebag plan " + ordered(o) },
	Arrange:  func(o report.Ordered) string { return "piecebag arrange " + ordered(o) },
	Fixes:    fixes,
}

// ordered is a quilt as 'plan' and 'arrange' take it.
func ordered(o report.Ordered) string {
	words := fmt.Sprintf("%s --layout %dx%d --block %s", o.Recipe, o.Columns, o.Rows, o.Block)
	if o.AtATime != "" {
		words += " --at-a-time " + o.AtATime
	}
	return words
}

// fixes are the flags of 'piecebag fix' that mend what is wrong of a piece, one or the
// other: its names together, or the piece.
func fixes(d desk.DoubtedIn) (flags []string) {
	var names []string
	for _, of := range d.Of {
		switch of {
		case desk.FamilyDoubt:
			names = append(names, "--family "+string(d.Piece.FamilyOr))
		case desk.ValueDoubt:
			names = append(names, "--value "+string(d.Piece.ValueOr))
		case desk.SizeDoubt:
			names = append(names, "--cut WIDTH --length LENGTH")
		case desk.OutlineDoubt:
			flags = []string{"--not-a-piece", "--outline X,Y,X,Y,X,Y"}
		}
	}
	if names != nil {
		flags = slices.Insert(flags, 0, strings.Join(names, " "))
	}
	return flags
}
