package report

import "slices"

// block is the smallest part of a document on paper, never split over two sheets: a line of
// words, a row of a table, or a row of drawings.
type block struct {
	high     float64                    // inches
	above    float64                    // inches left free above it, except at the top of a sheet
	drawn    func(size float64) float64 // of drawings: their height in inches when drawn at a share of their full size
	byItself bool                       // its drawings may be shrunk without shrinking those of other blocks
	least    float64                    // the smallest share of their full size that the drawings are shrunk to
	tied     bool                       // it stands on one sheet, and in one column, with the next block
	half     bool                       // it is narrow enough to stand in one of two columns
	top      *block                     // written in place of it at the top of a sheet or a column, as a row with the head of its table; may be nil
	write    func(y, size float64)      // writes it at paper.left; y is its upper edge, inches from the top of the sheet
}

// tall returns the height of blocks one below the other, inches, without the space above the
// first. Drawings are at size, a share of their full size; those that shrink alone are at own.
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

// tie keeps every block on one sheet with the block that follows it.
func tie(all []block) []block {
	for i := range all {
		all[i].tied = true
	}
	return all
}

// together keeps blocks on one sheet.
func together(all []block) []block {
	if len(all) > 0 {
		tie(all[:len(all)-1])
	}
	return all
}

// together keeps blocks on one sheet where they take no more than a third of it.
func (p *paper) together(all []block) []block {
	if tall(all, 1, 1) > p.high()/3 {
		return all
	}
	return together(all)
}

// spaced adds space above the first block, inches.
func spaced(above float64, all []block) []block {
	if len(all) > 0 {
		all[0].above += above
	}
	return all
}

// high returns the height between the margins of a sheet, inches.
func (p *paper) high() float64 { return p.h - 2*paperMargin }

// leastDrawn is the smallest share of their full size that drawings are shrunk to, in order
// to save a sheet or to fill one.
const leastDrawn = 0.45

// packings are the shares of their full size for which it is worked out anew how many drawings of
// one scale fit side by side. At a size between two of them they stand as at the larger one.
var packings = []float64{1, 0.75, 0.6, leastDrawn}

// laid is a block with its place on paper.
type laid struct {
	block
	sheet   int  // from 0
	right   bool // it stands in the right one of two columns
	y, size float64
}

// laid divides a document into sheets. The size of the drawings is chosen so that there are few
// sheets and none is half empty. Where the last sheet would hold little, rows are set closer if
// that saves the sheet.
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

// tried divides a document into sheets with drawings of every size, and returns the division
// that costs least, and its cost; see sheets.
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

// chainsOf divides blocks into chains: each ends with the first block that is not tied.
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

// sheets divides chains of tied blocks into sheets, with drawings at size, a share of their full
// size. A chain that is no higher than a sheet is not split. Where a chain fits the rest of a
// sheet only with smaller drawings, they are shrunk. Narrow blocks in a row fill two columns of
// equal height, the left one first.
//
// The cost is counted in sheets: 1 for each turn to a new sheet, the empty share of a sheet beyond
// a fifth, that of the last sheet beyond two thirds, and half of the share of their size that
// drawings lose. The weights are our own, chosen by eye.
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
	// next goes on to the next column, or to a new sheet, whose columns are to hold the run.
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
		// run returns the narrow blocks in a row that begin with block from of the chain.
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

// columned returns the least height, inches, at which two columns hold a run of chains, or the
// room where they need more than that.
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

// inColumns reports whether two columns of a height, inches, hold a run of chains.
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
