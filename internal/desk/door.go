package desk

import (
	"context"

	"piecebag/internal/stash"
)

// Door is how a verb speaks, while it works, to whoever asked for it. What is nil is
// for nobody.
type Door struct {
	// Begin is told that work of so many steps begins, Step of each, and End that
	// there are no more; several goroutines may call Step.
	Begin func(work Work, steps int)
	Step  func()
	End   func()
	// Note is told what you should know and did not ask.
	Note func(Note)
	// Ask asks you; asked is false where nobody can answer.
	Ask func(ctx context.Context, q Question) (yes, asked bool, err error)
}

// Work is what takes its time.
type Work string

// What takes its time.
const (
	LookingWork Work = "looking" // at photos, a step each
	StowingWork Work = "stowing" // photos, a step each
	LayingWork  Work = "laying"  // a quilt out, in hundredths of each layout
)

// whole is the door with what is nil for nobody.
func (d Door) whole() Door {
	if d.Begin == nil {
		d.Begin = func(Work, int) {}
	}
	if d.Step == nil {
		d.Step = func() {}
	}
	if d.End == nil {
		d.End = func() {}
	}
	if d.Note == nil {
		d.Note = func(Note) {}
	}
	if d.Ask == nil {
		d.Ask = func(context.Context, Question) (yes, asked bool, err error) { return false, false, nil }
	}
	return d
}

// Note is what you should know and did not ask: a NewName, an UnknownName or a
// NotKept.
type Note interface{ isNote() }

// NameKind is what a name is of.
type NameKind string

// What names are of.
const (
	BinName    NameKind = "bin"
	BasketName NameKind = "basket"
	PrintName  NameKind = "print"
)

// NewName is a name that the stash did not know, and does now.
type NewName struct {
	Kind NameKind
	Name string
}

// UnknownName is a name that was looked for and that the stash does not know.
type UnknownName struct {
	Kind NameKind
	Name string
	Near string // a name it knows, of which this may be a slip; "" for none
}

// NotKept is a photo that cannot be looked at again, since the stash did not keep it.
type NotKept struct{ Name string }

// Error makes it a cause: of what cannot be done with an unknown name.
func (UnknownName) Error() string { return "a name that the stash does not know" }

func (NewName) isNote()     {}
func (UnknownName) isNote() {}
func (NotKept) isNote()     {}

// Question is what you are asked: a NearName, a Copy or a Relook.
type Question interface{ isQuestion() }

// NearName asks whether a new name is meant, though it is nearly one that the stash
// knows.
type NearName struct {
	Kind       NameKind
	Name, Near string
}

// Copy asks whether the pieces of a photo count that looks the same as one in the
// stash.
type Copy struct {
	File   string
	Of     stash.Likeness
	Pieces int // found in it
}

// Relook asks whether the stash is to be changed as a later look at its photos has it.
type Relook struct{}

// Error makes it a cause: of what was not done, since nobody could answer.
func (NearName) Error() string { return "a new name that is nearly a known one" }

func (NearName) isQuestion() {}
func (Copy) isQuestion()     {}
func (Relook) isQuestion()   {}
