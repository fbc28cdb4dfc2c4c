package find

// watershed floods the cloth from the minima of height (0..255) and gives every
// cloth pixel the number of the basin it lies in, 0 up; others get -1
// (Meyer 1994, by bucket queue, so ties break by order of arrival).
func watershed(height []uint8, cloth []bool, w, h int) (label []int32, n int) {
	label = make([]int32, w*h)
	for i := range label {
		label[i] = -1
	}
	// minima: plateaus with no lower neighbour
	const unseen, seen = 0, 1
	state := make([]uint8, w*h)
	var queue [256][]int32
	var stack, plateau []int32
	push := func(i, own int32, at uint8) {
		if i < 0 || int(i) >= w*h || !cloth[i] || label[i] >= 0 {
			return
		}
		label[i] = own
		lev := max(at, height[i])
		queue[lev] = append(queue[lev], i)
	}
	nb := func(i int32, f func(j int32)) {
		x := int(i) % w
		if x > 0 {
			f(i - 1)
		}
		if x < w-1 {
			f(i + 1)
		}
		if int(i) >= w {
			f(i - int32(w))
		}
		if int(i)+w < w*h {
			f(i + int32(w))
		}
	}
	for s := range int32(w * h) {
		if !cloth[s] || state[s] != unseen {
			continue
		}
		plateau = plateau[:0]
		stack = append(stack[:0], s)
		state[s] = seen
		low := true
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			plateau = append(plateau, i)
			nb(i, func(j int32) {
				if !cloth[j] {
					return
				}
				if height[j] < height[i] {
					low = false
				} else if height[j] == height[i] && state[j] == unseen {
					state[j] = seen
					stack = append(stack, j)
				}
			})
		}
		if low {
			for _, i := range plateau {
				label[i] = int32(n)
				queue[height[i]] = append(queue[height[i]], i)
			}
			n++
		}
	}
	for lev := range queue {
		for k := 0; k < len(queue[lev]); k++ {
			i := queue[lev][k]
			nb(i, func(j int32) { push(j, label[i], uint8(lev)) })
		}
		queue[lev] = nil
	}
	return label, n
}
