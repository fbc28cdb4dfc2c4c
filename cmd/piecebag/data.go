package main

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

func newExport(l *ledger) *cobra.Command {
	var asCSV bool
	cmd := &cobra.Command{
		Use:   "export [FILE]",
		Short: "Write all that the stash holds, in JSON or CSV, to read back",
		Long: `Export writes all that the stash holds to a file, or to standard output without
one: in JSON, or by --csv as a table for a spreadsheet. 'piecebag import' reads
both back without loss. The photos themselves go into a backup, not here.`,
		Example: `  piecebag export stash.json
  piecebag export --csv stash.csv`,
		Args: oneFileAtMost("export"),
	}
	cmd.Flags().BoolVar(&asCSV, "csv", false, "write CSV")
	asJSON := wantsJSON(cmd)
	force := forceFlag(cmd.Flags())
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if asCSV && *asJSON {
			return fault.Usage("", "--json and --csv cannot be given together", "give one of them")
		}
		return l.at("working", func(d *desk.Desk) error {
			fill := func(w io.Writer) error { return d.Export(cmd.Context(), w, asCSV) }
			if len(args) == 0 {
				return answered(fill(l.s.out))
			}
			to := target{path: args[0], kind: exportJSON, force: force}
			if asCSV {
				to.kind = exportCSV
			}
			if err := d.There(); err != nil { // no file is begun for nothing
				return err
			}
			file, err := create(to)
			if err != nil {
				return err
			}
			return file.write(fill)
		})
	}
	return cmd
}

func oneFileAtMost(name string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 1 {
			return fault.Usage(args[1], fmt.Sprintf("%s takes one file", name), "name one file")
		}
		return nil
	}
}

// oneFile wants just one file.
func oneFile(name, like string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return fault.Usage("", "no file is given", "name one, like 'piecebag "+name+" "+like+"'")
		}
		return oneFileAtMost(name)(cmd, args)
	}
}

func newImport(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Read what export wrote, or a plain spreadsheet of squares",
		Long: `Import adds to the stash what is in a file: what 'piecebag export' wrote, in JSON
or CSV, or a spreadsheet of your own saved as CSV. The first row of a spreadsheet
names its columns, such as colour, value, size and count. A file is not imported
twice.`,
		Args: oneFile("import", "stash.csv"),
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		data, err := readInput(args[0], mostImport, checkName)
		if err != nil {
			return err
		}
		return l.at("working", func(d *desk.Desk) error {
			got, err := d.Import(cmd.Context(), args[0], data)
			if err != nil {
				return err
			}
			if *asJSON {
				return answerJSON(l.s, report.ImportedJSON(got))
			}
			text := plain(args[0]) + ": already known\n"
			if !got.Known {
				text = fmt.Sprintf("%s: %d added (%s), %d skipped\n", plain(args[0]), got.Added, got, got.Skipped)
			}
			for _, n := range got.Notes {
				l.s.note(args[0] + ": " + n)
			}
			_, err = fmt.Fprint(l.s.out, text)
			return answered(err)
		})
	}
	return cmd
}

func newBackup(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the whole stash, photos included, into one file",
		Long: `Backup copies the whole stash, photos included, into one file, which is safe also
while the stash is in use. 'piecebag restore' puts it back.`,
		Args: oneFile("backup", "stash.backup"),
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		file, err := filepath.Abs(args[0])
		if err != nil {
			return err
		}
		if err := (target{path: args[0], kind: backupFile}).spare(realPlace(file)); err != nil {
			return err
		}
		return l.at("working", func(d *desk.Desk) error {
			if err := d.Backup(cmd.Context(), file); err != nil {
				return err
			}
			if *asJSON {
				return answerJSON(l.s, map[string]any{"backup": args[0]})
			}
			_, err := fmt.Fprintf(l.s.out, "the stash is copied to %s\n", plain(args[0]))
			return answered(err)
		})
	}
	return cmd
}

func newRestore(l *ledger) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "restore FILE",
		Short: "Put a backup in the place of the stash; what was there is kept",
		Args:  oneFile("restore", "stash.backup"),
	}
	asJSON := wantsJSON(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		file, err := filepath.Abs(args[0])
		if err != nil {
			return err
		}
		if f, err := openInput(args[0], checkName); err != nil {
			return err
		} else if err := f.Close(); err != nil {
			return err
		}
		var kept string
		err = l.at("restoring", func(d *desk.Desk) error {
			kept, err = d.Restore(cmd.Context(), file)
			return err
		})
		if err != nil {
			return err
		}
		if *asJSON {
			answer := map[string]any{"restored": args[0]}
			if kept != "" {
				answer["kept"] = kept
			}
			return answerJSON(l.s, answer)
		}
		text := fmt.Sprintf("the stash is that of %s\n", plain(args[0]))
		if kept != "" {
			text += fmt.Sprintf("what was there before is kept in %s\n", plain(kept))
		}
		_, err = fmt.Fprint(l.s.out, text)
		return answered(err)
	}
	return cmd
}
