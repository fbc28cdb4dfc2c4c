package desk

import (
	"strings"

	"piecebag/internal/recipe"
)

// RecipeRequest says which block is meant, and how it is made.
type RecipeRequest struct {
	// Name is that of a recipe that is built in or your own; or several with commas between,
	// whose blocks stand in turn.
	Name string
	// Open gives the text of a recipe of your own by its name, nil where there is none; what
	// blocks are taken from is asked for by the name it has in the recipe. Nil: you have none.
	Open     func(name string) ([]byte, error)
	Added    recipe.Added        // to the text
	BlockIn  float64             // the width of the finished block, inches; 0: as the recipe has it
	AtATime  map[recipe.Make]int // as recipe.Made takes it
	Matching string              // likewise, as recipe.Match takes it
}

// Read reads the recipe, with the texts of your own that it takes blocks from. Errors: those
// of Open, and the *fault.Error of reading it.
func (r RecipeRequest) Read() (*recipe.Recipe, error) {
	open := r.Open
	if open == nil {
		open = func(string) ([]byte, error) { return nil, nil }
	}
	text, err := recipe.Text(r.Name)
	if err != nil {
		own, failed := open(r.Name)
		names := strings.Split(r.Name, ",")
		switch {
		case failed != nil:
			return nil, failed
		case own != nil:
			text = own
		case len(names) > 1:
			for i := range names {
				names[i] = strings.TrimSpace(names[i])
			}
			text = recipe.Several(names)
		default:
			return nil, err
		}
	}
	if text, err = r.Added.With(text); err != nil {
		return nil, err
	}
	if text, err = recipe.Bundle(text, open); err != nil {
		return nil, err
	}
	out, err := recipe.Read(r.Name, text)
	if err == nil {
		err = out.LosesRows()
	}
	if err != nil {
		return nil, err
	}
	return out.As(r.BlockIn, r.AtATime, r.Matching)
}
