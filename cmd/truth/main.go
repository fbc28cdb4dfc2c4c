// Truth measures how true Piecebag's answers are. It is for those who work on
// Piecebag: it makes photos of which everything is known, looks at them and prints
// what was right, and writes what the program's constants are fitted on.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"strings"
	"syscall"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"
	"golang.org/x/term"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/fault"
	"piecebag/internal/light"
	"piecebag/internal/look"
	"piecebag/internal/photo"
	"piecebag/internal/truth"
)

// seed is that of every clustering, as in piecebag.
const seed = 1

// Photos that are looked at at once; each takes some 200 MB.
const atOnce = 4

// makeOne is the remedy where there is nothing to measure.
const makeOne = "make a folder with 'truth make FOLDER'"

// program is where answers and messages go.
type program struct{ out, err io.Writer }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // so that a second Ctrl-C ends at once
	os.Exit(run(ctx, os.Args[1:], program{os.Stdout, os.Stderr}))
}

// run returns the exit code: 0 fine, 1 failed, 2 wrong use, 130 interrupted.
func run(ctx context.Context, args []string, p program) int {
	root := p.root()
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	if errors.Is(err, context.Canceled) {
		return 130
	}
	fmt.Fprintf(p.err, "truth: error: %v\n", err)
	if f := fault.Of(err); f != nil {
		fmt.Fprintf(p.err, "truth: hint: %s\n", f.Remedy)
	}
	if errors.Is(err, fault.ErrUsage) {
		return 2
	}
	return 1
}

func (p program) root() *cobra.Command {
	var each bool
	root := p.measures(&cobra.Command{
		Use:   "truth FOLDER…",
		Short: "Look at photos of which everything is known and print how true the answers are",
		Long: `Truth looks at the photos of folders that hold their truth beside them
(NAME.jpg, NAME.json, NAME_mask.png) and prints one table, by kind of photo and
by level of difficulty. 'truth make FOLDER' makes such a folder.`,
		SilenceUsage: true, SilenceErrors: true,
	}, func(scores []truth.Result) any { return truth.Rows(scores, each) },
		func(scores []truth.Result) error { return truth.WriteTable(p.out, truth.Rows(scores, each)) })
	root.Flags().BoolVar(&each, "each", false, "a row for each photo as well")
	root.SetOut(p.out)
	root.SetErr(p.err)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return fault.Usage("", err.Error(), "see '"+cmd.CommandPath()+" --help'")
	})
	root.CompletionOptions.DisableDefaultCmd = true
	root.AddCommand(p.newMake(), p.newSizes(), p.newNames(), p.newPrints(), p.newSigns(), p.newJoins())
	return root
}

// measures makes cmd look at the photos of folders and answer with a table of their
// scores, or in JSON.
func (p program) measures(cmd *cobra.Command, answer func([]truth.Result) any, write func([]truth.Result) error) *cobra.Command {
	var asJSON bool
	var only string
	cmd.Args = folders
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		scores, err := p.scored(cmd.Context(), args, only)
		if err != nil {
			return err
		}
		if asJSON {
			enc := json.NewEncoder(p.out)
			enc.SetIndent("", " ")
			return enc.Encode(answer(scores))
		}
		return write(scores)
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	onlyFlag(cmd, &only)
	return cmd
}

func onlyFlag(cmd *cobra.Command, only *string) {
	cmd.Flags().StringVar(only, "only", "", "only photos whose name holds `TEXT`")
}

// folders refuses a command that names none.
func folders(_ *cobra.Command, args []string) error {
	if len(args) == 0 {
		return fault.Usage("", "no folder is given", makeOne)
	}
	return nil
}

// scored looks at the photos of folders whose names hold a text, and compares the
// answers with their truth.
func (p program) scored(ctx context.Context, dirs []string, only string) ([]truth.Result, error) {
	cases, sheets, err := p.seen(ctx, dirs, only)
	if err != nil {
		return nil, err
	}
	judge := truth.Judge{DeltaE: colour.DeltaE00, Family: family.Of, Dull: family.Dull, Estimate: light.FromEstimate}
	scores := make([]truth.Result, len(cases))
	for i := range cases {
		scores[i] = judge.Score(cases[i], &sheets[i])
	}
	return scores, nil
}

// read reads the truth of the photos of folders whose names hold a text.
func read(dirs []string, only string) ([]*truth.Case, error) {
	var cases []*truth.Case
	for _, d := range dirs {
		found, err := truth.ReadDir(d)
		if errors.Is(err, truth.ErrNoTruth) {
			return nil, fault.New(d, "it holds no photo with its truth", makeOne, err)
		}
		if err != nil {
			return nil, fault.New(d, fmt.Sprintf("the photos and their truth cannot be read: %v", err), makeOne, err)
		}
		for _, c := range found {
			if strings.Contains(c.Name, only) {
				cases = append(cases, c)
			}
		}
	}
	if len(cases) == 0 {
		return nil, fault.Usage("--only "+only, "no photo has this in its name", "leave it off to measure them all")
	}
	return cases, nil
}

// seen looks at the photos of folders whose names hold a text, and reads their truth.
func (p program) seen(ctx context.Context, dirs []string, only string) ([]*truth.Case, []cloth.Sheet, error) {
	cases, err := read(dirs, only)
	if err != nil {
		return nil, nil, err
	}
	bar := p.progress("looking", len(cases))
	sheets := make([]cloth.Sheet, len(cases))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(min(atOnce, runtime.GOMAXPROCS(0)))
	for i, c := range cases {
		g.Go(func() error {
			defer bar.Add(1)
			if ctx.Err() != nil {
				return ctx.Err()
			}
			pic, _, err := photo.Open(c.File, photo.Options{})
			if err != nil {
				return err
			}
			sheets[i], err = look.Photo(pic, look.Options{Seed: seed})
			return err
		})
	}
	err = g.Wait()
	_ = bar.Finish()
	return cases, sheets, err
}

// progress returns a bar of n steps on a terminal, and nothing elsewhere.
func (p program) progress(doing string, n int) *progressbar.ProgressBar {
	if f, ok := p.err.(*os.File); !ok || !term.IsTerminal(int(f.Fd())) {
		return progressbar.DefaultSilent(int64(n), doing)
	}
	return progressbar.NewOptions(n, progressbar.OptionSetWriter(p.err), progressbar.OptionSetDescription(doing),
		progressbar.OptionShowCount(), progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(50*time.Millisecond))
}
