package desk

import (
	"context"
	"errors"
	"path/filepath"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/stash"
	"piecebag/internal/teach"
)

// StowRequest asks for the pieces in photos to be added to the stash.
type StowRequest struct {
	Files []string // of photos
	Look  look.Options
	// What you say the pieces are; empty or 0: as they are found.
	As     cloth.Form
	CutIn  float64 // the width all are cut to, inches
	Basket string
	New    bool // the basket is meant as written, though its name is nearly a known one
	Alike  bool // photos count too that look the same as one counted already
	// Again looks again at photos that the stash knows, at all that it keeps where no
	// file is named, and tells what would change; it is changed where Yes says so, or the
	// door when asked.
	Again, Yes bool
	// Told, unless nil, is called with each photo as soon as it is done, since a folder
	// takes minutes.
	Told func(Stowed) error
}

// Stowed is what became of one photo.
type Stowed struct {
	stash.Stowed
	Seen                  // of a photo that is new; of others File and Notes alone
	Again   *stash.Reread // of a known photo looked at again
	Kept    bool          // its file was lost, and is kept again
	Into    []Placed      // bins of yours
	Unsure  []Unsure
	LeftOut int    // things in it left out as too doubtful
	Like    string // the photo that it is a copy of, by your word
}

// Stowing is what became of photos. Where Stow gives an error too, it is what was done
// before.
type Stowing struct {
	Photos  []Stowed
	Refused []*fault.Error
	Change  *stash.Change // what looking again changed; nil where nothing was changed
}

// Sum is how many photos came in, were known, and were looked at again, of which so
// many would change or did.
type Sum struct{ Fresh, Known, Again, Other int }

// Sum counts what became of the photos.
func (s Stowing) Sum() (sum Sum) {
	for _, p := range s.Photos {
		switch {
		case p.Known && p.Again == nil:
			sum.Known++
		case p.Again == nil:
			sum.Fresh++
		default:
			sum.Again++
			if Compare(*p.Again).Any() {
				sum.Other++
			}
		}
	}
	return sum
}

// Doubts lists what may be wrong of all that went in, the likeliest wrong first.
func (s Stowing) Doubts() []DoubtedIn {
	seen := make([]Seen, len(s.Photos))
	for i, p := range s.Photos {
		seen[i] = p.Seen
	}
	return Doubts(seen)
}

// stower puts photos into the stash. It opens one that is there, and makes one
// only when there is something to put in.
type stower struct {
	*Desk
	StowRequest
	out Stowing

	st     *stash.Stash // nil where there is none yet
	sorter *teach.Sorter
	known  []known // to be looked at again
}

// Stow looks at photos, as many at a time as are looked at together so that what is
// done is kept whatever becomes of the rest, and adds each to the stash as one change.
func (d *Desk) Stow(ctx context.Context, r StowRequest) (Stowing, error) {
	w := &stower{Desk: d, StowRequest: r}
	err := w.stow(ctx)
	return w.out, err
}

// done notes what became of a photo and tells of it.
func (w *stower) done(one Stowed) error {
	w.out.Photos = append(w.out.Photos, one)
	if w.Told == nil {
		return nil
	}
	return w.Told(one)
}

func (w *stower) refuse(errs ...*fault.Error) { w.out.Refused = append(w.out.Refused, errs...) }

func (w *stower) open(ctx context.Context) (err error) {
	if w.st, err = w.naming(ctx, w.changing, written{basket: w.Basket, isNew: w.New}); err != nil {
		return err
	}
	w.sorter, err = taught(ctx, w.st)
	return err
}

func (w *stower) stow(ctx context.Context) error {
	there, err := stash.Exists(w.dir)
	if err == nil && there {
		err = w.open(ctx)
	}
	if err != nil {
		return err
	}
	if w.Again && len(w.Files) == 0 {
		if err := w.knowAll(ctx); err != nil {
			return err
		}
		return w.reread(ctx)
	}
	if err := w.stowFiles(ctx); err != nil || w.known == nil {
		return err
	}
	return w.reread(ctx)
}

func (w *stower) stowFiles(ctx context.Context) error {
	w.door.Begin(StowingWork, len(w.Files))
	defer w.door.End()
	for files := w.Files; len(files) > 0; {
		some := files[:min(photosAtOnce(), len(files))]
		files = files[len(some):]
		var fresh []string
		for _, file := range some {
			hash, known, err := w.knows(ctx, file)
			if err != nil {
				return err
			}
			if !known {
				fresh = append(fresh, file)
				continue
			}
			one, err := w.keep(ctx, file, hash)
			if err == nil && w.Again {
				w.lookAgain(one, file)
			} else if err == nil {
				err = w.done(one)
			}
			if err != nil {
				return err
			}
			w.door.Step()
		}
		results, err := w.lookAll(ctx, fresh, w.StowRequest.Look)
		if err != nil {
			return err
		}
		for i, r := range results {
			if r.Err != nil {
				w.refuse(r.Err)
				continue
			}
			one, err := w.put(ctx, fresh[i], r)
			if errors.Is(err, ErrAlike) {
				w.refuse(fault.Of(err))
				continue
			}
			if err == nil {
				err = w.done(one)
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// put adds one photo.
func (w *stower) put(ctx context.Context, file string, r Looked) (Stowed, error) {
	sheet := r.Sheet
	out := Stowed{Seen: Seen{File: file, Notes: sheet.Notes}}
	if w.st == nil {
		if err := w.open(ctx); err != nil {
			return out, err
		}
	}
	p, err := stashPhoto(file, sheet, w.As, w.Basket, w.CutIn)
	if err != nil {
		return out, err
	}
	known, err := knownBytes(ctx, w.st, p.Bytes)
	if err != nil {
		return out, err
	}
	if !known {
		of, err := w.copied(ctx, file, r)
		if of != nil {
			out.Like, out.Stowed = of.Name, stash.Stowed{Hash: of.Hash, Known: true}
		}
		if of != nil || err != nil {
			return out, err
		}
	}
	sorted := sortPieces(w.sorter, sheet.Pieces)
	p.Bins, p.Said = sorted.bins, r.Said
	if out.Stowed, err = w.st.Stow(ctx, p); err != nil {
		return out, err
	}
	if out.Known { // a copy of one that came in just before
		out.Kept = out.Sum.ID != 0
		return out, nil
	}
	out.Into, out.Unsure = sorted.into, sorted.asks
	if err := w.st.KeepLook(ctx, out.Hash, r.Hashes[0]); err != nil {
		return out, err
	}
	out.IDs, err = idsOf(ctx, w.st, out.Hash)
	for i := range out.Into {
		out.Into[i].ID = out.IDs[out.Into[i].Piece]
	}
	for i := range out.Unsure {
		out.Unsure[i].ID = out.IDs[out.Unsure[i].Piece]
	}
	out.Found, out.LeftOut = sheet.Pieces, len(sheet.Left)
	return out, err
}

// stashPhoto reads the bytes of a photo that was looked at, and says of it what you say.
func stashPhoto(file string, sheet cloth.Sheet, as cloth.Form, basket string, cutIn float64) (stash.Photo, error) {
	data, err := photo.Bytes(file)
	if err != nil {
		return stash.Photo{}, err
	}
	return stash.Photo{Name: filepath.Base(file), Bytes: data, Sheet: sheet, As: as, Basket: basket, Cut: cutIn}, nil
}

// knows reports whether the stash has a photo, by its bytes. A file that cannot be read
// counts as unknown: looking at it gives the error.
func (w *stower) knows(ctx context.Context, file string) (hash string, known bool, err error) {
	if w.st == nil {
		return "", false, nil
	}
	data, err := photo.Bytes(file)
	if err != nil {
		return "", false, nil
	}
	hash, err = w.st.Known(ctx, stash.Hash(data))
	return hash, hash != "", err
}

// keep keeps the file of a photo that the stash knows where it was lost.
func (w *stower) keep(ctx context.Context, file, hash string) (Stowed, error) {
	out := Stowed{Seen: Seen{File: file}, Stowed: stash.Stowed{Hash: hash, Known: true}}
	p, err := stashPhoto(file, cloth.Sheet{}, w.As, w.Basket, w.CutIn)
	if err != nil {
		return out, err
	}
	_, out.Kept, err = w.st.Keep(ctx, p.Name, p.Bytes)
	return out, err
}

// StowLooked adds a photo that was looked at before, as Stow does; of the request what
// you say of the pieces counts.
func (d *Desk) StowLooked(ctx context.Context, file string, looked Looked, r StowRequest) (Stowed, error) {
	w := &stower{Desk: d, StowRequest: r}
	return w.put(ctx, file, looked)
}
