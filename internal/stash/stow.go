package stash

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// Known says whether the photo with this hash is in the stash, so that it need
// not be looked at again.
func (s *Stash) Known(ctx context.Context, hash string) (bool, error) {
	var n int
	err := s.r.QueryRowContext(ctx, `SELECT count(*) FROM photo WHERE hash = ?`, hash).Scan(&n)
	return n > 0, explain(s.file, err)
}

// Stow adds the pieces of a photo, in one change, and keeps the photo. A photo
// that is in the stash already, by its bytes, adds nothing; where its file was
// lost or damaged, it is kept again, and Stowed.Sum is that change.
func (s *Stash) Stow(ctx context.Context, p Photo) (Stowed, error) {
	out := Stowed{Hash: Hash(p.Bytes)}
	known, err := s.Known(ctx, out.Hash)
	if err != nil {
		return Stowed{}, err
	}
	var part string
	if !known {
		if part, err = s.keepPart(p); err != nil {
			return Stowed{}, err
		}
		defer os.Remove(part)
	}
	out.Sum, err = s.change(ctx, "stow", func(t *tx) (string, error) {
		id, fresh, kept, err := t.photo(p, out.Hash, part)
		if err != nil {
			return "", err
		}
		if !fresh {
			out.Known = true
			if !kept {
				return "", errKnown
			}
			return keptAgain(p.Name), nil
		}
		rows, err := t.bringIn(p, id)
		out.Added = len(rows)
		return fmt.Sprintf("%s: %s", cleanName(p.Name), pieces(len(rows))), err
	})
	if errors.Is(err, errKnown) {
		return Stowed{Hash: out.Hash, Known: true}, nil
	}
	if err != nil {
		s.dropPhoto(context.WithoutCancel(ctx), fileName(out.Hash, p.Name)) // unless it is another's
		return Stowed{}, err
	}
	return out, nil
}

// errKnown ends the stowing of a photo that is there already.
var errKnown = errors.New("the photo is in the stash already")

// Keep keeps the file of a photo that the stash knows again where it was lost or
// damaged: a damaged one is moved aside. A photo that is whole, or not known,
// changes nothing, and kept is false.
func (s *Stash) Keep(ctx context.Context, name string, data []byte) (c Change, kept bool, err error) {
	hash := Hash(data)
	lost, err := s.lost(ctx, s.r, hash)
	if err != nil || !lost {
		return Change{}, false, explain(s.file, err)
	}
	c, err = s.change(ctx, "stow", func(t *tx) (string, error) {
		// Another may have kept it, or taken it back, since.
		if lost, err := s.lost(ctx, t, hash); err != nil || !lost {
			return "", cmp.Or(err, errKnown)
		}
		_, _, _, err := t.photo(Photo{Name: name, Bytes: data}, hash, "")
		return keptAgain(name), err
	})
	if errors.Is(err, errKnown) {
		return Change{}, false, nil
	}
	return c, err == nil, err
}

func keptAgain(name string) string { return cleanName(name) + ": the photo is kept again" }

// lost says whether the file of a photo that the stash knows is not kept as it
// was.
func (s *Stash) lost(ctx context.Context, q queryer, hash string) (bool, error) {
	var file string
	err := q.QueryRowContext(ctx, `SELECT file FROM photo WHERE hash = ?`, hash).Scan(&file)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil || file == "" {
		return err == nil, err
	}
	whole, err := s.whole(file, hash)
	return !whole, err
}

// whole says whether the file of a photo is there and is what it was.
func (s *Stash) whole(file, hash string) (bool, error) {
	sum, err := hashFile(s.photoPath(file))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return sum == hash, err
}

// setAside moves a file out of the folder of photos, where it is there.
func (s *Stash) setAside(file string) error {
	aside := filepath.Join(s.dir, asideFolder, stamp(s.o.Now()))
	if err := os.MkdirAll(aside, 0o700); err != nil {
		return err
	}
	err := os.Rename(s.photoPath(file), filepath.Join(aside, file))
	if errors.Is(err, fs.ErrNotExist) {
		return os.Remove(aside)
	}
	return err
}

func (s *Stash) keepPart(p Photo) (string, error) {
	if s.o.ReadOnly {
		_, err := s.begin(context.Background())
		return "", err
	}
	part, err := s.writePart(p.Bytes)
	return part, explain(filepath.Join(s.dir, photoFolder), err)
}

// photo finds the row of a photo or makes it, and keeps its file where that is
// not kept; part is the file under a passing name, "" where the photo was known
// before the change began. The file gets its own name before the row is safe,
// and while the lock is held.
func (t *tx) photo(p Photo, hash, part string) (id int64, fresh, kept bool, err error) {
	var file string
	err = t.QueryRowContext(t.ctx, `SELECT id, file FROM photo WHERE hash = ?`, hash).Scan(&id, &file)
	fresh = errors.Is(err, sql.ErrNoRows)
	if err != nil && !fresh {
		return 0, false, false, err
	}
	if !fresh && file != "" {
		whole, err := t.s.whole(file, hash)
		if err != nil || whole {
			return id, false, false, err
		}
		if err := t.s.setAside(file); err != nil {
			return 0, false, false, err
		}
	}
	if part == "" { // taken back, or its file lost, since it was looked for
		if part, err = t.s.keepPart(p); err != nil {
			return 0, false, false, err
		}
		defer os.Remove(part)
	}
	file = fileName(hash, p.Name)
	t.s.o.step("give the photo its name")
	if err := os.Rename(part, t.s.photoPath(file)); err != nil {
		return 0, false, false, err
	}
	if err := syncFolder(filepath.Join(t.s.dir, photoFolder)); err != nil {
		return 0, false, false, err
	}
	if !fresh {
		return id, false, true, t.exec(`UPDATE photo SET file = ?, size = ? WHERE id = ?`, file, len(p.Bytes), id)
	}
	id, err = t.insert(`INSERT INTO photo (hash, name, file, size, at, kind, form, basket, cut_in, px_per_inch, width, height)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, hash, cleanName(p.Name), file, len(p.Bytes), t.at,
		string(p.Sheet.Kind), string(p.As), cleanName(p.Basket), p.Cut, p.Sheet.Scale.PxPerInch, p.Sheet.Width, p.Sheet.Height)
	return id, true, true, err
}

// bringIn adds the pieces of a photo, as she corrected them before where she
// did.
func (t *tx) bringIn(p Photo, photo int64) ([]row, error) {
	rows, err := t.read(p, photo)
	if err != nil {
		return nil, err
	}
	if err := t.namePrints(rows); err != nil {
		return nil, err
	}
	for i := range rows {
		if err := t.put(&rows[i]); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// read turns a sheet into rows not yet written, corrected as she corrected them
// before. Their prints are labels still, but for those she named.
func (t *tx) read(p Photo, photo int64) ([]row, error) {
	rows := make([]row, 0, len(p.Sheet.Pieces))
	for i, c := range p.Sheet.Pieces {
		h := row{photo: photo, outline: c.Polygon, Holding: cloth.Holding{
			Form: formOf(c, p), Count: 1, WidthIn: c.WidthIn, LengthIn: c.LengthIn,
			Family: c.Family, Value: c.Value, Print: c.Print, Basket: p.Basket,
			Measured: true, Mean: c.Mean, ReadsAs: c.ReadsAs, Colours: c.Colours, Lightness: c.Lightness, Motif: c.Motif,
			Piece: i + 1, Trust: c.Trust,
		}}
		if i < len(p.Bins) {
			h.Bin = p.Bins[i]
		}
		if p.Cut > 0 && h.Form != cloth.Band {
			h.cutTo(p.Cut)
		}
		if err := tidy(&h); err != nil {
			return nil, err
		}
		if h.Print != "" {
			h.Print = labelMark + h.Print
		}
		rows = append(rows, h)
	}
	return t.reapply(rows, photo)
}

// cutTo says that a piece is cut to a width. Its length, where it was measured
// by another scale, is measured anew by this one.
func (h *row) cutTo(width float64) {
	if h.WidthIn > 0 {
		h.LengthIn *= width / h.WidthIn
	}
	if h.Form == cloth.Square {
		h.LengthIn = width
	}
	h.WidthIn = width
}

// formOf says what a piece is: what she says, else what was found. A fold of a
// stack is a band whatever it was cut to.
func formOf(c cloth.Piece, p Photo) cloth.Form {
	switch {
	case p.As != "" && p.As != cloth.Weighed:
		return p.As
	case p.Sheet.Kind == cloth.Stack:
		return cloth.Band
	case strings.HasSuffix(c.Cut, string(cloth.Square)):
		return cloth.Square
	case strings.HasSuffix(c.Cut, string(cloth.Strip)):
		return cloth.Strip
	case strings.HasSuffix(c.Cut, string(cloth.Rectangle)):
		return cloth.Rectangle
	case p.Sheet.Kind == cloth.Board:
		return cloth.Square // what a board is made of, its size not known
	}
	return cloth.Irregular
}

// Recount replaces what the stash holds of a basket (or of a cut width in
// inches; of both where both are given) by what the photos show. Where all of
// them are said to show one form (Photo.As), only that form is replaced, so that
// counting squares takes no strips away. Weighed cloth stays: no photo counts it.
// Change.Difference says what that changed. Photos known already are counted
// anew, and later looks at them go by what is said of them now.
func (s *Stash) Recount(ctx context.Context, basket string, cut float64, photos ...Photo) (Change, error) {
	basket = cleanName(basket)
	if basket == "" && cut <= 0 {
		return Change{}, refuse("recount", "it does not say what is counted", "name the basket or the cut")
	}
	parts := make([]string, len(photos))
	for i, p := range photos {
		part, err := s.keepPart(p)
		if err != nil {
			return Change{}, err
		}
		defer os.Remove(part)
		parts[i] = part
	}
	var came []string // files
	c, err := s.change(ctx, "recount", func(t *tx) (string, error) {
		old, err := t.find(Filter{Basket: basket, Cut: cut, Form: commonForm(photos)})
		if err != nil {
			return "", err
		}
		for _, h := range old {
			if h.Form == cloth.Weighed {
				continue
			}
			if err := t.remove(h, goneRecounted); err != nil {
				return "", err
			}
		}
		seen := map[string]bool{}
		n := 0
		for i, p := range photos {
			hash := Hash(p.Bytes)
			if seen[hash] {
				continue
			}
			seen[hash] = true
			if p.Basket == "" {
				p.Basket = basket
			}
			if p.Cut == 0 {
				p.Cut = cut
			}
			id, fresh, kept, err := t.photo(p, hash, parts[i])
			if err != nil {
				return "", err
			}
			if kept {
				came = append(came, fileName(hash, p.Name))
			}
			if !fresh {
				if err := t.exec(`DELETE FROM holding WHERE photo = ?`, id); err != nil {
					return "", err
				}
				if err := t.exec(`UPDATE photo SET kind = ?, form = ?, basket = ?, cut_in = ?, px_per_inch = ?, width = ?, height = ? WHERE id = ?`,
					string(p.Sheet.Kind), string(p.As), cleanName(p.Basket), p.Cut, p.Sheet.Scale.PxPerInch, p.Sheet.Width, p.Sheet.Height, id); err != nil {
					return "", err
				}
			}
			rows, err := t.bringIn(p, id)
			if err != nil {
				return "", err
			}
			n += len(rows)
		}
		what := []string{}
		if basket != "" {
			what = append(what, basket)
		}
		if cut > 0 {
			what = append(what, shelf.Length(cut))
		}
		return fmt.Sprintf("%s: %s", strings.Join(what, ", "), pieces(n)), nil
	})
	if err != nil {
		for _, file := range came {
			s.dropPhoto(context.WithoutCancel(ctx), file)
		}
	}
	return c, err
}

// commonForm is the form that all photos are said to show, "" where they differ
// or nothing is said.
func commonForm(photos []Photo) cloth.Form {
	for _, p := range photos {
		if p.As != photos[0].As {
			return ""
		}
	}
	if len(photos) == 0 {
		return ""
	}
	return photos[0].As
}

// stripFrom is how many widths long a rectangle is a strip, as package scale
// names cuts.
const stripFrom = 2.2

// formOfSize is the form of a rectangle of two known sides; what was no
// rectangle is none now.
func formOfSize(width, length float64, was cloth.Form) cloth.Form {
	switch {
	case was == cloth.Irregular || was == cloth.Band:
		return was
	case length-width < eighth/2:
		return cloth.Square
	case length >= stripFrom*width:
		return cloth.Strip
	}
	return cloth.Rectangle
}
