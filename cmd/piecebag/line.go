package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// stashVariable names the folder of the stash where --stash does not.
const stashVariable = "PIECEBAG_STASH"

// line is the command line: what the flags of every command say, and what is read and
// written by it.
type line struct {
	streams
	stash string // --stash
	json  bool   // --json
}

// folder returns --stash, else what the environment says, else a folder of the
// user's data.
func (l *line) folder() (string, error) {
	if l.stash != "" {
		return l.stash, nil
	}
	if dir := l.variable(stashVariable); dir != "" {
		return dir, nil
	}
	data, ok := l.dataFolder(runtime.GOOS)
	if !ok {
		return "", fault.New("", "there is no home folder to keep the stash in", "name a folder with --stash, or set "+stashVariable)
	}
	return filepath.Join(data, "piecebag"), nil
}

// dataFolder returns where programs keep their users' data: by the XDG Base
// Directory Specification 0.8 (freedesktop.org, 2021) on Linux and its like,
// which has relative paths ignored; by each system's own custom elsewhere.
func (s streams) dataFolder(system string) (string, bool) {
	home := s.variable("HOME")
	switch system {
	case "windows":
		dir := s.variable("LocalAppData")
		return dir, dir != ""
	case "darwin", "ios":
		return filepath.Join(home, "Library", "Application Support"), home != ""
	}
	if dir := s.variable("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return dir, true
	}
	return filepath.Join(home, ".local", "share"), home != ""
}

// variable returns a variable of the environment, empty where it is not set.
func (s streams) variable(name string) string {
	for i := len(s.environ) - 1; i >= 0; i-- {
		if v, ok := strings.CutPrefix(s.environ[i], name+"="); ok {
			return v
		}
	}
	return ""
}

// at does the work of a command at the desk over the stash; doing is what the stash
// does that takes its time.
func (l *line) at(doing string, do func(*desk.Desk) error) error {
	dir, err := l.folder()
	if err != nil {
		return err
	}
	tell, stop := l.meter(doing)
	defer stop()
	d := desk.New(dir, desk.Options{Now: time.Now, Named: l.stash != "", Progress: tell}).At((&door{s: l.streams}).desk())
	return errors.Join(do(d), d.Close())
}

// runE runs a command, as cobra wants it.
type runE = func(cmd *cobra.Command, args []string) error

// answers runs a verb that answers in one piece, in JSON or in words.
func (l *line) answers(verb func(ctx context.Context, d *desk.Desk, args []string) (asJSON any, text string, err error)) runE {
	return func(cmd *cobra.Command, args []string) error {
		return l.at("working", func(d *desk.Desk) error {
			asJSON, text, err := verb(cmd.Context(), d, args)
			if err != nil {
				return err
			}
			return l.answer(asJSON, text)
		})
	}
}

// changes runs a verb that is one change of the stash: its answer is what that was, and
// by how much each colour changed.
func (l *line) changes(verb func(ctx context.Context, d *desk.Desk, args []string) (stash.Change, error)) runE {
	return l.answers(func(ctx context.Context, d *desk.Desk, args []string) (any, string, error) {
		c, err := verb(ctx, d, args)
		return report.ChangeJSON(c), report.ChangeText(c), err
	})
}

// documentFlags are those of every command that answers with a document, and of some
// alone: svg, picture, csv.
type documentFlags struct {
	html, pdf, paper, svg, picture string
	csv                            bool
	force                          *bool
	reads                          []string // photos that are looked at
	apart                          bool     // no stash is needed
}

func (f *documentFlags) define(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.html, "html", "", "write it to look at and print to `FILE`")
	fl.StringVar(&f.pdf, "pdf", "", "write it as PDF to `FILE`")
	f.paper = report.Papers[0]
	readVar(fl, &f.paper, "paper", f.paper, "the `PAPER` of the PDF: "+orList(report.Papers), oneOf(report.Papers, "there is no such paper"))
	f.force = forceFlag(fl)
}

// csvFlag defines --csv of a command that answers in JSON too.
func csvFlag(cmd *cobra.Command, to *bool, usage string) {
	cmd.Flags().BoolVar(to, "csv", false, usage)
	notTogether(cmd, "give one of them", "json", "csv")
}

// pictured reports whether the answer goes to a file, where cloth is shown.
func (f *documentFlags) pictured() bool { return f.html+f.pdf+f.svg+f.picture != "" }

// shown is the answer of a verb as it can be written: to the flags that the command
// has. Without html or text those are the document's.
type shown struct {
	document                            func() report.Document
	html, svg, picture, text, json, csv func(io.Writer) error
	nothing                             string // why there is nothing to write to a file
}

// shows runs a verb that answers with a document, to the files it is asked for and to
// standard output.
func (l *line) shows(f *documentFlags, verb func(ctx context.Context, d *desk.Desk, args []string) (shown, error)) runE {
	return func(cmd *cobra.Command, args []string) error {
		var a shown
		to := func(flag, path string, format files.Format, fill func(w io.Writer) error) files.Target {
			return files.Target{Called: "--" + flag, Path: path, Format: format, Force: f.force, Reads: f.reads, Fill: fill}
		}
		outputs, err := files.Prepare(
			to("html", f.html, htmlFile, func(w io.Writer) error { return a.html(w) }),
			to("pdf", f.pdf, pdfFile, func(w io.Writer) error { return a.document().PDF(w, f.paper) }),
			to("svg", f.svg, svgFile, func(w io.Writer) error { return a.svg(w) }),
			to("picture", f.picture, pngFile, func(w io.Writer) error { return a.picture(w) }))
		if err != nil {
			return err
		}
		defer outputs.Drop()
		work := func(d *desk.Desk) (err error) {
			a, err = verb(cmd.Context(), d, args)
			return err
		}
		if f.apart {
			err = work(l.desk())
		} else {
			err = l.at("working", work)
		}
		if err != nil {
			return err
		}
		if a.html == nil {
			a.html = func(w io.Writer) error { return a.document().HTML(w) }
		}
		if a.text == nil {
			a.text = func(w io.Writer) error { return a.document().Text(w, l.textOptions()) }
		}
		var wrote error
		if a.nothing == "" {
			wrote = outputs.Write()
		} else {
			for _, f := range outputs {
				l.note(f.Path + " was not written: " + a.nothing)
			}
		}
		if errors.Is(wrote, context.Canceled) {
			return wrote
		}
		answer := a.text
		switch {
		case l.json:
			answer = a.json
		case f.csv:
			answer = a.csv
		}
		return cmp.Or(cmd.Context().Err(), answered(answer(l.out)), wrote)
	}
}

func (s streams) textOptions() report.TextOptions {
	return report.TextOptions{Width: s.width(), Environ: s.environ}
}

// width returns the width of the terminal in columns, 0 where standard output is none.
func (s streams) width() int {
	if f, ok := s.out.(*os.File); ok {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil {
			return w
		}
	}
	return 0
}

// answer writes an answer, as one line of JSON where that was asked for.
func (l *line) answer(asJSON any, text string) error {
	if l.json {
		return answered(report.AnswerJSON(l.out, asJSON))
	}
	_, err := io.WriteString(l.out, text)
	return answered(err)
}

// answered words a failure to write to standard output.
func answered(err error) error {
	if err == nil {
		return nil
	}
	return fault.New("the answer cannot be written", fmt.Sprintf("%v", files.Bare(err)), "make room, or send it elsewhere", err)
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

// terminal returns where messages go, if that is a terminal.
func (s streams) terminal() (*os.File, bool) {
	f, ok := s.err.(*os.File)
	return f, ok && term.IsTerminal(int(f.Fd()))
}

// patience is how long work may take before a bar is shown for it.
const patience = 500 * time.Millisecond

// meter returns a function to tell how far work is that is most often short, and one
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

// drawing is desk.Pictures behind a bar, which done takes away.
func (s streams) drawing(ctx context.Context, doing string, paths []string, side int) (give report.Pictures, done func()) {
	bar, open := s.progress(doing, len(paths)), desk.Pictures(ctx, paths, side)
	return func(i int) (image.Image, error) {
		defer bar.step()
		return open(i)
	}, bar.done
}
