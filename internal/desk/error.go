package desk

import (
	"errors"

	"piecebag/internal/fault"
)

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
