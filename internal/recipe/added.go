package recipe

import (
	"slices"

	"github.com/pelletier/go-toml/v2"
)

// Added is what is asked for beside a recipe's own text: blocks of others in turn, and what
// goes round them. It is read as if it stood in the text. Lengths are finished, in inches.
type Added struct {
	Blocks  []AddedBlock  `toml:"block,omitempty"`
	Sashing *AddedSashing `toml:"sashing,omitempty"`
	Borders []AddedBorder `toml:"border,omitempty"` // from the innermost
}

// AddedBlock is a block of another recipe, by its name.
type AddedBlock struct {
	Recipe string `toml:"recipe"`
}

// AddedSashing is sashing; an empty role is one of its own.
type AddedSashing struct {
	WidthIn     float64 `toml:"width"`
	Role        string  `toml:"role,omitempty"`
	Edge        bool    `toml:"edge,omitempty"` // round the blocks too
	Cornerstone string  `toml:"cornerstone,omitempty"`
}

// AddedBorder is a border: plain, or pieced of piano keys or of a block. An empty role is one
// of its own.
type AddedBorder struct {
	WidthIn float64 `toml:"width"`
	Role    string  `toml:"role,omitempty"`
	Mitred  bool    `toml:"mitred,omitempty"`
	KeysIn  float64 `toml:"keys,omitempty"`
	Block   string  `toml:"block,omitempty"`
	Corner  string  `toml:"corner,omitempty"`
}

// With returns the text of a recipe with what is added to it, as it is where nothing is.
func (a Added) With(text []byte) ([]byte, error) {
	more, err := toml.Marshal(a)
	if len(more) == 0 {
		return text, err
	}
	return slices.Concat(text, []byte("\n"), more), err
}
