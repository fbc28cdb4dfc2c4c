package cutting

import (
	"slices"

	"piecebag/internal/cloth"
)

// MatchedSet is a set whose pieces all come from one print.
type MatchedSet struct {
	Set    int // as its wants have it
	Pieces []SetPiece
}

// SetPiece is a piece of a set.
type SetPiece struct {
	Want  int
	Stock int
	ID    int64
	Cut   bool // from that holding; false: it is that size
}

// matching is a set that is wanted so many times: all of its pieces from one print.
type matching struct {
	set   int   // as its wants have it
	wants []int // indices
	each  []int // pieces of each of them
}

// readSets finds the sets among wants. A set is asked for as often as the want of it that
// asks for the fewest pieces allows.
func (p *problem) readSets(wants []Want) {
	at := map[int]int{}
	p.inSet = make([]int, len(wants))
	for i, w := range wants {
		p.inSet[i] = -1
		if w.Set == 0 || w.Each == 0 {
			continue
		}
		k, ok := at[w.Set]
		if !ok {
			k = len(p.sets)
			at[w.Set] = k
			p.sets = append(p.sets, matching{set: w.Set})
		}
		p.inSet[i] = k
		p.sets[k].wants, p.sets[k].each = append(p.sets[k].wants, i), append(p.sets[k].each, w.Each)
	}
}

// times returns how many whole sets counts of the wants come to, and whether they come to
// nothing more of them.
func (m matching) times(counts []int) (n int, whole bool) {
	n = counts[m.wants[0]] / m.each[0]
	for j, i := range m.wants {
		n = min(n, counts[i]/m.each[j])
	}
	for j, i := range m.wants {
		if counts[i] != n*m.each[j] {
			return n, false
		}
	}
	return n, true
}

// areaOfSet returns the area of the pieces of one set together.
func (p *problem) areaOfSet(m matching) (a area) {
	for j, i := range m.wants {
		a += area(m.each[j]) * p.wants[i].area()
	}
	return a
}

// wholeSets lowers the demand to whole sets: pieces over are not asked for.
func (p *problem) wholeSets() {
	for _, m := range p.sets {
		n, _ := m.times(p.demand)
		for j, i := range m.wants {
			p.demand[i] = n * m.each[j]
		}
	}
}

// ofPrint is the cloth of one print: some sources, and how many copies of each.
type ofPrint struct {
	sources []int
	copies  []int
}

// byPrint parts the cloth by print. Where none is known each piece is by itself, for two may
// be of two prints.
func (p *problem) byPrint() (out []ofPrint) {
	at := map[int]int{}
	for k, s := range p.sources {
		if !s.known {
			for range s.copies {
				out = append(out, ofPrint{[]int{k}, []int{1}})
			}
			continue
		}
		i, ok := at[s.print]
		if !ok {
			i = len(out)
			at[s.print] = i
			out = append(out, ofPrint{})
		}
		out[i].sources, out[i].copies = append(out[i].sources, k), append(out[i].copies, s.copies)
	}
	return out
}

// matchedSets deals the pieces of a plan out to its sets, print by print.
func (p *problem) matchedSets(jobs []job, stock []cloth.Holding) (out []MatchedSet) {
	if p.sets == nil {
		return nil
	}
	var groups [][]job
	at := map[int]int{}
	for _, j := range jobs {
		s := p.sources[j.source]
		i, ok := at[s.print]
		if !s.known || !ok {
			i = len(groups)
			groups = append(groups, nil)
			if s.known {
				at[s.print] = i
			}
		}
		groups[i] = append(groups[i], j)
	}
	for _, group := range groups {
		pieces := make([][]SetPiece, len(p.wants))
		counts := make([]int, len(p.wants))
		for _, j := range group {
			for i, n := range j.counts {
				s := p.sources[j.source].stock
				counts[i] += n
				pieces[i] = append(pieces[i], slices.Repeat([]SetPiece{{Want: i, Stock: s, ID: stock[s].ID, Cut: j.want < 0}}, n)...)
			}
		}
		for _, m := range p.sets {
			n, _ := m.times(counts)
			for k := range n {
				one := MatchedSet{Set: m.set}
				for j, i := range m.wants {
					one.Pieces = append(one.Pieces, pieces[i][k*m.each[j]:(k+1)*m.each[j]]...)
				}
				out = append(out, one)
			}
		}
	}
	return out
}
