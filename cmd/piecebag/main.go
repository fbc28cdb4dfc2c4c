// Piecebag turns photos of cut fabric into knowledge of the stash.
package main

import (
	"context"
	_ "embed"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"piecebag/internal/look"

	"github.com/spf13/cobra"

	"piecebag/internal/fault"
)

// streams are what a command writes to, and the environment it reads.
type streams struct {
	in       io.Reader // to ask on a terminal; may be nil
	out, err io.Writer
	environ  []string
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // so that a second Ctrl-C ends at once
	os.Exit(untilLeft(ctx, leave, func() int {
		return run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, environ: os.Environ()})
	}))
}

// leave is how long a command that is interrupted may go on, to put away what it
// has begun. Searches and drawings do not look up that soon; nothing is lost where
// they are left, since changes of the ledger and files are made whole or not at
// all.
const leave = 2 * time.Second

// untilLeft runs a command until it ends, or is interrupted and does not end for a
// while.
func untilLeft(ctx context.Context, leave time.Duration, command func() int) int {
	done := make(chan int, 1)
	go func() { done <- command() }()
	select {
	case code := <-done:
		return code
	case <-ctx.Done():
	}
	select {
	case code := <-done:
		return code
	case <-time.After(leave):
		return exitInterrupted
	}
}

// run returns the whole program less the process: its answer is the exit code.
func run(ctx context.Context, args []string, s streams) int {
	root := newRoot(s)
	root.SetArgs(joinMeasures(root, args))
	return s.finish(root.ExecuteContext(ctx))
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "piecebag",
		Short: "Turn photos of cut fabric into knowledge of the stash",
		Long: `Piecebag finds the pieces in photos of cut fabric, measures the colour of each,
sorts them by hue family, value and cut size, and says which colours are thin
('piecebag look'). It keeps count of the stash from photo to photo, in your own
bins ('stow', 'shelf', 'teach', 'use', 'recount'), and plans quilts from it: what
to pull, cut and buy ('recipe', 'plan', 'arrange', 'refill', 'contrast', 'buy').
Everything runs on this machine; no photo leaves it.

Results go to standard output, messages to standard error.`,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          noSuchCommand,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.SetUsageTemplate(root.UsageTemplate() + exitHelp)
	root.SetFlagErrorFunc(flagError)
	root.SetHelpCommand(newHelp())
	root.CompletionOptions.DisableDefaultCmd = true
	root.SuggestionsMinimumDistance = 2
	l := &line{streams: s}
	root.PersistentFlags().StringVar(&l.stash, "stash", "", "the `FOLDER` of the stash (or set "+stashVariable+")")
	root.PersistentFlags().BoolVar(&l.json, "json", false, "answer in JSON")
	for _, g := range []struct {
		title string
		verbs []func(*line) *cobra.Command
	}{
		{"See what photos show:", []func(*line) *cobra.Command{newDemo, newLook, newName, newCard}},
		{"Count the stash:", []func(*line) *cobra.Command{newStow, newRecount, newAdd, newUse, newFix, newTeach, newShelf, newFloor, newSet}},
		{"Plan the next quilt:", []func(*line) *cobra.Command{newRecipe, newIdeas, newPlan, newArrange, newQuilt, newContrast, newRefill, newLeftovers, newBuy}},
		{"Take back, take along, keep safe:", []func(*line) *cobra.Command{newUndo, newRedo, newHistory, newExport, newImport, newBackup, newRestore, newCheck}},
		{"Piecebag itself:", []func(*line) *cobra.Command{newServe, newVersion}},
	} {
		root.AddGroup(&cobra.Group{ID: g.title, Title: g.title})
		for _, verb := range g.verbs {
			cmd := verb(l)
			cmd.GroupID = g.title
			root.AddCommand(cmd)
		}
	}
	root.SetHelpCommandGroupID("Piecebag itself:")
	cobra.EnableCommandSorting = false // the order above is that of use
	giveOnce(root)
	return root
}

// newHelp stands in for cobra's own, which takes a wrong topic for no error.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Say what a command does",
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return noSuchCommand(cmd.Root(), args)
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}

// noSuchCommand refuses what stands where a command should.
func noSuchCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	remedy := "see 'piecebag --help'"
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		remedy = fmt.Sprintf("did you mean 'piecebag %s'?", near[0])
	} else if st, err := os.Stat(args[0]); err == nil && (st.IsDir() || strings.Contains(args[0], ".")) {
		remedy = fmt.Sprintf("to look at photos, write 'piecebag look %s'", args[0])
	}
	return fault.Usage(args[0], "there is no such command", remedy)
}

// licences is the data and the modules that the program holds, with their licences.
//
//go:generate go test . -run TestLicencesOfAllThatIsLinked -update-licences
//go:embed licences.txt
var licences string

func newVersion(l *line) *cobra.Command {
	var all bool
	cmd := &cobra.Command{
		Use:   "version",
		Short: "Say which piecebag this is, and the licences of what it holds",
		Long: `Version says which piecebag this is, and what reads the photos: where that is another,
'piecebag stow --again' may read your photos otherwise. --licences writes the licences
of all that others made and the program holds: modules, fonts and data.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			if all {
				return l.answer(map[string]any{"licences": licences}, licences)
			}
			version, by := "unknown", "unknown"
			if b, ok := debug.ReadBuildInfo(); ok {
				version, by = b.Main.Version, b.GoVersion
			}
			return l.answer(map[string]any{"version": version, "go": by, "reader": look.Reader()},
				fmt.Sprintf("piecebag %s, built with %s\nreader of photos: %s\n", version, by, look.Reader()))
		},
	}
	cmd.Flags().BoolVar(&all, "licences", false, "write the licences of all that the program holds")
	return cmd
}
