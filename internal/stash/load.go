package stash

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"strings"

	"piecebag/internal/cloth"
)

// Loaded is what became of a Content.
type Loaded struct {
	Known   bool   // the same content was loaded before; nothing was added
	Added   int    // holdings that came in
	Skipped int    // holdings of photos that the stash knew already
	Pieces  int    // in the holdings that came in, weighed cloth left out
	Photos  int    // that came in, without their files
	Prints  int    // that came in
	Sum     Change // the change made; zero where Known
}

// String says what came in.
func (m Loaded) String() string {
	return strings.Join([]string{pieces(m.Pieces), cloth.Count(m.Photos, "photo"), cloth.Count(m.Prints, "print")}, ", ")
}

// Load brings a Content in, all of it or none. name is the file's; hash is that of
// what it says: content that was loaded before adds nothing, and neither do the
// holdings of a photo that the stash knows.
func (s *Stash) Load(ctx context.Context, name, hash string, in Content) (out Loaded, err error) {
	name = CleanName(name)
	sum, err := s.change(ctx, "import", func(t *tx) (string, error) {
		if known, err := t.has(`SELECT 1 FROM imported WHERE hash = ?`, hash); err != nil || known {
			return "", cmp.Or(err, errKnown)
		}
		if err := t.exec(`INSERT INTO imported (hash, name, at) VALUES (?, ?, ?)`, hash, name, t.at); err != nil {
			return "", err
		}
		var err error
		out, err = t.load(name, in)
		return name + ": " + out.String(), err
	})
	if errors.Is(err, errKnown) {
		return Loaded{Known: true}, nil
	}
	out.Sum = sum
	return out, err
}

// load brings a Content in, the settings first, since the area of weighed cloth depends on
// them.
func (t *tx) load(name string, in Content) (out Loaded, err error) {
	if err := t.loadSettings(in.Settings); err != nil {
		return out, err
	}
	var before, after int
	if err := t.one(`SELECT count(*) FROM print`, nil, &before); err != nil {
		return out, err
	}
	photos := map[string]int64{} // those that came in with it
	for _, p := range in.Photos {
		id, err := t.loadPhoto(name, p)
		if err != nil {
			return out, err
		}
		if id != 0 {
			photos[p.Hash] = id
		}
	}
	rows, place, err := t.loadRows(name, in, photos)
	if err != nil {
		return out, err
	}
	if err := t.one(`SELECT count(*) FROM print`, nil, &after); err != nil {
		return out, err
	}
	out.Photos, out.Prints = len(photos), after-before
	for i, h := range in.Holdings {
		switch {
		case h.Count == 0:
		case place[i] < 0:
			out.Skipped++
		default:
			out.Added++
			if h.Form != cloth.Weighed {
				out.Pieces += h.Count
			}
		}
	}
	learntFrom := func(holding int) int64 {
		if holding < 1 || holding > len(place) || place[holding-1] < 0 {
			return 0
		}
		return rows[place[holding-1]].ID
	}
	return out, t.loadRest(name, in, photos, learntFrom)
}

// loadRows brings prints and holdings in. place holds, for each holding of the Content, its
// index in rows; -1 where it was skipped because its photo is known.
func (t *tx) loadRows(name string, in Content, photos map[string]int64) (rows []row, place []int, err error) {
	ours := map[string]bool{} // names that mean a print of this stash
	for _, p := range in.Prints {
		if ours[p.Name], err = t.loadPrint(p); err != nil {
			return nil, nil, err
		}
	}
	place = make([]int, len(in.Holdings))
	for i, j := range in.Holdings {
		place[i] = -1
		id, ok := photos[j.Photo]
		if j.Photo != "" && !ok {
			continue
		}
		h, err := j.row()
		if err == nil {
			err = h.checkGone()
		}
		if err != nil {
			return nil, nil, refuse(fmt.Sprintf("%s, entry %d", name, i+1), err.Error(), "mend that entry; nothing was imported")
		}
		h.photo = id
		if h.Measured && numbered.MatchString(h.Print) {
			known, seen := ours[h.Print]
			if !seen {
				if known, err = t.printKnown(h.Print); err != nil {
					return nil, nil, err
				}
				ours[h.Print] = known
			}
			if known {
				h.Print = labelMark + h.Print
			} else if _, err := t.printID(h.Print); err != nil { // or namePrints may give the name away
				return nil, nil, err
			}
		}
		place[i] = len(rows)
		rows = append(rows, h)
	}
	if _, err := t.namePrints(rows); err != nil {
		return nil, nil, err
	}
	for i := range rows {
		if err := t.put(&rows[i]); err != nil {
			return nil, nil, err
		}
		t.s.o.Told(i+1, len(rows))
	}
	return rows, place, nil
}

// loadSettings keeps what a Content sets; it leaves the rest as it is.
func (t *tx) loadSettings(set map[string]float64) error {
	v, err := settingsOf(set)
	if err == nil {
		err = v.check()
	}
	if err != nil {
		return err
	}
	known := v.kept()
	maps.DeleteFunc(known, func(name string, _ float64) bool { _, is := set[name]; return !is })
	return t.set(known)
}

// numbered matches the names that newPrint gives. Two stashes may each have a print 1:
// where this one has such a name already, the colours decide which print is meant.
var numbered = regexp.MustCompile(`^print \d+$`)

func (t *tx) printKnown(name string) (bool, error) {
	return t.has(`SELECT 1 FROM print WHERE name = ?`, name)
}

// checkGone returns tidy for a row that may be gone.
func (h *row) checkGone() error {
	if h.Count == 0 && h.gone != "" {
		h.Count = 1
		defer func() { h.Count = 0 }()
	}
	return tidy(h)
}

// loadPrint notes a print; known says that the stash has one of that name.
func (t *tx) loadPrint(p PrintRecord) (known bool, err error) {
	if p.Name, err = tidyName(p.Name); err != nil {
		return false, err
	}
	if known, err = t.printKnown(p.Name); known || err != nil {
		return known, err
	}
	var l, a, b any
	if p.Lab != nil {
		l, a, b = p.Lab[0], p.Lab[1], p.Lab[2]
	}
	return false, t.exec(`INSERT INTO print (name, l, a, b) VALUES (?, ?, ?, ?)`, p.Name, l, a, b)
}

// loadPhoto notes a photo whose file is not kept; 0 where it is known.
func (t *tx) loadPhoto(name string, p PhotoRecord) (int64, error) {
	if len(p.Hash) != 64 || strings.Trim(p.Hash, "0123456789abcdef") != "" {
		return 0, refuse(name, fmt.Sprintf("%q is not the SHA-256 of a photo", p.Hash), "export it again; nothing was imported")
	}
	if known, err := t.has(`SELECT 1 FROM photo WHERE hash = ?`, p.Hash); err != nil || known {
		return 0, err
	}
	if err := shortNames(CleanName(p.Basket)); err != nil {
		return 0, err
	}
	if name := []rune(CleanName(p.Name)); len(name) > mostName { // another system's may be longer
		p.Name = string(name[:mostName])
	}
	if p.At == 0 {
		p.At = t.at
	}
	p.Name, p.Basket = CleanName(p.Name), CleanName(p.Basket)
	return t.newPhoto("", p)
}

func (t *tx) loadRest(name string, in Content, photos map[string]int64, learntFrom func(holding int) int64) error {
	for _, c := range in.Corrections {
		id, ok := photos[c.Photo]
		if !ok {
			continue
		}
		outline, err := readOutline(string(c.Outline))
		var k said
		if err == nil {
			err = json.Unmarshal(c.What, &k)
		}
		if err != nil {
			return refuse(name, "a correction in it cannot be read", "export it again; nothing was imported")
		}
		if err := t.exec(`INSERT INTO correction (photo, outline, what) VALUES (?, ?, ?)`, id, writeOutline(outline), asJSON(k)); err != nil {
			return err
		}
	}
	var last int64 // example that the stash had before
	if err := t.one(`SELECT coalesce(max(id), 0) FROM taught`, nil, &last); err != nil {
		return err
	}
	for _, e := range in.Taught {
		if e.What == nil {
			return refuse(name, "an example in it has nothing to show", "export it again; nothing was imported")
		}
		bin, err := tidyName(e.Bin)
		if err != nil {
			return err
		}
		what := compact(e.What)
		if err := t.exec(`INSERT INTO taught (bin, what, holding) SELECT ?, ?, ?
			WHERE NOT EXISTS (SELECT * FROM taught WHERE bin = ? AND what = ? AND id <= ?)`, bin, what, learntFrom(e.Holding), bin, what, last); err != nil {
			return err
		}
	}
	for _, p := range in.Plans {
		plan, err := tidyName(p.Name)
		if plan == "" || p.Plan == nil {
			return refuse(name, "a plan in it has no name, or nothing to make", "export it again; nothing was imported")
		}
		if err != nil {
			return err
		}
		if err := t.savePlan(plan, p.At, []byte(compact(p.Plan))); err != nil {
			return err
		}
	}
	for _, f := range in.Floors {
		if err := tidyFloor(&f); err != nil {
			return err
		}
		if err := t.setFloor(f); err != nil {
			return err
		}
	}
	return nil
}

// compact undoes what indenting did to JSON.
func compact(data json.RawMessage) string {
	var b bytes.Buffer
	if err := json.Compact(&b, data); err != nil {
		return string(data)
	}
	return b.String()
}
