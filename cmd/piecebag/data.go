package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

func newExport(l *line) *cobra.Command {
	var asCSV bool
	var force *bool
	cmd := &cobra.Command{
		Use:   "export [FILE]",
		Short: "Write all that the stash holds, in JSON or CSV, to read back",
		Long: `Export writes all that the stash holds to a file, or to standard output without
one: in JSON, or by --csv as a table for a spreadsheet. 'piecebag import' reads
both back without loss. The photos themselves go into a backup, not here.`,
		Example: `  piecebag export stash.json
  piecebag export --csv stash.csv`,
		Args: oneFile(0, ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			return l.at("working", func(d *desk.Desk) error {
				fill := func(w io.Writer) error { return d.Export(cmd.Context(), w, asCSV) }
				if len(args) == 0 {
					return answered(fill(l.out))
				}
				to := files.Target{Path: args[0], Format: exportJSON, Force: force, Fill: fill}
				if asCSV {
					to.Format = exportCSV
				}
				if err := d.There(); err != nil { // no file is begun for nothing
					return err
				}
				return files.Write(to)
			})
		},
	}
	csvFlag(cmd, &asCSV, "write CSV")
	force = forceFlag(cmd.Flags())
	return cmd
}

// oneFile returns the rule of a command that works on one file, or on none.
func oneFile(least int, like string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		return takes(least, 1, fault.Usage("", "no file is given", "name one, like '"+cmd.CommandPath()+" "+like+"'"),
			fault.Usage("", cmd.Name()+" takes one file", "name one file"))(cmd, args)
	}
}

func newImport(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "import FILE",
		Short: "Read what export wrote, or a plain spreadsheet of squares",
		Long: `Import adds to the stash what is in a file: what 'piecebag export' wrote, in JSON
or CSV, or a spreadsheet of your own saved as CSV. The first row of a spreadsheet
names its columns, such as colour, value, size and count. A file is not imported
twice.`,
		Args: oneFile(1, "stash.csv"),
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, args []string) (any, string, error) {
			data, err := files.Read(args[0], mostImport, checkName)
			if err != nil {
				return nil, "", err
			}
			got, err := d.Import(ctx, args[0], data)
			if err != nil {
				return nil, "", err
			}
			text := plain(args[0]) + ": already known\n"
			if !got.Known {
				text = fmt.Sprintf("%s: %d added (%s), %d skipped\n", plain(args[0]), got.Added, got, got.Skipped)
			}
			if !l.json {
				for _, n := range got.Notes {
					l.note(args[0] + ": " + n)
				}
			}
			return report.ImportedJSON(got), text, nil
		}),
	}
}

func newBackup(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the whole stash, photos included, into one file",
		Long: `Backup copies the whole stash, photos included, into one file, which is safe also
while the stash is in use. 'piecebag restore' puts it back.`,
		Args: oneFile(1, "stash.backup"),
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, args []string) (any, string, error) {
			file, err := filepath.Abs(args[0])
			if err == nil {
				err = files.Target{Path: args[0], Format: backupFile}.Spare(files.Place(file))
			}
			if err == nil {
				err = d.Backup(ctx, file)
			}
			return map[string]any{"backup": args[0]}, fmt.Sprintf("the stash is copied to %s\n", plain(args[0])), err
		}),
	}
}

func newRestore(l *line) *cobra.Command {
	return &cobra.Command{
		Use:   "restore FILE",
		Short: "Put a backup in the place of the stash; what was there is kept",
		Args:  oneFile(1, "stash.backup"),
		RunE: func(cmd *cobra.Command, args []string) error {
			file, err := filepath.Abs(args[0])
			if err != nil {
				return err
			}
			if f, err := files.Open(args[0], checkName); err != nil {
				return err
			} else if err := f.Close(); err != nil {
				return err
			}
			var kept string
			err = l.at("restoring", func(d *desk.Desk) (err error) {
				kept, err = d.Restore(cmd.Context(), file)
				return err
			})
			if err != nil {
				return err
			}
			answer, text := map[string]any{"restored": args[0]}, fmt.Sprintf("the stash is that of %s\n", plain(args[0]))
			if kept != "" {
				answer["kept"] = kept
				text += fmt.Sprintf("what was there before is kept in %s\n", plain(kept))
			}
			return l.answer(answer, text)
		},
	}
}

func newCheck(l *line) *cobra.Command {
	var repair bool
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Check the stash: the ledger is whole and no photo is missing",
		Long: `Check reads the whole ledger and looks for each photo. Faults are listed with what
to do; --repair mends what can be mended, and loses nothing. With faults left the
exit code is 1.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return l.at("working", func(d *desk.Desk) error {
				h, err := d.Check(cmd.Context(), repair)
				if err == nil {
					err = l.answer(report.HealthJSON(h, wording), healthText(h))
				}
				switch {
				case err != nil || len(h.Faults) == 0:
					return err
				case l.json:
					l.error(fmt.Sprintf("the stash has %d faults", len(h.Faults)), "the answer names them and says what to do")
				default:
					l.faults(h.Faults)
				}
				return errFaults
			})
		},
	}
	cmd.Flags().BoolVar(&repair, "repair", false, "mend what can be mended")
	return cmd
}

// healthText says all but the faults, which are messages.
func healthText(h stash.Health) string {
	var b strings.Builder
	for _, r := range h.Repaired {
		b.WriteString("mended: " + plain(r) + "\n")
	}
	for _, p := range h.NotKept {
		b.WriteString("not kept: " + plain(p) + "; stow the photo again to keep it\n")
	}
	if n := len(h.Telling); n > 0 {
		b.WriteString(cloth.Count(n, "photo") + ": kept with what the camera wrote into it, such as place and time; 'piecebag check --repair' takes it out\n")
	}
	if n := len(h.Leftover); n > 0 {
		b.WriteString(cloth.Count(n, "file") + " of commands that were cut short: the next change of the stash sets them aside\n")
	}
	if len(h.Faults) == 0 {
		b.WriteString("the stash is whole\n")
	}
	return b.String()
}

// usualHistory is how many changes history lists unasked.
const usualHistory = 20

func newHistory(l *line) *cobra.Command {
	n := usualHistory
	return &cobra.Command{
		Use:   "history [COUNT]",
		Short: "List the last changes of the stash",
		Long:  fmt.Sprintf("History lists the last changes of the stash, the last first: %d unless a number is\ngiven. A star marks those that can still be undone.", usualHistory),
		Args:  oneNumber(&n, mostPieces, nil, fault.Usage("", "this is not a number of changes", "write a whole number, like 'piecebag history 50'")),
		RunE: l.answers(func(ctx context.Context, d *desk.Desk, _ []string) (any, string, error) {
			all, err := d.History(ctx, n)
			return report.ChangesMadeJSON("changes", all), cmp.Or(report.HistoryText(all), "no change yet\n"), err
		}),
	}
}

func newUndo(l *line) *cobra.Command {
	return l.stepping("undo", "undone", (*desk.Desk).Undo, "Take back the last change of the stash, or the last few",
		fmt.Sprintf(`Undo takes back the last change of the stash, photos included. With a number it
takes back that many changes, the latest first. The last %d can be taken back.`, stash.Undoable))
}

func newRedo(l *line) *cobra.Command {
	return l.stepping("redo", "redone", (*desk.Desk).Redo, "Do again what undo took back last",
		`Redo does again what undo took back last, or with a number that many. Any other change
of the stash in between ends it, and so does a photo that left with what was taken
back: stow it again.`)
}

// steps goes so many changes back or forth, and tells of each as soon as it is done.
type steps func(d *desk.Desk, ctx context.Context, n int, told func(stash.Change) error) ([]stash.Change, error)

// stepping returns a command that goes back or forth.
func (l *line) stepping(use, done string, take steps, short, long string) *cobra.Command {
	n := 1
	return &cobra.Command{
		Use: use + " [COUNT]", Short: short, Long: long,
		Args: oneNumber(&n, stash.Undoable, nil, fault.Usage("", "this is not a number of changes", fmt.Sprintf("write a number from 1 to %d", stash.Undoable))),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return l.at("working", func(d *desk.Desk) error {
				all, failed := take(d, cmd.Context(), n, func(c stash.Change) error {
					if l.json {
						return nil
					}
					return l.answer(nil, done+": "+c.Verb+" "+report.ChangeText(c))
				})
				if l.json && (failed == nil || len(all) > 0) {
					if err := l.answer(report.ChangesMadeJSON(done, all), ""); err != nil {
						return err
					}
				}
				return failed
			})
		},
	}
}
