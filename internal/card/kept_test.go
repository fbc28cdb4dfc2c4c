package card

import (
	"testing"

	"piecebag/internal/testtable"
)

// What is printed on the card stays where it is: cards are in use.
func TestLayoutIsKept(t *testing.T) {
	testtable.Kept(t, "layout", map[string]any{"shapes": Shapes(), "texts": Texts(), "blank": Blank, "steps": Steps}, 1e-6)
}
