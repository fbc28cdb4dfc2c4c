package desk

import (
	"context"
	"errors"

	"piecebag/internal/fault"
	"piecebag/internal/stash"
)

// Door is how a verb, while it works, speaks to whoever asked for it. Functions that are
// nil are not called.
type Door struct {
	// Begin is called when work of so many steps begins, Step after each, and End when
	// there are no more; several goroutines may call Step.
	Begin func(work Work, steps int)
	Step  func()
	End   func()
	// Note is called with what you should know and did not ask.
	Note func(Note)
	// Ask puts a question to you; asked is false where nobody can answer.
	Ask func(ctx context.Context, q Question) (yes, asked bool, err error)
}

// Work is a kind of work that takes long.
type Work string

// The kinds of work that take long.
const (
	LookingWork Work = "looking" // at photos, a step each
	StowingWork Work = "stowing" // photos, a step each
	LayingWork  Work = "laying"  // a quilt out, in hundredths of each layout
)

// whole returns the door with functions that do nothing in place of those that are nil.
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

// NameKind is the kind of thing that a name stands for.
type NameKind string

// The kinds of things that have names.
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

// Error lets it be the cause of an error about what cannot be done with an unknown name.
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

// Relook asks whether the stash is to be changed to what a later look at its photos found.
type Relook struct{}

// Error lets it be the cause of an error about what was not done, since nobody could
// answer.
func (NearName) Error() string { return "a new name that is nearly a known one" }

func (NearName) isQuestion() {}
func (Copy) isQuestion()     {}
func (Relook) isQuestion()   {}

// The kinds of failure that a door may want to say more of, such as the command or the
// button that mends it; errors.Is tells them apart on a *fault.Error.
// Beside them a NearName and an UnknownName are causes too.
var (
	ErrNoStash       = errors.New("no stash yet")
	ErrNothingToAdd  = errors.New("neither pieces nor a weight to add")
	ErrNoWeight      = errors.New("weighed cloth without its weight")
	ErrNoColour      = errors.New("no word for a colour")
	ErrNoNumbers     = errors.New("no numbers of pieces")
	ErrTooLarge      = errors.New("a leftover larger than is searched")
	ErrNoPiece       = errors.New("no such piece in the stash")
	ErrNoFloor       = errors.New("no such floor")
	ErrYardWeight    = errors.New("no cloth weighs so")
	ErrWithout       = errors.New("something of the stash asked for, which is not to be looked into")
	ErrBetween       = errors.New("pairs of squares that no one sews between other seams")
	ErrNoPatch       = errors.New("no patch with the piece that is to lie in it")
	ErrSecondPatch   = errors.New("of the second of two patches that were to change places")
	ErrNoPlan        = errors.New("no such plan")
	ErrNotLaid       = errors.New("a plan that was not laid out")
	ErrPlanUnread    = errors.New("a plan that cannot be read")     // About: its name
	ErrExampleUnread = errors.New("an example that cannot be read") // About: its bin
	ErrNothingTaught = errors.New("no bin was taught")
	ErrNothingSeen   = errors.New("no piece was found to learn from")
	ErrUnmeasured    = errors.New("a colour that was never measured")
	ErrNoBackground  = errors.New("no background to choose")
	ErrNotCloth      = errors.New("neither a colour, a photo nor a print")  // About: what was named
	ErrNoGround      = errors.New("no stash yet to take a background from") // About: the background
	ErrNoPrint       = errors.New("no such print in the stash")
	ErrNoNumber      = errors.New("no such piece in the photo")    // About: the photo
	ErrEmptyBasket   = errors.New("nothing of this in the basket") // About: the basket
	ErrAlike         = errors.New("a photo that looks like one in the stash")
	ErrAlikeHere     = errors.New("a photo that looks like another of those given")
	ErrAlikeKept     = errors.New("a photo that looks like one that a recount leaves in the stash")
)

func (d *Desk) noStash() error {
	return fault.New(d.dir, "there is no stash yet", "stow a photo or add pieces first", ErrNoStash)
}
