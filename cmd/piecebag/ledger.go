package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
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
	root.AddCommand(newContrast(l), newRecipe(l.s), newPlan(l), newArrange(l), newQuilt(l), newRefill(l), newLeftovers(l), newBuy(l))
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

// at does the work of a command at the desk over the stash; doing is what the stash
// does that takes its time.
func (l *ledger) at(doing string, do func(*desk.Desk) error) error {
	dir, err := l.folder()
	if err != nil {
		return err
	}
	tell, stop := l.s.meter(doing)
	defer stop()
	d := desk.New(dir, desk.Options{Now: time.Now, Named: l.flag != "", Progress: tell}).At((&door{s: l.s}).desk())
	return errors.Join(do(d), d.Close())
}

// changed answers with a change of the stash: what it was, and by how much each
// colour changed.
func (l *ledger) changed(c stash.Change, asJSON bool) error {
	if asJSON {
		return answerJSON(l.s, report.ChangeJSON(c))
	}
	_, err := fmt.Fprint(l.s.out, changeText(c))
	return answered(err)
}

// make makes the one change of a command and answers with it.
func (l *ledger) make(asJSON bool, do func(*desk.Desk) (stash.Change, error)) error {
	return l.at("working", func(d *desk.Desk) error {
		c, err := do(d)
		if err != nil {
			return err
		}
		return l.changed(c, asJSON)
	})
}

// wantsJSON defines --json, which every command takes.
func wantsJSON(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("json", false, "answer in JSON")
}
