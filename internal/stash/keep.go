package stash

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
)

// Settings are the numbers that you have set.
type Settings struct {
	TrimIn float64       // lost of a strip's length when its ends are squared, inches, 0 or more
	GSM    float64       // what your cloth weighs, grams a square metre
	Bins   shelf.Sorting // by what the shelf is sorted into bins
}

// DefaultSettings hold where you have set nothing: half an inch of trim is common
// practice, no source; quilting cotton of 4.4 oz/yd² weighs 150 g/m² (arithmetic
// from 1 oz/yd² = 33.906 g/m², NIST Handbook 44, appendix C).
var DefaultSettings = Settings{TrimIn: 0.5, GSM: 150, Bins: shelf.ByFamily}

// squareInch is in square metres: exact, from the inch of 25.4 mm.
const squareInch = cloth.MMPerInch * cloth.MMPerInch / 1e6

// AreaIn2 returns the area of cloth of a weight in grams, square inches.
func (v Settings) AreaIn2(grams float64) float64 { return grams / v.GSM / squareInch }

// Grams returns the weight of an area of cloth in square inches.
func (v Settings) Grams(areaIn2 float64) float64 { return areaIn2 * v.GSM * squareInch }

// GSMOfYard returns the weight, grams a square metre, of cloth of which a yard
// (36 inches along the selvedge) of a width in inches weighs grams.
func GSMOfYard(grams, widthIn float64) float64 { return grams / (36 * widthIn * squareInch) }

// kept returns what is kept of Settings, by its name.
func (v Settings) kept() map[string]float64 {
	return map[string]float64{"trim_in": v.TrimIn, "gsm": v.GSM, "bins": float64(v.Bins)}
}

var errNoSorting = refuse("bins", "a shelf is not sorted so", "give 0 for family and value, 1 for family or 2 for value")

// settingsOf returns the settings of what is kept: what is not, as nobody has set it. Error:
// a sorting that there is none of.
func settingsOf(kept map[string]float64) (Settings, error) {
	v := DefaultSettings
	if x, ok := kept["trim_in"]; ok {
		v.TrimIn = x
	}
	if x, ok := kept["gsm"]; ok {
		v.GSM = x
	}
	if x, ok := kept["bins"]; ok {
		i := slices.IndexFunc(shelf.Sortings, func(s shelf.Sorting) bool { return float64(s) == x })
		if i < 0 {
			return v, errNoSorting
		}
		v.Bins = shelf.Sortings[i]
	}
	return v, nil
}

// Settings reads what you have set.
func (s *Stash) Settings(ctx context.Context) (Settings, error) {
	v, err := settings(ctx, s.r)
	return v, Explain(s.file, err)
}

func settings(ctx context.Context, q queryer) (Settings, error) {
	kept, err := keptSettings(ctx, q)
	if err != nil {
		return DefaultSettings, err
	}
	return settingsOf(kept)
}

func keptSettings(ctx context.Context, q queryer) (map[string]float64, error) {
	type setting struct {
		name  string
		value float64
	}
	all, err := rowsOf(ctx, q, func(s *setting) []any { return []any{&s.name, &s.value} }, `SELECT name, value FROM setting`)
	out := map[string]float64{}
	for _, s := range all {
		out[s.name] = s.value
	}
	return out, err
}

func (v Settings) check() error {
	switch {
	case !(v.TrimIn >= 0 && v.TrimIn <= 6):
		return refuse("trim", "strips are not trimmed by this length", "give a length from 0 to 6 inches; ½ is usual")
	case !slices.Contains(shelf.Sortings, v.Bins):
		return errNoSorting
	case !(v.GSM >= 20 && v.GSM <= 2000):
		return refuse("weight of cloth", "no cloth weighs so much or so little", "give grams a square metre from 20 to 2000; 150 is usual for quilting cotton")
	}
	return nil
}

// SetSettings keeps all of v. Weighed cloth keeps its weight: its area changes
// with what your cloth weighs, in the same change.
func (s *Stash) SetSettings(ctx context.Context, v Settings) (Change, error) {
	if err := v.check(); err != nil {
		return Change{}, err
	}
	return s.change(ctx, "setting", func(t *tx) (string, error) {
		return fmt.Sprintf("bins by %s; trim %s; cloth weighs %.4g g/m²", v.Bins, shelf.Length(v.TrimIn), v.GSM), t.set(v.kept())
	})
}

// set keeps settings, and gives all weighed cloth the area of its weight anew.
func (t *tx) set(settings map[string]float64) error {
	for _, name := range sortedKeys(settings) {
		if err := t.exec(`INSERT INTO setting (name, value) VALUES (?, ?)
			ON CONFLICT (name) DO UPDATE SET value = excluded.value WHERE value <> excluded.value`, name, settings[name]); err != nil {
			return err
		}
	}
	rows, err := t.find(Filter{Form: cloth.Weighed})
	for i := range rows {
		was := rows[i].AreaIn2
		if err == nil {
			err = t.weigh(&rows[i])
		}
		if err == nil && rows[i].AreaIn2 != was {
			err = t.exec(`UPDATE holding SET area_in2 = ? WHERE id = ?`, rows[i].AreaIn2, rows[i].ID)
		}
	}
	return err
}

// tidyFloor refuses a floor that makes no sense, and puts others into the form that is
// kept: a cut is of squares.
func tidyFloor(f *shelf.Floor) error {
	f.Own = CleanName(f.Own)
	if f.Width != 0 {
		f.Cut = shelf.Square(f.Width)
	}
	if err := checkColour(f.Family, f.Value); err != nil {
		return err
	}
	if err := shortNames(f.Own); err != nil {
		return err
	}
	if f.Least < 0 || f.Least > maxCount || !(f.Width >= 0 && f.Width <= maxLength) {
		return refuse("floor", "it is not a number of pieces", "give a number of 0 or more; 0 takes the floor away")
	}
	return nil
}

// SetFloor keeps a floor in the place of one of the same bin.
func (s *Stash) SetFloor(ctx context.Context, f shelf.Floor) (Change, error) {
	if err := tidyFloor(&f); err != nil {
		return Change{}, err
	}
	return s.change(ctx, "floor", func(t *tx) (string, error) {
		of := Filter{Family: f.Family, Value: f.Value, Bin: f.Own, Form: f.Form, Cut: f.Width}
		what := fmt.Sprintf("at least %d in every bin of %s", f.Least, of)
		switch {
		case f.Least == 0:
			what = "no floor for " + of.String()
		case f.Width > 0 && (f.Own != "" || f.Family != "" && f.Value != ""):
			what = fmt.Sprintf("at least %d in the bin of %s", f.Least, of)
		case f == shelf.Floor{Least: f.Least}:
			what = fmt.Sprintf("at least %d in every bin", f.Least)
		}
		return what, t.setFloor(f)
	})
}

func (t *tx) setFloor(f shelf.Floor) error {
	key := []any{string(f.Family), string(f.Value), f.Own, f.Width}
	if f.Least == 0 {
		return t.exec(`DELETE FROM floor WHERE family = ? AND value = ? AND bin = ? AND cut_in = ?`, key...)
	}
	return t.exec(`INSERT INTO floor (family, value, bin, cut_in, n) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (family, value, bin, cut_in) DO UPDATE SET n = excluded.n`, append(key, f.Least)...)
}

// Floors lists the floors, the oldest first.
func (s *Stash) Floors(ctx context.Context) ([]shelf.Floor, error) {
	out, err := floorsOf(ctx, s.r)
	return out, Explain(s.file, err)
}

func floorsOf(ctx context.Context, q queryer) ([]shelf.Floor, error) {
	return rowsOf(ctx, q, func(f *shelf.Floor) []any { return []any{&f.Family, &f.Value, &f.Own, &f.Form, &f.Width, &f.Least} },
		`SELECT family, value, bin, iif(cut_in > 0, 'square', ''), cut_in, n FROM floor ORDER BY id`)
}

// SavePlan keeps a plan, any JSON, under its name in the place of an older one;
// no bytes take it away.
func (s *Stash) SavePlan(ctx context.Context, name string, data []byte) (Change, error) {
	name, err := tidyName(name)
	if name == "" || len(data) > 0 && !json.Valid(data) {
		return Change{}, refuse("plan "+name, "it has no name, or is not JSON", "save it under a name")
	}
	if err != nil && len(data) > 0 { // a kept plan of such a name may still be removed
		return Change{}, err
	}
	return s.change(ctx, "plan", func(t *tx) (string, error) {
		what := name + ": saved"
		if len(data) == 0 {
			what = name + ": taken away"
		}
		return what, t.savePlan(name, t.at, data)
	})
}

func (t *tx) savePlan(name string, at int64, data []byte) error {
	if len(data) == 0 {
		return t.exec(`DELETE FROM plan WHERE name = ?`, name)
	}
	return t.exec(`INSERT INTO plan (name, at, what) VALUES (?, ?, ?)
		ON CONFLICT (name) DO UPDATE SET at = excluded.at, what = excluded.what`, name, at, string(data))
}

// Plans lists the saved plans by name.
func (s *Stash) Plans(ctx context.Context) ([]PlanRecord, error) {
	out, err := plansOf(ctx, s.r, `name`)
	return out, Explain(s.file, err)
}

func plansOf(ctx context.Context, q queryer, order string) ([]PlanRecord, error) {
	return rowsOf(ctx, q, func(p *PlanRecord) []any { return []any{&p.Name, &p.At, (*[]byte)(&p.Plan)} },
		`SELECT name, at, what FROM plan ORDER BY `+order)
}

// Teach keeps examples of a bin, any JSON, after those it has.
func (s *Stash) Teach(ctx context.Context, bin string, examples ...[]byte) (Change, error) {
	bin, err := tidyName(bin)
	if err != nil {
		return Change{}, err
	}
	for _, e := range examples {
		if bin == "" || !json.Valid(e) {
			return Change{}, refuse("bin "+bin, "it has no name, or an example is not JSON", "name the bin")
		}
	}
	return s.change(ctx, "teach", func(t *tx) (string, error) {
		for _, e := range examples {
			if err := t.exec(`INSERT INTO taught (bin, what) VALUES (?, ?)`, bin, string(e)); err != nil {
				return "", err
			}
		}
		return bin + ": " + cloth.Count(len(examples), "example"), nil
	})
}

// TeachPieces puts holdings into a bin of yours and keeps an example of it from
// each, in one change: examples are by the number of the holding, each any JSON
// and in the place of the one that the holding gave before.
func (s *Stash) TeachPieces(ctx context.Context, bin string, examples map[int64][]byte) (Change, error) {
	bin = CleanName(bin)
	if bin == "" || len(examples) == 0 {
		return Change{}, refuse("bin "+bin, "it has no name, or no piece to learn from", "name the bin, and pieces that are in it")
	}
	return s.change(ctx, "teach", func(t *tx) (string, error) {
		for _, id := range sortedKeys(examples) {
			h, err := t.holding(id)
			if err != nil {
				return "", err
			}
			c := Correction{Bin: &bin, Example: examples[id]}
			if err := c.check(); err != nil {
				return "", err
			}
			if err := t.learn(c, h, nil); err != nil {
				return "", err
			}
			if err := t.exec(`UPDATE holding SET bin = ? WHERE id = ? AND bin <> ?`, bin, id, bin); err != nil {
				return "", err
			}
		}
		return bin + ": " + cloth.Count(len(examples), "example"), nil
	})
}

// Unteach forgets the examples of a bin. The pieces sorted into it stay there.
func (s *Stash) Unteach(ctx context.Context, bin string) (Change, error) {
	bin = CleanName(bin)
	return s.change(ctx, "teach", func(t *tx) (string, error) {
		if known, err := t.has(`SELECT 1 FROM taught WHERE bin = ?`, bin); err != nil || !known {
			return "", cmp.Or(err, error(fault.New("bin "+bin, "it was never taught", "look up which bins were", ErrUnknown, ErrNotTaught)))
		}
		return bin + ": forgotten", t.exec(`DELETE FROM taught WHERE bin = ?`, bin)
	})
}

// Taught lists all examples in the order they were taught.
func (s *Stash) Taught(ctx context.Context) ([]ExampleRecord, error) {
	out, err := taught(ctx, s.r, nil)
	return out, Explain(s.file, err)
}

// taught gives examples the places that holdings have by their ids.
func taught(ctx context.Context, q queryer, places map[int64]int) ([]ExampleRecord, error) {
	out, err := rowsOf(ctx, q, func(e *ExampleRecord) []any { return []any{&e.Bin, (*[]byte)(&e.What), &e.Holding} },
		`SELECT bin, what, holding FROM taught ORDER BY id`)
	for i := range out {
		out[i].Holding = places[int64(out[i].Holding)]
	}
	return out, err
}

// Photos lists the photos in the order they came in.
func (s *Stash) Photos(ctx context.Context) ([]PhotoInfo, error) {
	out, err := rowsOf(ctx, s.r, func(p *PhotoInfo) []any {
		return []any{&p.Hash, &p.Name, intoRead(&p.Path, s.pathOf), &p.Width, &p.Height}
	},
		`SELECT hash, name, file, width, height FROM photo ORDER BY id`)
	return out, Explain(s.file, err)
}
