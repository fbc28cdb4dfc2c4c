package arrange

// network is a directed graph with capacities. Its largest flow is found by levels and
// paths along them (Dinitz 1970, Soviet Mathematics Doklady 11).
type network struct {
	arcs [][]arc
}

type arc struct {
	to   int32
	back int32 // its place among the arcs of to
	room int32
}

func newNetwork(nodes int) *network { return &network{make([][]arc, nodes)} }

func (n *network) add(from, to, capacity int) {
	n.arcs[from] = append(n.arcs[from], arc{int32(to), int32(len(n.arcs[to])), int32(capacity)})
	n.arcs[to] = append(n.arcs[to], arc{int32(from), int32(len(n.arcs[from]) - 1), 0})
}

// flow returns the largest flow between two nodes, which is what the least cut holds.
func (n *network) flow(from, to int) (total int) {
	level := make([]int32, len(n.arcs))
	next := make([]int, len(n.arcs))
	var push func(at int32, most int32) int32
	push = func(at, most int32) int32 {
		if at == int32(to) {
			return most
		}
		for ; next[at] < len(n.arcs[at]); next[at]++ {
			a := &n.arcs[at][next[at]]
			if a.room == 0 || level[a.to] != level[at]+1 {
				continue
			}
			if got := push(a.to, min(most, a.room)); got > 0 {
				a.room -= got
				n.arcs[a.to][a.back].room += got
				return got
			}
		}
		return 0
	}
	for {
		for i := range level {
			level[i] = -1
		}
		level[from] = 0
		queue := []int32{int32(from)}
		for k := 0; k < len(queue); k++ {
			for _, a := range n.arcs[queue[k]] {
				if a.room > 0 && level[a.to] < 0 {
					level[a.to] = level[queue[k]] + 1
					queue = append(queue, a.to)
				}
			}
		}
		if level[to] < 0 {
			return total
		}
		clear(next)
		for got := push(int32(from), 1<<30); got > 0; got = push(int32(from), 1<<30) {
			total += int(got)
		}
	}
}
