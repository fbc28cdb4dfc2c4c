package recipe

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/testtable"
)

// lines of reasons, those under another one indented.
func whyLines(all []Why, indent string) (out []string) {
	for _, w := range all {
		out = append(append(out, indent+w.Text), whyLines(w.Steps, indent+" ")...)
	}
	return out
}

func lotLines(lots []Lot) (out []string) {
	for _, l := range lots {
		out = append(out, fmt.Sprintf("%s: %d of %.4g × %.4g %s, %d across, any %.4g, for %s", l.Role.Name, l.Count, l.WidthIn, l.LengthIn, l.Split, l.Across, l.AnyIn2, strings.Join(l.For, "; ")))
		out = append(out, whyLines(l.Why, " ")...)
	}
	return out
}

// topLines sums up where the patches of a top lie: of each role and kind how many, their area
// and the mean of their middles, each weighed by its turn in the list, so that none moves unseen.
func topLines(l Top) []string {
	type sum struct {
		n                int
		area, x, y, turn float64
	}
	var order []string
	sums := map[string]*sum{}
	for i, p := range l.Patches {
		key := fmt.Sprintf("%s %v of %d set %d", p.Role.Name, p.Kind, p.Of, p.Set)
		s := sums[key]
		if s == nil {
			s = &sum{}
			sums[key] = s
			order = append(order, key)
		}
		s.n++
		s.area += p.Polygon.Area()
		m := p.Polygon.Centroid()
		s.x += m.X * float64(i+1)
		s.y += m.Y * float64(i+1)
		s.turn += float64(p.Block+2*p.Row+3*p.Column+5*p.Unit) + p.Polygon[0].X + 2*p.Polygon[0].Y
	}
	joints := 0
	for i, of := range l.Neighbours() {
		for _, k := range of {
			joints += (i + 1) * (k + 3)
		}
	}
	corners := 0
	for _, c := range l.Corners() {
		corners += (c[0] + 1) * (c[1] + 3)
	}
	out := []string{fmt.Sprintf("%.4f × %.4f, %d patches, joints %d, corners %d", l.WidthIn, l.HeightIn, len(l.Patches), joints, corners)}
	for _, k := range order {
		s := sums[k]
		out = append(out, fmt.Sprintf("%s: %d, %.3f, %.2f %.2f %.2f", k, s.n, s.area, s.x, s.y, s.turn))
	}
	return out
}

func sewnLines(s Sewn, indent string) []string {
	out := []string{fmt.Sprintf("%s%v unit %d down %v press %v partial %v like %d turned %d same %v", indent, s.Cells, s.Unit, s.Down, s.Press, s.Partial, s.Like, s.Turned, s.Same)}
	for _, o := range s.Of {
		out = append(out, sewnLines(o, indent+" ")...)
	}
	return out
}

// answers are what the package says of a quilt of columns × rows.
func answers(r *Recipe, columns, rows int, c Method) map[string][]string {
	s := c.System
	out := map[string][]string{"lots": lotLines(r.TopCuts(columns, rows, c))}
	add := func(key, format string, args ...any) { out[key] = append(out[key], fmt.Sprintf(format, args...)) }
	p := r.Places(columns, rows)
	add("places", "%+v, %d blocks", p, r.BlockCount(columns, rows))
	w, h := r.QuiltSize(columns, rows)
	tw, th := r.TopSize(columns, rows)
	add("places", "quilt %.4f × %.4f, blocks %.4f × %.4f, narrowest %.4f, comes out %v", w, h, tw, th, r.NarrowestIn(), r.ComesOut(s))
	out["off"] = append(append(append(append(out["off"], r.OffMarks(s)...), r.StripsOffMarks(columns, rows, s)...), r.TooNarrow(columns, rows, s)...), r.Fitted(s)...)
	for _, x := range r.Sets(columns, rows, c) {
		add("sets", "%d of %s: %v", x.Count, x.Role.Name, x.Pieces)
	}
	for _, x := range r.Turned(columns, rows, c.OneByOne) {
		add("turned", "%s %s %d", x.Role.Name, x.What, x.Patches)
	}
	for _, x := range r.Foundations(columns, rows, s) {
		add("strings", "%+v", x)
	}
	for _, x := range r.Strung(columns, rows, s) {
		add("strings", "%+v half %.4f reach %.4f", x, x.HalfIn(), x.ReachIn(1))
	}
	for _, x := range r.Rounds(columns, rows) {
		add("rounds", "%d: about %.4f × %.4f, %.4f at the sides, %.4f at the top, spaces %v, unit %.4f, %v", x.Number, x.WidthIn, x.HeightIn, x.SideIn, x.TopIn, x.Spaces, x.UnitIn(r), x.Strips())
		if !x.Strips() {
			out["rounds"] = append(out["rounds"], whyLines([]Why{x.Why(s)}, " ")...)
			for _, y := range r.Rounds(columns, rows) {
				if y.Spaces && y.Number == x.Number {
					out["rounds"] = append(out["rounds"], whyLines(y.WhySpacer(s, x), " ")...)
				}
			}
		}
	}
	out["top"] = topLines(r.QuiltLayout(columns, rows))
	parts := r.Pieces(r.QuiltLayout(columns, rows), c)
	sum := 0
	for i, x := range parts {
		for _, patch := range x.Patches {
			sum += (i + 1) * (patch + 3)
		}
	}
	add("pieces", "%d, sum %d", len(parts), sum)
	for _, x := range parts[:min(6, len(parts))] {
		add("pieces", "%s %.4g × %.4g %v set %d %s", x.Role.Name, x.WidthIn, x.LengthIn, x.Patches, x.Set, x.Scraps)
	}
	return out
}

// briefly leaves out the reasons, and what an answer in inches says as well.
func briefly(all map[string][]string) map[string][]string {
	for _, key := range []string{"top", "places", "turned", "rounds"} {
		delete(all, key)
	}
	for key, lines := range all {
		all[key] = slices.DeleteFunc(lines, func(l string) bool { return strings.HasPrefix(l, " ") })
	}
	return all
}

// ofBlocks are what it says of its blocks.
func ofBlocks(r *Recipe, s System) map[string][]string {
	out := map[string][]string{}
	for i, b := range r.Blocks {
		name := fmt.Sprint(i, " ", b.Name)
		out[name] = topLines(r.BlockLayout(i))
		sewn, ok := b.Sewing()
		out[name] = append(out[name], fmt.Sprint("can be sewn ", ok))
		if ok {
			out[name] = append(out[name], sewnLines(sewn, " ")...)
		}
		for _, x := range b.Batches(s) {
			out[name] = append(out[name], fmt.Sprintf("%+v", x))
		}
	}
	return out
}

const mine = "name = \"mine\"\nwidth = 6\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1], [2, 2]]\nrole = \"dark\"\n[[patch]]\nat = [[1, 2]]\nrole = \"background\"\n[[patch]]\nat = [[2, 1, 90]]\nmake = \"half-square\"\nroles = [\"red\", \"light\"]\n"

// surrounded are quilts of one block with all that goes round them.
var surrounded = map[string]string{
	"sashing with an edge": mine + "[sashing]\nwidth = 1\nedge = true\ncornerstone = \"dark\"\n[[border]]\nwidth = 2\nmitred = true\n[[border]]\nwidth = 3\nrole = \"light\"\ncorner = \"red\"\n[binding]\ncut = 2.25\nrole = \"dark\"\n",
	"on point":             mine + "[setting]\nkind = \"on-point\"\nalternate = \"plain\"\n[sashing]\nwidth = 1\ncornerstone = \"dark\"\n[[border]]\nwidth = 2\n",
	"keys":                 mine + "[[border]]\nwidth = 3\nkeys = 1.5\nroles = [\"dark\", \"light\"]\nspacer = \"background\"\ncorner = \"dark\"\n[[border]]\nwidth = 4\nkeys = [1, 2, 1.5]\nrole = \"dark\"\n",
	"blocks in a border":   mine + "[[border]]\nwidth = 4\nblock = \"pinwheel\"\nspacer = \"dark\"\n[[border]]\nwidth = 3\nblocks = [\"hourglass\", \"four-patch\"]\ncorner_block = \"four-patch\"\n",
	"in turn":              mine + "[setting]\nalternate = [\"plain\", \"pinwheel\"]\nturns = [[0, 90], [180, 270]]\nfill = \"light\"\nodd = true\n",
	"by a plan":            mine + "[setting]\nplan = [[\"mine\", \"plain\"], [\"pinwheel\", \"mine\"]]\n",
	"one layout":           mine + "[setting]\nlayout = [3, 2]\n[sashing]\nwidth = \"½\"\nrole = \"background\"\n",
	"you go":               mine + "[sashing]\nwidth = 0.5\n[backing]\nas_you_go = true\n",
	"shifted":              "name = \"bricks\"\nwidth = 5\ngrid = [2, 1]\n[[patch]]\nat = [[1, 1]]\nwide = 2\nrole = \"dark\"\n[setting]\nkind = \"shifted\"\n[[border]]\nwidth = 2\nfrom = \"strips\"\nrole = \"dark\"\n",
	"rows":                 mine + "[[row]]\nheight = 6\nblocks = [\"mine\", \"pinwheel\"]\nrole = \"light\"\nturns = [0, 90]\n[[row]]\nheight = 2\nrole = \"dark\"\n[[row]]\nheight = 4\nblocks = [\"four-patch\"]\n",
	"the example":          Example,
}

func keptSystems() map[string]Method {
	trim := Inches()
	trim.Trim = 0.125
	return map[string]Method{"in": {System: Inches(), WOFIn: 42}, "cm": {System: Centimetres(0.75 / 2.54), WOFIn: 106 / 2.54, OneByOne: true}, "in to trim": {System: trim, WOFIn: 40}}
}

// Of every built-in recipe, and of a block in all settings: what is cut and why, where it lies
// and how it is sewn, as it was read over when it was kept.
func TestQuiltsAreCutAsKept(t *testing.T) {
	all := map[string]any{}
	for _, name := range Names() {
		r := builtIn(t, name)
		columns, rows := 3, 4
		if r.Setting.Columns > 0 {
			columns, rows = r.Setting.Columns, r.Setting.Rows
		}
		matched, err := r.Match(UsualMatching)
		require.NoError(t, err)
		all[name] = map[string]any{"in": answers(r, columns, rows, keptSystems()["in"]), "cm, matched": briefly(answers(matched, columns, rows, keptSystems()["cm"])), "blocks": ofBlocks(r, Inches())}
	}
	testtable.Kept(t, "builtin", all, 1e-6)
	all = map[string]any{}
	for name, text := range surrounded {
		r := read(t, text)
		kept := map[string]any{"blocks": ofBlocks(r, Inches())}
		for how, c := range keptSystems() {
			kept[how] = answers(r, 5, 3, c)
			if how != "in" {
				kept[how] = briefly(answers(r, 5, 3, c))
			}
		}
		all[name] = kept
	}
	testtable.Kept(t, "surrounded", all, 1e-6)
}

// What the rulers of both systems say of lengths.
func TestLengthsAreWorkedOutAsKept(t *testing.T) {
	scant := Inches()
	scant.Scant = true
	trim := Centimetres(0.65 / 2.54)
	trim.Trim = 0.5 / 2.54
	all := map[string][]string{}
	for name, s := range map[string]System{"in": Inches(), "scant": scant, "cm": Centimetres(0.75 / 2.54), "cm to trim": trim} {
		add := func(format string, args ...any) { all[name] = append(all[name], fmt.Sprintf(format, args...)) }
		add("seam %s", s.SeamWords())
		for _, in := range []float64{0.25, 1, 1.3, 2.5, 3.0625, 6, 8.4853, 12} {
			add("%v: up %.5f nearest %.5f as %s, area %s, second seam %.4f, divided %s", in, s.Up(in), s.Nearest(in), s.Format(in), s.Area(in), s.SecondSeam(in), s.DividedDown(in, 0.7))
			for _, f := range []func(float64) (float64, Why){s.Plain, s.Half, s.Quarter, s.SideTriangle, s.CornerTriangle, s.eightHalves} {
				cut, why := f(in)
				add("%.5f", cut)
				all[name] = append(all[name], whyLines([]Why{why}, " ")...)
			}
			w, h, why := s.halfRectangle(in, 2*in)
			add("%.5f × %.5f", w, h)
			all[name] = append(all[name], whyLines(why, " ")...)
			n, whyJoined := s.Joined(20*in, 42)
			m, whyAslant := s.JoinedAslant(20*in, 2.5, 42)
			add("%d and %d strips", n, m)
			all[name] = append(all[name], whyLines([]Why{whyJoined, whyAslant}, " ")...)
		}
	}
	testtable.Kept(t, "lengths", all, 1e-6)
	for text, want := range map[string]float64{"¼": 0.25, "scant": 0.25, " Scant ": 0.25, "1": 1, "1/4": 0.25} {
		in, err := ParseSeam(text, cloth.Inches)
		require.NoError(t, err, text)
		require.Equal(t, want, in)
	}
	in, err := ParseSeam("¼", cloth.Centimetres)
	require.NoError(t, err)
	require.Equal(t, 0.25, in, "a fraction is of an inch")
	in, err = ParseSeam("0.75", cloth.Centimetres)
	require.NoError(t, err)
	require.InDelta(t, 0.75/2.54, in, 1e-12)
	for _, text := range []string{"1.01", "x", "", "3cm"} {
		_, err := ParseSeam(text, cloth.Inches)
		require.EqualError(t, err, fmt.Sprintf("%q is not a seam allowance: write ¼, scant, 6.5mm or 7.5mm", text))
	}
	_, err = ParseSeam("7", cloth.Unsaid)
	require.ErrorIs(t, err, cloth.ErrUnit)
	require.Equal(t, []int{0, 1, 1, 2}, []int{Handfuls(0), Handfuls(1), Handfuls(Handful), Handfuls(Handful + 0.01)})
	require.True(t, math.IsInf((&Recipe{}).NarrowestIn(), 1))
}

// Recipes that are refused: why, and what to write instead.
func TestRefusalsAreAsKept(t *testing.T) {
	all := map[string]string{}
	say := func(what string, err error) {
		if f := fault.Of(err); f != nil {
			all[what] = f.Error() + " → " + f.Remedy
		} else {
			all[what] = fmt.Sprint(err)
		}
	}
	for _, more := range []string{
		"[setting]\nkind = \"on-point\"\nplan = []\nalternate = 3", "[setting]\nalternate = []", "[setting]\nalternate = [\"plain\", 3]", "[setting]\nalternate = \"plain\"\nplan = [[\"plain\"]]", "[setting]\nplan = [[]]", "[setting]\nplan = [[\"nobody\"]]", "[setting]\nalternate = \"pinwhel\"",
		"[setting]\nturns = [[]]", "[setting]\nturns = [[45]]", "[setting]\nlayout = [3]", "[setting]\nlayout = [0, 3]", "[setting]\nlayout = [3, 65]", "[setting]\nlayout = [64, 64]", "[setting]\nfill = \"drak\"", "[setting]\nkind = \"strait\"",
		"[sashing]\nedge = true", "[sashing]\nwidth = 1\nedge = true\n[setting]\nkind = \"on-point\"", "[sashing]\nwidth = 1\nrole = \"drak\"", "[sashing]\nwidth = \"x\"", "[sashing]\nwidth = 1\n[[row]]\nheight = 6\nblocks = [\"mine\"]",
		"[[border]]\nwidth = 2\nmitred = true\ncorner = \"dark\"", "[[border]]\nwidth = 2\nmitred = true\nkeys = 1", "[[border]]\nwidth = 2\nmitred = true\nblock = \"pinwheel\"", "[[border]]\nwidth = 2\ncorner = \"dark\"\ncorner_block = \"pinwheel\"",
		"[[border]]\nwidth = 2\nblock = \"pinwheel\"\nkeys = 1", "[[border]]\nwidth = 2\nkeys = 1\nfrom = \"strips\"", "[[border]]\nwidth = 2\nblock = \"pinwheel\"\nrole = \"dark\"", "[[border]]\nwidth = 2\nspacer = \"dark\"", "[[border]]\nwidth = 2\nkeys = [1, 2]\nspacer = \"dark\"",
		"[[border]]\nwidth = 2\nroles = [\"dark\"]", "[[border]]\nwidth = 2\nkeys = 1\nrole = \"dark\"\nroles = [\"dark\"]", "[[border]]\nwidth = 2\ncorner_block = \"pinwheel\"", "[[border]]\nwidth = 2\nkeys = 0.4", "[[border]]\nwidth = 2\nkeys = 0.5", "[[border]]\nwidth = 2\nkeys = 12", "[[border]]\nwidth = 2\nkeys = 12.5", "[[border]]\nwidth = 2\nkeys = []",
		"[[border]]\nwidth = 2\nkeys = 1\ncorner_block = \"bricks\"", "[[border]]\nwidth = 0", "[[border]]\nwidth = 2\n[[border]]\nwidth = 0", "[[border]]\nwidth = 2\nfrom = \"scraps\"", "[[border]]\nwidth = 2\nfrom = \"strips\"\nrole = \"background\"", "[[border]]\nwidth = 2\nkeys = 1\nroles = [\"drak\"]", "[[border]]\nwidth = 2\nblock = \"pinwheeel\"", "[[border]]\nwidth = 2\nkeys = 1\nspacer = \"drak\"",
		"[binding]\ncut = 1", "[binding]\ncut = 0.99", "[binding]\nfrom = \"scraps\"", "[backing]\nas_you_go = true", "[backing]\nover = \"x\"", "[[row]]\nheight = 6\nblocks = [\"mine\"]\n[setting]\nkind = \"straight\"", "[[row]]\nheight = 6\nblocks = [\"mine\"]\n[setting]\nalternate = \"plain\"",
		"[[row]]\nheight = 3\nblocks = [\"mine\"]", "[[row]]\nblocks = [\"mine\"]\nheight = 0", "[[row]]\nheight = 6\nblocks = [\"mine\"]\nturns = [45]", "[[row]]\nheight = 6\nblocks = [\"nobody\"]", "[[row]]\nheight = 6\nblocks = [\"mine\"]\n[[row]]\nheight = 1\nturns = [90]", "[[block]]\nrecipe = \"mine\"", "[[block]]\nrecipe = \"no such\"", "[[block]]", "[[block]]\nrecipe = \"pinwheel\"\npart = \"q\"", "[[block]]\npart = \"q\"", "[[block]]\nrecipe = \"bricks\"\nwidth = 40", "matching = [\"dark\"]", "matching = [\"nobody\"]",
	} {
		text := mine + more
		if strings.HasPrefix(more, "matching") {
			text = "name = \"mine\"\nwidth = 6\n" + more + strings.TrimPrefix(mine, "name = \"mine\"\nwidth = 6")
		}
		_, err := Read("mine.toml", []byte(text))
		say(more, err)
	}
	for _, patch := range []string{
		"make = \"log-cabin\"\nroles = [\"dark\"]", "make = \"log-cabin\"\ncentre = 0\nlog = 1\nrounds = 1\nroles = [\"red\", \"light\", \"dark\"]", "make = \"quarter-square\"\nroles = [\"dark\", \"light\"]", "make = \"quarter-square\"\nroles = [\"dark\", \"light\", \"red\", \"blue\"]", "make = \"flying-geese\"\nroles = [\"dark\", \"light\"]\nat_a_time = 3",
		"make = \"half-square\"\nroles = [\"dark\", \"light\"]\nat_a_time = 8", "make = \"half-rectangle\"\nroles = [\"dark\", \"light\"]", "make = \"flip-corners\"\ncorner = 0\nroles = [\"dark\", \"light\"]", "make = \"flip-corners\"\ncorner = 1\ncorners = []\nroles = [\"dark\", \"light\"]", "make = \"strings\"\nroles = [\"dark\", \"light\"]", "make = \"crumbs\"", "make = \"strip-set\"\nroles = [\"dark\"]",
		"make = \"strip-set\"\nroles = [\"dark\", \"light\"]\nwidths = [1, 2]", "role = \"dark\"\nroles = [\"dark\"]", "roles = [\"dark\", \"light\"]", "wide = 0", "wide = 65", "at_a_time = 2", "corner = 1", "corners = [\"top-left\"]", "log = 1", "rounds = 1", "make = \"Half-Square\"\nroles = [\"dark\", \"light\"]", "matched = true",
	} {
		_, err := Read("mine.toml", []byte("name = \"x\"\nwidth = 4\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1]]\nwide = 2\nhigh = 2\n"+patch))
		if strings.HasPrefix(patch, "wide") {
			_, err = Read("mine.toml", []byte("name = \"x\"\nwidth = 4\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1]]\nhigh = 2\n"+patch))
		}
		say(patch, err)
	}
	for _, name := range Names() {
		r := builtIn(t, name)
		for _, how := range []string{UsualMatching, "dark", "nobody", "dark, light"} {
			m, err := r.Match(how)
			if err == nil {
				all[name+" matched by "+how] = fmt.Sprint(m.Matching())
				continue
			}
			say(name+" matched by "+how, err)
		}
		for _, text := range []string{"half-square=8", "flying-geese=1", "half-square=3", "quarter-square=2, flying-geese=4"} {
			at, err := ReadAtATime(text)
			require.NoError(t, err)
			if _, err = r.Made(at); err != nil {
				say(name+" made "+text, err)
			}
		}
		_, err := r.Resize(0.5)
		say(name+" of half an inch", err)
		all[name+" ways"] = fmt.Sprint(r.Ways())
	}
	for _, text := range []string{"nothing=2", "half-square", "half-square=x", "", "half-square=2,half-square=8"} {
		at, err := ReadAtATime(text)
		say("made "+text, err)
		all["made so: "+text] = AtATimeText(at)
	}
	testtable.Kept(t, "refused", all, 0)
}
