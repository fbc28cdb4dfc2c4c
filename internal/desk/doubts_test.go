package desk

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// One answer does for pieces of one photo and print whose colour is doubted alike, and for no
// others: each case differs from the first piece in one thing.
func TestDoubtedAlike(t *testing.T) {
	one := func(change func(d *Doubted)) Doubted {
		d := Doubted{Item: shelf.Item{Piece: cloth.Piece{Print: "h", Family: cloth.Grey, FamilyOr: cloth.White, Value: cloth.Light, ValueOr: cloth.MediumLight}}, Of: []Doubt{FamilyDoubt, ValueDoubt}}
		change(&d)
		return d
	}
	same := one(func(*Doubted) {})
	require.Equal(t, [][]Doubted{{same, same}}, DoubtedAlike([]Doubted{same, same}))
	for name, change := range map[string]func(d *Doubted){
		"another photo":          func(d *Doubted) { d.Photo = 1 },
		"another print":          func(d *Doubted) { d.Piece.Print = "k" },
		"another family":         func(d *Doubted) { d.Piece.Family = cloth.Brown },
		"another second family":  func(d *Doubted) { d.Piece.FamilyOr = cloth.Brown },
		"another value":          func(d *Doubted) { d.Piece.Value = cloth.Dark },
		"another second value":   func(d *Doubted) { d.Piece.ValueOr = cloth.Dark },
		"less is doubted":        func(d *Doubted) { d.Of = d.Of[:1] },
		"its outline is doubted": func(d *Doubted) { d.Of = []Doubt{FamilyDoubt, ValueDoubt, OutlineDoubt} },
	} {
		other := one(change)
		require.Equal(t, [][]Doubted{{same, same}, {other}}, DoubtedAlike([]Doubted{same, other, same}), name)
	}
	for name, change := range map[string]func(d *Doubted){
		"no print is known":    func(d *Doubted) { d.Piece.Print = "" },
		"outlines are doubted": func(d *Doubted) { d.Of = []Doubt{FamilyDoubt, OutlineDoubt} },
		"sizes are doubted":    func(d *Doubted) { d.Of = []Doubt{SizeDoubt} },
	} {
		other := one(change)
		require.Len(t, DoubtedAlike([]Doubted{other, other}), 2, name)
	}
}
