package stash

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash/disk"
)

// Stow adds the pieces of a photo, in one change, and keeps the photo without what
// its camera wrote beside the picture. A photo that is in the stash already, by its
// bytes or by what is kept of them, adds nothing; where its file was lost or
// damaged, it is kept again, and Stowed.Sum is that change.
func (s *Stash) Stow(ctx context.Context, p Photo) (Stowed, error) { return s.stow(ctx, p, true) }

// errKnown ends the stowing of a photo that is to change nothing.
var errKnown = errors.New("the photo is in the stash already")

// Keep keeps the file of a photo that the stash knows again where it was lost or
// damaged: a damaged one is moved aside. A photo that is whole, or not known,
// changes nothing, and kept is false.
func (s *Stash) Keep(ctx context.Context, name string, data []byte) (c Change, kept bool, err error) {
	out, err := s.stow(ctx, Photo{Name: name, Bytes: data}, false)
	return out.Sum, out.Sum.ID != 0, err
}

func (s *Stash) stow(ctx context.Context, p Photo, bring bool) (out Stowed, err error) {
	k := keepsakeOf(p)
	out.Sum, err = s.change(ctx, "stow", func(t *tx) (string, error) {
		row, err := findPhoto(t.ctx, t, k.hash, FileHash(k.file))
		if out.Known = row != nil; out.Known {
			out.Hash = row.hash
		}
		if err != nil || row == nil && !bring {
			return "", cmp.Or(err, errKnown)
		}
		row, kept, err := t.photo(p, k, row)
		switch {
		case err != nil:
			return "", err
		case kept:
			out.Left = k.left
		case out.Known:
			return "", errKnown
		}
		if out.Known {
			return keptAgain(p.Name), nil
		}
		rows, may, err := t.bringIn(p, row.id)
		out.Hash, out.Added, out.MayBe = row.hash, len(rows), may
		return fmt.Sprintf("%s: %s", CleanName(p.Name), pieces(len(rows))), err
	})
	if errors.Is(err, errKnown) {
		return out, nil
	}
	if err != nil {
		return Stowed{}, err
	}
	return out, nil
}

func keptAgain(name string) string { return CleanName(name) + ": the photo is kept again" }

// Whole reports whether the file of a photo is there and is what it was.
func (s *Stash) Whole(file string) (bool, error) {
	sum, err := disk.Hash(s.PhotoPath(file))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return sum == FileHash(file), err
}

// setAside moves those of the files that exist out of the folder of photos into a folder of
// their own, and returns that folder.
func (s *Stash) setAside(files ...string) (aside string, err error) {
	aside = filepath.Join(s.dir, asideFolder, stamp(s.o.Now()))
	if err := os.MkdirAll(aside, 0o700); err != nil {
		return "", err
	}
	for _, file := range files {
		s.o.Step("move aside")
		if err := os.Rename(s.PhotoPath(file), filepath.Join(aside, filepath.Base(file))); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	_ = os.Remove(aside) // where nothing came into it
	return aside, nil
}

// photo makes the row of a photo where it has none yet, and keeps its file where that is
// not kept. The file gets its name before the row is committed, while the lock is held.
func (t *tx) photo(p Photo, k keepsake, row *photoRow) (_ *photoRow, kept bool, err error) {
	if err := shortNames(CleanName(p.Basket)); err != nil {
		return nil, false, err
	}
	if row != nil && row.file != "" {
		whole, err := t.s.Whole(row.file)
		if err != nil || whole {
			return row, false, err
		}
		if _, err := t.s.setAside(row.file); err != nil {
			return nil, false, err
		}
	}
	t.came = append(t.came, k.file)
	if err := t.s.writePhoto(k); err != nil {
		return nil, false, err
	}
	if row != nil {
		return row, true, t.exec(`UPDATE photo SET file = ?, size = ? WHERE id = ?`, k.file, len(p.Bytes), row.id)
	}
	row = &photoRow{hash: k.hash, file: k.file}
	record := p.record()
	record.Hash, record.At = k.hash, t.at
	row.id, err = t.newPhoto(k.file, record)
	return row, true, err
}

func (p Photo) record() PhotoRecord {
	return PhotoRecord{
		Name: CleanName(p.Name), Size: int64(len(p.Bytes)), Kind: p.Sheet.Kind, Form: p.As, Basket: CleanName(p.Basket), CutIn: p.Cut,
		PxPerInch: p.Sheet.Scale.PxPerInch, Width: p.Sheet.Width, Height: p.Sheet.Height,
	}
}

func (t *tx) newPhoto(file string, p PhotoRecord) (id int64, err error) {
	return t.write("photo", 0, append(p.columns(), column{"file", file}))
}

// looked notes what a photo was found to be, and what you say of it.
func (t *tx) looked(id int64, p Photo) error {
	record := p.record()
	_, err := t.write("photo", id, record.columns()[4:])
	return err
}

// bringIn adds the pieces of a photo, as you corrected them before where you
// did.
func (t *tx) bringIn(p Photo, photo int64) ([]row, []MayBe, error) {
	if err := t.say(photo, p.Said); err != nil {
		return nil, nil, err
	}
	rows, err := t.read(p, photo)
	if err != nil {
		return nil, nil, err
	}
	may, err := t.namePrints(rows)
	if err != nil {
		return nil, nil, err
	}
	return rows, may, t.putAll(rows)
}

// read turns a sheet into rows not yet written, corrected as you corrected them
// before. Their prints are labels still, but for those you named.
func (t *tx) read(p Photo, photo int64) ([]row, error) {
	rows := make([]row, 0, len(p.Sheet.Pieces))
	for i, c := range p.Sheet.Pieces {
		h := row{photo: photo, outline: c.Polygon, or: c.FamilyOr, Holding: cloth.Holding{
			Form: formOf(c, p), Count: 1, WidthIn: c.WidthIn, LengthIn: c.LengthIn,
			Family: c.Family, Value: c.Value, Print: c.Print, Basket: p.Basket,
			Measured: true, Mean: c.Mean, ReadsAs: c.ReadsAs, Colours: c.Colours, Lightness: c.Lightness, Motif: c.Motif, Mark: c.Mark,
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

// cutTo sets the width that a piece is cut to. A length that was measured by another scale
// is scaled along.
func (h *row) cutTo(width float64) {
	if h.WidthIn > 0 {
		h.LengthIn *= width / h.WidthIn
	}
	if h.Form == cloth.Square {
		h.LengthIn = width
	}
	h.WidthIn = width
}

// formOf returns the form of a piece: the one you say, else the one found. A fold of a
// stack is always a band.
func formOf(c cloth.Piece, p Photo) cloth.Form {
	switch {
	case p.As != "" && p.As != cloth.Weighed:
		return p.As
	case p.Sheet.Kind == cloth.Stack:
		return cloth.Band
	case p.Sheet.Kind == cloth.Board && c.Cut == "":
		return cloth.Square // what a board is made of, its size not known
	}
	return cmp.Or(cloth.FormOfCut(c.Cut), cloth.Irregular)
}

// Recount replaces what the stash holds of a basket (or of a cut width in
// inches; of both where both are given) by what the photos show. Where all of
// them are said to show one form (Photo.As), only that form is replaced, so that
// counting squares takes no strips away. Weighed cloth stays: no photo counts it.
// Change.Difference says what that changed. Photos known already are counted
// anew, and later looks at them go by what is said of them now. left is that of
// each photo, as Stow has it.
func (s *Stash) Recount(ctx context.Context, basket string, cut float64, photos ...Photo) (c Change, left []Left, err error) {
	basket = CleanName(basket)
	if basket == "" && cut <= 0 {
		return Change{}, nil, refuse("recount", "it does not say what is counted", "name the basket or the cut")
	}
	left = make([]Left, len(photos))
	c, err = s.change(ctx, "recount", func(t *tx) (string, error) {
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
			k := keepsakeOf(p)
			if seen[FileHash(k.file)] {
				continue
			}
			seen[FileHash(k.file)] = true
			if p.Basket == "" {
				p.Basket = basket
			}
			if p.Cut == 0 {
				p.Cut = cut
			}
			known, err := findPhoto(t.ctx, t, k.hash, FileHash(k.file))
			if err != nil {
				return "", err
			}
			row, kept, err := t.photo(p, k, known)
			if err != nil {
				return "", err
			}
			if kept {
				left[i] = k.left
			}
			if known != nil {
				if err := t.exec(`DELETE FROM holding WHERE photo = ?`, row.id); err != nil {
					return "", err
				}
				if err := t.looked(row.id, p); err != nil {
					return "", err
				}
			}
			rows, _, err := t.bringIn(p, row.id)
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
	return c, left, err
}

// commonForm returns the form that all photos are said to show, "" where they differ
// or nothing is said.
func commonForm(photos []Photo) (form cloth.Form) {
	for i, p := range photos {
		if i > 0 && p.As != form {
			return ""
		}
		form = p.As
	}
	return form
}

// FormOfSize returns the form of a rectangle of two known sides; what was no
// rectangle is none now.
func FormOfSize(width, length float64, was cloth.Form) cloth.Form {
	switch {
	case was == cloth.Irregular || was == cloth.Band:
		return was
	case length-width < eighth/2:
		return cloth.Square
	case length >= cloth.StripFrom*width:
		return cloth.Strip
	}
	return cloth.Rectangle
}
