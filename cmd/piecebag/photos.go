package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/find"
	"piecebag/internal/look"
	"piecebag/internal/photo"
)

const (
	// photoMemory bounds what photos being decoded at once may take, in bytes.
	photoMemory = 512 << 20
	// atOnce bounds the photos being looked at; each takes some 200 MB, and
	// more than one processor.
	atOnce = 4
	// seed is that of every clustering: one photo has one answer.
	seed = 1
)

// looked is one photo's outcome: a sheet or a refusal.
type looked struct {
	sheet cloth.Sheet
	look  [4]string // from afar, as look.Hashes has it
	err   *fault.Error
}

// lookAll looks at files and shows how far it is.
func (s streams) lookAll(ctx context.Context, files []string, o look.Options) ([]looked, error) {
	bar := s.progress("looking", len(files))
	defer bar.done()
	return lookAll(ctx, files, o, bar.step)
}

// lookAll looks at files, several at a time; the results are in their order.
// The error is that of ctx: photos in work are then left to themselves, since
// the program is about to end.
func lookAll(ctx context.Context, files []string, o look.Options, step func()) ([]looked, error) {
	out := make([]looked, len(files))
	budget := photo.NewBudget(photoMemory)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(len(files), runtime.GOMAXPROCS(0), atOnce) {
		wg.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(files)) && ctx.Err() == nil; i = next.Add(1) - 1 {
				out[i] = lookAt(files[i], o, budget)
				step()
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

func lookAt(file string, o look.Options, budget *photo.Budget) looked {
	pic, info, err := photo.Open(file, photo.Options{Budget: budget})
	if err != nil {
		refused := fault.Of(err)
		if refused == nil {
			refused = fault.New(file, err.Error(), "try another photo", err)
		}
		return looked{err: refused}
	}
	if over := overlapping(o.Pieces, pic.FullW, pic.FullH); over > mostCover {
		return looked{err: fault.New(file, fmt.Sprintf("the outlines given cover it %.0f times over", over), "give each piece one outline, in pixels of the upright photo at full size", photo.ErrTooLarge)}
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
		return looked{err: fault.New(file, reason, remedy, err)}
	}
	sheet.File = file
	if info.Note != "" {
		sheet.Notes = slices.Insert(sheet.Notes, 0, info.Note)
	}
	if note != "" {
		sheet.Notes = append(sheet.Notes, note)
	}
	return looked{sheet: sheet, look: look.Hashes(pic)}
}

// progress is a bar on a terminal and nothing elsewhere.
type progress struct{ bar *progressbar.ProgressBar }

// progress starts a bar of n steps, called doing.
func (s streams) progress(doing string, n int) progress {
	f, ok := s.terminal()
	if !ok || n < 1 {
		return progress{}
	}
	return progress{progressbar.NewOptions(n,
		progressbar.OptionSetWriter(f),
		progressbar.OptionSetDescription(doing),
		progressbar.OptionShowCount(),
		progressbar.OptionSetWidth(24),
		progressbar.OptionSetPredictTime(false),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionSetRenderBlankState(true),
		progressbar.OptionThrottle(50*time.Millisecond),
	)}
}

// terminal is where messages go, if that is a terminal.
func (s streams) terminal() (*os.File, bool) {
	f, ok := s.err.(*os.File)
	return f, ok && term.IsTerminal(int(f.Fd()))
}

// patience is how long work may take before a bar is shown for it.
const patience = 500 * time.Millisecond

// meter gives a function to tell how far work is that is most often short, and one
// that takes its bar away where it ends too soon; the first is nil where there is
// no terminal.
func (s streams) meter(doing string) (tell func(done, all int), stop func()) {
	if _, ok := s.terminal(); !ok {
		return nil, func() {}
	}
	var bar progress
	var began time.Time
	tell = func(done, all int) {
		switch {
		case done == 1:
			began = time.Now()
		case bar.bar == nil && time.Since(began) > patience:
			bar = s.progress(doing, all)
		}
		if bar.bar != nil {
			_ = bar.bar.Set(done)
		}
		if done == all {
			bar.done()
			bar = progress{}
		}
	}
	return tell, func() { bar.done() }
}

func (p progress) step() {
	if p.bar != nil {
		_ = p.bar.Add(1)
	}
}

// clear takes the bar off the line it stands on, for words to be written there.
func (p progress) clear() {
	if p.bar != nil {
		_ = p.bar.Clear()
	}
}

// done takes the bar off the screen.
func (p progress) done() {
	if p.bar != nil {
		_ = p.bar.Finish()
		_ = p.bar.Exit() // a late step must not draw it again
	}
}
