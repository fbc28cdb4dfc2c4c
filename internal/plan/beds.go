package plan

import (
	"fmt"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// Bed is a mattress and a quilt for it, inches.
type Bed struct {
	Name                        string
	Also                        string  // another name for it
	MattressWidth, MattressLong float64 // 0: none is said
	Width, Length               float64 // of the quilt
	Metric                      bool    // it is sold in centimetres
	From                        string  // where the two sizes are from
}

const (
	// bedShort is by how much a quilt may be smaller than a bed's size; published sizes for
	// one bed differ by more.
	bedShort = 3
	// drop is how far a quilt hangs down at each side and at the foot, for beds without a
	// published quilt size: a mattress of 39 × 75 takes 63 × 87.
	drop, dropCm = 12, 30
	cmIn         = 10 / cloth.MMPerInch // a centimetre in inches
)

const (
	published   = "published sizes, which differ by some inches"
	fromUK      = "UK sizes as beds are sold, from memory; quilt: hangs 30 cm"
	fromEU      = "continental sizes as beds are sold, from memory; quilt: hangs 30 cm"
	fromNursery = "common practice, from memory"
)

// Beds lists the beds, those sold in inches first, each the smallest first. Published
// sizes of quilts differ by some inches.
var Beds = append([]Bed{
	{"crib", "", 27, 52, 40, 55, false, published},
	{"throw", "lap", 0, 0, 50, 65, false, published},
	{"twin", "single", 38, 75, 65, 88, false, published},
	{"twin-xl", "", 39, 80, 65, 93, false, published},
	{"full", "double", 54, 75, 80, 88, false, published},
	{"queen", "", 60, 80, 86, 95, false, published},
	{"king", "", 76, 80, 105, 95, false, published},
	{"california-king", "", 72, 84, 100, 97, false, published},
	centimetres("pram", 0, 0, 60, 75, fromNursery),
	centimetres("cot", 60, 120, 90, 120, fromNursery),
	centimetres("cot-bed", 70, 140, 120, 150, fromNursery),
}, append(hanging("uk-", fromUK, []mattress{{"single", 90, 190}, {"small-double", 120, 190}, {"double", 135, 190}, {"king", 150, 200}, {"super-king", 180, 200}}),
	hanging("eu-", fromEU, []mattress{{"single", 90, 200}, {"double", 140, 200}, {"queen", 160, 200}, {"king", 180, 200}})...)...)

type mattress struct {
	name       string
	wide, long float64 // centimetres
}

// hanging returns the beds of a country, with quilts that hang down at the sides and the
// foot.
func hanging(country, from string, all []mattress) (out []Bed) {
	for _, m := range all {
		out = append(out, centimetres(country+m.name, m.wide, m.long, m.wide+2*dropCm, m.long+dropCm, from))
	}
	return out
}

func centimetres(name string, mattressWide, mattressLong, wide, long float64, from string) Bed {
	return Bed{name, "", mattressWide * cmIn, mattressLong * cmIn, wide * cmIn, long * cmIn, true, from}
}

// Mattress returns the mattress's size in the unit that the bed is sold in, empty where
// none is known.
func (b Bed) Mattress() string { return b.size(b.MattressWidth, b.MattressLong) }

// Quilt returns the size of the quilt for the bed, in the same unit.
func (b Bed) Quilt() string { return b.size(b.Width, b.Length) }

func (b Bed) size(wide, long float64) string {
	if wide == 0 {
		return ""
	}
	s, unit := recipe.Inches(), " in"
	if b.Metric {
		s, unit = recipe.System{Metric: true}, ""
	}
	return s.Format(s.Nearest(wide)) + " × " + s.Format(s.Nearest(long)) + unit
}

// bedOf finds a bed by its name, or takes a size as that of a mattress.
func (o Order) bedOf() (Bed, error) {
	name := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(o.Bed)), " ", "-")
	if i := slices.IndexFunc(Beds, func(b Bed) bool { return b.Name == name || b.Also == name }); i >= 0 {
		return Beds[i], nil
	}
	bare := cloth.Inches
	if o.metric {
		bare = cloth.Centimetres
	}
	if sides, err := cloth.ParseSides(o.Bed, bare); err == nil && len(sides) == 2 && max(sides[0], sides[1]) < maxSide {
		metric, hangs := o.metric || cloth.IsMetric(o.Bed), float64(drop)
		if metric {
			hangs = dropCm * cmIn
		}
		return Bed{Name: "bed", MattressWidth: sides[0], MattressLong: sides[1], Width: sides[0] + 2*hangs, Length: sides[1] + hangs, Metric: metric}, nil
	}
	names := make([]string, len(Beds))
	for i, b := range Beds {
		names[i] = b.Name
	}
	return Bed{}, fault.Usage("", fmt.Sprintf("there is no bed %q", o.Bed), fmt.Sprintf("name one of %s, or its mattress, like 140x200cm", strings.Join(names, ", ")), ErrBed)
}

func (o Order) byBed() (columns, rows int, why recipe.Why, notes []string, err error) {
	b, err := o.bedOf()
	if err != nil {
		return 0, 0, why, nil, err
	}
	columns, rows, why, err = o.bySize(b.Width, b.Length, bedShort)
	o.metric = o.metric || b.Metric
	text := fmt.Sprintf("a %s quilt is about %s by %s", b.Name, o.long(b.Width), o.long(b.Length))
	if b.MattressWidth > 0 {
		text += fmt.Sprintf("; the mattress is %s by %s, so it hangs %s at each side", o.long(b.MattressWidth), o.long(b.MattressLong), o.long((b.Width-b.MattressWidth)/2))
	}
	if b.From != "" {
		text += " (" + b.From + ")"
	}
	why.Steps = append(why.Steps, recipe.Why{Text: text})
	return columns, rows, why, nil, err
}
