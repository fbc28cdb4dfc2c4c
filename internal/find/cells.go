package find

import "piecebag/internal/raster"

// grow gives cells of cloth without a label to the label that reaches them
// first, reach cells far at most.
func grow(lab []int32, cloth func(i int) bool, w, h, reach int) {
	var edge []int32
	for i, l := range lab {
		if l != 0 {
			edge = append(edge, int32(i))
		}
	}
	for range reach {
		var next []int32
		for _, i := range edge {
			raster.Around(int(i), w, h, func(j int) {
				if lab[j] == 0 && cloth(j) {
					lab[j] = lab[i]
					next = append(next, int32(j))
				}
			})
		}
		edge = next
	}
}
