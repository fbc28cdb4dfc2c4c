package main

import (
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

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
