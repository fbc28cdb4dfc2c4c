package report

import "slices"

// block is what is never broken over two sheets: a line, a row of a table, drawings side
// by side.
type block struct {
	high     float64                    // inches
	above    float64                    // left free above it, but at the head of a sheet
	drawn    func(size float64) float64 // its height in place of high where it is drawings of so much of their size
	byItself bool                       // its drawings may be smaller than those of other blocks
	least    float64                    // of their size that the drawings keep
	tied     bool                       // the next stands on the same sheet, and in the same column
	half     bool                       // it may stand in either of two columns
	top      *block                     // in its place at the head of a sheet or a column; may be nil
	write    func(y, size float64)      // at paper.left, its upper edge in inches from the top of the sheet
}

// tall is how much of a sheet blocks take, without what is free above the first, where
// drawings are of so much of their size, and those that may be so by themselves of own.
func tall(all []block, size, own float64) float64 {
	high := 0.0
	for i, b := range all {
		if i > 0 {
			high += b.above
		}
		switch {
		case b.drawn == nil:
			high += b.high
		case b.byItself:
			high += b.drawn(max(own, b.least)) + b.high
		default:
			high += b.drawn(max(size, b.least)) + b.high
		}
	}
	return high
}

// tie has all blocks stand with what follows them.
func tie(all []block) []block {
	for i := range all {
		all[i].tied = true
	}
	return all
}

// together has blocks stand on one sheet.
func together(all []block) []block {
	if len(all) > 0 {
		tie(all[:len(all)-1])
	}
	return all
}

// together has blocks stand on one sheet where they are no more than a third of it.
func (p *paper) together(all []block) []block {
	if tall(all, 1, 1) > p.high()/3 {
		return all
	}
	return together(all)
}

// spaced leaves some of the sheet free above the first block.
func spaced(above float64, all []block) []block {
	if len(all) > 0 {
		all[0].above += above
	}
	return all
}

// high is how much of a sheet is written on.
func (p *paper) high() float64 { return p.h - 2*paperMargin }

// leastDrawn is how much of their size drawings keep where that saves a sheet or
// fills one.
const leastDrawn = 0.45

// packings are the sizes for which drawings of one scale are put side by side: those that are
// drawn smaller stand as they would at the size before it.
var packings = []float64{1, 0.75, 0.6, leastDrawn}

// laid is a block in its place.
type laid struct {
	block
	sheet   int  // from 0
	right   bool // in the right one of two columns
	y, size float64
}

// laid puts a document on sheets, with drawings of such a size that it takes few and leaves
// little of any empty; rows stand close where the last sheet would hold little.
func (p *paper) laid(d Document) []laid {
	best, cost := p.tried(d)
	if last := best[len(best)-1]; last.sheet > 0 && last.y < p.h/3 {
		p.close = true
		now, less := p.tried(d)
		if p.close = less < cost-0.5; p.close { // a sheet less
			best = now
		}
	}
	return best
}

// tried puts a document on sheets at all sizes of drawings, and returns the way that costs
// least.
func (p *paper) tried(d Document) (best []laid, least float64) {
	scaled := slices.ContainsFunc(d.sections, func(s section) bool { return s.Scaled && len(s.Drawings) > 1 })
	for i, from := range packings {
		to := leastDrawn
		if scaled {
			p.packing = from
			if i+1 < len(packings) {
				to = packings[i+1] + 0.01
			}
		} else if i > 0 {
			break
		}
		chains := chainsOf(p.blocks(d))
		for size := from; size > to-1e-9; size -= 0.05 {
			if now, cost := p.sheets(chains, size); best == nil || cost < least-1e-9 {
				best, least = now, cost
			}
		}
	}
	return best, least
}

// chainsOf parts blocks into chains, of which all but the last of each are tied.
func chainsOf(all []block) (out [][]block) {
	for len(all) > 0 {
		n := slices.IndexFunc(all, func(b block) bool { return !b.tied }) + 1
		if n == 0 {
			n = len(all)
		}
		out, all = append(out, all[:n]), all[n:]
	}
	return out
}

// sheets puts chains of tied blocks on sheets, each on one where that can hold it. Where
// drawings that are smaller let a chain stand on the sheet that was begun, they are made so.
// Blocks of half the width that follow one another fill two columns, the left one first.
// The cost is in sheets: each counts one, and besides what is empty of it beyond a fifth, of the
// last one beyond two thirds, and half of the size that drawings lose.
func (p *paper) sheets(chains [][]block, size float64) (out []laid, cost float64) {
	var (
		y, sheet = 0.0, 0
		column   = 0        // 1: left, 2: right, 0: the whole width
		head     = 0.0      // where the column begins
		foot     = p.high() // where it ends
		left     = 0.0      // where the left column ended
	)
	whole := func() { y, column, head, foot, left = max(y, left), 0, 0, p.high(), 0 }
	halve := func(run [][]block) { column, head, foot = 1, y, y+columned(run, p.high()-y) }
	turn := func() {
		whole()
		cost += 1 + max(0, 0.8-y/p.high())
		y, sheet = 0, sheet+1
	}
	// next goes on to the next column or sheet, where the blocks of a run of columns are to stand.
	next := func(run [][]block) {
		switch column {
		case 0:
			turn()
		case 1:
			column, left, y = 2, y, head
		case 2:
			turn()
			halve(run)
		}
	}
	for i, chain := range chains {
		if !chain[0].half {
			whole()
		}
		// run returns the blocks from one of the chain on that may stand in columns.
		run := func(from int) [][]block {
			n := slices.IndexFunc(chains[i+1:], func(c []block) bool { return !c[0].half })
			if n < 0 {
				n = len(chains) - i - 1
			}
			return append([][]block{chain[from:]}, chains[i+1:i+1+n]...)
		}
		fits := func(own float64) bool {
			above := chain[0].above
			if y == head {
				above = 0
			}
			return y+above+tall(chain, size, own) < foot+1e-9
		}
		own := size
		shrinks := func() bool {
			for own = size; own >= leastDrawn-1e-9; own -= 0.02 {
				if fits(own) {
					return true
				}
			}
			own = size
			return false
		}
		if !fits(size) && !shrinks() && y > head && tall(chain, size, leastDrawn) < p.high() {
			next(run(0))
			shrinks()
		}
		cost += (size - own) / 4
		for k, b := range chain {
			at := size
			if b.byItself {
				at = own
			}
			at = max(at, b.least)
			switch {
			case !b.half:
				whole()
			case column == 0:
				halve(run(k))
			}
			high := func() float64 { return tall([]block{b}, size, own) }
			if y > head && y+b.above+high() > foot+1e-9 {
				next(run(k))
			}
			if y > head {
				y += b.above
			} else if b.top != nil {
				b = *b.top
			}
			out = append(out, laid{b, sheet, column == 2, paperMargin + y, at})
			y += high()
		}
	}
	if whole(); sheet > 0 {
		cost += max(0, 0.33-y/p.high())
	}
	return out, cost
}

// columned returns how high two columns that hold a run of chains must be, where the room
// is enough; else the room.
func columned(run [][]block, room float64) float64 {
	all := 0.0
	for _, chain := range run {
		all += tall(chain, 1, 1)
	}
	for high := all / 2; high < room; high += bodyLine / 2 {
		if inColumns(run, high) {
			return high
		}
	}
	return room
}

// inColumns reports whether two columns of a height hold a run of chains.
func inColumns(run [][]block, high float64) bool {
	y, column := 0.0, 1
	for _, chain := range run {
		if y > 0 && y+chain[0].above+tall(chain, 1, 1) > high+1e-9 {
			y, column = 0, column+1
		}
		for _, b := range chain {
			if y > 0 {
				y += b.above
			} else if b.top != nil {
				b = *b.top
			}
			y += b.high
		}
		if y > high+1e-9 {
			return false
		}
	}
	return column <= 2
}
