package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
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

// folder is --stash, else what the environment says, else a folder of the
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

// dataFolder is where programs keep their users' data: by the XDG Base
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

// variable is one of the environment; empty where it is not set.
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
		return report.ChangeJSON(c), changeText(c), err
	})
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
	return fault.New("the answer cannot be written", fmt.Sprintf("%v", bare(err)), "make room, or send it elsewhere", err)
}

// changeText is a line of what a change was, and one of its difference in
// colours where it has any.
func changeText(c stash.Change) string {
	out := plain(c.What) + "\n"
	if len(c.Difference) > 0 {
		out += report.Difference(c.Difference) + "\n"
	}
	return out
}

// columns writes rows of cells, of which tabs end each but the last, one below the other.
func columns(rows ...string) string {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(w, r)
	}
	w.Flush() // to memory: there is no error
	return b.String()
}
