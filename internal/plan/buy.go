package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// Sought is what cloth to look for in a shop. Empty fields allow any.
type Sought struct {
	One    string       `json:"one,omitempty"` // one fabric for a part of one quilt: "background of stars"
	Bin    string       `json:"bin,omitempty"` // a bin of your own
	Family cloth.Family `json:"family,omitempty"`
	Value  cloth.Value  `json:"value,omitempty"` // of a bin; Tone is then empty
	Tone   recipe.Tone  `json:"tone,omitempty"`  // of a recipe's role
}

// SoughtFor returns what a role of a quilt is bought as.
func SoughtFor(r recipe.Role, quilt string) Sought {
	if r.Background {
		return Sought{One: "background of " + quilt}
	}
	return Sought{Family: r.Family, Tone: r.Value}
}

// String returns "sea greens", "dark blue", "light, any colour", "any print" or
// "background of stars".
func (s Sought) String() string {
	value, family := string(s.Value), familyWords(s.Family)
	if value == "" {
		value = string(s.Tone)
	}
	switch {
	case s.One != "":
		return s.One
	case s.Bin != "":
		return s.Bin
	case value == "" && s.Family == "":
		return "any print"
	case value == "":
		return family + ", any value"
	case s.Family == "":
		return value + ", any colour"
	case s.Family == cloth.Many:
		return family + ", " + value
	}
	return value + " " + family
}

// familyWords returns a family's name as it is used in a shop, where prints of many colours
// are called multicoloured.
func familyWords(f cloth.Family) string {
	if f == cloth.Many {
		return "multicoloured"
	}
	return string(f)
}

// Gap is cloth that is wanted and not held: pieces of one cut, or a length of
// cloth worked out already.
type Gap struct {
	Sought
	Quilt    string  `json:"quilt,omitempty"`    // the planned quilt that wants it; empty: a thin bin
	WidthIn  float64 `json:"width_in,omitempty"` // of a piece as cut, inches
	LengthIn float64 `json:"length_in,omitempty"`
	Pieces   int     `json:"pieces,omitempty"`
	// Set joins gaps of a quilt, where it is not 0: Each pieces of every one of them come
	// from one print.
	Set     int     `json:"set,omitempty"`
	Each    int     `json:"each,omitempty"`
	ClothIn float64 `json:"cloth_in,omitempty"` // across the width of fabric, before rounding; for gaps without pieces
}

// InAnyPrint reports whether a gap is of pieces in any print that suits, not of one
// fabric, which no plan looks for in the stash.
func (g Gap) InAnyPrint() bool { return g.Pieces > 0 && g.One == "" }

// Habits say how you shop.
type Habits struct {
	Shop Shop
	// EachPrint is how many pieces of a gap one print should fill at most; 0 is
	// what one strip across the fabric gives, the least that is sold of a print. No
	// number of prints that makes a quilt scrappy has been published: common
	// practice, no source.
	EachPrint int
	// NoQuarters is set where cloth is sold by length alone, no fat quarters or eighths.
	NoQuarters bool
}

// Purchase is one line of the shopping list: prints that are bought in one amount.
type Purchase struct {
	Sought
	Swatch     colour.Munsell // to hold against cloth
	HasSwatch  bool           // a bin of your own and a print of many colours have none
	Gaps       []Gap          // that it fills, quilt by quilt, as given
	Pieces     int
	Prints     int          // different prints to buy
	Fat        *cloth.Trade // what is bought of each print, fat quarters or fat eighths; nil: buy by length
	FatCount   int
	LengthIn   float64 // of each print, before shrinkage and rounding; where bought by length
	BuyIn      float64 // of each print, rounded up
	Buy        string  // of each print, as it is asked for: "⅜ yd", "1 fat quarter"
	WeighedIn2 float64 // of its colour in the stash by weight alone, square inches: to look through first
	Unlocks    []string
	Helps      []string // planned quilts in which it fills a gap, Unlocks among them
	Why        recipe.Why
}

// FatCountOf returns how many of each print are bought of a cut that the trade names, such as
// "fat quarter".
func (p Purchase) FatCountOf(trade string) int {
	if p.Fat == nil || p.Fat.Name != trade {
		return 0
	}
	return p.FatCount
}

// Held is one box of the stash as buying sees it.
type Held struct {
	Name       string  // "dark blue, 2½ square"
	Sought             // Family and Value, or Bin
	Count      int     // of known size
	WeighedIn2 float64 // of cloth that was weighed and not counted, square inches
	Needed     int     // what planned quilts take of it
	Least      int     // the fewest wanted in it, by its floor or planned quilts; 0: none
	Wanted     bool    // more of it would fill what is short
}

// Enough is cloth not to buy, and why.
type Enough struct {
	Name   string
	Count  int
	Reason string
}

// Shopping is what to buy, the most useful first, and what not to buy.
type Shopping struct {
	Buy    []Purchase
	Enough []Enough // fullest first
}

// Buy makes a shopping list. Gaps alike in colour and value are one purchase, with prints for
// each quilt, where those are bought in the same amount. A purchase that alone makes a planned quilt possible
// comes first; then what takes a quilt nearest to that, what helps the most
// quilts, what fills the largest share of a quilt's gaps by area, what evens out the
// shelf most; ties as given. Every purchase is the least cloth that gives the
// pieces, print by print: so many eighths of a yard (or 10 cm) across the width of
// fabric, or fat quarters or eighths, whichever is less.
func Buy(gaps []Gap, held []Held, h Habits) (Shopping, error) {
	// A piece of cloth serves one quilt, or the thin bins together, since a planned quilt keeps
	// whole pieces for itself.
	var each []Purchase
	quilts := map[Sought]int{}
	for _, g := range gaps {
		if g.Pieces <= 0 && g.ClothIn <= 0 {
			continue
		}
		i := slices.IndexFunc(each, func(p Purchase) bool { return p.Sought == g.Sought && p.Gaps[0].Quilt == g.Quilt })
		if i < 0 {
			i = len(each)
			each = append(each, Purchase{Sought: g.Sought})
			quilts[g.Sought]++
		}
		each[i].Gaps = append(each[i].Gaps, g)
	}
	var s Shopping
	for _, p := range each {
		if err := p.measure(h, quilts[p.Sought] > 1); err != nil {
			return Shopping{}, err
		}
		if i := slices.IndexFunc(s.Buy, func(q Purchase) bool { return p.Sought == q.Sought && p.Buy == q.Buy }); i >= 0 {
			s.Buy[i].join(p)
			continue
		}
		p.Swatch, p.HasSwatch = SwatchOf(p.Sought)
		s.Buy = append(s.Buy, p)
	}
	for i := range s.Buy {
		for _, b := range held {
			if b.WeighedIn2 > 0 && s.Buy[i].mayBeIn(b) {
				s.Buy[i].WeighedIn2 += b.WeighedIn2
			}
		}
	}
	rank(s.Buy, h.Shop.WOFIn)
	s.Enough = enough(held, s.Buy)
	return s, nil
}

// area returns what a gap lacks, square inches.
func (g Gap) area(wofIn float64) float64 {
	return g.WidthIn*g.LengthIn*float64(g.Pieces) + g.ClothIn*wofIn
}

// mayBeIn reports whether cloth that is sought may lie in a box.
func (s Sought) mayBeIn(b Held) bool {
	if s.One != "" || s.Bin != b.Bin || s.Family != "" && s.Family != b.Family {
		return false
	}
	return b.Value == "" || (s.Value == "" || s.Value == b.Value) && (recipe.Role{Value: s.Tone}).Suits(b.Family, b.Value)
}

// rank sorts purchases by which quilts they make possible.
func rank(all []Purchase, wofIn float64) {
	lines, missing := map[string]int{}, map[string]float64{} // of each quilt; square inches
	for i := range all {
		p := &all[i]
		for _, g := range p.Gaps {
			if g.Quilt == "" {
				continue
			}
			missing[g.Quilt] += g.area(wofIn)
			if !slices.Contains(p.Helps, g.Quilt) {
				p.Helps = append(p.Helps, g.Quilt)
				lines[g.Quilt]++
			}
		}
	}
	type merit struct {
		toGo, helps int
		share       float64
		balance     int
	}
	merits := make([]merit, len(all))
	order := make([]int, len(all))
	for i := range all {
		p, m := &all[i], merit{toGo: math.MaxInt}
		share := map[string]float64{}
		for _, g := range p.Gaps {
			if g.Quilt == "" {
				m.balance += g.Pieces
			} else {
				share[g.Quilt] += g.area(wofIn) / missing[g.Quilt]
			}
		}
		m.helps = len(p.Helps)
		for _, q := range p.Helps {
			m.toGo = min(m.toGo, lines[q])
			m.share = max(m.share, share[q])
			if lines[q] == 1 {
				p.Unlocks = append(p.Unlocks, q)
			}
		}
		merits[i], order[i] = m, i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := merits[i], merits[j]
		return cmp.Or(cmp.Compare(a.toGo, b.toGo), cmp.Compare(b.helps, a.helps), cmp.Compare(b.share, a.share), cmp.Compare(b.balance, a.balance))
	})
	ranked := make([]Purchase, len(all))
	for k, i := range order {
		ranked[k] = all[i]
	}
	copy(all, ranked)
}

// join adds a purchase of the same amount for another quilt.
func (p *Purchase) join(q Purchase) {
	p.Gaps = append(p.Gaps, q.Gaps...)
	p.Pieces, p.Prints, p.LengthIn = p.Pieces+q.Pieces, p.Prints+q.Prints, max(p.LengthIn, q.LengthIn)
	p.Why.Steps = append(p.Why.Steps, q.Why.Steps...)
}

// divide returns from how many prints a purchase for one quilt is cut, and what each of
// them must give.
func (p *Purchase) divide(h Habits, roll cutting.Bolt) (prints int, needs []cutting.Want, err error) {
	prints = 1
	for _, g := range p.Gaps {
		if g.Pieces == 0 || p.One != "" {
			continue
		}
		each := h.EachPrint
		if each <= 0 {
			one, err := cutting.Lay(roll, []cutting.Want{{W: g.WidthIn, L: g.LengthIn, Count: 1}})
			if err != nil {
				return 0, nil, fault.In(p.Sought.String(), err)
			}
			each = max(1, one.PerStrip)
		}
		if g.Set > 0 { // whole sets from every print
			each = max(g.Each, each/g.Each*g.Each)
		}
		prints = max(prints, (g.Pieces+each-1)/each)
	}
	for _, g := range p.Gaps {
		if g.Pieces == 0 {
			continue
		}
		n := (g.Pieces + prints - 1) / prints
		if g.Set > 0 {
			n = (n + g.Each - 1) / g.Each * g.Each
		}
		needs = append(needs, cutting.Want{W: g.WidthIn, L: g.LengthIn, Count: n})
	}
	return prints, needs, nil
}

// measure works out how much cloth of how many prints fills the gaps, which are of one
// quilt; named says that its arithmetic names the quilt, beside that of others.
func (p *Purchase) measure(h Habits, named bool) error {
	roll := h.Shop.roll()
	var needs []cutting.Want
	var err error
	if p.Prints, needs, err = p.divide(h, roll); err != nil {
		return err
	}
	fixed := 0.0 // length worked out already
	for _, g := range p.Gaps {
		p.Pieces += g.Pieces
		fixed += g.ClothIn
	}
	p.Why.Text = p.String()
	say := func(words string) { p.Why.Steps = append(p.Why.Steps, recipe.Why{Text: words}) }
	if len(needs) > 0 {
		words := fmt.Sprintf("%s from %s: %s of each", cloth.Count(p.Pieces, "piece"), cloth.Count(p.Prints, "print"), strings.Join(eachWords(needs, h.Shop.System), ", "))
		if q := p.Gaps[0].Quilt; named && q != "" {
			words = q + ", which shares no print with another quilt: " + words
		}
		say(words)
		lay, err := cutting.Lay(roll, needs)
		if err != nil {
			return fault.In(p.Sought.String(), err)
		}
		for _, s := range lay.Steps {
			say(s)
		}
		p.LengthIn = lay.Inches
		if !h.NoQuarters && fixed == 0 {
			t, n, worth, err := fatsFor(h, needs)
			if err != nil {
				return err
			}
			// A quarter of a yard by length is as much cloth as a fat quarter.
			if n > 0 && worth < lay.BuyInches {
				p.Fat, p.FatCount, p.LengthIn, p.Buy = &t, n, 0, cloth.Count(n, t.Name)
				say(fmt.Sprintf("%s of %s of each print: less cloth", p.Buy, t.Size()))
				return nil
			}
		}
	}
	if fixed > 0 {
		p.LengthIn += fixed
		say("in one length: " + h.Shop.System.Format(fixed) + ", worked out with the quilt")
	}
	p.BuyIn, p.Buy = cutting.Bought(p.LengthIn*(1+h.Shop.Shrink), h.Shop.System.Metric)
	return nil
}

func eachWords(needs []cutting.Want, y recipe.System) []string {
	out := make([]string, len(needs))
	for i, n := range needs {
		size := y.Format(n.W)
		if n.W != n.L {
			size += " × " + y.Format(n.L)
		}
		out[i] = strconv.Itoa(n.Count) + " of " + size
	}
	return out
}

// fats are the cuts of cloth sold beside lengths across the width of fabric; each is worth
// a number of inches of such a length.
var fats = []struct {
	name       string
	in, inches float64 // sold by the metre, by the yard
}{{"fat eighth", 12.5 * cmIn, 4.5}, {"fat quarter", 25 * cmIn, 9}}

// fatsFor returns the fewest fat eighths, or fat quarters where they are less cloth, of one
// print that give the needs, and their worth in inches across the width of fabric; none
// where they are too small.
func fatsFor(h Habits, needs []cutting.Want) (best cloth.Trade, count int, worth float64, err error) {
	for _, f := range fats {
		t, each := cloth.TradeOf(f.name, h.Shop.System.Metric), f.inches
		if t.Metric {
			each = f.in
		}
		n, err := cutsFor(t, h, needs)
		if err != nil {
			return best, 0, 0, err
		}
		if w := float64(n) * each; n > 0 && (count == 0 || w <= worth) { // of equal worth the larger
			best, count, worth = t, n, w
		}
	}
	return best, count, worth, nil
}

// cutsFor returns how many of a cut of one print are needed, 0 where no number of them is
// enough.
func cutsFor(t cloth.Trade, h Habits, needs []cutting.Want) (int, error) {
	left := slices.Clone(needs)
	for n := 1; ; n++ {
		lay, err := cutting.Lay(cutting.Bolt{Width: max(t.Width, t.Long), Length: min(t.Width, t.Long), LossAlong: h.Shop.SquaringIn, LossAcross: h.Shop.SquaringAcrossIn}, left)
		if err != nil {
			return 0, err
		}
		var more []cutting.Want
		before, after := 0, 0
		for i, need := range left {
			before += need.Count
			after += lay.Missing[i]
			if lay.Missing[i] > 0 {
				more = append(more, cutting.Want{W: need.W, L: need.L, Count: lay.Missing[i]})
			}
		}
		switch {
		case after == 0:
			return n, nil
		case after == before:
			return 0, nil
		}
		left = more
	}
}
