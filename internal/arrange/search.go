package arrange

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"
)

// search looks for layouts: first for one with the fewest touches, by swaps of the
// pieces of two places, or of a placed piece for one that is left over, with a tabu
// list (Glover 1989, ORSA Journal on Computing 1(3); on colourings Hertz & de Werra
// 1987, Computing 39(4)).
type search struct {
	*board
	rng  *rand.Rand
	at   []int32 // of each place its piece; -1: none
	left []int32 // of each piece how many are not placed
	// touching counts the touches of each place, total those of all, each once.
	touching []int32
	total    int32
	rough    []int32 // the places that touch something, in any order
	roughAt  []int32 // where in rough a place stands; -1
	until    []int32 // place × mark: the step until which it must not come back
	looked   int     // places weighed so far
}

// The search's bounds.
const (
	mostLooked = 60_000_000 // places weighed in all, at an effort of 1
	sampled    = 200        // places that a piece is offered to at a step, at most
	weighed    = 6          // rough places that are weighed at a step, at most
	marks      = 64         // what the tabu list tells apart
)

func newSearch(b *board) *search {
	n := len(b.Places)
	return &search{
		board: b, rng: rand.New(rand.NewPCG(b.Seed, 0x9e3779b97f4a7c15)),
		at: make([]int32, n), left: make([]int32, len(b.Pieces)),
		touching: make([]int32, n), roughAt: make([]int32, n), until: make([]int32, n*marks),
	}
}

// part looks for a layout with no touches, or with as few as possible. It starts from
// random layouts, and from layouts that give the commonest families places of which no two
// touch. It reports whether ctx ended first.
func (s *search) part(ctx context.Context) (stopped bool) {
	if len(s.at) == 0 {
		return false
	}
	s.deal()
	least := int32(s.least(s.at).Touches)
	best, fewest := slices.Clone(s.at), s.total
	budget := int(s.Effort * mostLooked)
	for round := 0; fewest > least && s.looked < budget && !stopped; round++ {
		switch {
		case round%2 == 1:
			s.peel()
		case round > 0:
			s.deal()
		}
		share := 8
		if round < 2 { // most quilts are easy
			share = 32
		}
		if s.swap(ctx, least, min(budget, s.looked+budget/share)) {
			stopped = true
		}
		if s.total < fewest {
			best, fewest = slices.Clone(s.at), s.total
		}
	}
	s.restore(best)
	return stopped
}

// deal places pieces at random, and fills as many places as can be filled.
func (s *search) deal() {
	s.restore(s.start)
	var bag []int32
	for x, n := range s.left {
		bag = append(bag, slices.Repeat([]int32{int32(x)}, int(n))...)
	}
	s.rng.Shuffle(len(bag), func(i, j int) { bag[i], bag[j] = bag[j], bag[i] })
	for class := range s.Suits {
		var open []int32
		for i := range s.at {
			if s.Places[i].Class == class && s.at[i] < 0 {
				open = append(open, int32(i))
			}
		}
		s.rng.Shuffle(len(open), func(i, j int) { open[i], open[j] = open[j], open[i] })
		bag = slices.DeleteFunc(bag, func(x int32) bool {
			if len(open) == 0 || !s.suits[class][x] {
				return false
			}
			s.at[open[0]] = x
			s.left[x]--
			open = open[1:]
			return true
		})
		for _, place := range open {
			if !s.makeRoom(place) { // no other place of its class can be filled either
				break
			}
		}
	}
	s.count()
}

// makeRoom fills an empty place with a piece from a place of another class, which in turn
// takes a piece that is left over, through as many classes as needed. The place stays empty
// where there is no such chain, which depends on its class alone.
func (s *search) makeRoom(place int32) bool {
	type step struct {
		place int32 // that gives up its piece
		for_  int   // the step it is given up for; -1: the place itself
	}
	steps := []step{{place, -1}}
	seen := make([]bool, len(s.Suits)) // a class is entered once
	seen[s.Places[place].Class] = true
	for k := 0; k < len(steps); k++ {
		class := s.Places[steps[k].place].Class
		for _, x := range s.Suits[class] {
			if s.left[x] == 0 {
				continue
			}
			s.left[x]--
			piece := int32(x)
			for at := k; at >= 0; at = steps[at].for_ {
				p := steps[at].place
				s.at[p], piece = piece, s.at[p]
			}
			return true
		}
		for i := range s.at {
			if c := s.Places[i].Class; s.at[i] >= 0 && s.start[i] < 0 && !seen[c] && s.suits[class][s.at[i]] {
				seen[c] = true
				steps = append(steps, step{int32(i), k})
			}
		}
	}
	return false
}

// peel places the same pieces anew: the commonest family first, in places of which no
// two touch, then the next in what is left.
func (s *search) peel() {
	pool := make([]int32, len(s.Pieces))
	for i, x := range s.at {
		if x >= 0 && s.start[i] < 0 {
			pool[x]++
			s.at[i] = -1
		}
	}
	families := s.groups(func(x int) int { return int(pool[x]) })
	slices.SortStableFunc(families, func(a, b []int32) int { return cmp.Compare(len(b), len(a)) })
	for _, pieces := range families {
		s.rng.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
		open := make([]bool, len(s.at))
		for i := range s.at {
			open[i] = s.at[i] < 0 && slices.ContainsFunc(pieces, func(x int32) bool { return s.suits[s.Places[i].Class][x] }) && s.touches(int32(i), pieces[0], -1) == 0
		}
		places := s.independent(open)
		s.rng.Shuffle(len(places), func(i, j int) { places[i], places[j] = places[j], places[i] })
		for _, place := range places {
			if len(pieces) == 0 {
				break
			}
			k := slices.IndexFunc(pieces, func(x int32) bool { return s.suits[s.Places[place].Class][x] })
			if k < 0 {
				continue
			}
			x := pieces[k]
			pieces = slices.Delete(pieces, k, k+1)
			s.at[place] = x
			pool[x]--
		}
	}
	for x, n := range pool {
		s.left[x] += n
	}
	full := make([]bool, len(s.Suits)) // classes that there is no more for
	for i := range s.at {
		if class := s.Places[i].Class; s.at[i] < 0 && !full[class] {
			if full[class] = !s.makeRoom(int32(i)); !full[class] {
				clear(full) // pieces lie otherwise now
			}
		}
	}
	s.count()
}

// restore goes back to an earlier layout.
func (s *search) restore(at []int32) {
	for i, p := range s.Pieces {
		s.left[i] = int32(p.Count)
	}
	for _, x := range at {
		if x >= 0 {
			s.left[x]--
		}
	}
	copy(s.at, at)
	s.count()
}

// count counts all touches from the beginning.
func (s *search) count() {
	s.rough, s.total = s.rough[:0], 0
	for i := range s.at {
		s.touching[i], s.roughAt[i] = 0, -1
		if s.at[i] >= 0 {
			s.touching[i] = s.touches(int32(i), s.at[i], -1)
		}
		s.total += s.touching[i]
		s.mark(int32(i))
	}
	s.total /= 2
}

// mark adds place i to the list of rough places or removes it, by whether it touches
// anything.
func (s *search) mark(i int32) {
	switch k := s.roughAt[i]; {
	case s.touching[i] > 0 && k < 0 && s.start[i] < 0:
		s.roughAt[i] = int32(len(s.rough))
		s.rough = append(s.rough, i)
	case s.touching[i] == 0 && k >= 0:
		last := s.rough[len(s.rough)-1]
		s.rough[k], s.roughAt[last] = last, k
		s.rough, s.roughAt[i] = s.rough[:len(s.rough)-1], -1
	}
}

// touches counts how many touches a piece would have in a place; the neighbour but is left
// out.
func (s *search) touches(place, x, but int32) (n int32) {
	for _, l := range s.links[place] {
		if y := s.at[l.to]; l.to != but && y >= 0 && s.clash(x, y) {
			n += l.times
		}
	}
	return n
}

// put lays a piece in a place and keeps count.
func (s *search) put(place, x int32) {
	old := s.at[place]
	s.total -= s.touching[place]
	s.touching[place] = 0
	for _, l := range s.links[place] {
		y := s.at[l.to]
		if y < 0 {
			continue
		}
		if old >= 0 && s.clash(old, y) {
			s.touching[l.to] -= l.times
		}
		if x >= 0 && s.clash(x, y) {
			s.touching[l.to] += l.times
			s.touching[place] += l.times
		}
		s.mark(l.to)
	}
	s.at[place] = x
	s.total += s.touching[place]
	s.mark(place)
}

// linked returns in how many patches two places touch.
func (s *search) linked(i, j int32) int32 {
	for _, l := range s.links[i] {
		if l.to == j {
			return l.times
		}
	}
	return 0
}

// gain returns by how many the touches fall when two places exchange their pieces.
func (s *search) gain(i, j int32) int32 {
	x, y := s.at[i], s.at[j]
	between := int32(0)
	if y >= 0 && s.clash(x, y) {
		between = s.linked(i, j)
	}
	was := s.touching[i] + s.touching[j] - 2*between
	will := s.touches(j, x, i)
	if y >= 0 {
		will += s.touches(i, y, j)
	}
	return was - will
}

// barter reports whether two places may exchange their pieces.
func (s *search) barter(i, j int32) bool {
	x, y := s.at[i], s.at[j]
	return i != j && x != y && s.start[j] < 0 && s.start[i] < 0 &&
		(x < 0 || s.suits[s.Places[j].Class][x]) && (y < 0 || s.suits[s.Places[i].Class][y])
}

// tell returns the number that stands for a piece in the tabu list, 0 to marks − 1: its
// family's, or its print's; the last one stands for no piece.
func (s *search) tell(x int32) int32 {
	if x < 0 {
		return marks - 1
	}
	if f := s.family[x]; f >= 0 {
		return f % marks
	}
	return s.print[x] % marks
}

// swap exchanges pieces until no more than least touches are left, or until places were
// weighed. It reports whether ctx ended first.
func (s *search) swap(ctx context.Context, least int32, until int) (stopped bool) {
	clear(s.until)
	best, bestAt := s.total, slices.Clone(s.at)
	for step := int32(1); s.total > least && s.looked < until && len(s.rough) > 0; step++ {
		if step%256 == 0 && ctx.Err() != nil {
			stopped = true
			break
		}
		i, to, spare, most, ties := int32(-1), int32(-1), int32(-1), int32(-1<<30), 0
		for range min(weighed, len(s.rough)) { // of some rough places the one that gains most
			from := s.rough[s.rng.IntN(len(s.rough))]
			s.offers(from, step, best, func(j, y, gain int32) {
				if gain > most {
					most, ties = gain, 0
				}
				if gain < most {
					return
				}
				if ties++; s.rng.IntN(ties) == 0 {
					i, to, spare = from, j, y
				}
			})
		}
		if i < 0 {
			continue
		}
		x := s.at[i]
		tenure := step + 8 + int32(s.rng.IntN(10)) + int32(len(s.rough)/2)
		s.until[int(i)*marks+int(s.tell(x))] = tenure
		if to >= 0 {
			y := s.at[to]
			s.until[int(to)*marks+int(s.tell(y))] = tenure
			s.put(i, -1)
			s.put(to, x)
			s.put(i, y)
		} else {
			s.put(i, spare)
			s.left[x]++
			s.left[spare]--
		}
		if s.total < best {
			best = s.total
			copy(bestAt, s.at)
		}
	}
	if s.total > best {
		s.restore(bestAt)
	}
	return stopped
}

// offers calls offer with each piece that a place may take at a step, from another place or
// from those left over, and by how many the touches would fall. It leaves out what the tabu
// list forbids, unless that would be the best so far.
func (s *search) offers(i, step, best int32, offer func(j, y, gain int32)) {
	x := s.at[i]
	free := func(place, piece, gain int32) bool {
		return s.until[int(place)*marks+int(s.tell(piece))] <= step || s.total-gain < best
	}
	n := len(s.at)
	from, stride, count := 0, 1, n
	if n > sampled {
		from, stride, count = s.rng.IntN(n), 1+s.rng.IntN(n-1), sampled
	}
	s.looked += count
	for k := range count {
		j := int32((from + k*stride) % n)
		if y := s.at[j]; s.barter(i, j) && (y < 0 || !s.twins(x, y)) {
			if gain := s.gain(i, j); free(i, y, gain) && free(j, x, gain) {
				offer(j, y, gain)
			}
		}
	}
	for range min(len(s.left), 32) {
		y := int32(s.rng.IntN(len(s.left)))
		if s.left[y] > 0 && s.suits[s.Places[i].Class][y] && !s.twins(x, y) {
			if gain := s.touching[i] - s.touches(i, y, -1); free(i, y, gain) {
				offer(-1, y, gain)
			}
		}
	}
}

// twins reports whether two pieces must not touch the same others, so that exchanging them
// changes nothing.
func (s *search) twins(x, y int32) bool {
	return len(s.apart) == 0 && (s.family[x] >= 0 && s.family[x] == s.family[y] || s.print[x] == s.print[y])
}
