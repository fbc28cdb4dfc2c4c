package report

import (
	"piecebag/internal/desk"
	"piecebag/internal/fault"
)

// Wording is how documents speak of the flags and commands, or of the fields and pages, of
// the door that they are asked for at. What it leaves empty they leave out.
type Wording struct {
	// What goes after a clause, with the mark or the space between them.
	Whole  string // where lists are that a document cuts short
	Drawn  string // where layouts are drawn whole
	Listed string // where all that may be wrong of photos is listed
	Most   string // how many quilts are told of
	Aims   string // where the aims of a plan of cuts are told
	TakeIn string // how what was left out of a photo is taken in; its points follow
	// Sentences that go after another, with the space between them.
	PlanAgain string // how a kept quilt takes in cloth that came in uncut
	OneWay    string // how a role is told to have an up

	Bind     string                     // how a quilt is bound from strips that are left
	Lacks    func(recipe string) string // how it is asked what the stash lacks of a recipe; nil: not said
	Mends    []Mend                     // of the doubts of a look
	Remedies fault.Remedies

	Plan, Arrange func(Ordered) string                   // how a quilt is planned, and laid out
	Fixes         func(d desk.DoubtedIn) (ways []string) // what mends a piece that went in, one or the other
}

// Mend is what mends a doubt.
type Mend struct {
	Of    desk.Doubt
	Words string
}

// Ordered is a quilt as it can be asked for.
type Ordered struct {
	Recipe, Block, AtATime string // the recipe's name or file; the block's width; how many units are made at a time, empty: one
	Columns, Rows          int    // of blocks
}
