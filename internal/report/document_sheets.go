package report

import "slices"

// block is what is never broken over two sheets: a line, a row of a table, drawings side
// by side.
type block struct {
	high     float64                    // inches
	above    float64                    // left free above it, but at the head of a sheet
	drawn    func(size float64) float64 // its height in place of high where it is drawings of so much of their size
	byItself bool                       // its drawings may be smaller than those of other blocks
	tied     bool                       // the next stands on the same sheet
	top      *block                     // in its place at the head of a sheet; may be nil
	write    func(y, size float64)      // its upper edge in inches from the top of the sheet
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
			high += b.drawn(own) + b.high
		default:
			high += b.drawn(size) + b.high
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

// laid is a block in its place.
type laid struct {
	block
	sheet   int // from 0
	y, size float64
}

// laid puts blocks on sheets, with drawings of such a size that it takes few and leaves
// little of any but the last empty.
func (p *paper) laid(all []block) []laid {
	var best []laid
	least := 0.0
	for size := 1.0; size >= leastDrawn; size -= 0.05 {
		if now, cost := p.sheets(all, size); best == nil || cost < least-1e-9 {
			best, least = now, cost
		}
	}
	return best
}

// sheets puts blocks on sheets, those that are tied on one where that can hold them. Where
// drawings that are smaller let them stand on the sheet that was begun, they are made so.
// What it costs is the sheets, what is empty of them beyond a fifth, and half of the size
// that drawings lose.
func (p *paper) sheets(all []block, size float64) (out []laid, cost float64) {
	y, sheet := 0.0, 0
	cost = (1 - size) / 2
	turn := func() {
		cost += 1 + max(0, 0.8-y/p.high())
		y, sheet = 0, sheet+1
	}
	for len(all) > 0 {
		n := slices.IndexFunc(all, func(b block) bool { return !b.tied }) + 1
		if n == 0 {
			n = len(all)
		}
		chain := all[:n]
		all = all[n:]
		fits := func(own float64) bool {
			above := chain[0].above
			if y == 0 {
				above = 0
			}
			return y+above+tall(chain, size, own) < p.high()+1e-9
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
		if !fits(size) && !shrinks() && y > 0 && tall(chain, size, leastDrawn) < p.high() {
			turn()
			shrinks()
		}
		cost += (size - own) / 4
		for _, b := range chain {
			at := size
			if b.byItself {
				at = own
			}
			high := func() float64 { return tall([]block{b}, size, own) }
			if y > 0 && y+b.above+high() > p.high()+1e-9 {
				turn()
			}
			if y > 0 {
				y += b.above
			} else if b.top != nil {
				b = *b.top
			}
			out = append(out, laid{b, sheet, paperMargin + y, at})
			y += high()
		}
	}
	return out, cost
}
