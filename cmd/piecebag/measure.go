package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/look"
	"piecebag/internal/scene"
	"piecebag/internal/truth"
)

// newMeasure is for contributors: it is not shown in the help.
func newMeasure(s streams) *cobra.Command {
	var each, asJSON bool
	var only string
	cmd := &cobra.Command{
		Use:    "measure FOLDER…",
		Short:  "Look at photos of which everything is known and print how true the answers are",
		Hidden: true,
		Long: `Measure looks at the photos of folders that hold their truth beside them
(NAME.jpg, NAME.json, NAME_mask.png) and prints one table, by kind of photo and
by level of difficulty. 'piecebag measure make FOLDER' makes such a folder.`,
		Args: atLeastOne("no folder is given", "make one with 'piecebag measure make FOLDER'"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runMeasure(cmd.Context(), s, args, only, each, asJSON)
		},
	}
	cmd.Flags().BoolVar(&each, "each", false, "a row for each photo as well")
	cmd.Flags().BoolVar(&asJSON, "json", false, "answer in JSON")
	cmd.Flags().StringVar(&only, "only", "", "only photos whose name holds `TEXT`")
	cmd.AddCommand(newMeasureMake(s))
	return cmd
}

func runMeasure(ctx context.Context, s streams, dirs []string, only string, each, asJSON bool) error {
	var cases []*truth.Case
	for _, d := range dirs {
		found, err := truth.ReadDir(d)
		if err != nil {
			reason := fmt.Sprintf("the photos and their truth cannot be read: %v", bare(err))
			if errors.Is(err, truth.ErrNoTruth) {
				reason = "it holds no photo with its truth"
			}
			return &remedyError{d + ": " + reason, "make a folder with 'piecebag measure make FOLDER'", err}
		}
		for _, c := range found {
			if strings.Contains(c.Name, only) {
				cases = append(cases, c)
			}
		}
	}
	if len(cases) == 0 {
		return wrong("only", only, "no photo has this in its name", "leave it off to measure them all")
	}
	files := make([]string, len(cases))
	for i, c := range cases {
		files[i] = c.File
	}
	results, err := s.lookAll(ctx, files, look.Options{Seed: seed})
	if err != nil {
		return err
	}
	judge := truth.Judge{DeltaE: colour.DeltaE00, Family: family.Of}
	scores := make([]truth.Result, len(cases))
	for i, r := range results {
		if r.err != nil {
			return r.err
		}
		scores[i] = judge.Score(cases[i], &r.sheet)
	}
	rows := truth.Rows(scores, each)
	if asJSON {
		enc := json.NewEncoder(s.out)
		enc.SetIndent("", " ")
		return answered(enc.Encode(rows))
	}
	return answered(truth.WriteTable(s.out, rows))
}

func newMeasureMake(s streams) *cobra.Command {
	var per, long int
	var first uint64
	cmd := &cobra.Command{
		Use:   "make FOLDER",
		Short: "Make photos of cut cloth with their truth",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"make needs one folder", "name a new one: piecebag measure make FOLDER"}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case per < 1:
				return wrong("per", fmt.Sprint(per), "so few are no set", "write 1 or more")
			case long < 256 || long > 8192 || long%32 != 0:
				return wrong("long", fmt.Sprint(long), "no photo is made so long", "write a multiple of 32 from 256 to 8192")
			}
			if there, err := os.ReadDir(args[0]); err == nil && len(there) > 0 {
				return &usageError{args[0] + ": the folder is not empty, and what is in it might be written over", "name a new one: piecebag measure make FOLDER"}
			}
			kinds := []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}
			bar := s.progress("making", len(kinds))
			defer bar.done()
			for _, k := range kinds {
				if err := cmd.Context().Err(); err != nil {
					return err
				}
				if err := scene.WriteSet(args[0], []cloth.Kind{k}, per, first, long); err != nil {
					return &remedyError{fmt.Sprintf("%s: the photos cannot be written: %v", args[0], bare(err)), "choose another place, or make room there", err}
				}
				bar.step()
			}
			return nil
		},
	}
	cmd.Flags().IntVar(&per, "per", 6, "so many `PHOTOS` of each kind")
	cmd.Flags().Uint64Var(&first, "first", 1, "the first `SEED`")
	cmd.Flags().IntVar(&long, "long", scene.LongSide, "the longer side, in `PIXELS`")
	return cmd
}
