package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/fault"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// stashVariable names the folder of the stash where --stash does not.
const stashVariable = "PIECEBAG_STASH"

// ledger is where the stash lies, as the command line and the environment say.
type ledger struct {
	flag string // --stash
	s    streams
}

// addLedger adds --stash and the commands that keep the stash.
func addLedger(root *cobra.Command, s streams) {
	l := &ledger{s: s}
	root.PersistentFlags().StringVar(&l.flag, "stash", "", "the `FOLDER` of the stash (or set "+stashVariable+")")
	root.AddCommand(
		newStow(l), newRecount(l), newAdd(l), newUse(l), newFix(l), newUndo(l), newHistory(l), newShelf(l), newFloor(l),
		newTeach(l), newSet(l), newExport(l), newImport(l), newBackup(l), newRestore(l), newCheck(l),
	)
	addPlanning(root, l)
}

// folder is --stash, else what the environment says, else a folder of the
// user's data.
func (l *ledger) folder() (string, error) {
	if l.flag != "" {
		return l.flag, nil
	}
	if dir := l.s.variable(stashVariable); dir != "" {
		return dir, nil
	}
	data, ok := l.s.dataFolder(runtime.GOOS)
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

// write opens the stash to change it, and makes it where there is none.
func (l *ledger) write(do func(*stash.Stash) error) error { return l.open(false, do) }

// read opens the stash to look into it. Where there is none yet, do gets nil; one
// that --stash names has to be there.
func (l *ledger) read(do func(*stash.Stash) error) error {
	there, err := l.exists()
	if err != nil {
		return err
	}
	if !there && l.flag != "" {
		return l.noStash()
	}
	if !there {
		return do(nil)
	}
	return l.open(true, do)
}

// exists says whether there is a stash yet.
func (l *ledger) exists() (bool, error) {
	dir, err := l.folder()
	if err != nil {
		return false, err
	}
	return stash.Exists(dir)
}

// readOne is read for what makes no sense without a stash.
func (l *ledger) readOne(do func(*stash.Stash) error) error {
	return l.read(func(st *stash.Stash) error {
		if st == nil {
			return l.noStash()
		}
		return do(st)
	})
}

func (l *ledger) noStash() error {
	dir, err := l.folder()
	if err != nil {
		return err
	}
	return fault.New(dir, "there is no stash yet", "stow a photo or add pieces first, or name the folder with --stash")
}

// rewrite opens a stash that is there already, to change it.
func (l *ledger) rewrite(do func(*stash.Stash) error) error {
	there, err := l.exists()
	if err != nil {
		return err
	}
	if !there {
		return l.noStash()
	}
	return l.open(false, do)
}

func (l *ledger) open(readOnly bool, do func(*stash.Stash) error) error {
	dir, err := l.folder()
	if err != nil {
		return err
	}
	tell, stop := l.s.meter("working")
	defer stop()
	st, err := stash.Open(dir, stash.Options{Now: time.Now, ReadOnly: readOnly, Progress: tell})
	if err != nil {
		return err
	}
	err = do(st)
	return errors.Join(err, st.Close())
}

// changed answers with a change of the stash: what it was, and by how much each
// colour changed.
func (l *ledger) changed(c stash.Change, asJSON bool) error {
	if asJSON {
		return answerJSON(l.s, map[string]any{"change": changeJSON(c)})
	}
	_, err := fmt.Fprint(l.s.out, changeText(c))
	return answered(err)
}

// alikeOf is where a count lies on the shelf.
func alikeOf(c stash.Count) shelf.Alike {
	if c.Bin != "" {
		return shelf.Alike{Own: c.Bin}
	}
	return shelf.Alike{Family: c.Family, Value: c.Value}
}

// changesOf is a difference of the stash as the shelf has it.
func changesOf(counts []stash.Count) []shelf.Change {
	out := make([]shelf.Change, len(counts))
	for i, c := range counts {
		out[i] = shelf.Change{Alike: alikeOf(c), Cut: shelf.Cut{Form: c.Form, Width: c.WidthIn, Length: c.LengthIn}, Count: c.Count, AreaIn: c.AreaIn2}
	}
	return shelf.Merge(out)
}

// change is the one change that a command makes.
type change func(ctx context.Context, st *stash.Stash) (stash.Change, error)

// make makes a change and answers with it; where there is no stash it makes one.
func (l *ledger) make(cmd *cobra.Command, asJSON bool, do change) error {
	return l.write(l.making(cmd, asJSON, do))
}

// remake is make where there has to be a stash.
func (l *ledger) remake(cmd *cobra.Command, asJSON bool, do change) error {
	return l.rewrite(l.making(cmd, asJSON, do))
}

func (l *ledger) making(cmd *cobra.Command, asJSON bool, do change) func(*stash.Stash) error {
	return func(st *stash.Stash) error {
		c, err := do(cmd.Context(), st)
		if err != nil {
			return err
		}
		return l.changed(c, asJSON)
	}
}

// wantsJSON defines --json, which every command takes.
func wantsJSON(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("json", false, "answer in JSON")
}
