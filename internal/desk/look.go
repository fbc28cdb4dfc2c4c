package desk

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/stash"
)

const (
	// photoMemory bounds what photos being decoded at once may take, in bytes.
	photoMemory = 512 << 20
	// atOnce bounds the photos being looked at; each takes some 200 MB, and
	// more than one processor.
	atOnce = 4
	// seed of every clustering, fixed so that one photo always gives one answer
	seed = 1
)

// Looked is one photo's outcome: a sheet or a refusal.
type Looked struct {
	Sheet  cloth.Sheet
	Hashes [4]string    // how it looks from afar, as look.Hashes has it
	Said   []stash.Said // what of the sheet is wrong, to be stowed with it
	Err    *fault.Error
}

// Look looks at photos, several at a time; the answers are in their order. The
// options' seed is the desk's. The error is that of ctx: photos in work are then left
// to themselves, since nobody waits for them.
func (d *Desk) Look(ctx context.Context, files []string, o look.Options) ([]Looked, error) {
	d.door.Begin(LookingWork, len(files))
	defer d.door.End()
	return d.lookAll(ctx, files, o)
}

// lookAll is Look without its progress, as a part of other work.
func (d *Desk) lookAll(ctx context.Context, files []string, o look.Options) ([]Looked, error) {
	o.Seed = seed
	out := make([]Looked, len(files))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(len(files), cap(d.eyes)) {
		wg.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(files)) && ctx.Err() == nil; i = next.Add(1) - 1 {
				d.eyes <- struct{}{}
				out[i] = d.lookAt(files[i], o)
				<-d.eyes
				d.door.Step()
			}
		})
	}
	all := make(chan struct{})
	go func() {
		wg.Wait()
		close(all)
	}()
	select {
	case <-all:
	case <-ctx.Done():
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// photosAtOnce is how many photos are looked at together.
func photosAtOnce() int { return min(runtime.GOMAXPROCS(0), atOnce) }

func (d *Desk) lookAt(file string, o look.Options) Looked {
	pic, info, err := photo.Open(file, photo.Options{Budget: d.budget})
	if err != nil {
		refused := fault.Of(err)
		if refused == nil {
			refused = fault.New(file, err.Error(), "try another photo", err)
		}
		return Looked{Err: refused}
	}
	if over := overlapping(o.Pieces, pic.FullW, pic.FullH); over > mostCover {
		return Looked{Err: fault.New(file, fmt.Sprintf("the outlines given cover it %.0f times over", over), "give each piece one outline, in pixels of the upright photo at full size", photo.ErrTooLarge)}
	}
	given, note, err := inPhoto(o, pic.FullW, pic.FullH)
	var sheet cloth.Sheet
	if err == nil {
		inside := o
		inside.Pieces = given
		sheet, err = look.Photo(pic, inside)
	}
	if err != nil {
		reason, remedy := err.Error(), "give a box inside the photo"
		if f := fault.Of(err); f != nil {
			remedy = f.Remedy
		}
		if entry := find.Entry(0); errors.As(err, &entry) {
			reason = entryOf(o, int(entry)) + ": " + reason
		}
		return Looked{Err: fault.New(file, reason, remedy, err)}
	}
	sheet.File = file
	if info.Note != "" {
		sheet.Notes = slices.Insert(sheet.Notes, 0, info.Note)
	}
	if note != "" {
		sheet.Notes = append(sheet.Notes, note)
	}
	return Looked{Sheet: sheet, Hashes: look.Hashes(pic)}
}
