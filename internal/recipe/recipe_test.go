package recipe

import (
	"fmt"
	"testing"
)

func TestScratch(t *testing.T) {
	for _, n := range Names() {
		r, err := BuiltIn(n)
		if err != nil {
			t.Error(err)
			continue
		}
		fmt.Println("==", n, r.WidthIn, r.HeightIn, len(r.Blocks[0].Units))
		for _, c := range r.TopCuts(3, 3, Cutting{System: Inches(), WOFIn: 40}) {
			fmt.Println(c.Role.Name, c.WidthIn, c.LengthIn, c.Count, c.Split, c.For)
		}
	}
}
